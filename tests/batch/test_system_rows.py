"""Systems of many rows at once are those of the same requests one by one, to the last bit."""

import copy
from typing import Any

import msgspec
import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.api.strategies import sensible_bodies
from tests.batch.agreeing import agree, all_agree, groups
from tests.batch.scattered import numeric_leaves, scattered

from drawbar_service.api.v1.system import SYSTEM
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.batch.rows import Leaves

SIZE = 24
CHISEL = "/systems/0/passes/0"


def body() -> dict[str, Any]:
    return copy.deepcopy(msgspec.to_builtins(SYSTEM.example))


def numbers(low: float, high: float, unit: str | None = None, seed: int = 1) -> Given:
    return Given(np.random.default_rng(seed).uniform(low, high, SIZE), unit)


def texts(*choices: str, seed: int = 1) -> Given:
    return Given(np.random.default_rng(seed).choice(choices, SIZE).tolist())


@settings(max_examples=4, suppress_health_check=list(HealthCheck))
@given(sensible_bodies(SYSTEM.request), st.integers(0, 2**32 - 1))
def test_whatever_number_varies_rows_agree(scenario: dict[str, Any], seed: int) -> None:
    scenario = msgspec.to_builtins(scenario)
    leaves = list(numeric_leaves(SYSTEM.request, scenario))
    for place in np.random.default_rng(seed).permutation(len(leaves))[:4]:
        pointer, value = leaves[place]
        all_agree(SYSTEM, scenario, {pointer: scattered(value, 5, seed)})


def test_all_that_may_vary_varies_at_once() -> None:
    vary = {
        "/area": numbers(20.0, 400.0, "ha"),
        f"{CHISEL}/match/speed": numbers(4.0, 12.0, "km/h", seed=2),
        f"{CHISEL}/match/tractor/power/rated_pto": numbers(60.0, 200.0, "kW", seed=3),
        f"{CHISEL}/match/soil/surface": texts("firm", "tilled", "hard"),
        f"{CHISEL}/operation": texts("disk-chisel-plow.twisted-point", "moldboard-plow", "no such", seed=4),
        "/systems/0/passes/1/winter_before": texts("after-fall-harvest", "after-summer-harvest"),
        "/systems/0/passes/1/times": Given(np.random.default_rng(5).integers(1, 4, SIZE).tolist()),
        "/systems/1/passes/0/price_covers_all": Given((np.arange(SIZE) % 2 == 0).tolist()),
        "/residue/kind": texts("fragile", "non-fragile", seed=6),
        "/residue/cover": numbers(0.0, 1.0, "1", seed=7),
        "/prices/fuel": numbers(0.0, 2.0, "money/L", seed=8),
        "/calendar/workday": numbers(1.0, 20.0, "h", seed=9),
        "/systems/1/name": texts("no-till", "chisel and field cultivator", seed=10),
    }
    faults = all_agree(SYSTEM, body(), vary, units="us")
    assert {fault.pointer for fault in faults} == {f"{CHISEL}/operation", "/systems/1/name"}


def test_who_comes_first_agrees_where_it_differs_from_row_to_row() -> None:
    one, other = ({"rates": {"capacity": "4 ha/h", "fuel_per_area": "5 L/ha"}} for _ in range(2))
    scenario = {"area": "100 ha", "systems": [{"name": "one", "passes": [one]}, {"name": "other", "passes": [other]}]}
    vary = {"/systems/0/passes/0/rates/capacity": Given([3.0, 4.0, 5.0, 4.0, 6.0, 2.0], "ha/h")}
    columns = [
        "/verdict/criteria/0/systems/0",
        "/verdict/criteria/1/systems/0",
        "/verdict/criteria/1/systems/1",
        "/verdict/criteria/1/clear",
        "/verdict/summary",
        "/baseline",
    ]
    plan = make_plan(SYSTEM, scenario, vary, "zip", columns, "metric", 100)
    found = agree(plan)
    assert groups(plan) == 1
    assert found.columns[1].values == ["other", "one", "one", "one", "one", "other"]
    assert found.columns[2].values == [None, "other", None, "other", None, None]


def test_dates_and_summaries_agree() -> None:
    columns = [
        "/systems/0/passes/0/calendar/start_date",
        "/systems/0/passes/2/calendar/finish_date",
        "/systems/0/totals/finish_date",
        "/systems/0/passes/0/match/summary",
        "/verdict/summary",
    ]
    vary = {"/area": numbers(20.0, 4000.0, "ha"), f"{CHISEL}/match/speed": numbers(4.0, 12.0, "km/h", seed=2)}
    agree(make_plan(SYSTEM, body(), vary, "zip", columns, "us", 1000))


def test_rows_go_together_with_their_verdict_in_words() -> None:
    vary = {"/area": numbers(20.0, 400.0, "ha"), f"{CHISEL}/match/speed": numbers(4.0, 8.0, "km/h", seed=2)}
    plan = make_plan(SYSTEM, body(), vary, "zip", list(SYSTEM.columns), "metric", 1000)
    agree(plan)
    assert groups(plan) == 1
    # Where the power does not suffice the fuel is not known, and with it no criterion of fuel: those rows go apart.
    fast = {f"{CHISEL}/match/speed": Given([6.0, 7.0, 8.0, 14.0, 15.0, 16.0], "km/h")}
    plan = make_plan(SYSTEM, body(), fast, "zip", list(SYSTEM.columns), "metric", 1000)
    agree(plan)
    assert groups(plan) == 1 + 2


def test_order_and_neighbours_do_not_change_a_bit() -> None:
    area, speed = (np.random.default_rng(at).uniform(low, high, 500) for at, low, high in ((1, 20, 400), (2, 4, 12)))
    order = np.random.default_rng(3).permutation(500)
    columns = ["/systems/0/totals/fuel", "/systems/0/totals/time/high", "/differences/0/cost", "/verdict/summary"]

    def answers(places: Any) -> list[Any]:
        vary = {"/area": Given(area[places], "ha"), f"{CHISEL}/match/speed": Given(speed[places], "km/h")}
        plan = make_plan(SYSTEM, body(), vary, "zip", columns, "metric", 1000)
        return [np.array(one.values) for one in Leaves(plan).evaluate(0, plan.rows, lambda: None).columns]

    whole = answers(np.arange(500))
    for places in (order, np.arange(100, 143)):
        for found, column in zip(answers(places), whole, strict=True):
            np.testing.assert_array_equal(found, column[places])
