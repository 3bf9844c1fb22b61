"""The tractor: rated power, weight and its split, axles and their tires, as the engine sees them."""

from typing import NamedTuple

from drawbar_service.engine.arrays import (
    STANDARD_GRAVITY,
    Real,
    both,
    choose,
    everywhere,
    larger,
    opposite,
)
from drawbar_service.engine.axle_loads import Stance, grade
from drawbar_service.engine.match import Tractor as EngineTractor
from drawbar_service.engine.power import derated_share, pto_from_engine
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.traction import (
    RADIAL,
    mobility_number,
    second_pass_cone_index,
    wheel_stiffness,
)
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import Derating, RatedPower, Tractor
from drawbar_service.model.own_machine import tire_law
from drawbar_service.model.tires import NO_TIRE, Tire, section_width, stand
from drawbar_service.reference import default, drawbar_per_pto, static_split

STEEP = 0.10
"""Slope from which to caution, rise over run (common practice, no source)."""


class Hitching(NamedTuple):
    """How an implement hangs on the tractor."""

    pull_height: Real
    """[m]"""
    distance: Real
    """Of the hitch behind the rear axle [m]."""
    load_distance: Real
    """Of where `vertical_load` acts behind the rear axle [m]."""
    vertical_load: Real
    """Weight of the implement on the tractor, standing level [N]."""
    vertical_per_pull: Real
    """What it presses on the hitch more for each newton of pull [1]."""


class TiredAxle(NamedTuple):
    """One axle, as the engine sees it, and its tires."""

    axle: Axle
    tire: Tire
    tires: Real
    """[1]"""

    @property
    def stiffness(self) -> Real:
        """Load on the axle at which its mobility number after Brixius is 1 [N], whatever equations it is held to."""
        tire = self.tire
        return self.tires * wheel_stiffness(tire.cone_index, tire.width, tire.diameter, tire.deflection_ratio)


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


_NO_AXLE = TiredAxle(Axle(1.0, RADIAL, 1.0), NO_TIRE, 2.0)
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


TURBOCHARGERS_LIMIT = 1000.0
"""Altitude [m] from which a published rule for mines takes power from some turbocharged engines."""


def usable_share(derating: Derating | None, found: Findings, pointer: str = "/tractor/derating") -> Real:
    """Return what thin and hot air leave of the rated power [1]; 1 where the request says nothing of them."""
    if derating is None:
        return 1.0
    altitude: Real = 0.0 if derating.altitude is None else derating.altitude
    heat: Real = 0.0 if derating.heat is None else derating.heat
    turbocharged = derating.aspiration == "turbocharged"
    found.use("engine-derating")
    high = both(turbocharged, altitude > TURBOCHARGERS_LIMIT)
    found.warn("turbocharged-high-up", f"{pointer}/altitude", where=high)
    return choose(turbocharged, 1.0, derated_share(altitude, heat))


def front_share(tractor: Tractor, found: Findings, pointer: str) -> Real:
    """Return the share of the weight on the front axle [1], given or typical of the drive."""
    if tractor.front_share is not None:
        return tractor.front_share
    split = static_split(tractor.drive)
    middle = 0.5 * (split.front_share_low + split.front_share_high)
    found.assume("usual-split", f"{pointer}/front_share", middle, split.source)
    return middle


def transmission_efficiency(tractor: Tractor, found: Findings, pointer: str) -> Real:
    """Return axle power over PTO power [1], given or usual for the kind of transmission."""
    if tractor.transmission_efficiency is not None:
        return tractor.transmission_efficiency
    place, varies = f"{pointer}/transmission_efficiency", tractor.transmission == "cvt"
    return choose(
        varies,
        found.fallback(None, place, "transmission_efficiency_cvt", where=varies),
        found.fallback(None, place, "transmission_efficiency", where=opposite(varies)),
    )


def caution_of_slope(slope: Real, found: Findings) -> None:
    """Caution against tipping over where a `slope` [1] is steep."""
    found.caution("slope", where=abs(slope) >= STEEP)


def mass_height(tractor: Tractor, slope: Real, found: Findings, pointer: str) -> Real:
    """Return the height of the center of mass above ground [m], given or usual; 0 where there is no `slope` [1]."""
    if everywhere(slope == 0.0):
        return 0.0
    return found.fallback(tractor.center_of_mass_height, f"{pointer}/center_of_mass_height", "center_of_mass_height")


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
        hitching.load_distance,
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
    front_tire = stand(tractor.tires.front, cone_index, loads.front_standing, found, front_pointer)
    front = _axle(tractor, "front", front_tire, front_drive, lead, found, pointer)
    rear_cone_index = cone_index
    if tractor.rear_follows_front:
        standing = mobility_number(front.stiffness, larger(loads.front_standing, 1.0))
        rear_cone_index = second_pass_cone_index(cone_index, standing)
        found.warn("second-pass", f"{pointer}/rear_follows_front", cone_index=rear_cone_index)
    rear_tire = stand(tractor.tires.rear, rear_cone_index, loads.rear_standing, found, rear_pointer)
    rear = _axle(tractor, "rear", rear_tire, 1.0, 0.0, found, pointer)
    efficiency = transmission_efficiency(tractor, found, pointer)
    engine = EngineTractor(front.axle, rear.axle, loads, weight * sine, efficiency)
    return WheeledTractor(engine, weight, front, rear, stance, share)


def _axle(
    tractor: Tractor, name: str, tire: Tire | None, driven: Real, lead: Real, found: Findings, pointer: str
) -> TiredAxle:
    """Return the axle called `name`, with the traction equations its tires are held to."""
    if tire is None or tractor.tires is None:
        return _NO_AXLE
    count = (tractor.tires.front if name == "front" else tractor.tires.rear).count
    law = tire_law(tractor, name, tire, found, pointer)
    return TiredAxle(Axle(count * law.stiffness(tire), law.model, driven, lead), tire, count)


def by_ratio(wheeled: WheeledTractor | None, tractor: Tractor, surface: str) -> WheeledTractor | None:
    """Return a tractor whose power is that of the drawbar/PTO ratio on a `surface`, where the request asks for that."""
    if wheeled is None or tractor.traction is None or tractor.traction.model != "ratio":
        return wheeled
    ratio = drawbar_per_pto(tractor.drive, surface)
    return wheeled._replace(engine=wheeled.engine._replace(drawbar_per_pto=ratio))


def width_on_tires(tractor: Tractor) -> Real | None:
    """Return the width of ground that the tires of a `tractor` run over [m], of the axle with the wider ones.

    Front and rear tires are taken to run in the same tracks. None without tires, or where a size is not read.
    """
    if tractor.tires is None:
        return None
    widest: Real = 0.0
    for tires in (tractor.tires.front, tractor.tires.rear):
        width = section_width(tires)
        if width is None:
            return None
        widest = larger(widest, tires.count * width)
    return widest
