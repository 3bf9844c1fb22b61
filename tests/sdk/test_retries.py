"""When an attempt is repeated, after how long, and when no longer: with a scripted server and a clock that is ours."""

import asyncio
import email.utils
import logging
import random
import re

import httpx2
import msgspec
import pytest

import drawbar
from drawbar._async_transport import AsyncTransport
from drawbar._options import Options
from drawbar._sync_transport import SyncTransport
from drawbar._wire import Operation, build, retry_after


class Pull(msgspec.Struct):
    draft: float


MATCH = Operation("POST", "/v1/match", Pull)
GOOD = httpx2.Response(200, json={"draft": 41.5})
STEADY = {"jitter": 0.0}


class Stage:
    """A scripted server, and time that passes only when somebody sleeps or the server takes long.

    Each line of the script is a response, an exception, or either with the time it takes [s].
    """

    def __init__(self, flavour):
        self._flavour = flavour
        self.now = 1000.0
        self.sleeps = []
        self.requests = []

    def play(self, script, **settings):
        """Make one call that meets the script; a script that ends too early fails the test."""
        options = Options.settled(**{"token": "hush-4711"} | settings)
        call = build(MATCH, Pull(1.0), options)
        lines = iter(script)

        def handler(request):
            self.requests.append(request)
            line = next(lines)
            if isinstance(line, tuple):
                line, took = line
                self.now += took
            if isinstance(line, Exception):
                raise line
            return httpx2.Response(line.status_code, headers=line.headers, content=line.content)

        http = httpx2.MockTransport(handler)
        if self._flavour == "sync":
            transport = SyncTransport(httpx2.Client(transport=http), sleep=self._sleep, clock=lambda: self.now)
            try:
                return transport.send(call)
            finally:
                transport.close()

        async def main():
            client = httpx2.AsyncClient(transport=http)
            transport = AsyncTransport(client, sleep=self._async_sleep, clock=lambda: self.now)
            try:
                return await transport.send(call)
            finally:
                await transport.close()

        return asyncio.run(main())

    def _sleep(self, seconds):
        self.sleeps.append(seconds)
        self.now += seconds

    async def _async_sleep(self, seconds):
        self._sleep(seconds)


@pytest.fixture(params=["sync", "async"])
def stage(request):
    return Stage(request.param)


def failing(status, **headers):
    return httpx2.Response(status, headers={name.replace("_", "-"): value for name, value in headers.items()})


def test_a_post_is_repeated_byte_for_byte_until_it_succeeds(stage):
    infos = []
    script = [failing(503), httpx2.ConnectError("refused"), GOOD]
    assert stage.play(script, on_response=infos.append) == Pull(41.5)
    assert len(stage.requests) == 3
    assert {request.content for request in stage.requests} == {b'{"draft":1.0}'}
    assert {request.method for request in stage.requests} == {"POST"}
    assert len({tuple(sorted(request.headers.items())) for request in stage.requests}) == 1
    first, second = stage.sleeps
    assert 0.375 <= first <= 0.5
    assert 0.75 <= second <= 1.0
    (info,) = infos
    assert (info.status, info.attempts) == (200, 3)
    assert info.elapsed == pytest.approx(first + second)


@pytest.mark.parametrize("status", [408, 429, 500, 502, 503, 504])
def test_passing_troubles_are_tried_three_times(stage, status):
    with pytest.raises(drawbar.ApiError, match=r"\(after 3 attempts\)") as caught:
        stage.play([failing(status)] * 3)
    assert caught.value.status == status
    assert caught.value.attempts == 3
    assert len(stage.requests) == 3
    assert len(stage.sleeps) == 2


@pytest.mark.parametrize("status", [301, 400, 401, 403, 404, 405, 406, 409, 413, 415, 422, 501])
def test_what_would_fail_again_is_not_repeated(stage, status):
    with pytest.raises(drawbar.ApiError) as caught:
        stage.play([failing(status, Retry_After="1")])
    assert (caught.value.status, caught.value.attempts) == (status, 1)
    assert stage.sleeps == []


@pytest.mark.parametrize(
    ("fault", "kind"),
    [
        (httpx2.ConnectError("refused"), drawbar.ConnectionFailed),
        (httpx2.ReadError("reset"), drawbar.ConnectionFailed),
        (httpx2.WriteError("reset"), drawbar.ConnectionFailed),
        (httpx2.RemoteProtocolError("cut"), drawbar.ConnectionFailed),
        (httpx2.ProxyError("no"), drawbar.ConnectionFailed),
        (httpx2.ConnectTimeout("late"), drawbar.TimedOut),
        (httpx2.ReadTimeout("late"), drawbar.TimedOut),
        (httpx2.PoolTimeout("late"), drawbar.TimedOut),
        (httpx2.ReadTimeout(""), drawbar.TimedOut),
        (TimeoutError("late"), drawbar.TimedOut),
    ],
    ids=repr,
)
def test_connection_troubles_are_tried_three_times_and_keep_their_cause(stage, fault, kind):
    with pytest.raises(drawbar.ConnectionFailed) as caught:
        stage.play([fault] * 3)
    assert type(caught.value) is kind
    assert caught.value.attempts == 3
    assert caught.value.reason
    assert isinstance(caught.value.__cause__, type(fault))
    assert len(stage.requests) == 3


