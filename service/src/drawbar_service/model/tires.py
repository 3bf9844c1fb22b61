"""The tires of an axle: what the sidewall says, how far they deflect, and what they may carry."""

from typing import NamedTuple

from drawbar_service.engine.arrays import (
    STANDARD_GRAVITY,
    Mask,
    Real,
    both,
    choose,
    either,
    larger,
    opposite,
    power,
    smaller,
    somewhere,
)
from drawbar_service.engine.soil_stress import contact_area
from drawbar_service.engine.tire import FLEXIONS, TireSize, deflection, read_size, section_height, unread_part
from drawbar_service.engine.tire_load import (
    LOAD_EXPONENT,
    MORE_SPEED,
    deflection_at_load,
    load_at_pressure,
    pressure_for_load,
    speed_share,
)
from drawbar_service.engine.traction import DEFLECTION_TO_HEIGHT, LOAD_TO_AREA, WIDTH_TO_DIAMETER
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import Tires
from drawbar_service.reference import LOAD_INDEX, TIRE_MULTIPLES, default
from drawbar_service.rows import Names, picked

LEAST_INFLATION, MOST_INFLATION = 20_000.0, 1e6
"""Pressures [Pa] that are named as an assumption; others no gauge of a farm tire shows (common practice, no source)."""


class Service(NamedTuple):
    """What sidewall and pressure gauge say of the load of one tire."""

    rated_load: Real
    """Of its load index, standing alone [N]; 0 where none is known."""
    rated_speed: Real
    """[m/s]"""
    faster_load: Real
    """Of a second load index for a higher speed [N]; 0 where there is none."""
    faster_speed: Real
    """[m/s]"""
    rated_inflation: Real
    """At which the load index holds [Pa]."""
    inflation: Real | None
    """In the field [Pa]; None where it is not stated."""
    road_inflation: Real | None
    """On the road [Pa]; None where neither is stated."""
    multiple: Real
    """Load beside others over the load alone [1]."""

    @property
    def known(self) -> Mask:
        """Whether a load index says what it carries; elsewhere the loads mean nothing."""
        return self.rated_load > 0.0

    def too_fast(self, speed: Real) -> Mask:
        """Return whether load tables give no load at a `speed` [m/s]."""
        return speed > larger(self.rated_speed, self.faster_speed) + MORE_SPEED

    def capacity(self, inflation: Real | None, speed: Real) -> Real:
        """Return what one tire may carry [N] at a pressure [Pa], or at the rated one, and a `speed` [m/s]."""
        slower = self.rated_load * speed_share(speed, self.rated_speed)
        faster = self.faster_load * speed_share(speed, self.faster_speed)
        only_faster = both(self.faster_load > 0.0, speed > self.rated_speed + MORE_SPEED)
        load = choose(only_faster, faster, larger(slower, faster)) * self.multiple
        return load if inflation is None else smaller(load_at_pressure(load, inflation, self.rated_inflation), load)


class Tire(NamedTuple):
    """One tire, standing under its axle."""

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
    standing_load: Real
    """On it at that deflection [N]."""
    radial: Mask
    service: Service

    @property
    def area(self) -> Real:
        """On the ground [m^2]."""
        return contact_area(self.width, self.diameter, self.deflection)

    def inflation_at(self, standing_load: Real) -> Real | None:
        """Return the pressure [Pa] that keeps its deflection under another load [N]; None if none is stated."""
        if self.service.inflation is None:
            return None
        return self.service.inflation * power(larger(standing_load, 1.0) / self.standing_load, 1.0 / LOAD_EXPONENT)


class LoadShare(NamedTuple):
    """What a tire carries over what it may carry."""

    known: Mask
    share: Real
    """[1]; means nothing where it is not known."""
    load: Real
    """On the tire [N]"""
    capacity: Real
    """[N]"""


NO_SERVICE = Service(0.0, 1.0, 0.0, 1.0, 1.0, None, None, 1.0)
NO_TIRE = Tire(1.0, 1.0, 0.2, 1.0, 0.1, 1.0, True, NO_SERVICE)
"""Stands in for a tire whose description is at fault, until all faults have been gathered."""


class _Sidewall(NamedTuple):
    size: TireSize
    rated_load: float
    faster_load: float


