"""POST /v1/curves/soil-stress-by-depth: vertical stress under the tires of a tractor at work."""

from typing import Annotated, Literal, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import MODEL_VERSION, AboutField, Ledger
from drawbar_service.api.shared.curve import PICTURES, Curve, CurveAnswer, Series, series
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.ballast.request import BallastRequest, SoilStress
from drawbar_service.model.ballast import advise, asked_of, guide, only_guided
from drawbar_service.model.ballast_state import BallastState
from drawbar_service.model.soil_stress import UnderTire, under_tires
from drawbar_service.quantities import Depth, Mass, Pressure
from drawbar_service.reference import default

AxleName: TypeAlias = Literal["front", "rear"]
StateName: TypeAlias = Literal["as-it-stands", "advised"]

SHALLOWEST, DEEPEST = 0.05, 1.0
"""Depths [m] between which the curve runs, unless the request asks deeper."""
POINTS = 39


class StressCurve(msgspec.Struct, frozen=True, kw_only=True):
    """Stress under the tires of one axle."""

    axle: Annotated[AxleName, Meta(description="Which axle.")]
    standing: Annotated[StateName, Meta(description="Of which tractor: as given, or advised.")]
    mass: Annotated[Mass, Meta(description="Mass of that tractor.")]
    contact_stress: Annotated[Pressure, Meta(description="Mean stress at the surface.")]
    stress: Annotated[Series, Meta(description="Vertical stress at each depth.")]


class SubsoilBears(msgspec.Struct, frozen=True, kw_only=True):
    """What moist subsoil bears, by a rule of thumb."""

    depth: Annotated[Depth, Meta(description="From which depth.")]
    stress: Annotated[Pressure, Meta(description="Vertical stress without lasting harm.")]


class SoilStressByDepthAnswer(CurveAnswer, frozen=True, kw_only=True):
    """Vertical stress in the soil, by depth."""

    depth: Annotated[Series, Meta(description="Depths below the ground, growing.")]
    curves: Annotated[list[StressCurve], Meta(description="Under each axle, as the tractor stands and as advised.")]
    bears: Annotated[SubsoilBears, Meta(description="What moist subsoil bears.")]
    about: AboutField


def compute(request: BallastRequest, ledger: Ledger) -> SoilStressByDepthAnswer:
    """Answer with stress by depth."""
    if only_guided(request):
        ledger.fault("stress-on-tracks", "/tractor/drive")
        ledger.stop_at_faults()
    stress = SoilStress() if request.soil_stress is None else request.soil_stress
    named = [float(depth) for depth in stress.depths or ()]
    depths = np.union1d(np.linspace(SHALLOWEST, max([DEEPEST, *named]), POINTS), named)
    job = msgspec.structs.replace(request, soil_stress=stress)
    asked = asked_of(job, ledger)
    advised = advise(job, asked, guide(job, asked, ledger), ledger)
    bears = SubsoilBears(depth=Depth(default("subsoil_depth").value), stress=Pressure(default("subsoil_stress").value))
    ledger.use("subsoil-rule")
    found_there: list[float] = []
    curves: list[StressCurve] = []
    words: list[str] = []
    states: list[tuple[StateName, BallastState]] = [("as-it-stands", advised.now)]
    if advised.state is not None:
        states.append(("advised", advised.state))
    for name, state in states:
        for axle, under in _under_tires(state):
            stresses = np.asarray(under.at(depths))
            contact = Pressure.of(under.contact_stress)
            if name == "as-it-stands":
                found_there.append(float(under.at(bears.depth)))
            curves.append(
                StressCurve(
                    axle=axle,
                    standing=name,
                    mass=Mass.spanning(state.mass),
                    contact_stress=contact,
                    stress=series("Vertical stress", Pressure, ledger.units, stresses),
                )
            )
            middle = Pressure(float(np.interp(0.5, depths, stresses)))
            words.append(
                f"{axle} {'as it stands' if name == 'as-it-stands' else name}: {ledger.say(contact)} at the surface, "
                f"{ledger.say(middle)} at {ledger.say(Depth(0.5))}"
            )
    return SoilStressByDepthAnswer(
        title=_title(Pressure(max(found_there)), bears, ledger),
        summary=f"Vertical stress below the center of a tire, pulling. {'; '.join(words).capitalize()}. By a rule of "
        f"thumb moist subsoil bears {ledger.say(bears.stress)} below {ledger.say(bears.depth)}.",
        source="Froehlich's stress with Soehne's concentration factors; the rule after Schjønning and others 2012; all "
        f"from memory. drawbar, model {MODEL_VERSION}: an estimate, not a measurement.",
        depth=series("Depth", Depth, ledger.units, depths),
        curves=curves,
        bears=bears,
        about=ledger.about(),
    )


def _title(there: Pressure, bears: SubsoilBears, ledger: Ledger) -> str:
    """Return what is `there`, at the depth of the rule, beside what moist subsoil bears."""
    told = f"{ledger.say(there)} at {ledger.say(bears.depth)}"
    if there > bears.stress:
        return f"{told}: more than the {ledger.say(bears.stress)} that moist subsoil bears"
    return f"{told}: moist subsoil bears {ledger.say(bears.stress)}"


def _under_tires(state: BallastState) -> list[tuple[AxleName, UnderTire]]:
    assert state.case.ground is not None
    front, rear = under_tires(state.case.ground, state.tractor, state.front_load, state.rear_load)
    return [("front", front), ("rear", rear)]


SOIL_STRESS_BY_DEPTH = Curve(
    name="soil-stress-by-depth",
    request=BallastRequest,
    answer=SoilStressByDepthAnswer,
    compute=compute,
    summary="Stress in the soil under the tires, by depth",
    description=(
        "The request is that of `/v1/ballast`; `soil_stress` may be left out. Vertical stress under a tire of each "
        "axle from the worked layer to the subsoil, as the tractor stands and as advised."
    ),
    more="On wheels only.",
    example=BALLAST.example,
    shown_as=PICTURES,
)
