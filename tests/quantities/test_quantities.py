"""Quantities on the wire: the unit table against pint, both spellings, and text that is not what it seems."""

import inspect
import math
import time
import tomllib
from importlib.resources import files

import msgspec
import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from drawbar_service import quantities as q
from drawbar_service.quantities import (
    DIMENSIONS,
    SMALLEST,
    Depth,
    Efficiency,
    Force,
    Power,
    Quantity,
    Ratio,
    Share,
    Speed,
    Torque,
    decode_quantity,
    encode_metric,
    encode_us,
)

UNITS = tomllib.loads((files("drawbar_service.reference") / "data" / "units.toml").read_text("utf-8"))
REGISTRY = pint.UnitRegistry(cache_folder=None)
REGISTRY.define("money = [money]")
KINDS = [
    kind for _, kind in inspect.getmembers(q, inspect.isclass) if issubclass(kind, Quantity) and kind is not Quantity
]
EVERY_KIND = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
EVERY_UNIT = pytest.mark.parametrize(
    ("dimension", "unit"), [(name, unit) for name, table in UNITS.items() for unit in table["units"]]
)


def unbounded(dimension):
    """A kind of quantity of this dimension that takes any finite value."""
    unit = next(iter(DIMENSIONS[dimension].factors))
    return type("Any" + dimension, (Quantity,), {}, dimension=dimension, metric=unit, us=unit)


# ---- the table


@EVERY_UNIT
def test_a_factor_is_what_pint_says(dimension, unit):
    expected = REGISTRY.parse_expression(UNITS[dimension]["units"][unit]["is"]).to(UNITS[dimension]["si"])
    assert DIMENSIONS[dimension].factors[unit] == expected.magnitude
    base = expected.to_base_units()
    assert base.magnitude == pytest.approx(expected.magnitude, rel=1e-15), "the SI unit of a dimension is coherent"


@pytest.mark.parametrize(
    ("dimension", "unit", "factor"),
    [
        # Exact by definition: international yard and pound 1959, standard gravity, SI brochure.
        ("length", "in", 0.0254),
        ("length", "mi", 1609.344),
        ("area", "ha", 1e4),
        ("mass", "lb", 0.45359237),
        ("mass", "ton_short", 2000 * 0.45359237),
        ("force", "kgf", 9.80665),
        ("force", "lbf", 0.45359237 * 9.80665),
        ("power", "hp", 550 * 0.3048 * 0.45359237 * 9.80665),
        ("power", "hp_metric", 75 * 9.80665),
        ("pressure", "psi", 0.45359237 * 9.80665 / 0.0254**2),
        ("speed", "mph", 1609.344 / 3600),
        ("rotation", "r/min", 2 * math.pi / 60),
        ("volume_flow", "gal/min", 231 * 0.0254**3 / 60),
        ("volume_flow", "gal_imp/h", 4.54609e-3 / 3600),
        ("energy_per_volume", "kWh/L", 3.6e9),
    ],
)
def test_a_factor_is_what_its_definition_says(dimension, unit, factor):
    assert DIMENSIONS[dimension].factors[unit] == pytest.approx(factor, rel=1e-12)


def test_the_acre_is_that_of_the_international_foot():
    # The units library's own acre is of US survey feet, four parts in a million more.
    assert DIMENSIONS["area"].factors["ac"] == pytest.approx(43_560 * DIMENSIONS["area"].factors["ft2"], rel=1e-12)
    assert DIMENSIONS["area"].factors["ac"] == pytest.approx(4046.8564224, rel=1e-12)


def test_a_spelling_means_one_thing_in_its_dimension():
    for name, dimension in DIMENSIONS.items():
        assert set(dimension.spellings.values()) == dimension.factors.keys() == UNITS[name]["units"].keys()


# ---- there and back


@EVERY_UNIT
@given(value=st.floats(-1e9, 1e9))
def test_every_spelling_reads_the_same_as_text_and_as_object(dimension, unit, value):
    kind = unbounded(dimension)
    table = DIMENSIONS[dimension]
    for spelling in (spelling for spelling, written in table.spellings.items() if written == unit):
        expected = pytest.approx(value * table.factors[unit], rel=1e-12)
        assert kind.read({"value": value, "unit": spelling}) == expected
        if not spelling.startswith("1"):  # in text a bare number says it; see test_a_spelling_that_starts_with_a_digit
            assert kind.read(f"{value!r} {spelling}") == expected
            assert kind.read(f"  {value!r}   {spelling}  ") == expected


