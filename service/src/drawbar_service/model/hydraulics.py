"""What the functions of an implement take in oil together, against pump and outlets of a tractor."""

from collections.abc import Sequence
from typing import NamedTuple, Protocol

import numpy as np

from drawbar_service.engine.arrays import Mask, Real, choose, greatest_at, larger, total
from drawbar_service.engine.hydraulics import PumpPoint, fixed_pump, load_sensing_pump, pump_flow
from drawbar_service.model.checks import Check, at_most
from drawbar_service.model.findings import Findings
from drawbar_service.model.hydraulic_functions import (
    CylindersAtWork,
    FunctionAtWork,
    HydraulicFunction,
    function_at_work,
)
from drawbar_service.rows import text_at

OUT_OF_PHASE = 0.02
"""Difference in travel [1] that phasing cylinders still make good at the end of the stroke (common practice)."""
_STEPS = 1e9
"""Steps of a difference in travel from 0 to 1 that count: the last bits of a chain in step are no difference."""


class TractorHydraulics(Protocol):
    """Pump and outlets of a tractor; flow, or displacement and rotation are given."""

    @property
    def pump(self) -> str:
        """Fixed or load-sensing."""
        ...

    @property
    def flow(self) -> float | None:
        """Of the pump at full throttle [m^3/s]."""
        ...

    @property
    def displacement(self) -> float | None:
        """Swept in one turn [m^3]."""
        ...

    @property
    def rotation(self) -> float | None:
        """Of the pump at full throttle [rad/s]."""
        ...

    @property
    def volumetric_efficiency(self) -> float | None:
        """Flow out over volume swept [1]."""
        ...

    @property
    def engine_speed(self) -> float | None:
        """Over full-throttle speed [1]."""
        ...

    @property
    def pressure(self) -> float:
        """Relief pressure, or the highest of a load-sensing pump [Pa]."""
        ...

    @property
    def margin(self) -> float | None:
        """What a load-sensing pump keeps above the highest load [Pa]."""
        ...

    @property
    def return_pressure(self) -> float | None:
        """In the return line [Pa]."""
        ...

    @property
    def outlets(self) -> int | None:
        """There are [1]."""
        ...

    @property
    def outlet_flow(self) -> float | None:
        """Most through one outlet [m^3/s]."""
        ...

    @property
    def pump_efficiency(self) -> float | None:
        """Fluid power over power into the pump [1]."""
        ...

    @property
    def cooling(self) -> float | None:
        """Heat the oil cooler carries away [W]."""
        ...


class OnHydraulics(Protocol):
    """A tractor's hydraulics and what hangs on them."""

    @property
    def tractor(self) -> TractorHydraulics:
        """Pump and outlets."""
        ...

    @property
    def functions(self) -> Sequence[HydraulicFunction]:
        """What the oil moves."""
        ...

    @property
    def all_at_once(self) -> bool:
        """Whether functions used in turn may all be moved at once."""
        ...


class Duty(NamedTuple):
    """Functions that run together, and what that asks of the pump, whether it has it or not."""

    name: str
    pointer: str
    functions: list[FunctionAtWork]
    point: PumpPoint

    @property
    def is_constant(self) -> bool:
        """Whether all of them run all the time."""
        return all(one.constant for one in self.functions)

    @property
    def flow(self) -> Real:
        """What they take [m^3/s]."""
        return total(one.flow for one in self.functions)

    @property
    def useful_power(self) -> Real:
        """What reaches them [W]."""
        return total(one.power for one in self.functions)


class OilAtWork(NamedTuple):
    """What the functions of an implement take, and what that asks of the tractor."""

    available: Real
    """Flow of the pump at the engine speed [m^3/s]"""
    margin: Real
    """What the pump keeps above the highest load [Pa]"""
    efficiency: Real
    """Fluid power over power into the pump [1]"""
    functions: list[FunctionAtWork]
    duties: list[Duty]
    """The constant, then each in turn."""


def oil_at_work(given: OnHydraulics, found: Findings) -> OilAtWork:
    """Return what functions take together; assumptions, warnings and faults go to `found`.

    Raises
    ------
    Impossible
        If there are faults.
    """
    tractor = given.tractor
    available = _available_flow(tractor, found)
    margin: Real = 0.0
    if tractor.pump == "load-sensing":
        margin = found.fallback(tractor.margin, "/tractor/margin", "load_sensing_margin")
    elif tractor.margin is not None:
        found.warn("margin-of-fixed-pump", "/tractor/margin")
    back: Real = 0.0 if tractor.return_pressure is None else tractor.return_pressure
    functions = [
        function_at_work(one, index + 1, back, tractor.pressure, found, f"/functions/{index}")
        for index, one in enumerate(given.functions)
    ]
    efficiency = found.fallback(tractor.pump_efficiency, "/tractor/pump_efficiency", "pump_efficiency")
    found.stop_at_faults()
    found.use("hydraulics-pages", "derived")
    _say_of_oil(given, found)
    duties = [
        Duty(name, pointer, running, _pump(running, tractor, available, margin))
        for name, pointer, running in _running_together(functions, bool(given.all_at_once))
    ]
    return OilAtWork(available, margin, efficiency, functions, duties)


