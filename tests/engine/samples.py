"""Arguments for every public engine function, as arrays, by the names of its parameters.

A parameter means the same wherever it stands, so one table of ranges serves all functions. What is
built of several numbers (an axle, a tractor, some work) is built here of arrays too.
"""

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

import drawbar_service.engine
from drawbar_service.engine.axle_loads import AxleLoads, Stance, axle_loads
from drawbar_service.engine.cost import Owned, RemainingValue
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.match import (
    Limits,
    OperatingPoint,
    Tractor,
    Work,
    operate,
)
from drawbar_service.engine.reach import reach_on_wheels
from drawbar_service.engine.slip import Axle, NetTraction, net_traction
from drawbar_service.engine.tracks import Grip
from drawbar_service.engine.traction import BIAS, GEE_CLOUGH, RADIAL

ROWS = 40

RANGES: dict[str, tuple[float, float]] = {
    # SI, about what is met in a field
    "a": (20.0, 700.0),
    "age": (0.0, 10.0),
    "altitude": (0.0, 3000.0),
    "latitude": (-1.1, 1.1),
    "amount": (2.0, 20.0),
    "annual_use": (2e5, 3e6),
    "area": (1e5, 1e7),
    "available_flow": (1e-4, 3e-3),
    "average": (0.2, 0.3),
    "b": (0.0, 30.0),
    "bore": (0.05, 0.13),
    "base": (0.0, 10.0),
    "baseline": (1.0, 100.0),
    "c": (0.0, 6.0),
    "c1": (0.7, 1.1),
    "c2": (0.05, 0.16),
    "c3": (0.0, 0.008),
    "capacity": (0.3, 20.0),
    "carbon_per_fuel": (2000.0, 3000.0),
    "ceiling": (0.1, 0.88),
    "center_of_mass_distance": (1.0, 5.0),
    "center_of_mass_height": (0.5, 1.5),
    "change_time": (0.0, 1e4),
    "concentration": (3.0, 6.0),
    "cone_index": (2e5, 2e6),
    "day_of_year": (1.0, 366.0),
    "correlation": (0.01, 0.3),
    "contact_radius": (0.2, 0.6),
    "cosine": (0.95, 1.0),
    "cover": (0.1, 1.0),
    "crews": (1.0, 3.0),
    "crop_yield": (0.1, 6.0),
    "day_length": (2e4, 5e4),
    "day_rate": (100000.0, 1000000.0),
    "days": (20.0, 40.0),
    "deflection_ratio": (0.1, 0.3),
    "depth": (0.02, 0.4),
    "diameter": (1.2, 2.2),
    "displacement": (5e-6, 1e-4),
    "drawbar_per_pto": (0.5, 0.9),
    "earliest_day": (0.0, 200.0),
    "efficiency": (0.3, 1.0),
    "engine_power": (5e4, 4e5),
    "engine_speed_ratio": (0.4, 1.0),
    "exponent": (0.5, 4.0),
    "face_area": (1e-3, 1e-2),
    "factor": (1.0, 3.0),
    "feed_rate": (0.0, 20.0),
    "field_length": (50.0, 1500.0),
    "field_width": (20.0, 800.0),
    "first": (-5.0, 5.0),
    "first_day": (0.0, 200.0),
    "flow": (1e-5, 2e-3),
    "front_axle_mass": (1500.0, 6000.0),
    "front_change": (-1000.0, 1000.0),
    "front_load": (1e4, 8e4),
    "front_mass": (0.0, 2000.0),
    "front_reach": (0.6, 2.5),
    "front_share": (0.25, 0.6),
    "fuel": (0.1, 10.0),
    "fuel_per_area": (2e-7, 3e-6),
    "fuel_price": (500.0, 3000.0),
    "gear_speed": (1.0, 4.0),
    "grade_pull": (-5e3, 5e3),
    "greater": (10.0, 15.0),
    "greatest": (1e3, 9e4),
    "gross_ratio": (0.3, 0.8),
    "heat": (0.0, 15.0),
    "heaviest": (3e5, 6e5),
    "high": (3.0, 6.0),
    "hitch_distance": (0.5, 1.5),
    "load_distance": (0.5, 3.0),
    "hourly": (0.005, 0.05),
    "inflation": (6e4, 2e5),
    "interest": (-0.02, 0.12),
    "kept_share": (0.05, 0.2),
    "labor_overhead": (0.0, 0.4),
    "lead": (0.0, 0.1),
    "least": (5.0, 9.0),
    "lesser": (7.0, 10.0),
    "life": (1e5, 1e7),
    "lightest": (3e4, 5e4),
    "list_price": (1e4, 5e5),
    "load": (5e3, 5e4),
    "load_fraction": (0.1, 1.0),
    "loaded": (10.0, 15.0),
    "loss": (0.001, 0.02),
    "lost_share": (0.0, 0.4),
    "low": (0.1, 1.0),
    "margin": (1e6, 3e6),
    "mass": (500.0, 1e4),
    "mean_days": (8.0, 18.0),
    "mobility": (10.0, 90.0),
    "most": (20.0, 30.0),
    "multiplier": (0.8, 1.0),
    "needed": (-5e3, 9e4),
    "needed_days": (-1.0, 42.0),
    "neighbours": (0.0, 2.0),
    "net_ratio": (0.05, 0.3),
    "no": (-5.0, 5.0),
    "next_area": (1e-3, 1e-2),
    "next_pressure": (0.0, 1e7),
    "numeric": (10.0, 90.0),
    "offset": (0.3, 2.0),
    "oil_share": (0.05, 0.2),
    "other_use": (0.0, 2e6),
    "overlap": (0.0, 0.2),
    "per_area": (0.0, 0.01),
    "per_time": (0.0, 0.05),
    "power": (2e4, 3e5),
    "pressure": (1e6, 2e7),
    "price": (1e4, 5e5),
    "pto_power": (5e4, 4e5),
    "pull": (1e3, 6e4),
    "push": (0.0, 3e4),
    "pull_height": (0.3, 0.8),
    "radius": (2.0, 8.0),
    "range_fraction": (0.1, 0.5),
    "rate": (1e-6, 1e-5),
    "rated_inflation": (1.2e5, 2.4e5),
    "rated_load": (2e4, 8e4),
    "rated_power": (5e4, 4e5),
    "rated_ratio": (0.19, 0.29),
    "rated_speed": (8.0, 18.0),
    "ratio": (0.85, 0.95),
    "reach": (2.0, 20.0),
    "reading_error": (0.01, 0.1),
    "ready_day": (0.0, 200.0),
    "rear_axle_mass": (2000.0, 9000.0),
    "rear_load": (2e4, 1e5),
    "rear_mass": (0.0, 4000.0),
    "rear_reach": (1.0, 3.5),
    "repair_time": (0.0, 1e5),
    "resale": (0.0, 1e5),
    "retention": (0.1, 1.0),
    "rf1": (0.003, 0.6),
    "rf2": (1.2, 2.4),
    "relief_pressure": (1.5e7, 2.5e7),
    "rim": (0.6, 1.1),
    "rod": (0.02, 0.045),
    "rod_area": (5e-4, 5e-3),
    "rotation": (30.0, 200.0),
    "schedule": (2.0, 4.0),
    "second": (-5.0, 5.0),
    "share": (0.2, 0.8),
    "slope": (-0.3, 0.3),
    "sigma": (0.05, 0.5),
    "sine": (-0.2, 0.2),
    "slip": (0.0, 0.5),
    "spacing": (1.0, 20.0),
    "speed": (0.5, 4.0),
    "spread_days": (3.0, 7.0),
    "standard_deviations": (1.0, 3.0),
    "static_loaded_radius": (0.5, 0.9),
    "stiffness": (3e5, 6e6),
    "stop_time": (0.0, 3600.0),
    "stopped": (0.0, 3600.0),
    "stopped_share": (0.0, 0.5),
    "stroke": (0.1, 1.0),
    "suitable_share": (0.2, 1.0),
    "table_load": (2e4, 8e4),
    "texture_factor": (0.45, 1.0),
    "theoretical_speed": (1.0, 4.0),
    "time": (1.0, 20.0),
    "times": (1.0, 3.0),
    "tire_area": (0.1, 0.6),
    "tire_deflection": (0.03, 0.12),
    "tire_load": (1e4, 8e4),
    "tires": (2.0, 8.0),
    "tongue_length": (3.0, 8.0),
    "torque": (100.0, 2000.0),
    "total_change": (-2000.0, 2000.0),
    "tractive_efficiency": (0.4, 0.8),
    "transmission_efficiency": (0.9, 0.98),
    "turn_time": (5.0, 60.0),
    "turning": (0.0, 3600.0),
    "turning_share": (0.0, 0.5),
    "unladen_mass": (4000.0, 12000.0),
    "unloaded": (7.0, 10.0),
    "used": (0.0, 2e7),
    "useful_power": (1e3, 5e4),
    "value": (1.0, 100.0),
    "vertical_load": (0.0, 1e4),
    "vertical_per_pull": (0.0, 0.25),
    "wage": (0.002, 0.02),
    "weight": (3e4, 2e5),
    "wheelbase": (2.2, 3.5),
    "width": (0.3, 0.8),
    "work_time": (1e4, 1e6),
    "working": (600.0, 36000.0),
    "workday": (20000.0, 50000.0),
    "workers": (1.0, 3.0),
    "deflection_factor": (3.0, 7.0),
    "width_factor": (1.0, 5.0),
    "at": (0.0, 5.0),
    "x": (0.1, 5.0),
    "yearly_per_width": (100.0, 5000.0),
    "years": (1.0, 20.0),
    "yes": (-5.0, 5.0),
    "z": (-4.0, 4.0),
}


