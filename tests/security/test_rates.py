"""Rates: a bucket for each caller, in one process and over several."""

import asyncio
import logging
import time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.security.conftest import start_store

from drawbar_service.security.rates import LocalLimits, Rate, SharedLimits, headers_of, read_rate, retry_after

TEN_A_SECOND = Rate(10, 1)


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def test_rates_are_read_as_people_write_them() -> None:
    assert [read_rate(text) for text in ("600/min", "10/s", "5000/h")] == [(600, 60), (10, 1), (5000, 3600)]


@pytest.mark.parametrize(
    "text", ["", "10", "0/s", "-1/s", "10/day", "10 / s", "1.5/s", "9" * 40 + "/s", "\u0661/s", "10/s\n"]
)
def test_what_is_no_rate_is_said(text: str) -> None:
    with pytest.raises(ValueError, match="such as 600/min"):
        read_rate(text)


def test_all_may_come_at_once_and_then_one_by_one() -> None:
    clock = Clock()
    limits = LocalLimits(clock)

    async def take() -> Any:
        return await limits.take("a", TEN_A_SECOND)

    async def main() -> None:
        assert [(await take()).left for _ in range(10)] == list(range(9, -1, -1))
        refused = await take()
        assert not refused.allowed
        assert refused.wait == pytest.approx(0.1)
        assert refused.full == pytest.approx(1.0)
        clock.now += 0.1
        assert (await take()).allowed
        assert not (await take()).allowed
        clock.now += 3600.0
        assert (await take()).left == 9
        assert (await limits.take("b", TEN_A_SECOND)).left == 9

    asyncio.run(main())


@given(st.integers(1, 10_000), st.sampled_from([1, 60, 3600]), st.lists(st.floats(0.0, 100.0), max_size=200))
def test_never_more_than_a_bucket_and_what_has_run_into_it(count: int, window: int, pauses: list[float]) -> None:
    clock = Clock()
    limits = LocalLimits(clock)
    rate = Rate(count, window)

    async def main() -> int:
        let_in = 0
        for pause in pauses:
            clock.now += pause
            standing = await limits.take("a", rate)
            let_in += standing.allowed
            assert 0 <= standing.left < count
            assert 0.0 <= standing.full <= window * (1 + 1e-9)
            assert standing.allowed == (standing.wait == 0.0)
        return let_in

    assert asyncio.run(main()) <= count + sum(pauses) * count / window + 1e-3


def test_what_a_refused_caller_is_told_to_wait_is_enough() -> None:
    clock = Clock()
    limits = LocalLimits(clock)
    rate = Rate(7, 60)

    async def main() -> None:
        for _ in range(200):
            standing = await limits.take("a", rate)
            clock.now += standing.wait
            if not standing.allowed:
                assert (await limits.take("a", rate)).allowed

    asyncio.run(main())


def test_buckets_do_not_pile_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("drawbar_service.security.rates._MOST_CALLERS", 5)
    limits = LocalLimits(Clock())

    async def main() -> None:
        for number in range(50):
            await limits.take(str(number), TEN_A_SECOND)
        assert len(limits._full_at) == 5
        assert (await limits.take("49", TEN_A_SECOND)).left == 8

    asyncio.run(main())


def test_a_caller_is_told_how_it_stands() -> None:
    async def main() -> Any:
        return await LocalLimits(Clock()).take("a", Rate(600, 60))

    standing = asyncio.run(main())
    assert headers_of(Rate(600, 60), standing) == [
        (b"ratelimit-policy", b'"caller";q=600;w=60'),
        (b"ratelimit", b'"caller";r=599;t=1'),
    ]
    assert retry_after(standing) == "1"
    assert retry_after(standing._replace(wait=2.1)) == "3"


