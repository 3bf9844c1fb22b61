"""Every calculation of version 1."""

from typing import Any

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.calibration import CALIBRATION
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.cost import COST
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.fuel import FUEL
from drawbar_service.api.v1.hitch import HITCH
from drawbar_service.api.v1.hydraulics import HYDRAULICS
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.power import POWER
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.api.v1.slip import SLIP
from drawbar_service.api.v1.system import SYSTEM
from drawbar_service.api.v1.traction import TRACTION

CALCULATIONS: tuple[Calculation[Any, Any], ...] = (
    MATCH,
    DRAFT,
    POWER,
    TRACTION,
    FUEL,
    FIELD_CAPACITY,
    SLIP,
    BALLAST,
    CALIBRATION,
    SENSITIVITY,
    COST,
    COMPLETION,
    HYDRAULICS,
    HITCH,
    SYSTEM,
    SEASON,
)
