"""Many rows at once: numbers and names that differ from row to row.

A calculation is written once, for one row. Given :class:`Rows` in place of numbers and :class:`Names` in place of
texts, it answers a whole block. Where rows would take different branches (``if load > 1.0``), or where a plain float is
needed, :class:`RowsDiffer` is raised with the groups of rows that can go on together, and whoever runs the block works
each group apart. So every calculation is right on rows; one that avoids such branches by ``choose``, ``smaller`` and
``larger`` is fast as well.
"""

from collections.abc import Callable, Sequence
from typing import Any, TypeAlias, TypeVar, cast

import numpy as np
import numpy.typing as npt

Codes: TypeAlias = npt.NDArray[np.intp]
"""A whole number for each row."""


class RowsDiffer(Exception):  # noqa: N818 - it says what is found, not what failed
    """Rows cannot go on together.

    Parameters
    ----------
    groups : array of int
        A number for each row; rows of the same number can go on together.
    """

    def __init__(self, groups: Codes) -> None:
        super().__init__(f"{len(groups)} rows take different branches")
        self.groups = groups


class Rows(np.ndarray[Any, np.dtype[Any]]):
    """A number, or true or false, for each row.

    ``low`` and ``high`` are the ends of a range, for a value of an answer that has one.
    """

    low: Any = None
    high: Any = None

    def _alone(self) -> Any:
        """Return the value that all rows share; raise with the groups where they differ."""
        plain = self.view(np.ndarray)
        first = plain.flat[0]
        if plain.size == 1 or bool(((plain == first) | ((plain != plain) & (first != first))).all()):
            return first
        raise RowsDiffer(np.unique(plain, return_inverse=True)[1].reshape(plain.shape).astype(np.intp))

    def __bool__(self) -> bool:
        """Return the truth that all rows share."""
        plain = self.view(np.ndarray)
        true = np.count_nonzero(plain)
        if 0 < true < plain.size:
            raise RowsDiffer((plain != 0).astype(np.intp))
        return bool(true > 0)

    def __float__(self) -> float:
        """Return the number that all rows share."""
        return float(self._alone())

    def __int__(self) -> int:
        """Return the whole number that all rows share."""
        return int(self._alone())

    def __index__(self) -> int:
        """Return the whole number that all rows share."""
        value = self._alone()
        if value != int(value):
            raise TypeError(f"{value} is no whole number")
        return int(value)

    def __hash__(self) -> int:  # pyright: ignore[reportIncompatibleVariableOverride] - arrays have none
        """Return the hash of the number that all rows share."""
        return hash(float(self._alone()))

    def __format__(self, spec: str) -> str:
        """Return the number that all rows share in words."""
        return format(self._alone(), spec)

    def words(self, *units: object) -> str:
        """Raise: every row has words of its own."""
        raise RowsDiffer(np.arange(len(self)))

    words_not_above = words

    def __round__(self, digits: int | None = None) -> Any:
        """Return the number that all rows share, rounded."""
        return round(float(self._alone()), digits)


def as_rows(values: npt.ArrayLike) -> Rows:
    """Return `values`, one for each row, as :class:`Rows`."""
    return np.asarray(values).view(Rows)


class Names:
    """A text for each row: the distinct ones, and which of them each row has.

    Parameters
    ----------
    values : sequence of str
        Distinct texts.
    codes : array of int
        For each row the place of its text.
    """

    __slots__ = ("codes", "values")

    def __init__(self, values: Sequence[str], codes: Codes) -> None:
        self.values = values
        self.codes = codes

    def look_up(self, find: Callable[[str], Any]) -> Any:
        """Return what `find` gives for the text of each row.

        Raises
        ------
        RowsDiffer
            If it fails for some of them: each such text is a group of its own, so that its failure comes out there.
        """
        found: list[Any] = []
        groups = np.zeros(len(self.values), dtype=np.intp)
        for at, value in enumerate(self.values):
            try:
                found.append(find(value))
            except LookupError:
                groups[at] = at + 1
        if groups.any():
            raise RowsDiffer(groups[self.codes])
        return gathered(found, self.codes)

    def differ(self) -> RowsDiffer:
        """Return that rows with another text cannot go on together."""
        return RowsDiffer(self.codes)

    def __eq__(self, other: object) -> Any:
        """Return for each row whether its text is the `other`."""
        if isinstance(other, Names):
            places = {value: at for at, value in enumerate(self.values)}
            return as_rows(np.array([places.get(value, -1) for value in other.values])[other.codes] == self.codes)
        return as_rows(np.array([value == other for value in self.values]).take(self.codes))

    def __ne__(self, other: object) -> Any:
        """Return for each row whether its text is not the `other`."""
        return as_rows(np.logical_not(self == other))

    def __hash__(self) -> int:
        raise self.differ()

    def __bool__(self) -> bool:
        """Return whether the texts are not empty."""
        return bool(as_rows(np.array([bool(value) for value in self.values])[self.codes]))

    def __str__(self) -> str:
        raise self.differ()

    def __format__(self, spec: str) -> str:
        raise self.differ()

    def __getattr__(self, name: str) -> Any:
        raise self.differ()


