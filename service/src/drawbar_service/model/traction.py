"""A tractor under a pull: slip, axle loads and efficiency, with what other published models say."""

from typing import NamedTuple

from drawbar_service.engine.arrays import Mask, Real, both, choose, larger, opposite
from drawbar_service.engine.axle_loads import lifting_pull
from drawbar_service.engine.draft import NO_DRAFT
from drawbar_service.engine.match import AxlePoint, OperatingPoint, Work, operate, operate_at_slip
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.traction import (
    gee_clough,
    motion_resistance_ratio,
    tractive_efficiency,
    wheel_numeric,
    wismer_luth_gross_ratio,
    wismer_luth_motion_resistance_ratio,
)
from drawbar_service.model.findings import Findings
from drawbar_service.model.tires import LoadShare, Tire, load_share, warn_of_load
from drawbar_service.model.tracks import TrackedTractor, known_grip
from drawbar_service.model.tractor import TiredAxle, WheeledTractor

MODELS_DIFFER = 0.30
"""Difference in net traction [1] at which another model is said to part (common practice, no source)."""


class AxleAtWork(NamedTuple):
    """One axle at work."""

    driven: Mask
    load: Real
    """Under the pull; negative once it has lifted [N]"""
    load_share: Real
    """Over the weight of the tractor [1]"""
    mobility: Real
    """Of one tire; 0 on tracks, which have none [1]"""
    slip: Real
    """[1]"""
    gross_ratio: Real
    """[1]"""
    motion_resistance_ratio: Real
    """[1]"""
    tire: "TireAtWork | None"
    """None on tracks."""


class TireAtWork(NamedTuple):
    """One tire of an axle at work."""

    tire: Tire
    ground_pressure: Real
    """Mean, of what it presses on the ground over its area there [Pa]."""
    inflation: Real | None
    """That keeps its deflection as the tractor stands [Pa]; None where none is stated."""
    share: LoadShare | None
    """None where no pressure is stated."""


class OtherModel(NamedTuple):
    """What another published model says of the rear axle at the same load and slip."""

    model: str
    net_ratio: Real
    """[1]"""
    motion_resistance_ratio: Real
    """[1]"""
    pulls: Mask
    """Whether it gives any net pull; elsewhere the efficiency means nothing."""
    efficiency: Real
    """[1]"""
    compares: Mask
    """Whether the answer gives any net pull; elsewhere the difference means nothing."""
    difference: Real
    """Its net ratio over the answer's, less 1 [1]"""


def under_pull(tractor: WheeledTractor | TrackedTractor, pull: Real) -> OperatingPoint:
    """Return a `tractor` under a `pull` [N]. The chain wants a speed; ratios and loads do not depend on it."""
    return operate(tractor.engine, Work(NO_DRAFT, pull, 0.0), 1.0)


def at_slip(tractor: WheeledTractor | TrackedTractor, slip: Real) -> OperatingPoint:
    """Return a `tractor` at a `slip` [1], for the pull it gives."""
    return operate_at_slip(tractor.engine, slip)


def front_lifting_pull(tractor: WheeledTractor | TrackedTractor) -> Real:
    """Return the pull [N] that would lift the front axle of a `tractor` off the ground."""
    return lifting_pull(tractor.engine.loads)


def axles_at_work(tractor: WheeledTractor | TrackedTractor, point: OperatingPoint) -> tuple[AxleAtWork, AxleAtWork]:
    """Return front and rear axle of a `tractor` at an operating point."""
    loads = tractor.engine.loads
    engine, front, rear = tractor.engine, loads.front(point.pull), loads.rear(point.pull)
    if isinstance(tractor, TrackedTractor):
        return (
            _axle(engine.front, point.front, front, tractor.weight, None)._replace(mobility=0.0),
            _axle(engine.rear, point.rear, rear, tractor.weight, None)._replace(mobility=0.0),
        )
    front_tire = _tire(tractor.front, loads.front_standing, front, point.speed)
    rear_tire = _tire(tractor.rear, loads.rear_standing, rear, point.speed)
    return (
        _axle(engine.front, point.front, front, tractor.weight, front_tire),
        _axle(engine.rear, point.rear, rear, tractor.weight, rear_tire),
    )


