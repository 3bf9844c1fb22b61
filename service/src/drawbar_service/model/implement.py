"""The implement: its ground tools and their draft, its width, and what else it takes from the tractor."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import (
    STANDARD_GRAVITY,
    Real,
    choose,
    greatest_at,
    larger,
    opposite,
)
from drawbar_service.engine.axle_loads import grade
from drawbar_service.engine.draft import KM_PER_H, NO_DRAFT, DraftTerms, draft_terms, grade_resistance
from drawbar_service.engine.odds import END_SCORE, end_factors, log_sigma, together
from drawbar_service.engine.power import hydraulic_power, input_power, rotary_power
from drawbar_service.engine.traction import BIAS, motion_resistance_ratio
from drawbar_service.model.findings import Findings
from drawbar_service.model.hitching import standing_load
from drawbar_service.model.moisture import times_wider
from drawbar_service.model.nouns import GroundTool, HydraulicNeed, Implement, RotaryNeed, Soil, Tractor
from drawbar_service.model.span import Span
from drawbar_service.model.wheel_tracks import track_factor
from drawbar_service.reference import (
    DRAFT,
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
from drawbar_service.rows import picked

DEEP = 0.30
"""Depth from which a tool may meet what lies buried [m] (common practice, no source)."""
PRIMARY_RANGE = 0.40
"""Range from which a row of the draft table is one of primary tillage [1]; those of other tillage are narrower."""
USUAL_SPEED = 2.0
"""Speed [m/s] at which a match asks which tool pulls hardest, to know what kind of machine it is."""


class ToolDraft(NamedTuple):
    """One ground tool."""

    pointer: str
    row: DraftRow
    amount: Real
    """Tools, rows [1] or metres [m]."""
    depth: Real | None
    """[m]; None for a tool whose draft does not depend on it."""
    width: Real | None
    """Working width [m]; None where it is not given."""
    terms: DraftTerms
    range: Real | None = None
    """Range to either side in which 9 in 10 lie, where the request gives one [1]."""
    wider: Real = 1.0
    """Times the spread, for the moisture of the soil [1]."""

    def sigma(self, deviations: Real) -> Real:
        """Return the standard deviation of the logarithm of its draft [1].

        That of its own range where the request gives one, else as :func:`draft_sigma`; wider in soil of a moisture that
        no published figure covers.
        """
        if self.range is not None:
            return self.wider * log_sigma(self.range, END_SCORE)
        return self.wider * draft_sigma(self.row, deviations)

    def at(self, speed: Real) -> Span[Real]:
        """Return its draft at a `speed` [m/s] with the ends of its range [N]."""
        draft = self.terms.at(speed)
        less, more = end_factors(self.sigma(default("range_deviations").value))
        return Span(draft, less * draft, more * draft)


class PowerNeeds(NamedTuple):
    """Power besides pulling, at the PTO [W]."""

    rotary: Real
    rotary_low: Real
    rotary_high: Real
    hydraulic: Real
    electric: Real

    @property
    def total(self) -> Real:
        """Sum of the three [W]."""
        return self.rotary + self.hydraulic + self.electric


def tool_drafts(
    implement: Implement, soil: Soil, found: Findings, tractor: Tractor | None = None, pointer: str = "/implement"
) -> list[ToolDraft]:
    """Return every ground tool with its draft as a function of speed; `tractor` is what makes wheel tracks."""
    drafts: list[ToolDraft] = []
    wider = times_wider(soil, found) if implement.tools else 1.0
    for index, tool in enumerate(implement.tools):
        place = f"{pointer}/tools/{index}"
        try:
            row = draft_row(tool.tool)
        except UnknownReference as error:
            found.unknown(f"{place}/tool", error)
            continue
        amount = _amount(tool, row, found, place)
        own = _own_draft(tool, row, found, place)
        if own is None:
            found.use(row.source)
            depth = _depth(tool, row, found, place)
            factor = texture_factor(row, soil.texture) * implement.draft_multiplier
            terms = draft_terms(row.A, row.B, row.C, factor, amount, depth)
        else:
            depth, terms = None, _measured_terms(own, tool, row, found, place).times(implement.draft_multiplier)
        set_to = depth if own is None else tool.depth
        if set_to is not None:
            found.caution("deep", where=set_to >= DEEP)
        drafts.append(ToolDraft(place, row, amount, depth, _tool_width(tool), terms, tool.draft_range, wider))
    if implement.wheel_tracks is None:
        return drafts
    width = implement.width if implement.width is not None else widest(drafts)
    factor = track_factor(implement, width, tractor, found, pointer)
    return [draft._replace(terms=draft.terms.times(factor)) for draft in drafts]


def _own_draft(tool: GroundTool, row: DraftRow, found: Findings, place: str) -> Real | None:
    """Return the draft [N] that the request gives in place of the table's, None if it gives none."""
    per_width, per_tool = tool.draft_per_width, tool.draft_per_tool
    if per_width is None and per_tool is None:
        if tool.draft_speed is not None:
            found.warn("speed-without-draft", f"{place}/draft_speed")
        return None
    if per_width is not None and per_tool is not None:
        found.fault("unit-draft-once", f"{place}/draft_per_tool")
        return per_tool
    if per_width is not None:
        found.warn("own-draft", f"{place}/draft_per_width", where=tool.draft_speed is None)
        found.instead(f"{place}/draft_per_width")
        width = _tool_width(tool)
        if width is None:
            found.fault("draft-needs-width", f"{place}/width", row=row.id)
            return 0.0
        return per_width * width
    assert per_tool is not None  # one of the two is given
    found.warn("own-draft", f"{place}/draft_per_tool", where=tool.draft_speed is None)
    found.instead(f"{place}/draft_per_tool")
    if tool.count is None:
        found.fault("draft-needs-count", f"{place}/count", row=row.id, counted_in="tool")
        return 0.0
    return per_tool * as_real(tool.count)


