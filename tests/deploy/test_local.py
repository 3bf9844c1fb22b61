"""deploy/local.py: what it installs, when it installs nothing, and what it says when it cannot."""

import importlib.util
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import ModuleType

import pytest

LOCKS = (
    "requirements.lock",
    "deploy/requirements.lock",
    "tests/requirements.lock",
    "deploy/service.lock",
    "tests/benchmarks/requirements.lock",
    "tests/long/requirements.lock",
    "tests/long/generators/requirements.lock",
)


class Commands:
    """Stands in for `run`: notes the commands, makes the .venv that `python -m venv` would, and fails on request."""

    def __init__(self, local: ModuleType) -> None:
        self.local = local
        self.seen: list[str] = []
        self.failing: dict[str, int] = {}

    def __call__(self, *command: str, cwd: Path | None = None) -> int:
        line = " ".join(command).replace(str(self.local.VENV), ".venv")
        self.seen.append(line)
        if "-m venv" in line:
            python = Path(self.local.tool("python"))
            python.parent.mkdir(parents=True, exist_ok=True)
            python.touch()
            for stamp in self.local.VENV.glob("*.stamp"):
                if "--clear" in command:
                    stamp.unlink()
            (self.local.VENV / "pyvenv.cfg").write_text(f"home = x\nversion = {self.local.PYTHON}.9\n")
        return next((code for part, code in self.failing.items() if part in line), 0)

    def together(self, steps: dict[str, tuple[str, ...]]) -> dict[str, int]:
        """Stands in for `run_together`."""
        return {name: self(*command) for name, command in steps.items()}

    def take(self) -> list[str]:
        seen, self.seen = self.seen, []
        return seen


