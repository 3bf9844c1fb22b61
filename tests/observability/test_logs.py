"""What is logged, in what form, and what never is."""

import io
import logging
import sys
from datetime import UTC, datetime
from typing import Any

import msgspec
import pytest
from tests.observability.conftest import SECRET, SECRET_HEADERS

from drawbar_service import app as application
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.observability import check_extras, configure_logging, observe
from drawbar_service.observability.logs import AccessLine, AccessLog, JsonFormatter, TextFormatter, trace_id_of
from drawbar_service.observability.witness import Served
from drawbar_service.settings import BadSettings, Settings, read_settings

TRACE = "0af7651916cd43dd8448eb211c80319c"
PARENT = f"00-{TRACE}-b7ad6b7169203331-01"
AS_JSON = ("content-type", b"application/json")


def test_an_access_line_says_what_happened_and_nothing_else(build, logged, match_body: bytes) -> None:
    headers = [AS_JSON, ("x-request-id", b"stubble-0001"), ("traceparent", PARENT.encode()), *SECRET_HEADERS]
    reply = build(access_log=True)("POST", "/v1/match", match_body, headers, b"units=us")
    (line,) = logged()
    duration, time = line.pop("duration_ms"), line.pop("time")
    assert line == {
        "level": "info",
        "logger": "drawbar_service.access",
        "request_id": "stubble-0001",
        "method": "POST",
        "route": "/v1/match",
        "status": 200,
        "bytes": len(reply.body),
        "trace_id": TRACE,
    }
    assert duration > 0
    assert time.endswith("Z")


@pytest.mark.parametrize(
    ("method", "path", "route", "status"),
    [
        ("GET", f"/v1/reference/{SECRET}", "/v1/reference/{table}", 404),
        ("GET", f"/{SECRET}", "unmatched", 404),
        ("GET", "/v1/match", "unmatched", 405),
        (SECRET.upper(), "/v1/match", "unmatched", 405),
        ("POST", f"/v1/batch/{SECRET}", "/v1/batch/{calculation}", 404),
        ("POST", "/v1/match", "/v1/match", 422),
    ],
)
def test_text_of_the_caller_is_not_logged(build, logged, method: str, path: str, route: str, status: int) -> None:
    body = f'{{"{SECRET}": "{SECRET}"}}'.encode()
    headers = [AS_JSON, *SECRET_HEADERS, ("x-request-id", f"{SECRET}!".encode()), ("traceparent", SECRET.encode())]
    build(access_log=True)(method, path, body, headers, f"{SECRET}={SECRET}".encode())
    (line,) = logged()
    assert (line["route"], line["status"]) == (route, status)
    assert SECRET not in str(line).lower()


def test_the_id_of_a_key_is_logged(logged) -> None:
    asked = {"state": {"client": "mill-farm", "request_id": "stubble-0001"}, "headers": []}
    AccessLog().end(None, Served(asked, "POST", "/v1/match", 0, 0.0015, 7, whole=False, failed=False))
    (line,) = logged()
    assert line["client"] == "mill-farm"
    assert line["status"] is None
    assert line["whole"] is False


NOW = datetime(2026, 9, 1, 6, 14, tzinfo=UTC)


def test_an_access_line_as_text() -> None:
    head = (NOW, "info", "drawbar_service.access")
    line = AccessLine(*head, "stubble-0001", "POST", "/v1/match", 200, 0.25, 6226, client="mill-farm", trace_id=TRACE)
    assert str(line) == f"POST /v1/match 200 0.25 ms 6226 bytes request stubble-0001 client mill-farm trace {TRACE}"
    cut = AccessLine(*head, "", "GET", "/", None, 0.25, 0, whole=False)
    assert str(cut) == "GET / - 0.25 ms 0 bytes broken off"


@pytest.mark.parametrize("text", [PARENT, PARENT.replace("00-", "cc-", 1), f"cc{PARENT[2:]}-more"])
def test_a_trace_id_is_read(text: str) -> None:
    assert trace_id_of({"headers": [(b"traceparent", text.encode())]}) == TRACE


@pytest.mark.parametrize(
    "text",
    [
        "",
        PARENT.upper(),
        f"ff{PARENT[2:]}",
        f"{PARENT}-more",
        f"{PARENT} ",
        f"{PARENT}\n",
        PARENT.replace(TRACE, "0" * 32),
        PARENT.replace("b7ad6b7169203331", "0" * 16),
        PARENT[:-1],
        "cc" + PARENT[2:] + "-" + "a" * 500,
    ],
)
def test_what_is_no_trace_parent_is_not_read(text: str) -> None:
    assert trace_id_of({"headers": [(b"traceparent", text.encode())]}) == ""


