"""The steps of the container file by hand, and the service with a read-only root, no network and no rights."""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from drawbar_service.api.calculations import CALCULATIONS

HELPER = Path(__file__).with_name("shut_in.py")
UNSHARE, IP, SETPRIV = (shutil.which(name) for name in ("unshare", "ip", "setpriv"))


def may_unshare() -> bool:
    if UNSHARE is None or IP is None or SETPRIV is None or os.geteuid() != 0:
        return False
    trial = [UNSHARE, "--net", "--mount", IP, "link", "set", "lo", "up"]
    return subprocess.run(trial, capture_output=True, check=False).returncode == 0


pytestmark = pytest.mark.skipif(not may_unshare(), reason="needs root, unshare, setpriv and ip, to make namespaces")


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder that others can read, as pytest's own are not."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        requests = folder / "requests"
        requests.mkdir()
        for calculation in CALCULATIONS:
            (requests / f"{calculation.name}.json").write_bytes(msgspec.json.encode(calculation.example))
        shutil.copy(HELPER, folder)
        yield folder


def build_wheel(root: Path, folder: Path) -> Path:
    """Build in a copy, as the container file does, which leaves no traces here."""
    source = folder / "service"
    shutil.copytree(root / "service", source, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    command = [sys.executable, "-m", "pip", "--quiet", "wheel", "--no-index", "--no-deps", "--no-build-isolation"]
    subprocess.run([*command, "--wheel-dir", str(folder), str(source)], check=True)
    (wheel,) = folder.glob("*.whl")
    return wheel


def start_shut_in(folder: Path, python: str, **environment: str) -> None:
    command = [str(UNSHARE), "--net", "--mount", "--propagation", "private", sys.executable, str(folder / HELPER.name)]
    ended = subprocess.run(
        [*command, python, str(folder / "requests")],
        cwd=folder,
        env=os.environ | environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr


def test_the_wheel_works_shut_in(root: Path, folder: Path) -> None:
    """With the libraries that are installed here."""
    libraries = next(path for path in sys.path if path.endswith("site-packages"))
    wheel = build_wheel(root, folder)
    installed = folder / "installed"
    command = [sys.executable, "-m", "pip", "--quiet", "install", "--no-index", "--no-deps"]
    subprocess.run([*command, "--target", str(installed), str(wheel)], check=True)
    start_shut_in(folder, sys.executable, PYTHONPATH=f"{installed}{os.pathsep}{libraries}")


@pytest.mark.nightly
def test_the_image_built_by_hand_works_shut_in(root: Path, folder: Path) -> None:
    """The RUN lines of the container file, and nothing from this environment."""
    text = (root / "deploy/Containerfile").read_text("utf-8").replace("\\\n", " ")
    build = text[: text.index("\nFROM ", text.index("AS build"))]
    for name in ("service.lock", "requirements.lock"):
        (folder / "deploy").mkdir(exist_ok=True)
        shutil.copy(root / "deploy" / name, folder / "deploy")
    shutil.copytree(root / "service", folder / "service", ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    app, tools = folder / "app", folder / "tools"
    subprocess.run([sys.executable, "-m", "venv", str(tools)], check=True)
    steps = [line.removeprefix("RUN ") for line in build.splitlines() if line.startswith("RUN ")]
    assert len(steps) == 2
    for step in steps:
        command = step.replace("/app", str(app))
        path = f"{tools / 'bin'}{os.pathsep}{os.environ['PATH']}"
        subprocess.run(["sh", "-e", "-c", command], cwd=folder, env=os.environ | {"PATH": path}, check=True)
    assert not list(app.glob("lib/*/site-packages/pip"))
    start_shut_in(folder, str(app / "bin/python"), PYTHONPATH="")
