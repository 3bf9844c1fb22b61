"""Stress in the soil under the tires of each axle, as a request asks for it and as it is answered."""

from typing import Annotated, NamedTuple

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.soil import Surface
from drawbar_service.engine.soil_stress import contact_area, stress_under_tire
from drawbar_service.model.tractor import TiredAxle, WheeledTractor
from drawbar_service.quantities import ContactArea, Depth, Force, MachineLength, Multiplier, Pressure
from drawbar_service.reference import default

Depths = Annotated[list[Depth], Meta(min_length=1, max_length=20)]
Concentration = Annotated[float, Meta(ge=3.0, le=8.0)]

USUAL_DEPTHS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0)
"""Depths [m] shown where the request names none: the worked layer, the plow sole and the subsoil."""


class SoilStress(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Ask for the stress in the soil; `{}` takes every default."""

    depths: Annotated[Depths | None, Meta(description="Depths to tell; else seven from 10 cm to 1 m.")] = None
    concentration: Annotated[
        Concentration | None,
        Meta(description="Concentration factor: 3 elastic, 4 hard or dry, 5 normal, 6 soft or wet soil.", examples=[5]),
    ] = None
    front_contact: Annotated[
        ContactArea | None, Meta(description="Measured area of one front tire on the ground.", examples=["0.25 m2"])
    ] = None
    rear_contact: Annotated[
        ContactArea | None, Meta(description="Measured area of one rear tire on the ground.", examples=["0.4 m2"])
    ] = None
    dual_spacing: Annotated[
        MachineLength | None, Meta(description="Duals and triples, centre to centre of neighbours.", examples=["0.7 m"])
    ] = None


class StressAtDepth(msgspec.Struct, frozen=True, kw_only=True):
    """Stress at one depth."""

    depth: Annotated[Depth, Meta(description="Below the ground.")]
    stress: Annotated[Pressure, Meta(description="Vertical stress below the centre of the tire.")]


class AxleStress(msgspec.Struct, frozen=True, kw_only=True):
    """Stress under the tires of one axle."""

    tire_load: Annotated[Force, Meta(description="On each tire, pulling; 0 once the axle has lifted.")]
    contact_area: Annotated[ContactArea, Meta(description="Of one tire on the ground: measured, or estimated.")]
    contact_stress: Annotated[Pressure, Meta(description="Load over area: the mean stress at the surface.")]
    stress: Annotated[list[StressAtDepth], Meta(description="With depth.")]


class SoilStressAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Stress in the soil under both axles, pulling."""

    front: Annotated[AxleStress, Meta(description="Under a front tire.")]
    rear: Annotated[AxleStress, Meta(description="Under a rear tire.")]


class Ground(NamedTuple):
    """How stress is reckoned, in SI units."""

    depths: tuple[float, ...]
    concentration: float
    front_area: float
    rear_area: float
    front_spacing: float
    rear_spacing: float


def ground_in_si(asked: SoilStress, surface: Surface, tractor: WheeledTractor, ledger: Ledger, pointer: str) -> Ground:
    """Return how stress is reckoned under this tractor; assumptions go to the ledger."""
    concentration = ledger.fallback(
        asked.concentration, f"{pointer}/concentration", f"concentration_{surface}", Multiplier
    )
    ledger.use("boussinesq", "soehne-1953")
    return Ground(
        tuple(float(depth) for depth in asked.depths) if asked.depths is not None else USUAL_DEPTHS,
        concentration,
        _area(asked.front_contact, tractor.front, ledger, f"{pointer}/front_contact"),
        _area(asked.rear_contact, tractor.rear, ledger, f"{pointer}/rear_contact"),
        *_spacings(asked, tractor, ledger, f"{pointer}/dual_spacing"),
    )


def _area(given: float | None, axle: TiredAxle, ledger: Ledger, pointer: str) -> float:
    if given is not None:
        return float(given)
    tire = axle.tire
    area = float(contact_area(tire.width, tire.diameter, tire.deflection))
    why = "An ellipse as wide as the tire and as long as the chord of its deflection; a rough estimate."
    ledger.assume(pointer, ContactArea(area), why, "common-practice")
    return area


def _spacings(asked: SoilStress, tractor: WheeledTractor, ledger: Ledger, pointer: str) -> tuple[float, float]:
    if asked.dual_spacing is not None:
        return float(asked.dual_spacing), float(asked.dual_spacing)
    row = default("dual_spacing_over_width")
    front, rear = (row.value * axle.tire.width for axle in (tractor.front, tractor.rear))
    multiple = [spacing for spacing, axle in ((front, tractor.front), (rear, tractor.rear)) if axle.tires > 2]
    if multiple:
        ledger.assume(pointer, MachineLength(max(multiple)), row.why, row.source)
    return front, rear


def soil_stress_answer(
    ground: Ground, tractor: WheeledTractor, front_load: float, rear_load: float
) -> SoilStressAnswer:
    """Return the stress under a tractor whose axles carry these loads [N]."""
    return SoilStressAnswer(
        front=_axle_stress(ground, tractor.front, front_load, ground.front_area, ground.front_spacing),
        rear=_axle_stress(ground, tractor.rear, rear_load, ground.rear_area, ground.rear_spacing),
    )


def _axle_stress(ground: Ground, axle: TiredAxle, load: float, area: float, spacing: float) -> AxleStress:
    on_tire = max(load, 0.0) / axle.tires
    # Under the middle of triples two stand beside, under one of duals one.
    neighbours = axle.tires / 2.0 - 1.0
    stresses = [
        float(stress_under_tire(on_tire, area, depth, ground.concentration, spacing, neighbours))
        for depth in ground.depths
    ]
    return AxleStress(
        tire_load=Force(on_tire),
        contact_area=ContactArea(area),
        contact_stress=Pressure(on_tire / area),
        stress=[
            StressAtDepth(depth=Depth(depth), stress=Pressure(stress))
            for depth, stress in zip(ground.depths, stresses, strict=True)
        ],
    )
