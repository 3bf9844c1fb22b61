"""Who may call: a key or a token in ``Authorization: Bearer``, what it may do, and how often."""

from pathlib import Path
from typing import Final

from litestar.types import ASGIApp, Receive, Scope, Send

from drawbar_service.api.v1.batch.request import PATH as BATCH_PATH
from drawbar_service.security.keys import PREFIX, Caller, Keys, Right, read_keys
from drawbar_service.security.rates import (
    Limits,
    LocalLimits,
    Rate,
    SharedLimits,
    headers_of,
    read_rate,
    retry_after,
)
from drawbar_service.security.refusal import Refused
from drawbar_service.security.room import GUARDED
from drawbar_service.security.tokens import BadToken, Tokens, tokens_of
from drawbar_service.security.watched import Watched
from drawbar_service.settings import BadSettings, Settings

_BATCHES: Final = BATCH_PATH.partition("{")[0]
_LONGEST: Final = 8192
"""Longest key or token that is looked at [bytes]."""
_REALM: Final = 'Bearer realm="drawbar"'


class Access:
    """Lets callers in who may.

    Parameters
    ----------
    keys : Watched of Keys, optional
    tokens : Tokens, optional
    rate : Rate, optional
        Of callers that have none of their own; None for no limit.
    limits : Limits
        Where rates are kept.
    """

    def __init__(self, keys: Watched[Keys] | None, tokens: Tokens | None, rate: Rate | None, limits: Limits) -> None:
        self._keys = keys
        self._tokens = tokens
        self._rate = rate
        self._limits = limits

    def middleware(self, app: ASGIApp) -> ASGIApp:
        """Wrap an application so that only callers who may reach it."""

        async def let_in(scope: Scope, receive: Receive, send: Send) -> None:
            # The route that was found, not the path that was asked for, which has many spellings.
            route = scope["path_template"]
            if route.startswith(GUARDED):
                caller = await self._caller(scope)
                scope["state"]["client"] = caller.id  # for the access log
                self._check_right(caller, "batch" if route.startswith(_BATCHES) else "single")
                await self._check_rate(caller, scope)
            await app(scope, receive, send)

        return let_in

    async def close(self) -> None:
        """Let go of connections."""
        await self._limits.close()

    async def _caller(self, scope: Scope) -> Caller:
        given = _bearer(scope)
        if given is None:
            raise Refused(
                401,
                "Send a key or token in the header Authorization, after the word Bearer",
                {"WWW-Authenticate": _REALM},
            )
        reason = "this key is not known"
        if len(given) > _LONGEST:
            reason = "it is too long for a key or token"
        elif given.startswith(PREFIX):
            caller = self._keys.said().find(given) if self._keys is not None else None
            if caller is not None:
                return caller
        elif self._tokens is not None:
            try:
                return await self._tokens.find(given)
            except BadToken as error:
                reason = f"this token is not good: {error}"
        raise Refused(401, f"Not let in: {reason}", {"WWW-Authenticate": f'{_REALM}, error="invalid_token"'})

    def _check_right(self, caller: Caller, needed: Right) -> None:
        if needed not in caller.rights:
            raise Refused(
                403,
                f"This key or token lacks the scope {needed}",
                {"WWW-Authenticate": f'{_REALM}, error="insufficient_scope", scope="{needed}"'},
            )

    async def _check_rate(self, caller: Caller, scope: Scope) -> None:
        rate = caller.rate or self._rate
        if rate is None:
            return
        standing = await self._limits.take(caller.id, rate)
        scope["state"]["headers"] = headers_of(rate, standing)
        if not standing.allowed:
            raise Refused(
                429,
                f"More than {rate.requests} requests in {rate.window} s; a batch of many rows is one request",
                {"Retry-After": retry_after(standing)},
            )


def _bearer(scope: Scope) -> str | None:
    for name, value in scope["headers"]:
        if name == b"authorization":
            scheme, _, rest = value.partition(b" ")
            return rest.strip().decode("latin-1") if scheme.lower() == b"bearer" else None
    return None


def access_of(settings: Settings) -> Access | None:
    """Return what the settings say of who may call; None if anybody may.

    Raises
    ------
    BadSettings
        If they do not go together, or a file they name cannot be read.
    """
    try:
        rate = read_rate(settings.rate) if settings.rate else None
    except ValueError as error:
        raise BadSettings(f"DRAWBAR_RATE={settings.rate!r}: {error}") from error
    if not settings.api_keys and not settings.jwks:
        if rate is not None or settings.redis_url:
            raise BadSettings("DRAWBAR_RATE and DRAWBAR_REDIS_URL are by caller: set DRAWBAR_API_KEYS or DRAWBAR_JWKS")
        return None
    try:
        keys = Watched(Path(settings.api_keys), read_keys) if settings.api_keys else None
    except (OSError, ValueError) as error:
        raise BadSettings(f"DRAWBAR_API_KEYS={settings.api_keys!r}: {error}") from error
    tokens = tokens_of(settings) if settings.jwks else None
    return Access(keys, tokens, rate, SharedLimits(settings.redis_url) if settings.redis_url else LocalLimits())
