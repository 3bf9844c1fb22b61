"""How a calculation goes on arrays: which leaves may be arrays, and what every column is then.

A calculation says this once, as a :class:`Way`; :mod:`~drawbar_service.batch.together.groups` does the rest.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, Literal, TypeAlias, TypeVar

import msgspec
import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.batch.plan import Index
from drawbar_service.engine.arrays import FloatArray, Mask, Real

Value: TypeAlias = Real | Mask | str | Sequence[str | None] | None
"""Of every row, or one for all of them."""
End: TypeAlias = Literal[0, 1, 2]
"""The value itself (0), or the low (1) or high (2) of its range."""

NONE = float("nan")
"""Where there is no number."""

RequestT = TypeVar("RequestT", bound=msgspec.Struct)
CaseT = TypeVar("CaseT")
RowsT = TypeVar("RowsT")
Give: TypeAlias = Callable[[RowsT, End], Value]


class Leaves(dict[str, FloatArray]):
    """The leaves of a request that are arrays, by pointer, in SI units."""

    def at(self, pointer: str, given: float) -> Real:
        """Return the array that a pointer leads to, or else what is `given` in every row."""
        found = self.get(pointer)
        return float(given) if found is None else found

    def maybe(self, pointer: str, given: float | None) -> Real | None:
        """Return the same, or None where the request leaves it out."""
        return None if given is None else self.at(pointer, given)

    def of(self, rows: Index | slice) -> "Leaves":
        """Return the leaves of some rows."""
        return Leaves({pointer: values[rows] for pointer, values in self.items()})


def _one(case: Any, leaves: Leaves) -> None:
    return None


def _no_row(case: Any, leaves: Leaves) -> Mask:
    return False


@dataclass(frozen=True)
class Way(Generic[RequestT, CaseT, RowsT]):
    """How a calculation goes on arrays.

    Parameters
    ----------
    leaves : re.Pattern
        Pointers into the request whose numbers may be arrays. Rows that differ in anything else are read apart.
    read : callable
        What rows share, from the request of one of them. None: they have to be worked one by one. Faults it raises
        are told of all of them, so none may come of a number that is an array.
    rows : callable
        From what rows share, the arrays and the number of rows to what columns are made of.
    columns : mapping
        By pointer into the answer, how a column is given, in SI units.
    apart : callable
        From what rows share and the arrays: a number for each row, where only rows of the same number share that
        after all; None if all do.
    alone : callable
        Rows that have to be worked one by one, because something is wrong with their numbers.
    """

    leaves: re.Pattern[str]
    read: Callable[[RequestT, Ledger, Leaves], CaseT | None]
    rows: Callable[[CaseT, Leaves, int], RowsT]
    columns: Mapping[str, Give[RowsT]]
    apart: Callable[[CaseT, Leaves], Index | None] = _one
    alone: Callable[[CaseT, Leaves], Mask] = _no_row


def plain(give: Callable[[RowsT], Value]) -> Give[RowsT]:
    """Return how to give a value that has no range."""
    return lambda rows, end: give(rows) if end == 0 else NONE


def ranged(give: Callable[[RowsT], tuple[Value, Value, Value]]) -> Give[RowsT]:
    """Return how to give a value from itself and its low and high."""
    return lambda rows, end: give(rows)[end]


def where(condition: Mask, value: Real) -> Real:
    """Return `value` where `condition` holds, and elsewhere nothing."""
    return np.where(condition, value, NONE) if isinstance(condition, np.ndarray) else value if condition else NONE
