"""The service inside another process: single calculations without the web framework, and all of it for the rest.

A calculation is answered as the application answers it, by the same :class:`~drawbar_service.answering.Answering` and
with the same problem documents. Whatever else is asked for (batches, pictures, tables, pages) loads the application,
once. Answers are not packed: nothing is sent over a wire.
"""

from __future__ import annotations

import asyncio
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple
from urllib.parse import parse_qs

from drawbar_service.answering import Answering, Asked, kinds_of
from drawbar_service.api.lookup import calculation_at
from drawbar_service.api.problems import PROBLEM_MEDIA_TYPE, problem
from drawbar_service.api.trimmed import WHOLE, wanted_of
from drawbar_service.api.wire import JSON, accepted, media_type_of, write
from drawbar_service.failures import failure_of
from drawbar_service.replies import Answered, add_headers, header_of, mark_of, request_id_of
from drawbar_service.settings import Settings, read_settings

if TYPE_CHECKING:
    from litestar.types import ASGIApp, Message, Receive, Scope, Send


def in_process_app() -> ASGIApp:
    """Return the service for a client in the same process, as the environment sets it."""
    settings = read_settings()
    if settings == Settings():
        return Direct(settings)
    return _application(settings)  # with keys, say, or an access log


class _Request(NamedTuple):
    scope: Scope
    receive: Receive


class Direct:
    """The service with its usual settings, as an ASGI app that loads what it needs when it is needed.

    Parameters
    ----------
    settings : Settings
    """

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._kinds = kinds_of(settings)
        self._at: dict[str, Answering] = {}
        self._whole: ASGIApp | None = None
        self._loading = asyncio.Lock()

    # Loose: the framework's types know requests, and no start and end of an app.
    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer a request."""
        if scope["type"] == "lifespan":
            await _live(receive, send)
            return
        calculation = None
        if scope["type"] == "http" and scope["method"] == "POST":
            calculation = calculation_at(scope["path"])
        if calculation is None:
            await self._by_application(scope, receive, send)
            return
        body, rest = await _body_of(receive)
        if len(body) > self._settings.body_bytes(calculation.name):
            await self._by_application(scope, _again(body, rest), send)
            return
        at = self._at.get(calculation.path)
        if at is None:
            at = Answering(calculation, calculation, self._kinds, self._settings.long_seconds, None)
            self._at[calculation.path] = at
        seen: Any = {**scope, "state": {}, "path_template": calculation.path}
        try:
            reply = await _reply(at, _Request(seen, rest), body)
        except Exception as error:
            failure = failure_of(error)
            if failure is None:
                await self._by_application(scope, _again(body, rest), send)
                return
            content = write(problem(failure.status, failure.detail, request_id_of(seen), failure.errors), JSON)
            reply = Answered(content, PROBLEM_MEDIA_TYPE, failure.headers or {}, failure.status)

        async def with_headers(message: Message) -> None:
            await add_headers(message, seen)
            await send(message)

        await reply(seen, rest, with_headers)

    async def _by_application(self, scope: Scope, receive: Receive, send: Send) -> None:
        async with self._loading:
            if self._whole is None:
                # Beside the loop, which goes on to answer others. With the usual settings nothing is to be started.
                self._whole = await asyncio.to_thread(_application, self._settings)
        await self._whole(scope, receive, send)


def _application(settings: Settings) -> ASGIApp:
    from drawbar_service.app import create_app  # noqa: PLC0415 - brings the framework, which few need in process

    return create_app(settings)


async def _reply(at: Answering, request: _Request, body: bytes) -> Answered:
    scope = request.scope
    answer_type = accepted(header_of(scope, b"accept"))
    media_type = media_type_of(header_of(scope, b"content-type"), header_of(scope, b"content-encoding"))
    query = scope["query_string"]
    wanted = wanted_of(parse_qs(query.decode("latin-1"), keep_blank_values=True)) if query else WHOLE
    content, headers = await at.answer(Asked(request, body, media_type, answer_type, wanted))
    return Answered(content, answer_type, {"ETag": mark_of(body, answer_type, wanted), **headers})


async def _body_of(receive: Receive) -> tuple[bytes, Receive]:
    """Return a body whole, and what tells of what comes after it."""
    pieces: list[bytes] = []
    while True:
        message: Any = await receive()
        pieces.append(message.get("body", b""))
        if message["type"] != "http.request":
            return b"".join(pieces), partial(_told, message)
        if not message.get("more_body", False):
            return b"".join(pieces), receive


async def _told(message: Any) -> Any:
    return message


def _again(body: bytes, rest: Receive) -> Receive:
    """Return what tells of a body once more, and then of what comes after it."""
    first: list[Any] = [{"type": "http.request", "body": body, "more_body": False}]

    async def receive() -> Any:
        return first.pop() if first else await rest()

    return receive


async def _live(receive: Any, send: Any) -> None:
    """Say that there is nothing to start, and nothing to end."""
    with suppress(asyncio.CancelledError):
        await receive()
        await send({"type": "lifespan.startup.complete"})
        await receive()
        await send({"type": "lifespan.shutdown.complete"})
