"""What each kind of column costs a batch of matches, over numbers alone; rows a second of the other calculations.

env -u OPENBLAS_CORETYPE -u OPENBLAS_L2_SIZE python3 deploy/local.py bench tests/benchmarks/test_rows.py -s -n 0

Processor time on one core, reading of values included; every ratio is against numbers alone in the same run.
"""

import copy
import time
from collections.abc import Mapping
from typing import Any

import numpy as np

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.cost import COST
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.system import SYSTEM
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.batch.run import run
from drawbar_service.batch.table import Coded

ROWS = 262_144
FEWER = 65_536
OF_ODDS = 2_048
RANDOM = np.random.default_rng(7)
SCENARIO = {name: part for name, part in MATCH.example.items() if name != "speed"}
COLUMNS = ["/verdict/fits", "/at_work/slip", "/fuel/per_area", "/capacity/effective"]


def numbers(rows: int) -> dict[str, Given]:
    return {
        "/speed": Given(RANDOM.uniform(5.0, 9.0, rows), "km/h"),
        "/implement/draft_multiplier": Given(RANDOM.uniform(0.8, 1.2, rows)),
        "/tractor/mass": Given(RANDOM.uniform(9.0, 12.0, rows), "t"),
    }


def uniform(low: float, high: float, unit: str, rows: int = ROWS) -> Given:
    return Given(RANDOM.uniform(low, high, rows), unit)


def texts(*choices: str) -> Given:
    """As a dictionary column of Arrow comes in."""
    return Given(Coded(RANDOM.integers(0, len(choices), ROWS).astype(np.intp), list(choices)))


def cost(
    calculation: Calculation[Any, Any], body: Mapping[str, Any], vary: dict[str, Given], columns: list[str], rows: int
) -> float:
    """Seconds of processor a row, the best of three."""
    best = float("inf")
    for _ in range(3):
        begun = time.process_time()
        answered = 0
        for block in run(make_plan(calculation, dict(body), vary, "zip", columns, "metric", rows)):
            answered += int(block.answered.sum())
        best = min(best, time.process_time() - begun)
        assert answered == rows
    return best / rows


def test_columns_of_a_match() -> None:
    gears = copy.deepcopy(SCENARIO)
    gears["tractor"]["gears"] = [{"name": f"C{at}", "speed": f"{4 + at} km/h"} for at in range(8)]
    shape = {"length": "600 m", "width": "300 m", "turn": {"radius": "8 m"}}
    many = {
        "/soil/texture": texts("fine", "medium", "coarse"),
        "/implement/tools/0/tool": texts(
            "chisel-plow.twisted-shovel-10cm",
            "chisel-plow.shovel-or-sweep",
            "chisel-plow.straight-point-5cm",
            "subsoiler.narrow-point",
            "subsoiler.winged-point-30cm",
        ),
        "/tractor/tires/rear/size": texts("650/65R42", "710/70R42", "580/70R38", "18.4R38", "520/85R42", "20.8R42"),
        "/tractor/drive": texts("two-wheel", "front-wheel-assist", "four-wheel"),
        "/soil/surface": texts("firm", "tilled", "soft", "hard"),
        "/tractor/tires/rear/count": Given(RANDOM.choice([2, 4], ROWS)),
    }
    base = cost(MATCH, SCENARIO, numbers(ROWS), COLUMNS, ROWS)
    print(f"\nnumbers alone: {1e-6 / base:.2f} million rows a second")
    for name, body, vary, columns in (
        ("a column of three texts", SCENARIO, {"/soil/texture": many["/soil/texture"]}, COLUMNS),
        ("2,160 combinations of texts", SCENARIO, many, COLUMNS),
        ("the quick check's difference", SCENARIO, {}, [*COLUMNS, "/quick_check/difference"]),
        ("a limit's margin", SCENARIO, {}, [*COLUMNS, "/limits/0/margin"]),
        ("slip of the front axle", SCENARIO, {}, [*COLUMNS, "/at_work/axles/front/slip"]),
        ("warnings", SCENARIO, {}, [*COLUMNS, "/about/warnings"]),
        ("low and high of slip", SCENARIO, {}, [*COLUMNS, "/at_work/slip/low", "/at_work/slip/high"]),
        ("implement mass varied", SCENARIO, {"/implement/mass": uniform(2.0, 4.0, "t")}, COLUMNS),
        ("slope varied", SCENARIO, {"/field/slope": uniform(-5.0, 5.0, "%")}, COLUMNS),
        ("area varied", SCENARIO, {"/field/area": uniform(10.0, 40.0, "ha")}, COLUMNS),
        ("eight gears", gears, {}, [*COLUMNS, "/gear/best"]),
        (
            "field shape varied",
            SCENARIO | {"field": {"shape": shape}},
            {"/field/shape/length": uniform(200, 900, "m")},
            COLUMNS,
        ),
    ):
        taken = cost(MATCH, body, numbers(ROWS) | vary, columns, ROWS)
        print(f"{name}: {taken / base:.2f} times numbers alone")


def test_odds() -> None:
    for columns in (["/odds/holds_speed/value"], ["/odds/holds_speed/value", "/odds/held_speed"]):
        body = SCENARIO | {"odds": {"samples": 1024}}
        taken = cost(MATCH, body, numbers(OF_ODDS), [*COLUMNS, *columns], OF_ODDS)
        print(f"\nodds at 1,024 samples, {', '.join(columns)}: {1.0 / taken:,.0f} rows a second")


def test_other_calculations() -> None:
    days = dict(COMPLETION.example)
    for calculation, vary in (
        (BALLAST, {"/speed": uniform(5.0, 9.0, "km/h", FEWER), "/tractor/mass": uniform(8.0, 11.0, "t", FEWER)}),
        (
            COST,
            {
                "/work/capacity": uniform(2.0, 3.0, "ha/h", FEWER),
                "/work/fuel/price": uniform(1.0, 1.6, "money/L", FEWER),
            },
        ),
        (COMPLETION, {"/area": uniform(120.0, 200.0, "ha", FEWER), "/capacity": uniform(2.5, 4.0, "ha/h", FEWER)}),
        (SYSTEM, {"/area": uniform(80.0, 160.0, "ha", FEWER), "/prices/fuel": uniform(0.8, 1.4, "money/L", FEWER)}),
    ):
        body = days if calculation is COMPLETION else calculation.example
        taken = cost(calculation, body, vary, list(calculation.columns), FEWER)
        print(f"\n{calculation.name}: {1.0 / taken:,.0f} rows a second")
