"""How far it goes: the greatest speed, width or depth at which a tractor keeps its limits.

Slip, soil and front axle limit the pull alone, whatever the speed. Power limits pull and speed together. So the
pull is limited first, in closed form once :func:`~drawbar_service.engine.match.holding_pull` is known, and
only power is searched for, on axes where it is nearly a straight line.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from drawbar_service.engine.arrays import (
    Mask,
    Real,
    choose,
    everywhere,
    exp,
    few,
    larger,
    log,
    opposite,
    rows_of,
    smaller,
    sqrt,
    with_rows,
)
from drawbar_service.engine.draft import NO_DRAFT, DraftTerms
from drawbar_service.engine.match import Limits, Tractor, Work, holding_pull, pulling_power

_MARGIN = 1e-9
"""How far [1] an answer stays inside its limits, so that rounding never takes it beyond."""
EXACT = 1e-10
"""Tolerance of the search, in the logarithm of its variable [1]."""
_LEAST_STEEPNESS = 1e-6
"""Rise of power, logarithm over logarithm [1], below which two points of the search say nothing."""
_POWER_GOES_WITH_SPEED, _POWER_GOES_WITH_PULL = 1.5, 1.1
"""Exponents [1] to start the search with."""
_MAX_STEPS = 100
"""Far more than the search takes [1]; it never runs on for ever."""
_APART = 0.8
"""Below this share [1] of all rows, those that have not arrived are searched apart from the others."""
_TINY = 1e-300
"""Least number [1] that a logarithm is taken of."""
_NEAREST_NOTHING = 1e-9
"""Low end of a search from 0, over its high end [1]: logarithms want more than 0."""


class Reach(NamedTuple):
    """What a tractor can do, whatever hangs behind it."""

    pull: Real
    """Greatest pull at the hitch within the limits of slip, soil and front axle [N]."""
    power: Real
    """Greatest power at the PTO [W]."""
    machine: tuple[Any, ...]
    """The tractor, as `takes` knows it."""
    takes: Callable[[Any, Real, Real], Real]
    """Power at the PTO [W] that a pull [N] at a speed [m/s] takes of the machine; it rises with both."""


def reach_on_wheels(tractor: Tractor, limits: Limits) -> Reach:
    """Return the reach of a wheeled `tractor` held to `limits`."""
    return Reach(holding_pull(tractor, limits), limits.power, tractor, pulling_power)


class Farthest(NamedTuple):
    """The largest value that keeps every limit."""

    value: Real
    """In the unit of the variable; the low end of the search where even that exceeds a limit."""
    fits: Mask
    """Whether any value does."""
    to_the_end: Mask
    """Whether all of them do, so that the search and no limit ends it."""


def greatest_speed(reach: Reach, work: Work, low: Real, high: Real, tolerance: float = EXACT) -> Farthest:
    """Return the greatest speed [m/s] between `low` and `high` [m/s] at which `work` is within `reach`.

    Parameters
    ----------
    reach : Reach
    work : Work
    low, high : float or array
        Ends of the search [m/s].
    tolerance : float
        Of the answer, relative [1], where power ends it. Spreads over many scenarios need no more than 1e-4.
    """
    draft, steady = work.draft, work.steady_pull

    def power(given: tuple[Reach, Work], speed: Real) -> Real:
        reach, work = given
        pull = work.draft.at(speed) + work.steady_pull
        return reach.takes(reach.machine, pull, speed) + work.other_power

    room = reach.pull - steady - draft.constant
    # The root of draft(v) = what is left for it, in the form that does not cancel. No root: any speed, or none.
    rise = draft.linear + sqrt(larger(draft.linear * draft.linear + 4.0 * draft.quadratic * room, 0.0))
    rises = rise > 0.0
    held = choose(rises, 2.0 * room / choose(rises, rise, 1.0), choose(room >= 0.0, high, low))
    pulls = draft.at(low) + steady, draft.at(high) + steady
    search = _Search(power, (reach, work), reach.power, _POWER_GOES_WITH_SPEED, tolerance)
    return _farthest(search, reach.pull, low, high, held, pulls)


def greatest_pull(reach: Reach, speed: Real, other_power: Real) -> Real:
    """Return the greatest pull [N] within every limit at a `speed`; minus infinity where power is short without one.

    Parameters
    ----------
    reach : Reach
    speed : float or array
        [m/s]
    other_power : float or array
        What else is taken of the PTO, whatever the pull [W].
    """

    def power(given: tuple[Reach, Real, Real], pull: Real) -> Real:
        reach, speed, other_power = given
        return reach.takes(reach.machine, pull, speed) + other_power

    search = _Search(power, (reach, speed, other_power), reach.power, _POWER_GOES_WITH_PULL, EXACT)
    value, enough_at_most, enough_for_none = _within_power(search, 0.0 * reach.pull, reach.pull)
    return choose(enough_at_most | enough_for_none, value, -np.inf)


def greatest_amount(most: Real, fixed: Work, per_unit: DraftTerms, speed: Real, low: Real, high: Real) -> Farthest:
    """Return how much of something that adds draft can be pulled at one speed.

    Width in tools or metres, and depth, all enter the draft as a straight line.

    Parameters
    ----------
    most : float or array
        Greatest pull at that speed and the other power of `fixed`, see :func:`greatest_pull` [N].
    fixed : Work
        What is pulled whatever the amount.
    per_unit : DraftTerms
        Draft that each unit of the amount adds.
    speed : float or array
        [m/s]
    low, high : float or array
        Ends of the search, in the unit of the amount.
    """
    base, each = fixed.pull_at(speed), per_unit.at(speed)
    rises = each > 0.0
    fits, to_the_end = base + each * low <= most, base + each * high <= most
    held = (most - base) / choose(rises, each, 1.0) * (1.0 - _MARGIN)
    value = choose(rises & opposite(to_the_end), smaller(larger(held, low), high), high)
    return Farthest(choose(fits, value, low + 0.0 * value), fits, to_the_end)


def by_width(work: Work, amount: Real) -> tuple[Work, DraftTerms]:
    """Return `work` of an `amount` of tools or rows [1], or metres of width [m], as what is fixed and what each adds.

    All tools grow in proportion.
    """
    return work._replace(draft=NO_DRAFT), work.draft.times(1.0 / amount)


def by_depth(work: Work, part: DraftTerms, depth: Real) -> tuple[Work, DraftTerms]:
    """Return `work` as what is fixed and what each metre of depth adds, for one tool at a `depth` [m].

    The `part` is that tool's share of the draft.
    """
    return work._replace(draft=work.draft.plus(part, -1.0)), part.times(1.0 / depth)


class _Search(NamedTuple):
    """Up to where a power suffices."""

    power: Callable[[Any, Real], Real]
    """What it takes [W], of what is given and the variable."""
    given: tuple[Any, ...]
    """Records and arrays that it needs beside the variable, apart from it so that rows can be picked."""
    most: Real
    """What there is [W]."""
    exponent: float
    """With about this power of the variable it rises [1]."""
    tolerance: float
    """Of the answer, relative [1]."""


def _farthest(
    search: _Search, most_pull: Real, low: Real, high: Real, held: Real, pulls: tuple[Real, Real]
) -> Farthest:
    """Return the farthest value at which pull and power suffice.

    The pull suffices up to `held`, and `pulls` are what it is at both ends.
    """
    top = smaller(larger(held * (1.0 - _MARGIN), low), high)
    value, enough_at_top, enough_at_low = _within_power(search, low, top)
    fits = (pulls[0] <= most_pull) & enough_at_low
    to_the_end = fits & (pulls[1] <= most_pull) & enough_at_top
    return Farthest(choose(fits, choose(to_the_end, high + 0.0 * value, value), low + 0.0 * value), fits, to_the_end)


class _Bracket(NamedTuple):
    """How far the search has come."""

    x: Real
    """Logarithm of the variable [1]; the answer once it is settled."""
    y: Real
    """Logarithm of the power it takes over what there is [1]."""
    slope: Real
    """Of y over x [1]."""
    floor: Real
    """Below the answer, in logarithms [1]."""
    ceiling: Real
    """Above it, in logarithms [1]."""
    floor_known: Mask
    """Whether the power was seen to suffice somewhere."""
    enough_at_low: Mask
    settled: Mask


def _within_power(search: _Search, low: Real, top: Real) -> tuple[Real, Mask, Mask]:
    """Return the greatest value up to `top` at which the power suffices, and whether it does at top and at low.

    The secant method on the logarithms of both: power goes about with a power of the variable. A bracket keeps it
    from straying.
    """
    ratio = search.power(search.given, top) / search.most
    enough_at_top = ratio <= 1.0
    x, y = log(larger(top, _TINY)), log(larger(ratio, _TINY))
    floor = log(larger(larger(low, _NEAREST_NOTHING * top), _TINY))
    enough_at_low, settled = enough_at_top | (floor < x), enough_at_top | (floor >= x)
    begin = _Bracket(x, y, search.exponent + 0.0 * x, floor, x, enough_at_top, enough_at_low, settled)
    found = _settled(search, begin)
    value = exp(found.x) * (1.0 - max(search.tolerance, _MARGIN))
    return choose(enough_at_top, top, value), enough_at_top, found.enough_at_low


def _settled(search: _Search, at: _Bracket) -> _Bracket:
    """Return where the search ends."""
    for _ in range(_MAX_STEPS):
        if everywhere(at.settled):
            break
        rest = np.logical_not(at.settled)
        if few(rest, _APART):
            # Those that have arrived would only be worked out again and again.
            return with_rows(at, rest, _settled(*rows_of((search, at), rest)))
        at = _nearer(search, at)
    return at


def _nearer(search: _Search, at: _Bracket) -> _Bracket:
    """Return where the search is a step later."""
    middle = 0.5 * (at.floor + at.ceiling)
    guess = at.x - at.y / at.slope
    guess = choose(
        guess <= at.floor, choose(at.floor_known, middle, at.floor), choose(guess >= at.ceiling, middle, guess)
    )
    guess = choose(at.settled, at.x, guess)
    found = log(larger(search.power(search.given, exp(guess)) / search.most, _TINY))
    step = guess - at.x
    steepness = (found - at.y) / choose(step == 0.0, 1.0, step)
    slope = choose(steepness > _LEAST_STEEPNESS, steepness, at.slope)
    over = found > 0.0
    # The secant's next error is about the product of its last two.
    arrives = abs(found * step) <= search.tolerance
    return _Bracket(
        choose(at.settled, guess, choose(arrives, guess - found / slope, guess)),
        found,
        slope,
        choose(over, at.floor, guess),
        choose(over, guess, at.ceiling),
        at.floor_known | (found <= 0.0),
        at.enough_at_low & (at.settled | (found <= 0.0) | at.floor_known | (guess > at.floor)),
        at.settled | arrives | (over & (guess <= at.floor)),
    )
