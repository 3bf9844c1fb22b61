"""What is to go: announced in headers long before it goes.

Each entry makes every answer of a route carry `Deprecation` (RFC 9745), `Sunset` (RFC 8594) and a link to what to do
instead, and marks the operation in the contract. Old words of requests, which the answers that used them announce in
the same way, are in :mod:`~drawbar_service.api.renamed`.
"""

from collections.abc import Sequence
from datetime import UTC, datetime
from email.utils import format_datetime
from typing import Final, NamedTuple, TypeAlias

Header: TypeAlias = tuple[bytes, bytes]


class Farewell(NamedTuple):
    """An announced removal."""

    announced: datetime
    """When it was said that this is to go, in UTC."""
    gone: datetime
    """When it will answer no more, in UTC."""
    link: str
    """Where it is written what to use instead."""


FAREWELLS_SAID: Final = "farewells"
"""Where in the state of a request headers stand that announce what it has in it."""
FAREWELLS: Final[dict[str, Farewell]] = {}
"""By path as the contract writes it, such as ``/v1/slip``. Nothing is to go so far."""


def farewell(path: str) -> Sequence[Header]:
    """Return the headers that announce the removal of a route; none for most."""
    one = FAREWELLS.get(path)
    return () if one is None else headers_of(one)


def headers_of(one: Farewell) -> Sequence[Header]:
    """Return the headers that announce a removal."""
    return (
        (b"deprecation", b"@%d" % one.announced.timestamp()),
        (b"sunset", format_datetime(one.gone.astimezone(UTC), usegmt=True).encode()),
        (b"link", f'<{one.link}>; rel="deprecation", <{one.link}>; rel="sunset"'.encode()),
    )
