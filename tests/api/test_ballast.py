"""Ballast: advice that holds when followed, every way it can end, transport axles, costs and soil stress."""

import copy
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.ballast.answer import BallastAnswer
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.engine.odds import END_SCORE
from drawbar_service.model.ballast_search import LEAST_MASS, MOST_MASS
from drawbar_service.quantities import TractorMass, decode_quantity
from drawbar_service.reference import default

TRACTOR: dict[str, Any] = {**EXAMPLE_TRACTOR, "front_share": "38 %"}
BODY: dict[str, Any] = {
    "tractor": TRACTOR,
    "pull": {"force": "58 kN"},
    "soil": {"texture": "medium", "surface": "tilled"},
    "speed": "7.5 km/h",
}
IMPLEMENT = {"hitch": "drawbar", "tools": [{"tool": "moldboard-plow", "width": "2 m", "depth": "24 cm"}]}


def ballast(**changes: Any) -> BallastAnswer:
    body = copy.deepcopy(BODY) | changes
    if "implement" in changes:
        body.pop("pull")
    return BALLAST.compute(msgspec.convert(body, BALLAST.request, dec_hook=decode_quantity), Ledger("metric"))


def faults(**changes: Any) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as refusal:
        ballast(**changes)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


def of_mass(kg: float, share: float, **more: Any) -> dict[str, Any]:
    return {**TRACTOR, "mass": {"value": float(kg), "unit": "kg"}, "front_share": float(share), **more}


def pulling(newtons: float, **more: Any) -> dict[str, Any]:
    return {"force": {"value": float(newtons), "unit": "N"}, **more}


def kept(standing: Any) -> dict[str, bool]:
    return {limit.name: limit.kept for limit in standing.limits}


# ---- the advice


def test_too_light_is_told_to_add_and_then_fits():
    answer = ballast()
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("add", "slip")
    assert answer.as_it_stands is not None
    assert answer.advised is not None
    assert answer.as_it_stands.slip > 0.13
    assert answer.advised.slip == pytest.approx(0.12, abs=1e-6)
    followed = ballast(tractor=of_mass(answer.advised.mass, answer.advised.front_share))
    assert followed.verdict.advice == "as-it-stands"
    assert followed.verdict.decided_by is followed.advised is followed.change is None
    assert followed.as_it_stands is not None
    assert followed.as_it_stands.slip == pytest.approx(0.12, abs=1e-6)


def test_the_advised_mass_is_what_the_traction_endpoint_says():
    answer = ballast()
    assert answer.advised is not None
    body = {
        "tractor": of_mass(answer.advised.mass, answer.advised.front_share),
        "soil": BODY["soil"],
        "pull": "58 kN",
    }
    traction = TRACTION.compute(msgspec.convert(body, TRACTION.request, dec_hook=decode_quantity), Ledger("metric"))
    assert traction.slip == pytest.approx(answer.advised.slip, abs=1e-9)
    assert traction.axles.rear.load == pytest.approx(answer.advised.axles.rear.load)
    assert traction.lifting_pull == pytest.approx(answer.advised.lifting_pull)


@pytest.mark.parametrize(("aim", "slip"), [("low", 0.11), ("middle", 0.12), ("high", 0.13)])
def test_the_slip_aimed_at_is_the_slip_that_is_met(aim, slip):
    answer = ballast(aim=aim)
    assert answer.advised is not None
    assert answer.advised.slip == pytest.approx(slip, abs=1e-6)


def test_the_least_mass_is_found_among_the_usual_splits():
    by_split = [
        ballast(wanted_front_share=f"{split} %", limits={"mass": "20 t"}).advised for split in (35, 36.25, 37.5, 40)
    ]
    found = ballast().advised
    assert found is not None
    assert float(found.mass) <= min(float(one.mass) for one in by_split if one is not None) * (1.0 + 1e-9)
    assert 0.35 <= found.front_share <= 0.40


