"""The sentences of a match: what a limit says, and the verdict in words."""

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.words import LIMIT_WORDS
from drawbar_service.engine.arrays import Real
from drawbar_service.model.greatest import Greatest
from drawbar_service.model.limits import ROUNDING, LimitName, is_kept, name_of
from drawbar_service.model.match import Worked
from drawbar_service.model.matched import Matched
from drawbar_service.quantities import Depth, Power, Quantity, Ratio, Share, Speed, Width


def limit(name: LimitName, worked: Worked, ledger: Ledger) -> str:
    """Return value and limit in words."""
    case, say = worked.case, ledger.say
    if name == "power":
        usable = say(Power.of(case.limits.power))
        return f"{say(Power.of(worked.power.value))} of {usable} usable at the PTO"
    if name == "tool-speed" and case.speeds is not None:
        return _between(Speed, worked.speed, case.speeds, ledger)
    if name == "tool-depth" and case.depths is not None and worked.depth is not None:
        return _between(Depth, worked.depth, case.depths, ledger)
    point = worked.point.value
    if worked.unchecked.get(name, False):
        return "not checked: nothing published says what so soft a soil carries under tracks"
    if name == "pull":
        return f"{say(Ratio.of(point.pull_effort))} of the greatest pull this soil carries"
    if name == "slip":
        if not worked.carried:
            return "no slip carries this pull"
        return f"{say(Share.of(point.slip))} of at most {say(Share.of(case.limits.slip))}"
    if name == "front-axle":
        load = Ratio.of(case.tractor.engine.loads.front(point.pull) / case.tractor.weight)
        least = Ratio.of(case.limits.front_load / case.tractor.weight)
        return f"{say(load)} of the tractor's weight on the front axle, at least {say(least)}"
    raise ValueError(f"no words for the limit {name}: add them here")


def _between(kind: type[Quantity], value: Real, ends: tuple[Real, Real], ledger: Ledger) -> str:
    low, high = ends
    return f"{ledger.say(kind.of(value))}, between {ledger.say(kind.of(low))} and {ledger.say(kind.of(high))}"


def summary(match: Matched, ledger: Ledger) -> str:
    """Return the answer in words."""
    worked, case, fastest = match.worked, match.case, match.greatest.speed
    binding = name_of(match.binds)
    stop, detail = LIMIT_WORDS[binding].name, limit(binding, worked, ledger)
    speed = ledger.say(Speed.of(worked.speed))
    if worked.fits:
        margin = f"{100 * max(float(worked.left[binding]), 0.0):.0f} %"
        return f"Fits at {speed}. Nearest limit: {stop}, with {margin} to spare ({detail})."
    unchecked = _not_checked(worked)
    if unchecked:
        return (
            f"Cannot tell whether it fits at {speed}: {unchecked} not checked, since nothing published says what so "
            "soft a soil carries under tracks."
        )
    if case.job.speed is None and fastest is not None and fastest.fits:
        stopped = LIMIT_WORDS[name_of(fastest.stopped_by)].name
        text = f"Goes no faster than {_at_most(Speed, fastest.value, ledger)}, where {stopped} stops it"
        if binding == "tool-speed" and case.speeds is not None:
            text += f"; the tool works well from {ledger.say(Speed.of(case.speeds[0]))}."
        else:
            text += f"; {stop}: {detail}."
    else:
        text = f"Does not fit at {speed}: {stop} ({detail})."
    changes = _changes(match, ledger)
    if not changes:
        return text
    return f"{text} To fit{', one of' if len(changes) > 1 else ''}: {', or '.join(changes)}."


def _not_checked(worked: Worked) -> str:
    """Return the names of limits that could not be checked, nothing where another limit is exceeded anyway."""
    names: list[LimitName] = [name for name, unchecked in worked.unchecked.items() if unchecked]
    if not all(name in names or is_kept(name, worked.left) for name in worked.left):
        return ""
    return " and ".join(LIMIT_WORDS[name].name for name in names)


def _changes(match: Matched, ledger: Ledger) -> list[str]:
    """Return what would fit, as far as it is less than what was asked for."""
    case, speed, changes = match.case, match.worked.speed, list[str]()
    fastest, width, depth = match.greatest
    if fastest is not None and fastest.fits and fastest.within_tool_range:
        most = _at_most(Speed, fastest.value, ledger)
        if fastest.value < speed - ROUNDING:
            changes.append(f"go {most}")
        elif case.speeds is not None and speed < case.speeds[0]:
            changes.append(f"go {ledger.say(Speed.of(case.speeds[0]))} to {most}")
    if width is not None and width.fits and width.value < case.width - ROUNDING:
        changes.append(f"pull {widest_words(width, ledger)} at {ledger.say(Speed.of(width.at_speed))}")
    if depth is not None and depth.fits:
        asked = case.drafts[int(depth.tool)].depth
        if asked is not None and depth.value < asked - ROUNDING:
            most = _at_most(Depth, depth.value, ledger)
            changes.append(f"work {most} deep at {ledger.say(Speed.of(depth.at_speed))}")
    return changes


def widest_words(width: Greatest, ledger: Ledger) -> str:
    """Return the greatest width in words: whole tools, or metres."""
    if np.isnan(width.whole_tools):
        return _at_most(Width, width.value, ledger)
    return f"{int(width.whole_tools)} tools"


def _at_most(kind: type[Quantity], value: Real, ledger: Ledger) -> str:
    return kind.of(value).words_not_above(ledger.units)
