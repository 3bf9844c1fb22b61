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
}
"""Columns of a table, and the SI value of each unit they may have."""


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

    @property
    def ground_speed(self) -> float | None:
        """Mean speed at work [m/s]: logged, or distance over time."""
        return self.speed if self.speed is not None else _over(self.distance, self.time)

    @property
    def fuel_rate(self) -> float | None:
        """Fuel at work over the time at work [m^3/s]."""
        return _over(self.fuel, self.time)

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
        `time [h]`, `distance [km]`, `area [ha]`, `fuel [L]`, `speed [km/h]` and `width [m]`, all of the time at work.

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
    """Return works as the runs of a calibration: speed and fuel rate of each, at most 50 of them.

    Parameters
    ----------
    works
        As :func:`read` gives them. Those without speed or fuel are left out; of too many, neighbours are put together.
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
    known = [one for one in works if one.ground_speed and one.fuel_rate]
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


def _mean_run(works: Sequence[Work]) -> dict[str, str]:
    speed = fmean(one.ground_speed or 0.0 for one in works)
    fuel = fmean(one.fuel_rate or 0.0 for one in works)
    return {"speed": f"{speed * 3.6:.6g} km/h", "fuel_rate": f"{fuel * 3.6e6:.6g} L/h"}


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


def _rows(name: str, rows: Iterable[Mapping[str, Any]]) -> Iterator[Work]:
    for number, row in enumerate(rows, 1):
        found: dict[str, Any] = {}
        for heading, cell in row.items():
            column, unit = split_name(heading or "")
            if column in ("machine", "field", "task"):
                found[column] = "" if cell is None else str(cell)
            elif column in _COLUMNS:
                found[column] = _quantity(cell, column, unit, f"{name}, row {number}, {heading}")
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
