"""Laws that hold for every request the schema admits, for every calculation."""

import contextlib
import copy
import math
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.api.strategies import bodies, consistent_bodies, sensible_bodies
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.quantities import DIMENSIONS, decode_quantity, encode_metric, encode_us

EVERY = pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda calculation: calculation.name)
FACTORS = {unit: factor for dimension in DIMENSIONS.values() for unit, factor in dimension.factors.items()}


def answers(calculation: Any, body: Any) -> dict[str, Any]:
    """The answer in both systems of units, as it goes on the wire."""
    found = {}
    for units, hook in (("metric", encode_metric), ("us", encode_us)):
        request = msgspec.convert(copy.deepcopy(body), calculation.request, dec_hook=decode_quantity)
        answer = calculation.compute(request, Ledger(units))
        found[units] = msgspec.to_builtins(answer, enc_hook=hook)
    return found


def leaves(value: Any, pointer: str = "") -> Any:
    """Every number in an answer, in SI units, with where it stands; numbers of one quantity stay together."""
    if isinstance(value, dict):
        if "unit" in value and "value" in value and not isinstance(value["value"], str):
            factor = FACTORS[value["unit"]]
            yield pointer, tuple(value[name] * factor for name in ("low", "value", "high") if name in value)
            return
        for name, member in value.items():
            yield from leaves(member, f"{pointer}/{name}")
    elif isinstance(value, list):
        for index, member in enumerate(value):
            yield from leaves(member, f"{pointer}/{index}")
    elif isinstance(value, bool | int | float):
        yield pointer, (value,)


def is_given(body: Any, pointer: str) -> bool:
    for part in pointer.split("/")[1:]:
        if isinstance(body, list):
            body = body[int(part)]
        elif isinstance(body, dict) and part in body:
            body = body[part]
        else:
            return False
    return body is not None


def check(calculation: Any, body: Any) -> None:
    first = answers(calculation, body)
    metric, us = dict(leaves(first["metric"])), dict(leaves(first["us"]))
    assert msgspec.json.decode(msgspec.json.encode(first["metric"])) == first["metric"]
    assert metric.keys() == us.keys()
    for pointer, numbers in metric.items():
        assert all(math.isfinite(number) for number in numbers), pointer
        assert list(numbers) == sorted(numbers), f"{pointer}: low, value, high are {numbers}"
        assert us[pointer] == pytest.approx(numbers, rel=1e-12, abs=1e-290), pointer
    for assumption in first["metric"]["about"]["assumptions"]:
        assert not is_given(body, assumption["pointer"]), assumption
    assert answers(calculation, body) == first


@EVERY
@given(data=st.data())
def test_any_request_is_answered_in_finite_numbers_or_refused(calculation, data):
    body = data.draw(bodies(calculation.request))
    with contextlib.suppress(ImpossibleInput):
        check(calculation, body)


@EVERY
@given(data=st.data())
@one_in(2)
def test_a_request_whose_fields_go_together_is_answered_in_finite_numbers_or_refused(calculation, data):
    body = data.draw(consistent_bodies(calculation.request))
    with contextlib.suppress(ImpossibleInput):
        check(calculation, body)


@EVERY
@given(data=st.data())
@one_in(2)
def test_a_sensible_request_is_answered(calculation, data):
    check(calculation, data.draw(sensible_bodies(calculation.request)))


@EVERY
def test_the_example_of_the_contract_keeps_the_laws(calculation):
    check(calculation, calculation.example)
