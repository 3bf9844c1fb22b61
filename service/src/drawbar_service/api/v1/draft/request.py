"""What is asked: an implement at work in a soil."""

from functools import partial
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import Implement
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tables import Tables
from drawbar_service.quantities import Slope, Speed


class DraftRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An implement at work in a soil."""

    implement: Annotated[Implement, Meta(description="The machine and its ground tools.")]
    soil: Annotated[Soil, Meta(description="The soil it works.")]
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["8 km/h"])]
    slope: Annotated[Slope, Meta(description="Rise over run, positive uphill; acts on the implement's mass.")] = (
        msgspec.field(default_factory=partial(Slope, 0.0))
    )
    tables: Tables = None
