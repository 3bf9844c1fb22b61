"""The implement, as a request describes it and as the engine sees it."""

import math
from collections.abc import Mapping
from functools import partial
from typing import Annotated, Any, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tractor import Hitching, ShortName, Tractor
from drawbar_service.engine.arrays import STANDARD_GRAVITY
from drawbar_service.engine.draft import KM_PER_H, NO_DRAFT, DraftTerms, draft_terms, grade_resistance
from drawbar_service.engine.power import hydraulic_power, input_power, rotary_power
from drawbar_service.engine.traction import BIAS, motion_resistance_ratio
from drawbar_service.quantities import (
    Depth,
    FeedRate,
    Flow,
    HitchHeight,
    MachineLength,
    Mass,
    Multiplier,
    Power,
    Pressure,
    Pull,
    Share,
    Spacing,
    Speed,
    Width,
)
from drawbar_service.reference import (
    PRACTICE,
    ROTARY_FOOTNOTES,
    DraftRow,
    PracticeRow,
    UnknownReference,
    default,
    draft_row,
    practice_row,
    rotary_row,
)

DEEP = 0.30
"""Depth from which a tool may meet what lies buried [m] (common practice, no source)."""
Hitch: TypeAlias = Literal["drawbar", "semi-mounted", "three-point"]
RowId = Annotated[str, Meta(max_length=64)]
Count = Annotated[int, Meta(ge=1, le=400)]
SpeedPair = Annotated[list[Speed], Meta(min_length=2, max_length=2)]
DepthPair = Annotated[list[Depth], Meta(min_length=2, max_length=2)]


