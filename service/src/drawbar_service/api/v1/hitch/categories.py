"""Categories of three-point hitch, drawbar and PTO: what suits a power, and what goes together."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.checks import CheckAnswer, at_most, yes_or_no
from drawbar_service.api.shared.implement import Hitch
from drawbar_service.engine.tire import METRES_PER_INCH
from drawbar_service.quantities import DIMENSIONS, Length, Mass, PartLength, Power, Pull, Rotation, Share
from drawbar_service.reference import DRAWBAR, PTO, THREE_POINT, PtoRow, ThreePointRow

ThreePointCategory: TypeAlias = Literal["0", "1N", "1", "2N", "2", "3N", "3", "4N", "4"]
DrawbarCategory: TypeAlias = Literal["0", "1", "2", "3", "4", "5"]
PtoType: TypeAlias = Literal["1", "2", "3", "4"]
PtoSpeed: TypeAlias = Literal[540, 1000, 1300]
PtoTypes = Annotated[list[PtoType], Meta(max_length=4)]

_HP = DIMENSIONS["power"].factors["hp"]
_KW = DIMENSIONS["power"].factors["kW"]
_R_PER_MIN = DIMENSIONS["rotation"].factors["r/min"]


class TractorHitch(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the tractor has at its rear; give what is to be checked."""

    three_point: Annotated[ThreePointCategory | None, Meta(description="Category of the three-point hitch.")] = None
    drawbar: Annotated[DrawbarCategory | None, Meta(description="Category of the drawbar.")] = None
    pto: Annotated[PtoTypes, Meta(description="PTO types it has, see `/v1/reference/pto`.")] = []
    vertical_limit: Annotated[
        Pull | None, Meta(description="Most that may press on the hitch in use, from the operator's manual.")
    ] = None


