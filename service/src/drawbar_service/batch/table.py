"""Columns with their units, in and out; faults by row."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from drawbar_service.api.v1.batch.request import RowFault as RowFault
from drawbar_service.engine.arrays import FloatArray

Texts: TypeAlias = list[str | None]


class Coded(NamedTuple):
    """Values of a column by their places among a few, as a dictionary column of Arrow holds them."""

    codes: npt.NDArray[np.intp]
    """Place of each row's value; -1: none."""
    values: list[object]
    """What stands there. Each is in use; one may stand there twice."""

    def expanded(self) -> list[object]:
        """Return the value of each row, None where there is none."""
        # The last place is what -1 leads to.
        values = [*self.values, None]
        return [values[at] for at in self.codes.tolist()]


class Column(NamedTuple):
    """One value of every row: numbers in a unit (NaN: none), truths, or texts (None: none)."""

    pointer: str
    unit: str
    """Empty for plain numbers, truths and texts."""
    values: FloatArray | npt.NDArray[np.bool_] | Texts


class Block(NamedTuple):
    """Answers of rows that follow each other."""

    first: int
    """Row number of the first one."""
    answered: npt.NDArray[np.bool_]
    """Which rows have an answer; the cells of the others mean nothing."""
    columns: list[Column]
    faults: list[RowFault]


def sliced(blocks: Iterable[Block], rows: int) -> Iterator[Block]:
    """Yield blocks of at most so many rows, in the same order."""
    for block in blocks:
        faults = iter(block.faults)
        ahead = next(faults, None)
        for start in range(0, len(block.answered), rows):
            first, stop = block.first + start, start + rows
            mine: list[RowFault] = []
            while ahead is not None and ahead.row < first + rows:
                mine.append(ahead)
                ahead = next(faults, None)
            columns = [one._replace(values=one.values[start:stop]) for one in block.columns]
            yield Block(first, block.answered[start:stop], columns, mine)


def joined(blocks: list[Block]) -> Block:
    """Return blocks that follow each other as one."""
    if len(blocks) == 1:
        return blocks[0]
    columns: list[Column] = []
    for parts in zip(*(block.columns for block in blocks), strict=True):
        values = [part.values for part in parts]
        whole = (
            [text for some in values for text in some]
            if isinstance(values[0], list)
            else np.concatenate([np.asarray(some) for some in values])
        )
        columns.append(Column(parts[0].pointer, parts[0].unit, whole))
    return Block(
        blocks[0].first,
        np.concatenate([block.answered for block in blocks]),
        columns,
        [fault for block in blocks for fault in block.faults],
    )
