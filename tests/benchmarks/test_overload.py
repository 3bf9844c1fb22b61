"""What the service still answers when many times as many ask as it can answer, and what taking turns costs.

    python3 deploy/local.py bench tests/benchmarks/test_overload.py -s

Needs wrk. Its connections ask again the moment they are answered, so refusals come back at once, which is the worst
that callers can do. Beside the rates stands what the server answered in each second of processor time that it got,
which neighbours on the machine do not change.
"""

import asyncio
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import msgspec
import pytest
import uvloop
from tests.faults.processes import free_port, wait_for

from drawbar_service.api.v1.match import MATCH
from drawbar_service.security.access import Access
from drawbar_service.security.keys import Keys, command, read_keys
from drawbar_service.security.rates import LocalLimits, Rate
from drawbar_service.security.turns import Turns
from drawbar_service.security.watched import Watched

SECONDS = 8
"""Long enough for all connections to be opened; the event loop accepts one in each of its turns."""
CALLS = 20_000
LOADS = (16, 64, 256)


class Load(NamedTuple):
    answered: float
    for_a_second: float
    """Answered in a second of processor time."""
    refused: float
    half: str
    most: str


@contextmanager
def service(**settings: str) -> Iterator[tuple[int, int]]:
    port = free_port()
    environment = os.environ | {f"DRAWBAR_{name.upper()}": value for name, value in settings.items()}
    process: subprocess.Popen[str] = subprocess.Popen(
        [sys.executable, "-m", "drawbar_service", "--port", str(port)],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        wait_for(port, process)
        yield port, process.pid
    finally:
        process.kill()
        process.communicate()


def processor_time(process: int) -> float:
    """Processor time that a process has had [s]."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def press(port: int, process: int, connections: int, script: Path) -> Load:
    before = processor_time(process)
    url = f"http://127.0.0.1:{port}/v1/match"
    wrk = ("wrk", "-t1", f"-c{connections}", f"-d{SECONDS}s", "--latency", "-s", str(script), url)
    said = subprocess.run(wrk, capture_output=True, text=True, check=True).stdout
    found = re.search(r"(\d+) requests in ([\d.]+)s", said)
    assert found is not None, said
    asked, taken = int(found[1]), float(found[2])
    refusals = re.search(r"Non-2xx or 3xx responses: (\d+)", said)
    refused = int(refusals[1]) if refusals else 0
    half, most = (re.search(rf"{share}%\s+(\S+)", said) for share in (50, 99))
    assert half is not None
    assert most is not None
    answered = asked - refused
    had = processor_time(process) - before
    return Load(answered / taken, answered / had, refused / taken, half[1], most[1])


@pytest.mark.skipif(shutil.which("wrk") is None, reason="there is no wrk here")
@pytest.mark.parametrize("patience", ["0.5", "0"])
def test_throughput_beyond_saturation(patience: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    script = tmp_path / "match.lua"
    body = msgspec.json.encode(MATCH.example).decode()
    script.write_text(f'wrk.method = "POST"\nwrk.headers["Content-Type"] = "application/json"\nwrk.body = [[{body}]]\n')
    with service(queue_patience=patience) as (port, process):
        loads = {connections: press(port, process, connections, script) for connections in LOADS}
    with capsys.disabled():
        print(f"\na wait of up to {patience} s for a turn")
        for connections, load in loads.items():
            print(
                f"{connections:4d} connections: {load.answered:5.0f} answered/s, {load.for_a_second:5.0f} for a second "
                f"of processor time, {load.refused:5.0f} refused/s, half within {load.half}, 99 % within {load.most}"
            )
    assert all(load.answered > 0 for load in loads.values())


def test_what_it_costs_to_take_turns_and_to_know_the_caller(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    async def nothing(scope: Any, receive: Any, send: Any) -> None:
        pass

    capsys.readouterr()
    command(["new", "--id", "dashboard", "--scopes", "single"])
    made = capsys.readouterr()
    (tmp_path / "keys.toml").write_text(made.out)
    key = made.err.split()[-1]
    keys: Watched[Keys] = Watched(tmp_path / "keys.toml", read_keys)
    at = Turns("Requests", 1, each=1, line=64, patience=0.5)

    async def in_turn(scope: Any, receive: Any, send: Any) -> None:
        await at.hold("dashboard", nothing, scope, receive, send)

    ways: dict[str, Callable[..., Any]] = {
        "bare": nothing,
        "in turn": in_turn,
        "with a key": Access(keys, None, None, None, LocalLimits()).middleware(at)(nothing),
        "with a key and a rate": Access(keys, None, Rate(10**8, 1), None, LocalLimits()).middleware(at)(nothing),
    }
    scope = {
        "path_template": "/v1/match",
        "headers": [(b"host", b"x"), (b"authorization", f"Bearer {key}".encode())],
        "state": {},
    }

    async def clocked(app: Callable[..., Any]) -> float:
        begun = time.perf_counter()
        for _ in range(CALLS):
            await app(scope, None, None)
        return (time.perf_counter() - begun) / CALLS

    with asyncio.Runner(loop_factory=uvloop.new_event_loop) as runner:
        best = {name: min(runner.run(clocked(app)) for _ in range(5)) for name, app in ways.items()}
    with capsys.disabled():
        print()
        for name, taken in best.items():
            print(f"{name:22s} {1e6 * (taken - best['bare']):5.2f} us more than nothing")
    assert best["bare"] < best["with a key and a rate"]
