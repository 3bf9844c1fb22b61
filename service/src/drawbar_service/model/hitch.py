"""Weight of a machine on hitch, axles and tires of a tractor, and both on the road."""

from collections.abc import Sequence
from typing import NamedTuple, Protocol

import numpy as np

from drawbar_service.engine.arrays import STANDARD_GRAVITY, Real, larger
from drawbar_service.engine.hitch import TowedLoads, standing_loads, tires_capacity, towed_loads
from drawbar_service.model.checks import Check, CheckName, at_least, at_most
from drawbar_service.model.findings import Findings
from drawbar_service.model.hitch_categories import HitchPoints, TractorHitch, category_checks, pto_checks
from drawbar_service.model.implement import as_real
from drawbar_service.model.nouns import Tractor
from drawbar_service.model.tires import service_of
from drawbar_service.model.tracks import on_tracks, track_wheelbase
from drawbar_service.model.tractor import front_share, rated_pto_power
from drawbar_service.reference import LOAD_INDEX, TIRE_MULTIPLES, LoadIndexRow, UnknownReference
from drawbar_service.rows import Names


class HitchedMachine(HitchPoints, Protocol):
    """A machine as it goes on the road behind the tractor; what is None is not checked."""

    @property
    def hitch(self) -> str:
        """Drawbar, semi-mounted or three-point."""
        ...

    @property
    def mass(self) -> float | None:
        """[kg]."""
        ...

    @property
    def center_of_mass(self) -> float | None:
        """Behind the pin or the lower link ends [m]."""
        ...

    @property
    def tongue_length(self) -> float | None:
        """Its axle behind the pin [m]."""
        ...

    @property
    def tongue_share(self) -> float | None:
        """Of its weight, on the hitch [1]."""
        ...

    @property
    def tongue_load(self) -> float | None:
        """On the hitch [N]."""
        ...


class TireLoads(Protocol):
    """Tires of one axle by what they carry; load index or rated load is given."""

    @property
    def load_index(self) -> int | None:
        """Row of the load-index table."""
        ...

    @property
    def rated_load(self) -> float | None:
        """One tire carries alone [kg]."""
        ...

    @property
    def count(self) -> int:
        """On the axle, or on all axles of the machine [1]."""
        ...

    @property
    def mounting(self) -> str:
        """Row of the table of tire multiples: single, dual or triple."""
        ...


class AxleTireLoads(Protocol):
    """Tires by what they carry."""

    @property
    def front(self) -> TireLoads | None:
        """Front axle of the tractor."""
        ...

    @property
    def rear(self) -> TireLoads | None:
        """Rear axle of the tractor."""
        ...

    @property
    def machine(self) -> TireLoads | None:
        """The machine's own."""
        ...


class Road(Protocol):
    """Tractor and machine on the road, and the limits there."""

    @property
    def width(self) -> float:
        """Greatest of both [m]."""
        ...

    @property
    def tractor_length(self) -> float:
        """Front end to hitch [m]."""
        ...

    @property
    def machine_length(self) -> float:
        """Hitch to rear end [m]."""
        ...

    @property
    def greatest_width(self) -> float | None:
        """Allowed [m]."""
        ...

    @property
    def greatest_length(self) -> float | None:
        """Allowed [m]."""
        ...

    @property
    def speed(self) -> float | None:
        """Greatest of both [m/s]."""
        ...

    @property
    def greatest_mass_ratio(self) -> float | None:
        """Most mass of the machine over that of the tractor [1]."""
        ...


class HitchLimits(Protocol):
    """Limits to hold the weights to [1]."""

    @property
    def least_tongue_share(self) -> float | None:
        """Of the weight on the hitch [1]."""
        ...

    @property
    def most_tongue_share(self) -> float | None:
        """Of the weight on the hitch [1]."""
        ...

    @property
    def front_share(self) -> float | None:
        """Least load on the front axle, over the tractor's weight [1]."""
        ...


