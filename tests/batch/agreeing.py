"""Rows on arrays beside the same rows one by one."""

from typing import Any
from unittest.mock import Mock

import numpy as np
import numpy.typing as npt
from drawbar_service.batch.together import WAYS
from drawbar_service.batch.together.groups import Together

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.batch.request import MAX_COLUMNS, RowFault
from drawbar_service.batch import rows
from drawbar_service.batch.leaves import leaf
from drawbar_service.batch.plan import Given, Mode, Plan, make_plan
from drawbar_service.batch.table import Block, Column
from drawbar_service.quantities import UnitSystem


def same(one: Column, other: Column, answered: npt.NDArray[np.bool_]) -> None:
    """Compare columns where there is an answer."""
    assert (one.pointer, one.unit) == (other.pointer, other.unit)
    if isinstance(one.values, list):
        assert np.array(one.values)[answered].tolist() == np.array(other.values)[answered].tolist(), one.pointer
    else:
        found, meant = np.asarray(other.values)[answered], np.asarray(one.values)[answered]
        np.testing.assert_allclose(found, meant, rtol=1e-12, atol=1e-15, err_msg=one.pointer)


def every_column(calculation: Calculation[Any, Any]) -> list[str]:
    """Return every column that goes on arrays, and both ends of its range where it can have one."""
    found: list[str] = []
    for pointer in WAYS[calculation.name].columns:
        ends = ("", "/low", "/high") if leaf(calculation.answer, pointer).quantity is not None else ("",)
        found += [f"{pointer}{end}" for end in ends]
    return found


def all_agree(
    calculation: Calculation[Any, Any],
    body: dict[str, Any],
    vary: dict[str, Given],
    mode: Mode = "zip",
    units: UnitSystem = "metric",
    worked_alone: int | None = 0,
) -> list[RowFault]:
    """Compare every column both ways, and return the faults."""
    columns = every_column(calculation)
    faults: list[RowFault] = []
    for start in range(0, len(columns), MAX_COLUMNS):
        some = columns[start : start + MAX_COLUMNS]
        faults = agree(make_plan(calculation, body, vary, mode, some, units, 10_000), worked_alone).faults
    return faults


def agree(plan: Plan, worked_alone: int | None = 0) -> Block:
    """Compare both ways, faults too, and return the answers.

    So many rows go one by one after all (None: any number).
    """
    laid_out = Together(plan, WAYS[plan.calculation.name])
    # It is called once for every row that is worked alone.
    check = Mock(return_value=None)
    second = laid_out.evaluate(0, plan.rows, check)
    assert worked_alone is None or check.call_count == worked_alone
    first = rows.evaluate(plan, 0, plan.rows, check)
    assert first.answered.tolist() == second.answered.tolist()
    assert first.faults == second.faults
    for one, other in zip(first.columns, second.columns, strict=True):
        same(one, other, first.answered)
    return second
