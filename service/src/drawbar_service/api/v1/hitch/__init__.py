"""POST /v1/hitch: whether hitch, drawbar, PTO, axles and tires suit, and what goes on the road."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.hitch.answer import HitchAnswer, answer_of
from drawbar_service.api.v1.hitch.request import HitchRequest
from drawbar_service.model.hitch import hitched


def compute(request: HitchRequest, ledger: Ledger) -> HitchAnswer:
    """Answer a hitch request."""
    return answer_of(hitched(request, ledger), request, ledger)


HITCH = Calculation(
    name="hitch",
    request=HitchRequest,
    answer=HitchAnswer,
    compute=compute,
    summary="Hitch, drawbar, PTO, axle and tire loads, and the road",
    description=(
        "Categories of three-point hitch, drawbar and PTO that suit the tractor's power, and whether the machine's go "
        "with them."
    ),
    more=(
        "Load on the hitch by the lever of the machine, what it does to the axles, and tires against it. Width, "
        "length and mass on the road against limits you give. The operator's manuals and local law come first."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "hitch": {"drawbar": "3", "three_point": "3", "pto": ["1", "3"], "vertical_limit": "30 kN"},
        "machine": {
            "hitch": "drawbar",
            "drawbar": "3",
            "mass": "5.2 t",
            "center_of_mass": "3.6 m",
            "tongue_length": "4.3 m",
        },
        "tires": {
            "rear": {"load_index": 170},
            "machine": {"rated_load": "1800 kg", "count": 4, "mounting": "dual"},
        },
        "road": {
            "width": "3.9 m",
            "tractor_length": "5.1 m",
            "machine_length": "6.4 m",
            "greatest_width": "4 m",
        },
    },
    columns=(
        "/fits",
        "/loads/hitch",
        "/loads/front",
        "/loads/rear",
        "/loads/front_share",
        "/road/width",
        "/road/mass",
    ),
)
