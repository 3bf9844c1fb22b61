"""API keys: made, stored as digests, wanted, replaced while the service runs."""

import hashlib
import logging
import os
import re
import subprocess
import sys
from typing import Any

import pytest

import drawbar_service.security.watched as watched
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.app import create_app
from drawbar_service.security.keys import command, read_keys
from drawbar_service.settings import BadSettings, Settings

OPEN = ("/livez", "/readyz", "/version", "/docs", "/docs/style.css", "/openapi/drawbar-v1.json")


def bearer(key: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {key}"}


@pytest.fixture
def guarded(serve: Any, make_key: Any, key_file: Any) -> Any:
    """A service with two callers, and their keys."""
    whole, first = make_key("--id", "dashboard", "--scopes", "single,batch")
    single, second = make_key("--id", "field.office", "--scopes", "single")
    key_file.write_text(first + second)
    return serve(api_keys=str(key_file)), whole, single


def test_a_key_is_shown_once_and_only_its_digest_is_kept(make_key: Any) -> None:
    key, table = make_key("--id", "dashboard", "--scopes", "single,batch", "--rate", "600/min")
    assert re.fullmatch(r"dbk_dashboard_[A-Za-z0-9_-]{43}", key)
    assert key.rpartition("_")[2] not in table
    digest = hashlib.blake2b(key.encode(), digest_size=32).hexdigest()
    assert table.strip().splitlines() == [
        "[[key]]",
        'id = "dashboard"',
        f'blake2b = "{digest}"',
        'scopes = ["single", "batch"]',
        'rate = "600/min"',
    ]
    assert make_key("--id", "dashboard", "--scopes", "single")[0] != key


def test_the_command_can_be_appended_to_the_file(key_file: Any) -> None:
    made = [sys.executable, "-m", "drawbar_service", "key", "new", "--id", "barn", "--scopes", "single"]
    keys = []
    for _ in range(2):
        with key_file.open("ab") as file:
            run = subprocess.run(made, stdout=file, stderr=subprocess.PIPE, text=True, check=True)
        keys.append(run.stderr.split()[-1])
    known = read_keys(key_file.read_bytes())
    assert [known.find(key).id for key in keys] == ["barn", "barn"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--id", "a b", "--scopes", "single"], "--id 'a b'"),
        (["--id", "a_b", "--scopes", "single"], "--id 'a_b'"),
        (["--id", "x" * 41, "--scopes", "single"], "up to 40 letters"),
        (["--id", "a", "--scopes", "all"], "single, batch, or single,batch"),
        (["--id", "a", "--scopes", "single,single"], "single, batch, or single,batch"),
        (["--id", "a", "--scopes", ""], "single, batch, or single,batch"),
        (["--id", "a", "--scopes", "single", "--rate", "often"], "such as 600/min"),
        (["--id", "a"], "--scopes"),
    ],
)
def test_what_cannot_be_made_is_said(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        command(["new", *arguments])
    assert caught.value.code == 2
    output = capsys.readouterr()
    assert said in output.err
    assert output.out == ""


def test_whoever_has_a_key_is_answered(guarded: Any, match_body: bytes) -> None:
    client, whole, single = guarded
    for key in (whole, single):
        assert client.post("/v1/match", content=match_body, headers=bearer(key)).status_code == 200
        assert client.get("/v1/sources", headers=bearer(key)).status_code == 200
    assert client.get("/v1/sources", headers={"Authorization": f"bEARER  {single} "}).status_code == 200


def test_every_path_of_v1_wants_a_key_and_nothing_else_does(guarded: Any) -> None:
    client, *_ = guarded
    for route in client.app.routes:
        path = re.sub(r"{[^}]*}", "x", route.path)
        for method in sorted(route.methods & {"GET", "POST", "HEAD"}):
            status = client.request(method, path, content=b"{}", follow_redirects=False).status_code
            assert (status == 401) == path.startswith("/v1/"), (method, path)
    assert all(client.get(path).status_code == 200 for path in OPEN)


@pytest.mark.parametrize("path", ["//v1//match", "/v1/match/", "/v1/%6datch", "//v1/batch/match", "/v1/batch//match/"])
def test_no_spelling_of_a_path_leads_past(guarded: Any, match_body: bytes, path: str) -> None:
    client, _, single = guarded
    assert client.post(f"http://testserver.local{path}", content=match_body).status_code in (401, 404)
    if "batch" in path:
        url = f"http://testserver.local{path}"
        assert client.post(url, content=match_body, headers=bearer(single)).status_code in (403, 404)


def test_without_a_key_it_is_said_what_is_wanted(guarded: Any, match_body: bytes) -> None:
    client, *_ = guarded
    reply = client.post("/v1/match", content=match_body)
    assert reply.status_code == 401
    assert reply.headers["www-authenticate"] == 'Bearer realm="drawbar"'
    assert reply.headers["content-type"] == "application/problem+json"
    problem = reply.json()
    assert problem["type"] == "/docs/problems#who-are-you"
    assert problem["instance"] == reply.headers["x-request-id"]
    assert "Authorization" in problem["detail"]


@pytest.mark.parametrize(
    "spoil",
    [
        lambda key: key[:-1],
        lambda key: key[:-1] + ("A" if key[-1] != "A" else "B"),
        lambda key: key.replace("dashboard", "field.office"),
        lambda key: key.replace("dashboard", "nobody"),
        lambda key: key.upper(),
        lambda key: "dbk_",
        lambda key: "dbk_dashboard",
        lambda key: "dbk_dashboard_",
        lambda key: "\xff" * 40,
        lambda key: key + "x" * 20_000,
        lambda key: "a.b.c",
    ],
    ids=range(11),
)
def test_a_key_that_is_none_is_neither_let_in_nor_repeated(
    guarded: Any, match_body: bytes, spoil: Any, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    client, key, _ = guarded
    wrong = spoil(key)
    header = {"Authorization": b"Bearer " + wrong.encode("latin-1")}
    reply = client.post("/v1/match", content=match_body, headers=header)
    assert reply.status_code == 401
    assert 'error="invalid_token"' in reply.headers["www-authenticate"]
    secret = wrong.rpartition("_")[2][:40]
    if len(secret) > 5:
        assert secret not in reply.text
        assert secret not in str(reply.headers)
        assert secret not in caplog.text
    assert "dashboard" not in reply.text


@pytest.mark.parametrize("header", ["", "Bearer", "Bearer ", "Basic {key}", "{key}", "Bearer{key}"])
def test_a_header_that_says_something_else_is_as_good_as_none(guarded: Any, header: str) -> None:
    client, key, _ = guarded
    reply = client.get("/v1/sources", headers={"Authorization": header.format(key=key)})
    assert reply.status_code == 401


def test_a_scope_that_is_missing_is_named(guarded: Any, match_body: bytes) -> None:
    client, whole, single = guarded
    body = b'{"scenario": {"width": "6 m", "practice": "field-cultivator"}, "vary": {"/speed": ["7 km/h"]}}'
    reply = client.post("/v1/batch/field-capacity", content=body, headers=bearer(single))
    assert reply.status_code == 403
    assert 'error="insufficient_scope", scope="batch"' in reply.headers["www-authenticate"]
    assert reply.json()["type"] == "/docs/problems#not-allowed"
    assert "batch" in reply.json()["detail"]
    assert client.post("/v1/batch/field-capacity", content=body, headers=bearer(whole)).status_code == 200


def test_keys_are_replaced_while_the_service_runs(
    serve: Any, make_key: Any, key_file: Any, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(watched, "_EVERY", 0.0)
    caplog.set_level(logging.INFO)
    stamps = iter(range(1, 99))

    def write(text: str) -> None:
        key_file.write_text(text)
        os.utime(key_file, ns=(next(stamps), next(stamps)))

    def status(key: str) -> int:
        return client.get("/v1/sources", headers=bearer(key)).status_code

    old, first = make_key("--id", "dashboard", "--scopes", "single")
    new, second = make_key("--id", "dashboard", "--scopes", "single")
    write(first)
    client = serve(api_keys=str(key_file))
    assert (status(old), status(new)) == (200, 401)
    write(first + second)
    assert (status(old), status(new)) == (200, 200)
    write(second)
    assert (status(old), status(new)) == (401, 200)
    write("[[key]]\nid = 'dashboard'")
    assert (status(old), status(new), status(new)) == (401, 200, 200)
    assert caplog.text.count("cannot be read, so what it said before holds") == 1
    key_file.unlink()
    assert (status(old), status(new)) == (401, 200)
    write("")
    assert (status(old), status(new)) == (401, 401)
    assert old.rpartition("_")[2] not in caplog.text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("key = 1", "key"),
        ("[[key]", "line 1"),
        ("[[key]]\nid = 'a'\nscopes = ['single']", "blake2b"),
        ("[[key]]\nid = 'a'\nblake2b = 'abc'\nscopes = ['single']", "blake2b"),
        (f"[[key]]\nid = 'a'\nblake2b = '{'0' * 64}'\nscopes = ['all']", "scopes"),
        (f"[[key]]\nid = 'a_b'\nblake2b = '{'0' * 64}'\nscopes = ['single']", "id"),
        (f"[[key]]\nid = 'a'\nblake2b = '{'0' * 64}'\nscopes = ['single']\nrate = 'x'", "600/min"),
        (f"[[key]]\nid = 'a'\nblake2b = '{'0' * 64}'\nscopes = ['single']\nsecret = 'x'", "secret"),
        (
            f"[[key]]\nid = 'a'\nblake2b = '{'0' * 64}'\nscopes = ['single']\nrate = '1/s'\n"
            f"[[key]]\nid = 'a'\nblake2b = '{'1' * 64}'\nscopes = ['single']",
            "differ in rate",
        ),
    ],
)
def test_a_file_that_says_nothing_sensible_keeps_the_service_from_starting(key_file: Any, text: str, said: str) -> None:
    key_file.write_text(text)
    with pytest.raises(BadSettings, match="DRAWBAR_API_KEYS") as caught:
        create_app(Settings(api_keys=str(key_file)))
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"api_keys": "nowhere.toml"}, "DRAWBAR_API_KEYS='nowhere.toml': "),
        ({"rate": "9/s"}, "DRAWBAR_RATE, DRAWBAR_QUOTA and DRAWBAR_REDIS_URL are by caller"),
        ({"rate": "often"}, "DRAWBAR_RATE='often'"),
        ({"redis_url": "redis://localhost"}, "are by caller"),
        ({"jwks": "keys.json"}, "DRAWBAR_JWT_ISSUER and DRAWBAR_JWT_AUDIENCE"),
        ({"jwks": "nowhere.json", "jwt_issuer": "i", "jwt_audience": "a"}, "DRAWBAR_JWKS='nowhere.json'"),
        ({"jwks": "k", "jwt_issuer": "i", "jwt_audience": "a", "jwt_algorithms": "HS256"}, "RS256, ES256, EdDSA"),
        ({"cors_origins": "*"}, "'*' is no origin"),
        ({"cors_origins": "https://farm.example/"}, "is no origin"),
    ],
)
def test_settings_that_do_not_go_together_end_with_a_sentence(settings: dict[str, str], said: str) -> None:
    with pytest.raises(BadSettings) as caught:
        create_app(Settings(**settings))
    assert said in str(caught.value)
    environment = {name: value for name, value in os.environ.items() if not name.startswith("DRAWBAR_")}
    if "api_keys" in settings:
        run = subprocess.run(
            [sys.executable, "-m", "drawbar_service"],
            env=environment | {f"DRAWBAR_{name.upper()}": value for name, value in settings.items()},
            capture_output=True,
            text=True,
        )
        assert (run.returncode, run.stderr.count("\n")) == (2, 1)
        assert said in run.stderr


def test_it_is_off_unless_set(serve: Any, match_body: bytes) -> None:
    client = serve()
    reply = client.post("/v1/match", content=match_body, headers=bearer("dbk_nobody_x"))
    assert reply.status_code == 200
    assert "ratelimit" not in reply.headers
    assert all(one.path.startswith("/v1/") for one in CALCULATIONS)
