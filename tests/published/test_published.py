"""Published figures, reproduced: each check of `cases.py` comes to its verdict, and the page says the same."""

import subprocess
import sys
from pathlib import Path

import pytest
from tests.published import cases, report
from tests.published.cases import MET, MISFIT, NOT_MET

from drawbar_service.api.v1.draft import DRAFT


def assert_holds(check):
    assert check.verdict in (MET, MISFIT), f"{check.quantity}: {check.ours} for {check.published}; {check.explained}"
    assert (check.misfit is None) == (check.reason == ""), "a misfit states its reason, and nothing else does"


def test_every_example_is_worked_out():
    assert cases.EXAMPLES.keys() == cases.WORKED.keys()


@pytest.mark.parametrize("example", cases.EXAMPLES.values(), ids=cases.EXAMPLES)
def test_published_example(example):
    for check in cases.example_checks(example):
        assert_holds(check)


def test_draft_of_the_published_example_over_the_wire():
    # The example gives its own soil factor, so the multiplier brings the table's to it.
    example = cases.EXAMPLES["draft-01"]
    given = example["inputs"]
    tool = {"tool": "chisel-plow.straight-point-5cm", "count": given["tools"], "depth": given["depth"]}
    body = {
        "implement": {"hitch": "drawbar", "tools": [tool], "draft_multiplier": given["texture_factor"] / 0.85},
        "soil": {"texture": "medium", "surface": "firm"},
        "speed": given["speed"],
    }
    found = float(cases.answer(DRAFT, body).draft.total)
    assert found == pytest.approx(cases.si(example["published"]["draft"]), rel=example["tolerance"])


@pytest.mark.parametrize("row", cases.CAPACITIES, ids=[f"{row['machine']}, {row['size']}" for row in cases.CAPACITIES])
def test_published_field_capacity(row):
    assert_holds(cases.capacity_check(row))


@pytest.mark.parametrize("figure", cases.field_figures(), ids=lambda figure: f"{figure.check.id}, {figure.check.topic}")
def test_published_power_and_fuel_of_an_operation(figure):
    assert_holds(figure.check)


def test_as_many_field_figures_lie_in_the_stated_range_as_before():
    stated = cases.OPERATIONS["inside_range"]
    found = {name: sum(one.inside for one in cases.field_figures() if one.check.topic == name) for name in stated}
    assert found == stated


def test_fuel_from_the_printed_power_is_nearer_when_turns_burn_less():
    # 13.4 % if turns burn as work does.
    assert cases.fuel_error_of_printed_power() < 0.08 < 0.13 < cases.fuel_error_of_printed_power(1.0)


def test_every_field_figure_lies_in_the_range_of_one_who_knows_nothing_of_soil_and_tractor():
    assert [one.check.id for one in cases.field_figures() if not one.inside_unknown] == []


# ---- ours: arithmetic and tire sizes


@pytest.mark.parametrize("wheel", cases.DERIVED["wheel"], ids=lambda wheel: f"{wheel['model']}, Bn {wheel['mobility']}")
def test_derived_arithmetic_of_a_wheel(wheel):
    found = cases.wheel_values(wheel)
    assert found == pytest.approx({name: wheel[name] for name in found}, abs=6e-5)


@pytest.mark.parametrize("row", cases.DERIVED["size"], ids=lambda row: row["size"])
def test_a_metric_size_defines_its_dimensions(row):
    found = cases.size_lengths(row)
    assert found == pytest.approx({name: row[name] for name in found}, rel=1e-12)


@pytest.mark.parametrize("row", cases.DERIVED["inch_size"], ids=lambda row: row["size"])
def test_an_inch_size_is_estimated_within_three_percent(row):
    assert cases.inch_diameter(row) == pytest.approx(row["diameter_in"], rel=0.03)


# ---- the page


def test_the_page_is_what_the_checks_give_today():
    assert report.PAGE.read_text("utf-8") == report.page(), "run: python tests/published/report.py"


def test_the_page_owns_up_to_no_failure():
    assert f"| {NOT_MET}" not in report.page()
    assert report.page().count(f"{NOT_MET}: 0.") == 2


def test_a_wrong_constant_is_shown_as_not_met(monkeypatch):
    monkeypatch.setattr(cases.power, "pto_from_engine", lambda power, ratio: 1.1 * power * ratio)
    text = report.page()
    assert sum(line.startswith("| power-02 ") and line.endswith(f"| {NOT_MET} |") for line in text.splitlines()) == 1
    assert "NOT MET: 2." in text
    with pytest.raises(AssertionError, match=NOT_MET):
        test_published_example(cases.EXAMPLES["power-02"])


def test_a_misfit_that_fits_now_is_not_met():
    marked = cases.EXAMPLES["fuel-01"] | {"off": -0.0016, "off_because": "it did once"}
    (check,) = cases.example_checks(marked)
    assert check.explained == "NOT MET: marked as a misfit of -0.16 %, which it no longer is"


def test_the_page_is_the_same_on_processors_that_round_differently():
    # The last bits of a value that ends in 5 must not decide how it is printed.
    for value in (0.92450, 14.545, 68512.5, 0.00012345):
        assert report.number(value * (1 - 4e-16)) == report.number(value * (1 + 4e-16))
    assert report.percent(-1e-16) == report.percent(1e-16) == "0.00 %"


def test_check_says_that_the_page_is_out_of_date(tmp_path, monkeypatch, capsys):
    page = tmp_path / "VALIDATION.md"
    page.write_text("old\n", "utf-8")
    monkeypatch.setattr(report, "PAGE", page)
    assert report.main(["--check"]) == 1
    assert "run: python tests/published/report.py" in capsys.readouterr().err
    assert report.main([]) == 0
    assert report.main(["--check"]) == 0
    assert report.main(["--nonsense"]) == 2


def test_the_script_runs_from_anywhere(tmp_path):
    script = Path(report.__file__)
    run = subprocess.run([sys.executable, script, "--check"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (0, "")
