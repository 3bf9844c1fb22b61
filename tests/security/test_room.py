"""How many at the same time: places, the line before them, and what a refusal looks like."""

import asyncio
import http.client
import threading
from typing import Any

import msgspec
import pytest
from tests.faults.processes import PATIENCE, free_port, start, wait_for

import drawbar_service.app
from drawbar_service.app import create_app
from drawbar_service.security.refusal import Refused
from drawbar_service.security.room import Places
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


async def settle() -> None:
    """Let everything run that can."""
    for _ in range(20):
        await asyncio.sleep(0)


def test_who_finds_no_place_in_time_is_refused_with_a_problem_and_the_rest_is_answered(match_body: bytes) -> None:
    async def main() -> None:
        app = create_app(Settings(concurrency=2, queue_patience=0.05))
        first = [Caller(app, match_body) for _ in range(2)]
        await settle()
        late = Caller(app, match_body)
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
        for path in ("/livez", "/readyz", "/docs"):
            assert (await Caller(app, b"", path, "GET").answer())[0] == 200
        for one in first:
            one.go_on.set()
        assert [(await one.answer())[0] for one in first] == [200, 200]
        again = Caller(app, match_body)
        again.go_on.set()
        assert (await again.answer())[0] == 200

    asyncio.run(main())


def test_who_waits_in_line_is_answered_in_turn(match_body: bytes) -> None:
    async def main() -> None:
        app = create_app(Settings(concurrency=1, queue_patience=PATIENCE))
        callers = [Caller(app, match_body) for _ in range(5)]
        ended: list[int] = []
        for number, caller in enumerate(callers):
            caller.task.add_done_callback(lambda _, number=number: ended.append(number))
        await settle()
        for caller in reversed(callers):
            caller.go_on.set()
        assert [(await caller.answer())[0] for caller in callers] == [200] * 5
        assert ended == [0, 1, 2, 3, 4]

    asyncio.run(main())


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


def test_what_takes_long_has_places_of_its_own(match_body: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    released = threading.Event()
    season = next(one for one in drawbar_service.app.CALCULATIONS if one.name == "season")
    compute = season.compute

    def slow(request: Any, ledger: Any) -> Any:
        assert released.wait(PATIENCE)
        return compute(request, ledger)

    object.__setattr__(season, "compute", slow)
    try:

        async def main() -> None:
            app = create_app(Settings(long_slots=1, queue_patience=0.05))
            body = msgspec.json.encode(season.example)
            callers = [Caller(app, body, season.path) for _ in range(2)]
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

        asyncio.run(main())
    finally:
        released.set()
        object.__setattr__(season, "compute", compute)


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
        slow = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        slow.putrequest("POST", "/v1/match")
        slow.putheader("Content-Length", str(len(match_body)))
        slow.endheaders(match_body[:10])
        # Its place is taken as soon as its head is read; whatever else comes is refused until then or after.
        other = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        statuses = []
        for _ in range(3):
            other.request("POST", "/v1/match", match_body)
            answer = other.getresponse()
            statuses.append((answer.status, bool(answer.read())))
        assert statuses == [(503, True)] * 3
        slow.send(match_body[10:])
        assert slow.getresponse().status == 200
        other.request("POST", "/v1/match", match_body)
        assert other.getresponse().status == 200
        slow.close()
        other.close()
    finally:
        process.kill()
        process.communicate()
