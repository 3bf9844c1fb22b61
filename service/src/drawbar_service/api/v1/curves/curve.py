"""What all curves share: numbers of one unit, the words beside them, and the match they start from."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, NamedTuple

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import MODEL_VERSION, Answer, Ledger
from drawbar_service.api.calculation import AnswerT, Calculation, RequestT
from drawbar_service.api.v1 import match
from drawbar_service.api.v1.match.answer import MatchAnswer
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.engine.arrays import FloatArray, Mask, Real
from drawbar_service.engine.match import OperatingPoint, Work, excess, operate
from drawbar_service.model.implement import main_depth
from drawbar_service.model.limits import OF_THE_TOOL, ROUNDING, Margins, margins
from drawbar_service.model.match import Case, resolve
from drawbar_service.quantities import Quantity, UnitSystem

SVG, PNG = "image/svg+xml", "image/png"
PICTURES = {
    SVG: "The picture, to be shown at any size; it carries its title and a description.",
    PNG: "The picture as pixels.",
}
"""Media types of pictures, each with what it is."""

AFTER_MATCH = (
    "Draft after ASAE D497, values from memory, not yet proof-read. Traction after Brixius 1987, radial tires after "
    f"Zoz and Grisso 2003, from memory. drawbar, model {MODEL_VERSION}: an estimate, not a rating."
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

    title: Annotated[str, Meta(description="Title of the picture.")]
    summary: Annotated[str, Meta(description="What the picture shows, in words: its alternative text.")]
    source: Annotated[str, Meta(description="Source line of the picture.")]


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
    ends: Sequence[Real] | None = None,
) -> Series:
    """Return a series of a `kind` of quantity from `values` in SI units.

    `ends` are what the values are at either end of a range, in any order.
    """
    unit, factor = kind.shown(units)
    if ends is None:
        return Series(name=name, unit=unit, values=numbers(values, factor))
    whole = [np.asarray(one, dtype=np.float64) for one in (values, *ends)]
    return Series(
        name=name,
        unit=unit,
        values=numbers(values, factor),
        low=numbers(np.minimum.reduce(whole), factor),
        high=numbers(np.maximum.reduce(whole), factor),
    )


class Matched(NamedTuple):
    """A match and the case behind it, to be asked about other speeds and widths."""

    answer: MatchAnswer
    case: Case

    @property
    def speed(self) -> float:
        """Speed of the answer [m/s]."""
        return float(self.answer.at_work.speed)


def matched(request: MatchRequest, ledger: Ledger) -> Matched:
    """Return the answer of a match; its assumptions and warnings go to the ledger."""
    if request.odds is not None:
        ledger.warn("not-used", "/odds", "Curves show the range of the draft table, not odds; /v1/match tells those.")
        request = msgspec.structs.replace(request, odds=None)
    return Matched(match.compute(request, ledger), resolve(request, Ledger(ledger.units)))


class Judged(NamedTuple):
    """Work on arrays, held against the limits."""

    point: OperatingPoint | None
    """None on rubber tracks."""
    left: Margins
    carried: Mask


def judged(found: Matched, work: Work, speed: Real) -> Judged:
    """Return what is left before each limit for some `work` at some `speed` [m/s]."""
    case = found.case
    depth = main_depth(case.drafts, found.speed)
    point = operate(case.tractor.engine, work, speed) if case.tractor is not None else None
    strain = (
        excess(point, case.tractor.engine, case.limits)
        if point is not None and case.tractor is not None
        else case.strain(work, speed)
    )
    left = margins(strain, point is not None, speed, case.speeds, depth, case.depths)
    return Judged(point, left, point.pull_effort <= 1.0 if point is not None else True)


def spare(left: Margins) -> Real:
    """Return the least of the margins [1]; a tool's own range counts only where it is left, as for what binds."""
    whole = np.broadcast_arrays(*left.values())
    return np.minimum.reduce(
        [
            np.where(margin >= -ROUNDING, np.inf, margin) if name in OF_THE_TOOL else margin
            for name, margin in zip(left, whole, strict=True)
        ]
    )


def with_points(grid: FloatArray, *values: Real) -> FloatArray:
    """Return a `grid` that rises, with more `values` in their places."""
    return np.union1d(grid, np.array(values))
