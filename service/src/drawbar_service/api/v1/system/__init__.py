"""POST /v1/system: chains of passes from harvest to planting on the same land, side by side."""

from typing import Any

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.api.v1.system.answer import SystemAnswer, answer_of
from drawbar_service.api.v1.system.request import SystemRequest
from drawbar_service.model.matched import Matched
from drawbar_service.model.system import chain_of, check_names, compare_prices, land_of


def compute(request: SystemRequest, ledger: Ledger) -> SystemAnswer:
    """Answer a system request."""

    def describe(match: Matched) -> str:
        return ledger.sentence(lambda: match_words.summary(match, ledger))

    check_names(request, ledger)
    land = land_of(request, ledger)
    chains = [
        chain_of(system, f"/systems/{index}", request.residue, land, ledger, describe)
        for index, system in enumerate(request.systems)
    ]
    ledger.stop_at_faults()
    compare_prices(request, ledger)
    ledger.use("derived", "asabe-s495")
    return answer_of(request, [chain for chain in chains if chain is not None], land, ledger)


def _example() -> dict[str, Any]:
    cultivator = {
        "hitch": "drawbar",
        "tools": [{"tool": "field-cultivator.secondary", "count": 40, "spacing": "18 cm", "depth": "8 cm"}],
    }
    worked = {"texture": "medium", "surface": "tilled"}
    plant = {
        "name": "plant",
        "rates": {"capacity": "4.5 ha/h", "fuel_per_area": "4 L/ha"},
        "operation": "row-crop-planter.conventional",
        "machine_per_area": "30 money/ha",
        "earliest_day": 190,
    }
    spray = {
        "name": "spray weeds",
        "rates": {"capacity": "14 ha/h", "fuel_per_area": "1 L/ha"},
        "retention": "100 %",
        "winter_before": "after-fall-harvest",
        "machine_per_area": "20 money/ha",
        "price_covers_all": True,
        "earliest_day": 185,
    }
    return {
        "area": "120 ha",
        "residue": {"cover": "90 %", "kind": "non-fragile"},
        "prices": {"fuel": "0.95 money/L", "labor": "24 money/h"},
        "calendar": {"workday": "10 h", "suitable_share": "60 %", "first_date": "2027-10-20"},
        "systems": [
            {
                "name": "chisel and field cultivator",
                "passes": [
                    {
                        "name": "fall chisel",
                        "match": {
                            "tractor": EXAMPLE_TRACTOR,
                            "implement": EXAMPLE_IMPLEMENT,
                            "soil": {"texture": "medium", "surface": "firm"},
                            "speed": "7 km/h",
                        },
                        "operation": "disk-chisel-plow.twisted-point",
                        "machine_per_area": "34 money/ha",
                    },
                    {
                        "name": "spring field cultivator",
                        "match": {
                            "tractor": EXAMPLE_TRACTOR,
                            "implement": cultivator,
                            "soil": worked,
                            "speed": "9 km/h",
                        },
                        "operation": "field-cultivator.secondary",
                        "machine_per_area": "16 money/ha",
                        "winter_before": "after-fall-harvest",
                        "earliest_day": 180,
                    },
                    plant,
                ],
            },
            {
                "name": "no-till",
                "passes": [spray, plant | {"operation": "row-crop-planter.no-till"}],
            },
        ],
    }


SYSTEM = Calculation(
    name="system",
    request=SystemRequest,
    answer=SystemAnswer,
    compute=compute,
    summary="Chains of passes on the same land, side by side",
    description=(
        "From harvest to planting: hours, fuel, cost, carbon dioxide from the fuel, passes, days and the residue left "
        "after each pass, for two to eight systems, and each against a baseline."
    ),
    more=(
        "A pass is a whole match or its rates. Passes follow one another, each over all the land. Says which system "
        "comes first on each criterion, and whether clearly; what counts more is yours to say."
    ),
    steps=lambda request: sum(len(one.passes) for one in request.systems),
    example=_example(),
    columns=(
        "/verdict/summary",
        "/baseline",
    ),
)
