"""Sending for the client that is awaited.

For the other one, `_sync_transport` is made from this file by openapi/generate.py.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable

import httpx2

from drawbar._transport import Answer, Exchange, attempt_async, check
from drawbar._wire import Call, T


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
                reply = await attempt_async(self._http, call, limits, self._clock)
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
    check(address, http_client, transport)
    http = httpx2.AsyncClient(transport=transport) if http_client is None else http_client
    return AsyncTransport(http, owned=http_client is None)
