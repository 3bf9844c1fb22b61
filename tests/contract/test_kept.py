"""What callers may keep: documents have a mark, and what is unchanged or large is sent short."""

import gzip
from typing import Any

import pytest

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.docs.site import PATHS

DOCUMENTS = (
    "/openapi/drawbar-v1.json",
    "/v1/reference",
    "/v1/reference/draft",
    "/v1/methods/match",
    "/v1/sources",
    "/version",
    "/docs/style.css",
    "/llms.txt",
    "/",
    *PATHS,
)
PLAIN = {"Accept-Encoding": "identity"}


@pytest.mark.parametrize("path", DOCUMENTS)
def test_a_document_that_has_not_changed_is_not_sent_again(client: Any, path: str) -> None:
    found = client.get(path, headers=PLAIN)
    assert found.headers["cache-control"] == "no-cache"
    assert "Accept-Encoding" in found.headers["vary"]
    for known in (found.headers["etag"], f'"other", W/{found.headers["etag"]}', "*"):
        again = client.get(path, headers=PLAIN | {"If-None-Match": known})
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["etag"] == found.headers["etag"]
        assert again.headers["x-request-id"]
    assert client.get(path, headers=PLAIN | {"If-None-Match": '"other"'}).content == found.content


@pytest.mark.parametrize("path", DOCUMENTS)
def test_a_document_is_packed_for_who_takes_it(client: Any, path: str) -> None:
    plain = client.get(path, headers=PLAIN)
    packed = client.get(path, headers={"Accept-Encoding": "br, gzip;q=0.8"})
    assert packed.content == plain.content  # the client unpacks it
    if len(plain.content) >= 1024:
        assert packed.headers["content-encoding"] == "gzip"
        assert int(packed.headers["content-length"]) < 0.6 * len(plain.content)
        assert packed.headers["etag"] != plain.headers["etag"]
    assert "content-encoding" not in client.get(path, headers={"Accept-Encoding": "gzip;q=0, br"}).headers


def test_the_contract_is_small_on_the_way(client: Any) -> None:
    assert int(client.get("/openapi/drawbar-v1.json").headers["content-length"]) < 90_000


def test_forms_of_one_table_are_kept_apart(client: Any) -> None:
    marks = {
        client.get("/v1/reference/draft", headers=PLAIN | {"Accept": form}).headers["etag"]
        for form in ("application/json", "application/msgpack", "text/csv")
    }
    assert len(marks) == 3


def test_a_large_answer_is_packed_and_a_small_one_is_not(client: Any) -> None:
    example = dict(next(one for one in CALCULATIONS if one.name == "match").example)
    for path, large in (("/v1/match", False), ("/v1/curves/fit-map", True)):
        plain = client.post(path, json=example, headers=PLAIN)
        packed = client.post(path, json=example, headers={"Accept-Encoding": "gzip"})
        assert packed.json() == plain.json()
        assert ("content-encoding" in packed.headers) == large
        assert "content-encoding" not in plain.headers


def test_what_may_change_at_any_time_is_not_kept(client: Any) -> None:
    for path in ("/livez", "/readyz"):
        assert client.get(path).headers["cache-control"] == "no-store"


def test_a_packed_body_is_not_read(client: Any) -> None:
    body = gzip.compress(b"{}")
    refused = client.post("/v1/match", content=body, headers={"Content-Encoding": "gzip"})
    assert refused.status_code == 415
    assert "send it as it is" in refused.json()["detail"]
