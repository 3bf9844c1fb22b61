"""JWT bearers, checked against a set of public keys (JWKS) from a file or an address."""

import asyncio
import http.client
import logging
import urllib.request
from collections.abc import Callable, Mapping
from pathlib import Path
from time import monotonic
from typing import Any, Final, Protocol, TypeAlias, cast
from urllib.parse import urlsplit

from drawbar_service.security.keys import RIGHTS, Caller
from drawbar_service.security.watched import Watched
from drawbar_service.settings import BadSettings, Settings

log = logging.getLogger("drawbar_service")

ALGORITHMS: Final = ("RS256", "ES256", "EdDSA")
"""Signatures that may be admitted: with public keys only, so that no key can be taken for a shared secret."""
_LEEWAY: Final = 30
"""How far clocks may differ [s]."""
_STALE: Final = 3600.0
"""Age at which fetched keys are fetched again, so that a withdrawn key goes [s]."""
_EVERY: Final = 30.0
"""Shortest time between two fetches, whatever keys callers name [s]."""
_FETCH_TIMEOUT: Final = 5.0
_MOST_BYTES: Final = 1_000_000

PublicKeys: TypeAlias = Mapping[str | None, Any]
"""By key id; of type ``jwt.PyJWK``."""


class BadToken(Exception):  # noqa: N818 - it names the token
    """A token is not good; the message says why, and nothing that was in it."""


class KeySource(Protocol):
    """Where public keys come from."""

    async def find(self, kid: str | None) -> Any:
        """Return the key of an id, None if there is none; of no id, the only key if there is but one."""
        ...


def read_public_keys(text: bytes) -> PublicKeys:
    """Return the keys in a JWKS that are for signatures.

    Raises
    ------
    ValueError
        If it is none, or holds no such key.
    """
    from jwt import PyJWKSet, PyJWTError  # noqa: PLC0415 - an extra

    try:
        found = PyJWKSet.from_json(text.decode())
    except (PyJWTError, AttributeError, TypeError, KeyError) as error:
        raise ValueError(f"it is no set of public keys (JWKS): {error}") from error
    keys = {key.key_id: key for key in found.keys if key.public_key_use in (None, "sig")}
    if not keys:
        raise ValueError("it is a set of public keys (JWKS) without one for signatures")
    return keys


def _pick(keys: PublicKeys, kid: str | None) -> Any:
    if kid is None and len(keys) == 1:
        return next(iter(keys.values()))
    return keys.get(kid)


class KeysInFile:
    """Public keys in a file, which is read again when it changes."""

    def __init__(self, path: Path) -> None:
        self._file = Watched(path, read_public_keys)

    async def find(self, kid: str | None) -> Any:
        """Return the key of an id, None if there is none; of no id, the only key if there is but one."""
        return _pick(self._file.said(), kid)


class KeysAtAddress:
    """Public keys at an address, fetched when first needed, when an unknown one is named, and when they are old.

    Parameters
    ----------
    fetch : callable
        Gives the JWKS; runs in a thread.
    clock : callable
        Monotonic time [s].
    """

    def __init__(self, fetch: Callable[[], bytes], clock: Callable[[], float] = monotonic) -> None:
        self._fetch = fetch
        self._clock = clock
        self._keys: PublicKeys = {}
        self._next = clock()
        self._stale = clock()
        self._fetching: asyncio.Task[None] | None = None

    async def find(self, kid: str | None) -> Any:
        """Return the key of an id, None if there is none; of no id, the only key if there is but one."""
        key = _pick(self._keys, kid)
        now = self._clock()
        if self._fetching is None and now >= self._next and (key is None or now >= self._stale):
            self._next = now + _EVERY
            self._fetching = asyncio.create_task(self._renew())
        if key is None and self._fetching is not None:
            # Shielded, because others may wait for the same.
            await asyncio.shield(self._fetching)
            key = _pick(self._keys, kid)
        return key

    async def _renew(self) -> None:
        try:
            self._keys = read_public_keys(await asyncio.to_thread(self._fetch))
            self._stale = self._clock() + _STALE
        except (OSError, ValueError, http.client.HTTPException) as error:
            log.warning("the public keys (DRAWBAR_JWKS) cannot be fetched; those known still hold: %s", error)
        finally:
            self._fetching = None