def test_a_wanted_split_is_kept_to():
    answer = ballast(wanted_front_share="45 %")
    assert answer.advised is not None
    assert answer.advised.front_share == pytest.approx(0.45)
    assert answer.advised.slip == pytest.approx(0.12, abs=1e-6)


def test_too_heavy_is_told_to_take_off():
    answer = ballast(pull={"force": "42 kN"}, ballast_on={"front": "1 t", "rear": "1.5 t"})
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("take-off", "slip")
    assert answer.change is not None
    assert answer.change.total < 0.0
    assert "take off" in answer.verdict.summary


def test_what_to_hang_brings_about_the_axle_masses():
    answer = ballast(front_ballast_reach="1.3 m")
    change, now, then = answer.change, answer.as_it_stands, answer.advised
    assert change is not None
    assert now is not None
    assert then is not None
    assert change.front_axle == pytest.approx(then.front_mass - now.front_mass)
    assert change.front_axle + change.rear_axle == pytest.approx(float(change.total))
    assert change.front_ballast + change.rear_ballast == pytest.approx(float(change.total))
    assert change.front_ballast * (2.82 + 1.3) / 2.82 == pytest.approx(float(change.front_axle))


def test_ballast_that_is_not_there_does_not_come_off():
    answer = ballast(pull={"force": "42 kN"}, ballast_on={"front": "400 kg", "rear": "1.2 t"})
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("take-off", "lightest")
    assert answer.change is not None
    assert answer.advised is not None
    assert answer.change.front_ballast >= -400.0 - 1e-6
    assert answer.change.rear_ballast >= -1200.0 - 1e-6
    assert 0.11 <= answer.advised.slip < 0.12


@pytest.mark.parametrize("share", ["38 %", "41 %"])
@pytest.mark.parametrize(
    ("on", "says"), [({}, "no ballast"), ({"front": "400 kg", "rear": "100 kg"}, "all the 500 kg")]
)
def test_too_heavy_with_too_little_to_take_off_is_no_matter_of_ballast(share, on, says):
    answer = ballast(tractor={**TRACTOR, "front_share": share}, pull={"force": "30 kN"}, ballast_on=on)
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("cannot", "lightest")
    assert answer.advised is answer.change is None
    assert says in answer.verdict.summary
    assert "wider tool, work deeper or drive a gear faster" in answer.verdict.summary


def test_ballast_nobody_mentioned_does_not_come_off():
    answer = ballast(pull={"force": "30 kN"})
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("unknown-ballast", "lightest")
    assert answer.advised is answer.change is None
    assert "How much ballast is on is not known" in answer.verdict.summary
    assert "wider tool, work deeper or drive a gear faster" in answer.verdict.summary
    (assumed,) = [one for one in answer.about.assumptions if one.pointer == "/ballast_on"]
    assert assumed.value == "0 kg in all"
    # Light enough tractors are answered as before.
    assert ballast().verdict.advice == "add"


def test_a_limit_of_mass_below_a_tractor_of_unknown_ballast_asks():
    answer = ballast(pull={"force": "50 kN"}, limits={"mass": "9.3 t"})
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("unknown-ballast", "heaviest")
    assert "may weigh 9300 kg" in answer.verdict.summary


def test_too_light_is_told_to_add_whatever_ballast_is_on():
    answer = ballast(tractor={**TRACTOR, "drive": "two-wheel"}, pull={"force": "45 kN"}, limits={"mass": "25 t"})
    assert answer.verdict.advice == "add"
    assert answer.change is not None
    assert answer.change.front_ballast >= -0.1
    assert answer.change.rear_ballast > 0.0


def test_ballast_known_in_all_comes_off_where_it_helps():
    answer = ballast(pull={"force": "42 kN"}, ballast_on={"total": "2.5 t"})
    assert answer.verdict.advice == "take-off"
    assert answer.change is not None
    assert answer.change.total >= -2500.0
    assert list(faults(ballast_on={"total": "2.5 t", "rear": "1 t"})) == ["/ballast_on/total"]


