"""What responses say to browsers and to those whose path is to go."""

from datetime import UTC, datetime
from typing import Any

import pytest

from drawbar_service.api.farewell import FAREWELLS, Farewell
from drawbar_service.api.openapi import document
from drawbar_service.settings import BadSettings

ORIGIN = "https://farm.example"
ALWAYS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
}
CORS = ("access-control-allow-origin", "access-control-allow-methods", "access-control-allow-credentials")


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/livez"),
        ("GET", "/docs"),
        ("GET", "/nowhere"),
        ("PUT", "/v1/match"),
        ("POST", "/v1/match"),
        ("GET", "/v1/sources"),
    ],
)
def test_every_response_carries_them(serve: Any, method: str, path: str, tmp_path: Any) -> None:
    (tmp_path / "none.toml").write_text("")
    for settings in ({}, {"api_keys": str(tmp_path / "none.toml")}, {"cors_origins": ORIGIN}):
        reply = serve(**settings).request(method, path)
        assert {name: reply.headers.get(name) for name in ALWAYS} == ALWAYS
        assert "frame-ancestors 'none'" in reply.headers["content-security-policy"]
        assert "server" not in reply.headers


def test_pages_of_other_origins_may_not_call(serve: Any, match_body: bytes) -> None:
    reply = serve().post("/v1/match", content=match_body, headers={"Origin": ORIGIN})
    assert not set(CORS) & set(reply.headers)
    preflight = {"Origin": ORIGIN, "Access-Control-Request-Method": "POST"}
    assert not set(CORS) & set(serve().options("/v1/match", headers=preflight).headers)


def test_listed_ones_may_and_no_other(serve: Any, match_body: bytes, tmp_path: Any) -> None:
    (tmp_path / "none.toml").write_text("")
    client = serve(cors_origins=f"{ORIGIN}, http://localhost:5173", api_keys=str(tmp_path / "none.toml"))
    asked = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "authorization, content-type"}
    for origin in (ORIGIN, "http://localhost:5173"):
        # A browser asks without a key first, and must be able to read why it was refused.
        preflight = client.options("/v1/match", headers={"Origin": origin} | asked)
        assert preflight.status_code == 204
        assert preflight.headers["access-control-allow-origin"] == origin
        assert "authorization" in preflight.headers["access-control-allow-headers"]
        refused = client.post("/v1/match", content=match_body, headers={"Origin": origin})
        assert refused.status_code == 401
        assert refused.headers["access-control-allow-origin"] == origin
        assert refused.headers["vary"] == "Origin"
        assert "Retry-After" in refused.headers["access-control-expose-headers"]
        assert "access-control-allow-credentials" not in refused.headers
    for origin in (
        "https://farm.example.evil.test",
        "https://farmxexample",
        "http://farm.example",
        "null",
        "x" * 5_000,
    ):
        assert client.options("/v1/match", headers={"Origin": origin} | asked).status_code == 400
        reply = client.post("/v1/match", content=match_body, headers={"Origin": origin})
        assert "access-control-allow-origin" not in reply.headers


def test_what_is_to_go_says_so(serve: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    when = Farewell(datetime(2027, 1, 1, tzinfo=UTC), datetime(2028, 1, 1, 12, tzinfo=UTC), "/docs#batch")
    monkeypatch.setitem(FAREWELLS, "/v1/reference/{table}", when)
    monkeypatch.setitem(FAREWELLS, "/v1/slip", when)
    client = serve()
    for reply in (client.get("/v1/reference/draft"), client.post("/v1/slip", content=b"{"), client.options("/v1/slip")):
        assert reply.headers["deprecation"] == "@1798761600"
        assert reply.headers["sunset"] == "Sat, 01 Jan 2028 12:00:00 GMT"
        assert reply.headers["link"] == '</docs#batch>; rel="deprecation", </docs#batch>; rel="sunset"'
    for path in ("/v1/sources", "/nowhere", "/livez"):
        assert not {"deprecation", "sunset", "link"} & set(client.get(path).headers)
    paths = document()["paths"]
    going = {path for path, item in paths.items() for one in item.values() if one.get("deprecated")}
    assert going == {"/v1/reference/{table}", "/v1/slip"}


def test_every_farewell_names_a_path_of_the_contract_and_comes_before_the_end() -> None:
    paths = document()["paths"]
    for path, one in FAREWELLS.items():
        assert path in paths
        assert one.announced < one.gone


def test_the_contract_says_that_a_key_may_be_wanted() -> None:
    contract = document()
    assert contract["components"]["securitySchemes"]["bearer"]["scheme"] == "bearer"
    for path, item in contract["paths"].items():
        for operation in item.values():
            guarded = path.startswith("/v1/")
            security = operation.get("security", contract["security"])
            assert security == ([{}, {"bearer": []}] if guarded else [])
            assert ({"401", "403", "429", "503"} <= set(operation["responses"])) == guarded


def framing(answer):
    policy = answer.headers["content-security-policy"]
    return next(part.strip() for part in policy.split(";") if "frame-ancestors" in part)


@pytest.mark.parametrize("path", ["/", "/docs", "/v1/reference", "/openapi/drawbar-v1.json", "/nowhere"])
def test_only_pages_that_are_listed_may_frame_an_answer(serve, path):
    shut = serve().get(path)
    assert (framing(shut), shut.headers["x-frame-options"]) == ("frame-ancestors 'none'", "DENY")
    assert shut.headers["cross-origin-resource-policy"] == "same-origin"
    opened = serve(frame_ancestors=f"{ORIGIN}, http://localhost:5173", resource_policy="cross-origin").get(path)
    assert framing(opened) == f"frame-ancestors 'self' {ORIGIN} http://localhost:5173"
    assert "x-frame-options" not in opened.headers
    assert opened.headers["cross-origin-resource-policy"] == "cross-origin"


@pytest.mark.parametrize("listed", ["*", f"{ORIGIN}/", "farm.example", "https://a b", "'self'; script-src *"])
def test_what_is_no_origin_frames_nothing(serve, listed):
    with pytest.raises(BadSettings, match=r"DRAWBAR_FRAME_ANCESTORS: .* is no origin"):
        serve(frame_ancestors=listed)
