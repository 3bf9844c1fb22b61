"""Answers for people: which package shows an answer, as which media type.

What draws, and the types of what is drawn, are loaded with the first that is shown.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, cast

if TYPE_CHECKING:
    from drawbar_service.api.answers import Answer
    from drawbar_service.api.calculation import Calculation
    from drawbar_service.api.trimmed import Wanted

_SVG_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox"
"""A drawing styles its lines in place."""


class Shown(NamedTuple):
    """An answer as people see it."""

    content: bytes
    headers: dict[str, str]


def show(calculation: Calculation[Any, Any], answer: Answer, media_type: str, wanted: Wanted) -> Shown:
    """Return the `answer` of a calculation as one of the media types it is `shown_as`, as it is `wanted`.

    Raises
    ------
    NotAcceptable
        If what draws it is not installed.
    """
    from drawbar_service.api.shared.curve import PNG, SVG, CurveAnswer  # noqa: PLC0415
    from drawbar_service.api.v1.sheet.answer import HTML, SheetAnswer  # noqa: PLC0415
    from drawbar_service.pictures.drawing import picture  # noqa: PLC0415
    from drawbar_service.sheet.page import page, policy  # noqa: PLC0415

    if media_type in (SVG, PNG):
        content = picture(calculation.name, cast("CurveAnswer", answer), media_type, wanted)
        return Shown(content, {"Content-Security-Policy": _SVG_POLICY} if media_type == SVG else {})
    headers = {"Content-Security-Policy": policy()} if media_type == HTML else {}
    return Shown(page(cast("SheetAnswer", answer)), headers)
