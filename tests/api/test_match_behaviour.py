"""How a match answers: limits, what would still fit, gears, tracks and ground that gives way."""

import copy
from typing import Any

import msgspec
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tests.api.strategies import sensible_bodies

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.answer import MatchAnswer
from drawbar_service.api.words import CAUTIONS, VERDICT_WORDS
from drawbar_service.quantities import decode_quantity

EXAMPLE: dict[str, Any] = msgspec.to_builtins(MATCH.example)


def match(body: dict[str, Any]) -> MatchAnswer:
    return MATCH.compute(msgspec.convert(body, MATCH.request, dec_hook=decode_quantity), Ledger("metric"))


def with_values(body: dict[str, Any], **values: Any) -> dict[str, Any]:
    """A copy of a body with values at JSON pointers, written with double underscores: tools__0__depth."""
    body = copy.deepcopy(body)
    for pointer, value in values.items():
        place: Any = body
        *path, last = [int(part) if part.isdigit() else part for part in pointer.split("__")]
        for part in path:
            place = place[part]
        place[last] = value
    return body


def failed(answer: MatchAnswer) -> set[str]:
    return {limit.name for limit in answer.limits if not limit.kept}


def test_too_slow_for_the_tool_is_told_with_what_the_tool_wants() -> None:
    slow = with_values(EXAMPLE, soil={"texture": "fine", "surface": "soft"}, tractor__power={"rated_pto": "90 kW"})
    del slow["speed"]
    summary = match(slow | ALL).verdict.summary
    assert summary.startswith("Fails at 5.51 km/h: the speed range of the tool (5.51 km/h, between 6.5 km/h and")


@pytest.mark.parametrize(
    ("changes", "caution"),
    [
        (
            {
                "implement": EXAMPLE["implement"]
                | {"rotary": [{"machine": "baler.small-rectangular", "feed_rate": "9 t/h"}]}
            },
            CAUTIONS["pto"],
        ),
        (
            {
                "implement": {
                    "hitch": "drawbar",
                    "tools": [{"tool": "subsoiler.narrow-point", "count": 3, "spacing": "60 cm", "depth": "45 cm"}],
                }
            },
            CAUTIONS["deep"],
        ),
        ({"field": {"slope": "-12 %"}}, CAUTIONS["slope"]),
        (
            {
                "field": {"slope": "12 %"},
                "tractor": {"drive": "rubber-track", "power": {"rated_pto": "145 kW"}, "mass": "9 t"},
            },
            CAUTIONS["slope"],
        ),
    ],
)
def test_work_that_can_hurt_brings_its_own_caution(changes: dict[str, Any], caution: str) -> None:
    usual = match(EXAMPLE).about.cautions
    assert caution not in usual
    assert match(EXAMPLE | changes).about.cautions == [*usual, caution]


ALL = {"find": ["speed", "width", "depth"]}
POWERS = st.floats(60.0, 300.0).map(lambda kilowatts: {"rated_pto": f"{kilowatts!r} kW"})


@st.composite
def chisels(draw: st.DrawFn) -> dict[str, Any]:
    """A chisel plow with a disk gang behind a tractor that may be too small or too large for it."""
    count = draw(st.integers(3, 25))
    tool = {"tool": "chisel-plow.twisted-shovel-10cm", "count": count, "spacing": "36 cm"}
    body = with_values(
        EXAMPLE,
        tractor__power=draw(POWERS),
        tractor__mass=f"{draw(st.floats(4.0, 16.0))!r} t",
        implement__tools__0=tool | {"depth": f"{draw(st.floats(8.0, 35.0))!r} cm"},
        implement__tools__1__width=f"{0.36 * count!r} m",
        soil__texture=draw(st.sampled_from(["fine", "medium", "coarse"])),
        soil__surface=draw(st.sampled_from(["hard", "firm", "tilled", "soft"])),
        speed=f"{draw(st.floats(4.0, 12.0))!r} km/h",
    )
    return body | ALL


# ---- verdict


