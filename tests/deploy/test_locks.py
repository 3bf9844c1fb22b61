"""The lock files: hashed, complete, in agreement with each other, and free of anything from one machine."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

RUN = "requirements.lock"
BUILD = "deploy/requirements.lock"
TEST = "tests/requirements.lock"
SERVICE = "deploy/service.lock"
BENCH = "tests/benchmarks/requirements.lock"
LOCKS = (RUN, BUILD, TEST, SERVICE, BENCH)


def pins(lock: Path) -> dict[str, str]:
    """Version by package name. Every entry must be an exact pin with hashes, and nothing else may stand there."""
    found: dict[str, str] = {}
    text = re.sub(r"^\s*#.*\n", "", lock.read_text("utf-8"), flags=re.MULTILINE)
    for entry in filter(None, re.split(r"\n(?=\S)", text.replace("\\\n", " ").strip())):
        requirement, *hashes = entry.split("--hash=")
        parsed = Requirement(requirement.strip())
        (specifier,) = parsed.specifier
        assert specifier.operator == "==", entry
        assert hashes, f"{parsed.name} has no hash"
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}\s*", value) for value in hashes), entry
        assert parsed.url is None, entry
        name = canonicalize_name(parsed.name)
        assert name not in found, f"{name} is pinned to two versions; one must serve every Python"
        found[name] = specifier.version
    return found


def declared(root: Path, lock: str) -> Iterator[Requirement]:
    workspace = tomllib.loads((root / "pyproject.toml").read_text("utf-8"))
    groups = {RUN: [], SERVICE: [], BUILD: ["build"], TEST: ["build", "dev"], BENCH: ["benchmarks"]}[lock]
    for group in groups:
        for entry in workspace["dependency-groups"][group]:
            if isinstance(entry, str):
                yield Requirement(entry)
    if lock in (RUN, TEST):
        for package in ("service", "sdk"):
            project = tomllib.loads((root / package / "pyproject.toml").read_text("utf-8"))["project"]
            yield from map(Requirement, project["dependencies"])
    if lock == SERVICE:
        project = tomllib.loads((root / "service/pyproject.toml").read_text("utf-8"))["project"]
        for lines in (project["dependencies"], *project["optional-dependencies"].values()):
            yield from map(Requirement, lines)


@pytest.mark.parametrize("lock", LOCKS)
def test_every_declared_dependency_is_pinned_in_its_range(root: Path, lock: str) -> None:
    pinned = pins(root / lock)
    wanted = list(declared(root, lock))
    assert wanted
    for requirement in wanted:
        version = pinned.get(canonicalize_name(requirement.name))
        assert version is not None, f"{requirement.name} is not in {lock}; run: python3 deploy/local.py lock"
        assert requirement.specifier.contains(version), f"{lock} has {version}, not {requirement}"


@pytest.mark.parametrize("lock", [BUILD, TEST, SERVICE, BENCH])
def test_locks_agree_wherever_they_pin_the_same_package(root: Path, lock: str) -> None:
    # All of them are installed into one environment. TEST is the largest and holds all that the others share.
    reference = pins(root / RUN) | pins(root / TEST)
    mine = pins(root / lock)
    assert {name: reference[name] for name in mine if name in reference} == {
        name: version for name, version in mine.items() if name in reference
    }


def test_the_test_lock_holds_all_that_runs_and_builds(root: Path) -> None:
    test = pins(root / TEST).items()
    assert pins(root / RUN).items() <= test
    assert pins(root / BUILD).items() <= test
    assert pins(root / SERVICE).items() <= test


def test_the_sdk_does_not_bring_the_service_along(root: Path) -> None:
    project = tomllib.loads((root / "sdk/pyproject.toml").read_text("utf-8"))["project"]
    names = {canonicalize_name(Requirement(line).name) for line in project["dependencies"]}
    assert names == {"httpx2", "msgspec"}


@pytest.mark.parametrize("lock", LOCKS)
def test_locks_name_no_host_and_no_folder_of_a_machine(root: Path, lock: str) -> None:
    text = (root / lock).read_text("utf-8")
    assert "://" not in text
    assert re.search(r"(^|\s)(/|~|[A-Z]:\\)\w", text) is None
    assert re.search(r"^\s*--(?!hash=)", text, flags=re.MULTILINE) is None, "an option such as --index-url"
