"""POST /v1/completion: what it answers, what it warns of, and what it refuses."""

import copy
import datetime
import math

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.completion.answer import CompletionAnswer
from drawbar_service.quantities import decode_quantity

TIMELINESS = {"loss": "0.7 %", "crop_yield": "8 t/ha", "price": "190 money/t"}


def completion(units="metric", **changes) -> CompletionAnswer:
    body = copy.deepcopy(dict(COMPLETION.example)) | changes
    return COMPLETION.compute(msgspec.convert(body, COMPLETION.request, dec_hook=decode_quantity), Ledger(units))


def faults(**changes) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as caught:
        completion(**changes)
    return {fault.pointer: fault.detail for fault in caught.value.faults}


def codes(answer) -> list[tuple[str, str]]:
    return [(notice.code, notice.pointer) for notice in answer.about.warnings]


def test_the_answer_hangs_together():
    answer = completion(passes=2, timeliness=TIMELINESS)
    assert answer.calendar_days == 37
    assert answer.days_needed == pytest.approx(180 * 2 / (3.1 * 9 * 0.95))
    assert answer.days_expected == pytest.approx(13.5)
    assert answer.days_spread == pytest.approx(4.8)
    assert answer.curve[-1].date == datetime.date(2027, 11, 25)
    assert answer.curve[-1].chance == pytest.approx(float(answer.chance))
    chances = [float(point.chance) for point in answer.curve]
    assert chances == sorted(chances)
    gains = [float(lever.gain) for lever in answer.levers]
    assert gains == sorted(gains, reverse=True)
    assert {lever.name for lever in answer.levers} >= {"one-pass-fewer", "longer-day", "another-machine"}
    assert all(lever.saves is not None and lever.saves >= 0.0 for lever in answer.levers)
    assert answer.delay is not None
    assert float(answer.delay.one_sided) == pytest.approx(2.0 * float(answer.delay.balanced))


def test_a_record_speaks_for_itself_where_it_is_of_this_window():
    history = [12.5, 9.0, 17.0, 14.0, 5.0, 21.0, 11.0, 13.0]
    answer = completion(suitable={"history": history})
    assert answer.recorded is not None
    assert answer.recorded.years == 8
    assert float(answer.recorded.share) == sum(days >= answer.days_needed for days in history) / 8
    assert answer.recorded.share.low < answer.recorded.share < answer.recorded.share.high
    assert answer.chance.low < answer.chance < answer.chance.high
    assert completion(suitable={"history": history, "period_days": 30}).recorded is None


def test_one_more_of_everything_helps():
    now = float(completion().chance)
    assert float(completion(machine_count=2).chance) > now
    assert float(completion(workday="11 h").chance) > now
    assert float(completion(area="150 ha").chance) > now
    assert float(completion(done="40 ha").chance) > now
    assert float(completion(passes=2).chance) < now
    assert float(completion(time_lost="30 %").chance) < now


def test_a_row_of_the_table_warns_that_it_is_far_away():
    answer = completion(suitable={"row": "illinois-central.spring"})
    assert ("rough-estimate", "/suitable/row") in codes(answer)
    assert "illinois-fefo-2010" in answer.about.sources


def test_a_row_without_spread_gives_no_chance():
    told = faults(suitable={"row": "illinois.fall"})
    assert "spread" in told["/suitable/row"]


def test_years_that_hardly_differ_are_told():
    answer = completion(suitable={"mean": 13.5, "spread": 0.5})
    assert ("outside-range", "/suitable/spread") in codes(answer)


def test_a_window_longer_than_the_record_is_told():
    answer = completion(suitable={"mean": 8.0, "spread": 3.5, "period_days": 20})
    assert ("outside-range", "/suitable/period_days") in codes(answer)