OFFERED = ("as-it-stands", "add", "take-off", "shift")
ENDS_ON = st.fixed_dictionaries({"front": st.floats(0.0, 2000.0), "rear": st.floats(0.0, 3000.0)})
IN_ALL = st.fixed_dictionaries({"total": st.floats(0.0, 4000.0)})


@one_in(3)
@given(
    st.floats(5e3, 9e4),
    st.floats(5e3, 15e3),
    st.floats(0.25, 0.55),
    st.none() | ENDS_ON | IN_ALL,
    st.sampled_from(["hard", "firm", "tilled", "soft"]),
    st.sampled_from(["low", "middle", "high"]),
    st.sampled_from([None, {"rear": {"mass": "2.9 t", "behind_links": "1.5 m"}}]),
)
def test_no_advice_leaves_slip_outside_its_band_or_takes_off_more_than_is_on(
    pull, mass, share, on, surface, aim, raised
):
    stated = None if on is None else {end: {"value": value, "unit": "kg"} for end, value in on.items()}
    answer = ballast(
        pull=pulling(pull),
        tractor=of_mass(mass, share),
        soil={"texture": "medium", "surface": surface},
        aim=aim,
        ballast_on=stated,
        transport=raised,
    )
    low, high = answer.slip_band
    final = answer.advised or answer.as_it_stands
    assert final is not None
    if answer.verdict.advice in OFFERED:
        assert final.carried
        assert low * (1.0 - 1e-5) <= final.slip <= high * (1.0 + 1e-5)
    else:
        assert answer.verdict.advice == "cannot" or on is None
        assert answer.change is answer.advised is None
    if answer.change is not None:
        off = [max(-float(end), 0.0) for end in (answer.change.front_ballast, answer.change.rear_ballast)]
        most = on or {"total": 0.0}
        assert sum(off) <= sum(most.values()) + 0.1
        if "front" in most:
            assert off[0] <= most["front"] + 0.1
            assert off[1] <= most["rear"] + 0.1


def test_a_split_outside_the_usual_is_shifted_at_the_same_mass():
    standing = ballast(tractor={**TRACTOR, "front_share": "43 %"}, pull={"force": "50 kN"})
    assert standing.verdict.advice == "as-it-stands"
    assert "43 % of the mass in front" in standing.verdict.summary
    answer = ballast(
        tractor={**TRACTOR, "front_share": "43 %"}, pull={"force": "50 kN"}, ballast_on={"front": "600 kg"}
    )
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("shift", "split")
    assert answer.change is not None
    assert answer.advised is not None
    assert answer.change.total == pytest.approx(0.0, abs=1e-6)
    assert answer.advised.front_share == pytest.approx(0.40)
    assert kept(answer.advised)["slip"]


def test_a_pull_beyond_the_heaviest_tractor_is_an_answer():
    answer = ballast(limits={"mass": "10 t"})
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("cannot", "heaviest")
    assert answer.advised is answer.change is None
    assert answer.pull_in_reach is not None
    assert 45e3 < answer.pull_in_reach < 58e3
    within = ballast(limits={"mass": "10 t"}, pull=pulling(answer.pull_in_reach * 0.999))
    assert within.advised is not None
    assert within.advised.mass <= 10e3 * (1.0 + 1e-6)


def test_a_tractor_heavier_than_allowed_is_made_lighter():
    on = {"front": "300 kg", "rear": "300 kg"}
    answer = ballast(pull={"force": "50 kN"}, limits={"mass": "9.3 t"}, aim="high", ballast_on=on)
    assert answer.verdict.advice == "take-off"
    assert answer.advised is not None
    assert answer.advised.mass <= 9300.0 * (1.0 + 1e-6)


