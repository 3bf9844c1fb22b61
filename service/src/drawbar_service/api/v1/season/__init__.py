"""POST /v1/season: which tractor on which implement on which field on which day, and whether it gets done."""

from msgspec.structs import replace

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.season.answer import SeasonAnswer, answer_of
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.model.season import begin_of, tasks_of
from drawbar_service.model.season_plan import PlannedSeason, SeasonDays, days_in, plan_season


def planned(request: SeasonRequest, ledger: Ledger) -> tuple[SeasonRequest, PlannedSeason, SeasonDays]:
    """Return what is left of a season, its plan, and how days turn out; what else there is to say goes to the ledger.

    Raises
    ------
    ImpossibleInput
        If there are faults.
    """
    begin = begin_of(request, ledger)
    tasks = tasks_of(request, begin, ledger)
    left = replace(request, window=replace(request.window, start=begin))
    days = days_in(left, ledger)
    return left, plan_season(left, tasks, days.weeks, ledger), days


def compute(request: SeasonRequest, ledger: Ledger) -> SeasonAnswer:
    """Answer a season request."""
    return answer_of(*planned(request, ledger), ledger)


def searches(request: SeasonRequest) -> int:
    """Return the tasks of all plans that a request asks for: what a search takes grows with them [1]."""
    tasks = sum(len(work.fields) for work in request.work)
    # The levers of a record have a fifth of a search each; what is late is planned twice.
    return tasks * (2 + len(request.alternatives) + (request.record is not None))


SEASON = Calculation(
    name="season",
    request=SeasonRequest,
    answer=SeasonAnswer,
    compute=compute,
    steps=searches,
    summary="Which tractor on which implement on which field on which day, and whether it gets done",
    description=(
        "Matches every tractor with every implement that may do a work, leaves out the pairings that do not fit, and "
        "plans the rest: least lateness first, then least cost, by a search whose distance from a lower bound is told."
    ),
    more=(
        "A tractor pulls one implement in a day, unless a time to change it is given, stays on a field for a least "
        "block of work, and work keeps its order on each field. The answer is a calendar, what is spare, the "
        "bottleneck, the odds of finishing, and, where not all is done in time, which constraint to relax. With a "
        "`record` of suitable days the plan is replayed over each of its years: the chance of each field, what breaks "
        "first, what would help in chance and money, and alternatives side by side."
    ),
    example={
        "fleet": {
            "tractors": [{"name": "heron", "tractor": EXAMPLE_TRACTOR, "hourly_cost": "36 money/h"}],
            "implements": [{"name": "chisel", "implement": EXAMPLE_IMPLEMENT}],
            "operators": [{"name": "first"}],
        },
        "fields": [
            {"name": "millrace", "area": "8 ha", "soil": {"texture": "medium", "surface": "firm"}},
            {
                "name": "long-close",
                "area": "6 ha",
                "soil": {"texture": "medium", "surface": "firm"},
                "ready": "2027-09-08",
            },
        ],
        "work": [
            {"name": "stubble", "fields": ["millrace", "long-close"], "implements": ["chisel"], "speed": "8 km/h"}
        ],
        "window": {
            "start": "2027-09-06",
            "end": "2027-09-12",
            "workday": "10 h",
            "suitable": {"history": [5, 3, 4, 6, 3, 4]},
        },
        "prices": {"fuel": "1.1 money/L", "labor": "24 money/h"},
    },
    by_row="a plan is found by a solver that takes one season at a time",
    columns=(
        "/verdict/in_time",
        "/verdict/days_late",
        "/verdict/bottleneck",
        "/cost/total",
    ),
)
