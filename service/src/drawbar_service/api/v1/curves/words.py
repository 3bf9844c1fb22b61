"""The sentences of curves: the answer, which is a picture's title, and what it shows, which is its alternative text."""

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.dates import day_and_month
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.api.words import LIMIT_WORDS
from drawbar_service.engine.arrays import Real
from drawbar_service.model.curves import MOST_SLIP, FitMap, PowerCurve, SlipCurve
from drawbar_service.model.greatest import Greatest
from drawbar_service.model.limits import is_kept, name_of
from drawbar_service.model.matched import Matched
from drawbar_service.quantities import Force, Power, Quantity, Ratio, Share, Speed, Width

if TYPE_CHECKING:
    from drawbar_service.api.v1.curves.season_timeline import WorkSpan
    from drawbar_service.api.v1.season.answer import SeasonVerdict

MOST_SPANS = 12
"""Spans of a season that are named one by one."""


_SAME = 1e-3
"""Two greatest speeds or widths nearer than this [1] are one."""


def up_to_speed(match: Matched, curve: PowerCurve, ledger: Ledger) -> str:
    """Return up to which speed a match holds, and what stops it where."""
    central, holding = curve.far
    if not central.fits:
        return f"No speed holds: {LIMIT_WORDS[name_of(match.binds)].stops}"
    most = central.value
    there = f"{_stops(central)} at {_not_above(Speed, most, ledger)}"
    if not central.within_tool_range:
        return f"No speed in the tool's range holds; {there}"
    if not (holding.fits and holding.within_tool_range):
        return f"No speed is sure to hold; {there}"
    held = f"Holds up to {_not_above(Speed, holding.value, ledger)}"
    return f"{held}: {_stops(holding)}" if holding.value > (1.0 - _SAME) * most else f"{held}; {there}"


def up_to_width(drawn: FitMap, ledger: Ledger) -> str:
    """Return up to which width a match holds at its speed, and what stops it."""
    central, holding = drawn.far
    speed = _say(Speed, central.at_speed, ledger)
    if not central.fits:
        return f"At {speed} no width holds: {_stops(central)}"
    if not holding.fits:
        return f"At {speed} no width is sure to hold; {_stops(central)} at {_not_above(Width, central.value, ledger)}"
    held = f"At {speed} up to {_not_above(Width, holding.value, ledger)} wide holds"
    if holding.value > (1.0 - _SAME) * central.value:
        return f"{held}: {_stops(holding)}"
    return f"{held}; {_stops(central)} at {_not_above(Width, central.value, ledger)}"


def slip_at_work(match: Matched, ledger: Ledger) -> str:
    """Return the slip of a match beside the slip of best efficiency."""
    if not is_kept("pull", match.worked.left):
        return "No slip carries this pull"
    slip, (low, high) = match.worked.point.value.slip, match.case.slip_band
    told = f"Slips {_say(Share, slip, ledger)}"
    if not is_kept("slip", match.worked.left):
        return f"{told}, over the limit of {_say(Share, match.case.limits.slip, ledger)}"
    best = f"{_bare(Share, low, ledger)} to {_say(Share, high, ledger)}"
    if low <= slip <= high:
        return f"{told}: within the best, {best}"
    return f"{told}, {'less' if slip < low else 'more'} than the best, {best}"


def pull_of_tools(match: Matched, ledger: Ledger) -> str:
    """Return the draft of the tools of a match, with its range."""
    speed = match.worked.speed
    total, *ends = (one.draft.at(speed) for one in match.case.work if one is not None)
    low, high = (_bare(Force, one, ledger) for one in sorted(map(float, ends))) if len(ends) > 1 else ("", "")
    ranged = f", {low} to {high} in 9 of 10 cases" if low != high else ""
    return f"Pulls {_say(Force, total, ledger)} at {_say(Speed, speed, ledger)}{ranged}"


def done_by(likely: dt.date | None, end: dt.date, chance: Share) -> str:
    """Return by when work is likely done, or how likely it is by the end of its window."""
    if likely is not None and likely <= end:
        return f"Done by {day_and_month(likely)}, 8 times in 10"
    return f"Done by {day_and_month(end)} {match_words.cases(float(chance)).replace(' cases', '')}"


def season_done(told: "SeasonVerdict", likely: dt.date | None, end: dt.date, freeze_up: dt.date | None) -> str:
    """Return by when a season is done, beside the end of its window and the day on which the ground usually freezes."""
    if told.finishes is None:
        return "Not all of the season can be done"
    done = f"Done by {day_and_month(told.finishes)}"
    if likely is not None:
        done += f", 8 years in 10 by {day_and_month(likely)}"
    if freeze_up is not None:
        late = (likely or told.finishes) >= freeze_up
        return f"{done}: {'after' if late else 'before'} the ground usually freezes"
    if not told.in_time:
        return f"{done}, some of it late"
    spare = (end - (likely or told.finishes)).days
    return f"{done}: {spare} day{'s' if spare > 1 else ''} to spare" if spare > 0 else done


