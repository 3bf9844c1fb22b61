"""A Litestar application that only validates, to measure the service against."""

from typing import Annotated

import msgspec
from litestar import Litestar, post
from litestar.params import JSONBody

from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.quantities import Quantity


class Small(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    speed: Annotated[float, msgspec.Meta(gt=0, le=20)]
    depth: Annotated[float, msgspec.Meta(gt=0, le=2)]


class Empty(msgspec.Struct, frozen=True):
    ok: bool = True


@post("/small", status_code=200)
async def small(data: JSONBody[Small]) -> Empty:
    return Empty()


@post("/match", status_code=200)
async def match(data: JSONBody[MatchRequest]) -> Empty:
    return Empty()


def create_app() -> Litestar:
    return Litestar(
        route_handlers=[small, match],
        openapi_config=None,
        type_decoders=[(lambda kind: issubclass(kind, Quantity), lambda kind, given: kind.read(given))],
    )
