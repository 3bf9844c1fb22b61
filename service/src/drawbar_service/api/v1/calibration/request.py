"""What is asked: a tractor, an implement and a soil, and runs in the field."""

from functools import partial
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import Implement
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import Tractor
from drawbar_service.quantities import (
    Depth,
    Efficiency,
    EngineSpeedRatio,
    FuelRate,
    Pull,
    RelativeSpread,
    Slope,
    Speed,
    WheelSlip,
)

Name = Annotated[str, Meta(min_length=1, max_length=80)]


class CalibrationRun(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One run in the field, and what was measured in it: at least one of pull, slip, fuel rate and engine load.

    Errors are standard deviations, taken as independent between measurements.
    """

    machine: Annotated[
        Name | None, Meta(description="Which machine, where runs of several are learned from.", examples=["heron"])
    ] = None
    field: Annotated[Name | None, Meta(description="Which field, where there are several.", examples=["millrace"])] = (
        None
    )
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["7.5 km/h"])]
    depth: Annotated[
        Depth | None, Meta(description="Depth of the tool that pulls hardest, in place of the implement's.")
    ] = None
    slope: Annotated[Slope, Meta(description="Rise over run, positive uphill.")] = msgspec.field(
        default_factory=partial(Slope, 0.0)
    )
    engine_speed: Annotated[
        EngineSpeedRatio | None, Meta(description="Engine speed over full-throttle speed, in place of the tractor's.")
    ] = None
    pull: Annotated[Pull | None, Meta(description="Measured pull at the hitch.", examples=["38 kN"])] = None
    pull_error: Annotated[RelativeSpread | None, Meta(description="Its error, relative.", examples=["3 %"])] = None
    slip: Annotated[WheelSlip | None, Meta(description="Measured slip.", examples=["11 %"])] = None
    slip_error: Annotated[
        RelativeSpread | None, Meta(description="Its error, in percentage points of slip.", examples=["1.5 %"])
    ] = None
    fuel_rate: Annotated[FuelRate | None, Meta(description="Measured fuel in a time.", examples=["31 L/h"])] = None
    fuel_rate_error: Annotated[RelativeSpread | None, Meta(description="Its error, relative.")] = None
    engine_load: Annotated[
        Efficiency | None,
        Meta(description="Measured load: power used, brought to the PTO, over rated PTO power.", examples=["85 %"]),
    ] = None
    engine_load_error: Annotated[RelativeSpread | None, Meta(description="Its error, relative.")] = None


CalibrationRuns = Annotated[list[CalibrationRun], Meta(min_length=1, max_length=50)]


class CalibrationPrior(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How well things were known before the runs: standard deviation of the logarithm, about that over the value."""

    draft: Annotated[
        RelativeSpread | None, Meta(description="Of the draft multiplier, in place of the draft's range.")
    ] = None
    cone_index: Annotated[RelativeSpread | None, Meta(description="Of the cone index.", examples=["30 %"])] = None


class CalibrationRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor, an implement and a soil as for a match, and runs in the field."""

    tractor: Annotated[Tractor, Meta(description="The tractor, on wheels.")]
    implement: Annotated[
        Implement, Meta(description="The implement. Its draft multiplier is where the search starts from.")
    ]
    soil: Annotated[Soil, Meta(description="The soil.")]
    runs: Annotated[CalibrationRuns, Meta(description="The runs.")]
    prior: Annotated[CalibrationPrior, Meta(description="How well things were known before the runs.")] = msgspec.field(
        default_factory=CalibrationPrior
    )
    tables: Tables = None
