from litestar.handlers import HTTPRouteHandler


def pages() -> list[HTTPRouteHandler]:
    return []
