"""The sentences of ballast: what a limit says, and the verdict in words."""

from collections.abc import Mapping

from drawbar_service.api.answers import Ledger
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.match import operate, pull_at_slip
from drawbar_service.model.ballast import ADVICE, Advised, Change, Guide, broken_limits
from drawbar_service.model.ballast_search import DECIDED_BY, DecidedBy
from drawbar_service.model.ballast_state import BallastLimitName, BallastState
from drawbar_service.quantities import Force, Mass, MassChange, Power, Ratio, Share

_BOUND: Mapping[DecidedBy, str] = {
    "front-axle": "The front axle under the pull decides, not slip.",
    "raised": "The front axle with implements raised decides, not slip.",
}


def limit(name: BallastLimitName, state: BallastState, ledger: Ledger) -> str:
    """Return value and limit in words."""
    case, point, say = state.case, state.point.value, ledger.say
    if name == "pull":
        return f"{say(Ratio.of(point.pull_effort))} of what the soil carries"
    if name == "slip":
        if not state.carried:
            return "no slip carries this pull"
        return f"{say(Share.of(point.slip))}; works best at {_between(case.band, ledger)}"
    if name == "front-axle":
        pushed = say(Ratio.of(state.front_load / state.tractor.weight))
        return f"{pushed} of the weight on the front axle, pulling; at least {say(Ratio.of(case.kept_share))}"
    if name == "front-lift":
        if state.lifting_pull <= 0.0:
            return "what presses on the hitch lifts the front without any pull"
        return f"{say(Force.of(point.pull))}; the front lifts at {say(Force.of(state.lifting_pull))}"
    if name == "static-split":
        share, usual = say(Share.of(state.front_share)), _between(case.usual_split, ledger)
        return f"{share} of the mass in front, standing; usual for this drive is {usual}"
    if name == "axle-load":
        axle, caution = say(Mass.of(state.heavier_axle)), say(Mass.of(case.axle_mass))
        return f"{axle} on the heavier axle, pulling; caution above {caution}"
    if name == "power":
        most = f"{say(Power.of(case.rated))} rated at the PTO"
        if case.usable < 1.0:
            most = f"{say(Power.of(case.rated * case.usable))} left of {most}"
        return f"{say(Power.of(point.pto_power))} needed and {most}"
    assert state.raised is not None
    assert case.raised is not None
    share, kept = (
        (state.raised.front_share, case.raised.kept_front)
        if name == "front-raised"
        else (state.raised.rear_share, case.raised.kept_rear)
    )
    return f"{say(Ratio.of(share))} of the unladen mass on the axle, raised; at least {say(Ratio.of(kept))}"


def _between(ends: tuple[Real, Real], ledger: Ledger) -> str:
    return f"{ledger.say(Share.of(ends[0]))} to {ledger.say(Share.of(ends[1]))}"


def on_tracks(guide: Guide, ledger: Ledger) -> str:
    """Return the answer in words for a tractor on rubber tracks."""
    word = "above" if guide.difference > 0.0 else "below"
    return (
        f"On rubber tracks only the guide is given: {ledger.say(Mass.of(guide.mass))} for this power and speed; the "
        f"tractor is {ledger.say(Ratio.of(abs(guide.difference)))} {word} it."
    )


def summary(advised: Advised, ledger: Ledger) -> str:
    """Return the answer in words."""
    case, now, state = advised.case, advised.now, advised.state
    say = ledger.say
    slip = f"{say(Share.of(now.point.value.slip))} slip" if now.carried else "no slip that carries the pull"
    parts = [f"{say(Mass.of(now.mass.value))} gives {slip}; {_between(case.band, ledger)} works best here."]
    advice = ADVICE[int(advised.advice)]
    mind = [f"But mind: {limit(name, now, ledger)}." for name in broken_limits(now) if name != "slip"]
    if state is not None and advised.changes:
        parts += _changes(advised, state, ledger)
    elif advice == "unknown-ballast":
        parts += [_not_known(advised, ledger), *mind]
    elif advice == "cannot":
        parts += [_why_not(advised, ledger), *mind]
    else:
        parts += ["Leave the ballast as it is.", *mind]
    last = state if state is not None and advised.changes else now
    if not last.keeps("power") and last.carried:
        parts.append(f"Power is short all the same: {limit('power', last, ledger)}.")
    return " ".join(parts)


