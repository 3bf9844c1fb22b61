"""Files with suitable days week by week, as a part of a request."""

from __future__ import annotations

import csv
import datetime
import io
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, cast

from drawbar._farm import BadFile, Case, Table, text_of
from drawbar.errors import Fault

_NAMES: Final[Mapping[str, str]] = {
    "year": "year",
    "week": "week",
    "week_ending": "week_ending",
    "week_end": "week_ending",
    "date": "week_ending",
    "days": "days",
    "days_suitable": "days",
    "suitable_days": "days",
    "state": "place",
    "place": "place",
    "topsoil": "topsoil",
}
"""What a column may be called, and what it is."""
_SO_FAR: Final = 10
"""Weeks of a file of this year so far that are sent."""
_EMPTY: Final = ("", "-", "na", "n/a", "nan", "null", "none")
_CLASSES: Final = {"VERY SHORT": 0.0, "SHORT": 1.0, "ADEQUATE": 2.0, "SURPLUS": 3.0}


@dataclass(frozen=True)
class Line:
    """A row of a file: where it stands, and its cells by the names of their columns."""

    place: str
    cells: Mapping[str, object]


@dataclass(frozen=True)
class Weeks:
    """Weeks as a request takes them, each with its place in the file."""

    file: str
    rows: list[Table]
    places: list[str]
    place: str | None


def completion_case(
    case: Case, record: str | None, so_far: str | None, soil: str | None, *, own: bool | None = None
) -> Case:
    """Put weeks from files into the request of a completion.

    Parameters
    ----------
    case
        The request.
    record
        File with the days of recorded weeks.
    so_far
        File with those of this year.
    soil
        File with the shares of topsoil by class of moisture, for both.
    own
        Whether the record is of the place the work is at; None leaves it to the service.
    """
    body, places = dict(case.body), dict(case.places)
    moisture = read_topsoil(soil) if soil is not None else {}
    if record is not None:
        weeks = read_weeks(record)
        body.pop("suitable", None)
        place = {} if weeks.place is None else {"place": weeks.place[:80]}
        body["record"] = {"weeks": _with_topsoil(weeks.rows, moisture), **place}
        places |= {f"/record/weeks/{at}": f"{weeks.file}, {line}" for at, line in enumerate(weeks.places)}
        places["/record"] = record
    if own is not None and isinstance(body.get("record"), dict):
        body["record"] = body["record"] | {"own": own}
    if so_far is not None:
        weeks = _last_of(read_weeks(so_far))
        body["so_far"] = _with_topsoil(weeks.rows, moisture)
        places |= {f"/so_far/{at}": f"{weeks.file}, {line}" for at, line in enumerate(weeks.places)}
        places["/so_far"] = so_far
    return Case(case.name, body, places, case.parts)


def season_with_record(
    case: Case, record: str | None, so_far: str | None, soil: str | None, *, own: bool | None = None
) -> Case:
    """Put weeks from files into the request of a season, a record in place of its suitable days.

    Parameters
    ----------
    case
        The request.
    record
        File with the days of recorded weeks.
    so_far
        File with those of this year.
    soil
        File with the shares of topsoil by class of moisture, for both.
    own
        Whether the record is of the place the work is at; None leaves it to the service.
    """
    window = case.body.get("window")
    if record is not None and isinstance(window, dict):
        kept = {name: value for name, value in cast("Table", window).items() if name != "suitable"}
        case = Case(case.name, {**case.body, "window": kept}, case.places, case.parts)
    return completion_case(case, record, so_far, soil, own=own)


def read_weeks(name: str) -> Weeks:
    """Read a CSV or JSON file of weeks: year and week or the last day, and how many days were suitable.

    Parameters
    ----------
    name
        Path, or "-" for standard input.

    Raises
    ------
    BadFile
        If something in it is amiss; each fault names its line.
    """
    lines = list(lines_of(name, _NAMES, needed=[("days",), ("week_ending", "week")]))
    faults: list[Fault] = []
    rows: list[Table] = []
    places: list[str] = []
    seen: dict[tuple[int, int], str] = {}
    named: dict[str, str] = {}
    for line in lines:
        cells = Cells(line, faults)
        row = _week(cells)
        named.setdefault(str(line.cells.get("place") or "").strip(), line.place)
        if row is None:
            continue
        at = _number_of(row)
        if seen.setdefault(at, line.place) != line.place:
            faults.append(Fault(line.place, f"week {at[1]} of {at[0]} stands in {seen[at]} too; give each week once"))
        rows.append(row)
        places.append(line.place)
    if len(named) > 1:
        first, other = list(named)[:2]
        faults.append(Fault(named[other], f"is of {other!r}, lines before of {first!r}; give one place in a file"))
    if not rows and not faults:
        faults.append(Fault("", "has no week; give lines with year, week and days"))
    if faults:
        raise BadFile(name, *faults[:20])
    return Weeks(name, rows, places, next(iter(named)) or None)