def _fetcher(address: str) -> Callable[[], bytes]:
    def fetch() -> bytes:
        with urllib.request.urlopen(address, timeout=_FETCH_TIMEOUT) as answer:
            text: bytes = answer.read(_MOST_BYTES + 1)
        if len(text) > _MOST_BYTES:
            raise ValueError(f"more than {_MOST_BYTES} bytes")
        return text

    return fetch


class Tokens:
    """Checks tokens.

    Parameters
    ----------
    keys : KeySource
    issuer, audience : str
        Who must have issued a token, and for whom.
    algorithms : sequence of str
        Signatures that are admitted.

    Raises
    ------
    BadSettings
        If the library is missing.
    """

    def __init__(self, keys: KeySource, issuer: str, audience: str, algorithms: tuple[str, ...]) -> None:
        self._keys = keys
        self._issuer = issuer
        self._audience = audience
        self._algorithms = algorithms

    async def find(self, token: str) -> Caller:
        """Return whose token it is.

        Raises
        ------
        BadToken
            If it is not good.
        """
        import jwt  # noqa: PLC0415 - an extra

        try:
            header = jwt.get_unverified_header(token)
            if header.get("alg") not in self._algorithms:
                raise BadToken(f"it is not signed with {' or '.join(self._algorithms)}")
            key = await self._keys.find(header.get("kid"))
            if key is None:
                named = header.get("kid") is not None
                raise BadToken("its signing key is not known" if named else "it does not say which key signed it (kid)")
            claims: dict[str, Any] = jwt.decode(
                token,
                key,
                algorithms=self._algorithms,
                issuer=self._issuer,
                audience=self._audience,
                leeway=_LEEWAY,
                options={"require": ["exp", "iss", "aud", "sub"], "enforce_minimum_key_length": True},
            )
        except jwt.ExpiredSignatureError:
            raise BadToken("it has expired") from None
        except jwt.InvalidAudienceError:
            raise BadToken("it is for another audience") from None
        except jwt.InvalidIssuerError:
            raise BadToken("it is from another issuer") from None
        except jwt.MissingRequiredClaimError as error:
            raise BadToken(f"it lacks the claim {error.claim}") from None
        except jwt.PyJWTError:
            raise BadToken("it is no token, or its signature is wrong") from None
        return Caller(f"jwt:{claims['sub'][:200]}", _rights(claims.get("scope")), None)


def _rights(scope: object) -> frozenset[str]:
    """Return what a claim `scope` allows: words with spaces between (RFC 9068), or a list of them."""
    words = scope.split() if isinstance(scope, str) else cast("list[object]", scope) if isinstance(scope, list) else ()
    return frozenset(right for right in RIGHTS if right in words or f"drawbar:{right}" in words)


def tokens_of(settings: Settings) -> Tokens:
    """Return what checks tokens as the settings say.

    Raises
    ------
    BadSettings
        If they do not go together, or the file of public keys cannot be read.
    """
    try:
        import jwt.algorithms  # noqa: PLC0415 - an extra
    except ImportError as error:
        raise BadSettings("DRAWBAR_JWKS needs: pip install './service[access]'") from error
    if not jwt.algorithms.has_crypto:
        raise BadSettings("DRAWBAR_JWKS needs: pip install './service[access]'")
    if not settings.jwt_issuer or not settings.jwt_audience:
        raise BadSettings("DRAWBAR_JWKS needs DRAWBAR_JWT_ISSUER and DRAWBAR_JWT_AUDIENCE, or any token would do")
    algorithms = tuple(name.strip() for name in settings.jwt_algorithms.split(","))
    if not set(algorithms) <= set(ALGORITHMS):
        raise BadSettings(f"DRAWBAR_JWT_ALGORITHMS={settings.jwt_algorithms!r}: some of {', '.join(ALGORITHMS)}")
    if urlsplit(settings.jwks).scheme in ("http", "https"):
        source: KeySource = KeysAtAddress(_fetcher(settings.jwks))
    else:
        try:
            source = KeysInFile(Path(settings.jwks))
        except (OSError, ValueError) as error:
            raise BadSettings(f"DRAWBAR_JWKS={settings.jwks!r}: {error}") from error
    return Tokens(source, settings.jwt_issuer, settings.jwt_audience, algorithms)
