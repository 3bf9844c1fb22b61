"""Completions of many rows at once are those of the same requests one by one, to the last bit."""

import copy
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.api.strategies import sensible_bodies
from tests.batch.agreeing import agree, all_agree, groups
from tests.batch.scattered import numeric_leaves, scattered

from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.batch.rows import Leaves
from drawbar_service.model import completion
from drawbar_service.reference import TIMELINESS as TIMELINESS_ROWS

SIZE = 24
TIMELINESS = {"loss": "0.7 %", "crop_yield": "8 t/ha", "price": "190 money/t"}


def body(**changes: Any) -> dict[str, Any]:
    return copy.deepcopy(dict(COMPLETION.example)) | changes


def numbers(low: float, high: float, unit: str | None = None, seed: int = 1) -> Given:
    return Given(np.random.default_rng(seed).uniform(low, high, SIZE), unit)


@settings(max_examples=12, suppress_health_check=list(HealthCheck))
@given(sensible_bodies(COMPLETION.request), st.integers(0, 2**32 - 1))
def test_whatever_number_varies_rows_agree(scenario: dict[str, Any], seed: int) -> None:
    scenario = msgspec.to_builtins(scenario)
    for pointer, value in numeric_leaves(COMPLETION.request, scenario):
        all_agree(COMPLETION, scenario, {pointer: scattered(value, 6, seed)})


def test_all_that_may_vary_varies_at_once() -> None:
    vary = {
        "/area": numbers(20.0, 400.0, "ha"),
        "/done": numbers(0.0, 60.0, "ha", seed=2),
        "/capacity": numbers(1.0, 6.0, "ha/h", seed=3),
        "/machine_count": Given(np.random.default_rng(4).integers(1, 4, SIZE).tolist()),
        "/passes": Given(np.random.default_rng(5).integers(1, 3, SIZE).tolist()),
        "/workday": numbers(6.0, 23.9, "h", seed=6),
        "/suitable/mean": numbers(0.0, 45.0, seed=7),
        "/suitable/spread": numbers(0.0, 20.0, seed=8),
        "/suitable/period_days": Given(np.random.default_rng(9).integers(30, 60, SIZE).tolist()),
        "/timeliness/schedule": Given(np.random.default_rng(10).choice(["balanced", "one-sided"], SIZE).tolist()),
    }
    faults = all_agree(COMPLETION, body(timeliness=TIMELINESS, suitable={"years": 12}), vary)
    assert {fault.pointer for fault in faults} >= {"/done", "/suitable/spread"}


@pytest.mark.parametrize(
    ("changes", "vary"),
    [
        ({"suitable": {"history": [12.5, 9.0, 17.0]}}, {"/suitable/history/1": numbers(0.0, 40.0)}),
        ({"suitable": {"mean": 12.0, "least": 4.0, "most": 20.0}}, {"/suitable/years": Given([5, 9, 30, 2, 5])}),
        ({"capacity_low": "2 ha/h", "capacity_high": "4 ha/h"}, {"/capacity": numbers(1.8, 4.2, "ha/h")}),
        ({"capacity_high": "4 ha/h"}, {"/capacity_low": Given([1.0, 2.0, None, 3.1, 3.3], "ha/h")}),
        ({"timeliness": TIMELINESS}, {"/timeliness/loss": numbers(0.0, 2.0, "%")}),
        ({}, {"/breakdowns": Given(["tillage", "planting-corn", "no such", "tillage", "harvest-corn"])}),
        ({"suitable": {}}, {"/suitable/row": Given(["illinois-central.spring", "illinois.fall", "no such"] * 3)}),
        (
            {"timeliness": {"crop_yield": "8 t/ha", "price": "190 money/t"}},
            {"/timeliness/row": Given(sorted(TIMELINESS_ROWS.rows))},
        ),
    ],
)
def test_each_way_to_say_it_agrees(changes: dict[str, Any], vary: dict[str, Given]) -> None:
    all_agree(COMPLETION, body(**changes), vary)


