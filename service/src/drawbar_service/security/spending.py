"""What takes the cost of a request from its caller; apart, so that who has no keys and rates loads none of them."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from litestar.types import Scope

Spend: TypeAlias = Callable[[int], Awaitable[None]]
"""Takes cost units from a caller, or refuses."""


async def _for_nothing(units: int) -> None:
    """Take nothing: where there are no rates."""


def spend(scope: Scope) -> Spend:
    """Return what takes the cost of a request from its caller; one unit is taken already."""
    return scope["state"].get("spend", _for_nothing)
