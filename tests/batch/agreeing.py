"""Rows at once beside the same rows one by one."""

import types
from collections.abc import Iterator
from typing import Annotated, Any, Literal, Union, get_args, get_origin
from unittest.mock import patch

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.batch.request import MAX_COLUMNS, RowFault
from drawbar_service.batch import rows
from drawbar_service.batch.plan import Given, Mode, Plan, make_plan
from drawbar_service.batch.table import Block, Column
from drawbar_service.quantities import Quantity, UnitSystem

MOST_ITEMS = 2
"""Items of a list in an answer that are looked at."""


def same(one: Column, other: Column, answered: npt.NDArray[np.bool_]) -> None:
    """Compare columns where there is an answer: to the last bit."""
    assert (one.pointer, one.unit) == (other.pointer, other.unit)
    if isinstance(one.values, list):
        assert np.array(one.values)[answered].tolist() == np.array(other.values)[answered].tolist(), one.pointer
    else:
        found, meant = np.asarray(other.values)[answered], np.asarray(one.values)[answered]
        np.testing.assert_array_equal(found, meant, err_msg=one.pointer)


def every_column(calculation: Calculation[Any, Any]) -> list[str]:
    """Return every number, truth and choice of an answer, and both ends of its range where it may have one."""
    return [*_leaves(calculation.answer, ""), "/about/warnings", "/about/assumptions"]


def _leaves(kind: Any, place: str) -> Iterator[str]:
    while get_origin(kind) in (Annotated, Union, types.UnionType):
        parts = [part for part in get_args(kind) if part is not types.NoneType]
        kind = parts[0]
    if get_origin(kind) is list:
        for at in range(MOST_ITEMS):
            yield from _leaves(get_args(kind)[0], f"{place}/{at}")
    elif isinstance(kind, type) and issubclass(kind, msgspec.Struct):
        for field in msgspec.structs.fields(kind):
            if field.name != "about":
                yield from _leaves(field.type, f"{place}/{field.encode_name}")
    elif isinstance(kind, type) and issubclass(kind, Quantity):
        yield from (place, f"{place}/low", f"{place}/high")
    elif kind in (bool, int, float) or get_origin(kind) is Literal:
        yield place


def all_agree(
    calculation: Calculation[Any, Any],
    body: dict[str, Any],
    vary: dict[str, Given],
    mode: Mode = "zip",
    units: UnitSystem = "metric",
) -> list[RowFault]:
    """Compare every column both ways, and return the faults."""
    columns = every_column(calculation)
    faults: list[RowFault] = []
    for start in range(0, len(columns), MAX_COLUMNS):
        some = columns[start : start + MAX_COLUMNS]
        faults = agree(make_plan(calculation, body, vary, mode, some, units, 10_000)).faults
    return faults


def agree(plan: Plan) -> Block:
    """Compare both ways, faults too, and return the answers."""
    second = rows.Leaves(plan).evaluate(0, plan.rows, lambda: None)
    first = one_by_one(plan)
    assert first.answered.tolist() == second.answered.tolist()
    assert first.faults == second.faults
    for one, other in zip(first.columns, second.columns, strict=True):
        same(one, other, first.answered)
    return second


def one_by_one(plan: Plan) -> Block:
    """Return the answers of a plan, each made as a single request's."""
    with patch.object(rows, "FEW", plan.rows):
        return rows.Leaves(plan).evaluate(0, plan.rows, lambda: None)


def groups(plan: Plan) -> int:
    """Return into how many groups the rows of a plan fall."""
    met: list[None] = []
    rows.Leaves(plan).evaluate(0, plan.rows, lambda: met.append(None))
    return len(met)
