"""The service, and nginx before it, as processes of their own on loopback ports; and callers who keep asking."""

import http.client
import os
import re
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 60.0
"""Longest wait for a process [s]."""


def environment(**settings: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("DRAWBAR_")}
    return kept | {f"DRAWBAR_{name.upper()}": value for name, value in settings.items()}


def start(**settings: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "drawbar_service"],
        env=environment(**settings),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def until(true: Callable[[], bool], what: str, patience: float = PATIENCE) -> None:
    """Wait until something is true."""
    deadline = time.monotonic() + patience
    while not true():
        if time.monotonic() > deadline:
            raise TimeoutError(f"not within {patience:g} s: {what}")
        time.sleep(0.02)


def wait_for(port: int, process: subprocess.Popen[str], path: str = "/readyz") -> None:
    def up() -> bool:
        assert process.poll() is None, process.communicate()
        try:
            return send(port, "GET", path)[0] == 200
        except ConnectionRefusedError:
            return False

    until(up, f"an answer on port {port}")


@contextmanager
def running(**settings: str) -> Iterator[tuple[int, subprocess.Popen[str]]]:
    """Yield the port and the process of a service that is ready."""
    port = free_port()
    process = start(port=str(port), **settings)
    try:
        wait_for(port, process)
        yield port, process
    finally:
        process.kill()
        process.communicate()


def send(
    port: int, method: str, path: str, body: bytes | None = None, headers: dict[str, str] | None = None
) -> tuple[int, dict[str, str], bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        connection.request(method, path, body, headers or {})
        response = connection.getresponse()
        return response.status, {name.lower(): value for name, value in response.getheaders()}, response.read()
    finally:
        connection.close()


def raw(port: int, text: bytes) -> bytes:
    """Send bytes, close that direction unless they ask the other side to, and return all that comes back."""
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as link:
        link.sendall(text)
        if b"Connection: close" not in text:
            link.shutdown(socket.SHUT_WR)
        return taken(link)


def taken(link: socket.socket) -> bytes:
    """Return what comes until the other side closes."""
    answer = b""
    while part := link.recv(65_536):
        answer += part
    return answer


def connections(process: subprocess.Popen[str]) -> int:
    """Return how many sockets the process has open, its own among them."""
    found = 0
    for link in Path(f"/proc/{process.pid}/fd").iterdir():
        try:
            found += link.readlink().name.startswith("socket:")
        except FileNotFoundError:  # closed since they were listed
            continue
    return found


def descriptors(process: subprocess.Popen[str]) -> int:
    return len(list(Path(f"/proc/{process.pid}/fd").iterdir()))


class Callers:
    """Threads that ask one thing again and again over connections they keep, until told to stop.

    A connection that the server says it closes is opened anew. Anything else that fails is counted.
    """

    def __init__(self, port: int, body: bytes, many: int = 4) -> None:
        self.outcomes: Counter[str] = Counter()
        self._port = port
        self._body = body
        self._over = threading.Event()
        self._lock = threading.Lock()
        self._threads = [threading.Thread(target=self._ask) for _ in range(many)]

    def __enter__(self) -> "Callers":
        for thread in self._threads:
            thread.start()
        self.wait_for_more(50)
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        for thread in self._threads:
            thread.join(PATIENCE)

    @property
    def failures(self) -> dict[str, int]:
        return {outcome: count for outcome, count in self.outcomes.items() if outcome != "200"}

    def wait_for_more(self, count: int) -> None:
        """Wait until so many more are answered."""
        wanted = self.outcomes["200"] + count
        until(lambda: self.outcomes["200"] >= wanted, f"{wanted} answers; so far {dict(self.outcomes)}")

    def _ask(self) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", self._port, timeout=PATIENCE)
        while not self._over.is_set():
            try:
                # http.client opens a connection anew once an answer has said that it closes it.
                connection.request("POST", "/v1/match", self._body, {"Content-Type": "application/json"})
                response = connection.getresponse()
                response.read()
                outcome = str(response.status)
            except (OSError, http.client.HTTPException) as fault:
                outcome = repr(fault)
                connection.close()
            with self._lock:
                self.outcomes[outcome] += 1
        connection.close()


@contextmanager
def proxy(program: str, replicas: Sequence[int], origin: str = "") -> Iterator[int]:
    """Yield the port of an nginx with deploy/nginx.conf, in which only addresses and folders are changed.

    With an `origin`, the line that lets its pages read is no longer a comment.
    """
    port = free_port()
    with tempfile.TemporaryDirectory() as folder:
        text = (ROOT / "deploy/nginx.conf").read_text("utf-8")
        changes = {
            r"listen 8080": f"listen 127.0.0.1:{port}",
            r"/run/nginx": folder,
            **{rf"drawbar-{number}:8000": f"127.0.0.1:{one}" for number, one in enumerate(replicas, 1)},
        }
        if origin:
            changes[r'# "https://farm.example" '] = f'"{origin}" '
        for pattern, new in changes.items():
            text, count = re.subn(pattern, new, text)
            assert count, f"deploy/nginx.conf has no {pattern}"
        config = Path(folder, "nginx.conf")
        config.write_text(text, "utf-8")
        command = [program, "-c", str(config), "-p", folder, "-e", "stderr", "-g", "daemon off;"]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        try:
            wait_for(port, process)
            yield port
        finally:
            process.terminate()
            try:
                process.communicate(timeout=PATIENCE)
            finally:
                process.kill()
