"""What responses carry, and answers that are bytes already; knows no framework."""

from __future__ import annotations

import hashlib
import os
import re
from typing import TYPE_CHECKING

from drawbar_service.api.answers import MODEL_VERSION
from drawbar_service.api.farewell import FAREWELLS_SAID, farewell
from drawbar_service.api.trimmed import Wanted

if TYPE_CHECKING:
    from litestar.types import Message, Receive, Scope, Send

_REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{8,64}")
_ALWAYS = (
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
)
_UNLESS_SET = (
    (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
    (b"cache-control", b"no-store"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


def header_of(scope: Scope, wanted: bytes) -> str | None:
    """Return a request header, None if it is absent; the framework's own mapping costs ten times as much."""
    for name, value in scope["headers"]:
        if name == wanted:
            return value.decode("latin-1")
    return None


def request_id_of(scope: Scope) -> str:
    """Return the id of a request: the caller's if it is sane, else a new one; the same every time for one scope."""
    state = scope["state"]
    known: str | None = state.get("request_id")
    if known is None:
        text = header_of(scope, b"x-request-id") or ""
        known = text if _REQUEST_ID.fullmatch(text) else os.urandom(10).hex()
        state["request_id"] = known
    return known


async def add_headers(message: Message, scope: Scope) -> None:
    """Add what every response carries, and what it carries unless a handler has said otherwise."""
    if message["type"] == "http.response.start":
        headers = [*message["headers"], (b"x-request-id", request_id_of(scope).encode()), *_ALWAYS]
        names = {name for name, _ in headers}
        headers += [header for header in _UNLESS_SET if header[0] not in names]
        headers += scope["state"].get("headers", ())  # how the caller stands with its rate
        headers += farewell(scope["path_template"]) if "path_template" in scope else ()
        headers += scope["state"].get(FAREWELLS_SAID, ())  # by what the request has in it
        message["headers"] = headers


class Answered:
    """An answer that is bytes already: the framework's own response takes ten times as long to put together.

    Parameters
    ----------
    content : bytes
    media_type : str
    headers : dict of str
        Beside its type and its length.
    status : int
    """

    def __init__(self, content: bytes, media_type: str, headers: dict[str, str], status: int = 200) -> None:
        self._content = content
        self._status = status
        written = {
            **headers,
            "content-type": f"{media_type}; charset=utf-8" if media_type.startswith("text/") else media_type,
            "content-length": str(len(content)),
        }
        self._headers = [(name.lower().encode("latin-1"), value.encode("latin-1")) for name, value in written.items()]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send it."""
        await send({"type": "http.response.start", "status": self._status, "headers": self._headers})
        body = b"" if scope["type"] == "http" and scope["method"] == "HEAD" else self._content
        await send({"type": "http.response.body", "body": body, "more_body": False})


def mark_of(body: bytes, answer_type: str, wanted: Wanted) -> str:
    """Return the ``ETag`` of an answer: what it follows from."""
    parts = (MODEL_VERSION.encode(), repr(wanted).encode(), answer_type.encode(), body)
    mark = hashlib.blake2b(b"\0".join(parts), digest_size=12)
    return f'"{mark.hexdigest()}"'
