import copy

import msgspec
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.hitch import HITCH
from drawbar_service.api.v1.hitch.answer import HitchAnswer
from drawbar_service.api.v1.hitch.request import HitchRequest
from drawbar_service.quantities import decode_quantity
from drawbar_service.reference import DRAWBAR, LOAD_INDEX, PTO, THREE_POINT, TIRE_MULTIPLES

G = 9.80665
TRACTOR = {
    "drive": "front-wheel-assist",
    "power": {"rated_pto": "100 kW"},
    "mass": "8 t",
    "front_share": "40 %",
    "wheelbase": "2.8 m",
    "hitch_distance": "1 m",
}
TOWED = {"hitch": "drawbar", "mass": "5 t", "center_of_mass": "3.6 m", "tongue_length": "4 m"}
MOUNTED = {"hitch": "three-point", "mass": "1 t", "center_of_mass": "0.9 m"}


def hitch(tractor=TRACTOR, units="metric", **more) -> HitchAnswer:
    body = copy.deepcopy({"tractor": tractor} | more)
    return HITCH.compute(msgspec.convert(body, HitchRequest, dec_hook=decode_quantity), Ledger(units))


def faults(**more) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as refusal:
        hitch(**more)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


def failed(answer):
    return [(check.name, check.pointer) for check in answer.checks if not check.kept]


def powered(power):
    return TRACTOR | {"power": {"rated_pto": power}}


@pytest.mark.parametrize(
    ("power", "three_point", "drawbar"),
    [
        # Three-point: published pages by horsepower, and ISO 730 from memory; drawbar: ISO 6489-3 from memory.
        ("15 hp", ["0", "1N", "1"], "0"),
        ("70 hp", ["2N", "2"], "2"),
        ("100 kW", ["3N", "3"], "2"),
        ("200 hp", ["3N", "3", "4N", "4"], "3"),
        ("450 kW", ["4N", "4"], "5"),
        ("600 kW", ["4N", "4"], None),
    ],
)
def test_categories_by_power(power, three_point, drawbar):
    answer = hitch(powered(power))
    assert [one.category for one in answer.three_point] == three_point
    assert answer.drawbar == drawbar
    assert answer.fits
    assert answer.loads is None


def test_engine_power_is_brought_to_the_pto_first():
    # 30 kW at the flywheel is 27 kW at the PTO, within drawbar category 0.
    answer = hitch(TRACTOR | {"power": {"engine": "30 kW"}})
    assert answer.drawbar == "0"
    assert "/tractor/power/rated_pto" in {one.pointer for one in answer.about.assumptions}


def test_a_category_that_does_not_suit_the_power_is_told():
    answer = hitch(powered("250 kW"), hitch={"three_point": "2", "drawbar": "2"})
    assert failed(answer) == [("three-point", "/hitch/three_point"), ("drawbar", "/hitch/drawbar")]


def test_narrow_spacing_has_the_pins_but_not_the_spread():
    machine = {"hitch": "three-point", "three_point": "3N"}
    answer = hitch(hitch={"three_point": "3"}, machine=machine, units="us")
    assert failed(answer) == [("three-point", "/machine/three_point")]
    (check,) = [one for one in answer.checks if not one.kept]
    assert check.detail == "machine of category 3N on a hitch of category 3: spacing 32.5 in on 38 in"
    assert hitch(hitch={"three_point": "3N"}, machine=machine).fits


def test_drawbar_and_tongue_must_be_of_one_category():
    answer = hitch(hitch={"drawbar": "3"}, machine={"hitch": "drawbar", "drawbar": "2"})
    assert failed(answer) == [("drawbar", "/machine/drawbar")]


@pytest.mark.parametrize(
    ("machine", "types"),
    [
        ({}, ["2", "3", "4"]),
        ({"pto_power": "40 kW"}, ["1", "2", "3", "4"]),
        ({"pto_power": "40 kW", "pto_speed": 540}, ["1"]),
        ({"pto_power": "70 kW", "pto_speed": 540}, []),
        ({"pto_power": "70 kW", "pto_speed": 1000}, ["2", "3"]),
        ({"pto_power": "90 kW", "pto_speed": 1300}, ["4"]),
    ],
)
def test_pto_types_by_speed_and_power(machine, types):
    assert [one.type for one in hitch(machine={"hitch": "drawbar"} | machine).pto] == types


