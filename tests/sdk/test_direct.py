"""In process a calculation is answered without the framework, and exactly as the application answers it."""

import subprocess
import sys

import msgspec
import pytest
from litestar.testing import TestClient

import drawbar
from drawbar._calculations import MATCH
from drawbar._wire import Operation
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.lookup import calculation_at
from drawbar_service.app import create_app
from drawbar_service.direct import Direct, in_process_app
from drawbar_service.settings import Settings

BY_NAME = {one.name: one for one in CALCULATIONS}
EXAMPLE = BY_NAME["match"].example
ID = {"X-Request-ID": "the-same-for-both"}


@pytest.fixture(scope="module")
def both():
    with TestClient(Direct(Settings())) as direct, TestClient(create_app(Settings())) as whole:
        yield direct, whole


def same(both, path, headers=(), **sent):
    """Send a request both ways, compare status, headers and body, and return the answer."""
    replies = [one.post(path, headers={"Accept-Encoding": "identity", **ID, **dict(headers)}, **sent) for one in both]
    first, second = ((one.status_code, sorted(one.headers.multi_items()), one.content) for one in replies)
    assert first == second
    return replies[0]


@pytest.mark.parametrize("name", BY_NAME)
@pytest.mark.parametrize("query", ["", "?units=us", "?about=none&digits=3"])
def test_every_worked_request(both, name, query):
    assert same(both, BY_NAME[name].path + query, json=BY_NAME[name].example).status_code == 200


@pytest.mark.parametrize("name", BY_NAME)
def test_every_worked_request_as_messagepack(both, name):
    kinds = {"Content-Type": "application/msgpack", "Accept": "application/msgpack"}
    reply = same(both, BY_NAME[name].path, kinds, content=msgspec.msgpack.encode(BY_NAME[name].example))
    assert reply.status_code == 200


@pytest.mark.parametrize(
    ("status", "path", "sent"),
    [
        (200, "/v1/match?fields=/verdict,/fuel/per_area", {"json": EXAMPLE}),
        (422, "/v1/match?fields=/verdit", {"json": EXAMPLE}),
        (422, "/v1/match?unit=us", {"json": EXAMPLE}),
        (422, "/v1/match", {"json": {**EXAMPLE, "speed": "8 km", "sped": 1}}),
        (422, "/v1/match", {"json": {}}),
        (400, "/v1/match", {"content": b"{", "headers": {"Content-Type": "application/json"}}),
        (415, "/v1/match", {"content": b"{}", "headers": {"Content-Type": "text/html"}}),
        (415, "/v1/match", {"content": b"{}", "headers": {"Content-Encoding": "gzip"}}),
        (406, "/v1/match", {"json": EXAMPLE, "headers": {"Accept": "image/png"}}),
        (413, "/v1/match", {"content": b" " * 70_000, "headers": {"Content-Type": "application/json"}}),
        (404, "/v1/nothing", {"json": {}}),
        (422, "/v1/match/", {"json": {}}),
        (404, "/v1/curves", {"json": {}}),
        (200, "/v1/curves/fit-map", {"json": EXAMPLE}),
        (200, "/v1/sheet", {"json": EXAMPLE, "headers": {"Accept": "text/html"}}),
        (404, "/v1/batch/nothing", {"json": {}}),
        (200, "/v1/batch/match", {"json": {"scenario": EXAMPLE, "vary": {"/speed": ["7 km/h", "8 km/h", "9 in"]}}}),
        (422, "/v1/batch/match", {"json": {"scenario": EXAMPLE, "vary": {"/sped": ["7 km/h"]}}}),
    ],
)
def test_faults_batches_and_what_else_there_is(both, status, path, sent):
    reply = same(both, path, **sent)
    assert reply.status_code == status
    if reply.status_code >= 400:
        assert reply.headers["content-type"] == "application/problem+json"


def test_a_failure_of_the_service_is_said_as_the_application_says_it(both, monkeypatch):
    monkeypatch.setattr("drawbar_service.answering.write", lambda *_: 1 // 0)
    assert same(both, "/v1/match", json=EXAMPLE).status_code == 500


def test_each_calculation_is_found_by_its_path_alone():
    assert [calculation_at(one.path) for one in CALCULATIONS] == list(CALCULATIONS)
    for path in (*(one.path for one in SHOWN), "/v1/match/", "/v1/batch", "/v1/", "/v1/..", "/v2/match", "/match"):
        assert calculation_at(path) is None


def test_other_settings_than_the_usual_take_the_application(monkeypatch):
    assert isinstance(in_process_app(), Direct)
    monkeypatch.setenv("DRAWBAR_ACCESS_LOG", "true")
    assert not isinstance(in_process_app(), Direct)


def test_the_client_gets_the_same_either_way():
    with drawbar.Client.in_process() as direct, drawbar.Client.in_process(create_app(Settings())) as whole:
        raw = Operation(MATCH.method, MATCH.path, bytes)
        assert direct._call(raw, EXAMPLE) == whole._call(raw, EXAMPLE)
        faults = []
        for client in (direct, whole):
            with pytest.raises(drawbar.ImpossibleInput) as caught:
                client.match({**EXAMPLE, "speed": "8 km"})
            faults.append((caught.value.problem.detail, caught.value.problem.errors))
        assert faults[0] == faults[1]
        batches = [client.batch("match", EXAMPLE, {"/speed": ["7 km/h", "8 km/h"]}) for client in (direct, whole)]
        assert batches[0].columns == batches[1].columns


NOT_LOADED = ("anyio", "httptools", "litestar", "matplotlib", "pint", "pyproj", "scipy", "shapely", "uvicorn", "uvloop")


def test_computing_loads_no_framework_no_server_and_no_scipy():
    script = f"""
import sys
import drawbar
with drawbar.Client.in_process() as client:
    client.match({EXAMPLE!r})
    try:
        client.draft({{}})
    except drawbar.ImpossibleInput as fault:
        assert fault.problem.errors
print(*sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    loaded = {name.partition(".")[0] for name in done.stdout.split()}
    assert "drawbar_service" in loaded
    assert loaded.isdisjoint(NOT_LOADED)
