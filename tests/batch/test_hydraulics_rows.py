"""Hydraulics at once give what the same hydraulics give one by one: to the last bit, faults and warnings too."""

import copy
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.api.strategies import sensible_bodies
from tests.batch.agreeing import agree, all_agree, groups
from tests.batch.varying import varied

from drawbar_service.api.v1.hydraulics import HYDRAULICS
from drawbar_service.api.v1.hydraulics.request import HydraulicsRequest
from drawbar_service.batch.plan import Given, make_plan

SIZE = 40


def numbers(seed: int) -> dict[str, Given]:
    random = np.random.default_rng(seed)

    def between(low: float, high: float, unit: str) -> Given:
        return Given(random.uniform(low, high, SIZE), unit)

    return {
        "/tractor/flow": between(40.0, 150.0, "L/min"),
        "/tractor/outlet_flow": between(10.0, 100.0, "L/min"),
        "/functions/0/steady/flow": between(5.0, 60.0, "L/min"),
        "/functions/0/steady/pressure": between(20.0, 220.0, "bar"),
        "/functions/1/cylinders/time": between(1.0, 9.0, "s"),
        "/functions/1/cylinders/each/0/bore": between(95.0, 110.0, "mm"),
        "/functions/2/cylinders/each/0/load": between(10.0, 150.0, "kN"),
        "/functions/2/cylinders/each/0/count": Given(random.integers(1, 4, SIZE).tolist()),
    }


@settings(max_examples=12)
@given(sensible_bodies(HydraulicsRequest), st.integers(0, 2**32 - 1))
def test_any_number_of_any_request_may_vary(body: dict[str, Any], seed: int) -> None:
    all_agree(HYDRAULICS, body, varied(HYDRAULICS, body, seed))


@pytest.mark.parametrize("pump", ["load-sensing", "fixed"])
def test_everything_varies_at_once(pump: str) -> None:
    body = copy.deepcopy(dict(HYDRAULICS.example))
    body["tractor"] |= {"pump": pump, "cooling": "3 kW"}
    all_agree(HYDRAULICS, body, numbers(1), units="us")


def test_which_outlet_a_function_hangs_on_varies() -> None:
    body = copy.deepcopy(dict(HYDRAULICS.example))
    random = np.random.default_rng(2)
    outlets = {f"/functions/{at}/outlet": Given(random.integers(1, 4, SIZE).tolist()) for at in range(3)}
    columns = ["/checks/0/kept", "/checks/0/margin", "/checks/6/margin", "/checks/6/pointer", "/fits"]
    plan = make_plan(HYDRAULICS, body, numbers(2) | outlets, "zip", columns, "metric", 1000)
    assert len(set(agree(plan).columns[3].values)) > 1


def test_a_rod_that_does_not_fit_its_bore_is_the_fault_of_its_row() -> None:
    vary = {"/functions/1/cylinders/each/0/rod": Given([30.0, 40.0, 120.0, 50.0], "mm")}
    faults = all_agree(HYDRAULICS, dict(HYDRAULICS.example), vary)
    assert [(fault.row, fault.pointer) for fault in faults] == [(2, "/functions/1/cylinders/each/0/rod")]


@pytest.mark.parametrize("rows", [slice(None, None, -1), slice(3, 20), slice(0, None, 7)])
def test_a_row_does_not_depend_on_its_neighbours(rows: slice) -> None:
    whole, some = numbers(4), {}
    for pointer, one in whole.items():
        some[pointer] = Given(np.asarray(one.values)[rows].tolist(), one.unit)
    columns = [*HYDRAULICS.columns, "/duties/1/heat", "/checks/1/margin", "/functions/2/cylinders/retract_time"]
    all_of, some_of = (
        agree(make_plan(HYDRAULICS, dict(HYDRAULICS.example), vary, "zip", columns, "metric", 1000))
        for vary in (whole, some)
    )
    for one, other in zip(all_of.columns, some_of.columns, strict=True):
        np.testing.assert_array_equal(np.asarray(one.values)[rows], np.asarray(other.values))


def test_numbers_keep_rows_together() -> None:
    vary = {pointer: given for pointer, given in numbers(5).items() if "bore" not in pointer}
    columns = [*HYDRAULICS.columns, "/about/warnings", "/duties/1/heat"]
    assert groups(make_plan(HYDRAULICS, dict(HYDRAULICS.example), vary, "zip", columns, "metric", 1000)) == 1
