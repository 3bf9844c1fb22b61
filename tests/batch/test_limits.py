"""What is too much, what is not read, and what happens while a batch runs."""

import asyncio
import http.client
import io
import json
import socket
import struct
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from typing import Any

import msgspec
import polars as pl
import pytest
from litestar.testing import TestClient
from tests.batch.test_formats import arrow

import drawbar_service.batch.serve as serve
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.costs import COSTS, in_words, seconds_alone, seconds_of_row, units_of_cost
from drawbar_service.api.v1.batch.request import ARROW, CSV, NDJSON
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.api.wire import JSON
from drawbar_service.app import create_app
from drawbar_service.batch import answer as answering
from drawbar_service.quantities import decode_quantity
from drawbar_service.settings import Settings

PATH = "/v1/batch/field-capacity"
SCENARIO = dict(FIELD_CAPACITY.example)
SHAPED = {
    "width": "6 m",
    "speed": "9 km/h",
    "shape": {"length": "600 m", "width": "300 m", "turn": {"time": "20 s"}},
}
"""Rows of it are worked one by one."""


def asked(count: int, **more: Any) -> dict[str, Any]:
    return {"scenario": SCENARIO, "vary": {"/speed": {"unit": "km/h", "first": 5, "last": 9, "count": count}}, **more}


def table(rows: int) -> str:
    return f"#{json.dumps({'scenario': SCENARIO})}\n/speed [km/h]\n" + "7\n" * rows


def test_too_many_rows_for_an_answer_made_whole(small: Any) -> None:
    assert small.post(PATH, json=asked(10)).status_code == 200
    reply = small.post(PATH, json=asked(11))
    assert reply.status_code == 413
    assert reply.json()["detail"].startswith("11 rows or more; an answer as application/json has at most 10;")
    assert small.post(PATH, json=asked(11), headers={"Accept": CSV}).status_code == 200
    assert small.post(PATH, json=asked(21), headers={"Accept": CSV}).status_code == 413


def test_more_rows_than_a_processor_works_in_time_are_refused_with_what_they_would_take() -> None:
    vary = {"/speed": {"unit": "km/h", "first": 5, "last": 9, "count": 100_000}}
    scenario = {**SENSITIVITY.example, "odds": {"samples": 16384}}
    with TestClient(create_app(Settings())) as client:
        reply = client.post("/v1/batch/sensitivity", json={"scenario": scenario, "vary": vary})
    assert reply.status_code == 413
    each = COSTS["sensitivity"].row + 16384 * COSTS["sensitivity"].row_step
    assert reply.json()["detail"] == (
        f"100000 rows of sensitivity take about {100_000 * each / 3600:.3g} h of a processor; at most 15 min in one "
        f"request: send it in parts of at most {int(900 / each)} rows"
    )


def test_rows_that_take_seconds_each_are_few() -> None:
    request = msgspec.convert(SEASON.example, SEASON.request, dec_hook=decode_quantity)
    most = int(900 / seconds_of_row("season", SEASON.steps(request)))
    vary = {"/window/workday": {"unit": "h", "first": 5, "last": 12, "count": most + 1}}
    with TestClient(create_app(Settings())) as client:
        reply = client.post("/v1/batch/season", json={"scenario": dict(SEASON.example), "vary": vary})
    assert reply.status_code == 413
    assert f"at most 15 min in one request: send it in parts of at most {most} rows" in reply.json()["detail"]


def test_a_batch_that_takes_longer_than_thought_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter([0.0, 0.5, 2.0])
    monkeypatch.setattr(answering, "thread_time", lambda: next(clock))
    batch = answering.Batch(FIELD_CAPACITY, CSV, CSV, "metric", 10**6, most_seconds=1.0)
    monkeypatch.setattr("drawbar_service.batch.run.BLOCK_ROWS", 100)
    with pytest.raises(answering.TooBig, match=r"took 1 s of a processor, the most there is; send it in parts"):
        list(answering.answer(batch, [table(300).encode()], threading.Event()))


def test_every_calculation_has_a_cost() -> None:
    shown = {one.name for one in SHOWN}
    assert COSTS.keys() == {one.name for one in CALCULATIONS} | shown
    assert all(COSTS[name].shown > 0.0 for name in shown)
    assert seconds_of_row("of tomorrow") > 0.0
    assert units_of_cost(seconds_alone("draft")) == units_of_cost(0.0) == 1
    assert in_words(5.0) == "5 s"
    assert in_words(600.0) == "10 min"
    assert in_words(43_200.0) == "12 h"


