"""The plan of a season in words and columns, for people."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Final

from drawbar._sheets import about_lines, short
from drawbar._text import columns, wrapped
from drawbar.models import FinishOdds, Reading, SeasonAnswer, SeasonCost
from drawbar.quantities import rounded

_INDENT: Final = "  "


def season_sheet(answer: SeasonAnswer, place: Callable[[str], str], width: int) -> list[str]:
    """Tell a season's plan, the verdict first.

    Parameters
    ----------
    answer
        The answer.
    place
        Tells where in the file the value of a JSON Pointer stands.
    width
        Longest line.
    """
    lines = wrapped(answer.verdict.summary, width)
    for relaxation in answer.relax:
        first, *rest = wrapped(relaxation.detail, width, "    ")
        lines += [f"  - {first.lstrip()}", *rest]
    several = any(row.days > 1 for row in answer.plan)
    lines += _table(
        "Plan" + (f"; a row stands for {answer.search.period_days} days from its date" if several else ""),
        ("date", "tractor", "implement", "driver", "work", "field", "hours", "area"),
        (
            (
                str(row.date),
                row.tractor,
                row.implement,
                row.operator,
                row.work,
                row.field,
                _hours(row.hours),
                short(row.area),
            )
            for row in answer.plan
        ),
        width,
    )
    lines += _table(
        "Work, field by field",
        ("work", "field", "area", "done", "due", "days late", "in time"),
        (
            (
                task.work,
                task.field,
                short(task.area),
                str(task.finishes) if task.finishes and task.planned.value > _WHOLE else f"{short(task.planned)} only",
                str(task.due),
                rounded(task.days_late) if task.days_late else "-",
                _chance(task.odds) if task.odds is not None else "-",
            )
            for task in answer.tasks
        ),
        width,
    )
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
    lines += ["", "Odds and cost", *columns(_odds(answer.odds) + _cost(answer.cost), width, indent=_INDENT)]
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


def _table(head: str, header: Sequence[str], rows: Iterable[Sequence[str]], width: int) -> list[str]:
    body = list(rows)
    return ["", head, *columns(body, width, header=header, indent=_INDENT)] if body else []


def _hours(time: Reading) -> str:
    return f"{time.value:.1f} {time.unit}"


def _chance(share: Reading) -> str:
    return f"{int(share.value + 1e-9)} in 100"


def _odds(odds: FinishOdds | None) -> list[tuple[str, str]]:
    if odds is None:
        return [("odds", "not told: some work is not in the plan")]
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


def _cost(cost: SeasonCost) -> list[tuple[str, str]]:
    fuel = short(cost.fuel) + (f", {_money(cost.for_fuel)}" if cost.for_fuel is not None else "")
    rows = [("fuel", fuel), ("people", _money(cost.for_labour)), ("machines", _money(cost.for_machines))]
    rows.append(("in all", _money(cost.total)))
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
    return (
        f"{weighed} and time ran out: lateness is at most {short(search.lateness_gap)} above the least, "
        f"cost at most {short(search.cost_gap)}."
    )
