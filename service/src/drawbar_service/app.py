"""The web application: routes, headers and failures around the calculations."""

import asyncio
import gc
import logging
from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from typing import Any, Literal, TypeAlias
from urllib.parse import parse_qs

import msgspec
from litestar import Litestar, Request, Response, post, route
from litestar.exceptions import HTTPException
from litestar.handlers import HTTPRouteHandler
from litestar.types import ASGIApp

from drawbar_service.answering import Answering, Asked, Gone, Kinds, kinds_of, paying, turn_of_batch
from drawbar_service.api.answers import Ledger
from drawbar_service.api.by_address import body_of
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.openapi import contract
from drawbar_service.api.problems import KINDS, PROBLEM_MEDIA_TYPE, problem
from drawbar_service.api.shared.curve import PNG
from drawbar_service.api.trimmed import WHOLE, wanted_of
from drawbar_service.api.v1.reference.answer import READINGS, READY, Reading
from drawbar_service.api.wire import (
    JSON,
    MEDIA_TYPES,
    OFFERED,
    NotAcceptable,
    UnreadableBody,
    WrongMediaType,
    accepted,
    media_type_of,
    write,
)
from drawbar_service.batch.answer import TooBig
from drawbar_service.batch.route import BatchLimits, NoSuchCalculation, batch_route
from drawbar_service.batch.serve import Stalled
from drawbar_service.docs.pages import pages
from drawbar_service.docs.site import site
from drawbar_service.failures import failure_of
from drawbar_service.kept import MayBeKept, NotModified, is_known, pack, sent, worth_packing
from drawbar_service.model.findings import Abandoned, OutOfTime
from drawbar_service.observability import Observer, observe
from drawbar_service.quantities import decode_quantity
from drawbar_service.replies import Answered, add_headers, header_of, mark_of, request_id_of
from drawbar_service.security.access import access_of
from drawbar_service.security.cors import cors_of
from drawbar_service.security.embedding import embedding_of
from drawbar_service.security.refusal import Refused
from drawbar_service.security.turns import GUARDED, Turns, caller_of
from drawbar_service.selfcheck import self_check
from drawbar_service.settings import Settings, read_settings
from drawbar_service.sheet.page import style_hash
from drawbar_service.workbench.page import page as workbench_page
from drawbar_service.workbench.pages import workbench
from drawbar_service.workers import Crashed, Workers

Bytes: TypeAlias = Response[bytes]
AnyRequest: TypeAlias = Request[Any, Any, Any]

log = logging.getLogger("drawbar_service")

_READ: tuple[Literal["GET"], Literal["HEAD"]] = ("GET", "HEAD")


async def _body(request: AnyRequest, patience: float) -> bytes:
    try:
        async with asyncio.timeout(patience):
            return await request.body()
    except TimeoutError:
        raise Stalled(f"the body did not come within {patience:g} s") from None


