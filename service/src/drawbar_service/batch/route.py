"""The route of batches: what the headers say, and whether there is room."""

from collections.abc import Awaitable, Callable
from functools import partial
from typing import Any, NamedTuple
from urllib.parse import parse_qs

from litestar import Request, post
from litestar.handlers import HTTPRouteHandler
from litestar.types import ASGIApp, Scope

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.renamed import announce
from drawbar_service.api.v1.batch.request import PATH
from drawbar_service.api.wire import accepted, media_type_of, units_of
from drawbar_service.batch.answer import Batch, Pay
from drawbar_service.batch.formats import NAMES, WHOLE
from drawbar_service.batch.run import Watch
from drawbar_service.batch.serve import BatchResponse, Limits


class BatchLimits(NamedTuple):
    """How much is taken."""

    whole_bytes: int
    """Of a body in JSON or MessagePack."""
    stream_bytes: int
    """Of any other body."""
    whole_rows: int
    """Of an answer in JSON or MessagePack."""
    whole_values: int
    """Of an answer in JSON or MessagePack, rows by columns."""
    stream_rows: int
    """Of any other answer."""
    seconds: float
    """Of a processor, for all rows of a batch."""
    turn: Callable[[Scope], Awaitable[Callable[[], None]]]
    """Waits for the turn of a request; gives what ends it."""
    pay: Callable[[Scope], Pay | None]
    """From a request to what takes the cost of its rows; None where nothing is paid."""
    patience: float
    """Longest wait for a caller who neither sends nor takes [s]."""


class NoSuchCalculation(LookupError):  # noqa: N818 - it names what was asked for
    """There is no calculation of that name."""


def _unwatched(calculation: str) -> None:
    return None


def batch_route(most: BatchLimits, watch: Callable[[str], Watch | None] = _unwatched) -> HTTPRouteHandler:
    """Return the handler of batches.

    Parameters
    ----------
    most : BatchLimits
    watch : callable
        From the name of a calculation to what sees the blocks of one batch of it at work.
    """
    by_name = {one.name: one for one in CALCULATIONS}

    @post(PATH.replace("{calculation}", "{calculation:str}"), name="batch", status_code=200)
    async def handler(request: Request[Any, Any, Any]) -> ASGIApp:
        name: str = request.path_params["calculation"]
        if name not in by_name:
            raise NoSuchCalculation(f"no calculation {name[:64]!r}; there are {', '.join(by_name)}")
        headers = request.headers
        wanted = accepted(headers.get("accept"), NAMES)
        sent = media_type_of(headers.get("content-type"), headers.get("content-encoding"), NAMES)
        units = units_of(parse_qs(request.scope["query_string"].decode("latin-1"), keep_blank_values=True))
        most_rows = most.whole_rows if wanted in WHOLE else most.stream_rows
        batch = Batch(
            by_name[name],
            sent,
            wanted,
            units,
            most_rows,
            watch(name),
            most.seconds,
            most.pay(request.scope),
            most.whole_values if wanted in WHOLE else None,
            partial(announce, request.scope["state"]),
        )
        limits = Limits(most.whole_bytes if sent in WHOLE else most.stream_bytes, most.patience)
        told = headers.get("content-length", "")
        done = await most.turn(request.scope)
        return BatchResponse(batch, limits, int(told) if told.isdecimal() else None, done)

    return handler
