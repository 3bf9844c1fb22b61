"""The service as a process of its own with everything on, and with everything off."""

import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer

import msgspec
import pytest
from opentelemetry.proto.collector.trace.v1.trace_service_pb2 import ExportTraceServiceRequest
from tests.faults.processes import environment, free_port, send
from tests.observability.test_metrics import values

from drawbar_service.__main__ import main

PATIENCE = 20.0


class Collector(HTTPServer):
    """Takes in spans as a collector does."""

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Taking)
        self.taken: list[tuple[str, ExportTraceServiceRequest]] = []


class _Taking(BaseHTTPRequestHandler):
    server: Collector

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["content-length"]))
        self.server.taken.append((self.path, ExportTraceServiceRequest.FromString(body)))
        self.send_response(200)
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


@pytest.fixture
def collector() -> Iterator[Collector]:
    with Collector() as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield server
        server.shutdown()
        thread.join(PATIENCE)


def test_everything_on(collector: Collector, match_body: bytes) -> None:
    port, apart = free_port(), free_port()
    settings = {
        "port": str(port),
        "access_log": "true",
        "traces": "true",
        "metrics": "true",
        "metrics_port": str(apart),
    }
    process = subprocess.Popen(
        [sys.executable, "-m", "drawbar_service"],
        env=environment(**settings)
        | {"OTEL_EXPORTER_OTLP_ENDPOINT": f"http://127.0.0.1:{collector.server_port}", "OTEL_SERVICE_NAME": "mill"},
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        until = time.monotonic() + PATIENCE
        while True:
            assert process.poll() is None, process.communicate()
            assert time.monotonic() < until
            try:
                send(port, "GET", "/livez")
                break
            except ConnectionRefusedError:
                time.sleep(0.05)
        assert send(port, "POST", "/v1/match", match_body, {"Content-Type": "application/json"})[0] == 200
        assert send(port, "GET", "/metrics")[0] == 404
        with urllib.request.urlopen(f"http://127.0.0.1:{apart}/metrics", timeout=PATIENCE) as reply:
            found = values(reply.read().decode())
        assert found["drawbar_matches_total", frozenset({("word", "close"), ("limit", "power")})] == 1
        process.terminate()
        _, errors = process.communicate(timeout=PATIENCE)
    finally:
        process.kill()
    assert process.returncode == 0
    lines = [msgspec.json.decode(line) for line in errors.splitlines()]
    assert all({"time", "level", "logger"} <= line.keys() for line in lines)
    (logged,) = [line for line in lines if line.get("route") == "/v1/match"]
    assert {line["logger"] for line in lines} == {"uvicorn.error", "drawbar_service.access"}
    assert {path for path, _ in collector.taken} == {"/v1/traces"}
    resources = [one for _, request in collector.taken for one in request.resource_spans]
    names = {pair.value.string_value for pair in resources[0].resource.attributes if pair.key == "service.name"}
    assert names == {"mill"}
    spans = [span for one in resources for scope in one.scope_spans for span in scope.spans]
    assert {"POST /v1/match", "compute match", "GET /livez"} <= {span.name for span in spans}
    assert {span.trace_id.hex() for span in spans if span.name == "compute match"} == {logged["trace_id"]}


def test_what_is_off_is_not_loaded() -> None:
    # The framework itself looks for names of attributes in opentelemetry.semconv, if that is installed.
    told = subprocess.run(
        [
            *(sys.executable, "-c"),
            "import sys; from drawbar_service.app import create_app; create_app(); print(*sys.modules)",
        ],
        env=environment(),
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = set(told.stdout.split())
    assert "drawbar_service.observability" in loaded
    heavy = ("prometheus_client", "opentelemetry.sdk", "opentelemetry.trace", "opentelemetry.exporter")
    assert not [name for name in loaded if name.startswith(heavy)]


def test_a_missing_extra_ends_it_with_code_2(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "prometheus_client", None)
    monkeypatch.setattr(sys, "argv", ["drawbar_service"])
    monkeypatch.setenv("DRAWBAR_METRICS", "true")
    assert main() == 2
    errors = capsys.readouterr().err
    assert errors.count("\n") == 1
    assert "pip install './service[metrics]'" in errors
