"""What a release promises is compared with the one before, and its wheels are the same whoever builds them."""

import pytest

OLD_SDK = {
    "drawbar/__init__.py": "from drawbar._core import Retry\n\n__all__ = ['Retry']\n",
    "drawbar/_core.py": (
        "class Base:\n    def close(self): ...\n\n\n"
        "class Retry:\n    attempts: int = 3\n\n    def pause(self, n: int) -> float: ...\n"
    ),
    "drawbar/client.py": (
        "from drawbar._core import Base\n\n\nclass Client(Base):\n"
        "    def match(self, request: dict, *, units: str | None = None) -> int:\n"
        "        '''Ask.'''\n        return 1\n"
    ),
}


def write(place, files):
    for name, text in files.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_text(text)


def test_this_tree_may_be_released(release):
    assert release.check() == []


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        ("client.py", "def match", "def fit", "drawbar.client.Client.match: Public object was removed"),
        ("client.py", "request: dict", "asked: dict", "drawbar.client.Client.match: Parameter was removed"),
        (
            "client.py",
            "units: str | None = None",
            "units: str",
            "drawbar.client.Client.match: Parameter is now required",
        ),
        ("_core.py", "def close", "def shut", "drawbar.client.Client.close: Public object was removed"),
        ("_core.py", "def pause", "def wait", "drawbar._core.Retry.pause: Public object was removed"),
    ],
)
def test_a_change_that_breaks_callers_of_the_sdk_is_found(release, tmp_path, file, old, new, said):
    write(tmp_path / "source", OLD_SDK)
    write(tmp_path / "kept", release.stubs(tmp_path / "source" / "drawbar"))
    assert release.broken(tmp_path / "kept", tmp_path / "source") == []
    changed = tmp_path / "source" / "drawbar" / file
    changed.write_text(changed.read_text().replace(old, new))
    assert said in release.broken(tmp_path / "kept", tmp_path / "source")


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("client.py", "units: str | None = None", "units: str | None = None, notes: bool = False"),
        ("client.py", "return 1", "return 2"),
        ("_core.py", "class Base:", "class Other: ...\n\n\nclass Base:"),
    ],
)
def test_a_change_that_breaks_nobody_passes(release, tmp_path, file, old, new):
    write(tmp_path / "source", OLD_SDK)
    write(tmp_path / "kept", release.stubs(tmp_path / "source" / "drawbar"))
    changed = tmp_path / "source" / "drawbar" / file
    changed.write_text(changed.read_text().replace(old, new))
    assert release.broken(tmp_path / "kept", tmp_path / "source") == []


def test_stubs_hold_no_code(release, tmp_path):
    write(tmp_path, OLD_SDK)
    client = release.stubs(tmp_path / "drawbar")["drawbar/client.pyi"]
    assert "return" not in client
    assert "Ask." not in client


@pytest.mark.parametrize(
    ("old", "new", "allowed"),
    [
        ("0.1.0", "0.1.1", False),
        ("0.1.9", "0.2.0", True),
        ("0.9.0", "1.0.0", True),
        ("1.0.0", "1.1.0", False),
        ("1.9.0", "2.0.0", True),
        ("1.2.0", "0.9.0", False),
    ],
)
def test_only_a_version_that_says_so_may_break(release, old, new, allowed):
    assert release.may_break(old, new) is allowed
    said = {"service": new, "sdk": new}
    changes = release.NONE._replace(contract=["POST /v1/match: removed"])
    assert bool(release.faults(said, old, changes)) is not allowed


@pytest.mark.parametrize(("new", "allowed"), [("0.1.1", False), ("0.2.0", True), ("1.0.0", True)])
def test_another_model_version_shows_in_the_version(release, new, allowed):
    said = {"service": new, "sdk": new}
    assert bool(release.faults(said, "0.1.0", release.NONE._replace(model=True))) is not allowed


def test_no_version_excuses_numbers_that_moved_under_the_same_model(release):
    said = {"service": "2.0.0", "sdk": "2.0.0"}
    (line,) = release.faults(said, "0.1.0", release.NONE._replace(numbers=["POST /v1/match: /fit/speed: 1 became 2"]))
    assert line == "moves numbers of 0.1.0 under the same model version: POST /v1/match: /fit/speed: 1 became 2"


def test_versions_that_differ_are_named(release):
    (line,) = release.faults({"service": "0.2.0", "sdk": "0.1.0"}, None, release.NONE)
    assert "service says 0.2.0" in line
    assert "sdk says 0.1.0" in line


def test_versions_are_ordered_as_numbers(release, tmp_path):
    assert release.last_release(tmp_path) is None
    for version in ("0.9.0", "0.10.0"):
        (tmp_path / version).mkdir()
    assert release.last_release(tmp_path) == "0.10.0"


def test_a_release_is_kept_once_and_only_under_its_own_version(release, tmp_path, monkeypatch):
    (version,) = set(release.versions().values())
    monkeypatch.setattr(release, "ROOT", tmp_path)
    monkeypatch.setattr(release, "RELEASED", tmp_path / "released")
    monkeypatch.setattr(release, "versions", lambda: {"all": version})
    (tmp_path / "CHANGELOG.md").write_text("## [Unreleased]\n")
    with pytest.raises(SystemExit, match="not what the packages"):
        release.cut("9.9.9")
    with pytest.raises(SystemExit, match="has no line"):
        release.cut(version)
    (tmp_path / "CHANGELOG.md").write_text(f"## [{version}] - 2026-11-25\n")
    release.cut(version)
    assert (tmp_path / "released" / version / "contract.json").read_bytes() == release.CONTRACT.read_bytes()
    with pytest.raises(SystemExit, match="a release is not changed"):
        release.cut(version)


def test_wheels_are_the_same_whoever_builds_them(release, tmp_path, monkeypatch):
    first = release.wheels(tmp_path / "first")
    monkeypatch.setenv("TZ", "Asia/Kathmandu")
    monkeypatch.setenv("LC_ALL", "C")
    assert release.wheels(tmp_path / "second") == first
    assert [name.split("-")[0] for name in first] == ["drawbar", "drawbar_service"]
