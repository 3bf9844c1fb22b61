"""Rows of a batch: a block at once where they can go together, else group by group, and at the last one by one.

Numbers that vary take their places in the request as :class:`~drawbar_service.rows.Rows`, texts as
:class:`~drawbar_service.rows.Names`, and the function that answers a single request answers the block. Where rows take
different branches in it, each group goes on apart.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple, TypeAlias, cast

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.api.answers import UNSAID, Ledger
from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.wire import read_decoded
from drawbar_service.api.words import code_of
from drawbar_service.batch.leaves import Leaf, get
from drawbar_service.batch.plan import Index, Plan, Varied
from drawbar_service.batch.table import Block, Column, RowFault
from drawbar_service.model.findings import Asked
from drawbar_service.quantities import UnitSystem
from drawbar_service.rows import Names, Records, Rows, RowsDiffer, as_rows

Check: TypeAlias = Callable[[], None]
"""Raises to stop."""
FEW = 2
"""Rows that are worked one by one: arrays of so few gain nothing."""
_MOST_BITS = 62
"""Findings that one whole number for each row can hold."""
_MANY = 2**31
"""Combinations of codes that are counted without sorting."""
_SHORT = 2**16
"""First whole number that takes more than 16 bits."""
_FEW_BITS = 16
"""Of so many, the combinations are counted without sorting."""


class Leaves:
    """What varies in a plan, laid out to be put into requests.

    Parameters
    ----------
    plan : Plan
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._columns = [_column(one) for one in plan.varied]
        self._asked = asked_of(plan.wanted)
        self._apart: list[tuple[int, Index]] = []
        """Leaves whose values keep rows apart, each with a number for each of its values."""
        self._wrong = {at: one.unsound for at, one in enumerate(plan.varied) if one.unsound is not None}

    def evaluate(self, start: int, stop: int, check: Check) -> Block:
        """Return the answers of the rows from `start` to before `stop`.

        Parameters
        ----------
        start, stop : int
        check : callable
            Called before each group of rows; raises to stop.
        """
        block = _Block(self._plan, start, stop - start, self._plan.indices(start, stop))
        sound = self._sound(block)
        block.lay(self._columns)
        shapes = [
            column.shapes[block.indices[at]] for at, column in enumerate(self._columns) if column.shapes is not None
        ]
        shapes += [table.take(block.codes[at]) for at, table in self._apart]
        for rows in _parted(sound, shapes):
            self._work(block, rows, check)
        return block.done()

    def _sound(self, block: "_Block") -> Index:
        """Return the rows without a value at fault, and tell what is wrong with the others."""
        rows = np.arange(block.size)
        if not self._wrong:
            return rows
        wrong = np.zeros(block.size, dtype=np.bool_)
        for at, unsound in self._wrong.items():
            here = unsound[block.indices[at]]
            block.tell_values(self._plan.varied[at], at, np.flatnonzero(here))
            wrong |= here
        return rows[~wrong]

    def _work(self, block: "_Block", rows: Index, check: Check) -> None:
        """Work rows that may go together."""
        check()
        if len(rows) <= FEW or self._plan.calculation.by_row:
            for row in rows.tolist():
                check()
                self._work_alone(block, row)
            return
        request = self._request(block, rows)
        if isinstance(request, list):
            block.tell(rows, request)
            return
        ledger = Ledger(self._plan.units, self._asked)
        try:
            with np.errstate(all="ignore"):
                answer = self._plan.calculation.compute(request, ledger)
                block.fill(rows, answer, ledger)
        except SentenceAsked:
            self._make_sentences()
            self._work(block, rows, check)
        except RowsDiffer as difference:
            groups = difference.groups
            if groups.ndim > 1:
                groups = np.unique(groups.reshape(len(groups), -1), axis=0, return_inverse=True)[1].reshape(-1)
            groups = np.broadcast_to(groups, (len(rows),))
            self._learn(block, rows, groups)
            parts = _parted(np.arange(len(rows)), [groups])
            if len(parts) == 1:
                parts = np.split(parts[0], len(rows))
            for part in parts:
                self._work(block, rows[part], check)
        except ImpossibleInput as error:
            block.tell(rows, error.faults)

    def _work_alone(self, block: "_Block", row: int) -> None:
        """Work one row as a single request is answered."""
        try:
            block.answer_alone(row, self._asked)
        except SentenceAsked:
            self._make_sentences()
            block.answer_alone(row, self._asked)

    def _make_sentences(self) -> None:
        """Have sentences made. They are made row by row, so none is until one is seen to be wanted."""
        self._asked = self._asked._replace(sentences=True)

    def _learn(self, block: "_Block", rows: Index, groups: Index) -> None:
        """Remember that the values of one leaf keep rows apart, so that later blocks are parted at once."""
        for at, column in enumerate(self._columns):
            if column.distinct is None:
                continue
            codes = block.codes[at][rows]
            table = np.full(len(column.distinct), -1, dtype=np.intp)
            table[codes] = groups
            if bool((table.take(codes) == groups).all()) and len(np.unique(groups)) > 1:
                self._apart.append((at, table))
                return

    def _request(self, block: "_Block", rows: Index) -> msgspec.Struct | list[Fault]:
        """Return the request of `rows`, or what is wrong with all of them."""
        kind = self._plan.calculation.request
        body = self._plan.body(block.indices, int(rows[0]))
        try:
            request = read_decoded(body, kind)
        except ImpossibleInput as error:
            return error.faults
        whole = len(rows) == block.size
        for at, column in enumerate(self._columns):
            values = block.codes[at] if whole else block.codes[at].take(rows)
            # Where one of these rows leaves it out, all do, and so does the request of the first.
            if bool((values == values[0]).all()) or values[0] != values[0]:
                continue
            leaf = self._plan.varied[at].leaf
            request = _replaced(request, leaf.attributes, column.of(values))
        return request


