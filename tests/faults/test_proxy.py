"""Two replicas behind nginx with deploy/nginx.conf: replicas die, stop and come back, and callers see none of it."""

import json
import re
import shutil
import signal
import socket
from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any

import msgspec
import pytest
from tests.faults.processes import (
    PATIENCE,
    ROOT,
    Callers,
    connections,
    free_port,
    proxy,
    running,
    send,
    start,
    taken,
    until,
    wait_for,
)

from drawbar_service.api.problems import KINDS
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.settings import Settings

NGINX = shutil.which("nginx")
pytestmark = pytest.mark.skipif(NGINX is None, reason="needs nginx: apt install nginx-light")
AS_JSON = {"Content-Type": "application/json"}
DRAIN = "1"


class Farm:
    """Two replicas behind nginx."""

    def __init__(self, stack: ExitStack) -> None:
        self._stack = stack
        self.ports = [free_port(), free_port()]
        self.processes = [self._start(port) for port in self.ports]
        for port, process in zip(self.ports, self.processes, strict=True):
            wait_for(port, process)
        self.port = stack.enter_context(proxy(str(NGINX), self.ports))

    def _start(self, port: int) -> Any:
        process = start(port=str(port), drain_seconds=DRAIN)
        self._stack.callback(lambda: (process.kill(), process.communicate()))
        return process

    def begin_again(self, which: int) -> None:
        """Start a replica anew and wait until nginx asks it, which it does two seconds after the last failure."""
        process = self.processes[which] = self._start(self.ports[which])
        wait_for(self.ports[which], process)
        unasked = connections(process)
        until(lambda: connections(process) > unasked, "a connection from nginx, which it keeps")

    def stop(self, which: int, by: signal.Signals) -> tuple[int, str]:
        """Return the exit code and what was logged."""
        process = self.processes[which]
        process.send_signal(by)
        _, errors = process.communicate(timeout=PATIENCE)
        return process.returncode, errors


@pytest.fixture(scope="module")
def farm() -> Iterator[Farm]:
    with ExitStack() as stack:
        yield Farm(stack)


def restart_under_load(farm: Farm, body: bytes, rounds: int) -> None:
    with Callers(farm.port, body) as callers:
        for number in range(rounds):
            code, errors = farm.stop(number % 2, signal.SIGTERM)
            assert code == 0
            assert "draining" in errors
            assert "Traceback" not in errors
            assert "Cancel" not in errors, "requests under way were cut off"
            callers.wait_for_more(50)
            farm.begin_again(number % 2)
            callers.wait_for_more(50)
    assert callers.failures == {}


def kill_under_load(farm: Farm, body: bytes, rounds: int) -> None:
    with Callers(farm.port, body) as callers:
        for number in range(rounds):
            code, _ = farm.stop(number % 2, signal.SIGKILL)
            assert code == -signal.SIGKILL
            callers.wait_for_more(200)
            farm.begin_again(number % 2)
            callers.wait_for_more(50)
    assert callers.failures == {}


def test_replicas_restarted_under_load_fail_no_request(farm: Farm, match_body: bytes) -> None:
    restart_under_load(farm, match_body, 1)


def test_a_replica_killed_under_load_fails_no_request(farm: Farm, match_body: bytes) -> None:
    kill_under_load(farm, match_body, 1)


@pytest.mark.nightly
def test_twenty_restarts_and_twenty_kills_under_load_fail_no_request(farm: Farm, match_body: bytes) -> None:
    restart_under_load(farm, match_body, 20)
    kill_under_load(farm, match_body, 20)


def test_answers_come_through_as_they_are(farm: Farm, match_body: bytes) -> None:
    status, headers, body = send(farm.port, "POST", "/v1/match", match_body, AS_JSON)
    _, direct, same = send(farm.ports[0], "POST", "/v1/match", match_body, AS_JSON)
    assert (status, body, headers["etag"]) == (200, same, direct["etag"])
    packed = send(farm.port, "GET", "/docs", headers={"Accept-Encoding": "gzip"})
    assert packed[1]["content-encoding"] == "gzip"
    assert packed[2] == send(farm.ports[0], "GET", "/docs", headers={"Accept-Encoding": "gzip"})[2]
    _, headers, _ = send(farm.port, "GET", "/version", headers={"X-Request-ID": "row-0815"})
    assert headers["x-request-id"] == "row-0815"
    assert headers["server"] == "nginx"


