# ruff: noqa: N818  (the names say what happened, as in "except Busy")
"""What can go wrong in a call, one class per meaning, all under `DrawbarError`.

No error holds a request header, so none can leak a token. All of them can be pickled, so they cross process borders.
"""

from __future__ import annotations

from typing import ClassVar

import msgspec


class Fault(msgspec.Struct, frozen=True):
    """One thing wrong with a request.

    Parameters
    ----------
    pointer
        JSON Pointer (RFC 6901) to the value in the request body; empty for the body as a whole.
    detail
        What is wrong there and what would be right.
    """

    pointer: str = ""
    detail: str = ""


class Problem(msgspec.Struct, frozen=True):
    """The service's account of an error, after RFC 9457.

    Parameters
    ----------
    type
        URI that names the kind of problem.
    title
        The kind of problem in words, the same each time.
    status
        HTTP status as the service wrote it, or None where it wrote none.
    detail
        What went wrong this time.
    instance
        What names this one occurrence, usually the request id.
    errors
        Every fault the service found in the request, not just the first.
    """

    type: str = "about:blank"
    title: str = ""
    status: int | None = None
    detail: str = ""
    instance: str = ""
    errors: list[Fault] = []


class DrawbarError(Exception):
    """Base of everything this package raises on purpose."""


class BadSetting(DrawbarError, ValueError):
    """A client setting (address, key or token, timeout, retry policy) that cannot work; nothing was sent."""


class ConnectionFailed(DrawbarError):
    """The service could not be reached, or the connection broke before the whole answer had come.

    Parameters
    ----------
    address
        The service's address.
    reason
        What the network said.
    attempts
        How often it was tried.
    """

    def __init__(self, address: str, reason: str, attempts: int = 1) -> None:
        super().__init__(address, reason, attempts)
        self.address = address
        self.reason = reason
        self.attempts = attempts

    def __str__(self) -> str:
        return (
            f"No whole answer from {self.address} after {_counted(self.attempts)}: {self.reason}. "
            "Does the service run there? The address comes from base_url or DRAWBAR_URL."
        )


class TimedOut(ConnectionFailed):
    """The service did not answer in time."""

    def __str__(self) -> str:
        return (
            f"No whole answer in time from {self.address} after {_counted(self.attempts)}: {self.reason}. "
            "Send less at once or allow more time with timeout=."
        )


class Incompatible(DrawbarError):
    """The service there is another API or older than this client, so some calls would fail.

    Parameters
    ----------
    address
        The service's address.
    reason
        Which versions meet, and what would be right.
    """

    def __init__(self, address: str, reason: str) -> None:
        super().__init__(address, reason)
        self.address = address
        self.reason = reason

    def __str__(self) -> str:
        return f"The service at {self.address} does not serve this client: {self.reason}"


class UnreadableAnswer(DrawbarError):
    """A success by its status, but with a body that is not the promised result.

    A proxy's sign-in page and a service of another version both look like this.

    Parameters
    ----------
    status
        HTTP status.
    reason
        Why the body could not be read, with its beginning.
    request_id
        The service's id for the request, if it gave one.
    """

    def __init__(self, status: int, reason: str, request_id: str | None = None) -> None:
        super().__init__(status, reason, request_id)
        self.status = status
        self.reason = reason
        self.request_id = request_id

    def __str__(self) -> str:
        return _prefixed(self.request_id, f"the answer ({self.status}) cannot be read: {self.reason}")


def place_of(pointer: str) -> str:
    """Return a pointer into a request as people read it: a column of a batch by its name.

    Parameters
    ----------
    pointer
        JSON Pointer; of a column, one into `vary`, in which the name of the column is escaped.
    """
    if not pointer.startswith("/vary/"):
        return pointer
    column, _, member = pointer.removeprefix("/vary/").partition("/")
    name = column.replace("~1", "/").replace("~0", "~")
    return f"column {name}, {member}" if member else f"column {name}"


class ApiError(DrawbarError):
    """The service answered with something other than success.

    Its subclasses name the meanings worth telling apart; this class itself stands for the rest (405, 409, redirects).

    Parameters
    ----------
    status
        HTTP status.
    problem
        What the service said. Put together from the status if it sent no problem document.
    request_id
        The service's id for the request, if it gave one: quote it when asking for help.
    retry_after
        How long the service asks to be left alone [s], if it said.
    attempts
        How often it was tried.
    """

    meaning: ClassVar[str] = "Request refused"

    def __init__(
        self,
        status: int,
        problem: Problem,
        request_id: str | None = None,
        retry_after: float | None = None,
        attempts: int = 1,
    ) -> None:
        super().__init__(status, problem, request_id, retry_after, attempts)
        self.status = status
        self.problem = problem
        self.request_id = request_id
        self.retry_after = retry_after
        self.attempts = attempts

    def __str__(self) -> str:
        parts = [f"{self.status} {self.problem.title or self.meaning}"]
        if self.problem.detail:
            parts.append(f": {self.problem.detail}")
        if self.attempts > 1:
            parts.append(f" (after {_counted(self.attempts)})")
        if self.retry_after is not None:
            parts.append(f" (ask again in {self.retry_after:g} s)")
        parts += [f"\n  {place_of(fault.pointer) or '(whole body)'}: {fault.detail}" for fault in self.problem.errors]
        return _prefixed(self.request_id, "".join(parts))


class BadRequest(ApiError):
    """400: the request is not well formed, or a value has the wrong type; `problem.errors` points to each."""

    meaning = "Malformed request"


class Unauthorized(ApiError):
    """401: the service wants a key or token, or this one is not good. Pass `api_key=` or set DRAWBAR_API_KEY."""

    meaning = "Key or token missing or not good"


class Forbidden(ApiError):
    """403: the key or token is good, but lacks the scope for this."""

    meaning = "Not allowed"


class NotFound(ApiError):
    """404: there is no such thing or no such path at this address."""

    meaning = "Not found"


class NotAcceptable(ApiError):
    """406: the service cannot answer in the format asked for."""

    meaning = "Format not available"


class TooLarge(ApiError):
    """413: the request body is over the service's limit; split it."""

    meaning = "Request too large"


class UnsupportedMedia(ApiError):
    """415: the service cannot read the request's format."""

    meaning = "Format not understood"


class ImpossibleInput(ApiError):
    """422: well formed, but a value makes no physical sense; `problem.errors` points to each."""

    meaning = "Impossible input"


class TooManyRequests(ApiError):
    """429: more requests than this caller may send; `retry_after` says when to come back."""

    meaning = "Too many requests"


class ServerFault(ApiError):
    """5xx: the service or a proxy before it failed. The request may have been fine."""

    meaning = "Server fault"


class Busy(ServerFault):
    """503: the service has no room now; `retry_after` says when to come back."""

    meaning = "Service busy"


_CLASS_OF_STATUS: dict[int, type[ApiError]] = {
    400: BadRequest,
    401: Unauthorized,
    403: Forbidden,
    404: NotFound,
    406: NotAcceptable,
    413: TooLarge,
    415: UnsupportedMedia,
    422: ImpossibleInput,
    429: TooManyRequests,
    503: Busy,
}


def error_class(status: int) -> type[ApiError]:
    """Give the class that stands for an HTTP status.

    Parameters
    ----------
    status
        Any HTTP status that is not a success.
    """
    return _CLASS_OF_STATUS.get(status, ServerFault if status >= 500 else ApiError)


def _counted(attempts: int) -> str:
    return "1 attempt" if attempts == 1 else f"{attempts} attempts"


def _prefixed(request_id: str | None, text: str) -> str:
    return f"{request_id}: {text}" if request_id else text
