"""What a machine is held against, one limit at a time: whether it is kept, and how much is left."""

from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple, TypeAlias

from drawbar_service.engine.arrays import Mask, Real, both

CheckName: TypeAlias = Literal[
    "pump-flow",
    "pressure",
    "outlets",
    "outlet-flow",
    "phasing",
    "cooling",
    "three-point",
    "drawbar",
    "pto-type",
    "pto-power",
    "tongue-share",
    "hitch-load",
    "front-axle",
    "tire-load",
    "width",
    "length",
    "mass-ratio",
]

ROUNDING = 1e-9
"""Excess [1] that counts as none, so that an answer put back as a request fits."""


class Check(NamedTuple):
    """One limit, and whether it is kept."""

    kind: str
    """Which sentence says value and limit; one name may stand for several."""
    name: CheckName
    pointer: str
    """The part of the request it is about (JSON Pointer)."""
    kept: Mask
    margin: Real | None
    """What is left before the limit, over the limit [1]; None for yes or no."""
    figures: Mapping[str, Any]
    """What the sentence needs, in SI units."""


def at_most(kind: str, name: CheckName, pointer: str, value: Real, limit: Real, **figures: Any) -> Check:
    """Return the check of a `value` against the most there may be, both in one unit, `limit` above 0."""
    margin = 1.0 - value / limit
    return Check(kind, name, pointer, margin >= -ROUNDING, margin, {"value": value, "limit": limit, **figures})


def at_least(kind: str, name: CheckName, pointer: str, value: Real, limit: Real, **figures: Any) -> Check:
    """Return the check of a `value` against the least there may be, both in one unit, `limit` above 0."""
    margin = value / limit - 1.0
    return Check(kind, name, pointer, margin >= -ROUNDING, margin, {"value": value, "limit": limit, **figures})


def yes_or_no(kind: str, name: CheckName, pointer: str, kept: Mask, **figures: Any) -> Check:
    """Return the check of something that either goes together or does not."""
    return Check(kind, name, pointer, kept, None, {"kept": kept, **figures})


def all_kept(checks: Sequence[Check]) -> Mask:
    """Return whether every limit is kept."""
    kept: Mask = True
    for check in checks:
        kept = both(kept, check.kept)
    return kept
