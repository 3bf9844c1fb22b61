"""What the metrics count, and that no caller can make up series."""

import asyncio
import socket
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient
from prometheus_client.parser import text_string_to_metric_families
from tests.batch.test_limits import spoken, table
from tests.faults.conftest import Ask
from tests.observability.conftest import SECRET

from drawbar_service.api.v1.batch.request import CSV
from drawbar_service.api.v1.cost import COST
from drawbar_service.api.v1.match import MATCH
from drawbar_service.app import create_app
from drawbar_service.batch import as_csv
from drawbar_service.observability import metrics as module
from drawbar_service.settings import BadSettings, Settings

AS_JSON = ("content-type", b"application/json")

Value = Callable[..., float]


def values(text: str) -> dict[tuple[str, frozenset[tuple[str, str]]], float]:
    return {
        (sample.name, frozenset(sample.labels.items())): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


@pytest.fixture
def ask(build: Callable[..., Ask]) -> Ask:
    return build(metrics=True)


@pytest.fixture
def value(ask: Ask) -> Value:
    def read(name: str, **labels: str) -> float:
        return values(ask("GET", "/metrics").body.decode())[name, frozenset(labels.items())]

    return read


def test_requests_are_counted_by_template_method_and_class(ask: Ask, value: Value, match_body: bytes) -> None:
    for _ in range(3):
        ask("POST", "/v1/match", match_body, [AS_JSON])
    ask("POST", "/v1/match", b"{}", [AS_JSON])
    ask("GET", "/v1/reference/no-such-table")
    assert value("drawbar_requests_total", method="POST", route="/v1/match", status="2xx") == 3
    assert value("drawbar_requests_total", method="POST", route="/v1/match", status="4xx") == 1
    assert value("drawbar_requests_total", method="GET", route="/v1/reference/{table}", status="4xx") == 1
    assert value("drawbar_problems_total", kind="impossible-input") == 1
    assert value("drawbar_problems_total", kind="not-found") == 1
    assert value("drawbar_problems_total", kind="busy") == 0


def test_latency_is_told_finely_where_answers_lie(ask: Ask, value: Value, match_body: bytes) -> None:
    ask("POST", "/v1/match", match_body, [AS_JSON])
    assert value("drawbar_request_seconds_count", route="/v1/match") == 1
    assert 0.0 < value("drawbar_request_seconds_sum", route="/v1/match") < 60.0
    assert value("drawbar_request_seconds_bucket", route="/v1/match", le="60.0") == 1
    assert sum(bucket < 0.001 for bucket in module.BUCKETS) >= 4


def test_no_caller_makes_up_series(ask: Ask) -> None:
    ask("GET", "/nowhere")
    ask("PLOUGH", "/nowhere")
    ask("POST", "/v1/batch/nothing")
    before = values(ask("GET", "/metrics").body.decode()).keys()
    before = values(ask("GET", "/metrics").body.decode()).keys()
    for at in range(50):
        ask("GET", f"/{SECRET}/{at}", query=SECRET.encode())
        ask(f"PLOUGH{at}", f"/{SECRET}")
        ask("POST", f"/v1/batch/{SECRET}{at}")
    text = ask("GET", "/metrics").body.decode()
    assert values(text).keys() == before
    assert SECRET not in text


def test_matches_are_counted_by_verdict_and_limit(ask: Ask, value: Value) -> None:
    holds = dict(MATCH.example) | {"speed": "7 km/h"}
    too_much = msgspec.json.decode(msgspec.json.encode(holds))
    too_much["implement"]["draft_multiplier"] = 3
    for body in (holds, holds, holds | {"speed": "9 km/h"}, too_much):
        reply = ask("POST", "/v1/match", msgspec.json.encode(body), [AS_JSON])
    verdict = reply.json()["verdict"]
    assert verdict["word"] == "fails"
    assert value("drawbar_matches_total", word="fails", limit=verdict["binding"]) == 1
    assert value("drawbar_matches_total", word="close", limit="power") == 1
    assert value("drawbar_matches_total", word="holds", limit="power") == 2
    assert value("drawbar_matches_total", word="holds", limit="slip") == 0


def test_warnings_are_counted_by_code(ask: Ask, value: Value) -> None:
    body = msgspec.json.encode(COST.example)
    warnings = ask("POST", "/v1/cost", body, [AS_JSON]).json()["about"]["warnings"]
    assert warnings
    for code in {warning["code"] for warning in warnings}:
        expected = sum(warning["code"] == code for warning in warnings)
        assert value("drawbar_warnings_total", code=code) == expected


AS_CSV = {"content-type": CSV, "accept": CSV}


@pytest.fixture
def client() -> Iterator[TestClient[Any]]:
    """A caller who stays on the line, as a batch needs it."""
    app = create_app(Settings(metrics=True, batch_stream_rows=10_000))
    with TestClient(app, raise_server_exceptions=False) as client:
        yield client


def test_rows_of_a_batch_are_counted(client: TestClient[Any]) -> None:
    reply = client.post("/v1/batch/field-capacity", content=table(2) + "-1\n", headers=AS_CSV)
    assert reply.status_code == 200
    text = client.get("/metrics").text
    assert 'drawbar_batch_rows_total{calculation="field-capacity",outcome="answered"} 2.0' in text
    assert 'drawbar_batch_rows_total{calculation="field-capacity",outcome="at-fault"} 1.0' in text
    assert 'drawbar_requests_total{method="POST",route="/v1/batch/{calculation}",status="2xx"} 1.0' in text
    assert 'drawbar_requests_in_flight{kind="batch"} 0.0' in text


def test_rows_of_matches_on_arrays_are_counted(client: TestClient[Any]) -> None:
    body = {"scenario": dict(MATCH.example), "vary": {"/speed": {"unit": "km/h", "first": 5, "last": 9, "count": 9000}}}
    assert client.post("/v1/batch/match", json=body).status_code == 200
    found = values(client.get("/metrics").text)
    assert found["drawbar_batch_rows_total", frozenset({("calculation", "match"), ("outcome", "answered")})] == 9000


@pytest.mark.parametrize("by", ["service", "caller"])
def test_an_answer_that_breaks_off_is_counted(monkeypatch: pytest.MonkeyPatch, by: str) -> None:
    monkeypatch.setattr(as_csv, "PART_ROWS", 5)
    app = create_app(Settings(metrics=True, batch_stream_rows=12 if by == "service" else 20_000_000))
    rows, takes = (20, None) if by == "service" else (20_000, 3)
    sent = asyncio.run(spoken(app, table(rows).encode(), CSV, takes=takes))
    assert sent[0]["status"] == 200
    found = values(Ask(app)("GET", "/metrics").body.decode())
    assert {one: found["drawbar_broken_off_total", frozenset({("by", one)})] for one in ("service", "caller")} == {
        "service": float(by == "service"),
        "caller": float(by == "caller"),
    }
    assert found["drawbar_requests_in_flight", frozenset({("kind", "batch")})] == 0


def test_who_asks_for_metrics_is_in_flight(value: Value) -> None:
    assert value("drawbar_requests_in_flight", kind="other") == 1
    assert value("drawbar_requests_in_flight", kind="batch") == 0


def test_the_self_check_is_shown(ask: Ask, value: Value, monkeypatch: pytest.MonkeyPatch) -> None:
    assert value("drawbar_self_check") == 1
    monkeypatch.setattr(module, "self_check", lambda: "slip is off")
    assert value("drawbar_self_check") == 0


def test_versions_are_shown(ask: Ask) -> None:
    version = ask("GET", "/version").json()
    text = ask("GET", "/metrics").body.decode()
    assert f'model="{version["model"]}"' in text
    assert f'version="{version["service"]}"' in text


def test_each_application_counts_for_itself(build: Callable[..., Ask], match_body: bytes) -> None:
    one, other = build(metrics=True), build(metrics=True)
    one("POST", "/v1/match", match_body, [AS_JSON])
    assert b'route="/v1/match"' in one("GET", "/metrics").body
    assert b'route="/v1/match"' not in other("GET", "/metrics").body


def test_openmetrics_is_given_to_those_who_ask(ask: Ask) -> None:
    reply = ask("GET", "/metrics", headers=[("accept", b"application/openmetrics-text; version=1.0.0")])
    assert reply.headers["content-type"].startswith("application/openmetrics-text")
    assert reply.body.endswith(b"# EOF\n")
    assert ask("GET", "/metrics").headers["content-type"].startswith("text/plain")
    assert reply.headers["cache-control"] == "no-store"


def test_they_are_not_shown_unless_asked_for(build: Callable[..., Ask]) -> None:
    assert build()("GET", "/metrics").status == 404
    assert build(metrics=True, metrics_port=9464)("GET", "/metrics").status == 404


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_they_can_be_shown_at_an_address_of_their_own() -> None:
    port = free_port()
    with TestClient(create_app(Settings(metrics=True, metrics_port=port))) as client:
        assert client.get("/livez").status_code == 200
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/metrics", timeout=10) as reply:
            assert b'route="/livez"' in reply.read()
    with socket.socket() as probe:
        assert probe.connect_ex(("127.0.0.1", port)) != 0


def test_an_address_that_is_taken_is_told() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = int(taken.getsockname()[1])
        metrics = module.Metrics(Settings(metrics=True, metrics_port=port))
        with pytest.raises(BadSettings, match=f"DRAWBAR_METRICS_PORT={port} on 127.0.0.1"):
            metrics.open()


def test_with_keys_the_counts_are_for_who_has_one(tmp_path: Path) -> None:
    from drawbar_service.security.keys import digest_of

    table = f'[[key]]\nid = "prometheus"\nblake2b = "{digest_of("dbk_prometheus_x")}"\nscopes = ["single"]\n'
    (tmp_path / "keys.toml").write_text(table)
    with TestClient(create_app(Settings(metrics=True, api_keys=str(tmp_path / "keys.toml")))) as client:
        assert client.get("/metrics").status_code == 401
        assert client.get("/metrics", headers={"Authorization": "Bearer dbk_prometheus_x"}).status_code == 200
        assert client.get("/livez").status_code == 200
