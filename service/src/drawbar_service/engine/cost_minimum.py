"""Where a cost that first falls and then rises is least, and where it keeps a limit.

The search goes by the logarithm of the variable, for areas and widths span orders of magnitude.
It holds for any cost with one valley; a cost that only falls or only rises has it at an end.
"""

from collections.abc import Callable
from typing import NamedTuple

from drawbar_service.engine.arrays import Mask, Real, choose, exp, larger, log, smaller
from drawbar_service.engine.search import greatest_within

# Golden section: a step keeps 0.618 of the bracket, so that 40 leave 4e-9 of it. A flat bottom cannot tell more: costs
# that differ by rounding lie 1e-8 apart.
_STEPS = 40
_GOLDEN = 0.6180339887498949


class Valley(NamedTuple):
    """The bottom of a cost."""

    at: Real
    """Where, in the unit of the variable."""
    least: Real
    """The cost there."""


class Band(NamedTuple):
    """Where a cost keeps a limit; both ends lie within what was searched."""

    low: Real
    """In the unit of the variable."""
    high: Real
    """In the unit of the variable."""
    low_is_end: Mask
    """Whether `low` is only the end of the search, not where the cost crosses the limit."""
    high_is_end: Mask
    """Whether `high` is only the end of the search."""
    kept: Mask
    """Whether the limit is kept anywhere; if not, `low` and `high` are where the cost is least."""


def bottom(cost: Callable[[Real], Real], low: Real, high: Real) -> Valley:
    """Return where a `cost` with one valley is least between `low` and `high`, both above 0 [1], by golden section."""
    left, right = log(low) + 0.0 * high, log(high) + 0.0 * low
    near, far = right - _GOLDEN * (right - left), left + _GOLDEN * (right - left)
    cost_near, cost_far = cost(exp(near)), cost(exp(far))
    for _ in range(_STEPS):
        falls = cost_far < cost_near
        left, right = choose(falls, near, left), choose(falls, right, far)
        near_next, far_next = right - _GOLDEN * (right - left), left + _GOLDEN * (right - left)
        tried = choose(falls, far_next, near_next)
        cost_tried = cost(exp(tried))
        near, far = choose(falls, far, tried), choose(falls, tried, near)
        cost_near, cost_far = choose(falls, cost_far, cost_tried), choose(falls, cost_tried, cost_near)
    inside = exp(0.5 * (left + right))
    at, least = inside, cost(inside)
    for end in (low, high):
        cost_end = cost(end)
        better = cost_end < least
        at, least = choose(better, end, at), choose(better, cost_end, least)
    return Valley(at, least)


def band(cost: Callable[[Real], Real], limit: Real, valley: Valley, low: Real, high: Real) -> Band:
    """Return where a cost with one `valley` keeps a limit.

    Parameters
    ----------
    cost : callable
        Cost as a function of the variable, with one valley.
    limit : float or array
        Greatest cost that counts, in the unit of the cost.
    valley : Valley
        Of that cost between `low` and `high`.
    low, high : float or array
        Ends of the search, above 0 [1].
    """
    at = log(valley.at)
    rising = greatest_within(lambda u: cost(exp(u)) - limit, at, log(high))
    falling = greatest_within(lambda u: cost(exp(-u)) - limit, -at, -log(low))
    kept = valley.least <= limit
    return Band(
        choose(kept, smaller(exp(-falling.value), valley.at), valley.at),
        choose(kept, larger(exp(rising.value), valley.at), valley.at),
        kept & (cost(low) <= limit),
        kept & (cost(high) <= limit),
        kept,
    )