class HitchedMachine(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A machine as it goes on the road behind the tractor; give what is to be checked."""

    hitch: Annotated[Hitch, Meta(description="How it hangs on the tractor.")]
    three_point: Annotated[
        ThreePointCategory | None, Meta(description="Category of its hitch points, if mounted or semi-mounted.")
    ] = None
    drawbar: Annotated[DrawbarCategory | None, Meta(description="Category of its tongue, if on the drawbar.")] = None
    pto: Annotated[PtoType | None, Meta(description="PTO type of its shaft.")] = None
    pto_speed: Annotated[PtoSpeed | None, Meta(description="PTO speed it is built for, in r/min.")] = None
    pto_power: Annotated[Power | None, Meta(description="What it takes from the PTO.")] = None
    mass: Annotated[Mass | None, Meta(description="Mass as it goes on the road; gives the loads.")] = None
    centre_of_mass: Annotated[
        Length | None,
        Meta(description="Behind the pin or the lower link ends. Needed with the mass of a mounted machine."),
    ] = None
    tongue_length: Annotated[
        Length | None, Meta(description="Its axle behind the pin; with `centre_of_mass` gives the tongue load.")
    ] = None
    tongue_share: Annotated[
        Share | None, Meta(description="Share of its weight on the hitch, if known.", examples=["15 %"])
    ] = None
    tongue_load: Annotated[Pull | None, Meta(description="What it presses on the hitch, if known.")] = None


class ThreePointAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A category of three-point hitch."""

    category: Annotated[str, Meta(description="Category; N: narrow spacing.")]
    lower_pin: Annotated[PartLength, Meta(description="Diameter of the lower pins.")]
    upper_pin: Annotated[PartLength, Meta(description="Diameter of the upper pin.")]
    spacing: Annotated[PartLength, Meta(description="Between the lower hitch points.")]


class PtoAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A type of PTO."""

    type: Annotated[str, Meta(description="Type.")]
    speed: Annotated[Rotation, Meta(description="Rated speed.")]
    shaft: Annotated[PartLength, Meta(description="Diameter of the shaft.")]
    splines: Annotated[int, Meta(description="Number of splines.")]
    greatest_power: Annotated[Power, Meta(description="Greatest power recommended.")]


def usual_three_point(power: float) -> list[ThreePointAnswer]:
    """Return the categories usual for a rated PTO `power` [W]."""
    return [
        ThreePointAnswer(
            category=row.category,
            lower_pin=PartLength(METRES_PER_INCH * row.lower_pin_in),
            upper_pin=PartLength(METRES_PER_INCH * row.upper_pin_in),
            spacing=PartLength(METRES_PER_INCH * row.spacing_in),
        )
        for row in THREE_POINT.rows.values()
        if _is_usual(row, power)
    ]


def smallest_drawbar(power: float) -> str | None:
    """Return the smallest drawbar category for a rated PTO `power` [W]; None beyond all."""
    return next((row.id for row in DRAWBAR.rows.values() if power <= _KW * row.pto_high_kW), None)


def fitting_pto(speed: int | None, power: float) -> list[PtoAnswer]:
    """Return the PTO types of a `speed` [r/min], if one is given, that take a `power` [W]."""
    return [
        PtoAnswer(
            type=row.id,
            speed=Rotation(_R_PER_MIN * row.speed_r_min),
            shaft=PartLength(1e-3 * row.shaft_mm),
            splines=row.splines,
            greatest_power=Power(_KW * row.pto_high_kW),
        )
        for row in PTO.rows.values()
        if power <= _KW * row.pto_high_kW and speed in (None, row.speed_r_min)
    ]


def category_checks(
    hitch: TractorHitch, machine: HitchedMachine | None, power: float, ledger: Ledger
) -> list[CheckAnswer]:
    """Return the checks of hitch and drawbar categories against a rated PTO `power` [W] and each other."""
    checks: list[CheckAnswer] = []
    said = ledger.say(Power(power))
    for place, whose, given in (("/hitch", "tractor", hitch), ("/machine", "machine", machine)):
        if given is not None and given.three_point is not None:
            row = THREE_POINT.row(given.three_point.lower())
            usual = _is_usual(row, power)
            detail = f"{whose} of category {row.category}, usual for {_ranges_in_words(row, ledger)}; PTO power {said}"
            checks.append(yes_or_no("three-point", usual, f"{place}/three_point", detail))
        if given is not None and given.drawbar is not None:
            most = Power(_KW * DRAWBAR.row(given.drawbar).pto_high_kW)
            detail = f"{whose} of drawbar category {given.drawbar}, up to {ledger.say(most)}; PTO power {said}"
            checks.append(at_most("drawbar", power, most, f"{place}/drawbar", detail))
    if machine is None:
        return checks
    if hitch.three_point is not None and machine.three_point is not None:
        checks.append(_three_points_meet(hitch.three_point, machine.three_point, ledger))
    if hitch.drawbar is not None and machine.drawbar is not None:
        kept = hitch.drawbar == machine.drawbar
        detail = f"tongue of category {machine.drawbar} on a drawbar of category {hitch.drawbar}" + (
            "" if kept else ": pin, clevis and strength differ"
        )
        checks.append(yes_or_no("drawbar", kept, "/machine/drawbar", detail))
    return checks


def pto_checks(hitch: TractorHitch, machine: HitchedMachine | None, power: float, ledger: Ledger) -> list[CheckAnswer]:
    """Return the checks of the PTO against a rated PTO `power` [W] and the shaft of the machine."""
    if machine is None:
        return []
    checks: list[CheckAnswer] = []
    row = PTO.row(machine.pto) if machine.pto is not None else None
    if machine.pto_speed is not None:
        types = [row] if row is not None else [PTO.row(one) for one in hitch.pto]
        speeds = sorted({one.speed_r_min for one in types})
        if speeds:
            whose = "its shaft" if row is not None else "the tractor"
            turning = " and ".join(f"{speed:.0f}" for speed in speeds)
            detail = f"machine for {machine.pto_speed} r/min, {whose} turns at {turning} r/min"
            checks.append(yes_or_no("pto-type", machine.pto_speed in speeds, "/machine/pto_speed", detail))
    if row is not None and hitch.pto:
        kept = row.id in hitch.pto
        detail = f"shaft of type {_pto_in_words(row)} on a tractor with type {' and '.join(sorted(set(hitch.pto)))}"
        checks.append(yes_or_no("pto-type", kept, "/machine/pto", detail))
    if machine.pto_power is not None:
        taken = ledger.say(machine.pto_power)
        detail = f"{taken} taken, {ledger.say(Power(power))} rated"
        checks.append(at_most("pto-power", machine.pto_power, power, "/machine/pto_power", detail))
        if row is not None:
            most = Power(_KW * row.pto_high_kW)
            detail = f"{taken} through type {row.id}, recommended up to {ledger.say(most)}"
            checks.append(at_most("pto-power", machine.pto_power, most, "/machine/pto", detail))
    return checks


def _ranges(row: ThreePointRow) -> list[tuple[float, float | None]]:
    """Return the ranges of power [W] a category is used in: the printed one, then that recalled of the standard."""
    ranges = [(_HP * (row.tractor_low_hp or 0.0), _HP * row.tractor_high_hp if row.tractor_high_hp else None)]
    if row.pto_high_kW is not None:
        ranges.append((_KW * (row.pto_low_kW or 0.0), _KW * row.pto_high_kW))
    return ranges


def _is_usual(row: ThreePointRow, power: float) -> bool:
    return any(low <= power and (high is None or power <= high) for low, high in _ranges(row))


def _ranges_in_words(row: ThreePointRow, ledger: Ledger) -> str:
    words = [
        f"{ledger.say(Power(low))} to {ledger.say(Power(high))}" if high is not None else f"{ledger.say(Power(low))} up"
        for low, high in _ranges(row)
    ]
    return " or ".join(words)


def _three_points_meet(tractor: ThreePointCategory, machine: ThreePointCategory, ledger: Ledger) -> CheckAnswer:
    ours, theirs = THREE_POINT.row(tractor.lower()), THREE_POINT.row(machine.lower())
    differs = [
        f"{what} {_inches(wanted, ledger)} on {_inches(there, ledger)}"
        for what, wanted, there in (
            ("lower pins", theirs.lower_pin_in, ours.lower_pin_in),
            ("upper pin", theirs.upper_pin_in, ours.upper_pin_in),
            ("spacing", theirs.spacing_in, ours.spacing_in),
        )
        if wanted != there
    ]
    detail = f"machine of category {machine} on a hitch of category {tractor}"
    if differs:
        detail += f": {', '.join(differs)}"
    return yes_or_no("three-point", not differs, "/machine/three_point", detail)


def _inches(inches: float, ledger: Ledger) -> str:
    return ledger.say(PartLength(METRES_PER_INCH * inches))


def _pto_in_words(row: PtoRow) -> str:
    return f"{row.id} ({row.speed_r_min:.0f} r/min, {row.splines} splines, {row.shaft_mm:g} mm)"
