"""POST /v1/curves/soil-stress-by-depth: vertical stress under the tires of a tractor at work."""

from typing import Annotated, Literal, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import MODEL_VERSION, AboutField, Ledger
from drawbar_service.api.shared.curve import PICTURES, Curve, CurveAnswer, Series, series
from drawbar_service.api.v1.ballast import answer as ballast
from drawbar_service.api.v1.ballast.answer import BALLAST, BallastRequest
from drawbar_service.api.v1.ballast.soil_stress import AxleStress, SoilStress
from drawbar_service.api.v1.ballast.standing import StandingAnswer
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.quantities import Depth, Mass, Pressure

AxleName: TypeAlias = Literal["front", "rear"]
BallastState: TypeAlias = Literal["as-it-stands", "advised"]

SHALLOWEST, DEEPEST = 0.05, 1.0
"""Depths [m] between which the curve runs, unless the request asks deeper."""
POINTS = 39


class StressCurve(msgspec.Struct, frozen=True, kw_only=True):
    """Stress under the tires of one axle."""

    axle: Annotated[AxleName, Meta(description="Which axle.")]
    standing: Annotated[BallastState, Meta(description="Of which tractor: as given, or advised.")]
    mass: Annotated[Mass, Meta(description="Mass of that tractor.")]
    contact_stress: Annotated[Pressure, Meta(description="Mean stress at the surface.")]
    stress: Annotated[Series, Meta(description="Vertical stress at each depth.")]


class SoilStressByDepthAnswer(CurveAnswer, frozen=True, kw_only=True):
    """Vertical stress in the soil, by depth."""

    depth: Annotated[Series, Meta(description="Depths below the ground, growing.")]
    curves: Annotated[list[StressCurve], Meta(description="Under each axle, as the tractor stands and as advised.")]
    about: AboutField


def compute(request: BallastRequest, ledger: Ledger) -> SoilStressByDepthAnswer:
    """Answer with stress by depth."""
    if request.tractor.drive == "rubber-track":
        ledger.fault("/tractor/drive", "stress is reckoned under tires only; give a tractor on wheels")
        ledger.stop_at_faults()
    asked = request.soil_stress or SoilStress()
    named = [float(depth) for depth in asked.depths or ()]
    depths = np.union1d(np.linspace(SHALLOWEST, max([DEEPEST, *named]), POINTS), named)
    dense = msgspec.structs.replace(asked, depths=[Depth(depth) for depth in depths.tolist()])
    answer = ballast.compute(msgspec.structs.replace(request, soil_stress=dense), ledger)
    curves: list[StressCurve] = []
    words: list[str] = []
    states: tuple[tuple[BallastState, StandingAnswer | None], ...] = (
        ("as-it-stands", answer.as_it_stands),
        ("advised", answer.advised),
    )
    for name, one in states:
        if one is None or one.soil_stress is None:
            continue
        axles: tuple[tuple[AxleName, AxleStress], ...] = (
            ("front", one.soil_stress.front),
            ("rear", one.soil_stress.rear),
        )
        for axle, found in axles:
            stress = _stress(found)
            curves.append(
                StressCurve(
                    axle=axle,
                    standing=name,
                    mass=one.mass,
                    contact_stress=found.contact_stress,
                    stress=series("Vertical stress", Pressure, ledger.units, stress),
                )
            )
            middle = Pressure(float(np.interp(0.5, depths, stress)))
            words.append(
                f"{axle} {'as it stands' if name == 'as-it-stands' else name}: {ledger.say(found.contact_stress)} at "
                f"the surface, {ledger.say(middle)} at {ledger.say(Depth(0.5))}"
            )
    return SoilStressByDepthAnswer(
        title="Soil stress by depth",
        summary=f"Vertical stress below the centre of a tire, pulling. {'; '.join(words).capitalize()}.",
        source=f"Froehlich's stress with Soehne's concentration factors, from memory. drawbar, model {MODEL_VERSION}: "
        "an estimate, not a measurement.",
        depth=series("Depth", Depth, ledger.units, depths),
        curves=curves,
        about=ledger.about(),
    )


def _stress(found: AxleStress) -> FloatArray:
    return np.array([float(one.stress) for one in found.stress])


SOIL_STRESS_BY_DEPTH = Curve(
    name="soil-stress-by-depth",
    request=BallastRequest,
    answer=SoilStressByDepthAnswer,
    compute=compute,
    summary="Stress in the soil under the tires, by depth",
    description=(
        "The request is that of `/v1/ballast`; `soil_stress` may be left out. Vertical stress under a tire of each "
        "axle from the worked layer to the subsoil, as the tractor stands and as advised. On wheels only."
    ),
    example=BALLAST.example,
    shown_as=PICTURES,
)