class SentenceAsked(Exception):  # noqa: N818 - it says what is found
    """A column is a sentence, and sentences were not made."""


class _Laid(NamedTuple):
    """The values of one leaf."""

    values: npt.NDArray[Any]
    """Numbers, truths, or the places of others."""
    distinct: list[Any] | None
    """Distinct texts or objects, if the values are places among them."""
    shapes: Index | None
    """A number for each value, if rows of different numbers can never go together."""

    def of(self, values: npt.NDArray[Any]) -> Any:
        """Return some of the values as a request holds them."""
        if self.distinct is None:
            return as_rows(values)
        distinct, codes = self.distinct, values
        there = np.bincount(codes, minlength=len(distinct)) > 0
        if not there.all():
            # What none of these rows has must not keep them apart.
            codes = (np.cumsum(there) - 1)[codes]
            distinct = [value for value, here in zip(distinct, there.tolist(), strict=True) if here]
        return Names(distinct, codes) if isinstance(distinct[0], str) else Records(distinct, codes)


def _column(one: Varied) -> _Laid:
    """Return the values of a leaf laid out; a request that leaves one out has another shape than one that does not."""
    if one.numbers is not None:
        missing = np.isnan(one.numbers)
        return _Laid(one.numbers, None, missing.astype(np.intp) if missing.any() else None)
    codes, distinct = cast("Index", one.codes), one.distinct
    there = np.array([value is not None for value in distinct])
    shapes = None if there.all() else there[codes].astype(np.intp)
    kinds = {type(value) for value in distinct if value is not None}
    if kinds <= {bool}:
        return _Laid(np.array([bool(value) for value in distinct])[codes], None, shapes)
    if kinds <= {int, float}:
        numbers = [np.nan if value is None else value for value in distinct]
        return _Laid(np.array(numbers, dtype=np.float64)[codes], None, shapes)
    if kinds <= {str} or one.leaf.kind == "object":
        nothing = next(value for value in distinct if value is not None)
        return _Laid(codes, [nothing if value is None else value for value in distinct], shapes)
    return _Laid(codes, None, codes)


def _parted(rows: Index, codes: Sequence[Index]) -> list[Index]:
    """Return `rows` in groups that share every one of the `codes`, which are by place."""
    if not len(rows):
        return []
    whole: Index | None = None
    for code in codes:
        here = code.take(rows)
        if bool((here == here[0]).all()):
            continue
        here = here - here.min()
        if whole is None:
            whole = here
            continue
        kinds = int(here.max()) + 1
        if (int(whole.max()) + 1) * kinds > _MANY:
            whole = np.unique(whole, return_inverse=True)[1]
        whole = whole * kinds + here
    if whole is None:
        return [rows]
    # Numbers of 16 bits are sorted in linear time.
    order = np.argsort(whole.astype(np.uint16) if whole.max() < _SHORT else whole, kind="stable")
    return np.split(rows[order], np.flatnonzero(np.diff(whole[order])) + 1)


def _replaced(here: Any, path: Sequence[str | int], value: object) -> Any:
    """Return a request, or a part of one, with another `value` at `path`."""
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        return [_replaced(item, rest, value) if at == step else item for at, item in enumerate(here)]
    return msgspec.structs.replace(here, **{step: _replaced(getattr(here, step), rest, value)})


# ---- answers


def asked_of(wanted: Iterable[Leaf]) -> Asked:
    """Return which parts of an answer its columns need."""
    parts: set[str] = set()
    ranges = False
    for one in wanted:
        if one.kind == "findings":
            # Read off the findings themselves, so that nothing need be put into words.
            parts.add(one.pointer)
            continue
        ranges = ranges or bool(one.end)
        pointer = one.pointer.removesuffix(f"/{one.end}") if one.end else one.pointer
        while pointer:
            parts.add(pointer)
            pointer = pointer.rpartition("/")[0]
    return Asked(frozenset(parts), ranges, sentences=False)


