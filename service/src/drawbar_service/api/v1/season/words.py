"""The sentences of a season: the plan in short, and what stands in the way of its work."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.dates import MONTHS
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.api.words import say
from drawbar_service.model.pairings import Pairing
from drawbar_service.model.season_plan import Planned, PlannedSeason, Use, least_sure
from drawbar_service.model.season_relax import Obstacle, Relaxation
from drawbar_service.model.season_years import Lever, LeverName
from drawbar_service.quantities import Area, Ratio, Share

if TYPE_CHECKING:
    from drawbar_service.api.v1.season.years import FirstLate, SeasonOutcome

NOTHING_CAN_BE_PLANNED = "No work can be planned: nothing in the fleet keeps every limit. See `relax`."
_SAVES = " would take {saved:.0f} % off the lateness."
_OBSTACLES: Mapping[Obstacle, str] = {
    "nothing-fits": "Nothing in the fleet keeps every limit at {work!r} on {fields}. Nearest is {pair}: {verdict}",
    "waits": "{work!r} on {field} waits for {before!r}, which cannot be planned there.",
    "longer-workday": "Workdays of {workday:Workday} for all" + _SAVES,
    "another-tractor": "Another tractor like {name}" + _SAVES,
    "another-implement": "Another implement like {name}" + _SAVES,
    "another-operator": "Another operator" + _SAVES,
    "another-pair": "Another tractor like {name} with another {implement}" + _SAVES,
    "always-there": "{name} there all the time" + _SAVES,
    "left-undone": "{area:Area} are left undone even by {date}.",
    "window-short": "The work takes {days} more calendar days than the window has: it ends {date}.",
}
"""What is in the way, or would help; figures as in ``api/words``."""


_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_LEVERS: Mapping[LeverName, str] = {
    "longer-day": "Days of {figure:Workday}",
    "second-shift": "A second shift, days of {figure:Workday} with other drivers at the same wage",
    "days-off-worked": "Days off worked",
    "hired-work": "Another pair like {name} with its driver, hired",
    "another-driver": "One driver more",
    "shared": "{name} shared with a neighbor, here on {figure:Share} of the days",
    "not-shared": "{name} here all the time",
    "neighbor-later": "{name} with the neighbor a week later",
}


def written(date: dt.date) -> str:
    """Return a date as people write it: Mon 6 Sep."""
    return f"{_DAYS[date.weekday()]} {date.day} {MONTHS[date.month - 1]}"


def years(base: "SeasonOutcome", late: "Sequence[FirstLate]", count: int, ledger: Ledger) -> str:
    """Return what a plan comes to over recorded years, in words."""
    text = [
        f"Over {count} recorded years all is done when due in {ledger.say(base.in_time)} of them; "
        f"{base.days_late:.2g} days late in the mean, {base.worst_days_late:.2g} in the worst year."
    ]
    if late:
        first = late[0]
        text.append(f"First to be late: {first.work} on {first.field}, with {first.tractor}, in {first.years} of them.")
    if float(base.lost) > 0.0:
        text.append(f"Lateness costs {float(base.lost):,.0f} a year.")
    return " ".join(text)


def lever(one: "Lever", base: "SeasonOutcome", outcome: "SeasonOutcome", ledger: Ledger) -> str:
    """Return what a lever changes, and what it brings, in words."""
    change = say(_LEVERS[one.lever], {"figure": one.figure, "name": one.name}, ledger.units)
    return f"{change}: {_compared(base, outcome, ledger)}"


def alternative(base: "SeasonOutcome", outcome: "SeasonOutcome | None", lost: int, ledger: Ledger) -> str:
    """Return how an alternative compares with the plan, in words."""
    if outcome is None:
        return f"{lost} task{'' if lost == 1 else 's'} cannot be planned with it."
    return (
        f"{_compared(base, outcome, ledger).capitalize()} In the worst year {outcome.worst_days_late:.2g} days late "
        f"instead of {base.worst_days_late:.2g}, and {float(outcome.worst_total):,.0f} in the dearest instead of "
        f"{float(base.worst_total):,.0f}."
    )


def _compared(base: "SeasonOutcome", outcome: "SeasonOutcome", ledger: Ledger) -> str:
    saved = float(base.total) - float(outcome.total)
    now, then = ledger.say(base.in_time), ledger.say(outcome.in_time)
    text = f"in time in {then} of years instead of {now}" if now != then else f"in time in {now} of years as before"
    if abs(saved) >= 1.0:
        text += f"; {abs(saved):,.0f} {'less' if saved >= 0.0 else 'more'} a year"
    return f"{text}."


def day(request: SeasonRequest, number: int) -> dt.date:
    """Return the date of a day counted from 0."""
    return request.window.start + dt.timedelta(days=number)


def obstacle(request: SeasonRequest, one: Relaxation, ledger: Ledger) -> str:
    """Return what is in the way, or would help, in words."""
    figures = dict(one.figures)
    nearest: Pairing | None = figures.get("nearest")
    if nearest is not None:
        tractor, implement = request.fleet.tractors[nearest.tractor], request.fleet.implements[nearest.implement]
        figures["pair"] = f"{implement.name} behind {tractor.name}"
        figures["verdict"] = match_words.summary(nearest.match, ledger)
    if "day" in figures:
        figures["date"] = written(day(request, figures["day"]))
    return say(_OBSTACLES[one.obstacle], figures, ledger.units)


def _before_end(spare: int) -> str:
    """Return how many days before the end of the window something is."""
    if spare < 0:
        return f"{-spare} day{'' if spare == -1 else 's'} after the window ends"
    return f"{spare} day{'' if spare == 1 else 's'} before the window ends"


def summary(
    request: SeasonRequest,
    season: PlannedSeason,
    planned: Planned,
    finishes: dt.date | None,
    tight: Use,
    name: str,
    chance: Share | None,
    ledger: Ledger,
) -> str:
    """Return the plan in words.

    Parameters
    ----------
    request : SeasonRequest
    season : PlannedSeason
    planned : Planned
        Its plan.
    finishes : date, optional
        Last day of the plan; None if some work is not in it.
    tight : Use
        The machine or person that decides.
    name : str
        Its name.
    chance : Share, optional
        To finish in the window.
    ledger : Ledger
        Says quantities in the units of the caller.
    """
    late = ledger.say(Area.of(max(planned.late_area, 1.0)))
    text: list[str] = []
    done = sum(task.done * float(request.fields[task.field].area) for task in season.tasks)
    if done > 0.0:
        text.append(f"{ledger.say(Area.of(done))} of fields that are not finished are done already.")
    if season.lost:
        text.append(f"{len(season.lost)} of {len(season.tasks)} tasks cannot be planned.")
    if finishes is not None and not planned.late:
        spare = (request.window.end - finishes).days
        text.append(f"All done by {written(finishes)}, {_before_end(spare)}.")
    elif finishes is not None:
        text.append(
            f"All done by {written(finishes)}, {late} of it late; {planned.mean_days_late:.3g} days late in the mean."
        )
    elif planned.late:
        text.append(f"{late} late or left undone by {written(day(request, planned.last_day))}.")
    else:
        text.append("All the rest is done in time.")
    if planned.late and tight.hour_saves:
        saved = ledger.say(Ratio.of(tight.hour_saves))
        text.append(f"Bottleneck: {name}; an hour more of it a day saves {saved}.")
    else:
        text.append(f"Busiest: {name}, {ledger.say(Share.of(tight.share))} of its time.")
    if chance is not None:
        text.append(f"Chance to finish in the window: {ledger.say(chance)}.")
    doubtful = least_sure(planned, season.pairs)
    if doubtful:
        names = dict.fromkeys(
            f"{request.fleet.implements[one.implement].name} behind {request.fleet.tractors[one.tractor].name}"
            for one in doubtful
        )
        text.append(f"Not sure that every limit is kept: {', '.join(names)}; see the warnings.")
    return " ".join(text)
