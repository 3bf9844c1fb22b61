"""POST /v1/cost: what work costs with machines of one's own, against hire, and the width that costs least."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.cost.answer import CostAnswer, answer_of
from drawbar_service.api.v1.cost.request import CostRequest
from drawbar_service.model.cost import costed
from drawbar_service.model.cost_choices import width_choice


def compute(request: CostRequest, ledger: Ledger) -> CostAnswer:
    """Answer a cost request."""
    work = costed(request, ledger)
    asked = request.best_width
    choice = width_choice(asked, request.machines, ledger) if asked is not None else None
    ledger.stop_at_faults()
    ledger.use("derived")
    return answer_of(work, choice, request, ledger)


COST = Calculation(
    name="cost",
    request=CostRequest,
    answer=CostAnswer,
    compute=compute,
    summary="What work costs: own, hire, parts, width",
    description=(
        "Ownership (capital recovery, taxes, insurance, housing), repairs by hours, wearing parts, fuel, oil and "
        "labor by year, hour and area, after ASAE EP496 and D497."
    ),
    more=(
        "Fuel rate and field capacity may come from a match: its `fuel.mean_rate` and `capacity.effective`. A machine "
        "that does other work too carries its share by hours. Interest is real and all prices are of today, so that "
        "all costs are in today's money. Also: options for wearing parts side by side, hire against own with the area "
        "at which they break even, and the width that costs least."
    ),
    example={
        "terms": {"interest": "4 %"},
        "machines": [
            {
                "name": "tractor",
                "price": 168000,
                "remaining_value": "tractor.over-112-kw",
                "practice": "tractor.four-wheel",
                "years": 12,
                "annual_use": "520 h",
            },
            {
                "name": "chisel plow",
                "price": 39000,
                "remaining_value": "tillage",
                "practice": "chisel-plow",
                "years": 12,
                "width": "4 m",
                "wearing": [
                    {
                        "name": "shank points",
                        "count": 11,
                        "options": [
                            {
                                "name": "twisted shovel",
                                "price": 24,
                                "life": "140 ha",
                                "point": "twisted-shovel-10cm",
                                "change_time": "6 min",
                            },
                            {"name": "wing point", "price": 48, "point": "wing-point", "change_time": "6 min"},
                        ],
                    }
                ],
            },
        ],
        "work": {
            "capacity": "2.4 ha/h",
            "area": "260 ha",
            "fuel": {"rate": "31 L/h", "price": "1.20 money/L"},
            "labor": {"wage": "18 money/h"},
        },
        "hire_rate": "74 money/ha",
        "best_width": {"machine": "chisel plow", "delay_cost": "40 money/h"},
    },
    columns=(
        "/total/per_year",
        "/total/per_hour",
        "/total/per_area",
        "/ownership/per_year",
        "/operating/per_year",
        "/area",
        "/hours",
    ),
)
