"""The service as a process of its own, asked over a loopback port."""

import resource
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any

import msgspec
import pytest
from tests.faults.processes import PATIENCE, environment, free_port, raw, running, send, start, wait_for


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    port = free_port()
    process = start(port=str(port))
    try:
        wait_for(port, process)
        yield port
    finally:
        process.kill()
        process.communicate()


def test_it_answers_as_it_does_without_a_network(port: int, ask: Any, match_body: bytes) -> None:
    for query in ("", "units=us"):
        status, headers, body = send(
            port, "POST", f"/v1/match?{query}".rstrip("?"), match_body, {"Content-Type": "application/json"}
        )
        here = ask("POST", "/v1/match", match_body, [("content-type", b"application/json")], query.encode())
        assert status == 200
        assert body == here.body
        assert headers["etag"] == here.headers["etag"]


def test_it_does_not_say_what_it_runs_on(port: int) -> None:
    for path in ("/version", "/docs", "/nowhere"):
        _, headers, body = send(port, "GET", path)
        assert "server" not in headers
        assert b"uvicorn" not in body.lower()
        assert b"litestar" not in body.lower()


def test_head_carries_headers_and_no_body(port: int) -> None:
    _, read, body = send(port, "GET", "/v1/sources")
    status, head, nothing = send(port, "HEAD", "/v1/sources")
    assert (status, nothing) == (200, b"")
    assert head["content-length"] == read["content-length"] == str(len(body))


@pytest.mark.parametrize(
    "path", ["/%", "/%zz", "/%00", "/%ff", "/v1/reference/%F0%28", "/v1/reference/%2e%2e", "/a%2Fb"]
)
def test_percent_signs_in_a_path_lead_nowhere(port: int, path: str) -> None:
    status, headers, body = send(port, "GET", path)
    assert status == 404
    assert msgspec.json.decode(body)["instance"] == headers["x-request-id"]


def test_a_body_too_big_is_refused_without_being_read(port: int) -> None:
    answer = raw(
        port,
        b"POST /v1/match HTTP/1.1\r\nHost: farm.test\r\nContent-Type: application/json\r\nContent-Length: 99999999\r\n"
        b"Connection: close\r\n\r\n{}",
    )
    assert answer.startswith(b"HTTP/1.1 413 ")


def test_a_chunked_body_too_big_is_refused(port: int) -> None:
    chunk = b"3e8\r\n" + b" " * 1_000 + b"\r\n"
    answer = raw(
        port,
        b"POST /v1/match HTTP/1.1\r\nHost: farm.test\r\nTransfer-Encoding: chunked\r\nConnection: close\r\n\r\n"
        + chunk * 70
        + b"0\r\n\r\n",
    )
    assert answer.startswith(b"HTTP/1.1 413 ")


@pytest.mark.parametrize(
    "text",
    [
        b"\x00\x01\x02\x03",
        b"PLOUGH\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"POST /v1/match HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n",
        b"POST /v1/match HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n{}",
        b"POST /v1/match HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
        b"GET /version HTTP/1.1\r\nHost: x\r\nX-Long: " + b"a" * 200_000 + b"\r\n\r\n",
    ],
    ids=range(7),
)
def test_what_is_no_http_does_no_harm(port: int, text: bytes) -> None:
    try:
        answer = raw(port, text)
    except ConnectionError:
        answer = b""
    assert b"Traceback" not in answer
    assert not answer.startswith(b"HTTP/1.1 5")
    assert send(port, "GET", "/readyz")[0] == 200


@pytest.mark.parametrize("line", [b"X-Long: ", b"GET /", b"X-Many: 1\r\n"])
def test_a_head_without_end_is_cut_off(port: int, line: bytes) -> None:
    answer = b""
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as link:
        try:
            link.sendall(line if line.startswith(b"GET") else b"GET /version HTTP/1.1\r\nHost: x\r\n" + line)
            for _ in range(1_000):
                link.sendall(line * 1_000 if b"\n" in line else b"a" * 10_000)
            raise AssertionError("ten million bytes and more were taken")
        except ConnectionError:
            try:
                answer = link.recv(65_536)
            except ConnectionError:
                answer = b""  # reset before it could be read
    assert answer[:12] in (b"", b"HTTP/1.1 431")
    assert send(port, "GET", "/readyz")[0] == 200


