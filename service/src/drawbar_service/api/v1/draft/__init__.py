"""POST /v1/draft: what an implement pulls."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.v1.draft.answer import DraftAnswer, answer_of
from drawbar_service.api.v1.draft.request import DraftRequest
from drawbar_service.model.draft import pulled


def compute(request: DraftRequest, ledger: Ledger) -> DraftAnswer:
    """Answer a draft request."""
    found = pulled(request.implement, request.soil, request.speed, request.slope, ledger)
    return answer_of(found, request.speed, ledger)


DRAFT = Calculation(
    name="draft",
    request=DraftRequest,
    answer=DraftAnswer,
    compute=compute,
    summary="Draft of an implement, by tool, with its range",
    description=(
        "Adds up the draft of every ground tool at a speed, with low and high from the spread of the table, by tool, "
        "in total and for each unit of width. D = F (A + B S + C S^2) W T, after ASAE D497."
    ),
    example={
        "implement": EXAMPLE_IMPLEMENT,
        "soil": {"texture": "medium", "surface": "firm"},
        "speed": "8 km/h",
    },
    columns=(
        "/draft/total",
        "/draft/per_width",
        "/grade_pull",
        "/pull",
        "/drawbar_power",
    ),
)
