"""What a row of a batch takes of a processor, beside the table that estimates it.

    python3 deploy/local.py bench tests/benchmarks/test_costs.py -s

Where a ratio is above 1, raise that figure in `api/costs.toml`.
"""

import re
import time
from collections.abc import Iterator, Mapping
from typing import Any

import msgspec
import numpy as np
import pytest

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.costs import COSTS, seconds_of_row
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import OddsRequest
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.batch.run import run
from drawbar_service.quantities import decode_quantity

ROWS = {"season": 2, "calibration": 20, "sensitivity": 20, "system": 4_000}
USUAL_ROWS = 50_000


def quantities(part: Any, pointer: str = "") -> Iterator[tuple[str, float, str | None]]:
    """Yield pointer, value and unit of every quantity in a request, and plain numbers without one."""
    members = part.items() if isinstance(part, Mapping) else enumerate(part) if isinstance(part, list) else ()
    for name, member in members:
        place = f"{pointer}/{name}"
        if isinstance(member, str) and (found := re.fullmatch(r"([0-9.]+) (\S.*)", member)):
            yield place, float(found[1]), found[2]
        elif isinstance(member, float):
            yield place, member, None
        yield from quantities(member, place)


def seconds(calculation: Any, rows: int) -> tuple[float, float]:
    """Return what a row takes where one quantity varies, and what it is thought to take [s]."""
    scenario = dict(calculation.example)
    pointer, value, unit = next(quantities(scenario))
    vary = {pointer: Given(np.linspace(0.99 * value, 1.01 * value, rows), unit)}
    plan = make_plan(calculation, scenario, vary, "zip", list(calculation.columns), "metric", rows)
    begun = time.process_time()
    for _ in run(plan):
        pass
    request = msgspec.convert(scenario, calculation.request, dec_hook=decode_quantity)
    thought = seconds_of_row(calculation.name, request, OddsRequest().samples)
    return (time.process_time() - begun) / rows, thought


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda one: one.name)
def test_rows(calculation, capsys):
    took, thought = seconds(calculation, ROWS.get(calculation.name, USUAL_ROWS))
    with capsys.disabled():
        print(f"\n{calculation.name}: {1e6 * took:.3g} us a row, {took / thought:.2f} of what is thought")
    assert took > 0.0


def test_odds(capsys):
    scenario = {**MATCH.example, "odds": {"samples": 1024}}
    columns = ["/odds/holds_speed/value", "/odds/load_fraction"]
    plan = make_plan(MATCH, scenario, {"/speed": Given([7.0, 8.0, 9.0] * 300, "km/h")}, "zip", columns, "metric", 900)
    begun = time.process_time()
    for _ in run(plan):
        pass
    took = (time.process_time() - begun) / 900
    thought = COSTS["match"].row + 1024 * COSTS["match"].scenario
    with capsys.disabled():
        print(f"\nmatch with odds: {1e6 * took:.3g} us a row, {took / thought:.2f} of what is thought")
    assert took > 0.0
