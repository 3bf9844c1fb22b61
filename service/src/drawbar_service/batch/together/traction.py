"""Traction on arrays."""

import re
from collections.abc import Callable
from functools import cached_property
from typing import Final, NamedTuple

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import hitching
from drawbar_service.api.shared.soil import cone_index, surface_row
from drawbar_service.api.shared.tractor import TractorInSI, tractor_in_si
from drawbar_service.api.v1.traction.answer import TractionRequest, compute
from drawbar_service.batch.together.tractor import TRACTOR_LEAVES, follows_front, with_arrays
from drawbar_service.batch.together.way import Give, Leaves, Way, plain, where
from drawbar_service.engine.arrays import Mask, Real, choose
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
from drawbar_service.reference import SurfaceRow


class _Case(NamedTuple):
    request: TractionRequest
    tractor: TractorInSI
    surface: SurfaceRow


class _Opinion(NamedTuple):
    """What another model says of the rear axle."""

    model: str
    net: Real
    rolling: Real
    efficiency: Real


class _Rows:
    """Tractors under a pull, of one group."""

    def __init__(self, case: _Case, leaves: Leaves, size: int) -> None:
        self.surface = case.surface
        self.tractor = with_arrays(case.tractor, case.request.tractor, leaves)
        self._pull = leaves.maybe("/pull", case.request.pull)
        self._slip = leaves.maybe("/slip", case.request.slip)

    @cached_property
    def point(self) -> OperatingPoint:
        engine = self.tractor.engine
        if self._slip is not None:
            return operate_at_slip(engine, self._slip)
        assert self._pull is not None
        # The chain wants a speed; ratios and loads do not depend on it.
        return operate(engine, Work(NO_DRAFT, self._pull, 0.0), 1.0)

    def carried(self) -> Mask:
        return self.point.pull_effort <= 1.0

    @cached_property
    def net(self) -> Real:
        """Net traction of the rear axle over its load [1]."""
        rear = self.point.rear
        return rear.gross_ratio - motion_resistance_ratio(rear.mobility, rear.slip, self.tractor.engine.rear.model)

    @cached_property
    def opinions(self) -> tuple[_Opinion, _Opinion]:
        tire, slip = self.tractor.rear.tire, self.point.rear.slip
        load = self.point.rear.load / self.tractor.rear.tires
        numeric = wheel_numeric(tire.cone_index, tire.width, tire.diameter, load)
        gross, rolling = wismer_luth_gross_ratio(numeric, slip), wismer_luth_motion_resistance_ratio(numeric)
        net = gross - rolling
        pulls = net > 0.0
        efficiency = where(pulls, tractive_efficiency(choose(pulls, gross, 1.0), net, slip))
        other = gee_clough(tire.cone_index, tire.width, tire.diameter, load, tire.deflection_ratio)
        coefficient = other.net_ratio(slip)
        other_efficiency = where(coefficient > 0.0, other.efficiency(slip))
        return (
            _Opinion("wismer-luth", net, rolling, efficiency),
            _Opinion("gee-clough-1978", coefficient, other.rolling_resistance, other_efficiency),
        )

    def difference(self, opinion: _Opinion) -> Real:
        pulls = self.net > 0.0
        return where(pulls, opinion.net / choose(pulls, self.net, 1.0) - 1.0)


def _read(request: TractionRequest, ledger: Ledger, leaves: Leaves) -> _Case | None:
    if follows_front(request.tractor, leaves):
        return None
    compute(request, ledger)
    hitched = hitching(request.hitch, request.vertical_load, request.pull_height, request.tractor, ledger, "")
    strength = cone_index(request.soil, ledger, "/soil")
    tractor = tractor_in_si(request.tractor, hitched, strength, float(request.slope), ledger)
    assert tractor is not None
    return _Case(request, tractor, surface_row(request.soil, ledger))


def _axle(name: str, load: Callable[[_Rows], Real]) -> dict[str, Give[_Rows]]:
    def axle(rows: _Rows) -> Axle:
        return getattr(rows.tractor.engine, name)

    def point(rows: _Rows) -> AxlePoint:
        return getattr(rows.point, name)

    def resistance(rows: _Rows) -> Real:
        return motion_resistance_ratio(point(rows).mobility, point(rows).slip, axle(rows).model)

    place = f"/axles/{name}"
    return {
        f"{place}/driven": plain(lambda rows: bool(axle(rows).driven)),
        f"{place}/load": plain(load),
        f"{place}/load_share": plain(lambda rows: load(rows) / rows.tractor.weight),
        f"{place}/mobility_number": plain(lambda rows: point(rows).mobility),
        f"{place}/slip": plain(lambda rows: point(rows).slip),
        f"{place}/gross_ratio": plain(lambda rows: point(rows).gross_ratio),
        f"{place}/motion_resistance_ratio": plain(resistance),
        f"{place}/net_ratio": plain(lambda rows: point(rows).gross_ratio - resistance(rows)),
    }


def _opinion(at: int) -> dict[str, Give[_Rows]]:
    place = f"/second_opinions/{at}"
    return {
        f"{place}/model": plain(lambda rows: rows.opinions[at].model),
        f"{place}/net_ratio": plain(lambda rows: rows.opinions[at].net),
        f"{place}/motion_resistance_ratio": plain(lambda rows: rows.opinions[at].rolling),
        f"{place}/tractive_efficiency": plain(lambda rows: rows.opinions[at].efficiency),
        f"{place}/difference": plain(lambda rows: rows.difference(rows.opinions[at])),
    }


TRACTIONS: Final = Way(
    leaves=re.compile(rf"/pull|/slip|{TRACTOR_LEAVES}"),
    read=_read,
    rows=_Rows,
    columns={
        "/carried": plain(_Rows.carried),
        "/pull": plain(lambda rows: rows.point.pull),
        "/slip": plain(lambda rows: rows.point.slip),
        "/slip_band/0": plain(lambda rows: rows.surface.slip_band_low),
        "/slip_band/1": plain(lambda rows: rows.surface.slip_band_high),
        "/pull_effort": plain(lambda rows: rows.point.pull_effort),
        "/tractive_efficiency": plain(lambda rows: rows.point.tractive_efficiency),
        "/lifting_pull": plain(lambda rows: lifting_pull(rows.tractor.engine.loads)),
        **_axle("front", lambda rows: rows.tractor.engine.loads.front(rows.point.pull)),
        **_axle("rear", lambda rows: rows.tractor.engine.loads.rear(rows.point.pull)),
        **_opinion(0),
        **_opinion(1),
    },
)
"""``/v1/traction``"""
