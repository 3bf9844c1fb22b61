"""Work that takes seconds leaves the event loop to others."""

import asyncio
import threading

import httpx2
import msgspec
import pytest

from drawbar_service.api.v1 import season
from drawbar_service.api.v1.match import MATCH
from drawbar_service.app import create_app
from drawbar_service.quantities import decode_quantity
from drawbar_service.settings import Settings


@pytest.mark.parametrize(("calculation", "expected"), [(season.SEASON, True), (MATCH, False)], ids=["season", "match"])
def test_planning_a_season_takes_long_and_a_match_does_not(calculation, expected):
    asked = msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)
    assert calculation.takes_long(asked) is expected


def test_others_are_answered_while_a_plan_is_searched(monkeypatch):
    begun, answered = threading.Event(), threading.Event()
    search = season.plan
    waited = []

    def slow(*arguments):
        begun.set()
        waited.append(answered.wait(10.0))
        return search(*arguments)

    monkeypatch.setattr(season, "plan", slow)

    async def ask():
        transport = httpx2.ASGITransport(create_app(Settings()))
        async with httpx2.AsyncClient(transport=transport, base_url="http://here") as client:
            planned = asyncio.create_task(client.post("/v1/season", json=dict(season.SEASON.example)))
            while not begun.is_set():
                await asyncio.sleep(0.01)
            alive = await client.get("/livez")
            answered.set()
            return alive, await planned

    alive, planned = asyncio.run(ask())
    assert (alive.status_code, planned.status_code) == (200, 200)
    # Had the search kept the loop, nothing would have been answered before it gave up waiting.
    assert waited == [True]