def test_soil_that_gives_way_under_any_mass_is_an_answer():
    answer = ballast(soil={"texture": "fine", "surface": "soft", "cone_index": "150 kPa"}, pull={"force": "70 kN"})
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("cannot", "soil")
    assert "the soil gives way" in answer.verdict.summary
    assert [row.mass for row in answer.iso_slip] == [None, None, None]
    assert answer.as_it_stands is not None
    assert answer.as_it_stands.fuel is answer.as_it_stands.power_paths is None
    assert "not-carried" in [warning.code for warning in answer.about.warnings]


def test_a_front_axle_that_lifts_asks_for_mass_that_slip_does_not():
    body = {"pull": {"force": "72 kN", "hitch": "three-point", "vertical_load": "16 kN"}}
    answer = ballast(**body, wanted_front_share="36 %", limits={"mass": "20 t"}, aim="high")
    assert answer.verdict.decided_by == "front-axle"
    assert answer.as_it_stands is not None
    assert answer.advised is not None
    assert not kept(answer.as_it_stands)["front-axle"]
    assert answer.advised.front_share_pulling == pytest.approx(0.15, abs=1e-9)
    assert 0.11 <= answer.advised.slip < 0.13


def test_mass_for_steering_that_takes_slip_from_its_band_is_named_but_no_advice():
    body = {"pull": {"force": "40 kN", "hitch": "three-point", "vertical_load": "16 kN"}}
    answer = ballast(**body, wanted_front_share="36 %", limits={"mass": "20 t"})
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("cannot", "front-axle")
    assert answer.advised is answer.change is None
    assert "To steer by under this pull it takes 11400 kg" in answer.verdict.summary
    assert "outside its band" in answer.verdict.summary


def test_a_split_that_no_mass_makes_steerable_is_an_answer():
    answer = ballast(wanted_front_share="10 %")
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("cannot", "front-axle")
    assert "front axle" in answer.verdict.summary


def test_the_front_lifts_where_statics_says():
    # W x / z by hand: 9400 kg, 38 % of 2.82 m, pull at 0.5 m.
    standing = ballast(pull={"force": "58 kN", "pull_height": "0.5 m"}).as_it_stands
    assert standing is not None
    assert standing.lifting_pull == pytest.approx(9400 * 9.80665 * 0.38 * 2.82 / 0.5)
    assert kept(standing)["front-lift"]
    broken = ballast(pull={"force": "300 kN", "pull_height": "1 m"}).as_it_stands
    assert broken is not None
    assert not kept(broken)["front-lift"]


@pytest.mark.parametrize("drive", ["two-wheel", "four-wheel"])
def test_other_drives_are_brought_to_their_own_split(drive):
    low, high = {"two-wheel": (0.25, 0.35), "four-wheel": (0.51, 0.60)}[drive]
    on = {"front": "2 t", "rear": "2 t"}
    tractor = {**TRACTOR, "drive": drive}
    answer = ballast(tractor=tractor, pull={"force": "45 kN"}, limits={"mass": "25 t"}, ballast_on=on)
    assert answer.advised is not None
    assert low - 1e-9 <= answer.advised.front_share <= high + 1e-9
    assert answer.advised.slip == pytest.approx(0.12, abs=1e-6)


def test_uphill_takes_more_mass_than_level():
    level, uphill = ballast().advised, ballast(slope="3 %").advised
    assert level is not None
    assert uphill is not None
    assert uphill.mass > level.mass


def test_the_range_of_the_draft_is_carried_into_pull_slip_and_mass():
    plow = {**IMPLEMENT, "tools": [{**IMPLEMENT["tools"][0], "width": "2.8 m"}]}
    answer = ballast(implement=plow, ballast_on={"total": "3.5 t"})
    assert answer.pull.low is not None
    assert answer.pull.low < answer.pull < (answer.pull.high or 0.0)
    assert answer.advised is not None
    assert answer.advised.mass.low is not None
    assert answer.advised.mass.low <= answer.advised.mass <= (answer.advised.mass.high or 0.0)


