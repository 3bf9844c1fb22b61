import copy

import msgspec
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.cost import COST
from drawbar_service.api.v1.cost.answer import CostAnswer
from drawbar_service.api.v1.match import MATCH
from drawbar_service.engine.cost import YEAR
from drawbar_service.quantities import AnnualUse, decode_quantity, encode_metric

YARD = COST.example
HA, HOUR = 1e4, 3600.0


def cost(body, units="metric") -> CostAnswer:
    return COST.compute(msgspec.convert(body, COST.request, dec_hook=decode_quantity), Ledger(units))


def faults(body) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as refusal:
        cost(body)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


def changed(body, **values):
    """A copy with values put at places such as machines__1__years; None takes the place out."""
    body = copy.deepcopy(dict(body))
    for place, value in values.items():
        *parents, last = (int(one) if one.isdigit() else one for one in place.split("__"))
        inner = body
        for parent in parents:
            inner = inner[parent]
        if value is None:
            del inner[last]
        else:
            inner[last] = value
    return body


def pointers(answer, code):
    return [one.pointer for one in answer.about.warnings if one.code == code]


def simple(price=50_000, area="100 ha", capacity="2 ha/h", interest=0, **machine):
    """One machine without repairs, worth nothing in the end: all can be worked out by head."""
    owned = {"name": "tool", "price": price, "resale": 0, "repair_factors": {"RF1": 0, "RF2": 1}, "years": 10}
    terms = {"interest": interest, "taxes": 0, "insurance": 0, "housing": 0}
    return {"machines": [owned | machine], "terms": terms, "work": {"capacity": capacity, "area": area}}


# ---- by hand


def test_a_simple_machine_by_hand():
    answer = cost(simple() | {"terms": {"interest": 0, "taxes": 0.01, "insurance": 0.002, "housing": 0.008}})
    (machine,) = answer.machines
    assert machine.capital_recovery.per_year == pytest.approx(5000.0)
    yearly = [float(line.per_year) for line in (machine.taxes, machine.insurance, machine.housing)]
    assert yearly == pytest.approx([500.0, 100.0, 400.0])
    assert answer.total.per_year == pytest.approx(6000.0)
    assert answer.total.per_area * HA == pytest.approx(60.0)
    assert answer.total.per_hour * HOUR == pytest.approx(120.0)
    assert answer.hours / HOUR == pytest.approx(50.0)


def test_repairs_are_those_from_now_to_then():
    # RF2 2: (2500/1000)^2 - (2000/1000)^2 = 2.25, times 0.01 x 50000 over 10 years.
    body = simple(hours="2000 h", repair_factors={"RF1": 0.01, "RF2": 2})
    assert cost(body).machines[0].repairs.per_year == pytest.approx(112.5)
    assert cost(body).machines[0].hours_at_sale / HOUR == pytest.approx(2500.0)


def test_lines_add_up():
    answer = cost(YARD)
    for measure in ("per_year", "per_hour", "per_area"):

        def of(line, measure=measure):
            return float(getattr(line, measure))

        whole = of(answer.total)
        assert whole == pytest.approx(of(answer.ownership) + of(answer.operating))
        machines = sum(of(machine.total) for machine in answer.machines)
        assert whole == pytest.approx(machines + of(answer.fuel) + of(answer.oil) + of(answer.labor))
        for machine in answer.machines:
            names = ("capital_recovery", "taxes", "insurance", "housing", "repairs", "parts")
            assert of(machine.total) == pytest.approx(sum(of(getattr(machine, name)) for name in names))


def test_hours_in_place_of_area():
    by_area = cost(YARD)
    by_hours = cost(changed(YARD, work__area=None, work__hours=f"{float(by_area.hours)!r} s"))
    assert by_hours.total.per_year == pytest.approx(by_area.total.per_year)