def test_pto_mismatches():
    machine = {"hitch": "drawbar", "pto": "1", "pto_speed": 1000, "pto_power": "120 kW"}
    assert failed(hitch(hitch={"pto": ["2", "3"]}, machine=machine)) == [
        ("pto-type", "/machine/pto_speed"),
        ("pto-type", "/machine/pto"),
        ("pto-power", "/machine/pto_power"),
        ("pto-power", "/machine/pto"),
    ]
    only_speed = {"hitch": "drawbar", "pto_speed": 540}
    assert failed(hitch(hitch={"pto": ["2"]}, machine=only_speed)) == [("pto-type", "/machine/pto_speed")]
    assert hitch(hitch={"pto": ["1", "2"]}, machine=only_speed).fits


def test_the_lever_of_a_towed_machine():
    loads = hitch(machine=TOWED).loads
    # 5 t with its center of mass 0.4 m ahead of the axle, 4 m behind the pin: a tenth on the hitch.
    assert loads.hitch == pytest.approx(500 * G)
    assert loads.hitch_share == pytest.approx(0.1)
    assert loads.machine_axle == pytest.approx(4500 * G)
    assert loads.front == pytest.approx((3200 - 500 / 2.8) * G)
    assert loads.front + loads.rear == pytest.approx((8000 + 500) * G)


def test_three_ways_to_the_same_tongue_load():
    by_lever = hitch(machine=TOWED).loads
    for way in ({"tongue_share": 0.1}, {"tongue_load": f"{500 * G} N"}):
        loads = hitch(machine={"hitch": "drawbar", "mass": "5 t"} | way).loads
        assert loads.hitch == pytest.approx(by_lever.hitch)
        assert loads.rear == pytest.approx(by_lever.rear)
    load_only = hitch(machine={"hitch": "semi-mounted", "tongue_load": "5 kN"}).loads
    assert load_only.hitch_share is load_only.machine_axle is None


@pytest.mark.parametrize(("distance", "kept"), [("4.2 m", False), ("3.8 m", False), ("3.4 m", True), ("2 m", False)])
def test_tongue_share_between_sway_and_overload(distance, kept):
    answer = hitch(machine=TOWED | {"center_of_mass": distance})
    shares = [check.kept for check in answer.checks if check.name == "tongue-share"]
    assert all(shares) is kept
    assert hitch(
        machine=TOWED | {"center_of_mass": distance},
        limits={"least_tongue_share": 0.01, "most_tongue_share": 0.6},
    ).fits is (distance != "4.2 m")


def test_a_raised_machine_takes_weight_off_the_front():
    loads = hitch(machine=MOUNTED).loads
    assert loads.hitch == pytest.approx(1000 * G)
    assert loads.machine_axle is None
    # Center of mass 1.9 m behind the rear axle.
    assert loads.front == pytest.approx((3200 - 1000 * 1.9 / 2.8) * G)
    assert loads.front_alone == pytest.approx(3200 * G)
    heavy = hitch(machine=MOUNTED | {"mass": "3 t"})
    # 20 % of its own weight stays in front (published formulas of transport ballast).
    assert failed(heavy) == [("front-axle", "/tractor")]
    assert hitch(machine=MOUNTED | {"mass": "3 t"}, limits={"front_share": 0.1}).fits


def test_vertical_limit_of_the_hitch():
    answer = hitch(hitch={"vertical_limit": "4 kN"}, machine=TOWED)
    assert failed(answer) == [("hitch-load", "/hitch/vertical_limit")]
    assert list(faults(hitch={"vertical_limit": "0 N"}, machine=TOWED)) == ["/hitch/vertical_limit"]


