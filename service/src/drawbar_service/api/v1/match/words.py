"""The sentences of a match: what a limit says, and the verdict in words."""

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.words import LIMIT_WORDS, VERDICT_WORDS
from drawbar_service.engine.arrays import Real, larger
from drawbar_service.model.chance import VERDICTS, Chance, Word
from drawbar_service.model.greatest import Greatest
from drawbar_service.model.limits import ROUNDING, LimitName, name_of
from drawbar_service.model.match import Worked
from drawbar_service.model.matched import Matched
from drawbar_service.quantities import Depth, Force, Power, Quantity, Ratio, Share, Speed, Width
from drawbar_service.rows import text_at


def limit(name: LimitName, worked: Worked, ledger: Ledger) -> str:
    """Return value and limit in words."""
    case, say = worked.case, ledger.say
    if name == "power" and not worked.carried:
        return "nothing carries this pull, whatever the power"
    if name == "power":
        usable = say(Power.of(case.limits.power))
        return f"{say(Power.of(worked.power.value))} of {usable} usable at the PTO"
    if name == "tool-speed" and case.speeds is not None:
        return _between(Speed, worked.speed, case.speeds, ledger)
    if name == "tool-depth" and case.depths is not None and worked.depth is not None:
        return _between(Depth, worked.depth, case.depths, ledger)
    if name == "pushing" and case.way_down is not None:
        push = Force.of(case.way_down.push)
        held = Force.of(case.way_down.push + case.way_down.work(case.work.value).pull_at(worked.speed))
        return f"downhill its weight pushes with {say(push)}, its draft and rolling hold {say(held)}"
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
    if name == "front-raised" and case.raised is not None:
        left = Ratio.of(larger(case.raised, 0.0))
        return f"with the machine raised, {say(left)} of its load is left on the front axle"
    if name == "braking" and worked.down is not None:
        braking = Force.of(larger(-worked.down.rim_force, 0.0))
        return f"downhill the wheels hold back {say(braking)}"
    raise ValueError(f"no words for the limit {name}: add them here")


def _between(kind: type[Quantity], value: Real, ends: tuple[Real, Real], ledger: Ledger) -> str:
    low, high = ends
    return f"{ledger.say(kind.of(value))}, between {ledger.say(kind.of(low))} and {ledger.say(kind.of(high))}"


def summary(match: Matched, ledger: Ledger, chance: Chance | None = None) -> str:
    """Return the answer in words, by the `chance` from its odds if there are any."""
    chance = match.chance if chance is None else chance
    assert chance is not None
    worked, case = match.worked, match.case
    binding, word = name_of(match.binds), word_of(chance)
    stop, detail = LIMIT_WORDS[binding].name, limit(binding, worked, ledger)
    # A speed that was searched for is the greatest: rounded up, it would not hold.
    searched = case.job.speed is None
    speed = _at_most(Speed, worked.speed, ledger) if searched else ledger.say(Speed.of(worked.speed))
    text = f"{VERDICT_WORDS[word].name} at {speed}"
    if worked.fits:
        margin = f"{100 * max(float(worked.left[binding]), 0.0):.0f} %"
        text += (
            f": every limit is kept {cases(chance.value)}. Nearest limit: {stop}, with {margin} to spare ({detail})."
        )
    elif word == "cannot-tell":
        names = " and ".join(LIMIT_WORDS[name].name for name, unchecked in worked.unchecked.items() if unchecked)
        return f"{text}: {names} not checked, since nothing published says what so soft a soil carries under tracks."
    elif case.job.speed is None and not _goes(match):
        text = f"{VERDICT_WORDS[word].name} at any speed: {stop} ({detail}) at {ledger.say(Speed.of(worked.speed))}."
    else:
        text += f": {stop} ({detail}); every limit is kept {cases(chance.value)}."
    changes = [] if word == "holds" else _changes(match, ledger)
    if not changes:
        return text
    return f"{text} To hold {cases(case.confidence.holds_from)}{', one of' if len(changes) > 1 else ''}: " + (
        f"{', or '.join(changes)}."
    )


def word_of(chance: Chance | None) -> Word:
    """Return the verdict by its `chance`; of rows whose verdict nobody reads it means nothing."""
    return text_at(chance.word, VERDICTS) if chance is not None else "cannot-tell"


def cases(chance: Real) -> str:
    """Return a chance in words: never more than it is."""
    percent = 100.0 * float(chance)
    if percent <= 0.0:
        return "in no case"
    if percent > 99.0:
        return "in more than 99 of 100 cases"
    return f"in {int(np.floor(percent + 1e-3))} of 100 cases" if percent >= 1.0 else "in less than 1 of 100 cases"


def _goes(match: Matched) -> bool:
    far = match.greatest.speed
    return far is not None and bool(far.central.fits)


def _changes(match: Matched, ledger: Ledger) -> list[str]:
    """Return what would hold as often as asked, as far as it is less than what was asked for."""
    case, speed, changes = match.case, match.worked.speed, list[str]()
    fastest, width, depth = (far.holding if far is not None else None for far in match.greatest)
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
    """Return the greatest width in words: whole tools, or meters."""
    if np.isnan(width.whole_tools):
        return _at_most(Width, width.value, ledger)
    return f"{int(width.whole_tools)} tools"


def _at_most(kind: type[Quantity], value: Real, ledger: Ledger) -> str:
    return kind.of(value).words_not_above(ledger.units)
