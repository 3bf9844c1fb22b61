"""Callers who are slow, stop half way, or ask for trouble: they are let go, nothing stays behind, others are served."""

import gzip
import signal
import socket
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from tests.faults.processes import PATIENCE, Callers, descriptors, raw, running, send, taken, until

HEAD = b"POST /v1/match HTTP/1.1\r\nHost: farm.test\r\nContent-Type: application/json\r\n"
MANY = 20
Service = tuple[int, subprocess.Popen[str]]


@pytest.fixture(scope="module")
def service() -> Iterator[Service]:
    """A service with little patience."""
    with running(head_patience="2", body_patience="1", keep_alive="2", batch_patience="1") as (port, process):
        yield port, process


def dribbled(link: socket.socket, pieces: bytes) -> bytes:
    """Send a byte now and then until the other side has had enough, and return what it says."""
    over = threading.Event()

    def send_on() -> None:
        for piece in pieces:
            try:
                link.sendall(bytes([piece]))
            except OSError:
                return
            if over.wait(0.05):
                return

    thread = threading.Thread(target=send_on)
    thread.start()
    answer = b""
    try:
        while part := link.recv(65_536):
            answer += part
    except ConnectionResetError:
        pass  # it closed while a byte was on its way
    finally:
        over.set()
        thread.join(PATIENCE)
    return answer


def slow_head(link: socket.socket) -> None:
    assert dribbled(link, HEAD * 10).startswith(b"HTTP/1.1 408 ")


def silent(link: socket.socket) -> None:
    assert taken(link) == b""


def head_that_stops(link: socket.socket) -> None:
    link.sendall(HEAD)
    assert taken(link).startswith(b"HTTP/1.1 408 ")


def slow_body(link: socket.socket) -> None:
    link.sendall(HEAD + b"Content-Length: 5000\r\n\r\n")
    answer = dribbled(link, b" " * 5_000)
    assert answer.startswith(b"HTTP/1.1 408 ")
    assert b"application/problem+json" in answer


def body_that_stops(link: socket.socket) -> None:
    link.sendall(HEAD + b"Content-Length: 5000\r\n\r\n{")
    assert taken(link).startswith(b"HTTP/1.1 408 ")


def batch_that_stops(link: socket.socket) -> None:
    link.sendall(HEAD.replace(b"/match", b"/batch/match") + b"Content-Length: 5000\r\n\r\n{")
    # There is room for a few at a time; the others are told so.
    assert taken(link).startswith((b"HTTP/1.1 408 ", b"HTTP/1.1 503 "))


def slow_batch(link: socket.socket) -> None:
    link.sendall(HEAD.replace(b"/match", b"/batch/match") + b"Content-Length: 5000\r\n\r\n")
    assert dribbled(link, b" " * 5_000).startswith((b"HTTP/1.1 408 ", b"HTTP/1.1 503 "))


def chunk_that_stops(link: socket.socket) -> None:
    link.sendall(HEAD + b"Transfer-Encoding: chunked\r\n\r\n10\r\n{")
    assert taken(link).startswith(b"HTTP/1.1 408 ")


def second_head_that_stops(link: socket.socket) -> None:
    link.sendall(b"GET /version HTTP/1.1\r\nHost: x\r\n\r\nGET /version HTT")
    answer = taken(link)
    assert answer.startswith(b"HTTP/1.1 200 ")
    assert b"HTTP/1.1 408 " in answer


def idle_after_an_answer(link: socket.socket) -> None:
    link.sendall(b"GET /version HTTP/1.1\r\nHost: x\r\n\r\n")
    assert taken(link).startswith(b"HTTP/1.1 200 ")


def blank_lines_for_ever(link: socket.socket) -> None:
    assert not dribbled(link, b"\r\n" * 1_000).startswith(b"HTTP/1.1 5")


def body_for_ever_after_a_refusal(link: socket.socket) -> None:
    link.sendall(HEAD + b"Content-Length: 99999999\r\n\r\n")
    assert dribbled(link, b" " * 5_000).startswith(b"HTTP/1.1 413 ")


