"""The container file keeps the hardening that it promises."""

import re
from pathlib import Path

import pytest


@pytest.fixture
def containerfile(root: Path) -> list[str]:
    """Its instructions, one per line."""
    text = (root / "deploy/Containerfile").read_text("utf-8")
    text = re.sub(r"^#.*\n", "", text, flags=re.MULTILINE).replace("\\\n", " ")
    return [" ".join(line.split()) for line in text.splitlines() if line.strip()]


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
    lines = [line.split() for line in containerfile if line.startswith("COPY ") and "--from" not in line]
    copied = [name for _, *names, _ in lines for name in names]
    assert "service" in copied
    for name in copied:
        assert f"!{name}" in ignore
        assert (root / name).exists()


def test_the_image_has_every_extra_and_no_installer(containerfile: list[str]) -> None:
    (install,) = [line for line in containerfile if "/app/bin/pip install --no-cache-dir" in line]
    assert "--require-hashes -r deploy/service.lock" in install
    assert any(line.endswith("/app/bin/pip uninstall --yes pip") for line in containerfile)


def test_what_follows_the_build_needs_no_shell(containerfile: list[str]) -> None:
    stage = final_stage(containerfile)
    assert not any(line.startswith(("RUN ", "SHELL ", "ENTRYPOINT ")) for line in stage)
    for line in stage:
        if line.startswith(("CMD ", "HEALTHCHECK ")):
            assert line.partition("CMD ")[2].startswith("["), f"through a shell: {line}"