def _measured_terms(draft: Real, tool: GroundTool, row: DraftRow, found: Findings, place: str) -> DraftTerms:
    """Return a measured `draft` [N] by speed: as the row of the tool says where its speed is known, else the same."""
    if tool.draft_speed is None:
        return DraftTerms(draft, 0.0, 0.0)
    found.use(row.source)
    law = draft_terms(row.A, row.B, row.C, 1.0, 1.0, None)
    return law.times(draft / law.at(tool.draft_speed))


def texture_factor(row: DraftRow, texture: str) -> Real:
    """Return F [1] of a ground tool in a soil `texture`: fine, medium or coarse."""
    return picked(texture, {"fine": row.fine, "medium": row.medium, "coarse": row.coarse})


def _amount(tool: GroundTool, row: DraftRow, found: Findings, place: str) -> Real:
    by_width, width = row.counted_in == "m", _tool_width(tool)
    if width is not None and tool.count is not None:
        return choose(by_width, width, as_real(tool.count))
    if by_width:
        if width is None:
            found.fault("draft-needs-width", f"{place}/width", row=row.id)
            return 1.0
        return width
    if tool.count is None:
        found.fault("draft-needs-count", f"{place}/count", row=row.id, counted_in=row.counted_in)
        return 1.0
    return as_real(tool.count)


def as_real(count: Real) -> Real:
    """Return a whole number as a float, or as it is where there is one for each row."""
    return count if isinstance(count, np.ndarray) else float(count)


def _depth(tool: GroundTool, row: DraftRow, found: Findings, place: str) -> Real | None:
    if row.depth_counts:
        if tool.depth is None:
            found.fault("draft-needs-depth", f"{place}/depth", row=row.id)
            return 0.1
        return tool.depth
    if tool.depth is not None:
        found.warn("draft-without-depth", f"{place}/depth", row=row.id)
    return None


def _tool_width(tool: GroundTool) -> Real | None:
    if tool.width is not None:
        return tool.width
    return tool.count * tool.spacing if tool.count is not None and tool.spacing is not None else None


def main_tool(drafts: Sequence[ToolDraft], speed: Real = USUAL_SPEED) -> ToolDraft | None:
    """Return the tool that pulls hardest at `speed` [m/s], None if there is none.

    Raises
    ------
    RowsDiffer
        If it is another one in some rows.
    """
    if not drafts:
        return None
    which = hardest(drafts, speed)
    return drafts[int(which)]


def hardest(drafts: Sequence[ToolDraft], speed: Real) -> Real:
    """Return the place of the tool that pulls hardest at `speed` [m/s], of the first of them where several do."""
    return greatest_at([draft.terms.at(speed) for draft in drafts])[0]


def picked_of(which: Real, values: Sequence[Real]) -> Real:
    """Return the one of `values` at the place that `which` says [1]."""
    if isinstance(which, float):
        return values[int(which)]
    chosen = values[0]
    for at, value in enumerate(values[1:], 1):
        chosen = choose(which == float(at), value, chosen)
    return chosen


def deep_tools(drafts: Sequence[ToolDraft]) -> list[ToolDraft]:
    """Return the tools whose draft depends on depth."""
    return [draft for draft in drafts if draft.depth is not None]