def numbers(random: np.random.Generator, name: str, shape: tuple[int, ...]) -> np.ndarray:
    return random.uniform(*RANGES[name], shape)


def axle(random: np.random.Generator, shape: tuple[int, ...], *, front: bool = False) -> Axle:
    lead = numbers(random, "lead", shape) if front else np.zeros(shape)
    return Axle(numbers(random, "stiffness", shape), BIAS if front else RADIAL, np.ones(shape), lead)


def loads(random: np.random.Generator, shape: tuple[int, ...]) -> AxleLoads:
    names = list(inspect.signature(axle_loads).parameters)
    return axle_loads(*(numbers(random, name, shape) for name in names))


def stance(random: np.random.Generator, shape: tuple[int, ...]) -> Stance:
    return Stance(*(numbers(random, name, shape) for name in Stance._fields))


def terms(random: np.random.Generator, shape: tuple[int, ...]) -> DraftTerms:
    return DraftTerms(*(random.uniform(0.0, most, shape) for most in (2e4, 4e3, 800.0)))


def tractor(random: np.random.Generator, shape: tuple[int, ...]) -> Tractor:
    return Tractor(
        axle(random, shape, front=True),
        axle(random, shape),
        loads(random, shape),
        numbers(random, "grade_pull", shape),
        numbers(random, "transmission_efficiency", shape),
    )


