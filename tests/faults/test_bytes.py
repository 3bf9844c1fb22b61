"""Whatever bytes arrive: an answer or a problem document, never a failure of the service."""

import datetime
import gzip
from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.settings import Settings

MATCH = "/v1/match"
AS_JSON = ("content-type", b"application/json")
AS_MSGPACK = ("content-type", b"application/msgpack")
LONG = "qZ" * 2_000
LIMIT = 65_536
"""Largest body that is read, so that everything below it has to be survived."""


def pack(value: object) -> bytes:
    return msgspec.msgpack.encode(value)


def speed(value: bytes) -> bytes:
    return b'{"speed":' + value + b"}"


BROKEN_JSON = {
    "empty": b"",
    "blank": b" \n\t ",
    "truncated": b'{"tractor": {"drive": "front-wh',
    "two documents": b"{}{}",
    "trailing comma": b'{"speed": "8 km/h",}',
    "single quotes": b"{'speed': 1}",
    "comment": b'{"speed": "8 km/h"} // fast',
    "byte order mark": b'\xef\xbb\xbf{"speed": "8 km/h"}',
    "utf-16": '{"speed": "8 km/h"}'.encode("utf-16"),
    "utf-32": '{"speed": "8 km/h"}'.encode("utf-32"),
    "invalid utf-8 in a value": speed(b'"8 km/h\xff\xfe"'),
    "invalid utf-8 in a name": b'{"spe\xc3ed": 1}',
    "overlong utf-8": speed(b'"\xc0\xaf"'),
    "utf-8 of a surrogate": speed(b'"\xed\xa0\x80"'),
    "lone high surrogate": speed(b'"\\ud800"'),
    "lone high surrogate, text after": speed(b'"\\ud800 km/h"'),
    "two high surrogates": speed(b'"\\ud800\\ud800"'),
    "lone surrogate in a name": b'{"\\ud800": 1}',
    "control character": speed(b'"8\x01km/h"'),
    "bad escape": speed(b'"\\x41"'),
    "NaN": speed(b"NaN"),
    "Infinity": speed(b"Infinity"),
    "-Infinity": speed(b'{"value": -Infinity, "unit": "km/h"}'),
    "1e400": speed(b'{"value": 1e400, "unit": "km/h"}'),
    "integer of 5000 digits": speed(b'{"value": ' + b"9" * 5_000 + b', "unit": "km/h"}'),
    "leading zero": speed(b'{"value": 08, "unit": "km/h"}'),
    "nested lists": b"[" * 100_000,
    "nested lists under the limit": b"[" * (LIMIT - 1),
    "nested lists, closed": b"[" * 30_000 + b"]" * 30_000,
    "nested objects": b'{"a":' * 10_000,
    "nested objects in a field": speed(b'{"value":' * 7_000),
    "nested lists in a field, closed": speed(b"[" * 30_000 + b"]" * 30_000),
    "gzip without saying so": gzip.compress(b'{"speed": "8 km/h"}'),
    "null bytes": b"\0" * 100,
}

IMPOSSIBLE_JSON = {
    "null": b"null",
    "a number": b"1",
    "a text": b'"8 km/h"',
    "a list": b"[]",
    "an empty object": b"{}",
    "integer of 400 digits": speed(b'{"value": ' + b"9" * 400 + b', "unit": "km/h"}'),
    "smallest float": speed(b'{"value": 5e-324, "unit": "km/h"}'),
    "largest float": speed(b'{"value": 1.7e308, "unit": "km/h"}'),
    "overflow on the way to SI": speed(b'"9e308 km/h"'),
    "text of a NaN": speed(b'"nan km/h"'),
    "null byte in a text": speed(b'"8\\u0000km/h"'),
    "nothing but null bytes": speed(b'"' + b"\\u0000" * 60 + b'"'),
    "full-width digits": speed('"\N{FULLWIDTH DIGIT EIGHT} km/h"'.encode()),
    "power tower": speed(b'"9**9**9 km/h"'),
    "wrong unit, long": speed(f'"8 {LONG}"'.encode()),
    "long text": speed(f'"{LONG}"'.encode()),
    "long name": f'{{"{LONG}": 1}}'.encode(),
    "long id": f'{{"implement": {{"hitch": "drawbar", "tools": [{{"tool": "{LONG}"}}]}}}}'.encode(),
    "long tire": f'{{"tractor": {{"tires": {{"front": {{"size": "{LONG}"}}}}}}}}'.encode(),
    "long word": f'{{"soil": {{"texture": "{LONG}"}}}}'.encode(),
    "thousands of names": b"{" + b",".join(b'"k%d":1' % index for index in range(5_000)) + b"}",
    "thousands of tools": b'{"implement": {"tools": [' + b",".join([b"{}"] * 10_000) + b"]}}",
    "same name twice": b'{"speed": "1 km/h", "speed": "900 km/h"}',
    "names that escape a pointer": b'{"a/b~c": 1, "": 2}',
    "nested under the recursion limit": speed(b"[" * 200 + b"]" * 200),
}

