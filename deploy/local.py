"""Set up and run drawbar on this machine. Needs Python 3.11 or newer and nothing else.

    python3 deploy/local.py demo [drawbar arguments]    run the example farm, or a drawbar command of your own
    python3 deploy/local.py serve [service arguments]   start the service
    python3 deploy/local.py lint                        check style, types and imports
    python3 deploy/local.py test [pytest arguments]     lint, then test on every core
    python3 deploy/local.py long                        what the tests leave out because it takes hours
    python3 deploy/local.py bench [pytest arguments]    measure speed
    python3 deploy/local.py release check|build|cut     what a release needs, see deploy/RELEASING.md
    python3 deploy/local.py lock [--upgrade]            compile the lock files anew

The first run makes .venv in the repository and installs the pinned, hashed packages there. Later runs start at once
until a lock file or a pyproject.toml changes.
"""

import argparse
import hashlib
import importlib.util
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

if sys.version_info < (3, 11):  # noqa: UP036 - the reader's Python may be older than the project's target
    sys.exit(f"drawbar needs Python 3.11 or newer; this is {sys.version.split()[0]}. Try: python3.11 deploy/local.py")

ROOT = Path(__file__).resolve().parents[1]
VENV = ROOT / ".venv"
PACKAGES = ("service", "sdk")
RUN_LOCK = "requirements.lock"
BUILD_LOCK = "deploy/requirements.lock"
TEST_LOCK = "tests/requirements.lock"
BENCH_LOCK = "tests/benchmarks/requirements.lock"
LONG_LOCK = "tests/long/requirements.lock"
GENERATORS_LOCK = "tests/long/generators/requirements.lock"
EXTRAS = (
    "access",
    "arrow",
    "dask",
    "files",
    "metrics",
    "numpy",
    "pandas",
    "pictures",
    "plot",
    "polars",
    "traces",
    "xarray",
)
SERVICE_LOCK = "deploy/service.lock"
"""The service with all its extras: for the container, and for `serve` where the settings turn one on."""
PYTHON = f"{sys.version_info.major}.{sys.version_info.minor}"
UNFINISHED = "unfinished"
PROGRAMS = {"chromium": "chromium", "nginx": "nginx-light", "redis-server": "redis-server", "ip": "iproute2"}
"""Programs that some tests start, each with the Debian package that brings it."""
LINTERS = (("ruff", "check", "."), ("ruff", "format", "--check", "."), ("lint-imports", "--no-logo"), ("basedpyright",))
"""They run at the same time; what they say is shown in this order, the slowest last."""
MOST_TEST_PROCESSES = 8
"""Each of them loads the service and all tests, which takes longer than it saves from here on."""
FUZZ_SECONDS = 90


def tool(name: str) -> str:
    """Path of a command inside the virtual environment."""
    return str(VENV / "Scripts" / f"{name}.exe" if os.name == "nt" else VENV / "bin" / name)


def run(*command: str, cwd: Path | None = None) -> int:
    """Run a command to its end, passing on Ctrl-C and SIGTERM, and return its exit code."""
    with subprocess.Popen(command, cwd=cwd) as process:

        def stop(*_: object) -> None:
            process.terminate()

        signal.signal(signal.SIGTERM, stop)
        while True:
            try:
                return process.wait()
            except KeyboardInterrupt:
                continue  # the command received the same Ctrl-C and ends in its own time


def python_of_venv() -> str:
    """Version of the Python that .venv was made with, such as "3.11"; empty when there is no usable .venv."""
    config = VENV / "pyvenv.cfg"
    if not (config.is_file() and Path(tool("python")).exists()):
        return ""
    settings = dict(line.split(" = ", 1) for line in config.read_text("utf-8").splitlines() if " = " in line)
    return ".".join(settings.get("version", "").split(".")[:2])


def make_venv(*options: str) -> None:
    for module in ("venv", "ensurepip"):
        if importlib.util.find_spec(module) is None:
            sys.exit(
                f"This Python ({sys.executable}) came without its {module} module, which is needed to make .venv.\n"
                "On Debian or Ubuntu: sudo apt install python3-venv. Elsewhere: install Python from python.org."
            )
    if run(sys.executable, "-m", "venv", *options, str(VENV)):
        sys.exit(f"Could not make {VENV}; the reason is above. Remove that folder, then run this command again.")


def stamp_of(lock: str) -> Path:
    return VENV / f"drawbar-{lock.replace('/', '-')}.stamp"


def read_stamp(lock: str) -> str:
    """What was last installed from a lock file: a fingerprint, UNFINISHED, or nothing."""
    stamp = stamp_of(lock)
    return stamp.read_text("utf-8") if stamp.is_file() else ""


def fingerprint(files: list[str]) -> str:
    """Digest of the Python version and of the files that decide what gets installed."""
    digest = hashlib.sha256(PYTHON.encode())
    for name in files:
        digest.update(b"\0" + name.encode() + b"\0" + (ROOT / name).read_bytes())
    return digest.hexdigest()


