"""The client whose methods are awaited.

The other one, `_sync_client`, is made from this file by openapi/generate.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from drawbar import _operations as operations
from drawbar._async_core import AsyncCore
from drawbar._compatible import compatible
from drawbar._options import RetryPolicy, Units
from drawbar.errors import Busy
from drawbar.models import (
    BallastAnswer,
    BallastRequest,
    CalibrationAnswer,
    CalibrationRequest,
    CompletionAnswer,
    CompletionRequest,
    CostAnswer,
    CostRequest,
    DraftAnswer,
    DraftByToolAnswer,
    DraftRequest,
    FieldCapacityAnswer,
    FieldCapacityRequest,
    FinishByDateAnswer,
    FitMapAnswer,
    FuelAnswer,
    FuelRequest,
    HealthAnswer,
    HitchAnswer,
    HitchRequest,
    HydraulicsAnswer,
    HydraulicsRequest,
    MatchAnswer,
    MatchRequest,
    MethodsAnswer,
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
    SourcesAnswer,
    SystemAnswer,
    SystemRequest,
    TablesAnswer,
    TractionAnswer,
    TractionRequest,
    VersionAnswer,
    WholeTableAnswer,
)

_ONCE: Final = RetryPolicy(attempts=1)


class AsyncClient(AsyncCore):
    """A client to be awaited, under asyncio. Safe to share between the tasks of one event loop.

    Parameters
    ----------
    base_url
        Address of the service; else the environment variable DRAWBAR_URL, else http://127.0.0.1:8000.
    api_key
        API key, sent as `Authorization: Bearer`; else the environment variable DRAWBAR_API_KEY, else none.
    token
        Bearer token instead of a key, or a function that gives one, called before each call; else the environment
        variable DRAWBAR_TOKEN, else none.
    timeout
        Limits of one attempt: 5 s to connect and 30 s in all unless said otherwise. A bare number is the total [s].
    retry
        When to repeat a failed attempt. Calculations are pure, so repeating one is always safe.
    units
        Units of the answers; None leaves the choice to the service.
    on_response
        Told about each call's last response, error or not, before the call returns.
    http_client
        An httpx2 async client to send with, for proxies, certificates and the like; it stays yours to close.
    transport
        An httpx2 async transport to send through instead of the network; it is closed with this client.

    Raises
    ------
    BadSetting
        If a setting cannot work.
    """

    async def match(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None = None) -> MatchAnswer:
        """Ask whether a tractor pulls an implement, how fast, on how much fuel, and what stops it.

        Parameters
        ----------
        request
            The tractor, the implement, the soil and the field.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.MATCH, request, units)

    async def draft(self, request: DraftRequest | Mapping[str, Any], *, units: Units | None = None) -> DraftAnswer:
        """Ask what an implement pulls, whole and by tool.

        Parameters
        ----------
        request
            The implement, the soil and the speed.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.DRAFT, request, units)

    async def power(self, request: PowerRequest | Mapping[str, Any], *, units: Units | None = None) -> PowerAnswer:
        """Ask for the PTO and engine power that pulling, PTO drive, hydraulics and electrics take.

        Parameters
        ----------
        request
            What is pulled and driven.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.POWER, request, units)

    async def traction(
        self, request: TractionRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> TractionAnswer:
        """Ask how a tractor stands under a pull: slip, axle loads and tractive efficiency.

        Parameters
        ----------
        request
            The tractor, the soil and a pull or a slip.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.TRACTION, request, units)

    async def fuel(self, request: FuelRequest | Mapping[str, Any], *, units: Units | None = None) -> FuelAnswer:
        """Ask what fuel a load takes.

        Parameters
        ----------
        request
            The tractor's power and the load.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.FUEL, request, units)

    async def field_capacity(
        self, request: FieldCapacityRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> FieldCapacityAnswer:
        """Ask for the area worked in an hour, and the hours and days for a field.

        Parameters
        ----------
        request
            Width, speed, and how the field is worked.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.FIELD_CAPACITY, request, units)

    async def slip(self, request: SlipRequest | Mapping[str, Any], *, units: Units | None = None) -> SlipAnswer:
        """Ask for the slip behind wheel turns, times or distances.

        Parameters
        ----------
        request
            What was counted, timed or measured, loaded and unloaded.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.SLIP, request, units)

    async def completion(
        self, request: CompletionRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> CompletionAnswer:
        """Ask how likely work is done in time, when it will be, and what would help most.

        Parameters
        ----------
        request
            The work, the window, and how many days are fit for it.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.COMPLETION, request, units)

    async def cost(self, request: CostRequest | Mapping[str, Any], *, units: Units | None = None) -> CostAnswer:
        """Ask what work costs with machines of one's own, against hire, and which width costs least.

        Parameters
        ----------
        request
            The machines, the terms they are owned on, and the work of a year.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.COST, request, units)

    async def ballast(
        self, request: BallastRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> BallastAnswer:
        """Ask how heavy a tractor should be for its work, where the mass belongs, and what a wrong one costs.

        Parameters
        ----------
        request
            The tractor, an implement or a pull, the soil and the speed.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.BALLAST, request, units)

    async def system(self, request: SystemRequest | Mapping[str, Any], *, units: Units | None = None) -> SystemAnswer:
        """Ask for chains of passes on the same land, side by side: hours, fuel, cost, days and residue.

        Parameters
        ----------
        request
            The land, and two or more systems with their passes.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.SYSTEM, request, units)

    async def calibration(
        self, request: CalibrationRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> CalibrationAnswer:
        """Ask what runs in the field say of the draft and of the soil.

        Parameters
        ----------
        request
            The tractor, the implement, the soil and the runs.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.CALIBRATION, request, units)

    async def season(self, request: SeasonRequest | Mapping[str, Any], *, units: Units | None = None) -> SeasonAnswer:
        """Ask which tractor goes on which implement and field on which day, and whether it gets done.

        Parameters
        ----------
        request
            The fleet, the fields, the work and the days for it. A plan may take some seconds.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.SEASON, request, units)

    async def sensitivity(
        self, request: SensitivityRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> SensitivityAnswer:
        """Ask which uncertain input matters most to a match, and what to measure.

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
        return await self._call(operations.SENSITIVITY, request, units)

    async def hydraulics(
        self, request: HydraulicsRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> HydraulicsAnswer:
        """Ask what the functions of an implement take in oil, and whether pump and outlets give it.

        Parameters
        ----------
        request
            Pump and outlets, and what the oil moves.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.HYDRAULICS, request, units)

    async def hitch(self, request: HitchRequest | Mapping[str, Any], *, units: Units | None = None) -> HitchAnswer:
        """Ask whether hitch, drawbar, PTO, axles and tires suit a machine, on the road too.

        Parameters
        ----------
        request
            The tractor, its hitch and the machine.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.HITCH, request, units)

    async def curve_draft_by_tool(
        self, request: MatchRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> DraftByToolAnswer:
        """Ask for what each tool adds to the draft, at speeds around the match.

        Parameters
        ----------
        request
            A match request, with ground tools.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.CURVE_DRAFT_BY_TOOL, request, units)

    async def curve_finish_by_date(
        self, request: CompletionRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> FinishByDateAnswer:
        """Ask for the chance to be done by each date.

        Parameters
        ----------
        request
            A completion request.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.CURVE_FINISH_BY_DATE, request, units)

    async def curve_fit_map(
        self, request: MatchRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> FitMapAnswer:
        """Ask for which widths fit at which speeds, with how much to spare.

        Parameters
        ----------
        request
            A match request, with ground tools.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.CURVE_FIT_MAP, request, units)

    async def curve_power_by_speed(
        self, request: MatchRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> PowerBySpeedAnswer:
        """Ask for the PTO power needed at each speed, against what is usable.

        Parameters
        ----------
        request
            A match request.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.CURVE_POWER_BY_SPEED, request, units)

    async def curve_season_timeline(
        self, request: SeasonRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> SeasonTimelineAnswer:
        """Ask for the plan of a season as a timeline.

        Parameters
        ----------
        request
            A season request. A plan may take some seconds.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.CURVE_SEASON_TIMELINE, request, units)

    async def curve_slip_by_pull(
        self, request: MatchRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> SlipByPullAnswer:
        """Ask for slip and tractive efficiency under every pull the tractor carries.

        Parameters
        ----------
        request
            A match request, on wheels.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.CURVE_SLIP_BY_PULL, request, units)

    async def curve_soil_stress_by_depth(
        self, request: BallastRequest | Mapping[str, Any], *, units: Units | None = None
    ) -> SoilStressByDepthAnswer:
        """Ask for the stress in the soil under the tires, by depth.

        Parameters
        ----------
        request
            A ballast request, on wheels.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.CURVE_SOIL_STRESS_BY_DEPTH, request, units)

    async def sheet(self, request: MatchRequest | Mapping[str, Any], *, units: Units | None = None) -> SheetAnswer:
        """Ask for what to set, to watch and to change in the field, and what to write down in a trial run.

        Parameters
        ----------
        request
            A match request.
        units
            Units of this answer; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(operations.SHEET, request, units)

    async def reference_tables(self) -> TablesAnswer:
        """List the tables behind the answers."""
        return await self._call(operations.REFERENCE_TABLES)

    async def reference_table(self, table: str) -> WholeTableAnswer:
        """Read one table, whole.

        Parameters
        ----------
        table
            Id of the table, as `reference_tables` lists it.

        Raises
        ------
        NotFound
            If there is no such table.
        """
        return await self._call(operations.REFERENCE_TABLE, path={"table": table})

    async def methods(self, calculation: str) -> MethodsAnswer:
        """Read the equations behind a calculation.

        Parameters
        ----------
        calculation
            Which one, such as "match" or "field-capacity".

        Raises
        ------
        NotFound
            If there is no such calculation.
        """
        return await self._call(operations.METHODS, path={"calculation": calculation})

    async def sources(self) -> SourcesAnswer:
        """List the sources that answers cite."""
        return await self._call(operations.SOURCES)

    async def version(self) -> VersionAnswer:
        """Ask which version of the service and of its models answers here."""
        return await self._call(operations.VERSION)

    async def connect(self) -> VersionAnswer:
        """Ask which service this is and make sure that it offers all that this client asks for.

        Nobody has to call it; it turns a puzzling failure later into a plain one now.

        Raises
        ------
        Incompatible
            If the service is of another API or older than this client.
        ConnectionFailed
            If nothing answers.
        """
        return compatible(await self.version(), self._options.address)

    async def livez(self) -> HealthAnswer:
        """Ask whether the service is up, able to calculate or not."""
        return await self._call(operations.LIVEZ)

    async def ready(self) -> bool:
        """Ask once, without retries, whether the service can calculate now; False if it says that it cannot.

        Raises
        ------
        ConnectionFailed
            If nothing answers.
        """
        try:
            await self.with_options(retry=_ONCE)._call(operations.READYZ)
        except Busy:
            return False
        return True
