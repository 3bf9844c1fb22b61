"""The implement, as a request describes it."""

from collections.abc import Mapping
from functools import partial
from typing import Annotated, Any, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.tractor import ShortName
from drawbar_service.quantities import (
    Depth,
    DraftOfTool,
    DraftOfWidth,
    FeedRate,
    Flow,
    HitchHeight,
    Length,
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

Hitch: TypeAlias = Literal["drawbar", "semi-mounted", "three-point"]
RowId = Annotated[str, Meta(max_length=64)]
Count = Annotated[int, Meta(ge=1, le=400)]
SpeedPair = Annotated[list[Speed], Meta(min_length=2, max_length=2)]
CENTER_OF_MASS = "Of a mounted machine, behind the lower link ends."
HITCH_SHARE = "Share of its weight on the hitch at work; its wheels and tools carry the rest."
VERTICAL_LOAD = "Its weight on the hitch at work, in place of a share of the mass: tongue load."
VERTICAL_SHARE = "What else presses on the hitch, over the pull: soil forces, a falling line of pull."
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
        Spacing | None, Meta(description="Between neighboring tools or rows; count x spacing is the width.")
    ] = None
    width: Annotated[Width | None, Meta(description="Working width, for tools counted in meters.")] = None
    depth: Annotated[
        Depth | None, Meta(description="Working depth, where the draft depends on it.", examples=["22 cm"])
    ] = None
    draft_per_width: Annotated[
        DraftOfWidth | None,
        Meta(
            description=(
                "Published or measured draft for each meter of width, in place of the table's; `tool` then gives how "
                "it is counted, usual speeds and range."
            ),
            examples=["3.5 kN/m"],
        ),
    ] = None
    draft_per_tool: Annotated[
        DraftOfTool | None,
        Meta(description="The same for each tool or row; one of the two.", examples=["1.8 kN"]),
    ] = None
    draft_speed: Annotated[
        Speed | None,
        Meta(
            description="Speed at which that draft was measured: at others it changes as A, B and C of the row say. "
            "Left out: it is the same at any speed.",
            examples=["7 km/h"],
        ),
    ] = None
    draft_range: Annotated[
        Share | None,
        Meta(
            description="Range of the draft to either side in which 9 in 10 lie, in place of the row's.",
            examples=["25 %"],
        ),
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


class WheelTracks(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tools that run in the wheel tracks of the tractor, where draft is higher; `{}` takes every default."""

    share: Annotated[
        Share | None,
        Meta(description="Share of the tools in tracks. Left out: the width of the tires over the working width."),
    ] = None
    factor: Annotated[
        Multiplier | None, Meta(description="Draft of a tool in a track over that of one beside it.", examples=[2.0])
    ] = None


class Implement(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A machine behind the tractor: a list of ground tools, and what else it needs."""

    name: Annotated[ShortName, Meta(description="Yours to choose; only echoed.")] = ""
    hitch: Annotated[Hitch, Meta(description="How it hangs on the tractor.")]
    tools: Annotated[list[GroundTool], Meta(description="Ground tools; the draft is their sum.", max_length=16)] = []
    width: Annotated[Width | None, Meta(description="Working width, in place of the widest tool's.")] = None
    mass: Annotated[
        Mass | None,
        Meta(description="Some of its weight is on the hitch. Needed on a slope, and for a machine that only rolls."),
    ] = None
    practice: Annotated[
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
    wheel_tracks: Annotated[
        WheelTracks | None,
        Meta(description="Ask for the draft of tools in wheel tracks. Left out: no tool is taken to run in one."),
    ] = None
    motion_resistance_ratio: Annotated[
        Share | None,
        Meta(description="Rolling resistance over weight, for a machine without ground tools."),
    ] = None
    center_of_mass: Annotated[Length | None, Meta(description=CENTER_OF_MASS)] = None
    hitch_share: Annotated[Share | None, Meta(description=HITCH_SHARE)] = None
    vertical_load: Annotated[Pull | None, Meta(description=VERTICAL_LOAD)] = None
    vertical_share: Annotated[Share | None, Meta(description=VERTICAL_SHARE)] = None
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
