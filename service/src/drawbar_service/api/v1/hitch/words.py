"""The sentences of a hitch: value and limit of each check."""

from collections.abc import Callable, Mapping
from typing import Any

from drawbar_service.api.answers import Ledger
from drawbar_service.model.checks import Check
from drawbar_service.model.hitch_categories import Dimension, PowerRange
from drawbar_service.quantities import Force, Length, PartLength, Power, Quantity, Ratio, Width
from drawbar_service.reference import PtoRow


def detail(check: Check, ledger: Ledger) -> str:
    """Return value and limit of a `check` in words."""
    return _DETAILS[check.kind](check.figures, ledger)


def _values(kind: type[Quantity], template: str) -> Callable[[Mapping[str, Any], Ledger], str]:
    """Return what writes a `template` of value, limit and other figures, the first two as a `kind` of quantity."""

    def written(figures: Mapping[str, Any], ledger: Ledger) -> str:
        said = {name: ledger.say(kind.of(figures[name])) for name in ("value", "limit")}
        return template.format_map({**figures, **said})

    return written


def _three_point_of_power(figures: Mapping[str, Any], ledger: Ledger) -> str:
    ranges = " or ".join(_range(one, ledger) for one in figures["ranges"])
    power = ledger.say(Power.of(figures["power"]))
    return f"{figures['whose']} of category {figures['category']}, usual for {ranges}; PTO power {power}"


def _range(one: PowerRange, ledger: Ledger) -> str:
    low = ledger.say(Power(one.low))
    return f"{low} to {ledger.say(Power(one.high))}" if one.high is not None else f"{low} up"


def _three_points_meet(figures: Mapping[str, Any], ledger: Ledger) -> str:
    differs = ", ".join(_dimension(one, ledger) for one in figures["differs"])
    detail = f"machine of category {figures['machine']} on a hitch of category {figures['tractor']}"
    return f"{detail}: {differs}" if differs else detail


def _dimension(one: Dimension, ledger: Ledger) -> str:
    return f"{one.what} {ledger.say(PartLength(one.machine))} on {ledger.say(PartLength(one.tractor))}"


def _drawbars_meet(figures: Mapping[str, Any], ledger: Ledger) -> str:
    differ = "" if figures["kept"] else ": pin, clevis and strength differ"
    return f"tongue of category {figures['machine']} on a drawbar of category {figures['tractor']}{differ}"


def _pto_speed(figures: Mapping[str, Any], ledger: Ledger) -> str:
    turning = " and ".join(f"{speed:.0f}" for speed in sorted(set(figures["speeds"])))
    return f"machine for {figures['speed']:.0f} r/min, {figures['whose']} turns at {turning} r/min"


def _pto_type(figures: Mapping[str, Any], ledger: Ledger) -> str:
    row: PtoRow = figures["row"]
    shaft = f"{row.id} ({row.speed_r_min:.0f} r/min, {row.splines} splines, {row.shaft_mm:g} mm)"
    return f"shaft of type {shaft} on a tractor with type {' and '.join(sorted(set(figures['types'])))}"


def _mass_ratio(figures: Mapping[str, Any], ledger: Ledger) -> str:
    ratio, most = figures["value"], figures["limit"]
    return f"machine {ratio:.3g} times as heavy as the tractor, at most {most:.3g} with the brakes it has"


_DETAILS: Mapping[str, Callable[[Mapping[str, Any], Ledger], str]] = {
    "three-point-of-power": _three_point_of_power,
    "three-points-meet": _three_points_meet,
    "drawbar-of-power": _values(Power, "{whose} of drawbar category {category}, up to {limit}; PTO power {value}"),
    "drawbars-meet": _drawbars_meet,
    "pto-speed": _pto_speed,
    "pto-type": _pto_type,
    "pto-power-rated": _values(Power, "{value} taken, {limit} rated"),
    "pto-power-of-type": _values(Power, "{value} through type {type}, recommended up to {limit}"),
    "tongue-share-least": _values(Ratio, "{value} of the machine's weight on the hitch, at least {limit}"),
    "tongue-share-most": _values(Ratio, "{value} of the machine's weight on the hitch, at most {limit}"),
    "hitch-load": _values(Force, "{value} on the hitch, at most {limit}"),
    "front-axle": _values(Ratio, "{value} of the tractor's weight on its front axle, at least {limit}"),
    "tire-load": _values(Force, "{axle} axle: {value} on tires for {limit}"),
    "width": _values(Width, "{value} wide, at most {limit}"),
    "length": _values(Length, "{value} long, at most {limit}"),
    "mass-ratio": _mass_ratio,
}
