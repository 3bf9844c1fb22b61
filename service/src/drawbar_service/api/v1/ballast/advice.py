"""What to do about a tractor's ballast: the search for the right mass and split, and the advice in words."""

from collections.abc import Mapping, Sequence
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.ballast.standing import ROUNDING, BallastLimit, Case, LimitName, StandingAnswer, in_band
from drawbar_service.api.v1.ballast.transport import transport_answer
from drawbar_service.engine.arrays import STANDARD_GRAVITY, FloatArray
from drawbar_service.engine.ballast import ballast_for_axles, reweighed, steering_weight, weight_for_slip
from drawbar_service.engine.match import Limits, holding_pull, operate
from drawbar_service.quantities import Force, Mass, MassChange, Share, TractorMass

Advice: TypeAlias = Literal["as-it-stands", "add", "take-off", "shift", "cannot", "guide-only"]
DecidedBy: TypeAlias = Literal["slip", "front-axle", "split", "raised", "lightest", "heaviest", "soil"]

SMALLEST_CHANGE = 0.005
"""Share of the mass [1] below which a change is not worth the work."""
SPLITS = 9
"""Splits tried from end to end of the usual band; that band is 5 to 10 points wide."""
MASSES = 16
"""Masses tried for the greatest pull within reach."""
LEAST_MASS, MOST_MASS = float(TractorMass.least or 0.0), float(TractorMass.most or 0.0)
"""Ends of the search [kg]."""
_NEXT_TO_NONE = 1e-9
"""Share [1] that stands for none where it divides."""


class BallastVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """The answer in short."""

    advice: Annotated[
        Advice,
        Meta(
            description="What to do. shift: another split at about the same mass. cannot: no mass within reach brings "
            "slip into its band. guide-only: rubber tracks, for which slip is not reckoned."
        ),
    ]
    decided_by: Annotated[
        DecidedBy | None,
        Meta(
            description="What sets the advised mass: the slip aimed at, the front axle under the pull, the usual "
            "split, the front axle with implements raised, or the lightest the tractor can be. For `cannot`, what "
            "forbids it: the soil, the front axle or the heaviest it may be. "
            "Null where nothing is to change."
        ),
    ]
    summary: Annotated[str, Meta(description="The answer in words.")]


class BallastChange(msgspec.Struct, frozen=True, kw_only=True):
    """What to add; negative: what to take off."""

    total: Annotated[MassChange, Meta(description="Altogether.")]
    front_axle: Annotated[MassChange, Meta(description="What the front axle carries more, standing level.")]
    rear_axle: Annotated[MassChange, Meta(description="What the rear axle carries more, standing level.")]
    front_ballast: Annotated[MassChange, Meta(description="Ballast to hang ahead of the front axle.")]
    rear_ballast: Annotated[MassChange, Meta(description="Ballast on or in the rear wheels.")]


class Reach(NamedTuple):
    """Within what to look."""

    lightest: float
    """[kg]"""
    heaviest: float
    """[kg]"""
    removable: tuple[float, float] | None
    """What can come off in front and behind [kg]; None where only the sum of both is guessed."""
    shares: tuple[float, float]
    """Split in front, from and to [1]."""
    slips: tuple[float, float, float]
    """Low, middle and high of the band [1]."""
    aim: int
    """Which of them to aim at."""

    @property
    def slip(self) -> float:
        """The slip aimed at [1]."""
        return self.slips[self.aim]

    @property
    def splits(self) -> FloatArray:
        """Splits to try [1], of shape (splits,)."""
        return np.linspace(*self.shares, 1 if self.shares[0] == self.shares[1] else SPLITS)

    def floors(self, case: Case) -> FloatArray:
        """Return the least mass [kg] at which each split can be had, of shape (splits,)."""
        splits = self.splits
        if self.removable is None:
            return self.lightest + 0.0 * splits
        # Hung as ballast_for_axles has it, solved for the mass at which all that can come off is off.
        mass = case.tractor.weight / STANDARD_GRAVITY
        front = case.tractor.front_share * mass
        lever = float(case.tractor.stance.wheelbase) / (float(case.tractor.stance.wheelbase) + case.ballast_reach)
        off_front, off_rear = self.removable
        by_front = (front - off_front / lever) / np.maximum(splits, _NEXT_TO_NONE)
        by_rear = (mass - front * lever - off_rear) / (1.0 - splits * lever)
        return np.maximum(np.maximum(by_front, by_rear), self.lightest)


