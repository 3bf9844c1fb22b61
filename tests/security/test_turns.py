"""Whose turn it is: lines for each kind of work that go round callers, and what a refusal looks like."""

import asyncio
import http.client
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.faults.processes import PATIENCE, running, send

import drawbar_service.app
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.app import create_app
from drawbar_service.security.refusal import Refused
from drawbar_service.security.turns import Turns, caller_of
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

    def __init__(
        self, app: Any, body: bytes, path: str = "/v1/match", method: str = "POST", address: str = "127.0.0.1"
    ) -> None:
        self.go_on = asyncio.Event()
        self._body: bytes | None = body
        self.sent: list[Any] = []
        scope = SCOPE | {"path": path, "raw_path": path.encode(), "method": method, "state": {}, "client": (address, 1)}
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


def turns(most: int = 1, *, each: int = 1, line: int = 100, patience: float = PATIENCE) -> Turns:
    return Turns("Sums", most, each=each, line=line, patience=patience, retry_after=3)


async def in_line(at: Turns, *callers: str) -> list[asyncio.Task[None]]:
    """Callers who wait for their turns, in this order."""
    tasks: list[asyncio.Task[None]] = []
    for caller in callers:
        tasks.append(asyncio.create_task(at.take(caller)))
        await asyncio.sleep(0)
    return tasks


def test_turns_go_round_callers_however_much_one_has_in_line() -> None:
    async def main() -> list[str]:
        at = turns()
        await at.take("flood")
        order: list[str] = []
        waiting = ["flood"] * 5 + ["farm", "coop", "farm"]
        tasks = await in_line(at, *waiting)
        for caller, task in zip(waiting, tasks, strict=True):
            task.add_done_callback(lambda _, caller=caller: order.append(caller))
        now = "flood"
        for _ in waiting:
            at.give(now)
            await settle()
            now = order[-1]
        return order

    # The flood was first in line, and is behind the others ever after.
    assert asyncio.run(main()) == ["flood", "farm", "coop", "flood", "farm", "flood", "flood", "flood"]


def test_one_caller_never_has_more_than_its_part() -> None:
    async def main() -> None:
        at = turns(4, each=2)
        await at.take("flood")
        await at.take("flood")
        third = (await in_line(at, "flood"))[0]
        full, part = turns(2, each=2, patience=0.0), turns(4, each=2, patience=0.0)
        for busy, why in ((full, "all 2 slots are busy"), (part, "2 of yours are at work")):
            await busy.take("flood")
            await busy.take("flood")
            with pytest.raises(Refused, match=f"{why}, and nobody waits here"):
                await busy.take("flood")
        async with asyncio.timeout(PATIENCE):
            await at.take("farm")
            await at.take("coop")
        assert not third.done()
        at.give("farm")
        await settle()
        assert not third.done()
        at.give("flood")
        await settle()
        assert third.done()

    asyncio.run(main())


def test_a_full_line_loses_the_newest_of_whoever_has_most_in_it() -> None:
    async def main() -> None:
        at = turns(line=4)
        await at.take("flood")
        flood = await in_line(at, "flood", "flood", "flood", "flood")
        honest = (await in_line(at, "farm"))[0]
        await settle()
        assert [one.done() for one in flood] == [False, False, False, True]
        with pytest.raises(Refused, match="most of them from here; retry in 3 s"):
            await flood[3]
        with pytest.raises(Refused, match="Sums: another is at work, and 4 more wait, the most there may be"):
            await at.take("flood")
        at.give("flood")
        await settle()
        at.give("flood")
        await settle()
        assert honest.done()
        assert not honest.exception()
        for one in flood:
            one.cancel()

    asyncio.run(main())


def test_who_gets_no_turn_in_time_is_told_when_to_ask_again() -> None:
    async def main() -> None:
        at = turns(patience=0.02)
        await at.take("farm")
        with pytest.raises(Refused, match=r"and this one has waited 0.02 s; retry in 3 s") as caught:
            await at.take("coop")
        assert (caught.value.status, caught.value.headers) == (503, {"Retry-After": "3"})
        with pytest.raises(Refused, match="nobody waits here"):
            await turns(0, patience=0.0).take("farm")
        at.give("farm")
        await at.take("coop")

    asyncio.run(main())


