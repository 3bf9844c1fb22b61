"""Change the engine in small ways and see whether its tests notice: `python tests/long/mutation.py [options]`.

Works on a copy of the repository, with mutmut. All mutants take hours; `--sample 600` draws that many, the same ones
for the same `--seed`, and says how sure the score is. Prints what lived, to be killed or explained in MUTANTS.md.
"""

import argparse
import json
import math
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("sdk", "tests", "openapi", "deploy", "service", "README.md", "DEVELOPERS.md", "CHANGELOG.md")
SETTINGS = """
[tool.mutmut]
source_paths = ["src"]
only_mutate = ["src/drawbar_service/engine/*"]
also_copy = ["sdk", "openapi", "deploy", "service", "README.md", "DEVELOPERS.md", "CHANGELOG.md"]
pytest_add_cli_args_test_selection = ["tests/engine", "tests/published"]
pytest_add_cli_args = ["-p", "no:cacheprovider", "-k", "not runs_from_anywhere and not mutmut"]
timeout_multiplier = 8.0
"""
KILLED, TIMED_OUT = (1, 3), (-24, -9, 24, 36, 152, 255)
"""Exit codes of a mutant's tests: a test failed, or they did not come to an end."""


def make_copy(place: Path) -> None:
    """Lay the repository out as mutmut wants it, the package in `src`."""
    leave = shutil.ignore_patterns(".*", "__pycache__", "mutants")
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, place / name, ignore=leave)
        else:
            shutil.copy(source, place / name)
    shutil.copytree(ROOT / "service" / "src", place / "src", ignore=leave)
    (place / "pyproject.toml").write_text((ROOT / "pyproject.toml").read_text("utf-8") + SETTINGS, "utf-8")


def run(place: Path, *names: str) -> None:
    """Let mutmut try the mutants of these names."""
    command = [str(Path(sys.executable).parent / "mutmut"), "run", "--max-children", "1", *names]
    with (place / "mutmut.log").open("a") as log:
        subprocess.run(command, cwd=place, stdout=log, stderr=subprocess.STDOUT, check=False)


def results(place: Path) -> dict[str, int | None]:
    """Return the exit code of each mutant, None if it was not tried."""
    found: dict[str, int | None] = {}
    for file in sorted((place / "mutants" / "src").rglob("*.meta")):
        found |= json.loads(file.read_text("utf-8"))["exit_code_by_key"]
    return found


def report(tried: Mapping[str, int]) -> str:
    """Say how many were noticed, how sure that is, and which lived."""
    noticed = sum(code in KILLED or code in TIMED_OUT for code in tried.values())
    score = noticed / len(tried)
    spread = 1.96 * math.sqrt(score * (1.0 - score) / len(tried))
    lines = [f"{noticed} of {len(tried)} mutants noticed: {score:.1%} (95 in 100: within {spread:.1%})"]
    modules = Counter(name.split(".x")[0] for name in tried)
    lived = sorted(name for name, code in tried.items() if code not in KILLED and code not in TIMED_OUT)
    by_module = Counter(name.split(".x")[0] for name in lived)
    lines += [f"  {name}: {count - by_module[name]} of {count}" for name, count in sorted(modules.items())]
    return "\n".join([*lines, "lived:", *(f"  {name} ({tried[name]})" for name in lived)])


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sample", type=int, help="try this many; all by default")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="modules whose name starts so, such as draft")
    parser.add_argument("--names", type=Path, help="try those named in this file, one a line, instead of a sample")
    parser.add_argument("--folder", type=Path, help="work here, and go on where an earlier run stopped")
    asked = parser.parse_args(arguments)
    place = asked.folder or Path(tempfile.mkdtemp(prefix="mutation-"))
    if not (place / "src").is_dir():
        make_copy(place)
        run(place, "none")  # makes the mutants and learns which tests reach what
    names = [name for name in results(place) if name.startswith(f"drawbar_service.engine.{asked.only}")]
    if not names:
        print(f"no mutants were made; see {place / 'mutmut.log'}", file=sys.stderr)
        return 1
    if asked.names:
        chosen = asked.names.read_text("utf-8").split()
        if unknown := sorted(set(chosen) - set(names)):
            print(f"{asked.names} names what is no mutant of today: {', '.join(unknown[:5])}", file=sys.stderr)
            return 1
    else:
        chosen = random.Random(asked.seed).sample(names, min(asked.sample or len(names), len(names)))
    run(place, *chosen)
    done = results(place)
    print(report({name: code for name in chosen if (code := done[name]) is not None}))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
