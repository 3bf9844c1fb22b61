"""POST /v1/traction: slip, axle loads and efficiency of a tractor under a pull."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.traction.answer import TractionAnswer, answer_of
from drawbar_service.api.v1.traction.request import TractionRequest
from drawbar_service.model.hitching import hitching, warn_of_raised
from drawbar_service.model.moisture import say_of_water
from drawbar_service.model.soil import surface_row
from drawbar_service.model.tracks import on_soil
from drawbar_service.model.traction import at_slip, under_pull


def compute(request: TractionRequest, ledger: Ledger) -> TractionAnswer:
    """Answer a traction request."""
    if (request.pull is None) == (request.slip is None):
        ledger.fault("pull-or-slip", "/pull")
    hitched = hitching(request, request.tractor, ledger, "")
    tractor = on_soil(request.tractor, hitched, request.soil, request.slope, ledger)
    ledger.stop_at_faults()
    assert tractor is not None
    warn_of_raised(request, tractor, ledger, "")
    surface = surface_row(request.soil, ledger)
    say_of_water(request.soil, ledger)
    if request.slip is not None:
        return answer_of(tractor, at_slip(tractor, request.slip), "/slip", surface, ledger)
    return answer_of(tractor, under_pull(tractor, request.pull or 0.0), "/pull", surface, ledger)


TRACTION = Calculation(
    name="traction",
    request=TractionRequest,
    answer=TractionAnswer,
    compute=compute,
    summary="Slip, axle loads and tractive efficiency under a pull",
    description=(
        "Axle loads from statics, a mobility number for each axle, and the slip at which both axles together give the "
        "pull, the grade and the rolling of axles that are not driven (Brixius 1987; radial tires after Zoz and "
        "Grisso 2003)."
    ),
    more=(
        "Wismer and Luth and Gee-Clough et al. stand beside it as second opinions. Rubber tracks, two or four, by the "
        "pull over weight of the surface, with its own slip curve; no second opinion is known for them."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "soil": {"texture": "medium", "surface": "firm"},
        "pull": "38 kN",
    },
    columns=(
        "/carried",
        "/pull",
        "/slip",
        "/tractive_efficiency",
        "/axles/front/load",
        "/axles/rear/load",
    ),
)
