"""POST /v1/fuel: what a load burns."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.tractor import TractorPower, rated_pto_power
from drawbar_service.engine.fuel import (
    DIESEL_ANNUAL_AVERAGE,
    GASOLINE_ANNUAL_AVERAGE,
    annual_average_fuel_rate,
    fuel_per_area,
    fuel_rate,
    older_fuel_rate,
    reduced_speed_factor,
)
from drawbar_service.quantities import (
    AreaRate,
    EnergyPerFuel,
    EngineSpeedRatio,
    FuelPerArea,
    FuelRate,
    Power,
    Ratio,
    Share,
)

LIGHTEST_FITTED_LOAD = 0.2
"""Load fraction [1] below which the diesel equation leaves the test reports it was fitted to."""


class FuelRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor under load."""

    power: Annotated[TractorPower, Meta(description="What the tractor is rated for.")]
    load: Annotated[Power | None, Meta(description="Power used, as PTO equivalent.", examples=["95 kW"])] = None
    load_fraction: Annotated[Share | None, Meta(description="Power used over rated PTO power, in place of `load`.")] = (
        None
    )
    engine_speed: Annotated[
        EngineSpeedRatio | None, Meta(description="Engine speed over full-throttle speed.", examples=["80 %"])
    ] = None
    equation: Annotated[
        Literal["diesel", "older-diesel", "annual-average-diesel", "annual-average-gasoline"],
        Meta(
            description="`diesel`: after ASAE D497.5 on. `older-diesel`: to D497.4, reads 20-34 % higher; never mix "
            "the two. The annual averages take no load: they are for budgets."
        ),
    ] = "diesel"
    capacity: Annotated[AreaRate | None, Meta(description="Field capacity; gives fuel for each area.")] = None


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
    per_area: Annotated[FuelPerArea | None, Meta(description="Fuel on an area, if a field capacity was given.")]
    equation: Annotated[str, Meta(description="The equation used.")]
    second_opinions: Annotated[
        list[OtherFuel],
        Meta(description="Other diesel equations: the older one at this load, and the average over a year's work."),
    ]
    about: AboutField


def compute(request: FuelRequest, ledger: Ledger) -> FuelAnswer:
    """Answer a fuel request."""
    rated = rated_pto_power(request.power, ledger, "/power")
    if request.equation.startswith("annual-average"):
        average = DIESEL_ANNUAL_AVERAGE if request.equation.endswith("diesel") else GASOLINE_ANNUAL_AVERAGE
        ledger.use("iowa-state-a3-29")
        for name in ("load", "load_fraction", "engine_speed"):
            if getattr(request, name) is not None:
                ledger.warn("not-used", f"/{name}", "An annual average takes no account of it.")
        ledger.stop_at_faults()
        return _answer(request, ledger, float(annual_average_fuel_rate(rated, average)), None, rated)
    fraction = _load_fraction(request, rated, ledger)
    ledger.stop_at_faults()
    rate = fuel_at(fraction, rated, request.engine_speed, request.equation, ledger, "/engine_speed")
    return _answer(request, ledger, rate, fraction, rated)


def fuel_at(
    fraction: float, rated: float, engine_speed: float | None, equation: str, ledger: Ledger, pointer: str
) -> float:
    """Return fuel [m^3/s] at a load `fraction` [1] of the `rated` power [W]."""
    ledger.use("grisso-2004")
    if fraction < LIGHTEST_FITTED_LOAD:
        ledger.warn(
            "outside-range", "", f"The load is {100 * fraction:.0f} % of rated; the fuel equation was fitted from 20 %."
        )
    if equation == "older-diesel":
        ledger.use("asae-d497")
        if engine_speed is not None:
            ledger.warn("not-used", pointer, "The older equation takes no account of engine speed.")
        return float(older_fuel_rate(fraction, rated))
    speed = ledger.fallback(engine_speed, pointer, "engine_speed_ratio")
    return float(fuel_rate(fraction, rated) * reduced_speed_factor(fraction, speed))


def _load_fraction(request: FuelRequest, rated: float, ledger: Ledger) -> float:
    if (request.load is None) == (request.load_fraction is None):
        ledger.fault("/load", "give load or load_fraction, one of the two")
        return 0.0
    if request.load_fraction is not None:
        return float(request.load_fraction)
    fraction = float(request.load or 0.0) / rated
    if fraction > 1.0:
        ledger.fault("/load", f"is {100 * fraction:.0f} % of the rated PTO power; give at most the rated power")
    return fraction


def _answer(request: FuelRequest, ledger: Ledger, rate: float, fraction: float | None, rated: float) -> FuelAnswer:
    return FuelAnswer(
        rate=FuelRate(rate),
        load_fraction=Share(fraction) if fraction is not None else None,
        energy_per_fuel=EnergyPerFuel(fraction * rated / rate) if fraction is not None and rate > 0.0 else None,
        per_area=FuelPerArea(float(fuel_per_area(rate, float(request.capacity)))) if request.capacity else None,
        equation=request.equation,
        second_opinions=_second_opinions(request.equation, rate, fraction, rated),
        about=ledger.about(),
    )


def _second_opinions(equation: str, rate: float, fraction: float | None, rated: float) -> list[OtherFuel]:
    others: dict[str, float] = {"annual-average-diesel": float(annual_average_fuel_rate(rated, DIESEL_ANNUAL_AVERAGE))}
    if fraction is not None:
        others["diesel"] = float(fuel_rate(fraction, rated))
        others["older-diesel"] = float(older_fuel_rate(fraction, rated))
    return [
        OtherFuel(equation=name, rate=FuelRate(other), difference=Ratio(other / rate - 1.0))
        for name, other in others.items()
        if name != equation and rate > 0.0
    ]


FUEL = Calculation(
    name="fuel",
    request=FuelRequest,
    answer=FuelAnswer,
    compute=compute,
    summary="Fuel for a load",
    description=(
        "Diesel for a PTO-equivalent load, at full throttle or at part engine speed: "
        "Q = (0.22 X + 0.096) P, times 1 - (N - 1)(0.45 X - 0.877) (Grisso et al. 2004; after ASAE D497.5 on)."
    ),
    example={"power": {"rated_pto": "150 kW"}, "load": "95 kW", "engine_speed": "85 %", "capacity": "2.6 ha/h"},
    columns=(
        "/rate",
        "/load_fraction",
        "/energy_per_fuel",
        "/per_area",
    ),
)