class Found(NamedTuple):
    """What the search found."""

    mass: float | None
    """Right mass within reach [kg]; None if there is none."""
    asked: float | None
    """The same, reach or no reach [kg]."""
    front_share: float
    """[1]"""
    mass_range: tuple[float, float] | None
    """What the range of the draft makes of it [kg]."""
    decided_by: DecidedBy
    needed: tuple[float | None, ...]
    """Least mass for each slip of the band at the asked pull, reach or no reach [kg]; None if there is none."""


def search(case: Case, reach: Reach) -> Found:
    """Return the right mass and split for the work.

    For every pull of the draft's range, slip of the band and split at once: the least weight that holds the slip
    and leaves the front axle its share. The split that takes the least of it is chosen, the one nearest to the
    present split where several do.
    """
    splits, floors = reach.splits, reach.floors(case)
    pulls = np.array([case.pull_of(work) for work in case.work])[:, None, None]
    slips = np.array(reach.slips)[None, :, None]
    stance = case.tractor.stance
    most = MOST_MASS * STANDARD_GRAVITY
    least = np.maximum(steering_weight(stance, splits, pulls, case.kept_share), LEAST_MASS * STANDARD_GRAVITY)
    steers = least < most
    answer = weight_for_slip(
        case.tractor.engine, stance, splits, pulls, slips, np.where(steers, least, 0.5 * most), most
    )
    masses: FloatArray = np.where(steers & answer.carried, answer.weight, np.inf) / STANDARD_GRAVITY
    needed = tuple(float(mass) if np.isfinite(mass) else None for mass in masses[0].min(axis=1))
    within: FloatArray = np.maximum(masses[:, reach.aim], floors)
    ties = np.flatnonzero(within[0] <= within[0].min() * (1.0 + ROUNDING))
    chosen = int(min(ties, key=lambda index: abs(splits[index] - case.tractor.front_share)))
    mass, share = float(within[0, chosen]), float(splits[chosen])
    if not np.isfinite(mass):
        return Found(None, None, share, None, "soil" if bool(steers[0].any()) else "front-axle", needed)
    if mass > reach.heaviest * (1.0 + ROUNDING):
        return Found(None, mass, share, None, "heaviest", needed)
    ends = [float(end) for end in within.min(axis=1)]
    mass_range = (min(ends), max(ends)) if np.isfinite(ends).all() else None
    decided_by: DecidedBy = "slip"
    if masses[0, reach.aim, chosen] < floors[chosen]:
        decided_by = "lightest"
    elif mass <= float(least[0, 0, chosen]) / STANDARD_GRAVITY * (1.0 + ROUNDING):
        decided_by = "front-axle"
    return Found(mass, mass, share, mass_range, decided_by, needed)


class Right(NamedTuple):
    """What the tractor should weigh."""

    mass: float
    """[kg]"""
    front_share: float
    """[1]"""
    mass_range: tuple[float, float] | None
    """[kg]"""
    decided_by: DecidedBy