@pytest.fixture
def commands(local: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Commands:
    for name in (*LOCKS, "service/pyproject.toml", "sdk/pyproject.toml"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(name)
    commands = Commands(local)
    monkeypatch.setattr(local, "ROOT", tmp_path)
    monkeypatch.setattr(local, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(local, "run", commands)
    monkeypatch.setattr(local, "run_together", commands.together)
    monkeypatch.setattr(local, "PROGRAMS", {})
    return commands


def installs(seen: list[str]) -> list[str]:
    return [line.partition(" install ")[2] for line in seen if " install " in line]


def test_first_run_installs_by_hash_and_second_run_installs_nothing(local: ModuleType, commands: Commands) -> None:
    local.set_up()
    first = commands.take()
    assert "-m venv" in first[0]
    assert installs(first) == [
        "--no-compile --require-hashes -r requirements.lock -r deploy/requirements.lock",
        "--no-compile --no-deps --no-build-isolation -e service -e sdk",
    ]
    local.set_up()
    assert commands.take() == []


def test_the_test_lock_is_added_to_a_set_up_that_exists(local: ModuleType, commands: Commands) -> None:
    local.set_up()
    commands.take()
    local.set_up(local.TEST_LOCK)
    assert installs(commands.take()) == ["--no-compile --require-hashes -r tests/requirements.lock"]
    local.set_up(local.TEST_LOCK)
    local.set_up()
    assert commands.take() == []


@pytest.mark.parametrize(
    ("name", "value", "wanted"),
    [
        ("DRAWBAR_METRICS", "true", True),
        ("DRAWBAR_METRICS", "false", False),
        ("DRAWBAR_METRICS_PORT", "9464", False),
        ("DRAWBAR_TRACES", "1", True),
        ("DRAWBAR_JWKS", "keys.json", True),
        ("DRAWBAR_REDIS_URL", "redis://127.0.0.1", True),
        ("DRAWBAR_REDIS_URL", "", False),
    ],
)
def test_serve_installs_the_extras_that_its_settings_turn_on(
    local: ModuleType, commands: Commands, monkeypatch: pytest.MonkeyPatch, name: str, value: str, wanted: bool
) -> None:
    local.set_up()
    commands.take()
    monkeypatch.setenv(name, value)
    local.serve([])
    seen = commands.take()
    assert installs(seen) == (["--no-compile --require-hashes -r deploy/service.lock"] if wanted else [])
    assert seen[-1].endswith("-m drawbar_service")


@pytest.mark.parametrize("changed", ["requirements.lock", "deploy/requirements.lock", "sdk/pyproject.toml"])
def test_a_changed_file_is_installed_into_the_same_venv(local: ModuleType, commands: Commands, changed: str) -> None:
    local.set_up()
    commands.take()
    (local.ROOT / changed).write_text("something new")
    local.set_up()
    seen = commands.take()
    assert len(installs(seen)) == 2
    assert not any("-m venv" in line for line in seen)


def test_a_failed_install_says_what_to_do_and_is_started_afresh(
    local: ModuleType, commands: Commands, capsys: pytest.CaptureFixture[str]
) -> None:
    commands.failing = {"--require-hashes": 1}
    with pytest.raises(SystemExit, match="Check the connection"):
        local.set_up()
    assert "Installing requirements.lock" in capsys.readouterr().err
    commands.take()
    commands.failing = {}
    local.set_up()
    assert "-m venv --clear" in commands.take()[0]


def test_a_failed_test_install_leaves_the_demo_working(local: ModuleType, commands: Commands) -> None:
    local.set_up()
    commands.failing = {"tests/requirements.lock": 1}
    with pytest.raises(SystemExit, match="pip could not install"):
        local.set_up(local.TEST_LOCK)
    commands.take()
    local.set_up()
    assert commands.take() == []


def test_an_interrupt_while_compiling_leaves_no_valid_stamp(local: ModuleType, commands: Commands) -> None:
    commands.failing = {"compileall": -signal.SIGINT}
    with pytest.raises(SystemExit, match="interrupted"):
        local.set_up()
    assert local.read_stamp(local.RUN_LOCK) == local.UNFINISHED


def test_a_venv_of_another_python_is_made_anew(local: ModuleType, commands: Commands) -> None:
    local.set_up()
    commands.take()
    (local.VENV / "pyvenv.cfg").write_text("version = 3.99.1\n")
    local.set_up()
    seen = commands.take()
    assert "-m venv --clear" in seen[0]
    assert len(installs(seen)) == 2


def test_a_venv_made_by_hand_is_kept(local: ModuleType, commands: Commands) -> None:
    commands("python", "-m", "venv")
    commands.take()
    local.set_up()
    assert "--clear" not in commands.take()[0]


def test_a_python_without_ensurepip_is_told_which_package_to_install(
    local: ModuleType, commands: Commands, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "ensurepip" else object())
    with pytest.raises(SystemExit, match=r"ensurepip(.|\n)*python3-venv"):
        local.set_up()
    assert commands.take() == []


def test_a_python_that_is_too_old_is_told_so(root: Path) -> None:
    script = f"import runpy, sys; sys.version_info = (3, 8, 18); runpy.run_path({str(root / 'deploy/local.py')!r})"
    ended = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert ended.returncode == 1
    assert ended.stderr.startswith("drawbar needs Python 3.11 or newer")
    assert "Traceback" not in ended.stderr


def test_the_demo_runs_the_example_farm_and_takes_other_commands(local: ModuleType, commands: Commands) -> None:
    assert local.main(["demo"]) == 0
    assert commands.take()[-1].endswith("match sdk/examples/farm.toml --job stubble")
    assert local.main(["demo", "tools", "--units", "us"]) == 0
    assert commands.take()[-1].endswith("tools --units us")


def test_the_tests_run_after_the_linters_on_every_core(
    local: ModuleType, commands: Commands, monkeypatch: pytest.MonkeyPatch
) -> None:
    local.set_up(local.TEST_LOCK)
    commands.take()
    monkeypatch.setattr(local.os, "cpu_count", lambda: 4)
    assert local.main(["test", "-x", "tests/deploy"]) == 0
    seen = commands.take()
    assert [Path(line.split()[0]).stem for line in seen] == ["ruff", "ruff", "lint-imports", "basedpyright", "pytest"]
    assert seen[-1].endswith("pytest -n 4 --dist worksteal -x tests/deploy")


@pytest.mark.parametrize("given", [["-n", "0"], ["-n3"], ["--numprocesses=1"], ["-p", "no:xdist"], ["-pno:xdist"]])
def test_who_says_how_many_test_processes_gets_as_many(local: ModuleType, commands: Commands, given: list[str]) -> None:
    assert local.main(["test", *given]) == 0
    assert commands.take()[-1].endswith(f"pytest {' '.join(given)}")


def test_a_failing_linter_keeps_the_tests_from_running_and_gives_its_code(
    local: ModuleType, commands: Commands, capsys: pytest.CaptureFixture[str]
) -> None:
    commands.failing = {"basedpyright": 3}
    assert local.main(["test"]) == 3
    assert not any("pytest" in line for line in commands.take())
    told = capsys.readouterr().err
    assert "basedpyright failed with exit code 3" in told
    assert "no test was run" in told
    assert local.main(["lint"]) == 3


def test_commands_run_together_are_shown_in_order_each_with_what_it_said(
    local: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    slow = "import sys, time; time.sleep(0.3); print('slow'); sys.exit(4)"
    steps = {
        "first": (sys.executable, "-c", slow),
        "second": (sys.executable, "-c", "import os; os.write(2, b'quick')"),
    }
    codes = local.run_together(steps)
    assert codes == {"first": 4, "second": 0}
    assert capsys.readouterr().err == "== first\nslow\n== second\nquick"
    assert local.first_failure(codes) == 4
    assert capsys.readouterr().err == "== first failed with exit code 4\n"
    assert local.first_failure({"second": 0}) == 0


def test_the_long_run_goes_through_all_its_steps_and_says_what_failed(
    local: ModuleType, commands: Commands, capsys: pytest.CaptureFixture[str]
) -> None:
    for door in ("quantity", "single-json"):
        (local.ROOT / "tests/fuzz/corpus" / door).mkdir(parents=True)
    commands.failing = {"-m nightly": 1, "single-json": 77}
    assert local.main(["long"]) == 1
    steps = [line for line in commands.take() if "pytest" in line or ("tests/long/" in line and "pip" not in line)]
    assert ["nightly" in steps[0], "--hypothesis-profile long" in steps[1]] == [True, True]
    assert [line.partition("tests/long/")[2].split()[0] for line in steps[2:]] == [
        "contract.py",
        "refused.py",
        "generators.py",
        "notebooks.py",
        "wheels.py",
        "fuzz.py",
        "fuzz.py",
    ]
    told = capsys.readouterr().err
    assert "nightly failed with exit code 1" in told
    assert "single-json -max_total_time=90 failed with exit code 77" in told
    with pytest.raises(SystemExit, match="takes no arguments"):
        local.main(["long", "-x"])


def test_lint_refuses_arguments_that_it_would_ignore(local: ModuleType, commands: Commands) -> None:
    with pytest.raises(SystemExit, match="takes no arguments"):
        local.main(["lint", "sdk"])
    assert commands.take() == []


def test_locks_are_compiled_in_an_order_that_keeps_them_compatible(local: ModuleType, commands: Commands) -> None:
    assert local.main(["lock", "--upgrade"]) == 0
    compiled = [line for line in commands.take() if "pip compile" in line]
    assert [line.split()[-1] for line in compiled] == list(LOCKS)
    assert all("--generate-hashes" in line and "--no-emit-index-url" in line for line in compiled)
    assert all("--upgrade" in line for line in compiled)
    assert all("--constraints" in line for line in compiled[1:-1])  # generators of code have their own environment


@pytest.mark.parametrize(
    ("user", "said"), [(0, "apt-get install chromium"), (1000, "Tests that need chromium are skipped")]
)
def test_missing_programs_are_installed_by_root_and_named_to_others(
    local: ModuleType,
    commands: Commands,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    user: int,
    said: str,
) -> None:
    monkeypatch.setattr(local, "PROGRAMS", {"chromium": "chromium", "sh": "dash"})
    monkeypatch.setattr(local.os, "geteuid", lambda: user)
    monkeypatch.setattr(local.shutil, "which", lambda name: None if name == "chromium" else f"/bin/{name}")
    assert local.main(["test"]) == 0
    asked = [line for line in commands.take() if "apt-get" in line]
    assert [line.endswith("chromium") for line in asked] == ([True] if user == 0 else [])
    told = capsys.readouterr().err
    assert said in told
    assert ("are skipped" in told) == (user != 0)
    assert "chromium" in told
    assert "dash" not in told


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGTERM to pass on")
def test_sigterm_reaches_the_command_that_runs(root: Path) -> None:
    child = (
        "import signal, sys, time; print('up', flush=True); signal.signal(15, lambda *_: sys.exit(7)); time.sleep(30)"
    )
    script = (
        f"import sys; sys.path.insert(0, 'deploy'); import local; sys.exit(local.run(sys.executable, '-c', {child!r}))"
    )
    with subprocess.Popen([sys.executable, "-c", script], cwd=root, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(0.2)
        process.terminate()
        assert process.wait(timeout=10) == 7
