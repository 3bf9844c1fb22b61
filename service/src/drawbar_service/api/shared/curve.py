"""What curves and the field sheet share: numbers of one unit, the words beside them, and the match they start from."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import MODEL_VERSION, Answer, Ledger
from drawbar_service.api.calculation import AnswerT, Calculation, RequestT
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.engine.arrays import Real
from drawbar_service.model.match import resolve
from drawbar_service.model.matched import Matched, matched
from drawbar_service.quantities import Quantity, UnitSystem

SVG, PNG = "image/svg+xml", "image/png"
PICTURES = {
    SVG: "The picture, at any size, with title and description.",
    PNG: "The picture as pixels.",
}
"""Media types of pictures, each with what it is."""

AFTER_MATCH = (
    "Draft after ASAE D497, traction after Brixius 1987 and Zoz and Grisso 2003, from memory, not yet proof-read. "
    f"drawbar, model {MODEL_VERSION}: an estimate, not a rating."
)
"""Source line of what starts from a match."""
OWN_MODEL = f"drawbar, model {MODEL_VERSION}: an estimate, not a promise."


class Series(msgspec.Struct, frozen=True, kw_only=True):
    """Numbers of one unit, in the order of the curve."""

    name: Annotated[str, Meta(description="What they are.")]
    unit: Annotated[str, Meta(description="Unit of all of them, as `units` asks.")]
    values: Annotated[list[float | None], Meta(description="The numbers; null where there is none.")]
    low: Annotated[list[float | None] | None, Meta(description="Low ends of their ranges, if they have any.")] = None
    high: Annotated[list[float | None] | None, Meta(description="High ends of their ranges, if they have any.")] = None


class CurveAnswer(Answer, frozen=True, kw_only=True):
    """The numbers of a picture."""

    title: Annotated[str, Meta(description="Its title.")]
    summary: Annotated[str, Meta(description="What it shows, in words.")]
    source: Annotated[str, Meta(description="Its source line.")]


@dataclass(frozen=True)
class Curve(Calculation[RequestT, AnswerT]):
    """A calculation whose answer can be drawn."""

    @property
    def path(self) -> str:
        """Address of the endpoint."""
        return f"/v1/curves/{self.name}"

    @property
    def operation_id(self) -> str:
        """Name of the operation in the contract, and of the method of a client."""
        return f"curve_{self.name.replace('-', '_')}"


def numbers(values: Real, factor: float = 1.0) -> list[float | None]:
    """Return `values` over a `factor` as they go on the wire, None for what is no number."""
    return [value if np.isfinite(value) else None for value in np.ravel(np.asarray(values) / factor).tolist()]


def series(
    name: str,
    kind: type[Quantity],
    units: UnitSystem,
    values: Real,
    ends: Sequence[Real | None] | None = None,
) -> Series:
    """Return a series of a `kind` of quantity from `values` in SI units.

    `ends` are what the values are at either end of a range, in any order; None where there is no range.
    """
    unit, factor = kind.shown(units)
    known = [end for end in ends or () if end is not None]
    if not known:
        return Series(name=name, unit=unit, values=numbers(values, factor))
    whole = [np.asarray(one, dtype=np.float64) for one in (values, *known)]
    return Series(
        name=name,
        unit=unit,
        values=numbers(values, factor),
        low=numbers(np.minimum.reduce(whole), factor),
        high=numbers(np.maximum.reduce(whole), factor),
    )


def match_of(request: MatchRequest, find: Sequence[str] | None, ledger: Ledger) -> Matched:
    """Return the match a curve or a field sheet starts from, with the greatest of what it is to `find`.

    Its assumptions and warnings go to the ledger; odds, which nothing of it shows, are left out.
    """
    if request.odds is not None:
        ledger.warn("no-odds-in-curves", "/odds")
    return matched(resolve(request, ledger), find, ledger)
