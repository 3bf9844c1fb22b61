"""POST /v1/completion with a record of days week by week, and with the weeks of this year so far."""

import copy
import datetime

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.completion.answer import CompletionAnswer
from drawbar_service.model.days import record_of_weeks
from drawbar_service.model.findings import Findings
from drawbar_service.quantities import decode_quantity
from drawbar_service.reference import suitable_weeks

WINDOW = {"start": "2027-10-04", "end": "2027-11-07"}
"""Weeks 40 to 44."""
AN_AREA_A_DAY = {"capacity": "1 ha/h", "workday": "10 h", "time_lost": "0 %"}
"""With it, as many tens of hectares as days are needed."""


def completion(days=20.0, **changes) -> CompletionAnswer:
    body = {"area": f"{10.0 * days} ha"} | AN_AREA_A_DAY | WINDOW | {"record": {"id": "iowa"}} | copy.deepcopy(changes)
    return COMPLETION.compute(msgspec.convert(body, COMPLETION.request, dec_hook=decode_quantity), Ledger("metric"))


def faults(**changes) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as caught:
        completion(**changes)
    return {fault.pointer: fault.detail for fault in caught.value.faults}


def warnings(answer) -> str:
    return " ".join(one.detail for one in answer.about.warnings)


def weeks(days=lambda year, week: 3.0 + (year * 7 + week) % 4, years=range(2010, 2020), numbers=range(35, 46), **more):
    return [{"year": year, "week": week, "days": days(year, week)} | more for year in years for week in numbers]


def so_far(days, number=39, year=2027, **more):
    return [{"year": year, "week": number, "days": days} | more, {"year": year, "week": number - 1, "days": days}]


def test_the_shipped_record_says_what_the_issue_of_it_measured():
    # Weeks 40 to 44 had 20 days in 12 of the 15 years that have all five.
    answer = completion(20.0)
    assert (answer.recorded.share, answer.recorded.years) == (0.8, 15)
    assert answer.chance == pytest.approx(0.8, abs=0.05)
    assert answer.chance.low < answer.chance < answer.chance.high
    assert [one.year for one in answer.by_year if not one.enough] == [2009, 2018, 2019]
    assert [one.days for one in answer.by_week] == [7] * 5
    assert sum(float(one.suitable) * one.days for one in answer.by_week) == pytest.approx(answer.days_expected)
    assert "usda-nass-crop-progress" in answer.about.sources


def test_a_window_of_whole_weeks_takes_whole_weeks_of_every_year():
    by_hand = {2009: 0.0, 2022: 0.0}
    for row in suitable_weeks("iowa"):
        if row.year in by_hand and 40 <= row.week <= 44:
            by_hand[row.year] += row.days_suitable
    found = {one.year: one.days for one in completion().by_year}
    assert {year: found[year] for year in by_hand} == pytest.approx(by_hand)


def test_parts_of_weeks_count_by_their_days():
    answer = completion(
        start="2027-10-06", end="2027-10-12", record={"weeks": weeks(lambda _, week: abs(week - 37.0) % 8)}
    )
    # Five days of week 40, which has 3, and two of week 41, which has 4.
    assert {round(one.days, 9) for one in answer.by_year} == {round(5 * 3 / 7 + 2 * 4 / 7, 9)}


def test_whose_record_it_is_is_said():
    assert "Suitable days of Iowa" in warnings(completion())
    assert "Suitable days of" not in warnings(completion(record={"id": "iowa", "own": True}))
    own = {"weeks": weeks(), "place": "the home farm"}
    assert "Suitable days of" not in warnings(completion(record=own))
    assert "Suitable days of the home farm" in warnings(completion(record=own | {"own": False}))


def test_week_numbers_and_last_days_say_the_same():
    numbered = weeks()
    dated = [
        {"week_ending": datetime.date.fromisocalendar(one["year"], one["week"], 7).isoformat(), "days": one["days"]}
        for one in numbered
    ]
    assert completion(record={"weeks": numbered}).chance == completion(record={"weeks": dated[::-1]}).chance


def test_years_that_lack_a_week_are_left_out_and_said():
    some = [one for one in weeks() if (one["year"], one["week"]) != (2013, 42)]
    answer = completion(record={"weeks": some})
    assert answer.recorded.years == 9
    assert "1 years lack a week" in warnings(answer)


@pytest.mark.parametrize(
    ("record", "pointer"),
    [
        ({}, "/record"),
        ({"id": "iowa", "weeks": weeks()}, "/record"),
        ({"id": "iova"}, "/record/id"),
        ({"weeks": weeks(years=[2011, 2012])}, "/record"),
        ({"weeks": [*weeks(), {"year": 2011, "week": 40, "days": 2.0}]}, "/record/weeks/110"),
        ({"weeks": [*weeks(), {"week_ending": "2011-10-12", "days": 2.0}]}, "/record/weeks/110"),
        ({"weeks": [*weeks(), {"year": 2021, "week": 53, "days": 2.0}]}, "/record/weeks/110/week"),
        ({"weeks": [*weeks(), {"year": 2021, "days": 2.0}]}, "/record/weeks/110"),
        (
            {"weeks": [*weeks(), {"year": 2021, "week": 3, "week_ending": "2021-02-07"}]},
            "/record/weeks/110/week_ending",
        ),
    ],
)
def test_what_is_wrong_with_a_record_is_said_at_its_place(record, pointer):
    assert pointer in faults(record=record)


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"suitable": {"mean": 12.0, "spread": 3.0}}, "/suitable"),
        ({"record": None}, "/suitable"),
        ({"record": None, "suitable": {"mean": 12.0, "spread": 3.0}, "so_far": so_far(3.0)}, "/so_far"),
        ({"so_far": [{"year": 2027, "week": 39}]}, "/so_far"),
        ({"so_far": [{"year": 2027, "week": 44, "days": 2.0}]}, "/so_far"),
        ({"so_far": [{"year": 2027, "week": 39, "days": 2.0}] * 2}, "/so_far/1"),
        ({"start": "2027-01-04"}, "/record"),
    ],
)
def test_what_does_not_go_together_is_refused(changes, pointer):
    assert pointer in faults(**changes)


