"""Which spans there are, how they hang together, and what none of them holds."""

from collections.abc import Callable, Iterator
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient
from opentelemetry.sdk.trace import ReadableSpan
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter
from opentelemetry.trace import SpanKind, StatusCode, format_span_id, format_trace_id
from tests.observability.conftest import SECRET, SECRET_HEADERS

from drawbar_service import app as application
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.season import SEASON
from drawbar_service.app import create_app
from drawbar_service.batch.run import BLOCK_ROWS
from drawbar_service.observability import traces
from drawbar_service.settings import Settings

TRACE, CALLER = "0af7651916cd43dd8448eb211c80319c", "b7ad6b7169203331"
Spans = list[ReadableSpan]
Seen = Callable[..., tuple[Any, Spans]]


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> Iterator[Seen]:
    """Sends one request and returns its reply and the spans, in the order they began."""
    monkeypatch.delenv("OTEL_SERVICE_NAME", raising=False)
    monkeypatch.delenv("OTEL_TRACES_SAMPLER", raising=False)

    def ask(method: str, path: str, **more: Any) -> tuple[Any, Spans]:
        memory = InMemorySpanExporter()
        monkeypatch.setattr(traces, "OTLPSpanExporter", lambda: memory)
        app = create_app(Settings(traces=True, access_log=True))
        # Leaving the client stops the service, and that sends what is left.
        with TestClient(app, raise_server_exceptions=False) as client:
            reply = client.request(method, path, **more)
        return reply, sorted(memory.get_finished_spans(), key=lambda span: span.start_time or 0)

    return ask


def attributes(span: ReadableSpan) -> dict[str, Any]:
    return dict(span.attributes or {})


def test_a_request_is_a_span_and_its_calculation_another_in_it(seen: Seen) -> None:
    reply, (server, compute) = seen("POST", "/v1/match?units=us", json=dict(MATCH.example))
    assert server.name == "POST /v1/match"
    assert server.kind == SpanKind.SERVER
    assert server.parent is None
    assert attributes(server) == {
        "http.request.method": "POST",
        "http.route": "/v1/match",
        "http.response.status_code": 200,
        "http.response.body.size": len(reply.content),
        "url.scheme": "http",
        "drawbar.request_id": reply.headers["x-request-id"],
    }
    assert server.status.status_code == StatusCode.UNSET
    assert compute.name == "compute match"
    assert attributes(compute) == {"drawbar.calculation": "match"}
    assert compute.parent is not None
    assert compute.parent.span_id == server.context.span_id
    assert server.start_time <= compute.start_time <= compute.end_time <= server.end_time
    resource = server.resource.attributes
    assert resource["service.name"] == "drawbar"
    assert resource["service.version"]


def test_the_trace_of_the_caller_goes_on_and_is_logged(seen: Seen, logged: Callable[[], list[Any]]) -> None:
    headers = {"traceparent": f"00-{TRACE}-{CALLER}-01", "tracestate": "mill=1"}
    _, (server,) = seen("GET", "/v1/sources", headers=headers)
    assert format_trace_id(server.context.trace_id) == TRACE
    assert server.parent is not None
    assert format_span_id(server.parent.span_id) == CALLER
    assert server.context.trace_state["mill"] == "1"
    (line,) = logged()
    assert line["trace_id"] == TRACE


def test_a_new_trace_is_logged_as_well(seen: Seen, logged: Callable[[], list[Any]]) -> None:
    _, (server,) = seen("GET", "/v1/sources", headers={"traceparent": SECRET})
    (line,) = logged()
    assert line["trace_id"] == format_trace_id(server.context.trace_id)


def test_what_the_caller_does_not_sample_is_not_recorded(seen: Seen, logged: Callable[[], list[Any]]) -> None:
    reply, spans = seen("GET", "/v1/sources", headers={"traceparent": f"00-{TRACE}-{CALLER}-00"})
    assert reply.status_code == 200
    assert spans == []
    assert logged()[0]["trace_id"] == TRACE


def test_a_calculation_in_a_thread_belongs_to_its_request(seen: Seen) -> None:
    reply, (server, compute) = seen("POST", "/v1/season", json=dict(SEASON.example))
    assert reply.status_code == 200
    assert compute.name == "compute season"
    assert compute.parent is not None
    assert compute.parent.span_id == server.context.span_id