def _stops(far: Greatest) -> str:
    return LIMIT_WORDS[name_of(far.stopped_by)].stops


def power_by_speed(match: Matched, curve: PowerCurve, ledger: Ledger) -> str:
    """Return what the power curve of a match shows."""
    worked = match.worked

    carried = np.flatnonzero(np.isfinite(curve.needed.value))

    def there(place: int) -> str:
        power, speed = float(curve.needed.value[carried[place]]), float(curve.speeds[carried[place]])
        return f"{_say(Power, power, ledger)} at {_say(Speed, speed, ledger)}"

    span = f"goes from {there(0)} to {there(-1)}" if carried.size else "is not known, for nothing carries the pull"
    takes = (
        f"takes {_say(Power, worked.power.value, ledger)}" if worked.carried else "asks for a pull that nothing carries"
    )
    return (
        f"The PTO power needed {span}; "
        f"{_say(Power, match.case.limits.power, ledger)} is usable. "
        f"The match, at {_say(Speed, worked.speed, ledger)}, {takes}. "
        f"{match_words.summary(match, ledger)}"
    )


def slip_by_pull(match: Matched, curve: SlipCurve, ledger: Ledger) -> str:
    """Return what the slip curve of a match shows."""
    worked = match.worked
    point = worked.point.value
    if is_kept("pull", worked.left):
        how = f" with {_say(Share, point.slip, ledger)} slip"
        if point.pulls:
            how += f" and a tractive efficiency of {_say(Ratio, point.tractive_efficiency, ledger)}"
    else:
        how = ", which no slip carries"
    low, high = (_say(Share, end, ledger) for end in match.case.slip_band)
    return (
        f"Slip rises with the pull, up to {_say(Force, curve.most, ledger)}, the most the tractor pulls here with at "
        f"most {_say(Share, MOST_SLIP, ledger)} slip. The match pulls {_say(Force, worked.pull.value, ledger)}{how}; "
        f"slip works best from {low} to {high} on this surface."
    )


def fit_map(match: Matched, drawn: FitMap, ledger: Ledger) -> str:
    """Return what the map of a match shows."""
    here = f"{_say(Width, match.case.width, ledger)} at {_say(Speed, match.worked.speed, ledger)}"
    widths = " to ".join(_say(Width, float(drawn.widths[place]), ledger) for place in (0, -1))
    speeds = " to ".join(_say(Speed, float(drawn.speeds[place]), ledger) for place in (0, -1))
    return (
        f"Of widths from {widths} at speeds from {speeds}, {_say(Ratio, float(drawn.holds.mean()), ledger)} of the map "
        f"holds {match_words.cases(match.case.confidence.holds_from)}, "
        f"{_say(Ratio, float(drawn.fits.mean()), ledger)} keeps every limit by the central figures. "
        f"The match, {here}: {match_words.summary(match, ledger)}"
    )


def draft_by_tool(match: Matched, ledger: Ledger) -> str:
    """Return what the bars of a match show."""
    case, speed = match.case, match.worked.speed
    total, low, high = (_say(Force, work.draft.at(speed), ledger) if work is not None else "" for work in case.work)
    parts = ", ".join(f"{tool.row.id} {_say(Force, tool.terms.at(speed), ledger)}" for tool in case.drafts)
    return (
        f"At {_say(Speed, speed, ledger)} the ground tools pull {total}, from {low} to {high} by the range of the "
        f"draft table: {parts}."
    )


def season_timeline(verdict: str, spans: Sequence["WorkSpan"]) -> str:
    """Return what the timeline of a season shows: its `verdict`, and the first of its `spans`."""
    more = len(spans) - MOST_SPANS
    return " ".join(
        [
            verdict,
            *(
                f"{span.tractor} with {span.implement} does {span.work} on {span.field} from {span.first} to "
                f"{span.last}{', late' if span.late else ''}."
                for span in spans[:MOST_SPANS]
            ),
            *([f"{more} more spans of work follow."] if more > 0 else []),
        ]
    )


def _say(kind: type[Quantity], value: Real, ledger: Ledger) -> str:
    return ledger.say(kind.of(value))


def _bare(kind: type[Quantity], value: Real, ledger: Ledger) -> str:
    """Return a quantity without its unit, for one that follows in the same."""
    return _say(kind, value, ledger).partition(" ")[0]


def _not_above(kind: type[Quantity], value: Real, ledger: Ledger) -> str:
    return kind.of(value).words_not_above(ledger.units)
