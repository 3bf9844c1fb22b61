"""The one numeric type of the engine, and the few operations that are slow in NumPy on scalars."""

import math
from collections.abc import Callable, Iterable, Sequence
from statistics import NormalDist
from typing import Any, TypeAlias, TypeGuard, TypeVar, cast

import numpy as np
import numpy.typing as npt

from drawbar_service.rows import Rows, as_rows

FloatArray: TypeAlias = npt.NDArray[np.float64]
Real: TypeAlias = float | FloatArray
"""A float, or an array of floats; every engine function takes either and broadcasts."""

Mask: TypeAlias = bool | npt.NDArray[np.bool_]
"""The outcome of comparing two :data:`Real`."""

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s^2] (ISO 80000-3)."""

# The functions below give a single float the same bits as NumPy gives an array, without the toll
# NumPy takes on single numbers (NumPy's scalar type is three times slower in arithmetic than
# Python's float, np.minimum ten times). One match calls them hundreds of times.


def exp(x: Real) -> Real:
    """Return e to the power of `x`."""
    return float(np.exp(x)) if isinstance(x, float) else np.exp(x)


def log(x: Real) -> Real:
    """Return the natural logarithm of `x`."""
    return float(np.log(x)) if isinstance(x, float) else np.log(x)


def expm1(x: Real) -> Real:
    """Return e to the power of `x`, less 1."""
    return float(np.expm1(x)) if isinstance(x, float) else np.expm1(x)


def log1p(x: Real) -> Real:
    """Return the natural logarithm of 1 plus `x`."""
    return float(np.log1p(x)) if isinstance(x, float) else np.log1p(x)


def power(base: Real, exponent: Real) -> Real:
    """Return `base`, not below 0, to the power of `exponent`."""
    raised = np.power(base, exponent)
    if not isinstance(exponent, np.ndarray):
        return raised if isinstance(base, np.ndarray) else float(raised)
    # Where one exponent serves all elements NumPy squares or takes the root, which may differ in the last bit.
    return choose(exponent == 2.0, base * base, choose(exponent == 0.5, sqrt(base), raised))


def sqrt(x: Real) -> Real:
    """Return the square root of `x`."""
    return float(np.sqrt(x)) if isinstance(x, float) else np.sqrt(x)


def arctan(x: Real) -> Real:
    """Return the angle [rad] whose tangent is `x`."""
    return float(np.arctan(x)) if isinstance(x, float) else np.arctan(x)


def arccos(cosine: Real) -> Real:
    """Return the angle [rad] of this `cosine` [1], from 0 to pi."""
    return float(np.arccos(cosine)) if isinstance(cosine, float) else np.arccos(cosine)


def sin(x: Real) -> Real:
    """Return the sine of `x` [rad]."""
    return float(np.sin(x)) if isinstance(x, float) else np.sin(x)


def cos(x: Real) -> Real:
    """Return the cosine of `x` [rad]."""
    return float(np.cos(x)) if isinstance(x, float) else np.cos(x)


def normal_share(z: Real) -> Real:
    """Return the share of a standard normal variable below `z` [1]."""
    if isinstance(z, np.ndarray):
        shares = np.fromiter(map(_normal_share, z.ravel().tolist()), np.float64, z.size).reshape(z.shape)
        return shares.view(type(z))
    return _normal_share(z)


def _normal_share(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def normal_score(share: Real) -> Real:
    """Return the value below which a `share` [1], between 0 and 1, of a standard normal variable lies."""
    if isinstance(share, np.ndarray):
        scores = np.fromiter(map(NormalDist().inv_cdf, share.ravel().tolist()), np.float64, share.size)
        return scores.reshape(share.shape).view(type(share))
    return NormalDist().inv_cdf(share)


def smaller(first: Real, second: Real) -> Real:
    """Return the smaller of `first` and `second`, element by element for arrays."""
    if isinstance(first, float) and isinstance(second, float):
        return second if second < first else first
    return np.minimum(first, second)


def larger(first: Real, second: Real) -> Real:
    """Return the larger of `first` and `second`, element by element for arrays."""
    if isinstance(first, float) and isinstance(second, float):
        return second if second > first else first
    return np.maximum(first, second)


def everywhere(condition: Mask) -> bool:
    """Return whether `condition` holds in every element."""
    return bool(condition.all()) if isinstance(condition, np.ndarray) else bool(condition)


def total(values: Iterable[Real]) -> Real:
    """Return the sum of `values`, added one after the other; 0 if there are none."""
    found: Real = 0.0
    for value in values:
        found = found + value
    return found


def greatest_at(values: Sequence[Real]) -> tuple[Real, Real]:
    """Return the place of the greatest of `values`, of the first of those that are equal, and the greatest itself."""
    place: Real = 0.0
    most = values[0]
    for at, value in enumerate(values[1:], 1):
        place, most = choose(value > most, float(at), place), larger(most, value)
    return place, most


def least_at(values: Sequence[Real]) -> tuple[Real, Real]:
    """Return the place of the least of `values`, of the first of those that are equal, and the least itself."""
    place: Real = 0.0
    least = values[0]
    for at, value in enumerate(values[1:], 1):
        place, least = choose(value < least, float(at), place), smaller(least, value)
    return place, least


def somewhere(condition: Mask) -> bool:
    """Return whether `condition` holds in any element."""
    if condition is True:
        return True
    return bool(condition.any()) if isinstance(condition, np.ndarray) else bool(condition)


def choose(condition: Mask, yes: Real, no: Real) -> Real:
    """Return `yes` where `condition` holds and `no` elsewhere."""
    if isinstance(condition, np.ndarray):
        found = np.where(condition, yes, no)
        # np.where drops the kind of array it was given.
        return found.view(Rows) if isinstance(condition, Rows) else found
    return yes if condition else no


def both(first: Mask, second: Mask) -> Mask:
    """Return whether `first` and `second` hold."""
    return first and second if isinstance(first, bool) and isinstance(second, bool) else np.logical_and(first, second)


def either(first: Mask, second: Mask) -> Mask:
    """Return whether `first` or `second` holds."""
    return first or second if isinstance(first, bool) and isinstance(second, bool) else np.logical_or(first, second)


def opposite(condition: Mask) -> Mask:
    """Return whether `condition` does not hold."""
    return np.logical_not(condition) if isinstance(condition, np.ndarray) else not condition


def along(at: Real, places: Sequence[Real], values: Sequence[Real]) -> Real:
    """Return the value `at` a place on straight lines between `values` at `places`, which rise; the nearest beyond."""
    found = values[0]
    for place, following, value, then in zip(places, places[1:], values, values[1:], strict=False):
        found = choose(at > place, (then - value) / (following - place) * (at - place) + value, found)
    return choose(at >= places[-1], values[-1], found)


def known_where(condition: Mask, value: Real) -> Real | None:
    """Return `value` where `condition` holds and nothing elsewhere: None for a single value, NaN in an array."""
    if isinstance(condition, np.ndarray):
        return choose(condition, value, np.nan)
    return value if condition else None


def truth(condition: Mask) -> bool:
    """Return a `condition` as a member of an answer holds it: a plain bool, or a mask of rows."""
    return cast("bool", as_rows(condition)) if isinstance(condition, np.ndarray) else bool(condition)


def whole(value: Real) -> int:
    """Return a whole `value` as an answer holds it: an int, or one for each row."""
    return cast("int", as_rows(value)) if isinstance(value, np.ndarray) else int(value)


def number(value: Real) -> float:
    """Return a `value` as a plain number of an answer holds it: a float, or one for each row."""
    return cast("float", as_rows(value)) if isinstance(value, np.ndarray) else float(value)


RecordT = TypeVar("RecordT")


def few(condition: Mask, share: float) -> TypeGuard[npt.NDArray[np.bool_]]:
    """Return whether `condition` holds in some elements, but in less than a `share` [1] of them."""
    return isinstance(condition, np.ndarray) and bool(0 < np.count_nonzero(condition) < share * condition.size)


def rows_in(record: Any) -> int | None:
    """Return the number of rows of the arrays in a `record`, None if it has none."""
    if isinstance(record, Rows):
        return len(record) if record.ndim else None
    if isinstance(record, (tuple, list)):
        sizes = [rows_in(member) for member in cast("tuple[Any, ...]", record)]
        return max((size for size in sizes if size is not None), default=None)
    return None


def in_parts(function: Callable[[RecordT], FloatArray], record: RecordT, most: int) -> FloatArray:
    """Return what a `function` makes of a `record` of rows, at `most` so many at once, so that memory stays bounded.

    The last axis of what it returns is that of the rows.
    """
    rows = rows_in(record)
    if rows is None or rows <= most:
        return function(record)
    part_of = np.arange(rows) // most
    found: list[FloatArray] = []
    for part in range(int(part_of[-1]) + 1):
        here = part_of == part
        values = function(rows_of(record, here))
        found.append(np.broadcast_to(values, (*values.shape[:-1], int(np.count_nonzero(here)))))
    return np.concatenate(found, axis=-1)


def rows_of(record: RecordT, where: npt.NDArray[np.bool_]) -> RecordT:
    """Return a `record` of numbers and arrays, records inside it included, with only the elements `where` it is true.

    Arrays of fewer elements are broadcast first.
    """
    return cast("RecordT", _taken(record, where.shape, where.nonzero()))


def _taken(record: Any, shape: tuple[int, ...], places: tuple[npt.NDArray[np.intp], ...]) -> Any:
    if isinstance(record, np.ndarray):
        return np.broadcast_to(cast("npt.NDArray[Any]", record), shape)[places]
    if isinstance(record, tuple):
        members = [_taken(member, shape, places) for member in cast("tuple[Any, ...]", record)]
        kind: Any = cast("Any", record).__class__
        return kind._make(members) if hasattr(kind, "_make") else kind(members)
    return record


def with_rows(record: RecordT, where: npt.NDArray[np.bool_], rows: RecordT) -> RecordT:
    """Return a `record` of arrays and masks with other `rows` `where` it is true, as :func:`rows_of` gives them."""
    members: list[Any] = []
    for old, new in zip(cast("tuple[Any, ...]", record), cast("tuple[Any, ...]", rows), strict=True):
        whole = np.array(np.broadcast_to(old, where.shape))
        whole[where] = new
        members.append(whole)
    return cast("Any", type(record))._make(members)
