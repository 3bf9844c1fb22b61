"""Calculations whose rows are worked one at a time say so, and give what single requests give."""

import copy
from threading import Event
from typing import Any

import msgspec
import numpy as np
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.calibration import CALIBRATION
from drawbar_service.api.v1.days import DAYS
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.batch.answer import Batch, answer
from drawbar_service.batch.leaves import get, leaf
from drawbar_service.batch.operation import more
from drawbar_service.batch.plan import Given, Plan, make_plan
from drawbar_service.batch.run import run
from drawbar_service.quantities import Quantity, decode_quantity

SIZE = 40
"""More than a block of few rows, which is worked row by row in any case."""
FEW = {"odds": {"samples": 256, "spreads": {"cone_index": "20 %", "depth": "8 %"}}}
SCENES: dict[str, tuple[Calculation[Any, Any], dict[str, Any], str, Given]] = {
    "calibration, pull": (CALIBRATION, {}, "/runs/0/pull", Given(np.linspace(0.0, 50.0, SIZE), "kN")),
    "calibration, slope": (CALIBRATION, {}, "/runs/1/slope", Given(np.linspace(-10.0, 12.0, SIZE), "%")),
    "calibration, tires": (
        CALIBRATION,
        {},
        "/tractor/tires/front/width",
        Given(np.linspace(0.3, 0.7, SIZE), "m"),
    ),
    "sensitivity, speed": (SENSITIVITY, FEW, "/speed", Given(np.linspace(3.0, 12.0, SIZE), "km/h")),
    "sensitivity, tires": (SENSITIVITY, FEW, "/tractor/tires/rear/width", Given(np.linspace(0.4, 0.8, SIZE), "m")),
    "days, rain": (DAYS, {}, "/rain/70", Given([0.0, 5.0, 60.0])),
    "season, area": (SEASON, {}, "/fields/0/area", Given(np.array([4.0, 9.0, 9.0, 70.0]), "ha")),
    "season, share": (SEASON, {}, "/window/suitable/history/0", Given([2, 5, 9, 3])),
}


def plan_of(name: str, columns: list[str] | None = None, order: Any = slice(None)) -> Plan:
    calculation, changes, pointer, given = SCENES[name]
    body = copy.deepcopy(dict(calculation.example)) | changes
    values = np.asarray(given.values)[order]
    varied = Given(values if given.unit else values.tolist(), given.unit)
    return make_plan(calculation, body, {pointer: varied}, "zip", columns or list(calculation.columns), "metric", 10**6)


def cells(plan: Plan) -> tuple[list[list[Any]], list[tuple[int, str, str]]]:
    """Every row of a batch, and its faults."""
    columns: list[list[Any]] = [[] for _ in plan.wanted]
    faults: list[tuple[int, str, str]] = []
    for block in run(plan):
        for mine, column in zip(columns, block.columns, strict=True):
            mine += list(column.values)
        faults += [(fault.row, fault.pointer, fault.detail) for fault in block.faults]
    return [list(row) for row in zip(*columns, strict=True)], faults


def test_some_calculations_go_row_by_row_and_the_documentation_says_why() -> None:
    alone = {one.name: one.by_row for one in CALCULATIONS if one.by_row}
    assert set(alone) == {"season", "calibration", "sensitivity", "days"}
    assert all(f"{name}: {why}" in more() for name, why in alone.items())


@pytest.mark.parametrize("calculation", [CALIBRATION, MATCH], ids=["one row at a time", "in blocks"])
def test_the_answer_says_that_rows_are_worked_one_at_a_time(calculation: Calculation[Any, Any]) -> None:
    pointer, value = ("/runs/0/slip", 0.1) if calculation is CALIBRATION else ("/speed", "8 km/h")
    body = msgspec.json.encode({"scenario": calculation.example, "vary": {pointer: [value]}})
    batch = Batch(calculation, "application/json", "application/json", "metric", most_rows=1)
    told = msgspec.json.decode(b"".join(answer(batch, [body], Event())))["about"]["warnings"]
    assert [one["detail"] for one in told if one["code"] == "row-by-row"] == (
        [f"The rows of this calculation are worked one at a time, which takes longer: {calculation.by_row}."]
        if calculation.by_row
        else []
    )


@pytest.mark.parametrize("name", SCENES)
def test_rows_are_what_single_requests_give(name: str) -> None:
    calculation = SCENES[name][0]
    plan = plan_of(name)
    found, faults = cells(plan)
    refused = {row for row, _, _ in faults}
    for row in range(plan.rows):
        body = plan.body(plan.indices(0, plan.rows), row)
        request = msgspec.convert(body, calculation.request, dec_hook=decode_quantity)
        if row in refused:
            with pytest.raises(ImpossibleInput) as error:
                calculation.compute(request, Ledger("metric"))
            told = [(pointer, detail) for at, pointer, detail in faults if at == row]
            assert told == [(fault.pointer, fault.detail) for fault in error.value.faults]
            continue
        single = calculation.compute(request, Ledger("metric"))
        for value, pointer in zip(found[row], calculation.columns, strict=True):
            alone = get(single, leaf(calculation.answer, pointer))
            if isinstance(alone, Quantity):
                alone /= type(alone).shown("metric")[1]
            assert value == alone or (alone is None and value != value), (row, pointer)


@pytest.mark.parametrize("name", ["calibration, pull", "sensitivity, tires"])
def test_a_row_has_the_same_bits_wherever_it_stands(name: str) -> None:
    whole, _ = cells(plan_of(name))
    order = np.random.default_rng(3).permutation(SIZE)
    shuffled, _ = cells(plan_of(name, order=order))
    assert [str(row) for row in shuffled] == [str(whole[at]) for at in order]
    part, _ = cells(plan_of(name, order=slice(5, 9)))
    assert [str(row) for row in part] == [str(row) for row in whole[5:9]]


@pytest.mark.parametrize(
    ("name", "pointer"), [("calibration, slope", "/summary"), ("season, area", "/verdict/summary")]
)
def test_a_sentence_can_be_a_column(name: str, pointer: str) -> None:
    found, faults = cells(plan_of(name, [pointer]))
    assert not faults
    assert len({text for (text,) in found}) > 1


def test_a_sentence_can_be_a_column_of_a_single_row() -> None:
    given = {"/speed": Given([8.0], "km/h")}
    plan = make_plan(MATCH, dict(MATCH.example), given, "zip", ["/verdict/summary"], "metric", 10)
    ((text,),), _ = cells(plan)
    assert text.startswith("Close at 8 km/h:")
