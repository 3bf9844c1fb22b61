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
from drawbar_service.engine.axle_loads import AxleLoads, axle_loads
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.match import (
    Limits,
    OperatingPoint,
    Tractor,
    Work,
    operate,
)
from drawbar_service.engine.reach import reach_by_ratio, reach_on_wheels
from drawbar_service.engine.slip import Axle, NetTraction, net_traction
from drawbar_service.engine.traction import BIAS, RADIAL

ROWS = 40

RANGES: dict[str, tuple[float, float]] = {
    # SI, about what is met in a field
    "a": (20.0, 700.0),
    "amount": (2.0, 20.0),
    "average": (0.2, 0.3),
    "b": (0.0, 30.0),
    "c": (0.0, 6.0),
    "capacity": (0.3, 20.0),
    "ceiling": (0.1, 0.88),
    "centre_of_mass_height": (0.5, 1.5),
    "cone_index": (2e5, 2e6),
    "correlation": (0.01, 0.5),
    "cosine": (0.95, 1.0),
    "crop_yield": (0.1, 6.0),
    "days": (5.0, 60.0),
    "deflection_ratio": (0.1, 0.3),
    "depth": (0.02, 0.4),
    "diameter": (1.2, 2.2),
    "draft": (1e3, 1e5),
    "drawbar_per_pto": (0.5, 0.9),
    "efficiency": (0.3, 1.0),
    "electric": (0.0, 1e4),
    "engine_power": (5e4, 4e5),
    "engine_speed_ratio": (0.4, 1.0),
    "feed_rate": (0.0, 20.0),
    "field_length": (50.0, 1500.0),
    "field_width": (20.0, 800.0),
    "first": (-5.0, 5.0),
    "flow": (1e-5, 2e-3),
    "front_load": (1e4, 8e4),
    "front_share": (0.25, 0.6),
    "gear_speed": (1.0, 4.0),
    "grade_pull": (-5e3, 5e3),
    "gross_ratio": (0.3, 0.8),
    "gross_traction": (1e4, 8e4),
    "high": (3.0, 6.0),
    "greater": (10.0, 15.0),
    "greatest": (1e3, 9e4),
    "hitch_distance": (0.5, 1.5),
    "lead": (0.0, 0.1),
    "lesser": (7.0, 10.0),
    "load": (5e3, 5e4),
    "load_fraction": (0.1, 1.0),
    "loaded": (10.0, 15.0),
    "low": (0.1, 1.0),
    "mass": (500.0, 1e4),
    "mobility": (10.0, 90.0),
    "needed": (-5e3, 9e4),
    "net_ratio": (0.05, 0.3),
    "numeric": (10.0, 90.0),
    "overlap": (0.0, 0.2),
    "power": (2e4, 3e5),
    "pressure": (1e6, 2e7),
    "pto_power": (5e4, 4e5),
    "pull": (1e3, 6e4),
    "pull_height": (0.3, 0.8),
    "radius": (2.0, 8.0),
    "range_fraction": (0.1, 0.5),
    "rate": (1e-6, 1e-5),
    "rated_power": (5e4, 4e5),
    "ratio": (0.85, 0.95),
    "reading_error": (0.01, 0.1),
    "rear_load": (2e4, 1e5),
    "rim": (0.6, 1.1),
    "rolling_radius": (0.6, 1.0),
    "rotation": (30.0, 200.0),
    "second": (-5.0, 5.0),
    "share": (0.2, 0.9),
    "sine": (-0.2, 0.2),
    "slip": (0.0, 0.5),
    "spacing": (1.0, 20.0),
    "speed": (0.5, 4.0),
    "spread": (0.01, 0.2),
    "standard_deviations": (1.0, 3.0),
    "static_loaded_radius": (0.5, 0.9),
    "stiffness": (3e5, 6e6),
    "stop_time": (0.0, 3600.0),
    "texture_factor": (0.45, 1.0),
    "theoretical_speed": (1.0, 4.0),
    "time_at_work": (100.0, 4e4),
    "time_lost": (0.0, 1e4),
    "torque": (100.0, 2000.0),
    "tractive_efficiency": (0.4, 0.8),
    "transmission_efficiency": (0.9, 0.98),
    "turn_time": (5.0, 60.0),
    "unloaded": (7.0, 10.0),
    "useful_power": (1e3, 5e4),
    "vertical_load": (0.0, 1e4),
    "vertical_per_pull": (0.0, 0.25),
    "weight": (3e4, 2e5),
    "wanted": (0.0, 40.0),
    "wheelbase": (2.2, 3.5),
    "width": (0.3, 0.8),
    "x": (0.1, 5.0),
    "yes": (-5.0, 5.0),
    "no": (-5.0, 5.0),
}


