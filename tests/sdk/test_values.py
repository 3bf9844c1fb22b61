"""Values go from an answer into a request, into arithmetic and onto paper."""

import json
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

import drawbar
from drawbar import Quantity, Reading
from drawbar._units import UNITS
from drawbar.quantities import GreatestReading, LeastReading, rounded
from drawbar_service.quantities import DIMENSIONS

ROOT = Path(__file__).resolve().parents[2]
CONTRACT = json.loads((ROOT / "openapi/drawbar-v1.json").read_text("utf-8"))
measured = Reading(35.3399, "kN", 23.8907, 52.4232)
numbers = st.floats(1e-6, 1e9)
units = st.sampled_from(sorted(UNITS))


def worked(name):
    operation = CONTRACT["paths"][f"/v1/{name}"]["post"]
    return operation["requestBody"]["content"]["application/json"]["examples"]["worked"]["value"]


@pytest.fixture(scope="module")
def client():
    with drawbar.Client.in_process() as made:
        yield made


def test_a_reading_goes_into_a_request_as_a_struct_and_in_a_dict(client):
    pull = client.match(worked("match")).draft.total
    assert pull.low is not None
    request = worked("traction")
    plain = client.traction(request | {"pull": {"value": pull.value, "unit": pull.unit}})
    taken = client.traction(request | {"pull": pull})
    # Of its ends the answer says that they are not used; all else is the same.
    assert "/pull" in {one.pointer for one in taken.about.assumptions}
    assert msgspec.structs.replace(taken, about=plain.about) == plain
    asked = msgspec.convert({key: value for key, value in request.items() if key != "pull"}, drawbar.TractionRequest)
    assert client.traction(msgspec.structs.replace(asked, pull=pull)) == taken


def test_a_reading_is_formatted_with_its_unit():
    assert f"{measured:.1f}" == "35.3 kN"
    assert f"{measured}" == str(measured) == "35.3 kN (23.9 to 52.4)"
    assert f"{Quantity(8, 'in'):6.2f}" == "  8.00 in"
    assert f"{Reading(0.5, '1'):.2f}" == "0.50"
    assert float(measured) == 35.3399


@pytest.mark.parametrize(
    ("value", "spec", "down", "up"),
    [
        (5.797, "", "5.79", "5.8"),
        (5.797, ".1f", "5.7", "5.8"),
        (5.797, ".3g", "5.79", "5.8"),
        (5.797, "6.0f", "     5", "     6"),
        (5.797, ".1e", "5.7e+00", "5.8e+00"),
        (9.996, "", "9.99", "10"),
        (12345.6, "", "12345", "12346"),
        (8.0, ".2f", "8.00", "8.00"),
        (5.0 * 1.609344 / 1.609344, "", "5", "5"),
    ],
)
def test_what_is_greatest_is_written_down_and_what_is_least_up(value, spec, down, up):
    assert f"{GreatestReading(value, 'mph'):{spec}}" == f"{down} mph"
    assert f"{LeastReading(value, 'mph'):{spec}}" == f"{up} mph"


@given(st.floats(1e-3, 1e6), st.sampled_from(["", ".0f", ".1f", ".2f", ".2g", ".3g", ".2e", "g"]))
def test_what_is_greatest_is_never_written_above_itself(value, spec):
    low, high = (float(f"{kind(value, 'km/h'):{spec}}".split()[0]) for kind in (GreatestReading, LeastReading))
    assert low <= value * (1.0 + 1e-11)
    assert high >= value * (1.0 - 1e-11)
    assert any(
        float(f"{value:{spec}}" if spec else rounded(value)) == pytest.approx(one, rel=1e-11) for one in (low, high)
    )


def test_the_greatest_speed_holds_as_it_is_printed(client):
    request = {name: member for name, member in worked("match").items() if name != "speed"}
    found = client.match(request, units="us").greatest.speed.holds
    assert isinstance(found, GreatestReading)
    for text in (str(found), f"{found:.1f}", f"{found.to('km/h')}"):
        assert client.match(request | {"speed": text}).verdict.word == "holds", text


def test_a_reading_in_another_unit_takes_its_range_along():
    speed = Reading(8.0, "km/h", 7.0, 9.0).to("mph")
    assert (speed.unit, type(speed)) == ("mph", Reading)
    assert [speed.value, speed.low, speed.high] == pytest.approx([4.97097, 4.34960, 5.59234], rel=1e-5)
    assert Reading(8.0, "km/h").to("m/s") == Reading(pytest.approx(2.22222, rel=1e-5), "m/s")


def test_quantities_are_put_in_order_whatever_their_units():
    assert Quantity(8, "km/h") > Quantity(4, "mph")
    assert measured < "40000 N"
    assert measured >= "35 kN"
    assert measured <= Quantity(10_000, "lbf")
    assert max(Quantity(1, "m"), Quantity(1, "yd"), Quantity(1, "ft")) == Quantity(1, "m")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: measured.to("km/h"), "'km/h' measures speed, not force"),
        (lambda: measured.to("kgm"), "'kgm' is not a unit"),
        (lambda: measured < Quantity(1, "m"), "'m' measures length, not force"),
        (lambda: measured < "much", "could not convert"),
    ],
)
def test_what_cannot_be_compared_is_refused(wrong, said):
    with pytest.raises(ValueError, match=said):
        wrong()


@given(numbers, units, st.data())
def test_there_and_back_is_the_same(value, unit, data):
    dimension = UNITS[unit][0]
    other = data.draw(st.sampled_from([one for one, (measures, _) in UNITS.items() if measures == dimension]))
    assert Quantity(value, unit).to(other).to(unit).value == pytest.approx(value, rel=1e-12)
    assert Quantity(value * 1.001, unit) > Quantity(value, unit).to(other)


def test_units_are_those_of_the_service():
    assert {
        symbol: (name.replace("_", " "), factor)
        for name, dimension in DIMENSIONS.items()
        for symbol, factor in dimension.factors.items()
    } == UNITS


@pytest.mark.parametrize("name", ["match", "fuel", "season", "cost"])
def test_an_answer_is_printed_as_the_command_line_shows_it(client, name):
    answer = getattr(client, name)(worked(name))
    text = str(answer)
    assert "Sources: " in text
    assert "Struct" not in text
    assert repr(answer).startswith(type(answer).__name__)
    if name in ("match", "season"):
        assert " ".join(text.split()).startswith(answer.verdict.summary.split(" (")[0][:30])


def test_an_answer_as_dicts_is_what_the_service_sent(client):
    answer = client.match(worked("match"))
    members = answer.to_dict()
    assert json.loads(json.dumps(members)) == members
    assert members["draft"]["total"] == {
        "value": answer.draft.total.value,
        "unit": "kN",
        "low": answer.draft.total.low,
        "high": answer.draft.total.high,
    }
    assert members["at_work"]["speed"] == {"value": pytest.approx(8.0), "unit": "km/h"}
