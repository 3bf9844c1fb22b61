"""The README does what it says."""

import re
import shlex
from pathlib import Path

import pytest

from drawbar.cli import main

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")
COMMANDS = re.findall(r"^    python3 deploy/local\.py (.+)$", README, re.MULTILINE)


def test_python_example_runs(capsys):
    code = "".join(re.findall(r"```python\n(.*?)```", README, re.DOTALL))
    exec(compile(code, "README.md", "exec"), {})
    told = capsys.readouterr().out
    assert told.startswith("Holds at 7.5 km/h: every limit is kept in 91 of 100 cases")
    assert "RowFault(row=3, pointer='/speed'" in told


def test_commands_exist():
    local = (ROOT / "deploy" / "local.py").read_text("utf-8")
    assert {command.split()[0] for command in COMMANDS} == {"demo", "test", "serve"}
    assert all(f"def {command.split()[0]}(" in local for command in COMMANDS)


@pytest.mark.parametrize("command", [command for command in COMMANDS if command.startswith("demo match")])
def test_match_commands_run_on_the_example_farm(command, capsys):
    words = shlex.split(command)[1:]
    words[words.index("my-farm.toml")] = str(ROOT / "sdk" / "examples" / "farm.toml")
    assert main(words) in (0, 1)
    assert capsys.readouterr().out


def test_paths_are_those_of_the_contract():
    contract = (ROOT / "openapi" / "drawbar-v1.json").read_text("utf-8")
    paths = set(re.findall(r"^ {4}\"(/[^\"]*)\": \{$", contract, re.MULTILINE))
    named = set(re.findall(r"`(?:POST |GET )?(/(?:v1/)?(?:curves/)?[a-z-]+)`", README))
    assert {path for path in paths if "{" not in path} <= named | {"/docs"}
