"""The two clients: the same methods, to be called or to be awaited."""

from __future__ import annotations

from types import NoneType
from typing import Any, Final

from drawbar._client_core import AsyncCore, SyncCore
from drawbar._options import RetryPolicy
from drawbar._wire import Operation
from drawbar.errors import Busy

_VERSION: Final = Operation("GET", "/version", dict[str, Any], takes_units=False)
_READY: Final = Operation("GET", "/readyz", NoneType, takes_units=False)
_ONCE: Final = RetryPolicy(attempts=1)


class Client(SyncCore):
    """A client that waits for each answer. Safe to share between threads.

    Parameters
    ----------
    base_url
        Address of the service; else the environment variable DRAWBAR_URL, else http://127.0.0.1:8000.
    token
        Bearer token; else the environment variable DRAWBAR_TOKEN, else none.
    timeout
        Limits of one attempt: 5 s to connect and 30 s in all unless said otherwise. A bare number is the total [s].
    retry
        When to repeat a failed attempt. Calculations are pure, so repeating one is always safe.
    units
        Units of the answers; None leaves the choice to the service.
    on_response
        Told about each call's last response, error or not, before the call returns.
    http_client
        An httpx2 client to send with, for proxies, certificates and the like; it stays yours to close.
    transport
        An httpx2 transport to send through instead of the network; it is closed with this client.

    Raises
    ------
    BadSetting
        If a setting cannot work.
    """

    def version(self) -> dict[str, Any]:
        """Ask which version of the service and of its models answers here."""
        return self._call(_VERSION)

    def ready(self) -> bool:
        """Ask once, without retries, whether the service can calculate now; False if it says that it cannot.

        Raises
        ------
        ConnectionFailed
            If nothing answers.
        """
        try:
            self.with_options(retry=_ONCE)._call(_READY)
        except Busy:
            return False
        return True


class AsyncClient(AsyncCore):
    """A client to be awaited, under asyncio. Safe to share between the tasks of one event loop.

    Parameters
    ----------
    base_url
        Address of the service; else the environment variable DRAWBAR_URL, else http://127.0.0.1:8000.
    token
        Bearer token; else the environment variable DRAWBAR_TOKEN, else none.
    timeout
        Limits of one attempt: 5 s to connect and 30 s in all unless said otherwise. A bare number is the total [s].
    retry
        When to repeat a failed attempt. Calculations are pure, so repeating one is always safe.
    units
        Units of the answers; None leaves the choice to the service.
    on_response
        Told about each call's last response, error or not, before the call returns.
    http_client
        An httpx2 async client to send with, for proxies, certificates and the like; it stays yours to close.
    transport
        An httpx2 async transport to send through instead of the network; it is closed with this client.

    Raises
    ------
    BadSetting
        If a setting cannot work.
    """

    async def version(self) -> dict[str, Any]:
        """Ask which version of the service and of its models answers here."""
        return await self._call(_VERSION)

    async def ready(self) -> bool:
        """Ask once, without retries, whether the service can calculate now; False if it says that it cannot.

        Raises
        ------
        ConnectionFailed
            If nothing answers.
        """
        try:
            await self.with_options(retry=_ONCE)._call(_READY)
        except Busy:
            return False
        return True