@pytest.mark.parametrize(("size", "status"), [(60_000, b"200"), (70_000, b"431"), (200_000, b"431")])
def test_a_head_that_comes_at_once_is_held_to_the_same_length(port: int, size: int, status: bytes) -> None:
    head = b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\nX-Long: " + b"a" * size + b"\r\n\r\n"
    assert raw(port, head)[9:12] == status


def test_a_request_for_a_tunnel_is_refused_and_raises_nothing() -> None:
    with running(log_format="text") as (port, process):
        assert raw(port, b"CONNECT farm.test:443 HTTP/1.1\r\nHost: x\r\n\r\n")[9:12] == b"400"
        process.terminate()
        said = process.communicate(timeout=PATIENCE)[1]
    assert "Fatal error" not in said
    assert "Traceback" not in said


def test_at_the_limit_of_open_files_the_log_says_so() -> None:
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "drawbar_service"],
        env=environment(port=str(port), log_format="text"),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_NOFILE, (96, 96)),
    )
    try:
        wait_for(port, process)
        with ExitStack() as stack:
            for _ in range(40):
                stack.enter_context(socket.create_connection(("127.0.0.1", port), timeout=PATIENCE))
            time.sleep(0.5)
        process.terminate()
        said = process.communicate(timeout=PATIENCE)[1]
    finally:
        process.kill()
    assert "and 96 files may be: raise the limit of open files" in said


def test_a_caller_who_hangs_up_does_no_harm(port: int) -> None:
    for _ in range(20):
        with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as link:
            link.sendall(b"POST /v1/match HTTP/1.1\r\nHost: x\r\nContent-Length: 500\r\n\r\n{")
    assert send(port, "GET", "/readyz")[0] == 200


def test_asked_to_stop_it_stops_with_code_0() -> None:
    port = free_port()
    process = start(port=str(port))
    try:
        wait_for(port, process)
        process.send_signal(signal.SIGTERM)
        _, errors = process.communicate(timeout=PATIENCE)
    finally:
        process.kill()
    assert process.returncode == 0
    assert "Traceback" not in errors
    with pytest.raises(ConnectionRefusedError):
        send(port, "GET", "/readyz")


@pytest.mark.parametrize(("host", "warned"), [("0.0.0.0", True), ("127.0.0.1", False)])
def test_it_says_at_start_that_anybody_may_call(host: str, warned: bool) -> None:
    port = free_port()
    process = start(port=str(port), host=host)
    try:
        wait_for(port, process)
        process.send_signal(signal.SIGTERM)
        _, errors = process.communicate(timeout=PATIENCE)
    finally:
        process.kill()
    assert ("without keys: whoever reaches it can call" in errors) == warned


@pytest.mark.parametrize(
    "settings", [{"port": "0"}, {"port": "none"}, {"port": "65536"}, {"max_body_bytes": "-1"}, {"max_body_bytes": ""}]
)
def test_a_bad_setting_ends_with_code_2_and_a_sentence(settings: dict[str, str]) -> None:
    process = start(**settings)
    output, errors = process.communicate(timeout=PATIENCE)
    ((name, value),) = settings.items()
    assert process.returncode == 2
    assert output == ""
    assert errors.startswith(f"DRAWBAR_{name.upper()}={value!r}: ")
    assert errors.count("\n") == 1


def test_help_and_wrong_arguments_do_not_start_it():
    shown = subprocess.run([sys.executable, "-m", "drawbar_service", "--help"], capture_output=True, text=True)
    assert shown.returncode == 0
    assert "--port" in shown.stdout
    wrong = subprocess.run(
        [sys.executable, "-m", "drawbar_service", "--port", "eighty"], capture_output=True, text=True
    )
    assert wrong.returncode == 2
    assert "eighty" in wrong.stderr


def test_what_is_made_at_start_is_not_searched_for_garbage():
    # A full collection of all of it stops everybody for some 50 ms; what is searched now takes next to none.
    code = (
        "import gc; from drawbar_service.app import warm_up; warm_up(); "
        "print(len(gc.get_objects()), gc.get_freeze_count())"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    searched, left_alone = map(int, shown.stdout.split())
    assert left_alone > 100_000
    assert searched < left_alone / 100
