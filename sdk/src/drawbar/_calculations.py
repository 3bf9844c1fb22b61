"""Operations that calculate. Generated from the contract: run `python openapi/generate.py`."""

from collections.abc import Mapping
from typing import Any, Final

from drawbar import models
from drawbar._wire import Operation

MATCH: Final = Operation("POST", "/v1/match", models.MatchAnswer)
BALLAST: Final = Operation("POST", "/v1/ballast", models.BallastAnswer)
CALIBRATION: Final = Operation("POST", "/v1/calibration", models.CalibrationAnswer)
COMPLETION: Final = Operation("POST", "/v1/completion", models.CompletionAnswer)
COST: Final = Operation("POST", "/v1/cost", models.CostAnswer)
DAYS: Final = Operation("POST", "/v1/days", models.DaysAnswer)
DRAFT: Final = Operation("POST", "/v1/draft", models.DraftAnswer)
FIELD_CAPACITY: Final = Operation("POST", "/v1/field-capacity", models.FieldCapacityAnswer)
FUEL: Final = Operation("POST", "/v1/fuel", models.FuelAnswer)
HITCH: Final = Operation("POST", "/v1/hitch", models.HitchAnswer)
HYDRAULICS: Final = Operation("POST", "/v1/hydraulics", models.HydraulicsAnswer)
POWER: Final = Operation("POST", "/v1/power", models.PowerAnswer)
SEASON: Final = Operation("POST", "/v1/season", models.SeasonAnswer)
SENSITIVITY: Final = Operation("POST", "/v1/sensitivity", models.SensitivityAnswer)
SLIP: Final = Operation("POST", "/v1/slip", models.SlipAnswer)
SYSTEM: Final = Operation("POST", "/v1/system", models.SystemAnswer)
TRACTION: Final = Operation("POST", "/v1/traction", models.TractionAnswer)
CURVE_DRAFT_BY_TOOL: Final = Operation("POST", "/v1/curves/draft-by-tool", models.DraftByToolAnswer)
CURVE_FINISH_BY_DATE: Final = Operation("POST", "/v1/curves/finish-by-date", models.FinishByDateAnswer)
CURVE_FIT_MAP: Final = Operation("POST", "/v1/curves/fit-map", models.FitMapAnswer)
CURVE_POWER_BY_SPEED: Final = Operation("POST", "/v1/curves/power-by-speed", models.PowerBySpeedAnswer)
CURVE_SEASON_TIMELINE: Final = Operation("POST", "/v1/curves/season-timeline", models.SeasonTimelineAnswer)
CURVE_SLIP_BY_PULL: Final = Operation("POST", "/v1/curves/slip-by-pull", models.SlipByPullAnswer)
CURVE_SOIL_STRESS_BY_DEPTH: Final = Operation("POST", "/v1/curves/soil-stress-by-depth", models.SoilStressByDepthAnswer)
SHEET: Final = Operation("POST", "/v1/sheet", models.SheetAnswer)
CALCULATIONS: Final[Mapping[str, tuple[Operation[Any], str]]] = {
    "match": (MATCH, "Will this tractor pull this implement, how fast, and what stops it"),
    "ballast": (BALLAST, "Mass and split that bring slip into its band"),
    "calibration": (CALIBRATION, "Draft multiplier and cone index from runs in the field"),
    "completion": (COMPLETION, "The chance to be done in time, and what would raise it"),
    "cost": (COST, "What work costs: own, hire, parts, width"),
    "days": (DAYS, "Days fit for field work from daily weather, and freeze-up"),
    "draft": (DRAFT, "Draft of an implement, by tool, with its range"),
    "field-capacity": (FIELD_CAPACITY, "Area an hour, by efficiency, field shape or outline"),
    "fuel": (FUEL, "Fuel for a load"),
    "hitch": (HITCH, "Hitch, drawbar, PTO, axle and tire loads, and the road"),
    "hydraulics": (HYDRAULICS, "Oil: flow, pressure and heat against pump and outlets"),
    "power": (POWER, "Power needs, brought to the PTO"),
    "season": (SEASON, "Which tractor on which implement on which field on which day, and whether it gets done"),
    "sensitivity": (SENSITIVITY, "Which uncertain input matters most, and what to measure"),
    "slip": (SLIP, "Slip from wheel turns, times or distances"),
    "system": (SYSTEM, "Chains of passes on the same land, side by side"),
    "traction": (TRACTION, "Slip, axle loads and tractive efficiency under a pull"),
    "sheet": (SHEET, "A field sheet: what to set, to watch and to change, and room for a trial run"),
}
"""Operations and what each answers, by the name of the calculation."""
