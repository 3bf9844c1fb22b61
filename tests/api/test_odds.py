import copy

import msgspec
import numpy as np
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.answer import MatchAnswer
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.api.v1.sensitivity.answer import SensitivityAnswer
from drawbar_service.engine.match import excess, operate
from drawbar_service.quantities import decode_quantity


def match(**changes) -> MatchAnswer:
    body = copy.deepcopy(dict(MATCH.example)) | changes
    return MATCH.compute(msgspec.convert(body, MATCH.request, dec_hook=decode_quantity), Ledger("metric"))


def sensitivity(**changes) -> SensitivityAnswer:
    body = copy.deepcopy(dict(SENSITIVITY.example)) | changes
    return SENSITIVITY.compute(msgspec.convert(body, SENSITIVITY.request, dec_hook=decode_quantity), Ledger("metric"))


def test_no_odds_unless_asked():
    assert match().odds is None


def test_odds_agree_with_plain_monte_carlo():
    """A million plain random scenarios through the same chain, against 4,096 scrambled ones."""
    from drawbar_service.engine.draft import NO_DRAFT
    from drawbar_service.model.implement import tool_drafts
    from drawbar_service.model.match import resolve

    answer = match(odds={})
    request = msgspec.convert(dict(MATCH.example), MATCH.request, dec_hook=decode_quantity)
    case = resolve(request, Ledger("metric"))
    assert case.tractor is not None
    scores = np.random.default_rng(3).standard_normal(1_000_000)
    terms = NO_DRAFT
    for draft in tool_drafts(request.implement, request.soil, Ledger("metric")):
        terms = terms.plus(draft.terms, np.exp(scores * draft.sigma(2.0)))
    work = case.work[0]._replace(draft=terms)
    point = operate(case.tractor.engine, work, 8.0 / 3.6)
    holds = np.mean(excess(point, case.tractor.engine, case.limits).greatest() <= 0.0)
    in_band = np.mean((point.slip >= case.surface.slip_band_low) & (point.slip <= case.surface.slip_band_high))
    assert answer.odds is not None
    assert float(answer.odds.holds_speed.value) == pytest.approx(holds, abs=0.005)
    assert float(answer.odds.slip_in_band.value) == pytest.approx(in_band, abs=0.005)


def test_same_seed_same_odds():
    assert match(odds={"seed": 5}).odds == match(odds={"seed": 5}).odds
    assert match(odds={"seed": 5}).odds != match(odds={"seed": 6}).odds


def test_chances_add_up_and_spreads_are_ordered():
    odds = match(odds={"spreads": {"cone_index": "25 %", "depth": "10 %", "speed": "5 %"}}).odds
    assert odds is not None
    assert odds.slip_in_band.value + odds.slip_below_band.value <= 1.0
    assert odds.holds_speed.value <= odds.goes_at_all.value
    for reading in (odds.load_fraction, odds.slip, odds.held_speed, odds.capacity, odds.fuel_per_area):
        assert reading.low is not None
        assert reading.high is not None
        assert reading.low <= reading <= reading.high


def test_more_spread_means_wider_answers():
    narrow = match(odds={"range_deviations": 4.0}).odds
    wide = match(odds={"range_deviations": 1.0}).odds
    assert narrow is not None
    assert wide is not None
    assert wide.slip.high - wide.slip.low > narrow.slip.high - narrow.slip.low


def test_sensitivity_ranks_the_draft_first_and_names_what_to_measure():
    outputs = {one.output: one for one in sensitivity().outputs}
    pull = outputs["pull"]
    assert [share.input for share in pull.inputs][:2] == ["draft", "depth"]
    assert sum(share.first_order for share in pull.inputs) == pytest.approx(1.0, abs=0.05)
    assert "pull" in pull.advice
    assert outputs["capacity"].inputs == []


def test_sensitivity_says_when_nothing_is_uncertain():
    body = copy.deepcopy(dict(MATCH.example))
    trailer = {"hitch": "drawbar", "width": "6 m", "mass": "9 t", "vertical_load": "15 kN"}
    answer = sensitivity(tractor=body["tractor"], implement=trailer, odds={})
    assert all(output.inputs == [] for output in answer.outputs)
    assert "/odds/spreads" in {notice.pointer for notice in answer.about.warnings}