def oil_checks(oil: OilAtWork, tractor: TractorHydraulics) -> list[Check]:
    """Return every limit of a `tractor` that can be checked."""
    checks: list[Check] = []
    if tractor.outlets is not None:
        checks.append(at_most("outlets", "outlets", "/tractor/outlets", _outlets(oil.functions), tractor.outlets))
    for duty in oil.duties:
        checks += _duty_checks(duty, oil, tractor)
    for one in oil.functions:
        off = _out_of_phase(one.cylinders) if one.cylinders is not None else 0.0
        if off > 0.0:
            place = f"{one.pointer}/cylinders/each"
            checks.append(at_most("phasing", "phasing", place, off, OUT_OF_PHASE, label=one.label))
    if tractor.cooling is not None and oil.duties[0].is_constant:
        heat = oil.duties[0].point.heat()
        checks.append(at_most("cooling", "cooling", "/tractor/cooling", heat, tractor.cooling))
    return checks


def sharing_outlet(one: FunctionAtWork, functions: Sequence[FunctionAtWork]) -> list[Mask]:
    """Return which of the `functions` hang on the outlet of `one`, itself included."""
    return [
        other is one or (one.outlet is not None and other.outlet is not None and other.outlet == one.outlet)
        for other in functions
    ]


def _available_flow(tractor: TractorHydraulics, found: Findings) -> Real:
    missing = (tractor.displacement, tractor.rotation).count(None)
    if missing != (2 if tractor.flow is not None else 0):
        found.fault("pump-flow-once", "/tractor")
        return 1.0
    full: Real = 1.0
    if tractor.flow is not None:
        full = tractor.flow
    elif tractor.displacement is not None and tractor.rotation is not None:
        efficiency = found.fallback(
            tractor.volumetric_efficiency, "/tractor/volumetric_efficiency", "pump_volumetric_efficiency"
        )
        full = pump_flow(tractor.displacement, tractor.rotation, efficiency)
    return full * found.fallback(tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")


def _say_of_oil(given: OnHydraulics, found: Findings) -> None:
    found.warn("oil-under-pressure", "")
    if given.tractor.pump == "fixed":
        found.warn("over-relief", "/tractor/pump")
    if any(one.motor is not None for one in given.functions) and given.tractor.return_pressure is None:
        found.warn("motor-return", "/tractor/return_pressure")


def _running_together(
    functions: list[FunctionAtWork], all_at_once: bool
) -> list[tuple[str, str, list[FunctionAtWork]]]:
    constant = [one for one in functions if one.constant]
    in_turn = [one for one in functions if not one.constant]
    together = [("constant", "/functions", constant)] if constant else []
    if all_at_once and in_turn:
        return [*together, ("all at once", "/functions", functions)]
    return [*together, *((one.label, one.pointer, [*constant, one]) for one in in_turn)]


def _pump(running: list[FunctionAtWork], tractor: TractorHydraulics, available: Real, margin: Real) -> PumpPoint:
    flow, useful = total(one.flow for one in running), total(one.power for one in running)
    highest = running[0].pressure
    for one in running[1:]:
        highest = larger(highest, one.pressure)
    if tractor.pump == "fixed":
        return fixed_pump(flow, highest, useful, available, tractor.pressure)
    return load_sensing_pump(flow, highest, useful, margin)


def _outlets(functions: Sequence[FunctionAtWork]) -> Real:
    """Return how many outlets are wanted [1]: one for each function that shares that of none before it."""
    wanted: Real = 0.0
    for at, one in enumerate(functions):
        new: Real = 1.0
        for shared in sharing_outlet(one, functions[:at]):
            new = choose(shared, 0.0, new)
        wanted = wanted + new
    return wanted


def _duty_checks(duty: Duty, oil: OilAtWork, tractor: TractorHydraulics) -> list[Check]:
    checks = [at_most("pump-flow", "pump-flow", duty.pointer, duty.flow, oil.available, duty=duty)]
    at, highest = greatest_at([one.pressure for one in duty.functions])
    pointer = text_at(at, [one.pointer for one in duty.functions])
    needed = highest + oil.margin
    checks.append(
        at_most("pressure", "pressure", pointer, needed, tractor.pressure, duty=duty, at=at, margin=oil.margin)
    )
    if tractor.outlet_flow is not None:
        at, through = greatest_at([_flow_of_outlet(one, duty.functions) for one in duty.functions])
        pointer = text_at(at, [one.pointer for one in duty.functions])
        checks.append(at_most("outlet-flow", "outlet-flow", pointer, through, tractor.outlet_flow, duty=duty, at=at))
    return checks


def _flow_of_outlet(one: FunctionAtWork, functions: Sequence[FunctionAtWork]) -> Real:
    """Return the flow [m^3/s] through the outlet of a function."""
    shared = sharing_outlet(one, functions)
    return total(choose(here, other.flow, 0.0) for here, other in zip(shared, functions, strict=True))


def _out_of_phase(moved: CylindersAtWork) -> Real:
    """Return the greatest difference in travel from that of the first cylinder [1]."""
    first = moved.each[0].stroke
    off: Real = 0.0
    for one in moved.each:
        off = larger(off, abs(one.stroke / first - 1.0))
    rounded = np.rint(off * _STEPS) / _STEPS
    return rounded if isinstance(off, np.ndarray) else float(rounded)
