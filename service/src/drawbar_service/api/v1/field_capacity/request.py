"""What is asked: a machine in a field."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.field import FieldShape
from drawbar_service.api.shared.implement import RowId
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.v1.field_capacity.outline import FieldOutline
from drawbar_service.quantities import Area, Efficiency, Speed, Width, Workday, Yield


class FieldCapacityRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A machine in a field. Give one of `efficiency`, `shape`, `outline` and `practice`, or none."""

    width: Annotated[Width, Meta(description="Working width.", examples=["6 m"])]
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["9 km/h"])]
    efficiency: Annotated[Efficiency | None, Meta(description="Field efficiency, known.", examples=["85 %"])] = None
    shape: Annotated[FieldShape | None, Meta(description="A rectangular field, to work the efficiency out.")] = None
    outline: Annotated[
        FieldOutline | None, Meta(description="A field as a polygon, to plan its passes and work the efficiency out.")
    ] = None
    practice: Annotated[
        RowId | None,
        Meta(description="Row of the practice table, to look the efficiency up.", examples=["field-cultivator"]),
    ] = None
    area: Annotated[
        Area | None, Meta(description="Area to work; gives hours. Left out with an outline: the field's.")
    ] = None
    workday: Annotated[Workday | None, Meta(description="Hours of field work in a day; gives area a day.")] = None
    crop_yield: Annotated[Yield | None, Meta(description="Material on the area; gives material an hour.")] = None
    tables: Tables = None
