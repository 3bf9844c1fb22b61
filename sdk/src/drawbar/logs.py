"""What machines log, against what a match says: totals of a task read, turned into runs, and predictions scored.

Task data of ISO 11783-10 (``TASKDATA.XML``), CSV and Parquet. Nothing of a file is run or fetched: XML with a document
type or an entity of its own is refused.

>>> from drawbar import logs
>>> works = logs.read("TASKDATA.XML")  # doctest: +SKIP
>>> client.calibration(job | {"runs": logs.runs(works)})  # doctest: +SKIP
>>> logs.score(client, job, works).fuel_rate.crps  # doctest: +SKIP
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from statistics import NormalDist, fmean
from typing import Any, Final, cast
from xml.parsers import expat

from drawbar import plots
from drawbar._columns import split_name
from drawbar._libraries import library
from drawbar.client import Client

MOST_RUNS: Final = 50
"""Runs that one calibration takes."""
MOST_BYTES: Final = 64_000_000
"""Largest XML file that is read."""
_DEEPEST: Final = 32
_END_SCORE: Final = 1.6448536269514722
"""Standard normal score of the low and high end of an answer: 5 in 100 lie beyond each."""
TOTALS: Final[Mapping[int, tuple[str, float]]] = {
    116: ("area", 1.0),
    117: ("distance", 1e-3),
    119: ("time", 1.0),
    148: ("all_fuel", 1e-6),
    316: ("fuel", 1e-6),
    67: ("width", 1e-3),
}
"""Data elements of ISO 11783-11 by number: what they are here, and the SI value of one. 116 total area [m^2], 117 and
119 effective distance [mm] and time [s], 148 and 316 total and effective fuel [mL], 67 actual working width [mm]."""
_COLUMNS: Final[Mapping[str, Mapping[str, float]]] = {
    "area": {"m2": 1.0, "ha": 1e4, "ac": 4046.8564224},
    "distance": {"m": 1.0, "km": 1e3, "mi": 1609.344},
    "time": {"s": 1.0, "min": 60.0, "h": 3600.0},
    "fuel": {"L": 1e-3, "m3": 1.0, "gal": 3.785411784e-3},
    "speed": {"km/h": 1.0 / 3.6, "m/s": 1.0, "mph": 0.44704},
    "width": {"m": 1.0, "ft": 0.3048},
    "depth": {"cm": 0.01, "m": 1.0, "in": 0.0254},
    "fuel_rate": {"L/h": 1e-3 / 3600.0, "m3/s": 1.0, "gal/h": 3.785411784e-3 / 3600.0},
    "pull": {"kN": 1e3, "N": 1.0, "lbf": 4.4482216152605},
    "slip": {"%": 0.01, "1": 1.0},
    "engine_load": {"%": 0.01, "1": 1.0},
}
"""Columns of a table, and the SI value of each unit they may have."""
_NAMES: Final = ("machine", "field", "task")
"""Columns of a table that hold text."""


class BadLog(ValueError):  # noqa: N818 - it names the file
    """A log cannot be read; the message says why."""


@dataclass(frozen=True)
class Work:
    """What was logged of one task: in SI units, None where it was not."""

    machine: str = ""
    field: str = ""
    task: str = ""
    time: float | None = None
    """At work [s]"""
    distance: float | None = None
    """At work [m]"""
    area: float | None = None
    """[m^2]"""
    fuel: float | None = None
    """At work [m^3]"""
    width: float | None = None
    """[m]"""
    speed: float | None = None
    """[m/s]"""
    depth: float | None = None
    """[m]"""
    rate: float | None = None
    """Fuel rate, where it was measured as such [m^3/s]"""
    pull: float | None = None
    """[N]"""
    slip: float | None = None
    """[1]"""
    engine_load: float | None = None
    """Over rated PTO power [1]"""

    @property
    def ground_speed(self) -> float | None:
        """Mean speed at work [m/s]: logged, or distance over time."""
        return self.speed if self.speed is not None else _over(self.distance, self.time)

    @property
    def fuel_rate(self) -> float | None:
        """Fuel rate at work [m^3/s]: measured, or fuel over time."""
        return self.rate if self.rate is not None else _over(self.fuel, self.time)

    @property
    def teaches(self) -> bool:
        """Whether a calibration can learn from it: its speed is known, and one of fuel rate, pull, slip and load."""
        measured = (self.fuel_rate, self.pull, self.slip, self.engine_load)
        return bool(self.ground_speed) and any(measured)

    @property
    def capacity(self) -> float | None:
        """Area over the time at work [m^2/s]."""
        return _over(self.area, self.time)


def _over(part: float | None, whole: float | None) -> float | None:
    return part / whole if part is not None and whole else None


def read(path: str | Path) -> list[Work]:
    """Read a log: task data in XML, CSV or Parquet.

    Parameters
    ----------
    path
        Its ending says which it is. Tables have columns `machine`, `field` and `task`, and with units any of
        `time [h]`, `distance [km]`, `area [ha]`, `fuel [L]`, `speed [km/h]` and `width [m]`, all of the time at work;
        and what a run of a calibration measures: `fuel_rate [L/h]`, `pull [kN]`, `slip [%]`, `engine_load [%]` and
        `depth [cm]`. :func:`unread` names the others.

    Raises
    ------
    BadLog
        If it is none of these, or holds no work.
    """
    file = Path(path)
    kind = file.suffix.lower()
    if kind == ".xml":
        found = list(_task_data(file))
    elif kind == ".parquet":
        found = list(_rows(file.name, library("pyarrow.parquet", "files").read_table(file).to_pylist()))
    elif kind == ".csv":
        with file.open(encoding="utf-8-sig", newline="") as opened:
            found = list(_rows(file.name, csv.DictReader(opened)))
    else:
        raise BadLog(f"{file.name} is none of .xml (task data), .csv and .parquet.")
    if not found:
        raise BadLog(f"{file.name} holds no work.")
    return found


def unread(path: str | Path) -> list[str]:
    """Return the columns of a table that :func:`read` passes over; none of task data.

    Parameters
    ----------
    path
        As for :func:`read`, which has read it.
    """
    file = Path(path)
    if file.suffix.lower() == ".parquet":
        names: Sequence[str] = library("pyarrow.parquet", "files").read_schema(file).names
    elif file.suffix.lower() == ".csv":
        with file.open(encoding="utf-8-sig", newline="") as opened:
            names = next(csv.reader(opened), [""])
    else:
        return []
    return [name for name in names if _column(name)[0] not in ("", *_NAMES, *_COLUMNS)]


def what_is_missing(path: str | Path) -> str:
    """Return why no run could be made of a table, or of task data: a sentence.

    Parameters
    ----------
    path
        As for :func:`read`, which has read it.
    """
    passed = unread(path)
    return (
        "no row has a speed, or distance and time, and with it fuel and time, fuel_rate, pull, slip or engine_load"
        + (f"; not read: {', '.join(passed)}" if passed else "")
        + f". Columns are {', '.join(_NAMES)}, and with their units "
        + ", ".join(f"{name} [{next(iter(units))}]" for name, units in _COLUMNS.items())
    )


def by_machine_and_field(works: Iterable[Work]) -> dict[tuple[str, str], list[Work]]:
    """Return works by the machine and the field they are of, in their order.

    Parameters
    ----------
    works
        As :func:`read` gives them.
    """
    found: dict[tuple[str, str], list[Work]] = {}
    for one in works:
        found.setdefault((one.machine, one.field), []).append(one)
    return found


def runs(works: Sequence[Work], *, fuel_error: str | None = None, named: bool = False) -> list[dict[str, str]]:
    """Return works as the runs of a calibration: speed of each and what was measured in it, at most 50 of them.

    Parameters
    ----------
    works
        As :func:`read` gives them. Those that teach nothing are left out; of too many, neighbours are put together.
    fuel_error
        Relative error of the logged fuel, such as "5 %"; None for the usual one.
    named
        Whether runs name their machine and field, so that each is learned from with the others; only works of the same
        ones are then put together.

    Raises
    ------
    BadLog
        If there are more machines and fields than a calibration takes runs.
    """
    known = [one for one in works if one.teaches]
    groups = by_machine_and_field(known) if named else {("", ""): known}
    if len(groups) > MOST_RUNS:
        raise BadLog(f"{len(groups)} machines and fields; a calibration takes {MOST_RUNS} runs: choose some of them.")
    size = 1
    while sum(math.ceil(len(group) / size) for group in groups.values()) > MOST_RUNS:
        size += 1
    error = {} if fuel_error is None else {"fuel_rate_error": fuel_error}
    return [
        {name: of for name, of in (("machine", machine), ("field", place)) if of}
        | _mean_run(group[at : at + size])
        | error
        for (machine, place), group in groups.items()
        for at in range(0, len(group), size)
    ]


_MEASURED: Final[Mapping[str, tuple[str, float]]] = {
    "depth": ("cm", 0.01),
    "pull": ("kN", 1e3),
    "slip": ("%", 0.01),
    "fuel_rate": ("L/h", 1e-3 / 3600.0),
    "engine_load": ("%", 0.01),
}
"""What a run may hold beside its speed: its unit there, and the SI value of one."""


def _mean_run(works: Sequence[Work]) -> dict[str, str]:
    run = {"speed": f"{fmean(one.ground_speed or 0.0 for one in works) * 3.6:.6g} km/h"}
    for name, (unit, one_si) in _MEASURED.items():
        values: list[float] = [value for one in works if (value := getattr(one, name)) is not None]
        if values:
            run[name] = f"{fmean(values) / one_si:.6g} {unit}"
    return run


@dataclass(frozen=True)
class Score:
    """How good predictions of one quantity were.

    Parameters
    ----------
    count
        Works that could be compared.
    bias
        Mean of predicted over logged, less 1 [1].
    inside
        Share of logged values between low and high of the answer, which is meant to be 9 in 10 [1].
    crps
        Mean continuous ranked probability score, in the unit; of a prediction without spread the mean absolute error.
    crps_of_central
        The same if the central figure alone had been given: what the range is worth.
    unit
        Of both.
    """

    count: int
    bias: float
    inside: float
    crps: float
    crps_of_central: float
    unit: str


@dataclass(frozen=True)
class Feedback:
    """Logged work against what a match says of it."""

    fuel_rate: Score
    predicted: list[tuple[float, float, float]] = field(repr=False)
    """Central, low and high fuel rate of each work that was compared [L/h]."""
    logged: list[float] = field(repr=False)
    """[L/h]"""

    def plot(self, ax: plots.Axes | None = None) -> plots.Axes:
        """Draw predicted fuel with its range against logged fuel. Needs `pip install './sdk[plot]'`.

        Parameters
        ----------
        ax
            Axes to draw on; None for new ones.
        """
        return plots.against({"fuel": (self.predicted, self.logged)}, f"fuel [{self.fuel_rate.unit}]", ax)


def score(client: Client, job: Mapping[str, Any], works: Sequence[Work]) -> Feedback:
    """Hold logged fuel against what a match says at the logged speed.

    Parameters
    ----------
    client
        Who is asked.
    job
        A match request without speed.
    works
        As :func:`read` gives them; those without speed or fuel are left out.

    Raises
    ------
    BadLog
        If no work can be compared.
    """
    pairs = [(speed, fuel) for one in works if (speed := one.ground_speed) and (fuel := one.fuel_rate)]
    columns = ["/fuel/rate", "/fuel/rate/low", "/fuel/rate/high"]
    if not pairs:
        raise BadLog("No work has both speed and fuel.")
    speeds = [speed * 3.6 for speed, _ in pairs]
    answer = client.batch("match", job, {"/speed": ("km/h", speeds)}, columns=columns, units="metric")
    predicted: list[tuple[float, float, float]] = []
    logged: list[float] = []
    for at, (_, fuel) in enumerate(pairs):
        central, low, high = (cast("float | None", answer.columns[name][at]) for name in columns)
        if central is not None and low is not None and high is not None:
            predicted.append((central, low, high))
            logged.append(fuel * 3.6e6)
    if not logged:
        raise BadLog("The match gives no fuel at any of these speeds.")
    return Feedback(_scored(predicted, logged, answer.units["/fuel/rate"]), predicted, logged)


def _scored(predicted: Sequence[tuple[float, float, float]], logged: Sequence[float], unit: str) -> Score:
    pairs = list(zip(predicted, logged, strict=True))
    return Score(
        len(pairs),
        fmean(central / value for (central, _, _), value in pairs) - 1.0,
        fmean(low <= value <= high for (_, low, high), value in pairs),
        fmean(crps(value, central, math.log(high / low) / (2.0 * _END_SCORE)) for (central, low, high), value in pairs),
        fmean(abs(central - value) for (central, _, _), value in pairs),
        unit,
    )


def crps(value: float, median: float, sigma: float) -> float:
    """Return the continuous ranked probability score of a log-normal prediction, in the unit of the value.

    Parameters
    ----------
    value
        What came, above 0.
    median
        Of the prediction, in the same unit.
    sigma
        Standard deviation of its logarithm [1]; 0 for a prediction without spread.

    Notes
    -----
    y (2 F(w) - 1) - 2 m exp(s^2/2) (F(w - s) + F(s/sqrt 2) - 1), w = ln(y/m)/s, F of the standard normal
    (Baran and Lerch 2015; from memory).
    """
    if sigma <= 0.0:
        return abs(value - median)
    below = NormalDist().cdf
    w = math.log(value / median) / sigma
    mean = median * math.exp(0.5 * sigma * sigma)
    return value * (2.0 * below(w) - 1.0) - 2.0 * mean * (below(w - sigma) + below(sigma / math.sqrt(2.0)) - 1.0)


# ---- tables


def _column(heading: str) -> tuple[str, str | None]:
    """Return the name of a column as it is read, and its unit."""
    name, unit = split_name(heading or "")
    return name.strip().lower(), unit


def _rows(name: str, rows: Iterable[Mapping[str, Any]]) -> Iterator[Work]:
    for number, row in enumerate(rows, 1):
        if number == 1 and len(row) == 1 and ";" in next(iter(row)):
            raise BadLog(f"{name}: its columns are separated by ;, but a comma belongs there, and a point in numbers.")
        found: dict[str, Any] = {}
        for heading, cell in row.items():
            column, unit = _column(heading)
            if column in _NAMES:
                found[column] = "" if cell is None else str(cell).strip()
            elif column in _COLUMNS:
                place = f"{name}, row {number}, {heading}"
                found["rate" if column == "fuel_rate" else column] = _quantity(cell, column, unit, place)
        yield Work(**found)


def _quantity(cell: object, column: str, unit: str | None, place: str) -> float | None:
    units = _COLUMNS[column]
    if unit not in units:
        raise BadLog(f"{place}: the unit belongs into the name, such as '{column} [{next(iter(units))}]'.")
    if cell is None or cell == "":
        return None
    try:
        value = float(cast("str", cell))
    except ValueError as fault:
        raise BadLog(f"{place}: {cell!r} is no number.") from fault
    if not math.isfinite(value) or value < 0.0:
        raise BadLog(f"{place}: {value:g} is no {column}.")
    return value * units[unit]


# ---- task data


class _Task:
    """A task while it is read."""

    def __init__(self, attributes: Mapping[str, str]) -> None:
        self.name = attributes.get("B") or attributes.get("A", "")
        self.field = attributes.get("E", "")
        self.machine = ""
        self.totals: dict[int, float] = {}


class _Reader:
    """Gathers tasks, and the names of the fields and machines they refer to."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._depth = 0
        self._names: dict[str, str] = {}
        self._task: _Task | None = None
        self.tasks: list[_Task] = []

    def start(self, element: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        if self._depth > _DEEPEST:
            raise BadLog(f"{self._name} is nested too deep.")
        if element == "PFD":
            self._names[attributes.get("A", "")] = attributes.get("C", "")
        elif element == "DVC":
            self._names[attributes.get("A", "")] = attributes.get("B", "")
        elif element == "TSK":
            self._task = _Task(attributes)
            self.tasks.append(self._task)
        elif self._task is not None and element == "DAN":
            self._task.machine = self._task.machine or attributes.get("C", "")
        elif self._task is not None and element == "DLV":
            self._value(self._task, attributes)

    def end(self, element: str) -> None:
        self._depth -= 1
        if element == "TSK":
            self._task = None

    def _value(self, task: _Task, attributes: Mapping[str, str]) -> None:
        try:
            number, value = int(attributes["A"], 16), float(attributes["B"])
        except (KeyError, ValueError) as fault:
            raise BadLog(f"{self._name}: task {task.name!r} has a value that is none: {dict(attributes)}.") from fault
        if number in TOTALS and math.isfinite(value) and value >= 0.0:
            # Totals of a task only rise, so the greatest is the last.
            task.totals[number] = max(value, task.totals.get(number, 0.0))

    def work(self, task: _Task) -> Work:
        """Return what a task came to."""
        found = {TOTALS[number][0]: TOTALS[number][1] * value for number, value in task.totals.items()}
        # Where effective fuel is not told apart, all of it counts.
        everything = found.pop("all_fuel", None)
        if everything is not None:
            found.setdefault("fuel", everything)
        machine, place = (self._names.get(one, one) for one in (task.machine, task.field))
        return Work(machine, place, task.name, **cast("dict[str, Any]", found))


def _task_data(file: Path) -> Iterator[Work]:
    content = file.read_bytes()
    if len(content) > MOST_BYTES:
        raise BadLog(f"{file.name} is larger than {MOST_BYTES // 1_000_000} MB.")
    reader, parser = _Reader(file.name), expat.ParserCreate()

    def refuse(*_: object) -> None:
        raise BadLog(f"{file.name} has a document type or an entity of its own, which task data have not.")

    parser.StartElementHandler, parser.EndElementHandler = reader.start, reader.end
    for name in ("StartDoctypeDeclHandler", "EntityDeclHandler", "ExternalEntityRefHandler"):
        setattr(parser, name, cast("Callable[..., None]", refuse))
    try:
        parser.Parse(content, True)
    except expat.ExpatError as fault:
        raise BadLog(f"{file.name} is no XML: {fault}.") from fault
    for task in reader.tasks:
        if task.totals:
            yield reader.work(task)
