"""Leaves of a scenario that are numbers, and values to vary them with."""

from collections.abc import Iterator
from typing import Any

import msgspec
import numpy as np

from drawbar_service.batch.leaves import NoSuchLeaf, leaf
from drawbar_service.batch.plan import Given


def numeric_leaves(kind: type[msgspec.Struct], scenario: Any, place: str = "") -> Iterator[tuple[str, float | int]]:
    """Yield every number that a scenario gives: its pointer, and its value in SI units."""
    inside: Any = []
    if isinstance(scenario, dict) and scenario.keys() != {"value", "unit"}:
        inside = scenario.items()
    elif isinstance(scenario, list):
        inside = enumerate(scenario)
    for name, member in inside:
        yield from numeric_leaves(kind, member, f"{place}/{name}")
    if inside or not place:
        return
    try:
        found = leaf(kind, place)
    except NoSuchLeaf:
        return
    if found.quantity is not None:
        yield place, float(found.quantity.read(scenario))
    elif found.kind == "number" and not isinstance(scenario, bool):
        yield place, scenario


def scattered(value: float | int, size: int, seed: int) -> Given:
    """Return values about one; those that are out of range, or do not go with the others, are faults of their rows."""
    random = np.random.default_rng(seed)
    if isinstance(value, int):
        return Given([max(value + int(more), 0) for more in random.integers(-1, 3, size)])
    values = value * random.uniform(0.7, 1.4, size)
    return Given([float(one) for one in values])