def test_too_many_rows_in_a_table(small: Any) -> None:
    assert small.post(PATH, content=table(20), headers={"Content-Type": CSV, "Accept": CSV}).status_code == 200
    assert small.post(PATH, content=table(11), headers={"Content-Type": CSV}).status_code == 413


def test_an_answer_that_grows_too_long_breaks_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once some of it is out, no status can tell; so it must not look whole."""
    from drawbar_service.batch import as_csv

    monkeypatch.setattr(as_csv, "PART_ROWS", 5)
    sent = asyncio.run(spoken(create_app(Settings(batch_stream_rows=12)), table(20).encode(), CSV))
    assert sent[0]["status"] == 200
    assert all(message.get("more_body") for message in sent[1:])
    assert b"".join(message["body"] for message in sent[1:]).count(b"\r\n") == 11


def test_a_body_too_big(small: Any) -> None:
    padded = json.dumps(asked(3)) + " " * 2_000
    for headers in ({"Content-Type": JSON}, {"Content-Type": JSON, "Transfer-Encoding": "chunked"}):
        reply = small.post(PATH, content=iter([padded.encode()]) if len(headers) > 1 else padded, headers=headers)
        assert reply.status_code == 413
        assert "at most 2000" in reply.json()["detail"]
    reply = small.post(PATH, content=table(3_000), headers={"Content-Type": CSV})
    assert "at most 4000" in reply.json()["detail"]


async def spoken(
    app: Any, body: bytes, media: str, takes: int | None = None, pause: float = 0.0, piece: int | None = None
) -> list[Any]:
    """Speak ASGI, a `piece` of the body at a time; hang up once `takes` messages have been taken."""
    sent: list[Any] = []
    size = piece or max(len(body), 1)
    parts = [body[at : at + size] for at in range(0, len(body), size)][::-1] or [b""]
    gone = asyncio.Event()

    async def receive() -> Any:
        if parts:
            return {"type": "http.request", "body": parts.pop(), "more_body": bool(parts)}
        await gone.wait()
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        await asyncio.sleep(pause)
        sent.append(message)
        if takes is not None and len(sent) == takes:
            gone.set()

    headers = [(b"host", b"farm.test"), (b"content-type", media.encode()), (b"accept", NDJSON.encode())]
    if media == CSV:
        headers[2] = (b"accept", CSV.encode())
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http",
        "path": PATH, "raw_path": PATH.encode(), "root_path": "", "query_string": b"", "headers": headers,
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80), "state": {},
    }  # fmt: skip
    try:
        await app(scope, receive, send)
    except Exception as failure:
        # What a server makes of it: it breaks the connection off.
        if str(failure) != "Exception caught after response started":
            raise
    return sent


@pytest.fixture
def worked(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """First rows of the blocks that were worked."""
    rows: list[int] = []
    run = answering.run

    def noting(*arguments: Any, **more: Any) -> Iterator[Any]:
        for block in run(*arguments, **more):
            rows.append(block.first)
            yield block

    monkeypatch.setattr(answering, "run", noting)
    return rows


def test_a_caller_who_hangs_up_cancels_the_work_and_frees_the_place(worked: list[int]) -> None:
    app = create_app(Settings(batch_slots=1))
    for _ in range(2):
        worked.clear()
        sent = asyncio.run(spoken(app, json.dumps(asked(1_000_000)).encode(), JSON, takes=3))
        assert sent[0]["status"] == 200
        assert 1 <= len(worked) < 20, "a million rows are some hundred blocks"


def test_a_caller_who_takes_nothing_is_waited_for_not_for_ever(worked: list[int]) -> None:
    app = create_app(Settings(batch_patience=1))
    begun = time.monotonic()
    asyncio.run(spoken(app, json.dumps(asked(1_000_000)).encode(), JSON, pause=3.0))
    assert time.monotonic() - begun < 10.0
    assert len(worked) < 20, "and what is not taken is not worked ahead of"


def test_a_caller_who_sends_nothing_is_told_so() -> None:
    async def silent() -> list[Any]:
        sent: list[Any] = []

        async def send(message: Any) -> None:
            sent.append(message)

        batch = answering.Batch(FIELD_CAPACITY, JSON, JSON, "metric", 10)
        response = serve.BatchResponse(batch, serve.Limits(1_000, 0.05), None, lambda: None)
        with pytest.raises(serve.Stalled, match="did not send"):
            await response({}, asyncio.Event().wait, send)
        return sent

    assert asyncio.run(silent()) == []


def test_a_body_is_taken_in_only_as_fast_as_it_is_worked(worked: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor is it kept: what has come and waits is bounded, however much there is in all."""
    monkeypatch.setattr(serve, "_WAITING_BYTES", 200)
    monkeypatch.setattr("drawbar_service.batch.as_csv.PART_ROWS", 50)
    come = [0]
    ahead: list[int] = []

    async def receive() -> Any:
        if come[0] == 60:
            await asyncio.Event().wait()
        come[0] += 1
        rows = table(50) if come[0] == 1 else "7\n" * 50
        return {"type": "http.request", "body": rows.encode(), "more_body": come[0] < 60}

    async def send(message: Any) -> None:
        await asyncio.sleep(0.001)
        ahead.append(come[0] - len(worked))

    batch = answering.Batch(FIELD_CAPACITY, CSV, CSV, "metric", 10_000)
    asyncio.run(serve.BatchResponse(batch, serve.Limits(10**6, 5.0), None, lambda: None)({}, receive, send))
    assert len(worked) == 60
    assert max(ahead) <= 8


