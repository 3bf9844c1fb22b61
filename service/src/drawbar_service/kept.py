"""What callers may keep: documents with a mark that says whether they have changed, and packed where that is worth it.

A document is sent with an ``ETag``. Who sends that back in ``If-None-Match`` is told 304 and nothing more as long as it
has not changed. Bodies are packed with gzip for callers who take it: documents once, for all callers; answers where
they are large.
"""

import gzip
import hashlib
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Final, NamedTuple

from litestar import Request, Response
from litestar.types import ASGIApp, Message, Receive, Scope, Send

ASK_AGAIN: Final = "no-cache"
"""A copy may be kept, and is asked about before it is used."""
SMALLEST_PACKED: Final = 1_024
"""Bytes of a document from which it is packed."""
LARGE_ANSWER: Final = 16_384
"""Bytes of an answer from which it is packed, for whoever takes it: smaller ones take longer to pack than to send."""
_TEXTS: Final = ("text/", "application/json", "application/msgpack", "image/svg+xml")
_ANSWER_LEVEL: Final = 4
_VARIES: Final = "Accept, Accept-Encoding"
_KEPT: Final = ((b"cache-control", ASK_AGAIN.encode()), (b"vary", _VARIES.encode()))


class _Document(NamedTuple):
    mark: str
    packed: bytes | None


def sent(
    request: Request[Any, Any, Any],
    body: bytes,
    media_type: str,
    *,
    cache: str = ASK_AGAIN,
    headers: Mapping[str, str] | None = None,
) -> Response[bytes]:
    """Return a document, or 304 where the caller has it already.

    Parameters
    ----------
    request : Request
    body : bytes
        The document, as it is when it is not packed.
    media_type : str
    cache : str
        Of ``Cache-Control``.
    headers : mapping, optional
        What else is said with it.
    """
    document = _document(body)
    packed = document.packed if takes_gzip(request.scope) else None
    mark = f'"{document.mark}{"-gzip" if packed is not None else ""}"'
    said = {**(headers or {}), "ETag": mark, "Cache-Control": cache, "Vary": _VARIES}
    if is_known(request.scope, mark):
        return Response(b"", status_code=304, media_type=media_type, headers=said)
    if packed is not None:
        said["Content-Encoding"] = "gzip"
    return Response(body if packed is None else packed, media_type=media_type, headers=said)


def is_known(scope: Scope, mark: str) -> bool:
    """Return whether the caller has what this mark is of, by the header ``If-None-Match``."""
    for name, value in scope["headers"]:
        if name == b"if-none-match":
            known = [one.strip().removeprefix("W/") for one in value.decode("latin-1").split(",")]
            return mark in known or "*" in known
    return False


class NotModified:
    """Says that the caller has an answer already.

    Parameters
    ----------
    mark : str
        Of the answer.
    """

    def __init__(self, mark: str) -> None:
        self._headers = [(b"etag", mark.encode("latin-1")), *_KEPT]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send it."""
        await send({"type": "http.response.start", "status": 304, "headers": self._headers})
        await send({"type": "http.response.body", "body": b"", "more_body": False})


class MayBeKept:
    """An answer that a caller may keep, and asks about before it is used again.

    Parameters
    ----------
    answer : ASGIApp
    """

    def __init__(self, answer: ASGIApp) -> None:
        self._answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send it."""

        async def said(message: Message) -> None:
            if message["type"] == "http.response.start":
                others = [one for one in message["headers"] if one[0] != b"vary"]
                message["headers"] = [*others, *_KEPT]
            await send(message)

        await self._answer(scope, receive, said)


@lru_cache(maxsize=256)
def _document(body: bytes) -> _Document:
    packed = gzip.compress(body, 9, mtime=0) if len(body) >= SMALLEST_PACKED else None
    return _Document(hashlib.blake2b(body, digest_size=8).hexdigest(), packed)


def worth_packing(scope: Scope, content: bytes, media_type: str) -> bool:
    """Return whether an answer is to be packed for this caller."""
    return len(content) >= LARGE_ANSWER and media_type.startswith(_TEXTS) and takes_gzip(scope)


def pack(content: bytes) -> bytes:
    """Return an answer as gzip."""
    return gzip.compress(content, _ANSWER_LEVEL, mtime=0)


def takes_gzip(scope: Scope) -> bool:
    """Return whether the header ``Accept-Encoding`` of a request admits gzip by name."""
    for name, value in scope["headers"]:
        if name == b"accept-encoding":
            for one in value.decode("latin-1").lower().split(","):
                coding, _, quality = one.partition(";")
                if coding.strip() == "gzip":
                    return quality.replace(" ", "").removeprefix("q=") not in ("0", "0.0", "0.00", "0.000")
    return False