def pip_install(*arguments: str) -> None:
    pip = (tool("python"), "-m", "pip", "--quiet", "--disable-pip-version-check", "--no-input")
    if run(*pip, "install", "--no-compile", *arguments, cwd=ROOT):
        sys.exit(
            "pip could not install the packages; its message is above. Check the connection to the package index\n"
            "(behind a proxy set HTTPS_PROXY; for a mirror set PIP_INDEX_URL), then run this command again."
        )


def install(*locks: str, editable: tuple[str, ...] = ()) -> None:
    """Bring .venv in line with the locks and the editable packages, unless the stamp says that it is."""
    wanted = fingerprint([*locks, *(f"{package}/pyproject.toml" for package in editable)])
    if read_stamp(locks[0]) == wanted:
        return
    print(f"Installing {locks[0]} into .venv (once, until it changes) ...", file=sys.stderr, flush=True)
    stamp_of(locks[0]).write_text(UNFINISHED, "utf-8")
    pip_install("--require-hashes", *(word for lock in locks for word in ("-r", lock)))
    if editable:
        # The build back end is in BUILD_LOCK, so nothing is fetched here without a hash.
        pip_install("--no-deps", "--no-build-isolation", *(word for package in editable for word in ("-e", package)))
    # One process for each core takes half as long as pip does. Exit code 1 is no fault: some packages ship files that
    # are not valid Python, such as templates.
    compile_all = (tool("python"), "-Wignore", "-m", "compileall", "-qq", "-j0", "-x", r"[/\\]tests?[/\\]")
    if run(*compile_all, str(VENV)) not in (0, 1):
        sys.exit("The installation was interrupted. Run this command again.")
    stamp_of(locks[0]).write_text(wanted, "utf-8")


def set_up(*extra_locks: str) -> None:
    """Make .venv hold the two packages with their dependencies, and the extra locks on top."""
    stamps = [read_stamp(lock) for lock in (RUN_LOCK, *extra_locks)]
    if UNFINISHED in stamps or python_of_venv() != PYTHON:
        make_venv("--clear")  # pip does not repair packages that it was stopped in the middle of
    elif not stamps[0]:
        make_venv()  # completes one that was interrupted, and keeps what is in one that was made by hand
    install(RUN_LOCK, BUILD_LOCK, editable=PACKAGES)
    for lock in extra_locks:
        install(lock)


def demo(arguments: list[str]) -> int:
    set_up()
    if arguments:
        return run(tool("drawbar"), *arguments)
    return run(tool("drawbar"), "match", "sdk/examples/farm.toml", "--job", "stubble", cwd=ROOT)


def wants_extras(settings: Mapping[str, str]) -> bool:
    """Say whether the settings of the service turn on what an extra brings."""
    switched = any(settings.get(f"DRAWBAR_{name}", "").lower() in ("true", "1") for name in ("METRICS", "TRACES"))
    return switched or any(settings.get(f"DRAWBAR_{name}") for name in ("JWKS", "REDIS_URL"))


def serve(arguments: list[str]) -> int:
    set_up(*((SERVICE_LOCK,) if wants_extras(os.environ) else ()))
    return run(tool("python"), "-m", "drawbar_service", *arguments)


def run_together(steps: dict[str, tuple[str, ...]]) -> dict[str, int]:
    """Run commands at the same time, show what each said under its name, and return the exit codes by name."""
    processes = {
        name: subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        for name, command in steps.items()
    }

    def stop(*_: object) -> None:
        for process in processes.values():
            process.terminate()

    signal.signal(signal.SIGTERM, stop)
    try:
        for name, process in processes.items():
            output, _ = process.communicate()
            print(f"== {name}\n{output.decode(errors='replace')}", end="", file=sys.stderr, flush=True)
    except KeyboardInterrupt:
        sys.exit("Interrupted.")  # the commands received the same Ctrl-C
    return {name: process.returncode for name, process in processes.items()}


def run_in_turn(*steps: tuple[str, ...]) -> int:
    """Run all tools of .venv one after the other, and return the exit code of the first that failed, or 0."""
    codes: dict[str, int] = {}
    for name, *options in steps:
        step = " ".join((name, *options))
        print(f"== {step}", file=sys.stderr, flush=True)
        codes[step] = run(tool(name), *options, cwd=ROOT)
    return first_failure(codes)


def first_failure(codes: dict[str, int]) -> int:
    """Say which steps failed, and return the exit code of the first of them, or 0."""
    failures = {step: code for step, code in codes.items() if code}
    for step, code in failures.items():
        print(f"== {step} failed with exit code {code}", file=sys.stderr)
    return next(iter(failures.values()), 0)


def lint_steps() -> dict[str, tuple[str, ...]]:
    return {" ".join(linter): (tool(linter[0]), *linter[1:]) for linter in LINTERS}


def lint(arguments: list[str]) -> int:
    if arguments:
        sys.exit(f"lint looks at the whole workspace and takes no arguments; it was given: {' '.join(arguments)}")
    set_up(TEST_LOCK)
    return first_failure(run_together(lint_steps()))