def test_more_batches_than_places_are_put_off() -> None:
    app = create_app(Settings(batch_slots=1, long_patience=0.05))
    body = json.dumps(asked(200_000)).encode()

    async def both() -> list[list[Any]]:
        first = asyncio.create_task(spoken(app, body, JSON, takes=4, pause=0.5))
        await asyncio.sleep(0.1)
        second = await spoken(app, body, JSON)
        return [await first, second]

    first, second = asyncio.run(both())
    assert first[0]["status"] == 200
    assert second[0]["status"] == 503
    assert (b"retry-after", b"5") in second[0]["headers"]


@pytest.mark.parametrize(
    ("media", "body", "told"),
    [
        (CSV, b"", "a header and at least one row"),
        (CSV, b"/speed [km/h]\n", "a header and at least one row"),
        (CSV, b"/speed [km/h];/width [m]\n7;4\n", "a comma belongs there"),
        (CSV, b"#{nonsense\n/speed [km/h]\n7\n", "line 1 is not well-formed JSON"),
        (CSV, b"#{}/speed [km/h]7", "line breaks lost? curl keeps them with --data-binary"),
        (CSV, b"/speed [km/h],/width [m]7,4", "line breaks lost?"),
        (NDJSON, b'{"scenario": {}}{"/speed": 7}', "line breaks lost?"),
        (CSV, b"/speed [km/h]\n\xff\n", "not UTF-8"),
        (CSV, b"/speed [km/h]\n" + b"7" * 1_100_000, "a line is longer"),
        (NDJSON, b"", "the first line holds the scenario"),
        (NDJSON, b"{}\n[]\n", "line 2"),
        (ARROW, b"", "begins with a schema"),
        (ARROW, b"ARROW1\0\0" * 40, "no Arrow IPC stream"),
        (JSON, b"[", "not well-formed JSON"),
    ],
)
def test_what_cannot_be_read(client: Any, media: str, body: bytes, told: str) -> None:
    reply = client.post(PATH, content=body, headers={"Content-Type": media})
    assert reply.status_code == 400
    assert told in reply.json()["detail"]


@pytest.mark.parametrize(
    ("request_", "pointers"),
    [
        ({"vary": {}}, ["/scenario"]),
        ({"scenario": {}, "vary": {"/sped": [1]}}, ["/vary/~1sped"]),
        ({"scenario": SCENARIO, "vary": {"/speed": {"unit": "parsec", "values": [1]}}}, ["/vary/~1speed/unit"]),
        ({"scenario": SCENARIO, "vary": {"/speed": {"unit": "km/h", "values": ["7"]}}}, ["/vary/~1speed/values"]),
        ({"scenario": SCENARIO, "vary": {"/speed": {"unit": "km/h", "first": 7}}}, ["/vary/~1speed"]),
        (
            {"scenario": SCENARIO, "vary": {"/speed": {"unit": "km/h", "values": [7], "count": 1}}},
            ["/vary/~1speed"],
        ),
        ({"scenario": SCENARIO, "vary": {"/speed": []}}, ["/vary/~1speed"]),
        ({"scenario": SCENARIO, "vary": {"/speed": {"unit": "km/h", "valeus": [7]}}}, ["/vary/~1speed/valeus"]),
        ({"scenario": SCENARIO, "vary": {}, "columns": ["/capacity", "/about/model"]}, ["/columns/0"]),
        ({"scenario": SCENARIO | {"width": "9 kN"}, "vary": {}}, ["/scenario/width"]),
        ({"scenario": SCENARIO, "vary": {}, "mode": "both"}, ["/mode"]),
    ],
    ids=range(11),
)
def test_what_is_wrong_with_every_row_is_refused(client: Any, request_: Any, pointers: list[str]) -> None:
    reply = client.post(PATH, json=request_)
    assert reply.status_code == 422
    assert [error["pointer"] for error in reply.json()["errors"]][: len(pointers)] == pointers


