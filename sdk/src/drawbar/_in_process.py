"""The service inside this process: an ASGI app on an event loop of its own, spoken to like a server.

A loop in a thread of its own makes one mechanism do for the sync and the async client: it works whether or not the
caller has a running loop, from any number of threads and loops, and the app's startup and shutdown run beside its
requests as its framework expects.
"""

from __future__ import annotations

import asyncio
import concurrent.futures
import contextlib
import logging
import threading
import weakref
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final, TypeAlias

import httpx2

from drawbar.errors import DrawbarError

# Loose, because frameworks declare the three arguments each in their own way.
AsgiApp: TypeAlias = Callable[[Any, Any, Any], Awaitable[None]]

ADDRESS: Final = "http://localhost"

# Longest wait for the app to start and to stop [s].
_PATIENCE: Final = 30.0

_log: Final = logging.getLogger("drawbar")


class InProcessTransport(httpx2.BaseTransport, httpx2.AsyncBaseTransport):
    """Sends requests to an ASGI app that runs on a thread of its own.

    Parameters
    ----------
    app
        The app; None for the service.

    Raises
    ------
    DrawbarError
        If the service is not installed or the app does not start.
    """

    def __init__(self, app: AsgiApp | None = None) -> None:
        self._stage = _Stage(_service() if app is None else app)
        self._thread = threading.Thread(target=self._stage.run, name="drawbar-in-process", daemon=True)
        self._lock = threading.Lock()
        self._closed = False
        self._thread.start()
        # For a transport that is dropped without being closed, at the latest when the interpreter ends.
        self._finish = weakref.finalize(self, _abandon, self._stage, self._thread)
        try:
            self._stage.started.result(_PATIENCE)
        except TimeoutError:
            self.close()
            raise DrawbarError(f"The in-process app did not start within {_PATIENCE:g} s.") from None
        except BaseException:
            self.close()
            raise

    def handle_request(self, request: httpx2.Request) -> httpx2.Response:
        """Answer from any thread but the app's own.

        Parameters
        ----------
        request
            The request; its read timeout bounds the wait.

        Raises
        ------
        httpx2.TransportError
            If the app does not answer in time or was closed meanwhile.
        """
        future = self._submit(request)
        limit = request.extensions["timeout"]["read"]
        try:
            return future.result(limit)
        except TimeoutError:
            raise httpx2.ReadTimeout(f"not done within {limit:g} s", request=request) from None
        finally:
            future.cancel()

    async def handle_async_request(self, request: httpx2.Request) -> httpx2.Response:
        """Answer on any event loop but the app's own.

        Parameters
        ----------
        request
            The request.

        Raises
        ------
        httpx2.TransportError
            If the app was closed meanwhile.
        """
        return await asyncio.wrap_future(self._submit(request))

    def close(self) -> None:
        """Break off what is under way and shut the app down. May be called more than once.

        Raises
        ------
        DrawbarError
            If the app fails at that or takes too long.
        """
        with self._lock:
            self._closed = True
        self._finish.detach()
        _stop(self._stage, self._thread)

    async def aclose(self) -> None:
        """Do as `close` without holding up the event loop."""
        await asyncio.to_thread(self.close)

    def _submit(self, request: httpx2.Request) -> concurrent.futures.Future[httpx2.Response]:
        # Under the lock no request can slip in behind the order to stop. The thread is also gone after a fork.
        with self._lock:
            if self._closed or not self._thread.is_alive():
                raise DrawbarError(
                    "The in-process service is not running: its client was closed, or made before this process "
                    "was forked. Make a client here."
                )
            return self._stage.answer(request)


