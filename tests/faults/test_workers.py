"""Processes for what takes long: the same answers and faults, and nothing left at work for nobody."""

import os
import signal
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from tests.faults.processes import running, send, until

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.shared.curve import SVG
from drawbar_service.api.trimmed import WHOLE
from drawbar_service.api.v1.curves.power_by_speed import POWER_BY_SPEED
from drawbar_service.api.v1.season import SEASON
from drawbar_service.model.findings import Abandoned, OutOfTime, Waiting
from drawbar_service.quantities import decode_quantity
from drawbar_service.workers import Crashed, Workers

JSON = {"Content-Type": "application/json"}


def request_of(calculation: Any, **changed: Any) -> Any:
    return msgspec.convert({**calculation.example, **changed}, calculation.request, dec_hook=decode_quantity)


@pytest.fixture(scope="module")
def workers() -> Iterator[Workers]:
    ours = Workers()
    yield ours
    ours.close()


def forever(workers: Workers, waiting: Waiting) -> None:
    """Have a process sleep until nobody waits any more."""
    workers.call(waiting, time.sleep, 3600.0)


def alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text("ascii").rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def family(pid: int) -> set[int]:
    """Return the processes that a process has started, and those that they have, which are alive."""
    found: set[int] = set()
    for task in Path(f"/proc/{pid}/task").iterdir():
        for child in map(int, (task / "children").read_text("ascii").split()):
            if alive(child):
                found |= {child} | family(child)
    return found


def test_the_answer_is_the_same(workers):
    request = request_of(SEASON)
    assert workers.compute("season", request, Ledger("us")) == SEASON.compute(request, Ledger("us"))


def test_a_picture_is_drawn(workers):
    answer = POWER_BY_SPEED.compute(request_of(POWER_BY_SPEED), Ledger("metric"))
    shown = workers.show("power-by-speed", answer, SVG, WHOLE, Waiting())
    assert shown.content.startswith(b"<svg")
    assert "sandbox" in shown.headers["Content-Security-Policy"]


def test_faults_come_back(workers):
    request = request_of(SEASON)
    backwards = msgspec.structs.replace(
        request, window=msgspec.structs.replace(request.window, start=request.window.end, end=request.window.start)
    )
    with pytest.raises(ImpossibleInput) as here:
        SEASON.compute(backwards, Ledger("metric"))
    with pytest.raises(ImpossibleInput) as there:
        workers.compute("season", backwards, Ledger("metric"))
    assert there.value.faults == here.value.faults


def test_a_process_whose_caller_has_left_is_killed(workers):
    workers.call(Waiting(), abs, -7)
    before = family(os.getpid())
    waiting = Waiting()
    threading.Timer(0.2, waiting.leave).start()
    begun = time.monotonic()
    with pytest.raises(Abandoned):
        forever(workers, waiting)
    assert time.monotonic() - begun < 5.0
    assert family(os.getpid()) < before


def test_a_process_out_of_time_is_killed(workers):
    with pytest.raises(OutOfTime):
        forever(workers, Waiting(time.monotonic() + 0.2))


def test_a_process_that_ends_by_itself_is_told_of_and_replaced(workers):
    with pytest.raises(Crashed, match="ended with -9"):
        workers.call(Waiting(), signal.raise_signal, signal.SIGKILL)
    assert workers.call(Waiting(), abs, -7) == 7


def test_over_http_and_after_its_caller_has_left():
    heavy = msgspec.json.encode(SEASON.example)
    with running(processes="1") as (port, process):
        status, _, body = send(port, "POST", SEASON.path, heavy, JSON)
        assert status == 200
        assert msgspec.json.decode(body)["about"]["model"]
        status, headers, _ = send(
            port, "POST", POWER_BY_SPEED.path, msgspec.json.encode(POWER_BY_SPEED.example), JSON | {"Accept": SVG}
        )
        assert (status, headers["content-type"]) == (200, SVG)
        status, _, body = send(port, "POST", SEASON.path, b"{}", JSON)
        assert status == 422
        process.terminate()
        process.wait(20.0)
    assert process.returncode == 0


def test_the_processes_end_with_the_service():
    with running(processes="1") as (port, process):
        assert send(port, "POST", SEASON.path, msgspec.json.encode(SEASON.example), JSON)[0] == 200
        started = family(process.pid)
        assert len(started) >= 2
    until(lambda: not any(map(alive, started)), "the end of its processes")


def test_where_no_process_can_be_started_threads_do_the_work(monkeypatch, caplog):
    ours = Workers()

    def refuse() -> None:
        raise FileNotFoundError("no usable temporary directory")

    monkeypatch.setattr(ours, "_taken", refuse)
    request = request_of(SEASON)
    assert ours.compute("season", request, Ledger("metric")) == SEASON.compute(request, Ledger("metric"))
    assert ours.compute("season", request, Ledger("metric")).about.model
    assert [record.getMessage() for record in caplog.records] == [
        "no process can be started here (no usable temporary directory): threads work out what takes long"
    ]