def main_depth(drafts: Sequence[ToolDraft], speed: Real) -> Real | None:
    """Return the depth [m] of the tool that pulls hardest at `speed` [m/s] of those whose draft depends on it."""
    depths = [draft.depth for draft in drafts if draft.depth is not None]
    return picked_of(hardest(deep_tools(drafts), speed), depths) if depths else None


def draft_sigma(row: DraftRow, deviations: Real) -> Real:
    """Return the standard deviation of the logarithm of the draft of a ground tool [1].

    Two independent parts: the range of the table, which stands for so many `deviations` [1], and what lies beyond it,
    between a table and a given field: soil, depth and adjustment as they really are, and one publication and the next.
    The second is fitted to published power and fuel of field operations, one figure each for primary tillage, whose
    range in the table is wide already, for other tillage, and for light tillage and seeding, without depth. A range
    that a request gives for a row of the table moves the first part alone.
    """
    if row.group != "major-tillage":
        beyond = "draft_spread_light"
    else:
        printed = DRAFT.rows.get(row.id, row)
        beyond = "draft_spread_primary" if printed.range >= PRIMARY_RANGE else "draft_spread_secondary"
    return together(log_sigma(row.range, deviations), default(beyond).value)


def draft_span(drafts: Sequence[ToolDraft], *, ends: bool = True) -> Span[DraftTerms]:
    """Return the draft of all tools together, with the low and high ends of its range where they are asked.

    The ends are those of :func:`draft_sigma`; all tools stand at the same end, for soil and depth are common to them.
    """
    central = low = high = NO_DRAFT
    for draft in drafts:
        central = central.plus(draft.terms)
    if not ends:
        return Span(central)
    deviations = default("range_deviations").value
    for draft in drafts:
        less, more = end_factors(draft.sigma(deviations))
        low = low.plus(draft.terms, less)
        high = high.plus(draft.terms, more)
    return Span(central, low, high)


def working_width(
    implement: Implement, drafts: Sequence[ToolDraft], found: Findings, pointer: str = "/implement"
) -> Real:
    """Return the working width [m]: given, or that of the widest tool."""
    if implement.width is not None:
        return implement.width
    if len(drafts) < len(implement.tools):
        return 1.0  # a tool could not be read: that fault is noted already, and it may be the one that gives the width
    width = widest(drafts)
    if width is None:
        found.fault("no-width", f"{pointer}/width")
        return 1.0
    return width


def widest(drafts: Sequence[ToolDraft]) -> Real | None:
    """Return the width [m] of the widest tool, None if no width is given."""
    width: Real | None = None
    for draft in drafts:
        if draft.width is not None:
            width = draft.width if width is None else larger(width, draft.width)
    return width


def practice_of(
    implement: Implement, drafts: Sequence[ToolDraft], found: Findings, pointer: str = "/implement"
) -> PracticeRow | None:
    """Return the practice row of the machine: named, or that of the main tool; None if there is none."""
    if implement.practice is not None:
        try:
            row = practice_row(implement.practice)
        except UnknownReference as error:
            found.unknown(f"{pointer}/practice", error)
            return None
        found.use(row.source)
        return row
    main = main_tool(drafts)
    if main is None or not main.row.practice:
        return None
    row = PRACTICE.row(main.row.practice)
    found.assume("practice-of-tool", f"{pointer}/practice", row.id, row.source)
    return row


def speed_range(
    implement: Implement, practice: PracticeRow | None, found: Findings, pointer: str = "/implement"
) -> tuple[Real, Real] | None:
    """Return lowest and highest speed of sound work [m/s], None if neither request nor table says."""
    if implement.speed_range is not None:
        low, high = implement.speed_range
        if low > high:
            found.fault("speed-range-order", f"{pointer}/speed_range")
        return low, high
    if practice is None or practice.speed_low_km_h is None or practice.speed_high_km_h is None:
        return None
    low, high = practice.speed_low_km_h / KM_PER_H, practice.speed_high_km_h / KM_PER_H
    found.assume("usual-speeds", f"{pointer}/speed_range", low, practice.source, high=high, machine=practice.machine)
    return low, high


def depth_range(implement: Implement, found: Findings, pointer: str = "/implement") -> tuple[Real, Real] | None:
    """Return shallowest and deepest the main tool can be set [m], None if the request does not say."""
    if implement.depth_range is None:
        return None
    low, high = implement.depth_range
    if low > high:
        found.fault("depth-range-order", f"{pointer}/depth_range")
    return low, high