def test_tires_against_axle_loads():
    tires = {
        "front": {"load_index": 150},
        "rear": {"load_index": 150},
        "machine": {"rated_load": "1.3 t", "count": 4, "mounting": "dual"},
    }
    answer = hitch(machine=TOWED, tires=tires)
    margins = {check.pointer: float(check.margin) for check in answer.checks if check.name == "tire-load"}
    # Front tires carry most without the machine: 3200 of 2 x 3350 kg.
    assert margins["/tires/front"] == pytest.approx(1 - 3200 / 6700)
    assert margins["/tires/rear"] == pytest.approx(1 - (4800 + 500 + 500 / 2.8) / 6700)
    assert margins["/tires/machine"] == pytest.approx(1 - 4500 / (4 * 1300 * 0.88))
    light = hitch(machine=TOWED, tires={"machine": {"rated_load": "1.2 t", "count": 4, "mounting": "dual"}})
    assert failed(light) == [("tire-load", "/tires/machine")]


def test_no_load_index_is_worked_out_beyond_the_table():
    for index in (99, 186):
        found = faults(machine=TOWED, tires={"rear": {"load_index": index}})
        assert found["/tires/rear/load_index"] == (
            f"{index} is not in the table, which goes from 100 to 185; give rated_load instead"
        )


def test_the_road_knows_no_limits_of_its_own():
    road = {"width": "6 m", "tractor_length": "5 m", "machine_length": "9 m"}
    answer = hitch(road=road)
    assert answer.fits
    assert answer.road.length == pytest.approx(14.0)
    assert answer.road.mass is answer.road.mass_ratio is None
    assert [(one.code, one.pointer) for one in answer.about.warnings] == [("check-safety", "/road")]
    limits = {"greatest_width": "3 m", "greatest_length": "12 m", "greatest_mass_ratio": 0.5}
    held = hitch(road=road | limits, machine=TOWED)
    assert failed(held) == [("width", "/road/width"), ("length", "/road"), ("mass-ratio", "/machine/mass")]
    assert held.road.mass == pytest.approx(13_000)
    assert held.road.mass_ratio == pytest.approx(0.625)


def test_the_ends_of_tracks_are_loaded_as_axles_are():
    wheels, tracks = (hitch(TRACTOR | {"drive": drive}, machine=TOWED).loads for drive in ("four-wheel", "four-track"))
    assert wheels == tracks
    bare = {name: value for name, value in TRACTOR.items() if name not in ("wheelbase", "front_share")}
    usual = TRACTOR | {"drive": "rubber-track", "wheelbase": "2.2 m", "front_share": "52.5 %"}
    assert hitch(bare | {"drive": "rubber-track"}, machine=TOWED).loads == hitch(usual, machine=TOWED).loads
    assert list(faults(tractor=bare | {"drive": "four-track"}, machine=TOWED)) == ["/tractor/wheelbase"]


def test_tracks_have_no_tires_to_check():
    for drive in ("rubber-track", "four-track"):
        found = faults(tractor=TRACTOR | {"drive": drive}, machine=TOWED, tires={"rear": {"rated_load": "3 t"}})
        assert list(found) == ["/tires/rear"]


def test_faults_point_to_what_is_missing_or_too_much():
    bare = {name: value for name, value in TRACTOR.items() if name != "wheelbase"}
    assert list(faults(tractor=bare, machine=TOWED)) == ["/tractor/wheelbase"]
    assert list(faults(machine={"hitch": "three-point", "mass": "1 t"})) == ["/machine/center_of_mass"]
    assert list(faults(machine=MOUNTED | {"tongue_share": 0.1})) == ["/machine/tongue_share"]
    assert list(faults(machine={"hitch": "drawbar", "tongue_share": 0.1})) == ["/machine/mass"]
    assert list(faults(machine={"hitch": "drawbar", "mass": "1 t", "tongue_length": "4 m"})) == [
        "/machine/center_of_mass"
    ]
    assert list(faults(machine=TOWED | {"tongue_share": 0.1})) == ["/machine/tongue_length"]
    assert list(faults(machine={"hitch": "drawbar", "mass": "1 t", "tongue_load": "20 kN"})) == ["/machine/tongue_load"]
    assert list(faults(tires={"rear": {"load_index": 150, "rated_load": "3 t"}})) == ["/tires/rear"]
    road = {"width": "3 m", "tractor_length": "5 m", "machine_length": "9 m", "greatest_mass_ratio": 1.5}
    assert list(faults(road=road)) == ["/machine/mass"]