def test_a_job_takes_the_same_range_of_power_as_in_a_match():
    rotary = [{"machine": "mower.disk", "width": "3 m"}]
    job = {"tractor": TRACTOR, "implement": IMPLEMENT | {"rotary": rotary}, "soil": BODY["soil"], "speed": "7.5 km/h"}
    match = MATCH.compute(msgspec.convert(job, MATCH.request, dec_hook=decode_quantity), Ledger("metric")).at_work
    state = ballast(implement=job["implement"]).as_it_stands
    assert state is not None
    for ours, theirs in ((state.pto_power, match.pto_power), (state.load_fraction, match.load_fraction)):
        assert ours.low is not None
        assert (ours, ours.low, ours.high) == (theirs, theirs.low, theirs.high)
        assert ours.low < ours < (ours.high or 0.0)


def test_a_known_pull_leaves_the_range_of_the_tractor():
    state = ballast().as_it_stands
    assert state is not None
    power, spread = state.pto_power, default("traction_spread").value
    assert (power.low, power.high) == pytest.approx(
        [float(power) * np.exp(end * END_SCORE * spread) for end in (-1.0, 1.0)], rel=1e-12
    )


def test_the_search_spans_what_a_request_may_weigh():
    assert (TractorMass.least, TractorMass.most) == (LEAST_MASS, MOST_MASS)


def test_what_the_pto_drives_burns_fuel_but_moves_no_ballast():
    plain = ballast(implement=IMPLEMENT)
    driven = ballast(implement={**IMPLEMENT, "electric": "20 kW"})
    assert plain.as_it_stands is not None
    assert driven.as_it_stands is not None
    assert driven.as_it_stands.pto_power > plain.as_it_stands.pto_power + 20e3
    assert [row.mass for row in plain.iso_slip] == [row.mass for row in driven.iso_slip]


# ---- the guide


@pytest.mark.parametrize(
    ("speed", "band", "kilograms"),
    [
        ("8.71 km/h", "fast", 73.0),
        ("8 km/h", "medium", 79.0),
        ("7.21 km/h", "medium", 79.0),
        ("7.2 km/h", "slow", 85.0),
        ("3 km/h", "slow", 85.0),
        ("12 km/h", "fast", 73.0),
    ],
)
def test_the_guide_goes_by_speed(speed, band, kilograms):
    """Published guides to ballasting: 120, 130 and 140 lb/hp."""
    guide = ballast(speed=speed).guide
    assert (guide.band, guide.mass_per_power) == (band, pytest.approx(kilograms / 1000.0))
    assert guide.mass == pytest.approx(kilograms * 145.0)
    assert guide.difference == pytest.approx(9400.0 / (kilograms * 145.0) - 1.0)


def test_the_guide_counts_engine_power_of_an_articulated_tractor():
    """The mass is 79 kg for each kW of the engine, and so the more for each kW of the PTO, which is 90 % of it."""
    articulated = {**TRACTOR, "drive": "four-wheel", "front_share": "55 %"}
    by_pto = ballast(speed="8 km/h", tractor=articulated)
    by_engine = ballast(speed="8 km/h", tractor={**articulated, "power": {"engine": "161.1111 kW"}})
    assert by_pto.guide.mass_per_power == pytest.approx(79.0 / 0.9 / 1000.0)
    assert by_pto.guide.mass == pytest.approx(79.0 * 145.0 / 0.9)
    assert by_engine.guide.mass == pytest.approx(by_pto.guide.mass, rel=1e-6)
    assert "/tractor/power/engine" in [one.pointer for one in by_pto.about.assumptions]
    assert "/tractor/power/engine" not in [one.pointer for one in by_engine.about.assumptions]


