"""A service that asks who calls, spoken to directly, and what callers may hold."""

import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient

from drawbar_service.api.v1.match import MATCH
from drawbar_service.app import create_app
from drawbar_service.security.keys import command
from drawbar_service.settings import Settings

PATIENCE = 10.0
"""Longest wait for a program [s]."""


@pytest.fixture(scope="session")
def match_body() -> bytes:
    return msgspec.json.encode(MATCH.example)


@pytest.fixture
def make_key(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[str, str]]:
    """Makes a key as its owner would: gives the key and the table for the file."""

    def make(*arguments: str) -> tuple[str, str]:
        capsys.readouterr()
        assert command(["new", *arguments]) == 0
        output = capsys.readouterr()
        return output.err.rpartition(" ")[2].strip(), output.out

    return make


@pytest.fixture
def serve() -> Iterator[Callable[..., Any]]:
    """Starts a service in this process with some settings."""
    running: list[Any] = []

    def start(**settings: Any) -> Any:
        client = TestClient(create_app(Settings(**settings)), raise_server_exceptions=False)
        running.append(client.__enter__())
        return client

    yield start
    for client in running:
        client.__exit__(None, None, None)


@pytest.fixture
def key_file(tmp_path: Path) -> Path:
    return tmp_path / "keys.toml"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def start_store(port: int, folder: Path) -> subprocess.Popen[bytes]:
    program = shutil.which("redis-server") or shutil.which("valkey-server")
    assert program is not None
    process = subprocess.Popen(
        [program, "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"],
        cwd=folder,
        stdout=subprocess.DEVNULL,
    )
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        with socket.socket() as trial:
            if trial.connect_ex(("127.0.0.1", port)) == 0:
                return process
        time.sleep(0.01)
    process.kill()
    process.wait()
    raise TimeoutError(f"no store on port {port}")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """A Redis on a free port, and its process."""
    if shutil.which("redis-server") is None and shutil.which("valkey-server") is None:
        pytest.skip("there is no redis-server here")
    port = free_port()
    process = start_store(port, tmp_path)
    yield port, process
    process.kill()
    process.wait()
