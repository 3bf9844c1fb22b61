"""Runs that name machines and fields: each learned with the others, and a field not yet worked."""

import copy
from typing import Any

import numpy as np
import pytest
from tests.api.test_calibration import about, calibrate, runs_of_a_world, with_runs

from drawbar_service.api.v1.calibration.answer import CalibrationAnswer

TRUE = {"millrace": (1.25, 1000.0), "sluice": (1.05, 800.0), "long-close": (1.15, 1200.0), "ridge": (1.35, 1100.0)}


def on_fields(noise: float = 0.03, seed: int = 0, **names: str) -> list[dict[str, Any]]:
    return [
        {**run, "field": field, **names}
        for number, (field, (multiplier, cone_index)) in enumerate(TRUE.items())
        for run in runs_of_a_world(multiplier, cone_index, noise=noise, seed=10 * seed + number)
    ]


@pytest.fixture(scope="module")
def answer() -> CalibrationAnswer:
    return calibrate(with_runs(*on_fields()))


def test_without_names_there_are_no_groups() -> None:
    runs = runs_of_a_world(1.2, 1000.0, noise=0.03)
    plain = calibrate(with_runs(*runs))
    named = calibrate(with_runs(*({**run, "field": "millrace"} for run in runs)))
    assert plain.groups is None
    assert named.groups is not None
    assert plain.learned == named.learned
    (only,) = named.groups.each
    assert only.draft_multiplier == pytest.approx(plain.draft_multiplier, rel=1e-6)
    assert only.draft_deviation == pytest.approx(plain.learned.draft_multiplier.standard_deviation, rel=1e-6)
    assert only.cone_index == pytest.approx(plain.cone_index, rel=1e-6)
    assert only.cone_index_deviation == pytest.approx(plain.learned.cone_index.standard_deviation, rel=1e-6)
    assert only.correlation == pytest.approx(plain.learned.correlation, rel=1e-6)
    assert named.groups.between_fields is named.groups.between_machines is None


def test_each_field_is_learned(answer: CalibrationAnswer) -> None:
    assert answer.groups is not None
    assert [one.field for one in answer.groups.each] == list(TRUE)
    assert [one.runs for one in answer.groups.each] == np.arange(20).reshape(4, 5).tolist()
    for one in answer.groups.each:
        multiplier, cone_index = TRUE[str(one.field)]
        assert one.draft_multiplier.low < multiplier < one.draft_multiplier.high
        assert one.cone_index.low < 1e3 * cone_index < one.cone_index.high
    assert answer.groups.between_fields is not None
    assert 0.05 < answer.groups.between_fields < 0.25


def test_a_field_not_yet_worked_is_less_sure_than_any_other(answer: CalibrationAnswer) -> None:
    assert answer.groups is not None
    (new,) = answer.groups.elsewhere
    assert new.machine is None
    assert new.draft_deviation > max(one.draft_deviation for one in answer.groups.each)
    assert new.draft_multiplier.low < min(one for one, _ in TRUE.values())
    assert new.draft_multiplier.high > max(one for one, _ in TRUE.values())


def test_a_field_of_one_poor_run_is_drawn_towards_the_others(answer: CalibrationAnswer) -> None:
    poor = {"speed": "7 km/h", "engine_load": "45 %", "engine_load_error": "20 %", "field": "new"}
    both = calibrate(with_runs(*on_fields(), poor))
    alone = calibrate(with_runs({**poor, "field": None}))
    assert both.groups is not None
    common = both.groups.elsewhere[0].draft_multiplier
    drawn = both.groups.each[-1].draft_multiplier
    assert abs(np.log(drawn / common)) < abs(np.log(alone.draft_multiplier / common))
    assert both.groups.each[-1].draft_deviation < alone.learned.draft_multiplier.standard_deviation


def test_machines_and_fields_add_up() -> None:
    runs = on_fields(machine="heron")
    for run in on_fields(seed=3, machine="wren")[:10]:
        heavier = copy.deepcopy(run)
        heavier["pull"]["value"] *= 1.2
        runs.append({name: heavier[name] for name in ("speed", "slope", "depth", "field", "machine", "pull")})
    found = calibrate(with_runs(*runs))
    assert found.groups is not None
    assert [one.machine for one in found.groups.elsewhere] == ["heron", "wren", None]
    heron, wren, other = found.groups.elsewhere
    assert 1.08 < wren.draft_multiplier / heron.draft_multiplier < 1.25
    assert other.draft_deviation > heron.draft_deviation
    assert "2 machines say little" in about(found, "/runs")[-1]


def test_checks_say_whether_runs_go_with_what_is_assumed(answer: CalibrationAnswer) -> None:
    assert answer.groups is not None
    assert answer.groups.after.inside >= 0.8
    assert answer.groups.after.p_value > 0.05
    off = on_fields()
    for number, run in enumerate(off):
        run["pull"]["value"] *= (0.7, 1.3)[number % 2]
    wrong = calibrate(with_runs(*off))
    assert wrong.groups is not None
    assert wrong.groups.after.inside < 0.8
    assert wrong.groups.after.p_value < 0.01


def test_checks_before_the_runs_come_out_as_often_as_they_say() -> None:
    """Worlds drawn from what is known before: shares inside are 9 in 10, and any p-value is as likely as another."""
    inside: list[float] = []
    p_values: list[float] = []
    spread = calibrate(with_runs(*on_fields()[:1])).learned.draft_multiplier.prior_standard_deviation
    for seed in range(30):
        random = np.random.default_rng(seed)
        runs: list[dict[str, Any]] = []
        for number in range(3):
            multiplier = float(np.exp(spread * random.standard_normal()))
            cone_index = 1100.0 * float(np.exp(0.3 * random.standard_normal()))
            made = runs_of_a_world(multiplier, cone_index, noise=0.03, seed=100 + 10 * seed + number)
            runs += [{**run, "field": f"field {number}"} for run in made]
        groups = calibrate(with_runs(*runs)).groups
        assert groups is not None
        inside.append(groups.before.inside)
        p_values.append(groups.before.p_value)
    assert np.mean(inside) == pytest.approx(0.9, abs=0.1)
    assert np.mean(p_values) == pytest.approx(0.5, abs=0.15)
    assert np.mean(np.array(p_values) < 0.1) < 0.25
