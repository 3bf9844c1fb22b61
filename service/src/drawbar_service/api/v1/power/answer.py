"""What is answered: power needs along their way, at the PTO and at the flywheel."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.power import engine_from_pto
from drawbar_service.model.implement import PowerNeeds
from drawbar_service.model.power import PowerForPulling
from drawbar_service.model.span import Span
from drawbar_service.quantities import Power, Share


class PullingPower(msgspec.Struct, frozen=True, kw_only=True):
    """Power that goes into pulling, along its way."""

    drawbar: Annotated[Power, Meta(description="Pull times speed.")]
    axle: Annotated[Power | None, Meta(description="At the axles; null by the ratio method, which skips them.")]
    pto: Annotated[Power, Meta(description="Equivalent at the PTO.")]
    drawbar_per_pto: Annotated[Share, Meta(description="Drawbar power over PTO power.")]
    method: Annotated[Literal["tractive-efficiency", "ratio"], Meta(description="How the PTO equivalent was found.")]


class PowerAnswer(Answer, frozen=True, kw_only=True):
    """Power needs at the PTO."""

    pulling: Annotated[PullingPower | None, Meta(description="What pulling takes, if anything is pulled.")]
    rotary: Annotated[Power, Meta(description="What the PTO drives, with the range of the table.")]
    hydraulic: Annotated[Power, Meta(description="Into the pump.")]
    electric: Annotated[Power, Meta(description="Into the generator.")]
    pto_equivalent: Annotated[Power, Meta(description="All of it, at the PTO.")]
    engine: Annotated[Power, Meta(description="The same at the flywheel.")]
    about: AboutField


def answer_of(pulling: PowerForPulling | None, needs: PowerNeeds, pto_per_engine: Real, ledger: Ledger) -> PowerAnswer:
    """Return the answer for what pulling takes and what is needed besides; `pto_per_engine` power [1]."""
    steady = (pulling.pto if pulling is not None else 0.0) + needs.hydraulic + needs.electric
    rotary, total = Span(needs.rotary), Span(steady + needs.rotary)
    if needs.rotary > 0.0:
        rotary = Span(needs.rotary, needs.rotary_low, needs.rotary_high)
        total = rotary.map(lambda power: steady + power)
    return PowerAnswer(
        pulling=_pulling(pulling) if pulling is not None else None,
        rotary=Power.spanning(rotary),
        hydraulic=Power.of(needs.hydraulic),
        electric=Power.of(needs.electric),
        pto_equivalent=Power.spanning(total),
        engine=Power.spanning(total.map(lambda power: engine_from_pto(power, pto_per_engine))),
        about=ledger.about(),
    )


def _pulling(found: PowerForPulling) -> PullingPower:
    return PullingPower(
        drawbar=Power.of(found.drawbar),
        axle=Power.of(found.axle) if found.axle is not None else None,
        pto=Power.of(found.pto),
        drawbar_per_pto=Share.of(found.drawbar_per_pto),
        method=found.method,
    )
