"""What a machine puts on the axles: part of its weight and part of its pull, and neither in place of the other."""

import copy
import math
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.hitch import HITCH
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.quantities import decode_quantity

G = 9.80665
HITCHES = ("drawbar", "semi-mounted", "three-point")
TRACTOR: dict[str, Any] = msgspec.to_builtins(MATCH.example)["tractor"]
WEIGHT = 9400 * G
SHARE, WHEELBASE = 0.41, 2.82
CHISEL = {"tool": "chisel-plow.twisted-shovel-10cm", "count": 8, "spacing": "36 cm", "depth": "16 cm"}


def answer(calculation: Calculation[Any, Any], body: dict[str, Any]) -> Any:
    request = msgspec.convert(body, calculation.request, dec_hook=decode_quantity)
    return calculation.compute(request, Ledger("metric"))


def worked(hitch: str, *, slope: float = 0.0, **implement: Any) -> Any:
    """A match of the worked tractor with a chisel plow on a `hitch`."""
    body = copy.deepcopy(msgspec.to_builtins(MATCH.example))
    body["implement"] = {"hitch": hitch, "tools": [CHISEL], **implement}
    return answer(MATCH, body | {"field": {"slope": slope}})


def axles(found: Any) -> tuple[float, float]:
    """Front and rear [N]."""
    return float(found.at_work.axles.front.load), float(found.at_work.axles.rear.load)


def kilograms(mass: float) -> dict[str, Any]:
    return {"value": mass, "unit": "kg"}


def newtons(force: float) -> dict[str, Any]:
    return {"value": force, "unit": "N"}


def assumed(found: Any, name: str) -> str:
    """The value that an answer took for a member of the implement."""
    (value,) = [one.value for one in found.about.assumptions if one.pointer == f"/implement/{name}"]
    return value


def says(found: Any, pointer: str) -> list[str]:
    return [one.detail for one in found.about.warnings if one.pointer == pointer]


# ---- statics, by hand


def test_a_mounted_machine_by_hand():
    """Moments about the rear wheels: a fifth of 2 t at 2 m behind them, and a quarter of the pull at 1 m."""
    found = worked("three-point", mass="2 t")
    pull = float(found.at_work.pull)
    weight = 0.2 * 2000 * G
    front = WEIGHT * SHARE - pull * 0.6 / WHEELBASE - 0.25 * pull * 1.0 / WHEELBASE - weight * 2.0 / WHEELBASE
    assert axles(found) == pytest.approx((front, WEIGHT + weight + 0.25 * pull - front), rel=1e-9)


def test_a_semi_mounted_machine_presses_at_the_pin():
    found = worked("semi-mounted", mass="3 t", hitch_share="30 %", vertical_share="10 %")
    pull = float(found.at_work.pull)
    down = 0.30 * 3000 * G + 0.10 * pull
    front = WEIGHT * SHARE - pull * 0.5 / WHEELBASE - down * 0.9 / WHEELBASE
    assert axles(found) == pytest.approx((front, WEIGHT + down - front), rel=1e-9)


def test_a_line_of_pull_that_falls_behind_the_hitch_loads_the_rear():
    level, falling = (worked("drawbar", vertical_share=share) for share in ("0 %", "8 %"))
    pull = float(level.at_work.pull)
    front, rear = axles(level)
    lost = 0.08 * pull * 0.9 / WHEELBASE
    assert axles(falling) == pytest.approx((front - lost, rear + 0.08 * pull + lost), rel=1e-9)


def test_weight_on_a_grade_presses_with_its_cosine_and_pulls_with_its_sine():
    flat, steep = (
        worked("three-point", mass="2 t", hitch_share=1.0),
        worked("three-point", mass="2 t", hitch_share=1.0, slope=0.1),
    )
    cosine, sine = 1.0 / math.hypot(1.0, 0.1), 0.1 / math.hypot(1.0, 0.1)
    along = float(steep.at_work.pull) - float(flat.at_work.pull)
    assert along == pytest.approx(2000 * G * sine, rel=1e-9)
    both = sum(axles(steep)) - 0.25 * float(steep.at_work.pull)
    assert both == pytest.approx((WEIGHT + 2000 * G) * cosine, rel=1e-9)


