import copy
from typing import Any, NamedTuple

import msgspec
import numpy as np
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.calibration import CALIBRATION
from drawbar_service.api.v1.calibration.answer import CalibrationAnswer
from drawbar_service.api.v1.match import MATCH
from drawbar_service.engine.fuel import fuel_at_part_speed
from drawbar_service.engine.match import operate
from drawbar_service.engine.odds import END_SCORE
from drawbar_service.model.implement import draft_sigma
from drawbar_service.model.match import resolve
from drawbar_service.quantities import decode_quantity, encode_metric, encode_us
from drawbar_service.reference import draft_row

BASE: dict[str, Any] = {name: CALIBRATION.example[name] for name in ("tractor", "implement", "soil")}
MASS = "2 t"
"""Of the implement, which counts on a slope."""


def calibrate(body: dict[str, Any], units="metric") -> CalibrationAnswer:
    request = msgspec.convert(body, CALIBRATION.request, dec_hook=decode_quantity)
    return CALIBRATION.compute(request, Ledger(units))


def with_runs(*runs: dict[str, Any], **changes: Any) -> dict[str, Any]:
    body = copy.deepcopy(BASE) | {"runs": list(runs)} | changes
    body["implement"].setdefault("mass", MASS)
    return body


def faults(body: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as refusal:
        calibrate(body)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


class Pulling(NamedTuple):
    """A tractor at work in a made world, in SI units."""

    pull: float
    slip: float
    load: float
    fuel: float


def matched(speed, multiplier=1.0, cone_index=None, slope=0.0, depth=None, **tractor):
    """What the match says of the same machine in other soil, up or down the slope: the truth of a made world."""
    body = copy.deepcopy(BASE) | {"speed": f"{speed} km/h", "field": {"slope": slope}}
    body["tractor"] |= tractor
    body["implement"]["draft_multiplier"] = multiplier
    if depth is not None:
        body["implement"]["tools"][0]["depth"] = f"{depth} cm"
    if cone_index is not None:
        body["soil"]["cone_index"] = f"{cone_index} kPa"
    body["implement"].setdefault("mass", MASS)
    request = msgspec.convert(body, MATCH.request, dec_hook=decode_quantity)
    case = resolve(request, Ledger("metric"))
    work, there = case.work.value, float(request.speed)
    point = operate(case.tractor.engine, work, there) if slope >= 0.0 else case.way_down.point(work, there)
    load = point.pto_power / case.rated
    fuel = fuel_at_part_speed(load, case.rated, tractor.get("engine_speed", 1.0))
    return Pulling(point.pull, point.slip, load, fuel)


def runs_of_a_world(multiplier, cone_index, noise=0.0, seed=0, **tractor) -> list[dict[str, Any]]:
    rng = np.random.default_rng(seed)
    runs = []
    for speed, slope, depth in (
        (5.5, 0.0, 18.0),
        (6.2, 0.03, 16.0),
        (7.0, -0.02, 18.0),
        (7.6, 0.0, 15.0),
        (6.6, 0.0, 20.0),
    ):
        work = matched(speed, multiplier, cone_index, slope, depth, **tractor)
        off = 1.0 + noise * rng.standard_normal(4)
        runs.append(
            {
                "speed": f"{speed} km/h",
                "slope": slope,
                "depth": f"{depth} cm",
                "pull": {"value": float(work.pull) * off[0], "unit": "N"},
                "slip": float(work.slip) * off[1],
                "fuel_rate": {"value": work.fuel * off[2], "unit": "m3/s"},
                "engine_load": work.load * off[3],
            }
        )
    return runs


def about(answer: CalibrationAnswer, pointer: str) -> list[str]:
    return [warning.detail for warning in answer.about.warnings if warning.pointer == pointer]


@pytest.mark.parametrize(
    "tractor",
    [{}, {"rear_follows_front": True, "engine_speed": 0.85}, {"drive": "two-wheel"}],
    ids=["as-is", "rear-in-front-track", "two-wheel"],
)
def test_what_match_says_of_a_soil_is_learned_back(tractor):
    """The chain of /v1/match and that of the calibration are one: residuals vanish at the truth."""
    exact = {f"{kind}_error": 0.001 for kind in ("pull", "slip", "fuel_rate", "engine_load")}
    body = with_runs(*(run | exact for run in runs_of_a_world(1.2, 1000.0, **tractor)))
    body["tractor"] |= tractor
    answer = calibrate(body)
    assert answer.draft_multiplier == pytest.approx(1.2, rel=2e-3)
    assert answer.cone_index == pytest.approx(1e6, rel=1e-2)
    assert max(abs(one.residual) for run in answer.runs for one in run.measurements) < 0.2
    assert answer.consistency.p_value > 0.5


def test_noisy_runs_are_learned_from_within_their_interval():
    within = []
    for seed in range(40):
        learned = calibrate(with_runs(*runs_of_a_world(1.2, 1000.0, noise=0.03, seed=seed))).learned
        median = learned.draft_multiplier.median
        within.append(median.low < 1.2 < median.high)
    # Of 40 intervals that hold 95 in 100, 38; fewer than 34 once in 300.
    assert sum(within) >= 34


def test_what_was_learned_is_said_in_full():
    answer = calibrate(with_runs(*runs_of_a_world(1.2, 1000.0, noise=0.03)))
    learned = answer.learned.draft_multiplier
    assert learned.informed
    assert learned.times_narrower > 3.0
    assert learned.times_narrower == pytest.approx(learned.prior_standard_deviation / learned.standard_deviation)
    soil = answer.learned.cone_index
    assert soil.median.low < 1e6 < soil.median.high
    assert -1.0 < answer.learned.correlation < 1.0
    assert answer.without_outliers is None
    assert not any(run.stands_out for run in answer.runs)


@pytest.mark.parametrize("hook", [encode_metric, encode_us], ids=["metric", "us"])
def test_the_answer_goes_straight_back_into_requests(hook):
    first = calibrate(dict(CALIBRATION.example))
    written = msgspec.to_builtins(first, enc_hook=hook)
    body = copy.deepcopy(dict(MATCH.example))
    body["implement"]["draft_multiplier"] = written["draft_multiplier"]
    body["soil"]["cone_index"] = written["cone_index"]
    request = msgspec.convert(body, MATCH.request, dec_hook=decode_quantity)
    assert request.implement.draft_multiplier == pytest.approx(float(first.draft_multiplier), rel=1e-12)
    assert request.soil.cone_index == pytest.approx(float(first.cone_index), rel=1e-12)


def test_match_with_the_answer_predicts_the_runs():
    answer = calibrate(with_runs(*runs_of_a_world(1.2, 1000.0, noise=0.03, seed=4)))
    work = matched(5.5, float(answer.draft_multiplier), float(answer.cone_index) / 1000.0, depth=18.0)
    predicted = answer.runs[0].predicted
    assert predicted.pull == pytest.approx(work.pull, rel=1e-9)
    assert predicted.slip == pytest.approx(work.slip, rel=1e-6)
    assert predicted.engine_load == pytest.approx(work.load, rel=1e-6)
    assert predicted.fuel_rate == pytest.approx(work.fuel, rel=1e-6)


def test_pull_alone_leaves_the_cone_index_as_it_was():
    answer = calibrate(with_runs({"speed": "6 km/h", "pull": "32 kN"}, {"speed": "7 km/h", "pull": "34 kN"}))
    soil = answer.learned.cone_index
    assert not soil.informed
    assert soil.median == pytest.approx(1.2e6, rel=1e-9)
    assert (soil.median.low, soil.median.high) == pytest.approx((soil.prior.low, soil.prior.high), rel=1e-9)
    assert soil.times_narrower == pytest.approx(1.0, rel=1e-9)
    assert about(answer, "/soil/cone_index") == ["The runs say nothing of the cone index: it is as it was before."]
    assert "stays 1200 kPa" in answer.summary


def test_the_prior_is_the_range_of_the_draft():
    """The high ends of the two rows, weighted by their drafts at 7 km/h, are 1.645 standard deviations up."""
    points, disks = draft_row("chisel-plow.twisted-shovel-10cm"), draft_row("disk-gang.primary")
    drafts = [
        row.medium * amount * depth * (row.A + row.B * 7.0 + row.C * 49.0)
        for row, amount, depth in ((points, 9, 18), (disks, 3.2, 8))
    ]
    ends = [np.exp(END_SCORE * draft_sigma(row, 2.0)) for row in (points, disks)]
    answer = calibrate(with_runs({"speed": "7 km/h", "pull": "32 kN"}))
    sigma = answer.learned.draft_multiplier.prior_standard_deviation
    assert sigma == pytest.approx(np.log(np.average(ends, weights=drafts)) / END_SCORE, rel=1e-9)
    (assumed,) = (one for one in answer.about.assumptions if one.pointer == "/prior/draft")
    assert "1.645 standard deviations" in assumed.why


def test_a_measured_cone_index_is_surer_than_a_typical_one():
    runs = ({"speed": "7 km/h", "slip": "6 %"},)
    assert calibrate(with_runs(*runs)).learned.cone_index.prior_standard_deviation == 0.3
    soil = {"texture": "medium", "surface": "firm", "cone_index": "1000 kPa"}
    measured = calibrate(with_runs(*runs, soil=soil)).learned.cone_index
    assert measured.prior_standard_deviation == 0.1
    assert measured.prior == pytest.approx(1e6)
    given = calibrate(with_runs(*runs, soil=soil, prior={"cone_index": "20 %", "draft": "5 %"}))
    assert given.learned.cone_index.prior_standard_deviation == 0.2
    assert given.learned.draft_multiplier.prior_standard_deviation == 0.05
    assert not [one for one in given.about.assumptions if one.pointer.startswith("/prior")]


def test_a_multiplier_known_before_is_where_the_search_starts():
    body = with_runs({"speed": "7 km/h", "slip": "6 %"}, prior={"draft": "1 %"})
    body["implement"]["draft_multiplier"] = 1.5
    assert calibrate(body).draft_multiplier == pytest.approx(1.5, rel=0.02)
    # Once counted, not twice: the pull that 1.5 times the table gives is no news.
    work = matched(7.0, 1.5)
    body = with_runs({"speed": "7 km/h", "pull": {"value": float(work.pull), "unit": "N"}})
    body["implement"]["draft_multiplier"] = 1.5
    assert calibrate(body).draft_multiplier == pytest.approx(1.5, rel=1e-6)


def test_a_run_that_is_off_is_reported_and_still_counted():
    runs = runs_of_a_world(1.2, 1000.0, noise=0.02, seed=1)
    sound = calibrate(with_runs(*runs))
    runs[2]["pull"]["value"] *= 1.5
    answer = calibrate(with_runs(*runs))
    assert [run.stands_out for run in answer.runs] == [False, False, True, False, False]
    (detail,) = about(answer, "/runs/2/pull")
    assert "expected from the other runs" in detail
    assert answer.draft_multiplier > sound.draft_multiplier * 1.01
    assert answer.without_outliers is not None
    assert answer.without_outliers.draft_multiplier == pytest.approx(float(sound.draft_multiplier), rel=0.02)
    assert about(answer, "/runs")


def test_two_runs_that_contradict_each_other_are_both_reported():
    answer = calibrate(with_runs({"speed": "7 km/h", "pull": "25 kN"}, {"speed": "7 km/h", "pull": "40 kN"}))
    assert [run.stands_out for run in answer.runs] == [True, True]
    for run in (0, 1):
        (detail,) = about(answer, f"/runs/{run}")
        assert "Runs 0, 1 (counted from 0) contradict each other" in detail
    assert answer.without_outliers is None


def test_one_run_far_from_the_table_is_taken_but_warned_of():
    answer = calibrate(with_runs({"speed": "7 km/h", "pull": "80 kN"}))
    assert answer.draft_multiplier > 1.8
    assert about(answer, "/implement/draft_multiplier")
    assert answer.consistency.p_value < 0.001


def test_a_pull_no_slip_carries_is_warned_of():
    answer = calibrate(with_runs({"speed": "7 km/h", "pull": "95 kN"}))
    assert [warning.pointer for warning in answer.about.warnings if warning.code == "not-carried"] == ["/runs/0"]


def test_errors_not_given_are_assumed_once_for_each_kind():
    answer = calibrate(dict(CALIBRATION.example))
    pointers = [one.pointer for one in answer.about.assumptions if one.pointer.endswith("_error")]
    assert pointers == [
        "/runs/0/pull_error",
        "/runs/0/slip_error",
        "/runs/1/fuel_rate_error",
        "/runs/3/engine_load_error",
    ]
    assert len({(one.pointer, one.value) for one in answer.about.assumptions}) == len(answer.about.assumptions)
    assert len({(one.code, one.pointer) for one in answer.about.warnings}) == len(answer.about.warnings)


def test_a_surer_instrument_counts_more():
    runs = [{"speed": "7 km/h", "pull": "30 kN"}, {"speed": "7 km/h", "pull": "32 kN"}]
    low = calibrate(with_runs(runs[0] | {"pull_error": "1 %"}, runs[1] | {"pull_error": "6 %"}))
    high = calibrate(with_runs(runs[0] | {"pull_error": "6 %"}, runs[1] | {"pull_error": "1 %"}))
    assert low.draft_multiplier < high.draft_multiplier * 0.96


WRONG = {
    "nothing measured": (with_runs({"speed": "7 km/h", "pull": "32 kN"}, {"speed": "6 km/h"}), "/runs/1", "give pull"),
    "only an error": (with_runs({"speed": "6 km/h", "pull_error": "3 %"}), "/runs/0", "nothing was measured"),
    "no pull": (with_runs({"speed": "6 km/h", "pull": "0 kN"}), "/runs/0/pull", "above 0"),
    "exact": (with_runs({"speed": "6 km/h", "pull": "32 kN", "pull_error": 0}), "/runs/0/pull_error", "0.1 %"),
    "known": (with_runs({"speed": "6 km/h", "pull": "32 kN"}, prior={"draft": 0}), "/prior/draft", "at least 1 %"),
    "tracks": (
        with_runs({"speed": "6 km/h", "pull": "32 kN"}, tractor=BASE["tractor"] | {"drive": "rubber-track"}),
        "/tractor/drive",
        "/v1/draft",
    ),
    "no tools": (
        with_runs({"speed": "6 km/h", "pull": "32 kN"}, implement={"hitch": "drawbar", "mass": "3 t"}),
        "/implement/tools",
        "ground tools",
    ),
    "unknown tool": (
        with_runs(
            {"speed": "6 km/h", "pull": "32 kN", "depth": "20 cm"},
            implement={"hitch": "drawbar", "tools": [{"tool": "chisel-plow"}]},
        ),
        "/implement/tools/0/tool",
        "chisel-plow",
    ),
    "no depth": (
        with_runs(
            {"speed": "6 km/h", "pull": "12 kN", "depth": "20 cm"},
            implement={"hitch": "drawbar", "tools": [{"tool": "roller-packer", "width": "6 m"}]},
        ),
        "/runs/0/depth",
        "leave it out",
    ),
    "newtons for kilonewtons": (
        with_runs(*({"speed": "6 km/h", "pull": "32 N", "pull_error": "0.5 %"} for _ in range(5))),
        "/runs",
        "The runs imply 0.00",
    ),
}


@pytest.mark.parametrize(("body", "pointer", "words"), WRONG.values(), ids=WRONG.keys())
def test_wrong_use_is_refused_where_it_is_wrong(body, pointer, words):
    found = faults(body)
    assert list(found) == [pointer]
    assert words in found[pointer]


def test_all_faults_come_at_once():
    body = with_runs({"speed": "6 km/h"}, {"speed": "6 km/h", "pull": "0 kN"}, prior={"cone_index": 0})
    body["tractor"] = {name: value for name, value in body["tractor"].items() if name != "wheelbase"}
    assert set(faults(body)) == {"/runs/0", "/runs/1/pull", "/prior/cone_index", "/tractor/wheelbase"}


def test_an_error_without_a_measurement_is_said_not_to_be_used():
    answer = calibrate(with_runs({"speed": "7 km/h", "pull": "32 kN", "slip_error": "1 %"}))
    assert [warning.code for warning in answer.about.warnings if warning.pointer == "/runs/0/slip_error"] == [
        "not-used"
    ]


def test_a_caution_holds_if_any_run_asks_for_it():
    steep = "Tipping over and sliding on a slope"
    runs = {"speed": "6 km/h", "pull": "30 kN"}, {"speed": "6 km/h", "pull": "34 kN", "slope": "12 %"}
    assert any(caution.startswith(steep) for caution in calibrate(with_runs(*runs)).about.cautions)
    assert not any(caution.startswith(steep) for caution in calibrate(with_runs(runs[0])).about.cautions)


def test_light_load_is_outside_what_the_fuel_equation_was_fitted_to():
    tools = [{"tool": "chisel-plow.twisted-shovel-10cm", "count": 2, "depth": "10 cm"}]
    answer = calibrate(
        with_runs({"speed": "4 km/h", "fuel_rate": "17 L/h"}, implement={"hitch": "drawbar", "tools": tools})
    )
    assert about(answer, "/runs/0/fuel_rate")
