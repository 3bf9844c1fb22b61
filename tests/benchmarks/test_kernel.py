"""Matches a second on arrays, against the same arithmetic as a compiled scalar loop.

python3 deploy/local.py bench tests/benchmarks/test_kernel.py -s
"""

import math
import time
from collections.abc import Callable

import numba
import numpy as np
from scipy.optimize import brentq

from drawbar_service.engine.axle_loads import axle_loads
from drawbar_service.engine.draft import DraftTerms, draft_terms
from drawbar_service.engine.match import Limits, Tractor, Work, excess, operate
from drawbar_service.engine.reach import greatest_speed, reach_on_wheels
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.traction import RADIAL, wheel_stiffness

BLOCK = 8192
ROWS = 1_000_000
STIFFNESS = (2 * float(wheel_stiffness(1.2e6, 0.54, 1.46, 0.2)), 2 * float(wheel_stiffness(1.2e6, 0.65, 1.91, 0.2)))
TRACTOR = Tractor(
    Axle(STIFFNESS[0], RADIAL, 1.0),
    Axle(STIFFNESS[1], RADIAL, 1.0),
    axle_loads(92_000.0, 0.41, 2.82, 1.0, 0.5, 0.9, 0.9, 0.0, 0.0, 0.0, 1.0),
    0.0,
    0.96,
)
TERMS = draft_terms(123.0, 7.3, 0.0, 0.85, 11.0, 0.18).plus(draft_terms(124.0, 6.4, 0.0, 0.88, 3.9, 0.08))
FAST = 12.0
"""A speed [m/s] at which every row is beyond its limits."""
LIMITS = Limits(0.15, 130e3, 14e3)


def scenarios(rows: int) -> tuple[np.ndarray, np.ndarray]:
    """Speeds from 1 to 3 m/s and draft multipliers from 0.5 to 1.5."""
    random = np.random.default_rng(20)
    return random.uniform(1.0, 3.0, rows), random.uniform(0.5, 1.5, rows)


def work(multiplier: np.ndarray | float) -> Work:
    return Work(DraftTerms(*(multiplier * term for term in TERMS)), 0.0, 0.0)


def by_blocks(speed: np.ndarray, multiplier: np.ndarray) -> np.ndarray:
    power = np.empty_like(speed)
    for start in range(0, len(speed), BLOCK):
        block = slice(start, start + BLOCK)
        power[block] = operate(TRACTOR, work(multiplier[block]), speed[block]).pto_power
    return power


@numba.njit(cache=False)
def compiled(speed, multiplier, terms, stiffness, loads, efficiency, power):
    """The chain of engine/match.py for two driven axles on radial tires, one row at a time."""
    for i in range(len(speed)):
        v = speed[i]
        pull = multiplier[i] * (terms[0] + v * (terms[1] + v * terms[2]))
        top = amplitude = drag = 0.0
        ceilings = (0.0, 0.0)
        weights = (max(loads[0] + loads[1] * pull, 10.0), max(loads[2] + loads[3] * pull, 10.0))
        for axle in range(2):
            w = weights[axle]
            bn = stiffness[axle] / w
            ceiling = 0.88 * (1.0 - math.exp(-0.1 * bn))
            ceilings = (ceiling, 0.0) if axle == 0 else (ceilings[0], ceiling)
            top += w * (ceiling - 0.9 / bn)
            amplitude += w * ceiling
            drag += w * 0.5 / math.sqrt(bn)
        limit = min(max(math.log(amplitude * 9.5 / drag) / 9.5, 0.0), 0.9)
        greatest = top - drag * limit - amplitude * math.exp(-9.5 * limit)
        target = min(max(pull, top - amplitude), greatest)
        slip = limit
        if pull <= greatest:
            slip = min(-math.log(max((top - target) / amplitude, 1e-300)) / 9.5, limit)
        for _ in range(60):
            left = amplitude * math.exp(-9.5 * slip)
            step = (target - top + drag * slip + left) / max(left * 9.5 - drag, 1.0)
            slip += step
            if abs(step) < 1e-9:
                break
        slip = max(min(slip, limit), 0.0)
        gross = 0.0
        for axle in range(2):
            gross += weights[axle] * (ceilings[axle] * (1.0 - math.exp(-9.5 * slip)) + 0.0325)
        power[i] = v * gross / (1.0 - slip) / efficiency
    return power


def seconds(job: Callable[[], object], rounds: int = 5, clock: Callable[[], float] = time.process_time) -> float:
    """Shortest time [s]; of the processor, for what else is on the machine then matters less."""
    job()
    best = math.inf
    for _ in range(rounds):
        started = clock()
        job()
        best = min(best, clock() - started)
    return best


def test_fixed_speed_matches(capsys):
    speed, multiplier = scenarios(ROWS)
    arguments = (np.array(TERMS), np.array(STIFFNESS), np.array(TRACTOR.loads), 0.96, np.empty(ROWS))
    ours = seconds(lambda: by_blocks(speed, multiplier))
    theirs = seconds(lambda: compiled(speed, multiplier, *arguments))
    np.testing.assert_allclose(by_blocks(speed, multiplier), compiled(speed, multiplier, *arguments), rtol=1e-9)
    with capsys.disabled():
        print(f"\nfixed-speed match: {ROWS / ours / 1e6:.1f} million rows/s on one core")
        print(f"compiled scalar loop: {ROWS / theirs / 1e6:.1f} million rows/s; arrays over loop {theirs / ours:.2f}")


def test_greatest_speed(capsys):
    rows = 100_000
    _, multiplier = scenarios(rows)
    found = np.empty(rows)

    def solve() -> None:
        for start in range(0, rows, BLOCK):
            block = slice(start, start + BLOCK)
            found[block] = greatest_speed(reach_on_wheels(TRACTOR, LIMITS), work(multiplier[block]), 0.1, FAST).value

    few = 50

    def strained(speed: float, multiplier: float) -> float:
        return excess(operate(TRACTOR, work(multiplier), speed), TRACTOR, LIMITS).greatest()

    def loop() -> list[float]:
        return [brentq(strained, 0.1, FAST, args=(float(one),)) for one in multiplier[:few]]

    ours, theirs = seconds(solve, 3) / rows, seconds(loop, 3) / few
    np.testing.assert_allclose(found[:few], loop(), rtol=1e-6)
    with capsys.disabled():
        print(
            f"\ngreatest speed: {1e-6 / ours:.2f} million rows/s on one core, {theirs / ours:.0f} times a brentq loop"
        )
