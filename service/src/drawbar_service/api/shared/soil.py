"""Soil and field, as a request describes them."""

from functools import partial
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.engine.capacity import reversing_path, turning_path
from drawbar_service.quantities import (
    Area,
    ConeIndex,
    Efficiency,
    Length,
    Overlap,
    ShortTime,
    Slope,
    TurningLength,
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
    radius: Annotated[TurningLength | None, Meta(description="Turning radius of tractor and tool.")] = None
    tongue_length: Annotated[
        TurningLength | None,
        Meta(description="From the hitch back to the tools of a pulled implement. Lengthens a turn by radius."),
    ] = None
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


class TurnInSI(NamedTuple):
    """One headland turn, resolved."""

    time: float
    """[s]"""
    path: float | None
    """Way of the tractor [m], if it follows from a radius"""


def turn_in_si(turn: Turn, width: float, overlap: float, speed: float, ledger: Ledger, pointer: str) -> TurnInSI | None:
    """Return time and path of a turn from one pass into the next; None, with a fault noted, if it is not stated once.

    `width` [m] and `overlap` [1] of the machine, working `speed` [m/s], `pointer` to the turn.
    """
    if (turn.time is None) == (turn.radius is None):
        ledger.fault(pointer, "give time or radius, one of the two")
        return None
    if turn.radius is None:
        if turn.tongue_length is not None:
            ledger.warn(
                "not-used", f"{pointer}/tongue_length", "The time of a turn was given; the tongue does not add to it."
            )
        return TurnInSI(float(turn.time or 0.0), None)
    spacing = width * (1.0 - overlap)
    path = float((reversing_path if turn.reversing else turning_path)(float(turn.radius), spacing))
    # The tractor goes on by the tongue until the tool is out, and is as far ahead when the tool is back in.
    path += 2.0 * float(turn.tongue_length or 0.0)
    ledger.assume(f"{pointer}/time", ShortTime(path / speed), "Path of the turn at working speed.", "derived")
    return TurnInSI(path / speed, path)


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