@given(chisels())
def test_a_verdict_is_its_limits(body):
    answer = match(body)
    assert answer.verdict.fits == (not failed(answer))
    margins = {limit.name: float(limit.margin) for limit in answer.limits}
    assert margins.keys() == {"power", "slip", "pull", "front-axle", "tool-speed"}
    for limit in answer.limits:
        assert limit.kept == (limit.margin >= -1e-6)
    if not answer.verdict.fits:
        assert answer.verdict.binding in failed(answer)
        least = "pull" if margins["pull"] < 0 else min(margins, key=lambda name: margins[name])
        assert margins[answer.verdict.binding] == margins[least]
    else:
        assert margins[answer.verdict.binding] == min(
            value for name, value in margins.items() if name not in ("tool-speed", "tool-depth")
        )


@given(chisels())
def test_the_chain_of_an_answer_hangs_together(body):
    answer = match(body)
    work = answer.at_work
    if "pull" in failed(answer):
        assert work.forbidden_by == "pull"
        assert (work.slip, work.axle_power, work.pto_power, work.load_fraction, work.axles) == (None,) * 5
        assert answer.fuel is None
        return
    assert work.forbidden_by is None
    assert work.drawbar_power == pytest.approx(work.pull * work.speed, rel=1e-12)
    assert work.drawbar_power <= work.axle_power <= work.pto_power
    assert work.pto_power == pytest.approx(work.axle_power / 0.96, rel=1e-12)
    assert work.tractive_efficiency == pytest.approx(work.drawbar_power / work.axle_power, rel=1e-12)
    on_axles = work.axles.front.load + work.axles.rear.load
    mass = float(body["tractor"]["mass"].split()[0]) * 1000.0
    assert on_axles == pytest.approx(mass * 9.80665, rel=1e-9)


# ---- greatest


@given(chisels())
def test_the_greatest_speed_fits_and_a_little_more_does_not(body):
    found = match(body).greatest.speed
    if found.value is None:
        assert not match(body | {"speed": "0.1 m/s"}).verdict.fits
        return
    again = match(body | {"speed": f"{float(found.value)!r} m/s"})
    assert failed(again) <= {"tool-speed"}
    faster = match(body | {"speed": f"{1.01 * float(found.value)!r} m/s"})
    assert found.limited_by in failed(faster)


@given(chisels())
def test_the_greatest_count_fits_and_one_more_does_not(body):
    answer = match(body)
    found = answer.greatest.width
    if found.value is None:
        assert found.count is None
        found_count = 0
    else:
        assert type(found.count) is int
        assert found.value == pytest.approx(0.36 * found.count, rel=1e-9)
        found_count = found.count
    # Sound work wants a speed in the tool's range: 6.5 to 10.5 km/h for this kind.
    low, high = 6.5 / 3.6, 10.5 / 3.6
    assert found.at_speed == pytest.approx(min(max(answer.at_work.speed, low), high), rel=1e-12)

    def with_count(count: int) -> MatchAnswer:
        changed = with_values(body, implement__tools__0__count=count, implement__tools__1__width=f"{0.36 * count!r} m")
        return match(changed | {"speed": {"value": float(found.at_speed), "unit": "m/s"}})

    if found_count:
        assert failed(with_count(found_count)) <= {"tool-speed"}
    if found.limited_by != "search-end" and found_count < 400:
        assert failed(with_count(found_count + 1)) - {"tool-speed"}


@given(chisels())
def test_the_greatest_depth_fits_and_a_little_more_does_not(body):
    answer = match(body)
    found = answer.greatest.depth
    assert found.pointer == "/implement/tools/0"
    body = body | {"speed": {"value": float(found.at_speed), "unit": "m/s"}}
    if found.value is None:
        assert failed(match(with_values(body, implement__tools__0__depth="1 cm"))) - {"tool-speed"}
        return
    at = with_values(body, implement__tools__0__depth=f"{float(found.value)!r} m")
    assume(match(at).greatest.depth.pointer == found.pointer)
    assert failed(match(at)) <= {"tool-speed"}
    deeper = with_values(body, implement__tools__0__depth=f"{1.01 * float(found.value)!r} m")
    if found.limited_by == "search-end":
        assert float(found.value) == 1.0
    else:
        assert failed(match(deeper)) - {"tool-speed"}


