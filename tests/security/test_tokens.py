"""JWT bearers: whose signature, from whom, for whom, until when, for what."""

import asyncio
import base64
import hmac
import http.server
import json
import threading
import time
from collections.abc import Callable, Iterator
from typing import Any

import jwt
import pytest
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, rsa

from drawbar_service.security.tokens import BadToken, KeysAtAddress, Tokens, read_public_keys

ISSUER, AUDIENCE = "https://id.farm.test", "drawbar"
ALL = ("RS256", "ES256", "EdDSA")
PRIVATE: dict[str, Any] = {
    "RS256": rsa.generate_private_key(65537, 2048),
    "ES256": ec.generate_private_key(ec.SECP256R1()),
    "EdDSA": ed25519.Ed25519PrivateKey.generate(),
}
STRANGER = ec.generate_private_key(ec.SECP256R1())


def public(name: str, private: Any = None, **more: str) -> dict[str, Any]:
    algorithm = jwt.get_algorithm_by_name(name)
    written = algorithm.to_jwk((private or PRIVATE[name]).public_key(), as_dict=True)
    return written | {"kid": name.lower(), "alg": name} | more


JWKS = {"keys": [public(name) for name in ALL]}


def token(algorithm: str = "ES256", private: Any = None, kid: str | None = "", **claims: Any) -> str:
    said = {"iss": ISSUER, "aud": AUDIENCE, "sub": "yard", "exp": int(time.time()) + 60, "scope": "single"} | claims
    headers = {} if kid is None else {"kid": kid or algorithm.lower()}
    kept = {name: value for name, value in said.items() if value is not None}
    return jwt.encode(kept, private or PRIVATE[algorithm], algorithm, headers=headers)


@pytest.fixture
def guarded(serve: Any, tmp_path: Any) -> Any:
    file = tmp_path / "jwks.json"
    file.write_text(json.dumps(JWKS))
    return serve(jwks=str(file), jwt_issuer=ISSUER, jwt_audience=AUDIENCE)


def asked(client: Any, bearer: str) -> Any:
    return client.get("/v1/sources", headers={"Authorization": f"Bearer {bearer}"})


@pytest.mark.parametrize("algorithm", ALL)
def test_a_good_token_is_let_in(guarded: Any, algorithm: str) -> None:
    assert asked(guarded, token(algorithm)).status_code == 200


def test_several_audiences_and_scopes_in_any_form_are_read(guarded: Any) -> None:
    for claims in (
        {"aud": ["other", AUDIENCE]},
        {"scope": "openid drawbar:single"},
        {"scope": ["batch", "single"]},
        {"exp": int(time.time()) - 5},
    ):
        assert asked(guarded, token(**claims)).status_code == 200, claims


@pytest.mark.parametrize("scope", [None, "", "batch", "drawbar:batch", "singles", ["batch"], 5, {"single": True}])
def test_a_token_without_the_scope_is_known_but_not_allowed(guarded: Any, scope: Any) -> None:
    assert asked(guarded, token(scope=scope)).status_code == 403


def forged(algorithm: str, sign: Callable[[bytes], bytes]) -> str:
    def part(value: bytes) -> str:
        return base64.urlsafe_b64encode(value).rstrip(b"=").decode()

    claims = {"iss": ISSUER, "aud": AUDIENCE, "sub": "yard", "exp": int(time.time()) + 60, "scope": "single batch"}
    head = part(json.dumps({"alg": algorithm, "kid": "rs256"}).encode())
    signed = f"{head}.{part(json.dumps(claims).encode())}"
    return f"{signed}.{part(sign(signed.encode()))}"


def forged_with_public_key() -> str:
    known = json.dumps(public("RS256")).encode()
    return forged("HS256", lambda text: hmac.digest(known, text, "sha256"))


def spoiled() -> str:
    head, claims, signature = token().split(".")
    return f"{head}.{claims}.{signature[:-4]}AAAA"


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: token(exp=int(time.time()) - 120), "it has expired"),
        (lambda: token(nbf=int(time.time()) + 3600), "its signature is wrong"),
        (lambda: token(iss="https://elsewhere.test"), "another issuer"),
        (lambda: token(aud="other"), "another audience"),
        (lambda: token(exp=None), "lacks the claim exp"),
        (lambda: token(iss=None), "lacks the claim iss"),
        (lambda: token(aud=None), "lacks the claim aud"),
        (lambda: token(sub=None), "lacks the claim sub"),
        (lambda: token(kid="unknown"), "signing key is not known"),
        (lambda: token(kid=None), "does not say which key signed it"),
        (lambda: token(private=STRANGER), "its signature is wrong"),
        (lambda: token("RS256", kid="es256"), "its signature is wrong"),
        (lambda: forged("none", lambda text: b""), "not signed with"),
        (forged_with_public_key, "not signed with"),
        (spoiled, "its signature is wrong"),
        (lambda: "a.b.c", "it is no token"),
        (lambda: "hello", "it is no token"),
        (lambda: "dbk_nobody_x", "not known"),
    ],
    ids=range(18),
)
def test_any_other_is_not_and_is_told_why(guarded: Any, make: Any, said: str) -> None:
    bearer = make()
    reply = asked(guarded, bearer)
    assert reply.status_code == 401
    assert 'error="invalid_token"' in reply.headers["www-authenticate"]
    assert said in reply.json()["detail"]
    assert bearer not in reply.text