def from_polars(**columns: Any) -> bytes:
    file = io.BytesIO()
    pl.DataFrame(columns).write_ipc_stream(file)
    return file.getvalue()


def test_types_that_are_no_values_are_refused(client: Any) -> None:
    body = from_polars(**{"/speed": [[1.0], [2.0]]})
    reply = client.post(PATH, content=body, headers={"Content-Type": ARROW})
    assert reply.status_code == 422
    assert "holds neither numbers nor truths nor texts" in reply.json()["detail"]


def test_what_polars_writes_is_read(client: Any) -> None:
    """Views, long and short, categories and whole numbers; without metadata, so every leaf is a column."""
    kinds = pl.Series(["row-crop-planter", "field-cultivator", None], dtype=pl.Categorical)
    body = from_polars(
        **{"/practice": kinds, "/speed [km/h]": [7, 8, 9], "/width": ["4 m", "400 cm", "4.0000000000000 m"]}
    )
    answer = client.post(PATH, content=body, headers={"Content-Type": ARROW}).json()
    assert answer["faults"] == []
    assert answer["columns"]["/capacity/theoretical"]["values"] == pytest.approx([2.8, 3.2, 3.6])


def test_damaged_arrow_is_refused_and_does_no_harm(client: Any) -> None:
    sound = arrow({"/speed [km/h]": [7.0, 8.0, 9.0], "/practice": ["chisel-plow"] * 3}, {"scenario": SCENARIO})
    state = 1
    statuses: set[int] = set()
    for _ in range(300):
        damaged = bytearray(sound)
        for _ in range(3):
            state = (state * 1103515245 + 12345) % 2**31
            damaged[state % len(damaged)] ^= 1 << (state >> 8) % 8
        statuses.add(client.post(PATH, content=bytes(damaged), headers={"Content-Type": ARROW}).status_code)
    for end in range(0, len(sound), 37):
        statuses.add(client.post(PATH, content=sound[:end], headers={"Content-Type": ARROW}).status_code)
    assert statuses <= {200, 400, 413, 422}
    assert 400 in statuses


def test_a_record_batch_that_claims_to_be_huge_is_refused_before_memory_is_asked_for(client: Any) -> None:
    sound = arrow({"/speed [km/h]": [7.0] * 5}, {"scenario": SCENARIO})
    told: set[str] = set()
    # One of these places holds the length of the record batch, another that of its column.
    for at in range(8, len(sound) - 8, 4):
        huge = sound[:at] + struct.pack("<q", 2**50) + sound[at + 8 :]
        reply = client.post(PATH, content=huge, headers={"Content-Type": ARROW})
        assert reply.status_code in (200, 400, 422)
        told.add(reply.json().get("detail", ""))
    assert any(f"a record batch of {2**50} bytes; write batches of at most" in one for one in told)
    assert any(f"a record batch of {2**50} rows; write batches of at most" in one for one in told)


def test_packed_arrow_is_refused(client: Any) -> None:
    file = io.BytesIO()
    pl.DataFrame({"/speed [km/h]": [7.0] * 999}).write_ipc_stream(file, compression="zstd")
    reply = client.post(PATH, content=file.getvalue(), headers={"Content-Type": ARROW})
    assert reply.status_code == 400
    assert "without compression" in reply.json()["detail"]


def test_media_types_that_are_not_read_or_written(client: Any) -> None:
    reply = client.post(PATH, content=b"<a/>", headers={"Content-Type": "text/xml"})
    assert reply.status_code == 415
    assert reply.headers["accept-post"].split(", ") == [JSON, "application/msgpack", NDJSON, CSV, ARROW]
    assert client.post(PATH, json=asked(1), headers={"Accept": "text/html"}).status_code == 406
    assert client.post(PATH, json=asked(1), headers={"Accept": "text/*"}).headers["content-type"] == CSV
    assert client.post("/v1/batch/crop", json=asked(1)).status_code == 404


