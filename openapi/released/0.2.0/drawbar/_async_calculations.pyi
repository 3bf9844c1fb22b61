from __future__ import annotations
from collections.abc import Mapping
from typing import Any
from drawbar import _calculations as calculations
from drawbar._async_core import AsyncCore
from drawbar._options import Units
from drawbar.models import BallastAnswer, BallastRequest, CalibrationAnswer, CalibrationRequest, CompletionAnswer, CompletionRequest, CostAnswer, CostRequest, DraftAnswer, DraftByToolAnswer, DraftRequest, FieldCapacityAnswer, FieldCapacityRequest, FinishByDateAnswer, FitMapAnswer, FuelAnswer, FuelRequest, HitchAnswer, HitchRequest, HydraulicsAnswer, HydraulicsRequest, MatchAnswer, MatchRequest, PowerAnswer, PowerBySpeedAnswer, PowerRequest, SeasonAnswer, SeasonRequest, SeasonTimelineAnswer, SensitivityAnswer, SensitivityRequest, SheetAnswer, SlipAnswer, SlipByPullAnswer, SlipRequest, SoilStressByDepthAnswer, SystemAnswer, SystemRequest, TractionAnswer, TractionRequest

class AsyncCalculations(AsyncCore):

    async def match(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> MatchAnswer:
        ...

    async def ballast(self, request: BallastRequest | Mapping[str, Any], *, units: Units | None=None) -> BallastAnswer:
        ...

    async def calibration(self, request: CalibrationRequest | Mapping[str, Any], *, units: Units | None=None) -> CalibrationAnswer:
        ...

    async def completion(self, request: CompletionRequest | Mapping[str, Any], *, units: Units | None=None) -> CompletionAnswer:
        ...

    async def cost(self, request: CostRequest | Mapping[str, Any], *, units: Units | None=None) -> CostAnswer:
        ...

    async def draft(self, request: DraftRequest | Mapping[str, Any], *, units: Units | None=None) -> DraftAnswer:
        ...

    async def field_capacity(self, request: FieldCapacityRequest | Mapping[str, Any], *, units: Units | None=None) -> FieldCapacityAnswer:
        ...

    async def fuel(self, request: FuelRequest | Mapping[str, Any], *, units: Units | None=None) -> FuelAnswer:
        ...

    async def hitch(self, request: HitchRequest | Mapping[str, Any], *, units: Units | None=None) -> HitchAnswer:
        ...

    async def hydraulics(self, request: HydraulicsRequest | Mapping[str, Any], *, units: Units | None=None) -> HydraulicsAnswer:
        ...

    async def power(self, request: PowerRequest | Mapping[str, Any], *, units: Units | None=None) -> PowerAnswer:
        ...

    async def season(self, request: SeasonRequest | Mapping[str, Any], *, units: Units | None=None) -> SeasonAnswer:
        ...

    async def sensitivity(self, request: SensitivityRequest | Mapping[str, Any], *, units: Units | None=None) -> SensitivityAnswer:
        ...

    async def slip(self, request: SlipRequest | Mapping[str, Any], *, units: Units | None=None) -> SlipAnswer:
        ...

    async def system(self, request: SystemRequest | Mapping[str, Any], *, units: Units | None=None) -> SystemAnswer:
        ...

    async def traction(self, request: TractionRequest | Mapping[str, Any], *, units: Units | None=None) -> TractionAnswer:
        ...

    async def curve_draft_by_tool(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> DraftByToolAnswer:
        ...

    async def curve_finish_by_date(self, request: CompletionRequest | Mapping[str, Any], *, units: Units | None=None) -> FinishByDateAnswer:
        ...

    async def curve_fit_map(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> FitMapAnswer:
        ...

    async def curve_power_by_speed(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> PowerBySpeedAnswer:
        ...

    async def curve_season_timeline(self, request: SeasonRequest | Mapping[str, Any], *, units: Units | None=None) -> SeasonTimelineAnswer:
        ...

    async def curve_slip_by_pull(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> SlipByPullAnswer:
        ...

    async def curve_soil_stress_by_depth(self, request: BallastRequest | Mapping[str, Any], *, units: Units | None=None) -> SoilStressByDepthAnswer:
        ...

    async def sheet(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None=None) -> SheetAnswer:
        ...
