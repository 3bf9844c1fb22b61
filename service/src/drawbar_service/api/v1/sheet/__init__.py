"""POST /v1/sheet: what a match says, for the cab, with room to write down a trial run."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.curve import match_of
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.api.v1.sheet.answer import HTML, SheetAnswer, answer_of
from drawbar_service.model.matched import ANYTHING


def compute(request: MatchRequest, ledger: Ledger) -> SheetAnswer:
    """Answer with a field sheet."""
    wanted = request.find if request.find is not None else ANYTHING
    return answer_of(request, match_of(request, wanted, ledger), ledger)


SHEET = Calculation(
    name="sheet",
    request=MatchRequest,
    answer=SheetAnswer,
    compute=compute,
    summary="A field sheet: what to set, to watch and to change, and room for a trial run",
    description=(
        "The request is that of `/v1/match`. As `text/html` one page, A4 or US Letter, to print and carry: settings to "
        "start with, what binds, what to watch, what to change when the engine lugs or the wheels slip, and ruled "
        "columns for trial runs, each a field of `/v1/calibration` or `/v1/slip`."
    ),
    example=MATCH.example,
    shown_as={HTML: "The sheet as a page to print; it loads nothing and runs no script."},
)
