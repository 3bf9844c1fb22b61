"""What a request says of one tractor in place of the equations: its engine's fuel and torque, its tires' constants."""

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, along
from drawbar_service.engine.fuel import EvenFuel, FuelLaw, FuelMap
from drawbar_service.engine.traction import (
    BIAS,
    DEFLECTION_FACTOR,
    GEE_CLOUGH,
    GEE_CLOUGH_WIDTH_FACTOR,
    RADIAL,
    WIDTH_FACTOR,
    WISMER_LUTH,
    TireModel,
    gee_clough_stiffness,
    wheel_numeric,
    wheel_stiffness,
)
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import RatedPower, TireConstants, Tractor
from drawbar_service.model.tires import Tire


class Constants(NamedTuple):
    """Which constants the equations of one model have, by the names that a request gives them."""

    of_model: Mapping[str, str]
    """Those of the tire model: what they are called there."""
    factors: Mapping[str, float]
    """Those of the mobility number, as published."""


CONSTANTS: Mapping[str, Constants] = {
    "brixius": Constants(
        {name: name for name in ("gross_max", "load_rate", "slip_rate", "offset", "roll", "roll_slip")},
        {"deflection_factor": DEFLECTION_FACTOR, "width_factor": WIDTH_FACTOR},
    ),
    # Its gross traction has no offset: the constant of its motion resistance stands alone.
    "wismer-luth": Constants(
        {"gross_max": "gross_max", "rate_by_mobility": "rate_by_mobility", "roll": "roll", "offset": "rolling"}, {}
    ),
    "gee-clough": Constants(
        {name: name for name in ("gross_max", "lost", "slip_rate", "rate_by_mobility", "offset", "roll")},
        {"width_factor": GEE_CLOUGH_WIDTH_FACTOR},
    ),
}
NAMES = tuple(dict.fromkeys(name for one in CONSTANTS.values() for name in (*one.of_model, *one.factors)))
"""Constants that a request may give, of any model."""
SOURCES = {"wismer-luth": "wismer-luth", "gee-clough": "gee-clough-1978"}


def fuel_law(power: RatedPower, found: Findings, pointer: str) -> FuelLaw | None:
    """Return what the engine burns, None where the request leaves it to the equation; `pointer` leads to the power."""
    fuel, place = power.fuel, f"{pointer}/fuel"
    if fuel is None:
        return None
    if (fuel.map is None) == (fuel.work_per_fuel is None):
        found.fault("fuel-once", place)
        return None
    if fuel.work_per_fuel is not None:
        found.instead(f"{place}/work_per_fuel", source="grisso-2004")
        return EvenFuel(fuel.work_per_fuel)
    assert fuel.map is not None
    given = fuel.map
    found.instead(f"{place}/map", source="grisso-2004")
    rises = _rises(given.loads, found, f"{place}/map/loads")
    rises = _rises(given.engine_speeds, found, f"{place}/map/engine_speeds") and rises
    if len(given.rates) != len(given.loads) or any(len(row) != len(given.engine_speeds) for row in given.rates):
        found.fault("fuel-map-shape", f"{place}/map/rates", loads=len(given.loads), speeds=len(given.engine_speeds))
        return None
    if not rises:
        return None
    return FuelMap(tuple(given.loads), tuple(given.engine_speeds), tuple(tuple(row) for row in given.rates))


def torque_curve(power: RatedPower, found: Findings, pointer: str) -> Callable[[Real], Real] | None:
    """Return torque over rated torque [1] by engine speed over full-throttle speed [1]; None where none is given."""
    if not power.torque:
        return None
    found.instead(f"{pointer}/torque")
    speeds = [one.engine_speed for one in power.torque]
    if not _rises(speeds, found, f"{pointer}/torque"):
        return None
    torques = [one.torque for one in power.torque]
    return lambda speed: along(speed, speeds, torques)


def _rises(values: Sequence[float], found: Findings, pointer: str) -> bool:
    if all(less < more for less, more in pairwise(values)):
        return True
    found.fault("must-rise", pointer)
    return False


class TireLaw(NamedTuple):
    """The traction equations that the tires of one axle are held to."""

    name: str
    """Brixius, wismer-luth or gee-clough."""
    model: TireModel
    factors: Mapping[str, Real]
    """Of the mobility number, by the names that a request gives them [1]."""

    def stiffness(self, tire: Tire) -> Real:
        """Return the load [N] at which the mobility number of a `tire` is 1."""
        size = tire.cone_index, tire.width, tire.diameter
        if self.name == "wismer-luth":
            return wheel_numeric(*size, 1.0)
        of = wheel_stiffness if self.name == "brixius" else gee_clough_stiffness
        return of(*size, tire.deflection_ratio, **self.factors)


def tire_law(tractor: Tractor, axle: str, tire: Tire, found: Findings, pointer: str) -> TireLaw:
    """Return the equations for the tires of the front or rear `axle` of a `tractor` that stands at a `pointer`."""
    published, source = (RADIAL, "zoz-grisso-2003") if tire.radial else (BIAS, "brixius-1987")
    name, given = "brixius", None
    if tractor.traction is not None:
        given = _constants(tractor, axle)
        if tractor.traction.model in SOURCES:
            name = str(tractor.traction.model)
            published, source = WISMER_LUTH if name == "wismer-luth" else GEE_CLOUGH, SOURCES[name]
            found.use(source)
    law = TireLaw(name, published, CONSTANTS[name].factors)
    return law if given is None else _stated(law, given, source, found, f"{pointer}/traction/{axle}")


def _stated(law: TireLaw, given: TireConstants, source: str, found: Findings, place: str) -> TireLaw:
    """Return a `law` with the constants that a request gives at a `place` in it."""
    of_model, factors = CONSTANTS[law.name]
    model: dict[str, Real] = {}
    own: dict[str, Real] = dict(law.factors)
    for name in NAMES:
        if (value := getattr(given, name)) is None:
            continue
        pointer = f"{place}/{name}"
        if name in of_model:
            found.instead(pointer, f"{getattr(law.model, of_model[name]):g}", source)
            model[of_model[name]] = value
        elif name in factors:
            found.instead(pointer, f"{factors[name]:g}", source)
            own[name] = value
        else:
            found.fault("no-constant-of-the-model", pointer, model=law.name, constants=", ".join((*of_model, *factors)))
    return TireLaw(law.name, law.model._replace(**model), own)


def _constants(tractor: Tractor, axle: str) -> TireConstants | None:
    assert tractor.traction is not None
    return tractor.traction.front if axle == "front" else tractor.traction.rear
