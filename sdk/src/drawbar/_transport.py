"""Sending: one attempt after another until there is a result or an error worth raising.

What to do after each attempt is decided in `Exchange`, which neither sends nor sleeps. `SyncTransport` and
`AsyncTransport` differ only in how they send and sleep: a change to one belongs in the other too.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Awaitable, Callable
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


class SyncTransport:
    """Sends calls from any number of threads.

    Parameters
    ----------
    http
        What sends the requests.
    owned
        Whether `close` closes it.
    sleep
        Waits for a time [s].
    clock
        Monotonic time [s].
    """

    def __init__(
        self,
        http: httpx2.Client,
        *,
        owned: bool = True,
        sleep: Callable[[float], object] = time.sleep,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._http = http
        self._owned = owned
        self._sleep = sleep
        self._clock = clock

    def send(self, call: Call[T]) -> T:
        """See a call through.

        Parameters
        ----------
        call
            What to send and how patiently.

        Raises
        ------
        DrawbarError
            If no attempt led to a result; the subclass tells why.
        """
        exchange = Exchange(call, self._clock)
        while True:
            limits = exchange.begin()
            try:
                reply = self._attempt(call, limits)
            except (httpx2.RequestError, TimeoutError) as fault:
                pause = exchange.after_fault(fault)
            else:
                outcome = exchange.after_reply(reply)
                if isinstance(outcome, Answer):
                    return outcome.value
                pause = outcome
            self._sleep(pause)

    def close(self) -> None:
        """Close the connections, unless the HTTP client was the caller's own."""
        if self._owned:
            self._http.close()

    def _attempt(self, call: Call[Any], limits: Timeout) -> Reply:
        if self._http.is_closed:
            raise DrawbarError(_CLOSED)
        deadline = self._clock() + limits.total
        request = _request(self._http, call, limits)
        timeouts = request.extensions["timeout"]

        def shorten(event: str, _: object) -> None:
            # Called before each step; httpx2 itself would allow each of them the whole time anew.
            if event.endswith(".started"):
                remaining = max(deadline - self._clock(), _LEAST_WAIT)
                timeouts.update(read=remaining, write=remaining)

        request.extensions = {**request.extensions, "trace": shorten}
        response = self._http.send(request, stream=True, follow_redirects=False)
        try:
            pieces: list[bytes] = []
            for piece in response.iter_bytes():
                pieces.append(piece)
                if self._clock() > deadline:
                    raise _too_late(limits)
        finally:
            response.close()
        return Reply(response.status_code, dict(response.headers), b"".join(pieces))


class AsyncTransport:
    """Sends calls from any number of tasks of one event loop.

    Parameters
    ----------
    http
        What sends the requests.
    owned
        Whether `close` closes it.
    sleep
        Waits for a time [s].
    clock
        Monotonic time [s].
    """

    def __init__(
        self,
        http: httpx2.AsyncClient,
        *,
        owned: bool = True,
        sleep: Callable[[float], Awaitable[object]] = asyncio.sleep,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._http = http
        self._owned = owned
        self._sleep = sleep
        self._clock = clock

    async def send(self, call: Call[T]) -> T:
        """See a call through.

        Parameters
        ----------
        call
            What to send and how patiently.

        Raises
        ------
        DrawbarError
            If no attempt led to a result; the subclass tells why.
        """
        exchange = Exchange(call, self._clock)
        while True:
            limits = exchange.begin()
            try:
                reply = await self._attempt(call, limits)
            except (httpx2.RequestError, TimeoutError) as fault:
                pause = exchange.after_fault(fault)
            else:
                outcome = exchange.after_reply(reply)
                if isinstance(outcome, Answer):
                    return outcome.value
                pause = outcome
            await self._sleep(pause)

    async def close(self) -> None:
        """Close the connections, unless the HTTP client was the caller's own."""
        if self._owned:
            await self._http.aclose()

    async def _attempt(self, call: Call[Any], limits: Timeout) -> Reply:
        if self._http.is_closed:
            raise DrawbarError(_CLOSED)
        request = _request(self._http, call, limits)
        try:
            async with asyncio.timeout(limits.total):
                response = await self._http.send(request, stream=True, follow_redirects=False)
                try:
                    content = await response.aread()
                finally:
                    await response.aclose()
        except TimeoutError as fault:
            raise _too_late(limits) from fault
        return Reply(response.status_code, dict(response.headers), content)


def sync_transport(
    address: str, http_client: httpx2.Client | None, transport: httpx2.BaseTransport | None
) -> SyncTransport:
    """Make a transport on the caller's HTTP client, or on one of our own.

    Parameters
    ----------
    address
        The service's address, checked here once more by the HTTP library's stricter rules.
    http_client
        The caller's HTTP client, which stays the caller's to close.
    transport
        What our own HTTP client is to send through; None for the network.

    Raises
    ------
    BadSetting
        If both are given, or the address cannot be used.
    """
    _check(address, http_client, transport)
    http = httpx2.Client(transport=transport) if http_client is None else http_client
    return SyncTransport(http, owned=http_client is None)


def async_transport(
    address: str, http_client: httpx2.AsyncClient | None, transport: httpx2.AsyncBaseTransport | None
) -> AsyncTransport:
    """Make a transport on the caller's HTTP client, or on one of our own.

    Parameters
    ----------
    address
        The service's address, checked here once more by the HTTP library's stricter rules.
    http_client
        The caller's HTTP client, which stays the caller's to close.
    transport
        What our own HTTP client is to send through; None for the network.

    Raises
    ------
    BadSetting
        If both are given, or the address cannot be used.
    """
    _check(address, http_client, transport)
    http = httpx2.AsyncClient(transport=transport) if http_client is None else http_client
    return AsyncTransport(http, owned=http_client is None)


def _check(address: str, http_client: object, transport: object) -> None:
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
