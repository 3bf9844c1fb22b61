"""A check that this machine computes what it should, for ``/readyz``."""

from functools import cache

from drawbar_service.engine.slip import Axle, net_traction, slip_for_pull
from drawbar_service.engine.traction import RADIAL

_TOLERANCE = 1e-9


@cache
def self_check() -> str:
    """Return what is wrong with this process's arithmetic; an empty string if nothing is.

    Solves a slip and puts it back: the net traction there must be the pull asked for. One process
    runs one binary on one processor, so once is enough.
    """
    pull = 40_000.0
    axle = Axle(1.0e6, RADIAL, 1.0)
    net = net_traction(axle, axle, 35_000.0, 60_000.0)
    answer = slip_for_pull(net, pull)
    missed = abs(float(net.at(answer.slip)) / pull - 1.0)
    return f"slip {float(answer.slip):.3g} misses the pull by {missed:.1e}" if not missed < _TOLERANCE else ""
