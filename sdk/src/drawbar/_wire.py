"""From a call to the bytes that are sent, and from the bytes that come back to a result or an error.

Pure functions over plain data: nothing here sends, waits or knows the HTTP library.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Generic, TypeVar, cast
from urllib.parse import quote, urlencode, urlsplit

import msgspec

from drawbar._options import Options, Units, checked
from drawbar._version import __version__
from drawbar.errors import ApiError, Problem, UnreadableAnswer, error_class

T = TypeVar("T")

JSON: Final = "application/json"
MSGPACK: Final = "application/msgpack"
ARROW: Final = "application/vnd.apache.arrow.stream"
_PROBLEM_JSON: Final = "application/problem+json"
_EXCERPT: Final = 200
# What msgspec raises on bad JSON, on bytes that are not UTF-8 inside a string, and on brackets nested without end.
_UNREADABLE: Final = (msgspec.DecodeError, UnicodeDecodeError, RecursionError)


@dataclass(frozen=True, slots=True)
class Operation(Generic[T]):
    """One operation of the service.

    Parameters
    ----------
    method
        HTTP method.
    path
        Path below the service's address, with `{name}` where a value goes.
    result
        Type of the result, read from JSON or MessagePack. `bytes` gives the body as it came, `NoneType` drops it.
    sends
        Media type of a body given as `bytes`; any other body is sent as JSON.
    accept
        Media type of the result.
    takes_units
        Whether the answer comes in the units asked for.
    """

    method: str
    path: str
    result: type[T]
    sends: str = JSON
    accept: str = JSON
    takes_units: bool = True


@dataclass(frozen=True, slots=True)
class Call(Generic[T]):
    """A request ready to be sent, as often as needed, with the settings it is sent under."""

    operation: Operation[T]
    options: Options
    path: str
    url: str
    headers: Mapping[str, str] = field(repr=False)
    content: bytes | None = field(repr=False)


@dataclass(frozen=True, slots=True)
class Reply:
    """A response, read to its end. Header names are in lower case."""

    status: int
    headers: Mapping[str, str] = field(repr=False)
    content: bytes = field(repr=False)

    @property
    def request_id(self) -> str | None:
        """The service's id for the request, if it gave one."""
        return _one_line(self.headers.get("x-request-id", "")) or None

    @property
    def is_json(self) -> bool:
        """Whether the body claims to be JSON of any kind."""
        media = self.headers.get("content-type", "").partition(";")[0].strip().lower()
        return media == JSON or media.endswith("+json")


def build(
    operation: Operation[T],
    body: object,
    options: Options,
    *,
    units: Units | None = None,
    path: Mapping[str, str] | None = None,
    query: Mapping[str, str | float | bool] | None = None,
) -> Call[T]:
    """Put a request together.

    Parameters
    ----------
    operation
        What to call.
    body
        None for no body, `bytes` to send as they are, anything else to send as JSON.
    options
        The client's settings.
    units
        Units of this answer, before those in `options`.
    path
        Values for the names in the operation's path.
    query
        Further query parameters.

    Raises
    ------
    ValueError
        If a path value is empty or would lead to another path.
    TypeError
        If the body holds something that has no JSON form.
    """
    filled = operation.path.format_map({name: _segment(name, value) for name, value in (path or {}).items()})
    asked = {name: _query_text(value) for name, value in (query or {}).items()}
    if operation.takes_units and (chosen := units or options.units):
        asked["units"] = chosen
    headers = {"Accept": f"{operation.accept}, {_PROBLEM_JSON}", "User-Agent": f"drawbar-python/{__version__}"}
    if options.token is not None:
        bearer = options.token if isinstance(options.token, str) else checked(options.token())
        headers["Authorization"] = f"Bearer {bearer}"
    content = None
    if isinstance(body, bytes):
        content = body
        headers["Content-Type"] = operation.sends
    elif body is not None:
        content = msgspec.json.encode(body, enc_hook=_plain)
        headers["Content-Type"] = JSON
    url = options.address + filled + (f"?{urlencode(asked)}" if asked else "")
    return Call(operation, options, filled, url, headers, content)