def told(findings: Sequence[tuple[str, Any]], size: int) -> list[str | None]:
    """Return for each row the `findings` that hold for it, as one text; None where none does.

    Parameters
    ----------
    findings : sequence of pairs
        What to say, and where it holds: true, or a mask over the rows.
    size : int
        Number of rows.
    """
    masks: dict[str, npt.NDArray[np.bool_]] = {}
    for text, where in findings:
        mask = np.broadcast_to(np.asarray(where, dtype=np.bool_), (size,))
        masks[text] = masks[text] | mask if text in masks else mask
    texts = list(masks)
    if len(texts) > _MOST_BITS:
        rows = zip(*(masks[text].tolist() for text in texts), strict=True)
        return ["; ".join(text for text, holds in zip(texts, row, strict=True) if holds) or None for row in rows]
    bits = np.zeros(size, dtype=np.int64)
    for at, text in enumerate(texts):
        bits |= masks[text].astype(np.int64) << at
    if len(texts) <= _FEW_BITS:
        kinds = np.flatnonzero(np.bincount(bits, minlength=1))
        places = np.zeros(1 << len(texts), dtype=np.intp)
        places[kinds] = np.arange(len(kinds))
        codes = places[bits]
    else:
        kinds, codes = np.unique(bits, return_inverse=True)
    said = ["; ".join(text for at, text in enumerate(texts) if kind >> at & 1) or None for kind in kinds.tolist()]
    return np.array(said, dtype=object)[codes].tolist()


def _findings(one: Leaf, ledger: Ledger) -> list[tuple[str, Any]]:
    if one.attributes[-1] == "warnings":
        return [(f"{code_of(found)} {found.pointer}".rstrip(), found.where) for found in ledger.warned]
    return [(found.pointer, found.where) for found in ledger.assumed]


class _Cells(NamedTuple):
    """A column while its rows are worked."""

    leaf: Leaf
    values: npt.NDArray[Any]
    unit: str
    factor: float
    """SI value of one unit."""


class _Block:
    """A block of rows while it is worked."""

    def __init__(self, plan: Plan, start: int, size: int, indices: list[Index]) -> None:
        self.start = start
        self.size = size
        self.indices = indices
        self._plan = plan
        self._answered = np.zeros(size, dtype=np.bool_)
        self._faults: list[RowFault] = []
        self._cells = [_cells(one, plan.units, size) for one in plan.wanted]
        self.codes: list[npt.NDArray[Any]] = []
        """Of each leaf, what it has in each row: numbers, or places of others."""

    def lay(self, columns: Sequence[_Laid]) -> None:
        """Take in the values of the rows of this block, leaf by leaf."""
        whole = self._plan.mode == "zip"
        self.codes = [
            column.values[self.start : self.start + self.size] if whole else column.values.take(index)
            for column, index in zip(columns, self.indices, strict=True)
        ]

    def fill(self, rows: Index, answer: object, ledger: Ledger) -> None:
        """Put in the answers of `rows`."""
        whole = len(rows) == self.size
        for one in self._cells:
            if one.leaf.kind == "findings":
                value: Any = told(_findings(one.leaf, ledger), len(rows))
            else:
                value = cast("Any", get(answer, one.leaf))
                if value is UNSAID:
                    raise SentenceAsked
                if isinstance(value, Names):
                    value = np.array(value.values, dtype=object)[value.codes]
                elif value is None and one.values.dtype != object:
                    value = np.nan if one.values.dtype == np.float64 else False
                elif one.factor != 1.0 and value is not None:
                    value = value / one.factor
            if isinstance(value, Rows) and value.ndim == 0:
                value = value.item()
            one.values[slice(None) if whole else rows] = value
        self._answered[rows] = True

    def answer_alone(self, row: int, asked: Asked) -> None:
        """Answer one row as a single request is answered."""
        body = self._plan.body(self.indices, row)
        calculation, ledger = self._plan.calculation, Ledger(self._plan.units, asked)
        rows = np.array([row])
        try:
            answer = calculation.compute(read_decoded(body, calculation.request), ledger)
        except ImpossibleInput as error:
            self.tell(rows, error.faults)
        else:
            self.fill(rows, answer, ledger)

    def tell(self, rows: Index, faults: list[Fault]) -> None:
        """Put in what is wrong with all of some `rows`."""
        self._faults += [
            RowFault(row=self.start + row, pointer=fault.pointer, detail=fault.detail)
            for row in rows.tolist()
            for fault in faults
        ]

    def tell_values(self, one: Varied, at: int, rows: Index) -> None:
        """Put in what is wrong with the values of one leaf."""
        index = self.indices[at]
        self._faults += [
            RowFault(row=self.start + row, pointer=one.leaf.pointer, detail=one.fault(int(index[row])))
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


def _cells(one: Leaf, units: UnitSystem, size: int) -> _Cells:
    if one.quantity is not None:
        return _Cells(one, np.full(size, np.nan), *one.quantity.shown(units))
    if one.kind == "number":
        return _Cells(one, np.full(size, np.nan), "", 1.0)
    values = np.zeros(size, dtype=np.bool_) if one.kind == "flag" else np.full(size, None)
    return _Cells(one, values, "", 1.0)


def heading(one: Leaf, units: UnitSystem) -> Column:
    """Return a column of the answer without rows, for its name and unit."""
    cells = _cells(one, units, 0)
    return Column(one.pointer, cells.unit, cells.values.tolist() if cells.values.dtype == object else cells.values)
