"""Whole objects by name: tractors, tools, soils and fields."""

import copy
from typing import Any

import numpy as np
import pytest
from tests.batch.agreeing import all_agree, groups

from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.match import MATCH
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.batch.run import run
from drawbar_service.batch.table import joined

TRACTOR = dict(MATCH.example["tractor"])
TIRES = {"front": {"size": "480/70R30"}, "rear": {"size": "18.4-38", "count": 4}}
CHISEL = {"tool": "chisel-plow.twisted-shovel-10cm", "count": 9, "spacing": "40 cm", "depth": "18 cm"}
DISK = {"tool": "disk-gang.primary", "width": "3.9 m", "depth": "9 cm"}
FLEETS: dict[str, Any] = {
    "tractors": {
        "heron": TRACTOR,
        "otter": {**TRACTOR, "mass": "7.1 t", "drive": "two-wheel", "tires": TIRES},
        "mole": {**TRACTOR, "power": {"engine": "240 hp"}, "gears": [{"name": "C2", "speed": "9 km/h"}]},
        "newt": {"drive": "rubber-track", "power": {"rated_pto": "200 kW"}, "mass": "12 t"},
    },
    "tools": {
        "one": {"hitch": "drawbar", "tools": [CHISEL]},
        "two": {"hitch": "semi-mounted", "tools": [DISK, CHISEL], "mass": "3 t"},
        "rolls": {
            "hitch": "drawbar",
            "mass": "9 t",
            "width": "3 m",
            "rotary": [{"machine": "mower.disk", "width": "3 m"}],
        },
    },
    "soils": {
        "ridge": {"texture": "coarse", "surface": "firm"},
        "bottom": {"texture": "fine", "surface": "soft", "cone_index": "600 kPa"},
    },
    "fields": {"flat": {"area": "20 ha"}, "steep": {"slope": "6 %", "efficiency": "78 %"}},
}
SCENARIO = {"fleets": FLEETS}


def keys(seed: int, size: int = 60) -> dict[str, Given]:
    random = np.random.default_rng(seed)
    places = {"/tractor": "tractors", "/implement": "tools", "/soil": "soils", "/field": "fields"}
    vary = {place: Given(random.choice(list(FLEETS[name]), size).tolist()) for place, name in places.items()}
    return vary | {"/speed": Given(random.uniform(4.0, 12.0, size), "km/h")}


def test_rows_of_keys_are_what_the_objects_give() -> None:
    assert all_agree(MATCH, SCENARIO, keys(1)) == []


def test_machines_with_other_numbers_of_tools_go_in_few_groups() -> None:
    vary = keys(2, 4000)
    plan = make_plan(MATCH, SCENARIO, vary, "zip", ["/verdict/fits", "/at_work/slip"], "metric", 10**6)
    assert groups(plan) < 200


def test_a_key_that_no_fleet_has_is_a_fault_of_its_row() -> None:
    vary = {"/tractor": Given(["heron", "hern", "otter", 7]), "/implement": Given(["one"] * 4)}
    scenario = {**SCENARIO, "soil": FLEETS["soils"]["ridge"], "speed": "7 km/h"}
    plan = make_plan(MATCH, scenario, vary, "zip", ["/at_work/slip"], "metric", 10)
    block = joined(list(run(plan)))
    assert block.answered.tolist() == [True, False, True, False]
    assert [(fault.row, fault.pointer) for fault in block.faults] == [(1, "/tractor"), (3, "/tractor")]
    assert "did you mean 'heron'?" in block.faults[0].detail


def test_grids_over_keys() -> None:
    vary = {
        "/tractor": Given(["heron", "otter"]),
        "/implement": Given(["one", "two"]),
        "/soil": Given(["ridge", "bottom"]),
        "/speed": Given([6.0, 8.0], "km/h"),
    }
    assert all_agree(MATCH, SCENARIO, vary, mode="grid") == []


def test_a_fault_inside_a_fleet_is_a_fault_of_the_scenario() -> None:
    fleets = copy.deepcopy(FLEETS)
    fleets["tools"]["one"]["tools"][0]["depth"] = "18 kg"
    fleets["barns"] = {}
    with pytest.raises(ImpossibleInput) as caught:
        make_plan(DRAFT, {"fleets": fleets}, {"/implement": Given(["one"])}, "zip", ["/pull"], "metric", 10)
    assert {fault.pointer for fault in caught.value.faults} == {
        "/scenario/fleets/tools/one/tools/0/depth",
        "/scenario/fleets/tools/two/tools/1/depth",  # the same tool
        "/scenario/fleets/barns",
    }


def test_findings_are_told_by_row() -> None:
    scenario = {**SCENARIO, "implement": FLEETS["tools"]["one"], "soil": FLEETS["soils"]["ridge"]}
    vary = {"/tractor": Given(["heron", "newt", "heron"]), "/speed": Given([5.0, 5.0, 12.0], "km/h")}
    columns = ["/about/warnings", "/about/assumptions"]
    warnings, assumptions = (
        column.values
        for column in joined(list(run(make_plan(MATCH, scenario, vary, "zip", columns, "metric", 10)))).columns
    )
    assert isinstance(warnings, list)
    assert isinstance(assumptions, list)
    assert warnings[0] is None
    assert "rough-estimate /tractor/drive" in str(warnings[1])
    assert "/soil/cone_index" in str(assumptions[0])
    assert "/soil/cone_index" not in str(assumptions[1])
