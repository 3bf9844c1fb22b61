"""A tractor on an implement in a soil: what is asked, and the same in SI units."""

import math
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import (
    Implement,
    PowerNeeds,
    ToolDraft,
    grade_pull,
    hitching,
    power_needs,
    practice_of,
    rolling_resistance,
    speed_range,
    tool_drafts,
    total_terms,
    working_width,
)
from drawbar_service.api.shared.soil import Field, Soil, cone_index, surface_row
from drawbar_service.api.shared.tractor import Tractor, TractorInSI, caution_of_slope, rated_pto_power, tractor_in_si
from drawbar_service.api.v1.match.odds import OddsRequest
from drawbar_service.engine.draft import grade_resistance
from drawbar_service.engine.match import Limits, Strain, Work, strain_by_ratio, strain_on_wheels
from drawbar_service.engine.reach import Reach, reach_by_ratio, reach_on_wheels
from drawbar_service.quantities import Efficiency, Reserve, SlipLimit, Speed
from drawbar_service.reference import PracticeRow, SurfaceRow, drawbar_per_pto

Wanted: TypeAlias = Literal["speed", "width", "depth"]
WantedList = Annotated[list[Wanted], Meta(max_length=3)]


class MatchLimits(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Limits to hold the tractor to."""

    slip: Annotated[SlipLimit | None, Meta(description="Most slip.", examples=["12 %"])] = None
    power_reserve: Annotated[Reserve | None, Meta(description="Share of the rated PTO power to keep in hand.")] = None
    front_share: Annotated[
        Efficiency | None, Meta(description="Least load on the front axle, as a share of the tractor's weight.")
    ] = None


class MatchRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor, an implement, a soil and a field."""

    tractor: Annotated[Tractor, Meta(description="The tractor.")]
    implement: Annotated[Implement, Meta(description="The implement.")]
    soil: Annotated[Soil, Meta(description="The soil.")]
    field: Annotated[Field, Meta(description="The field and how it is worked.")] = msgspec.field(default_factory=Field)
    speed: Annotated[
        Speed | None,
        Meta(description="Wanted ground speed. Leave out for the greatest that fits.", examples=["8 km/h"]),
    ] = None
    limits: Annotated[MatchLimits, Meta(description="Limits to hold the tractor to.")] = msgspec.field(
        default_factory=MatchLimits
    )
    find: Annotated[
        WantedList | None,
        Meta(
            description="What to find the greatest of, everything else as asked. Left out: all three if the match does "
            "not fit, none if it does."
        ),
    ] = None
    odds: Annotated[
        OddsRequest | None,
        Meta(description="Ask for odds; `{}` takes every default. They cost more than the match itself."),
    ] = None


class Case(NamedTuple):
    """A request, resolved into SI units."""

    request: MatchRequest
    surface: SurfaceRow
    drafts: list[ToolDraft]
    tractor: TractorInSI | None
    """None on rubber tracks."""
    tractor_grade_pull: float
    ratio: float
    work: tuple[Work, Work, Work]
    """Central, low and high of the draft table's range."""
    needs: PowerNeeds
    rated: float
    limits: Limits
    usable: float
    width: float
    practice: PracticeRow | None
    speeds: tuple[float, float] | None
    depths: tuple[float, float] | None

    @property
    def strain(self) -> Strain:
        """How far a piece of work exceeds the limits."""
        if self.tractor is not None:
            return strain_on_wheels(self.tractor.engine, self.limits)
        return strain_by_ratio(self.ratio, self.tractor_grade_pull, self.usable)

    def reach(self) -> Reach:
        """Return what the tractor can do within the limits, whatever hangs behind it."""
        if self.tractor is not None:
            return reach_on_wheels(self.tractor.engine, self.limits)
        return reach_by_ratio(self.ratio, self.tractor_grade_pull, self.usable)


def resolve(request: MatchRequest, ledger: Ledger) -> Case:
    """Return the request in SI units; assumptions, warnings and faults go to the ledger."""
    tractor, implement, soil, field = request.tractor, request.implement, request.soil, request.field
    slope = float(field.slope)
    surface = surface_row(soil, ledger)
    drafts = tool_drafts(implement, soil, ledger)
    if not implement.tools and implement.mass is None and not implement.rotary:
        ledger.fault("/implement/tools", "give ground tools, or a mass to roll, or what the PTO drives")
    rolling = rolling_resistance(implement, surface.mobility_number_label, slope, ledger)
    needs = power_needs(
        implement.rotary,
        implement.hydraulic,
        float(implement.electric or 0.0),
        tractor.pump_efficiency,
        tractor.generator_efficiency,
        ledger,
        "/implement",
        "/tractor",
    )
    steady = rolling + grade_pull(implement, slope, ledger)
    rotary = (needs.rotary, needs.rotary_low, needs.rotary_high)
    central, low, high = (
        Work(terms, steady, power + needs.hydraulic + needs.electric)
        for terms, power in zip(total_terms(drafts), rotary, strict=True)
    )
    rated = rated_pto_power(tractor.power, ledger, "/tractor/power")
    reserve = ledger.fallback(request.limits.power_reserve, "/limits/power_reserve", "power_reserve")
    width = working_width(implement, drafts, ledger)
    practice = practice_of(implement, drafts, ledger)
    speeds = speed_range(implement, practice, ledger)
    depths = _depth_range(implement, ledger)
    ratio = drawbar_per_pto(tractor.drive, soil.surface)
    ledger.use("arizona-machinery-management")
    in_si, front_load = None, 1.0
    slip_limit = 1.0
    if tractor.drive == "rubber-track":
        caution_of_slope(slope, ledger)
        ledger.warn(
            "rough-estimate",
            "/tractor/drive",
            "No traction equation for rubber tracks is trustworthy enough: power goes by the published drawbar/PTO "
            "ratio alone, and slip and axle loads are not reckoned.",
        )
    else:
        hitched = hitching(
            implement.hitch, implement.vertical_load, implement.pull_height, tractor, ledger, "/implement"
        )
        in_si = tractor_in_si(tractor, hitched, cone_index(soil, ledger, "/soil"), slope, ledger)
        slip_limit = ledger.fallback(request.limits.slip, "/limits/slip", f"slip_limit_{soil.surface}")
        share = ledger.fallback(request.limits.front_share, "/limits/front_share", "front_share_limit")
        ledger.use("brixius-1987", "zoz-grisso-2003", "asabe-s296")
        if in_si is not None:
            front_load = share * in_si.weight
    ledger.stop_at_faults()
    usable = rated * (1.0 - reserve)
    return Case(
        request=request,
        surface=surface,
        drafts=drafts,
        tractor=in_si,
        tractor_grade_pull=(
            float(in_si.engine.grade_pull)
            if in_si is not None
            else float(grade_resistance(float(tractor.mass), math.sin(math.atan(slope))))
        ),
        ratio=ratio,
        work=(central, low, high),
        needs=needs,
        rated=rated,
        limits=Limits(slip_limit, usable, front_load),
        usable=usable,
        width=width,
        practice=practice,
        speeds=speeds,
        depths=depths,
    )


def _depth_range(implement: Implement, ledger: Ledger) -> tuple[float, float] | None:
    if implement.depth_range is None:
        return None
    low, high = implement.depth_range
    if low > high:
        ledger.fault("/implement/depth_range", "the shallowest depth comes first")
    return float(low), float(high)