def test_over_http(serve: Any, make_key: Any, key_file: Any) -> None:
    slow, first = make_key("--id", "slow", "--scopes", "single", "--rate", "2/h")
    other, second = make_key("--id", "slow", "--scopes", "single", "--rate", "2/h")
    usual, third = make_key("--id", "usual", "--scopes", "single")
    key_file.write_text(first + second + third)
    client = serve(api_keys=str(key_file), rate="3/h")

    def ask(key: str) -> Any:
        return client.get("/v1/sources", headers={"Authorization": f"Bearer {key}"})

    # Two keys of one caller share one bucket.
    assert [ask(key).status_code for key in (slow, other, slow, other)] == [200, 200, 429, 429]
    replies = [ask(usual) for _ in range(4)]
    assert [reply.status_code for reply in replies] == [200, 200, 200, 429]
    assert [reply.headers["ratelimit"].split(";")[1] for reply in replies] == ["r=2", "r=1", "r=0", "r=0"]
    assert {reply.headers["ratelimit-policy"] for reply in replies} == {'"caller";q=3;w=3600'}
    refused = replies[-1]
    assert refused.headers["content-type"] == "application/problem+json"
    assert refused.json()["type"] == "/docs/problems#too-often"
    assert 1190 <= int(refused.headers["retry-after"]) <= 1200
    assert usual not in refused.text
    assert "ratelimit" not in client.get("/livez").headers


def test_three_replicas_let_in_what_one_would(store: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("drawbar_service.security.rates._TIMEOUT", 10.0)  # the machine may be busy
    port, _ = store
    rate = Rate(200, 1)

    async def main() -> tuple[int, float]:
        replicas = [SharedLimits(f"redis://127.0.0.1:{port}/0") for _ in range(3)]
        answered: list[float] = []

        async def press(limits: SharedLimits) -> None:
            while not answered or answered[-1] - answered[0] < 1.5:
                if (await limits.take("a", rate)).allowed:
                    answered.append(time.monotonic())

        await asyncio.gather(*(press(limits) for limits in replicas for _ in range(2)))
        assert all(limits._rest_until is None for limits in replicas)
        for limits in replicas:
            await limits.close()
        return len(answered), answered[-1] - answered[0]

    let_in, taken = asyncio.run(main())
    assert let_in == pytest.approx(rate.requests * (1 + taken / rate.window), rel=0.02)


def test_the_store_and_a_process_say_the_same(store: Any) -> None:
    port, _ = store
    rate = Rate(5, 3600)

    async def main() -> None:
        shared, local = SharedLimits(f"redis://127.0.0.1:{port}/0"), LocalLimits()
        for _ in range(7):
            one, other = await shared.take("jwt:é b", rate), await local.take("jwt:é b", rate)
            assert one[:2] == other[:2]
            assert one[2:] == pytest.approx(other[2:], abs=5.0)
        await shared.close()

    asyncio.run(main())


def test_without_the_store_each_counts_alone_until_it_returns(
    store: Any, tmp_path: Any, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO)
    port, process = store
    clock = Clock()
    rate = Rate(3, 3600)

    async def main() -> None:
        limits = SharedLimits(f"redis://127.0.0.1:{port}/0", clock)
        assert (await limits.take("a", rate)).left == 2
        process.kill()
        process.wait()
        for _ in range(20):
            clock.now += 0.5
            await limits.take("b", rate)
        assert not (await limits.take("b", rate)).allowed
        assert (await limits.take("a", rate)).left == 2
        again = start_store(port, tmp_path)
        try:
            clock.now += 1.5
            assert (await limits.take("b", rate)).left == 2
            assert (await limits.take("b", rate)).left == 1
            await limits.close()
        finally:
            again.kill()
            again.wait()

    asyncio.run(main())
    told = [record.getMessage() for record in caplog.records if record.name == "drawbar_service"]
    assert [text.split(" (")[0] for text in told] == [
        "the store of rate limits cannot be reached",
        "the store of rate limits is back",
    ]


def test_an_address_that_is_none_is_refused_without_repeating_its_password() -> None:
    with pytest.raises(ValueError, match="DRAWBAR_REDIS_URL") as caught:
        SharedLimits("http://:secret@host")
    assert "secret" not in str(caught.value)


def test_replicas_share_over_http(store: Any, serve: Any, make_key: Any, key_file: Any) -> None:
    port, _ = store
    key, table = make_key("--id", "dashboard", "--scopes", "single", "--rate", "6/h")
    key_file.write_text(table)
    clients = [serve(api_keys=str(key_file), redis_url=f"redis://127.0.0.1:{port}/0") for _ in range(3)]
    statuses = [
        client.get("/v1/sources", headers={"Authorization": f"Bearer {key}"}).status_code
        for _ in range(3)
        for client in clients
    ]
    assert statuses == [200] * 6 + [429] * 3
