"""What is asked: a tractor on a soil, under a pull or at a slip."""

from functools import partial
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import (
    CENTER_OF_MASS,
    HITCH_SHARE,
    VERTICAL_LOAD,
    VERTICAL_SHARE,
    Hitch,
)
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import Tractor
from drawbar_service.quantities import HitchHeight, Length, Mass, Pull, Share, Slope, WheelSlip


class TractionRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor on a soil. Give a pull to get the slip, or a slip to get the pull."""

    tractor: Annotated[Tractor, Meta(description="The tractor.")]
    soil: Annotated[Soil, Meta(description="What it stands on. Texture plays no part here.")]
    pull: Annotated[Pull | None, Meta(description="Pull at the hitch, along the ground.", examples=["38 kN"])] = None
    slip: Annotated[
        WheelSlip | None, Meta(description="Slip to be reached, in place of a pull.", examples=["10 %"])
    ] = None
    slope: Annotated[Slope, Meta(description="Rise over run, positive uphill.")] = msgspec.field(
        default_factory=partial(Slope, 0.0)
    )
    hitch: Annotated[Hitch, Meta(description="Where the pull acts.")] = "drawbar"
    mass: Annotated[Mass | None, Meta(description="Of the machine that pulls; some of its weight is on the hitch.")] = (
        None
    )
    center_of_mass: Annotated[Length | None, Meta(description=CENTER_OF_MASS)] = None
    hitch_share: Annotated[Share | None, Meta(description=HITCH_SHARE)] = None
    vertical_load: Annotated[Pull | None, Meta(description=VERTICAL_LOAD)] = None
    vertical_share: Annotated[Share | None, Meta(description=VERTICAL_SHARE)] = None
    pull_height: Annotated[HitchHeight | None, Meta(description="Line of pull above ground at the hitch.")] = None
    tables: Tables = None
