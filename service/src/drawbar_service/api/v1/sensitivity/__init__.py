"""POST /v1/sensitivity: which uncertain input matters most, and which measurement would narrow the answer."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import OddsRequest
from drawbar_service.api.v1.sensitivity.answer import SensitivityAnswer, answer_of
from drawbar_service.api.v1.sensitivity.request import SensitivityRequest
from drawbar_service.model.sensitivity import sensitivity


def compute(request: SensitivityRequest, ledger: Ledger) -> SensitivityAnswer:
    """Answer a sensitivity request."""
    odds = request.odds if request.odds is not None else OddsRequest()
    return answer_of(sensitivity(request, odds, ledger), ledger)


SENSITIVITY = Calculation(
    name="sensitivity",
    request=SensitivityRequest,
    answer=SensitivityAnswer,
    compute=compute,
    summary="Which uncertain input matters most, and what to measure",
    description=(
        "Takes a match request and lets what is uncertain vary: the draft by the range of its table, and whatever "
        "`odds.spreads` names."
    ),
    more=(
        "First-order and total Sobol indices (Saltelli et al. 2010) say how much of the variance of each answer each "
        "input brings, and which measurement would narrow it most."
    ),
    steps=lambda request: (request.odds or OddsRequest()).samples,
    example={**MATCH.example, "odds": {"spreads": {"cone_index": "20 %", "depth": "8 %"}}},
    by_row="every row is worked in thousands of scenarios, which fill the arrays",
    columns=(
        "/outputs/0/output",
        "/outputs/0/inputs/0/input",
        "/outputs/0/inputs/0/total",
        "/outputs/0/advice",
    ),
)
