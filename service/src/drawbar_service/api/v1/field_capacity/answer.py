"""What is answered: area in a time, and how time goes in a field."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer
from drawbar_service.api.v1.field_capacity.outline import OutlineAnswer
from drawbar_service.engine.arrays import number, whole
from drawbar_service.model.field import Capacity, EfficiencyMethod, InField
from drawbar_service.quantities import Area, AreaRate, FeedRate, Length, Share, Time, Width


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


def capacity_summary(found: Capacity) -> CapacitySummary:
    """Return field capacity as it is answered."""
    return CapacitySummary(
        width=Width.of(found.width),
        efficiency=Share.spanning(found.efficiency),
        efficiency_from=found.method,
        theoretical=AreaRate.of(found.theoretical),
        effective=AreaRate.spanning(found.effective),
        per_day=Area.of(found.per_day) if found.per_day is not None else None,
        time=Time.of(found.time) if found.time is not None else None,
        days=number(found.days) if found.days is not None else None,
        in_field=_in_field(found.in_field) if found.in_field is not None else None,
    )


def _in_field(found: InField) -> FieldTimeAnswer:
    path, spent = found.turn.path, found.spent
    return FieldTimeAnswer(
        passes=whole(spent.passes),
        turn_length=Length.of(path) if path is not None else None,
        working=Time.of(spent.working),
        turning=Time.of(spent.turning),
        stopped=Time.of(spent.stopped),
    )
