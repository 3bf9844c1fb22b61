"""The notebooks of sdk/examples as they are kept: readable, without outputs, and nothing of one machine in them.

`tests/long/notebooks.py` runs each in a kernel of its own; here the quick ones run as plain code.
"""

import json
import re
from pathlib import Path
from typing import Any

import matplotlib as mpl
import pytest

EXAMPLES = Path(__file__).resolve().parents[2] / "sdk/examples"
NOTEBOOKS = sorted(path.name for path in EXAMPLES.glob("*.ipynb"))
QUICK = ["field_trial.ipynb", "own_coefficients.ipynb"]


def cells(name: str) -> list[dict[str, Any]]:
    return json.loads((EXAMPLES / name).read_text("utf-8"))["cells"]


def code(name: str) -> list[str]:
    return ["".join(cell["source"]) for cell in cells(name) if cell["cell_type"] == "code"]


def test_there_is_one_for_each_way_to_study() -> None:
    assert NOTEBOOKS == ["county.ipynb", "field_trial.ipynb", "own_coefficients.ipynb", "sensitivity.ipynb"]


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_a_notebook_is_kept_without_outputs(name: str) -> None:
    whole = json.loads((EXAMPLES / name).read_text("utf-8"))
    assert (whole["nbformat"], whole["nbformat_minor"]) == (4, 5)
    assert set(whole["metadata"]) == {"kernelspec", "language_info"}
    ids = [cell["id"] for cell in whole["cells"]]
    assert len(set(ids)) == len(ids)
    for cell in whole["cells"]:
        assert cell["metadata"] == {}
        if cell["cell_type"] == "code":
            assert (cell["outputs"], cell["execution_count"]) == ([], None)
    title = whole["cells"][0]
    assert title["cell_type"] == "markdown"
    assert title["source"][0].startswith("# ")
    assert "pip install" in "".join(title["source"])


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_a_notebook_names_no_place_and_no_address(name: str) -> None:
    text = "\n".join("".join(cell["source"]) for cell in cells(name))
    assert re.findall(r"https?://|/work/|/tmp/|/home/|[A-Z]:\\", text) == []
    for source in code(name):
        compile(source, name, "exec")


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_pictures_of_a_notebook_come_from_the_sdk(name: str) -> None:
    assert not re.search(r"matplotlib|pyplot|plt\.", "\n".join(code(name)))


@pytest.mark.parametrize("name", QUICK)
def test_a_quick_notebook_runs(name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    monkeypatch.chdir(EXAMPLES)
    known: dict[str, Any] = {}
    for source in code(name):
        exec(compile(source, name, "exec"), known)
    drawn = [plt.figure(number) for number in plt.get_fignums()]
    assert len(drawn) >= 2
    for figure in drawn:
        assert any(axes.get_xlabel() for axes in figure.axes)
    plt.close("all")
    assert capsys.readouterr().out