def test_the_axle_caution_is_ten_us_tons():
    # 9.4 t on the rear axle: beyond 20,000 lb, and within 10 metric tons.
    heavy: dict[str, Any] = {"tractor": of_mass(14_000, 0.38), "pull": {"force": "40 kN"}}
    assert not kept(ballast(**heavy).as_it_stands)["axle-load"]
    assert kept(ballast(**heavy, limits={"axle_mass": "10 t"}).as_it_stands)["axle-load"]


def test_a_guide_that_parts_from_slip_is_told_of_under_full_power_only():
    def told(**changes: Any) -> bool:
        return "methods-differ" in [warning.code for warning in ballast(**changes).about.warnings]

    assert not told(speed="7.5 km/h")
    slow = {"speed": "6.5 km/h", "tractor": {**TRACTOR, "mass": "8.6 t"}, "pull": {"force": "52 kN"}}
    assert told(**slow)
    assert not told(**slow | {"tractor": {**TRACTOR, "mass": "8.6 t", "power": {"rated_pto": "300 kW"}}})


def test_tracks_get_the_guide_and_are_told_so():
    tracks = {"drive": "rubber-track", "power": {"rated_pto": "250 kW"}, "mass": "17 t"}
    answer = ballast(tractor=tracks, transport={"rear": {"mass": "2 t", "behind_links": "1 m"}}, soil_stress={})
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("guide-only", None)
    assert answer.as_it_stands is answer.advised is answer.change is answer.pull_in_reach is None
    assert answer.costs == answer.iso_slip == []
    assert answer.guide.mass == pytest.approx(79.0 * 250.0)
    warned = {(warning.code, warning.pointer) for warning in answer.about.warnings}
    assert warned == {("rough-estimate", "/tractor/drive"), ("not-used", "/transport"), ("not-used", "/soil_stress")}


# ---- costs and iso-slip


def test_too_light_slips_and_too_heavy_rolls():
    answer = ballast(tractor={**TRACTOR, "power": {"rated_pto": "220 kW"}})
    assert answer.advised is not None
    slip_power = [row.slip_power for row in answer.costs]
    rolling = [row.rolling_power for row in answer.costs]
    assert None not in slip_power
    assert slip_power == sorted(slip_power, reverse=True)
    assert rolling == sorted(rolling)
    sliding = [float(row.sliding) for row in answer.costs]
    assert sliding == sorted(sliding, reverse=True)
    (right,) = [row for row in answer.costs if row.over_right == 0.0]
    assert right.more_fuel == pytest.approx(0.0, abs=1e-12)
    assert (right.mass, right.slip, right.fuel) == (answer.advised.mass, answer.advised.slip, answer.advised.fuel)
    for row in (answer.costs[0], answer.costs[-1]):
        assert row.more_fuel is not None
        assert row.more_fuel > 0.0


def test_ballast_makes_no_power_and_the_answer_says_so():
    short = ballast()
    assert short.advised is not None
    assert not kept(short.advised)["power"]
    assert short.advised.fuel is None
    assert "Power is short" in short.verdict.summary
    enough = ballast(tractor={**TRACTOR, "power": {"rated_pto": "220 kW"}})
    assert "Power is short" not in enough.verdict.summary


def test_power_goes_where_it_is_said_to_go():
    standing = ballast(slope="4 %").as_it_stands
    assert standing is not None
    paths = standing.power_paths
    assert paths is not None
    whole = paths.drawbar + paths.slip + paths.rolling + paths.grade
    pulling_and_climbing = 58e3 * 7.5 / 3.6 + paths.grade
    assert whole * standing.tractive_efficiency == pytest.approx(pulling_and_climbing)
    assert paths.grade == pytest.approx(9400 * 9.80665 * 0.04 * 7.5 / 3.6, rel=1e-3)