class OnHitch(Protocol):
    """A tractor, its hitch, and a machine on it."""

    @property
    def tractor(self) -> Tractor:
        """The tractor."""
        ...

    @property
    def hitch(self) -> TractorHitch:
        """What it has at its rear."""
        ...

    @property
    def machine(self) -> HitchedMachine | None:
        """The machine."""
        ...

    @property
    def tires(self) -> AxleTireLoads:
        """Tires to check."""
        ...

    @property
    def road(self) -> Road | None:
        """Dimensions on the road."""
        ...

    @property
    def limits(self) -> HitchLimits:
        """Of the weights."""
        ...


class TractorLoads(NamedTuple):
    """Axle loads of a tractor; of two tracks those of their front and rear ends."""

    front: Real
    """[N]"""
    front_alone: Real
    """Without the machine [N]"""
    rear: Real
    """[N]"""
    front_share: Real
    """Over the tractor's weight [1]"""


class Loads(NamedTuple):
    """Loads standing level, the machine raised or in transport."""

    hitch: Real
    """[N]; negative where the machine lifts it."""
    hitch_share: Real | None
    """Of the machine's weight [1]; None without its mass."""
    machine_axle: Real | None
    """[N]; None if the machine has none."""
    tractor: TractorLoads


class OnRoad(NamedTuple):
    """Tractor and machine on the road."""

    width: Real
    """[m]"""
    length: Real
    """Both together [m]"""
    mass: Real | None
    """Both together [kg]; None without the machine's mass."""
    mass_ratio: Real | None
    """Machine over tractor [1]; None likewise."""


class Hitched(NamedTuple):
    """A machine on a hitch."""

    power: Real
    """Rated, of the tractor at the PTO [W]"""
    loads: Loads | None
    """None unless the machine gives a weight."""
    road: OnRoad | None
    checks: list[Check]


def hitched(given: OnHitch, found: Findings) -> Hitched:
    """Return loads and checks of a machine on a hitch; assumptions, warnings and faults go to `found`.

    Raises
    ------
    Impossible
        If there are faults.
    """
    power = rated_pto_power(given.tractor.power, found, "/tractor/power")
    loads = _loads(given, found)
    tire_checks = _tire_checks(given, loads, found)
    road_checks, road = _road(given, found)
    if given.hitch.vertical_limit is not None and given.hitch.vertical_limit == 0.0:
        found.fault("no-vertical-limit", "/hitch/vertical_limit")
    found.stop_at_faults()
    found.use("three-point-pages", "iso-6489-3", "pto-pages")
    checks = [
        *category_checks(given.hitch, given.machine, power),
        *pto_checks(given.hitch, given.machine, power),
        *_load_checks(given, loads, found),
        *tire_checks,
        *road_checks,
    ]
    return Hitched(power, loads, road, checks)


def _towed(machine: HitchedMachine, found: Findings) -> TowedLoads | None:
    """Return what a machine puts on the hitch and on its own axle [N]; None if it gives no weight."""
    weight = STANDARD_GRAVITY * machine.mass if machine.mass is not None else None
    if machine.hitch == "three-point":
        for name in ("tongue_length", "tongue_share", "tongue_load"):
            if getattr(machine, name) is not None:
                found.fault("mounted-has-no-tongue", f"/machine/{name}")
        if weight is None:
            return None
        if machine.center_of_mass is None:
            found.fault("mounted-needs-lever", "/machine/center_of_mass")
        return TowedLoads(weight, 0.0)
    ways = [name for name in ("tongue_load", "tongue_share", "tongue_length") if getattr(machine, name) is not None]
    if len(ways) > 1:
        found.fault("hitch-load-once", f"/machine/{ways[1]}", one=ways[0], other=ways[1])
    for way in ways:
        if way != "tongue_load" and weight is None:
            found.fault("needs-mass", "/machine/mass", way=way)
        if way == "tongue_length" and machine.center_of_mass is None:
            found.fault("tongue-needs-lever", "/machine/center_of_mass")
    if machine.center_of_mass is not None and machine.tongue_length is None:
        found.warn("lever-without-tongue", "/machine/center_of_mass")
    if machine.tongue_load is not None:
        on_hitch: Real = machine.tongue_load
        if weight is None:
            return TowedLoads(on_hitch, 0.0)
        if on_hitch > weight:
            found.fault("tongue-above-weight", "/machine/tongue_load", weight=weight)
        return TowedLoads(on_hitch, weight - on_hitch)
    if weight is None or not ways:
        return None
    if machine.tongue_share is not None:
        on_hitch = machine.tongue_share * weight
        return TowedLoads(on_hitch, weight - on_hitch)
    if machine.center_of_mass is None or machine.tongue_length is None:
        return TowedLoads(weight, 0.0)  # at fault, which is noted already
    return towed_loads(weight, machine.center_of_mass, machine.tongue_length)


