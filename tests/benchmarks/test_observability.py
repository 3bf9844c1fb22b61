"""What seeing inside costs each request, over a service that nothing watches.

    python3 deploy/local.py bench tests/benchmarks/test_observability.py -s

The same match is asked over ASGI, in one process. Services take turns, and the least processor time of each counts: of
all threads, so that sending spans is in it, and what else the machine does is not. Lines of log go to a file. Spans are
encoded as they would be sent, and dropped. A batch of matches and a scrape are timed as well.
"""

import asyncio
import logging
import tempfile
import time
from collections.abc import Sequence
from typing import Any

import msgspec
from opentelemetry.exporter.otlp.proto.common.trace_encoder import encode_spans
from opentelemetry.sdk.trace import ReadableSpan
from opentelemetry.sdk.trace.export import SpanExporter, SpanExportResult

from drawbar_service.api.v1.match import MATCH
from drawbar_service.app import create_app
from drawbar_service.observability import traces
from drawbar_service.observability.logs import JsonFormatter
from drawbar_service.settings import Settings

REQUESTS = 100
ROUNDS = 60
ROWS = 500_000
BODY = msgspec.json.encode(MATCH.example)
BATCH = msgspec.json.encode(
    {
        "scenario": dict(MATCH.example),
        "vary": {"/speed": {"unit": "km/h", "first": 4, "last": 12, "count": ROWS}},
        "columns": ["/verdict/fits"],
    }
)
HEADERS = [(b"host", b"farm.test"), (b"content-type", b"application/json")]
PARENT = b"00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-"
SETTINGS: dict[str, dict[str, Any]] = {
    "off": {},
    "off, once more": {},
    "access log": {"access_log": True},
    "metrics": {"metrics": True},
    "access log and metrics": {"access_log": True, "metrics": True},
    "traces, caller does not sample": {"traces": True},
    "traces": {"traces": True},
    "everything": {"access_log": True, "metrics": True, "traces": True},
}


class Dropped(SpanExporter):
    def export(self, spans: Sequence[ReadableSpan]) -> SpanExportResult:
        assert encode_spans(spans).SerializeToString()
        return SpanExportResult.SUCCESS

    def shutdown(self) -> None:
        """Nothing is held."""


async def ask(app: Any, method: str, path: str, body: bytes = b"", headers: Sequence[tuple[bytes, bytes]] = ()) -> int:
    parts = [{"type": "http.request", "body": body, "more_body": False}]
    forever = asyncio.Event()
    status = size = 0

    async def receive() -> dict[str, Any]:
        if not parts:
            await forever.wait()
        return parts.pop()

    async def send(message: dict[str, Any]) -> None:
        nonlocal status, size
        status = message.get("status", status)
        size += len(message.get("body", b""))

    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "scheme": "http",
        "path": path, "root_path": "", "query_string": b"", "headers": [*HEADERS, *headers], "state": {},
    }  # fmt: skip
    await app(scope, receive, send)
    assert status == 200
    return size


async def seconds_each(app: Any, times: int, *asked: Any) -> float:
    started = time.process_time()
    for _ in range(times):
        await ask(app, *asked)
    return (time.process_time() - started) / times


async def measure() -> dict[str, tuple[float, float]]:
    apps = {name: create_app(Settings(**settings)) for name, settings in SETTINGS.items()}
    single: dict[str, list[float]] = {name: [] for name in apps}
    batch: dict[str, list[float]] = {name: [] for name in apps}
    for turn in range(ROUNDS):
        for name, app in apps.items():
            parent = [(b"traceparent", PARENT + (b"00" if "not sample" in name else b"01"))]
            single[name].append(await seconds_each(app, REQUESTS, "POST", "/v1/match", BODY, parent))
            if turn % 10 == 0:
                batch[name].append(await seconds_each(app, 1, "POST", "/v1/batch/match", BATCH, parent))
    scrape = min([await seconds_each(apps["everything"], 1, "GET", "/metrics") for _ in range(20)])
    size = await ask(apps["everything"], "GET", "/metrics")
    print(f"\na scrape of {size / 1e3:.0f} kB takes {scrape * 1e3:.1f} ms")
    return {name: (min(single[name]), min(batch[name])) for name in apps}


def test_what_seeing_costs(capsys, monkeypatch):
    monkeypatch.setattr(traces, "OTLPSpanExporter", Dropped)
    # Less than a turn brings, so that each turn has its share of sending.
    monkeypatch.setenv("OTEL_BSP_MAX_EXPORT_BATCH_SIZE", "64")
    log = logging.getLogger("drawbar_service")
    with tempfile.TemporaryFile("w") as file, capsys.disabled():
        handler = logging.StreamHandler(file)
        handler.setFormatter(JsonFormatter())
        log.addHandler(handler)
        log.setLevel(logging.INFO)
        log.propagate = False
        try:
            found = asyncio.run(measure())
        finally:
            log.removeHandler(handler)
            log.setLevel(logging.NOTSET)
            log.propagate = True
        least, least_batch = found["off"]
        print(f"{'':32s} {'a match':>9s} {'more':>9s} {'ratio':>6s}   {f'{ROWS} rows':>12s} {'ratio':>6s}")
        for name, (one, rows) in found.items():
            more = (one - least) * 1e6
            print(
                f"{name:32s} {one * 1e6:6.1f} us {more:6.1f} us {one / least:6.3f}   "
                f"{rows * 1e3:9.0f} ms {rows / least_batch:6.3f}"
            )
    assert all(one > 0 for one, _ in found.values())
