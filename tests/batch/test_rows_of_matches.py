"""Matches on arrays give the numbers of the same matches asked one by one."""

import copy
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.batch.agreeing import agree, all_agree, same

from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.match import MATCH
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.batch.run import run
from drawbar_service.batch.table import joined

SIZE = 120


def scenario(**changes: Any) -> dict[str, Any]:
    body = copy.deepcopy(dict(MATCH.example))
    body.pop("speed", None)
    return body | changes


def varied(seed: int) -> dict[str, Given]:
    random = np.random.default_rng(seed)
    return {
        "/speed": Given(random.uniform(3.0, 14.0, SIZE), "km/h"),
        "/implement/draft_multiplier": Given(random.uniform(0.5, 2.0, SIZE)),
        "/implement/tools/0/depth": Given(random.uniform(5.0, 40.0, SIZE), "cm"),
        "/implement/tools/0/count": Given(random.integers(3, 20, SIZE).tolist()),
        "/implement/tools/0/spacing": Given(random.uniform(20.0, 50.0, SIZE), "cm"),
        "/implement/tools/1/width": Given(random.uniform(1.0, 6.0, SIZE), "m"),
        "/soil/cone_index": Given(random.uniform(300.0, 2000.0, SIZE), "kPa"),
        "/soil/texture": Given(random.choice(["fine", "medium", "coarse"], SIZE).tolist()),
        "/tractor/power/rated_pto": Given(random.uniform(80.0, 250.0, SIZE), "kW"),
        "/tractor/mass": Given(random.uniform(4.0, 14.0, SIZE), "t"),
        "/tractor/front_share": Given(random.uniform(30.0, 60.0, SIZE), "%"),
        "/tractor/wheelbase": Given(random.uniform(2.2, 3.5, SIZE), "m"),
        "/limits/slip": Given(random.uniform(0.08, 0.2, SIZE)),
        "/limits/power_reserve": Given(random.uniform(0.0, 0.3, SIZE)),
        "/limits/front_share": Given(random.uniform(0.05, 0.3, SIZE)),
        "/field/efficiency": Given(random.uniform(0.6, 0.95, SIZE)),
        "/field/turning_fuel_share": Given(random.uniform(0.1, 0.6, SIZE)),
    }


@pytest.mark.parametrize(
    ("left_out", "changes"),
    [
        ("", {}),
        ("/speed", {}),
        ("/speed", {"find": ["speed", "width", "depth"]}),
        ("/soil/texture", {"find": ["width", "depth"], "field": {"slope": "6 %"}}),
        ("/field/efficiency", {"implement": {**MATCH.example["implement"], "depth_range": ["10 cm", "30 cm"]}}),
    ],
)
def test_every_column_is_that_of_single_matches(left_out: str, changes: dict[str, Any]) -> None:
    columns = {pointer: given for pointer, given in varied(1).items() if pointer != left_out}
    all_agree(MATCH, scenario(**changes), columns, units="us")


@settings(max_examples=5)
@given(st.integers(0, 2**32 - 1))
def test_any_rows_agree(seed: int) -> None:
    all_agree(MATCH, scenario(), varied(seed))


def test_drafts_and_ranges_of_ones_own_agree() -> None:
    random = np.random.default_rng(4)
    own = {
        "/implement/tools/0/draft_per_tool": Given(random.uniform(0.5, 5.0, SIZE), "kN"),
        "/implement/tools/0/draft_range": Given(random.uniform(0.05, 0.6, SIZE)),
        "/implement/tools/1/draft_per_width": Given(random.uniform(0.5, 5.0, SIZE), "kN/m"),
        "/implement/tools/1/draft_range": Given(random.uniform(0.05, 0.6, SIZE)),
    }
    all_agree(MATCH, scenario(find=["speed", "width", "depth"]), varied(3) | own)


@pytest.mark.parametrize("change", ["tires", "gears", "tracks", "in the track"])
def test_what_keeps_rows_apart(change: str) -> None:
    body = scenario(speed="8 km/h")
    changes = {"gears": {"gears": [{"name": "C2", "speed": "9.1 km/h"}]}, "tracks": {"drive": "rubber-track"}}
    changes["in the track"] = {"rear_follows_front": True}
    body["tractor"] |= changes.get(change, {})
    vary = {
        "/tractor/tires/front/size": Given(["540/65R30", "480/70R30", "no tire"]),
        "/speed": Given([7.0, 8.0, 900.0], "km/h"),
    }
    columns = ["/verdict/fits", "/fuel/rate", "/at_work/slip"]
    agree(make_plan(MATCH, body, vary, "grid", columns, "metric", 99))


def test_a_machine_without_ground_tools_agrees() -> None:
    rolls = {"hitch": "drawbar", "mass": "9 t", "width": "3 m", "rotary": [{"machine": "mower.disk", "width": "3 m"}]}
    columns = {pointer: given for pointer, given in varied(2).items() if not pointer.startswith("/implement/tools")}
    columns["/implement/width"] = Given(np.linspace(2.0, 9.0, SIZE), "m")
    all_agree(MATCH, scenario(implement=rolls, field={"slope": "-3 %"}), columns)


