"""Work that takes more than a moment leaves the event loop to others."""

import asyncio
import threading

import httpx2
import msgspec
import pytest

from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.app import create_app
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
