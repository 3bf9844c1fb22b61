"""The plan of a season as a calendar and in columns, for people."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from drawbar._sheets import about_lines, short
from drawbar._text import columns, wrapped
from drawbar.models import (
    CalendarLine,
    FinishOdds,
    NeighborAnswer,
    Reading,
    SeasonAnswer,
    SeasonCost,
    SeasonOutcome,
    SeasonYears,
    TaskAnswer,
)
from drawbar.quantities import rounded

_INDENT: Final = "  "
_DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MOST_YEARS: Final = 6
"""Recorded years that are shown, the worst first."""


def season_sheet(answer: SeasonAnswer, place: Callable[[str], str], width: int) -> list[str]:
    """Say a season's plan, the verdict first.

    Parameters
    ----------
    answer
        The answer.
    place
        Says where in the file the value of a JSON Pointer stands.
    width
        Longest line.
    """
    lines = wrapped(answer.verdict.summary, width)
    for relaxation in answer.relax:
        first, *rest = wrapped(relaxation.detail, width, "    ")
        lines += [f"  - {first.lstrip()}", *rest]
    lines += _calendar(answer, width)
    lines += _tasks(answer.tasks, recorded=answer.years is not None, width=width)
    late = any(one.extra_hour_saves is not None for one in answer.resources)
    lines += _table(
        "Machines and people in the window",
        ("", "at work", "spare", "used", *(("an hour more a day saves",) if late else ())),
        (
            (
                one.name,
                _hours(one.used),
                _hours(one.spare),
                short(one.use),
                *((short(one.extra_hour_saves),) if late else ()),
            )
            for one in answer.resources
        ),
        width,
    )
    odds = _odds(answer.odds) + _frost(answer.years) + _neighbors(answer.neighbors)
    lines += ["", "Odds and cost", *columns(odds + _cost(answer.cost), width, indent=_INDENT)]
    if answer.years is not None:
        lines += _years(answer.years, width)
    lines += _table(
        "Left out, because a limit is broken by the central figures",
        ("work", "pair", "on", "why"),
        (
            (one.work, f"{one.implement} behind {one.tractor}", ", ".join(one.fields), _first_sentence(one.why))
            for one in answer.pairings
            if not one.fits
        ),
        width,
    )
    lines += ["", *wrapped(_search(answer), width)]
    return lines + about_lines(answer.about, place, width)


_WHOLE: Final = 99.99
"""Percent of a task from which it counts as planned whole."""


def written(day: str) -> str:
    """Return a date by ISO 8601 as people write it: Mon 6 Sep."""
    date = dt.date.fromisoformat(day)
    return f"{_DAYS[date.weekday()]} {date.day} {_MONTHS[date.month - 1]}"


def _calendar(answer: SeasonAnswer, width: int) -> list[str]:
    """Return the plan by day: one line for each tractor with its driver."""
    rows: list[tuple[str, str, str, str]] = []
    for day in answer.calendar:
        named = day.day + (" *" if day.beyond_window else "")
        for line in day.lines:
            rows.append((named, f"{line.tractor} ({', '.join(line.operators)})", _hours(line.hours), _does(line)))
            named = ""
    head = "Calendar, in expected hours"
    if any(day.beyond_window for day in answer.calendar):
        head += "; * after the window"
    return _table(head, ("day", "tractor and driver", "hours", "work"), rows, width)


def _does(line: CalendarLine) -> str:
    """Return what a tractor does on a day: the work, the fields in turn, with what."""
    text = f"{' and '.join(line.works)}: {', then '.join(line.fields)}; {', then '.join(line.implements)}"
    if line.finished:
        text += f"; done: {', '.join(line.finished)}" if line.finished != line.fields else "; done"
    if line.moving.value >= _A_MOVE:
        text += f"; {_hours(line.moving)} on the road"
    return text


_A_MOVE: Final = 0.05
"""Hours on the road that are worth a word."""


def _tasks(tasks: Sequence[TaskAnswer], *, recorded: bool, width: int) -> list[str]:
    """Return each work on each field; with a record also by when it is done in how many years."""

    def done(task: TaskAnswer) -> str:
        if task.finishes is None or task.planned.value <= _WHOLE:
            return f"{short(task.planned)} only"
        return written(task.finishes) + (" *" if task.beyond_window else "")

    def row(task: TaskAnswer) -> tuple[str, ...]:
        late = f"{rounded(task.days_late)} d" if task.days_late else "-"
        chance = _chance(task.odds) if task.odds is not None else "-"
        if not recorded:
            return (task.work, task.field, short(task.area), done(task), written(task.due), late, chance)
        likely = _in_short(task.likely) if task.likely is not None else "-"
        return (task.work, task.field, done(task), _in_short(task.due), late, likely, chance)

    header = (
        ("area", "done", "due", "late", "in time") if not recorded else ("done", "due", "late", "4 in 5", "in time")
    )
    head = "Work, field by field" + ("; 4 in 5: done by then in 4 of 5 recorded years" if recorded else "")
    return _table(head, ("work", "field", *header), (row(task) for task in tasks), width)


def _in_short(day: str) -> str:
    return written(day).partition(" ")[2]


def _years(years: SeasonYears, width: int) -> list[str]:
    """Return what the plan comes to over recorded years."""
    lines = ["", "Over the recorded years", *wrapped(years.summary, width, _INDENT)]
    lines += _table(
        "The worst of them",
        ("year", "suitable days", "all done", "days late", "cost", "lost"),
        (
            (
                str(year.year),
                f"{year.suitable:.1f}",
                written(year.finishes) if year.finishes is not None else "not by then",
                rounded(year.days_late) if year.days_late else "-",
                _money(year.cost),
                _money(year.lost),
            )
            for year in years.by_year[:_MOST_YEARS]
        ),
        width,
    )
    for lever in years.levers:
        first, *rest = wrapped(lever.detail, width, "    ")
        lines += [*(["", "What would change it"] if lever is years.levers[0] else []), f"  - {first.lstrip()}", *rest]
    if years.alternatives:
        compared = [("as it is", years.outcome), *((one.name, one.outcome) for one in years.alternatives)]
        lines += _table(
            "Side by side, by the year",
            ("", "in time", "days late", "worst", "cost", "lost", "fixed", "in all", "worst"),
            (_outcome(name, outcome) for name, outcome in compared),
            width,
        )
    return lines


def _outcome(name: str, outcome: SeasonOutcome | None) -> tuple[str, ...]:
    if outcome is None:
        return (name, "not all of it can be planned", *("",) * 7)
    return (
        name,
        short(outcome.in_time),
        rounded(outcome.days_late),
        rounded(outcome.worst_days_late),
        _money(outcome.cost),
        _money(outcome.lost),
        _money(outcome.yearly_cost),
        _money(outcome.total),
        _money(outcome.worst_total),
    )


def _table(head: str, header: Sequence[str], rows: Iterable[Sequence[str]], width: int) -> list[str]:
    body = list(rows)
    return ["", head, *columns(body, width, header=header, indent=_INDENT)] if body else []


def _hours(time: Reading) -> str:
    return f"{time.value:.1f} {time.unit}"


def _chance(share: Reading) -> str:
    return f"{int(share.value + 1e-9)} in 100"


def _odds(odds: FinishOdds | None) -> list[tuple[str, str]]:
    if odds is None:
        return [("odds", "not known: some work is not in the plan")]
    return [
        (
            "chance to finish",
            f"{_chance(odds.finish)}: the plan takes {odds.needed:.1f} suitable days, {odds.expected:.1f} are expected",
        ),
        (
            "at the very best",
            f"{_chance(odds.finish_at_best)}: the busiest is at work for {odds.least_needed:.1f} of them",
        ),
    ]


def _frost(years: SeasonYears | None) -> list[tuple[str, str]]:
    if years is None or years.before_freeze_up is None:
        return []
    return [("before it freezes", f"{_chance(years.before_freeze_up)} to be done")]


def _neighbors(shared: Sequence[NeighborAnswer]) -> list[tuple[str, str]]:
    """Return when machines that neighbors need are back."""
    rows: list[tuple[str, str]] = []
    for one in shared:
        text = f"back {written(one.back)}" if one.back is not None else "not back as far as is known"
        if one.likely is not None:
            text += f", in 4 of 5 years by {_in_short(one.likely)}"
        if one.in_time is not None:
            text += f"; the neighbor is done in time in {_chance(one.in_time)}"
        rows.append((f"{one.name}, shared", text))
    return rows


def _cost(cost: SeasonCost) -> list[tuple[str, str]]:
    fuel = short(cost.fuel) + (f", {_money(cost.for_fuel)}" if cost.for_fuel is not None else "")
    rows = [("fuel", fuel)]
    if cost.total.value > 0.0:
        rows += [("people", _money(cost.for_labor)), ("machines", _money(cost.for_machines))]
        rows.append(("in all", _money(cost.total)))
    else:
        rows.append(("money", "no prices given"))
    if cost.lost_by_lateness is not None and cost.lost_by_lateness.value > 0.0:
        rows.append(("lost by lateness", _money(cost.lost_by_lateness)))
    return rows


def _money(amount: Reading) -> str:
    return f"{amount.value:,.0f}"


def _first_sentence(text: str) -> str:
    return text.partition(" To hold")[0].partition(". ")[0].rstrip(".")


def _search(answer: SeasonAnswer) -> str:
    search = answer.search
    weighed = f"{search.choices} ways to do the work were weighed"
    if search.proven:
        return f"{weighed}; no plan is better by a thousandth."
    late = f"{rounded(search.lateness_gap_days)} days late in the mean" if search.lateness_gap_days else "nothing"
    return f"{weighed}; the best plan may be less late by {late}, and cheaper by {short(search.cost_gap)} at most."
