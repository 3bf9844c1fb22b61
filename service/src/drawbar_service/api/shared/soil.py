"""The soil, as a request describes it."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.quantities import ConeIndex, Depth, Share

Texture: TypeAlias = Literal["fine", "medium", "coarse"]
Surface: TypeAlias = Literal["hard", "firm", "tilled", "soft"]
Moisture: TypeAlias = Literal["dry", "moist", "wet", "plastic", "frozen"]


class ConeReading(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The cone index at one depth."""

    depth: Annotated[Depth, Meta(description="Below the surface.", examples=["10 cm"])]
    cone_index: Annotated[ConeIndex, Meta(description="Measured there.", examples=["1300 kPa"])]


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
    cone_readings: Annotated[
        list[ConeReading],
        Meta(
            max_length=40,
            description="Measured by depth, from the surface down, in place of `cone_index`: traction takes the mean "
            "down to 15 cm.",
        ),
    ] = []
    moisture: Annotated[
        Moisture | None,
        Meta(
            description=(
                "Soil at working depth. Dry: no ball holds. Moist: a ball that crumbles. Wet: leaves water on the "
                "hand. Plastic: rolls to a thread of 3 mm, too wet to work. Left out, nothing is widened."
            ),
        ),
    ] = None
    water_content: Annotated[
        Share | None,
        Meta(description="Mass of water over mass of dry soil, where it is known.", examples=["22 %"]),
    ] = None
    plastic_limit: Annotated[
        Share | None,
        Meta(description="Water content at which the soil just rolls to a thread of 3 mm.", examples=["24 %"]),
    ] = None