def _tire(axle: TiredAxle, standing_load: Real, load: Real, speed: Real) -> TireAtWork:
    """Return one tire of an axle that stands under one load [N] and pulls under another."""
    tire, on_tire = axle.tire, larger(load, 0.0) / axle.tires
    inflation = tire.inflation_at(standing_load / axle.tires)
    share = None if inflation is None else load_share(tire.service, on_tire, inflation, speed)
    return TireAtWork(tire, on_tire / tire.area, inflation, share)


def check_tires(
    tractor: WheeledTractor | TrackedTractor,
    point: OperatingPoint,
    found: Findings,
    *,
    where: Mask = True,
    whose: str = "",
) -> None:
    """Warn, `where` it is asked, of tires of a `tractor` at a `point` that carry more than they may.

    The warning begins with `whose`, if there are several tractors. Tracks have none.
    """
    if isinstance(tractor, TrackedTractor):
        return
    loads = tractor.engine.loads
    axles = (
        ("front", tractor.front, loads.front_standing, loads.front(point.pull)),
        ("rear", tractor.rear, loads.rear_standing, loads.rear(point.pull)),
    )
    for name, axle, standing, load in axles:
        inflation = axle.tire.inflation_at(standing / axle.tires)
        warn_of_load(name, axle.tire.service, load / axle.tires, inflation, point.speed, where, found, whose=whose)


def _axle(axle: Axle, point: AxlePoint, load: Real, weight: Real, tire: TireAtWork | None) -> AxleAtWork:
    resistance = motion_resistance_ratio(point.mobility, point.slip, axle.model)
    driven = axle.driven == 1.0
    return AxleAtWork(driven, load, load / weight, point.mobility, point.slip, point.gross_ratio, resistance, tire)


def second_opinions(
    tractor: WheeledTractor | TrackedTractor, point: OperatingPoint, found: Findings
) -> list[OtherModel]:
    """Return what Wismer and Luth (1974) and Gee-Clough et al. (1978) say of the rear axle; warn where they part.

    They are about tires: nothing on tracks.
    """
    if isinstance(tractor, TrackedTractor):
        return []
    tire, slip = tractor.rear.tire, point.rear.slip
    load = point.rear.load / tractor.rear.tires
    numeric = wheel_numeric(tire.cone_index, tire.width, tire.diameter, load)
    gross, rolling = wismer_luth_gross_ratio(numeric, slip), wismer_luth_motion_resistance_ratio(numeric)
    other = gee_clough(tire.cone_index, tire.width, tire.diameter, load, tire.deflection_ratio)
    found.use("wismer-luth", "gee-clough-1978")
    net, coefficient = gross - rolling, other.net_ratio(slip)
    pulls = net > 0.0
    efficiency = tractive_efficiency(choose(pulls, gross, 1.0), net, slip)
    ours = point.rear.gross_ratio - motion_resistance_ratio(point.rear.mobility, slip, tractor.engine.rear.model)
    compares = ours > 0.0
    whole = choose(compares, ours, 1.0)
    opinions = [
        OtherModel("wismer-luth", net, rolling, pulls, efficiency, compares, net / whole - 1.0),
        OtherModel(
            "gee-clough-1978",
            coefficient,
            other.rolling_resistance,
            coefficient > 0.0,
            other.efficiency(slip),
            compares,
            coefficient / whole - 1.0,
        ),
    ]
    for opinion in opinions:
        for more, direction in ((opinion.difference > 0.0, "more"), (opinion.difference <= 0.0, "less")):
            found.warn(
                "models-differ",
                "/soil",
                where=both(both(compares, more), abs(opinion.difference) > MODELS_DIFFER),
                model=opinion.model,
                difference=abs(opinion.difference),
                direction=direction,
            )
    return opinions


def say_of_grip(tractor: WheeledTractor | TrackedTractor, point: OperatingPoint, pointer: str, found: Findings) -> Mask:
    """Return whether the soil carries the pull at a `point`; warn where it does not.

    Where it is not known what the soil carries, it counts as not carried.
    """
    carried = both(point.pull_effort <= 1.0, known_grip(tractor))
    found.warn("pull-not-carried", pointer, where=opposite(carried))
    return carried
