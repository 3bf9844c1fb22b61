"""An answer without what it says about itself, with fewer digits, or only some of its parts."""

from collections.abc import Iterator
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

MATCH = dict(next(one for one in CALCULATIONS if one.name == "match").example)


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient[Any]]:
    with TestClient(create_app(Settings())) as client:
        yield client


def match(client: TestClient[Any], query: str = "") -> Any:
    answer = client.post(f"/v1/match{query}", json=MATCH)
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda one: one.name)
def test_about_none_leaves_all_else_as_it_is(client: TestClient[Any], calculation: Any) -> None:
    whole = client.post(calculation.path, json=dict(calculation.example)).json()
    less = client.post(f"{calculation.path}?about=none", json=dict(calculation.example)).json()
    about = {name: [] if isinstance(value, list) else value for name, value in whole["about"].items()}
    assert less == whole | {"about": about}


def test_half_of_a_match_is_what_it_says_about_itself(client: TestClient[Any]) -> None:
    whole = client.post("/v1/match", json=MATCH).content
    assert len(client.post("/v1/match?about=none", json=MATCH).content) < 0.65 * len(whole)


def numbers(value: Any) -> Iterator[float]:
    if isinstance(value, float):
        yield value
    elif isinstance(value, dict | list):
        for member in value.values() if isinstance(value, dict) else value:
            yield from numbers(member)


def test_numbers_have_the_digits_asked_for(client: TestClient[Any]) -> None:
    whole, short = list(numbers(match(client))), list(numbers(match(client, "?digits=4")))
    assert all(abs(number - near) <= 1e-3 * abs(near) for number, near in zip(short, whole, strict=True))
    assert [float(f"{number:.4g}") for number in short] == short
    assert short != whole


@pytest.mark.parametrize("digits", [2, 3])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_what_is_greatest_still_holds_with_few_digits(client: TestClient[Any], digits: int, units: str) -> None:
    request = {name: member for name, member in MATCH.items() if name != "speed"}
    answer = client.post(f"/v1/match?digits={digits}&units={units}", json=request).json()
    holds = answer["greatest"]["speed"]["holds"]
    assert answer["at_work"]["speed"] == holds
    again = client.post("/v1/match", json={**request, "speed": holds}).json()
    assert again["verdict"]["word"] == "holds"


def test_what_is_least_is_rounded_up(client: TestClient[Any]) -> None:
    request = next(one for one in CALCULATIONS if one.name == "ballast").example
    whole, short = (client.post(f"/v1/ballast{query}", json=request).json() for query in ("", "?digits=2"))
    masses = [
        (one["mass"]["value"], near["mass"]["value"])
        for one, near in zip(short["iso_slip"], whole["iso_slip"], strict=True)
    ]
    assert all(near <= one < 1.1 * near for one, near in masses)
    assert short["pull_in_reach"]["value"] <= whole["pull_in_reach"]["value"]


def test_only_the_parts_asked_for_come(client: TestClient[Any]) -> None:
    whole = match(client)
    picked = match(client, "?fields=/verdict/word,/fuel/per_area,/limits")
    assert picked == {
        "verdict": {"word": whole["verdict"]["word"]},
        "fuel": {"per_area": whole["fuel"]["per_area"]},
        "limits": whole["limits"],
    }
    assert match(client, "?fields=/odds/holds&fields=/verdict/word")["odds"] is None  # none was asked for


def test_they_go_together_and_in_either_form_and_units(client: TestClient[Any]) -> None:
    query = "?units=us&digits=3&fields=/fuel/per_area"
    packed = client.post(f"/v1/match{query}", json=MATCH, headers={"Accept": "application/msgpack"})
    assert msgspec.msgpack.decode(packed.content) == match(client, query)
    assert match(client, query)["fuel"]["per_area"]["unit"] == "gal/ac"


def test_an_answer_in_parts_is_another_to_a_cache(client: TestClient[Any]) -> None:
    marks = {
        client.post(f"/v1/match{query}", json=MATCH).headers["ETag"]
        for query in ("", "?about=none", "?digits=4", "?fields=/verdict", "?units=us")
    }
    assert len(marks) == 5


@pytest.mark.parametrize(
    ("query", "pointer", "said"),
    [
        ("?about=some", "?about", "'some' is not one of full, none"),
        ("?digits=1", "?digits", "a whole number from 2 to 15"),
        ("?digits=four", "?digits", "a whole number from 2 to 15"),
        ("?fields=verdict", "?fields", "is no JSON Pointer"),
        ("?fields=/verdict/mood", "?fields", "there is no 'mood' in the answer; there are word, "),
        ("?fields=/limits/0", "?fields", "there is no '0' in the answer"),
        ("?colour=red", "?colour", "there are units, about, digits, fields"),
        (f"?fields={','.join(['/verdict'] * 65)}", "?fields", "at most 64"),
    ],
)
def test_what_cannot_be_wanted_is_refused(client: TestClient[Any], query: str, pointer: str, said: str) -> None:
    answer = client.post(f"/v1/match{query}", json=MATCH)
    assert answer.status_code == 422
    (fault,) = answer.json()["errors"]
    assert fault["pointer"] == pointer
    assert said in fault["detail"]
