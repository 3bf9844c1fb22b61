"""Requests as plain dicts: a type checker takes the good ones and refuses the wrong ones."""

import json
import subprocess
import sys
from pathlib import Path
from typing import get_type_hints

import pytest
from tests.sdk.typed_requests import source

from drawbar import dicts, models

ROOT = Path(__file__).resolve().parents[2]
CONTRACT = json.loads((ROOT / "openapi/drawbar-v1.json").read_text("utf-8"))


@pytest.mark.skipif(not Path(sys.executable).with_name("basedpyright").exists(), reason="basedpyright is not there")
def test_a_type_checker_knows_a_good_request_from_a_wrong_one(tmp_path):
    text, wrong = source(CONTRACT)
    (tmp_path / "requests.py").write_text(text, "utf-8")
    settings = {"typeCheckingMode": "standard", "extraPaths": [str(ROOT / "sdk/src")], "include": ["requests.py"]}
    (tmp_path / "pyrightconfig.json").write_text(json.dumps(settings), "utf-8")
    command = (
        Path(sys.executable).with_name("basedpyright"),
        "--outputjson",
        "--pythonpath",
        sys.executable,
        "-p",
        tmp_path,
    )
    done = subprocess.run([str(word) for word in command], cwd=tmp_path, capture_output=True, text=True)
    found = json.loads(done.stdout)["generalDiagnostics"]
    errors = [one for one in found if one["severity"] == "error"]
    assert {one["range"]["start"]["line"] + 1 for one in errors} == set(wrong), errors


@pytest.mark.parametrize("name", dicts.__all__)
def test_each_dict_has_the_members_of_its_struct(name):
    members = get_type_hints(getattr(dicts, name))
    struct = getattr(models, name.removesuffix("Dict"), None)
    assert set(members) == (set(struct.__struct_fields__) if struct else {"value", "unit", "low", "high"})
