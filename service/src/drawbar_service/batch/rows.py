"""Any calculation, one row after the other: the same reading, the same function and the same numbers as alone."""

from collections.abc import Callable
from typing import Any

import msgspec
import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import Fault, ImpossibleInput, find_faults
from drawbar_service.batch.leaves import Leaf, get
from drawbar_service.batch.plan import Plan
from drawbar_service.batch.table import Block, Column, RowFault
from drawbar_service.quantities import UnitSystem, decode_quantity


def evaluate(plan: Plan, start: int, stop: int, check: Callable[[], None]) -> Block:
    """Return the answers of the rows from `start` to before `stop`.

    Parameters
    ----------
    plan : Plan
    start, stop : int
    check : callable
        Called before each row; raises to stop.
    """
    indices = plan.indices(start, stop)
    answered = np.zeros(stop - start, dtype=np.bool_)
    cells: list[list[Any]] = [[] for _ in plan.wanted]
    faults: list[RowFault] = []
    for row in range(stop - start):
        check()
        found = [
            Fault(one.leaf.pointer, one.faults[int(index[row])])
            for one, index in zip(plan.varied, indices, strict=True)
            if one.faults and int(index[row]) in one.faults
        ]
        answer = None
        if not found:
            answer, found = _answer(plan, plan.body(indices, row))
        answered[row] = answer is not None
        faults += [RowFault(row=start + row, pointer=fault.pointer, detail=fault.detail) for fault in found]
        for one, column in zip(plan.wanted, cells, strict=True):
            column.append(get(answer, one) if answer is not None else None)
    columns = [as_column(one, column, plan.units) for one, column in zip(plan.wanted, cells, strict=True)]
    return Block(start, answered, columns, faults)


def _answer(plan: Plan, body: object) -> tuple[object, list[Fault]]:
    calculation = plan.calculation
    try:
        request = msgspec.convert(body, calculation.request, dec_hook=decode_quantity)
        return calculation.compute(request, Ledger(plan.units)), []
    except msgspec.ValidationError:
        return None, find_faults(body, calculation.request)
    except ImpossibleInput as error:
        return None, error.faults


def as_column(one: Leaf, cells: list[Any], units: UnitSystem) -> Column:
    """Return values of a leaf of the answer as a column in its unit."""
    if one.quantity is not None:
        unit, factor = one.quantity.shown(units)
        return Column(one.pointer, unit, _numbers(cells) / factor)
    if one.kind == "number":
        return Column(one.pointer, "", _numbers(cells))
    if one.kind == "flag":
        return Column(one.pointer, "", np.array([bool(cell) for cell in cells], dtype=np.bool_))
    return Column(one.pointer, "", cells)


def _numbers(cells: list[Any]) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.array([np.nan if cell is None else cell for cell in cells], dtype=np.float64)
