"""The tractor: rated power, weight and its split, axles and their tires, as the engine sees them."""

from typing import NamedTuple

from drawbar_service.engine.arrays import (
    STANDARD_GRAVITY,
    Real,
    choose,
    either,
    everywhere,
    larger,
    opposite,
    somewhere,
)
from drawbar_service.engine.axle_loads import Stance, grade
from drawbar_service.engine.match import Tractor as EngineTractor
from drawbar_service.engine.power import pto_from_engine
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.tire import TireSize, deflection, read_size, section_height
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
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import RatedPower, Tires, Tractor
from drawbar_service.reference import default, static_split
from drawbar_service.rows import Names

STEEP = 0.10
"""Slope from which to caution, rise over run (common practice, no source)."""


class Hitching(NamedTuple):
    """How an implement hangs on the tractor."""

    pull_height: Real
    """[m]"""
    distance: Real
    """Of the hitch behind the rear axle [m]."""
    vertical_load: Real
    """[N]"""
    vertical_per_pull: Real
    """[1]"""


class Tire(NamedTuple):
    """What the traction equations need to know of one tire."""

    width: Real
    """[m]"""
    diameter: Real
    """[m]"""
    deflection_ratio: Real
    """[1]"""
    cone_index: Real
    """Of the soil it meets [Pa]."""
    deflection: Real
    """[m]"""


class TiredAxle(NamedTuple):
    """One axle, as the engine sees it, and its tires."""

    axle: Axle
    tire: Tire
    tires: Real
    """[1]"""


class WheeledTractor(NamedTuple):
    """A tractor on wheels, hitched, on a soil and a slope."""

    engine: EngineTractor
    weight: Real
    """[N]"""
    front: TiredAxle
    rear: TiredAxle
    stance: Stance
    front_share: Real
    """Of the weight, standing level [1]."""


_NO_AXLE = TiredAxle(Axle(1.0, RADIAL, 1.0), Tire(1.0, 1.0, 0.2, 1.0, 0.1), 2.0)
"""Stands in for an axle whose description is at fault, until all faults have been gathered."""


def rated_pto_power(power: RatedPower, found: Findings, pointer: str) -> Real:
    """Return rated PTO power [W], from engine power if need be."""
    if (power.rated_pto is None) == (power.engine is None):
        found.fault("rated-power-once", pointer)
        return 1.0
    if power.rated_pto is not None:
        return power.rated_pto
    ratio = default("pto_per_engine_power")
    rated = pto_from_engine(power.engine or 0.0, ratio.value)
    found.assume("pto-from-engine", f"{pointer}/rated_pto", rated, ratio.source, ratio=f"{100.0 * ratio.value:.3g} %")
    return rated


def front_share(tractor: Tractor, found: Findings, pointer: str) -> Real:
    """Return the share of the weight on the front axle [1], given or typical of the drive."""
    if tractor.front_share is not None:
        return tractor.front_share
    split = static_split(tractor.drive)
    middle = 0.5 * (split.front_share_low + split.front_share_high)
    found.assume("usual-split", f"{pointer}/front_share", middle, split.source)
    return middle


def caution_of_slope(slope: Real, found: Findings) -> None:
    """Caution against tipping over where a `slope` [1] is steep."""
    found.caution("slope", where=abs(slope) >= STEEP)


def mass_height(tractor: Tractor, slope: Real, found: Findings, pointer: str) -> Real:
    """Return the height of the centre of mass above ground [m], given or usual; 0 where there is no `slope` [1]."""
    if everywhere(slope == 0.0):
        return 0.0
    return found.fallback(tractor.centre_of_mass_height, f"{pointer}/centre_of_mass_height", "centre_of_mass_height")


