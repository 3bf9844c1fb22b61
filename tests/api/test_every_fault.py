"""All that is wrong with a request comes in one answer: what cannot be read and what cannot be."""

import copy
from collections.abc import Iterator
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from litestar.testing import TestClient
from tests.searching import one_in

from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

EVERY = (*CALCULATIONS, *SHOWN)


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient[Any]]:
    with TestClient(create_app(Settings())) as client:
        yield client


def faults(client: TestClient[Any], path: str, body: Any) -> dict[str, str]:
    answer = client.post(path, json=body)
    assert answer.status_code == 422, answer.text
    return {one["pointer"]: one["detail"] for one in answer.json()["errors"]}


def match() -> Any:
    return example("match")


def example(name: str) -> Any:
    return copy.deepcopy(dict(next(one for one in CALCULATIONS if one.name == name).example))


def test_a_unit_a_tool_a_depth_and_a_tire_come_together(client: TestClient[Any]) -> None:
    body = match()
    body["speed"] = "8 kmph"
    body["tractor"]["tires"]["rear"]["size"] = "huge"
    body["implement"]["tools"][0]["tool"] = "chisel-plough"
    del body["implement"]["tools"][1]["depth"]
    del body["soil"]["surface"]
    found = faults(client, "/v1/match", body)
    assert set(found) == {
        "/speed",
        "/soil/surface",
        "/tractor/tires/rear/size",
        "/implement/tools/0/tool",
        "/implement/tools/1/depth",
    }
    assert found["/speed"].endswith("did you mean 'km/h'?")
    assert found["/soil/surface"].endswith("; one of hard, firm, tilled, soft")


def test_what_depends_on_a_word_that_cannot_be_read_is_left_unsaid(client: TestClient[Any]) -> None:
    body = match()
    body["tractor"] |= {"drive": "hover", "wheelbase": None, "tires": None}
    assert set(faults(client, "/v1/match", body)) == {"/tractor/drive"}


def test_a_part_that_is_missing_is_said_once(client: TestClient[Any]) -> None:
    body = match()
    del body["implement"]
    assert set(faults(client, "/v1/match", body)) == {"/implement"}
    assert set(faults(client, "/v1/match", {})) == {"/tractor", "/implement", "/soil"}
    assert set(faults(client, "/v1/match", [])) == {""}


def test_a_number_that_cannot_be_read_makes_no_fault_of_another(client: TestClient[Any]) -> None:
    """The stand-in for a bore may well be less than the rod."""
    hydraulics = copy.deepcopy(dict(next(one for one in CALCULATIONS if one.name == "hydraulics").example))
    cylinder = hydraulics["functions"][1]["cylinders"]["each"][0]
    cylinder |= {"bore": "1 kN", "rod": "3 m"}
    assert set(faults(client, "/v1/hydraulics", hydraulics)) == {"/functions/1/cylinders/each/0/bore"}


@pytest.mark.parametrize("calculation", EVERY, ids=lambda one: one.name)
@one_in(3)
@given(data=st.data())
def test_what_is_said_together_is_said_of_each_alone(client: TestClient[Any], calculation: Any, data: Any) -> None:
    """A quantity that cannot be read, and a member that is missing: both are said, and nothing is made up."""
    body = copy.deepcopy(dict(calculation.example))
    places = list(leaves(body, ()))
    first = data.draw(st.sampled_from(places))
    put(body, first, {"value": "much"})
    alone = set(faults(client, calculation.path, body))
    second = data.draw(st.sampled_from(places))
    other = copy.deepcopy(dict(calculation.example))
    put(other, second, None)
    answer = client.post(calculation.path, json=other)
    put(body, second, None)
    both = set(faults(client, calculation.path, body)) if second != first else alone
    apart = {one["pointer"] for one in answer.json().get("errors", [])}
    assert alone - {pointer(second)} <= both
    assert both <= alone | apart


