"""Stress in the soil under the tires of each axle."""

from collections.abc import Sequence
from typing import NamedTuple, Protocol

from drawbar_service.engine.arrays import Real, choose, either, larger
from drawbar_service.engine.soil_stress import stress_under_tire
from drawbar_service.model.findings import Findings
from drawbar_service.model.tractor import TiredAxle, WheeledTractor
from drawbar_service.reference import default

USUAL_DEPTHS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0)
"""Depths [m] shown where the request names none: the worked layer, the plow sole and the subsoil."""


class SoilStress(Protocol):
    """How stress in the soil is asked for."""

    @property
    def depths(self) -> Sequence[float] | None:
        """Depths to look at [m]."""
        ...

    @property
    def concentration(self) -> float | None:
        """Concentration factor [1]."""
        ...

    @property
    def front_contact(self) -> float | None:
        """Measured area of one front tire on the ground [m^2]."""
        ...

    @property
    def rear_contact(self) -> float | None:
        """Measured area of one rear tire on the ground [m^2]."""
        ...

    @property
    def dual_spacing(self) -> float | None:
        """Duals and triples, center to center of neighbours [m]."""
        ...


class Ground(NamedTuple):
    """What stress under a tractor depends on besides its axle loads."""

    depths: Sequence[Real]
    """[m]"""
    concentration: Real
    """[1]"""
    front_area: Real
    """Of one tire on the ground [m^2]."""
    rear_area: Real
    """[m^2]"""
    front_spacing: Real
    """Between neighbouring tires [m]."""
    rear_spacing: Real
    """[m]"""


class UnderTire(NamedTuple):
    """The soil under one tire of an axle."""

    tire_load: Real
    """On each tire; 0 once the axle has lifted [N]."""
    area: Real
    """Of each tire on the ground [m^2]."""
    concentration: Real
    """[1]"""
    spacing: Real
    """Between neighbouring tires [m]."""
    neighbours: Real
    """Tires right beside it [1]."""

    @property
    def contact_stress(self) -> Real:
        """Mean stress at the surface [Pa]."""
        return self.tire_load / self.area

    def at(self, depth: Real) -> Real:
        """Return the vertical stress [Pa] below the center of the tire at a `depth` [m]."""
        return stress_under_tire(self.tire_load, self.area, depth, self.concentration, self.spacing, self.neighbours)


def ground(asked: SoilStress, surface: str, tractor: WheeledTractor, found: Findings, pointer: str) -> Ground:
    """Return the ground under a `tractor` on a soil `surface`; `pointer` leads to what is `asked`."""
    concentration: Real
    if asked.concentration is not None:
        concentration = asked.concentration
    else:
        concentration = found.fallback_of(f"{pointer}/concentration", "concentration_", surface)
    found.use("boussinesq", "soehne-1953")
    return Ground(
        USUAL_DEPTHS if asked.depths is None else asked.depths,
        concentration,
        _area(asked.front_contact, tractor.front, found, f"{pointer}/front_contact"),
        _area(asked.rear_contact, tractor.rear, found, f"{pointer}/rear_contact"),
        *_spacings(asked, tractor, found, f"{pointer}/dual_spacing"),
    )


def _area(given: float | None, axle: TiredAxle, found: Findings, pointer: str) -> Real:
    if given is not None:
        return given
    area = axle.tire.area
    found.assume("contact-area", pointer, area, "common-practice")
    return area


def _spacings(asked: SoilStress, tractor: WheeledTractor, found: Findings, pointer: str) -> tuple[Real, Real]:
    if asked.dual_spacing is not None:
        return asked.dual_spacing, asked.dual_spacing
    row = default("dual_spacing_over_width")
    front, rear = row.value * tractor.front.tire.width, row.value * tractor.rear.tire.width
    front_multiple, rear_multiple = tractor.front.tires > 2, tractor.rear.tires > 2
    widest = larger(choose(front_multiple, front, 0.0), choose(rear_multiple, rear, 0.0))
    found.assume("dual-spacing", pointer, widest, row.source, where=either(front_multiple, rear_multiple), why=row.why)
    return front, rear


def under_tires(
    under: Ground, tractor: WheeledTractor, front_load: Real, rear_load: Real
) -> tuple[UnderTire, UnderTire]:
    """Return the soil under a front and a rear tire of a tractor whose axles carry these loads [N]."""
    return (
        _under_tire(tractor.front, front_load, under.front_area, under.concentration, under.front_spacing),
        _under_tire(tractor.rear, rear_load, under.rear_area, under.concentration, under.rear_spacing),
    )


def _under_tire(axle: TiredAxle, load: Real, area: Real, concentration: Real, spacing: Real) -> UnderTire:
    # Under the middle of triples two stand beside, under one of duals one.
    return UnderTire(larger(load, 0.0) / axle.tires, area, concentration, spacing, axle.tires / 2.0 - 1.0)
