"""Requests as plain dicts: a type checker takes the good ones and refuses the wrong ones."""

import json
import re
import subprocess
import sys
from html import unescape
from pathlib import Path
from typing import get_type_hints

import pytest
from tests.sdk.typed_requests import NAMED, source

from drawbar import dicts, models

ROOT = Path(__file__).resolve().parents[2]
CONTRACT = json.loads((ROOT / "openapi/drawbar-v1.json").read_text("utf-8"))


CHECKER = Path(sys.executable).with_name("basedpyright")
needs_checker = pytest.mark.skipif(not CHECKER.exists(), reason="basedpyright is not there")


def checked(folder, files):
    """Return the errors of a type checker in some Python files."""
    for name, text in files.items():
        (folder / name).write_text(text, "utf-8")
    settings = {"typeCheckingMode": "standard", "extraPaths": [str(ROOT / "sdk/src")], "include": list(files)}
    (folder / "pyrightconfig.json").write_text(json.dumps(settings), "utf-8")
    command = (str(CHECKER), "--outputjson", "--pythonpath", sys.executable, "-p", str(folder))
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True)
    return [one for one in json.loads(done.stdout)["generalDiagnostics"] if one["severity"] == "error"]


@needs_checker
def test_a_type_checker_knows_a_good_request_from_a_wrong_one(tmp_path):
    text, wrong = source(CONTRACT)
    errors = checked(tmp_path, {"requests.py": text})
    assert {one["range"]["start"]["line"] + 1 for one in errors} == set(wrong), errors
    told = " ".join(one["message"] for one in errors)
    for member in ("tractr", "engin", *NAMED):
        assert f'"{member}" is an undefined item' in told


@needs_checker
def test_the_examples_of_the_readme_and_of_the_docs_are_typed(tmp_path):
    readme = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.DOTALL)
    files = {"readme.py": "".join(readme)}
    for page in sorted((ROOT / "service/src/drawbar_service/docs").glob("*.html")):
        blocks = re.findall(r'<code class="python">(.*?)</code>', page.read_text("utf-8"), re.DOTALL)
        files |= {f"{page.stem}_{number}.py": unescape(block) for number, block in enumerate(blocks)}
    assert len(files) > 3
    assert checked(tmp_path, files) == []


@pytest.mark.parametrize("name", dicts.__all__)
def test_each_dict_has_the_members_of_its_struct(name):
    members = get_type_hints(getattr(dicts, name))
    struct = getattr(models, name.removesuffix("Dict"), None)
    assert set(members) == (set(struct.__struct_fields__) if struct else {"value", "unit", "low", "high"})
