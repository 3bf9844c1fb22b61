"""Whose web pages may show this service within them: none but those listed."""

from typing import Final

from litestar.types import Message, Scope

from drawbar_service.security.cors import origins_in
from drawbar_service.settings import Settings

_NOBODY: Final = b"frame-ancestors 'none'"


def embedding_of(settings: Settings) -> list["Embedding"]:
    """Return what changes the headers of answers for pages that embed them; nothing where no page may.

    Raises
    ------
    BadSettings
        If something listed is no origin; `*` is none.
    """
    shut = not settings.frame_ancestors and settings.resource_policy == "same-origin"
    return [] if shut else [Embedding(settings)]


class Embedding:
    """What is changed in the headers of every answer, so that pages of other origins may embed it.

    Parameters
    ----------
    settings : Settings
    """

    def __init__(self, settings: Settings) -> None:
        listed = origins_in(settings.frame_ancestors, "DRAWBAR_FRAME_ANCESTORS") if settings.frame_ancestors else []
        self._ancestors = " ".join(("frame-ancestors 'self'", *listed)).encode() if listed else None
        self._policy = settings.resource_policy.encode()

    async def __call__(self, message: Message, scope: Scope) -> None:
        """Change them, after all others have been added."""
        if message["type"] != "http.response.start":
            return
        headers: list[tuple[bytes, bytes]] = []
        for name, value in message["headers"]:
            if name == b"x-frame-options" and self._ancestors is not None:
                continue  # it knows no list of origins, and the policy says it all
            if name == b"content-security-policy" and self._ancestors is not None:
                headers.append((name, value.replace(_NOBODY, self._ancestors)))
            elif name == b"cross-origin-resource-policy":
                headers.append((name, self._policy))
            else:
                headers.append((name, value))
        message["headers"] = headers
