"""The sentences of a match: what a limit says, and the verdict in words."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from drawbar_service.api.answers import Ledger
from drawbar_service.api.words import LIMIT_WORDS
from drawbar_service.engine.arrays import Real
from drawbar_service.model.limits import ROUNDING, LimitName, name_of
from drawbar_service.model.match import Worked
from drawbar_service.quantities import Depth, Power, Quantity, Ratio, Share, Speed

if TYPE_CHECKING:
    from drawbar_service.api.v1.match.answer import GreatestAnswer, LimitAnswer


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
    assert worked.point is not None
    assert case.tractor is not None
    point = worked.point.value
    if name == "pull":
        return f"{say(Ratio.of(point.pull_effort))} of the greatest pull this soil carries"
    if name == "slip":
        if not worked.carried:
            return "no slip carries this pull"
        return f"{say(Share.of(point.slip))} of at most {say(Share.of(case.limits.slip))}"
    load = Ratio.of(case.tractor.engine.loads.front(point.pull) / case.tractor.weight)
    least = Ratio.of(case.limits.front_load / case.tractor.weight)
    return f"{say(load)} of the tractor's weight on the front axle, at least {say(least)}"


def _between(kind: type[Quantity], value: Real, ends: tuple[Real, Real], ledger: Ledger) -> str:
    low, high = ends
    return f"{ledger.say(kind.of(value))}, between {ledger.say(kind.of(low))} and {ledger.say(kind.of(high))}"


def summary(
    worked: Worked, binds: Real, greatest: "GreatestAnswer", limits: "Sequence[LimitAnswer]", ledger: Ledger
) -> str:
    """Return the answer in words."""
    case, binding = worked.case, name_of(binds)
    detail = next(one.detail for one in limits if one.name == binding)
    stop = LIMIT_WORDS[binding].name
    speed = ledger.say(Speed.of(worked.speed))
    if worked.fits:
        margin = f"{100 * max(float(worked.left[binding]), 0.0):.0f} %"
        return f"Fits at {speed}. Nearest limit: {stop}, with {margin} to spare ({detail})."
    if case.job.speed is None and greatest.speed is not None and greatest.speed.value is not None:
        stopped, most = LIMIT_WORDS[greatest.speed.limited_by].name, greatest.speed.value.words_not_above(ledger.units)
        text = f"Goes no faster than {most}, where {stopped} stops it"
        if binding == "tool-speed" and case.speeds is not None:
            text += f"; the tool works well from {ledger.say(Speed.of(case.speeds[0]))}."
        else:
            text += f"; {stop}: {detail}."
    else:
        text = f"Does not fit at {speed}: {stop} ({detail})."
    changes = _changes(worked, greatest, ledger)
    if not changes:
        return text
    return f"{text} To fit{', one of' if len(changes) > 1 else ''}: {', or '.join(changes)}."


def _changes(worked: Worked, greatest: "GreatestAnswer", ledger: Ledger) -> list[str]:
    """Return what would fit, as far as it is less than what was asked for."""
    case, changes = worked.case, list[str]()
    fastest = greatest.speed
    if fastest is not None and fastest.value is not None and fastest.within_tool_range:
        most = fastest.value.words_not_above(ledger.units)
        if fastest.value < worked.speed - ROUNDING:
            changes.append(f"go {most}")
        elif case.speeds is not None and worked.speed < case.speeds[0]:
            changes.append(f"go {ledger.say(Speed.of(case.speeds[0]))} to {most}")
    width, depth = greatest.width, greatest.depth
    if width is not None and width.value is not None and width.value < case.width - ROUNDING:
        size = f"{width.count} tools" if width.count is not None else width.value.words_not_above(ledger.units)
        changes.append(f"pull {size} at {ledger.say(width.at_speed)}")
    if depth is not None and depth.value is not None:
        asked = next((draft.depth for draft in case.drafts if draft.pointer == depth.pointer), None)
        if asked is not None and depth.value < asked - ROUNDING:
            changes.append(f"work {depth.value.words_not_above(ledger.units)} deep at {ledger.say(depth.at_speed)}")
    return changes
