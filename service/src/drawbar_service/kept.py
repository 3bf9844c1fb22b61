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
from litestar.types import Scope

ASK_AGAIN: Final = "no-cache"
"""A copy may be kept, and is asked about before it is used."""
SMALLEST_PACKED: Final = 1_024
"""Bytes of a document from which it is packed."""
LARGE_ANSWER: Final = 16_384
"""Bytes of an answer from which it is packed, for whoever takes it: smaller ones take longer to pack than to send."""
_TEXTS: Final = ("text/", "application/json", "application/msgpack", "image/svg+xml")
_ANSWER_LEVEL: Final = 4
_VARIES: Final = "Accept, Accept-Encoding"


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
    known = [one.strip().removeprefix("W/") for one in request.headers.get("if-none-match", "").split(",")]
    if mark in known or "*" in known:
        return Response(b"", status_code=304, media_type=media_type, headers=said)
    if packed is not None:
        said["Content-Encoding"] = "gzip"
    return Response(body if packed is None else packed, media_type=media_type, headers=said)


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
