"""POST /v1/power: what a job takes from the tractor, brought to the PTO."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.power.answer import PowerAnswer, answer_of
from drawbar_service.api.v1.power.request import PowerRequest
from drawbar_service.model.implement import power_needs
from drawbar_service.model.power import pulling_power


def compute(request: PowerRequest, ledger: Ledger) -> PowerAnswer:
    """Answer a power request."""
    pulling = None
    if request.pulling is not None:
        pulling = pulling_power(request.pulling, request.transmission_efficiency, ledger)
    electric = 0.0 if request.electric is None else request.electric
    needs = power_needs(
        request.rotary,
        request.hydraulic,
        electric,
        request.pump_efficiency,
        request.generator_efficiency,
        ledger,
        "",
        "",
    )
    if not (request.pulling or request.rotary or request.hydraulic or electric > 0.0):
        ledger.fault("nothing-takes-power", "")
    ratio = ledger.fallback(request.pto_per_engine_power, "/pto_per_engine_power", "pto_per_engine_power")
    ledger.stop_at_faults()
    return answer_of(pulling, needs, ratio, ledger)


POWER = Calculation(
    name="power",
    request=PowerRequest,
    answer=PowerAnswer,
    compute=compute,
    summary="Power needs, brought to the PTO",
    description="Adds what pulling, PTO-driven machines, hydraulics and electrics take, at the PTO and the flywheel.",
    more="Pulling goes through a tractive efficiency, or through a drawbar/PTO ratio for the drive and surface.",
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
