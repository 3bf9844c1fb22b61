"""What is answered: what each function takes, what runs together, and whether the tractor gives it."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.shared.checks import Checks, Fits, check_answers
from drawbar_service.api.v1.hydraulics import words
from drawbar_service.engine.arrays import Real, truth
from drawbar_service.engine.power import input_power
from drawbar_service.model.checks import Check, all_kept
from drawbar_service.model.hydraulic_functions import CylindersAtWork, FunctionAtWork
from drawbar_service.model.hydraulics import Duty, OilAtWork
from drawbar_service.quantities import (
    Flow,
    Force,
    OilPressure,
    PartLength,
    Power,
    StrokeTime,
    Volume,
)


class CylinderAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One of the cylinders."""

    pressure: Annotated[OilPressure | None, Meta(description="At its inlet under its load; null without loads.")]
    stroke: Annotated[PartLength, Meta(description="How far it travels.")]
    extend_force: Annotated[
        Force, Meta(description="Its push at the tractor's pressure, all of it; in series less is left for each.")
    ]
    retract_force: Annotated[Force | None, Meta(description="Its pull at that pressure; null if single-acting.")]


class CylindersAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Cylinders that move together."""

    volume: Annotated[Volume, Meta(description="Oil to extend them.")]
    retract_time: Annotated[
        StrokeTime | None, Meta(description="To retract at the same flow; null if any is single-acting.")
    ]
    return_flow: Annotated[
        Flow | None, Meta(description="Oil that comes back meanwhile, more than goes in; null likewise.")
    ]
    each: Annotated[list[CylinderAnswer], Meta(description="In the order of the request.")]


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


def answer_of(oil: OilAtWork, checks: list[Check], ledger: Ledger) -> HydraulicsAnswer:
    """Return the answer for what functions take and the limits it was held against."""
    return HydraulicsAnswer(
        fits=truth(all_kept(checks)),
        checks=check_answers(checks, words.detail, ledger),
        available_flow=Flow.of(oil.available),
        functions=[_function(one) for one in oil.functions],
        duties=[_duty(duty, oil.efficiency) for duty in oil.duties],
        for_match=[
            OilForMatch(
                name="constant oil", flow=Flow.of(duty.point.flow), pressure=OilPressure.of(duty.point.pressure)
            )
            for duty in oil.duties
            if duty.is_constant
        ],
        about=ledger.about(),
    )


def _function(one: FunctionAtWork) -> FunctionAnswer:
    return FunctionAnswer(
        name=one.name,
        constant=one.constant,
        flow=Flow.of(one.flow),
        pressure=OilPressure.of(one.pressure),
        power=Power.of(one.power),
        cylinders=_cylinders(one.cylinders) if one.cylinders is not None else None,
    )


def _cylinders(moved: CylindersAtWork) -> CylindersAnswer:
    return CylindersAnswer(
        volume=Volume.of(moved.volume),
        retract_time=StrokeTime.of(moved.retract_time) if moved.retract_time is not None else None,
        return_flow=Flow.of(moved.return_flow) if moved.return_flow is not None else None,
        each=[
            CylinderAnswer(
                pressure=OilPressure.of(one.pressure) if one.pressure is not None else None,
                stroke=PartLength.of(one.stroke),
                extend_force=Force.of(one.extend_force),
                retract_force=Force.of(one.retract_force) if one.retract_force is not None else None,
            )
            for one in moved.each
        ],
    )


def _duty(duty: Duty, efficiency: Real) -> DutyAnswer:
    point = duty.point
    return DutyAnswer(
        name=duty.name,
        functions=[one.pointer for one in duty.functions],
        needed_flow=Flow.of(duty.flow),
        pump_flow=Flow.of(point.flow),
        pump_pressure=OilPressure.of(point.pressure),
        useful_power=Power.of(duty.useful_power),
        over_relief=Power.of(point.over_relief),
        throttled=Power.of(point.throttled),
        heat=Power.of(point.heat()),
        pto_power=Power.of(input_power(point.power(), efficiency)),
    )
