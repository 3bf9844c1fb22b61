"""The systemd unit is read without complaint and shuts the service in."""

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from drawbar_service.serving import FINISH_SECONDS
from drawbar_service.settings import Settings

ANALYZE = shutil.which("systemd-analyze")
needs_systemd = pytest.mark.skipif(ANALYZE is None, reason="needs systemd-analyze: apt install systemd")


@pytest.fixture
def unit(root: Path, tmp_path: Path) -> Path:
    """The unit, starting this Python in place of the one it is installed with."""
    text = (root / "deploy/drawbar.service").read_text("utf-8")
    assert "\nExecStart=/opt/drawbar/bin/python -m drawbar_service\n" in text
    unit = tmp_path / "drawbar.service"
    unit.write_text(text.replace("/opt/drawbar/bin/python -m", f"{sys.executable} -m"), "utf-8")
    return unit


def lines(root: Path) -> list[tuple[str, str]]:
    text = (root / "deploy/drawbar.service").read_text("utf-8")
    return [(name, value) for name, value in re.findall(r"^(\w+)=(.*)$", text, flags=re.MULTILINE)]


@needs_systemd
def test_systemd_reads_it_without_complaint(unit: Path) -> None:
    read = subprocess.run([str(ANALYZE), "verify", str(unit)], capture_output=True, text=True, check=False)
    assert (read.returncode, read.stderr) == (0, "")


@needs_systemd
def test_systemd_finds_little_exposed(unit: Path) -> None:
    """From 0, nothing, to 10, everything; a unit without such settings has 9.6."""
    command = [str(ANALYZE), "security", "--offline=true", "--threshold=15", "--json=short", "--no-pager", str(unit)]
    read = subprocess.run(command, capture_output=True, text=True, check=False)
    assert read.returncode == 0, read.stdout
    open_yet = {entry["json_field"] for entry in json.loads(read.stdout) if entry["set"] is False}
    assert not open_yet & {"NoNewPrivileges", "ProtectSystem", "PrivateTmp", "MemoryDenyWriteExecute"}


def test_no_setting_is_given_twice_but_filters(root: Path) -> None:
    names = [name for name, _ in lines(root)]
    assert {name for name in names if names.count(name) > 1} == {"SystemCallFilter"}


def test_settings_exist_and_leave_the_time_to_stop(root: Path) -> None:
    unit = dict(lines(root))
    given = dict(word.split("=") for word in unit["Environment"].split())
    known = {f"DRAWBAR_{name.upper()}" for name in Settings.__struct_fields__}
    assert {name for name in given if name.startswith("DRAWBAR_")} <= known
    assert int(unit["TimeoutStopSec"]) > int(given["DRAWBAR_DRAIN_SECONDS"]) + FINISH_SECONDS


def test_it_writes_nowhere_and_has_no_rights(root: Path) -> None:
    unit = dict(lines(root))
    assert unit["DynamicUser"] == "yes"
    assert unit["ProtectSystem"] == "strict"
    assert unit["CapabilityBoundingSet"] == unit["AmbientCapabilities"] == ""
    assert not {"ReadWritePaths", "StateDirectory", "CacheDirectory", "LogsDirectory"} & set(unit)
    assert (unit["IPAddressDeny"], unit["IPAddressAllow"]) == ("any", "localhost")