def test_algorithms_can_be_fewer(serve: Any, tmp_path: Any) -> None:
    file = tmp_path / "jwks.json"
    file.write_text(json.dumps(JWKS))
    client = serve(jwks=str(file), jwt_issuer=ISSUER, jwt_audience=AUDIENCE, jwt_algorithms="EdDSA")
    assert [asked(client, token(name)).status_code for name in ALL] == [401, 401, 200]


def test_keys_and_tokens_go_side_by_side(serve: Any, tmp_path: Any, make_key: Any, key_file: Any) -> None:
    file = tmp_path / "jwks.json"
    file.write_text(json.dumps(JWKS))
    key, table = make_key("--id", "dashboard", "--scopes", "single")
    key_file.write_text(table)
    client = serve(jwks=str(file), jwt_issuer=ISSUER, jwt_audience=AUDIENCE, api_keys=str(key_file))
    assert [asked(client, one).status_code for one in (key, token())] == [200, 200]


def test_one_key_needs_no_name_and_one_for_secrecy_does_not_count() -> None:
    keys = read_public_keys(json.dumps({"keys": [public("ES256"), public("RS256", use="enc")]}).encode())
    assert list(keys) == ["es256"]

    class Source:
        async def find(self, kid: str | None) -> Any:
            return keys.get(kid) if kid else next(iter(keys.values()))

    caller = asyncio.run(Tokens(Source(), ISSUER, AUDIENCE, ALL).find(token(kid=None, scope="batch")))
    assert (caller.id, caller.rights) == ("jwt:yard", {"batch"})


@pytest.mark.parametrize(
    "text", [b"", b"{}", b"[]", b'{"keys": []}', b'{"keys": [{"kty": "x"}]}', b'{"keys": 5}', b"\xff", b"null"]
)
def test_what_is_no_set_of_keys_is_refused(text: bytes) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - several kinds, each a ValueError
        read_public_keys(text)


class Desk:
    """Hands out a JWKS, counts how often, and keeps time."""

    def __init__(self) -> None:
        self.now = 0.0
        self.fetches = 0
        self.keys = [public("ES256")]
        self.broken = False

    def fetch(self) -> bytes:
        self.fetches += 1
        if self.broken:
            raise OSError("no way there")
        return json.dumps({"keys": self.keys}).encode()


def test_keys_are_fetched_once_again_for_an_unknown_one_and_when_old(caplog: pytest.LogCaptureFixture) -> None:
    desk = Desk()
    source = KeysAtAddress(desk.fetch, lambda: desk.now)

    async def main() -> None:
        # Many at once, one fetch.
        found = await asyncio.gather(*(source.find("es256") for _ in range(50)))
        assert all(found)
        assert desk.fetches == 1
        # Whatever names callers make up, no more than one fetch in half a minute.
        for _ in range(50):
            desk.now += 0.5
            assert await source.find(f"made up {desk.now}") is None
        assert desk.fetches == 1
        desk.keys.append(public("EdDSA"))
        desk.now = 31.0
        assert await source.find("eddsa") is not None
        assert desk.fetches == 2
        # After an hour a key that is withdrawn goes, at the call after the one that finds it old.
        desk.keys.pop()
        desk.now = 31.0 + 3600.0
        assert await source.find("eddsa") is not None
        assert source._fetching is not None
        await source._fetching
        assert desk.fetches == 3
        assert await source.find("eddsa") is None
        # What cannot be fetched changes nothing.
        desk.broken = True
        desk.now += 3601.0
        assert await source.find("eddsa") is None
        assert await source.find("es256") is not None

    asyncio.run(main())
    assert "cannot be fetched" in caplog.text


@pytest.fixture
def address() -> Iterator[str]:
    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            content = json.dumps(JWKS).encode()
            self.send_response(200)
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, format: str, *args: Any) -> None:
            """Say nothing."""

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/jwks"
    server.shutdown()
    thread.join()
    server.server_close()


def test_keys_come_over_http(serve: Any, address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    client = serve(jwks=address, jwt_issuer=ISSUER, jwt_audience=AUDIENCE)
    assert asked(client, token()).status_code == 200


def test_an_address_where_nothing_is_lets_nobody_in(serve: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    client = serve(jwks="http://127.0.0.1:1/jwks", jwt_issuer=ISSUER, jwt_audience=AUDIENCE)
    assert asked(client, token()).status_code == 401


def test_a_bad_token_says_nothing_of_what_was_in_it() -> None:
    class Source:
        async def find(self, kid: str | None) -> Any:
            return None

    with pytest.raises(BadToken) as caught:
        asyncio.run(Tokens(Source(), ISSUER, AUDIENCE, ALL).find(token(kid="very-telling")))
    assert "telling" not in str(caught.value)
