"""Fuel on arrays."""

import re
from functools import cached_property
from typing import Final

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.tractor import rated_pto_power
from drawbar_service.api.v1.fuel.answer import FuelRequest
from drawbar_service.batch.together.way import NONE, Give, Leaves, Value, Way, plain, where
from drawbar_service.engine.arrays import Mask, Real, choose
from drawbar_service.engine.fuel import (
    DIESEL_ANNUAL_AVERAGE,
    GASOLINE_ANNUAL_AVERAGE,
    annual_average_fuel_rate,
    fuel_per_area,
    fuel_rate,
    older_fuel_rate,
    reduced_speed_factor,
)
from drawbar_service.engine.power import pto_from_engine
from drawbar_service.reference import default


class _Rows:
    """Fuel of one group."""

    def __init__(self, request: FuelRequest, leaves: Leaves, size: int) -> None:
        self.request = request
        self._leaves = leaves

    @cached_property
    def rated(self) -> Real:
        power, at = self.request.power, self._leaves.at
        if power.engine is not None:
            return pto_from_engine(at("/power/engine", power.engine), default("pto_per_engine_power").value)
        return at("/power/rated_pto", power.rated_pto or 0.0)

    @cached_property
    def fraction(self) -> Real | None:
        """Load fraction [1]; None for an annual average."""
        request = self.request
        if request.equation.startswith("annual-average"):
            return None
        if request.load is not None:
            return self._leaves.at("/load", request.load) / self.rated
        return self._leaves.at("/load_fraction", request.load_fraction or 0.0)

    @cached_property
    def rate(self) -> Real:
        equation, fraction = self.request.equation, self.fraction
        if fraction is None:
            diesel = equation.endswith("diesel")
            return annual_average_fuel_rate(self.rated, DIESEL_ANNUAL_AVERAGE if diesel else GASOLINE_ANNUAL_AVERAGE)
        if equation == "older-diesel":
            return older_fuel_rate(fraction, self.rated)
        given = self.request.engine_speed
        speed = self._leaves.at("/engine_speed", default("engine_speed_ratio").value if given is None else given)
        return fuel_rate(fraction, self.rated) * reduced_speed_factor(fraction, speed)

    def over_rate(self, amount: Real) -> Real:
        """Return an `amount` over the rate; nothing where nothing is burnt."""
        burns = self.rate > 0.0
        return where(burns, amount / choose(burns, self.rate, 1.0))

    def energy_per_fuel(self) -> Real:
        return self.over_rate(self.fraction * self.rated) if self.fraction is not None else NONE

    def per_area(self) -> Real:
        capacity = self._leaves.maybe("/capacity", self.request.capacity)
        return fuel_per_area(self.rate, capacity) if capacity is not None else NONE

    @cached_property
    def others(self) -> list[tuple[str, Real]]:
        """What other equations say [m^3/s], by name."""
        found = [("annual-average-diesel", annual_average_fuel_rate(self.rated, DIESEL_ANNUAL_AVERAGE))]
        if self.fraction is not None:
            found.append(("diesel", fuel_rate(self.fraction, self.rated)))
            found.append(("older-diesel", older_fuel_rate(self.fraction, self.rated)))
        return [other for other in found if other[0] != self.request.equation]

    def name(self, at: int) -> Value:
        named = self.others[at][0] if at < len(self.others) else None
        if not isinstance(self.rate, np.ndarray):
            return named
        return [named if burns else None for burns in (self.rate > 0.0).tolist()]


def _other(at: int) -> dict[str, Give[_Rows]]:
    def rate(rows: _Rows) -> Real:
        return where(rows.rate > 0.0, rows.others[at][1]) if at < len(rows.others) else NONE

    def difference(rows: _Rows) -> Real:
        return rows.over_rate(rows.others[at][1]) - 1.0 if at < len(rows.others) else NONE

    return {
        f"/second_opinions/{at}/equation": plain(lambda rows: rows.name(at)),
        f"/second_opinions/{at}/rate": plain(rate),
        f"/second_opinions/{at}/difference": plain(difference),
    }


def _read(request: FuelRequest, ledger: Ledger, leaves: Leaves) -> FuelRequest | None:
    rated_pto_power(request.power, ledger, "/power")
    ledger.stop_at_faults()
    one_load = (request.load is None) != (request.load_fraction is None)
    return request if one_load or request.equation.startswith("annual-average") else None


def _overloaded(request: FuelRequest, leaves: Leaves) -> Mask:
    """Return where the load is beyond what the tractor is rated for: a fault that names the load of its row."""
    if request.load is None:
        return False
    fraction = _Rows(request, leaves, 0).fraction
    return fraction > 1.0 if fraction is not None else False


FUELS: Final = Way(
    leaves=re.compile(r"/power/(?:rated_pto|engine)|/load|/load_fraction|/engine_speed|/capacity"),
    read=_read,
    rows=_Rows,
    alone=_overloaded,
    columns={
        "/rate": plain(lambda rows: rows.rate),
        "/load_fraction": plain(lambda rows: rows.fraction if rows.fraction is not None else NONE),
        "/energy_per_fuel": plain(_Rows.energy_per_fuel),
        "/per_area": plain(_Rows.per_area),
        "/equation": plain(lambda rows: rows.request.equation),
        **{pointer: give for at in range(3) for pointer, give in _other(at).items()},
    },
)
"""``/v1/fuel``"""
