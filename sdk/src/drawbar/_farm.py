"""Files for the command line: a request as it is sent, or a farm whose jobs are put together here."""

from __future__ import annotations

import difflib
import json
import re
import sys
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TypeAlias, cast

from drawbar.errors import Fault
from drawbar.own_tables import BadTable, member, read_rows

Table: TypeAlias = dict[str, Any]

_KINDS: Final = {"tractor": "tractors", "implement": "implements", "field": "fields"}
_OPTIONS: Final = ("speed", "find", "limits", "odds")
_JOB_MEMBERS: Final = (*_KINDS, *_OPTIONS)
_FARM_MEMBERS: Final = (*_KINDS.values(), "jobs")
_OWN_TABLES: Final = "tables"
_SEASON: Final = "season"
_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")


class BadFile(Exception):  # noqa: N818 - it names the file
    """A file cannot be used; each fault names the place in it.

    Parameters
    ----------
    name
        The file.
    faults
        At least one; the pointer is the place in the file.
    """

    def __init__(self, name: str, *faults: Fault) -> None:
        super().__init__(name, *faults)
        self.name = name
        self.faults = faults


@dataclass(frozen=True)
class Case:
    """A request and where each part of it stands in the file.

    Parameters
    ----------
    name
        The job, or the file.
    body
        The request.
    places
        JSON Pointers into the request, each with the place in the file it was taken from.
    parts
        Names of tractor, implement and field, where the file names them.
    """

    name: str
    body: Table
    places: Mapping[str, str]
    parts: Mapping[str, str]

    def place(self, pointer: str) -> str:
        """Turn a JSON Pointer into the request into the place in the file.

        Parameters
        ----------
        pointer
            JSON Pointer.
        """
        keys = [key.replace("~1", "/").replace("~0", "~") for key in pointer.split("/")[1:]]
        for length in range(len(keys), 0, -1):
            start = self.places.get("/" + "/".join(keys[:length]))
            if start is not None:
                return dotted(keys[length:], start)
        return dotted(keys) or pointer


@dataclass(frozen=True)
class Farm:
    """A farm file: tractors, implements and fields by name, jobs that bring them together, and a season of work."""

    file: str
    tables: Mapping[str, Mapping[str, Table]]
    season: Table | None = None
    own_tables: Table | None = None
    """Rows of the caller's own in place of those of the tables, as a request takes them."""

    def names(self, kind: str) -> list[str]:
        """List what the file has of a kind: "tractors", "implements", "fields" or "jobs"."""
        return list(self.tables[kind])

    def case(
        self,
        job: str | None = None,
        *,
        tractor: str | None = None,
        implement: str | None = None,
        field: str | None = None,
        speed: str | None = None,
    ) -> Case:
        """Put a request together.

        Parameters
        ----------
        job
            Name of a job; None if the parts are all named.
        tractor, implement, field
            Names, before those of the job.
        speed
            Ground speed, before the job's.

        Raises
        ------
        BadFile
            If the file has no such thing.
        """
        faults: list[Fault] = []
        planned = self._job(job, faults) if job is not None else {}
        asked = {"tractor": tractor, "implement": implement, "field": field}
        parts = {kind: self._part(kind, asked[kind], job, planned, faults) for kind in _KINDS}
        if faults:
            raise BadFile(self.file, *faults)
        tables = {kind: self.tables[_KINDS[kind]][name] for kind, name in parts.items()}
        land = dict(tables["field"])
        body: Table = {"tractor": tables["tractor"], "implement": tables["implement"]}
        if "soil" in land:
            body["soil"] = land.pop("soil")
        body["field"] = land
        body |= {member: planned[member] for member in _OPTIONS if member in planned}
        places = {f"/{kind}": dotted([_KINDS[kind], name]) for kind, name in parts.items()}
        places["/soil"] = dotted(["fields", parts["field"], "soil"])
        if job is not None:
            places |= {f"/{member}": dotted(["jobs", job, member]) for member in _OPTIONS}
        if speed is not None:
            body["speed"] = speed
            places["/speed"] = "--speed"
        if self.own_tables is not None:
            body[_OWN_TABLES] = self.own_tables
        return Case(job or "", body, places, parts)

    def _job(self, job: str, faults: list[Fault]) -> Table:
        jobs = self.tables["jobs"]
        if job not in jobs:
            faults.append(Fault("--job", unknown("job", job, jobs)))
            return {}
        planned = jobs[job]
        faults += [
            Fault(dotted(["jobs", job, member]), unknown("member of a job", member, _JOB_MEMBERS))
            for member in planned
            if member not in _JOB_MEMBERS
        ]
        return planned

    def _part(self, kind: str, asked: str | None, job: str | None, planned: Table, faults: list[Fault]) -> str:
        there = self.tables[_KINDS[kind]]
        name = asked if asked is not None else planned.get(kind)
        place = f"--{kind}" if asked is not None or job is None else dotted(["jobs", job, kind])
        if name is None and len(there) == 1:
            return next(iter(there))
        if isinstance(name, str) and name in there:
            return name
        # A job that does not exist has been told of already.
        if job is None or job in self.tables["jobs"] or asked is not None:
            detail = f"say which; there are {_listed(there)}" if name is None else unknown(kind, str(name), there)
            faults.append(Fault(place, detail))
        return ""


def read(name: str) -> Farm | Table:
    """Read a TOML or JSON file.

    Parameters
    ----------
    name
        Path, or "-" for standard input.

    Raises
    ------
    BadFile
        If it cannot be read, is neither TOML nor JSON, or is a farm file with something amiss.
    """
    content = _parse(name, text_of(name))
    if _OWN_TABLES in content:
        content[_OWN_TABLES] = _read_own_tables(name, content[_OWN_TABLES])
    # A season request has fields too, but they stand in a list beside its fleet.
    if "fleet" in content or not any(member in content for member in _FARM_MEMBERS):
        return content
    return _farm(name, content)