def right_for(case: Case, reach: Reach, now: StandingAnswer, found: Found) -> Right | None:
    """Return what the tractor should weigh; None if no mass within reach will do.

    Where slip and steering are right as it stands, mass is only moved to the usual split, as long as slip stays in
    its band. Ballast that is missing in front with implements raised is added on top.
    """
    right = _least_move(case, reach, now)
    if right is None and found.mass is not None:
        right = Right(found.mass, found.front_share, found.mass_range, found.decided_by)
        if found.decided_by == "lightest" and found.mass > now.mass and limit_of(now, "front-axle").kept:
            # Too heavy already, and nothing can come off: more mass for the sake of the split would be worse.
            right = Right(float(now.mass), float(now.front_share), None, "lightest")
    if right is None or case.transport is None:
        return right
    wheelbase = float(case.tractor.stance.wheelbase)
    raised = transport_answer(case.transport, right.mass, right.front_share, wheelbase, case.ballast_reach)
    more = float(raised.front_ballast)
    if more <= ROUNDING * right.mass:
        return right
    mass = right.mass + more
    front = right.front_share * right.mass + more * (case.ballast_reach + wheelbase) / wheelbase
    moved = (right.mass_range[0] + more, right.mass_range[1] + more) if right.mass_range is not None else None
    return Right(mass, min(front / mass, 1.0), moved, "raised")


def _least_move(case: Case, reach: Reach, now: StandingAnswer) -> Right | None:
    """Return the present mass at the nearest usual split, where that is all it takes."""
    mass, share = float(now.mass), float(now.front_share)
    if mass > reach.heaviest * (1.0 + ROUNDING) or not (
        limit_of(now, "slip").kept and limit_of(now, "front-axle").kept
    ):
        return None
    low, high = reach.shares
    split = min(max(share, low), high)
    point = operate(case.at(mass, split).engine, case.work.central, case.speed)
    stays = point.pull_effort <= 1.0 and in_band(float(point.slip), case.band) >= -ROUNDING
    return Right(mass, split, None, "split") if stays else None


def greatest_pull_in_reach(case: Case, reach: Reach) -> float | None:
    """Return the greatest pull [N] at the slip aimed at that any mass and split within reach gives; None if none."""
    floors = reach.floors(case)
    within = floors <= reach.heaviest
    if not within.any():
        return None
    weights = STANDARD_GRAVITY * np.linspace(floors[within], reach.heaviest, MASSES)
    tractor = reweighed(case.tractor.engine, case.tractor.stance, weights, reach.splits[within])
    pull = float(np.max(holding_pull(tractor, Limits(reach.slip, case.rated, case.kept_share * weights))))
    return pull if pull > 0.0 else None


def limit_of(answer: StandingAnswer, name: LimitName) -> BallastLimit:
    """Return the limit of this `name`, which every answer has."""
    return next(limit for limit in answer.limits if limit.name == name)


def advice_of(now: StandingAnswer, right: Right | None) -> Advice:
    """Return what to do about the tractor as it stands `now`."""
    if right is None:
        return "cannot"
    mass = float(now.mass)
    more = right.mass / mass - 1.0
    if abs(more) >= SMALLEST_CHANGE:
        return "add" if more > 0.0 else "take-off"
    moved = abs(right.front_share * right.mass / mass - float(now.front_share))
    return "shift" if moved >= SMALLEST_CHANGE else "as-it-stands"


def broken(now: StandingAnswer) -> Sequence[BallastLimit]:
    """Return the limits that ballast is there to keep and that are not kept."""
    names: tuple[LimitName, ...] = ("slip", "front-axle", "static-split", "front-raised", "rear-raised")
    return [limit for limit in now.limits if limit.name in names and not limit.kept]


def change_to(case: Case, now: StandingAnswer, advised: StandingAnswer) -> BallastChange:
    """Return what to add and take off to get from one standing to another."""
    total = float(advised.mass) - float(now.mass)
    front_axle = float(advised.front_mass) - float(now.front_mass)
    hung = ballast_for_axles(front_axle, total, case.tractor.stance.wheelbase, case.ballast_reach)
    return BallastChange(
        total=MassChange(total),
        front_axle=MassChange(front_axle),
        rear_axle=MassChange(total - front_axle),
        front_ballast=MassChange(float(hung.front)),
        rear_ballast=MassChange(float(hung.rear)),
    )


