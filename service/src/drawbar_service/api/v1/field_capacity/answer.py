"""POST /v1/field-capacity: area an hour."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import RowId
from drawbar_service.api.shared.soil import FieldShape, turn_in_si
from drawbar_service.api.v1.field_capacity.outline import FieldOutline, OutlineAnswer, outline_answer
from drawbar_service.engine.capacity import field_capacity, field_time, material_capacity
from drawbar_service.quantities import (
    Area,
    AreaRate,
    Efficiency,
    FeedRate,
    Length,
    Share,
    Speed,
    Time,
    Width,
    Workday,
    Yield,
)
from drawbar_service.reference import PracticeRow, UnknownReference, practice_row

EfficiencyMethod: TypeAlias = Literal["given", "shape", "outline", "practice", "default"]


class FieldCapacityRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A machine in a field. Give one of `efficiency`, `shape`, `outline` and `kind`, or none."""

    width: Annotated[Width, Meta(description="Working width.", examples=["6 m"])]
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["9 km/h"])]
    efficiency: Annotated[Efficiency | None, Meta(description="Field efficiency, known.", examples=["85 %"])] = None
    shape: Annotated[FieldShape | None, Meta(description="A rectangular field, to work the efficiency out.")] = None
    outline: Annotated[
        FieldOutline | None, Meta(description="A field as a polygon, to plan its passes and work the efficiency out.")
    ] = None
    kind: Annotated[
        RowId | None,
        Meta(description="Row of the practice table, to look the efficiency up.", examples=["field-cultivator"]),
    ] = None
    area: Annotated[
        Area | None, Meta(description="Area to work; gives hours. Left out with an outline: the field's.")
    ] = None
    workday: Annotated[Workday | None, Meta(description="Hours of field work in a day; gives area a day.")] = None
    crop_yield: Annotated[Yield | None, Meta(description="Material on the area; gives material an hour.")] = None


class FieldTimeAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How time goes in a rectangular field."""

    passes: Annotated[int, Meta(description="Number of passes.")]
    turn_length: Annotated[Length | None, Meta(description="Path of one turn, if it follows from a radius.")]
    working: Annotated[Time, Meta(description="At work along the passes.")]
    turning: Annotated[Time, Meta(description="On the headlands.")]
    stopped: Annotated[Time, Meta(description="Standing.")]


class CapacitySummary(msgspec.Struct, frozen=True, kw_only=True):
    """Area in a time."""

    width: Annotated[Width, Meta(description="Working width.")]
    efficiency: Annotated[Share, Meta(description="Field efficiency, with the usual range if it was looked up.")]
    efficiency_from: Annotated[EfficiencyMethod, Meta(description="Where the field efficiency comes from.")]
    theoretical: Annotated[AreaRate, Meta(description="Width times speed.")]
    effective: Annotated[AreaRate, Meta(description="Width times speed times field efficiency.")]
    per_day: Annotated[Area | None, Meta(description="Area in a workday, if one was given.")]
    time: Annotated[Time | None, Meta(description="Hours for the area, if one is known.")]
    days: Annotated[float | None, Meta(description="Workdays for the area, if both are known.")]
    in_field: Annotated[FieldTimeAnswer | None, Meta(description="How time goes, if a field shape was given.")]


class FieldCapacityAnswer(Answer, frozen=True, kw_only=True):
    """Area an hour, and what follows."""

    capacity: Annotated[CapacitySummary, Meta(description="Area in a time.")]
    outline: Annotated[OutlineAnswer | None, Meta(description="How the field is worked, if an outline was given.")]
    material: Annotated[FeedRate | None, Meta(description="Material handled, if a yield was given.")]
    about: AboutField


def compute(request: FieldCapacityRequest, ledger: Ledger) -> FieldCapacityAnswer:
    """Answer a field capacity request."""
    ways = [name for name in ("efficiency", "shape", "outline", "kind") if getattr(request, name) is not None]
    if len(ways) > 1:
        ledger.fault(f"/{ways[1]}", f"give {ways[0]} or {ways[1]}, not both: each sets the field efficiency")
    practice = None
    if request.kind is not None:
        try:
            practice = practice_row(request.kind)
        except UnknownReference as error:
            ledger.unknown("/kind", error)
    width, speed, area = float(request.width), float(request.speed), request.area
    outline = None
    if request.outline is not None:
        # A plan is made only for a request that is otherwise right.
        ledger.stop_at_faults()
        efficiency, outline = outline_answer(request.outline, width, speed, ledger, "/outline")
        area = outline.area if area is None else area
        summary = summary_at(width, speed, efficiency, "outline", area=area, workday=request.workday)
    else:
        summary = capacity_summary(
            width, speed, request.efficiency, request.shape, practice, area, request.workday, ledger, ""
        )
        ledger.stop_at_faults()
    material = (
        FeedRate(float(material_capacity(float(summary.effective), float(request.crop_yield))))
        if request.crop_yield is not None
        else None
    )
    return FieldCapacityAnswer(capacity=summary, outline=outline, material=material, about=ledger.about())


def capacity_summary(
    width: float,
    speed: float,
    given: float | None,
    shape: FieldShape | None,
    practice: PracticeRow | None,
    area: float | None,
    workday: float | None,
    ledger: Ledger,
    pointer: str,
) -> CapacitySummary:
    """Return field capacity by a given efficiency, a field shape, a practice row or the default, in that order.

    `pointer` leads to the object that holds efficiency and shape.
    """
    low = high = None
    in_field = None
    method: EfficiencyMethod
    if given is not None:
        efficiency, method = float(given), "given"
    elif shape is not None:
        efficiency, in_field = _from_shape(shape, width, speed, ledger, f"{pointer}/shape")
        method = "shape"
    elif practice is not None and practice.field_efficiency_typical is not None:
        efficiency, method = practice.field_efficiency_typical, "practice"
        low, high = practice.field_efficiency_low, practice.field_efficiency_high
        ledger.assume(
            f"{pointer}/efficiency", Share(efficiency), f"Typical of {practice.machine.lower()}.", practice.source
        )
    else:
        efficiency, method = ledger.fallback(None, f"{pointer}/efficiency", "field_efficiency"), "default"
    return summary_at(
        width, speed, Share.ranged(efficiency, low, high), method, area=area, workday=workday, in_field=in_field
    )


def summary_at(
    width: float,
    speed: float,
    efficiency: Share,
    method: EfficiencyMethod,
    *,
    area: float | None,
    workday: float | None,
    in_field: FieldTimeAnswer | None = None,
) -> CapacitySummary:
    """Return field capacity at an `efficiency`, with the range that comes of its range."""
    effective = float(field_capacity(width, speed, float(efficiency)))
    low, high = efficiency.low, efficiency.high
    ranged = (
        AreaRate.ranged(effective, *(float(field_capacity(width, speed, end)) for end in (low, high)))
        if low is not None and high is not None
        else AreaRate(effective)
    )
    return CapacitySummary(
        width=Width(width),
        efficiency=efficiency,
        efficiency_from=method,
        theoretical=AreaRate(float(field_capacity(width, speed, 1.0))),
        effective=ranged,
        per_day=Area(effective * float(workday)) if workday is not None else None,
        time=Time(float(area) / effective) if area is not None else None,
        days=float(area) / effective / float(workday) if area is not None and workday is not None else None,
        in_field=in_field,
    )


def _from_shape(
    shape: FieldShape, width: float, speed: float, ledger: Ledger, pointer: str
) -> tuple[float, FieldTimeAnswer | None]:
    turn = turn_in_si(shape.turn, width, float(shape.overlap), speed, ledger, f"{pointer}/turn")
    if turn is None:
        return 1.0, None
    spent = field_time(
        float(shape.length), float(shape.width), width, float(shape.overlap), speed, turn.time, float(shape.stops)
    )
    answer = FieldTimeAnswer(
        passes=int(spent.passes),
        turn_length=Length(turn.path) if turn.path is not None else None,
        working=Time(float(spent.working)),
        turning=Time(float(spent.turning)),
        stopped=Time(float(spent.stopped)),
    )
    efficiency = float(spent.efficiency)
    if spent.passes * width * (1.0 - float(shape.overlap)) > 1.1 * float(shape.width):
        ledger.warn(
            "rough-estimate",
            f"{pointer}/width",
            "The last pass is mostly air: the machine is wide for this field, and efficiency counts that as lost.",
        )
    return efficiency, answer


FIELD_CAPACITY = Calculation(
    name="field-capacity",
    request=FieldCapacityRequest,
    answer=FieldCapacityAnswer,
    compute=compute,
    summary="Area an hour",
    description=(
        "Width times speed times field efficiency (ASABE S495). The efficiency is given, looked up by kind of machine, "
        "or worked out from a rectangle or from an outline in longitude and latitude, with turns, overlap and stops; "
        "that replaces the table's efficiency and is never multiplied with it. For an outline the direction of least "
        "time is sought, and `plan` gives every pass as GeoJSON."
    ),
    lasts=lambda request: "moment" if request.outline is None else "long",
    example={"width": "6 m", "speed": "9 km/h", "kind": "field-cultivator", "area": "32 ha", "workday": "10 h"},
    columns=(
        "/capacity/width",
        "/capacity/efficiency",
        "/capacity/theoretical",
        "/capacity/effective",
        "/capacity/time",
        "/capacity/days",
    ),
)
