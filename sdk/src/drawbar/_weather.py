"""Files of daily weather, as a request for days from weather."""

from __future__ import annotations

import datetime
from itertools import pairwise
from typing import Any, Final

from drawbar._farm import BadFile, Case, Table
from drawbar._record import Cells, lines_of
from drawbar.errors import Fault

_LONGEST_GAP: Final = 31
"""Days without a line that are filled with unknown figures; a longer gap is a fault."""
_NAMES: Final = {
    "day": "date",
    "date": "date",
    "station": "station",
    "high": "high_c",
    "high_c": "high_c",
    "high_f": "high_f",
    "low": "low_c",
    "low_c": "low_c",
    "low_f": "low_f",
    "rain": "rain_mm",
    "rain_mm": "rain_mm",
    "precip_mm": "rain_mm",
    "rain_in": "rain_in",
    "precip_in": "rain_in",
    "snowdepth_mm": "snow_mm",
    "snow_depth_mm": "snow_mm",
    "snowdepth_cm": "snow_cm",
    "snow_depth_cm": "snow_cm",
    "snowdepth_in": "snow_in",
    "snow_depth_in": "snow_in",
}
"""What a column may be called, and what it is; its end names the unit."""
_SCALES: Final = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_SNOW_LIMIT: Final = 20_000.0
_RAIN_LIMIT: Final = 2_000.0


def weather_case(name: str, station: str | None, **members: Any) -> Case:
    """Put daily weather from a file together as a request.

    Parameters
    ----------
    name
        CSV or JSON file with a day for each line: date, high, low and rain, with units in the names of its columns.
    station
        Which station, where the file has several.
    members
        Further members of the request; those that are None are left out.

    Raises
    ------
    BadFile
        If something in it is amiss; each fault names its line.
    """
    faults: list[Fault] = []
    days: dict[datetime.date, tuple[Table, str]] = {}
    stations: dict[str, str] = {}
    needed = [("date",), ("high_c", "high_f"), ("low_c", "low_f"), ("rain_mm", "rain_in")]
    for line in lines_of(name, _NAMES, needed=needed):
        of = str(line.cells.get("station") or "")
        stations.setdefault(of, line.place)
        if station is not None and of != station:
            continue
        cells, before = Cells(line, faults), len(faults)
        date = cells.date("date")
        if date is None:
            if len(faults) == before:
                cells.fault("date", "is missing; each line is a day")
            continue
        if date in days and (station is not None or len(stations) == 1):
            faults.append(Fault(line.place, f"{date} stands in {days[date][1]} too; give each day once"))
        days[date] = (_figures(cells), line.place)
    if station is not None and station not in stations:
        faults.append(Fault("--station", f"there is no station {station!r}; there are {', '.join(stations)}"))
    elif station is None and len(stations) > 1:
        faults = [Fault("--station", f"say which; the file has {', '.join(stations)}")]
    if not days and not faults:
        faults.append(Fault("", "has no day"))
    if faults:
        raise BadFile(name, *faults[:20])
    return _laid_out(name, days, {key: value for key, value in members.items() if value is not None})


def _figures(cells: Cells) -> Table:
    found: Table = {}
    for member in ("high", "low"):
        celsius, fahrenheit = cells.number(f"{member}_c", -90.0, 70.0), cells.number(f"{member}_f", -130.0, 158.0)
        found[member] = celsius if fahrenheit is None else round((fahrenheit - 32.0) / 1.8, 2)
    for member, limit in (("rain", _RAIN_LIMIT), ("snow", _SNOW_LIMIT)):
        found[member] = None
        for unit, scale in _SCALES.items():
            value = cells.number(f"{member}_{unit}", 0.0, limit / scale)
            if value is not None:
                found[member] = round(value * scale, 2)
    return found


def _laid_out(name: str, days: dict[datetime.date, tuple[Table, str]], members: Table) -> Case:
    """Lay the days out one after the other, with unknown figures where a day has no line."""
    dates = sorted(days)
    for before, after in pairwise(dates):
        if (after - before).days > _LONGEST_GAP:
            told = f"no line for the days from {before} to {after}; give the weather of every day"
            raise BadFile(name, Fault(days[after][1], told))
    every = [dates[0] + datetime.timedelta(day) for day in range((dates[-1] - dates[0]).days + 1)]
    columns = {
        member: [days[date][0][member] if date in days else None for date in every]
        for member in ("rain", "high", "low", "snow")
    }
    snow = columns.pop("snow")
    body: Table = {"first": every[0].isoformat(), **columns, **members}
    if any(one is not None for one in snow):
        body["snow_depth"] = snow
    places = {
        f"/{member}/{at}": f"{name}, {days[date][1]}"
        for member in ("rain", "high", "low", "snow_depth")
        for at, date in enumerate(every)
        if date in days
    }
    return Case("", body, places, {})