def section_width(tires: Tires) -> Real | None:
    """Return the section width of one of the `tires` [m], measured or by its size; None where the size is not read."""
    if tires.width is not None:
        return tires.width
    # What is wrong with the size is said where the axle is read.
    sidewall = _sidewall(tires, Findings(), "")
    return None if sidewall is None else sidewall.size.width


def stand(tires: Tires, cone_index: Real, standing_load: Real, found: Findings, pointer: str) -> Tire | None:
    """Return one of the `tires` of an axle as it stands; None where they are at fault, which is noted.

    Parameters
    ----------
    tires : Tires
    cone_index : float or array
        Of the soil they meet [Pa].
    standing_load : float or array
        On the axle, with the machine on the hitch and no pull [N].
    found : Findings
    pointer : str
        Where the tires stand in the request.
    """
    sidewall = _sidewall(tires, found, pointer)
    if sidewall is None:
        return None
    size = sidewall.size
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
            aspect=size.aspect_ratio,
        )
    if height <= 0.0:
        found.fault("tire-too-small", f"{pointer}/diameter", rim=size.rim, size=tires.size)
        return None
    load = larger(standing_load / tires.count, 1.0)
    service = _service(tires, sidewall, found, pointer)
    ratio = _deflection_ratio(tires, size, service, diameter, height, load, found, pointer)
    _check_range("width to diameter", width / diameter, WIDTH_TO_DIAMETER, found, pointer)
    low, high = LOAD_TO_AREA
    on_print = standing_load / tires.count / (width * diameter)
    outside = either(on_print < low, on_print > high)
    if somewhere(outside):
        found.warn("tire-load-range", pointer, where=outside, load=larger(on_print, 1.0), low=low, high=high)
    return Tire(width, diameter, ratio, cone_index, ratio * height, load, size.radial, service)


def service_of(tires: Tires, found: Findings, pointer: str) -> Service | None:
    """Return what sidewall and pressure gauge say of the load of one of the `tires`; None where they are at fault."""
    sidewall = _sidewall(tires, found, pointer)
    return None if sidewall is None else _service(tires, sidewall, found, pointer)


def _sidewall(tires: Tires, found: Findings, pointer: str) -> _Sidewall | None:
    try:
        return tires.size.look_up(_read) if isinstance(tires.size, Names) else _read(tires.size)
    except LookupError:
        found.fault("no-tire-size", f"{pointer}/size", size=tires.size, part=unread_part(tires.size))
        return None


def _read(designation: str) -> _Sidewall:
    """Return what a sidewall says; LookupError for one that is not read, so that its rows go apart."""
    size = read_size(designation)
    if size is None:
        raise LookupError(designation)
    return _Sidewall(size, _load_of(size.rating.load_index), _load_of(size.faster_rating.load_index))


def _load_of(index: int) -> float:
    """Return the load [N] of a load index; 0 where the table has none."""
    row = LOAD_INDEX.in_force().get(str(index))
    return 0.0 if row is None else row.load_kg * STANDARD_GRAVITY


def _service(tires: Tires, sidewall: _Sidewall, found: Findings, pointer: str) -> Service:
    size, known = sidewall.size, sidewall.rated_load > 0.0
    for name in ("inflation", "road_inflation", "rated_inflation"):
        if getattr(tires, name) is not None:
            found.warn("pressure-without-index", f"{pointer}/{name}", where=opposite(known))
    if somewhere(known):
        found.use("tire-load-index", "tire-multiples")
    rated = found.fallback(tires.rated_inflation, f"{pointer}/rated_inflation", "rated_inflation", where=known)
    single, dual, triple = (TIRE_MULTIPLES.row(name).load_multiplier for name in ("single", "dual", "triple"))
    return Service(
        sidewall.rated_load,
        size.rating.speed,
        sidewall.faster_load,
        size.faster_rating.speed,
        rated,
        tires.inflation,
        tires.road_inflation if tires.road_inflation is not None else tires.inflation,
        choose(tires.count > 4, triple, choose(tires.count > 2, dual, single)),
    )


