"""Try the wheels as whoever installs them does: `python tests/long/wheels.py`.

Both are built and installed into environments that have nothing else, with the dependencies that the index has today:
the client with its extra `service`, and the client alone. Then the command, the client and the service are used from a
folder that knows nothing of the repository. Exit code 1: something was not as it should be.
"""

import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
import venv
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "deploy"))

from release import versions, wheels  # noqa: E402

CLIENT = """
import drawbar
with drawbar.Client.in_process() as client:
    answer = client.field_capacity({"width": "6 m", "speed": "9 km/h", "practice": "field-cultivator"})
    print(answer.capacity.effective)
"""
PAGES = ("/", "/docs", "/docs/promise", "/openapi/drawbar-v1.json", "/llms.txt", "/version", "/v1/reference/draft")


def main() -> int:
    failed: list[str] = []
    with tempfile.TemporaryDirectory(prefix="drawbar-wheels-") as folder:
        place = Path(folder)
        wheels(place / "wheels")
        for step in (together, alone):
            print(f"== {step.__name__}", flush=True)
            home = place / step.__name__
            home.mkdir()
            failed += [f"{step.__name__}: {what}" for what in step(home, place / "wheels")]
    print("\n".join(failed) if failed else "all as it should be")
    return 1 if failed else 0


def together(home: Path, built: Path) -> Iterator[str]:
    """The client with its extra `service`."""
    (version,) = set(versions().values())
    install(home, f"{wheel(built, 'drawbar')}[service]", wheel(built, "drawbar_service"))
    code, told = run(home, "drawbar")
    if code or "The example:" not in told or "holds" not in told:
        yield f"drawbar alone: {told}"
    (home / "farm.toml").write_text(run(home, "drawbar", "example")[1], "utf-8")
    code, told = run(home, "drawbar", "match", "farm.toml")
    if code or "stubble" not in told:
        yield f"drawbar match farm.toml: {told}"
    code, told = run(home, "drawbar", "version")
    if code or set(re.findall(r"\d+\.\d+\.\d+", told)) != {version}:
        yield f"drawbar version: {told}"
    code, told = run(home, "python", "-c", CLIENT)
    if code or "ha/h" not in told:
        yield f"the client: {told}"
    with served(home) as address:
        for page in PAGES:
            if not fetched(address + page):
                yield f"the service: nothing at {page}"
        code, told = run(home, "drawbar", "match", "farm.toml", "--job", "stubble", "--url", address)
        if code or "Holds" not in told:
            yield f"drawbar --url: {told}"
    yield from described(home, "drawbar", "drawbar_service")


def alone(home: Path, built: Path) -> Iterator[str]:
    """The client without the service."""
    install(home, wheel(built, "drawbar"))
    code, told = run(home, "drawbar")
    if code or "drawbar[service]" not in told:
        yield f"drawbar alone: {told}"
    (home / "farm.toml").write_text(run(home, "drawbar", "example")[1], "utf-8")
    code, told = run(home, "drawbar", "match", "farm.toml")
    if code != 3 or "service" not in told:
        yield f"drawbar match without a service: {told}"
    yield from described(home, "drawbar")


def described(home: Path, *packages: str) -> Iterator[str]:
    """What an index shows of a package."""
    for package in packages:
        code = f"import importlib.metadata as m; d = m.metadata({package!r}); print(d); print(m.files({package!r}))"
        _, told = run(home, "python", "-c", code)
        for wanted in (
            "License-Expression: Apache-2.0",
            "License-File: LICENSE",
            "Description-Content-Type",
            "Keywords: ",
        ):
            if wanted not in told:
                yield f"{package}: no {wanted!r} in its metadata"


def wheel(built: Path, package: str) -> str:
    """Return the file of a package, so that none of that name on an index is taken for it."""
    (found,) = built.glob(f"{package}-*.whl")
    return str(found)


def install(home: Path, *wanted: str) -> None:
    venv.create(home / "env", with_pip=True)
    command = (home / "env" / "bin" / "python", "-m", "pip", "install", "--quiet", *wanted)
    subprocess.run(command, cwd=home, env=surroundings(home), check=True)


def run(home: Path, command: str, *arguments: str) -> tuple[int, str]:
    done = subprocess.run(
        (home / "env" / "bin" / command, *arguments),
        cwd=home,
        env=surroundings(home),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout


def surroundings(home: Path) -> dict[str, str]:
    """The environment without what leads to the repository."""
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "DRAWBAR", "VIRTUAL_ENV"))
    }
    return kept | {"PATH": f"{home / 'env' / 'bin'}{os.pathsep}{kept.get('PATH', '')}", "COLUMNS": "100"}


@contextmanager
def served(home: Path) -> Iterator[str]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"http://127.0.0.1:{port}"
    command = (home / "env" / "bin" / "python", "-m", "drawbar_service", "--port", str(port))
    with subprocess.Popen(command, cwd=home, env=surroundings(home)) as service:
        try:
            until = time.monotonic() + 60.0
            while time.monotonic() < until and not fetched(f"{address}/readyz"):
                time.sleep(0.2)
            yield address
        finally:
            service.terminate()


def fetched(address: str) -> bytes:
    try:
        with urllib.request.urlopen(address, timeout=30.0) as reply:
            return reply.read()
    except OSError:
        return b""


if __name__ == "__main__":
    sys.exit(main())
