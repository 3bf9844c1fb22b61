"""Settings of a client: where, as whom, how patiently, in which units."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import random as _random
from typing import Final, Literal, TypeAlias
from urllib.parse import urlsplit

from drawbar.errors import BadSetting

Units: TypeAlias = Literal["metric", "us"]

Token: TypeAlias = str | Callable[[], str]
"""A bearer token, or a function that gives one: called before each call, so it should keep what still holds."""

DEFAULT_URL: Final = "http://127.0.0.1:8000"


@dataclass(frozen=True, slots=True)
class Timeout:
    """How long one attempt may take. There is no way to wait for ever.

    The async client keeps to `total` exactly. The sync client hands each step (connect, send, wait, read) only what
    is left of it and looks at the clock after each piece of the body; a server that sends its response headers
    byte by byte can still draw an attempt out.

    Parameters
    ----------
    connect
        Time to open a connection [s]; never more than `total`.
    total
        Time for the whole attempt, connecting included [s].
    """

    connect: float = 5.0
    total: float = 30.0

    def __post_init__(self) -> None:
        _require("timeout.connect", self.connect, above=0.0)
        _require("timeout.total", self.total, above=0.0)

    def within(self, remaining: float) -> Timeout:
        """Shorten to a remaining time.

        Parameters
        ----------
        remaining
            Greatest time left, above 0 [s].
        """
        total = min(self.total, remaining)
        return Timeout(min(self.connect, total), total)


@dataclass(frozen=True, slots=True)
class RetryPolicy:
    """When and how patiently a failed attempt is repeated.

    Every calculation of the service is pure: it stores nothing and changes nothing. A POST is therefore as safe to
    repeat as a GET, needs no idempotency key, and is retried like any other call.

    Retried are failed or broken connections, timeouts, JSON answers cut off in the middle, and the `statuses`.
    The pause before the n-th retry is `backoff * 2**(n-1)`, at most `backoff_cap`, less a random share of up to
    `jitter` so that many clients do not come back together. If the service names a time in Retry-After (seconds or
    an HTTP date) the pause is never shorter than that; if it names more than `retry_after_cap`, or the pause would
    overrun `budget`, the error is raised at once instead.

    Parameters
    ----------
    attempts
        Greatest number of attempts, the first included; 1 switches retries off.
    backoff
        Pause before the first retry [s].
    backoff_cap
        Longest pause chosen by the client [s].
    jitter
        Greatest share of a pause taken off at random, 0 to 1.
    random
        Source of numbers from 0 up to 1; pass `random.Random(seed).random` for pauses that repeat.
    retry_after_cap
        Longest Retry-After that is obeyed [s].
    budget
        Time for the whole call, all attempts and pauses included [s].
    statuses
        HTTP statuses worth another attempt.
    """

    attempts: int = 3
    backoff: float = 0.5
    backoff_cap: float = 8.0
    jitter: float = 0.25
    random: Callable[[], float] = field(default=_random, repr=False)
    retry_after_cap: float = 120.0
    budget: float = 180.0
    statuses: frozenset[int] = frozenset({408, 429, 500, 502, 503, 504})

    def __post_init__(self) -> None:
        if self.attempts < 1:
            raise BadSetting(f"retry.attempts is {self.attempts}; it counts the first attempt, so give 1 or more.")
        _require("retry.backoff", self.backoff)
        _require("retry.backoff_cap", self.backoff_cap)
        _require("retry.jitter", self.jitter, most=1.0)
        _require("retry.retry_after_cap", self.retry_after_cap)
        _require("retry.budget", self.budget, above=0.0)

    def pause(self, failures: int, retry_after: float | None = None) -> float | None:
        """Say how long to wait before the next attempt [s], or None if there should be none.

        Parameters
        ----------
        failures
            Attempts that have failed so far, 1 or more.
        retry_after
            What the service asked for [s], if it did.
        """
        if failures >= self.attempts:
            return None
        # The exponent is bounded because a float overflows past 2**1023.
        longest = min(self.backoff * 2.0 ** min(failures - 1, 100), self.backoff_cap)
        pause = longest * (1.0 - self.jitter * self.random())
        if retry_after is None:
            return pause
        return None if retry_after > self.retry_after_cap else max(pause, retry_after)


@dataclass(frozen=True, slots=True)
class ResponseInfo:
    """What came with an answer, for `on_response`.

    Parameters
    ----------
    status
        HTTP status.
    request_id
        The service's id for the request, if it gave one.
    attempts
        How often it was tried.
    elapsed
        Time since the call began, pauses included [s].
    headers
        Response headers, names in lower case.
    """

    status: int
    request_id: str | None
    attempts: int
    elapsed: float
    headers: Mapping[str, str] = field(repr=False)


@dataclass(frozen=True, slots=True)
class Options:
    """All settings of one client; `settled` makes them from what the caller and the environment give."""

    address: str
    token: Token | None = field(repr=False)
    timeout: Timeout
    retry: RetryPolicy
    units: Units | None
    on_response: Callable[[ResponseInfo], None] | None

    @classmethod
    def settled(
        cls,
        base_url: str | None = None,
        *,
        api_key: str | None = None,
        token: Token | None = None,
        timeout: float | Timeout | None = None,
        retry: RetryPolicy | None = None,
        units: Units | None = None,
        on_response: Callable[[ResponseInfo], None] | None = None,
    ) -> Options:
        """Fill in what the caller left out.

        Parameters
        ----------
        base_url
            Address of the service; else DRAWBAR_URL, else `DEFAULT_URL`.
        api_key, token
            Who calls: an API key, else DRAWBAR_API_KEY; or a bearer token, or what gives one, else DRAWBAR_TOKEN.
        timeout
            Limits of one attempt; a bare number is the total [s].
        retry
            When to repeat a failed attempt.
        units
            Units of the answers; None leaves the choice to the service.
        on_response
            Told about each answer.

        Raises
        ------
        BadSetting
            If the address, the key or the token cannot be used, or both of the latter are given.
        """
        return cls(
            address=_address(base_url or os.environ.get("DRAWBAR_URL") or DEFAULT_URL),
            token=_who(api_key, token),
            timeout=as_timeout(timeout) if timeout is not None else Timeout(),
            retry=retry or RetryPolicy(),
            units=units,
            on_response=on_response,
        )


def as_timeout(timeout: float | Timeout) -> Timeout:
    """Read a bare number as the total.

    Parameters
    ----------
    timeout
        Limits of one attempt; a bare number is the total [s].
    """
    return timeout if isinstance(timeout, Timeout) else Timeout(total=timeout)


def _require(name: str, value: float, *, above: float | None = None, most: float = math.inf) -> None:
    """Refuse a number that is not finite, negative, at or below `above`, or over `most`."""
    if math.isfinite(value) and value >= 0.0 and value <= most and (above is None or value > above):
        return
    floor = "of at least 0" if above is None else f"above {above:g}"
    ceiling = "" if math.isinf(most) else f" and at most {most:g}"
    raise BadSetting(f"{name} is {value}; give a finite number {floor}{ceiling}.")


def _address(text: str) -> str:
    # No message repeats the text: an address with a password in it must not reach a log.
    hint = "The service's address (base_url or DRAWBAR_URL)"
    try:
        parts = urlsplit(text)
        usable = parts.scheme in ("http", "https") and bool(parts.hostname) and (parts.port is None or parts.port > 0)
    except ValueError:
        usable = False
        parts = urlsplit("")
    if not usable or not text.isascii() or not text.isprintable() or " " in text:
        raise BadSetting(f"{hint} must look like https://host or http://host:8000/path.")
    if parts.username is not None or parts.password is not None:
        raise BadSetting(f"{hint} must not hold a user or password. Pass api_key= or token=.")
    if parts.query or parts.fragment:
        raise BadSetting(f"{hint} must end with its path: no '?' and no '#'.")
    return text.rstrip("/")


def _who(api_key: str | None, token: Token | None) -> Token | None:
    if not api_key and not token:
        api_key, token = os.environ.get("DRAWBAR_API_KEY"), os.environ.get("DRAWBAR_TOKEN")
    if api_key and token:
        raise BadSetting("Give an API key (api_key or DRAWBAR_API_KEY) or a token (token or DRAWBAR_TOKEN), not both.")
    given = api_key or token or None
    return checked(given) if isinstance(given, str) else given


def checked(credential: str) -> str:
    """Refuse what cannot stand in a header, without repeating it.

    Parameters
    ----------
    credential
        A key or a token.

    Raises
    ------
    BadSetting
        If it cannot.
    """
    if not (credential and credential.isascii() and credential.isprintable() and " " not in credential):
        raise BadSetting(
            "The API key or token (api_key or DRAWBAR_API_KEY, token or DRAWBAR_TOKEN) must be plain ASCII without "
            "spaces or line breaks."
        )
    return credential
