"""Power: what a job takes from the tractor, brought to the PTO."""

from typing import Literal, NamedTuple, Protocol

from drawbar_service.engine.arrays import Real
from drawbar_service.engine.power import drawbar_power, pto_equivalent_of_drawbar
from drawbar_service.model.findings import Findings
from drawbar_service.reference import DRAWBAR_PER_PTO, drawbar_per_pto


class Pulling(Protocol):
    """What is pulled."""

    @property
    def pull(self) -> float:
        """At the hitch [N]."""
        ...

    @property
    def speed(self) -> float:
        """In SI units [m/s]."""
        ...

    @property
    def tractive_efficiency(self) -> float | None:
        """Drawbar power over axle power [1]."""
        ...

    @property
    def drive(self) -> str | None:
        """What is driven."""
        ...

    @property
    def surface(self) -> str | None:
        """What the wheels stand on."""
        ...

    @property
    def drawbar_per_pto(self) -> float | None:
        """Drawbar power over PTO power [1]."""
        ...


class PowerForPulling(NamedTuple):
    """Power that goes into pulling, along its way [W]."""

    drawbar: Real
    axle: Real | None
    """None by the ratio, which skips the axles."""
    pto: Real
    drawbar_per_pto: Real
    """[1]"""
    method: Literal["tractive-efficiency", "ratio"]


def pulling_power(pulling: Pulling, transmission_efficiency: float | None, found: Findings) -> PowerForPulling:
    """Return what pulling takes, through the tractive efficiency if it is known and else through the ratio.

    `transmission_efficiency` is axle power over PTO power [1].
    """
    power = drawbar_power(pulling.pull, pulling.speed)
    traction = pulling.tractive_efficiency
    if traction is not None:
        transmission = found.fallback(transmission_efficiency, "/transmission_efficiency", "transmission_efficiency")
        pto = pto_equivalent_of_drawbar(power, traction, transmission)
        return PowerForPulling(power, power / traction, pto, traction * transmission, "tractive-efficiency")
    ratio = _ratio(pulling, found)
    return PowerForPulling(power, None, power / ratio, ratio, "ratio")


def _ratio(pulling: Pulling, found: Findings) -> Real:
    if pulling.drawbar_per_pto is not None:
        return pulling.drawbar_per_pto
    if pulling.drive is None or pulling.surface is None:
        found.fault("no-drawbar-ratio", "/pulling")
        return 1.0
    row = DRAWBAR_PER_PTO.row(pulling.drive)
    found.use(row.source)
    found.warn("hard-as-firm", "/pulling/surface", where=pulling.surface == "hard")
    ratio = drawbar_per_pto(pulling.drive, pulling.surface)
    found.assume("published-ratio", "/pulling/drawbar_per_pto", ratio, row.source)
    return ratio
