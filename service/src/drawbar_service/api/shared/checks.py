"""What a machine was held against, one limit at a time, as an answer holds it."""

from collections.abc import Callable, Sequence
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.engine.arrays import truth
from drawbar_service.model.checks import Check, CheckName
from drawbar_service.quantities import Ratio


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


def check_answers(checks: Sequence[Check], detail: Callable[[Check, Ledger], str], ledger: Ledger) -> list[CheckAnswer]:
    """Return the `checks` as an answer holds them; `detail` puts value and limit into words."""
    return [
        CheckAnswer(
            name=one.name,
            kept=truth(one.kept),
            margin=Ratio.of(one.margin) if one.margin is not None else None,
            pointer=one.pointer,
            detail=ledger.sentence(lambda one=one: detail(one, ledger)),
        )
        for one in checks
    ]
