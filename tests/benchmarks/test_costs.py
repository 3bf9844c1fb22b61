"""What a request, a picture and a row of a batch take of a processor, beside the table that estimates it.

    python3 deploy/local.py bench tests/benchmarks/test_costs.py -s

Where a ratio is above 1, raise that figure in `api/costs.toml`.
"""

import re
import time
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import msgspec
import numpy as np
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.costs import COSTS, seconds_shown
from drawbar_service.api.trimmed import WHOLE
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.wire import JSON, write
from drawbar_service.batch.plan import Given, make_plan, seconds_of
from drawbar_service.batch.run import run
from drawbar_service.quantities import decode_quantity
from drawbar_service.showing import show

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
    return (time.process_time() - begun) / rows, seconds_of(plan)


def least(work: Callable[[], object], times: int = 20) -> float:
    """Return the least processor time that some work took [s]."""
    taken: list[float] = []
    for _ in range(times):
        begun = time.thread_time()
        work()
        taken.append(time.thread_time() - begun)
    return min(taken)


@pytest.mark.parametrize("calculation", [*CALCULATIONS, *SHOWN], ids=lambda one: one.name)
def test_alone(calculation, capsys):
    request = msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)
    took = least(lambda: write(calculation.compute(request, Ledger("metric")), JSON))
    with capsys.disabled():
        print(
            f"\n{calculation.name}: {1e3 * took:.3g} ms, {took / calculation.seconds(request):.2f} of what is thought"
        )
    assert took > 0.0


@pytest.mark.parametrize("calculation", SHOWN, ids=lambda one: one.name)
def test_shown(calculation, capsys):
    request = msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)
    answer = calculation.compute(request, Ledger("metric"))
    for media in calculation.shown_as:
        took = least(lambda media=media: show(calculation, answer, media, WHOLE), 5)
        with capsys.disabled():
            print(f"\n{calculation.name} as {media}: {took / seconds_shown(calculation.name):.2f} of what is thought")
        assert took > 0.0


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
    thought = COSTS["match"].row + 1024 * COSTS["match"].row_step
    with capsys.disabled():
        print(f"\nmatch with odds: {1e6 * took:.3g} us a row, {took / thought:.2f} of what is thought")
    assert took > 0.0
