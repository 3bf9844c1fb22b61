"""What a witness of requests is told, and the ASGI middleware that tells it."""

from collections.abc import Callable, Mapping, Sequence
from time import perf_counter
from typing import Any, NamedTuple, TypeAlias, cast

from litestar.types import ASGIApp, Message, Receive, Scope, Send

from drawbar_service.batch.run import Watch

Asked: TypeAlias = Mapping[str, Any]
"""The scope of a request, as ASGI calls what is known of it."""
Compute: TypeAlias = Callable[[Any, Any], Any]

UNMATCHED = "unmatched"
"""Route of every request whose path or method is not served, so that callers cannot make up new ones."""
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


class Served(NamedTuple):
    """A request that is over. Nothing here is text of the caller but `asked`."""

    asked: Asked
    method: str
    """One that HTTP knows, else ``other``."""
    route: str
    """Template of the path, such as ``/v1/batch/{calculation}``."""
    status: int
    """0: nothing was answered, because the caller had gone or the service was stopping."""
    seconds: float
    """From the headers of the request to the last byte of the answer [s]."""
    sent: int
    """Size of the body of the answer [bytes]."""
    whole: bool
    """Whether the answer was sent to its end."""
    failed: bool
    """Whether the service failed without being able to say so in a status."""


class Witness:
    """Sees requests, calculations and blocks of batches. This one does nothing with what it sees."""

    def begin(self, asked: Asked) -> Any:
        """See a request come in; what is returned is handed to :meth:`end`."""
        return None

    def end(self, begun: Any, served: Served) -> None:
        """See a request go out."""

    def around_compute(self, name: str, compute: Compute) -> Compute:
        """Return the function of the calculation `name` with what is to be done around it."""
        return compute

    def around_blocks(self, name: str) -> Watch | None:
        """Return what is to be put around the blocks of a batch that has just begun."""
        return None


def told(app: ASGIApp, witnesses: Sequence[Witness]) -> ASGIApp:
    """Return an application that tells its witnesses of every request."""

    async def observed(scope: Scope, receive: Receive, send: Send) -> None:
        started = perf_counter()
        asked = cast("Asked", scope)
        status = sent = 0
        whole = failed = False

        async def counted(message: Message) -> None:
            nonlocal status, sent, whole
            if message["type"] == "http.response.start":
                status = message["status"]
            elif message["type"] == "http.response.body":
                sent += len(message.get("body", b""))
                whole = not message.get("more_body", False)
            await send(message)

        begun = [witness.begin(asked) for witness in witnesses]
        try:
            await app(scope, receive, counted)
        except Exception:
            failed = True
            raise
        finally:
            method = asked["method"]
            served = Served(
                asked=asked,
                method=method if method in _METHODS else "other",
                route=asked.get("path_template", UNMATCHED),
                # A server answers 500 by itself where an application fails before it has begun to answer.
                status=status or (500 if failed else 0),
                seconds=perf_counter() - started,
                sent=0 if method == "HEAD" else sent,  # the server holds the body back
                whole=whole,
                failed=failed,
            )
            for witness, known in zip(reversed(witnesses), reversed(begun), strict=True):
                witness.end(known, served)

    return observed
