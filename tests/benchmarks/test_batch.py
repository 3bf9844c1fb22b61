"""Rows a second of processor of a batch in process, against the bare engine; two threads against one, on the clock.

python3 deploy/local.py bench tests/benchmarks/test_batch.py -s
"""

import copy
import time
from collections.abc import Callable, Iterator

import msgspec
import numpy as np
from tests.benchmarks.test_kernel import seconds

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.fuel import FUEL
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.power import POWER
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.batch.plan import Given, Plan, make_plan
from drawbar_service.batch.run import BLOCK_ROWS, run
from drawbar_service.engine.match import operate
from drawbar_service.model.match import resolve
from drawbar_service.quantities import decode_quantity

ROWS = 2_000_000
RANDOM = np.random.default_rng(5)
SPEEDS = RANDOM.uniform(3.0, 14.0, ROWS)
MULTIPLIERS = RANDOM.uniform(0.5, 2.0, ROWS)


def plan(columns: list[str], *, speed: bool) -> Plan:
    body = copy.deepcopy(dict(MATCH.example))
    vary = {"/implement/draft_multiplier": Given(MULTIPLIERS)}
    if speed:
        vary["/speed"] = Given(SPEEDS, "km/h")
    else:
        body.pop("speed", None)
    return make_plan(MATCH, body, vary, "zip", columns, "metric", ROWS)


def others() -> Iterator[tuple[str, Plan]]:
    """Plans of the other calculations that go on arrays."""
    for calculation, pointer, unit, low, high in (
        (DRAFT, "/speed", "km/h", 3.0, 14.0),
        (POWER, "/pulling/pull", "kN", 1.0, 60.0),
        (TRACTION, "/pull", "kN", 1.0, 60.0),
        (FUEL, "/load", "kW", 1.0, 145.0),
        (FIELD_CAPACITY, "/speed", "km/h", 3.0, 14.0),
    ):
        vary = {pointer: Given(RANDOM.uniform(low, high, ROWS), unit)}
        columns = list(calculation.columns)
        yield calculation.name, make_plan(calculation, dict(calculation.example), vary, "zip", columns, "metric", ROWS)


def rate(one: Plan, threads: int = 1, clock: Callable[[], float] = time.process_time) -> float:
    """Million rows a second."""

    def whole() -> None:
        for _ in run(one, threads):
            pass

    return ROWS / seconds(whole, 3, clock) / 1e6


def bare_rate() -> float:
    """Million rows a second of the same chain without pointers, checks and columns."""
    case = resolve(msgspec.convert(dict(MATCH.example), MATCH.request, dec_hook=decode_quantity), Ledger("metric"))
    assert case.tractor is not None
    engine, work, speeds = case.tractor.engine, case.work[0], SPEEDS / 3.6

    def whole() -> None:
        for start in range(0, ROWS, BLOCK_ROWS):
            block = slice(start, start + BLOCK_ROWS)
            _ = operate(engine, work._replace(draft=work.draft.times(MULTIPLIERS[block])), speeds[block]).pto_power

    return ROWS / seconds(whole, 3) / 1e6


def test_batches(capsys):
    # The first batch has the C library keep memory, which the bare engine gains by as well.
    rate(plan(["/at_work/pto_power"], speed=True))
    bare = bare_rate()
    told = [f"\nbare engine: {bare:.1f} million rows/s on one core"]
    for name, columns, speed in (
        ("power", ["/at_work/pto_power"], True),
        (
            "verdict, slip, fuel, area",
            ["/verdict/fits", "/at_work/slip", "/fuel/per_area", "/capacity/effective"],
            True,
        ),
        ("greatest speed", ["/at_work/speed"], False),
    ):
        one = rate(plan(columns, speed=speed))
        alone, two = (rate(plan(columns, speed=speed), threads, time.perf_counter) for threads in (1, 2))
        told.append(
            f"{name}: {one:.2f} million rows/s, {one / bare:.2f} of bare; two threads {two / alone:.2f} times one"
        )
    told += [f"{name}: {rate(one):.1f} million rows/s" for name, one in others()]
    with capsys.disabled():
        print("\n".join(told))
