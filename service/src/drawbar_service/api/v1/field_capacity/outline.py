"""A field as a polygon: its passes, headland and turns, and the field efficiency that follows."""

import math
from functools import partial
from typing import TYPE_CHECKING, Annotated, Literal, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import MAX_FAULTS
from drawbar_service.api.shared.field import Turn
from drawbar_service.engine.capacity import headland_width, turn_reach
from drawbar_service.model.field import HeadlandTurn, headland_turn
from drawbar_service.quantities import Angle, Area, Length, Overlap, Share, ShortTime, Time
from drawbar_service.reference import default

if TYPE_CHECKING:
    from drawbar_service.geometry.outline import Outline
    from drawbar_service.geometry.plan import Plan

Coordinate = Annotated[float, Meta(ge=-1e8, le=1e8)]
Position = Annotated[list[Coordinate], Meta(min_length=2, max_length=3)]
Ring = Annotated[list[Position], Meta(max_length=2_000)]
Track: TypeAlias = Literal["headland", "pass"]

MOST_LAPS = 15
"""Most laps of a headland."""
Laps = Annotated[int, Meta(ge=0, le=MOST_LAPS)]
_NARROW = 0.01
"""Part of a field in places too narrow to work that is worth a warning [1]."""
_DECIMALS = 8
"""Decimals of a longitude or latitude in a plan: a millimeter."""


