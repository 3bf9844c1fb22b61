"""Pictures by address: what an `<img>` asks for."""

import base64
import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from litestar.testing import TestClient

from drawbar_service.api.calculations import SHOWN
from drawbar_service.api.shared.curve import PNG
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

CURVES = [one for one in SHOWN if PNG in one.shown_as]
BY_SPEED = next(one for one in CURVES if one.name == "power-by-speed")
AN_IMAGE = {"Accept": "image/avif,image/webp,image/apng,image/svg+xml,image/*,*/*;q=0.8", "Accept-Encoding": "identity"}


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient[Any]]:
    with TestClient(create_app(Settings())) as client:
        yield client


def address(curve: Any, body: Any = None, more: str = "") -> str:
    content = json.dumps(dict(curve.example) if body is None else body).encode()
    return f"{curve.path}?request={base64.urlsafe_b64encode(content).decode().rstrip('=')}{more}"


@pytest.mark.parametrize("curve", CURVES, ids=lambda one: one.name)
def test_a_picture_by_address_is_that_of_the_post(client: TestClient[Any], curve: Any) -> None:
    got = client.get(address(curve), headers=AN_IMAGE)
    assert (got.status_code, got.headers["content-type"]) == (200, "image/svg+xml")
    posted = client.post(curve.path, json=dict(curve.example), headers={"Accept": "image/svg+xml"})
    assert got.content == posted.content


def test_svg_is_what_comes_unless_another_form_is_asked_for(client: TestClient[Any]) -> None:
    forms = {"*/*": "image/svg+xml", "image/png": "image/png", "application/json": "application/json"}
    for accept, given in forms.items():
        assert client.get(address(BY_SPEED), headers={"Accept": accept}).headers["content-type"] == given
    whole = client.get(address(BY_SPEED, more="&units=us&about=none"), headers={"Accept": "application/json"}).json()
    assert whole["about"]["cautions"] == []
    assert "mph" in json.dumps(whole)


def test_a_picture_that_the_caller_has_is_not_drawn_again(client: TestClient[Any]) -> None:
    got = client.get(address(BY_SPEED), headers=AN_IMAGE)
    assert (got.headers["cache-control"], got.headers["vary"]) == ("no-cache", "Accept, Accept-Encoding")
    again = client.get(address(BY_SPEED), headers=AN_IMAGE | {"If-None-Match": got.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    other = client.get(address(BY_SPEED, more="&units=us"), headers=AN_IMAGE | {"If-None-Match": got.headers["etag"]})
    assert other.status_code == 200


def test_a_picture_can_be_asked_about_without_its_body(client: TestClient[Any]) -> None:
    got, head = (client.request(method, address(BY_SPEED), headers=AN_IMAGE) for method in ("GET", "HEAD"))
    assert (head.status_code, head.content) == (200, b"")
    same = ("content-type", "content-length", "etag", "cache-control")
    assert [head.headers[name] for name in same] == [got.headers[name] for name in same]


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("", "belongs here once"),
        ("?request=e30&request=e30", "belongs here once"),
        ("?request=%7B%7D", "is not base64url"),
        ("?request=a", "is not base64url"),
    ],
)
def test_an_address_without_a_request_is_refused(client: TestClient[Any], query: str, said: str) -> None:
    refused = client.get(f"{BY_SPEED.path}{query}", headers=AN_IMAGE)
    assert refused.status_code == 422
    (fault,) = refused.json()["errors"]
    assert fault["pointer"] == "?request"
    assert said in fault["detail"]


def test_a_request_in_an_address_is_no_larger_than_in_a_body() -> None:
    with TestClient(create_app(Settings(max_body_bytes=1024))) as client:
        refused = client.get(address(BY_SPEED, dict(BY_SPEED.example) | {"name": "x" * 2000}), headers=AN_IMAGE)
    assert refused.json()["errors"] == [{"pointer": "?request", "detail": "at most 1024 bytes are read here"}]


def test_faults_of_the_request_point_into_it(client: TestClient[Any]) -> None:
    body = dict(BY_SPEED.example) | {"speed": "8 kmph"}
    refused = client.get(address(BY_SPEED, body), headers=AN_IMAGE)
    assert [one["pointer"] for one in refused.json()["errors"]] == ["/speed"]
    unreadable = client.get(f"{BY_SPEED.path}?request=e3s", headers=AN_IMAGE)
    assert (unreadable.status_code, unreadable.json()["errors"][0]["pointer"]) == (422, "?request")


def test_two_pictures_stand_in_one_page(client: TestClient[Any]) -> None:
    """No id is in both, and each finds what it refers to in itself."""
    known: set[str] = set()
    for curve in CURVES:
        text = client.get(address(curve), headers=AN_IMAGE).text
        ids = re.findall(r'\bid="([^"]*)"', text)
        assert len(ids) == len(set(ids))
        assert not known & set(ids)
        assert set(re.findall(r'(?:href="#|url\(#)([^")]*)', text)) <= set(ids)
        known |= set(ids)


def test_a_name_of_the_caller_is_not_taken_for_an_id(client: TestClient[Any]) -> None:
    body = dict(BY_SPEED.example)
    body["tractor"] = body["tractor"] | {"name": 'x id="y" url(#z)'}
    assert "picture" not in client.get(address(BY_SPEED, body), headers=AN_IMAGE).headers
    text = client.get(address(BY_SPEED, body), headers=AN_IMAGE).text
    assert 'p id="' not in text
