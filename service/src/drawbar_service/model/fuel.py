"""Fuel: what a load burns, at full throttle or at part engine speed, and what turns and stops burn."""

from typing import NamedTuple

from drawbar_service.engine.arrays import Mask, Real, both, either
from drawbar_service.engine.fuel import FuelLaw, FuelMap, fuel_at_part_speed, mean_over_working, older_fuel_rate
from drawbar_service.model.field import Capacity
from drawbar_service.model.findings import Findings
from drawbar_service.model.span import Span

LIGHTEST_FITTED_LOAD = 0.2
"""Load fraction [1] below which the diesel equation leaves the test reports it was fitted to."""


def fuel_at(
    load: Real,
    rated: Real,
    engine_speed: Real | None,
    equation: str,
    found: Findings,
    pointer: str,
    law: FuelLaw | None = None,
) -> Real:
    """Return fuel [m^3/s] at a `load` over rated power [1] by an `equation`, diesel or older-diesel.

    By the `law` of the engine itself where there is one.

    `rated` power at the PTO [W]; `engine_speed` over full-throttle speed [1], to which `pointer` leads.
    """
    say_of_load(load, True, found, law)
    if equation == "older-diesel":
        found.use("asae-d497")
        if engine_speed is not None:
            found.warn("older-diesel-speed", pointer)
        return older_fuel_rate(load, rated)
    return fuel_at_part_speed(load, rated, found.fallback(engine_speed, pointer, "engine_speed_ratio"), law)


def say_of_load(load: Real, where: Mask, found: Findings, law: FuelLaw | None = None) -> None:
    """Warn of a `load` over rated power [1] that is lighter than those the fuel equation was fitted to.

    Where the engine has a `law` of its own, warn of one outside its map.
    """
    if isinstance(law, FuelMap):
        outside = either(load < law.loads[0], load > law.loads[-1])
        found.warn("load-off-map", "", where=both(where, outside), load=load)
    if law is not None:
        return
    found.use("grisso-2004")
    found.warn("light-load", "", where=both(where, load < LIGHTEST_FITTED_LOAD), load=load)


class FuelShares(NamedTuple):
    """Fuel rates of the time in the field, over the rate at work [1]."""

    turning: Real
    stopped: Real | None
    """None where stops are not known apart."""
    mean: Span[Real]
    """Over all time in the field, with the range of the field efficiency"""


def fuel_shares(
    capacity: Capacity, turning: Real | None, stopped: Real | None, found: Findings, pointer: str
) -> FuelShares:
    """Return what turns and stops burn, and the mean over the time in the field that `capacity` stands for.

    Without a field shape all time that is not spent working counts as turning.

    Parameters
    ----------
    capacity : Capacity
    turning, stopped : float or array, optional
        Fuel rates on turns and standing, over the rate at work [1]; None: the default.
    found : Findings
        Receives assumptions and warnings.
    pointer : str
        To the object that holds the two shares.
    """
    if capacity.in_field is None:
        if stopped is not None:
            found.warn("stops-not-known", f"{pointer}/stopped_fuel_share")
        return _lost_on_turns(capacity.efficiency, turning, found, pointer)
    spent = capacity.in_field.spent
    share = found.fallback(turning, f"{pointer}/turning_fuel_share", "turning_fuel_share", where=spent.turning > 0.0)
    standing = found.fallback(stopped, f"{pointer}/stopped_fuel_share", "stopped_fuel_share", where=spent.stopped > 0.0)
    mean = mean_over_working(spent.working, spent.turning, spent.stopped, share, standing)
    return FuelShares(share, standing, Span(mean))


def mean_of_efficiency(efficiency: Real | None, turning: Real | None, found: Findings, pointer: str) -> Real:
    """Return the mean fuel rate of the time in the field, over the rate at work [1], from an `efficiency` [1] alone.

    `turning` is the fuel rate on turns over that at work [1]; what is None takes the default, and `pointer` leads to
    the object that holds ``field_efficiency`` and ``turning_fuel_share``.
    """
    known = found.fallback(efficiency, f"{pointer}/field_efficiency", "field_efficiency")
    return _lost_on_turns(Span(known), turning, found, pointer).mean.value


def _lost_on_turns(efficiency: Span[Real], turning: Real | None, found: Findings, pointer: str) -> FuelShares:
    lost = efficiency.value < 1.0
    share = found.fallback(turning, f"{pointer}/turning_fuel_share", "turning_fuel_share", where=lost)
    mean = efficiency.map(lambda working: mean_over_working(working, 1.0 - working, 0.0, share, 0.0))
    return FuelShares(share, None, mean)
