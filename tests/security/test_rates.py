"""Rates: a bucket for each caller, in one process and over several."""

import asyncio
import itertools
import logging
import time
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.security.conftest import start_store

from drawbar_service.api.costs import seconds_of_row, units_of_cost
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.quantities import decode_quantity
from drawbar_service.security.rates import LocalLimits, Rate, SharedLimits, headers_of, read_rate, retry_after

TEN_A_SECOND = Rate(10, 1)


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def test_rates_are_read_as_people_write_them() -> None:
    assert [read_rate(text) for text in ("600/min", "10/s", "5000/h", "9/d")] == [
        (600, 60),
        (10, 1),
        (5000, 3600),
        (9, 86_400),
    ]


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


@given(
    st.integers(1, 10_000),
    st.sampled_from([1, 60, 3600]),
    st.lists(st.tuples(st.floats(0.0, 100.0), st.integers(1, 500)), max_size=200),
)
def test_never_more_than_a_bucket_and_what_has_run_into_it(
    count: int, window: int, pauses: list[tuple[float, int]]
) -> None:
    clock = Clock()
    limits = LocalLimits(clock)
    rate = Rate(count, window)

    async def main() -> int:
        let_in = 0
        for pause, units in pauses:
            clock.now += pause
            standing = await limits.take("a", rate, units)
            let_in += standing.allowed * units
            assert 0 <= standing.left <= count
            assert 0.0 <= standing.full <= window * (1 + 1e-9)
            assert standing.allowed == (standing.wait == 0.0)
        return let_in

    assert asyncio.run(main()) <= count + sum(pause for pause, _ in pauses) * count / window + 1e-3


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
    buckets = {"rate": (Rate(600, 60), standing), "quota": (Rate(9, 3600), standing._replace(left=8, full=400.0))}
    assert headers_of(buckets) == [
        (b"ratelimit-policy", b'"rate";q=600;w=60, "quota";q=9;w=3600'),
        (b"ratelimit", b'"rate";r=599;t=1, "quota";r=8;t=400'),
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
    assert {reply.headers["ratelimit-policy"] for reply in replies} == {'"rate";q=3;w=3600'}
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
    assert let_in == pytest.approx(rate.units * (1 + taken / rate.window), rel=0.02)


def test_the_store_and_a_process_say_the_same(store: Any) -> None:
    port, _ = store
    rate = Rate(5, 3600)

    async def main() -> None:
        shared, local = SharedLimits(f"redis://127.0.0.1:{port}/0"), LocalLimits()
        for units in (1, 2, 4, 1, 3, 1, 1):
            one, other = await shared.take("jwt:é b", rate, units), await local.take("jwt:é b", rate, units)
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


def ask_with(client: Any, key: str, path: str, body: Any, **more: Any) -> Any:
    return client.post(path, json=body, headers={"Authorization": f"Bearer {key}"}, **more)


def test_what_costs_more_spends_more(serve: Any, make_key: Any, key_file: Any) -> None:
    key, table = make_key("--id", "desk", "--scopes", "single", "--rate", "100/h")
    key_file.write_text(table)
    client = serve(api_keys=str(key_file))

    def left(calculation: Any) -> int:
        reply = ask_with(client, key, calculation.path, dict(calculation.example))
        assert reply.status_code == 200
        return int(reply.headers["ratelimit"].split(";")[1].removeprefix("r="))

    spent = [100, left(DRAFT), left(MATCH), left(SENSITIVITY)]
    costs = [units_of_cost(one.seconds(request_of(one))) for one in (DRAFT, MATCH, SENSITIVITY)]
    assert [before - after for before, after in itertools.pairwise(spent)] == costs
    assert costs[0] == 1 < costs[1] < costs[2]
    refused = ask_with(client, key, SEASON.path, dict(SEASON.example))
    assert refused.status_code == 429
    told = refused.json()["detail"]
    assert f"{spent[-1] - 1} of 100 in 60 min are left: more than your rate ever holds; ask for less" in told


def request_of(calculation: Any) -> Any:
    return msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)


def test_a_quota_bounds_what_a_rate_would_let_in(serve: Any, make_key: Any, key_file: Any) -> None:
    key, table = make_key("--id", "desk", "--scopes", "single", "--rate", "100/s", "--quota", "3/d")
    key_file.write_text(table)
    client = serve(api_keys=str(key_file), quota="2/d")
    replies = [ask_with(client, key, DRAFT.path, dict(DRAFT.example)) for _ in range(4)]
    assert [reply.status_code for reply in replies] == [200, 200, 200, 429]
    assert replies[0].headers["ratelimit-policy"] == '"rate";q=100;w=1, "quota";q=3;w=86400'
    assert int(replies[-1].headers["retry-after"]) > 28_000


def test_a_batch_is_slowed_to_the_rate_of_its_caller(serve: Any, make_key: Any, key_file: Any) -> None:
    key, table = make_key("--id", "study", "--scopes", "batch", "--rate", "400/s")
    other, second = make_key("--id", "spent", "--scopes", "batch", "--quota", "10/h")
    key_file.write_text(table + second)
    client = serve(api_keys=str(key_file))
    body = {
        "scenario": dict(MATCH.example),
        "vary": {"/speed": {"unit": "km/h", "first": 5, "last": 9, "count": 100_000}},
        "columns": ["/at_work/slip"],
    }
    begun = time.monotonic()
    reply = ask_with(client, key, "/v1/batch/match", body)
    taken = time.monotonic() - begun
    assert reply.status_code == 200
    assert len(reply.json()["columns"]["/at_work/slip"]["values"]) == 100_000
    # The bucket pays for the first 400 units.
    units = units_of_cost(100_000 * seconds_of_row("match"))
    assert units > 700
    assert taken >= (units - 400) / 400 * 0.9
    refused = ask_with(client, other, "/v1/batch/match", body)
    assert refused.status_code == 429
    assert "Your quota is spent for now; retry in" in refused.json()["detail"]
