from __future__ import annotations
from collections.abc import Mapping
from typing import Any
from drawbar import _calculations as calculations
from drawbar._options import Units
from drawbar._sync_core import SyncCore
from drawbar.models import BallastAnswer, BallastRequest, CalibrationAnswer, CalibrationRequest, CompletionAnswer, CompletionRequest, CostAnswer, CostRequest, DraftAnswer, DraftByToolAnswer, DraftRequest, FieldCapacityAnswer, FieldCapacityRequest, FinishByDateAnswer, FitMapAnswer, FuelAnswer, FuelRequest, HitchAnswer, HitchRequest, HydraulicsAnswer, HydraulicsRequest, MatchAnswer, MatchRequest, PowerAnswer, PowerBySpeedAnswer, PowerRequest, SeasonAnswer, SeasonRequest, SeasonTimelineAnswer, SensitivityAnswer, SensitivityRequest, SheetAnswer, SlipAnswer, SlipByPullAnswer, SlipRequest, SoilStressByDepthAnswer, SystemAnswer, SystemRequest, TractionAnswer, TractionRequest

class SyncCalculations(SyncCore):

    def match(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> MatchAnswer:
        ...

    def ballast(self, request: BallastRequest | Mapping[str, Any], *, units: Units | None=None) -> BallastAnswer:
        ...

    def calibration(self, request: CalibrationRequest | Mapping[str, Any], *, units: Units | None=None) -> CalibrationAnswer:
        ...

    def completion(self, request: CompletionRequest | Mapping[str, Any], *, units: Units | None=None) -> CompletionAnswer:
        ...

    def cost(self, request: CostRequest | Mapping[str, Any], *, units: Units | None=None) -> CostAnswer:
        ...

    def draft(self, request: DraftRequest | Mapping[str, Any], *, units: Units | None=None) -> DraftAnswer:
        ...

    def field_capacity(self, request: FieldCapacityRequest | Mapping[str, Any], *, units: Units | None=None) -> FieldCapacityAnswer:
        ...

    def fuel(self, request: FuelRequest | Mapping[str, Any], *, units: Units | None=None) -> FuelAnswer:
        ...

    def hitch(self, request: HitchRequest | Mapping[str, Any], *, units: Units | None=None) -> HitchAnswer:
        ...

    def hydraulics(self, request: HydraulicsRequest | Mapping[str, Any], *, units: Units | None=None) -> HydraulicsAnswer:
        ...

    def power(self, request: PowerRequest | Mapping[str, Any], *, units: Units | None=None) -> PowerAnswer:
        ...

    def season(self, request: SeasonRequest | Mapping[str, Any], *, units: Units | None=None) -> SeasonAnswer:
        ...

    def sensitivity(self, request: SensitivityRequest | Mapping[str, Any], *, units: Units | None=None) -> SensitivityAnswer:
        ...

    def slip(self, request: SlipRequest | Mapping[str, Any], *, units: Units | None=None) -> SlipAnswer:
        ...

    def system(self, request: SystemRequest | Mapping[str, Any], *, units: Units | None=None) -> SystemAnswer:
        ...

    def traction(self, request: TractionRequest | Mapping[str, Any], *, units: Units | None=None) -> TractionAnswer:
        ...

    def curve_draft_by_tool(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> DraftByToolAnswer:
        ...

    def curve_finish_by_date(self, request: CompletionRequest | Mapping[str, Any], *, units: Units | None=None) -> FinishByDateAnswer:
        ...

    def curve_fit_map(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> FitMapAnswer:
        ...

    def curve_power_by_speed(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> PowerBySpeedAnswer:
        ...

    def curve_season_timeline(self, request: SeasonRequest | Mapping[str, Any], *, units: Units | None=None) -> SeasonTimelineAnswer:
        ...

    def curve_slip_by_pull(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> SlipByPullAnswer:
        ...

    def curve_soil_stress_by_depth(self, request: BallastRequest | Mapping[str, Any], *, units: Units | None=None) -> SoilStressByDepthAnswer:
        ...

    def sheet(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> SheetAnswer:
        ...