class Records:
    """A record for each row: the distinct ones, and which of them each row has.

    An attribute is what the records have there, row by row. Properties and methods that need more than that go group
    by group.

    Parameters
    ----------
    records : sequence
        Distinct records of one kind.
    codes : array of int
        For each row the place of its record.
    """

    def __init__(self, records: Sequence[Any], codes: Codes) -> None:
        self._records = records
        self._codes = codes

    def __getattr__(self, name: str) -> Any:
        """Return an attribute of each row's record."""
        if name.startswith("__"):
            raise AttributeError(name)
        found = gathered([getattr(record, name) for record in self._records], self._codes)
        setattr(self, name, found)
        return found


def gathered(values: Sequence[Any], codes: Codes) -> Any:
    """Return for each row the one of the `values` that its code says: one value where all are the same.

    Raises
    ------
    RowsDiffer
        If some are there and others are None, or they are of kinds that do not go together.
    """
    first = values[0]
    if all(value is first for value in values) or (not callable(first) and all(value == first for value in values)):
        return first
    nothing = np.array([value is None for value in values])
    if nothing.any():
        raise RowsDiffer(nothing[codes].astype(np.intp))
    if all(isinstance(value, (bool, np.bool_)) for value in values):
        return as_rows(np.array(values, dtype=np.bool_).take(codes))
    if all(isinstance(value, (float, int)) for value in values):
        return as_rows(np.array(values, dtype=np.float64).take(codes))
    if all(isinstance(value, str) for value in values):
        distinct: dict[str, int] = {}
        places = np.array([distinct.setdefault(value, len(distinct)) for value in values], dtype=np.intp)
        return Names(list(distinct), places.take(codes))
    kind = cast("type[Any]", type(first))
    if callable(first) or any(type(value) is not kind for value in values):
        raise RowsDiffer(codes)
    if kind in (tuple, list):
        if len({len(value) for value in values}) > 1:
            raise RowsDiffer(np.array([len(value) for value in values], dtype=np.intp)[codes])
        members: list[Any] = [gathered(here, codes) for here in zip(*values, strict=True)]
        return members if kind is list else tuple(members)
    return Records(values, codes)


ValueT = TypeVar("ValueT")


def picked(name: str, choices: "dict[str, ValueT]") -> ValueT:
    """Return the choice that a `name` says: row by row where names or choices differ from row to row."""
    if not isinstance(name, Names):
        return choices[name]
    values = [choices[value] for value in name.values]
    if not any(isinstance(value, np.ndarray) for value in values):
        return cast("ValueT", gathered(values, name.codes))
    found: Any = values[0]
    for at, value in enumerate(values[1:], 1):
        found = cast("Any", np.where(name.codes == at, cast("Any", value), found))
    return cast("Any", as_rows(found))


TextT = TypeVar("TextT")


def text_at(place: "float | npt.NDArray[Any]", texts: Sequence[TextT]) -> TextT:
    """Return the one of some `texts` at a `place`, or that of each row.

    Raises
    ------
    RowsDiffer
        If one of them differs from row to row itself.
    """
    if not isinstance(place, np.ndarray):
        return texts[int(place)]
    for text in texts:
        if isinstance(text, Names):
            raise text.differ()
    return cast("TextT", Names(cast("Sequence[str]", texts), place.astype(np.intp).view(np.ndarray)))