@given(chisels())
def test_without_a_speed_the_greatest_is_taken_and_said(body):
    del body["speed"]
    answer = match(body)
    assert any(assumption.pointer == "/speed" for assumption in answer.about.assumptions)
    if answer.greatest.speed.value is not None:
        assert answer.at_work.speed in (answer.greatest.speed.holds, answer.greatest.speed.value)
        assert failed(answer) <= {"tool-speed"}
    else:
        assert failed(answer) - {"tool-speed"}


def test_a_depth_range_ends_the_search():
    body = with_values(EXAMPLE, implement__depth_range=["5 cm", "20 cm"], tractor__power={"rated_pto": "400 kW"}) | ALL
    body["tractor"]["mass"] = "16 t"
    answer = match(body)
    assert float(answer.greatest.depth.value) == pytest.approx(0.20)
    assert answer.greatest.depth.limited_by == "tool-depth"
    assert "tool-depth" in {limit.name for limit in answer.limits}
    too_deep = match(with_values(body, implement__tools__0__depth="25 cm"))
    assert failed(too_deep) == {"tool-depth"}
    assert too_deep.verdict.binding == "tool-depth"


def test_nothing_is_searched_for_unless_wanted_or_needed():
    fits = match(EXAMPLE | {"speed": "7 km/h"})
    assert fits.verdict.word == "holds"
    assert (fits.greatest.speed, fits.greatest.width, fits.greatest.depth) == (None, None, None)
    not_so = match(with_values(EXAMPLE, tractor__power={"rated_pto": "40 kW"}))
    assert not not_so.verdict.fits
    assert None not in (not_so.greatest.speed, not_so.greatest.width, not_so.greatest.depth)
    assert "To hold in 90 of 100 cases, one of" in not_so.verdict.summary


# ---- gears

GEARS = [{"name": f"G{index}", "speed": f"{speed} km/h"} for index, speed in enumerate([6, 7.5, 8.6, 10, 12, 14, 20])]


@given(chisels(), st.permutations(GEARS))
def test_the_best_gear_is_possible_and_burns_least(body, gears):
    answer = match(with_values(body, tractor__gears=gears))
    choice = answer.gear
    assert [gear.name for gear in choice.gears] == [gear["name"] for gear in gears]
    possible = {gear.name: float(gear.fuel) for gear in choice.gears if gear.possible}
    for gear in choice.gears:
        assert (gear.fuel is not None) == gear.possible
        if gear.possible:
            assert 0.6 <= gear.engine_speed <= 1.0
            assert gear.load <= 0.9 + 1e-6
    if possible:
        assert possible[choice.best] == min(possible.values())
        assert float(answer.fuel.rate) == pytest.approx(possible[choice.best], rel=1e-12)
    else:
        assert choice.best is None


def test_gearing_up_and_throttling_back_saves_fuel():
    easy = with_values(EXAMPLE, tractor__power={"rated_pto": "220 kW"}, tractor__gears=GEARS)
    answer = match(easy)
    assert answer.gear.best in ("G4", "G5")
    assert answer.fuel.rate < match(with_values(EXAMPLE, tractor__power={"rated_pto": "220 kW"})).fuel.rate


# ---- where an equation ends


def test_wheels_without_tires_are_a_fault_with_a_pointer():
    body = copy.deepcopy(EXAMPLE)
    del body["tractor"]["tires"]
    with pytest.raises(ImpossibleInput) as caught:
        match(body)
    assert [fault.pointer for fault in caught.value.faults] == ["/tractor/tires"]


