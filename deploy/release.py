"""What a release needs: `python3 deploy/local.py release check | build | cut VERSION`.

    check           compare the contract and the SDK with the last release, and the versions with each other
    build           make the wheels twice, compare them byte by byte, list what is inside (SBOM), ask for known faults
    cut VERSION     keep the contract and the SDK's stubs of this release for the next one to be compared with

deploy/RELEASING.md says in which order.
"""

import argparse
import hashlib
import os
import re
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "openapi"), str(ROOT / "deploy")]

from breaking import breaks  # noqa: E402
from moved import model, moved  # noqa: E402
from sdk_api import broken, stubs  # noqa: E402

RELEASED = ROOT / "openapi" / "released"
CONTRACT = ROOT / "openapi" / "drawbar-v1.json"
SDK = ROOT / "sdk" / "src"
VERSIONED = ("service/src/drawbar_service/__init__.py", "sdk/src/drawbar/_version.py")
# Wheels hold the time of each file; with this they all say the same one.
EPOCH = "1767225600"
_VERSION = re.compile(r"\d+\.\d+\.\d+")


def version_key(version: str) -> tuple[int, ...]:
    """Return what orders versions: 0.10.0 comes after 0.9.0."""
    return tuple(map(int, version.split(".")))


def last_release(released: Path = RELEASED) -> str | None:
    """Return the newest version that is kept, None before the first release."""
    return max((one.name for one in released.iterdir()), key=version_key, default=None) if released.is_dir() else None


def versions(root: Path = ROOT) -> dict[str, str]:
    """Return the version that each package and the contract say."""
    found = {
        name: re.findall(r'^__version__ = "([^"]+)"', (root / name).read_text("utf-8"), re.MULTILINE)[0]
        for name in VERSIONED
    }
    sdk = tomllib.loads((root / "sdk" / "pyproject.toml").read_text("utf-8"))["project"]
    (tied,) = sdk["optional-dependencies"]["service"]
    found["sdk/pyproject.toml, extra service"] = tied.removeprefix("drawbar-service==")
    return found | {"openapi/drawbar-v1.json": read_contract(root / "openapi" / "drawbar-v1.json")["info"]["version"]}


def read_contract(file: Path) -> dict[str, Any]:
    """Return an OpenAPI document."""
    return msgspec.json.decode(file.read_bytes(), type=dict[str, Any])


def may_break(old: str, new: str) -> bool:
    """Tell whether SemVer lets `new` break what `old` promised: another major version, or before 1.0 another minor."""
    before, after = version_key(old), version_key(new)
    return after[0] > before[0] or (after[0] == before[0] == 0 and after[1] > before[1])


class Changes(NamedTuple):
    """What is not as it was in the last release, one line each."""

    contract: list[str]
    """Breaks callers of the service."""
    sdk: list[str]
    """Breaks callers of the SDK."""
    numbers: list[str]
    """Worked answers that moved under the same model version."""
    model: bool
    """Whether the model version is another."""


NONE = Changes([], [], [], model=False)


def faults(said: Mapping[str, str], last: str | None, changes: Changes) -> list[str]:
    """Return what stands against a release, one line each."""
    found: list[str] = []
    if len(set(said.values())) != 1:
        found.append("versions differ: " + ", ".join(f"{name} says {version}" for name, version in said.items()))
    if last is None:
        return found
    version = min(said.values(), key=version_key)
    if not may_break(last, version):
        found += [f"breaks callers of {last}: {line}" for line in (*changes.contract, *changes.sdk)]
    if changes.model and version_key(version)[:2] <= version_key(last)[:2]:
        found.append(f"another model version since {last}: raise at least the minor version")
    return found + [f"moves numbers of {last} under the same model version: {line}" for line in changes.numbers]


def check() -> list[str]:
    """Return what stands against a release of what is here now."""
    last = last_release()
    if last is None:
        return faults(versions(), None, NONE)
    kept = RELEASED / last
    old, new = read_contract(kept / "contract.json"), read_contract(CONTRACT)
    changes = Changes(breaks(old, new), broken(kept, SDK), moved(old, new), model=model(old) != model(new))
    return faults(versions(), last, changes)


def cut(version: str) -> str:
    """Keep what this release promises, and return what was written."""
    said = set(versions().values())
    if not _VERSION.fullmatch(version) or said != {version}:
        raise SystemExit(f"{version!r} is not what the packages and the contract say: {', '.join(sorted(said))}")
    if not re.search(
        rf"^## \[{re.escape(version)}\] - \d{{4}}-\d\d-\d\d$", (ROOT / "CHANGELOG.md").read_text("utf-8"), re.M
    ):
        raise SystemExit(f"CHANGELOG.md has no line '## [{version}] - <date>'")
    place = RELEASED / version
    if place.exists():
        raise SystemExit(f"{place.relative_to(ROOT)} exists: a release is not changed; raise the version")
    files = {"contract.json": CONTRACT.read_text("utf-8"), **stubs(SDK / "drawbar")}
    for name, text in files.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_text(text, "utf-8", newline="\n")
    return f"wrote {len(files)} files to {place.relative_to(ROOT)}"


def wheels(target: Path) -> dict[str, str]:
    """Build both wheels and return the digest of each by file name."""
    environment = os.environ | {"SOURCE_DATE_EPOCH": EPOCH}
    for package in ("service", "sdk"):
        command = (sys.executable, "-m", "pip", "wheel", "--quiet", "--no-index", "--no-deps", "--no-build-isolation")
        subprocess.run((*command, "--wheel-dir", target, ROOT / package), env=environment, check=True)
    return {one.name: hashlib.sha256(one.read_bytes()).hexdigest() for one in sorted(target.glob("*.whl"))}


def build(target: Path) -> list[str]:
    """Fill `target` with wheels, their digests and the bill of materials; return what is wrong with them."""
    found: list[str] = []
    target.mkdir(parents=True, exist_ok=True)
    digests = wheels(target)
    with tempfile.TemporaryDirectory() as again:
        if wheels(Path(again)) != digests:
            found.append("the wheels of a second build differ from those of the first")
    (target / "SHA256SUMS").write_text("".join(f"{digest}  {name}\n" for name, digest in digests.items()), "utf-8")
    lock = str(ROOT / "deploy" / "service.lock")
    tools = Path(sys.executable).parent
    bill = (tools / "cyclonedx-py", "requirements", lock, "--output-reproducible", "-o", target / "sbom.cdx.json")
    if subprocess.run(bill, check=False).returncode:
        found.append("no bill of materials was made; the message is above")
    if subprocess.run(
        (tools / "pip-audit", "--strict", "--require-hashes", "--disable-pip", "-r", lock), check=False
    ).returncode:
        found.append("pip-audit found known faults in deploy/service.lock, or could not ask; its message is above")
    return found


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="release.py", description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    steps = parser.add_subparsers(dest="step", required=True)
    steps.add_parser("check")
    steps.add_parser("build").add_argument("--to", type=Path, default=ROOT / "dist")
    steps.add_parser("cut").add_argument("version")
    asked = parser.parse_args(arguments)
    if asked.step == "cut":
        print(cut(asked.version))
        return 0
    found = check() if asked.step == "check" else build(asked.to)
    for line in found:
        print(line, file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
