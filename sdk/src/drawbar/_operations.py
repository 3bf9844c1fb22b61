"""The operations of the service: where each is, and what it answers."""

from __future__ import annotations

from types import NoneType
from typing import Final

from drawbar import models
from drawbar._wire import MSGPACK, Operation

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
COMPLETION: Final = Operation("POST", "/v1/completion", models.CompletionAnswer)
COST: Final = Operation("POST", "/v1/cost", models.CostAnswer)
HYDRAULICS: Final = Operation("POST", "/v1/hydraulics", models.HydraulicsAnswer)
HITCH: Final = Operation("POST", "/v1/hitch", models.HitchAnswer)
SYSTEM: Final = Operation("POST", "/v1/system", models.SystemAnswer)
SEASON: Final = Operation("POST", "/v1/season", models.SeasonAnswer)
CURVE_DRAFT_BY_TOOL: Final = Operation("POST", "/v1/curves/draft-by-tool", models.DraftByToolAnswer)
CURVE_FINISH_BY_DATE: Final = Operation("POST", "/v1/curves/finish-by-date", models.FinishByDateAnswer)
CURVE_FIT_MAP: Final = Operation("POST", "/v1/curves/fit-map", models.FitMapAnswer)
CURVE_POWER_BY_SPEED: Final = Operation("POST", "/v1/curves/power-by-speed", models.PowerBySpeedAnswer)
CURVE_SEASON_TIMELINE: Final = Operation("POST", "/v1/curves/season-timeline", models.SeasonTimelineAnswer)
CURVE_SLIP_BY_PULL: Final = Operation("POST", "/v1/curves/slip-by-pull", models.SlipByPullAnswer)
CURVE_SOIL_STRESS_BY_DEPTH: Final = Operation("POST", "/v1/curves/soil-stress-by-depth", models.SoilStressByDepthAnswer)
SHEET: Final = Operation("POST", "/v1/sheet", models.SheetAnswer)
SHEET_PAGE: Final = Operation("POST", "/v1/sheet", bytes, accept="text/html")
PICTURE: Final = Operation("POST", "/v1/curves/{curve}", bytes)
BATCH: Final = Operation("POST", "/v1/batch/{calculation}", models.BatchAnswer, sends=MSGPACK, accept=MSGPACK)
REFERENCE_TABLES: Final = Operation("GET", "/v1/reference", models.TablesAnswer, takes_units=False)
REFERENCE_TABLE: Final = Operation("GET", "/v1/reference/{table}", models.WholeTableAnswer, takes_units=False)
METHODS: Final = Operation("GET", "/v1/methods/{calculation}", models.MethodsAnswer, takes_units=False)
SOURCES: Final = Operation("GET", "/v1/sources", models.SourcesAnswer, takes_units=False)
VERSION: Final = Operation("GET", "/version", models.VersionAnswer, takes_units=False)
LIVEZ: Final = Operation("GET", "/livez", models.HealthAnswer, takes_units=False)
READYZ: Final = Operation("GET", "/readyz", NoneType, takes_units=False)