class _Stage:
    """What happens on the app's thread. Knows nothing of the transport, so that can be dropped and collected."""

    def __init__(self, app: AsgiApp) -> None:
        self.started: concurrent.futures.Future[None] = concurrent.futures.Future()
        self.ended: concurrent.futures.Future[None] = concurrent.futures.Future()
        self._app = app
        self._asgi = httpx2.ASGITransport(self._watched)
        self._requests: set[asyncio.Task[Any]] = set()
        self._stopping = asyncio.Event()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._main_task: asyncio.Task[Any] | None = None

    def run(self) -> None:
        """Live on this thread until told to stop."""
        try:
            asyncio.run(self._main())
        except (Exception, asyncio.CancelledError) as fault:
            if self.started.done():
                self.ended.set_exception(fault)
                return
            self.started.set_exception(fault)
        self.ended.set_result(None)

    def answer(self, request: httpx2.Request) -> concurrent.futures.Future[httpx2.Response]:
        """Have the app answer a request that comes from another thread."""
        assert self._loop is not None
        return asyncio.run_coroutine_threadsafe(self._answer(request), self._loop)

    def stop(self) -> None:
        """Tell the app to stop, from any thread."""
        # A loop that has already closed has nothing left to stop.
        with contextlib.suppress(RuntimeError):
            if self._loop is not None:
                self._loop.call_soon_threadsafe(self._take_leave)

    def _take_leave(self) -> None:
        self._stopping.set()
        if self._main_task is not None and not self.started.done():
            self._main_task.cancel()

    async def _main(self) -> None:
        self._main_task = asyncio.current_task()
        self._loop = asyncio.get_running_loop()
        lifespan = _Lifespan(self._app)
        await lifespan.start()
        self.started.set_result(None)
        await self._stopping.wait()
        for task in self._requests:
            task.cancel()
        await asyncio.gather(*self._requests, return_exceptions=True)
        await lifespan.stop()

    async def _answer(self, request: httpx2.Request) -> httpx2.Response:
        task = asyncio.current_task()
        assert task is not None
        self._requests.add(task)
        try:
            response = await self._asgi.handle_async_request(request)
            content = b"".join([piece async for piece in response.aiter_raw()])
        except asyncio.CancelledError:
            if not self._stopping.is_set():
                raise
            # Left as it is, it would look as if the caller's own task had been cancelled.
            raise httpx2.ReadError("the in-process app was closed before it had answered", request=request) from None
        finally:
            self._requests.discard(task)
        # Read whole, the body can be handed to another thread and to sync and async callers alike.
        return httpx2.Response(response.status_code, headers=response.headers, stream=httpx2.ByteStream(content))

    async def _watched(self, scope: Any, receive: Any, send: Any) -> None:
        """Run the app as a server would: log what it raises, answer 500, and break off a half-sent answer."""
        begun = whole = False

        async def noting(message: MutableMapping[str, Any]) -> None:
            nonlocal begun, whole
            await send(message)
            begun = True
            whole = message["type"] == "http.response.body" and not message.get("more_body", False)

        try:
            await self._app(scope, receive, noting)
        except Exception:
            _log.exception("the in-process app failed at %s %s", scope["method"], scope["path"])
            if not begun:
                await noting({"type": "http.response.start", "status": 500, "headers": []})
                await noting({"type": "http.response.body"})
        if not whole:
            raise httpx2.RemoteProtocolError("the in-process app ended before its answer did")


class _Lifespan:
    """The startup and shutdown talk of ASGI with an app, which may not care for it."""

    def __init__(self, app: AsgiApp) -> None:
        self._app = app
        self._told: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        self._heard: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        self._task: asyncio.Task[None] | None = None

    async def start(self) -> None:
        """Start the app up.

        Raises
        ------
        DrawbarError
            If the app says that it cannot start.
        """
        task = asyncio.create_task(self._converse())
        heard = await self._tell("lifespan.startup")
        if heard["type"] == "lifespan.startup.failed":
            await task
            raise DrawbarError(f"The in-process app did not start: {heard.get('message') or 'it gave no reason'}")
        if heard["type"] == "lifespan.startup.complete":
            self._task = task

    async def stop(self) -> None:
        """Shut the app down.

        Raises
        ------
        DrawbarError
            If the app says, or shows, that it could not.
        """
        if self._task is None:
            return
        heard = await self._tell("lifespan.shutdown")
        await self._task
        if heard["type"] != "lifespan.shutdown.complete":
            raise DrawbarError(f"The in-process app did not shut down: {heard.get('message') or 'it gave no reason'}")

    async def _tell(self, word: str) -> dict[str, Any]:
        self._told.put_nowait({"type": word})
        return await self._heard.get()

    async def _converse(self) -> None:
        scope = {"type": "lifespan", "asgi": {"version": "3.0", "spec_version": "2.0"}}
        try:
            await self._app(scope, self._told.get, self._heard.put)
        except Exception as fault:
            # Before the first word this is how an app says that it has nothing to do at startup (ASGI, Lifespan).
            _log.debug("the in-process app left its lifespan", exc_info=True)
            self._heard.put_nowait({"type": "left", "message": repr(fault)})
        else:
            self._heard.put_nowait({"type": "left"})


def _stop(stage: _Stage, thread: threading.Thread) -> None:
    # After a fork there is no thread to stop, and one that is collecting garbage must not wait for itself.
    if not thread.is_alive():
        return
    stage.stop()
    if thread is threading.current_thread():
        return
    thread.join(_PATIENCE)
    if thread.is_alive():
        raise DrawbarError(f"The in-process app did not stop within {_PATIENCE:g} s.")
    stage.ended.result(0)


def _abandon(stage: _Stage, thread: threading.Thread) -> None:
    try:
        _stop(stage, thread)
    except DrawbarError:
        _log.exception("an in-process client that nobody closed could not shut its app down")


def _service() -> AsgiApp:
    try:
        from drawbar_service.direct import in_process_app  # noqa: PLC0415
    except ModuleNotFoundError as fault:
        if fault.name is None or fault.name.partition(".")[0] != "drawbar_service":
            raise
        raise DrawbarError("In-process clients need the service in this environment: pip install ./service") from fault
    return in_process_app()
