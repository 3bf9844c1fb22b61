"""The handlers of the page. It loads its own stylesheet and scripts and asks this service, nothing else."""

from typing import Any, Literal, TypeAlias

from litestar import Request, Response, route
from litestar.exceptions import NotFoundException
from litestar.handlers import HTTPRouteHandler

from drawbar_service.kept import sent
from drawbar_service.workbench.page import edition, page, parts, worker

_AnyRequest: TypeAlias = Request[Any, Any, Any]
_READ: tuple[Literal["GET"], Literal["HEAD"]] = ("GET", "HEAD")
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' {}; img-src 'self' blob:; connect-src 'self'; "
    "manifest-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_KEPT = "public, max-age=31536000, immutable"


def workbench(sheet_style: str) -> list[HTTPRouteHandler]:
    """Return the handlers of ``/``, of the page's stylesheet and scripts, and of what keeps them for want of a signal.

    Parameters
    ----------
    sheet_style : str
        Hash of the style within a field sheet. The page opens sheets, and what it opens is held to its policy.
    """
    policy = _POLICY.format(f"'{sheet_style}'")

    @route("/", http_method=_READ)
    async def home(request: _AnyRequest) -> Response[bytes]:
        return sent(request, page().body, page().media_type, headers={"Content-Security-Policy": policy})

    @route("/workbench/{edition:str}/{name:str}", http_method=_READ)
    async def part(request: _AnyRequest) -> Response[bytes]:
        found = parts().get(request.path_params["name"])
        if found is None or request.path_params["edition"] != edition():
            raise NotFoundException
        return sent(request, found.body, found.media_type, cache=_KEPT)

    @route("/sw.js", http_method=_READ)
    async def offline(request: _AnyRequest) -> Response[bytes]:
        return sent(request, worker().body, worker().media_type, headers={"Content-Security-Policy": policy})

    return [home, part, offline]
