"""What is answered: what moves each output, the strongest first, and what to measure."""

from collections.abc import Mapping, Sequence
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.v1.sensitivity import words
from drawbar_service.model.sensitivity import Input, Output, Share


class InputShare(msgspec.Struct, frozen=True, kw_only=True):
    """How much of the variance of one output an input brings."""

    input: Annotated[Input, Meta(description="The uncertain input.")]
    first_order: Annotated[float, Meta(description="Share of the variance it brings by itself (Sobol, first order).")]
    total: Annotated[float, Meta(description="Share it brings by itself and together with others (Sobol, total).")]


class OutputSensitivity(msgspec.Struct, frozen=True, kw_only=True):
    """One output and what moves it."""

    output: Annotated[Output, Meta(description="The output.")]
    inputs: Annotated[list[InputShare], Meta(description="What moves it, the strongest first; empty if nothing does.")]
    advice: Annotated[str, Meta(description="Which measurement would narrow it most, in words.")]


class SensitivityAnswer(Answer, frozen=True, kw_only=True):
    """What matters most."""

    outputs: Annotated[list[OutputSensitivity], Meta(description="Every output.")]
    about: AboutField


def answer_of(found: Mapping[Output, Sequence[Share]], ledger: Ledger) -> SensitivityAnswer:
    """Return the answer from the shares `found` for each output."""
    return SensitivityAnswer(
        outputs=[
            OutputSensitivity(
                output=output,
                inputs=[
                    InputShare(input=share.input, first_order=share.first_order, total=share.total) for share in shares
                ],
                advice=ledger.sentence(lambda shares=shares: words.advice(shares)),
            )
            for output, shares in found.items()
        ],
        about=ledger.about(),
    )