def test_blocks_of_a_batch_belong_to_its_request(seen: Seen) -> None:
    body = {
        "scenario": dict(MATCH.example),
        "vary": {"/speed": {"unit": "km/h", "first": 5, "last": 9, "count": 3 * BLOCK_ROWS}},
        "columns": ["/verdict/fits"],
    }
    reply, (server, *blocks) = seen("POST", "/v1/batch/match", json=body)
    assert reply.status_code == 200
    assert server.name == "POST /v1/batch/{calculation}"
    assert {block.name for block in blocks} == {"block match"}
    assert all(block.parent is not None and block.parent.span_id == server.context.span_id for block in blocks)
    told = sorted((attributes(block) for block in blocks), key=lambda one: one["drawbar.first_row"])
    assert [one["drawbar.first_row"] for one in told] == [0, BLOCK_ROWS, 2 * BLOCK_ROWS]
    assert sum(one["drawbar.rows"] for one in told) == 3 * BLOCK_ROWS
    assert sum(one["drawbar.rows_answered"] for one in told) == 3 * BLOCK_ROWS


def test_an_impossible_request_is_no_fault_of_the_service(seen: Seen) -> None:
    body = msgspec.json.decode(msgspec.json.encode(MATCH.example))
    body["implement"]["tools"][0]["tool"] = SECRET
    reply, (server, compute) = seen("POST", "/v1/match", json=body)
    assert reply.status_code == 422
    assert attributes(compute)["drawbar.impossible"] is True
    assert {span.status.status_code for span in (server, compute)} == {StatusCode.UNSET}
    assert compute.events == ()


def test_a_failure_is_an_error(seen: Seen, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails() -> str:
        raise RuntimeError(SECRET)

    monkeypatch.setattr(application, "self_check", fails)
    reply, (server,) = seen("GET", "/readyz")
    assert reply.status_code == 500
    assert server.status.status_code == StatusCode.ERROR
    assert attributes(server)["error.type"] == "500"
    assert SECRET not in server.to_json()


def test_a_calculation_that_fails_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    memory = InMemorySpanExporter()
    monkeypatch.setattr(traces, "OTLPSpanExporter", lambda: memory)

    def fails(request: object, ledger: object) -> object:
        raise ZeroDivisionError(SECRET)

    witness = traces.Traces()
    with pytest.raises(ZeroDivisionError):
        witness.around_compute("match", fails)(None, None)
    witness.close()
    (span,) = memory.get_finished_spans()
    assert span.status.status_code == StatusCode.ERROR
    assert attributes(span)["error.type"] == "ZeroDivisionError"
    assert SECRET not in span.to_json()


@pytest.mark.parametrize(
    ("method", "path", "name"),
    [
        ("GET", f"/{SECRET}?{SECRET}={SECRET}", "GET"),
        (SECRET.upper(), "/v1/match", "HTTP"),
        ("GET", f"/v1/reference/{SECRET}", "GET /v1/reference/{table}"),
        ("POST", f"/v1/match?units={SECRET}", "POST /v1/match"),
    ],
)
def test_text_of_the_caller_is_in_no_span(seen: Seen, method: str, path: str, name: str) -> None:
    headers = {key: value.decode() for key, value in SECRET_HEADERS}
    reply, spans = seen(method, path, headers=headers | {"x-request-id": f"{SECRET}!"}, json={SECRET: SECRET})
    assert reply.status_code >= 400
    assert spans[0].name == name
    assert all(SECRET not in span.to_json().lower() for span in spans)


def test_the_service_is_called_what_the_environment_says(seen: Seen, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OTEL_SERVICE_NAME", "mill-farm")
    monkeypatch.setenv("OTEL_RESOURCE_ATTRIBUTES", "deployment.environment.name=trial")
    _, (server,) = seen("GET", "/livez")
    assert server.resource.attributes["service.name"] == "mill-farm"
    assert server.resource.attributes["deployment.environment.name"] == "trial"


def test_the_environment_says_how_many_are_kept(seen: Seen, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OTEL_TRACES_SAMPLER", "parentbased_traceidratio")
    monkeypatch.setenv("OTEL_TRACES_SAMPLER_ARG", "0")
    reply, spans = seen("POST", "/v1/match", json=dict(MATCH.example))
    assert reply.status_code == 200
    assert spans == []
