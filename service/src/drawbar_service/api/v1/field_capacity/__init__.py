"""POST /v1/field-capacity: area an hour."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.field_capacity.answer import FieldCapacityAnswer, capacity_summary
from drawbar_service.api.v1.field_capacity.outline import outline_answer
from drawbar_service.api.v1.field_capacity.request import FieldCapacityRequest
from drawbar_service.engine.capacity import material_capacity
from drawbar_service.model.field import capacity, capacity_at
from drawbar_service.model.span import Span
from drawbar_service.quantities import FeedRate
from drawbar_service.reference import UnknownReference, practice_row


def compute(request: FieldCapacityRequest, ledger: Ledger) -> FieldCapacityAnswer:
    """Answer a field capacity request."""
    ways = [name for name in ("efficiency", "shape", "outline", "practice") if getattr(request, name) is not None]
    if len(ways) > 1:
        ledger.fault("efficiency-once", f"/{ways[1]}", one=ways[0], other=ways[1])
    practice = None
    if request.practice is not None:
        try:
            practice = practice_row(request.practice)
        except UnknownReference as error:
            ledger.unknown("/practice", error)
    width, speed, area, workday = request.width, request.speed, request.area, request.workday
    outline = None
    if request.outline is not None:
        # A plan is made only for a request that is otherwise right.
        ledger.stop_at_faults()
        efficiency, outline = outline_answer(request.outline, width, speed, ledger, "/outline")
        area = outline.area if area is None else area
        found = capacity_at(width, speed, Span(efficiency), "outline", area, workday)
    else:
        found = capacity(width, speed, request.efficiency, request.shape, practice, area, workday, ledger, "")
        ledger.stop_at_faults()
    material = None
    if request.crop_yield is not None:
        material = FeedRate.of(material_capacity(found.effective.value, request.crop_yield))
    return FieldCapacityAnswer(
        capacity=capacity_summary(found), outline=outline, material=material, about=ledger.about()
    )


FIELD_CAPACITY = Calculation(
    name="field-capacity",
    request=FieldCapacityRequest,
    answer=FieldCapacityAnswer,
    compute=compute,
    summary="Area an hour, by efficiency, field shape or outline",
    description=(
        "Width times speed times field efficiency (ASABE S495). The efficiency is given, looked up by kind of "
        "machine, or worked out from a rectangle or from an outline in longitude and latitude, with turns, overlap "
        "and stops; that replaces the table's efficiency and is never multiplied with it."
    ),
    more="For an outline the direction of least time is sought, and `plan` gives every pass as GeoJSON.",
    steps=lambda request: 0 if request.outline is None else 1,
    example={"width": "6 m", "speed": "9 km/h", "practice": "field-cultivator", "area": "32 ha", "workday": "10 h"},
    columns=(
        "/capacity/width",
        "/capacity/efficiency",
        "/capacity/theoretical",
        "/capacity/effective",
        "/capacity/time",
        "/capacity/days",
    ),
)
