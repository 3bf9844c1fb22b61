"""The line that moves and the seconds by folder, in runs of made-up tests."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
TESTS = {
    "barn": "def test_door():\n    pass\n\n\ndef test_roof():\n    assert 1 == 2\n",
    "yard": "def test_gate():\n    pass\n",
}


def run(folder: Path, *options: str) -> str:
    for name, text in TESTS.items():
        (folder / name).mkdir()
        (folder / name / f"test_{name}.py").write_text(text)
    plugins = (
        "-p",
        "no:cacheprovider",
        "-p",
        "xdist.plugin",
        "-p",
        "tests.progress",
        "-o",
        "console_output_style=classic",
    )
    command = (sys.executable, "-m", "pytest", "--rootdir", str(folder), *plugins, *options, "barn", "yard")
    # Other plugins take seconds to load, in every process.
    environment = os.environ | {"PYTHONPATH": str(ROOT), "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False).stdout


@pytest.mark.parametrize("workers", [0, 2])
def test_they_tell_how_far_they_are_what_failed_and_what_took_long(tmp_path: Path, workers: int) -> None:
    told = run(tmp_path, "-n", str(workers))
    lines = told.splitlines()
    assert "failed: barn/test_barn.py::test_roof" in lines
    last = next(line for line in lines if re.match(r" +\d+ s  3 of 3  100%  (barn|yard)  1 failed$", line))
    assert not set(told[: told.index(last)].splitlines()) & {"..F", ".F.", "F.."}
    table = lines[next(number for number, line in enumerate(lines) if "seconds by folder" in line) :]
    assert {line.split()[1] for line in table if re.match(r" +[\d.]+  \w+$", line)} == {"barn", "yard"}
    assert f"{workers or 1} at a time" in table[0]


def test_with_v_each_test_has_a_line_of_its_own(tmp_path: Path) -> None:
    told = run(tmp_path, "-v")
    assert "barn/test_barn.py::test_door PASSED" in told
    assert "3 of 3" not in told