def test_iso_slip_leads_back():
    answer = ballast()
    for row in answer.iso_slip:
        again = ballast(pull=pulling(row.pull)).as_it_stands
        assert again is not None
        assert again.slip == pytest.approx(row.slip, abs=1e-6)
        assert row.mass is not None
    assert [row.slip for row in answer.iso_slip] == [pytest.approx(slip) for slip in (0.11, 0.12, 0.13)]
    pulls, masses = [row.pull for row in answer.iso_slip], [float(row.mass or 0.0) for row in answer.iso_slip]
    assert pulls == sorted(pulls)
    assert masses == sorted(masses, reverse=True)
    assert answer.advised is not None
    assert masses[1] == pytest.approx(float(answer.advised.mass))


# ---- raised


def test_a_heavy_plow_raised_asks_for_ballast_in_front():
    plow = {"rear": {"mass": "2.9 t", "behind_links": "1.5 m"}, "links_behind_axle": "1 m"}
    answer = ballast(pull={"force": "52.5 kN"}, transport=plow)
    now = answer.as_it_stands
    assert now is not None
    assert now.transport is not None
    # (0.38 9400 2.82 - 2900 2.5) / 2.82 by hand.
    assert now.transport.front_axle == pytest.approx(0.38 * 9400 - 2900 * 2.5 / 2.82)
    assert not kept(now)["front-raised"]
    assert (answer.verdict.advice, answer.verdict.decided_by) == ("add", "raised")
    assert answer.change is not None
    assert answer.change.front_ballast == pytest.approx(now.transport.front_ballast)
    assert answer.change.rear_ballast == pytest.approx(0.0, abs=1e-6)
    then = answer.advised
    assert then is not None
    assert then.transport is not None
    assert then.transport.front_share == pytest.approx(0.20)
    assert kept(then)["front-raised"]


def test_a_lighter_tractor_counts_only_its_own_mass():
    plow = {"rear": {"mass": "2 t", "behind_links": "1 m"}}
    whole = ballast(transport=plow).as_it_stands
    own = ballast(transport={**plow, "unladen_mass": "8 t"}).as_it_stands
    assert whole is not None
    assert own is not None
    assert whole.transport is not None
    assert own.transport is not None
    assert own.transport.front_share == pytest.approx(whole.transport.front_share * 9400 / 8000)


def test_a_loader_in_front_asks_for_ballast_behind():
    front = {"front": {"mass": "4 t", "ahead_of_axle": "2 m"}, "links_behind_axle": "1 m"}
    answer = ballast(transport=front)
    assert answer.as_it_stands is not None
    raised = answer.as_it_stands.transport
    assert raised is not None
    # (4000 2 - 0.62 9400 2.82 + 0.45 9400 2.82) / (2.82 + 1) by hand.
    assert raised.rear_ballast == pytest.approx((8000 + (0.45 - 0.62) * 9400 * 2.82) / 3.82)
    assert raised.front_axle + raised.rear_axle == pytest.approx(13_400.0)
    assert "check-safety" in [warning.code for warning in answer.about.warnings]


# ---- axle load and soil stress


def test_ten_tonnes_on_an_axle_are_cautioned_of():
    answer = ballast(tractor=of_mass(17_000, 0.38), pull={"force": "80 kN"})
    assert answer.as_it_stands is not None
    assert not kept(answer.as_it_stands)["axle-load"]
    assert "/limits/axle_mass" in [warning.pointer for warning in answer.about.warnings]
    bound = ballast(tractor=of_mass(17_000, 0.38), pull={"force": "80 kN"}, limits={"axle_mass": "30 t"})
    assert "/limits/axle_mass" not in [warning.pointer for warning in bound.about.warnings]


def test_stress_is_what_the_load_and_the_measured_area_make_it():
    asked = {"depths": ["1 mm", "50 cm"], "rear_contact": "0.5 m2", "front_contact": "0.3 m2", "concentration": 3}
    standing = ballast(soil_stress=asked).as_it_stands
    assert standing is not None
    assert standing.soil_stress is not None
    rear = standing.soil_stress.rear
    assert rear.tire_load == pytest.approx(standing.axles.rear.load / 2)
    assert rear.contact_stress == pytest.approx(standing.axles.rear.load / 2 / 0.5)
    assert rear.stress[0].stress == pytest.approx(rear.contact_stress, rel=1e-4)
    # p (1 - (1 + (a/z)^2)^(-3/2)) with a^2 = 0.5/pi by hand: (a/z)^2 = 0.63662.
    assert rear.stress[1].stress == pytest.approx(rear.contact_stress * (1 - 1.63662**-1.5), rel=1e-5)
    assert not any(one.pointer.startswith("/soil_stress") for one in ballast(soil_stress=asked).about.assumptions)


