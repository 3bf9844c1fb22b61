"""POST /v1/slip: slip from what was counted, timed or measured in the field."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.slip.answer import SlipAnswer, answer_of
from drawbar_service.api.v1.slip.request import SlipRequest
from drawbar_service.model.slip_test import measured_slip


def compute(request: SlipRequest, ledger: Ledger) -> SlipAnswer:
    """Answer a slip request."""
    return answer_of(measured_slip(request, ledger), ledger)


SLIP = Calculation(
    name="slip",
    request=SlipRequest,
    answer=SlipAnswer,
    compute=compute,
    summary="Slip from wheel turns, times or distances",
    description=(
        "Slip is 1 - actual over theoretical travel (ASABE S296): 1 - unloaded/loaded wheel turns over one distance, "
        "1 - unloaded/loaded time at one wheel speed, 1 - loaded/unloaded distance in one number of turns."
    ),
    more="Repeated runs are averaged, with a standard error from their scatter and one from the reading error.",
    example={
        "turns": {
            "runs": [{"loaded": 10, "unloaded": 8.9}, {"loaded": 10, "unloaded": 8.7}, {"loaded": 10, "unloaded": 8.8}],
            "reading_error": 0.05,
        }
    },
    columns=(
        "/slip",
        "/standard_error",
    ),
)