def test_a_tractor_carries_its_share():
    answer = cost(YARD)
    tractor = answer.machines[0]
    assert tractor.share_of_use == pytest.approx(answer.hours / (520 * HOUR))
    assert tractor.total.per_year == pytest.approx(tractor.whole_year * tractor.share_of_use)
    assert answer.machines[1].share_of_use == 1.0


def test_metric_and_us_are_the_same_cost():
    metric, us = (msgspec.json.encode(cost(YARD, units), enc_hook=encode_metric) for units in ("metric", "us"))
    drop = {"about", "hire"}  # both hold sentences in the caller's units
    first, second = ({k: v for k, v in msgspec.json.decode(one).items() if k not in drop} for one in (metric, us))
    assert first == second
    assert "ac a year" in cost(YARD, "us").hire.says


def test_rate_and_capacity_of_a_match_are_taken_as_they_come():
    match = msgspec.convert(MATCH.example, MATCH.request, dec_hook=decode_quantity)
    answer = msgspec.json.decode(msgspec.json.encode(MATCH.compute(match, Ledger("metric")), enc_hook=encode_metric))
    rate = {name: answer["fuel"]["rate"][name] for name in ("value", "unit")}
    capacity = {name: answer["capacity"]["effective"][name] for name in ("value", "unit")}
    found = cost(changed(YARD, work__fuel__rate=rate, work__capacity=capacity))
    assert found.fuel.per_hour * HOUR == pytest.approx(rate["value"] * 1.20)


# ---- what is assumed, and what is asked for


def test_nothing_is_assumed_in_silence():
    assumed = {one.pointer: one.value for one in cost(YARD).about.assumptions}
    assert assumed["/terms/taxes"] == "1 %"
    assert assumed["/terms/insurance"] == "0.25 %"
    assert assumed["/work/fuel/oil_share"] == "15 %"
    assert assumed["/machines/0/list_price"] == "168000 money"
    assert assumed["/machines/1/annual_use"] == "108 h"
    assert assumed["/machines/1/wearing/0/options/1/times_first"] == "3"
    # An assumed value put into the request changes next to nothing.
    said = changed(YARD, machines__1__annual_use="108 h", terms__taxes="1 %", machines__0__list_price="168000 money")
    assert cost(said).total.per_year == pytest.approx(cost(YARD).total.per_year, rel=1e-3)


def test_a_price_is_never_guessed():
    with pytest.raises(msgspec.ValidationError, match="price"):
        cost(changed(YARD, machines__1__price=None))


def test_work_without_fuel_or_labor_is_warned_of():
    assert pointers(cost(simple()), "rough-estimate") == ["/work/fuel", "/work/labor"]


@pytest.mark.parametrize(
    ("changes", "pointer", "words"),
    [
        ({"machines__1__remaining_value": None}, "/machines/1/remaining_value", "one of the two"),
        ({"machines__1__resale": 100}, "/machines/1/remaining_value", "one of the two"),
        ({"machines__1__remaining_value": "tilage"}, "/machines/1/remaining_value", "did you mean tillage"),
        ({"machines__0__practice": None}, "/machines/0/practice", "one of the two"),
        ({"machines__0__practice": "tracter"}, "/machines/0/practice", "did you mean tractor"),
        ({"machines__0__annual_use": "60 h"}, "/machines/0/annual_use", "less than the 108 h"),
        ({"machines__0__name": "chisel plow", "best_width": None}, "/machines/1/name", "stands twice"),
        ({"machines__1__price": 9000, "machines__1__list_price": 40000}, "/machines/1/price", "to fetch in the end"),
        ({"work__area": None}, "/work/area", "one of the two"),
        ({"work__area": "40000 ha"}, "/work/area", "more than a year has"),
        ({"work__labor": None}, "/machines/1/wearing/0/options/0/change_time", "/work/labor"),
        ({"machines__1__width": None}, "/machines/1/width", "best_width"),
        ({"best_width__machine": "harrow"}, "/best_width/machine", "'tractor', 'chisel plow'"),
        ({"best_width__narrowest": "9 m", "best_width__widest": "8 m"}, "/best_width/widest", "9 m"),
    ],
)
def test_what_cannot_be_is_told_with_its_place(changes, pointer, words):
    found = faults(changed(YARD, **changes))
    assert list(found) == [pointer]
    assert words in found[pointer]


