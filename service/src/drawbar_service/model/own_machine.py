"""What a request says of one tractor in place of the equations: its engine's fuel and torque, its tires' constants."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, along
from drawbar_service.engine.fuel import EvenFuel, FuelLaw, FuelMap
from drawbar_service.engine.traction import (
    BIAS,
    DEFLECTION_FACTOR,
    GEE_CLOUGH,
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

CONSTANTS = ("gross_max", "load_rate", "slip_rate", "offset", "roll", "roll_slip")
"""Of the Brixius equations, in the tire model."""
FACTORS = {"deflection_factor": DEFLECTION_FACTOR, "width_factor": WIDTH_FACTOR}
"""Of the Brixius equations, in the mobility number."""
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
    deflection_factor: Real = DEFLECTION_FACTOR
    width_factor: Real = WIDTH_FACTOR

    def stiffness(self, tire: Tire) -> Real:
        """Return the load [N] at which the mobility number of a `tire` is 1."""
        if self.name == "wismer-luth":
            return wheel_numeric(tire.cone_index, tire.width, tire.diameter, 1.0)
        if self.name == "gee-clough":
            return gee_clough_stiffness(tire.cone_index, tire.width, tire.diameter, tire.deflection_ratio)
        return wheel_stiffness(
            tire.cone_index,
            tire.width,
            tire.diameter,
            tire.deflection_ratio,
            self.deflection_factor,
            self.width_factor,
        )


def tire_law(tractor: Tractor, axle: str, tire: Tire, found: Findings, pointer: str) -> TireLaw:
    """Return the equations for the tires of the front or rear `axle` of a `tractor` that stands at a `pointer`."""
    published = RADIAL if tire.radial else BIAS
    if tractor.traction is None:
        return TireLaw("brixius", published)
    place, given = f"{pointer}/traction/{axle}", _constants(tractor, axle)
    if tractor.traction.model in SOURCES:
        name = str(tractor.traction.model)
        found.use(SOURCES[name])
        if given is not None:
            found.fault("constants-of-brixius", place)
        return TireLaw(name, WISMER_LUTH if name == "wismer-luth" else GEE_CLOUGH)
    if given is None:
        return TireLaw("brixius", published)
    stated = {name: value for name in (*CONSTANTS, *FACTORS) if (value := getattr(given, name)) is not None}
    for name in stated:
        ours = FACTORS[name] if name in FACTORS else getattr(published, name)
        found.instead(f"{place}/{name}", f"{ours:g}", "brixius-1987" if published is BIAS else "zoz-grisso-2003")
    return TireLaw(
        "brixius",
        published._replace(**{name: value for name, value in stated.items() if name in CONSTANTS}),
        stated.get("deflection_factor", DEFLECTION_FACTOR),
        stated.get("width_factor", WIDTH_FACTOR),
    )


def _constants(tractor: Tractor, axle: str) -> TireConstants | None:
    assert tractor.traction is not None
    return tractor.traction.front if axle == "front" else tractor.traction.rear
