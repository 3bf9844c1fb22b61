"""POST /v1/hydraulics: what the functions of an implement take in oil, against pump and outlets."""

from typing import Annotated, Any, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.checks import CheckAnswer, Checks, Fits, at_most
from drawbar_service.api.v1.hydraulics.functions import (
    CylindersAnswer,
    FunctionInSI,
    HydraulicFunction,
    OutletNumber,
    function_in_si,
)
from drawbar_service.engine.hydraulics import PumpPoint, fixed_pump, load_sensing_pump, pump_flow
from drawbar_service.engine.power import input_power
from drawbar_service.quantities import (
    Displacement,
    Efficiency,
    EngineSpeedRatio,
    Flow,
    OilPressure,
    Power,
    RatedPower,
    Ratio,
    Rotation,
)

PumpKind: TypeAlias = Literal["fixed", "load-sensing"]

OUT_OF_PHASE = 0.02
"""Difference in travel [1] that phasing cylinders still make good at the end of the stroke (common practice)."""


class TractorHydraulics(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Pump and outlets of the tractor. Give `flow`, or `displacement` and `rotation`."""

    pump: Annotated[
        PumpKind,
        Meta(
            description="`fixed`: what no function takes goes over the relief valve. `load-sensing`: the pump "
            "gives what is taken, at the highest load and a margin."
        ),
    ]
    flow: Annotated[
        Flow | None, Meta(description="Flow of the pump at full throttle, for the outlets.", examples=["115 L/min"])
    ] = None
    displacement: Annotated[Displacement | None, Meta(description="What the pump sweeps in one turn.")] = None
    rotation: Annotated[Rotation | None, Meta(description="Speed of the pump at full throttle.")] = None
    volumetric_efficiency: Annotated[
        Efficiency | None, Meta(description="Flow out over volume swept, with `displacement`.")
    ] = None
    engine_speed: Annotated[
        EngineSpeedRatio | None, Meta(description="Engine speed over full-throttle speed; flow goes with it.")
    ] = None
    pressure: Annotated[
        OilPressure,
        Meta(description="Relief pressure, or the highest of a load-sensing pump.", examples=["200 bar"]),
    ]
    margin: Annotated[
        OilPressure | None, Meta(description="What a load-sensing pump keeps above the highest load.")
    ] = None
    return_pressure: Annotated[
        OilPressure | None, Meta(description="Pressure in the return line. Left out: oil returns freely.")
    ] = None
    outlets: Annotated[OutletNumber | None, Meta(description="Outlets there are, each a pair of couplers.")] = None
    outlet_flow: Annotated[Flow | None, Meta(description="Most flow through one outlet.")] = None
    pump_efficiency: Annotated[Efficiency | None, Meta(description="Fluid power over power into the pump.")] = None
    cooling: Annotated[RatedPower | None, Meta(description="Heat the oil cooler carries away.")] = None


FunctionList = Annotated[list[HydraulicFunction], Meta(min_length=1, max_length=16)]


class HydraulicsRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor's hydraulics and what hangs on them."""

    tractor: Annotated[TractorHydraulics, Meta(description="Pump and outlets.")]
    functions: Annotated[FunctionList, Meta(description="What the oil moves.")]
    all_at_once: Annotated[
        bool, Meta(description="Whether functions used in turn may all be moved at once; else one at a time.")
    ] = False


class FunctionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What one function takes at the outlet."""

    name: Annotated[str, Meta(description="As in the request.")]
    constant: Annotated[bool, Meta(description="Whether it runs all the time; else in turn.")]
    flow: Annotated[Flow, Meta(description="Flow.")]
    pressure: Annotated[OilPressure, Meta(description="Pressure, that of the return line included.")]
    power: Annotated[Power, Meta(description="Flow times pressure.")]
    cylinders: Annotated[CylindersAnswer | None, Meta(description="Its cylinders, if it has any.")]


class DutyAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Functions that run together, and what that asks of the pump, whether it has it or not."""

    name: Annotated[str, Meta(description="`constant`, `all at once`, or the function moved besides what is constant.")]
    functions: Annotated[list[str], Meta(description="Which functions run (JSON Pointers).")]
    needed_flow: Annotated[Flow, Meta(description="What they take together.")]
    pump_flow: Annotated[Flow, Meta(description="What the pump moves: more, if it is fixed.")]
    pump_pressure: Annotated[OilPressure, Meta(description="Pressure of the pump.")]
    useful_power: Annotated[Power, Meta(description="What reaches the functions.")]
    over_relief: Annotated[Power, Meta(description="Heat of the flow over the relief valve.")]
    throttled: Annotated[Power, Meta(description="Heat of flow throttled to the pressure of each function.")]
    heat: Annotated[Power, Meta(description="Both.")]
    pto_power: Annotated[Power, Meta(description="Into the pump: fluid power over its efficiency.")]


class OilForMatch(msgspec.Struct, frozen=True, kw_only=True):
    """Oil that flows all the time, as `/v1/match` and `/v1/power` take it under `hydraulic`."""

    name: Annotated[str, Meta(description="What it is.")]
    flow: Annotated[Flow, Meta(description="Flow of the pump.")]
    pressure: Annotated[OilPressure, Meta(description="Pressure of the pump.")]


class HydraulicsAnswer(Answer, frozen=True, kw_only=True):
    """What the functions take and whether the tractor gives it."""

    fits: Fits
    checks: Checks
    available_flow: Annotated[Flow, Meta(description="Flow of the pump at the engine speed.")]
    functions: Annotated[list[FunctionAnswer], Meta(description="Each function, in the order of the request.")]
    duties: Annotated[list[DutyAnswer], Meta(description="What runs together: the constant, then each in turn.")]
    for_match: Annotated[
        list[OilForMatch],
        Meta(description="What is constant, heat included: goes into `hydraulic` of the implement of `/v1/match`."),
    ]
    about: AboutField


class _Duty(NamedTuple):
    """Functions that run together."""

    name: str
    pointer: str
    functions: list[FunctionInSI]
    point: PumpPoint

    @property
    def is_constant(self) -> bool:
        """Whether all of them run all the time."""
        return all(one.use == "constant" for one in self.functions)

    @property
    def flow(self) -> float:
        """What they take [m^3/s]."""
        return sum(one.flow for one in self.functions)


def compute(request: HydraulicsRequest, ledger: Ledger) -> HydraulicsAnswer:
    """Answer a hydraulics request."""
    tractor = request.tractor
    available = _available_flow(tractor, ledger)
    margin = 0.0
    if tractor.pump == "load-sensing":
        margin = ledger.fallback(tractor.margin, "/tractor/margin", "load_sensing_margin", OilPressure)
    elif tractor.margin is not None:
        ledger.warn("not-used", "/tractor/margin", "Only a load-sensing pump keeps a margin.")
    back = float(tractor.return_pressure or 0.0)
    functions = [
        function_in_si(one, back, float(tractor.pressure), ledger, f"/functions/{index}")
        for index, one in enumerate(request.functions)
    ]
    efficiency = ledger.fallback(tractor.pump_efficiency, "/tractor/pump_efficiency", "pump_efficiency")
    ledger.stop_at_faults()
    ledger.use("hydraulics-pages", "derived")
    _notes(request, ledger)
    duties = [
        _Duty(name, pointer, running, _pump(running, tractor, available, margin))
        for name, pointer, running in _running_together(functions, request.all_at_once)
    ]
    checks = _checks(functions, duties, tractor, available, margin, ledger)
    return HydraulicsAnswer(
        fits=all(check.kept for check in checks),
        checks=checks,
        available_flow=Flow(available),
        functions=[_function_answer(one, given) for one, given in zip(functions, request.functions, strict=True)],
        duties=[_duty_answer(duty, efficiency) for duty in duties],
        for_match=[
            OilForMatch(
                name="constant oil",
                flow=Flow(float(duty.point.flow)),
                pressure=OilPressure(float(duty.point.pressure)),
            )
            for duty in duties
            if duty.is_constant
        ],
        about=ledger.about(),
    )


def _available_flow(tractor: TractorHydraulics, ledger: Ledger) -> float:
    swept = (tractor.displacement, tractor.rotation)
    missing = swept.count(None)
    if missing != (2 if tractor.flow is not None else 0):
        ledger.fault("/tractor", "give flow, or displacement and rotation of the pump")
        return 1.0
    if tractor.flow is not None:
        full = float(tractor.flow)
    else:
        efficiency = ledger.fallback(
            tractor.volumetric_efficiency, "/tractor/volumetric_efficiency", "pump_volumetric_efficiency"
        )
        full = float(pump_flow(float(tractor.displacement or 0.0), float(tractor.rotation or 0.0), efficiency))
    return full * ledger.fallback(tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")


def _notes(request: HydraulicsRequest, ledger: Ledger) -> None:
    ledger.warn(
        "check-safety",
        "",
        "Before opening a coupler or a line: lower the machine or lock it up, stop the engine, let the pressure off. "
        "A jet of oil goes through skin.",
    )
    if request.tractor.pump == "fixed":
        ledger.warn(
            "rough-estimate",
            "/tractor/pump",
            "What no function takes is reckoned over the relief valve. Where a valve lets it by at the pressure of the "
            "load, heat and power are less.",
        )
    if any(one.motor is not None for one in request.functions) and request.tractor.return_pressure is None:
        ledger.warn(
            "rough-estimate",
            "/tractor/return_pressure",
            "Pressure in the return line adds to what a motor needs. Lead its return, and its case drain if it has "
            "one, freely to the sump.",
        )


def _running_together(functions: list[FunctionInSI], all_at_once: bool) -> list[tuple[str, str, list[FunctionInSI]]]:
    constant = [one for one in functions if one.use == "constant"]
    in_turn = [one for one in functions if one.use == "in-turn"]
    together = [("constant", "/functions", constant)] if constant else []
    if all_at_once and in_turn:
        return [*together, ("all at once", "/functions", functions)]
    return [*together, *((one.label, one.pointer, [*constant, one]) for one in in_turn)]


def _pump(running: list[FunctionInSI], tractor: TractorHydraulics, available: float, margin: float) -> PumpPoint:
    flow, useful = sum(one.flow for one in running), sum(one.power for one in running)
    highest = max(one.pressure for one in running)
    if tractor.pump == "fixed":
        return fixed_pump(flow, highest, useful, available, float(tractor.pressure))
    return load_sensing_pump(flow, highest, useful, margin)


def _checks(
    functions: list[FunctionInSI],
    duties: list[_Duty],
    tractor: TractorHydraulics,
    available: float,
    margin: float,
    ledger: Ledger,
) -> list[CheckAnswer]:
    checks: list[CheckAnswer] = []
    if tractor.outlets is not None:
        wanted = len({one.outlet for one in functions if one.outlet is not None})
        wanted += sum(one.outlet is None for one in functions)
        detail = f"{wanted} outlets wanted, {tractor.outlets} there"
        checks.append(at_most("outlets", wanted, tractor.outlets, "/tractor/outlets", detail))
    for duty in duties:
        checks += _duty_checks(duty, tractor, available, margin, ledger)
    for one in functions:
        if one.cylinders is None:
            continue
        first = float(one.cylinders.each[0].stroke)
        # Rounded, so that the last bits of a chain in step are not told as a difference.
        off = round(max(abs(float(cylinder.stroke) / first - 1.0) for cylinder in one.cylinders.each), 9)
        if off > 0.0:
            detail = (
                f"{one.label}: travel in series differs by {ledger.say(Ratio(off))}; the end of the stroke makes "
                f"{ledger.say(Ratio(OUT_OF_PHASE))} good; each piston should equal the rod side of the one before"
            )
            checks.append(at_most("phasing", off, OUT_OF_PHASE, f"{one.pointer}/cylinders/each", detail))
    if tractor.cooling is not None and duties[0].is_constant:
        heat, most = Power(float(duties[0].point.heat())), tractor.cooling
        detail = f"{ledger.say(heat)} of heat all the time, {ledger.say(most)} carried away"
        checks.append(at_most("cooling", heat, most, "/tractor/cooling", detail))
    return checks


def _duty_checks(
    duty: _Duty, tractor: TractorHydraulics, available: float, margin: float, ledger: Ledger
) -> list[CheckAnswer]:
    detail = f"{duty.name}: {ledger.say(Flow(duty.flow))} of {ledger.say(Flow(available))}{_slower(duty, available)}"
    checks = [at_most("pump-flow", duty.flow, available, duty.pointer, detail)]
    highest = max(duty.functions, key=lambda one: one.pressure)
    needed = highest.pressure + margin
    kept = f", {ledger.say(OilPressure(margin))} margin included" if margin else ""
    detail = (
        f"{duty.name}: {ledger.say(OilPressure(needed))} for {highest.label}{kept}, of {ledger.say(tractor.pressure)}"
    )
    checks.append(at_most("pressure", needed, tractor.pressure, highest.pointer, detail))
    if tractor.outlet_flow is not None:
        shared: dict[object, list[FunctionInSI]] = {}
        for one in duty.functions:
            shared.setdefault(one.pointer if one.outlet is None else one.outlet, []).append(one)
        through = max(shared.values(), key=lambda group: sum(one.flow for one in group))
        flow = Flow(sum(one.flow for one in through))
        detail = (
            f"{duty.name}: {ledger.say(flow)} through the outlet of {' and '.join(one.label for one in through)}, of "
            f"{ledger.say(tractor.outlet_flow)}"
        )
        checks.append(at_most("outlet-flow", flow, tractor.outlet_flow, through[0].pointer, detail))
    return checks


def _slower(duty: _Duty, available: float) -> str:
    """Say how long the last stroke takes where the pump is short of it."""
    last = duty.functions[-1]
    left = available - (duty.flow - last.flow)
    if not last.time or duty.flow <= available or duty.pointer != last.pointer:
        return ""
    if left <= 0.0:
        return "; nothing is left to move it"
    return f"; its {last.time:.3g} s would become {last.time * last.flow / left:.3g} s"


def _function_answer(one: FunctionInSI, given: HydraulicFunction) -> FunctionAnswer:
    return FunctionAnswer(
        name=given.name,
        constant=one.use == "constant",
        flow=Flow(one.flow),
        pressure=OilPressure(one.pressure),
        power=Power(one.power),
        cylinders=one.cylinders,
    )


def _duty_answer(duty: _Duty, efficiency: float) -> DutyAnswer:
    point = duty.point
    return DutyAnswer(
        name=duty.name,
        functions=[one.pointer for one in duty.functions],
        needed_flow=Flow(duty.flow),
        pump_flow=Flow(float(point.flow)),
        pump_pressure=OilPressure(float(point.pressure)),
        useful_power=Power(sum(one.power for one in duty.functions)),
        over_relief=Power(float(point.over_relief)),
        throttled=Power(float(point.throttled)),
        heat=Power(float(point.heat())),
        pto_power=Power(float(input_power(float(point.power()), efficiency))),
    )


_EXAMPLE: dict[str, Any] = {
    "tractor": {
        "pump": "load-sensing",
        "flow": "115 L/min",
        "pressure": "200 bar",
        "outlets": 4,
        "outlet_flow": "95 L/min",
    },
    "functions": [
        {"name": "disk gang", "steady": {"flow": "11 L/min", "pressure": "35 bar"}},
        {
            "name": "lift",
            "cylinders": {
                "series": True,
                "stroke": "200 mm",
                "time": "3 s",
                "each": [
                    {"bore": "102 mm", "rod": "40 mm", "load": "35 kN"},
                    {"bore": "93.8 mm", "rod": "40 mm", "load": "35 kN"},
                ],
            },
        },
        {
            "name": "fold",
            "cylinders": {
                "stroke": "800 mm",
                "time": "12 s",
                "each": [{"bore": "100 mm", "rod": "50 mm", "count": 2, "load": "60 kN"}],
            },
        },
    ],
}

HYDRAULICS = Calculation(
    name="hydraulics",
    request=HydraulicsRequest,
    answer=HydraulicsAnswer,
    compute=compute,
    summary="Oil: flow, pressure and heat against pump and outlets",
    description=(
        "Flow, pressure and power of each function: steady oil, motors, cylinders side by side or in series. Then what "
        "runs together, against the flow and pressure of the pump, the flow of one outlet and the number of outlets, "
        "with the heat over the relief valve and in throttles. What is constant comes back as `hydraulic` of a match."
    ),
    example=_EXAMPLE,
    columns=(
        "/fits",
        "/available_flow",
    ),
)
