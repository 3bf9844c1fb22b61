"""Write the page of how good the chances of days are: `python tests/published/days.py`, or `--check` to only compare.

Every year is answered from the record of the others. The record is the one that is shipped.
"""

import datetime
import sys
from pathlib import Path
from typing import NamedTuple

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.published.report import table

from drawbar_service.engine.completion import chance_of_days, suitability
from drawbar_service.engine.years import chance_of_years
from drawbar_service.model.days import Past, Record, YearsOfDays, record_of, years_of
from drawbar_service.model.findings import Findings

PAGE = Path(__file__).parent / "DAYS.md"
WEEK = 7
SEASON = range(14, 47)
"""Weeks after which the weeks to come are asked about: those of the record with a week before and one after."""
FIRST_YEAR = 2027
"""Of the windows asked about; a year without records of its own."""


class Shipped(NamedTuple):
    """Which record is asked for."""

    id: str | None = "iowa"
    weeks: None = None
    place: None = None
    own: bool | None = True


def shipped() -> Record:
    found = record_of(Shipped(), Findings(), "/record")
    assert found is not None
    return found


def without(record: Record, year: int) -> Record:
    """The record without what was recorded in a year."""
    left, right = (datetime.date(one, 1, 1).toordinal() - record.first for one in (year, year + 1))
    days, topsoil = record.days.copy(), record.topsoil.copy()
    days[max(left, 0) : right] = topsoil[max(left, 0) : right] = np.nan
    return Record(record.first, days, topsoil)


def monday(week: int) -> datetime.date:
    return datetime.date.fromisocalendar(FIRST_YEAR, week, 1)


def cut(record: Record, week: int, weeks: int) -> tuple[dict[int, float], YearsOfDays] | None:
    """Days of the window in each year that has it, and the window; None where fewer than 12 have it."""
    found = Findings()
    window = years_of(record, None, monday(week), WEEK * weeks, found, "/record")
    if window is None or len(window.years) < 12:
        return None
    return dict(zip(window.years, window.window.tolist(), strict=True)), window


class Scores(NamedTuple):
    """Chances given and what came, in the same order."""

    chances: np.ndarray
    came: np.ndarray

    @property
    def brier(self) -> float:
        return float(np.mean((self.chances - self.came) ** 2))


def last_chance(window: YearsOfDays, need: float) -> float:
    found = chance_of_years(window.totals[:, : window.days], np.array(need), ends=False)
    return float(found.chance[-1])


LENGTHS = (2, 3, 4, 5, 6, 8)
QUANTILES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)


def of_the_record(record: Record) -> tuple[dict[str, Scores], list[float]]:
    """Chances of windows by each way to calculate them, leaving the year out, and distances from the recorded share."""
    given: dict[str, list[float]] = {name: [] for name in ("this service", "recorded share", "binomial", "long period")}
    came, away = [], []
    whole, _ = cut(record, 14, 33) or (None, None)
    # What a user of a mean and a spread would give: those of the whole season, for every window in it.
    season = np.array(list(whole.values())) if whole else np.array([])
    fit = suitability(float(season.mean()), float(season.std(ddof=1)), 33.0 * WEEK)
    for week in range(14, 47, 2):
        for weeks in LENGTHS:
            if week + weeks > 48 or (found := cut(record, week, weeks)) is None:
                continue
            days, window = found
            values = np.array(list(days.values()))
            for quantile in QUANTILES:
                need = float(np.quantile(values, quantile)) - 0.05
                away.append(abs(last_chance(window, need) - float(np.mean(values >= need))))
                for at in range(len(values)):
                    others = np.delete(values, at)
                    left = window._replace(totals=np.delete(window.totals, at, axis=0))
                    share = float(others.mean()) / window.days
                    given["this service"].append(last_chance(left, need))
                    given["recorded share"].append(float(np.mean(others >= need)))
                    given["binomial"].append(chance_of_days(need, float(window.days), share, 0.0))
                    given["long period"].append(chance_of_days(need, float(window.days), fit.share, fit.correlation))
                    came.append(values[at] >= need)
    return {name: Scores(np.array(one), np.array(came, float)) for name, one in given.items()}, away


def of_the_weeks_so_far(record: Record, weeks: int, *, topsoil: bool, only: range = SEASON) -> tuple[Scores, Scores]:
    """Chances of at least the need that a third of years lack, given two past weeks, and those of the record alone."""
    given, plain, came = [], [], []
    for week in only:
        if week + weeks > 47 or (found := cut(record, week + 1, weeks)) is None:
            continue
        days, window = found
        start = window_start = monday(week + 1)
        ends = record.starts(window_start) - 1.0
        last = record.totals(ends, WEEK)
        before = record.totals(ends - WEEK, WEEK)
        moisture = record.topsoil_at(ends)
        for place, year in enumerate(record.years()):
            if year not in days or np.isnan(last[place] + before[place]) or (topsoil and np.isnan(moisture[place])):
                continue
            left = without(record, year)
            past = Past(start.toordinal() - 1, (last[place], before[place]), moisture[place] if topsoil else None)
            others = np.array([value for other, value in days.items() if other != year])
            need = float(np.quantile(others, 1.0 / 3.0))
            moved = years_of(left, past, start, WEEK * weeks, Findings(), "/record")
            assert moved is not None
            if moved.plain is None:
                continue
            given.append(last_chance(moved, need))
            plain.append(float(np.mean(others >= need - 1e-9)))
            came.append(days[year] >= need - 1e-9)
    outcome = np.array(came, float)
    return Scores(np.array(given), outcome), Scores(np.array(plain), outcome)
