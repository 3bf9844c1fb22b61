"""What every answer says about itself: what was assumed, what to beware of, and the sources."""

from collections.abc import Callable
from typing import Annotated, Any

import msgspec
from msgspec import Meta

from drawbar_service.api import words
from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.words import WarningCode
from drawbar_service.engine.arrays import Real
from drawbar_service.model.findings import EVERYTHING, Asked, Findings
from drawbar_service.quantities import Quantity, UnitSystem

MODEL_VERSION = "1"
"""Changes whenever the same request would be answered with other numbers; the changelog says by how much."""


class Assumption(msgspec.Struct, frozen=True):
    """A value the request left out."""

    pointer: Annotated[str, Meta(description="Where the value would go in the request (JSON Pointer).")]
    value: Annotated[str, Meta(description="What was taken, in a form the request accepts.", examples=["0.5 m"])]
    why: Annotated[str, Meta(description="Why this value.")]
    source: Annotated[str, Meta(description="Source id; see `/v1/sources`.", examples=["asae-ep496"])]


class Notice(msgspec.Struct, frozen=True):
    """Something to beware of."""

    code: Annotated[WarningCode, Meta(description="Kind of warning, stable across versions.")]
    pointer: Annotated[
        str, Meta(description="The part of the request that caused it (JSON Pointer); empty: all of it.")
    ]
    detail: Annotated[str, Meta(description="What, and what to do about it.")]


class About(msgspec.Struct, frozen=True, kw_only=True):
    """What an answer says about itself."""

    assumptions: Annotated[
        list[Assumption], Meta(description="Values the request left out and what was taken instead.")
    ]
    warnings: Annotated[list[Notice], Meta(description="Things to beware of, each with its cause.")]
    cautions: Annotated[list[str], Meta(description="Safety cautions that apply to this kind of work.")]
    sources: Annotated[list[str], Meta(description="Ids of the sources used; see `/v1/sources`.")]
    model: Annotated[str, Meta(description="Version of the model: same request and version, same numbers.")]


AboutField = Annotated[About, Meta(description="What was assumed, what to beware of, and the sources.")]


class Answer(msgspec.Struct, frozen=True, kw_only=True):
    """An answer; every kind ends with a field ``about``."""


class Unsaid(str):
    """Stands for a sentence that was not made."""


UNSAID = Unsaid()


class Ledger(Findings):
    """The findings of a request, and the sentences for them.

    Parameters
    ----------
    units : {"metric", "us"}
        Units to speak in.
    asked : Asked
        Which parts of the answer are read.
    """

    def __init__(self, units: UnitSystem, asked: Asked = EVERYTHING) -> None:
        super().__init__(asked)
        self.units: UnitSystem = units

    def sentence(self, make: Callable[[], str]) -> str:
        """Return the sentence that `make` returns, or :data:`UNSAID` where nobody reads sentences."""
        return make() if self.asked.sentences else UNSAID

    def say(self, quantity: Quantity) -> str:
        """Return a quantity in words, in the caller's units."""
        return quantity.words(self.units)

    # ---- the old way to say things, with the sentence made on the spot; goes when every calculation names its findings

    def warn(self, kind: str, pointer: str, detail: str | None = None, *, where: Any = True, **figures: Any) -> None:
        if detail is not None:
            super().warn(f"said-{kind}", pointer, where=where, text=detail)
        else:
            super().warn(kind, pointer, where=where, **figures)

    def fault(self, kind: str, pointer: str, **figures: Any) -> None:
        if kind == "" or kind.startswith(("/", "?")):
            super().fault("said", kind, text=pointer)
        else:
            super().fault(kind, pointer, **figures)

    def assume(self, kind: str, pointer: Any, value: Any, source: str, *, where: Any = True, **figures: Any) -> None:
        if kind == "" or kind.startswith("/"):
            text = pointer if isinstance(pointer, str) else self.say(pointer)
            super().assume("said", kind, text, source, why=value)
        else:
            super().assume(kind, pointer, value, source, where=where, **figures)

    def fallback(self, given: Real | None, pointer: str, row: str, kind: object = None, *, where: Any = True) -> Any:
        return super().fallback(given, pointer, row, where=where)

    def stop_at_faults(self) -> None:
        """Raise all faults noted so far.

        Raises
        ------
        ImpossibleInput
            If there are any.
        """
        if self.refused:
            raise ImpossibleInput([Fault(one.pointer, words.of_fault(one, self.units)) for one in self.refused])

    def about(self) -> About:
        """Return what to say beside the result; sentences are made only where somebody reads them."""
        if not self.asked("/about"):
            return NOTHING_SAID
        return About(
            assumptions=[
                Assumption(one.pointer, *words.of_assumption(one, self.units), one.source) for one in self.assumed
            ],
            warnings=[
                Notice(words.code_of(one), one.pointer, words.of_warning(one, self.units)) for one in self.warned
            ],
            cautions=[*words.USUAL_CAUTIONS, *(words.CAUTIONS[name] for name in self.cautions)],
            sources=list(self.sources),
            model=MODEL_VERSION,
        )


NOTHING_SAID = About(assumptions=[], warnings=[], cautions=[], sources=[], model=MODEL_VERSION)
"""Of rows whose sentences nobody reads."""
