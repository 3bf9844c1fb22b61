"""What an async client calculates. Generated from the contract: run `python openapi/generate.py`."""

from __future__ import annotations

from typing import TYPE_CHECKING, overload

from drawbar import _calculations as calculations
from drawbar._async_core import AsyncCore
from drawbar._options import Units
from drawbar.models import (
    BallastAnswer,
    BallastRequest,
    CalibrationAnswer,
    CalibrationRequest,
    CompletionAnswer,
    CompletionRequest,
    CostAnswer,
    CostRequest,
    DaysAnswer,
    DaysRequest,
    DraftAnswer,
    DraftByToolAnswer,
    DraftRequest,
    FieldCapacityAnswer,
    FieldCapacityRequest,
    FinishByDateAnswer,
    FitMapAnswer,
    FuelAnswer,
    FuelRequest,
    HitchAnswer,
    HitchRequest,
    HydraulicsAnswer,
    HydraulicsRequest,
    MatchAnswer,
    MatchRequest,
    PowerAnswer,
    PowerBySpeedAnswer,
    PowerRequest,
    SeasonAnswer,
    SeasonRequest,
    SeasonTimelineAnswer,
    SensitivityAnswer,
    SensitivityRequest,
    SheetAnswer,
    SlipAnswer,
    SlipByPullAnswer,
    SlipRequest,
    SoilStressByDepthAnswer,
    SystemAnswer,
    SystemRequest,
    TractionAnswer,
    TractionRequest,
)

if TYPE_CHECKING:
    from drawbar.dicts import (
        BallastRequestDict,
        CalibrationRequestDict,
        CompletionRequestDict,
        CostRequestDict,
        DaysRequestDict,
        DraftRequestDict,
        FieldCapacityRequestDict,
        FuelRequestDict,
        HitchRequestDict,
        HydraulicsRequestDict,
        MatchRequestDict,
        PowerRequestDict,
        SeasonRequestDict,
        SensitivityRequestDict,
        SlipRequestDict,
        SystemRequestDict,
        TractionRequestDict,
    )


