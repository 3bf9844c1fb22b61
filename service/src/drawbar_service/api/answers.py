"""What every answer says about itself: what was assumed, what to beware of, and the sources."""

from collections.abc import Callable
from functools import lru_cache
from typing import Annotated, Any, TypeVar, cast

import msgspec
import numpy as np
import numpy.typing as npt
from msgspec import Meta

from drawbar_service.api import words
from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.words import WarningCode
from drawbar_service.engine.arrays import Mask, both, everywhere, somewhere, truth
from drawbar_service.model.findings import EVERYTHING, Asked, Finding, Findings, Waiting
from drawbar_service.quantities import Quantity, UnitSystem
from drawbar_service.rows import Names, Rows, text_at

MODEL_VERSION = "3"
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


class OwnFigure(msgspec.Struct, frozen=True, kw_only=True):
    """A figure that the request gives in place of one of ours."""

    pointer: Annotated[str, Meta(description="Where it stands in the request (JSON Pointer).")]
    instead_of: Annotated[str | None, Meta(description="What our table has there; null where it has nothing.")] = None
    source: Annotated[str | None, Meta(description="Source of what our table has; null where it has nothing.")] = None
    used: Annotated[bool, Meta(description="Whether the calculation looked at it.")]


class About(msgspec.Struct, frozen=True, kw_only=True):
    """What an answer says about itself: what was assumed, what to beware of, and the sources."""

    assumptions: Annotated[
        list[Assumption], Meta(description="Values the request left out and what was taken instead.")
    ]
    warnings: Annotated[list[Notice], Meta(description="Things to beware of, each with its cause.")]
    cautions: Annotated[list[str], Meta(description="Safety cautions that apply to this kind of work.")]
    sources: Annotated[list[str], Meta(description="Ids of the sources used; see `/v1/sources`.")]
    own: Annotated[list[OwnFigure], Meta(description="Figures that the request gives in place of ours.")]
    model: Annotated[str, Meta(description="Version of the model: same request and version, same numbers.")]


AboutField = Annotated[About, Meta(description="About this answer.")]


class Answer(msgspec.Struct, frozen=True, kw_only=True):
    """An answer; every kind ends with a field ``about``."""


def old_word(new: str) -> Meta:
    """Return what the contract says of a member of an answer that has the same value as `new`, which took its place."""
    return Meta(description=f"Old word for `{new}`.", extra_json_schema={"deprecated": True})


class Unsaid(str):
    """Stands for a sentence that was not made."""


UNSAID = Unsaid()


PartT = TypeVar("PartT")


def part_where(where: Mask, make: Callable[[], PartT]) -> PartT | None:
    """Return a part of an answer `where` there is one, else None.

    Of rows it is one part whose numbers are NaN, truths false and texts None where there is none.

    Parameters
    ----------
    where : bool or array of bool
    make : callable
        Returns the part; not called if there is none anywhere.
    """
    if not somewhere(where):
        return None
    part = make()
    return part if everywhere(where) else cast("PartT", _blanked(part, np.asarray(where)))


def _blanked(part: Any, where: npt.NDArray[np.bool_]) -> Any:
    if isinstance(part, msgspec.Struct):
        return msgspec.structs.replace(
            part, **{name: _blanked(getattr(part, name), where) for name in part.__struct_fields__}
        )
    if isinstance(part, list):
        return [_blanked(one, where) for one in cast("list[Any]", part)]
    if part is None or part is UNSAID:
        return part
    if isinstance(part, (str, Names)):
        texts = part.values if isinstance(part, Names) else [part]
        codes = part.codes if isinstance(part, Names) else 0
        return text_at(np.where(where, codes, len(texts)), [*texts, None])
    if isinstance(part, bool) or (isinstance(part, Rows) and part.dtype == np.bool_):
        return truth(both(where, part))
    low, high = getattr(part, "low", None), getattr(part, "high", None)
    return Quantity.ranged(
        np.where(where, part, np.nan),
        None if low is None else np.where(where, low, np.nan),
        None if high is None else np.where(where, high, np.nan),
    )


class Ledger(Findings):
    """The findings of a request, and the sentences for them.

    Parameters
    ----------
    units : {"metric", "us"}
        Units to speak in.
    asked : Asked
        Which parts of the answer are read.
    waiting : Waiting, optional
        Left out: somebody waits, however long it takes.
    """

    def __init__(self, units: UnitSystem, asked: Asked = EVERYTHING, waiting: Waiting | None = None) -> None:
        super().__init__(asked, waiting)
        self.units: UnitSystem = units
        self.own: list[Callable[[], list[OwnFigure]]] = []
        """Called once the rest of the answer is known, for what was used by then."""

    def sentence(self, make: Callable[[], str]) -> str:
        """Return the sentence that `make` returns, or :data:`UNSAID` where nobody reads sentences."""
        return make() if self.asked.sentences else UNSAID

    def say(self, quantity: Quantity) -> str:
        """Return a quantity in words, in the caller's units."""
        return quantity.words(self.units)

    def stop_at_faults(self) -> None:
        """Raise all faults noted so far.

        Raises
        ------
        ImpossibleInput
            If there are any.
        """
        if self.refused:
            raise ImpossibleInput([self.as_fault(one) for one in self.refused])

    def as_fault(self, one: Finding) -> Fault:
        """Return a fault as the caller reads it."""
        return Fault(one.pointer, words.of_fault(one, self.units))

    def about(self) -> About:
        """Return what to say beside the result, or :data:`UNSAID` where nobody reads sentences."""
        if not self.asked.sentences:
            return cast("About", UNSAID)
        if not self.asked("/about"):
            return NOTHING_SAID
        tables = [figure for figures in self.own for figure in figures()]
        stated = [
            OwnFigure(pointer=pointer, instead_of=ours, source=source, used=True)
            for pointer, (ours, source) in self.stated.items()
        ]
        sources = [*self.sources, *(one.source for one in tables if one.used and one.source is not None)]
        return About(
            assumptions=[
                _assumption(one.kind, one.pointer, one.value, one.source, tuple(one.figures.items()), self.units)
                for one in self.assumed
            ],
            warnings=[
                Notice(words.code_of(one), one.pointer, words.of_warning(one, self.units)) for one in self.warned
            ],
            cautions=[*words.USUAL_CAUTIONS, *(words.CAUTIONS[name] for name in self.cautions)],
            sources=list(dict.fromkeys(sources)),
            own=tables + stated,
            model=MODEL_VERSION,
        )


@lru_cache(maxsize=4096)
def _assumption(
    kind: str, pointer: str, value: Any, source: str, figures: tuple[tuple[str, Any], ...], units: UnitSystem
) -> Assumption:
    # Most requests leave out the same values, and a number in words takes longer than the number itself.
    told, why = words.of_assumption(kind, value, dict(figures), units)
    return Assumption(pointer, told, why, source)


NOTHING_SAID = About(assumptions=[], warnings=[], cautions=[], sources=[], own=[], model=MODEL_VERSION)
"""Of rows whose sentences nobody reads."""
