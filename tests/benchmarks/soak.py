"""Hours in minutes: the service at 80 % of what it can do, and whether it fails, slows down or grows.

    python tests/benchmarks/soak.py [--minutes 10] [--share 0.8 | --rate 900] [--beside sensitivity [--flood 16]]

First finds how many requests a second of a mix are answered when every connection asks again at once: the least of
several short runs, for on a machine shared with others it comes and goes, and a share of its best moment is more than
its worst can do. Then asks at a steady rate, whatever the answers do: a time counts from when its request was due, so
that a stall is felt by every request that it kept waiting. Prints failures, times, and the growth of the process per
100,000 requests. Ends with 1 if any request failed. With `--beside`, one more caller, from an address of his own,
asks that calculation over and over, on one connection or as many as `--flood` says; what the others are answered
meanwhile tells whether they wait behind it, and he may be refused.
"""

import argparse
import asyncio
import itertools
import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

import msgspec
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from start import resident
from tests.faults.processes import running

from drawbar_service.api.calculations import CALCULATIONS

CONNECTIONS = 16
SATURATION_SECONDS, SATURATION_RUNS = 5.0, 6
SETTLING_SHARE = 0.2
"""Of the time, at the beginning, that does not count for growth."""
MIX = {
    "match": 8,
    "draft": 4,
    "power": 2,
    "fuel": 2,
    "slip": 2,
    "field-capacity": 2,
    "cost": 1,
    "hitch": 1,
    "ballast": 1,
}


def requests(mix: Mapping[str, int]) -> Iterator[bytes]:
    """Yield calculations by their share for ever."""
    by_name = {one.name: one for one in CALCULATIONS}
    texts: list[bytes] = []
    for name, share in mix.items():
        body = msgspec.json.encode(by_name[name].example)
        head = f"POST {by_name[name].path} HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
        texts += [f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body] * share
    order = np.random.default_rng(1).permutation(len(texts))
    return itertools.cycle([texts[index] for index in order])


class Measured:
    """Outcomes and times [s] of requests, and the size of the process [MiB] beside how many were answered by then."""

    def __init__(self) -> None:
        self.outcomes: Counter[str] = Counter()
        self.times: list[float] = []
        self.sizes: list[tuple[int, float]] = []


async def answered(reader: asyncio.StreamReader) -> str:
    head = await reader.readuntil(b"\r\n\r\n")
    length = int(head.lower().partition(b"content-length: ")[2].partition(b"\r\n")[0])
    await reader.readexactly(length)
    return head[9:12].decode()


async def ask_on(
    port: int,
    due: asyncio.Queue[float] | None,
    mix: Iterator[bytes],
    until: float,
    to: Measured,
    address: str = "127.0.0.1",
) -> None:
    """Ask on one connection: when a request is due, or, if nothing says when, at once."""
    reader, writer = await asyncio.open_connection("127.0.0.1", port, local_addr=(address, 0))
    try:
        while time.perf_counter() < until:
            asked = time.perf_counter() if due is None else await due.get()
            try:
                writer.write(next(mix))
                outcome = await answered(reader)
            except (OSError, asyncio.IncompleteReadError) as fault:
                outcome = type(fault).__name__
                writer.close()
                reader, writer = await asyncio.open_connection("127.0.0.1", port, local_addr=(address, 0))
            to.outcomes[outcome] += 1
            to.times.append(time.perf_counter() - asked)
    finally:
        writer.close()


async def tick(due: asyncio.Queue[float], rate: float, until: float) -> None:
    """Say `rate` times a second that a request is due."""
    following = time.perf_counter()
    while following < until:
        await asyncio.sleep(max(following - time.perf_counter(), 0.0))
        due.put_nowait(following)
        following += 1.0 / rate


async def weigh(process: "subprocess.Popen[str]", until: float, to: Measured) -> None:
    while time.perf_counter() < until:
        to.sizes.append((sum(to.outcomes.values()), resident(process)))
        await asyncio.sleep(1.0)


