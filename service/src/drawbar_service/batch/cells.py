"""Cells of a block as JSON values and as texts; every format of an answer is made of these."""

from itertools import repeat
from typing import TypeAlias

import msgspec
import numpy as np

from drawbar_service.batch.table import Block, Column
from drawbar_service.engine.arrays import FloatArray

Cells: TypeAlias = FloatArray | list[bool | None] | list[str | None]

_TRUTHS = {True: b"true", False: b"false", None: b"null"}


def cells(column: Column, block: Block) -> Cells:
    """Return the values of a column; NaN or None where there is none, or the row has no answer."""
    values, answered = column.values, block.answered
    if isinstance(values, list):
        if answered.all():
            return values
        return [value if sound else None for value, sound in zip(values, answered.tolist(), strict=True)]
    if values.dtype == np.bool_:
        if answered.all():
            return values.tolist()
        truths = values.astype(object)
        truths[~answered] = None
        return truths.tolist()
    numbers = np.asarray(values, dtype=np.float64)
    return numbers if answered.all() else np.where(answered, numbers, np.nan)


def listed(numbers: FloatArray) -> list[float | None]:
    """Return numbers as a list, with None for NaN."""
    missing = np.isnan(numbers)
    if not missing.any():
        return numbers.tolist()
    values = numbers.astype(object)
    values[missing] = None
    return values.tolist()


def texts(column: Column, block: Block) -> list[bytes]:
    """Return the values of a column as JSON, one text for each row; ``null`` where there is none."""
    values = cells(column, block)
    if isinstance(values, np.ndarray):
        # Numbers hold no comma, so one call writes them all; NaN becomes null.
        return msgspec.json.encode(values.tolist())[1:-1].split(b",")
    known: dict[bool | str | None, bytes] = {}
    for value in set[bool | str | None](values):
        known[value] = _TRUTHS[value] if not isinstance(value, str) else msgspec.json.encode(value)
    return [known[value] for value in values]


def fault_texts(block: Block) -> list[str | None]:
    """Return what is wrong with each row in words, None where nothing is."""
    found: list[str | None] = list(repeat(None, len(block.answered)))
    for fault in block.faults:
        at = fault.row - block.first
        told = f"{fault.pointer}: {fault.detail}" if fault.pointer else fault.detail
        before = found[at]
        found[at] = told if before is None else f"{before} | {told}"
    return found