def _changes(advised: Advised, state: BallastState, ledger: Ledger) -> list[str]:
    say, decided_by = ledger.say, DECIDED_BY[int(advised.right.decided_by)]
    others = [limit(name, advised.now, ledger) for name in broken_limits(advised.now) if name != "slip"]
    parts = [f"Now {'; '.join(others)}."] if others else []
    parts.append(
        f"At {say(Mass.of(state.mass.value))}, {say(Share.of(state.front_share))} of it in front, slip is "
        f"{say(Share.of(state.point.value.slip))}: {_hung(advised.change(), ledger)}."
    )
    if decided_by in _BOUND:
        parts.append(_BOUND[decided_by])
    return parts


def _not_known(advised: Advised, ledger: Ledger) -> str:
    say, case, heaviest = ledger.say, advised.case, advised.reach.heaviest
    unknown = "How much ballast is on is not known, so none is advised off"
    ask = "Say how much is on (ballast_on) to see what could come off."
    if advised.now.mass.value > heaviest:
        return f"It may weigh {say(Mass.of(heaviest))}. {unknown}. {ask}"
    if not advised.now.carried or advised.now.point.value.slip >= case.band[0]:
        # Only more mass would do what is needed beside slip, and slip would leave its band.
        return f"{_heavier_still(advised, ledger)} {unknown}. {ask}"
    return f"{unknown}. {_use_it_better(advised, ledger)} {ask}"


def _use_it_better(advised: Advised, ledger: Ledger) -> str:
    """Return what to do about a tractor too heavy for its work before any ballast comes off."""
    aim = advised.reach.slip
    pull = ledger.say(Force.of(pull_at_slip(advised.case.tractor.engine, aim)))
    return (
        f"First use a wider tool, work deeper or drive a gear faster: as it stands the tractor pulls {pull} at "
        f"{ledger.say(Share.of(aim))}."
    )


def _heavier_still(advised: Advised, ledger: Ledger) -> str:
    """Return what mass steering asks for, and that slip is outside its band at it."""
    right, say = advised.right, ledger.say
    case = advised.case
    slip = operate(case.at(right.mass.value, right.front_share).engine, case.work.value, case.speed).slip
    what = _FOR_WHAT.get(DECIDED_BY[int(right.decided_by)], "For this split")
    return (
        f"{what} it takes {say(Mass.of(right.mass.value))}, and slip is then {say(Share.of(slip))}, outside its band: "
        "change the work, or what hangs on the tractor and where."
    )


_FOR_WHAT: Mapping[DecidedBy, str] = {
    "front-axle": "To steer by under this pull",
    "raised": "To steer by with implements raised",
}


def _why_not(advised: Advised, ledger: Ledger) -> str:
    say, found, reach = ledger.say, advised.found, advised.reach
    if advised.right.exists:
        # A mass within reach holds the pull, at a slip outside the band.
        if DECIDED_BY[int(advised.right.decided_by)] != "lightest":
            return _heavier_still(advised, ledger)
        off = advised.now.mass.value - reach.lightest
        no_lighter = (
            f"With all the {say(MassChange.of(off))} off that can come off it is still too heavy."
            if off >= 1.0
            else "It has no ballast that can come off."
        )
        return f"{no_lighter} {_use_it_better(advised, ledger)}"
    aim = say(Share.of(reach.slip))
    pull = say(Force.of(advised.case.pull.value))
    greatest = advised.greatest_pull()
    within = say(Force.of(greatest.pull)) if greatest.exists else "nothing"
    most = f"within reach of its ballast it pulls {within} at that slip"
    if DECIDED_BY[int(found.decided_by)] == "front-axle":
        return f"No mass keeps enough on the front axle to steer by under a pull of {pull}; {most}."
    if found.exists:
        return (
            f"It would take {say(Mass.of(found.mass))} to pull {pull} at {aim}, more than the "
            f"{say(Mass.of(reach.heaviest))} it may weigh; {most}."
        )
    return f"No mass brings {pull} to {aim}: the soil gives way; {most}."


def _hung(change: Change, ledger: Ledger) -> str:
    parts = [
        f"{'add' if mass > 0.0 else 'take off'} {ledger.say(MassChange.of(abs(mass)))} {where}"
        for mass, where in ((change.hung.front, "in front"), (change.hung.rear, "at the rear wheels"))
        if abs(mass) >= 1.0
    ]
    return " and ".join(parts)
