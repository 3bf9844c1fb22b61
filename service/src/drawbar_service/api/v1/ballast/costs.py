"""The same work at lighter and heavier masses: what too little and too much cost."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.v1.ballast.standing import Case, fuel_of, paths_answer
from drawbar_service.engine.ballast import sliding
from drawbar_service.engine.match import operate
from drawbar_service.quantities import FuelRate, Mass, Power, Ratio, Share

COMPARED = (-0.2, -0.1, 0.0, 0.1, 0.2, 0.3)
"""Masses compared, over the right one, less 1."""


class MassCost(msgspec.Struct, frozen=True, kw_only=True):
    """The same work at one mass, at the same ground speed: costs compare for each area as for each hour."""

    over_right: Annotated[Ratio, Meta(description="Mass over the right one, less 1.")]
    mass: Annotated[Mass, Meta(description="The mass.")]
    carried: Annotated[bool, Meta(description="Whether any slip carries the pull.")]
    slip: Annotated[Share, Meta(description="Slip; of greatest net traction if the pull is not carried.")]
    sliding: Annotated[Ratio, Meta(description="Distance the tread slides over distance travelled: a sign of wear.")]
    slip_power: Annotated[Power | None, Meta(description="Lost to slip; null where the pull is not carried.")]
    rolling_power: Annotated[Power | None, Meta(description="Lost to rolling; null where the pull is not carried.")]
    tractive_efficiency: Annotated[Ratio, Meta(description="Drawbar power over axle power.")]
    fuel: Annotated[FuelRate | None, Meta(description="Fuel in a time; null where pull or power is too much.")]
    more_fuel: Annotated[Ratio | None, Meta(description="Fuel over that at the right mass, less 1.")]


def mass_costs(case: Case, right_mass: float, front_share: float) -> list[MassCost]:
    """Return the costs of masses around the right one [kg] at its `front_share` [1]."""
    right = fuel_of(case, operate(case.at(right_mass, front_share).engine, case.work.central, case.speed))
    costs: list[MassCost] = []
    for over in COMPARED:
        mass = (1.0 + over) * right_mass
        tractor = case.at(mass, front_share)
        point = operate(tractor.engine, case.work.central, case.speed)
        paths, fuel = paths_answer(tractor, point), fuel_of(case, point)
        costs.append(
            MassCost(
                over_right=Ratio(over),
                mass=Mass(mass),
                carried=bool(point.pull_effort <= 1.0),
                slip=Share(float(point.slip)),
                sliding=Ratio(float(sliding(point.slip))),
                slip_power=paths.slip if paths is not None else None,
                rolling_power=paths.rolling if paths is not None else None,
                tractive_efficiency=Ratio(float(point.tractive_efficiency)),
                fuel=FuelRate(fuel) if fuel is not None else None,
                more_fuel=Ratio(fuel / right - 1.0) if fuel is not None and right else None,
            )
        )
    return costs
