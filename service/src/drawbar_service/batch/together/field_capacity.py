"""Field capacity on arrays: width, speed and efficiency. A field's shape or outline is worked row by row."""

import re
from typing import Final, NamedTuple

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.field_capacity.answer import CapacitySummary, FieldCapacityRequest, compute
from drawbar_service.batch.together.way import NONE, End, Leaves, Value, Way, plain
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.capacity import field_capacity, material_capacity


class _Case(NamedTuple):
    request: FieldCapacityRequest
    capacity: CapacitySummary
    """Of one of the rows; the efficiency, and where it comes from, are those of all."""


class _Rows(NamedTuple):
    width: Real
    speed: Real
    efficiencies: tuple[Real, Real | None, Real | None]
    method: str
    area: Real | None
    workday: Real | None
    crop_yield: Real | None

    def efficiency(self, end: End) -> Value:
        value = self.efficiencies[end]
        return NONE if value is None else value

    def effective(self, end: End) -> Value:
        value = self.efficiencies[end]
        return NONE if value is None else field_capacity(self.width, self.speed, value)

    @property
    def rate(self) -> Real:
        return field_capacity(self.width, self.speed, self.efficiencies[0])

    def per_day(self) -> Value:
        return self.rate * self.workday if self.workday is not None else NONE

    def time(self) -> Value:
        return self.area / self.rate if self.area is not None else NONE

    def days(self) -> Value:
        return self.area / self.rate / self.workday if self.area is not None and self.workday is not None else NONE

    def material(self) -> Value:
        return material_capacity(self.rate, self.crop_yield) if self.crop_yield is not None else NONE


def _read(request: FieldCapacityRequest, ledger: Ledger, leaves: Leaves) -> _Case | None:
    if request.shape is not None or request.outline is not None:
        return None
    return _Case(request, compute(request, ledger).capacity)


def _rows(case: _Case, leaves: Leaves, size: int) -> _Rows:
    request, found = case.request, case.capacity.efficiency
    given = leaves.get("/efficiency")
    return _Rows(
        leaves.at("/width", request.width),
        leaves.at("/speed", request.speed),
        (float(found), found.low, found.high) if given is None else (given, None, None),
        case.capacity.efficiency_from,
        leaves.maybe("/area", request.area),
        leaves.maybe("/workday", request.workday),
        leaves.maybe("/crop_yield", request.crop_yield),
    )


CAPACITIES: Final = Way(
    leaves=re.compile(r"/width|/speed|/efficiency|/area|/workday|/crop_yield"),
    read=_read,
    rows=_rows,
    columns={
        "/capacity/width": plain(lambda rows: rows.width),
        "/capacity/efficiency": _Rows.efficiency,
        "/capacity/efficiency_from": plain(lambda rows: rows.method),
        "/capacity/theoretical": plain(lambda rows: field_capacity(rows.width, rows.speed, 1.0)),
        "/capacity/effective": _Rows.effective,
        "/capacity/per_day": plain(_Rows.per_day),
        "/capacity/time": plain(_Rows.time),
        "/capacity/days": plain(_Rows.days),
        "/material": plain(_Rows.material),
    },
)
"""``/v1/field-capacity``"""
