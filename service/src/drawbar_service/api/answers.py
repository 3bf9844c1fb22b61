"""What every answer says about itself: what was assumed, what to beware of, and the sources."""

from functools import cache
from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.quantities import Quantity, Ratio, UnitSystem
from drawbar_service.reference import UnknownReference, default

MODEL_VERSION = "1"
"""Changes whenever the same request would be answered with other numbers; the changelog says by how much."""

WarningCode: TypeAlias = Literal[
    "outside-range", "rough-estimate", "not-used", "methods-differ", "check-safety", "not-carried"
]

CAUTIONS = (
    "An estimate, not a rating. Check axle and tire load limits, hitch and drawbar ratings and ballast rules in the "
    "operator's manuals, and local law.",
    "Pull only from the drawbar, never from the axle or above it; do not raise or shorten the drawbar. "
    "Keep the roll-over protection up and the seat belt on.",
    "Stop the engine before working on points, gangs or hydraulics.",
)
"""Usual cautions of tractor work (common practice, no source)."""
PTO_CAUTION = (
    "Keep every shield on the PTO shaft; stop the engine and wait until all stands still before clearing a blockage."
)
DEEP_CAUTION = "Find out where cables, pipes and drains lie before working this deep."
SLOPE_CAUTION = (
    "Tipping over and sliding on a slope are not reckoned; the operator's manual says how steep is too steep."
)
"""What some work asks for besides (common practice, no source)."""
DEEP = 0.30
"""Depth from which a tool may meet what lies buried [m] (common practice, no source)."""
STEEP = 0.10
"""Slope from which to caution, rise over run (common practice, no source)."""


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


@cache
def _default_in_words(row: str, kind: type[Quantity], units: UnitSystem) -> str:
    return kind(default(row).value).words(units)


class Ledger:
    """Collects, while a request is answered, what will be said beside the result.

    Parameters
    ----------
    units : {"metric", "us"}
        Units to speak in.
    """

    def __init__(self, units: UnitSystem) -> None:
        self.units: UnitSystem = units
        self.assumptions: list[Assumption] = []
        self.warnings: list[Notice] = []
        self._sources: dict[str, None] = {}
        self._cautions: dict[str, None] = dict.fromkeys(CAUTIONS)
        self._faults: list[Fault] = []

    def say(self, quantity: Quantity) -> str:
        """Return a quantity in words, in the caller's units."""
        return quantity.words(self.units)

    def use(self, *sources: str) -> None:
        """Note that these sources were used."""
        for source in sources:
            self._sources[source] = None

    def assume(self, pointer: str, value: Quantity | str, why: str, source: str) -> None:
        """Note a value that the request left out."""
        text = value if isinstance(value, str) else self.say(value)
        self.assumptions.append(Assumption(pointer, text, why, source))
        self.use(source)

    def fallback(self, given: float | None, pointer: str, row: str, kind: type[Quantity] = Ratio) -> float:
        """Return what was `given`, or else the default of this `row`, noted as an assumption."""
        if given is not None:
            return float(given)
        entry = default(row)
        self.assume(pointer, _default_in_words(row, kind, self.units), entry.why, entry.source)
        return entry.value

    def warn(self, code: WarningCode, pointer: str, detail: str) -> None:
        """Note something to beware of."""
        self.warnings.append(Notice(code, pointer, detail))

    def caution(self, text: str) -> None:
        """Add what this work asks for besides the usual cautions, once."""
        self._cautions[text] = None

    def fault(self, pointer: str, detail: str) -> None:
        """Note something that cannot be; :meth:`stop_at_faults` raises."""
        self._faults.append(Fault(pointer, detail))

    def unknown(self, pointer: str, error: UnknownReference) -> None:
        """Note an id that is in no table."""
        self.fault(pointer, str(error))

    def absorb(self, part: "Ledger", pointer: str) -> None:
        """Take over what a ledger of its own has gathered for the `part` of the request that stands at `pointer`."""
        for one in part.assumptions:
            self.assumptions.append(msgspec.structs.replace(one, pointer=pointer + one.pointer))
        for notice in part.warnings:
            self.warnings.append(msgspec.structs.replace(notice, pointer=pointer + notice.pointer))
        for fault in part._faults:
            self.fault(pointer + fault.pointer, fault.detail)
        self.use(*part._sources)
        self._cautions |= part._cautions

    def stop_at_faults(self) -> None:
        """Raise all faults noted so far.

        Raises
        ------
        ImpossibleInput
            If there are any.
        """
        if self._faults:
            raise ImpossibleInput(self._faults)

    def about(self) -> About:
        """Return what to say beside the result."""
        return About(
            assumptions=self.assumptions,
            warnings=self.warnings,
            cautions=list(self._cautions),
            sources=list(self._sources),
            model=MODEL_VERSION,
        )
