"""The sentences of hydraulics: value and limit of each check."""

from collections.abc import Callable, Mapping
from typing import Any

from drawbar_service.api.answers import Ledger
from drawbar_service.model.checks import Check
from drawbar_service.model.hydraulics import OUT_OF_PHASE, Duty, sharing_outlet
from drawbar_service.quantities import Flow, OilPressure, Power, Ratio


def detail(check: Check, ledger: Ledger) -> str:
    """Return value and limit of a `check` in words."""
    return _DETAILS[check.kind](check.figures, ledger)


def _outlets(figures: Mapping[str, Any], ledger: Ledger) -> str:
    return f"{figures['value']:.0f} outlets wanted, {figures['limit']:.0f} there"


def _pump_flow(figures: Mapping[str, Any], ledger: Ledger) -> str:
    duty: Duty = figures["duty"]
    needed, available = Flow.of(duty.flow), Flow.of(figures["limit"])
    return f"{duty.name}: {ledger.say(needed)} of {ledger.say(available)}{_slower(duty, available)}"


def _slower(duty: Duty, available: float) -> str:
    """Say how long the last stroke takes where the pump is short of it."""
    last = duty.functions[-1]
    left = available - (duty.flow - last.flow)
    if last.time is None or duty.flow <= available or duty.pointer != last.pointer:
        return ""
    if left <= 0.0:
        return "; nothing is left to move it"
    return f"; its {last.time:.3g} s would become {last.time * last.flow / left:.3g} s"


def _pressure(figures: Mapping[str, Any], ledger: Ledger) -> str:
    duty, margin = figures["duty"], figures["margin"]
    label = duty.functions[int(figures["at"])].label
    kept = f", {ledger.say(OilPressure.of(margin))} margin included" if margin else ""
    needed, most = OilPressure.of(figures["value"]), OilPressure.of(figures["limit"])
    return f"{duty.name}: {ledger.say(needed)} for {label}{kept}, of {ledger.say(most)}"


def _outlet_flow(figures: Mapping[str, Any], ledger: Ledger) -> str:
    duty: Duty = figures["duty"]
    shared = sharing_outlet(duty.functions[int(figures["at"])], duty.functions)
    labels = " and ".join(one.label for one, here in zip(duty.functions, shared, strict=True) if here)
    flow, most = Flow.of(figures["value"]), Flow.of(figures["limit"])
    return f"{duty.name}: {ledger.say(flow)} through the outlet of {labels}, of {ledger.say(most)}"


def _phasing(figures: Mapping[str, Any], ledger: Ledger) -> str:
    return (
        f"{figures['label']}: travel in series differs by {ledger.say(Ratio.of(figures['value']))}; the end of the "
        f"stroke makes {ledger.say(Ratio(OUT_OF_PHASE))} good; each piston should equal the rod side of the one before"
    )


def _cooling(figures: Mapping[str, Any], ledger: Ledger) -> str:
    heat, most = Power.of(figures["value"]), Power.of(figures["limit"])
    return f"{ledger.say(heat)} of heat all the time, {ledger.say(most)} carried away"


_DETAILS: Mapping[str, Callable[[Mapping[str, Any], Ledger], str]] = {
    "outlets": _outlets,
    "pump-flow": _pump_flow,
    "pressure": _pressure,
    "outlet-flow": _outlet_flow,
    "phasing": _phasing,
    "cooling": _cooling,
}
