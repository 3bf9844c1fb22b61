"""Who may call: a key or a token in ``Authorization: Bearer``, what it may do, and how much it may spend."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from drawbar_service.api.costs import in_words
from drawbar_service.api.v1.batch.request import PATH as BATCH_PATH
from drawbar_service.security.keys import PREFIX, Caller, Keys, Right, read_keys
from drawbar_service.security.rates import (
    Limits,
    LocalLimits,
    Rate,
    SharedLimits,
    Standing,
    headers_of,
    read_rate,
    retry_after,
)
from drawbar_service.security.refusal import Refused
from drawbar_service.security.tokens import BadToken, Tokens, tokens_of
from drawbar_service.security.turns import GUARDED, Turns, caller_of
from drawbar_service.security.watched import Watched
from drawbar_service.settings import BadSettings, Settings

if TYPE_CHECKING:
    from litestar.types import ASGIApp, Receive, Scope, Send

_BATCHES: Final = BATCH_PATH.partition("{")[0]
_LONGEST: Final = 8192
"""Longest key or token that is looked at [bytes]."""
_REALM: Final = 'Bearer realm="drawbar"'

_LONGEST_WAIT: Final = 60.0
"""That a batch is held up at a time, for units to spend [s]."""
METRICS: Final = "/metrics"
"""Where counts are shown beside the service, see ``observability``: to whoever may call."""
_LOOK: Final = 0.5
"""How often to see whether its caller still waits [s]."""


async def _nothing() -> None:
    """Do nothing, in a turn."""


class Access:
    """Lets callers in who may.

    Parameters
    ----------
    keys : Watched of Keys, optional
    tokens : Tokens, optional
    rate, quota : Rate, optional
        Of callers that have none of their own; None for no limit. One bounds bursts, the other what is spent in all.
    limits : Limits
        Where rates are kept.
    """

    def __init__(
        self,
        keys: Watched[Keys] | None,
        tokens: Tokens | None,
        rate: Rate | None,
        quota: Rate | None,
        limits: Limits,
    ) -> None:
        self._keys = keys
        self._tokens = tokens
        self._rate = rate
        self._quota = quota
        self._limits = limits

    def middleware(self, turns: Turns) -> Callable[[ASGIApp], ASGIApp]:
        """Return what wraps an application so that only callers who may reach it.

        Parameters
        ----------
        turns : Turns
            Whoever is refused takes one first: a flood of wrong keys keeps nobody waiting who has a right one.
        """

        def wrap(app: ASGIApp) -> ASGIApp:
            async def let_in(scope: Scope, receive: Receive, send: Send) -> None:
                # The route that was found, not the path that was asked for, which has many spellings.
                route = scope["path_template"]
                if route.startswith(GUARDED) or route == METRICS:
                    try:
                        await self._let_in(scope, route)
                    except Refused:
                        await turns.hold(caller_of(scope), _nothing)
                        raise
                await app(scope, receive, send)

            return let_in

        return wrap

    async def _let_in(self, scope: Scope, route: str) -> None:
        caller = await self._caller(scope)
        scope["state"]["client"] = caller.id  # for the access log, and for turns
        if route.startswith(GUARDED):
            self._check_right(caller, "batch" if route.startswith(_BATCHES) else "single")
            await self._meter(caller, scope)

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

    async def _meter(self, caller: Caller, scope: Scope) -> None:
        """Take one unit, and leave in the scope what takes the rest once the cost of the request is known."""
        rates = {"rate": caller.rate or self._rate, "quota": caller.quota or self._quota}
        buckets = {name: rate for name, rate in rates.items() if rate is not None}
        if not buckets:
            return
        await self._spend(caller, buckets, scope, 1)

        async def rest(units: int) -> None:
            if units > 1:
                await self._spend(caller, buckets, scope, units - 1)

        scope["state"]["spend"] = rest
        scope["state"]["spend_slowly"] = partial(self._spend_slowly, caller, buckets, scope)

    async def _spend(self, caller: Caller, buckets: Mapping[str, Rate], scope: Scope, units: int) -> None:
        """Take `units` from every bucket.

        Raises
        ------
        Refused
            With status 429, if there are not so many in one.
        """
        stands: dict[str, tuple[Rate, Standing]] = {}
        for name, rate in buckets.items():
            standing = await self._limits.take(f"{name}:{caller.id}", rate, units)
            stands[name] = rate, standing
            scope["state"]["headers"] = headers_of(stands)
            if not standing.allowed:
                many = f"{units} cost units" if units > 1 else "1 cost unit"
                needs = f"{many}, and {standing.left} of {rate.units} in {in_words(rate.window)} are left"
                if units > rate.units:
                    raise Refused(429, f"This needs {needs}: more than your {name} ever holds; ask for less", {})
                wait = retry_after(standing)
                raise Refused(429, f"This needs {needs}; retry in {wait} s", {"Retry-After": wait})

    async def _spend_slowly(
        self, caller: Caller, buckets: Mapping[str, Rate], scope: Scope, units: int, over: Callable[[], bool]
    ) -> None:
        """Take `units` as they come into the buckets, so that a batch is slowed down and not broken off.

        Raises
        ------
        Refused
            With status 429, if they come too slowly to wait for.
        """
        for name, rate in buckets.items():
            left = units
            while left and not over():
                part = min(left, max(1, rate.units // 10))
                standing = await self._limits.take(f"{name}:{caller.id}", rate, part)
                scope["state"]["headers"] = headers_of({name: (rate, standing)})
                if standing.allowed:
                    left -= part
                elif standing.wait > _LONGEST_WAIT:
                    wait = retry_after(standing)
                    raise Refused(429, f"Your {name} is spent for now; retry in {wait} s", {"Retry-After": wait})
                else:
                    await asyncio.sleep(min(standing.wait, _LOOK))


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
    rate, quota = _rate("DRAWBAR_RATE", settings.rate), _rate("DRAWBAR_QUOTA", settings.quota)
    if not settings.api_keys and not settings.jwks:
        if rate is not None or quota is not None or settings.redis_url:
            raise BadSettings(
                "DRAWBAR_RATE, DRAWBAR_QUOTA and DRAWBAR_REDIS_URL are by caller: set DRAWBAR_API_KEYS or DRAWBAR_JWKS"
            )
        return None
    try:
        keys = Watched(Path(settings.api_keys), read_keys) if settings.api_keys else None
    except (OSError, ValueError) as error:
        raise BadSettings(f"DRAWBAR_API_KEYS={settings.api_keys!r}: {error}") from error
    tokens = tokens_of(settings) if settings.jwks else None
    limits = SharedLimits(settings.redis_url) if settings.redis_url else LocalLimits()
    return Access(keys, tokens, rate, quota, limits)


def _rate(variable: str, text: str) -> Rate | None:
    try:
        return read_rate(text) if text else None
    except ValueError as error:
        raise BadSettings(f"{variable}={text!r}: {error}") from error