def _loads(given: OnHitch, found: Findings) -> Loads | None:
    tractor, machine = given.tractor, given.machine
    towed = _towed(machine, found) if machine is not None else None
    if machine is None or towed is None:
        return None
    mounted = machine.hitch == "three-point"
    on_axles = _tractor_loads(tractor, machine, bool(mounted), towed.hitch, found)
    return Loads(
        hitch=towed.hitch,
        hitch_share=towed.hitch / (STANDARD_GRAVITY * machine.mass) if machine.mass is not None else None,
        machine_axle=towed.axle if machine.mass is not None and not mounted else None,
        tractor=on_axles,
    )


def _tractor_loads(
    tractor: Tractor, machine: HitchedMachine, mounted: bool, on_hitch: Real, found: Findings
) -> TractorLoads:
    """Return the axle loads under a load `on_hitch` [N]."""
    wheelbase = _wheelbase(tractor, found)
    row = "three_point_hitch_distance" if mounted else "hitch_distance"
    distance = found.fallback(tractor.hitch_distance, "/tractor/hitch_distance", row)
    if mounted and machine.center_of_mass is not None:
        distance = distance + machine.center_of_mass
    share = front_share(tractor, found, "/tractor")
    weight = STANDARD_GRAVITY * tractor.mass
    standing = standing_loads(weight, share, wheelbase, distance, on_hitch)
    return TractorLoads(standing.front, share * weight, standing.rear, standing.front / weight)


def _wheelbase(tractor: Tractor, found: Findings) -> Real:
    """Return the distance from front to rear axle [m]; 1 stands in where it is at fault, until all faults are known."""
    if on_tracks(tractor.drive):
        wheelbase = track_wheelbase(tractor, found, "/tractor")
    else:
        wheelbase = tractor.wheelbase
        if wheelbase is None:
            found.fault("needs-wheelbase", "/tractor/wheelbase")
    return 1.0 if wheelbase is None else wheelbase


def _load_checks(given: OnHitch, loads: Loads | None, found: Findings) -> list[Check]:
    if loads is None or given.machine is None:
        return []
    checks: list[Check] = []
    found.use("derived")
    limits, most, share = given.limits, given.hitch.vertical_limit, loads.hitch_share
    if given.machine.hitch == "drawbar" and share is not None:
        low = found.fallback(limits.least_tongue_share, "/limits/least_tongue_share", "tongue_share_low")
        high = found.fallback(limits.most_tongue_share, "/limits/most_tongue_share", "tongue_share_high")
        checks.append(at_least("tongue-share-least", "tongue-share", "/machine", share, low))
        checks.append(at_most("tongue-share-most", "tongue-share", "/machine", share, high))
    if most is not None:
        checks.append(at_most("hitch-load", "hitch-load", "/hitch/vertical_limit", loads.hitch, most))
    least = found.fallback(limits.front_share, "/limits/front_share", "transport_front_share")
    checks.append(at_least("front-axle", "front-axle", "/tractor", loads.tractor.front_share, least))
    return checks


