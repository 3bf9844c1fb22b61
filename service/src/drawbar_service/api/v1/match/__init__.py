"""POST /v1/match: will this tractor pull this implement, how fast, and what stops it."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.match.answer import MatchAnswer, answer_of
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.model.match import resolve


def compute(request: MatchRequest, ledger: Ledger) -> MatchAnswer:
    """Answer a match request."""
    return answer_of(resolve(request, ledger), request, ledger)


MATCH = Calculation(
    name="match",
    request=MatchRequest,
    answer=MatchAnswer,
    compute=compute,
    steps=lambda request: 0 if request.odds is None else request.odds.samples,
    summary="Will this tractor pull this implement, how fast, and what stops it",
    description=(
        "From draft to slip to power to fuel to area an hour, with every limit and its margin: power, slip, what the "
        "soil carries, front-axle load, speed and depth range of the tool. Names the limit that binds, and finds the "
        "greatest speed, width (in whole tools) or depth that would fit, and that would hold. The verdict goes by the "
        "chance that every limit is kept. A pull the tractor cannot make is an answer, not an error."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "implement": EXAMPLE_IMPLEMENT,
        "soil": {"texture": "medium", "surface": "firm"},
        "field": {"area": "32 ha", "workday": "10 h"},
        "speed": "8 km/h",
    },
    columns=(
        "/verdict/fits",
        "/verdict/binding",
        "/at_work/speed",
        "/at_work/pull",
        "/at_work/slip",
        "/at_work/load_fraction",
        "/at_work/tractive_efficiency",
        "/fuel/rate",
        "/fuel/per_area",
        "/capacity/effective",
    ),
)
