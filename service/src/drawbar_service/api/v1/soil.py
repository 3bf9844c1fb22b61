"""Soil and field, as a request describes them."""

from functools import partial
from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.quantities import (
    Area,
    ConeIndex,
    Efficiency,
    Length,
    MachineLength,
    Overlap,
    ShortTime,
    Slope,
    Workday,
)
from drawbar_service.reference import SurfaceRow, surface

Texture: TypeAlias = Literal["fine", "medium", "coarse"]
Surface: TypeAlias = Literal["hard", "firm", "tilled", "soft"]


class Soil(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The soil a tool works and a tractor stands on."""

    texture: Annotated[
        Texture, Meta(description="Fine: clay and clay loam. Medium: loam and silt. Coarse: sand. Sets the draft.")
    ]
    surface: Annotated[
        Surface,
        Meta(
            description="What the wheels stand on. Hard: dry, untouched. Firm: stubble. Tilled: worked and settled. "
            "Soft: freshly worked, wet or sandy. Sets the traction."
        ),
    ]
    cone_index: Annotated[
        ConeIndex | None,
        Meta(description="Measured cone index, in place of the one that goes with the surface.", examples=["1100 kPa"]),
    ] = None


class Turn(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A headland turn: its time, or the radius it follows from."""

    time: Annotated[ShortTime | None, Meta(description="Time of one turn.", examples=["20 s"])] = None
    radius: Annotated[MachineLength | None, Meta(description="Turning radius of tractor and tool.")] = None
    reversing: Annotated[bool, Meta(description="Whether turns too tight to loop are made with one reverse.")] = False


class FieldShape(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A rectangular field, from which field efficiency follows instead of being looked up."""

    length: Annotated[Length, Meta(description="Along the passes.", examples=["600 m"])]
    width: Annotated[Length, Meta(description="Across the passes.", examples=["300 m"])]
    turn: Annotated[Turn, Meta(description="One headland turn.")]
    overlap: Annotated[Overlap, Meta(description="Share of the working width that is worked twice.")] = msgspec.field(
        default_factory=partial(Overlap, 0.0)
    )
    stops: Annotated[ShortTime, Meta(description="All stops in this field: filling, clearing, adjusting.")] = (
        msgspec.field(default_factory=partial(ShortTime, 0.0))
    )


class Field(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The field and how it is worked."""

    slope: Annotated[Slope, Meta(description="Rise over run along the passes, positive uphill.")] = msgspec.field(
        default_factory=partial(Slope, 0.0)
    )
    area: Annotated[Area | None, Meta(description="Area to work; gives hours and days.", examples=["32 ha"])] = None
    workday: Annotated[
        Workday | None, Meta(description="Hours of field work in a day; gives area a day.", examples=["10 h"])
    ] = None
    efficiency: Annotated[
        Efficiency | None, Meta(description="Field efficiency: effective over theoretical capacity.", examples=["82 %"])
    ] = None
    shape: Annotated[
        FieldShape | None, Meta(description="Field geometry, in place of an efficiency. Give one or neither.")
    ] = None


def surface_row(soil: Soil, ledger: Ledger) -> SurfaceRow:
    """Return the table row of the soil's surface."""
    row = surface(soil.surface)
    ledger.use(row.source)
    return row


def cone_index(soil: Soil, ledger: Ledger, pointer: str) -> float:
    """Return the cone index [Pa], measured or typical of the surface."""
    if soil.cone_index is not None:
        return float(soil.cone_index)
    row = surface_row(soil, ledger)
    typical = 1000.0 * row.cone_index_kPa
    ledger.assume(f"{pointer}/cone_index", ConeIndex(typical), f"Typical of {row.id} soil.", row.source)
    return typical
