"""The handlers of the documentation. It loads nothing from elsewhere and runs no script, so it works offline."""

from typing import Literal

from litestar import Response, route
from litestar.handlers import HTTPRouteHandler

from drawbar_service.docs.page import page, style

_READ: tuple[Literal["GET"], Literal["HEAD"]] = ("GET", "HEAD")
_POLICY = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    )
}


def pages() -> list[HTTPRouteHandler]:
    """Return the handlers of ``/docs`` and its stylesheet."""

    @route("/docs", http_method=_READ)
    async def docs() -> Response[bytes]:
        return Response(page(), media_type="text/html", headers=_POLICY)

    @route("/docs/style.css", http_method=_READ)
    async def css() -> Response[bytes]:
        return Response(style(), media_type="text/css")

    return [docs, css]
