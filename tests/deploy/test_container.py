"""The container file and compose.yaml keep the hardening that they promise."""

import re
from pathlib import Path
from typing import Any

import pytest
import yaml


@pytest.fixture
def containerfile(root: Path) -> list[str]:
    """Its instructions, one per line."""
    text = (root / "deploy/Containerfile").read_text("utf-8")
    text = re.sub(r"^#.*\n", "", text, flags=re.MULTILINE).replace("\\\n", " ")
    return [" ".join(line.split()) for line in text.splitlines() if line.strip()]


@pytest.fixture
def service(root: Path) -> dict[str, Any]:
    return yaml.safe_load((root / "compose.yaml").read_text("utf-8"))["services"]["drawbar"]


def final_stage(containerfile: list[str]) -> list[str]:
    last = max(number for number, line in enumerate(containerfile) if line.startswith("FROM "))
    assert last > 0, "the image must not carry the build tools: build in a stage of its own"
    return containerfile[last:]


def test_everything_fetched_while_building_is_checked_against_a_hash(containerfile: list[str]) -> None:
    commands = [part for line in containerfile if line.startswith("RUN ") for part in line.split(" && ")]
    fetching = [part for part in commands if re.search(r"\bpip (install|wheel|download)\b", part)]
    assert len(fetching) >= 2
    for command in fetching:
        assert "--require-hashes -r " in command or "--no-index --no-deps" in command, command


def test_the_image_runs_as_a_numeric_user_that_is_not_root(containerfile: list[str]) -> None:
    # A number, because Kubernetes cannot tell from a name that it is not root.
    (user,) = [line.split()[1] for line in final_stage(containerfile) if line.startswith("USER ")]
    assert re.fullmatch(r"[1-9]\d*:[1-9]\d*", user)


def test_the_image_starts_the_service_and_asks_it_whether_it_lives(containerfile: list[str]) -> None:
    stage = final_stage(containerfile)
    assert any(line.startswith("HEALTHCHECK ") and "/livez" in line for line in stage)
    (command,) = [line for line in stage if line.startswith("CMD ")]
    assert command.endswith('"-m", "drawbar_service"]')


def test_what_is_copied_is_let_through_by_dockerignore(root: Path, containerfile: list[str]) -> None:
    ignore = (root / ".dockerignore").read_text("utf-8").splitlines()
    assert "*" in ignore
    copied = [line.split()[1] for line in containerfile if line.startswith("COPY ") and "--from" not in line]
    assert copied
    for name in copied:
        assert f"!{name}" in ignore
        assert (root / name).exists()


def test_compose_takes_away_what_the_service_does_not_need(service: dict[str, Any]) -> None:
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert "cap_add" not in service
    assert service.get("privileged", False) is False
    assert "no-new-privileges:true" in service["security_opt"]
    assert "volumes" not in service


def test_compose_opens_port_8000_to_this_machine_only(service: dict[str, Any]) -> None:
    assert service["ports"] == ["127.0.0.1:8000:8000"]


def test_compose_builds_the_container_file_and_repeats_its_health_check(
    root: Path, service: dict[str, Any], containerfile: list[str]
) -> None:
    assert (root / service["build"]["context"] / service["build"]["dockerfile"]).is_file()
    (image_check,) = [line for line in containerfile if line.startswith("HEALTHCHECK ")]
    kind, *command = service["healthcheck"]["test"]
    assert kind == "CMD"
    assert yaml.safe_load(image_check.partition(" CMD ")[2]) == command
