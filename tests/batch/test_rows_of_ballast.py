"""Rows of ballast and of measured slip give what the same requests give one by one, to the last bit."""

import copy
from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.api.strategies import consistent_bodies, sensible_bodies
from tests.batch.agreeing import agree, all_agree, groups
from tests.batch.whole_requests import number_leaves, varying

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.slip import SLIP
from drawbar_service.batch import rows
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.model.ballast_search import AT_ONCE

BOTH = pytest.mark.parametrize("calculation", [BALLAST, SLIP], ids=lambda one: one.name)
RANDOM = np.random.default_rng(5)
SIZE = 24
WORK: Mapping[str, Given] = {
    "/speed": Given(RANDOM.uniform(3.0, 12.0, SIZE), "km/h"),
    "/tractor/mass": Given(RANDOM.uniform(4.0, 16.0, SIZE), "t"),
    "/tractor/front_share": Given(RANDOM.uniform(20.0, 60.0, SIZE), "%"),
    "/implement/tools/0/depth": Given(RANDOM.uniform(8.0, 40.0, SIZE), "cm"),
}
TEXTS: Mapping[str, Given] = {
    "/soil/surface": Given(RANDOM.choice(["hard", "firm", "tilled", "soft"], SIZE).tolist()),
    "/soil/texture": Given(RANDOM.choice(["fine", "medium", "coarse"], SIZE).tolist()),
    "/aim": Given(RANDOM.choice(["low", "middle", "high"], SIZE).tolist()),
    "/tractor/drive": Given(RANDOM.choice(["two-wheel", "front-wheel-assist", "four-wheel"], SIZE).tolist()),
}
NOTHING_ELSE = {name: value for name, value in BALLAST.example.items() if name not in ("transport", "soil_stress")}


