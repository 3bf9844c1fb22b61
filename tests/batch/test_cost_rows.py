"""Costs at once give what the same costs give one by one: to the last bit, faults and warnings too."""

import copy
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.api.strategies import sensible_bodies
from tests.batch.agreeing import agree, all_agree, every_column, groups
from tests.batch.varying import varied

from drawbar_service.api.v1.cost import COST
from drawbar_service.api.v1.cost.request import CostRequest
from drawbar_service.batch.plan import Given, make_plan

SIZE = 40


def numbers(seed: int) -> dict[str, Given]:
    random = np.random.default_rng(seed)

    def between(low: float, high: float, unit: str | None) -> Given:
        return Given(random.uniform(low, high, SIZE), unit)

    return {
        "/work/area": between(20.0, 600.0, "ha"),
        "/work/capacity": between(1.0, 5.0, "ha/h"),
        "/work/fuel/rate": between(5.0, 60.0, "L/h"),
        "/machines/0/years": between(3.0, 15.0, None),
        "/machines/1/price": between(2e4, 9e4, "money"),
        "/terms/interest": Given(random.choice([0.0, 0.04, -0.02, 0.1], SIZE), "1"),
        "/machines/1/wearing/0/options/0/life": between(60.0, 300.0, "ha"),
        "/machines/1/wearing/0/options/1/price": between(10.0, 200.0, "money"),
        "/hire_rate": between(20.0, 120.0, "money/ha"),
        "/best_width/delay_cost": between(0.0, 200.0, "money/h"),
        "/best_width/within": between(0.5, 20.0, "%"),
    }


@settings(max_examples=12)
@given(sensible_bodies(CostRequest), st.integers(0, 2**32 - 1))
def test_any_number_of_any_request_may_vary(body: dict[str, Any], seed: int) -> None:
    all_agree(COST, body, varied(COST, body, seed))


def test_everything_varies_at_once() -> None:
    all_agree(COST, dict(COST.example), numbers(1), units="us")


def test_work_that_no_year_has_room_for_is_the_fault_of_its_rows() -> None:
    vary = numbers(2)
    vary["/work/area"] = Given(np.geomspace(20.0, 80_000.0, SIZE), "ha")
    faults = all_agree(COST, dict(COST.example), vary)
    assert {fault.pointer for fault in faults} >= {"/work/area", "/machines/0/annual_use"}
    assert len({fault.row for fault in faults}) < SIZE


def test_names_of_tables_vary() -> None:
    vary = {
        "/machines/1/practice": Given(["chisel-plow", "no such row", "field-cultivator", "chisel-plow"]),
        "/machines/1/remaining_value": Given(["tillage", "tillage", "no such row", "tillage"]),
        "/work/area": Given([100.0, 150.0, 200.0, 250.0], "ha"),
    }
    faults = all_agree(COST, dict(COST.example), vary)
    assert [(fault.row, fault.pointer) for fault in faults] == [
        (1, "/machines/1/practice"),
        (2, "/machines/1/remaining_value"),
    ]


def test_an_exponent_of_two_is_no_case_of_its_own() -> None:
    # NumPy squares where one exponent serves all rows, which may differ in the last bit.
    body = copy.deepcopy(dict(COST.example))
    del body["machines"][1]["practice"]
    body["machines"][1]["repair_factors"] = {"RF1": 0.3, "RF2": 1.4}
    vary = numbers(3) | {"/machines/1/repair_factors/RF2": Given(np.tile([2.0, 0.5, 1.0, 1.7], SIZE // 4))}
    all_agree(COST, body, vary)


@pytest.mark.parametrize("rows", [slice(None, None, -1), slice(3, 20), slice(0, None, 7)])
def test_a_row_does_not_depend_on_its_neighbours(rows: slice) -> None:
    whole, some = numbers(4), {}
    for pointer, one in whole.items():
        some[pointer] = Given(np.asarray(one.values)[rows], one.unit)
    columns = [*COST.columns, "/hire/break_even", "/best_width/width", "/best_width/width/low", "/best_width/cost"]
    all_of, some_of = (
        agree(make_plan(COST, dict(COST.example), vary, "zip", columns, "metric", 1000)) for vary in (whole, some)
    )
    for one, other in zip(all_of.columns, some_of.columns, strict=True):
        np.testing.assert_array_equal(np.asarray(one.values)[rows], np.asarray(other.values))


def test_numbers_keep_rows_together() -> None:
    plan = make_plan(COST, dict(COST.example), numbers(5), "zip", [*COST.columns, "/about/warnings"], "metric", 1000)
    # Only work that is not possible goes apart.
    assert groups(plan) <= 3


def test_what_nobody_reads_is_not_worked_out_and_still_refused() -> None:
    body = copy.deepcopy(dict(COST.example))
    body["best_width"] |= {"narrowest": "3 m"}
    vary = {"/best_width/widest": Given([2.0, 6.0, 8.0], "m"), "/work/area": Given([200.0, 210.0, 220.0], "ha")}
    faults = agree(make_plan(COST, body, vary, "zip", list(COST.columns), "metric", 10)).faults
    assert [(fault.row, fault.pointer) for fault in faults] == [(0, "/best_width/widest")]


def test_warnings_alone_are_those_of_the_whole_answer() -> None:
    vary = numbers(6)
    alone, whole = (
        agree(make_plan(COST, dict(COST.example), vary, "zip", columns, "metric", 1000))
        for columns in (["/about/warnings"], ["/about/warnings", *every_column(COST)[:40]])
    )
    assert alone.columns[0].values == whole.columns[0].values
    assert any(value is not None and "/best_width" in value for value in alone.columns[0].values)