def test_worst_and_best_year_stand_in_for_a_spread():
    answer = completion(suitable={"mean": 13.5, "least": 6.0, "most": 22.0, "years": 20})
    assert any(one.pointer == "/suitable/spread" for one in answer.about.assumptions)
    assert answer.chance.low is not None


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"end": "2027-10-01"}, "/end"),
        ({"end": "2029-10-01"}, "/end"),
        ({"start": "9999-12-20", "end": "9999-12-31"}, "/start"),
        ({"done": "200 ha"}, "/done"),
        ({"capacity_low": "3 ha/h"}, "/capacity_high"),
        ({"capacity_high": "4 ha/h"}, "/capacity_low"),
        ({"capacity_low": "3.5 ha/h", "capacity_high": "4 ha/h"}, "/capacity_low"),
        ({"capacity_low": "2 ha/h", "capacity_high": "3 ha/h"}, "/capacity_high"),
        ({"breakdowns": "tillage", "time_lost": "5 %"}, "/breakdowns"),
        ({"breakdowns": "tilage"}, "/breakdowns"),
        ({"suitable": {"mean": 12.0, "spread": 17.4}}, "/suitable/spread"),
        ({"suitable": {}}, "/suitable"),
        ({"suitable": {"mean": 12.0, "row": "illinois-central.spring"}}, "/suitable"),
        ({"suitable": {"mean": 12.0}}, "/suitable/spread"),
        ({"suitable": {"mean": 38.0, "spread": 2.0}}, "/suitable/mean"),
        ({"suitable": {"history": [12.0, 40.0, 9.0]}}, "/suitable/history"),
        ({"suitable": {"mean": 12.0, "least": 13.0, "most": 20.0, "years": 9}}, "/suitable/least"),
        ({"suitable": {"row": "atlantis"}}, "/suitable/row"),
        ({"timeliness": TIMELINESS | {"row": "tillage"}}, "/timeliness"),
        ({"timeliness": {"row": "tilage", "crop_yield": "8 t/ha", "price": "190 money/t"}}, "/timeliness/row"),
    ],
)
def test_what_cannot_be_is_refused_at_its_place(changes, pointer):
    assert pointer in faults(**changes)


def test_loss_from_the_table_has_a_range():
    answer = completion(timeliness={"row": "corn-planting.illinois", "crop_yield": "8 t/ha", "price": "190 money/t"})
    assert answer.delay is not None
    assert answer.delay.loss == pytest.approx(0.007)
    assert answer.delay.expected.low < answer.delay.expected < answer.delay.expected.high


def test_us_units_say_the_same():
    metric = completion()
    us = completion("us", area=f"{180 / 0.40468564224} ac", capacity=f"{3.1 / 0.40468564224} ac/h")
    assert float(us.chance) == pytest.approx(float(metric.chance), rel=1e-9)
    assert us.dates == metric.dates


@given(st.floats(0.0, 37.0), st.floats(0.0, 0.999), st.integers(1, 20))
def test_any_weather_gives_a_chance(mean, part, machines):
    spread = part * math.sqrt(mean * (37.0 - mean))
    answer = completion(suitable={"mean": mean, "spread": spread}, machine_count=machines)
    assert 0.0 <= answer.chance <= 1.0


def test_dates_are_told_no_further_than_the_days_are():
    tight = completion(area="400 ha")
    assert tight.dates.likely is None
    assert "2027-11-25" in (tight.dates.why_null or "")
    assert "80 in 100 is not reached" in tight.summary
    # The same share of days, told for twice as long, reaches further.
    longer = completion(area="400 ha", suitable={"mean": 27.0, "spread": 9.6, "period_days": 74})
    assert longer.dates.likely is not None
    assert longer.dates.likely > datetime.date(2027, 11, 25)
    # A day's work, with 13.5 of 37 days suitable: more likely than not by the second.
    small = completion(area="20 ha").dates
    assert (small.even, small.why_null) == (datetime.date(2027, 10, 21), None)


def test_a_capacity_that_is_known_to_a_range_is_taken_in():
    sure = completion(area="330 ha")
    vague = completion(area="330 ha", capacity_low="2 ha/h", capacity_high="4.4 ha/h")
    assert vague.days_needed == sure.days_needed
    # A need that may be more or less makes a likely end less sure, and an unlikely one less out of reach.
    assert float(vague.curve[-1].chance) == pytest.approx(float(vague.chance))
    assert float(vague.curve[10].chance) > float(sure.curve[10].chance)
    easy = {"area": "180 ha", "capacity_low": "1.2 ha/h", "capacity_high": "3.2 ha/h"}
    assert float(completion(**easy).chance) < float(completion().chance)
    same = completion(capacity_low="3.1 ha/h", capacity_high="3.1 ha/h")
    assert float(same.chance) == pytest.approx(float(completion().chance), abs=1e-12)


def test_breakdowns_from_the_table_take_their_hours_off():
    answer = completion(breakdowns="tillage", machine_count=2)
    assert answer.days_needed == pytest.approx((180 / (3.1 * 2) + 13.6) / 9)
    assert ("rough-estimate", "/breakdowns") in codes(answer)
    assert not any(one.pointer == "/time_lost" for one in answer.about.assumptions)


def test_delay_never_costs_more_than_the_crop():
    answer = completion(suitable={"mean": 0.0, "spread": 0.0}, timeliness=TIMELINESS)
    assert float(answer.delay.expected) == pytest.approx(180 * 8 * 190)


def test_a_spread_only_just_too_wide_is_that_of_few_years():
    # Of two years, one all fit: the spread is 37/sqrt(2), above 18.5 for many years.
    completion(suitable={"mean": 18.5, "spread": 26.1, "years": 2})
    assert "/suitable/spread" in faults(suitable={"mean": 18.5, "spread": 26.1})
    completion(suitable={"history": [0.0, 37.0, 37.0]})
