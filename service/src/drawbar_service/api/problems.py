"""Failures as RFC 9457 problem documents."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.faults import Fault

PROBLEM_MEDIA_TYPE = "application/problem+json"
PATH = "/docs/problems"
"""Page that explains every kind of problem, each at an anchor of its name."""


class Problem(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Why a request was not answered (RFC 9457)."""

    type: Annotated[str, Meta(description="What kind of problem: a stable link into the documentation.")]
    title: Annotated[str, Meta(description="The kind of problem in words, the same every time.")]
    status: Annotated[int, Meta(description="HTTP status.", ge=400, le=599)]
    detail: Annotated[str, Meta(description="What happened this time and what would be right.")]
    instance: Annotated[str, Meta(description="Request id; also in the header `X-Request-ID`.")] = ""
    errors: Annotated[list[Fault], Meta(description="Every fault found in the request.")] = []


class Kind(msgspec.Struct, frozen=True):
    """A kind of problem the service reports."""

    name: str
    status: int
    title: str
    meaning: str


KINDS = {
    kind.status: kind
    for kind in (
        Kind("unreadable", 400, "The body could not be read", "It is not well-formed JSON or MessagePack in UTF-8."),
        Kind(
            "who-are-you",
            401,
            "A key or token is needed, or this one is not good",
            "This service wants to know who calls: send a key or token in the header `Authorization: Bearer`.",
        ),
        Kind("not-allowed", 403, "You may not do this", "The key or token is good, but lacks the scope for this."),
        Kind(
            "not-found",
            404,
            "There is nothing at this address",
            "The path, or the id in it, does not exist; see /docs/reference.",
        ),
        Kind("wrong-method", 405, "This address does not take that method", "The header `Allow` lists those it takes."),
        Kind(
            "not-acceptable",
            406,
            "No form of answer you accept is offered",
            "Answers come as JSON or MessagePack; batches as NDJSON, CSV and Arrow, too; pictures as SVG and PNG; the "
            "field sheet as HTML.",
        ),
        Kind("too-slow", 408, "The body did not come in time", "Nothing was sent, or taken, for too long."),
        Kind(
            "too-big",
            413,
            "The body is too big",
            "The detail says how many bytes, or of a batch how many rows, are taken.",
        ),
        Kind(
            "wrong-media-type",
            415,
            "The body is of a kind that is not read here",
            "The header `Accept-Post` lists what is read.",
        ),
        Kind(
            "impossible-input",
            422,
            "The request can be read but not answered",
            "A field is missing, misspelt, of the wrong kind, in an unknown unit, or beyond what makes physical sense. "
            "All faults are listed, each with a pointer.",
        ),
        Kind(
            "too-often",
            429,
            "You ask for more than you may spend",
            "Try again after the seconds in the header `Retry-After`. `RateLimit` says how many cost units are left; a "
            "draft takes one.",
        ),
        Kind("fault", 500, "The service failed", "A fault of the service, not of the request. Quote the request id."),
        Kind("busy", 503, "The service is busy", "Try again after the seconds in the header `Retry-After`."),
    )
}


def problem(status: int, detail: str, request_id: str, errors: list[Fault] | None = None) -> Problem:
    """Return the problem document for a `status` listed in :data:`KINDS`."""
    kind = KINDS[status]
    return Problem(
        type=f"{PATH}#{kind.name}",
        title=kind.title,
        status=status,
        detail=detail,
        instance=request_id,
        errors=errors or [],
    )