@pytest.mark.parametrize("fault", [httpx2.LocalProtocolError("bad"), httpx2.UnsupportedProtocol("bad")], ids=repr)
def test_a_request_that_cannot_be_sent_is_not_repeated(stage, fault):
    with pytest.raises(drawbar.ConnectionFailed, match="after 1 attempt: bad"):
        stage.play([fault])
    assert stage.sleeps == []


def test_a_mistake_in_the_http_stack_is_not_dressed_up(stage):
    with pytest.raises(ZeroDivisionError):
        stage.play([ZeroDivisionError()])


def test_json_that_breaks_off_is_tried_again_but_a_wrong_result_is_not(stage):
    cut = httpx2.Response(200, headers={"Content-Type": "application/json; charset=utf-8"}, content=b'{"draft": 4')
    assert stage.play([cut, GOOD]) == Pull(41.5)
    assert len(stage.sleeps) == 1
    for wrong in (
        httpx2.Response(200, json={"draft": "much"}),
        httpx2.Response(200, headers={"Content-Type": "text/html"}, content=b"<html>"),
    ):
        with pytest.raises(drawbar.UnreadableAnswer):
            stage.play([wrong])
    assert len(stage.sleeps) == 1


def test_one_attempt_means_no_retry(stage):
    with pytest.raises(drawbar.Busy):
        stage.play([failing(503)], retry=drawbar.RetryPolicy(attempts=1))
    assert stage.sleeps == []


def test_the_statuses_worth_a_retry_can_be_chosen(stage):
    policy = drawbar.RetryPolicy(statuses=frozenset({409}))
    assert stage.play([failing(409), GOOD], retry=policy) == Pull(41.5)
    with pytest.raises(drawbar.Busy):
        stage.play([failing(503)], retry=policy)


# ---- Retry-After


def test_seconds_are_obeyed(stage):
    script = [failing(429, Retry_After="7"), failing(503, Retry_After="120"), GOOD]
    assert stage.play(script) == Pull(41.5)
    assert stage.sleeps == [7.0, 120.0]


def test_a_date_is_obeyed_by_the_servers_clock(stage):
    # The server lives in 2040: only the difference to its own Date counts.
    late = {"Date": "Mon, 02 Jan 2040 10:00:00 GMT", "Retry_After": "Mon, 02 Jan 2040 10:00:40 GMT"}
    assert stage.play([failing(503, **late), GOOD]) == Pull(41.5)
    assert stage.sleeps == [40.0]


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("0", 0.0),
        ("12", 12.0),
        (" 12 ", 12.0),
        ("9" * 5000, float("inf")),
        ("Thu, 01 Jan 1970 00:16:50 GMT", 10.0),
        ("Thu, 01 Jan 1970 00:00:00 GMT", 0.0),
        ("", None),
        ("-3", None),
        ("1.5", None),
        ("soon", None),
        ("nan", None),
        ("٣", None),
        ("Thu, 99 Jan 1970 00:16:50 GMT", None),
        ("Fri, 31 Dec 99999 00:00:00 GMT", None),
        ("Thu, 01 Jan 1970 00:00:00 +99999999999999999", None),
    ],
)
def test_retry_after_is_read_as_http_defines_it(text, seconds):
    assert retry_after({"retry-after": text}, now=1000.0) == seconds
    assert retry_after({}, now=1000.0) is None


def test_without_a_date_header_the_clock_of_this_side_counts(stage, monkeypatch):
    monkeypatch.setattr("drawbar._transport.time.time", lambda: 2_000_000_000.0)
    script = [failing(503, Retry_After=email.utils.formatdate(2_000_000_009, usegmt=True)), GOOD]
    assert stage.play(script) == Pull(41.5)
    assert stage.sleeps == [9.0]


def test_a_short_retry_after_does_not_undercut_the_backoff(stage):
    assert stage.play([failing(503, Retry_After="0"), GOOD], retry=drawbar.RetryPolicy(**STEADY)) == Pull(41.5)
    assert stage.sleeps == [0.5]


def test_nonsense_in_retry_after_falls_back_to_the_backoff(stage):
    assert stage.play([failing(503, Retry_After="soon"), GOOD], retry=drawbar.RetryPolicy(**STEADY)) == Pull(41.5)
    assert stage.sleeps == [0.5]


def test_a_wait_longer_than_the_cap_is_left_to_the_caller(stage):
    with pytest.raises(drawbar.Busy, match="ask again in 121 s") as caught:
        stage.play([failing(503, Retry_After="121")])
    assert caught.value.retry_after == 121.0
    assert stage.sleeps == []


