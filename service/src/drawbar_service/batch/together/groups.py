"""Rows of a plan on arrays: what varies by number goes through the engine all at once.

Rows that differ only in leaves that the :class:`~drawbar_service.batch.together.way.Way` of a calculation names share
one reading of the request. Rows that differ in anything else (a tire size, a kind of tool) are read apart, group by
group. Where hardly two rows share a group, rows are worked one by one, with the same numbers.
"""

from collections.abc import Callable
from typing import Any, NamedTuple, cast

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import Fault, ImpossibleInput, find_faults
from drawbar_service.batch import rows as one_by_one
from drawbar_service.batch.leaves import Leaf
from drawbar_service.batch.plan import Index, Plan, Varied
from drawbar_service.batch.table import Block, Column, RowFault
from drawbar_service.batch.together.way import End, Leaves, Way
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.quantities import decode_quantity

MOST_GROUPS = 0.05
"""Groups over rows [1] of a block above which grouping saves nothing."""
MOST_READINGS = 1000
"""Readings kept for later blocks; each holds a few kilobytes."""
_MOST_CODES = 2**31
_ENDS: dict[str, End] = {"": 0, "low": 1, "high": 2}
Some = Index | slice
"""Rows of a block: which, or all of them."""
_ALL = slice(None)
Key = tuple[int, ...]


class Together:
    """A plan, laid out to be worked on arrays.

    Parameters
    ----------
    plan : Plan
    way : Way
    """

    def __init__(self, plan: Plan, way: Way[Any, Any, Any]) -> None:
        self._plan = plan
        self._way = way
        self._arrays: dict[int, FloatArray] = {}
        self._codes: dict[int, Index] = {}
        for at, one in enumerate(plan.varied):
            numbers = _as_array(one) if way.leaves.fullmatch(one.leaf.pointer) else None
            if numbers is None:
                self._codes[at] = _as_codes(one)
            else:
                self._arrays[at] = numbers
        self._unsound = {at: _unsound(one) for at, one in enumerate(plan.varied) if one.faults}
        self._readings: dict[Key, Any] = {}

    def evaluate(self, start: int, stop: int, check: Callable[[], None]) -> Block:
        """Return the answers of the rows from `start` to before `stop`.

        Parameters
        ----------
        start, stop : int
        check : callable
            Called now and then while rows are worked one by one; raises to stop.
        """
        block, leaves, codes, groups = self._begin(start, stop, check)
        if not _pays(groups, block):
            return one_by_one.evaluate(self._plan, start, stop, check)
        for rows in groups:
            self._work(block, rows, leaves.of(rows), _key(rows, codes))
        return block.done()

    def pays(self, stop: int) -> bool:
        """Say whether the rows before `stop` gain by it: that they share readings, and not all go one by one."""
        block, leaves, codes, groups = self._begin(0, stop, lambda: None)
        if not groups:
            return True
        if not _pays(groups, block):
            return False
        return len(groups) > 1 or self._read(block, groups[0], leaves.of(groups[0]), _key(groups[0], codes)) is not None

    def _begin(
        self, start: int, stop: int, check: Callable[[], None]
    ) -> "tuple[_Block, Leaves, list[Index], list[Some]]":
        """Return a block, its leaves that are arrays, codes of the others, and its rows in groups."""
        plan, size = self._plan, stop - start
        block = _Block(plan, start, size, plan.indices(start, stop), check)
        sound: Some = _ALL
        if self._unsound:
            wrong = {at: self._taken(unsound, block, at) for at, unsound in self._unsound.items()}
            for at, rows in wrong.items():
                block.tell_values(plan.varied[at], at, np.flatnonzero(rows))
            sound = np.flatnonzero(~np.logical_or.reduce(list(wrong.values())))
        leaves = Leaves(
            {plan.varied[at].leaf.pointer: self._taken(values, block, at) for at, values in self._arrays.items()}
        )
        codes = [self._taken(codes, block, at) for at, codes in self._codes.items()]
        return block, leaves, codes, _split(sound, size, codes)

    def _taken(self, values: npt.NDArray[Any], block: "_Block", at: int) -> npt.NDArray[Any]:
        if self._plan.mode == "zip":
            return values[block.start : block.start + block.size]
        return values[block.indices[at]]

    def _work(self, block: "_Block", rows: Some, leaves: Leaves, key: Key, *, is_part: bool = False) -> None:
        """Work rows that share all leaves but those that are arrays."""
        reading = self._read(block, rows, leaves, key)
        if isinstance(reading, list):
            block.tell(rows, cast("list[Fault]", reading))
            return
        if reading is None:
            block.work_alone(rows)
            return
        apart = None if is_part else self._way.apart(reading, leaves)
        if apart is None:
            self._fill(block, rows, leaves, reading)
            return
        for part in _split(_ALL, len(apart), [apart]):
            of_part = (*key, int(apart[_first(part)]))
            self._work(block, _within(rows, part), leaves.of(part), of_part, is_part=True)

    def _read(self, block: "_Block", rows: Some, leaves: Leaves, key: Key) -> Any:
        """Return what rows share: a case, None if they have to be worked one by one, or the faults of all of them."""
        if key not in self._readings:
            if len(self._readings) >= MOST_READINGS:
                self._readings.clear()
            self._readings[key] = reading = self._read_row(block, _first(rows), leaves)
            return reading
        return self._readings[key]

    def _read_row(self, block: "_Block", row: int, leaves: Leaves) -> Any:
        body = self._plan.body(block.indices, row)
        kind = self._plan.calculation.request
        try:
            request = msgspec.convert(body, kind, dec_hook=decode_quantity)
            return self._way.read(request, Ledger(self._plan.units), leaves)
        except msgspec.ValidationError:
            return find_faults(body, kind)
        except ImpossibleInput as error:
            return error.faults

    def _fill(self, block: "_Block", rows: Some, leaves: Leaves, case: Any) -> None:
        alone = self._way.alone(case, leaves)
        if np.any(alone):
            mask = np.broadcast_to(alone, (block.count(rows),))
            block.work_alone(_within(rows, np.flatnonzero(mask)))
            kept = np.flatnonzero(~mask)
            rows, leaves = _within(rows, kept), leaves.of(kept)
        if size := block.count(rows):
            block.fill(rows, self._way, self._way.rows(case, leaves, size))