def test_soft_soil_carries_stress_deeper_than_hard():
    def at_half_metre(surface: str) -> float:
        answer = ballast(soil={"texture": "medium", "surface": surface}, soil_stress={"depths": ["50 cm"]})
        assert answer.as_it_stands is not None
        assert answer.as_it_stands.soil_stress is not None
        return float(answer.as_it_stands.soil_stress.rear.stress[0].stress)

    assert at_half_metre("hard") < at_half_metre("firm") == at_half_metre("tilled") < at_half_metre("soft")


def test_duals_ease_the_topsoil():
    tires = {"front": {"size": "540/65R30"}, "rear": {"size": "650/65R42", "count": 4}}
    single, dual = (ballast(tractor={**TRACTOR, **change}, soil_stress={}) for change in ({}, {"tires": tires}))
    assert single.as_it_stands is not None
    assert dual.as_it_stands is not None
    assert single.as_it_stands.soil_stress is not None
    assert dual.as_it_stands.soil_stress is not None
    one, two = single.as_it_stands.soil_stress.rear.stress, dual.as_it_stands.soil_stress.rear.stress
    assert two[0].stress < 0.52 * one[0].stress
    assert two[-1].stress / one[-1].stress > two[0].stress / one[0].stress
    assert "/soil_stress/dual_spacing" in [one.pointer for one in dual.about.assumptions]
    assert "/soil_stress/dual_spacing" not in [one.pointer for one in single.about.assumptions]


def test_an_axle_in_the_air_presses_on_nothing():
    answer = ballast(pull={"force": "58 kN", "hitch": "three-point", "vertical_load": "150 kN"}, soil_stress={})
    assert answer.as_it_stands is not None
    assert answer.as_it_stands.soil_stress is not None
    assert answer.as_it_stands.soil_stress.front.contact_stress == 0.0


# ---- faults


def test_an_implement_or_a_pull_but_not_both():
    both = copy.deepcopy(BODY) | {"implement": IMPLEMENT}
    for body in (both, {key: value for key, value in BODY.items() if key != "pull"}):
        with pytest.raises(ImpossibleInput) as refusal:
            BALLAST.compute(msgspec.convert(body, BALLAST.request, dec_hook=decode_quantity), Ledger("metric"))
        assert [fault.pointer for fault in refusal.value.faults] == ["/implement"]


def test_what_cannot_be_is_refused_with_its_place():
    assert list(faults(ballast_on={"rear": "9.2 t"})) == ["/ballast_on"]
    assert list(faults(ballast_on={}, limits={"mass": "9 t"})) == ["/limits/mass"]
    assert list(faults(transport={})) == ["/transport"]
    assert list(faults(tractor={key: value for key, value in TRACTOR.items() if key != "wheelbase"})) == [
        "/tractor/wheelbase"
    ]
    assert list(faults(implement={**IMPLEMENT, "tools": [{"tool": "no-such-tool"}]})) == ["/implement/tools/0/tool"]


def test_nothing_is_assumed_that_was_said():
    said = {
        "ballast_on": {"front": "500 kg"},
        "front_ballast_reach": "1 m",
        "limits": {"mass": "14 t", "front_share": "20 %", "axle_mass": "8 t"},
    }
    pointers = [one.pointer for one in ballast(**said).about.assumptions]
    assert not any(one.startswith(("/ballast_on", "/front_ballast", "/limits")) for one in pointers)
