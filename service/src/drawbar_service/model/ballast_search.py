"""The search for the right mass of a tractor and its split, and how far ballast within reach can take it."""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple, TypeAlias, get_args

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import (
    STANDARD_GRAVITY,
    FloatArray,
    Mask,
    Real,
    both,
    choose,
    either,
    in_parts,
    known_where,
    larger,
    opposite,
    smaller,
    somewhere,
)
from drawbar_service.engine.axle_loads import Stance
from drawbar_service.engine.ballast import ballast_for_axles, reweighed, steering_weight, weight_for_slip
from drawbar_service.engine.match import Limits, holding_pull, operate
from drawbar_service.engine.match import Tractor as EngineTractor
from drawbar_service.model.ballast_state import BallastCase, BallastState, in_band
from drawbar_service.model.limits import ROUNDING
from drawbar_service.model.span import Span
from drawbar_service.rows import as_rows, picked

DecidedBy: TypeAlias = Literal["slip", "front-axle", "split", "raised", "lightest", "heaviest", "soil"]
DECIDED_BY: Final[tuple[DecidedBy, ...]] = get_args(DecidedBy)
"""What can set the mass; its place here stands for it in numbers."""

SPLITS = 9
"""Splits tried from end to end of the usual band; that band is 5 to 10 points wide."""
MASSES = 16
"""Masses tried for the greatest pull within reach."""
LEAST_MASS, MOST_MASS = 300.0, 60_000.0
"""Ends of the search [kg]: what a request can say a tractor weighs."""
AT_ONCE = 2**16
"""Trials of a block of rows that are worked at once, so that memory stays bounded."""
_NEXT_TO_NONE = 1e-9
"""Share [1] that stands for none where it divides."""


class Reach(NamedTuple):
    """Within what to search."""

    lightest: Real
    """[kg]"""
    heaviest: Real
    """[kg]"""
    removable: tuple[Real, Real]
    """The most that can come off in front and behind [kg]; both together no more than down to the lightest."""
    known: bool
    """Whether the request says how much ballast is on."""
    shares: tuple[Real, Real]
    """Split in front, from and to [1]."""
    wanted: bool
    """Whether the request gives one split, which both ends then are."""
    slips: tuple[Real, Real, Real]
    """Low, middle and high of the band [1]."""
    aim: str
    """Which of them to aim at: low, middle or high."""

    @property
    def slip(self) -> Real:
        """The slip aimed at [1]."""
        low, middle, high = self.slips
        return picked(self.aim, {"low": low, "middle": middle, "high": high})

    @property
    def splits(self) -> list[Real]:
        """Splits to try [1]."""
        low, high = self.shares
        if self.wanted:
            return [low]
        step = (high - low) / (SPLITS - 1)
        return [*(low + at * step for at in range(SPLITS - 1)), high]

    def floors(self, case: BallastCase) -> list[Real]:
        """Return the least mass [kg] at which each of the splits can be had."""
        # Hung as ballast_for_axles has it, solved for the mass at which all that can come off is off.
        mass = case.tractor.weight / STANDARD_GRAVITY
        front = case.tractor.front_share * mass
        lever = case.tractor.stance.wheelbase / (case.tractor.stance.wheelbase + case.ballast_reach)
        off_front, off_rear = self.removable
        floors: list[Real] = []
        for split in self.splits:
            by_front = (front - off_front / lever) / larger(split, _NEXT_TO_NONE)
            by_rear = (mass - front * lever - off_rear) / (1.0 - split * lever)
            floors.append(larger(larger(by_front, by_rear), self.lightest))
        return floors


class Found(NamedTuple):
    """What the search found."""

    exists: Mask
    """Whether any mass holds the slip and the front axle, reach or no reach."""
    within: Mask
    """Whether one within reach does."""
    mass: Real
    """[kg]; means nothing where there is none."""
    front_share: Real
    """[1]"""
    mass_ends: tuple[Real | None, Real | None]
    """What the range of the draft makes of the mass [kg]; None where there is none."""
    decided_by: Real
    """Number of what sets the mass, or forbids it."""
    needed: "list[Needed]"
    """For each slip of the band; empty where nobody asks."""


class Needed(NamedTuple):
    """The least mass that holds the asked pull to one slip and the front axle down, reach or no reach."""

    slip: Real
    """[1]"""
    exists: Mask
    mass: Real
    """[kg]; means nothing where there is none."""


def place_of(name: DecidedBy) -> float:
    """Return the number that stands for what decides."""
    return float(DECIDED_BY.index(name))


def _along(values: Sequence[Real]) -> FloatArray:
    """Return values, which may be one for each row, as an array of shape (values, rows); (values, 1) without rows."""
    if all(isinstance(value, float) for value in values):
        return np.array(values, dtype=np.float64).reshape(-1, 1)
    return np.array(np.broadcast_arrays(*values)).reshape(len(values), -1)


def _real(values: FloatArray) -> Real:
    """Return an array of shape (rows,) as :func:`_along` makes it as a number or one for each row."""
    return float(values[0]) if len(values) == 1 else as_rows(values)


