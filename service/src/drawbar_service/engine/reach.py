"""How far it goes: the greatest speed, width or depth at which a tractor keeps its limits.

Slip, soil and front axle limit the pull alone, whatever the speed. Power limits pull and speed together. So the
pull is limited first, in closed form once :func:`~drawbar_service.engine.match.holding_pull` is known, and
only power is searched for, on axes where it is nearly a straight line.
"""

from collections.abc import Callable
from typing import NamedTuple

from drawbar_service.engine.arrays import Mask, Real, choose, everywhere, exp, larger, log, smaller, sqrt
from drawbar_service.engine.draft import NO_DRAFT, DraftTerms
from drawbar_service.engine.match import Limits, Tractor, Work, holding_pull, operate, power_by_ratio

_ANY_PULL = 1e12
"""More [N] than any implement asks for; a number, where infinity would spoil the arithmetic."""
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
    pulling_power: Callable[[Real, Real], Real]
    """Power at the PTO [W] that a pull [N] at a speed [m/s] takes; it rises with both."""


def reach_on_wheels(tractor: Tractor, limits: Limits) -> Reach:
    """Return the reach of a wheeled `tractor` held to `limits`."""

    def pulling_power(pull: Real, speed: Real) -> Real:
        return operate(tractor, Work(NO_DRAFT, pull, 0.0), speed).pto_power

    return Reach(holding_pull(tractor, limits), limits.power, pulling_power)


def reach_by_ratio(drawbar_per_pto: Real, grade_pull: Real, power: Real) -> Reach:
    """Return the reach of a tractor of which only the `drawbar_per_pto` ratio [1] and `power` [W] are known.

    The part of its own weight along the grade is `grade_pull` [N]. Slip and axle loads are not reckoned.
    """

    def pulling_power(pull: Real, speed: Real) -> Real:
        return power_by_ratio(Work(NO_DRAFT, pull, 0.0), grade_pull, drawbar_per_pto, speed)

    return Reach(_ANY_PULL, power, pulling_power)


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

    def power(speed: Real) -> Real:
        return reach.pulling_power(draft.at(speed) + steady, speed) + work.other_power

    room = reach.pull - steady - draft.constant
    # The root of draft(v) = what is left for it, in the form that does not cancel. No root: any speed, or none.
    rise = draft.linear + sqrt(larger(draft.linear * draft.linear + 4.0 * draft.quadratic * room, 0.0))
    rises = rise > 0.0
    held = choose(rises, 2.0 * room / choose(rises, rise, 1.0), choose(room >= 0.0, high, low))
    pulls = draft.at(low) + steady, draft.at(high) + steady
    return _farthest(power, reach, low, high, held, pulls, _POWER_GOES_WITH_SPEED, tolerance)


def greatest_amount(reach: Reach, fixed: Work, per_unit: DraftTerms, speed: Real, low: Real, high: Real) -> Farthest:
    """Return how much of something that adds draft can be pulled at one speed.

    Width in tools or metres, and depth, all enter the draft as a straight line.

    Parameters
    ----------
    reach : Reach
    fixed : Work
        What is pulled whatever the amount.
    per_unit : DraftTerms
        Draft that each unit of the amount adds.
    speed : float or array
        [m/s]
    low, high : float or array
        Ends of the search, in the unit of the amount.
    """
    base, each = fixed.draft.at(speed) + fixed.steady_pull, per_unit.at(speed)

    def power(amount: Real) -> Real:
        return reach.pulling_power(base + each * amount, speed) + fixed.other_power

    room, rises = reach.pull - base, each > 0.0
    held = choose(rises, room / choose(rises, each, 1.0), choose(room >= 0.0, high, low))
    return _farthest(
        power, reach, low, high, held, (base + each * low, base + each * high), _POWER_GOES_WITH_PULL, EXACT
    )


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


def _farthest(
    power: Callable[[Real], Real],
    reach: Reach,
    low: Real,
    high: Real,
    held: Real,
    pulls: tuple[Real, Real],
    exponent: float,
    tolerance: float,
) -> Farthest:
    """Return the farthest value at which pull and power suffice.

    The pull suffices up to `held`, and `pulls` are what it is at both ends. Power rises with about this `exponent`.
    """
    top = smaller(larger(held * (1.0 - _MARGIN), low), high)
    value, enough_at_top, enough_at_low = _within_power(power, reach.power, low, top, exponent, tolerance)
    fits = (pulls[0] <= reach.pull) & enough_at_low
    to_the_end = fits & (pulls[1] <= reach.pull) & enough_at_top
    return Farthest(choose(fits, choose(to_the_end, high + 0.0 * value, value), low + 0.0 * value), fits, to_the_end)


def _within_power(
    power: Callable[[Real], Real], most: Real, low: Real, top: Real, exponent: float, tolerance: float
) -> tuple[Real, Mask, Mask]:
    """Return the greatest value up to `top` whose `power` is at most `most`, and whether it suffices at top and low.

    The secant method on the logarithms of both: power goes about with a power of the variable. A bracket keeps it
    from straying.
    """
    ratio = power(top) / most
    enough_at_top = ratio <= 1.0
    x, y = log(larger(top, _TINY)), log(larger(ratio, _TINY))
    ceiling, floor = x, log(larger(larger(low, _NEAREST_NOTHING * top), _TINY))
    floor_known = enough_at_top
    enough_at_low = enough_at_top | (floor < ceiling)
    settled = enough_at_top | (floor >= ceiling)
    slope: Real = exponent + 0.0 * x
    for _ in range(_MAX_STEPS):
        if everywhere(settled):
            break
        middle = 0.5 * (floor + ceiling)
        guess = x - y / slope
        guess = choose(guess <= floor, choose(floor_known, middle, floor), choose(guess >= ceiling, middle, guess))
        guess = choose(settled, x, guess)
        found = log(larger(power(exp(guess)) / most, _TINY))
        step = guess - x
        steepness = (found - y) / choose(step == 0.0, 1.0, step)
        slope = choose(steepness > _LEAST_STEEPNESS, steepness, slope)
        over = found > 0.0
        enough_at_low = enough_at_low & (settled | (found <= 0.0) | floor_known | (guess > floor))
        # The secant's next error is about the product of its last two.
        arrives = abs(found * step) <= tolerance
        ahead = choose(settled, guess, choose(arrives, guess - found / slope, guess))
        settled = settled | arrives | (over & (guess <= floor))
        ceiling, floor = choose(over, guess, ceiling), choose(over, floor, guess)
        floor_known = floor_known | (found <= 0.0)
        x, y = ahead, found
    return choose(enough_at_top, top, exp(x) * (1.0 - max(tolerance, _MARGIN))), enough_at_top, enough_at_low