@pytest.mark.parametrize("when", ["at work", "in line", "called up"])
def test_whoever_goes_away_leaves_the_turn_to_others(when: str) -> None:
    async def main() -> None:
        at = turns()
        await at.take("farm")
        waiting = (await in_line(at, "coop"))[0]
        if when == "at work":
            at.give("farm")
            await waiting
            at.give("coop")
        else:
            if when == "called up":
                at.give("farm")
            waiting.cancel()
            with pytest.raises(asyncio.CancelledError):
                await waiting
            if when == "in line":
                at.give("farm")
        async with asyncio.timeout(PATIENCE):
            await at.take("dairy")

    asyncio.run(main())


@given(st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from(["ask", "end", "leave"])), max_size=60))
def test_no_turn_is_lost_and_none_is_given_twice(steps: list[tuple[str, str]]) -> None:
    async def main() -> None:
        at = turns(3, each=2, line=5)
        asking: list[tuple[str, asyncio.Task[None]]] = []
        at_work: list[str] = []

        def sort() -> None:
            for one in [one for one in asking if one[1].done()]:
                asking.remove(one)
                if not one[1].cancelled() and one[1].exception() is None:
                    at_work.append(one[0])

        for caller, step in steps:
            if step == "ask":
                asking.append((caller, (await in_line(at, caller))[0]))
            elif step == "end" and caller in at_work:
                at_work.remove(caller)
                at.give(caller)
            elif step == "leave" and asking:
                asking[0][1].cancel()
            await settle()
            sort()
            assert len(at_work) <= 3
            assert len(asking) <= 5
            assert max([at_work.count(one) for one in "abc"]) <= 2
            # Nobody waits who might work.
            assert all(len(at_work) == 3 or at_work.count(one) == 2 for one, _ in asking)
        for _, task in asking:
            task.cancel()

    asyncio.run(main())


def test_a_caller_is_a_key_or_else_an_address() -> None:
    def scope(address: str | None, **state: str) -> Any:
        return {"state": state, "client": None if address is None else (address, 1)}

    assert caller_of(scope("192.0.2.7", client="dashboard")) == "dashboard"
    assert caller_of(scope("192.0.2.7")) == "192.0.2.7"
    assert caller_of(scope("2001:db8:1:2:aaaa::1")) == caller_of(scope("2001:db8:1:2:bbbb::9")) == "2001:db8:1:2"
    assert caller_of(scope(None)) == ""


def test_who_finds_no_turn_is_refused_with_a_problem_and_the_rest_is_answered(match_body: bytes) -> None:
    async def main(slow: bytes, path: str, released: threading.Event) -> None:
        app = create_app(Settings(long_patience=0.05))
        first = Caller(app, slow, path)
        first.go_on.set()
        await settle()
        late = Caller(app, slow, path)
        late.go_on.set()
        status, headers, body = await late.answer()
        assert status == 503
        assert headers["retry-after"] == "5"
        assert headers["content-type"] == "application/problem+json"
        assert headers["x-content-type-options"] == "nosniff"
        problem = msgspec.json.decode(body)
        assert problem["type"] == "/docs/problems#busy"
        assert problem["instance"] == headers["x-request-id"]
        assert problem["detail"] == (
            "Calculations that take a while: one of yours is at work, and this one has waited 0.05 s; retry in 5 s"
        )
        for elsewhere in ("/livez", "/readyz", "/docs", "/v1/sources"):
            assert (await Caller(app, b"", elsewhere, "GET").answer())[0] == 200
        other = Caller(app, match_body)
        other.go_on.set()
        assert (await other.answer())[0] == 200
        released.set()
        assert (await first.answer())[0] == 200

    with held("ballast") as (slow, path, released):
        asyncio.run(main(slow, path, released))