def test_ground_that_gives_way_is_an_answer_not_an_error():
    body = with_values(
        EXAMPLE,
        tractor__power={"rated_pto": "400 kW"},
        tractor__mass="4 t",
        soil__surface="soft",
        soil__cone_index="200 kPa",
    )
    answer = match(body)
    assert not answer.verdict.fits
    assert {"pull", "slip"} <= failed(answer)
    assert answer.verdict.binding == "pull"
    assert "what the soil carries" in answer.verdict.summary
    assert "greatest pull this soil carries" in next(limit.detail for limit in answer.limits if limit.name == "pull")


def test_a_light_nose_is_named():
    body = with_values(EXAMPLE, tractor__front_share="18 %", tractor__power={"rated_pto": "250 kW"})
    answer = match(body)
    assert answer.verdict.binding == "front-axle"
    assert not answer.verdict.fits


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"tractor__power": {}}, "/tractor/power"),
        ({"tractor__power": {"rated_pto": "100 kW", "engine": "110 kW"}}, "/tractor/power"),
        ({"tractor__tires__rear__size": "big"}, "/tractor/tires/rear/size"),
        ({"implement__tools__0__tool": "chisel-plough"}, "/implement/tools/0/tool"),
        ({"implement__tools__0__count": None}, "/implement/tools/0/count"),
        ({"implement__tools__1__depth": None}, "/implement/tools/1/depth"),
        ({"implement__tools__1__width": None}, "/implement/tools/1/width"),
        ({"implement__practice": "chisel"}, "/implement/practice"),
        ({"implement__speed_range": ["9 km/h", "5 km/h"]}, "/implement/speed_range"),
        ({"implement__depth_range": ["9 cm", "5 cm"]}, "/implement/depth_range"),
        ({"implement__tools": []}, "/implement/tools"),
    ],
)
def test_what_cannot_be_is_named_by_its_pointer(change, pointer):
    with pytest.raises(ImpossibleInput) as caught:
        match(with_values(EXAMPLE, **change))
    assert pointer in {fault.pointer for fault in caught.value.faults}
    assert all(len(fault.detail) > 10 for fault in caught.value.faults)


@given(sensible_bodies(MATCH.request))
def test_summary_binding_and_limits_agree_for_any_machine(body):
    answer = match(body)
    assert answer.verdict.summary.endswith(".")
    names = {limit.name for limit in answer.limits}
    assert answer.verdict.binding in names
    assert answer.verdict.fits == all(limit.kept for limit in answer.limits)
    assert answer.verdict.summary.startswith(VERDICT_WORDS[answer.verdict.word].name)


def test_traction_warns_where_another_model_parts_from_it():
    from drawbar_service.api.v1.traction import TRACTION

    def warned(surface):
        body = dict(TRACTION.example) | {"soil": {"texture": "medium", "surface": surface}}
        answer = TRACTION.compute(msgspec.convert(body, TRACTION.request, dec_hook=decode_quantity), Ledger("metric"))
        parted = [one.model for one in answer.second_opinions if abs(float(one.difference)) > 0.3]
        told = [notice.detail for notice in answer.about.warnings if notice.code == "methods-differ"]
        assert len(told) == len(parted)
        assert all(model in detail for model, detail in zip(parted, told, strict=True))
        return bool(told)

    assert warned("soft")
    assert not warned("firm")


def test_a_continuously_variable_transmission_takes_its_usual_efficiency() -> None:
    gears = match(EXAMPLE)
    stated = match(with_values(EXAMPLE, tractor__transmission="gear"))
    assert stated.at_work.pto_power == gears.at_work.pto_power
    variable = match(with_values(EXAMPLE, tractor__transmission="cvt"))
    assert float(variable.at_work.pto_power / gears.at_work.pto_power) == pytest.approx(0.96 / 0.90)
    taken = {one.pointer: (one.value, one.source) for one in variable.about.assumptions}
    assert taken["/tractor/transmission_efficiency"] == ("90 %", "transmission-tests")
    own = match(with_values(EXAMPLE, tractor__transmission="cvt", tractor__transmission_efficiency="96 %"))
    assert own.at_work.pto_power == gears.at_work.pto_power