def test_counts_are_not_shown_outside(farm: Farm) -> None:
    assert send(farm.port, "GET", "/metrics")[0] == 404


def test_a_body_too_big_is_refused_as_the_service_would(farm: Farm) -> None:
    big = b" " * (Settings().max_body_bytes + 1)
    status, headers, body = send(farm.port, "POST", "/v1/match", big, AS_JSON)
    direct, theirs, expected = send(farm.ports[0], "POST", "/v1/match", big, AS_JSON)
    assert status == direct == 413
    ours, direct_problem = msgspec.json.decode(body), msgspec.json.decode(expected)
    assert ours.pop("instance") == headers["x-request-id"]
    assert direct_problem.pop("instance") == theirs["x-request-id"]
    assert ours == direct_problem
    named = set(theirs) - {"date", "content-length", "connection"}
    assert {name: headers[name] for name in named - {"x-request-id"}} == {
        name: theirs[name] for name in named - {"x-request-id"}
    }
    assert send(farm.port, "POST", "/v1/match", big[1:], AS_JSON)[0] == 400, "the service's limit is nginx's"


def test_limits_and_times_of_the_proxy_fit_those_of_the_service() -> None:
    text = (ROOT / "deploy/nginx.conf").read_text("utf-8")
    settings = Settings()

    def bytes_of(number: str, unit: str) -> int:
        return int(number) * {"k": 2**10, "g": 2**30}[unit]

    sizes = [bytes_of(*found) for found in re.findall(r"client_max_body_size (\d+)([kg]);", text)]
    assert sizes == [settings.max_body_bytes, settings.batch_stream_bytes]
    upstream = text[text.index("upstream drawbar {") : text.index("map ")]
    (kept,) = re.findall(r"keepalive_timeout (\d+)s;", upstream)
    assert int(kept) < settings.keep_alive
    assert text.count(f"client_body_timeout {settings.body_patience}s;") == 1
    assert text.count(f"client_body_timeout {settings.batch_patience}s;") == 1


def test_a_batch_passes_through_as_it_comes(farm: Farm) -> None:
    table = f"#{json.dumps({'scenario': dict(FIELD_CAPACITY.example)})}\n/speed [km/h]\n".encode() + b"7\n" * 60_000
    head = (
        b"POST /v1/batch/field-capacity HTTP/1.1\r\nHost: farm.test\r\nContent-Type: text/csv\r\nAccept: text/csv\r\n"
        b"Connection: close\r\nTransfer-Encoding: chunked\r\n\r\n"
    )
    with socket.create_connection(("127.0.0.1", farm.port), timeout=PATIENCE) as link:
        link.sendall(head + b"%x\r\n" % len(table) + table + b"\r\n")
        begun = b""
        # Had the body or the answer been gathered first, there would be nothing to read before the body ends.
        while begun.count(b"\r\n") < 1_000:
            part = link.recv(65_536)
            assert part, begun[:500]
            begun += part
        assert begun.startswith(b"HTTP/1.1 200 ")
        link.sendall(b"0\r\n\r\n")
        assert taken(link).endswith(b"\r\n0\r\n\r\n")


def test_without_replicas_callers_are_told_to_come_back() -> None:
    with running() as (port, process), proxy(str(NGINX), [port, free_port()]) as front:
        process.kill()
        process.wait(PATIENCE)
        status, headers, body = send(front, "GET", "/version", headers={"X-Request-ID": "row-0815"})
    problem = msgspec.json.decode(body)
    assert (status, headers["content-type"]) == (503, "application/problem+json")
    assert int(headers["retry-after"]) > 0
    assert (problem["type"], problem["title"]) == (f"/docs/problems#{KINDS[503].name}", KINDS[503].title)
    assert (problem["status"], problem["instance"]) == (503, "row-0815")
