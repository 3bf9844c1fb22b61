"""Every calculation of version 1, and what is shown of them."""

from typing import Any

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.ballast.answer import BALLAST
from drawbar_service.api.v1.calibration.answer import CALIBRATION
from drawbar_service.api.v1.completion.answer import COMPLETION
from drawbar_service.api.v1.cost import COST
from drawbar_service.api.v1.curves.draft_by_tool import DRAFT_BY_TOOL
from drawbar_service.api.v1.curves.finish_by_date import FINISH_BY_DATE
from drawbar_service.api.v1.curves.fit_map import FIT_MAP
from drawbar_service.api.v1.curves.power_by_speed import POWER_BY_SPEED
from drawbar_service.api.v1.curves.season_timeline import SEASON_TIMELINE
from drawbar_service.api.v1.curves.slip_by_pull import SLIP_BY_PULL
from drawbar_service.api.v1.curves.soil_stress_by_depth import SOIL_STRESS_BY_DEPTH
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.fuel import FUEL
from drawbar_service.api.v1.hitch import HITCH
from drawbar_service.api.v1.hydraulics import HYDRAULICS
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.power import POWER
from drawbar_service.api.v1.season.season import SEASON
from drawbar_service.api.v1.sensitivity.answer import SENSITIVITY
from drawbar_service.api.v1.sheet.answer import SHEET
from drawbar_service.api.v1.slip.answer import SLIP
from drawbar_service.api.v1.system.answer import SYSTEM
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
"""Questions with an answer; a batch takes any of them."""

CURVES: tuple[Calculation[Any, Any], ...] = (
    POWER_BY_SPEED,
    SLIP_BY_PULL,
    FIT_MAP,
    DRAFT_BY_TOOL,
    FINISH_BY_DATE,
    SEASON_TIMELINE,
    SOIL_STRESS_BY_DEPTH,
)
"""The numbers of a picture, and the picture."""

SHOWN: tuple[Calculation[Any, Any], ...] = (*CURVES, SHEET)
"""What takes the request of a calculation and shows its answer to people."""