def test_all_faults_come_at_once():
    body = changed(YARD, machines__0__practice=None, machines__1__width=None, machines__1__remaining_value="x")
    assert len(faults(body)) == 3


def test_a_machine_worked_to_death_is_warned_of():
    assert "/machines/1/years" in pointers(cost(changed(YARD, machines__1__annual_use="400 h")), "outside-range")
    ancient = cost(changed(YARD, machines__0__age=50, machines__0__years=20))
    assert ancient.machines[0].resale == 0.0
    assert "/machines/0/years" in pointers(ancient, "outside-range")


# ---- wearing parts


def options(*parts, **place):
    return simple() | {
        "machines": [simple()["machines"][0] | {"wearing": [{"name": "points", "options": list(parts), **place}]}]
    }


def test_a_point_that_costs_twice_and_lasts_three_times_shows_its_worth():
    body = options({"name": "a", "price": 20, "life": "50 ha"}, {"name": "b", "price": 40, "times_first": 3}, count=10)
    (found,) = cost(body).wearing
    first, second = found.options
    assert found.best == "b"
    assert [float(one.per_area) * HA for one in found.options] == pytest.approx([4.0, 8.0 / 3.0])
    assert second.against_fitted == pytest.approx(2.0 / 3.0)
    assert (first.saving, float(second.saving)) == (0.0, pytest.approx(400.0 - 800.0 / 3.0))
    assert first.sets_per_year == pytest.approx(2.0)


def test_time_to_change_counts_at_the_wage_of_one():
    parts = ({"name": "a", "price": 20, "life": "50 ha", "change_time": "6 min"},)
    body = options(*parts, count=10)
    body["work"]["labor"] = {"wage": "18 money/h", "overhead": "10 %", "workers": 3}
    (found,) = cost(body).wearing
    # Two sets of ten at 6 min: 2 h at 19.80.
    assert found.options[0].change_time / HOUR == pytest.approx(2.0)
    assert found.options[0].per_year == pytest.approx(400.0 + 39.6)


def test_the_total_counts_what_is_fitted_and_fitting_the_other_changes_it_by_the_saving():
    body = options({"name": "a", "price": 20, "life": "50 ha"}, {"name": "b", "price": 40, "life": "150 ha"}, count=10)
    before = cost(body)
    body["machines"][0]["wearing"][0]["options"].reverse()
    after = cost(body)
    saved = before.total.per_year - after.total.per_year
    assert saved == pytest.approx(before.wearing[0].options[1].saving)
    assert before.wearing[0].best == after.wearing[0].best == "b"


def test_life_in_hours_goes_by_capacity_and_soil_by_the_caller():
    parts = {"name": "a", "price": 20, "life_hours": "25 h"}
    (found,) = cost(options(parts, count=10)).wearing
    assert found.options[0].life / HA == pytest.approx(50.0)
    (harsh,) = cost(options(parts, count=10, soil_factor=0.5)).wearing
    assert harsh.options[0].per_area == pytest.approx(2.0 * found.options[0].per_area)


