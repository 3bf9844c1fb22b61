"""What is committed is what it is made from today: contract, SDK, its copies of the service, the README."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FILES = (
    "README.md",
    "openapi/drawbar-v1.json",
    "sdk/src/drawbar/models.py",
    "sdk/src/drawbar/dicts.py",
    "sdk/src/drawbar/_calculations.py",
    "sdk/src/drawbar/_async_calculations.py",
    "sdk/src/drawbar/_limits.py",
    "sdk/src/drawbar/_names.py",
    "sdk/src/drawbar/_units.py",
    "service/src/drawbar_service/workbench/limits.js",
    "service/src/drawbar_service/api/contract.json",
    "service/src/drawbar_service/docs/equations.json",
    "service/src/drawbar_service/reference/data/unit_factors.json",
    *(f"sdk/src/drawbar/_sync_{name}.py" for name in ("calculations", "client", "core", "run", "transport")),
    *(f"sdk/src/drawbar/{name}.py" for name in ("_flat_buffers", "_arrow_stream", "_arrow_out")),
)
MADE_FROM = (
    *(f"sdk/src/drawbar/_async_{name}.py" for name in ("client", "core", "run", "transport")),
    *(f"service/src/drawbar_service/batch/{name}.py" for name in ("flat", "arrow_stream", "arrow_out")),
)


@pytest.fixture(scope="module")
def generated():
    sys.path.insert(0, str(ROOT / "openapi"))
    try:
        import generate

        return generate.generated()
    finally:
        sys.path.remove(str(ROOT / "openapi"))


@pytest.mark.parametrize("name", FILES)
def test_what_is_committed_is_what_is_generated(generated, name):
    assert (ROOT / name).read_text("utf-8") == generated[name], "run: python openapi/generate.py"


def test_these_are_all_that_is_generated(generated):
    assert sorted(generated) == sorted(FILES)


def test_a_type_on_both_sides_is_refused():
    """A request is strict and an answer is not, so one class cannot stand for both."""
    sys.path.insert(0, str(ROOT / "openapi"))
    try:
        from sdk_models import models
    finally:
        sys.path.remove(str(ROOT / "openapi"))
    reference = {"schema": {"$ref": "#/components/schemas/Both"}}
    operation = {
        "requestBody": {"content": {"application/json": reference}},
        "responses": {"200": {"content": {"application/json": reference}}},
    }
    contract = {
        "paths": {"/x": {"post": operation}},
        "components": {"schemas": {"Both": {"type": "object", "description": "Both."}}},
    }
    with pytest.raises(ValueError, match="Both; give each side its own type"):
        models(contract)


def test_check_says_which_file_is_out_of_date(tmp_path):
    programs = [program.stem for program in (ROOT / "openapi").glob("*.py")]
    for name in (*(f"openapi/{program}.py" for program in programs), *MADE_FROM, *FILES):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes((ROOT / name).read_bytes())
    models = tmp_path / "sdk/src/drawbar/models.py"
    models.write_text(models.read_text("utf-8") + "# edited\n", "utf-8")
    check = (sys.executable, str(tmp_path / "openapi/generate.py"), "--check")
    run = subprocess.run(check, capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (
        1,
        "sdk/src/drawbar/models.py is out of date; run: python openapi/generate.py\n",
    )