# ---- rows of a block


def _pays(groups: list[Some], block: "_Block") -> bool:
    return len(groups) <= max(1.0, MOST_GROUPS * block.size)


def _key(rows: Some, codes: list[Index]) -> Key:
    first = _first(rows)
    return tuple(int(code[first]) for code in codes)


def _first(rows: Some) -> int:
    return 0 if isinstance(rows, slice) else int(rows[0])


def _within(rows: Some, part: Some) -> Some:
    """Return which rows of the block a part of its `rows` is."""
    if isinstance(rows, slice):
        return part
    return rows[part]


def _split(rows: Some, size: int, codes: list[Index]) -> list[Some]:
    """Return the rows that share every code, group by group."""
    if isinstance(rows, np.ndarray):
        size, codes = len(rows), [code[rows] for code in codes]
    if not size:
        return []
    whole = _combined(codes)
    if whole is None or not np.any(whole != whole[0]):
        return [rows]
    # Numbers of 16 bits are sorted in linear time.
    order = np.argsort(whole.astype(np.uint16) if whole.max() < 2**16 else whole, kind="stable")
    parts = np.split(order, np.flatnonzero(np.diff(whole[order])) + 1)
    return [_within(rows, part) for part in parts]


def _combined(codes: list[Index]) -> Index | None:
    """Return one code for all of the `codes` of each row."""
    whole: Index | None = None
    for code in codes:
        if whole is None:
            whole = code
            continue
        many = int(code.max()) + 1
        if (int(whole.max()) + 1) * many > _MOST_CODES:
            whole = np.unique(whole, return_inverse=True)[1]
        whole = whole * many + code
    return whole


# ---- values of a leaf


