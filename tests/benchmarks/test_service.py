"""Throughput of the service over an empty validated Litestar POST, on one server process each.

    python3 deploy/local.py bench tests/benchmarks/test_service.py -s

Requests are pipelined over a few connections, so that the client costs little beside the server.
"""

import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec

from drawbar_service.api.v1.match import MATCH

HERE = Path(__file__).parent
BATCH = 32
SECONDS = 2.0
ROUNDS = 3


@contextmanager
def server(factory: str, folder: Path) -> Iterator[int]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "uvicorn", "--factory", factory, "--port", str(port), "--no-access-log"]
    process = subprocess.Popen([*command, "--log-level", "warning", "--app-dir", str(folder)])
    try:
        deadline = time.monotonic() + 20
        while time.monotonic() < deadline:
            with socket.socket() as trial:
                if trial.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.05)
        yield port
    finally:
        process.terminate()
        process.wait(10)


def request_bytes(path: str, body: bytes) -> bytes:
    head = f"POST {path} HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    return head.encode() + body


def rate(port: int, request: bytes) -> float:
    """Answered requests a second on one connection with BATCH requests under way."""
    with socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(request)
        first = b""
        while b"\r\n\r\n" not in first:
            first += connection.recv(65536)
        head, _, rest = first.partition(b"\r\n\r\n")
        assert head.startswith(b"HTTP/1.1 200"), first[:500]
        length = int(head.lower().split(b"content-length: ")[1].split(b"\r\n")[0])
        while len(rest) < length:
            rest += connection.recv(65536)
        answer = len(head) + 4 + length
        sent, started = 0, time.perf_counter()
        while time.perf_counter() - started < SECONDS:
            connection.sendall(request * BATCH)
            left = answer * BATCH
            while left > 0:
                left -= len(connection.recv(min(left, 1 << 20)))
            sent += BATCH
        return sent / (time.perf_counter() - started)


def test_match_throughput(capsys):
    example = dict(MATCH.example)
    bodies = {
        "empty POST, small body validated": ("/small", b'{"speed": 2.2, "depth": 0.2}'),
        "empty POST, match body validated": ("/match", msgspec.json.encode(example)),
        "match": ("/v1/match", msgspec.json.encode(example)),
        "match, all three found": (
            "/v1/match",
            msgspec.json.encode(example | {"find": ["speed", "width", "depth"]}),
        ),
    }
    rates = dict.fromkeys(bodies, 0.0)
    with server("baseline:create_app", HERE) as base, server("drawbar_service.app:create_app", HERE) as ours:
        for _ in range(ROUNDS):
            for name, (path, body) in bodies.items():
                port = ours if path.startswith("/v1") else base
                rates[name] = max(rates[name], rate(port, request_bytes(path, body)))
    with capsys.disabled():
        print()
        unit = rates["empty POST, small body validated"]
        for name, value in rates.items():
            print(f"{name:36s} {value:8.0f} requests/s  {value / unit:5.2f} of the empty POST")
    assert all(value > 0 for value in rates.values())