def _mask(values: npt.NDArray[np.bool_]) -> Mask:
    return bool(values[0]) if len(values) == 1 else as_rows(values)


def search(case: BallastCase, reach: Reach, *, every_slip: bool = True) -> Found:
    """Return the right mass and split for the work.

    For every pull of the draft's range, slip of the band and split at once: the least weight that holds the slip
    and leaves the front axle its share. The split that takes the least of it is chosen, the one nearest to the
    present split where several do.

    Parameters
    ----------
    case : BallastCase
    reach : Reach
    every_slip : bool
        Whether to find the mass for each slip of the band, not only for the one aimed at.
    """
    pulls = [pull for pull in case.pull if pull is not None]
    slips = reach.slips if every_slip else (reach.slip,)
    splits, floors = _along(reach.splits), _along(reach.floors(case))
    tractor = case.tractor
    sought = _Sought(tractor.engine, tractor.stance, case.kept_share, tuple(pulls), tuple(slips), tuple(reach.splits))
    masses = in_parts(_masses, sought, AT_ONCE // (len(pulls) * len(slips) * len(splits)))
    least = np.asarray(_least_weight(sought, splits, _along(pulls[:1]))) / STANDARD_GRAVITY
    aimed = masses[:, 0]
    if every_slip:
        aimed = np.asarray(picked(reach.aim, dict(zip(_AIMS, np.moveaxis(masses, 1, 0), strict=True))))
    within = np.maximum(aimed, floors)
    central = within[0]
    away = np.abs(splits - case.tractor.front_share) + 0.0 * floors
    shape = np.broadcast_shapes(central.shape, away.shape)
    lowest = central.min(axis=0)
    chosen = np.where(central <= lowest * (1.0 + ROUNDING), away, np.inf).argmin(axis=0)
    columns = np.arange(int(shape[1]))

    def at_chosen(values: FloatArray) -> FloatArray:
        return np.broadcast_to(values, shape)[chosen, columns]

    mass, least_mass = at_chosen(central), at_chosen(least)
    exists = np.isfinite(mass)
    in_reach = exists & np.asarray(mass <= reach.heaviest * (1.0 + ROUNDING))
    decides = np.where(mass <= least_mass * (1.0 + ROUNDING), place_of("front-axle"), place_of("slip"))
    decides = np.where(at_chosen(aimed[0]) < at_chosen(floors), place_of("lightest"), decides)
    forbids = np.where((least < MOST_MASS).any(axis=0), place_of("soil"), place_of("front-axle"))
    forbids = np.where(exists, place_of("heaviest"), forbids)
    return Found(
        exists=_mask(exists),
        within=_mask(in_reach),
        mass=_real(mass),
        front_share=_real(at_chosen(splits)),
        mass_ends=_ends(within),
        decided_by=_real(np.where(in_reach, decides, forbids)),
        needed=[_needed(slip, mass) for slip, mass in zip(reach.slips, masses[0].min(axis=1), strict=True)]
        if every_slip
        else [],
    )


_AIMS = ("low", "middle", "high")


class _Sought(NamedTuple):
    """All that the masses depend on that are searched for."""

    tractor: EngineTractor
    stance: Stance
    kept_share: Real
    pulls: tuple[Real, ...]
    """[N]"""
    slips: tuple[Real, ...]
    """[1]"""
    splits: tuple[Real, ...]
    """[1]"""


def _least_weight(sought: _Sought, split: Real, pull: Real) -> Real:
    """Return the least weight [N] that leaves the front axle enough to steer at a `split` [1] under a `pull` [N]."""
    return larger(steering_weight(sought.stance, split, pull, sought.kept_share), LEAST_MASS * STANDARD_GRAVITY)


def _masses(sought: _Sought) -> FloatArray:
    """Return the least masses [kg] that hold the pulls at the slips and leave the front axle enough to steer.

    Of shape (pulls, slips, splits, rows); infinite where no mass will do.
    """
    pull, slip, split = _along(sought.pulls)[:, None, None], _along(sought.slips)[:, None], _along(sought.splits)
    most = MOST_MASS * STANDARD_GRAVITY
    least = _least_weight(sought, split, pull)
    steers = least < most
    start = choose(steers, least, 0.5 * most)
    found = weight_for_slip(sought.tractor, sought.stance, split, pull, slip, start, most)
    return np.where(steers & found.carried, found.weight, np.inf) / STANDARD_GRAVITY


def _ends(within: FloatArray) -> tuple[Real | None, Real | None]:
    """Return what the range of the draft makes of the mass [kg], from masses of shape (pulls, splits, rows)."""
    if len(within) == 1:
        return None, None
    ends = within.min(axis=1)
    known = _mask(np.isfinite(ends).all(axis=0))
    return known_where(known, _real(ends.min(axis=0))), known_where(known, _real(ends.max(axis=0)))


def _needed(slip: Real, mass: FloatArray) -> Needed:
    return Needed(slip, _mask(np.isfinite(mass)), _real(mass))


class Right(NamedTuple):
    """What the tractor should weigh."""

    exists: Mask
    """Whether any mass within reach will do; elsewhere the numbers are those of the tractor as it stands."""
    mass: Span[Real]
    """[kg]"""
    front_share: Real
    """[1]"""
    decided_by: Real
    """Number of what set the mass, or forbids it."""


def right_for(case: BallastCase, reach: Reach, now: BallastState, found: Found) -> Right:
    """Return what the tractor should weigh.

    Where slip and steering are right as it stands, mass is only moved to the usual split, as long as slip stays in
    its band. Ballast that is missing in front with implements raised is added on top.
    """
    mass, share = now.mass.value, now.front_share
    split, stays = _least_move(case, reach, now)
    # Too heavy already, and nothing can come off: more mass for the sake of the split would be worse.
    too_light = either(opposite(now.carried), now.point.value.slip > case.band[1])
    worse = both(both(found.decided_by == place_of("lightest"), found.mass > mass), now.keeps("front-axle"))
    worse = both(worse, opposite(too_light))
    searched = both(found.within, opposite(either(stays, worse)))
    exists = either(stays, found.within)
    right = choose(searched, found.mass, mass)
    right_share = choose(stays, split, choose(searched, found.front_share, share))
    decided_by = choose(stays, place_of("split"), found.decided_by)
    low, high = (known_where(searched, end) if end is not None else None for end in found.mass_ends)
    raised = case.raised_at(right, right_share)
    if raised is None:
        return Right(exists, Span(right, low, high), right_share, decided_by)
    missing = both(exists, raised.front_ballast > ROUNDING * right)
    more = choose(missing, raised.front_ballast, 0.0)
    wheelbase = case.tractor.stance.wheelbase
    front = right_share * right + more * (case.ballast_reach + wheelbase) / wheelbase
    heavier = right + more
    return Right(
        exists,
        Span(heavier, low + more if low is not None else None, high + more if high is not None else None),
        choose(missing, smaller(front / heavier, 1.0), right_share),
        choose(missing, place_of("raised"), decided_by),
    )


def _least_move(case: BallastCase, reach: Reach, now: BallastState) -> tuple[Real, Mask]:
    """Return the nearest usual split [1], and whether moving the present mass to it is all it takes."""
    mass = now.mass.value
    low, high = reach.shares
    split = smaller(larger(now.front_share, low), high)
    hung = ballast_for_axles((split - now.front_share) * mass, 0.0, case.tractor.stance.wheelbase, case.ballast_reach)
    there = both(hung.front >= -reach.removable[0] - ROUNDING, hung.rear >= -reach.removable[1] - ROUNDING)
    light = both(mass <= reach.heaviest * (1.0 + ROUNDING), both(now.keeps("slip"), now.keeps("front-axle")))
    light = both(light, there)
    if not somewhere(light):
        return split, light
    point = operate(case.at(mass, split).engine, case.work.value, case.speed)
    stays = both(point.pull_effort <= 1.0, in_band(point.slip, case.band) >= -ROUNDING)
    return split, both(light, stays)


class GreatestPull(NamedTuple):
    """The greatest pull at the slip aimed at that any mass and split within reach gives."""

    exists: Mask
    pull: Real
    """[N]; means nothing where there is none."""


def greatest_pull_in_reach(case: BallastCase, reach: Reach) -> GreatestPull:
    """Return the greatest pull at the slip aimed at that any mass and split within reach gives."""
    tractor, floors = case.tractor, tuple(reach.floors(case))
    tried = _Tried(
        tractor.engine, tractor.stance, case.kept_share, reach.slip, floors, reach.heaviest, tuple(reach.splits)
    )
    greatest = in_parts(_greatest_pull, tried, AT_ONCE // (MASSES * len(floors)))
    return GreatestPull(_mask(greatest > 0.0), _real(greatest))


class _Tried(NamedTuple):
    """All that the greatest pull within reach depends on."""

    tractor: EngineTractor
    stance: Stance
    kept_share: Real
    slip: Real
    """[1]"""
    floors: tuple[Real, ...]
    """[kg]"""
    heaviest: Real
    """[kg]"""
    splits: tuple[Real, ...]
    """[1]"""


def _greatest_pull(tried: _Tried) -> FloatArray:
    """Return the greatest pull [N] over masses and splits, of shape (rows,); -inf where no split is within reach."""
    floors, splits, heaviest = _along(tried.floors), _along(tried.splits), _along([tried.heaviest])
    within = floors <= heaviest
    lowest = np.where(within, floors, heaviest)
    step = (heaviest - lowest) / (MASSES - 1)
    masses = [*(lowest + at * step for at in range(MASSES - 1)), np.broadcast_to(heaviest, lowest.shape)]
    weights = STANDARD_GRAVITY * np.array(masses)
    tractor = reweighed(tried.tractor, tried.stance, weights, splits)
    # At its own slip and steering limit a tractor pulls the same whatever power it has.
    pulls = holding_pull(tractor, Limits(tried.slip, np.inf, tried.kept_share * weights))
    return np.where(within, pulls, -np.inf).max(axis=(0, 1))
