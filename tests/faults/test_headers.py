"""What every response carries, and what is made of the headers of a request."""

import gzip
import re
from collections.abc import Callable
from typing import Any

import msgspec
import pytest

import drawbar_service.answering
import drawbar_service.app
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.problems import KINDS
from drawbar_service.api.v1.reference.answer import READINGS

MATCH = "/v1/match"
JSON, MSGPACK = "application/json", "application/msgpack"
AS_JSON = ("content-type", JSON.encode())
GETS = [
    *(re.sub("{.*}", one.parameter[1][0] if one.parameter else "", one.path) for one in READINGS),
    "/readyz",
    "/openapi/drawbar-v1.json",
    "/docs",
    "/docs/style.css",
]


def test_every_response_carries_an_id_nosniff_and_a_content_security_policy(ask: Any, match_body: bytes) -> None:
    replies = [ask("GET", path) for path in GETS]
    assert [reply.status for reply in replies] == [200] * len(GETS)
    replies += [ask("GET", "/"), ask("POST", MATCH, match_body, [AS_JSON]), ask("GET", "/nowhere"), ask("PUT", MATCH)]
    for reply in replies:
        assert re.fullmatch(r"[0-9a-f]{20}", reply.headers["x-request-id"])
        assert reply.headers["x-content-type-options"] == "nosniff"
        assert reply.headers["content-security-policy"].startswith("default-src 'none'")
        assert "cache-control" in reply.headers
        assert "server" not in reply.headers
    assert len({reply.headers["x-request-id"] for reply in replies}) == len(replies)


@pytest.mark.parametrize("given", ["abcdefgh", "A.b-c_9" * 9, "0" * 64])
def test_a_sane_request_id_is_kept(ask: Any, given: str) -> None:
    assert ask("GET", "/version", headers=[("x-request-id", given.encode())]).headers["x-request-id"] == given
    reply = ask("POST", MATCH, b"{}", [("x-request-id", given.encode())])
    assert reply.json()["instance"] == reply.headers["x-request-id"] == given


@pytest.mark.parametrize(
    "given",
    [b"", b"short", b"x" * 65, b"with space here", b"\xff" * 10, b"a" * 20_000, b"<script>alert(1)", b"abcdefgh\n"],
)
def test_any_other_request_id_is_replaced(ask: Any, given: bytes) -> None:
    kept = ask("GET", "/version", headers=[("x-request-id", given)]).headers["x-request-id"]
    assert re.fullmatch(r"[0-9a-f]{20}", kept)


@pytest.mark.parametrize(
    "given",
    [
        "application/json",
        "APPLICATION/JSON",
        "application/json;charset=UTF-8",
        'application/json; charset="utf-8"',
        "application/json; charset=utf8; profile=x",
        "application/json; profile=x",
        "application/json;",
    ],
)
def test_json_by_any_spelling(ask: Any, match_body: bytes, given: str) -> None:
    assert ask("POST", MATCH, match_body, [("content-type", given.encode())]).status == 200


def test_no_content_type_means_json(ask: Any, match_body: bytes) -> None:
    assert ask("POST", MATCH, match_body).status == 200


@pytest.mark.parametrize("given", ["application/msgpack", "application/x-msgpack", "application/vnd.msgpack"])
def test_msgpack_by_any_name(ask: Any, match_body: bytes, given: str) -> None:
    body = msgspec.msgpack.encode(msgspec.json.decode(match_body))
    plain = ask("POST", MATCH, match_body, [AS_JSON])
    packed = ask("POST", MATCH, body, [("content-type", given.encode()), ("accept", given.encode())])
    assert packed.headers["content-type"] == MSGPACK
    assert msgspec.msgpack.decode(packed.body) == plain.json()


