"""The greatest value that keeps a limit, for any function that rises with it."""

from collections.abc import Callable
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, choose, either, everywhere, larger, smaller


class Greatest(NamedTuple):
    """The largest value that keeps every limit."""

    value: Real
    """In the unit of the variable; the low end of the search where even that exceeds a limit."""
    excess: Real
    """Above 0 if no value in the search keeps the limits, below 0 if all of them do, else 0 [1]."""


def greatest_within(exceeds: Callable[[Real], Real], low: Real, high: Real, tolerance: float = 1e-9) -> Greatest:
    """Return the greatest value between `low` and `high` at which a rising excess is still at most 0.

    Parameters
    ----------
    exceeds : callable
        Excess [1] as a function of the variable. It must not fall as the variable grows; it may jump.
    low, high : float or array
        Ends of the search, in the unit of the variable.
    tolerance : float
        Of the answer, over the breadth of the search [1].

    Notes
    -----
    Chandrupatla's method (1997): inverse quadratic interpolation where it is safe, bisection elsewhere,
    always inside the bracket. The end of the bracket that keeps the limits is returned, so the answer
    itself never exceeds them.
    """
    excess_low, excess_high = exceeds(low), exceeds(high)
    all_kept = excess_high <= 0.0
    none_kept = excess_low > 0.0
    settled = all_kept | none_kept
    width = tolerance * (high - low)
    newest, f_newest = high + 0.0 * low, excess_high
    opposite, f_opposite = low + 0.0 * high, excess_low
    share: Real = 0.5
    for _ in range(_MAX_STEPS):
        # A row that has arrived stays, so that its answer does not depend on its neighbours.
        trial = choose(settled, newest, newest + share * (opposite - newest))
        f_trial = exceeds(trial)
        same_side = either(settled, (f_trial > 0.0) == (f_newest > 0.0))
        oldest = choose(same_side, newest, opposite)
        f_oldest = choose(same_side, f_newest, f_opposite)
        opposite, f_opposite = choose(same_side, opposite, newest), choose(same_side, f_opposite, f_newest)
        newest, f_newest = trial, choose(settled, f_newest, f_trial)
        gap = abs(opposite - newest)
        settled = either(settled, gap <= 2.0 * width)
        if everywhere(settled):
            break
        share = _chandrupatla_share(newest, f_newest, opposite, f_opposite, oldest, f_oldest)
        margin = smaller(width / larger(gap, 1e-300), 0.5)
        share = smaller(larger(share, margin), 1.0 - margin)
    inside = choose(f_newest <= 0.0, newest, opposite)
    return Greatest(
        choose(all_kept, high, choose(none_kept, low, inside)),
        choose(all_kept, excess_high, choose(none_kept, excess_low, 0.0)),
    )


_MAX_STEPS = 100
"""More than bisection takes from any bracket to the last digit that counts [1]."""


def _chandrupatla_share(a: Real, f_a: Real, b: Real, f_b: Real, c: Real, f_c: Real) -> Real:
    """Return where to try next between `a` (0) and `b` (1), with `c` the point before them."""
    across = f_b - f_a
    xi = (a - b) / _nonzero(c - b)
    phi = (f_a - f_b) / _nonzero(f_c - f_b)
    safe = (phi * phi < xi) & ((1.0 - phi) * (1.0 - phi) < 1.0 - xi)
    straight = f_a / _nonzero(across) * (f_c / _nonzero(f_b - f_c))
    curve = (c - a) / _nonzero(b - a) * (f_a / _nonzero(f_c - f_a)) * (f_b / _nonzero(f_c - f_b))
    return choose(safe, straight + curve, 0.5)


def _nonzero(x: Real) -> Real:
    # Small enough to send the search to bisection, large enough that products of quotients stay finite.
    return choose(abs(x) < 1e-30, 1e-30, x)
