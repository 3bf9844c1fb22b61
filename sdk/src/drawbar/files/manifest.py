"""What the parts in a folder are parts of, so that a second run goes on and never mixes two things."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import socket
from collections.abc import Generator, Mapping
from pathlib import Path
from typing import IO, Any, Final, Literal, TypeAlias, cast
from uuid import uuid4

import msgspec

from drawbar.errors import BadSetting
from drawbar.provenance import Provenance, canonical

try:
    import fcntl
except ImportError:  # where the system has no such locks, a second run is not noticed
    fcntl = None  # type: ignore[assignment]

Told: TypeAlias = dict[str, object]
Format: TypeAlias = Literal["parquet", "csv", "arrow"]

NAME: Final = "manifest.json"
ORIGIN: Final = "provenance.json"
"""What was asked, of which versions, and when: what it takes to run a folder again."""
DIGESTS: Final = "digests.jsonl"
"""Length and digest of every part that was finished, a line each; of two lines for one part the last counts."""
_OURS: Final = re.compile(r"(part|faults)-\d{5,}\.(parquet|csv|arrow)")
_TEMPORARY: Final = re.compile(r"\.(part|faults)-(\d{5,})\.(parquet|csv|arrow)\.[0-9a-f]+\.tmp")


class BadJob(BadSetting):
    """What is asked of files cannot be done, or not in that folder; nothing was written."""


class Input(msgspec.Struct, frozen=True):
    """The file that the rows are from."""

    name: str
    kind: str
    sha256: str
    rows: int


class Manifest(msgspec.Struct, frozen=True):
    """What the parts in a folder are parts of."""

    calculation: str
    model: str
    """Version of the model: with another one, the same rows have other answers."""
    input: Input
    scenario_sha256: str
    columns: list[str]
    units: dict[str, str]
    """Of each column; empty for plain numbers, truths and texts."""
    keep: list[str]
    format: Format
    part_rows: int
    parts: int
    layout: int = 1
    """How this folder is laid out."""


class Digest(msgspec.Struct, frozen=True):
    """What a finished part has to be."""

    name: str
    bytes: int
    sha256: str


def settle(folder: Path, wanted: Manifest, *, overwrite: bool) -> None:
    """See to it that a folder holds parts of what is wanted, and of nothing else.

    Parameters
    ----------
    folder
        Where the parts go; made if it is not there.
    wanted
        What they are to be parts of.
    overwrite
        Whether the parts of something else go.

    Raises
    ------
    BadJob
        If they are parts of something else and are to stay.
    """
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / NAME
    if overwrite:
        for path in folder.iterdir():
            if _OURS.fullmatch(path.name) or _TEMPORARY.fullmatch(path.name):
                path.unlink()
        file.unlink(missing_ok=True)
        (folder / DIGESTS).unlink(missing_ok=True)
        (folder / ORIGIN).unlink(missing_ok=True)
    elif not file.exists() and any(_OURS.fullmatch(path.name) for path in folder.iterdir()):
        raise BadJob(f"{folder} holds parts but no {NAME} that says of what. Take another folder, or --overwrite them.")
    content = msgspec.json.format(msgspec.json.encode(wanted), indent=2) + b"\n"
    temporary = folder / f".{NAME}.{uuid4().hex}.tmp"
    with temporary.open("xb") as opened:
        _write_through(opened, content)
    try:
        # Whoever comes first, of many who start together, decides; the others compare.
        os.link(temporary, file)
    except FileExistsError:
        _compare(folder, wanted)
    finally:
        temporary.unlink()


def settle_origin(folder: Path, wanted: Provenance) -> Provenance:
    """Return the provenance of the parts in a folder: that of the run which began it, or the `wanted` one of this.

    Parameters
    ----------
    folder
        Where the parts go; it exists.
    wanted
        That of this run.
    """
    file = folder / ORIGIN
    temporary = folder / f".{ORIGIN}.{uuid4().hex}.tmp"
    with temporary.open("xb") as opened:
        _write_through(opened, msgspec.json.format(msgspec.json.encode(wanted), indent=2) + b"\n")
    try:
        os.link(temporary, file)
    except FileExistsError:
        with contextlib.suppress(msgspec.DecodeError):
            return read_origin(folder)
    finally:
        temporary.unlink()
    return wanted


def read_origin(folder: Path) -> Provenance:
    """Read the provenance of the parts in a folder, in the form that each of them carries.

    Parameters
    ----------
    folder
        Where they are.

    Raises
    ------
    FileNotFoundError, msgspec.DecodeError
        If there is none, or it is damaged.
    """
    found = msgspec.json.decode((folder / ORIGIN).read_bytes(), type=Provenance)
    return msgspec.structs.replace(found, scenario=msgspec.Raw(canonical(msgspec.json.decode(found.scenario))))


def _compare(folder: Path, wanted: Manifest) -> None:
    try:
        there: dict[str, Any] = msgspec.json.decode((folder / NAME).read_bytes())
    except msgspec.DecodeError as fault:
        raise BadJob(f"{folder / NAME} is damaged ({fault}). Take another folder, or --overwrite it.") from fault
    asked: dict[str, Any] = msgspec.to_builtins(wanted)
    # Under another name it is still the same file; and units belong to columns, which are told already if they differ.
    same_columns = there.get("columns") == asked["columns"]
    compared = {name: value for name, value in asked.items() if name != "units" or same_columns}
    differing = [
        f"{name} was {_short(there.get(name))}, now {_short(value)}"
        for name, value in compared.items()
        if _nameless(there.get(name)) != _nameless(value)
    ]
    if differing:
        raise BadJob(
            f"{folder} holds parts of another run: {'; '.join(differing)}. Take another folder, or --overwrite it."
        )


def _nameless(value: object) -> object:
    return {**cast("Told", value), "name": ""} if _is_input(value) else value


def _short(value: object) -> str:
    if _is_input(value):
        told = cast("Told", value)
        return f"{told['name']} with {told['rows']} rows (SHA-256 {str(told['sha256'])[:12]}...)"
    if isinstance(value, str) and len(value) == 64:
        return f"{value[:12]}..."
    text = ", ".join(map(str, cast("list[object]", value))) if isinstance(value, list) else str(value)
    return text if len(text) < 200 else f"{text[:200]}..."


def _is_input(value: object) -> bool:
    return isinstance(value, dict) and {"name", "rows", "sha256"} <= cast("Told", value).keys()


def part_name(number: int, format: Format) -> str:
    """Name the file of a part.

    Parameters
    ----------
    number
        Which part, counted from 1.
    format
        How it is written.
    """
    return f"part-{number:05}.{format}"


def faults_name(number: int) -> str:
    """Name the file that tells of a part's rows at fault.

    Parameters
    ----------
    number
        Which part, counted from 1.
    """
    return f"faults-{number:05}.csv"


def digests(folder: Path) -> dict[str, Digest]:
    """Read what the finished parts in a folder have to be, by their names.

    Parameters
    ----------
    folder
        Where they are.
    """
    found: dict[str, Digest] = {}
    with contextlib.suppress(FileNotFoundError):
        for line in (folder / DIGESTS).read_bytes().splitlines():
            # A line that was cut off says nothing: its part is done again.
            with contextlib.suppress(msgspec.DecodeError):
                one = msgspec.json.decode(line, type=Digest)
                found[one.name] = one
    return found


def is_done(folder: Path, number: int, format: Format, known: Mapping[str, Digest]) -> bool:
    """Say whether a part is there and is what it was when it was finished.

    Parameters
    ----------
    folder, number, format
        Where it is, which it is, and how it is written.
    known
        What :func:`digests` says.
    """
    name = part_name(number, format)
    file, wanted = folder / name, known.get(name)
    try:
        return wanted is not None and file.stat().st_size == wanted.bytes and _sha256(file) == wanted.sha256
    except FileNotFoundError:
        return False


def _sha256(file: Path) -> str:
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


@contextlib.contextmanager
def locked(folder: Path, shard: tuple[int, int]) -> Generator[None]:
    """Keep a share of a folder from a second run for as long as this one goes on.

    Parameters
    ----------
    folder
        Where the parts go; it exists.
    shard
        Which share of how many.

    Raises
    ------
    BadJob
        If another run is at work there.
    """
    if fcntl is None:
        yield
        return
    file = folder / f".run-{shard[0]}-of-{shard[1]}.lock"
    with file.open("a+b") as opened:
        try:
            fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            opened.seek(0)
            owner = opened.read(200).decode("utf-8", "replace").strip() or "another process"
            raise BadJob(
                f"{folder}: share {shard[0]}/{shard[1]} is at work in {owner}. Wait for it, or take another folder."
            ) from None
        opened.truncate(0)
        opened.write(f"process {os.getpid()} on {socket.gethostname()}".encode())
        opened.flush()
        try:
            yield
        finally:
            file.unlink(missing_ok=True)


def remove_unfinished(folder: Path, numbers: frozenset[int]) -> None:
    """Remove what parts of an earlier run left when it was stopped half way.

    Parameters
    ----------
    folder
        Where the parts are.
    numbers
        Those that this run is about.
    """
    for path in list(folder.iterdir()):
        named = _TEMPORARY.fullmatch(path.name)
        if named and int(named[2]) in numbers:
            path.unlink(missing_ok=True)


@contextlib.contextmanager
def written(folder: Path, name: str) -> Generator[IO[bytes]]:
    """Open a file that takes its name once it is whole, on the disk, and its digest is noted.

    Parameters
    ----------
    folder, name
        What it will be.
    """
    temporary = folder / f".{name}.{uuid4().hex}.tmp"
    try:
        with temporary.open("xb") as opened:
            yield opened
            _write_through(opened, b"")
        noted = Digest(name, temporary.stat().st_size, _sha256(temporary))
        # Several processes may write here: a short line appended at once stays whole.
        with (folder / DIGESTS).open("ab", buffering=0) as digests_of_all:
            digests_of_all.write(msgspec.json.encode(noted) + b"\n")
        temporary.replace(folder / name)
    finally:
        temporary.unlink(missing_ok=True)


def _write_through(opened: IO[bytes], content: bytes) -> None:
    opened.write(content)
    opened.flush()
    os.fsync(opened.fileno())