def installing(packages: list[str]) -> tuple[str, ...] | None:
    """Return the command that installs Debian packages, or None where that takes another user or system."""
    if not (hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get")):
        return None
    # What dpkg says of each package it unpacks is left out; what went wrong is not.
    return (
        *("sh", "-c", 'apt-get -qq update && apt-get -qq install -y --no-install-recommends "$@" >/dev/null'),
        *("apt-get", *packages),
    )


def processes_for_tests(arguments: list[str]) -> tuple[str, ...]:
    """Return the options that spread tests over the cores, or none if the caller has decided about that."""
    if any(word.startswith(("-n", "--numprocesses", "--dist")) or word.endswith("no:xdist") for word in arguments):
        return ()
    # Each process starts with a share of its own and then takes from the others: tests of a file stay together.
    return ("-n", str(min(os.cpu_count() or 1, MOST_TEST_PROCESSES)), "--dist", "worksteal")


def test(arguments: list[str]) -> int:
    set_up(TEST_LOCK)
    steps = lint_steps()
    missing = [program for program in PROGRAMS if shutil.which(program) is None]
    packages = [PROGRAMS[program] for program in missing]
    apt, installs = f"apt-get install {' '.join(packages)}", installing(packages) if packages else None
    if installs:
        steps = {apt: installs} | steps
    print(f"== At the same time: {', '.join(steps)}", file=sys.stderr, flush=True)
    codes = run_together(steps)
    if missing and codes.pop(apt, 1):
        print(
            f"Tests that need {', '.join(missing)} are skipped. To run them, install: {' '.join(packages)}",
            file=sys.stderr,
        )
    if code := first_failure(codes):
        print("== no test was run", file=sys.stderr)
        return code
    return run_in_turn(("pytest", *processes_for_tests(arguments), *arguments))


def long(arguments: list[str]) -> int:
    """Run what repeats the tests with more cases, longer, or in more places; each step whatever the others came to."""
    if arguments:
        sys.exit(f"long takes no arguments; it was given: {' '.join(arguments)}. Its steps can be run one by one.")
    set_up(TEST_LOCK, LONG_LOCK)
    doors = sorted(folder.name for folder in (ROOT / "tests" / "fuzz" / "corpus").iterdir())
    everywhere = processes_for_tests([])
    return run_in_turn(
        ("pytest", *everywhere, "-m", "nightly"),
        ("pytest", *everywhere, "-m", "hypothesis and not nightly", "--hypothesis-profile", "long"),
        ("python", "tests/long/contract.py"),
        ("python", "tests/long/refused.py"),
        ("python", "tests/long/generators.py"),
        ("python", "tests/long/notebooks.py"),
        ("python", "tests/long/wheels.py"),
        *(("python", "tests/long/fuzz.py", door, f"-max_total_time={FUZZ_SECONDS}") for door in doors),
    )


def bench(arguments: list[str]) -> int:
    set_up(TEST_LOCK, BENCH_LOCK)
    return run(tool("pytest"), "tests/benchmarks", *arguments, cwd=ROOT)


def release(arguments: list[str]) -> int:
    set_up(TEST_LOCK, LONG_LOCK)
    return run(tool("python"), "deploy/release.py", *arguments, cwd=ROOT)


def lock(arguments: list[str]) -> int:
    set_up(TEST_LOCK)
    compile_lock = (
        *(tool("uv"), "pip", "compile", "--quiet", "--universal", "--python-version", "3.11"),
        *("--fork-strategy", "fewest", "--generate-hashes", "--no-emit-index-url", "--no-emit-find-links"),
        *("--custom-compile-command", "python3 deploy/local.py lock", *arguments),
    )
    projects = tuple(f"{package}/pyproject.toml" for package in PACKAGES)
    # Each lock is held to the versions of those before it, so that all of them fit in one environment; generators of
    # code have one of their own.
    inputs = {
        RUN_LOCK: (*projects, "--extra", "pictures"),
        BUILD_LOCK: ("--group", "build", "--constraints", RUN_LOCK),
        TEST_LOCK: (
            *projects,
            *(word for extra in EXTRAS for word in ("--extra", extra)),
            *("--group", "dev"),
            *("--constraints", RUN_LOCK, "--constraints", BUILD_LOCK),
        ),
        SERVICE_LOCK: (projects[0], "--all-extras", "--constraints", TEST_LOCK),
        BENCH_LOCK: ("--group", "benchmarks", "--constraints", TEST_LOCK),
        LONG_LOCK: ("--group", "long", "--constraints", TEST_LOCK),
        GENERATORS_LOCK: ("--group", "generators"),
    }
    for name, sources in inputs.items():
        code = run(*compile_lock, *sources, "--output-file", name, cwd=ROOT)
        if code:
            print(f"uv could not compile {name}; its message is above. Later locks are unchanged.", file=sys.stderr)
            return code
    return 0


COMMANDS = {command.__name__: command for command in (demo, serve, lint, test, long, bench, release, lock)}


def main(argv: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="local.py", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("command", choices=COMMANDS)
    # What follows the command belongs to the tool that it starts, options included.
    return COMMANDS[parser.parse_args(argv[:1]).command](argv[1:])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