def answers_not_taken(link: socket.socket) -> None:
    # Far more than fits between the two sides. That the service lets go shows in its descriptors.
    link.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
    link.sendall(b"GET /openapi/drawbar-v1.json HTTP/1.1\r\nHost: x\r\n\r\n" * 20)


def test_bodies_that_never_come_hold_no_place(match_body: bytes) -> None:
    with running(queue_patience="0") as (port, _), ExitStack() as stack:
        for _ in range(12):
            link = stack.enter_context(socket.create_connection(("127.0.0.1", port), timeout=PATIENCE))
            link.sendall(HEAD + b"Content-Length: 1000\r\n\r\n{")
        statuses = {send(port, "POST", "/v1/match", match_body)[0] for _ in range(10)}
        assert statuses == {200}


SLOW: list[Callable[[socket.socket], None]] = [
    silent,
    slow_head,
    head_that_stops,
    slow_body,
    body_that_stops,
    batch_that_stops,
    slow_batch,
    chunk_that_stops,
    second_head_that_stops,
    idle_after_an_answer,
    blank_lines_for_ever,
    body_for_ever_after_a_refusal,
    answers_not_taken,
]


def test_slow_callers_are_let_go_while_others_are_served(service: Service, match_body: bytes) -> None:
    """All kinds at once, several of each."""
    port, process = service
    faults: list[str] = []

    def play(part: Callable[[socket.socket], None], stack: ExitStack) -> None:
        try:
            part(stack.enter_context(socket.create_connection(("127.0.0.1", port), timeout=PATIENCE)))
        except (AssertionError, OSError, TimeoutError) as fault:
            faults.append(f"{part.__name__}: {fault!r}")

    with ExitStack() as stack, Callers(port, match_body, 2) as callers:
        before = descriptors(process)
        threads = [threading.Thread(target=play, args=(part, stack)) for part in SLOW * 4]
        for thread in threads:
            thread.start()
        until(lambda: descriptors(process) >= before + len(SLOW), "the slow ones are connected")
        callers.wait_for_more(100)
        for thread in threads:
            thread.join(PATIENCE)
        assert faults == []
        # The slow ones have closed nothing yet.
        until(lambda: descriptors(process) <= before, "every connection but those of the others is closed")
    assert callers.failures == {}


def test_a_caller_who_closes_his_side_gets_his_answer_or_nothing(service: Service, match_body: bytes) -> None:
    port, _ = service
    answer = raw(port, HEAD + b"Content-Length: %d\r\n\r\n" % len(match_body) + match_body)
    # The server takes it for hanging up, if it comes before the answer is out; half an answer would be worse.
    assert answer == b"" or (answer.startswith(b"HTTP/1.1 200 ") and answer.endswith(b"}"))


def test_a_body_packed_to_burst_is_not_unpacked(service: Service) -> None:
    port, process = service
    bomb = gzip.compress(b" " * 50_000_000)
    assert len(bomb) < 65_536
    for path in ("/v1/match", "/v1/batch/match"):
        headers = {"Content-Type": "application/json", "Content-Encoding": "gzip"}
        assert send(port, "POST", path, bomb, headers)[0] == 415
    status = Path(f"/proc/{process.pid}/status").read_text("ascii").splitlines()
    (peak,) = [int(line.split()[1]) for line in status if line.startswith("VmHWM")]
    assert peak < 400_000


def test_who_waits_for_leave_to_send_is_given_it(service: Service, match_body: bytes) -> None:
    port, _ = service
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as link:
        link.sendall(
            HEAD + b"Expect: 100-continue\r\nConnection: close\r\nContent-Length: %d\r\n\r\n" % len(match_body)
        )
        assert link.recv(65_536) == b"HTTP/1.1 100 Continue\r\n\r\n"
        link.sendall(match_body)
        # Head and body come in one piece, so that nothing can happen to the service between them.
        assert link.recv(65_536).endswith(b"}")
        assert taken(link) == b""


@pytest.mark.parametrize("told", [-1, 1])
def test_a_body_of_another_length_than_told_does_no_harm(service: Service, match_body: bytes, told: int) -> None:
    port, _ = service
    answer = raw(port, HEAD + b"Content-Length: %d\r\n\r\n" % (len(match_body) + told) + match_body)
    # Too short: the last brace is missing, and taken for the next request. Too long: the caller closes before the end.
    assert answer == b"" if told > 0 else answer.startswith(b"HTTP/1.1 400 ")


