"""The handlers of the documentation. It loads nothing from elsewhere and runs no script, so it works offline."""

from typing import Any, Literal

from litestar import Request, Response, route
from litestar.handlers import HTTPRouteHandler

from drawbar_service.docs.for_models import for_models
from drawbar_service.docs.site import PATHS, site, style
from drawbar_service.kept import sent

_READ: tuple[Literal["GET"], Literal["HEAD"]] = ("GET", "HEAD")
_POLICY = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    )
}


def pages() -> list[HTTPRouteHandler]:
    """Return the handlers of every page of the documentation, and of its stylesheet."""

    @route(list(PATHS), http_method=_READ)
    async def docs(request: Request[Any, Any, Any]) -> Response[bytes]:
        return sent(request, site()[request.scope["path"].rstrip("/")], "text/html", headers=_POLICY)

    @route("/docs/style.css", http_method=_READ)
    async def css(request: Request[Any, Any, Any]) -> Response[bytes]:
        return sent(request, style(), "text/css")

    @route("/llms.txt", http_method=_READ)
    async def llms(request: Request[Any, Any, Any]) -> Response[bytes]:
        return sent(request, for_models(), "text/markdown")

    return [docs, css, llms]