BROKEN_MSGPACK = {
    "empty": b"",
    "truncated": pack({"speed": "8 km/h"})[:-3],
    "trailing bytes": pack({"speed": "8 km/h"}) + b"\0",
    "reserved byte": b"\xc1",
    "list of four billion": b"\xdd\xff\xff\xff\xff",
    "object of four billion": b"\xdf\xff\xff\xff\xff",
    "text of four billion": b"\xdb\xff\xff\xff\xff",
    "text that is no utf-8": b"\x81\xa5speed\xa2\xff\xfe",
    "nested lists": b"\x91" * (LIMIT - 1),
    "nested objects": b"\x81\xa1a" * 20_000,
    "nested lists in a field": b"\x81\xa5speed" + b"\x91" * 60_000 + b"\xc0",
}

IMPOSSIBLE_MSGPACK = {
    "nil": b"\xc0",
    "extension": pack({"speed": msgspec.msgpack.Ext(5, b"abc")}),
    "extension alone": pack(msgspec.msgpack.Ext(-1, b"abcd")),
    "timestamp": pack({"speed": datetime.datetime(2026, 9, 1, tzinfo=datetime.UTC)}),
    "bytes": pack({"speed": b"\xff\x00" * 2_000}),
    "name of bytes": pack({b"speed": "8 km/h"}),
    "name that is a number": pack({1: 2}),
    "name that is a list": b"\x81\x91\x01\x02",
    "NaN": pack({"speed": {"value": float("nan"), "unit": "km/h"}}),
    "Infinity": pack({"speed": {"value": float("inf"), "unit": "km/h"}}),
    "largest integer": pack({"speed": {"value": 2**64 - 1, "unit": "km/h"}}),
}


@pytest.mark.parametrize("path", [one.path for one in CALCULATIONS])
@pytest.mark.parametrize("name", BROKEN_JSON)
def test_json_that_is_none_is_unreadable(ask: Any, problem_of: Callable[..., Any], path: str, name: str) -> None:
    body = BROKEN_JSON[name]
    problem = problem_of(ask("POST", path, body, [AS_JSON]))
    limit = Settings().body_bytes(path.rpartition("/")[2])
    assert problem["status"] == (413 if len(body) > limit else 400)


@pytest.mark.parametrize("name", IMPOSSIBLE_JSON)
def test_json_that_is_no_request_is_impossible(ask: Any, problem_of: Callable[..., Any], name: str) -> None:
    problem = problem_of(ask("POST", MATCH, IMPOSSIBLE_JSON[name], [AS_JSON]))
    assert problem["status"] == 422
    assert problem["errors"]


@pytest.mark.parametrize("name", BROKEN_MSGPACK)
def test_msgpack_that_is_none_is_unreadable(ask: Any, problem_of: Callable[..., Any], name: str) -> None:
    problem = problem_of(ask("POST", MATCH, BROKEN_MSGPACK[name], [AS_MSGPACK]))
    assert problem["status"] == 400
    assert "JSON" not in problem["detail"]


@pytest.mark.parametrize("name", IMPOSSIBLE_MSGPACK)
def test_msgpack_that_is_no_request_is_impossible(ask: Any, problem_of: Callable[..., Any], name: str) -> None:
    problem = problem_of(ask("POST", MATCH, IMPOSSIBLE_MSGPACK[name], [AS_MSGPACK]))
    assert problem["status"] == 422
    assert problem["errors"]


@pytest.mark.parametrize("name", [name for name, body in IMPOSSIBLE_JSON.items() if LONG.encode() in body])
def test_long_input_is_not_sent_back(ask: Any, name: str) -> None:
    reply = ask("POST", MATCH, IMPOSSIBLE_JSON[name], [AS_JSON])
    assert LONG[:100].encode() not in reply.body


@pytest.mark.parametrize("depth", range(300, 1_200, 50))
@pytest.mark.parametrize("opening", [b"[", b'{"value":'])
def test_no_depth_at_which_recursion_runs_out_fails_the_service(
    ask: Any, problem_of: Callable[..., Any], depth: int, opening: bytes
) -> None:
    closing = b"]" if opening == b"[" else b"}"
    problem_of(ask("POST", MATCH, speed(opening * depth + b"0" + closing * depth), [AS_JSON]))
    packed = {b"[": b"\x91"}.get(opening, b"\x81\xa5value")
    problem_of(ask("POST", MATCH, b"\x81\xa5speed" + packed * depth + b"\x00", [AS_MSGPACK]))


