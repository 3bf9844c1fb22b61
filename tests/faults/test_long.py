"""Work that takes more than a moment leaves the event loop to others."""

import asyncio
import os
import threading
import time
from typing import Any

import httpx2
import msgspec
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.app import create_app
from drawbar_service.model.findings import Abandoned
from drawbar_service.quantities import decode_quantity
from drawbar_service.settings import Settings


@pytest.mark.parametrize(("calculation", "expected"), [(SEASON, "long"), (SENSITIVITY, "while"), (MATCH, "moment")])
def test_a_season_takes_long_a_sensitivity_a_while_and_a_match_a_moment(calculation, expected):
    asked = msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)
    assert calculation.lasts(asked) == expected


def test_odds_make_a_match_take_a_while():
    asked = msgspec.convert(SENSITIVITY.example, MATCH.request, dec_hook=decode_quantity)
    assert MATCH.lasts(asked) == "while"


@pytest.mark.parametrize("calculation", [SEASON, SENSITIVITY], ids=["season", "sensitivity"])
def test_others_are_answered_meanwhile(calculation):
    begun, answered = threading.Event(), threading.Event()
    compute = calculation.compute
    waited = []

    def slow(*arguments):
        begun.set()
        waited.append(answered.wait(10.0))
        return compute(*arguments)

    async def ask():
        transport = httpx2.ASGITransport(create_app(Settings()))
        async with httpx2.AsyncClient(transport=transport, base_url="http://here") as client:
            slowly = asyncio.create_task(client.post(calculation.path, json=dict(calculation.example)))
            while not begun.is_set():
                await asyncio.sleep(0.01)
            alive = await client.get("/livez")
            answered.set()
            return alive, await slowly

    object.__setattr__(calculation, "compute", slow)
    try:
        alive, slowly = asyncio.run(ask())
    finally:
        object.__setattr__(calculation, "compute", compute)
    assert (alive.status_code, slowly.status_code) == (200, 200)
    # Had it kept the loop, nothing would have been answered before it gave up waiting.
    assert waited == [True]


CALLERS = (os.cpu_count() or 1) + 4
"""More than there are threads to work for."""
QUICK = 4e-3
"""Processor time [s] that a worked example may take on the event loop, on a slow and busy machine."""


@pytest.mark.parametrize("calculation", [*CALCULATIONS, *SHOWN], ids=lambda one: one.name)
def test_what_takes_more_than_a_moment_is_not_on_the_event_loop(calculation):
    asked = msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)
    if calculation.lasts(asked) != "moment":
        return
    times = []
    for _ in range(25):
        begun = time.thread_time()
        calculation.compute(asked, Ledger("metric"))
        times.append(time.thread_time() - begun)
    assert min(times) < QUICK


@pytest.mark.parametrize("calculation", [SEASON, SENSITIVITY], ids=["season", "sensitivity"])
def test_who_leaves_is_let_go(calculation):
    """What waits for a thread never starts, and what is at work ends at its next step."""
    begun, asked_on = threading.Event(), threading.Event()
    compute = calculation.compute
    started: list[int] = []

    def stepping(request: Any, ledger: Ledger) -> Any:
        started.append(1)
        begun.set()
        while True:
            time.sleep(0.01)
            try:
                ledger.go_on()
            except Abandoned:
                asked_on.set()
                raise

    async def leave() -> None:
        app = create_app(Settings())
        gone = asyncio.Event()

        async def ask() -> None:
            parts = [{"type": "http.request", "body": msgspec.json.encode(calculation.example), "more_body": False}]

            async def receive() -> Any:
                if parts:
                    return parts.pop()
                await gone.wait()
                return {"type": "http.disconnect"}

            async def send(message: Any) -> None:
                pass

            headers = [(b"content-type", b"application/json"), (b"host", b"here")]
            path = calculation.path
            await app(
                {
                    "type": "http",
                    "asgi": {"version": "3.0", "spec_version": "2.3"},
                    "http_version": "1.1",
                    "method": "POST",
                    "scheme": "http",
                    "path": path,
                    "raw_path": path.encode(),
                    "root_path": "",
                    "query_string": b"",
                    "headers": headers,
                    "client": ("127.0.0.1", 1),
                    "server": ("here", 80),
                },
                receive,
                send,
            )

        callers = [asyncio.create_task(ask()) for _ in range(CALLERS)]
        while not begun.is_set():
            await asyncio.sleep(0.01)
        gone.set()
        await asyncio.wait_for(asyncio.gather(*callers), 5.0)

    object.__setattr__(calculation, "compute", stepping)
    try:
        asyncio.run(leave())
        assert asked_on.wait(5.0)
    finally:
        object.__setattr__(calculation, "compute", compute)
    assert len(started) < CALLERS
