"""Rows at once give what the same requests give one by one: every column, both ends of every range, every fault."""

import copy
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.batch.agreeing import all_agree

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.fuel import FUEL
from drawbar_service.api.v1.power import POWER
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.batch.plan import Given

SIZE = 100
Draw = Callable[[np.random.Generator], Given]


def numbers(low: float, high: float, unit: str) -> Draw:
    return lambda random: Given(random.uniform(low, high, SIZE), unit)


def counts(low: int, high: int) -> Draw:
    return lambda random: Given(random.integers(low, high, SIZE).tolist())


def texts(*choices: str) -> Draw:
    return lambda random: Given(random.choice(choices, SIZE).tolist())


class Scene(NamedTuple):
    calculation: Calculation[Any, Any]
    changes: Mapping[str, Any]
    """To the worked example."""
    vary: Mapping[str, Draw]


TOOLS: Mapping[str, Draw] = {
    "/speed": numbers(2.0, 15.0, "km/h"),
    "/implement/draft_multiplier": numbers(0.2, 3.0, "1"),
    "/implement/tools/0/depth": numbers(5.0, 40.0, "cm"),
    "/implement/tools/0/count": counts(1, 30),
    "/implement/tools/0/spacing": numbers(10.0, 80.0, "cm"),
    "/implement/tools/1/width": numbers(1.0, 9.0, "m"),
    "/soil/texture": texts("fine", "medium", "coarse"),
}
AREAS: Mapping[str, Draw] = {
    "/width": numbers(1.0, 18.0, "m"),
    "/speed": numbers(2.0, 15.0, "mph"),
    "/area": numbers(1.0, 300.0, "ha"),
    "/workday": numbers(4.0, 14.0, "h"),
    "/crop_yield": numbers(1.0, 90.0, "t/ha"),
}
PULLING = {"pull": "32 kN", "speed": "7.5 km/h"}
SHAFTS = [{"machine": "mower.disk", "width": "3 m"}, {"machine": "baler.small-rectangular", "feed_rate": "8 t/h"}]
SCENES: Mapping[str, Scene] = {
    "draft": Scene(DRAFT, {}, TOOLS),
    "draft of a given width on a slope": Scene(
        DRAFT,
        {"implement": DRAFT.example["implement"] | {"width": "4 m", "mass": "3 t"}, "slope": "4 %"},
        {
            **TOOLS,
            "/implement/width": numbers(2.0, 9.0, "m"),
            "/implement/mass": numbers(0.5, 9.0, "t"),
            "/slope": numbers(-15.0, 15.0, "%"),
        },
    ),
    "power by the ratio": Scene(
        POWER,
        {"electric": "3 kW"},
        {
            "/pulling/pull": numbers(0.0, 90.0, "kN"),
            "/pulling/speed": numbers(2.0, 15.0, "km/h"),
            "/pulling/surface": texts("concrete", "hard", "firm", "tilled", "soft"),
            "/hydraulic/0/flow": numbers(5.0, 90.0, "L/min"),
            "/hydraulic/0/pressure": numbers(20.0, 200.0, "bar"),
            "/electric": numbers(0.0, 20.0, "kW"),
            "/pto_per_engine_power": numbers(0.7, 0.95, "1"),
        },
    ),
    "power by a ratio of one's own": Scene(
        POWER,
        {"pulling": {**PULLING, "drawbar_per_pto": 0.6}},
        {"/pulling/drawbar_per_pto": numbers(0.2, 0.9, "1"), "/pulling/pull": numbers(0.0, 90.0, "kN")},
    ),
    "power by tractive efficiency": Scene(
        POWER,
        {"pulling": {**PULLING, "tractive_efficiency": 0.7}, "rotary": SHAFTS},
        {
            "/pulling/tractive_efficiency": numbers(0.3, 0.9, "1"),
            "/transmission_efficiency": numbers(0.7, 0.98, "1"),
            "/rotary/0/width": numbers(1.0, 6.0, "m"),
            "/rotary/1/feed_rate": numbers(0.0, 30.0, "t/h"),
            "/pump_efficiency": numbers(0.5, 0.95, "1"),
        },
    ),
    "power of shafts": Scene(
        POWER,
        {"pulling": None, "hydraulic": [], "rotary": SHAFTS},
        {
            "/rotary/0/machine": texts("mower.disk", "no machine", "mower.cutterbar"),
            "/rotary/0/width": numbers(1.0, 6.0, "m"),
        },
    ),
    "traction under a pull": Scene(
        TRACTION,
        {},
        {
            "/pull": numbers(0.0, 90.0, "kN"),
            "/soil/cone_index": numbers(150.0, 2500.0, "kPa"),
            "/soil/surface": texts("firm", "soft"),
            "/tractor/drive": texts("two-wheel", "rubber-track"),
        },
    ),
    "traction at a slip": Scene(
        TRACTION,
        {"pull": None, "slip": "10 %", "slope": "5 %"},
        {
            "/slip": numbers(0.0, 60.0, "%"),
            "/soil/cone_index": numbers(150.0, 2500.0, "kPa"),
            "/tractor/mass": numbers(4.0, 14.0, "t"),
            "/tractor/front_share": numbers(30.0, 60.0, "%"),
            "/tractor/wheelbase": numbers(2.2, 3.5, "m"),
        },
    ),
    "fuel of a load": Scene(
        FUEL,
        {},
        {
            "/load": numbers(0.0, 140.0, "kW"),
            "/power/rated_pto": numbers(80.0, 300.0, "kW"),
            "/engine_speed": numbers(55.0, 100.0, "%"),
            "/capacity": numbers(0.5, 9.0, "ha/h"),
            "/field_efficiency": numbers(40.0, 100.0, "%"),
            "/turning_fuel_share": numbers(10.0, 60.0, "%"),
            "/equation": texts("diesel", "older-diesel", "annual-average-diesel", "annual-average-gasoline"),
        },
    ),
    "fuel of a load fraction": Scene(
        FUEL,
        {"load": None, "load_fraction": "60 %", "power": {"engine": "200 hp"}, "engine_speed": None},
        {
            "/load_fraction": numbers(0.0, 100.0, "%"),
            "/power/engine": numbers(80.0, 300.0, "hp"),
            "/equation": texts("diesel", "older-diesel"),
        },
    ),
    "area by a kind of machine": Scene(
        FIELD_CAPACITY, {}, {**AREAS, "/practice": texts("field-cultivator", "row-crop-planter", "no machine")}
    ),
    "area by an efficiency": Scene(
        FIELD_CAPACITY, {"practice": None, "efficiency": "80 %"}, {**AREAS, "/efficiency": numbers(30.0, 100.0, "%")}
    ),
}