RECORD = {"suitable": None, "record": {"id": "iowa"}, "start": "2027-10-04", "end": "2027-10-24"}
SO_FAR = [{"year": 2027, "week": week, "days": 3.0, "topsoil": 1.9} for week in (38, 39)]
OWN = {
    "weeks": [
        {"year": year, "week": week, "days": 1.0 + (year * week) % 6}
        for year in range(2018, 2024)
        for week in (40, 41, 42)
    ]
}


@pytest.mark.parametrize(
    ("changes", "vary"),
    [
        ({}, {"/area": numbers(20.0, 500.0, "ha"), "/capacity": numbers(2.0, 4.0, "ha/h", seed=2)}),
        ({"capacity_low": "2 ha/h", "capacity_high": "4 ha/h"}, {"/area": numbers(20.0, 500.0, "ha")}),
        ({"so_far": SO_FAR}, {"/area": numbers(20.0, 500.0, "ha")}),
        (
            {"so_far": SO_FAR},
            {"/so_far/1/days": Given([0.0, 2.0, 6.5, 2.0]), "/so_far/0/topsoil": Given([1.0, 2, 3, 2])},
        ),
        ({"record": OWN}, {"/record/weeks/4/days": Given([0.0, 7.0, 3.5]), "/area": Given([90.0, 200.0, 300.0], "ha")}),
        ({}, {"/record/id": Given(["iowa", "atlantis", "iowa"])}),
        ({"so_far": SO_FAR}, {"/so_far/0/week": Given([38, 39, 30])}),
    ],
)
def test_rows_of_a_record_agree(changes: dict[str, Any], vary: dict[str, Given]) -> None:
    all_agree(COMPLETION, body(**RECORD, timeliness=TIMELINESS) | changes, vary)


def test_dates_go_apart_and_agree() -> None:
    days = Given([f"2027-11-{day}" for day in (10, 25, 30, 10, 12)])
    all_agree(COMPLETION, body(), {"/end": days, "/area": Given([90.0, 180.0, 300.0, 200.0, 150.0], "ha")})
    columns = ["/dates/even", "/dates/why_null", "/levers/0/change", "/summary", "/curve/3/date"]
    agree(make_plan(COMPLETION, body(), {"/area": numbers(20.0, 400.0, "ha")}, "zip", columns, "us", 1000))


def test_a_block_that_takes_too_much_memory_goes_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    vary = {"/area": numbers(20.0, 400.0, "ha"), "/suitable/mean": numbers(8.0, 20.0, seed=2)}
    plan = make_plan(COMPLETION, body(), vary, "zip", ["/chance", "/days_needed"], "metric", 1000)
    whole = agree(plan)
    assert groups(plan) == 1
    monkeypatch.setattr(completion, "MOST_CELLS", 5 * 38)
    # One try with all rows, then parts of five.
    assert groups(plan) == 1 + -(-SIZE // 5)
    parts = agree(plan)
    np.testing.assert_array_equal(whole.columns[0].values, parts.columns[0].values)


def test_order_and_neighbours_do_not_change_a_bit() -> None:
    area, mean = (np.random.default_rng(seed).uniform(low, high, 500) for seed, low, high in ((1, 20, 400), (2, 5, 20)))
    order = np.random.default_rng(3).permutation(500)
    columns = ["/chance", "/dates/even", "/levers/1/gain", "/curve/9/chance"]

    def answers(places: Any) -> list[Any]:
        vary = {"/area": Given(area[places], "ha"), "/suitable/mean": Given(mean[places])}
        plan = make_plan(COMPLETION, body(), vary, "zip", columns, "metric", 1000)
        return [np.array(one.values) for one in Leaves(plan).evaluate(0, plan.rows, lambda: None).columns]

    whole = answers(np.arange(500))
    for places in (order, np.arange(100, 143)):
        for found, column in zip(answers(places), whole, strict=True):
            np.testing.assert_array_equal(found, column[places])