def work(random: np.random.Generator, shape: tuple[int, ...]) -> Work:
    return Work(terms(random, shape), random.uniform(-2e3, 2e3, shape), random.uniform(0.0, 2e4, shape))


def limits(random: np.random.Generator, shape: tuple[int, ...]) -> Limits:
    return Limits(random.uniform(0.1, 0.2, shape), random.uniform(5e4, 2e5, shape), random.uniform(1e3, 1e4, shape))


def net(random: np.random.Generator, shape: tuple[int, ...]) -> NetTraction:
    front_load, rear_load = numbers(random, "front_load", shape), numbers(random, "rear_load", shape)
    return net_traction(axle(random, shape, front=True), axle(random, shape), front_load, rear_load)


def owned(random: np.random.Generator, shape: tuple[int, ...]) -> Owned:
    value = RemainingValue(*(numbers(random, name, shape) for name in ("c1", "c2", "c3")))
    prices = (numbers(random, name, shape) for name in ("price", "list_price"))
    kept = (numbers(random, name, shape) for name in ("rf1", "rf2", "age", "used", "years", "interest"))
    return Owned(*prices, value, *kept, random.uniform(0.0, 0.03, shape))


SURFACES = ((4.5e5, Grip(0.5, 16.0, 0.05)), (9e5, Grip(0.6, 16.0, 0.047)), (1.2e6, Grip(0.75, 16.0, 0.045)))


def grip(random: np.random.Generator, shape: tuple[int, ...]) -> Grip:
    return Grip(random.uniform(0.4, 0.9, shape), random.uniform(12.0, 20.0, shape), random.uniform(0.03, 0.08, shape))


def point(random: np.random.Generator, shape: tuple[int, ...]) -> OperatingPoint:
    return operate(tractor(random, shape), work(random, shape), numbers(random, "speed", shape))


BUILT: dict[str, Callable[[np.random.Generator, tuple[int, ...]], Any]] = {
    "condition": lambda random, shape: random.uniform(size=shape) > 0.5,
    "fixed": work,
    "front": lambda random, shape: axle(random, shape, front=True),
    "rear": axle,
    "limits": limits,
    "loads": loads,
    "machine": owned,
    "machines": lambda random, shape: (owned(random, shape), owned(random, shape)),
    "model": lambda random, shape: GEE_CLOUGH,
    "net": net,
    "grip": grip,
    "part": terms,
    "law": lambda random, shape: None,
    "places": lambda random, shape: tuple(random.uniform(0.0, 1.0, shape) + at for at in (0.0, 1.0, 2.0)),
    "torque_curve": lambda random, shape: None,
    "values": lambda random, shape: tuple(random.uniform(-5.0, 5.0, shape) for _ in range(3)),
    "other_uses": lambda random, shape: (numbers(random, "other_use", shape), numbers(random, "other_use", shape)),
    "per_unit": terms,
    "point": point,
    "stance": stance,
    "surfaces": lambda random, shape: SURFACES,
    "tractor": tractor,
    "work": work,
}

