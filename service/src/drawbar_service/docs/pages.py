"""The handlers of the documentation. It loads nothing from elsewhere, so it works offline, also without its script."""

import asyncio
from typing import Any, Literal

from litestar import Request, Response, route
from litestar.handlers import HTTPRouteHandler

from drawbar_service.api.wire import JSON
from drawbar_service.docs.for_models import for_models
from drawbar_service.docs.site import PATHS, script, search_index, site, style
from drawbar_service.kept import sent

_READ: tuple[Literal["GET"], Literal["HEAD"]] = ("GET", "HEAD")
_POLICY = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
}


def pages() -> list[HTTPRouteHandler]:
    """Return the handlers of every page of the documentation, and of what they load."""

    @route(list(PATHS), http_method=_READ)
    async def docs(request: Request[Any, Any, Any]) -> Response[bytes]:
        return sent(request, site()[request.scope["path"].rstrip("/")], "text/html", headers=_POLICY)

    @route("/docs/style.css", http_method=_READ)
    async def css(request: Request[Any, Any, Any]) -> Response[bytes]:
        return sent(request, style(), "text/css")

    @route("/docs/docs.js", http_method=_READ)
    async def js(request: Request[Any, Any, Any]) -> Response[bytes]:
        return sent(request, script(), "text/javascript")

    @route("/docs/search.json", http_method=_READ)
    async def index(request: Request[Any, Any, Any]) -> Response[bytes]:
        # The first takes a while, beside the loop.
        return sent(request, await asyncio.to_thread(search_index), JSON)

    @route("/llms.txt", http_method=_READ)
    async def llms(request: Request[Any, Any, Any]) -> Response[bytes]:
        return sent(request, for_models(), "text/markdown")

    return [docs, css, js, index, llms]