def test_a_spelling_that_starts_with_a_digit_is_read_in_text():
    assert q.Rotation.read("540 1/min") == pytest.approx(540 * 2 * math.pi / 60)


@EVERY_KIND
@given(data=st.data())
def test_what_is_written_is_read_back_in_both_systems(kind, data):
    low = kind.least if kind.least is not None else -1e9
    high = kind.most if kind.most is not None else 1e9
    # A hair inside the bounds, which rounding in another unit may cross.
    breadth = high - low
    value = kind(data.draw(st.floats(low + 1e-6 * breadth, high - 1e-6 * breadth)))
    metric, us = value.written("metric"), value.written("us")
    assert kind.read(metric) == pytest.approx(value, rel=1e-12, abs=SMALLEST)
    assert kind.read(us) == pytest.approx(value, rel=1e-12, abs=SMALLEST)
    assert kind.read(value.words("metric", 12)) == pytest.approx(value, rel=1e-11, abs=SMALLEST)


@EVERY_KIND
def test_its_own_example_is_read_and_matches_its_pattern(kind):
    import re

    assert kind.read(kind.example()) is not None
    assert re.match(kind.pattern(), kind.example())
    for units in ("metric", "us"):
        assert getattr(kind, units) in kind.dimension.factors


@given(st.floats(0.001, 1e6), st.integers(1, 6))
def test_words_not_above_are_not_above(newtons, digits):
    force = Force(newtons)
    for units in ("metric", "us"):
        told = Force.read(force.words_not_above(units, digits))
        assert told <= force * (1.0 + 1e-8)
        assert told >= force * (1.0 - 10.0 ** (1 - digits)) * (1.0 - 1e-8)


def test_a_range_goes_with_the_value():
    written = Force.ranged(1000.0, 500.0, 2000.0).written("metric")
    assert written == {"value": 1.0, "unit": "kN", "low": 0.5, "high": 2.0}
    assert "low" not in Force(1000.0).written("metric")


def test_the_hooks_of_the_codec_know_quantities_only():
    assert msgspec.convert("8 in", Depth, dec_hook=decode_quantity) == pytest.approx(0.2032)
    with pytest.raises(NotImplementedError):
        decode_quantity(complex, 1)
    for encode in (encode_metric, encode_us):
        assert encode(Depth(0.254))["unit"] in ("cm", "in")
        with pytest.raises(NotImplementedError):
            encode(1j)


# ---- text that is not what it seems

HOSTILE = [
    "",
    " ",
    "8",
    "in",
    "8 8 in",
    "8 in in",
    "9**9**9",
    "9**9**9 in",
    "1e999 in",
    "1e9999 in",
    "-1e999 in",
    "nan in",
    "NaN in",
    "inf in",
    "-Infinity in",
    "0x10 in",
    "1_000 in",
    "1,5 in",
    "8\nin",
    "8\tin",
    "8\u00a0in",
    "\uff18 in",
    "\u0668 in",
    "\u00b2 in",
    "8 IN",
    "8 inch**2",
    "8 in; import os",
    "__import__('os')",
    "8 %(in)s",
    "(" * 30 + "8 in",
    "8" * 5000 + " in",
    " " * 100_000 + "8 in" + " " * 100_000 + "x",
    "8 " + "i" * 1_000_000,
    "8 in\x00",
    "\ud800 in",
    None,
    True,
    False,
    8,
    8.0,
    10**400,
    math.nan,
    math.inf,
    [],
    ["8 in"],
    {},
    {"value": 8},
    {"unit": "in"},
    {"value": 8, "unit": "in", "least": 7},
    {"value": "8", "unit": "in"},
    {"value": True, "unit": "in"},
    {"value": None, "unit": "in"},
    {"value": math.nan, "unit": "in"},
    {"value": math.inf, "unit": "in"},
    {"value": 10**400, "unit": "in"},
    {"value": 10**5000, "unit": "in"},
    {"value": 8, "unit": None},
    {"value": 8, "unit": ["in"]},
    {"value": 8, "unit": "i" * 1_000_000},
    {"value": 8, "unit": "in "},
    b"8 in",
]


@pytest.mark.parametrize("sent", HOSTILE, ids=range(len(HOSTILE)))
def test_what_is_no_depth_is_refused_at_once_with_a_sentence(sent):
    begun = time.perf_counter()
    with pytest.raises(ValueError, match=r"[a-z]") as caught:
        Depth.read(sent)
    assert time.perf_counter() - begun < 0.1
    assert len(str(caught.value)) < 500


