"""Fuel: what a load burns, at full throttle or at part engine speed."""

from drawbar_service.engine.arrays import Mask, Real, both
from drawbar_service.engine.fuel import fuel_at_part_speed, older_fuel_rate
from drawbar_service.model.findings import Findings

LIGHTEST_FITTED_LOAD = 0.2
"""Load fraction [1] below which the diesel equation leaves the test reports it was fitted to."""


def fuel_at(load: Real, rated: Real, engine_speed: Real | None, equation: str, found: Findings, pointer: str) -> Real:
    """Return fuel [m^3/s] at a `load` over rated power [1] by an `equation`: diesel or older-diesel.

    `rated` power at the PTO [W]; `engine_speed` over full-throttle speed [1], to which `pointer` leads.
    """
    say_of_load(load, True, found)
    if equation == "older-diesel":
        found.use("asae-d497")
        if engine_speed is not None:
            found.warn("older-diesel-speed", pointer)
        return older_fuel_rate(load, rated)
    return fuel_at_part_speed(load, rated, found.fallback(engine_speed, pointer, "engine_speed_ratio"))


def say_of_load(load: Real, where: Mask, found: Findings) -> None:
    """Warn of a `load` over rated power [1] that is lighter than those the fuel equation was fitted to."""
    found.use("grisso-2004")
    found.warn("light-load", "", where=both(where, load < LIGHTEST_FITTED_LOAD), load=load)