class OutlinePolygon(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A GeoJSON polygon (RFC 7946) in WGS 84."""

    type: Annotated[Literal["Polygon"], Meta(description="Kind of geometry.")]
    coordinates: Annotated[
        list[Ring],
        Meta(
            min_length=1,
            max_length=100,
            description=(
                "Rings: the outside, then any holes; up to 2,000 positions in all, 0.01 to 5,000 ha. A position is "
                "[longitude, latitude] in degrees. Each ring ends where it starts and crosses nothing."
            ),
        ),
    ]


class FieldOutline(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A field as a polygon and how it is worked. Give one of `headland_passes` and `headland_width`, or none."""

    polygon: Annotated[OutlinePolygon, Meta(description="Outside of the field, and holes in it.")]
    turn: Annotated[Turn, Meta(description="One headland turn.")]
    headland_passes: Annotated[
        Laps | None,
        Meta(description="Laps round the field and its holes; 0 if turns are made outside it."),
    ] = None
    headland_width: Annotated[
        Length | None, Meta(description="Width of the headland, worked in as many laps as that takes.")
    ] = None
    direction: Annotated[
        Angle | None,
        Meta(description="Bearing of the passes, east of north. Left out: that of least time.", examples=["15 deg"]),
    ] = None
    overlap: Annotated[Overlap, Meta(description="Share of the working width that is worked twice.")] = msgspec.field(
        default_factory=partial(Overlap, 0.0)
    )
    stops: Annotated[ShortTime, Meta(description="All stops in this field: filling, clearing, adjusting.")] = (
        msgspec.field(default_factory=partial(ShortTime, 0.0))
    )
    plan: Annotated[bool, Meta(description="Whether to answer with every lap and pass as GeoJSON.")] = False


class PlanLine(msgspec.Struct, frozen=True, kw_only=True):
    """Where the middle of the machine goes."""

    type: Annotated[Literal["LineString"], Meta(description="Kind of geometry.")]
    coordinates: Annotated[
        list[list[float]],
        Meta(description="Positions [longitude, latitude] in degrees, WGS 84, in the order of travel."),
    ]


class PlanProperties(msgspec.Struct, frozen=True, kw_only=True):
    """What a line of a plan is; plain values, for programs that draw maps."""

    part: Annotated[Track, Meta(description="Lap of the headland, or pass.")]
    number: Annotated[
        int, Meta(description="Order among the laps, from the edge inwards, or among the passes; from 1.")
    ]
    block: Annotated[
        int,
        Meta(description="Which lap, or which block of passes that are worked up and down without a break; from 1."),
    ]
    length: Annotated[float, Meta(description="Length in meters, whatever units are asked for.")]


class PlanFeature(msgspec.Struct, frozen=True, kw_only=True):
    """One lap or pass."""

    type: Annotated[Literal["Feature"], Meta(description="Kind of GeoJSON object.")]
    geometry: Annotated[PlanLine, Meta(description="The line.")]
    properties: Annotated[PlanProperties, Meta(description="What it is.")]


class FieldPlan(msgspec.Struct, frozen=True, kw_only=True):
    """A GeoJSON feature collection (RFC 7946): laps of the headland, then passes in the order of work."""

    type: Annotated[Literal["FeatureCollection"], Meta(description="Kind of GeoJSON object.")]
    features: Annotated[list[PlanFeature], Meta(description="Laps and passes.")]


class OutlineAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How a field is worked and how time goes."""

    area: Annotated[Area, Meta(description="Area of the field.")]
    headland_area: Annotated[Area, Meta(description="Of it worked in laps.")]
    missed_area: Annotated[Area, Meta(description="Of it in places too narrow for a lap: not worked.")]
    headland_passes: Annotated[int, Meta(description="Laps round the field.")]
    direction: Annotated[
        Angle | None, Meta(description="Bearing of the passes, east of north, below 180 deg; null if there are none.")
    ]
    passes: Annotated[int, Meta(description="Number of passes.")]
    mean_pass: Annotated[Length | None, Meta(description="Mean length of a pass; null if there are none.")]
    shortest_pass: Annotated[Length | None, Meta(description="Shortest pass.")]
    longest_pass: Annotated[Length | None, Meta(description="Longest pass.")]
    turns: Annotated[int, Meta(description="Number of turns: from pass to pass, and on to each lap.")]
    turn_length: Annotated[Length | None, Meta(description="Path of one turn, if it follows from a radius.")]
    turn_time: Annotated[ShortTime, Meta(description="Time of one turn.")]
    working: Annotated[Time, Meta(description="At work along the passes.")]
    headland: Annotated[Time, Meta(description="At work along the laps of the headland.")]
    turning: Annotated[Time, Meta(description="In turns.")]
    between: Annotated[
        Time, Meta(description="On the way between passes that do not end abreast, and round holes and corners.")
    ]
    stopped: Annotated[Time, Meta(description="Standing.")]
    total: Annotated[Time, Meta(description="In the field.")]
    plan: Annotated[FieldPlan | None, Meta(description="Every lap and pass, if asked for.")]


def outline_answer(
    outline: FieldOutline, width: float, speed: float, ledger: Ledger, pointer: str
) -> tuple[Share, OutlineAnswer]:
    """Return field efficiency and plan of a field.

    Parameters
    ----------
    outline : FieldOutline
        The field and how it is worked.
    width, speed : float
        Working width [m] and ground speed [m/s].
    ledger : Ledger
        Notes assumptions, warnings and faults.
    pointer : str
        Leads to `outline` in the request.

    Raises
    ------
    ImpossibleInput
        If the polygon is none, or the field cannot be worked so.
    """
    # PROJ takes a tenth of a second to load; only who gives an outline waits for it.
    from drawbar_service.geometry.plan import Machine, field_plan  # noqa: PLC0415

    turn = headland_turn(outline.turn, width, outline.overlap, speed, ledger, f"{pointer}/turn")
    field = _field(outline.polygon, ledger, f"{pointer}/polygon/coordinates")
    if turn is None or field is None:
        ledger.stop_at_faults()
    assert turn is not None
    assert field is not None
    spacing = width * (1.0 - float(outline.overlap))
    laps = _laps(outline, width, spacing, ledger, pointer)
    _check_size(field, outline, spacing, ledger)
    ledger.stop_at_faults()
    direction = float(outline.direction) % math.pi if outline.direction is not None else None
    plan = field_plan(field.polygon, Machine(width, spacing, speed, float(turn.time)), laps, direction)
    if not plan.total > 0.0:
        ledger.fault("no-room-for-a-lap", f"{pointer}/headland_passes", width=width)
    ledger.stop_at_faults()
    if plan.area - plan.worked > _NARROW * plan.area:
        ledger.warn("too-narrow-for-a-lap", f"{pointer}/polygon", area=plan.area - plan.worked)
    stops = float(outline.stops)
    efficiency = min(plan.worked / (width * speed * (plan.total + stops)), 1.0)
    return Share(efficiency), _answer(plan, field, turn, stops, outline.plan)


def _field(polygon: OutlinePolygon, ledger: Ledger, pointer: str) -> "Outline | None":
    """Return the field on its plane; None, with every flaw noted as a fault, if the rings make none."""
    from drawbar_service.geometry import outline  # noqa: PLC0415 - as in outline_answer

    rings = [np.array([position[:2] for position in ring], dtype=float).reshape(-1, 2) for ring in polygon.coordinates]
    found = outline.read(rings)
    if isinstance(found, outline.Outline):
        return found
    for flaw in found[:MAX_FAULTS]:
        ledger.fault("flaw-of-outline", "/".join((pointer, *map(str, flaw.place))), detail=flaw.detail)
    return None


def _laps(outline: FieldOutline, width: float, spacing: float, ledger: Ledger, pointer: str) -> int:
    """Return the number of laps of the headland: as given, as turns need, or as is usual."""
    if outline.headland_passes is not None and outline.headland_width is not None:
        ledger.fault("headland-once", f"{pointer}/headland_width")
    turn = outline.turn
    needed = None
    if turn.radius is not None:
        radius = float(turn.radius)
        reach = radius if turn.reversing else float(turn_reach(radius, spacing))
        needed = float(headland_width(reach, float(turn.tongue_length or 0.0), width))
    if outline.headland_passes is not None or outline.headland_width is not None:
        laps = _whole(float(outline.headland_width or 0.0) / spacing)
        laps = outline.headland_passes if outline.headland_passes is not None else laps
        if needed is not None and 0 < laps < _whole(needed / spacing):
            ledger.warn("narrow-headland", f"{pointer}/turn", needed=needed)
    elif needed is not None:
        laps = _whole(needed / spacing)
        ledger.assume("laps-by-turn", f"{pointer}/headland_passes", str(laps), "derived", needed=needed)
    else:
        entry = default("headland_passes")
        laps = int(entry.value)
        ledger.assume("usual-laps", f"{pointer}/headland_passes", str(laps), entry.source, why=entry.why)
    if laps > MOST_LAPS:
        given = "headland_width" if outline.headland_width is not None else "headland_passes"
        ledger.fault("too-many-laps", f"{pointer}/{given}", headland=laps * spacing, laps=laps, most=MOST_LAPS)
    return laps


def _whole(passes: float) -> int:
    # A hair keeps a width that is a whole number of passes from costing one more by rounding.
    return math.ceil(passes - 1e-9)


def _check_size(field: "Outline", outline: FieldOutline, spacing: float, ledger: Ledger) -> None:
    """Note a fault if passes are so close that a plan would take long."""
    from drawbar_service.geometry.plan import MOST_STRIP_ENDS  # noqa: PLC0415 - as in outline_answer

    round_it = float(field.polygon.length)
    if round_it > MOST_STRIP_ENDS * spacing:
        least = round_it / MOST_STRIP_ENDS / (1.0 - float(outline.overlap))
        ledger.fault("too-narrow-to-plan", "/width", edge=round_it, least=1.005 * least)


def _answer(plan: "Plan", field: "Outline", turn: HeadlandTurn, stops: float, in_full: bool) -> OutlineAnswer:
    lengths = plan.passes.end - plan.passes.start if plan.passes else None
    inside = float(plan.headland.inside.area)
    return OutlineAnswer(
        area=Area(plan.area),
        headland_area=Area(max(plan.worked - inside, 0.0)),
        missed_area=Area(plan.area - plan.worked),
        headland_passes=max(plan.headland.number, default=-1) + 1,
        direction=Angle(plan.direction) if plan.direction is not None else None,
        passes=lengths.size if lengths is not None else 0,
        mean_pass=Length(float(lengths.mean())) if lengths is not None else None,
        shortest_pass=Length(float(lengths.min())) if lengths is not None else None,
        longest_pass=Length(float(lengths.max())) if lengths is not None else None,
        turns=plan.turns,
        turn_length=Length(turn.path) if turn.path is not None else None,
        turn_time=ShortTime(turn.time),
        working=Time(plan.working),
        headland=Time(plan.laps),
        turning=Time(plan.turning),
        between=Time(plan.between),
        stopped=Time(stops),
        total=Time(plan.total + stops),
        plan=_plan(plan, field) if in_full else None,
    )


def _plan(plan: "Plan", field: "Outline") -> FieldPlan:
    from drawbar_service.geometry.plan import lap_tracks, pass_tracks  # noqa: PLC0415 - as in outline_answer

    features: list[PlanFeature] = []
    parts: tuple[Track, Track] = ("headland", "pass")
    for part, tracks in zip(parts, (lap_tracks(plan), pass_tracks(plan)), strict=True):
        for number, track in enumerate(tracks, 1):
            positions = np.round(field.plane.positions(track.points), _DECIMALS)
            line = PlanLine(type="LineString", coordinates=positions.tolist())
            properties = PlanProperties(part=part, number=number, block=track.block + 1, length=round(track.length, 3))
            features.append(PlanFeature(type="Feature", geometry=line, properties=properties))
    return FieldPlan(type="FeatureCollection", features=features)