def test_without_ground_tools_a_mounted_machine_hangs_on_the_tractor_and_rolls_on_no_wheels():
    body = copy.deepcopy(msgspec.to_builtins(MATCH.example))
    spreader = {"hitch": "three-point", "width": "12 m", "mass": "1.2 t", "practice": "fertilizer-spreader"}
    found = answer(MATCH, body | {"implement": spreader})
    assert float(found.at_work.pull) == 0.0
    assert sum(axles(found)) == pytest.approx(WEIGHT + 1200 * G, rel=1e-9)


# ---- stating more never makes an answer less safe


@pytest.mark.parametrize("hitch", HITCHES)
@pytest.mark.parametrize("mass", [None, "2.4 t"])
def test_what_was_assumed_may_be_stated_and_nothing_moves(hitch, mass):
    given = {} if mass is None else {"mass": mass}
    plain = worked(hitch, **given)
    optional = ("vertical_share", "hitch_share", "center_of_mass", "pull_height")
    taken = {
        name: one.value for one in plain.about.assumptions for name in optional if one.pointer == f"/implement/{name}"
    }
    assert "vertical_share" in taken
    assert ("hitch_share" in taken) == (mass is not None)
    for name, value in taken.items():
        assert worked(hitch, **given, **{name: value}).at_work == plain.at_work, name
    assert worked(hitch, **given, **taken).at_work == plain.at_work
    if mass is not None:
        share = float(taken["hitch_share"].removesuffix(" %")) / 100
        stated = worked(hitch, **given, **taken, vertical_load=newtons(share * 2400 * G))
        assert axles(stated) == pytest.approx(axles(plain), rel=1e-12)
        assert says(stated, "/implement/hitch_share") == ["The weight on the hitch is given by vertical_load."]


MEMBERS = st.fixed_dictionaries(
    {},
    optional={
        "hitch_share": st.floats(0.0, 1.0),
        "vertical_share": st.floats(0.0, 0.5),
        "center_of_mass": st.floats(0.2, 2.0).map(lambda length: {"value": length, "unit": "m"}),
    },
)


@given(st.sampled_from(HITCHES), MEMBERS, st.floats(50.0, 6000.0), st.floats(1.0, 3.0))
@one_in(3)
def test_more_mass_never_lowers_the_rear_load_or_raises_the_front(hitch, members, mass, times):
    light = worked(hitch, **members)
    heavy = [worked(hitch, **members, mass=kilograms(one)) for one in (mass, mass * times)]
    fronts, rears = zip(*map(axles, [light, *heavy]), strict=True)
    slack = 1e-9 * WEIGHT
    assert rears[0] <= rears[1] + slack <= rears[2] + 2 * slack
    assert fronts[0] >= fronts[1] - slack >= fronts[2] - 2 * slack


@given(st.sampled_from(HITCHES), st.floats(0.0, 4e4))
@one_in(3)
def test_a_stated_load_never_removes_what_the_pull_transfers(hitch, load):
    plain, stated = worked(hitch), worked(hitch, vertical_load=newtons(load))
    overhang = {"drawbar": 0.9, "semi-mounted": 0.9, "three-point": 2.0}[hitch]
    more = axles(stated)[1] - axles(plain)[1]
    assert more == pytest.approx(load * (1.0 + overhang / WHEELBASE), rel=1e-9, abs=1e-6)


# ---- the machine raised


def test_raised_it_agrees_with_the_hitch_on_the_road():
    machine = {"hitch": "three-point", "mass": "3 t", "center_of_mass": "1.1 m"}
    road = answer(HITCH, {"tractor": TRACTOR, "machine": machine})
    share = float(road.loads.front_share)
    assert 0.0 < share < 0.2
    assert says(worked(**machine), "/implement/mass") == [
        f"With the machine raised, {share:.0%} of the tractor's weight is left on the front axle; steering takes about "
        "20%. Front ballast, or a machine that stands on its own wheels."
    ]


