"""The soil, as a request describes it."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.quantities import ConeIndex

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
