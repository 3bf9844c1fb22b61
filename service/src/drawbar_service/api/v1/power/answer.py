"""POST /v1/power: what a job takes from the tractor, brought to the PTO."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import HydraulicNeed, RotaryNeed, power_needs
from drawbar_service.api.shared.tractor import Drive
from drawbar_service.engine.power import drawbar_power, engine_from_pto, pto_equivalent_of_drawbar
from drawbar_service.quantities import Efficiency, Power, Pull, Share, Speed
from drawbar_service.reference import DRAWBAR_PER_PTO, drawbar_per_pto


class Pulling(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is pulled."""

    pull: Annotated[Pull, Meta(description="Pull at the hitch.", examples=["32 kN"])]
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["7.5 km/h"])]
    tractive_efficiency: Annotated[
        Efficiency | None,
        Meta(description="Drawbar power over axle power, for example from `/v1/traction`. Leave out to use the ratio."),
    ] = None
    drive: Annotated[Drive | None, Meta(description="For the drawbar/PTO ratio.")] = None
    surface: Annotated[
        Literal["concrete", "hard", "firm", "tilled", "soft"] | None, Meta(description="For the drawbar/PTO ratio.")
    ] = None
    drawbar_per_pto: Annotated[
        Efficiency | None, Meta(description="A drawbar/PTO ratio of your own, in place of the table's.")
    ] = None


class PowerRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Everything that takes power at once. Give what there is."""

    pulling: Annotated[Pulling | None, Meta(description="What is pulled.")] = None
    rotary: Annotated[list[RotaryNeed], Meta(description="What the PTO drives.", max_length=8)] = []
    hydraulic: Annotated[list[HydraulicNeed], Meta(description="Oil that flows all the time.", max_length=16)] = []
    electric: Annotated[Power | None, Meta(description="Electric power taken.")] = None
    transmission_efficiency: Annotated[Efficiency | None, Meta(description="Axle power over PTO power.")] = None
    pump_efficiency: Annotated[Efficiency | None, Meta(description="Fluid power over power into the pump.")] = None
    generator_efficiency: Annotated[
        Efficiency | None, Meta(description="Electric power over power into the generator.")
    ] = None
    pto_per_engine_power: Annotated[Efficiency | None, Meta(description="PTO power over flywheel power.")] = None


class PullingPower(msgspec.Struct, frozen=True, kw_only=True):
    """Power that goes into pulling, along its way."""

    drawbar: Annotated[Power, Meta(description="Pull times speed.")]
    axle: Annotated[Power | None, Meta(description="At the axles; null by the ratio method, which skips them.")]
    pto: Annotated[Power, Meta(description="Equivalent at the PTO.")]
    drawbar_per_pto: Annotated[Share, Meta(description="Drawbar power over PTO power.")]
    method: Annotated[Literal["tractive-efficiency", "ratio"], Meta(description="How the PTO equivalent was reckoned.")]


class PowerAnswer(Answer, frozen=True, kw_only=True):
    """Power needs at the PTO."""

    pulling: Annotated[PullingPower | None, Meta(description="What pulling takes, if anything is pulled.")]
    rotary: Annotated[Power, Meta(description="What the PTO drives, with the range of the table.")]
    hydraulic: Annotated[Power, Meta(description="Into the pump.")]
    electric: Annotated[Power, Meta(description="Into the generator.")]
    pto_equivalent: Annotated[Power, Meta(description="All of it, at the PTO.")]
    engine: Annotated[Power, Meta(description="The same at the flywheel.")]
    about: AboutField


def compute(request: PowerRequest, ledger: Ledger) -> PowerAnswer:
    """Answer a power request."""
    pulling = _pulling(request, ledger) if request.pulling is not None else None
    needs = power_needs(
        request.rotary,
        request.hydraulic,
        float(request.electric or 0.0),
        request.pump_efficiency,
        request.generator_efficiency,
        ledger,
        "",
        "",
    )
    if not (request.pulling or request.rotary or request.hydraulic or request.electric):
        ledger.fault("", "nothing takes power here; give pulling, rotary, hydraulic or electric")
    ratio = ledger.fallback(request.pto_per_engine_power, "/pto_per_engine_power", "pto_per_engine_power")
    ledger.stop_at_faults()
    pulling_pto = float(pulling.pto) if pulling is not None else 0.0
    steady = pulling_pto + needs.hydraulic + needs.electric
    totals = [steady + rotary for rotary in (needs.rotary, needs.rotary_low, needs.rotary_high)]
    ranged = totals if needs.rotary else totals[:1]
    return PowerAnswer(
        pulling=pulling,
        rotary=Power.ranged(needs.rotary, needs.rotary_low, needs.rotary_high) if needs.rotary else Power(0.0),
        hydraulic=Power(needs.hydraulic),
        electric=Power(needs.electric),
        pto_equivalent=Power.ranged(*ranged),
        engine=Power.ranged(*(float(engine_from_pto(total, ratio)) for total in ranged)),
        about=ledger.about(),
    )


def _pulling(request: PowerRequest, ledger: Ledger) -> PullingPower:
    pulling = request.pulling
    assert pulling is not None
    power = float(drawbar_power(float(pulling.pull), float(pulling.speed)))
    if pulling.tractive_efficiency is not None:
        transmission = ledger.fallback(
            request.transmission_efficiency, "/transmission_efficiency", "transmission_efficiency"
        )
        traction = float(pulling.tractive_efficiency)
        pto = float(pto_equivalent_of_drawbar(power, traction, transmission))
        return PullingPower(
            drawbar=Power(power),
            axle=Power(power / traction),
            pto=Power(pto),
            drawbar_per_pto=Share(traction * transmission),
            method="tractive-efficiency",
        )
    ratio = _ratio(pulling, ledger)
    return PullingPower(
        drawbar=Power(power), axle=None, pto=Power(power / ratio), drawbar_per_pto=Share(ratio), method="ratio"
    )


def _ratio(pulling: Pulling, ledger: Ledger) -> float:
    if pulling.drawbar_per_pto is not None:
        return float(pulling.drawbar_per_pto)
    if pulling.drive is None or pulling.surface is None:
        ledger.fault(
            "/pulling", "give tractive_efficiency, or drawbar_per_pto, or both drive and surface to look the ratio up"
        )
        return 1.0
    row = DRAWBAR_PER_PTO.row(pulling.drive)
    ledger.use(row.source)
    if pulling.surface == "hard":
        ledger.warn(
            "rough-estimate", "/pulling/surface", "No ratio is published for hard soil; that of firm soil is used."
        )
    ratio = drawbar_per_pto(pulling.drive, pulling.surface)
    ledger.assume("/pulling/drawbar_per_pto", Share(ratio), "Published for this drive and surface.", row.source)
    return ratio


POWER = Calculation(
    name="power",
    request=PowerRequest,
    answer=PowerAnswer,
    compute=compute,
    summary="Power needs, brought to the PTO",
    description=(
        "Adds what pulling, PTO-driven machines, hydraulics and electrics take, at the PTO and at the flywheel. "
        "Pulling goes through a tractive efficiency, or through a drawbar/PTO ratio for the drive and surface."
    ),
    example={
        "pulling": {"pull": "32 kN", "speed": "7.5 km/h", "drive": "front-wheel-assist", "surface": "firm"},
        "hydraulic": [{"name": "fan", "flow": "30 L/min", "pressure": "120 bar"}],
    },
    columns=(
        "/pulling/pto",
        "/rotary",
        "/hydraulic",
        "/electric",
        "/pto_equivalent",
        "/engine",
    ),
)
