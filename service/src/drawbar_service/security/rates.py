"""How much a caller may ask for: a bucket of cost units for each, filled evenly.

A rate of 600/min is a bucket of 600 units that gains one every tenth of a second: all may be spent at once, and then
no more than ten a second. A unit is what a draft costs, ``api/costs.py`` says what the others do. The bucket is kept as
the one moment at which it will be full again (the generic cell rate algorithm), which one atomic step can read and
write.
"""

import asyncio
import logging
import re
from collections.abc import Callable, Mapping
from time import monotonic
from typing import Any, Final, NamedTuple, Protocol

from drawbar_service.settings import BadSettings

log = logging.getLogger("drawbar_service")

_RATE: Final = re.compile(r"([1-9][0-9]{0,8})/(s|min|h|d)")
_WINDOWS: Final = {"s": 1, "min": 60, "h": 3600, "d": 86_400}
_MOST_CALLERS: Final = 100_000
"""Buckets kept in one process; beyond it those not used for longest are forgotten, which makes them full."""
_REST: Final = 1.0
"""How long a store that failed is left alone [s]."""
_TIMEOUT: Final = 0.5
"""Longest wait for the store [s]."""
_CONNECTIONS: Final = 16


class Rate(NamedTuple):
    """Cost units in a time."""

    units: int
    window: int
    """[s]"""


class Standing(NamedTuple):
    """How a caller stands after asking."""

    allowed: bool
    left: int
    """Units that may be spent now."""
    wait: float
    """Until what was asked for may be spent, 0 if it may be [s]."""
    full: float
    """Until as many as the rate says may be spent at once [s]."""


class Limits(Protocol):
    """Keeps the buckets."""

    async def take(self, bucket: str, rate: Rate, units: int = 1) -> Standing:
        """Take units from a bucket, if there are so many in it."""
        ...

    async def close(self) -> None:
        """Let go of connections."""
        ...


def read_rate(text: str) -> Rate:
    """Return the rate in a text such as ``600/min``.

    Raises
    ------
    ValueError
        If it is none.
    """
    found = _RATE.fullmatch(text)
    if found is None:
        raise ValueError(f"{text[:40]!r} is no rate; write a whole number and s, min, h or d, such as 600/min")
    return Rate(int(found[1]), _WINDOWS[found[2]])


def headers_of(buckets: Mapping[str, tuple[Rate, Standing]]) -> list[tuple[bytes, bytes]]:
    """Return the headers that tell a caller how its buckets stand, by name.

    After the IETF draft draft-ietf-httpapi-ratelimit-headers, from memory of its later versions: `q` units in `w`
    seconds; `r` are left, and in `t` seconds it will be `q` again.
    """
    policies = [f'"{name}";q={rate.units};w={rate.window}' for name, (rate, _) in buckets.items()]
    standings = [f'"{name}";r={one.left};t={_up(one.full)}' for name, (_, one) in buckets.items()]
    return [(b"ratelimit-policy", ", ".join(policies).encode()), (b"ratelimit", ", ".join(standings).encode())]


def retry_after(standing: Standing) -> str:
    """Return the header Retry-After [s], rounded up."""
    return str(max(1, _up(standing.wait)))


