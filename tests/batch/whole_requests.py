"""Rows made of one request by varying every number it holds."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from drawbar_service.api.calculation import Calculation
from drawbar_service.batch.leaves import NoSuchLeaf, leaf
from drawbar_service.batch.plan import Given

FACTORS = (1.0, 0.6, 0.9, 0.97, 1.2, 1.7)
"""What the numbers of the request are multiplied by, row by row, each leaf beginning at another one."""


def number_leaves(calculation: Calculation[Any, Any], body: dict[str, Any]) -> dict[str, float]:
    """Return the pointer of every number in a request body, with its value in SI units."""
    found: dict[str, float] = {}
    for pointer in _pointers(body, ""):
        try:
            one = leaf(calculation.request, pointer)
        except NoSuchLeaf:
            continue
        value: Any = body
        for step in one.path:
            value = value[step]
        if one.quantity is not None:
            found[pointer] = float(one.quantity.read(value))
        elif one.kind == "number" and isinstance(value, float):
            found[pointer] = value
    return found


def _pointers(part: Any, place: str) -> Iterator[str]:
    yield place
    if isinstance(part, dict) and set(part) != {"value", "unit"}:
        for name, member in part.items():
            yield from _pointers(member, f"{place}/{name}")
    elif isinstance(part, list):
        for at, member in enumerate(part):
            yield from _pointers(member, f"{place}/{at}")


def varying(calculation: Calculation[Any, Any], numbers: dict[str, float]) -> dict[str, Given]:
    """Return rows in which each of the `numbers` varies, each in another way."""
    vary: dict[str, Given] = {}
    for at, (pointer, value) in enumerate(numbers.items()):
        quantity = leaf(calculation.request, pointer).quantity
        values = value * np.roll(FACTORS, at)
        unit = None if quantity is None else _si_unit(quantity)
        vary[pointer] = Given(values if quantity is None else values / quantity.dimension.factors[unit], unit)
    return vary


def _si_unit(quantity: Any) -> str:
    """Return the unit of a quantity whose value is nearest to its SI unit, so that next to nothing is rounded."""
    return min(quantity.dimension.factors, key=lambda unit: abs(np.log(quantity.dimension.factors[unit])))