@pytest.mark.parametrize("scenario", [SCENARIO, SHAPED], ids=["on arrays", "one by one"])
def test_livez_answers_while_a_large_batch_runs(scenario: dict[str, Any]) -> None:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    process = subprocess.Popen(
        [sys.executable, "-m", "drawbar_service", "--port", str(port)], stderr=subprocess.DEVNULL
    )
    try:
        until = time.monotonic() + 30.0
        while True:
            try:
                assert asked_once(port)[0] == 200
                break
            except ConnectionRefusedError:
                assert time.monotonic() < until
                time.sleep(0.05)
        grid = {"/speed": {"unit": "km/h", "first": 5, "last": 9, "count": 10_000}, "/width": ["4 m"] * 1_000}
        body = json.dumps({"scenario": scenario, "vary": grid, "mode": "grid"})
        taken = threading.Event()

        def take() -> None:
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
            connection.request("POST", PATH, body, {"Content-Type": JSON, "Accept": NDJSON})
            response = connection.getresponse()
            while not taken.is_set() and response.read(100_000):
                pass
            connection.close()

        taker = threading.Thread(target=take)
        taker.start()
        time.sleep(0.5)
        waits = sorted(asked_once(port)[1] for _ in range(40))
        assert taker.is_alive(), "ten million rows take longer"
        taken.set()
        taker.join()
        # The machine may be busy with other things now and then; a service that is held up is so all the time.
        assert waits[len(waits) // 2] < 0.05, waits
    finally:
        process.terminate()
        process.wait(30)


def asked_once(port: int) -> tuple[int, float]:
    begun = time.perf_counter()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("GET", "/livez")
        return connection.getresponse().status, time.perf_counter() - begun
    finally:
        connection.close()


def test_more_values_than_an_answer_made_whole_holds() -> None:
    with TestClient(create_app(Settings(batch_values=20))) as client:
        columns = ["/capacity/effective", "/capacity/theoretical"]
        assert client.post(PATH, json=asked(10, columns=columns)).status_code == 200
        reply = client.post(PATH, json=asked(11, columns=columns))
        assert reply.status_code == 413
        assert reply.json()["detail"] == (
            "11 rows of 2 columns; an answer as application/json has at most 20 values: ask for fewer, or for NDJSON, "
            "CSV or Arrow"
        )
        assert client.post(PATH, json=asked(11, columns=columns), headers={"Accept": CSV}).status_code == 200


@pytest.mark.parametrize("media", [JSON, "application/msgpack"])
def test_a_column_of_too_many_values_is_refused_before_it_is_read(client: Any, media: str) -> None:
    packed = b"\xdd" + (1_000_001).to_bytes(4, "big") + b"\x07" * 1_000_001
    whole = {"scenario": SCENARIO, "vary": {"/speed": {"unit": "km/h", "values": []}}}
    if media == JSON:
        body = msgspec.json.encode(whole).replace(b"[]", b"[" + b",".join([b"7"] * 1_000_002) + b"]")
    else:
        body = msgspec.msgpack.encode(whole).replace(b"\x90", packed, 1)
    reply = client.post(PATH, content=body, headers={"Content-Type": media})
    assert reply.status_code == 422
    assert "1000000" in reply.text


def test_texts_that_all_differ_are_refused_by_their_number(client: Any) -> None:
    kinds = [f"{at:x}" for at in range(70_000)]
    reply = client.post(PATH, json={"scenario": SCENARIO, "vary": {"/practice": kinds}})
    assert reply.status_code == 422
    assert reply.json()["errors"][0]["detail"] == "70000 different values; at most 65536"


def test_a_batch_of_faults_ends(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answering, "MOST_FAULTS", 10)
    kinds = [f"{at:x}" for at in range(100)]
    ask = {"scenario": SCENARIO, "vary": {"/practice": kinds}}
    reply = client.post(PATH, json=ask)
    assert reply.status_code == 422
    assert "more than 10 rows, each with a fault of its own" in reply.text
    # One fault in every row is one sentence.
    reply = client.post(PATH, json={"scenario": SCENARIO, "vary": {"/practice": ["no such kind"] * 100}})
    assert reply.status_code == 200


def test_what_waits_of_a_body_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """A caller who sends faster than rows are worked has to wait, and is read on once some of it is taken."""
    monkeypatch.setattr(serve, "_WAITING_BYTES", 1_000)
    sent = asyncio.run(spoken(create_app(Settings()), table(20_000).encode(), CSV, piece=600))
    assert sent[0]["status"] == 200
    assert b"".join(message["body"] for message in sent[1:]).count(b"\r\n") == 20_001
