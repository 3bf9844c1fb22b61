"""What is asked: the work, the window, the days fit for it, and what delay costs."""

import datetime
from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import RowId
from drawbar_service.api.shared.record import DaysRecord, PastWeeks
from drawbar_service.api.shared.suitable import SuitableDays
from drawbar_service.api.shared.tables import Tables
from drawbar_service.quantities import Area, AreaRate, CropPrice, Share, TimeLost, Workday, Yield

Several = Annotated[int, Meta(ge=1, le=20)]
Schedule: TypeAlias = Literal["balanced", "one-sided"]


class Timeliness(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a day off the best one costs. Give `loss` or `row`."""

    loss: Annotated[Share | None, Meta(description="Share of the yield lost for each day.", examples=["0.7 %"])] = None
    row: Annotated[RowId | None, Meta(description="Row of `/v1/reference/timeliness`.")] = None
    crop_yield: Annotated[Yield, Meta(description="Yield on the best day.", examples=["8 t/ha"])]
    price: Annotated[CropPrice, Meta(description="What the crop is worth.", examples=["190 money/t"])]
    schedule: Annotated[Schedule, Meta(description="Work evenly about the best day, or all of it before or after.")] = (
        "one-sided"
    )


class CompletionRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Work to be done in a window."""

    area: Annotated[Area, Meta(description="Land to work.", examples=["180 ha"])]
    done: Annotated[Area | None, Meta(description="Of it: worked already.")] = None
    passes: Annotated[Several, Meta(description="Passes over the land with this machine.")] = 1
    capacity: Annotated[
        AreaRate, Meta(description="Effective field capacity of one machine; see `/v1/match`.", examples=["3.1 ha/h"])
    ]
    capacity_low: Annotated[
        AreaRate | None,
        Meta(description="It is below this 5 times in 100; with `capacity_high`, the chance takes the range in."),
    ] = None
    capacity_high: Annotated[AreaRate | None, Meta(description="It is above this 5 times in 100.")] = None
    machine_count: Annotated[Several, Meta(description="Machines at work side by side.")] = 1
    workday: Annotated[Workday, Meta(description="Hours at work on a suitable day.", examples=["9 h"])]
    time_lost: Annotated[
        TimeLost | None, Meta(description="Share of it lost to breakdowns and waiting.", examples=["5 %"])
    ] = None
    breakdowns: Annotated[
        RowId | None,
        Meta(
            description="Row of `/v1/reference/breakdown`, whose hours each machine stands, in place of `time_lost`.",
            examples=["tillage"],
        ),
    ] = None
    start: Annotated[datetime.date, Meta(description="First day of the window.", examples=["2027-10-20"])]
    end: Annotated[datetime.date, Meta(description="Last day of the window.", examples=["2027-11-25"])]
    suitable: Annotated[
        SuitableDays | None, Meta(description="How many days are fit for field work; give it or `record`.")
    ] = None
    record: Annotated[
        DaysRecord | None,
        Meta(description="Suitable days week by week over some years, in place of `suitable`."),
    ] = None
    so_far: Annotated[
        PastWeeks | None,
        Meta(
            description=(
                "Weeks of this year up to now, with a `record`: the answer is for what is left of the window, its "
                "years moved by how far these weeks lie from theirs. State land worked as `done`."
            )
        ),
    ] = None
    timeliness: Annotated[Timeliness | None, Meta(description="What delay costs; leave out not to ask.")] = None
    tables: Tables = None