def _as_array(one: Varied) -> FloatArray | None:
    """Return the values of a leaf as numbers; None if some row leaves it out."""
    if one.numbers is not None:
        return one.numbers
    values = cast("list[float | None]", one.others)
    missing = sum(value is None for value in values)
    if missing > len(one.faults):
        return None
    return np.array([np.nan if value is None else value for value in values], dtype=np.float64)


def _as_codes(one: Varied) -> Index:
    """Return a number for each value of a leaf, the same for the same value."""
    if one.numbers is not None:
        return np.unique(one.numbers, return_inverse=True)[1]
    known: dict[object, int] = {}
    values = cast("list[object]", one.others)
    return np.array([known.setdefault(value, len(known)) for value in values], dtype=np.intp)


def _unsound(one: Varied) -> npt.NDArray[np.bool_]:
    found = np.zeros(len(one), dtype=np.bool_)
    found[list(one.faults)] = True
    return found


# ---- columns


class _Cells(NamedTuple):
    """A column while its groups are worked."""

    leaf: Leaf
    values: npt.NDArray[Any]
    unit: str
    factor: float
    """SI value of one unit."""


class _Block:
    """A block of rows while its groups are worked."""

    def __init__(self, plan: Plan, start: int, size: int, indices: list[Index], check: Callable[[], None]) -> None:
        self.start = start
        self.size = size
        self.indices = indices
        self._plan = plan
        self._check = check
        self._answered = np.zeros(size, dtype=np.bool_)
        self._faults: list[RowFault] = []
        self._cells = [_cells(one, plan, size) for one in plan.wanted]

    def count(self, rows: Some) -> int:
        """Return how many `rows` are."""
        return self.size if isinstance(rows, slice) else len(rows)

    def fill(self, rows: Some, way: Way[Any, Any, Any], found: Any) -> None:
        """Put in the answers of a group."""
        self._answered[rows] = True
        for one in self._cells:
            pointer, end = one.leaf.pointer, one.leaf.end
            give = way.columns[pointer.removesuffix(f"/{end}") if end else pointer]
            value: Any = give(found, _ENDS[end])
            one.values[rows] = value if one.factor == 1.0 else value / one.factor

    def work_alone(self, rows: Some) -> None:
        """Put in answers of rows that are worked one by one."""
        for row in np.arange(self.size)[rows].tolist():
            block = one_by_one.evaluate(self._plan, self.start + row, self.start + row + 1, self._check)
            self._answered[row] = block.answered[0]
            for column, one in zip(block.columns, self._cells, strict=True):
                one.values[row] = column.values[0]
            self._faults += block.faults

    def tell(self, rows: Some, faults: list[Fault]) -> None:
        """Put in what is wrong with all of some `rows`."""
        self._faults += [
            RowFault(row=self.start + row, pointer=fault.pointer, detail=fault.detail)
            for row in np.arange(self.size)[rows].tolist()
            for fault in faults
        ]

    def tell_values(self, one: Varied, at: int, rows: Index) -> None:
        """Put in what is wrong with the values of one leaf."""
        index = self.indices[at]
        self._faults += [
            RowFault(row=self.start + row, pointer=one.leaf.pointer, detail=one.faults[int(index[row])])
            for row in rows.tolist()
        ]

    def done(self) -> Block:
        """Return the block as it goes out."""
        self._faults.sort(key=lambda fault: fault.row)
        columns = [
            Column(one.leaf.pointer, one.unit, one.values.tolist() if one.values.dtype == object else one.values)
            for one in self._cells
        ]
        return Block(self.start, self._answered, columns, self._faults)


def _cells(one: Leaf, plan: Plan, size: int) -> _Cells:
    if one.quantity is not None:
        return _Cells(one, np.full(size, np.nan), *one.quantity.shown(plan.units))
    if one.kind == "number":
        return _Cells(one, np.full(size, np.nan), "", 1.0)
    values = np.zeros(size, dtype=np.bool_) if one.kind == "flag" else np.full(size, None)
    return _Cells(one, values, "", 1.0)