def test_the_table_tells_a_life_only_beside_one_that_is_given():
    shovel = {"name": "shovel", "price": 20, "life": "50 ha", "point": "twisted-shovel-10cm"}
    wing = {"name": "wing", "price": 40, "point": "wing-point"}
    (found,) = cost(options(shovel, wing, count=10)).wearing
    assert found.options[1].life == pytest.approx(3.0 * found.options[0].life)
    place = "/machines/0/wearing/0/options"
    assert "required" in faults(options(wing, shovel, count=10))[f"{place}/0/life"]
    nameless = {"name": "wing", "price": 40}
    assert "times_first" in faults(options(shovel, nameless, count=10))[f"{place}/1/life"]
    unknown = wing | {"point": "wing-pont"}
    assert "did you mean wing-point" in faults(options(shovel, unknown, count=10))[f"{place}/1/point"]
    twice = shovel | {"life_hours": "10 h"}
    assert "not both" in faults(options(twice, count=10))[f"{place}/0/life_hours"]
    never = {"name": "a", "price": 20, "life_hours": "0 h"}
    with pytest.raises(msgspec.ValidationError, match="at least"):
        cost(options(never, count=10))
    assert "own name" in faults(options(shovel, shovel, count=10))[f"{place}/1/name"]


# ---- hire or own


def test_break_even_by_hand():
    # 5000 a year of ownership, 20 an hour at 2 ha/h: 10 a ha. Hire at 60: 5000 / 50 = 100 ha.
    body = simple(area="250 ha") | {"hire_rate": "60 money/ha"}
    body["work"]["labor"] = {"wage": "20 money/h", "overhead": 0}
    hire = cost(body).hire
    assert hire.break_even / HA == pytest.approx(100.0)
    assert hire.own * HA == pytest.approx(30.0)
    assert hire.difference_per_year == pytest.approx(7500.0)
    assert (hire.cheaper, hire.no_longer_above) == ("own", None)
    assert "from 100 ha a year on" in hire.says


def test_at_the_break_even_area_both_cost_the_same():
    area = float(cost(YARD).hire.break_even)
    here = cost(changed(YARD, work__area=f"{area!r} m2", machines__0__annual_use=f"{411.66667 + area / HA / 2.4} h"))
    assert here.total.per_area * HA == pytest.approx(74.0, rel=1e-6)
    less, more = (cost(changed(YARD, work__area=f"{factor * area!r} m2")).hire.cheaper for factor in (0.9, 1.1))
    assert (less, more) == ("hire", "own")


def test_equal_is_said_where_it_is_equal():
    own = float(cost(simple()).total.per_area)
    assert cost(simple() | {"hire_rate": f"{own!r} money/m2"}).hire.cheaper == "equal"


def test_hire_below_what_running_costs_is_never_beaten():
    hire = cost(YARD | {"hire_rate": "5 money/ha"}).hire
    assert (hire.cheaper, hire.break_even) == ("hire", None)
    assert "on any area" in hire.says


def test_a_machine_paid_for_by_other_work_beats_hire_on_any_area():
    hire = cost(simple(annual_use="800 h") | {"hire_rate": "60 money/ha"}).hire
    assert (hire.cheaper, hire.break_even) == ("own", None)
    assert "Owning costs less than hire on any area" in hire.says


def test_repairs_make_owning_dear_again():
    body = simple(area="400 ha", repair_factors={"RF1": 0.5, "RF2": 2}) | {"hire_rate": "60 money/ha"}
    hire = cost(body).hire
    for area in (hire.break_even, hire.no_longer_above):
        at = cost(changed(body, work__area=f"{float(area)!r} m2"))
        assert at.total.per_area * HA == pytest.approx(60.0, rel=1e-6)
    assert hire.break_even < 400 * HA < hire.no_longer_above
    assert "more expensive again" in hire.says


def test_a_break_even_beyond_the_life_of_a_machine_is_warned_of():
    # A life of 2000 h in ten years at 2 ha/h is 400 ha a year; ownership alone is 12.50 a ha there.
    body = simple(practice="chisel-plow") | {"hire_rate": "20 money/ha"}
    del body["machines"][0]["repair_factors"]
    answer = cost(body)
    assert answer.hire.break_even > 400 * HA
    assert "/hire_rate" in pointers(answer, "outside-range")
    assert "/hire_rate" not in pointers(cost(body | {"hire_rate": "60 money/ha"}), "outside-range")