def test_a_machine_that_lifts_the_front_axle_is_warned_of():
    (said,) = says(worked("three-point", mass="7 t"), "/implement/mass")
    assert "lifts the front axle off the ground" in said
    assert says(worked("three-point", mass="1 t"), "/implement/mass") == []
    assert says(worked("semi-mounted", mass="7 t"), "/implement/mass") == []


def test_a_machine_that_lifts_the_front_axle_does_not_fit_at_any_speed():
    """Moments about the rear wheels: 9.4 t x 41 % x 2.82 m hold up 5.434 t at 2 m behind them."""
    most = 9400 * SHARE * WHEELBASE / 2.0
    for mass, fits in ((most - 1.0, True), (most + 1.0, False)):
        found = worked("three-point", mass=kilograms(mass))
        (raised,) = [limit for limit in found.limits if limit.name == "front-raised"]
        assert raised.kept == found.verdict.fits == fits
        assert float(raised.margin) == pytest.approx(1.0 - mass / most, abs=1e-9)
    assert found.verdict.binding == "front-raised"
    assert float(found.verdict.chance) == 0.0


def test_no_speed_is_the_greatest_of_a_machine_that_lifts_the_front_axle():
    body = copy.deepcopy(msgspec.to_builtins(MATCH.example))
    del body["speed"]
    body["implement"] = {"hitch": "three-point", "tools": [CHISEL], "mass": "7 t"}
    found = answer(MATCH, body | {"find": ["speed", "width", "depth"]})
    assert not found.verdict.fits
    for greatest in (found.greatest.speed, found.greatest.width, found.greatest.depth):
        assert greatest.value is None
        assert greatest.limited_by == "front-raised"


def test_the_odds_know_of_the_front_axle_raised():
    body = copy.deepcopy(msgspec.to_builtins(MATCH.example))
    spread = {"samples": 1024, "spreads": {"cone_index": 0.2}}
    for mass, holds in (("1 t", True), ("7 t", False)):
        body["implement"] = {"hitch": "three-point", "tools": [CHISEL], "mass": mass}
        chance = float(answer(MATCH, body | {"odds": spread}).odds.holds_speed.value)
        assert (chance > 0.5) == holds
        assert (chance == 0.0) != holds


def test_on_a_slope_the_front_is_lighter_whichever_way_the_pass_goes():
    level = says(worked("three-point", mass="2.3 t"), "/implement/mass")
    slopes = [says(worked("three-point", mass="2.3 t", slope=slope), "/implement/mass") for slope in (-0.12, 0.12)]
    assert level == []
    assert slopes[0] == slopes[1] != []


def test_without_its_mass_what_is_left_out_is_said():
    assert len(says(worked("three-point"), "/implement/mass")) == 2
    assert len(says(worked("three-point", vertical_load="3 kN"), "/implement/mass")) == 1
    assert len(says(worked("semi-mounted"), "/implement/mass")) == 1
    assert says(worked("drawbar"), "/implement/mass") == []


# ---- the same hitching everywhere


@pytest.mark.parametrize("hitch", HITCHES)
def test_traction_and_ballast_hang_a_machine_as_a_match_does(hitch):
    machine = {"mass": "2 t", "hitch_share": "40 %", "vertical_share": "20 %", "pull_height": "0.55 m"}
    if hitch == "three-point":
        machine["center_of_mass"] = "0.8 m"
    found = worked(hitch, **machine)
    pull = newtons(float(found.at_work.pull))
    soil = {"texture": "medium", "surface": "firm"}
    by_pull = answer(TRACTION, {"tractor": TRACTOR, "soil": soil, "hitch": hitch, "pull": pull, **machine})
    assert (float(by_pull.axles.front.load), float(by_pull.axles.rear.load)) == pytest.approx(axles(found), rel=1e-12)
    known = {"force": pull, "hitch": hitch, **machine}
    implement = {"hitch": hitch, "tools": [CHISEL], **machine}
    for work in ({"pull": known}, {"implement": implement}):
        standing = answer(BALLAST, {"tractor": TRACTOR, "soil": soil, "speed": "8 km/h", **work}).as_it_stands
        assert float(standing.axles.front.load) == pytest.approx(axles(found)[0], rel=1e-12)
        assert float(standing.axles.rear.load) == pytest.approx(axles(found)[1], rel=1e-12)
