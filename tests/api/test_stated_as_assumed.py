"""Stating what an answer assumed moves nothing: no default is another when it is written down."""

import copy
from collections.abc import Mapping
from typing import Any

import pytest
from tests.api.test_match_behaviour import EXAMPLE, match, with_values

NEAR = 2e-3
"""An assumption is written to a few digits [1]."""
FIGURES = (
    "verdict.chance",
    "at_work.pull",
    "at_work.slip",
    "at_work.load_fraction",
    "at_work.axles.front.load",
    "at_work.axles.rear.load",
    "fuel.per_area",
)


def requests() -> Mapping[str, dict[str, Any]]:
    """Requests by name that between them take most of the defaults of a match."""
    found = {"drawn": EXAMPLE}
    for hitch in ("semi-mounted", "three-point"):
        hung = with_values(EXAMPLE, implement__hitch=hitch)
        heavy = with_values(hung, implement__mass="1.5 t")
        found |= {
            hitch: hung,
            f"{hitch}, of known mass": heavy,
            f"{hitch}, on a slope": heavy | {"field": {"slope": "6 %"}},
        }
    for drive in ("two-wheel", "four-wheel", "rubber-track", "four-track"):
        body = with_values(EXAMPLE, tractor__drive=drive) | {"field": {"slope": "4 %"}}
        body["tractor"].pop("front_share")
        if "track" in drive:
            body["tractor"].pop("tires")
        found[drive] = body
    pressed = with_values(EXAMPLE, implement__mass="3 t", implement__wheel_tracks={})
    pressed["tractor"]["tires"] = {
        "front": {"size": "540/65R30 150D"},
        "rear": {"size": "IF 650/65R42 165D", "inflation": "1.2 bar"},
    }
    found["pressed tires on wet soil"] = pressed | {"soil": {"texture": "fine", "surface": "tilled", "moisture": "wet"}}
    found["thin air, turning field"] = with_values(
        EXAMPLE,
        tractor__derating={"altitude": "1500 m", "aspiration": "naturally-aspirated"},
        field={"shape": {"length": "600 m", "width": "300 m", "turn": {"time": "25 s"}}},
    )
    return found


REQUESTS = requests()


def stated(body: dict[str, Any], pointer: str, value: str) -> dict[str, Any]:
    """Return a request with an assumption of its answer put where it belongs."""
    body = copy.deepcopy(body)
    *path, last = (int(part) if part.isdigit() else part for part in pointer[1:].split("/"))
    place: Any = body
    for part in path:
        place = place.setdefault(part, {}) if isinstance(place, dict) else place[part]
    written: Any = value.split(" to ") if " to " in value else value
    place[last] = float(value) if value.replace(".", "", 1).isdigit() else written
    return body


def figure(answer: Any, path: str) -> float | None:
    for part in path.split("."):
        answer = None if answer is None else getattr(answer, part)
    return None if answer is None else float(answer)


@pytest.mark.parametrize("name", REQUESTS)
def test_an_assumption_that_is_stated_moves_nothing(name: str) -> None:
    body = REQUESTS[name]
    before = match(body)
    assert before.about.assumptions
    for one in before.about.assumptions:
        after = match(stated(body, one.pointer, one.value))
        for path in FIGURES:
            expected = figure(before, path)
            assert figure(after, path) == (None if expected is None else pytest.approx(expected, rel=NEAR)), (one, path)


@pytest.mark.parametrize("name", REQUESTS)
def test_a_mass_that_is_stated_never_takes_load_off_the_rear_axle(name: str) -> None:
    body = with_values(REQUESTS[name], field={})
    body["implement"].pop("mass", None)
    before, after = match(body), match(with_values(body, implement__mass="2 t"))
    assert before.at_work.axles is not None
    assert after.at_work.axles is not None
    assert after.at_work.axles.rear.load >= before.at_work.axles.rear.load