def test_the_last_of_two_equal_names_counts(ask: Any, match_body: bytes) -> None:
    assert match_body.endswith(b'"speed":"8 km/h"}')
    twice = match_body[:-1] + b',"speed":"5 km/h"}'
    assert ask("POST", MATCH, twice, [AS_JSON]).json()["at_work"]["speed"]["value"] == pytest.approx(5.0)


def test_a_whole_number_may_be_written_with_a_point(ask: Any, match_body: bytes) -> None:
    pointed = match_body.replace(b'"count":11', b'"count":11.0')
    assert pointed != match_body
    plain = ask("POST", MATCH, match_body, [AS_JSON])
    assert ask("POST", MATCH, pointed, [AS_JSON]).body == plain.body
    assert ask("POST", MATCH, pack(msgspec.json.decode(pointed)), [AS_MSGPACK]).body == plain.body


def test_a_number_that_is_not_whole_is_no_count(ask: Any, problem_of: Callable[..., Any], match_body: bytes) -> None:
    problem = problem_of(ask("POST", MATCH, match_body.replace(b'"count":11', b'"count":11.5'), [AS_JSON]))
    assert [error["pointer"] for error in problem["errors"]] == ["/implement/tools/0/count"]


def test_a_surrogate_pair_is_one_character(ask: Any, match_body: bytes) -> None:
    named = match_body.replace(b'{"tractor":{', b'{"tractor":{"name":"\\ud83d\\ude9c",')
    assert ask("POST", MATCH, named, [AS_JSON]).status == 200


def oversized() -> bytes:
    return b" " * (LIMIT + 1)


def test_too_big_with_its_length_announced(ask: Any, problem_of: Callable[..., Any]) -> None:
    reply = ask("POST", MATCH, oversized(), [AS_JSON, ("content-length", str(LIMIT + 1).encode())])
    assert problem_of(reply)["status"] == 413


def test_too_big_in_pieces_without_a_length(ask: Any, problem_of: Callable[..., Any]) -> None:
    pieces = [b" " * 1_000] * 70
    assert problem_of(ask("POST", MATCH, headers=[AS_JSON], chunks=pieces))["status"] == 413


def test_too_big_with_a_length_that_lies(ask: Any, problem_of: Callable[..., Any]) -> None:
    assert problem_of(ask("POST", MATCH, oversized(), [AS_JSON, ("content-length", b"10")]))["status"] == 413


def test_the_largest_body_is_read(ask: Any, match_body: bytes) -> None:
    assert ask("POST", MATCH, match_body.ljust(LIMIT), [AS_JSON]).status == 200


def test_a_body_in_small_pieces_is_read(ask: Any, match_body: bytes) -> None:
    pieces = [match_body[start : start + 7] for start in range(0, len(match_body), 7)]
    assert ask("POST", MATCH, headers=[AS_JSON], chunks=pieces).body == ask("POST", MATCH, match_body, [AS_JSON]).body


@pytest.mark.parametrize("length", [b"abc", b"", b"1e3", b"9" * 5_000])
def test_a_length_that_is_no_number(ask: Any, problem_of: Callable[..., Any], match_body: bytes, length: bytes) -> None:
    assert problem_of(ask("POST", MATCH, match_body, [AS_JSON, ("content-length", length)]))["status"] in (400, 413)


@pytest.mark.parametrize(
    "query",
    [
        b"units=nan",
        b"units=",
        b"units",
        b"units=US",
        b"units=us&units=us",
        b"units=metric&units=us",
        b"units=us;x=1",
        b"units=%00",
        b"units=%ff%fe",
        b"units=%ed%a0%80",
        b"units=" + LONG.encode(),
        b"unit=us",
        b"%ff=%ff",
        b"&&&=",
        b"a=1&" * 3_000,
        b"".join(b"a%d=1&" % index for index in range(999)),
        LONG.encode() + b"=1",
        b"\xff\xfe=1",
        b"%",
        b"%zz=1",
    ],
    ids=range(20),
)
def test_a_query_string_that_is_not_understood(
    ask: Any, problem_of: Callable[..., Any], match_body: bytes, query: bytes
) -> None:
    problem = problem_of(ask("POST", MATCH, match_body, [AS_JSON], query))
    assert problem["status"] == 422
    assert all(error["pointer"].startswith("?") for error in problem["errors"])
    assert LONG[:100] not in str(problem)