# ---- backoff


def test_the_backoff_doubles_up_to_its_cap():
    policy = drawbar.RetryPolicy(attempts=2000, **STEADY)
    assert [policy.pause(n) for n in (1, 2, 3, 4, 5, 6, 1999)] == [0.5, 1.0, 2.0, 4.0, 8.0, 8.0, 8.0]
    assert policy.pause(2000) is None


def test_jitter_takes_off_a_share_and_repeats_with_its_seed():
    def pauses(seed):
        policy = drawbar.RetryPolicy(attempts=200, backoff=8.0, random=random.Random(seed).random)
        return [policy.pause(n) for n in range(1, 200)]

    assert pauses(1) == pauses(1) != pauses(2)
    assert all(6.0 <= pause <= 8.0 for pause in pauses(3))
    assert max(pauses(3)) - min(pauses(3)) > 1.5


@pytest.mark.parametrize(
    ("setting", "value"),
    [
        ("attempts", 0),
        ("backoff", -1.0),
        ("backoff_cap", float("inf")),
        ("jitter", 1.1),
        ("jitter", float("nan")),
        ("retry_after_cap", -1.0),
        ("budget", 0.0),
        ("budget", float("inf")),
    ],
)
def test_a_policy_that_cannot_work_is_refused(setting, value):
    with pytest.raises(drawbar.BadSetting, match=rf"retry\.{setting} is {re.escape(str(value))}"):
        drawbar.RetryPolicy(**{setting: value})


# ---- budget


def test_the_whole_call_stays_within_its_budget(stage):
    policy = drawbar.RetryPolicy(attempts=100, budget=10.0, **STEADY)
    with pytest.raises(drawbar.ServerFault):
        stage.play([(failing(500), 2.0)] * 100, retry=policy)
    # 2 + 0.5 + 2 + 1 + 2 = 7.5 s; the next pause of 2 s ends in time, at 9.5 s, and the one after that would not.
    assert stage.sleeps == [0.5, 1.0, 2.0]
    assert len(stage.requests) == 4
    assert stage.requests[-1].extensions["timeout"]["read"] == pytest.approx(0.5)
    assert stage.requests[-1].extensions["timeout"]["connect"] == pytest.approx(0.5)


def test_a_retry_after_beyond_the_budget_is_not_slept_through(stage):
    with pytest.raises(drawbar.TooManyRequests):
        stage.play([failing(429, Retry_After="60")], retry=drawbar.RetryPolicy(budget=59.0))
    assert stage.sleeps == []


def test_timeouts_use_up_the_budget_too(stage):
    policy = drawbar.RetryPolicy(attempts=9, budget=70.0, **STEADY)
    late = httpx2.ReadTimeout("late")
    with pytest.raises(drawbar.TimedOut, match="after 3 attempts"):
        stage.play([(late, 30.0), (late, 30.0), (late, 8.5)], retry=policy)
    assert stage.requests[-1].extensions["timeout"]["read"] == pytest.approx(8.5)


# ---- the rest


def test_the_log_tells_each_attempt_and_each_pause(stage, caplog):
    caplog.set_level(logging.DEBUG, logger="drawbar")
    good = httpx2.Response(200, headers={"X-Request-ID": "req-3"}, json={"draft": 1.0})
    stage.play([failing(503), httpx2.ConnectError("refused"), good], retry=drawbar.RetryPolicy(**STEADY))
    ours = [record for record in caplog.records if record.name == "drawbar"]
    assert [record.getMessage() for record in ours] == [
        "POST /v1/match, attempt 1 of 3 at 0.000 s: 503, 0 bytes, request id None",
        "POST /v1/match, attempt 1 of 3 at 0.000 s: next attempt in 0.50 s",
        "POST /v1/match, attempt 2 of 3 at 0.500 s: refused",
        "POST /v1/match, attempt 2 of 3 at 0.500 s: next attempt in 1.00 s",
        "POST /v1/match, attempt 3 of 3 at 1.500 s: 200, 13 bytes, request id req-3",
    ]
    assert {record.levelno for record in ours} == {logging.DEBUG}


def test_an_on_response_that_raises_is_heard(stage):
    def careless(info):
        raise LookupError(info.status)

    with pytest.raises(LookupError, match="200"):
        stage.play([GOOD], on_response=careless)


def test_a_cancelled_task_is_neither_retried_nor_renamed():
    began = []

    async def handler(request):
        began.append(request)
        await asyncio.sleep(30)

    async def main():
        async with drawbar.AsyncClient(transport=httpx2.MockTransport(handler)) as client:
            task = asyncio.create_task(client._call(MATCH, Pull(1.0)))
            while not began:
                await asyncio.sleep(0)
            task.cancel()
            with pytest.raises(asyncio.CancelledError):
                await task

    asyncio.run(main())
    assert len(began) == 1