# ---- the best width


def test_best_width_without_repairs_is_the_closed_form():
    body = simple(width="4 m", area="500 ha") | {"best_width": {"machine": "tool", "delay_cost": "80 money/h"}}
    best = cost(body).best_width
    # sqrt(A k / (f v E)): 500 ha, 80 an hour, 1250 a metre, 0.5 ha/h a metre.
    assert best.closed_form == pytest.approx((500 * 80 / (1250 * 0.5)) ** 0.5)
    assert best.width == pytest.approx(best.closed_form, rel=1e-6)
    # w/b + b/w = 2.1 at the ends of a band of 5 %.
    assert best.width.low / best.width == pytest.approx(1.05 - (1.05**2 - 1) ** 0.5, rel=1e-6)
    assert best.width.high / best.width == pytest.approx(1.05 + (1.05**2 - 1) ** 0.5, rel=1e-6)


def test_cost_at_the_present_width_is_that_of_the_work_and_its_delay():
    answer = cost(YARD)
    assert answer.best_width.present_cost == pytest.approx(answer.total.per_year + 40.0 * answer.hours / HOUR)
    assert answer.best_width.cost < answer.best_width.present_cost


def test_a_machine_of_the_best_width_is_told_to_stay():
    best = cost(YARD).best_width
    ratio = float(best.width / best.present_width)
    body = changed(
        YARD,
        machines__1__width=f"{float(best.width)!r} m",
        machines__1__price=39000 * ratio,
        work__capacity=f"{2.4 * ratio} ha/h",
        # The tractor costs what it did in an hour, and fuel and points what they did on an area.
        work__fuel__rate=f"{31 * ratio} L/h",
    )
    again = cost(body).best_width
    assert again.width == pytest.approx(best.width, rel=1e-6)
    assert again.cost == pytest.approx(best.cost, rel=1e-6)


def test_delay_makes_wide_machines_worth_it():
    widths = [
        float(cost(changed(YARD, best_width__delay_cost=f"{delay} money/h")).best_width.width) for delay in (0, 40, 400)
    ]
    assert widths == sorted(set(widths))


def test_delay_in_an_hour_is_that_of_a_completion_at_any_capacity():
    hourly = []
    for capacity in (1.8, 3.1, 6.0):
        body = {**COMPLETION.example, "capacity": f"{capacity} ha/h", "area": "180 ha", "passes": 1, "machine_count": 1}
        body |= {"timeliness": {"loss": "0.7 %", "crop_yield": "8 t/ha", "price": "190 money/t"}, "time_lost": 0}
        request = msgspec.convert(body, COMPLETION.request, dec_hook=decode_quantity)
        hourly.append(float(COMPLETION.compute(request, Ledger("metric")).delay.expected) / (180 / capacity))
    assert hourly == pytest.approx([hourly[0]] * 3, rel=1e-9)


def test_a_band_cut_off_by_the_search_is_said():
    answer = cost(changed(YARD, best_width__narrowest="5 m", best_width__widest="6 m"))
    best = answer.best_width
    assert (best.width, best.width.low, best.width.high) == pytest.approx((6.0, 5.0, 6.0))
    found = pointers(answer, "outside-range")
    assert {"/best_width/narrowest", "/best_width/widest"} <= set(found)


def test_a_wider_band_holds_the_narrower():
    narrow, wide = (cost(changed(YARD, best_width__within=f"{share} %")).best_width.width for share in (2, 10))
    assert wide.low < narrow.low < narrow < narrow.high < wide.high


def test_a_machine_that_costs_nothing_to_own_is_best_as_wide_as_can_be():
    body = simple(width="4 m", resale=50_000) | {"best_width": {"machine": "tool", "widest": "9 m"}}
    assert cost(body).best_width.closed_form == pytest.approx(9.0)


def test_the_year_of_the_engine_is_that_of_requests():
    assert AnnualUse.most == YEAR