def test_turns_and_stops_agree() -> None:
    left_out = ("/field/efficiency", "/field/turning_fuel_share")
    columns = {pointer: given for pointer, given in varied(3).items() if pointer not in left_out}
    columns |= {
        "/field/shape/stops": Given(np.where(np.arange(SIZE) % 3, np.linspace(0.0, 3600.0, SIZE), 0.0), "s"),
        "/field/shape/turn/time": Given(np.where(np.arange(SIZE) % 4, np.linspace(0.0, 60.0, SIZE), 0.0), "s"),
        "/field/stopped_fuel_share": Given(np.linspace(0.0, 0.4, SIZE)),
    }
    shape = {"length": "500 m", "width": "200 m", "turn": {"time": "25 s"}}
    all_agree(MATCH, scenario(field={"shape": shape}), columns)


def test_tracks_beside_wheels() -> None:
    vary = {
        "/tractor/drive": Given(["rubber-track", "four-wheel"] * 50),
        "/speed": Given(np.linspace(4.0, 12.0, 100), "km/h"),
    }
    plan = make_plan(MATCH, scenario(), vary, "zip", ["/at_work/pto_power", "/verdict/binding"], "metric", 100)
    agree(plan)


@pytest.mark.parametrize("asked", [{}, {"odds": {"samples": 256}}, {"find": ["speed", "width", "depth"]}])
def test_rows_on_tracks_agree(asked: dict[str, Any]) -> None:
    rows, random = 24, np.random.default_rng(3)
    vary = {
        "/tractor/drive": Given(["rubber-track", "four-track", "four-wheel"] * 8),
        "/tractor/mass": Given(random.uniform(3.0, 25.0, rows), "t"),
        "/soil/surface": Given(random.choice(["hard", "firm", "tilled", "soft"], rows).tolist()),
        # Below 450 kPa it is not known what tracks pull.
        "/soil/cone_index": Given(random.uniform(300.0, 1500.0, rows), "kPa"),
        "/field/slope": Given(random.uniform(-5.0, 8.0, rows), "%"),
        "/speed": Given(random.uniform(4.0, 12.0, rows), "km/h"),
    }
    all_agree(MATCH, scenario(**asked), vary)


def test_blocks_and_threads_do_not_show() -> None:
    random = np.random.default_rng(2)
    vary = {"/speed": Given(random.uniform(3.0, 14.0, 70_000), "km/h")}
    plan = make_plan(MATCH, scenario(), vary, "zip", ["/at_work/pto_power", "/verdict/binding"], "metric", 10**6)
    one, many = joined(list(run(plan, threads=1))), joined(list(run(plan, threads=3)))
    for first, second in zip(one.columns, many.columns, strict=True):
        same(first, second, one.answered)
    assert len(one.answered) == 70_000


@pytest.mark.parametrize("rows", [1, 2, 3])
def test_a_sentence_of_few_rows_is_made(rows: int) -> None:
    vary = {"/speed": Given(np.linspace(7.0, 9.0, rows), "km/h")}
    plan = make_plan(MATCH, scenario(), vary, "zip", ["/verdict/summary", "/verdict/fits"], "metric", 10)
    (summaries, _) = joined(list(run(plan))).columns
    words = ["Holds", "Close", "Close"] if rows == 3 else ["Holds", "Close"]
    assert [str(text).partition(" km/h")[0] for text in summaries.values] == [
        f"{word} at {speed:.3g}" for word, speed in zip(words[:rows], np.linspace(7.0, 9.0, rows), strict=True)
    ]


def test_the_first_leaf_varies_slowest_in_a_grid() -> None:
    vary = {"/speed": Given([6.0, 9.0], "km/h"), "/soil/surface": Given(["firm", "tilled", "soft"])}
    plan = make_plan(MATCH, scenario(), vary, "grid", ["/at_work/speed"], "metric", 10)
    assert joined(list(run(plan))).columns[0].values == pytest.approx([6.0, 6.0, 6.0, 9.0, 9.0, 9.0])


def test_dates_go_in_and_out_as_texts() -> None:
    # The suitable days are of the window, so a longer one with as many is a drier one.
    vary = {"/end": Given(["2027-11-20", "2027-12-10"])}
    plan = make_plan(COMPLETION, dict(COMPLETION.example), vary, "zip", ["/dates/even", "/chance"], "metric", 10)
    block = joined(list(run(plan)))
    assert block.columns[0].values == ["2027-11-04", "2027-11-13"]


def test_sizes_and_pressures_may_vary() -> None:
    random = np.random.default_rng(8)
    sizes = ["650/65R42", "650/65R42 158A8", "IF 650/65R42 162A8/159B", "VF 600/70R38 165D", "18.4-38 10PR", "30.5L-32"]
    vary = {
        "/tractor/tires/rear/size": Given(random.choice([*sizes, "650/65R42 blue"], SIZE).tolist()),
        "/tractor/tires/rear/inflation": Given(random.uniform(0.3, 3.0, SIZE), "bar"),
        "/tractor/tires/rear/count": Given(random.choice([2, 4, 6], SIZE).tolist()),
        "/tractor/mass": Given(random.uniform(5.0, 14.0, SIZE), "t"),
    }
    faults = all_agree(MATCH, scenario(), vary)
    assert {fault.pointer for fault in faults} == {"/tractor/tires/rear/size"}
    rated = {**vary, "/tractor/tires/rear/size": Given(random.choice(sizes[1:4], SIZE).tolist())}
    assert not all_agree(MATCH, scenario(), rated)