def read(operation: Operation[T], reply: Reply, *, attempts: int, retry_after: float | None) -> T:
    """Turn a response into the result.

    Parameters
    ----------
    operation
        What was called.
    reply
        What came back.
    attempts
        How often it was tried, for the error.
    retry_after
        How long the service asks to be left alone [s], for the error.

    Raises
    ------
    ApiError
        If the status is not a success; the subclass tells the meaning.
    UnreadableAnswer
        If it is one but the body is not of the promised type.
    """
    if not 200 <= reply.status < 300:
        kind = error_class(reply.status)
        raise kind(reply.status, read_problem(reply, kind), reply.request_id, retry_after, attempts)
    if operation.result is bytes:
        return cast(T, reply.content)
    if operation.result is type(None):
        return cast(T, None)
    try:
        decode = msgspec.msgpack.decode if operation.accept == MSGPACK else msgspec.json.decode
        return decode(reply.content, type=operation.result)
    except _UNREADABLE as fault:
        media = _one_line(reply.headers.get("content-type", "")) or "no media type"
        reason = f"{fault}. It is {len(reply.content)} bytes of {media}: {_excerpt(reply.content)!r}"
        raise UnreadableAnswer(reply.status, reason, reply.request_id) from fault


def is_cut_off(fault: UnreadableAnswer, reply: Reply) -> bool:
    """Say whether the answer claims to be JSON and is not even that, as when a connection broke unnoticed.

    Parameters
    ----------
    fault
        Why the answer could not be read.
    reply
        The answer.
    """
    return reply.is_json and not isinstance(fault.__cause__, msgspec.ValidationError)


def read_problem(reply: Reply, kind: type[ApiError]) -> Problem:
    """Read a problem document, or put one together from whatever else a proxy may have sent.

    RFC 9457, section 3.1: a member whose value has the wrong type is to be ignored, not to spoil the rest.

    Parameters
    ----------
    reply
        A response that is not a success.
    kind
        The error it becomes, for the title.
    """
    if 300 <= reply.status < 400:
        return Problem(title="Redirect", status=reply.status, detail=_redirect(reply.headers.get("location", "")))
    try:
        members = msgspec.json.decode(reply.content, type=dict[str, Any])
    except _UNREADABLE:
        members: dict[str, Any] = {}
    readable: dict[str, Any] = {}
    for member in msgspec.structs.fields(Problem):
        try:
            readable[member.name] = msgspec.convert(members[member.name], member.type)
        except (KeyError, msgspec.ValidationError):
            continue
    if "title" in readable or "detail" in readable:
        return Problem(**readable)
    excerpt = _excerpt(reply.content)
    detail = f"the answer is no problem document; it begins {excerpt!r}" if excerpt else "the answer is empty"
    return Problem(title=kind.meaning, status=reply.status, detail=detail)


def retry_after(headers: Mapping[str, str], now: float) -> float | None:
    """Read Retry-After, which is a number of seconds or an HTTP date [s]; None if absent or neither.

    Parameters
    ----------
    headers
        Response headers, names in lower case. A date counts from the Date header, so that a wrong clock on
        this side does no harm.
    now
        Time since the epoch [s], in case there is no Date header.
    """
    text = headers.get("retry-after", "").strip()
    if text.isascii() and text.isdecimal():
        return float(text)
    until = _http_date(text)
    if until is None:
        return None
    since = _http_date(headers.get("date", ""))
    return max(0.0, until - (now if since is None else since))


def _http_date(text: str) -> float | None:
    # 6 ms to import, and hardly ever needed.
    from email.utils import parsedate_to_datetime  # noqa: PLC0415

    try:
        return parsedate_to_datetime(text).timestamp()
    except (ValueError, OverflowError):
        return None


def _segment(name: str, value: str) -> str:
    # Dots are resolved and an empty segment is dropped on the way, so each would call another operation.
    if value in ("", ".", ".."):
        raise ValueError(f"{name} is {value!r}; give an id.")
    return quote(value, safe="")


def _query_text(value: str | float | bool) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _plain(value: object) -> object:
    """Turn NumPy scalars and arrays, and what behaves like them, into plain numbers and lists."""
    tolist = getattr(value, "tolist", None)
    if tolist is None:
        raise TypeError(f"{type(value).__qualname__} has no JSON form; give numbers, text, lists and mappings.")
    return tolist()


def _redirect(location: str) -> str:
    try:
        parts = urlsplit(_one_line(location))
    except ValueError:
        parts = urlsplit("")
    # Only where to: the query of a sign-in redirect may hold secrets.
    target = f"{parts.scheme}://{parts.hostname}{parts.path}" if parts.hostname else parts.path or "nowhere"
    return f"the answer points to {target}. Redirects are not followed; give the right address as base_url."


def _excerpt(content: bytes) -> str:
    return _one_line(content[:_EXCERPT].decode("utf-8", "replace"))


def _one_line(text: str) -> str:
    # Control characters in what a stranger sent must not reach a terminal.
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
