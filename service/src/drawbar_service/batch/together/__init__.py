"""Rows worked together, on arrays: the same numbers as one by one, a hundred times as fast.

``way`` says what a calculation has to tell, ``groups`` does with it what is the same for all of them, ``tools`` is
shared by drafts and matches; every other module is one calculation.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final

from drawbar_service.batch.plan import Plan
from drawbar_service.batch.together.draft import DRAFTS
from drawbar_service.batch.together.field_capacity import CAPACITIES
from drawbar_service.batch.together.fuel import FUELS
from drawbar_service.batch.together.groups import Together
from drawbar_service.batch.together.match import MATCHES
from drawbar_service.batch.together.power import POWERS
from drawbar_service.batch.together.traction import TRACTIONS
from drawbar_service.batch.together.way import Way

WAYS: Final[Mapping[str, Way[Any, Any, Any]]] = MappingProxyType(
    {
        "match": MATCHES,
        "draft": DRAFTS,
        "power": POWERS,
        "traction": TRACTIONS,
        "fuel": FUELS,
        "field-capacity": CAPACITIES,
    }
)
"""By name of the calculation."""
BLOCK_ROWS = 32_768
"""Rows in a block: small enough for the processor's cache, large enough to make Python's toll small."""


def together(plan: Plan) -> Together | None:
    """Return a plan laid out to be worked on arrays; None if not all of its columns can be, or nothing is gained."""
    way = WAYS.get(plan.calculation.name)
    if way is None:
        return None
    pointers = [one.pointer.removesuffix(f"/{one.end}") if one.end else one.pointer for one in plan.wanted]
    if not all(pointer in way.columns for pointer in pointers):
        return None
    laid_out = Together(plan, way)
    return laid_out if laid_out.pays(min(plan.rows, BLOCK_ROWS)) else None