def test_every_category_a_request_may_name_is_in_its_table():
    for category in ("0", "1N", "1", "2N", "2", "3N", "3", "4N", "4"):
        assert THREE_POINT.row(category.lower()).category == category
    assert len(THREE_POINT.rows) == 9
    assert list(DRAWBAR.rows) == list("012345")
    assert list(PTO.rows) == list("1234")


def test_narrow_categories_follow_from_the_wide_ones():
    """Pins of that category, spacing of the next lower (published pages)."""
    for wide, lower in (("1", "0"), ("2", "1"), ("3", "2"), ("4", "3")):
        narrow = THREE_POINT.row(f"{wide}n")
        assert (narrow.lower_pin_in, narrow.upper_pin_in) == (
            THREE_POINT.row(wide).lower_pin_in,
            THREE_POINT.row(wide).upper_pin_in,
        )
        assert narrow.spacing_in == THREE_POINT.row(lower).spacing_in


def test_figures_of_the_tables():
    # From memory; load index high confidence, duals and triples medium.
    assert list(LOAD_INDEX.rows) == [str(index) for index in range(100, 186)]
    loads = [row.load_kg for row in LOAD_INDEX.rows.values()]
    assert loads[50::5] == [3350, 3875, 4500, 5150, 6000, 6900, 8000, 9250]
    # The indices are a geometric scale of 80 steps to tenfold, rounded.
    assert loads == pytest.approx([800.0 * 10.0 ** (step / 80.0) for step in range(86)], rel=0.02)
    # Spans of ISO 730, from memory.
    spans = [25.4 * THREE_POINT.row(id).spacing_in for id in ("1", "2", "3", "4")]
    assert spans == pytest.approx([683, 825, 965, 1166.5], abs=0.01)
    assert [row.load_multiplier for row in TIRE_MULTIPLES.rows.values()] == [1.0, 0.88, 0.82]
    # Published pages: speed and splines of each type.
    assert [(row.speed_r_min, row.splines) for row in PTO.rows.values()] == [
        (540, 6), (1000, 21), (1000, 20), (1300, 22)
    ]  # fmt: skip


def test_a_load_index_in_the_tire_size_is_checked_on_the_road():
    tires = {"front": {"size": "540/65R30 143D"}, "rear": {"size": "650/65R42 158A8"}}
    body = copy.deepcopy(dict(TRACTOR)) | {"tires": tires}

    def margins(**changes):
        answer = hitch(machine=TOWED, tires={}, **({"tractor": body} | changes))
        return {check.pointer: float(check.margin) for check in answer.checks if check.name == "tire-load"}

    first = margins()
    assert set(first) == {"/tractor/tires/front", "/tractor/tires/rear"}
    soft = copy.deepcopy(body)
    soft["tires"]["rear"] |= {"inflation": "1 bar"}
    assert margins(tractor=soft)["/tractor/tires/rear"] < first["/tractor/tires/rear"]
    soft["tires"]["rear"] |= {"road_inflation": "1.6 bar"}
    assert margins(tractor=soft) == pytest.approx(first)
    road = {"width": "3 m", "tractor_length": "5 m", "machine_length": "6 m", "speed": "50 km/h"}
    fast = margins(road=road)
    assert 1 - fast["/tractor/tires/rear"] == pytest.approx((1 - first["/tractor/tires/rear"]) / 0.91)
    assert fast["/tractor/tires/front"] == first["/tractor/tires/front"]
    stated = hitch(machine=TOWED, tires={"rear": {"load_index": 170}}, tractor=body)
    assert "/tractor/tires/rear" not in {check.pointer for check in stated.checks}