def body_of(scene: Scene) -> dict[str, Any]:
    body = copy.deepcopy({**scene.calculation.example, **scene.changes})
    return {name: value for name, value in body.items() if value is not None}


def fully_varied(scene: Scene, seed: int) -> dict[str, Given]:
    random = np.random.default_rng(seed)
    return {pointer: draw(random) for pointer, draw in scene.vary.items()}


@pytest.mark.parametrize("name", SCENES)
@settings(max_examples=6)
@given(data=st.data())
def test_whatever_varies_rows_agree(name: str, data: st.DataObject) -> None:
    scene = SCENES[name]
    seed = data.draw(st.integers(0, 2**32 - 1))
    chosen = data.draw(st.lists(st.sampled_from(sorted(scene.vary)), min_size=1, unique=True))
    vary = {pointer: values for pointer, values in fully_varied(scene, seed).items() if pointer in chosen}
    all_agree(scene.calculation, body_of(scene), vary, units="us")


@pytest.mark.parametrize("name", SCENES)
def test_all_that_may_vary_varies_at_once(name: str) -> None:
    scene = SCENES[name]
    vary = fully_varied(scene, 1)
    all_agree(scene.calculation, body_of(scene), vary)


def test_loads_that_are_too_great_are_faults_of_their_rows() -> None:
    vary = {"/load": Given([50.0, 149.0, 151.0, 400.0], "kW"), "/engine_speed": Given([0.8, 3.0, 0.9, 3.0], "1")}
    faults = all_agree(FUEL, body_of(SCENES["fuel of a load"]), vary)
    assert [(fault.row, fault.pointer) for fault in faults] == [
        (1, "/engine_speed"),
        (2, "/load"),
        (3, "/engine_speed"),
    ]


def test_values_at_fault_are_told_beside_the_others() -> None:
    vary = {
        "/speed": Given([7.0, 9e9, 8.0, float("nan")], "km/h"),
        "/implement/tools/0/count": Given([7, 8, 0, 2.5]),
        "/soil/texture": Given(["fine", "fine", "fine", "mud"]),
    }
    faults = all_agree(DRAFT, dict(DRAFT.example), vary)
    assert [fault.row for fault in faults] == [1, 2, 3, 3, 3]


def test_a_count_that_some_rows_leave_out() -> None:
    vary = {"/implement/tools/0/count": Given([7, None, 9]), "/speed": Given([7.0, 8.0, 9.0], "km/h")}
    faults = all_agree(DRAFT, dict(DRAFT.example), vary)
    assert [(fault.row, fault.pointer) for fault in faults] == [(1, "/implement/tools/0/count")]


def test_a_height_that_differs_in_every_row() -> None:
    vary = {"/tractor/drawbar_height": Given(np.linspace(0.3, 0.7, 30), "m")}
    all_agree(TRACTION, dict(TRACTION.example), vary)


def test_few_values_of_many_leaves_are_gathered() -> None:
    random = np.random.default_rng(3)
    vary = {
        "/tractor/drawbar_height": Given(random.choice([0.4, 0.6], SIZE), "m"),
        "/soil/surface": Given(random.choice(["firm", "soft"], SIZE).tolist()),
        "/pull": Given(random.uniform(5.0, 40.0, SIZE), "kN"),
    }
    all_agree(TRACTION, dict(TRACTION.example), vary)


def test_a_grid_agrees() -> None:
    vary = {
        "/speed": Given(np.linspace(3.0, 12.0, 9), "km/h"),
        "/soil/texture": Given(["fine", "coarse", "fine"]),
        "/implement/tools/0/depth": Given([10.0, 20.0, 900.0], "cm"),
    }
    all_agree(DRAFT, dict(DRAFT.example), vary, mode="grid")


def test_a_field_shape() -> None:
    body = {"width": "6 m", "speed": "9 km/h"}
    body |= {"shape": {"length": "600 m", "width": "300 m", "turn": {"time": "20 s"}}}
    all_agree(FIELD_CAPACITY, body, {"/speed": Given([5.0, 9.0], "km/h")})


def test_rows_that_differ_in_the_soil_of_the_front_track() -> None:
    body = copy.deepcopy(dict(TRACTION.example))
    body["tractor"] |= {"rear_follows_front": True}
    for vary in (("/tractor/mass", Given([7.0, 7.5, 8.0], "t")), ("/pull", Given([7.0, 7.5, 8.0], "kN"))):
        all_agree(TRACTION, body, dict([vary]))
