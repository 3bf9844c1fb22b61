"""POST /v1/completion: the chance to be done in time, and what would raise it."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.completion.answer import CompletionAnswer, answer_of
from drawbar_service.api.v1.completion.request import CompletionRequest
from drawbar_service.engine.completion import LIKELY_CAPACITIES
from drawbar_service.model.completion import LONGEST_WINDOW, days_of, job_of, window_of
from drawbar_service.model.timeliness import daily_loss


def compute(request: CompletionRequest, ledger: Ledger) -> CompletionAnswer:
    """Answer a completion request."""
    window = window_of(request, ledger)
    job = job_of(request, window.days, ledger)
    weather = days_of(request, window, ledger)
    loss = daily_loss(request.timeliness, ledger) if request.timeliness is not None else None
    ledger.stop_at_faults()
    assert weather is not None
    ledger.use("derived")
    return answer_of(request, window, job, weather, loss, ledger)


_LEAST_STEPS = 40
"""Of any request with a record: it is laid out by day first."""


def _steps(request: CompletionRequest) -> int:
    """Return the days that a record's windows are looked at for, at each likely capacity."""
    if request.record is None:
        return 0
    days = min(max((request.end - request.start).days + 1, 1), LONGEST_WINDOW)
    return _LEAST_STEPS + days * (1 if request.capacity_low is None else LIKELY_CAPACITIES)


COMPLETION = Calculation(
    name="completion",
    request=CompletionRequest,
    answer=CompletionAnswer,
    compute=compute,
    steps=_steps,
    summary="The chance to be done in time, and what would raise it",
    description="How many suitable days the work takes, and the chance that the window has them.",
    more=(
        "Days of one year resemble each other more than days of different years, so their number is taken as "
        "beta-binomial, fitted to a record, a mean and spread, or a table; a plain binomial would be far too sure. "
        "Dry spells within a year are not modeled, and dates are told only as far as the figures reach. With a "
        "`record` of suitable days week by week, the same window of each recorded year is one way it may turn out: "
        "the chance is the share of years that had enough days, smoothed by a beta distribution that counts as six "
        "years more. With the weeks of this year `so_far`, the years are moved by how far this year lies from them, "
        "and the answer is for what is left. Names what would help most, and what delay costs."
    ),
    example={
        "area": "180 ha",
        "capacity": "3.1 ha/h",
        "workday": "9 h",
        "start": "2027-10-20",
        "end": "2027-11-25",
        "suitable": {"mean": 13.5, "spread": 4.8},
    },
    columns=(
        "/chance",
        "/days_needed",
        "/days_expected",
        "/days_spread",
    ),
)
