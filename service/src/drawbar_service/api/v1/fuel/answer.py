"""What is answered: fuel in a time, on an area, and by other equations."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.v1.fuel.request import FuelRequest
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.fuel import (
    DIESEL_ANNUAL_AVERAGE,
    annual_average_fuel_rate,
    fuel_per_area,
    fuel_rate,
    older_fuel_rate,
)
from drawbar_service.quantities import EnergyPerFuel, FuelPerArea, FuelRate, Ratio, Share


class OtherFuel(msgspec.Struct, frozen=True, kw_only=True):
    """What another equation says of the same load."""

    equation: Annotated[str, Meta(description="The equation.")]
    rate: Annotated[FuelRate, Meta(description="Fuel in a time.")]
    difference: Annotated[Ratio, Meta(description="That rate over the one answered, less 1.")]


class FuelAnswer(Answer, frozen=True, kw_only=True):
    """Fuel burnt."""

    rate: Annotated[FuelRate, Meta(description="Fuel in a time.")]
    load_fraction: Annotated[Share | None, Meta(description="Power used over rated PTO power; null for averages.")]
    energy_per_fuel: Annotated[EnergyPerFuel | None, Meta(description="Work done for the fuel; null for averages.")]
    mean_rate: Annotated[
        FuelRate | None,
        Meta(description="Fuel in a time, turns and other lost time included, if a field capacity was given."),
    ]
    per_area: Annotated[FuelPerArea | None, Meta(description="Fuel on an area, if a field capacity was given.")]
    equation: Annotated[str, Meta(description="The equation used.")]
    second_opinions: Annotated[
        list[OtherFuel],
        Meta(description="Other diesel equations: the older one at this load, and the average over a year's work."),
    ]
    about: AboutField


def answer_of(
    request: FuelRequest, rate: Real, load: Real | None, rated: Real, mean_fuel: Real, ledger: Ledger
) -> FuelAnswer:
    """Return the answer for a fuel `rate` [m^3/s] at a `load` over `rated` power [1], [W]; no load for averages.

    `mean_fuel` is the mean rate of the time in the field over that `rate` [1].
    """
    burns = rate > 0.0
    capacity, mean_rate = request.capacity, rate * mean_fuel
    return FuelAnswer(
        rate=FuelRate.of(rate),
        load_fraction=Share.of(load) if load is not None else None,
        energy_per_fuel=EnergyPerFuel.known(burns, load * rated / rate) if load is not None and burns else None,
        mean_rate=FuelRate.of(mean_rate) if capacity is not None else None,
        per_area=FuelPerArea.of(fuel_per_area(mean_rate, capacity))
        if capacity is not None and capacity > 0.0
        else None,
        equation=request.equation,
        second_opinions=_second_opinions(request.equation, rate, load, rated) if burns else [],
        about=ledger.about(),
    )


def _second_opinions(equation: str, rate: Real, load: Real | None, rated: Real) -> list[OtherFuel]:
    others = {"annual-average-diesel": annual_average_fuel_rate(rated, DIESEL_ANNUAL_AVERAGE)}
    if load is not None:
        others["diesel"] = fuel_rate(load, rated)
        others["older-diesel"] = older_fuel_rate(load, rated)
    return [
        OtherFuel(equation=name, rate=FuelRate.of(other), difference=Ratio.of(other / rate - 1.0))
        for name, other in others.items()
        if name != equation
    ]
