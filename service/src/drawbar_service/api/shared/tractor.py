"""The tractor, as a request describes it and as the engine sees it."""

import math
from collections.abc import Mapping
from typing import Annotated, Any, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.engine.arrays import STANDARD_GRAVITY
from drawbar_service.engine.axle_loads import Stance
from drawbar_service.engine.match import Tractor as EngineTractor
from drawbar_service.engine.power import pto_from_engine
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.tire import deflection, read_size, section_height
from drawbar_service.engine.traction import (
    BIAS,
    DEFLECTION_TO_HEIGHT,
    LOAD_TO_AREA,
    RADIAL,
    WIDTH_TO_DIAMETER,
    mobility_number,
    second_pass_cone_index,
    wheel_stiffness,
)
from drawbar_service.quantities import (
    Efficiency,
    EngineSpeedRatio,
    FrontLead,
    HitchHeight,
    MachineLength,
    Pressure,
    RatedPower,
    Ratio,
    Share,
    Speed,
    TractorMass,
    Wheelbase,
)
from drawbar_service.reference import default, static_split

STEEP = 0.10
"""Slope from which to caution, rise over run (common practice, no source)."""
Drive: TypeAlias = Literal["two-wheel", "front-wheel-assist", "four-wheel", "rubber-track"]
Construction: TypeAlias = Literal["radial", "bias"]

ShortName = Annotated[str, Meta(max_length=80)]