@pytest.mark.parametrize(
    ("kind", "text", "right"),
    [
        # pint reads these as textile fineness, petasiemens, centihour, attolightspeed and steradian-less curiosities.
        (Torque, "800 Nm", "N*m"),
        (Power, "200 PS", "kW"),
        (Power, "200 ch", "kW"),
        (q.Area, "40 acs", "ac"),
        (q.Pressure, "200 kpa", "kPa"),
        (Speed, "8 km", "km/h"),
    ],
)
def test_units_that_a_units_library_misreads_are_refused_with_what_is_right(kind, text, right):
    with pytest.raises(ValueError, match=r"unit .* is not a") as caught:
        kind.read(text)
    assert right in str(caught.value)


@pytest.mark.parametrize(("text", "hectares"), [("40 ac", 16.187), ("40 acre", 16.187), ("40 ha", 40.0)])
def test_an_acre_is_an_acre(text, hectares):
    assert q.Area.read(text) / 1e4 == pytest.approx(hectares, rel=1e-4)


def test_ratios_alone_may_be_bare():
    assert Share.read(0.4) == Share.read("0.4") == pytest.approx(0.4)
    assert Share.read("40 %") == Share.read("40%") == Share.read("40 percent") == pytest.approx(0.4)
    assert Share.read(1) == 1.0
    for wrong in (True, False, "40", 40, -0.1, "1e400", 10**400, math.nan):
        with pytest.raises(ValueError, match=r"[a-z]"):
            Share.read(wrong)


def test_a_percentage_written_as_a_number_gets_a_hint():
    with pytest.raises(ValueError, match="40 %"):
        Share.read(40)


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        (Depth, "0 in"),
        (Depth, "-1 in"),
        (Depth, "60 in"),
        (Efficiency, "0 %"),
        (Efficiency, "101 %"),
        (Speed, "90 km/h"),
    ],
)
def test_what_makes_no_physical_sense_is_refused_with_the_range(kind, text):
    with pytest.raises(ValueError, match=r"out of range: (above|at least|at most)"):
        kind.read(text)


@given(st.text(max_size=80) | st.text("0123456789.eE+-* inm%", max_size=80))
@example("1e5%")
@example("+.5e-3in")
def test_any_text_is_a_finite_quantity_or_a_sentence(text):
    for kind in (Depth, Force, Ratio, Share):
        try:
            value = kind.read(text)
        except ValueError as refusal:
            told = str(refusal)
        else:
            told = "read"
            assert math.isfinite(value)
        assert told


@pytest.mark.parametrize("number", [2.2e-309, -1e-104, 0.0])
def test_what_is_too_small_to_be_a_measurement_is_zero(number):
    assert Ratio.read(number) == 0.0
    assert Force.read({"value": number, "unit": "kN"}) == 0.0
    assert Ratio.read(1e-99) == 1e-99
    assert Ratio.read(-1e-99) == -1e-99


def test_text_of_a_caller_never_reaches_pint(monkeypatch):
    def refuse(*arguments, **named):
        raise AssertionError(f"pint was asked for {arguments[1:]}")

    for owner in pint.UnitRegistry.__mro__:
        for name in vars(owner):
            if name.startswith(("parse", "_parse", "get_name", "get_root", "convert")):
                monkeypatch.setattr(owner, name, refuse, raising=True)
    monkeypatch.setattr(pint.Quantity, "__new__", refuse)
    monkeypatch.setattr(pint.Unit, "__init__", refuse)
    with pytest.raises(AssertionError, match="pint was asked"):
        REGISTRY.parse_expression("8 in")
    for kind in KINDS:
        value = kind.read(kind.example())
        value.written("us")
        value.words("us")
    for sent in HOSTILE:
        with pytest.raises(ValueError, match=r"[a-z]"):
            Depth.read(sent)


def test_a_kind_in_a_unit_of_another_dimension_cannot_be_declared():
    with pytest.raises(ValueError, match="is not a unit of length"):
        type("Odd", (Quantity,), {}, dimension="length", metric="kg")


def test_metric_and_us_units_of_every_kind_measure_the_same_thing():
    for kind in KINDS:
        if "dimension" in vars(kind) or hasattr(kind, "metric"):
            factors = DIMENSIONS[kind.dimension.name].factors
            one = kind(1.0)
            metric, us = one.written("metric"), one.written("us")
            assert metric["value"] * factors[metric["unit"]] == pytest.approx(
                us["value"] * factors[us["unit"]], rel=1e-12
            )