@pytest.mark.parametrize(
    "given",
    [
        b"",
        b";",
        b"text/plain",
        b"text/json",
        b"application/problem+json",
        b"application/json, text/plain",
        b"application/json; charset=utf-16",
        b"application/json; charset=latin-1",
        b"application/x-www-form-urlencoded",
        b"multipart/form-data; boundary=x",
        b"\xff\xfe",
        b"qZ" * 10_000,
    ],
)
def test_another_content_type_is_not_read(
    ask: Any, problem_of: Callable[..., Any], match_body: bytes, given: bytes
) -> None:
    reply = ask("POST", MATCH, match_body, [("content-type", given)])
    assert problem_of(reply)["status"] == 415
    assert reply.headers["accept-post"] == f"{JSON}, {MSGPACK}"
    assert b"qZ" * 50 not in reply.body


@pytest.mark.parametrize("coding", [b"gzip", b"br", b"deflate, gzip", b"x" * 5_000])
def test_a_packed_body_is_not_read(ask: Any, problem_of: Callable[..., Any], match_body: bytes, coding: bytes) -> None:
    reply = ask("POST", MATCH, gzip.compress(match_body), [AS_JSON, ("content-encoding", coding)])
    problem = problem_of(reply)
    assert problem["status"] == 415
    assert "send it as it is" in problem["detail"]


@pytest.mark.parametrize(
    ("given", "answered"),
    [
        ("", JSON),
        ("*/*", JSON),
        ("application/*", JSON),
        ("application/json", JSON),
        ("Application/JSON; q=1.0", JSON),
        ("application/json;charset=utf-8", JSON),
        ("application/msgpack", MSGPACK),
        ("application/x-msgpack", MSGPACK),
        ("application/msgpack, */*;q=0.1", MSGPACK),
        ("application/msgpack, application/json", MSGPACK),
        ("application/json;q=0.5, application/msgpack;q=0.9", MSGPACK),
        ("application/msgpack;q=0.5, application/json;q=0.9", JSON),
        ("application/json;q=0, */*", MSGPACK),
        ("text/html, application/json;q=0.1", JSON),
        ("text/html, */*;q=0.001", JSON),
        ("application/json;q=many", JSON),
        (", application/json,,", JSON),
    ],
)
def test_the_answer_is_in_the_form_that_is_liked_best(ask: Any, match_body: bytes, given: str, answered: str) -> None:
    reply = ask("POST", MATCH, match_body, [AS_JSON, ("accept", given.encode())])
    assert (reply.status, reply.headers["content-type"]) == (200, answered)
    reply = ask("GET", "/v1/sources", headers=[("accept", given.encode())])
    assert (reply.status, reply.headers["content-type"]) == (200, answered)


@pytest.mark.parametrize(
    "given",
    [
        b"text/html",
        b"application/xml, text/*",
        b"application/json;q=0",
        b"*/*;q=0",
        b"*/*;q=0.0",
        b"*",
        b";;;",
        b",",
        b"q=1",
        b"\xff",
        b"qZ" * 10_000,
        b"a/b," * 5_000,
    ],
)
def test_no_form_that_is_liked(ask: Any, problem_of: Callable[..., Any], match_body: bytes, given: bytes) -> None:
    reply = ask("POST", MATCH, match_body, [AS_JSON, ("accept", given)])
    assert problem_of(reply)["status"] == 406
    assert b"qZ" * 50 not in reply.body
    assert problem_of(ask("GET", "/v1/sources", headers=[("accept", given)]))["status"] == 406


@pytest.mark.parametrize("path", [one.path for one in CALCULATIONS])
@pytest.mark.parametrize("method", ["GET", "HEAD", "PUT", "PATCH", "DELETE", "TRACE", "PLOUGH"])
def test_a_calculation_takes_only_post(ask: Any, problem_of: Callable[..., Any], path: str, method: str) -> None:
    reply = ask(method, path)
    assert problem_of(reply)["status"] == 405
    assert set(reply.headers["allow"].split(", ")) == {"OPTIONS", "POST"}


@pytest.mark.parametrize("path", GETS)
def test_what_can_be_read_takes_get_and_head(ask: Any, problem_of: Callable[..., Any], path: str) -> None:
    read, head = ask("GET", path), ask("HEAD", path)
    assert head.status == read.status == 200
    assert head.headers["content-type"] == read.headers["content-type"]
    reply = ask("POST", path, b"{}", [AS_JSON])
    assert problem_of(reply)["status"] == 405
    assert set(reply.headers["allow"].split(", ")) == {"GET", "HEAD", "OPTIONS"}
    assert set(ask("OPTIONS", path).headers["allow"].split(", ")) == {"GET", "HEAD", "OPTIONS"}


