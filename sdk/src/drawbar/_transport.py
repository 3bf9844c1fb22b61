"""Sending: one attempt after another until there is a result or an error worth raising.

What to do after each attempt is decided in `Exchange`, which neither sends nor sleeps. One attempt is the only thing
that is written twice: what is awaited can be given a time limit from outside, what is not has to keep it itself.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, Generic

import httpx2

from drawbar._options import ResponseInfo, Timeout
from drawbar._wire import Call, Reply, T, is_cut_off, read, retry_after
from drawbar.errors import ApiError, BadSetting, ConnectionFailed, DrawbarError, TimedOut, UnreadableAnswer

_log: Final = logging.getLogger("drawbar")

# A socket timeout of 0 means "do not wait at all" instead of "too late".
_LEAST_WAIT: Final = 0.001

_CLOSED: Final = "This client is closed. Make a new one, or call it before close() or the end of its with block."


@dataclass(frozen=True, slots=True)
class Answer(Generic[T]):
    """The result that ends an exchange."""

    value: T


class Exchange(Generic[T]):
    """What has happened so far in one call, and what follows from it.

    Parameters
    ----------
    call
        The call to see through.
    clock
        Monotonic time [s].
    """

    def __init__(self, call: Call[T], clock: Callable[[], float]) -> None:
        self._call = call
        self._clock = clock
        self._attempts = 0
        self._begun = clock()

    def begin(self) -> Timeout:
        """Start an attempt and give its time limits."""
        self._attempts += 1
        return self._call.options.timeout.within(max(self._remaining(), _LEAST_WAIT))

    def after_fault(self, fault: Exception) -> float:
        """Give the pause before the next attempt [s].

        Parameters
        ----------
        fault
            Why no whole response came.

        Raises
        ------
        ConnectionFailed
            If there is to be no other attempt.
        """
        reason = _one_sentence(fault)
        self._log("%s", reason)
        # These two mean that the request itself cannot be sent.
        if not isinstance(fault, httpx2.LocalProtocolError | httpx2.UnsupportedProtocol):
            pause = self._pause(None)
            if pause is not None:
                return pause
        kind = TimedOut if isinstance(fault, TimeoutError | httpx2.TimeoutException) else ConnectionFailed
        raise kind(self._call.options.address, reason, self._attempts) from fault

    def after_reply(self, reply: Reply) -> Answer[T] | float:
        """Give the result, or the pause before the next attempt [s].

        Parameters
        ----------
        reply
            The response, read to its end.

        Raises
        ------
        ApiError
            If the response is not a success and there is to be no other attempt.
        UnreadableAnswer
            If it is one, but its body is not the promised result.
        """
        asked = retry_after(reply.headers, time.time())
        self._log("%d, %d bytes, request id %s", reply.status, len(reply.content), reply.request_id)
        try:
            answer = Answer(read(self._call.operation, reply, attempts=self._attempts, retry_after=asked))
        except (ApiError, UnreadableAnswer) as fault:
            pause = self._pause(asked) if self._is_passing(fault, reply) else None
            if pause is not None:
                return pause
            self._report(reply)
            raise
        self._report(reply)
        return answer

    def _is_passing(self, fault: ApiError | UnreadableAnswer, reply: Reply) -> bool:
        if isinstance(fault, UnreadableAnswer):
            return is_cut_off(fault, reply)
        return fault.status in self._call.options.retry.statuses

    def _pause(self, asked: float | None) -> float | None:
        pause = self._call.options.retry.pause(self._attempts, asked)
        if pause is None or pause >= self._remaining():
            return None
        self._log("next attempt in %.2f s", pause)
        return pause

    def _remaining(self) -> float:
        return self._begun + self._call.options.retry.budget - self._clock()

    def _report(self, reply: Reply) -> None:
        if self._call.options.on_response is None:
            return
        elapsed = self._clock() - self._begun
        info = ResponseInfo(reply.status, reply.request_id, self._attempts, elapsed, reply.headers)
        self._call.options.on_response(info)

    def _log(self, what: str, *values: object) -> None:
        call, retry = self._call, self._call.options.retry
        place = (call.operation.method, call.path, self._attempts, retry.attempts, self._clock() - self._begun)
        _log.debug("%s %s, attempt %d of %d at %.3f s: " + what, *place, *values)


def attempt(http: httpx2.Client, call: Call[Any], limits: Timeout, clock: Callable[[], float]) -> Reply:
    """Send a call once, and read the answer to its end.

    Parameters
    ----------
    http
        What sends it.
    call
        The call.
    limits
        How long it may take.
    clock
        Monotonic time [s].

    Raises
    ------
    TimeoutError, httpx2.RequestError
        If no whole answer came.
    DrawbarError
        If `http` is closed.
    """
    if http.is_closed:
        raise DrawbarError(_CLOSED)
    deadline = clock() + limits.total
    request = _request(http, call, limits)
    timeouts = request.extensions["timeout"]

    def shorten(event: str, _: object) -> None:
        # Called before each step; httpx2 itself would allow each of them the whole time anew.
        if event.endswith(".started"):
            remaining = max(deadline - clock(), _LEAST_WAIT)
            timeouts.update(read=remaining, write=remaining)

    request.extensions = {**request.extensions, "trace": shorten}
    response = http.send(request, stream=True, follow_redirects=False)
    try:
        pieces: list[bytes] = []
        for piece in response.iter_bytes():
            pieces.append(piece)
            if clock() > deadline:
                raise _too_late(limits)
    finally:
        response.close()
    return Reply(response.status_code, dict(response.headers), b"".join(pieces))


async def attempt_async(
    http: httpx2.AsyncClient, call: Call[Any], limits: Timeout, clock: Callable[[], float]
) -> Reply:
    """Send a call once, and read the answer to its end.

    Parameters
    ----------
    http
        What sends it.
    call
        The call.
    limits
        How long it may take.
    clock
        Not used: the event loop keeps the time.

    Raises
    ------
    TimeoutError, httpx2.RequestError
        If no whole answer came.
    DrawbarError
        If `http` is closed.
    """
    if http.is_closed:
        raise DrawbarError(_CLOSED)
    request = _request(http, call, limits)
    try:
        async with asyncio.timeout(limits.total):
            response = await http.send(request, stream=True, follow_redirects=False)
            try:
                content = await response.aread()
            finally:
                await response.aclose()
    except TimeoutError as fault:
        raise _too_late(limits) from fault
    return Reply(response.status_code, dict(response.headers), content)


def check(address: str, http_client: object, transport: object) -> None:
    """Check what a client is to send with.

    Parameters
    ----------
    address
        The service's address.
    http_client
        The caller's HTTP client, if there is one.
    transport
        What our own HTTP client is to send through, if that is said.

    Raises
    ------
    BadSetting
        If both are given, or the address cannot be used.
    """
    if http_client is not None and transport is not None:
        raise BadSetting("Give http_client or transport, not both: an HTTP client already has its transport.")
    try:
        httpx2.URL(address)
    except httpx2.InvalidURL as fault:
        raise BadSetting(f"The service's address (base_url or DRAWBAR_URL) cannot be used: {fault}.") from fault


def _request(http: httpx2.Client | httpx2.AsyncClient, call: Call[Any], limits: Timeout) -> httpx2.Request:
    timeout: dict[str, Any] = httpx2.Timeout(limits.total, connect=limits.connect).as_dict()
    return http.build_request(
        call.operation.method,
        call.url,
        headers=call.headers,
        content=call.content,
        extensions={"timeout": timeout},
    )


def _too_late(limits: Timeout) -> TimeoutError:
    return TimeoutError(f"not done within {limits.total:g} s")


def _one_sentence(fault: Exception) -> str:
    return str(fault).rstrip(".") or type(fault).__name__