def _tire_checks(given: OnHitch, loads: Loads | None, found: Findings) -> list[Check]:
    checks: list[Check] = []
    tires = given.tires
    front = rear = machine = None
    if loads is not None:
        machine = loads.machine_axle
        if not on_tracks(given.tractor.drive):
            # A load behind the rear axle lightens the front: its tires carry most without the machine.
            front, rear = larger(loads.tractor.front, loads.tractor.front_alone), loads.tractor.rear
    axles: Sequence[tuple[str, TireLoads | None, Real | None]] = (
        ("front", tires.front, front),
        ("rear", tires.rear, rear),
        ("machine", tires.machine, machine),
    )
    for name, stated, load in axles:
        if stated is None:
            checks += _sidewall_check(name, given, load, found)
            continue
        place = f"/tires/{name}"
        one = _tire_load(stated, found, place)
        if load is None:
            found.fault("no-machine-load" if name == "machine" else "no-axle-load", place)
        elif one is not None:
            row = TIRE_MULTIPLES.row(stated.mounting)
            found.use(row.source)
            capacity = tires_capacity(one, as_real(stated.count), row.load_multiplier)
            checks.append(at_most("tire-load", "tire-load", place, load, capacity, axle=name))
    return checks


def _sidewall_check(name: str, given: OnHitch, load: Real | None, found: Findings) -> list[Check]:
    """Return the check of a `load` [N] on an axle against the load index in its tire size, if there is one."""
    if name == "machine" or load is None or given.tractor.tires is None:
        return []
    place = f"/tractor/tires/{name}"
    tires = given.tractor.tires.front if name == "front" else given.tractor.tires.rear
    service = service_of(tires, found, place)
    if service is None or not service.known:
        return []
    speed = found.fallback(given.road.speed if given.road is not None else None, "/road/speed", "road_speed")
    capacity = as_real(tires.count) * service.capacity(service.road_inflation, speed)
    return [at_most("tire-load", "tire-load", place, load, capacity, axle=name)]


def _tire_load(given: TireLoads, found: Findings, pointer: str) -> Real | None:
    """Return what one tire carries alone [N]; None where that is at fault."""
    if (given.load_index is None) == (given.rated_load is None):
        found.fault("tire-load-once", pointer)
        return None
    if given.load_index is None:
        return STANDARD_GRAVITY * given.rated_load if given.rated_load is not None else None
    try:
        row = _load_index_row(given.load_index)
    except UnknownReference:
        least, *_, most = LOAD_INDEX.in_force()
        found.fault("no-load-index", f"{pointer}/load_index", index=given.load_index, least=least, most=most)
        return None
    found.use(row.source)
    return STANDARD_GRAVITY * row.load_kg


def _load_index_row(index: Real) -> LoadIndexRow:
    """Return the row of a load index, or of each row's."""
    if not isinstance(index, np.ndarray):
        return LOAD_INDEX.row(str(index))
    distinct, codes = np.unique(index.view(np.ndarray), return_inverse=True)
    return Names([f"{one:.0f}" for one in distinct], codes).look_up(LOAD_INDEX.row)


def _road(given: OnHitch, found: Findings) -> tuple[list[Check], OnRoad | None]:
    road, mass = given.road, given.machine.mass if given.machine is not None else None
    if road is None:
        return [], None
    found.warn("road-law", "/road")
    length = road.tractor_length + road.machine_length
    ratio = mass / given.tractor.mass if mass is not None else None
    checks: list[Check] = []
    held: Sequence[tuple[CheckName, str, Real, float | None]] = (
        ("width", "/road/width", road.width, road.greatest_width),
        ("length", "/road", length, road.greatest_length),
    )
    for name, pointer, value, most in held:
        if most is not None:
            checks.append(at_most(name, name, pointer, value, most))
    if road.greatest_mass_ratio is not None:
        if ratio is None:
            found.fault("ratio-needs-mass", "/machine/mass")
        else:
            checks.append(at_most("mass-ratio", "mass-ratio", "/machine/mass", ratio, road.greatest_mass_ratio))
    train = mass + given.tractor.mass if mass is not None else None
    return checks, OnRoad(road.width, length, train, ratio)