class TractorPower(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the tractor is rated for. Give one; PTO power is the surer."""

    rated_pto: Annotated[RatedPower | None, Meta(description="Rated power at the PTO.", examples=["150 kW"])] = None
    engine: Annotated[RatedPower | None, Meta(description="Rated power at the flywheel.", examples=["225 hp"])] = None


class Tires(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All tires of one axle: two, or four and six as duals and triples."""

    size: Annotated[
        str,
        Meta(
            description="Size as on the sidewall: `710/70R42`, `18.4R38`, `18.4-38`. R is radial, - is bias.",
            max_length=32,
            examples=["650/65R42"],
        ),
    ]
    count: Annotated[Literal[2, 4, 6], Meta(description="Tires on the axle: 2, 4 (duals) or 6 (triples).")] = 2
    width: Annotated[MachineLength | None, Meta(description="Measured section width, unloaded.")] = None
    diameter: Annotated[MachineLength | None, Meta(description="Measured overall diameter, unloaded.")] = None
    static_loaded_radius: Annotated[
        MachineLength | None, Meta(description="Axle centre to ground under load; gives the deflection.")
    ] = None


class AxleTires(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tires of both axles."""

    front: Annotated[Tires, Meta(description="Front axle.")]
    rear: Annotated[Tires, Meta(description="Rear axle.")]


class Gear(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One gear of the transmission."""

    name: Annotated[ShortName, Meta(description="As on the lever or the display.")]
    speed: Annotated[Speed, Meta(description="Travel speed at full throttle without slip.", examples=["8.4 km/h"])]


class Tractor(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor as it stands in the yard, ballast on."""

    name: Annotated[ShortName, Meta(description="Yours to choose; only echoed.")] = ""
    drive: Annotated[
        Drive, Meta(description="What is driven. `four-wheel` is an articulated tractor with equal wheels.")
    ]
    power: Annotated[TractorPower, Meta(description="Rated power.")]
    mass: Annotated[TractorMass, Meta(description="Mass ready for the field, ballast included.", examples=["11.5 t"])]
    tires: Annotated[AxleTires | None, Meta(description="Needed unless the tractor runs on rubber tracks.")] = None
    wheelbase: Annotated[
        Wheelbase | None,
        Meta(description="Front to rear axle. Needed unless on rubber tracks.", examples=["2.95 m"]),
    ] = None
    front_share: Annotated[
        Share | None, Meta(description="Share of the mass on the front axle, standing level.", examples=["40 %"])
    ] = None
    drawbar_height: Annotated[HitchHeight | None, Meta(description="Drawbar above ground.")] = None
    hitch_distance: Annotated[MachineLength | None, Meta(description="Drawbar pin behind the rear axle.")] = None
    centre_of_mass_height: Annotated[
        MachineLength | None, Meta(description="Above ground; matters on a slope only.")
    ] = None
    transmission_efficiency: Annotated[Efficiency | None, Meta(description="Axle power over PTO power.")] = None
    pump_efficiency: Annotated[Efficiency | None, Meta(description="Fluid power over power into the pump.")] = None
    generator_efficiency: Annotated[
        Efficiency | None, Meta(description="Electric power over power into the generator.")
    ] = None
    front_lead: Annotated[
        FrontLead | None, Meta(description="How much faster the front wheels are geared than the rear.")
    ] = None
    rear_follows_front: Annotated[
        bool, Meta(description="Whether the rear tires run in the track of the front ones and find firmer soil.")
    ] = False
    engine_speed: Annotated[
        EngineSpeedRatio | None, Meta(description="Engine speed over full-throttle speed at which fuel is reckoned.")
    ] = None
    gears: Annotated[list[Gear], Meta(description="Gears to choose from, any order.", max_length=64)] = []


EXAMPLE_TRACTOR: Mapping[str, Any] = {
    "drive": "front-wheel-assist",
    "power": {"rated_pto": "145 kW"},
    "mass": "9.4 t",
    "front_share": "41 %",
    "wheelbase": "2.82 m",
    "tires": {"front": {"size": "540/65R30"}, "rear": {"size": "650/65R42"}},
}
"""The tractor of the worked examples."""


class Hitching(NamedTuple):
    """How an implement hangs on the tractor, in SI units."""

    pull_height: float
    distance: float
    vertical_load: float
    vertical_per_pull: float


class TireInSI(NamedTuple):
    """What the traction equations need to know of one tire, in SI units."""

    width: float
    diameter: float
    deflection_ratio: float
    cone_index: float
    """Of the soil it meets."""
    deflection: float


class AxleInSI(NamedTuple):
    """One axle, as the engine sees it, and its tires."""

    axle: Axle
    tire: TireInSI
    tires: int


class TractorInSI(NamedTuple):
    """What the engine needs to know of a tractor on wheels."""

    engine: EngineTractor
    weight: float
    front: AxleInSI
    rear: AxleInSI
    stance: Stance
    front_share: float


_NO_AXLE = AxleInSI(Axle(1.0, RADIAL, 1.0), TireInSI(1.0, 1.0, 0.2, 1.0, 0.1), 2)
"""Stands in for an axle whose description is at fault, until all faults have been gathered."""


def rated_pto_power(power: TractorPower, ledger: Ledger, pointer: str) -> float:
    """Return rated PTO power [W], from engine power if need be."""
    if (power.rated_pto is None) == (power.engine is None):
        ledger.fault(pointer, "give rated_pto or engine, one of the two")
        return 1.0
    if power.rated_pto is not None:
        return float(power.rated_pto)
    ratio = default("pto_per_engine_power")
    rated = pto_from_engine(float(power.engine or 0.0), ratio.value)
    ledger.assume(
        f"{pointer}/rated_pto",
        RatedPower(float(rated)),
        f"{Ratio(ratio.value).words('metric')} of engine power.",
        ratio.source,
    )
    return float(rated)


def front_share(tractor: Tractor, ledger: Ledger, pointer: str) -> float:
    """Return the share of the weight on the front axle [1], given or typical of the drive."""
    if tractor.front_share is not None:
        return float(tractor.front_share)
    split = static_split(tractor.drive)
    middle = 0.5 * (split.front_share_low + split.front_share_high)
    ledger.assume(f"{pointer}/front_share", Share(middle), "Middle of the usual split for this drive.", split.source)
    return middle


def caution_of_slope(slope: float, ledger: Ledger) -> None:
    """Caution against tipping over where a `slope` [1] is steep."""
    if abs(slope) >= STEEP:
        ledger.caution("slope")


def tractor_in_si(
    tractor: Tractor, hitching: Hitching, cone_index: float, slope: float, ledger: Ledger, pointer: str = "/tractor"
) -> TractorInSI | None:
    """Return the engine's view of a wheeled tractor on a hitch, a soil and a slope.

    None if what it needs is missing; the ledger then holds a fault.

    Parameters
    ----------
    tractor : Tractor
    hitching : Hitching
    cone_index : float
        [Pa]
    slope : float
        Rise over run [1].
    ledger : Ledger
        Told of assumptions, warnings and faults.
    pointer : str
        Where the tractor stands in the request.
    """
    caution_of_slope(slope, ledger)
    for name in ("tires", "wheelbase"):
        if getattr(tractor, name) is None:
            ledger.fault(f"{pointer}/{name}", "required for a tractor on wheels")
    if tractor.tires is None or tractor.wheelbase is None:
        return None
    share = front_share(tractor, ledger, pointer)
    weight = float(tractor.mass) * STANDARD_GRAVITY
    angle = math.atan(slope)
    mass_height = (
        ledger.fallback(
            tractor.centre_of_mass_height, f"{pointer}/centre_of_mass_height", "centre_of_mass_height", MachineLength
        )
        if slope
        else 0.0
    )
    stance = Stance(
        float(tractor.wheelbase),
        mass_height,
        hitching.pull_height,
        hitching.distance,
        hitching.vertical_load,
        hitching.vertical_per_pull,
        math.sin(angle),
        math.cos(angle),
    )
    loads = stance.loads(weight, share)
    front_drive = 0.0 if tractor.drive == "two-wheel" else 1.0
    lead = 0.0
    if front_drive:
        lead = ledger.fallback(tractor.front_lead, f"{pointer}/front_lead", "front_lead")
    elif tractor.front_lead is not None:
        ledger.warn("not-used", f"{pointer}/front_lead", "Only driven front wheels have a lead.")
    front_pointer, rear_pointer = f"{pointer}/tires/front", f"{pointer}/tires/rear"
    front = _axle(
        tractor.tires.front, cone_index, float(loads.front_standing), front_drive, lead, ledger, front_pointer
    )
    rear_cone_index = cone_index
    if tractor.rear_follows_front:
        standing = mobility_number(front.axle.stiffness, max(float(loads.front_standing), 1.0))
        rear_cone_index = float(second_pass_cone_index(cone_index, standing))
        ledger.warn(
            "rough-estimate",
            f"{pointer}/rear_follows_front",
            f"Soil in the front track is taken as {Pressure(rear_cone_index).words(ledger.units)} cone index, "
            "by an equation from memory of medium to low confidence, at the standing front load.",
        )
    rear = _axle(tractor.tires.rear, rear_cone_index, float(loads.rear_standing), 1.0, 0.0, ledger, rear_pointer)
    efficiency = ledger.fallback(
        tractor.transmission_efficiency, f"{pointer}/transmission_efficiency", "transmission_efficiency"
    )
    engine = EngineTractor(front.axle, rear.axle, loads, weight * math.sin(angle), efficiency)
    return TractorInSI(engine, weight, front, rear, stance, share)


def _axle(
    tires: Tires, cone_index: float, standing_load: float, driven: float, lead: float, ledger: Ledger, pointer: str
) -> AxleInSI:
    """Return the engine's view of one axle; `standing_load` [N] serves the range check only."""
    size = read_size(tires.size)
    if size is None:
        ledger.fault(
            f"{pointer}/size",
            f"{tires.size!r} is not a tire size that is read here; write it as 710/70R42, 18.4R38 or 18.4-38",
        )
        return _NO_AXLE
    width = float(tires.width) if tires.width is not None else size.width
    if tires.diameter is not None:
        diameter = float(tires.diameter)
        height = float(section_height(diameter, size.rim))
    else:
        diameter, height = size.diameter, size.section_height
        if not size.height_is_written:
            ledger.assume(
                f"{pointer}/diameter",
                MachineLength(diameter),
                "The size does not say; section height is taken as 0.85 of the width.",
                "common-practice",
            )
    if height <= 0.0:
        ledger.fault(
            f"{pointer}/diameter",
            f"too small for the {MachineLength(size.rim).words(ledger.units)} rim of a {tires.size}; "
            "give the overall diameter of the tire",
        )
        return _NO_AXLE
    deflection_ratio = _deflection_ratio(tires, diameter, height, ledger, pointer)
    stiffness = wheel_stiffness(cone_index, width, diameter, deflection_ratio)
    _check_range("width to diameter", width / diameter, WIDTH_TO_DIAMETER, ledger, pointer)
    low, high = LOAD_TO_AREA
    on_print = standing_load / tires.count / (width * diameter)
    if not low <= on_print <= high:
        ledger.warn(
            "outside-range",
            pointer,
            f"Standing load over tire width and diameter is {Pressure(max(on_print, 1.0)).words(ledger.units)}; "
            f"the traction equations were fitted from {Pressure(low).words(ledger.units)} to "
            f"{Pressure(high).words(ledger.units)}.",
        )
    axle = Axle(tires.count * stiffness, RADIAL if size.radial else BIAS, driven, lead)
    tire = TireInSI(width, diameter, deflection_ratio, cone_index, deflection_ratio * height)
    return AxleInSI(axle, tire, tires.count)


def _deflection_ratio(tires: Tires, diameter: float, height: float, ledger: Ledger, pointer: str) -> float:
    if tires.static_loaded_radius is None:
        row = default("deflection_ratio")
        radius = diameter / 2.0 - row.value * height
        ledger.assume(f"{pointer}/static_loaded_radius", MachineLength(radius), row.why, row.source)
        return row.value
    ratio = float(deflection(diameter, float(tires.static_loaded_radius))) / height
    if not 0.0 < ratio < 1.0:
        ledger.fault(
            f"{pointer}/static_loaded_radius",
            f"must be less than half the diameter ({MachineLength(diameter / 2.0).words(ledger.units)}) and more than "
            f"the rim leaves ({MachineLength(diameter / 2.0 - height).words(ledger.units)})",
        )
        return 1.0
    _check_range("deflection to section height", ratio, DEFLECTION_TO_HEIGHT, ledger, f"{pointer}/static_loaded_radius")
    return ratio


def _check_range(what: str, value: float, fitted: tuple[float, float], ledger: Ledger, pointer: str) -> None:
    low, high = fitted
    if not low <= value <= high:
        ledger.warn(
            "outside-range", pointer, f"{what} is {value:.2f}; the traction equations were fitted from {low} to {high}."
        )