def _last_of(weeks: Weeks) -> Weeks:
    """Return the last weeks of a file alone: older ones say nothing of this year."""
    last = sorted(range(len(weeks.rows)), key=lambda at: _number_of(weeks.rows[at]))[-_SO_FAR:]
    return Weeks(weeks.file, [weeks.rows[at] for at in last], [weeks.places[at] for at in last], weeks.place)


def _week(cells: Cells) -> Table | None:
    """Return a week as a request takes it; None if nothing was recorded, or a fault was noted."""
    faults = len(cells.faults)
    row: Table = {}
    year, week = cells.whole("year", 1900, 2200), cells.whole("week", 1, 53)
    end = cells.date("week_ending")
    days, topsoil = cells.days("days"), cells.number("topsoil", 0.0, 3.0)
    if len(cells.faults) > faults or (days is None and topsoil is None):
        return None
    if week is not None and year is not None:
        row |= {"year": year, "week": week}
        of = end.isocalendar() if end is not None else None
        if of is not None and of[:2] != (year, week):
            cells.fault(
                "week_ending", f"is in week {of[1]} of {of[0]}, not in week {week} of {year} (weeks by ISO 8601)"
            )
            return None
    elif end is not None:
        row["week_ending"] = end.isoformat()
    else:
        cells.fault("week_ending", "is missing; give the last day of the week, or year and week")
        return None
    if days is not None:
        row["days"] = days
    if topsoil is not None:
        row["topsoil"] = topsoil
    return row


def _number_of(row: Table) -> tuple[int, int]:
    if "year" in row:
        return row["year"], row["week"]
    return datetime.date.fromisoformat(row["week_ending"]).isocalendar()[:2]


def read_topsoil(name: str) -> dict[tuple[int, int], float]:
    """Read a CSV or JSON file of topsoil by class of moisture; return the mean class by year and week.

    Parameters
    ----------
    name
        Path, or "-" for standard input. Its columns are week_ending, class and percent, and layer where there is more
        than one.

    Raises
    ------
    BadFile
        If something in it is amiss; each fault names its line.
    """
    names = {one: one for one in ("week_ending", "layer", "class", "percent")} | {"date": "week_ending"}
    faults: list[Fault] = []
    shares: dict[tuple[int, int], dict[str, float]] = {}
    for line in lines_of(name, names, needed=[("week_ending",), ("class",), ("percent",)]):
        cells = Cells(line, faults)
        layer, kind = (str(line.cells.get(one) or "").strip().upper() for one in ("layer", "class"))
        kind = kind.removeprefix("PCT ")
        if layer not in ("", "TOPSOIL") or kind not in _CLASSES:
            continue
        end, percent = cells.date("week_ending"), cells.number("percent", 0.0, 100.0)
        if end is not None and percent is not None:
            shares.setdefault(end.isocalendar()[:2], {})[kind] = percent
    if faults:
        raise BadFile(name, *faults[:20])
    whole = {week: one for week, one in shares.items() if len(one) == len(_CLASSES) and sum(one.values()) > 0.0}
    return {
        week: round(sum(_CLASSES[kind] * percent for kind, percent in one.items()) / sum(one.values()), 3)
        for week, one in whole.items()
    }


def _with_topsoil(rows: list[Table], moisture: Mapping[tuple[int, int], float]) -> list[Table]:
    found = [(row, moisture.get(_number_of(row))) for row in rows]
    return [row if topsoil is None else row | {"topsoil": topsoil} for row, topsoil in found]


