"""Operations that calculate. Generated from the contract: run `python openapi/generate.py`."""

from collections.abc import Mapping
from typing import Any, Final

from drawbar import models
from drawbar._wire import Operation

MATCH: Final = Operation("POST", "/v1/match", models.MatchAnswer)
DRAFT: Final = Operation("POST", "/v1/draft", models.DraftAnswer)
POWER: Final = Operation("POST", "/v1/power", models.PowerAnswer)
TRACTION: Final = Operation("POST", "/v1/traction", models.TractionAnswer)
FUEL: Final = Operation("POST", "/v1/fuel", models.FuelAnswer)
FIELD_CAPACITY: Final = Operation("POST", "/v1/field-capacity", models.FieldCapacityAnswer)
SLIP: Final = Operation("POST", "/v1/slip", models.SlipAnswer)
BALLAST: Final = Operation("POST", "/v1/ballast", models.BallastAnswer)
CALIBRATION: Final = Operation("POST", "/v1/calibration", models.CalibrationAnswer)
SENSITIVITY: Final = Operation("POST", "/v1/sensitivity", models.SensitivityAnswer)
COST: Final = Operation("POST", "/v1/cost", models.CostAnswer)
COMPLETION: Final = Operation("POST", "/v1/completion", models.CompletionAnswer)
HYDRAULICS: Final = Operation("POST", "/v1/hydraulics", models.HydraulicsAnswer)
HITCH: Final = Operation("POST", "/v1/hitch", models.HitchAnswer)
SYSTEM: Final = Operation("POST", "/v1/system", models.SystemAnswer)
SEASON: Final = Operation("POST", "/v1/season", models.SeasonAnswer)
CURVE_POWER_BY_SPEED: Final = Operation("POST", "/v1/curves/power-by-speed", models.PowerBySpeedAnswer)
CURVE_SLIP_BY_PULL: Final = Operation("POST", "/v1/curves/slip-by-pull", models.SlipByPullAnswer)
CURVE_FIT_MAP: Final = Operation("POST", "/v1/curves/fit-map", models.FitMapAnswer)
CURVE_DRAFT_BY_TOOL: Final = Operation("POST", "/v1/curves/draft-by-tool", models.DraftByToolAnswer)
CURVE_FINISH_BY_DATE: Final = Operation("POST", "/v1/curves/finish-by-date", models.FinishByDateAnswer)
CURVE_SEASON_TIMELINE: Final = Operation("POST", "/v1/curves/season-timeline", models.SeasonTimelineAnswer)
CURVE_SOIL_STRESS_BY_DEPTH: Final = Operation("POST", "/v1/curves/soil-stress-by-depth", models.SoilStressByDepthAnswer)
SHEET: Final = Operation("POST", "/v1/sheet", models.SheetAnswer)
CALCULATIONS: Final[Mapping[str, tuple[Operation[Any], str]]] = {
    "match": (MATCH, "Will this tractor pull this implement, how fast, and what stops it"),
    "draft": (DRAFT, "Draft of an implement"),
    "power": (POWER, "Power needs, brought to the PTO"),
    "traction": (TRACTION, "Slip, axle loads and tractive efficiency under a pull"),
    "fuel": (FUEL, "Fuel for a load"),
    "field-capacity": (FIELD_CAPACITY, "Area an hour"),
    "slip": (SLIP, "Slip from wheel turns, times or distances"),
    "ballast": (BALLAST, "Mass and split that bring slip into its band"),
    "calibration": (CALIBRATION, "Draft multiplier and cone index from runs in the field"),
    "sensitivity": (SENSITIVITY, "Which uncertain input matters most"),
    "cost": (COST, "What work costs: own, hire, parts, width"),
    "completion": (COMPLETION, "The chance to be done in time, and what would raise it"),
    "hydraulics": (HYDRAULICS, "Oil: flow, pressure and heat against pump and outlets"),
    "hitch": (HITCH, "Hitch, drawbar, PTO, axle and tire loads, and the road"),
    "system": (SYSTEM, "Chains of passes on the same land, side by side"),
    "season": (SEASON, "Which tractor on which implement on which field on which day, and whether it gets done"),
    "sheet": (SHEET, "A field sheet: what to set, to watch and to change, and room for a trial run"),
}
"""Operations and what each answers, by the name of the calculation."""
