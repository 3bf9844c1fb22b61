"""What client.batch and drawbar.arrow.batch cost over the same match by hand, over the service's own blocks, with a
column of texts, and in memory.

python3 deploy/local.py bench tests/benchmarks/test_client.py -s
"""

import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pyarrow as pa

import drawbar
from drawbar import arrow
from drawbar_service.api.v1.match import MATCH
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.batch.run import run

ROWS = 1_000_000
MEMORY_ROWS = 10_000_000
COLUMNS = ["/verdict/fits", "/at_work/slip", "/fuel/per_area", "/capacity/effective"]
SCENARIO = {name: value for name, value in MATCH.example.items() if name != "speed"}
RANDOM = np.random.default_rng(7)
_SLIP_STEPS = 5


def varied(rows: int) -> dict[str, Any]:
    """Three columns of numbers."""
    return {
        "/speed": ("km/h", RANDOM.uniform(5.0, 9.0, rows)),
        "/implement/draft_multiplier": RANDOM.uniform(0.8, 1.2, rows),
        "/tractor/mass": ("t", RANDOM.uniform(9.0, 12.0, rows)),
    }


def by_hand(speeds: Any, multipliers: Any, masses: Any) -> Any:
    """Draft, axle loads, slip of both axles, power, fuel and area of a match at fixed speed, in blocks of NumPy."""
    answers = np.empty((4, len(speeds)))
    for start in range(0, len(speeds), 8192):
        rows = slice(start, start + 8192)
        speed, mass = speeds[rows], masses[rows] * 1000.0
        pull = multipliers[rows] * 0.85 * (107.0 + 6.3 * speed) * 9.0 * 18.0
        weight = mass * 9.81
        front, rear = 0.42 * weight - 0.18 * pull, 0.58 * weight + 0.18 * pull
        front_mobility, rear_mobility = 57.0 * 3.1e4 / front, 49.0 * 6e4 / rear
        slip = np.full(speed.shape, 0.05)
        for _ in range(_SLIP_STEPS):
            net = slope = 0.0
            for load, mobility in ((front, front_mobility), (rear, rear_mobility)):
                most, fall = 0.88 * (1.0 - np.exp(-0.1 * mobility)), np.exp(-9.5 * slip)
                net += load * (most * (1.0 - fall) - 1.0 / mobility - 0.5 * slip / np.sqrt(mobility))
                slope += load * most * 9.5 * fall
            slip += np.clip((pull - net) / slope, -0.05, 0.1)
        power = pull * speed / 3.6 / (1.0 - slip) / 0.85
        load = power / 130e3
        answers[0, rows], answers[1, rows] = load < 0.9, slip
        answers[2, rows] = (
            (2.64 * load + 3.91 - 0.203 * np.sqrt(738.0 * np.clip(load, 0.0, 1.0) + 173.0)) * power / speed
        )
        answers[3, rows] = speed * 3.6 * 0.85 / 10.0
    return answers


def nanoseconds(work: Callable[[], object], rows: int = ROWS) -> float:
    """Processor time of a row, the shortest of three [ns]."""
    times: list[float] = []
    for _ in range(3):
        begun = time.process_time()
        work()
        times.append(time.process_time() - begun)
    return 1e9 * min(times) / rows


def test_columns_in_process_against_the_same_by_hand(capsys):
    vary = varied(ROWS)
    values = [one[1] if isinstance(one, tuple) else one for one in vary.values()]
    given = {pointer: Given(one[1], one[0]) if isinstance(one, tuple) else Given(one) for pointer, one in vary.items()}
    names = ["/speed [km/h]", "/implement/draft_multiplier", "/tractor/mass [t]"]
    table = pa.table(dict(zip(names, values, strict=True)))

    def blocks() -> None:
        for _ in run(make_plan(MATCH, SCENARIO, given, "zip", COLUMNS, "metric", ROWS)):
            pass

    with drawbar.Client.in_process() as client:
        own = nanoseconds(blocks)
        hand = nanoseconds(lambda: by_hand(*values))
        columns = nanoseconds(lambda: client.batch("match", SCENARIO, vary, columns=COLUMNS))
        tables = nanoseconds(lambda: arrow.batch("match", SCENARIO, table, columns=COLUMNS, client=client).read_all())
    with capsys.disabled():
        print(
            f"\nns of processor a row: by hand {hand:.0f}, blocks of the service {own:.0f}, "
            f"client.batch {columns:.0f}, arrow.batch {tables:.0f}"
        )
        print(f"over by hand: client.batch {columns / hand:.1f} (goal 2.5), arrow.batch {tables / hand:.1f} (goal 2)")
        print(f"they add {columns - own:.0f} and {tables - own:.0f} ns to the blocks (goal 40)")


def test_a_column_of_texts_against_numbers_alone(capsys):
    rows = 20_000
    numbers = varied(rows)
    textures = RANDOM.choice(["fine", "medium", "coarse"], rows)
    told: list[str] = []
    with drawbar.Client.in_process() as client:

        def cost(vary: dict[str, Any]) -> float:
            return nanoseconds(lambda: client.batch("match", SCENARIO, vary, columns=COLUMNS), rows)

        alone = cost(numbers)
        for name, texts in (("list", textures.tolist()), ("dictionary", pa.array(textures).dictionary_encode())):
            told.append(f"{name} {cost({**numbers, '/soil/texture': texts}) / alone:.1f}")
    with capsys.disabled():
        print(f"\na column of three texts over numbers alone: {', '.join(told)} (goal 1.3)")


def measure_memory() -> None:
    """Print the peak of this process over the size of what goes in and comes back."""
    import resource

    with drawbar.Client.in_process() as client:
        vary = varied(MEMORY_ROWS)
        result = client.batch("match", SCENARIO, vary, columns=COLUMNS)
    sent = sum((one[1] if isinstance(one, tuple) else one).nbytes for one in vary.values())
    size = sent + sum(values.nbytes for values in result.columns.values())
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    print(f"{MEMORY_ROWS} rows: a peak of {peak / 1e6:.0f} MB, {peak / size:.2f} of the columns' own size (goal 3)")


def test_memory(capsys):
    code = "from tests.benchmarks.test_client import measure_memory; measure_memory()"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    with capsys.disabled():
        print(f"\n{run.stdout}")