def _calculate(
    calculation: Calculation[Any, Any], most_bytes: int, patience: float, at: Answering
) -> list[HTTPRouteHandler]:
    offered = {**OFFERED, **dict(zip(calculation.shown_as, calculation.shown_as, strict=True))}
    has_picture = PNG in calculation.shown_as

    @post(calculation.path, name=calculation.name, status_code=200, request_max_body_size=most_bytes)
    async def handler(request: AnyRequest) -> ASGIApp:
        """Read what the headers ask for, and the body, and have it answered."""
        answer_type = accepted(header_of(request.scope, b"accept"), offered)
        media_type = media_type_of(
            header_of(request.scope, b"content-type"), header_of(request.scope, b"content-encoding")
        )
        query = request.scope["query_string"]
        wanted = wanted_of(parse_qs(query.decode("latin-1"), keep_blank_values=True), has_picture) if query else WHOLE
        body = await _body(request, patience)
        return await answered(Asked(request, body, media_type, answer_type, wanted))

    async def answered(asked: Asked) -> Answered:
        content, headers = await at.answer(asked)
        headers = {"ETag": mark_of(asked.body, asked.answer_type, asked.wanted), **headers}
        if worth_packing(asked.request.scope, content, asked.answer_type):
            content = await asyncio.to_thread(pack, content)
            headers |= {"Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
        return Answered(content, asked.answer_type, headers)

    @route(calculation.path, http_method=_READ, name=f"{calculation.name}-by-address")
    async def by_address(request: AnyRequest) -> ASGIApp:
        """Draw what the address asks for, unless the caller has it already."""
        accept = header_of(request.scope, b"accept")
        answer_type = accepted("*/*;q=1.0" if accept in (None, "", "*/*") else accept, drawn)
        query = parse_qs(request.scope["query_string"].decode("latin-1"), keep_blank_values=True)
        body = body_of(query, most_bytes)
        wanted = wanted_of(query, drawn=True)
        await _body(request, patience)  # there is none; but a caller who goes is heard of after it
        if is_known(request.scope, mark_of(body, answer_type, wanted)):
            return NotModified(mark_of(body, answer_type, wanted))
        return MayBeKept(await answered(Asked(request, body, JSON, answer_type, wanted)))

    @route(calculation.path, http_method="OPTIONS", name=f"{calculation.name}-options", status_code=204)
    async def methods(request: AnyRequest) -> Response[None]:
        """Say both methods; the framework says that of the first handler alone."""
        return Response(None, status_code=204, headers={"Allow": "GET, OPTIONS, POST"})

    drawn = {name: name for name in (*calculation.shown_as, *MEDIA_TYPES)}
    return [methods, handler, by_address] if has_picture else [handler]


def _no_answer(request: AnyRequest, error: Gone) -> Bytes:
    return Response(b"", status_code=503)  # nobody takes it


def _read(reading: Reading, kinds: Kinds) -> HTTPRouteHandler:
    async def given(request: AnyRequest, *which: str) -> Bytes:
        return _written(request, reading, reading.give(*which))

    async def in_turn(request: AnyRequest, *which: str) -> Bytes:
        if not reading.path.startswith(GUARDED):
            return await given(request, *which)
        return await kinds.moments.hold(caller_of(request.scope), given, request, *which)

    if reading.parameter is None:

        @route(reading.path, http_method=_READ, name=reading.name)
        async def plain(request: AnyRequest) -> Bytes:
            return await in_turn(request)

        return plain
    name, ids = reading.parameter

    @route(reading.path.replace(f"{{{name}}}", f"{{{name}:str}}"), http_method=_READ, name=reading.name)
    async def by_id(request: AnyRequest) -> Bytes:
        wanted: str = request.path_params[name]
        if wanted not in ids:
            return _problem_response(request, 404, f"no {name} {wanted[:64]!r}; there are {', '.join(ids)}")
        return await in_turn(request, wanted)

    return by_id


def _written(request: AnyRequest, reading: Reading, answer: msgspec.Struct) -> Bytes:
    offered = {**OFFERED, **{name: name for name in reading.also_as}}
    media_type = accepted(header_of(request.scope, b"accept"), offered)
    content = reading.also_as[media_type](answer) if media_type in reading.also_as else write(answer, media_type)
    if not request.scope["path"].startswith(("/v1/", "/version")):
        return Response(content, media_type=media_type)  # how the service is may change at any time
    return sent(request, content, media_type)


@route(READY.path, http_method=_READ, name=READY.name)
async def readyz(request: AnyRequest) -> Bytes:
    """Say whether the service computes what it should on this machine, and goes on to."""
    if request.app.state.get("draining"):
        detail = "draining: the service is about to stop; ask another"
        return _problem_response(request, 503, detail, headers={"Retry-After": "1"})
    fault = self_check()
    if fault:
        log.error("self-check failed: %s", fault)
        return _problem_response(request, 503, "the self-check failed; see the log", headers={"Retry-After": "30"})
    return _written(request, READY, READY.give())


def _problem_response(
    request: AnyRequest,
    status: int,
    detail: str,
    errors: list[Fault] | None = None,
    headers: dict[str, str] | None = None,
) -> Bytes:
    content = write(problem(status, detail, request_id_of(request.scope), errors), JSON)
    return Response(content, status_code=status, media_type=PROBLEM_MEDIA_TYPE, headers=headers)


def _said(request: AnyRequest, error: Exception) -> Bytes:
    failure = failure_of(error)
    if failure is None:
        return _failed(request, error)
    return _problem_response(request, failure.status, failure.detail, failure.errors, failure.headers)


def _no_such_calculation(request: AnyRequest, error: NoSuchCalculation) -> Bytes:
    return _problem_response(request, 404, str(error))


def _too_big(request: AnyRequest, error: TooBig) -> Bytes:
    return _problem_response(request, 413, str(error))


def _too_slow(request: AnyRequest, error: Stalled) -> Bytes:
    # Not closed at once: a caller who is still sending would be reset before he reads this.
    return _problem_response(request, 408, str(error))


def _http(request: AnyRequest, error: HTTPException) -> Bytes:
    """Turn the framework's own failures (no such path, wrong method, body too big) into problem documents."""
    status = error.status_code if error.status_code in KINDS else (400 if error.status_code < 500 else 500)
    kind = KINDS[status]
    kept = {name: value for name, value in (error.headers or {}).items() if name.lower() == "allow"}
    detail = f"At most {_most_bytes(request)} bytes are read here." if status == 413 else kind.meaning
    return _problem_response(request, status, detail, headers=kept)


def _most_bytes(request: AnyRequest) -> int | None:
    handler = request.scope["route_handler"]
    return handler.resolve_request_max_body_size() if isinstance(handler, HTTPRouteHandler) else None


def _failed(request: AnyRequest, error: Exception) -> Bytes:
    name = request_id_of(request.scope)
    log.exception("request %s failed", name, exc_info=error, extra={"request_id": name})
    return _problem_response(request, 500, KINDS[500].meaning)


def warm_up() -> None:
    """Make what is made once, so that no first caller waits for it: the pages; SciPy's import, in the answers."""
    # Next to none of it is garbage: a full collection that looks through all of it would stop callers for 100 ms.
    gc.disable()
    try:
        site()  # first, because what it frees is then used by the rest
        workbench_page()
        for calculation in CALCULATIONS:
            asked = msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)
            calculation.compute(asked, Ledger("metric"))
        gc.collect(0)
        gc.freeze()
    finally:
        gc.enable()