def farm_of(name: str, text: str) -> Farm:
    """Read a farm file that is in hand.

    Parameters
    ----------
    name
        What faults call it.
    text
        TOML.

    Raises
    ------
    BadFile
        If something is amiss in it.
    """
    return _farm(name, _parse(name, text))


def _farm(name: str, content: Table) -> Farm:
    known = (*_FARM_MEMBERS, _SEASON, _OWN_TABLES)
    faults = [
        Fault(dotted([member]), unknown("table of a farm file", member, known))
        for member in content
        if member not in known
    ]
    season = content.get(_SEASON)
    if season is not None and not isinstance(season, dict):
        faults.append(Fault(_SEASON, f"must be a table: [{_SEASON}]"))
    tables: dict[str, dict[str, Table]] = {}
    for kind in _FARM_MEMBERS:
        found = content.get(kind, {})
        if not isinstance(found, dict):
            faults.append(Fault(kind, f"must hold tables, each with a name of its own: [{kind}.name]"))
            continue
        tables[kind] = cast("dict[str, Table]", found)
        faults += [
            Fault(dotted([kind, each]), f"must be a table: [{dotted([kind, each])}]")
            for each, table in cast("dict[str, object]", found).items()
            if not isinstance(table, dict)
        ]
    if faults:
        raise BadFile(name, *faults)
    return Farm(name, tables, cast("Table | None", season), content.get(_OWN_TABLES))


def _read_own_tables(name: str, given: object) -> Table:
    """Return rows by table: as they stand in the file, or read from the CSV file that stands in their place."""
    if not isinstance(given, dict):
        raise BadFile(name, Fault(_OWN_TABLES, f'must be a table: [{_OWN_TABLES}], with draft = "my.csv"'))
    beside = Path() if name == "-" else Path(name).parent
    found: Table = {}
    faults: list[Fault] = []
    for table, rows in cast("Table", given).items():
        place = dotted([_OWN_TABLES, table])
        try:
            found[member(table)] = read_rows(table, beside / rows) if isinstance(rows, str) else rows
        except BadTable as fault:
            faults += [Fault(f"{place}: {fault.name} {one.pointer}".rstrip(), one.detail) for one in fault.faults]
        except OSError as fault:
            faults.append(Fault(place, f"{rows} cannot be read: {fault.strerror}"))
        except UnicodeDecodeError:
            faults.append(Fault(place, f"{rows} is not UTF-8 text; save the file as UTF-8"))
    if faults:
        raise BadFile(name, *faults)
    return found


def plain_case(name: str, body: Table, speed: str | None = None) -> Case:
    """Wrap a request that a file holds whole.

    Parameters
    ----------
    name
        The file.
    body
        The request.
    speed
        Ground speed, before the file's.
    """
    if speed is None:
        return Case("", body, {}, {})
    return Case("", body | {"speed": speed}, {"/speed": "--speed"}, {})


def text_of(name: str) -> str:
    """Read a file as text.

    Parameters
    ----------
    name
        Path, or "-" for standard input.

    Raises
    ------
    BadFile
        If it cannot be read, or is not UTF-8.
    """
    try:
        content = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except OSError as fault:
        raise BadFile(name, Fault("", f"cannot be read: {fault.strerror}")) from None
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content[: fault.start].count(b"\n") + 1
        raise BadFile(name, Fault(f"line {line}", "is not UTF-8 text; save the file as UTF-8")) from None


def _parse(name: str, text: str) -> Table:
    start = text.lstrip()[:1]
    if not start:
        raise BadFile(name, Fault("", "is empty"))
    try:
        # A TOML file may begin with a bracket, but with no brace.
        content: object = json.loads(text) if start == "{" or name.endswith(".json") else tomllib.loads(text)
    except (json.JSONDecodeError, tomllib.TOMLDecodeError) as fault:
        kind = "JSON" if isinstance(fault, json.JSONDecodeError) else "TOML"
        raise BadFile(name, Fault("", f"is not valid {kind}: {fault}")) from None
    except RecursionError:
        raise BadFile(name, Fault("", "is nested too deep")) from None
    if not isinstance(content, dict):
        raise BadFile(name, Fault("", "must hold an object with the members of a request"))
    return cast("Table", content)


def dotted(keys: Iterable[str], start: str = "") -> str:
    """Write keys of a file as one place, such as `tractors.elk.gears[2]`.

    Parameters
    ----------
    keys
        From the outermost table in; a number is a place in a list.
    start
        Place that the keys lead on from.
    """
    place = start
    for key in keys:
        if key.isdecimal() and place:
            place += f"[{key}]"
        else:
            shown = key if _BARE_KEY.fullmatch(key) else json.dumps(key)
            place += f".{shown}" if place else shown
    return place


def _listed(names: Iterable[str]) -> str:
    return ", ".join(names) or "none in the file"


def unknown(kind: str, name: str, known: Iterable[str], meant: str | None = None) -> str:
    """Say that there is no such thing, and what may have been meant.

    Parameters
    ----------
    kind
        What it should be.
    name
        What was asked for.
    known
        What there is.
    meant
        What is called so elsewhere; left out, what is written nearly so is offered.
    """
    names = list(known)
    close = [meant] if meant is not None else difflib.get_close_matches(name, names, 1)
    hint = f"did you mean {close[0]!r}?" if close else f"there are {_listed(names)}"
    return f"there is no {kind} {name!r}; {hint}"
