"""Power needs on arrays."""

import re
from functools import cached_property
from typing import Final

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.power.answer import PowerRequest, Pulling, compute
from drawbar_service.batch.together.way import NONE, End, Leaves, Way, plain, where
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.power import (
    drawbar_power,
    engine_from_pto,
    hydraulic_power,
    input_power,
    pto_equivalent_of_drawbar,
    rotary_power,
)
from drawbar_service.reference import default, drawbar_per_pto, rotary_row


class _Rows:
    """Power needs of one group."""

    def __init__(self, request: PowerRequest, leaves: Leaves, size: int) -> None:
        self._request = request
        self._leaves = leaves

    def _efficiency(self, name: str) -> Real:
        given = getattr(self._request, name)
        return self._leaves.at(f"/{name}", default(name).value if given is None else given)

    @cached_property
    def pulling(self) -> Pulling | None:
        return self._request.pulling

    @cached_property
    def traction(self) -> Real | None:
        """Tractive efficiency [1]; None where pulling goes by the drawbar/PTO ratio."""
        if self.pulling is None:
            return None
        return self._leaves.maybe("/pulling/tractive_efficiency", self.pulling.tractive_efficiency)

    @cached_property
    def drawbar(self) -> Real:
        pulling = self.pulling
        if pulling is None:
            return NONE
        at = self._leaves.at
        return drawbar_power(at("/pulling/pull", pulling.pull), at("/pulling/speed", pulling.speed))

    @cached_property
    def ratio(self) -> Real:
        """Drawbar power over PTO power [1]."""
        pulling = self.pulling
        if pulling is None:
            return NONE
        if self.traction is not None:
            return self.traction * self._efficiency("transmission_efficiency")
        given = self._leaves.maybe("/pulling/drawbar_per_pto", pulling.drawbar_per_pto)
        if given is not None:
            return given
        assert pulling.drive is not None
        assert pulling.surface is not None
        return drawbar_per_pto(pulling.drive, pulling.surface)

    @cached_property
    def pulled(self) -> Real:
        """PTO power for pulling [W]."""
        if self.traction is not None:
            transmission = self._efficiency("transmission_efficiency")
            return pto_equivalent_of_drawbar(self.drawbar, self.traction, transmission)
        return self.drawbar / self.ratio

    @cached_property
    def rotaries(self) -> tuple[Real, Real, Real]:
        total: list[Real] = [0.0, 0.0, 0.0]
        for at, need in enumerate(self._request.rotary):
            row = rotary_row(need.machine)
            power = rotary_power(
                1e3 * row.a_kW,
                1e3 * row.b_kW_per_m,
                3.6e3 * row.c_kWh_per_t,
                self._leaves.at(f"/rotary/{at}/width", need.width or 0.0),
                self._leaves.at(f"/rotary/{at}/feed_rate", need.feed_rate or 0.0),
            )
            for end, factor in enumerate((1.0, 1.0 - row.range, 1.0 + row.range)):
                total[end] = total[end] + power * factor
        return total[0], total[1], total[2]

    @cached_property
    def hydraulic(self) -> Real:
        at = self._leaves.at
        fluid: Real = 0.0
        for number, need in enumerate(self._request.hydraulic):
            place = f"/hydraulic/{number}"
            fluid = fluid + hydraulic_power(at(f"{place}/flow", need.flow), at(f"{place}/pressure", need.pressure))
        return input_power(fluid, self._efficiency("pump_efficiency"))

    @cached_property
    def electric(self) -> Real:
        taken = self._leaves.at("/electric", self._request.electric or 0.0)
        return input_power(taken, self._efficiency("generator_efficiency"))

    def rotary(self, end: End) -> Real:
        return self._with_range(self.rotaries[end], end)

    def total(self, end: End) -> Real:
        pulled = self.pulled if self.pulling is not None else 0.0
        return self._with_range(pulled + self.hydraulic + self.electric + self.rotaries[end], end)

    def engine(self, end: End) -> Real:
        return engine_from_pto(self.total(end), self._efficiency("pto_per_engine_power"))

    def _with_range(self, value: Real, end: End) -> Real:
        # Only what the PTO drives has a range.
        return value if end == 0 else where(self.rotaries[0] != 0.0, value)

    def axle(self) -> Real:
        return self.drawbar / self.traction if self.traction is not None else NONE

    def method(self) -> str | None:
        if self.pulling is None:
            return None
        return "tractive-efficiency" if self.traction is not None else "ratio"


def _read(request: PowerRequest, ledger: Ledger, leaves: Leaves) -> PowerRequest | None:
    if not (request.pulling or request.rotary or request.hydraulic):
        # Where electric power is all there is, none of it is a fault.
        return None
    compute(request, ledger)
    return request


POWERS: Final = Way(
    leaves=re.compile(
        r"/pulling/(?:pull|speed|tractive_efficiency|drawbar_per_pto)|/rotary/[0-9]+/(?:width|feed_rate)"
        r"|/hydraulic/[0-9]+/(?:flow|pressure)|/electric"
        r"|/(?:transmission_efficiency|pump_efficiency|generator_efficiency|pto_per_engine_power)"
    ),
    read=_read,
    rows=_Rows,
    columns={
        "/pulling/drawbar": plain(lambda rows: rows.drawbar),
        "/pulling/axle": plain(_Rows.axle),
        "/pulling/pto": plain(lambda rows: rows.pulled),
        "/pulling/drawbar_per_pto": plain(lambda rows: rows.ratio),
        "/pulling/method": plain(_Rows.method),
        "/rotary": _Rows.rotary,
        "/hydraulic": plain(lambda rows: rows.hydraulic),
        "/electric": plain(lambda rows: rows.electric),
        "/pto_equivalent": _Rows.total,
        "/engine": _Rows.engine,
    },
)
"""``/v1/power``"""
