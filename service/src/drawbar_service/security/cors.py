"""Whose web pages may call: none but those listed."""

import re
from typing import Final

from litestar.config.cors import CORSConfig

from drawbar_service.settings import BadSettings, Settings

_ORIGIN: Final = re.compile(r"https?://[A-Za-z0-9.\-\[\]:]{1,255}")
_SHOWN: Final = [
    "Deprecation",
    "ETag",
    "Link",
    "RateLimit",
    "RateLimit-Policy",
    "Retry-After",
    "Sunset",
    "X-Request-ID",
]


def cors_of(settings: Settings) -> CORSConfig | None:
    """Return the rules for pages of other origins; None where no page of another origin may call.

    Raises
    ------
    BadSettings
        If something listed is no origin; `*` is none.
    """
    if not settings.cors_origins:
        return None
    return CORSConfig(
        allow_origins=origins_in(settings.cors_origins, "DRAWBAR_CORS_ORIGINS"),
        allow_methods=["GET", "HEAD", "POST"],
        allow_headers=["Authorization", "Content-Type", "X-Request-ID"],
        expose_headers=_SHOWN,
    )


def origins_in(listed: str, variable: str) -> list[str]:
    """Return the origins in a list with commas between.

    Raises
    ------
    BadSettings
        If something listed is no origin; `*` is none.
    """
    origins = [origin.strip() for origin in listed.split(",")]
    for origin in origins:
        if not _ORIGIN.fullmatch(origin):
            raise BadSettings(
                f"{variable}: {origin!r} is no origin; list each one whole and without a path, "
                "such as https://farm.example or http://localhost:5173"
            )
    return origins