def _here_and_beside(
    observer: Observer, workers: Workers | None
) -> Iterable[tuple[Calculation[Any, Any], Calculation[Any, Any]]]:
    """Return each calculation as it is worked out in this process, and in one of its own."""
    every = (*CALCULATIONS, *SHOWN)
    beside = every if workers is None else [replace(one, compute=partial(workers.compute, one.name)) for one in every]
    return zip(observer.watched(every), observer.watched(beside), strict=True)


def create_app(settings: Settings | None = None, workers: Workers | None = None) -> Litestar:
    """Return the web application.

    Parameters
    ----------
    settings : Settings, optional
        Those of the environment, if left out.
    workers : Workers, optional
        Processes for what takes long; left out, threads work that, too.
    """
    settings = settings or read_settings()
    observer = observe(settings)
    kinds = kinds_of(settings)
    access = access_of(settings)
    half = max(1, settings.batch_slots // 2)
    batches = Turns(
        "Batches", settings.batch_slots, each=half, line=settings.line, patience=settings.long_patience, retry_after=5
    )

    @route("/openapi/drawbar-v1.json", http_method=_READ)
    async def openapi(request: AnyRequest) -> Bytes:
        return sent(request, contract(), JSON)

    @route("/openapi.json", http_method=_READ)
    async def usual_place(request: AnyRequest) -> Bytes:
        # Generators look for a contract here. The address is relative, for a service that is served below a path.
        return Response(b"", status_code=308, headers={"Location": "openapi/drawbar-v1.json"})

    application = Litestar(
        route_handlers=[
            *(
                handler
                for here, beside in _here_and_beside(observer, workers)
                for handler in _calculate(
                    here,
                    settings.body_bytes(here.name),
                    settings.body_patience,
                    Answering(here, beside, kinds, settings.long_seconds, workers),
                )
            ),
            batch_route(
                BatchLimits(
                    whole_bytes=settings.batch_body_bytes,
                    stream_bytes=settings.batch_stream_bytes,
                    whole_rows=settings.batch_rows,
                    whole_values=settings.batch_values,
                    stream_rows=settings.batch_stream_rows,
                    seconds=settings.batch_seconds,
                    turn=partial(turn_of_batch, batches),
                    pay=paying,
                    patience=settings.batch_patience,
                ),
                observer.watch,
            ),
            *(_read(one, kinds) for one in READINGS),
            readyz,
            openapi,
            usual_place,
            *pages(),
            *workbench(style_hash()),
            *observer.routes,
        ],
        openapi_config=None,
        request_max_body_size=settings.max_body_bytes,
        middleware=[] if access is None else [access.middleware(kinds.moments)],
        cors_config=cors_of(settings),
        before_send=[add_headers, *embedding_of(settings)],
        on_startup=observer.on_startup,
        on_shutdown=[
            *observer.on_shutdown,
            *([] if access is None else [access.close]),
            *([] if workers is None else [workers.close]),
        ],
        exception_handlers={
            ImpossibleInput: _said,
            UnreadableBody: _said,
            WrongMediaType: _said,
            NotAcceptable: _said,
            NoSuchCalculation: _no_such_calculation,
            TooBig: _too_big,
            Stalled: _too_slow,
            Refused: _said,
            Gone: _no_answer,
            OutOfTime: _said,
            Crashed: _failed,
            Abandoned: _no_answer,
            HTTPException: _http,
            Exception: _failed,
        },
        debug=False,
        logging_config=None,  # whoever embeds the application configures logging
    )
    # Around the router, not a middleware inside it: requests that lead nowhere are to be seen too.
    application.asgi_handler = observer.around(application.asgi_handler)
    return application