def lines_of(name: str, names: Mapping[str, str], *, needed: list[tuple[str, ...]]) -> Iterator[Line]:
    """Read the rows of a CSV file, or of a JSON file with a list of objects.

    Parameters
    ----------
    name
        Path, or "-" for standard input.
    names
        What a column may be called, and what it is; other columns are left alone.
    needed
        Columns there have to be, one of each group.

    Raises
    ------
    BadFile
        If it is neither, or a column is missing.
    """
    text = text_of(name)
    if not text.strip():
        raise BadFile(name, Fault("", "is empty"))
    objects = text.lstrip()[:1] in ("[", "{")
    lines = _objects(name, text) if objects else _rows(name, text)
    found = {names[_plain(key)] for key in lines[0].cells if _plain(key) in names} if lines else set[str]()
    for group in needed:
        if not found & set(group):
            have = ", ".join(map(str, lines[0].cells)) if lines else "none"
            raise BadFile(name, Fault("", f"has no column {' or '.join(map(repr, group))}; its columns are {have}"))
    for line in lines:
        yield Line(line.place, {names[_plain(key)]: cell for key, cell in line.cells.items() if _plain(key) in names})


def _plain(column: str) -> str:
    return column.strip().lower().replace(" ", "_")


def _objects(name: str, text: str) -> list[Line]:
    try:
        content: object = json.loads(text)
    except json.JSONDecodeError as fault:
        raise BadFile(name, Fault("", f"is not valid JSON: {fault}")) from None
    if isinstance(content, dict):
        whole = cast("dict[str, object]", content)
        # The answer of days from weather has its weeks in a record.
        record = whole.get("record", whole)
        content = cast("dict[str, object]", record).get("weeks") if isinstance(record, dict) else record
    if not isinstance(content, list):
        raise BadFile(name, Fault("", 'must hold a list, or an object with "weeks" or "record"'))
    rows = cast("list[object]", content)
    for at, row in enumerate(rows):
        if not isinstance(row, dict):
            raise BadFile(name, Fault(f"[{at}]", "must be an object"))
    return [Line(f"[{at}]", cast("dict[str, object]", row)) for at, row in enumerate(rows)]


def _rows(name: str, text: str) -> list[Line]:
    head = text.lstrip().splitlines()[0]
    delimiter = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(text.lstrip()), delimiter=delimiter)
    header = next(reader)
    lines: list[Line] = []
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) != len(header):
            told = f"has {len(cells)} cells, the header names {len(header)}: {', '.join(header)}"
            raise BadFile(name, Fault(f"line {reader.line_num}", told))
        decimal = [cell.replace(",", ".") for cell in cells] if delimiter != "," else cells
        lines.append(Line(f"line {reader.line_num}", dict(zip(header, decimal, strict=True))))
    return lines


class Cells:
    """The cells of a line, read one by one; what is amiss goes to the faults."""

    def __init__(self, line: Line, faults: list[Fault]) -> None:
        self._line = line
        self.faults = faults

    def fault(self, column: str, detail: str) -> None:
        """Note what is amiss with a cell."""
        self.faults.append(Fault(f"{self._line.place}, {column}", detail))

    def number(self, column: str, least: float, most: float) -> float | None:
        """Return a number; None where the cell is empty, or a fault was noted."""
        return self._read(column, float, lambda value: least <= value <= most, f"a number from {least:g} to {most:g}")

    def days(self, column: str) -> float | None:
        """Return the days of a week; None where the cell is empty, or a fault was noted."""
        expected = "the suitable days of the week, from 0 to 7 (days, not hours)"
        return self._read(column, float, lambda value: 0.0 <= value <= 7.0, expected)

    def whole(self, column: str, least: int, most: int) -> int | None:
        """Return a whole number; None where the cell is empty, or a fault was noted."""
        return self._read(column, _whole, lambda value: least <= value <= most, f"a whole number, {least} to {most}")

    def date(self, column: str) -> datetime.date | None:
        """Return a date; None where the cell is empty, or a fault was noted."""
        return self._read(
            column, lambda text: datetime.date.fromisoformat(text[:10]), lambda _: True, "a date such as 2024-10-20"
        )

    def _read(self, column: str, convert: Callable[[str], Any], fits: Callable[[Any], bool], expected: str) -> Any:
        cell = self._line.cells.get(column)
        text = "" if cell is None else str(cell).strip()
        if text.lower() in _EMPTY:
            return None
        try:
            value = convert(text)
        except ValueError:
            value = None
        if value is None or not fits(value):
            self.fault(column, f"is {text!r}; give {expected}")
            return None
        return value


def _whole(text: str) -> int:
    value = float(text)
    if not value.is_integer():
        raise ValueError(text)
    return int(value)