class AsyncCalculations(AsyncCore):
    """The calculations of `drawbar.AsyncClient`."""

    @overload
    async def match(self, request: MatchRequest, *, units: Units | None = None) -> MatchAnswer: ...

    @overload
    async def match(self, request: MatchRequestDict, *, units: Units | None = None) -> MatchAnswer: ...

    async def match(self, request: MatchRequest | MatchRequestDict, *, units: Units | None = None) -> MatchAnswer:
        """Ask `/v1/match`: will this tractor pull this implement, how fast, and what stops it.

        Parameters
        ----------
        request
            A tractor, an implement, a soil and a field.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.MATCH, request, units)

    @overload
    async def ballast(self, request: BallastRequest, *, units: Units | None = None) -> BallastAnswer: ...

    @overload
    async def ballast(self, request: BallastRequestDict, *, units: Units | None = None) -> BallastAnswer: ...

    async def ballast(
        self, request: BallastRequest | BallastRequestDict, *, units: Units | None = None
    ) -> BallastAnswer:
        """Ask `/v1/ballast`: mass and split that bring slip into its band.

        Parameters
        ----------
        request
            A tractor, its work, a speed and a soil. Give an implement or a pull.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.BALLAST, request, units)

    @overload
    async def calibration(self, request: CalibrationRequest, *, units: Units | None = None) -> CalibrationAnswer: ...

    @overload
    async def calibration(
        self, request: CalibrationRequestDict, *, units: Units | None = None
    ) -> CalibrationAnswer: ...

    async def calibration(
        self, request: CalibrationRequest | CalibrationRequestDict, *, units: Units | None = None
    ) -> CalibrationAnswer:
        """Ask `/v1/calibration`: draft multiplier and cone index from runs in the field.

        Parameters
        ----------
        request
            A tractor, an implement and a soil as for a match, and runs in the field.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.CALIBRATION, request, units)

    @overload
    async def completion(self, request: CompletionRequest, *, units: Units | None = None) -> CompletionAnswer: ...

    @overload
    async def completion(self, request: CompletionRequestDict, *, units: Units | None = None) -> CompletionAnswer: ...

    async def completion(
        self, request: CompletionRequest | CompletionRequestDict, *, units: Units | None = None
    ) -> CompletionAnswer:
        """Ask `/v1/completion`: the chance to be done in time, and what would raise it.

        Parameters
        ----------
        request
            Work to be done in a window.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.COMPLETION, request, units)

    @overload
    async def cost(self, request: CostRequest, *, units: Units | None = None) -> CostAnswer: ...

    @overload
    async def cost(self, request: CostRequestDict, *, units: Units | None = None) -> CostAnswer: ...

    async def cost(self, request: CostRequest | CostRequestDict, *, units: Units | None = None) -> CostAnswer:
        """Ask `/v1/cost`: what work costs: own, hire, parts, width.

        Parameters
        ----------
        request
            Machines, the terms they are owned on, and the work they do. Amounts are in one currency, yours.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.COST, request, units)

    @overload
    async def days(self, request: DaysRequest, *, units: Units | None = None) -> DaysAnswer: ...

    @overload
    async def days(self, request: DaysRequestDict, *, units: Units | None = None) -> DaysAnswer: ...

    async def days(self, request: DaysRequest | DaysRequestDict, *, units: Units | None = None) -> DaysAnswer:
        """Ask `/v1/days`: days fit for field work from daily weather, and freeze-up.

        Parameters
        ----------
        request
            Weather of one place, day by day without a gap; null where a day has no figure.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.DAYS, request, units)

    @overload
    async def draft(self, request: DraftRequest, *, units: Units | None = None) -> DraftAnswer: ...

    @overload
    async def draft(self, request: DraftRequestDict, *, units: Units | None = None) -> DraftAnswer: ...

    async def draft(self, request: DraftRequest | DraftRequestDict, *, units: Units | None = None) -> DraftAnswer:
        """Ask `/v1/draft`: draft of an implement, by tool, with its range.

        Parameters
        ----------
        request
            An implement at work in a soil.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.DRAFT, request, units)

    @overload
    async def field_capacity(
        self, request: FieldCapacityRequest, *, units: Units | None = None
    ) -> FieldCapacityAnswer: ...

    @overload
    async def field_capacity(
        self, request: FieldCapacityRequestDict, *, units: Units | None = None
    ) -> FieldCapacityAnswer: ...

    async def field_capacity(
        self, request: FieldCapacityRequest | FieldCapacityRequestDict, *, units: Units | None = None
    ) -> FieldCapacityAnswer:
        """Ask `/v1/field-capacity`: area an hour, by efficiency, field shape or outline.

        Parameters
        ----------
        request
            A machine in a field. Give one of `efficiency`, `shape`, `outline` and `practice`, or none.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.FIELD_CAPACITY, request, units)

    @overload
    async def fuel(self, request: FuelRequest, *, units: Units | None = None) -> FuelAnswer: ...

    @overload
    async def fuel(self, request: FuelRequestDict, *, units: Units | None = None) -> FuelAnswer: ...

    async def fuel(self, request: FuelRequest | FuelRequestDict, *, units: Units | None = None) -> FuelAnswer:
        """Ask `/v1/fuel`: fuel for a load.

        Parameters
        ----------
        request
            A tractor under load.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.FUEL, request, units)

    @overload
    async def hitch(self, request: HitchRequest, *, units: Units | None = None) -> HitchAnswer: ...

    @overload
    async def hitch(self, request: HitchRequestDict, *, units: Units | None = None) -> HitchAnswer: ...

    async def hitch(self, request: HitchRequest | HitchRequestDict, *, units: Units | None = None) -> HitchAnswer:
        """Ask `/v1/hitch`: hitch, drawbar, PTO, axle and tire loads, and the road.

        Parameters
        ----------
        request
            A tractor, its hitch, and a machine on it.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.HITCH, request, units)

    @overload
    async def hydraulics(self, request: HydraulicsRequest, *, units: Units | None = None) -> HydraulicsAnswer: ...

    @overload
    async def hydraulics(self, request: HydraulicsRequestDict, *, units: Units | None = None) -> HydraulicsAnswer: ...

    async def hydraulics(
        self, request: HydraulicsRequest | HydraulicsRequestDict, *, units: Units | None = None
    ) -> HydraulicsAnswer:
        """Ask `/v1/hydraulics`: oil: flow, pressure and heat against pump and outlets.

        Parameters
        ----------
        request
            A tractor's hydraulics and what hangs on them.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.HYDRAULICS, request, units)

    @overload
    async def power(self, request: PowerRequest, *, units: Units | None = None) -> PowerAnswer: ...

    @overload
    async def power(self, request: PowerRequestDict, *, units: Units | None = None) -> PowerAnswer: ...

    async def power(self, request: PowerRequest | PowerRequestDict, *, units: Units | None = None) -> PowerAnswer:
        """Ask `/v1/power`: power needs, brought to the PTO.

        Parameters
        ----------
        request
            Everything that takes power at once. Give what there is.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.POWER, request, units)

    @overload
    async def season(self, request: SeasonRequest, *, units: Units | None = None) -> SeasonAnswer: ...

    @overload
    async def season(self, request: SeasonRequestDict, *, units: Units | None = None) -> SeasonAnswer: ...

    async def season(self, request: SeasonRequest | SeasonRequestDict, *, units: Units | None = None) -> SeasonAnswer:
        """Ask `/v1/season`: which tractor on which implement on which field on which day, and whether it gets done.

        Parameters
        ----------
        request
            A fleet, fields, work and the days for it.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.SEASON, request, units)

    @overload
    async def sensitivity(self, request: SensitivityRequest, *, units: Units | None = None) -> SensitivityAnswer: ...

    @overload
    async def sensitivity(
        self, request: SensitivityRequestDict, *, units: Units | None = None
    ) -> SensitivityAnswer: ...

    async def sensitivity(
        self, request: SensitivityRequest | SensitivityRequestDict, *, units: Units | None = None
    ) -> SensitivityAnswer:
        """Ask `/v1/sensitivity`: which uncertain input matters most, and what to measure.

        Parameters
        ----------
        request
            A match request; `odds` says what is uncertain.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.SENSITIVITY, request, units)

    @overload
    async def slip(self, request: SlipRequest, *, units: Units | None = None) -> SlipAnswer: ...

    @overload
    async def slip(self, request: SlipRequestDict, *, units: Units | None = None) -> SlipAnswer: ...

    async def slip(self, request: SlipRequest | SlipRequestDict, *, units: Units | None = None) -> SlipAnswer:
        """Ask `/v1/slip`: slip from wheel turns, times or distances.

        Parameters
        ----------
        request
            What was counted, timed or measured. Give one of the three.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.SLIP, request, units)

    @overload
    async def system(self, request: SystemRequest, *, units: Units | None = None) -> SystemAnswer: ...

    @overload
    async def system(self, request: SystemRequestDict, *, units: Units | None = None) -> SystemAnswer: ...

    async def system(self, request: SystemRequest | SystemRequestDict, *, units: Units | None = None) -> SystemAnswer:
        """Ask `/v1/system`: chains of passes on the same land, side by side.

        Parameters
        ----------
        request
            Two or more ways to work the same land.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.SYSTEM, request, units)

    @overload
    async def traction(self, request: TractionRequest, *, units: Units | None = None) -> TractionAnswer: ...

    @overload
    async def traction(self, request: TractionRequestDict, *, units: Units | None = None) -> TractionAnswer: ...

    async def traction(
        self, request: TractionRequest | TractionRequestDict, *, units: Units | None = None
    ) -> TractionAnswer:
        """Ask `/v1/traction`: slip, axle loads and tractive efficiency under a pull.

        Parameters
        ----------
        request
            A tractor on a soil. Give a pull to get the slip, or a slip to get the pull.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.TRACTION, request, units)

    @overload
    async def curve_draft_by_tool(self, request: MatchRequest, *, units: Units | None = None) -> DraftByToolAnswer: ...

    @overload
    async def curve_draft_by_tool(
        self, request: MatchRequestDict, *, units: Units | None = None
    ) -> DraftByToolAnswer: ...

    async def curve_draft_by_tool(
        self, request: MatchRequest | MatchRequestDict, *, units: Units | None = None
    ) -> DraftByToolAnswer:
        """Ask `/v1/curves/draft-by-tool`: draft by tool, at speeds around the match.

        Parameters
        ----------
        request
            A tractor, an implement, a soil and a field.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.CURVE_DRAFT_BY_TOOL, request, units)

    @overload
    async def curve_finish_by_date(
        self, request: CompletionRequest, *, units: Units | None = None
    ) -> FinishByDateAnswer: ...

    @overload
    async def curve_finish_by_date(
        self, request: CompletionRequestDict, *, units: Units | None = None
    ) -> FinishByDateAnswer: ...

    async def curve_finish_by_date(
        self, request: CompletionRequest | CompletionRequestDict, *, units: Units | None = None
    ) -> FinishByDateAnswer:
        """Ask `/v1/curves/finish-by-date`: the chance to be done, by date.

        Parameters
        ----------
        request
            Work to be done in a window.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.CURVE_FINISH_BY_DATE, request, units)

    @overload
    async def curve_fit_map(self, request: MatchRequest, *, units: Units | None = None) -> FitMapAnswer: ...

    @overload
    async def curve_fit_map(self, request: MatchRequestDict, *, units: Units | None = None) -> FitMapAnswer: ...

    async def curve_fit_map(
        self, request: MatchRequest | MatchRequestDict, *, units: Units | None = None
    ) -> FitMapAnswer:
        """Ask `/v1/curves/fit-map`: which widths hold at which speeds.

        Parameters
        ----------
        request
            A tractor, an implement, a soil and a field.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.CURVE_FIT_MAP, request, units)

    @overload
    async def curve_power_by_speed(
        self, request: MatchRequest, *, units: Units | None = None
    ) -> PowerBySpeedAnswer: ...

    @overload
    async def curve_power_by_speed(
        self, request: MatchRequestDict, *, units: Units | None = None
    ) -> PowerBySpeedAnswer: ...

    async def curve_power_by_speed(
        self, request: MatchRequest | MatchRequestDict, *, units: Units | None = None
    ) -> PowerBySpeedAnswer:
        """Ask `/v1/curves/power-by-speed`: power needed and usable, by speed.

        Parameters
        ----------
        request
            A tractor, an implement, a soil and a field.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.CURVE_POWER_BY_SPEED, request, units)

    @overload
    async def curve_season_timeline(
        self, request: SeasonRequest, *, units: Units | None = None
    ) -> SeasonTimelineAnswer: ...

    @overload
    async def curve_season_timeline(
        self, request: SeasonRequestDict, *, units: Units | None = None
    ) -> SeasonTimelineAnswer: ...

    async def curve_season_timeline(
        self, request: SeasonRequest | SeasonRequestDict, *, units: Units | None = None
    ) -> SeasonTimelineAnswer:
        """Ask `/v1/curves/season-timeline`: the plan of a season as a timeline.

        Parameters
        ----------
        request
            A fleet, fields, work and the days for it.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.CURVE_SEASON_TIMELINE, request, units)

    @overload
    async def curve_slip_by_pull(self, request: MatchRequest, *, units: Units | None = None) -> SlipByPullAnswer: ...

    @overload
    async def curve_slip_by_pull(
        self, request: MatchRequestDict, *, units: Units | None = None
    ) -> SlipByPullAnswer: ...

    async def curve_slip_by_pull(
        self, request: MatchRequest | MatchRequestDict, *, units: Units | None = None
    ) -> SlipByPullAnswer:
        """Ask `/v1/curves/slip-by-pull`: slip and tractive efficiency, by pull.

        Parameters
        ----------
        request
            A tractor, an implement, a soil and a field.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.CURVE_SLIP_BY_PULL, request, units)

    @overload
    async def curve_soil_stress_by_depth(
        self, request: BallastRequest, *, units: Units | None = None
    ) -> SoilStressByDepthAnswer: ...

    @overload
    async def curve_soil_stress_by_depth(
        self, request: BallastRequestDict, *, units: Units | None = None
    ) -> SoilStressByDepthAnswer: ...

    async def curve_soil_stress_by_depth(
        self, request: BallastRequest | BallastRequestDict, *, units: Units | None = None
    ) -> SoilStressByDepthAnswer:
        """Ask `/v1/curves/soil-stress-by-depth`: stress in the soil under the tires, by depth.

        Parameters
        ----------
        request
            A tractor, its work, a speed and a soil. Give an implement or a pull.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.CURVE_SOIL_STRESS_BY_DEPTH, request, units)

    @overload
    async def sheet(self, request: MatchRequest, *, units: Units | None = None) -> SheetAnswer: ...

    @overload
    async def sheet(self, request: MatchRequestDict, *, units: Units | None = None) -> SheetAnswer: ...

    async def sheet(self, request: MatchRequest | MatchRequestDict, *, units: Units | None = None) -> SheetAnswer:
        """Ask `/v1/sheet`: a field sheet: what to set, to watch and to change, and room for a trial run.

        Parameters
        ----------
        request
            A tractor, an implement, a soil and a field.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(calculations.SHEET, request, units)