def rolling_resistance(
    implement: Implement, mobility_label: Real, slope: Real, found: Findings, pointer: str = "/implement"
) -> Real:
    """Return the pull [N] of a machine without ground tools: its wheels only, with what the hitch does not carry.

    Where the request gives no ratio, that of a towed bias tire at the mobility number typical of the
    surface is taken: 1/Bn + 0.04 (Brixius 1987).
    """
    if implement.tools:
        if implement.motion_resistance_ratio is not None:
            found.warn("rolling-in-draft", f"{pointer}/motion_resistance_ratio")
        return 0.0
    if implement.mass is None:
        found.fault("rolling-needs-mass", f"{pointer}/mass")
        return 0.0
    if implement.motion_resistance_ratio is not None:
        ratio: Real = implement.motion_resistance_ratio
    else:
        ratio = motion_resistance_ratio(mobility_label, 0.0, BIAS)
        found.assume("towed-tire", f"{pointer}/motion_resistance_ratio", ratio, "brixius-1987")
    on_wheels = implement.mass * STANDARD_GRAVITY - standing_load(implement, in_ground=False)
    return ratio * larger(on_wheels, 0.0) * grade(slope)[1]


def grade_pull(implement: Implement, slope: Real, found: Findings, pointer: str = "/implement") -> Real:
    """Return the pull [N] of the implement's own weight along the slope."""
    sloping = opposite(slope == 0.0)
    if implement.mass is None:
        found.warn("mass-on-slope", f"{pointer}/mass", where=sloping)
        return 0.0
    return grade_resistance(implement.mass, grade(slope)[0])


def rotary_needs(needs: Sequence[RotaryNeed], found: Findings, pointer: str) -> list[tuple[Real, Real]]:
    """Return power at the PTO [W] and its range [1] for each machine driven from it."""
    powers: list[tuple[Real, Real]] = []
    for index, need in enumerate(needs):
        place = f"{pointer}/{index}"
        try:
            row = rotary_row(need.machine)
        except UnknownReference as error:
            found.unknown(f"{place}/machine", error)
            continue
        found.use(row.source)
        for name, coefficient in (("width", row.b_kW_per_m), ("feed_rate", row.c_kWh_per_t)):
            given = getattr(need, name) is not None
            if not given and coefficient != 0.0:
                found.fault("power-needs", f"{place}/{name}", row=row.id, what=name.replace("_", " "))
            elif given:
                found.warn("power-without", f"{place}/{name}", where=coefficient == 0.0, row=row.id)
        for note in filter(None, (row.note, ROTARY_FOOTNOTES.row(row.footnote).text if row.footnote else "")):
            found.warn("rotary-note", f"{place}/machine", note=note)
        power = rotary_power(
            1e3 * row.a_kW,
            1e3 * row.b_kW_per_m,
            3.6e3 * row.c_kWh_per_t,
            0.0 if need.width is None else need.width,
            0.0 if need.feed_rate is None else need.feed_rate,
        )
        powers.append((power, row.range))
    return powers


def hydraulic_needs(needs: Sequence[HydraulicNeed]) -> list[Real]:
    """Return the fluid power [W] of each hydraulic function."""
    return [hydraulic_power(need.flow, need.pressure) for need in needs]


def power_needs(
    rotary: Sequence[RotaryNeed],
    hydraulic: Sequence[HydraulicNeed],
    electric: Real,
    pump_efficiency: float | None,
    generator_efficiency: float | None,
    found: Findings,
    needs_at: str,
    efficiencies_at: str,
) -> PowerNeeds:
    """Return what is needed besides pulling, brought to the PTO.

    `needs_at` and `efficiencies_at` point to where the request holds the needs and the efficiencies.
    """
    rotaries = rotary_needs(rotary, found, f"{needs_at}/rotary")
    if rotary:
        found.caution("pto")
    fluid = sum(hydraulic_needs(hydraulic), start=0.0)
    at_pump = at_generator = 0.0
    if fluid != 0.0:
        efficiency = found.fallback(pump_efficiency, f"{efficiencies_at}/pump_efficiency", "pump_efficiency")
        at_pump = input_power(fluid, efficiency)
    if electric != 0.0:
        efficiency = found.fallback(
            generator_efficiency, f"{efficiencies_at}/generator_efficiency", "generator_efficiency"
        )
        at_generator = input_power(electric, efficiency)
    return PowerNeeds(
        sum((power for power, _ in rotaries), start=0.0),
        sum((power * (1.0 - spread) for power, spread in rotaries), start=0.0),
        sum((power * (1.0 + spread) for power, spread in rotaries), start=0.0),
        at_pump,
        at_generator,
    )