@pytest.mark.parametrize(
    "path",
    [
        "/nowhere",
        "/v1",
        "/v1/matches",
        "/v1/match/x",
        "/v1/reference/harrow",
        "/v1/reference/draft/x",
        "/v1/reference/\0",
        "/v1/reference/\N{REPLACEMENT CHARACTER}",
        "/v1/reference/..",
        "/v1/reference/" + "qZ" * 5_000,
        "/V1/MATCH",
        "/docs/../app.py",
        "/docs/style.css/x",
    ],
)
def test_there_is_nothing_elsewhere(ask: Any, problem_of: Callable[..., Any], path: str) -> None:
    reply = ask("GET", path)
    assert problem_of(reply)["status"] == 404
    assert b"qZ" * 50 not in reply.body


def test_a_slash_at_the_end_changes_nothing(ask: Any, match_body: bytes) -> None:
    assert ask("POST", "/v1/match/", match_body).body == ask("POST", MATCH, match_body).body
    assert ask("GET", "/v1/reference/draft/").body == ask("GET", "/v1/reference/draft").body


def test_a_reading_takes_no_notice_of_a_query(ask: Any) -> None:
    assert ask("GET", "/v1/sources", query=b"a=1&a=%ff&=").body == ask("GET", "/v1/sources").body


def test_not_ready_says_when_to_ask_again(ask: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawbar_service.app, "self_check", lambda: "slip 0.1 misses the pull by 1e-3")
    reply = ask("GET", "/readyz")
    assert reply.status == 503
    assert reply.headers["retry-after"] == "30"
    assert reply.headers["content-type"] == "application/problem+json"
    problem = reply.json()
    assert problem["title"] == KINDS[503].title
    assert problem["instance"] == reply.headers["x-request-id"]
    assert "misses" not in reply.body.decode()
    assert ask("GET", "/livez").status == 200


def test_a_fault_of_ours_tells_its_id_and_nothing_else(
    match_body: bytes, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, ask: Any
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("secret of the house")

    monkeypatch.setattr(drawbar_service.answering, "write", _failing_once(drawbar_service.answering.write, broken))
    reply = ask("POST", MATCH, match_body, [AS_JSON])
    assert reply.status == 500
    assert reply.headers["content-type"] == "application/problem+json"
    assert reply.json()["instance"] == reply.headers["x-request-id"]
    assert b"secret" not in reply.body
    assert b"ZeroDivision" not in reply.body
    assert reply.headers["x-request-id"] in caplog.text
    assert "secret of the house" in caplog.text


def _failing_once(working: Callable[..., bytes], broken: Callable[..., None]) -> Callable[..., bytes]:
    calls = iter([broken])

    def write(*arguments: Any) -> bytes:
        for fail in calls:
            fail()
        return working(*arguments)

    return write


def test_nothing_is_remembered_between_requests(ask: Any, match_body: bytes) -> None:
    first = ask("POST", MATCH, match_body, [AS_JSON])
    slower = ask("POST", MATCH, match_body.replace(b'"8 km/h"', b'"5 km/h"'), [AS_JSON])
    again = ask("POST", MATCH, match_body, [AS_JSON])
    us = ask("POST", MATCH, match_body, [AS_JSON], b"units=us")
    packed = ask("POST", MATCH, match_body, [AS_JSON, ("accept", MSGPACK.encode())])
    assert first.body == again.body
    assert len({first.body, slower.body, us.body, packed.body}) == 4
    assert first.headers["etag"] == again.headers["etag"]
    assert len({reply.headers["etag"] for reply in (first, slower, us, packed)}) == 4
    assert re.fullmatch(r'"[0-9a-f]{24}"', first.headers["etag"])
    assert first.headers["cache-control"] == "no-store"