def test_one_callers_work_keeps_no_other_waiting(match_body: bytes) -> None:
    async def main(slow: bytes, path: str, released: threading.Event) -> None:
        app = create_app(Settings())
        flood = [Caller(app, slow, path) for _ in range(6)]
        for one in flood:
            one.go_on.set()
        await settle()
        completion = next(one for one in drawbar_service.app.CALCULATIONS if one.name == "completion")
        honest = Caller(app, msgspec.json.encode(completion.example), completion.path, address="127.0.0.2")
        honest.go_on.set()
        assert (await honest.answer())[0] == 200
        released.set()
        assert [(await one.answer())[0] for one in flood] == [200] * 6

    with held("ballast") as (slow, path, released):
        asyncio.run(main(slow, path, released))


def test_no_kind_of_work_waits_for_another(match_body: bytes) -> None:
    async def main(slow: bytes, path: str, released: threading.Event) -> None:
        app = create_app(Settings(processes=1))
        season = Caller(app, slow, path)
        season.go_on.set()
        await settle()
        pictured = next(one for one in drawbar_service.app.SHOWN if one.name == "power-by-speed")
        for body, at in ((match_body, "/v1/match"), (msgspec.json.encode(pictured.example), pictured.path)):
            quick = Caller(app, body, at)
            quick.go_on.set()
            assert (await quick.answer())[0] == 200
        released.set()
        assert (await season.answer())[0] == 200

    with held("season") as (slow, path, released):
        asyncio.run(main(slow, path, released))


def test_the_time_limit_counts_from_arrival() -> None:
    async def main(slow: bytes, path: str, released: threading.Event) -> None:
        app = create_app(Settings(processes=1, long_seconds=1, long_patience=PATIENCE))
        first, second = Caller(app, slow, path), Caller(app, slow, path)
        for one in (first, second):
            one.go_on.set()
        await asyncio.sleep(1.1)
        released.set()
        for one in (first, second):
            status, headers, body = await one.answer()
            assert (status, headers["retry-after"]) == (503, "30")
            assert b"not answered in the time there is" in body

    with held("season") as (slow, path, released):
        asyncio.run(main(slow, path, released))


def test_bodies_that_have_not_come_hold_no_turn(match_body: bytes) -> None:
    async def main() -> None:
        app = create_app(Settings(queue_patience=0.0))
        silent = [Caller(app, match_body) for _ in range(3)]
        await settle()
        quick = Caller(app, match_body)
        quick.go_on.set()
        assert (await quick.answer())[0] == 200
        for one in silent:
            one.go_on.set()
            assert (await one.answer())[0] == 200

    asyncio.run(main())


def test_a_burst_is_seen_as_such_though_each_is_computed_at_once(match_body: bytes) -> None:
    async def main() -> list[int]:
        app = create_app(Settings(queue_patience=PATIENCE, line=2))
        callers = [Caller(app, match_body) for _ in range(8)]
        for caller in callers:
            caller.go_on.set()
        return [(await caller.answer())[0] for caller in callers]

    assert sorted(asyncio.run(main())) == [200] * 3 + [503] * 5


def test_a_failure_gives_the_turn_back(match_body: bytes) -> None:
    async def main() -> list[int]:
        app = create_app(Settings(queue_patience=0.0))
        statuses = []
        for body in (b"{", b"{}", b" " * 70_000, b" " * 20_000, match_body):
            caller = Caller(app, body)
            caller.go_on.set()
            statuses.append((await caller.answer())[0])
        return statuses

    assert asyncio.run(main()) == [400, 422, 413, 400, 200]


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


def test_after_a_refusal_the_connection_serves_on() -> None:
    with running(long_patience="0") as (port, _):
        body = msgspec.json.encode({**SENSITIVITY.example, "odds": {"samples": 4096, "spreads": {"depth": "8 %"}}})
        over = threading.Event()

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
                other.request("POST", SENSITIVITY.path, body)
                answer = other.getresponse()
                told = answer.read()
                refused += answer.status == 503
                assert told
        finally:
            over.set()
            busy.join(PATIENCE)
        assert refused == 3
        other.request("POST", SENSITIVITY.path, body)
        assert other.getresponse().status == 200
        other.close()