def test_requests_in_a_row_are_answered_in_their_order(service: Service, match_body: bytes) -> None:
    port, _ = service
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as link:
        for number in range(MANY):
            link.sendall(
                HEAD
                + b"X-Request-ID: row-%04d\r\nContent-Length: %d\r\n" % (number, len(match_body))
                + (b"Connection: close\r\n" if number == MANY - 1 else b"")
                + b"\r\n"
                + match_body
            )
        answer = taken(link)
    ids = [line.split()[1] for line in answer.split(b"\r\n") if line.lower().startswith(b"x-request-id:")]
    assert ids == [b"row-%04d" % number for number in range(MANY)]
    assert answer.count(b"HTTP/1.1 200 ") == MANY


def test_requests_given_up_leave_nothing_behind(service: Service, match_body: bytes) -> None:
    port, process = service
    before = descriptors(process)
    whole = HEAD + b"Content-Length: %d\r\n\r\n" % len(match_body) + match_body
    with Callers(port, match_body, 1) as callers:
        for cut in range(0, len(whole) + 1, len(whole) // MANY):
            with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as link:
                # Not closed but reset, as by a caller whose process is killed.
                link.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
                link.sendall(whole[:cut])
        callers.wait_for_more(20)
    assert callers.failures == {}
    until(lambda: descriptors(process) <= before, "every connection is closed")


def test_after_all_that_nothing_is_left_at_work(service: Service) -> None:
    """Comes last, because it stops the service: at once, for there is nothing to wait for."""
    _, process = service
    process.send_signal(signal.SIGTERM)
    _, errors = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0
    assert "Traceback" not in errors, errors
    assert "Waiting for connections" not in errors
    assert "Waiting for background" not in errors
    assert "Cancel" not in errors


def test_asked_to_stop_it_says_so_answers_and_then_stops(match_body: bytes) -> None:
    with running(drain_seconds="2") as (port, process):
        kept = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE)
        with kept:
            process.send_signal(signal.SIGTERM)
            until(lambda: send(port, "GET", "/readyz")[0] == 503, "not ready")
            status, headers, body = send(port, "GET", "/readyz")
            assert (status, headers["connection"]) == (503, "close")
            assert b"draining" in body
            assert int(headers["retry-after"]) > 0
            assert send(port, "GET", "/livez")[0] == 200
            assert send(port, "POST", "/v1/match", match_body)[0] == 200
            kept.sendall(HEAD + b"Content-Length: %d\r\n\r\n" % len(match_body) + match_body)
            answer = taken(kept)
            assert answer.startswith(b"HTTP/1.1 200 ")
            assert b"connection: close" in answer
        _, errors = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0
    assert "draining" in errors


def test_what_is_under_way_is_finished_after_callers_are_refused() -> None:
    with running(drain_seconds="0") as (port, process):
        link = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE)
        with link:
            link.sendall(HEAD + b"Content-Length: 2\r\n\r\n{")
            until(lambda: send(port, "GET", "/livez")[0] == 200, "the service is up")
            process.send_signal(signal.SIGTERM)
            until(lambda: refused(port), "callers are refused")
            link.sendall(b"}")
            assert taken(link).startswith(b"HTTP/1.1 422 ")
        process.communicate(timeout=PATIENCE)
    assert process.returncode == 0


def refused(port: int) -> bool:
    try:
        send(port, "GET", "/livez")
    except ConnectionError:
        return True
    return False


def test_asked_twice_it_stops_at_once() -> None:
    with running(drain_seconds="300") as (port, process):
        process.send_signal(signal.SIGTERM)
        until(lambda: send(port, "GET", "/readyz")[0] == 503, "not ready")
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=PATIENCE)
    assert process.returncode == 0


def test_ctrl_c_stops_it_at_once_with_code_0() -> None:
    with running(drain_seconds="300") as (_, process):
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0
    assert "Traceback" not in errors, errors