class Outcome(NamedTuple):
    """What the search and the advice came to."""

    advice: Advice
    now: StandingAnswer
    found: Found
    right: Right | None
    advised: StandingAnswer | None
    change: BallastChange | None
    pull_in_reach: float | None
    """[N]"""

    @property
    def last(self) -> StandingAnswer:
        """The tractor once the advice is followed."""
        return self.advised if self.advised is not None else self.now

    @property
    def decided_by(self) -> DecidedBy | None:
        """What set the mass, or forbids it; None where nothing changes."""
        if self.advice == "as-it-stands":
            return None
        return self.right.decided_by if self.right is not None else self.found.decided_by


def verdict(case: Case, reach: Reach, outcome: Outcome, ledger: Ledger) -> BallastVerdict:
    """Return the answer in short."""
    say, now = ledger.say, outcome.now
    low, high = (say(Share(end)) for end in case.band)
    slip = f"{say(now.slip)} slip" if now.carried else "no slip that carries the pull"
    parts = [f"{say(now.mass)} gives {slip}; {low} to {high} works best here."]
    if outcome.advised is not None and outcome.change is not None:
        parts += _changes(case, outcome, outcome.advised, outcome.change, ledger)
    elif outcome.advice == "cannot":
        parts.append(_why_not(case, reach, outcome.found, outcome.pull_in_reach, ledger))
    elif not limit_of(now, "slip").kept:
        parts.append("The ballast within reach changes little: change the work, not the mass.")
    else:
        parts.append("Leave the ballast as it is.")
        parts += [f"But mind: {limit.detail}." for limit in broken(now)]
    power = limit_of(outcome.last, "power")
    if not power.kept and outcome.last.carried:
        parts.append(f"Power is short all the same: {power.detail}.")
    return BallastVerdict(advice=outcome.advice, decided_by=outcome.decided_by, summary=" ".join(parts))


_BOUND: Mapping[DecidedBy | None, str] = {
    "front-axle": "The front axle under the pull decides, not slip.",
    "raised": "The front axle with implements raised decides, not slip.",
}


def _changes(case: Case, outcome: Outcome, advised: StandingAnswer, change: BallastChange, ledger: Ledger) -> list[str]:
    say = ledger.say
    others = [limit.detail for limit in broken(outcome.now) if limit.name != "slip"]
    parts = [f"Now {'; '.join(others)}."] if others else []
    parts.append(
        f"At {say(advised.mass)}, {say(advised.front_share)} of it in front, slip is {say(advised.slip)}: "
        f"{_hung(change, ledger)}."
    )
    if outcome.decided_by in _BOUND:
        parts.append(_BOUND[outcome.decided_by])
    elif outcome.advice == "take-off" and outcome.decided_by == "lightest" and advised.slip < case.band[0]:
        parts.append("It cannot be made lighter: a wider or deeper tool would use it better.")
    return parts


def _why_not(case: Case, reach: Reach, found: Found, pull_in_reach: float | None, ledger: Ledger) -> str:
    say = ledger.say
    aim = say(Share(reach.slip))
    pull = say(Force(case.pull))
    most = (
        f"within reach of its ballast it pulls {say(Force(pull_in_reach))} at that slip"
        if pull_in_reach is not None
        else "within reach of its ballast it pulls nothing at that slip"
    )
    if found.decided_by == "front-axle":
        return f"No mass keeps enough on the front axle to steer by under a pull of {pull}; {most}."
    if found.asked is not None:
        return (
            f"It would take {say(Mass(found.asked))} to pull {pull} at {aim}, more than the "
            f"{say(Mass(reach.heaviest))} it may weigh; {most}."
        )
    return f"No mass brings {pull} to {aim}: the soil gives way; {most}."


def _hung(change: BallastChange, ledger: Ledger) -> str:
    parts = [
        f"{'add' if mass > 0.0 else 'take off'} {ledger.say(MassChange(abs(mass)))} {where}"
        for mass, where in ((change.front_ballast, "in front"), (change.rear_ballast, "at the rear wheels"))
        if abs(mass) >= 1.0
    ]
    return " and ".join(parts)