def on_wheels(
    tractor: Tractor, hitching: Hitching, cone_index: Real, slope: Real, found: Findings, pointer: str = "/tractor"
) -> WheeledTractor | None:
    """Return a wheeled tractor on a hitch, a soil and a slope; None if what it needs is missing, with a fault noted.

    Parameters
    ----------
    tractor : Tractor
    hitching : Hitching
    cone_index : float or array
        [Pa]
    slope : float or array
        Rise over run [1].
    found : Findings
        Receives assumptions, warnings and faults.
    pointer : str
        Where the tractor stands in the request.
    """
    caution_of_slope(slope, found)
    for name in ("tires", "wheelbase"):
        if getattr(tractor, name) is None:
            found.fault("needed-on-wheels", f"{pointer}/{name}")
    if tractor.tires is None or tractor.wheelbase is None:
        return None
    share = front_share(tractor, found, pointer)
    weight = tractor.mass * STANDARD_GRAVITY
    sine, cosine = grade(slope)
    stance = Stance(
        tractor.wheelbase,
        mass_height(tractor, slope, found, pointer),
        hitching.pull_height,
        hitching.distance,
        hitching.vertical_load,
        hitching.vertical_per_pull,
        sine,
        cosine,
    )
    loads = stance.loads(weight, share)
    towed_front = tractor.drive == "two-wheel"
    front_drive = choose(towed_front, 0.0, 1.0)
    if tractor.front_lead is None:
        lead: Real = found.fallback(None, f"{pointer}/front_lead", "front_lead", where=opposite(towed_front))
    else:
        lead = choose(towed_front, 0.0, tractor.front_lead)
        found.warn("no-lead", f"{pointer}/front_lead", where=towed_front)
    front_pointer, rear_pointer = f"{pointer}/tires/front", f"{pointer}/tires/rear"
    front = _axle(tractor.tires.front, cone_index, loads.front_standing, front_drive, lead, found, front_pointer)
    rear_cone_index = cone_index
    if tractor.rear_follows_front:
        standing = mobility_number(front.axle.stiffness, larger(loads.front_standing, 1.0))
        rear_cone_index = second_pass_cone_index(cone_index, standing)
        found.warn("second-pass", f"{pointer}/rear_follows_front", cone_index=rear_cone_index)
    rear = _axle(tractor.tires.rear, rear_cone_index, loads.rear_standing, 1.0, 0.0, found, rear_pointer)
    efficiency = found.fallback(
        tractor.transmission_efficiency, f"{pointer}/transmission_efficiency", "transmission_efficiency"
    )
    engine = EngineTractor(front.axle, rear.axle, loads, weight * sine, efficiency)
    return WheeledTractor(engine, weight, front, rear, stance, share)


def _axle(
    tires: Tires, cone_index: Real, standing_load: Real, driven: Real, lead: Real, found: Findings, pointer: str
) -> TiredAxle:
    """Return one axle; `standing_load` [N] serves the range check only."""
    size: TireSize | None = tires.size.look_up(_size) if isinstance(tires.size, Names) else read_size(tires.size)
    if size is None:
        found.fault("no-tire-size", f"{pointer}/size", size=tires.size)
        return _NO_AXLE
    width = tires.width if tires.width is not None else size.width
    if tires.diameter is not None:
        diameter: Real = tires.diameter
        height = section_height(diameter, size.rim)
    else:
        diameter, height = size.diameter, size.section_height
        found.assume(
            "height-by-width",
            f"{pointer}/diameter",
            diameter,
            "common-practice",
            where=opposite(size.height_is_written),
        )
    if height <= 0.0:
        found.fault("tire-too-small", f"{pointer}/diameter", rim=size.rim, size=tires.size)
        return _NO_AXLE
    ratio = _deflection_ratio(tires, diameter, height, found, pointer)
    stiffness = wheel_stiffness(cone_index, width, diameter, ratio)
    _check_range("width to diameter", width / diameter, WIDTH_TO_DIAMETER, found, pointer)
    low, high = LOAD_TO_AREA
    on_print = standing_load / tires.count / (width * diameter)
    outside = either(on_print < low, on_print > high)
    if somewhere(outside):
        found.warn("tire-load-range", pointer, where=outside, load=larger(on_print, 1.0), low=low, high=high)
    axle = Axle(tires.count * stiffness, RADIAL if size.radial else BIAS, driven, lead)
    return TiredAxle(axle, Tire(width, diameter, ratio, cone_index, ratio * height), tires.count)


def _size(designation: str) -> TireSize:
    """Return the dimensions behind a size; LookupError for one that is not read, so that its rows go apart."""
    size = read_size(designation)
    if size is None:
        raise LookupError(designation)
    return size


def _deflection_ratio(tires: Tires, diameter: Real, height: Real, found: Findings, pointer: str) -> Real:
    if tires.static_loaded_radius is None:
        row = default("deflection_ratio")
        radius = diameter / 2.0 - row.value * height
        found.assume("deflection", f"{pointer}/static_loaded_radius", radius, row.source)
        return row.value
    ratio = deflection(diameter, tires.static_loaded_radius) / height
    if either(ratio <= 0.0, ratio >= 1.0):
        found.fault(
            "loaded-radius",
            f"{pointer}/static_loaded_radius",
            most=diameter / 2.0,
            least=diameter / 2.0 - height,
        )
        return 1.0
    _check_range("deflection to section height", ratio, DEFLECTION_TO_HEIGHT, found, f"{pointer}/static_loaded_radius")
    return ratio


def _check_range(what: str, value: Real, fitted: tuple[float, float], found: Findings, pointer: str) -> None:
    low, high = fitted
    outside = either(value < low, value > high)
    if somewhere(outside):
        found.warn("tire-range", pointer, where=outside, what=what, value=value, low=low, high=high)
