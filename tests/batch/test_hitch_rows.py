"""Hitches at once give what the same hitches give one by one: to the last bit, faults and warnings too."""

import copy
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.api.strategies import sensible_bodies
from tests.batch.agreeing import agree, all_agree, groups
from tests.batch.varying import varied

from drawbar_service.api.v1.hitch import HITCH
from drawbar_service.api.v1.hitch.request import HitchRequest
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.model.hitch_categories import HORSEPOWER, KILOWATT, R_PER_MIN
from drawbar_service.quantities import DIMENSIONS

SIZE = 40


def numbers(seed: int) -> dict[str, Given]:
    random = np.random.default_rng(seed)

    def between(low: float, high: float, unit: str) -> Given:
        return Given(random.uniform(low, high, SIZE), unit)

    return {
        "/tractor/mass": between(5.0, 12.0, "t"),
        "/tractor/power/rated_pto": between(10.0, 400.0, "kW"),
        "/machine/mass": between(2.0, 9.0, "t"),
        "/machine/center_of_mass": between(3.0, 4.5, "m"),
        "/hitch/vertical_limit": between(5.0, 40.0, "kN"),
        "/road/width": between(2.5, 5.0, "m"),
        "/tires/machine/count": Given(random.integers(2, 9, SIZE).tolist()),
    }


@settings(max_examples=12)
@given(sensible_bodies(HitchRequest), st.integers(0, 2**32 - 1))
def test_any_number_of_any_request_may_vary(body: dict[str, Any], seed: int) -> None:
    all_agree(HITCH, body, varied(HITCH, body, seed))


def test_everything_varies_at_once() -> None:
    all_agree(HITCH, dict(HITCH.example), numbers(1), units="us")


def test_categories_and_types_vary() -> None:
    body = copy.deepcopy(dict(HITCH.example))
    body["machine"] |= {"pto": "2", "pto_power": "60 kW"}
    random = np.random.default_rng(2)
    vary = {
        "/hitch/three_point": Given(random.choice(["1", "2N", "3", "4"], SIZE).tolist()),
        "/hitch/drawbar": Given(random.choice(["1", "2", "3", "4"], SIZE).tolist()),
        "/machine/pto": Given(random.choice(["1", "2", "3", "4"], SIZE).tolist()),
        "/machine/pto_speed": Given(random.choice([540, 1000], SIZE).tolist()),
    }
    all_agree(HITCH, body, numbers(2) | vary)


def test_a_load_index_that_is_in_no_table_is_the_fault_of_its_row() -> None:
    vary = {"/tires/rear/load_index": Given([150, 190, 160, 170, 150])}
    faults = all_agree(HITCH, dict(HITCH.example), vary)
    assert [(fault.row, fault.pointer) for fault in faults] == [(1, "/tires/rear/load_index")]
    assert "190 is not in the table" in faults[0].detail


@pytest.mark.parametrize("rows", [slice(None, None, -1), slice(3, 20), slice(0, None, 7)])
def test_a_row_does_not_depend_on_its_neighbours(rows: slice) -> None:
    whole, some = numbers(4), {}
    for pointer, one in whole.items():
        some[pointer] = Given(np.asarray(one.values)[rows].tolist(), one.unit)
    columns = [*HITCH.columns, "/drawbar", "/three_point/0/spacing", "/checks/1/margin"]
    all_of, some_of = (
        agree(make_plan(HITCH, dict(HITCH.example), vary, "zip", columns, "metric", 1000)) for vary in (whole, some)
    )
    for one, other in zip(all_of.columns, some_of.columns, strict=True):
        np.testing.assert_array_equal(np.asarray(one.values)[rows], np.asarray(other.values))


def test_numbers_keep_rows_together() -> None:
    columns = [*HITCH.columns, "/about/warnings", "/drawbar", "/checks/1/margin"]
    assert groups(make_plan(HITCH, dict(HITCH.example), numbers(5), "zip", columns, "metric", 1000)) == 1


def test_units_of_the_tables_are_those_of_requests() -> None:
    # To the last bit: a power of just 20 hp is inside a range that begins at 20 hp.
    assert DIMENSIONS["power"].factors["hp"] == HORSEPOWER
    assert DIMENSIONS["power"].factors["kW"] == KILOWATT
    assert DIMENSIONS["rotation"].factors["r/min"] == R_PER_MIN


def test_load_indices_on_sidewalls_are_checked_row_by_row() -> None:
    body = dict(HITCH.example) | {"tires": {}}
    vary = {
        "/tractor/tires/rear/size": Given(["650/65R42", "650/65R42 158A8", "IF 650/65R42 162D", "650/65R42 158A8"]),
        "/tractor/tires/rear/inflation": Given([1.0, 1.2, 1.4, 0.8], "bar"),
        "/machine/mass": Given([4.0, 5.0, 6.0, 7.0], "t"),
    }
    assert not all_agree(HITCH, body, vary)
