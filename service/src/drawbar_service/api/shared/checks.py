"""What a machine was held against, one limit at a time."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.quantities import Ratio

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


class CheckAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One limit, and whether it is kept."""

    name: Annotated[CheckName, Meta(description="The limit.")]
    kept: Annotated[bool, Meta(description="Whether it is kept.")]
    margin: Annotated[
        Ratio | None,
        Meta(description="What is left before the limit, over the limit; negative beyond it; null for yes or no."),
    ]
    pointer: Annotated[str, Meta(description="The part of the request it is about (JSON Pointer); empty: all of it.")]
    detail: Annotated[str, Meta(description="Value and limit in words.")]


Checks = Annotated[list[CheckAnswer], Meta(description="Every limit that could be checked.")]
Fits = Annotated[bool, Meta(description="Whether every limit that could be checked is kept.")]


def at_most(name: CheckName, value: float, limit: float, pointer: str, detail: str) -> CheckAnswer:
    """Return the check of a `value` against the most there may be, both in one unit, `limit` above 0."""
    margin = 1.0 - value / limit
    return CheckAnswer(name=name, kept=margin >= -ROUNDING, margin=Ratio(margin), pointer=pointer, detail=detail)


def at_least(name: CheckName, value: float, limit: float, pointer: str, detail: str) -> CheckAnswer:
    """Return the check of a `value` against the least there may be, both in one unit, `limit` above 0."""
    margin = value / limit - 1.0
    return CheckAnswer(name=name, kept=margin >= -ROUNDING, margin=Ratio(margin), pointer=pointer, detail=detail)


def yes_or_no(name: CheckName, kept: bool, pointer: str, detail: str) -> CheckAnswer:
    """Return the check of something that either goes together or does not."""
    return CheckAnswer(name=name, kept=kept, margin=None, pointer=pointer, detail=detail)