def processor(process: "subprocess.Popen[str]") -> float:
    """Return the processor time that the process has taken [s]."""
    fields = Path(f"/proc/{process.pid}/stat").read_text("ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


async def saturated(port: int) -> float:
    """Return requests a second when every connection asks again at once."""
    measured, mix = Measured(), requests(MIX)
    until = time.perf_counter() + SATURATION_SECONDS
    await asyncio.gather(*(ask_on(port, None, mix, until, measured) for _ in range(CONNECTIONS)))
    return sum(measured.outcomes.values()) / SATURATION_SECONDS


async def steady(
    port: int, process: "subprocess.Popen[str]", rate: float, seconds: float, beside: str | None, flood: int
) -> tuple[Measured, Measured]:
    """Return what the mix was answered at a steady rate, and what the caller beside it was, on so many connections."""
    measured, other, mix = Measured(), Measured(), requests(MIX)
    due: asyncio.Queue[float] = asyncio.Queue()
    until = time.perf_counter() + seconds
    callers = [asyncio.create_task(ask_on(port, due, mix, until, measured)) for _ in range(CONNECTIONS)]
    if beside is not None:
        callers += [
            asyncio.create_task(ask_on(port, None, requests({beside: 1}), until, other, "127.0.0.2"))
            for _ in range(flood)
        ]
    await asyncio.gather(tick(due, rate, until), weigh(process, until, measured))
    # Whoever waits for the next to be due, when none is any more, has nothing to do.
    _, idle = await asyncio.wait(callers, timeout=5.0)
    for caller in idle:
        caller.cancel()
    return measured, other


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--minutes", type=float, default=10.0)
    how_much = parser.add_mutually_exclusive_group()
    how_much.add_argument("--share", type=float, default=0.8)
    how_much.add_argument("--rate", type=float, help="requests a second, instead of a share")
    parser.add_argument("--beside", choices=[one.name for one in CALCULATIONS], help="ask this, too, over and over")
    parser.add_argument("--flood", type=int, default=1, help="on so many connections")
    asked = parser.parse_args()
    with running() as (port, process):
        asyncio.run(saturated(port))  # whatever is made on first use
        most = sorted(asyncio.run(saturated(port)) for _ in range(SATURATION_RUNS))
        rate = asked.rate or asked.share * most[0]
        print(f"saturated at {most[0]:.0f} to {most[-1]:.0f} requests/s", flush=True)
        print(f"now {rate:.0f} requests/s for {asked.minutes:g} min", flush=True)
        before = processor(process)
        measured, other = asyncio.run(steady(port, process, rate, asked.minutes * 60.0, asked.beside, asked.flood))
        busy = (processor(process) - before) / (asked.minutes * 60.0)
        after = asyncio.run(saturated(port))
    times = np.array(measured.times) * 1e3
    half, ninety_nine, thousandth = np.percentile(times, (50.0, 99.0, 99.9))
    settled = np.array(measured.sizes)[int(SETTLING_SHARE * len(measured.sizes)) :]
    slope = float(np.polyfit(settled[:, 0], settled[:, 1], 1)[0]) * 1e5 * 1024
    outcomes = measured.outcomes
    failures = {outcome: count for outcome, count in outcomes.items() if outcome != "200"}
    print(f"{len(times)} requests, of which failed: {failures or 'none'}; the service took {busy:.0%} of a processor")
    print(f"saturated at {after:.0f} requests/s afterwards")
    print(f"time from due to answered: p50 {half:.1f} ms, p99 {ninety_nine:.1f} ms, p99.9 {thousandth:.1f} ms")
    if other.times:
        told = dict(other.outcomes)
        print(f"beside them {asked.beside}: {told}, half within {np.median(other.times) * 1e3:.1f} ms")
    print(f"resident {settled[0, 1]:.1f} MiB, then {settled[-1, 1]:.1f} MiB: {slope:+.0f} kB per 100,000")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
