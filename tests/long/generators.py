"""Hand the contract to linters and generators of code: `python tests/long/generators.py`.

Linters: Redocly and Spectral by their recommended rules, without an error or a warning. Generators: openapi-typescript,
openapi-python-client and datamodel-code-generator. All worked requests are compiled with the types they make, and a
match is asked of a live service by each. The same requests as plain dicts go through mypy and pyright. Needs node and
npm; versions are those of tests/long/generators/, installed into a folder of their own. Exit code 1: something was not
as it should be.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import venv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.processes import running
from tests.sdk.typed_requests import NAMED, source

HERE = Path(__file__).resolve().parent / "generators"
SDK = HERE.parents[2] / "sdk" / "src"
CONTRACT = HERE.parents[2] / "openapi" / "drawbar-v1.json"


def main() -> int:
    failed: list[str] = []
    with tempfile.TemporaryDirectory(prefix="drawbar-generators-") as folder, running(log_level="error") as (port, _):
        place = Path(folder)
        for name in ("package.json", "package-lock.json", "tsconfig.json", "match.ts", "client.py", "models.py"):
            (place / name).write_text((HERE / name).read_text("utf-8"), "utf-8")
        (place / "contract.json").write_text(CONTRACT.read_text("utf-8"), "utf-8")
        address = f"http://127.0.0.1:{port}"
        sample = place / "match.ts"
        sample.write_text(sample.read_text("utf-8").replace("http://127.0.0.1:8000", address), "utf-8")
        for step in (install, lint, typescript, python_client, data_models, dicts):
            print(f"== {step.__name__}", flush=True)
            if not step(place, address):
                failed.append(step.__name__)
                if step is install:
                    break
    print("failed: " + ", ".join(failed) if failed else "all as it should be")
    return 1 if failed else 0


def install(place: Path, address: str) -> bool:
    venv.create(place / "env", with_pip=True)
    return run(place, "npm", "ci", "--no-audit", "--no-fund", "--ignore-scripts") and run(
        place,
        python(place),
        "-m",
        "pip",
        "install",
        "--quiet",
        "--require-hashes",
        "-r",
        str(HERE / "requirements.lock"),
    )


def lint(place: Path, address: str) -> bool:
    (place / ".spectral.yaml").write_text('extends: ["spectral:oas"]\n', "utf-8")
    bins = place / "node_modules" / ".bin"
    return all(
        [
            run(place, str(bins / "redocly"), "lint", "contract.json", "--max-problems", "20", none="You have"),
            run(place, str(bins / "spectral"), "lint", "contract.json", "--fail-severity", "hint"),
        ]
    )


def typescript(place: Path, address: str) -> bool:
    bins = place / "node_modules" / ".bin"
    lines = ['import type { components } from "./contract.js";', 'type Schemas = components["schemas"];']
    for at, (name, request) in enumerate(worked()):
        lines.append(f'export const request{at}: Schemas["{name}"] = {json.dumps(request)};')
    # A member that is misspelt and a word that is not in the list have to be refused.
    for wrong in ("{ tractr: {} }", '{ ...request0, soil: { texture: "clayey", surface: "firm" } }'):
        lines += ["// @ts-expect-error", f'export const wrong{len(lines)}: Schemas["MatchRequest"] = {wrong};']
    (place / "worked.ts").write_text("\n".join(lines) + "\n", "utf-8")
    return (
        run(place, str(bins / "openapi-typescript"), "contract.json", "--output", "contract.d.ts")
        and run(place, str(bins / "tsc"))
        and run(place, "node", "match.js")
    )


def python_client(place: Path, address: str) -> bool:
    tool = str(Path(python(place)).with_name("openapi-python-client"))
    # It warns of MessagePack and of tables as text, which it passes over.
    made = run(place, tool, "generate", "--path", "contract.json", "--meta", "none", "--output-path", "made")
    return made and run(place, python(place), "client.py", address)


def data_models(place: Path, address: str) -> bool:
    tool = str(Path(python(place)).with_name("datamodel-codegen"))
    options = ("--input-file-type", "openapi", "--output-model-type", "pydantic_v2.BaseModel", "--use-annotated")
    made = run(place, tool, "--input", "contract.json", "--output", "drawbar_models.py", *options)
    if made:
        text = (place / "drawbar_models.py").read_text("utf-8")
        numbered = [
            line for line in text.splitlines() if line.startswith("class ") and line.split("(")[0][-1].isdigit()
        ]
        print(f"{text.count('class ')} classes, {len(numbered)} of them numbered: {' '.join(numbered[:5])}")
    return made and run(place, python(place), "models.py", address)


def dicts(place: Path, address: str) -> bool:
    """Let mypy and pyright read the worked requests as dicts, and those that are wrong."""
    text, wrong = source(json.loads(CONTRACT.read_text("utf-8")))
    (place / "requests").mkdir()
    (place / "requests" / "requests.py").write_text(text, "utf-8")
    settings = {"extraPaths": [str(SDK)], "pythonVersion": "3.11"}
    (place / "requests" / "pyrightconfig.json").write_text(json.dumps(settings), "utf-8")
    good = True
    for command in (
        (python(place), "-m", "mypy", "--no-error-summary", "--hide-error-context", "requests.py"),
        (str(place / "node_modules" / ".bin" / "pyright"), "--pythonpath", sys.executable, "requests.py"),
    ):
        environment = os.environ | {"MYPYPATH": str(SDK), "MYPY_FORCE_COLOR": "0"}
        said = subprocess.run(command, cwd=place / "requests", capture_output=True, text=True, env=environment).stdout
        refused = {int(match[1]) for match in re.finditer(r"requests\.py:([0-9]+)(?::[0-9]+)?(?: -)?:? error", said)}
        right = refused == set(wrong) and all(member in said for member in NAMED)
        print(f"{'ok' if right else 'FAILED'}: {Path(command[0]).name}, lines {sorted(refused)}")
        if not right:
            print(said[-4000:])
            good = False
    readme = (HERE.parents[2] / "README.md").read_text("utf-8")
    sample = "".join(re.findall(r"```python\n(.*?)```", readme, re.DOTALL))
    (place / "requests" / "readme.py").write_text(sample, "utf-8")
    strict = (python(place), "-m", "mypy", "--strict", "--follow-imports=silent", "--python-executable", sys.executable)
    return run(place / "requests", "env", f"MYPYPATH={SDK}", *strict, "readme.py") and good


def worked() -> Iterator[tuple[str, Any]]:
    """Yield the type and the body of every worked request."""
    contract = json.loads(CONTRACT.read_text("utf-8"))
    for path, item in contract["paths"].items():
        for operation in item.values():
            if "requestBody" in operation and "{" not in path:
                media = operation["requestBody"]["content"]["application/json"]
                example = media["examples"]["worked"]
                if "value" in example:  # else that of another operation
                    yield media["schema"]["$ref"].rpartition("/")[2], example["value"]


def python(place: Path) -> str:
    return str(place / "env" / "bin" / "python")


def run(place: Path, *command: str, none: str = "") -> bool:
    """Run a command; say whether it came to a good end, without a line that holds the word `none`, if there is one."""
    done = subprocess.run(command, cwd=place, capture_output=True, text=True)
    said = done.stdout + done.stderr
    good = done.returncode == 0 and not (none and none in said)
    print(f"{'ok' if good else 'FAILED'}: {Path(command[0]).name} {' '.join(command[1:3])}")
    print(
        said[-4000:] if not good else "".join(f"   {line}\n" for line in done.stdout.splitlines()[-2:]),
        end="",
        flush=True,
    )
    return good


if __name__ == "__main__":
    sys.exit(main())