# A reach closes over arrays, so it is cut to one row by what it closes over.
REACHES: dict[str, Callable[..., Any]] = {
    "on wheels": lambda random, shape: (reach_on_wheels, (tractor(random, shape), limits(random, shape))),
}

WHOLE_SAMPLES = {
    "chance_by_day": "one number in, a chance for every day out",
    "chance": "counts the share of a sample: many numbers in, one out",
    "spread": "quantiles of a sample: many numbers in, a few out",
    "normal_scores": "draws a sample of its own",
    "sobol_indices": "draws a sample of its own",
    "everywhere": "whether all of many: one truth out",
    "somewhere": "whether any of many: one truth out",
    "whole": "names what an answer holds",
    "number": "names what an answer holds",
    "truth": "names what an answer holds",
    "rows_of": "picks rows of a record",
    "rows_in": "counts rows of a record",
    "in_parts": "hands parts of a record to a function",
    "with_rows": "puts rows into a record",
    "few": "counts the elements of a mask",
    "share_of_years": "counts the years of a record",
    "finishing_day": "looks through the days ahead",
    "likely_capacities": "draws a sample of its own",
}
"""Functions that take a whole sample and so have no answer row by row."""

WHOLE_MODULES = {
    "soil_water": "runs through the days of whole years",
    "years": "looks through the windows of whole records",
    "calibration": "learns from whole sets of measured runs",
    "hierarchy": "learns from whole sets of fields",
    "season": "counts days of whole seasons",
    "season_daily": "bounds whole seasons by day",
    "season_days": "carries whole seasons out, in lanes",
    "season_plan": "plans whole seasons",
    "season_program": "states whole seasons",
}

CALLBACKS = {
    "greatest_within": "takes a function",
    "greatest_speed": "takes a reach",
    "greatest_pull": "takes a reach",
    "find_minimum": "takes a cost",
    "band_within": "takes a cost",
}
"""Functions that take a function; they have their own test."""

RETURN_FUNCTIONS = {"strain_on_wheels", "reach_on_wheels"}

NOT_OF_NUMBERS = {
    "read_size": "takes text",
    "unread_part": "takes text",
    "both": "takes conditions",
    "either": "takes conditions",
    "opposite": "takes conditions",
    "known_where": "gives None or NaN",
    "total": "takes several numbers",
    "greatest_at": "takes several numbers",
    "least_at": "takes several numbers",
}


def public_functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Every public function and method of the engine, by its dotted name."""
    for found in pkgutil.iter_modules(drawbar_service.engine.__path__):
        module = importlib.import_module(f"drawbar_service.engine.{found.name}")
        for name, member in vars(module).items():
            # While tests/long/mutation.py runs, thousands of changed functions stand beside the true ones.
            if name.startswith("_") or "__mutmut_" in name or getattr(member, "__module__", None) != module.__name__:
                continue
            if inspect.isclass(member):
                for method, function in vars(member).items():
                    if inspect.isfunction(function) and not method.startswith("_") and "__mutmut_" not in method:
                        yield f"{found.name}.{name}.{method}", function
            elif callable(member):
                yield f"{found.name}.{name}", member


def arguments(function: Callable[..., Any], shape: tuple[int, ...], seed: int = 1) -> dict[str, Any]:
    """An argument of `shape` for every parameter of a function of numbers."""
    random = np.random.default_rng(seed)
    return {
        name: BUILT[name](random, shape) if name in BUILT else numbers(random, name, shape)
        for name in inspect.signature(function).parameters
        if name != "self"
    }


def row(value: Any, index: int) -> Any:
    """One row of an argument or an answer: floats where there were arrays."""
    if isinstance(value, np.ndarray):
        return value[index].item()
    if isinstance(value, tuple):
        cut = [row(member, index) for member in value]
        return type(value)(*cut) if hasattr(value, "_fields") else tuple(cut)
    return value


def flat(value: Any) -> list[Any]:
    """The numbers of an answer, in order."""
    if isinstance(value, tuple):
        return [number for member in value for number in flat(member)]
    return [] if value is None else [value]