def test_two_trace_parents_are_none() -> None:
    assert trace_id_of({"headers": [(b"traceparent", PARENT.encode())] * 2}) == ""


FORGED = "gone\n2026-09-01 06:00:00,000 INFO drawbar_service: all is well\r\x1b[2J\u2028\u202e \ud800"


def record(message: str, **more: Any) -> logging.LogRecord:
    return logging.getLogger("trial").makeRecord("trial", logging.ERROR, "", 0, message, (), None, **more)


def test_no_message_passes_for_a_line_of_its_own() -> None:
    text = TextFormatter().format(record(FORGED))
    first, second = text.split("\n")
    assert first.endswith("ERROR trial: gone")
    assert second == "    2026-09-01 06:00:00,000 INFO drawbar_service: all is well\\r\\x1b[2J\\u2028\\u202e \ud800"
    line = JsonFormatter().format(record(FORGED, extra={"request_id": "stubble-0001"}))
    assert "\n" not in line
    told = msgspec.json.decode(line)
    assert told["message"] == FORGED.replace("\ud800", "\\ud800")
    assert told["request_id"] == "stubble-0001"


def test_a_failure_is_one_line_with_its_request_id(build, logged, monkeypatch) -> None:
    def fails() -> str:
        raise RuntimeError("no slip\n" * 100)

    monkeypatch.setattr(application, "self_check", fails)
    reply = build(access_log=True)("GET", "/readyz")
    failure, access = logged()
    assert reply.status == access["status"] == 500
    assert failure["level"] == "error"
    assert failure["request_id"] == access["request_id"] == reply.headers["x-request-id"]
    assert failure["exception"]["type"] == "builtins.RuntimeError"
    assert len(failure["exception"]["reason"]) == 200
    assert failure["exception"]["where"][-1].endswith("fails")


def test_the_access_log_can_be_silenced_by_level(build, logged) -> None:
    logging.getLogger("drawbar_service").setLevel(logging.WARNING)
    build(access_log=True)("GET", "/livez")
    assert logged() == []


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("form", "stream", "as_json"),
    [
        ("auto", Terminal(), False),
        ("auto", io.StringIO(), True),
        ("text", io.StringIO(), False),
        ("json", Terminal(), True),
    ],
)
def test_the_form_follows_the_setting(monkeypatch, form: Any, stream: io.StringIO, as_json: bool) -> None:
    root = logging.getLogger()
    monkeypatch.setattr(root, "handlers", [])
    monkeypatch.setattr(sys, "stderr", stream)
    level = root.level
    try:
        configure_logging(Settings(log_format=form, log_level="warning"))
        logging.getLogger("trial").warning("slip")
        logging.getLogger("trial").info("not said")
    finally:
        logging.captureWarnings(False)
        root.setLevel(level)
    (line,) = stream.getvalue().splitlines()
    assert line.startswith("{") == as_json
    assert "slip" in line


@pytest.mark.parametrize(("name", "text"), [("LOG_FORMAT", "xml"), ("LOG_LEVEL", "loud"), ("ACCESS_LOG", "perhaps")])
def test_a_setting_that_cannot_be_is_told(name: str, text: str) -> None:
    with pytest.raises(BadSettings, match=f"DRAWBAR_{name}='{text}'"):
        read_settings({f"DRAWBAR_{name}": text})


def test_settings_are_read() -> None:
    settings = read_settings({"DRAWBAR_ACCESS_LOG": "true", "DRAWBAR_METRICS": "1", "DRAWBAR_METRICS_PORT": "9464"})
    assert (settings.access_log, settings.metrics, settings.metrics_port, settings.traces) == (True, True, 9464, False)


@pytest.mark.parametrize(("extra", "module"), [("metrics", "prometheus_client"), ("traces", "opentelemetry.sdk")])
def test_a_missing_extra_says_which_to_install(monkeypatch, extra: str, module: str) -> None:
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(BadSettings, match=rf"DRAWBAR_{extra.upper()} .* './service\[{extra}\]'"):
        check_extras(Settings(**{extra: True}))


def test_what_is_off_is_not_in_the_way() -> None:
    off = observe(Settings())
    router: Any = object()
    assert off.around(router) is router
    assert all(one is other for one, other in zip(off.watched(CALCULATIONS), CALCULATIONS, strict=True))
    assert off.watch("match") is None
    assert [*off.routes, *off.on_startup, *off.on_shutdown] == []


def test_a_head_has_no_bytes(build, logged) -> None:
    build(access_log=True)("HEAD", "/livez")
    (line,) = logged()
    assert (line["method"], line["bytes"]) == ("HEAD", 0)
