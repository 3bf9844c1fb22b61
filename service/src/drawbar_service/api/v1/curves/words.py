"""The sentences of curves: what each picture shows, which is its alternative text."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.engine.arrays import Real
from drawbar_service.model.curves import MOST_SLIP, FitMap, PowerCurve, SlipCurve
from drawbar_service.model.limits import is_kept
from drawbar_service.model.matched import Matched
from drawbar_service.quantities import Force, Power, Quantity, Ratio, Share, Speed, Width

if TYPE_CHECKING:
    from drawbar_service.api.v1.curves.season_timeline import WorkSpan

MOST_SPANS = 12
"""Spans of a season that are named one by one."""


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