def test_more_than_a_week_has_is_refused_when_read():
    with pytest.raises(msgspec.ValidationError, match="<= 7"):
        completion(record={"weeks": [{"year": 2020, "week": 40, "days": 7.5}]})


def test_when_every_week_is_fit_it_is_certain():
    answer = completion(35.0, record={"weeks": weeks(lambda *_: 7.0)})
    assert answer.chance == pytest.approx(1.0)
    assert completion(35.1, record={"weeks": weeks(lambda *_: 7.0)}).chance == 0.0


@given(st.floats(0.5, 30.0), st.floats(0.0, 5.0))
def test_the_chance_falls_with_the_work(days, more):
    assert float(completion(days + more).chance) <= float(completion(days).chance) + 1e-12


@one_in(3)
@given(st.floats(0.5, 30.0), st.integers(5, 11))
def test_the_chance_rises_with_the_window_and_by_date(days, last):
    shorter = completion(days, end=f"2027-11-{last - 1:02d}")
    longer = completion(days, end=f"2027-11-{last:02d}")
    assert float(longer.chance) >= float(shorter.chance) - 1e-9
    chances = [float(point.chance) for point in longer.curve]
    assert chances == sorted(chances)
    assert chances[-1] == pytest.approx(float(longer.chance))


def test_a_week_earlier_is_the_week_before_in_the_record():
    early = completion(record={"weeks": weeks(lambda _, week: 7.0 if week == 39 else 2.0)})
    gains = {one.name: one for one in early.levers}
    assert float(gains["a-week-earlier"].chance) <= float(completion(17.0 - 7.0).chance)
    assert "a-week-earlier" not in {one.name for one in completion(so_far=so_far(3.0)).levers}


def test_dry_weeks_raise_the_chance_and_wet_ones_lower_it():
    wet, plain, dry = completion(so_far=so_far(0.5)), completion(), completion(so_far=so_far(6.8))
    assert wet.chance < plain.chance < dry.chance
    assert wet.days_expected < plain.days_expected < dry.days_expected
    # The record itself stays what it was.
    assert wet.recorded == dry.recorded == plain.recorded


def test_moist_topsoil_lowers_the_chance():
    moist, short = (completion(so_far=so_far(4.0, topsoil=one)) for one in (2.6, 0.8))
    assert moist.chance < short.chance
    assert moist.chance.low < moist.chance < moist.chance.high


def test_weeks_of_the_window_leave_what_is_left_of_it():
    answer = completion(so_far=so_far(2.0, number=41), done="60 ha")
    assert answer.calendar_days == 21
    assert answer.curve[0].date == datetime.date(2027, 10, 18)
    assert answer.days_needed == pytest.approx(14.0)
    assert any((one.pointer, one.value) == ("/start", "2027-10-18") for one in answer.about.assumptions)


def test_what_says_nothing_of_the_window_is_said():
    assert completion(so_far=so_far(0.5, number=30)).chance == completion().chance
    assert "say nothing of it" in warnings(completion(so_far=so_far(0.5, number=30)))
    own = {"weeks": weeks()}
    assert "no topsoil moisture" in warnings(completion(record=own, so_far=so_far(3.0, topsoil=1.0)))
    few = {"weeks": weeks(numbers=range(40, 46))}
    answer = completion(record=few, so_far=so_far(0.5))
    assert "the record answers alone" in warnings(answer)
    assert answer.chance == completion(record=few).chance


def test_the_year_asked_about_is_not_its_own_record():
    # A user of 2019 whose file happens to hold all of 2019.
    window = {"start": "2019-09-30", "end": "2019-11-03"}
    assert 2019 in {one.year for one in completion(**window).by_year}
    assert 2019 not in {one.year for one in completion(**window, so_far=so_far(3.0, year=2019)).by_year}


def test_a_record_can_be_read_without_a_request():
    class Week(msgspec.Struct):
        year: int | None
        week: int | None
        days: float | None
        topsoil: float | None = None
        week_ending: datetime.date | None = None

    found = Findings()
    record = record_of_weeks([Week(year, 40, 3.5) for year in (2020, 2021, 2023)], found, "")
    daily = record.windows(datetime.date(2027, 10, 4), 7)
    assert list(record.years()) == [2020, 2021, 2022, 2023]
    assert daily[[0, 1, 3]].sum(axis=-1).tolist() == pytest.approx([3.5] * 3)
    assert not found.refused