@BOTH
@pytest.mark.parametrize("bodies", [sensible_bodies, consistent_bodies])
@settings(max_examples=4, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_any_numbers_may_vary(calculation: Calculation[Any, Any], bodies: Any, data: st.DataObject) -> None:
    body = data.draw(bodies(calculation.request))
    numbers = number_leaves(calculation, body)
    some = data.draw(st.lists(st.sampled_from(sorted(numbers)), min_size=1, unique=True))
    chosen = data.draw(st.sampled_from([some, list(numbers)]))
    all_agree(calculation, body, varying(calculation, {pointer: numbers[pointer] for pointer in chosen}))


@pytest.mark.parametrize("body", [BALLAST.example, NOTHING_ELSE], ids=["everything", "nothing else"])
@pytest.mark.parametrize("vary", [WORK, TEXTS, {**WORK, **TEXTS}], ids=["numbers", "texts", "both"])
def test_work_and_texts_may_vary(body: Mapping[str, Any], vary: Mapping[str, Given]) -> None:
    all_agree(BALLAST, dict(body), dict(vary))


@pytest.mark.parametrize("pull", ["30 kN", "58 kN"])
def test_what_can_come_off_and_what_is_wanted_may_vary(pull: str) -> None:
    body = {name: value for name, value in BALLAST.example.items() if name != "implement"}
    body |= {"pull": {"force": pull}, "ballast_on": {}, "limits": {}}
    vary = {
        "/ballast_on/front": Given(RANDOM.uniform(0.0, 2.0, SIZE), "t"),
        "/ballast_on/rear": Given(RANDOM.uniform(0.0, 7.0, SIZE), "t"),
        "/limits/mass": Given(RANDOM.uniform(1.0, 20.0, SIZE), "t"),
        "/wanted_front_share": Given(RANDOM.uniform(5.0, 70.0, SIZE), "%"),
        "/slope": Given(RANDOM.uniform(-10.0, 15.0, SIZE), "%"),
        "/tractor/transmission_efficiency": Given(RANDOM.uniform(0.7, 0.98, SIZE), "1"),
    }
    for some in (list(vary)[:2], list(vary)[2:4], list(vary)):
        faults = all_agree(BALLAST, copy.deepcopy(body), {pointer: vary[pointer] for pointer in some})
        assert {fault.pointer for fault in faults} <= {"/ballast_on", "/limits/mass"}
    assert faults


def test_tractors_on_tracks_go_beside_those_on_wheels() -> None:
    drives = ["four-wheel", "rubber-track"] * 20
    vary = {"/tractor/drive": Given(drives), "/speed": Given(np.linspace(4.0, 12.0, 40), "km/h")}
    all_agree(BALLAST, dict(BALLAST.example), vary)


def test_runs_that_cannot_be_are_faults_of_their_rows() -> None:
    vary = {
        "/turns/runs/0/loaded": Given([10.0, 8.0, 11.0, 9.0, 10.0, 16.0]),
        "/turns/runs/1/unloaded": Given([8.0, 8.5, 9.0, 11.0, 7.5, 7.0]),
        "/turns/reading_error": Given([0.1, 0.1, 12.0, 0.2, 0.05, 0.1]),
    }
    faults = all_agree(SLIP, dict(SLIP.example), vary)
    assert [(fault.row, fault.pointer) for fault in faults] == [
        (1, "/turns/runs/0/loaded"),
        (2, "/turns/reading_error"),
        (3, "/turns/runs/1/loaded"),
    ]


def test_rows_of_default_columns_go_together() -> None:
    vary = {pointer: WORK[pointer] for pointer in ("/speed", "/tractor/mass", "/implement/tools/0/depth")}
    plan = make_plan(BALLAST, dict(BALLAST.example), vary, "zip", list(BALLAST.columns), "metric", SIZE)
    assert groups(plan) == 1
    advice = agree(plan).columns[0].values
    assert len(set(advice)) > 2


def columns_of(body: dict[str, Any], numbers: dict[str, npt.NDArray[np.float64]], wanted: list[str]) -> list[Any]:
    vary = {pointer: Given(values, WORK[pointer].unit) for pointer, values in numbers.items()}
    size = len(next(iter(numbers.values())))
    plan = make_plan(BALLAST, body, vary, "zip", wanted, "metric", size)
    block = rows.Leaves(plan).evaluate(0, size, lambda: None)
    assert block.answered.all()
    return [np.asarray(column.values) for column in block.columns]


def test_a_row_does_not_depend_on_its_neighbours() -> None:
    size = AT_ONCE // 81 + 200
    random = np.random.default_rng(8)
    numbers = {
        "/speed": random.uniform(3.0, 12.0, size),
        "/tractor/mass": random.uniform(4.0, 16.0, size),
        "/implement/tools/0/depth": random.uniform(8.0, 40.0, size),
    }
    body = dict(BALLAST.example)
    wanted = [*BALLAST.columns, "/pull_in_reach", "/iso_slip/0/mass", "/advised/mass/low", "/change/front_ballast"]
    whole = columns_of(body, numbers, wanted)
    order = random.permutation(size)
    shuffled = columns_of(body, {pointer: values[order] for pointer, values in numbers.items()}, wanted)
    sliced = columns_of(body, {pointer: values[17:150] for pointer, values in numbers.items()}, wanted)
    for pointer, one, other, few in zip(wanted, whole, shuffled, sliced, strict=True):
        np.testing.assert_array_equal(one[order], other, err_msg=pointer)
        np.testing.assert_array_equal(one[17:150], few, err_msg=pointer)


def test_sizes_and_pressures_may_vary() -> None:
    sizes = ["650/65R42", "650/65R42 158A8", "IF 650/65R42 162A8/159B", "VF 600/70R38 165D"]
    vary = {
        "/tractor/tires/rear/size": Given(RANDOM.choice(sizes, SIZE).tolist()),
        "/tractor/tires/rear/inflation": Given(RANDOM.uniform(0.3, 3.0, SIZE), "bar"),
        "/tractor/tires/rear/road_inflation": Given(RANDOM.uniform(0.8, 3.0, SIZE), "bar"),
        "/transport/speed": Given(RANDOM.uniform(20.0, 70.0, SIZE), "km/h"),
        "/tractor/mass": Given(RANDOM.uniform(6.0, 14.0, SIZE), "t"),
    }
    assert not all_agree(BALLAST, dict(BALLAST.example), vary)