class GroundTool(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One kind of ground-engaging tool on an implement."""

    tool: Annotated[
        RowId,
        Meta(
            description="Row of the draft table, see `/v1/reference/draft`.",
            examples=["chisel-plow.twisted-shovel-10cm"],
        ),
    ]
    count: Annotated[Count | None, Meta(description="Number of tools or rows, for tools counted one by one.")] = None
    spacing: Annotated[
        Spacing | None, Meta(description="Between neighbouring tools or rows; count x spacing is the width.")
    ] = None
    width: Annotated[Width | None, Meta(description="Working width, for tools counted in metres.")] = None
    depth: Annotated[
        Depth | None, Meta(description="Working depth, where the draft depends on it.", examples=["22 cm"])
    ] = None


class RotaryNeed(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something driven from the PTO."""

    machine: Annotated[
        RowId, Meta(description="Row of the rotary table, see `/v1/reference/rotary`.", examples=["mower.disk"])
    ]
    width: Annotated[Width | None, Meta(description="Working width, where the power depends on it.")] = None
    feed_rate: Annotated[
        FeedRate | None, Meta(description="Material through the machine, where the power depends on it.")
    ] = None


class HydraulicNeed(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Oil that flows all the time the machine works."""

    name: Annotated[ShortName, Meta(description="Yours to choose.")] = ""
    flow: Annotated[Flow, Meta(description="Flow.", examples=["30 L/min"])]
    pressure: Annotated[Pressure, Meta(description="Pressure drop over the machine.", examples=["120 bar"])]


class Implement(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A machine behind the tractor: a list of ground tools, and what else it needs."""

    name: Annotated[ShortName, Meta(description="Yours to choose; only echoed.")] = ""
    hitch: Annotated[Hitch, Meta(description="How it hangs on the tractor.")]
    tools: Annotated[list[GroundTool], Meta(description="Ground tools; the draft is their sum.", max_length=16)] = []
    width: Annotated[Width | None, Meta(description="Working width, in place of the widest tool's.")] = None
    mass: Annotated[Mass | None, Meta(description="Needed on a slope, and for a machine that only rolls.")] = None
    kind: Annotated[
        RowId | None,
        Meta(
            description="Row of the practice table, `/v1/reference/practice`: gives field efficiency and usual speeds.",
            examples=["chisel-plow"],
        ),
    ] = None
    speed_range: Annotated[
        SpeedPair | None,
        Meta(description="Lowest and highest speed of sound work, in place of the usual ones."),
    ] = None
    depth_range: Annotated[
        DepthPair | None,
        Meta(description="Shallowest and deepest the main tool can be set."),
    ] = None
    draft_multiplier: Annotated[
        Multiplier, Meta(description="Your own knowledge: draft of this machine here over that of the table.")
    ] = msgspec.field(default_factory=partial(Multiplier, 1.0))
    motion_resistance: Annotated[
        Share | None,
        Meta(description="Rolling resistance over weight, for a machine without ground tools."),
    ] = None
    vertical_load: Annotated[
        Pull | None, Meta(description="What the machine always presses on the hitch: the tongue load.")
    ] = None
    pull_height: Annotated[HitchHeight | None, Meta(description="Line of pull above ground at the hitch.")] = None
    rotary: Annotated[list[RotaryNeed], Meta(description="What it takes from the PTO.", max_length=8)] = []
    hydraulic: Annotated[
        list[HydraulicNeed], Meta(description="What it takes in oil, all the time.", max_length=16)
    ] = []
    electric: Annotated[Power | None, Meta(description="Electric power it takes.")] = None


EXAMPLE_IMPLEMENT: Mapping[str, Any] = {
    "hitch": "drawbar",
    "tools": [
        {"tool": "chisel-plow.twisted-shovel-10cm", "count": 11, "spacing": "36 cm", "depth": "18 cm"},
        {"tool": "disk-gang.primary", "width": "3.9 m", "depth": "8 cm"},
    ],
}
"""The implement of the worked examples."""


class ToolDraft(NamedTuple):
    """One ground tool, in SI units."""

    pointer: str
    row: DraftRow
    amount: float
    """Tools, rows or metres."""
    depth: float | None
    width: float | None
    """Working width [m]; None where the request does not say."""
    terms: DraftTerms


class PowerNeeds(NamedTuple):
    """Power besides pulling, at the PTO [W]."""

    rotary: float
    rotary_low: float
    rotary_high: float
    hydraulic: float
    electric: float

    @property
    def total(self) -> float:
        """Sum of the three [W]."""
        return self.rotary + self.hydraulic + self.electric


def tool_drafts(implement: Implement, soil: Soil, ledger: Ledger, pointer: str = "/implement") -> list[ToolDraft]:
    """Return every ground tool with its draft as a function of speed; faults and warnings go to the ledger."""
    drafts: list[ToolDraft] = []
    for index, tool in enumerate(implement.tools):
        place = f"{pointer}/tools/{index}"
        try:
            row = draft_row(tool.tool)
        except UnknownReference as error:
            ledger.unknown(f"{place}/tool", error)
            continue
        ledger.use(row.source)
        amount = _amount(tool, row, ledger, place)
        depth = _depth(tool, row, ledger, place)
        if depth is not None and depth >= DEEP:
            ledger.caution("deep")
        texture: float = getattr(row, soil.texture)
        multiplier = float(implement.draft_multiplier)
        terms = draft_terms(row.A, row.B, row.C, texture * multiplier, amount, depth)
        drafts.append(ToolDraft(place, row, amount, depth, _tool_width(tool), terms))
    return drafts


def _amount(tool: GroundTool, row: DraftRow, ledger: Ledger, place: str) -> float:
    if row.counted_in == "m":
        width = _tool_width(tool)
        if width is None:
            ledger.fault(f"{place}/width", f"required: the draft of {row.id} goes by width")
            return 1.0
        return width
    if tool.count is None:
        ledger.fault(f"{place}/count", f"required: the draft of {row.id} goes by the number of {row.counted_in}s")
        return 1.0
    return float(tool.count)


def _depth(tool: GroundTool, row: DraftRow, ledger: Ledger, place: str) -> float | None:
    if row.depth_counts:
        if tool.depth is None:
            ledger.fault(f"{place}/depth", f"required: the draft of {row.id} goes by depth")
            return 0.1
        return float(tool.depth)
    if tool.depth is not None:
        ledger.warn("not-used", f"{place}/depth", f"The draft of {row.id} does not go by depth.")
    return None


def _tool_width(tool: GroundTool) -> float | None:
    if tool.width is not None:
        return float(tool.width)
    return tool.count * float(tool.spacing) if tool.count is not None and tool.spacing is not None else None


def main_tool(drafts: list[ToolDraft], speed: float = 2.0) -> ToolDraft | None:
    """Return the tool that pulls hardest at `speed` [m/s], None if there is none."""
    return max(drafts, key=lambda draft: float(draft.terms.at(speed)), default=None)


def total_terms(drafts: list[ToolDraft]) -> tuple[DraftTerms, DraftTerms, DraftTerms]:
    """Return the draft of all tools together: central, and at the low and the high end of the table's range."""
    central = low = high = NO_DRAFT
    for draft in drafts:
        central = central.plus(draft.terms)
        low = low.plus(draft.terms, 1.0 - draft.row.range)
        high = high.plus(draft.terms, 1.0 + draft.row.range)
    return central, low, high


def working_width(implement: Implement, drafts: list[ToolDraft], ledger: Ledger, pointer: str = "/implement") -> float:
    """Return the working width [m]: given, or that of the widest tool."""
    if implement.width is not None:
        return float(implement.width)
    widths = [draft.width for draft in drafts if draft.width is not None]
    if len(drafts) < len(implement.tools):
        return 1.0  # a tool could not be read: that fault is told already, and it may be the one that gives the width
    if not widths:
        ledger.fault(f"{pointer}/width", "required here: no tool gives a width, or a count and a spacing")
        return 1.0
    return max(widths)


def practice_of(
    implement: Implement, drafts: list[ToolDraft], ledger: Ledger, pointer: str = "/implement"
) -> PracticeRow | None:
    """Return the practice row of the machine: named, or that of the main tool; None if there is none."""
    if implement.kind is not None:
        try:
            row = practice_row(implement.kind)
        except UnknownReference as error:
            ledger.unknown(f"{pointer}/kind", error)
            return None
        ledger.use(row.source)
        return row
    main = main_tool(drafts)
    row = PRACTICE.rows.get(main.row.practice) if main is not None else None
    if row is not None:
        ledger.assume(f"{pointer}/kind", row.id, "Goes with the tool that pulls hardest.", row.source)
    return row


def speed_range(
    implement: Implement, practice: PracticeRow | None, ledger: Ledger, pointer: str = "/implement"
) -> tuple[float, float] | None:
    """Return lowest and highest speed of sound work [m/s], None if neither request nor table says."""
    if implement.speed_range is not None:
        low, high = implement.speed_range
        if low > high:
            ledger.fault(f"{pointer}/speed_range", "the lowest speed comes first")
        return float(low), float(high)
    if practice is None or practice.speed_low_km_h is None or practice.speed_high_km_h is None:
        return None
    low, high = practice.speed_low_km_h / KM_PER_H, practice.speed_high_km_h / KM_PER_H
    ledger.assume(
        f"{pointer}/speed_range",
        f"{ledger.say(Speed(low))} to {ledger.say(Speed(high))}",
        f"Usual for {practice.machine.lower()}.",
        practice.source,
    )
    return low, high


def hitching(
    hitch: Hitch,
    vertical_load: float | None,
    pull_height: float | None,
    tractor: Tractor,
    ledger: Ledger,
    pointer: str,
) -> Hitching:
    """Return where the implement pulls and presses, in SI units; `pointer` leads to what holds the first three."""
    mounted = hitch == "three-point"
    if pull_height is not None:
        height = float(pull_height)
    elif mounted:
        height = ledger.fallback(None, f"{pointer}/pull_height", "three_point_pull_height", MachineLength)
    else:
        height = ledger.fallback(tractor.drawbar_height, "/tractor/drawbar_height", "drawbar_height", MachineLength)
    vertical, share = float(vertical_load or 0.0), 0.0
    if vertical_load is None and hitch != "drawbar":
        row = default("three_point_vertical_share" if mounted else "semi_mounted_vertical_share")
        share = row.value
        ledger.assume(f"{pointer}/vertical_load", f"{100 * share:.3g} % of the pull", row.why, row.source)
    distance = 0.0  # matters only where something presses on the hitch
    if vertical or share:
        row_id = "three_point_hitch_distance" if mounted else "hitch_distance"
        distance = ledger.fallback(tractor.hitch_distance, "/tractor/hitch_distance", row_id, MachineLength)
    return Hitching(height, distance, vertical, share)


def rolling_resistance(
    implement: Implement, mobility_label: float, slope: float, ledger: Ledger, pointer: str = "/implement"
) -> float:
    """Return the pull [N] of a machine without ground tools: its wheels only.

    Where the request gives no ratio, that of a towed bias tire at the mobility number typical of the
    surface is taken: 1/Bn + 0.04 (Brixius 1987).
    """
    if implement.tools:
        if implement.motion_resistance is not None:
            ledger.warn(
                "not-used",
                f"{pointer}/motion_resistance",
                "The draft of ground tools includes rolling on level ground.",
            )
        return 0.0
    if implement.mass is None:
        ledger.fault(f"{pointer}/mass", "required for a machine without ground tools: its wheels are what is pulled")
        return 0.0
    if implement.motion_resistance is not None:
        ratio = float(implement.motion_resistance)
    else:
        ratio = float(motion_resistance_ratio(mobility_label, 0.0, BIAS))
        ledger.assume(
            f"{pointer}/motion_resistance",
            Share(ratio),
            "A towed tire at the mobility number typical of the surface.",
            "brixius-1987",
        )
    on_wheels = float(implement.mass) * STANDARD_GRAVITY * math.cos(math.atan(slope))
    on_hitch = float(implement.vertical_load) if implement.vertical_load is not None else 0.0
    return ratio * max(on_wheels - on_hitch, 0.0)


def grade_pull(implement: Implement, slope: float, ledger: Ledger, pointer: str = "/implement") -> float:
    """Return the pull [N] of the implement's own weight along the slope."""
    if not slope:
        return 0.0
    if implement.mass is None:
        ledger.warn(
            "rough-estimate",
            f"{pointer}/mass",
            "Without its mass, the implement's own weight on the slope is left out.",
        )
        return 0.0
    return float(grade_resistance(float(implement.mass), math.sin(math.atan(slope))))


def rotary_needs(needs: list[RotaryNeed], ledger: Ledger, pointer: str) -> list[tuple[float, float]]:
    """Return power at the PTO [W] and its range [1] for each machine driven from it."""
    powers: list[tuple[float, float]] = []
    for index, need in enumerate(needs):
        place = f"{pointer}/{index}"
        try:
            row = rotary_row(need.machine)
        except UnknownReference as error:
            ledger.unknown(f"{place}/machine", error)
            continue
        ledger.use(row.source)
        for name, coefficient in (("width", row.b_kW_per_m), ("feed_rate", row.c_kWh_per_t)):
            given = getattr(need, name) is not None
            if coefficient and not given:
                ledger.fault(f"{place}/{name}", f"required: the power of {row.id} goes by {name.replace('_', ' ')}")
            elif given and not coefficient:
                ledger.warn("not-used", f"{place}/{name}", f"The power of {row.id} does not go by it.")
        for note in filter(None, (row.note, ROTARY_FOOTNOTES.rows[row.footnote].text if row.footnote else "")):
            ledger.warn("rough-estimate", f"{place}/machine", note)
        power = rotary_power(
            1e3 * row.a_kW,
            1e3 * row.b_kW_per_m,
            3.6e3 * row.c_kWh_per_t,
            float(need.width or 0.0),
            float(need.feed_rate or 0.0),
        )
        powers.append((float(power), row.range))
    return powers


def hydraulic_needs(needs: list[HydraulicNeed]) -> list[float]:
    """Return the fluid power [W] of each hydraulic function."""
    return [float(hydraulic_power(float(need.flow), float(need.pressure))) for need in needs]


def power_needs(
    rotary: list[RotaryNeed],
    hydraulic: list[HydraulicNeed],
    electric: float,
    pump_efficiency: float | None,
    generator_efficiency: float | None,
    ledger: Ledger,
    needs_at: str,
    efficiencies_at: str,
) -> PowerNeeds:
    """Return what is needed besides pulling, brought to the PTO.

    `needs_at` and `efficiencies_at` point to where the request holds the needs and the efficiencies.
    """
    rotaries = rotary_needs(rotary, ledger, f"{needs_at}/rotary")
    if rotary:
        ledger.caution("pto")
    fluid = sum(hydraulic_needs(hydraulic))
    at_pump = (
        input_power(fluid, ledger.fallback(pump_efficiency, f"{efficiencies_at}/pump_efficiency", "pump_efficiency"))
        if fluid
        else 0.0
    )
    at_generator = (
        input_power(
            electric,
            ledger.fallback(generator_efficiency, f"{efficiencies_at}/generator_efficiency", "generator_efficiency"),
        )
        if electric
        else 0.0
    )
    return PowerNeeds(
        sum(power for power, _ in rotaries),
        sum(power * (1.0 - spread) for power, spread in rotaries),
        sum(power * (1.0 + spread) for power, spread in rotaries),
        float(at_pump),
        float(at_generator),
    )
