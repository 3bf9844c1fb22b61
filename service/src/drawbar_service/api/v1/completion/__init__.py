"""POST /v1/completion: the chance to be done in time, and what would raise it."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.completion.answer import CompletionAnswer, answer_of
from drawbar_service.api.v1.completion.request import CompletionRequest
from drawbar_service.model.completion import job_of
from drawbar_service.model.suitable import weather_of
from drawbar_service.model.timeliness import daily_loss


def compute(request: CompletionRequest, ledger: Ledger) -> CompletionAnswer:
    """Answer a completion request."""
    job = job_of(request, ledger)
    weather = weather_of(request.suitable, job.days, ledger, "/suitable")
    loss = daily_loss(request.timeliness, ledger) if request.timeliness is not None else None
    ledger.stop_at_faults()
    assert weather is not None
    ledger.use("derived")
    return answer_of(request, job, weather, loss, ledger)


COMPLETION = Calculation(
    name="completion",
    request=CompletionRequest,
    answer=CompletionAnswer,
    compute=compute,
    summary="The chance to be done in time, and what would raise it",
    description=(
        "How many suitable days the work takes, and the chance that the window has them. Days of one year resemble "
        "each other more than days of different years, so their number is taken as beta-binomial, fitted to a record, "
        "a mean and spread, or a table; a plain binomial would be far too sure. Dry spells within a year are not "
        "modelled, and dates are told only as far as the figures reach. "
        "Names what would help most, and what delay costs."
    ),
    example={
        "area": "180 ha",
        "capacity": "3.1 ha/h",
        "workday": "9 h",
        "start": "2027-10-20",
        "finish_by": "2027-11-25",
        "suitable": {"mean": 13.5, "spread": 4.8},
    },
    columns=(
        "/chance",
        "/days_needed",
        "/days_expected",
        "/days_spread",
    ),
)
