"""The provenance of a folder of parts: written once, carried by every part, and run again."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import msgspec

from drawbar._arrow_wire import pa
from drawbar._libraries import library
from drawbar.files.job import prepare
from drawbar.files.manifest import NAME as MANIFEST
from drawbar.files.manifest import BadJob, Manifest, digests, part_name, read_origin
from drawbar.files.runner import run
from drawbar.files.sources import open_source
from drawbar.provenance import Provenance

pq: Final = library("pyarrow.parquet", "files")


@dataclass(frozen=True)
class Reproduced:
    """What became of running a folder again.

    Parameters
    ----------
    same
        Parts with the same digest.
    same_numbers
        Parts with other bytes and the same rows, such as another version of a library writes them.
    differing
        Parts with other rows.
    missing
        Parts that the folder has not.
    changed
        Versions that are others now: name, then, now.
    """

    same: list[str]
    same_numbers: list[str]
    differing: list[str]
    missing: list[str]
    changed: list[tuple[str, str, str]]

    @property
    def reproduced(self) -> bool:
        """Whether every part that is there has the same numbers."""
        return not self.differing and not self.missing


def reproduce(folder: str | Path, *, input: str | Path | None = None, url: str | None = None) -> Reproduced:
    """Run again what a folder holds the parts of, and compare. Nothing in the folder is changed.

    Parameters
    ----------
    folder
        Where the parts are, with their `provenance.json`.
    input
        The file of rows, if it lies no longer where it did.
    url
        Address of a service; None runs it in this process.

    Raises
    ------
    BadJob
        If the folder does not say what it holds, or the input is another one.
    """
    there = Path(folder)
    kept, manifest = _read(there)
    path = Path(input) if input is not None else there / kept.input
    with tempfile.TemporaryDirectory(prefix="drawbar-reproduce-") as name:
        job = prepare(
            path,
            kept.calculation,
            name,
            # A grid holds a scenario of its own.
            scenario=None
            if open_source(path, manifest.keep).told.scenario is not None
            else msgspec.json.decode(kept.scenario),
            columns=manifest.columns,
            units="us" if kept.system == "us" else "metric",
            keep=manifest.keep,
            format=manifest.format,
            part_rows=manifest.part_rows,
            url=url,
        )
        if job.manifest.input.sha256 != kept.input_sha256:
            raise BadJob(f"{path} is not the file that {there} was made of: its SHA-256 is another one.")
        now = job.provenance
        # What a part says of itself is part of its bytes.
        run(replace(job, provenance=kept))
        return _compared(there, Path(name), manifest, _changed(kept, now))


def _read(folder: Path) -> tuple[Provenance, Manifest]:
    try:
        return read_origin(folder), msgspec.json.decode((folder / MANIFEST).read_bytes(), type=Manifest)
    except FileNotFoundError as fault:
        raise BadJob(f"{folder} has no {Path(fault.filename).name}: nothing says what it holds.") from fault
    except msgspec.DecodeError as fault:
        raise BadJob(f"{folder}: what says what it holds is damaged ({fault}).") from fault


def _changed(then: Provenance, now: Provenance) -> list[tuple[str, str, str]]:
    pairs = [("service", then.service, now.service), ("sdk", then.sdk, now.sdk), ("model", then.model, now.model)]
    pairs += [(name, version, now.libraries.get(name, "")) for name, version in then.libraries.items()]
    return [pair for pair in pairs if pair[1] != pair[2]]


def _compared(there: Path, here: Path, manifest: Manifest, changed: list[tuple[str, str, str]]) -> Reproduced:
    found = Reproduced([], [], [], [], changed)
    old, new = digests(there), digests(here)
    for number in range(1, manifest.parts + 1):
        name = part_name(number, manifest.format)
        if not (there / name).exists():
            found.missing.append(name)
        elif name in old and old[name].sha256 == new[name].sha256:
            found.same.append(name)
        elif _table(there / name).equals(_table(here / name)):
            found.same_numbers.append(name)
        else:
            found.differing.append(name)
    return found


def _table(path: Path) -> Any:
    if path.suffix == ".parquet":
        return pq.read_table(path)
    if path.suffix == ".arrow":
        with pa.OSFile(str(path)) as opened:
            return library("pyarrow.ipc", "files").open_file(opened).read_all()
    return library("pyarrow.csv", "files").read_csv(path)