def _up(seconds: float) -> int:
    return -int(-seconds // 1)


class LocalLimits:
    """Buckets of this process.

    Parameters
    ----------
    clock : callable
        Monotonic time [s].
    """

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._full_at: dict[str, float] = {}

    async def take(self, bucket: str, rate: Rate, units: int = 1) -> Standing:
        """Take units from a bucket, if there are so many in it."""
        now = self._clock()
        each = rate.window / rate.units
        full_at = max(self._full_at.pop(bucket, now), now)
        after = full_at + units * each - now
        if after > rate.window + each * 1e-6:
            self._full_at[bucket] = full_at
            left = int((rate.window - (full_at - now)) / each + 1e-6)
            return Standing(False, left, after - rate.window, full_at - now)
        # Popped and put back, so that the first in the dictionary is the one not used for longest.
        self._full_at[bucket] = full_at + units * each
        if len(self._full_at) > _MOST_CALLERS:
            del self._full_at[next(iter(self._full_at))]
        return Standing(True, int((rate.window - after) / each + 1e-6), 0.0, after)

    async def close(self) -> None:
        """Do nothing; there are no connections."""


# The store's own clock, so that replicas need not agree on the time. Microseconds since 1970 fit a float exactly.
_TAKE: Final = """
local now = redis.call('TIME')
now = now[1] * 1000000 + now[2]
local window = tonumber(ARGV[1]) * 1000000
local each = window / tonumber(ARGV[2])
local spent = each * tonumber(ARGV[3])
local full_at = math.max(tonumber(redis.call('GET', KEYS[1]) or now), now)
local after = full_at + spent - now
if after > window + 1 then
    local left = math.floor((window - full_at + now) / each + 0.000001)
    return {0, left, math.ceil(after - window), math.ceil(full_at - now)}
end
redis.call('SET', KEYS[1], string.format('%.0f', full_at + spent), 'PX', math.ceil(after / 1000) + 1)
return {1, math.floor((window - after) / each + 0.000001), 0, math.ceil(after)}
"""


class SharedLimits:
    """Buckets in a Redis or Valkey that all replicas share, else of this process while it cannot be reached.

    Parameters
    ----------
    url : str
        Address of the store, such as ``redis://host:6379/0``.
    clock : callable
        Monotonic time [s].

    Raises
    ------
    BadSettings
        If its library is missing or the address is none.
    """

    def __init__(self, url: str, clock: Callable[[], float] = monotonic) -> None:
        try:
            import redis.asyncio as redis  # noqa: PLC0415 - an extra
            from redis.asyncio.retry import Retry  # noqa: PLC0415
            from redis.backoff import NoBackoff  # noqa: PLC0415
            from redis.exceptions import RedisError  # noqa: PLC0415
        except ImportError as error:
            raise BadSettings("DRAWBAR_REDIS_URL needs: pip install './service[access]'") from error
        self._clock = clock
        self._local = LocalLimits(clock)
        self._failures = (RedisError, OSError, TimeoutError)
        self._rest_until: float | None = None
        try:
            pool: Any = redis.BlockingConnectionPool.from_url(  # pyright: ignore[reportUnknownMemberType]
                url,
                max_connections=_CONNECTIONS,
                timeout=_TIMEOUT,
                socket_timeout=_TIMEOUT,
                socket_connect_timeout=_TIMEOUT,
                retry=Retry(NoBackoff(), 0),
            )
        except ValueError:
            # Not repeated: a password may be in it.
            raise BadSettings("DRAWBAR_REDIS_URL must look like redis://host:6379/0") from None
        self._store: Any = redis.Redis.from_pool(pool)
        self._take: Any = self._store.register_script(_TAKE)

    async def take(self, bucket: str, rate: Rate, units: int = 1) -> Standing:
        """Take units from a bucket, if there are so many in it."""
        if self._rest_until is not None and self._clock() < self._rest_until:
            return await self._local.take(bucket, rate, units)
        name = f"drawbar:rate:{bucket}"
        try:
            async with asyncio.timeout(2 * _TIMEOUT):
                allowed, left, wait, full = await self._take(keys=[name], args=[rate.window, rate.units, units])
        except self._failures as error:
            if self._rest_until is None:
                log.warning(
                    "the store of rate limits cannot be reached (%s); each replica counts alone until it returns",
                    type(error).__name__,
                )
            self._rest_until = self._clock() + _REST
            return await self._local.take(bucket, rate, units)
        if self._rest_until is not None:
            self._rest_until = None
            log.warning("the store of rate limits is back")
        return Standing(bool(allowed), left, wait / 1e6, full / 1e6)

    async def close(self) -> None:
        """Let go of connections."""
        await self._store.aclose()
        await self._store.connection_pool.aclose()
