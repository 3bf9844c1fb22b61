"""Where a cost that first falls and then rises is least, and where it keeps a limit.

The search goes by the logarithm of the variable, for areas and widths span orders of magnitude. It holds for any cost
with one minimum; a cost that only falls or only rises has it at an end. All rows of an array take the same number of
steps, or stay where they have arrived, so that what comes of one does not depend on its neighbours.
"""

from collections.abc import Callable
from typing import NamedTuple

from drawbar_service.engine.arrays import Mask, Real, both, choose, exp, larger, log, smaller
from drawbar_service.engine.search import greatest_within

# Golden section: a step keeps 0.618 of the bracket, so that 40 leave 4e-9 of it. A flat minimum cannot tell more: costs
# that differ by rounding lie 1e-8 apart.
_STEPS = 40
_GOLDEN = 0.6180339887498949


class Minimum(NamedTuple):
    """The least of a cost."""

    at: Real
    """Where, in the unit of the variable."""
    cost: Real
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


def find_minimum(cost: Callable[[Real], Real], low: Real, high: Real) -> Minimum:
    """Return where a `cost` with one minimum is least between `low` and `high`, by golden section.

    Parameters
    ----------
    cost : callable
        Cost as a function of the variable, for a float or for one in each row.
    low, high : float or array
        Ends of the search, above 0 [1].
    """
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
    return Minimum(at, least)


def band_within(cost: Callable[[Real], Real], limit: Real, minimum: Minimum, low: Real, high: Real) -> Band:
    """Return where a cost with one `minimum` keeps a limit.

    Parameters
    ----------
    cost : callable
        Cost as a function of the variable, with one minimum.
    limit : float or array
        Greatest cost that counts, in the unit of the cost.
    minimum : Minimum
        Of that cost between `low` and `high`.
    low, high : float or array
        Ends of the search, above 0 [1].
    """
    at = log(minimum.at)
    rising = greatest_within(lambda u: cost(exp(u)) - limit, at, log(high))
    falling = greatest_within(lambda u: cost(exp(-u)) - limit, -at, -log(low))
    kept = minimum.cost <= limit
    return Band(
        choose(kept, smaller(exp(-falling.value), minimum.at), minimum.at),
        choose(kept, larger(exp(rising.value), minimum.at), minimum.at),
        both(kept, cost(low) <= limit),
        both(kept, cost(high) <= limit),
        kept,
    )
