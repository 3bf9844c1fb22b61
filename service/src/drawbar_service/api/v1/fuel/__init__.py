"""POST /v1/fuel: what a load burns."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.fuel.answer import FuelAnswer, answer_of
from drawbar_service.api.v1.fuel.request import FuelRequest
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.fuel import DIESEL_ANNUAL_AVERAGE, GASOLINE_ANNUAL_AVERAGE, annual_average_fuel_rate
from drawbar_service.model.fuel import fuel_at, mean_of_efficiency
from drawbar_service.model.own_machine import fuel_law
from drawbar_service.model.tractor import rated_pto_power


def compute(request: FuelRequest, ledger: Ledger) -> FuelAnswer:
    """Answer a fuel request."""
    rated = rated_pto_power(request.power, ledger, "/power")
    if request.equation == "annual-average-diesel" or request.equation == "annual-average-gasoline":
        diesel = request.equation == "annual-average-diesel"
        average = DIESEL_ANNUAL_AVERAGE if diesel else GASOLINE_ANNUAL_AVERAGE
        ledger.use("iowa-state-a3-29")
        for name in ("load", "load_fraction", "engine_speed", "field_efficiency", "turning_fuel_share"):
            if getattr(request, name) is not None:
                ledger.warn("average-takes-no-load", f"/{name}")
        ledger.stop_at_faults()
        return answer_of(request, annual_average_fuel_rate(rated, average), None, rated, 1.0, ledger)
    law = fuel_law(request.power, ledger, "/power")
    if law is not None and request.equation != "diesel":
        ledger.fault("fuel-law-once", "/equation")
    load = _load(request, rated, ledger)
    ledger.stop_at_faults()
    rate = fuel_at(load, rated, request.engine_speed, request.equation, ledger, "/engine_speed", law)
    return answer_of(request, rate, load, rated, _mean_fuel(request, ledger), ledger)


def _mean_fuel(request: FuelRequest, ledger: Ledger) -> Real:
    """Return the mean fuel rate of the time in the field, over that at the load [1]; counts where there is an area."""
    if request.capacity is not None:
        return mean_of_efficiency(request.field_efficiency, request.turning_fuel_share, ledger, "")
    for name in ("field_efficiency", "turning_fuel_share"):
        if getattr(request, name) is not None:
            ledger.warn("fuel-without-area", f"/{name}")
    return 1.0


def _load(request: FuelRequest, rated: Real, ledger: Ledger) -> Real:
    """Return the power used over `rated` power [W], as a ratio [1]."""
    if (request.load is None) == (request.load_fraction is None):
        ledger.fault("load-once", "/load")
        return 0.0
    if request.load_fraction is not None:
        return request.load_fraction
    load = (0.0 if request.load is None else request.load) / rated
    if load > 1.0:
        ledger.fault("load-beyond-rated", "/load", load=load)
    return load


FUEL = Calculation(
    name="fuel",
    request=FuelRequest,
    answer=FuelAnswer,
    compute=compute,
    summary="Fuel for a load",
    description=(
        "Diesel for a PTO-equivalent load, at full throttle or at part engine speed: Q = (0.22 X + 0.096) P, times 1 "
        "- (N - 1)(0.45 X - 0.877) (Grisso et al. 2004; after ASAE D497.5 on)."
    ),
    more="On an area, what the field efficiency loses burns as turning does: a share of the rate under load.",
    example={"power": {"rated_pto": "150 kW"}, "load": "95 kW", "engine_speed": "85 %", "capacity": "2.6 ha/h"},
    columns=(
        "/rate",
        "/load_fraction",
        "/energy_per_fuel",
        "/per_area",
    ),
)
