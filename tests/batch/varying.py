"""Numbers of any request, varied around what they are there."""

from collections.abc import Iterator
from typing import Any

import msgspec
import numpy as np

from drawbar_service.api.calculation import Calculation
from drawbar_service.batch.leaves import Leaf, get, leaf
from drawbar_service.batch.plan import Given
from drawbar_service.quantities import decode_quantity

SIZE = 12
MOST_LEAVES = 6
"""Varied at once: of more, hardly a row would be without a fault."""


def varied(calculation: Calculation[Any, Any], body: dict[str, Any], seed: int) -> dict[str, Given]:
    """Return values for some of the numbers in a `body`, each around what it is; some may be out of range."""
    random = np.random.default_rng(seed)
    request = msgspec.convert(body, calculation.request, dec_hook=decode_quantity)
    leaves = [leaf(calculation.request, pointer) for pointer in _pointers(body, "")]
    some = [one for one in leaves if one.kind in ("quantity", "number")]
    random.shuffle(some)
    return {one.pointer: _around(one, get(request, one), random) for one in some[:MOST_LEAVES]}


def _around(one: Leaf, value: Any, random: np.random.Generator) -> Given:
    if isinstance(value, int):
        return Given((value + random.integers(0, 2, SIZE)).tolist())
    values = value * random.uniform(0.8, 1.25, SIZE)
    if one.quantity is None:
        return Given(values)
    unit, factor = one.quantity.shown("metric")
    return Given(values / factor, unit)


def _pointers(body: Any, place: str) -> Iterator[str]:
    if isinstance(body, dict) and set(body) != {"value", "unit"}:
        for name, member in body.items():
            yield from _pointers(member, f"{place}/{name}")
    elif isinstance(body, list):
        for at, item in enumerate(body):
            yield from _pointers(item, f"{place}/{at}")
    else:
        yield place
