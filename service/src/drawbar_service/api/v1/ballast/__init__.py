"""POST /v1/ballast: how heavy a tractor should be for its work, where the mass belongs, and what a wrong one costs."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.ballast.answer import BallastAnswer, answer_of, answer_on_tracks
from drawbar_service.api.v1.ballast.request import BallastRequest
from drawbar_service.model.ballast import advise, asked_of, guide, only_guided, say_of_tracks


def compute(request: BallastRequest, ledger: Ledger) -> BallastAnswer:
    """Answer a ballast request."""
    asked = asked_of(request, ledger)
    by_guide = guide(request, asked, ledger)
    if only_guided(request):
        say_of_tracks(request, ledger)
        return answer_on_tracks(asked, by_guide, request.speed, ledger)
    return answer_of(asked, by_guide, advise(request, asked, by_guide, ledger), ledger)


BALLAST = Calculation(
    name="ballast",
    request=BallastRequest,
    answer=BallastAnswer,
    compute=compute,
    summary="Mass and split that bring slip into its band",
    description=(
        "The least mass and the split that hold the pull at a slip in the band of best efficiency and leave the front "
        "axle enough to steer by, by the traction equations; the trade's mass for power beside it."
    ),
    more=(
        "What to add or take off and where, what a lighter and a heavier tractor cost, axles with implements raised "
        "(20 % and 45 % of the unladen mass), and stress in the soil with depth (Froehlich, Soehne)."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "implement": {
            "hitch": "three-point",
            "mass": "1.4 t",
            "tools": [
                {"tool": "chisel-plow.twisted-shovel-10cm", "count": 15, "spacing": "30 cm", "depth": "24 cm"},
            ],
        },
        "soil": {"texture": "fine", "surface": "tilled"},
        "speed": "6 km/h",
        "ballast_on": {"front": "500 kg"},
        "transport": {"rear": {"mass": "1.4 t", "behind_links": "0.9 m"}},
        "soil_stress": {"depths": ["10 cm", "30 cm", "50 cm"]},
    },
    columns=(
        "/verdict/advice",
        "/verdict/decided_by",
        "/pull",
        "/as_it_stands/mass",
        "/as_it_stands/front_share",
        "/as_it_stands/slip",
        "/as_it_stands/tractive_efficiency",
        "/as_it_stands/load_fraction",
    ),
)
