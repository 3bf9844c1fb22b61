"""How many at the same time: places, the line before them, and what a refusal looks like."""

import asyncio
import http.client
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import msgspec
import pytest
from drawbar_service.security.room import Places
from tests.faults.processes import PATIENCE, free_port, send, start, wait_for

import drawbar_service.app
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.app import create_app
from drawbar_service.security.refusal import Refused
from drawbar_service.settings import Settings

SCOPE = {
    "type": "http",
    "asgi": {"version": "3.0", "spec_version": "2.3"},
    "http_version": "1.1",
    "scheme": "http",
    "root_path": "",
    "query_string": b"",
    "headers": [(b"host", b"farm.test")],
    "client": ("127.0.0.1", 1),
    "server": ("127.0.0.1", 80),
}


class Caller:
    """Asks once, and sends its body only when told to."""

    def __init__(self, app: Any, body: bytes, path: str = "/v1/match", method: str = "POST") -> None:
        self.go_on = asyncio.Event()
        self._body: bytes | None = body
        self.sent: list[Any] = []
        scope = SCOPE | {"path": path, "raw_path": path.encode(), "method": method, "state": {}}
        self.task = asyncio.create_task(app(scope, self._receive, self._send))

    async def _receive(self) -> Any:
        await self.go_on.wait()
        if self._body is None:
            return await asyncio.Event().wait()
        body, self._body = self._body, None
        return {"type": "http.request", "body": body, "more_body": False}

    async def _send(self, message: Any) -> None:
        self.sent.append(message)

    async def answer(self) -> tuple[int, dict[str, str], bytes]:
        async with asyncio.timeout(PATIENCE):
            await self.task
        start, *rest = self.sent
        headers = {name.decode(): value.decode() for name, value in start["headers"]}
        return start["status"], headers, b"".join(message["body"] for message in rest)


@contextmanager
def held(name: str) -> Iterator[tuple[bytes, str, threading.Event]]:
    """A calculation that goes on until it is let go: a body and a path to ask it with, and what lets it go."""
    calculation = next(one for one in drawbar_service.app.CALCULATIONS if one.name == name)
    released, compute = threading.Event(), calculation.compute

    def slow(request: Any, ledger: Any) -> Any:
        assert released.wait(PATIENCE)
        return compute(request, ledger)

    object.__setattr__(calculation, "compute", slow)
    try:
        yield msgspec.json.encode(calculation.example), calculation.path, released
    finally:
        released.set()
        object.__setattr__(calculation, "compute", compute)


async def settle() -> None:
    """Let everything run that can."""
    for _ in range(20):
        await asyncio.sleep(0)


def test_who_finds_no_place_in_time_is_refused_with_a_problem_and_the_rest_is_answered(match_body: bytes) -> None:
    async def main(slow: bytes, path: str, released: threading.Event) -> None:
        app = create_app(Settings(concurrency=2, queue_patience=0.05))
        first = [Caller(app, slow, path) for _ in range(2)]
        for one in first:
            one.go_on.set()
        await settle()
        late = Caller(app, match_body)
        late.go_on.set()
        status, headers, body = await late.answer()
        assert status == 503
        assert headers["retry-after"] == "1"
        assert headers["content-type"] == "application/problem+json"
        assert headers["x-content-type-options"] == "nosniff"
        problem = msgspec.json.decode(body)
        assert problem["type"] == "/docs/problems#busy"
        assert problem["instance"] == headers["x-request-id"]
        assert "2 requests are at work" in problem["detail"]
        # Neither the service's health nor its documentation has to wait for a place.
        for elsewhere in ("/livez", "/readyz", "/docs"):
            assert (await Caller(app, b"", elsewhere, "GET").answer())[0] == 200
        released.set()
        assert [(await one.answer())[0] for one in first] == [200, 200]
        again = Caller(app, match_body)
        again.go_on.set()
        assert (await again.answer())[0] == 200

    with held("ballast") as (slow, path, released):
        asyncio.run(main(slow, path, released))


def test_bodies_that_have_not_come_hold_no_place(match_body: bytes) -> None:
    async def main() -> None:
        app = create_app(Settings(concurrency=1, queue_patience=0.0))
        silent = [Caller(app, match_body) for _ in range(3)]
        await settle()
        quick = Caller(app, match_body)
        quick.go_on.set()
        assert (await quick.answer())[0] == 200
        for one in silent:
            one.go_on.set()
            assert (await one.answer())[0] == 200

    asyncio.run(main())