def numbers(random: np.random.Generator, name: str, shape: tuple[int, ...]) -> np.ndarray:
    return random.uniform(*RANGES[name], shape)


def axle(random: np.random.Generator, shape: tuple[int, ...], *, front: bool = False) -> Axle:
    lead = numbers(random, "lead", shape) if front else np.zeros(shape)
    return Axle(numbers(random, "stiffness", shape), BIAS if front else RADIAL, np.ones(shape), lead)


def loads(random: np.random.Generator, shape: tuple[int, ...]) -> AxleLoads:
    names = list(inspect.signature(axle_loads).parameters)
    return axle_loads(*(numbers(random, name, shape) for name in names))


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


def point(random: np.random.Generator, shape: tuple[int, ...]) -> OperatingPoint:
    return operate(tractor(random, shape), work(random, shape), numbers(random, "speed", shape))


BUILT: dict[str, Callable[[np.random.Generator, tuple[int, ...]], Any]] = {
    "condition": lambda random, shape: random.uniform(size=shape) > 0.5,
    "fixed": work,
    "front": lambda random, shape: axle(random, shape, front=True),
    "rear": axle,
    "limits": limits,
    "loads": loads,
    "model": lambda random, shape: RADIAL,
    "net": net,
    "part": terms,
    "per_unit": terms,
    "point": point,
    "tractor": tractor,
    "work": work,
}

# A reach closes over arrays, so it is cut to one row by what it closes over.
REACHES: dict[str, Callable[..., Any]] = {
    "on wheels": lambda random, shape: (reach_on_wheels, (tractor(random, shape), limits(random, shape))),
    "by ratio": lambda random, shape: (
        reach_by_ratio,
        tuple(numbers(random, name, shape) for name in ("drawbar_per_pto", "grade_pull", "power")),
    ),
}

WHOLE_SAMPLES = {
    "chance": "counts the share of a sample: many numbers in, one out",
    "spread": "quantiles of a sample: many numbers in, a few out",
    "normal_scores": "draws a sample of its own",
    "sobol_indices": "draws a sample of its own",
    "worst": "the largest of many: one number out",
    "everywhere": "whether all of many: one truth out",
    "rows_of": "picks rows of a record",
}
"""Functions that take a whole sample and so have no answer row by row."""

WHOLE_MODULES = {
    "calibration": "learns from whole sets of measured runs",
    "season": "counts days of whole seasons",
    "season_plan": "plans whole seasons",
    "season_program": "states whole seasons",
}

CALLBACKS = {
    "greatest_within": "takes a function",
    "greatest_speed": "takes a reach",
    "greatest_amount": "takes a reach",
}
"""Functions that take a function; they have their own test."""

RETURN_FUNCTIONS = {"strain_on_wheels", "strain_by_ratio", "reach_on_wheels", "reach_by_ratio"}

NOT_OF_NUMBERS = {"read_size": "takes text"}


def public_functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Every public function and method of the engine, by its dotted name."""
    for found in pkgutil.iter_modules(drawbar_service.engine.__path__):
        module = importlib.import_module(f"drawbar_service.engine.{found.name}")
        for name, member in vars(module).items():
            if name.startswith("_") or getattr(member, "__module__", None) != module.__name__:
                continue
            if inspect.isclass(member):
                for method, function in vars(member).items():
                    if inspect.isfunction(function) and not method.startswith("_"):
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
    return [value]