def _deflection_ratio(
    tires: Tires,
    size: TireSize,
    service: Service,
    diameter: Real,
    height: Real,
    load: Real,
    found: Findings,
    pointer: str,
) -> Real:
    """Return deflection over section height [1] under a `load` [N] on each tire."""
    row = default("deflection_ratio")
    flexion = picked(size.flexion, FLEXIONS)
    built_for = row.value * flexion
    if somewhere(flexion > 1.0):
        found.use("tire-markings", "asabe-lecture-increased-deflection")
    place = f"{pointer}/static_loaded_radius"
    if tires.static_loaded_radius is not None:
        ratio = deflection(diameter, tires.static_loaded_radius) / height
        if either(ratio <= 0.0, ratio >= 1.0):
            found.fault("loaded-radius", place, most=diameter / 2.0, least=diameter / 2.0 - height)
            return 1.0
        _check_range("deflection to section height", ratio, DEFLECTION_TO_HEIGHT, found, place)
        return ratio
    known = service.known
    rated_load = choose(known, service.rated_load, 1.0)
    if tires.inflation is None:
        found.assume("deflection", place, diameter / 2.0 - built_for * height, row.source, ratio=built_for)
        inflation = pressure_for_load(load, rated_load, service.rated_inflation)
        shown = both(inflation >= LEAST_INFLATION, inflation <= MOST_INFLATION)
        place = f"{pointer}/inflation"
        found.assume("inflation", place, inflation, "tra-load-inflation", where=both(known, shown))
        return built_for
    found.use("tra-load-inflation")
    found.assume(
        "deflection",
        place,
        diameter / 2.0 - built_for * height,
        row.source,
        where=opposite(known),
        ratio=built_for,
    )
    by_pressure = deflection_at_load(
        load, load_at_pressure(rated_load, tires.inflation, service.rated_inflation), built_for
    )
    low, high = DEFLECTION_TO_HEIGHT
    place = f"{pointer}/inflation"
    # Beyond the range that was measured more deflection would only flatter the tractor.
    found.warn("flat-tire", place, where=both(known, by_pressure > high), ratio=by_pressure, most=high)
    found.warn(
        "tire-range",
        place,
        where=both(known, by_pressure < low),
        what="deflection to section height",
        value=by_pressure,
        low=low,
        high=high,
    )
    return choose(known, smaller(by_pressure, high), built_for)


def _check_range(what: str, value: Real, fitted: tuple[float, float], found: Findings, pointer: str) -> None:
    low, high = fitted
    outside = either(value < low, value > high)
    if somewhere(outside):
        found.warn("tire-range", pointer, where=outside, what=what, value=value, low=low, high=high)


def load_share(service: Service, load: Real, inflation: Real | None, speed: Real) -> LoadShare:
    """Return what a tire carries over what it may carry.

    Parameters
    ----------
    service : Service
    load : float or array
        On the tire [N]; 0 once its axle has lifted.
    inflation : float or array, optional
        [Pa]; None: at the rated pressure, the most it may carry.
    speed : float or array
        [m/s]
    """
    carried, known = larger(load, 0.0), service.known
    capacity = choose(known, service.capacity(inflation, speed), 1.0)
    return LoadShare(known, carried / capacity, carried, capacity)


def warn_of_load(
    name: str,
    service: Service,
    load: Real,
    inflation: Real | None,
    speed: Real,
    where: Mask,
    found: Findings,
    *,
    whose: str = "",
    road: bool = False,
) -> None:
    """Warn `where` the tires of the axle called `name` carry more than they may.

    Parameters
    ----------
    name : {"front", "rear"}
    service : Service
    load : float or array
        On each tire [N].
    inflation : float or array, optional
        [Pa]; None: the rated pressure.
    speed : float or array
        [m/s]
    where : bool or array of bool
    found : Findings
    whose : str
        What the warning begins with, if there are several tractors.
    road : bool
        Whether that is on the road, the implements raised.
    """
    held = load_share(service, load, inflation, speed)
    at, pointer = " on the road" if road else "", f"/tractor/tires/{name}"
    tires = f"{whose}, {name} tires" if whose else f"{name.capitalize()} tires"
    found.warn(
        "tire-over-rated" if inflation is None else "tire-overload",
        pointer,
        where=both(both(where, held.known), held.share > 1.0),
        whose=tires,
        at=at,
        load=held.load / STANDARD_GRAVITY,
        capacity=held.capacity / STANDARD_GRAVITY,
        inflation=service.rated_inflation if inflation is None else inflation,
        speed=speed,
    )
    found.warn(
        "tire-too-fast",
        pointer,
        where=both(both(where, held.known), service.too_fast(speed)),
        whose=tires,
        speed=speed,
        most=larger(service.rated_speed, service.faster_speed),
    )