def test_who_waits_in_line_is_answered_in_turn(match_body: bytes) -> None:
    async def main(slow: bytes, path: str, released: threading.Event) -> None:
        app = create_app(Settings(concurrency=1, queue_patience=PATIENCE))
        first = Caller(app, slow, path)
        first.go_on.set()
        await settle()
        callers = [Caller(app, match_body) for _ in range(5)]
        ended: list[int] = []
        for number, caller in enumerate(callers):
            caller.task.add_done_callback(lambda _, number=number: ended.append(number))
        for caller in callers:
            caller.go_on.set()
            await settle()
        released.set()
        assert [(await caller.answer())[0] for caller in (first, *callers)] == [200] * 6
        assert ended == [0, 1, 2, 3, 4]

    with held("ballast") as (slow, path, released):
        asyncio.run(main(slow, path, released))


def test_a_burst_is_seen_as_such_though_each_is_computed_at_once(match_body: bytes) -> None:
    async def main() -> list[int]:
        app = create_app(Settings(concurrency=3, queue_patience=0.0))
        callers = [Caller(app, match_body) for _ in range(8)]
        for caller in callers:
            caller.go_on.set()
        return [(await caller.answer())[0] for caller in callers]

    assert sorted(asyncio.run(main())) == [200] * 3 + [503] * 5


@pytest.mark.parametrize("when", ["at work", "in line", "called up"])
def test_whoever_goes_away_leaves_the_place_to_others(when: str) -> None:
    async def main() -> None:
        places = Places(1, PATIENCE, "requests")
        await places.take()
        waiting = asyncio.create_task(places.take())
        await settle()
        if when == "at work":
            places.give()
            await waiting
            places.give()
        else:
            if when == "called up":
                places.give()
            waiting.cancel()
            with pytest.raises(asyncio.CancelledError):
                await waiting
            if when == "in line":
                places.give()
        async with asyncio.timeout(PATIENCE):
            await places.take()
        with pytest.raises(Refused):
            await Places(1, 0.0, "requests").hold(Places(1, 0.0, "requests").hold, _fail)

    async def _fail() -> None:
        raise Refused(503, "full", {})

    asyncio.run(main())


def test_a_failure_gives_the_place_back(match_body: bytes) -> None:
    async def main() -> list[int]:
        app = create_app(Settings(concurrency=1, queue_patience=0.0))
        statuses = []
        for body in (b"{", b"{}", b" " * 70_000, match_body):
            caller = Caller(app, body)
            caller.go_on.set()
            statuses.append((await caller.answer())[0])
        return statuses

    assert asyncio.run(main()) == [400, 422, 413, 200]


def test_what_takes_long_has_places_of_its_own(match_body: bytes) -> None:
    async def main(slow: bytes, path: str, released: threading.Event) -> None:
        app = create_app(Settings(long_slots=1, queue_patience=0.05))
        callers = [Caller(app, slow, path) for _ in range(2)]
        for caller in callers:
            caller.go_on.set()
        status, headers, text = await callers[1].answer()
        assert (status, headers["retry-after"]) == (503, "5")
        assert b"1 long calculations are at work" in text
        quick = Caller(app, match_body)
        quick.go_on.set()
        assert (await quick.answer())[0] == 200
        released.set()
        assert (await callers[0].answer())[0] == 200

    with held("season") as (slow, path, released):
        asyncio.run(main(slow, path, released))


def test_each_kind_of_body_has_its_own_limit(match_body: bytes) -> None:
    app = create_app(Settings(max_body_bytes=2_000, season_body_bytes=4_000, batch_body_bytes=6_000))

    async def ask(path: str, size: int) -> tuple[int, str]:
        caller = Caller(app, b" " * size, path)
        caller.go_on.set()
        status, _, body = await caller.answer()
        return status, msgspec.json.decode(body)["detail"]

    async def main() -> None:
        for path, most in (("/v1/slip", 2_000), ("/v1/season", 4_000), ("/v1/batch/slip", 6_000)):
            assert (await ask(path, most))[0] == 400
            status, detail = await ask(path, most + 1)
            assert status == 413
            assert str(most) in detail

    asyncio.run(main())


def test_after_a_refusal_the_connection_serves_on(match_body: bytes) -> None:
    port = free_port()
    process = start(port=str(port), concurrency="1", queue_patience="0")
    try:
        wait_for(port, process)
        over = threading.Event()
        body = msgspec.json.encode({**SENSITIVITY.example, "odds": {"samples": 16384, "spreads": {"depth": "8 %"}}})

        def keep_busy() -> None:
            while not over.is_set():
                send(port, "POST", SENSITIVITY.path, body)

        busy = threading.Thread(target=keep_busy)
        busy.start()
        other = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        refused = 0
        try:
            until = time.monotonic() + PATIENCE
            while refused < 3 and time.monotonic() < until:
                other.request("POST", "/v1/match", match_body)
                answer = other.getresponse()
                told = answer.read()
                refused += answer.status == 503
                assert told
        finally:
            over.set()
            busy.join(PATIENCE)
        assert refused == 3
        other.request("POST", "/v1/match", match_body)
        assert other.getresponse().status == 200
        other.close()
    finally:
        process.kill()
        process.communicate()
