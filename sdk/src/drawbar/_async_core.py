"""What a client has beside its operations.

That of the client that is not awaited, `_sync_core`, is made from this file by openapi/generate.py.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import TracebackType
from typing import TYPE_CHECKING, Any, Literal, Self

from drawbar._client_core import BaseClient
from drawbar._operations import BATCH, PICTURE, SHEET_PAGE
from drawbar._options import Options, ResponseInfo, RetryPolicy, Timeout, Token, Units
from drawbar._wire import Operation, T, build

if TYPE_CHECKING:
    import httpx2
    import msgspec

    from drawbar._in_process import AsgiApp
    from drawbar.batch import BatchResult, Part, Progress, Vary


class AsyncCore(BaseClient):
    """All of `drawbar.AsyncClient` but its operations; the settings are told there."""

    def __init__(
        self,
        base_url: str | None = None,
        *,
        api_key: str | None = None,
        token: Token | None = None,
        timeout: float | Timeout | None = None,
        retry: RetryPolicy | None = None,
        units: Units | None = None,
        on_response: Callable[[ResponseInfo], None] | None = None,
        http_client: httpx2.AsyncClient | None = None,
        transport: httpx2.AsyncBaseTransport | None = None,
    ) -> None:
        # httpx2 takes 80 ms to import, so whoever only builds requests does without.
        from drawbar._async_transport import async_transport  # noqa: PLC0415

        self._options = Options.settled(
            base_url,
            api_key=api_key,
            token=token,
            timeout=timeout,
            retry=retry,
            units=units,
            on_response=on_response,
        )
        self._transport = async_transport(self._options.address, http_client, transport)
        self._closes = True

    @classmethod
    def in_process(
        cls,
        app: AsgiApp | None = None,
        *,
        api_key: str | None = None,
        token: Token | None = None,
        timeout: float | Timeout | None = None,
        retry: RetryPolicy | None = None,
        units: Units | None = None,
        on_response: Callable[[ResponseInfo], None] | None = None,
    ) -> Self:
        """Make a client that runs the service inside this process, without a network.

        The service runs on an event loop of its own, so calculating does not hold up the caller's. Starting it does,
        for as long as importing it takes. Close it, or use it in an `async with` block, to shut it down in order.

        Parameters
        ----------
        app
            An ASGI app; None for the service itself, which needs `pip install ./service`.
        api_key, token, timeout, retry, units, on_response
            As for the class.

        Raises
        ------
        DrawbarError
            If the service is not installed or does not start.
        """
        from drawbar._in_process import ADDRESS, InProcessTransport  # noqa: PLC0415

        transport = InProcessTransport(app)
        try:
            client = cls(
                ADDRESS,
                api_key=api_key,
                token=token,
                timeout=timeout,
                retry=retry,
                units=units,
                on_response=on_response,
                transport=transport,
            )
        except BaseException:
            transport.close()
            raise
        # In one process two parts only keep each other waiting.
        client._parts_at_once = 1
        return client

    async def close(self) -> None:
        """Close the connections. May be called more than once."""
        if self._closes:
            await self._transport.close()

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, traceback: TracebackType | None
    ) -> None:
        await self.close()

    async def batch(
        self,
        calculation: str,
        scenario: Mapping[str, Any] | msgspec.Struct,
        vary: Vary,
        *,
        mode: Literal["zip", "grid"] = "zip",
        columns: Sequence[str] | None = None,
        units: Units | None = None,
        rows_per_request: int | None = None,
        concurrency: int | None = None,
        on_progress: Progress | None = None,
    ) -> BatchResult:
        """Calculate many rows: one scenario, and what varies in it.

        Rows are sent in parts, some at a time, and each part is retried like any other call. They come back in their
        order. A row that cannot be answered does not keep the others from it: it is in the result's `faults`.

        Parameters
        ----------
        calculation
            Which one, such as "match" or "field-capacity".
        scenario
            A request of the calculation; what varies may be missing from it.
        vary
            Values by JSON Pointer into the scenario: `{"/speed": ("km/h", [6, 7, 8]), "/soil/surface": ["firm", ...]}`.
            Values may be lists, NumPy arrays, or columns of pandas, polars and Arrow. Or a whole table of these, its
            columns called by pointer and unit: `/speed [km/h]`. Where any is not a list, the answers are NumPy arrays.
        mode
            "zip": the first values of all make the first row, and so on. "grid": every value with every other; the one
            named last varies fastest.
        columns
            JSON Pointers into the answer; None for the usual ones of the calculation.
        units
            Units of the answer; None for the client's.
        rows_per_request
            Most rows in one part. None: 5,000; where arrays or tables are given, then as many as are answered in about
            a second.
        concurrency
            Most parts under way at the same time. None: two over a network, one in process.
        on_progress
            Told how many rows are done and how many there are, after each part.

        Raises
        ------
        ImpossibleInput
            If something is wrong with every row; `problem.errors` points to each.
        ValueError
            If columns to be zipped differ in length, or a table's columns are not called by pointers.
        """
        # Few need it.
        from drawbar._async_run import run  # noqa: PLC0415
        from drawbar.batch import Batch  # noqa: PLC0415

        async def ask(part: Part) -> Any:
            return await self._call(part.operation, part.content, units, path={"calculation": calculation})

        batch = Batch(scenario, vary, mode, columns, rows_per_request)
        most = self._parts_at_once if concurrency is None else concurrency
        return await run(batch, ask, most, on_progress)

    async def picture(
        self,
        curve: str,
        request: Mapping[str, Any] | msgspec.Struct,
        *,
        media_type: Literal["image/svg+xml", "image/png"] = "image/svg+xml",
        units: Units | None = None,
        ground: Literal["light", "dark", "clear", "clear-dark"] = "light",
    ) -> bytes:
        """Ask for a curve as a picture.

        Parameters
        ----------
        curve
            Which one, such as "power-by-speed" or "fit-map".
        request
            The request of the curve.
        media_type
            As what.
        units
            Units of the picture; None for the client's.
        ground
            What it stands on: a light or a dark ground of its own, or the page behind it, light or dark.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        NotFound
            If there is no such curve.
        NotAcceptable
            If the service has nothing to draw with.
        """
        query = {} if ground == "light" else {"ground": ground}
        operation = replace(PICTURE, accept=media_type)
        return await self._call(operation, request, units, path={"curve": curve}, query=query)

    async def sheet_page(self, request: Mapping[str, Any] | msgspec.Struct, *, units: Units | None = None) -> bytes:
        """Ask for a field sheet as HTML in UTF-8, one page to print.

        Parameters
        ----------
        request
            A match request.
        units
            Units of the sheet; None for the client's.

        Raises
        ------
        ImpossibleInput
            If a value cannot be; `problem.errors` points to each.
        """
        return await self._call(SHEET_PAGE, request, units)

    async def batch_bytes(
        self, calculation: str, content: bytes, *, sends: str, accept: str, units: Units | None = None
    ) -> bytes:
        """Send a batch as it is written, and give its answer as it comes.

        Parameters
        ----------
        calculation
            Which one.
        content
            Scenario and rows.
        sends, accept
            Media types of the batch and of the answer: Arrow, CSV, NDJSON, MessagePack or JSON.
        units
            Units of the answer; None for the client's.
        """
        operation: Operation[Any] = replace(BATCH, result=bytes, sends=sends, accept=accept)
        return await self._call(operation, content, units, path={"calculation": calculation})

    async def _call(
        self,
        operation: Operation[T],
        body: object = None,
        units: Units | None = None,
        *,
        path: Mapping[str, str] | None = None,
        query: Mapping[str, str | float | bool] | None = None,
    ) -> T:
        return await self._transport.send(build(operation, body, self._options, units=units, path=path, query=query))