def test_the_odds_of_what_would_fit_agree_with_the_search_one_scenario_at_a_time():
    body = {"samples": 256, "spreads": {"cone_index": "25 %", "depth": "10 %"}}
    answer = match(odds=body, find=["speed", "width", "depth"])
    assert answer.odds is not None
    greatest, central = answer.odds.greatest, answer.greatest
    for reading, found in (
        (greatest.speed, central.speed),
        (greatest.width, central.width),
        (greatest.depth, central.depth),
    ):
        assert reading is not None
        assert found is not None
        assert found.value is not None
        assert reading.low is not None
        assert reading.high is not None
        assert reading.low < reading < reading.high
        # The median scenario is the central one but for whole tools and the bend of the laws.
        assert reading == pytest.approx(float(found.value), rel=0.1)


def test_a_machine_of_the_median_width_holds_its_speed_in_half_the_scenarios():
    body = copy.deepcopy(dict(MATCH.example))

    def disk(width):
        tool = {"tool": "disk-harrow.tandem-primary", "width": f"{width} m", "depth": "12 cm"}
        return match(implement=body["implement"] | {"tools": [tool]}, odds={}, find=["width"]).odds

    odds = disk(4.0)
    assert odds is not None
    assert odds.greatest.width is not None
    wider = disk(float(odds.greatest.width))
    assert wider is not None
    assert float(wider.holds_speed.value) == pytest.approx(0.5, abs=0.01)


def test_what_is_not_asked_for_has_no_odds():
    odds = match(odds={}, find=["speed"]).odds
    assert odds is not None
    assert odds.greatest.width is None
    assert odds.greatest.depth is None


# ---- draft and cone index that go together


def spread_of_slip(correlation: float | None) -> float:
    asked = {"spreads": {"cone_index": "25 %"}} | ({} if correlation is None else {"correlation": correlation})
    odds = match(odds=asked).odds
    assert odds is not None
    assert odds.slip.high is not None
    assert odds.slip.low is not None
    return float(odds.slip.high) - float(odds.slip.low)


def test_slip_varies_less_the_more_firm_soil_pulls_hard():
    widths = [spread_of_slip(correlation) for correlation in (-1.0, -0.5, 0.0, 0.5, 1.0)]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.85 * widths[0]
    assert spread_of_slip(None) == widths[2]


def test_correlated_odds_agree_with_plain_monte_carlo():
    """Two million plain scenarios in which one normal score is shared, against 16,384 scrambled ones."""
    from drawbar_service.engine.draft import NO_DRAFT
    from drawbar_service.engine.odds import log_sigma
    from drawbar_service.model.implement import tool_drafts
    from drawbar_service.model.match import resolve

    shared, cone_index = 0.6, 0.25
    answer = match(odds={"samples": 16384, "spreads": {"cone_index": cone_index}, "correlation": shared}).odds
    request = msgspec.convert(dict(MATCH.example), MATCH.request, dec_hook=decode_quantity)
    case = resolve(request, Ledger("metric"))
    tractor = case.tractor.engine
    pull, other = np.random.default_rng(5).standard_normal((2, 2_000_000))
    soil = np.exp((shared * pull + np.sqrt(1.0 - shared**2) * other) * log_sigma(cone_index, 1.0))
    terms = NO_DRAFT
    for draft in tool_drafts(request.implement, request.soil, Ledger("metric")):
        terms = terms.plus(draft.terms, np.exp(pull * draft.sigma(2.0)))
    tractor = tractor._replace(
        front=tractor.front._replace(stiffness=tractor.front.stiffness * soil),
        rear=tractor.rear._replace(stiffness=tractor.rear.stiffness * soil),
    )
    slip = operate(tractor, case.work[0]._replace(draft=terms), 8.0 / 3.6).slip
    assert answer is not None
    low, middle, high = np.quantile(slip, [0.05, 0.5, 0.95])
    for found, expected in ((answer.slip.low, low), (answer.slip, middle), (answer.slip.high, high)):
        assert float(found) == pytest.approx(expected, rel=0.01)


def test_a_correlation_alone_is_not_used_and_shares_of_variance_have_none():
    answer = match(odds={"correlation": 0.5})
    assert "/odds/correlation" in {notice.pointer for notice in answer.about.warnings}
    with pytest.raises(ImpossibleInput) as refused:
        sensitivity(odds={"spreads": {"cone_index": "25 %"}, "correlation": 0.5})
    assert [fault.pointer for fault in refused.value.faults] == ["/odds/correlation"]
