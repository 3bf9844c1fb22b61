"""Made from _async_transport.py by openapi/generate.py; edit it there."""

from __future__ import annotations

import time
from collections.abc import Callable

import httpx2

from drawbar._transport import Answer, Exchange, attempt, check
from drawbar._wire import Call, T


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
                reply = attempt(self._http, call, limits, self._clock)
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
    check(address, http_client, transport)
    http = httpx2.Client(transport=transport) if http_client is None else http_client
    return SyncTransport(http, owned=http_client is None)
