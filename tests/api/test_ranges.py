"""A quantity of a request may come with a range, as answers give it; that only its value is used is said."""

import msgspec
import pytest
from litestar.testing import TestClient

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.app import create_app

EXAMPLE = next(one.example for one in CALCULATIONS if one.name == "match")
RANGED = {"value": 7, "unit": "km/h", "low": 6.5, "high": None}


@pytest.fixture(scope="module")
def client():
    with TestClient(create_app()) as made:
        yield made


def assumptions(answer):
    return [(one["pointer"], one["value"], one["source"]) for one in answer["about"]["assumptions"]]


def test_the_range_of_a_quantity_is_said_to_be_left_aside(client):
    plain = client.post("/v1/match", json=EXAMPLE | {"speed": "7 km/h"}).json()
    ranged = client.post("/v1/match", json=EXAMPLE | {"speed": RANGED}).json()
    assert assumptions(ranged) == [*assumptions(plain), ("/speed", "7 km/h", "caller")]
    assert "not its low and high" in ranged["about"]["assumptions"][-1]["why"]
    assert set(ranged["about"]["sources"]) == {*plain["about"]["sources"], "caller"}
    assert ranged | {"about": None} == plain | {"about": None}


def test_neither_null_nor_a_member_of_that_name_is_a_range(client):
    plain = client.post("/v1/match", json=EXAMPLE | {"speed": "7 km/h"}).json()
    nulls = {"value": 7, "unit": "km/h", "low": None, "high": None}
    assert client.post("/v1/match", json=EXAMPLE | {"speed": nulls}).json() == plain
    days = next(one for one in CALCULATIONS if one.name == "days")
    assert "/low" not in [pointer for pointer, *_ in assumptions(client.post(days.path, json=days.example).json())]


def test_it_is_said_wherever_the_quantity_stands(client):
    tools = [dict(one) for one in EXAMPLE["implement"]["tools"]]
    tools[0]["depth"] = {"value": 18, "unit": "cm", "high": 20}
    body = EXAMPLE | {"implement": EXAMPLE["implement"] | {"tools": tools}}
    packed = client.post(
        "/v1/match", content=msgspec.msgpack.encode(body), headers={"Content-Type": "application/msgpack"}
    )
    asked = ("/implement/tools/0/depth", "18 cm", "caller")
    assert asked in assumptions(packed.json())
    batch = client.post("/v1/batch/match", json={"scenario": body, "vary": {"/speed": ["7 km/h", "8 km/h"]}}).json()
    assert asked in assumptions(batch)


def test_what_takes_long_says_it_too(client):
    season = next(one for one in CALCULATIONS if one.name == "season")
    body = msgspec.json.decode(msgspec.json.encode(season.example))
    name, wage = next(
        (name, value) for name, value in body["window"].items() if isinstance(value, str) and " " in value
    )
    number, unit = wage.split()
    body["window"][name] = {"value": float(number), "unit": unit, "low": float(number) / 2}
    assert (f"/window/{name}", f"{float(number):.6g} {unit}", "caller") in assumptions(
        client.post(season.path, json=body).json()
    )