def leaves(value: Any, path: tuple[Any, ...]) -> Iterator[tuple[Any, ...]]:
    if isinstance(value, dict):
        for key, member in value.items():
            yield from leaves(member, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from leaves(item, (*path, index))
    else:
        yield path


def put(body: Any, path: tuple[Any, ...], value: Any) -> None:
    for step in path[:-1]:
        body = body[step]
    body[path[-1]] = value


def pointer(path: tuple[Any, ...]) -> str:
    return "".join(f"/{step}" for step in path)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("8 kmph", "did you mean 'km/h'?"),
        ("8 kmp/h", "did you mean 'km/h'?"),
        ("8 MPH", "did you mean 'mph'?"),
        ("8 kmphh", ""),
        ("8 ft/mn", "did you mean 'ft/min'?"),
        ("5 mhp", "did you mean 'mph'?"),
    ],
)
def test_a_unit_is_never_suggested_across_systems(client: TestClient[Any], given: str, said: str) -> None:
    found = faults(client, "/v1/match", match() | {"speed": given})["/speed"]
    assert found.endswith(said or "use m/s, km/h, mph, ft/min")


@pytest.mark.parametrize("given", ["1 November", "2026-02-30", "11/01/2026", ""])
def test_a_date_that_is_none_says_how_one_is_written(client: TestClient[Any], given: str) -> None:
    body = example("completion") | {"start": given}
    found = faults(client, "/v1/completion", body)["/start"]
    assert found == f"{given!r} is no date; a date is written 2026-11-01"


def test_another_word_for_a_member_leads_to_it(client: TestClient[Any]) -> None:
    body = example("season")
    body["window"]["finish_by"] = body["window"].pop("end")
    found = faults(client, "/v1/season", body)
    assert found["/window/finish_by"] == "there is no such field here; did you mean 'end'?"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("front-wheel", "did you mean 'front-wheel-assist'?"),
        ("front-wheel-asist", "did you mean 'front-wheel-assist'?"),
        ("four", "did you mean 'four-wheel' or 'four-track'?"),
        ("track", ""),
        ("three-wheel", ""),
        ("crawler", "did you mean 'rubber-track'?"),
    ],
)
def test_a_word_is_suggested_by_its_meaning(client: TestClient[Any], given: str, said: str) -> None:
    body = match()
    body["tractor"]["drive"] = given
    found = faults(client, "/v1/match", body)["/tractor/drive"]
    assert found.endswith(said or "rubber-track, four-track"), found


def test_a_missing_quantity_comes_with_one_that_could_be_there(client: TestClient[Any]) -> None:
    body = match()
    del body["tractor"]["mass"]
    said = faults(client, "/v1/match", body)["/tractor/mass"]
    example = said.partition('such as "')[2].rstrip('"')
    body["tractor"]["mass"] = example
    assert client.post("/v1/match", json=body).status_code == 200


def test_an_answer_goes_back_as_it_is(client: TestClient[Any]) -> None:
    body = match()
    del body["speed"]
    greatest = client.post("/v1/match", json=body | {"find": ["speed"]}).json()["greatest"]["speed"]["value"]
    assert set(greatest) >= {"value", "unit"}
    with_ends = greatest | {"low": 1, "high": None}
    alone = client.post("/v1/match", json=body | {"speed": {key: greatest[key] for key in ("value", "unit")}})
    back = client.post("/v1/match", json=body | {"speed": with_ends}).json()
    assert back | {"about": None} == alone.json() | {"about": None}
    # That only its middle is used is said.
    assert "/speed" in {one["pointer"] for one in back["about"]["assumptions"]}
    wrong = greatest | {"low": "much"}
    assert set(faults(client, "/v1/match", body | {"speed": wrong})) == {"/speed"}


def test_the_bytes_of_a_wrong_request_decide_nothing(client: TestClient[Any]) -> None:
    """MessagePack is answered with the same faults."""
    body = match() | {"speed": "8 kmph"}
    del body["implement"]["tools"][1]["depth"]
    packed = client.post(
        "/v1/match", content=msgspec.msgpack.encode(body), headers={"Content-Type": "application/msgpack"}
    )
    assert {one["pointer"] for one in packed.json()["errors"]} == {"/speed", "/implement/tools/1/depth"}
