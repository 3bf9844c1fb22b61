"""Answers for people: which package shows an answer, as which media type."""

from typing import Any, NamedTuple, cast

from drawbar_service.api.answers import Answer
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.curve import PNG, SVG, CurveAnswer
from drawbar_service.api.v1.sheet.answer import HTML, SheetAnswer
from drawbar_service.quantities import UnitSystem

_SVG_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox"
"""A drawing styles its lines in place."""


class Shown(NamedTuple):
    """An answer as people see it."""

    content: bytes
    headers: dict[str, str]


def show(calculation: Calculation[Any, Any], answer: Answer, media_type: str, units: UnitSystem) -> Shown:
    """Return the `answer` of a calculation as one of the media types it is `shown_as`.

    Raises
    ------
    NotAcceptable
        If what draws it is not installed.
    """
    if media_type in (SVG, PNG):
        from drawbar_service.pictures.drawing import picture  # noqa: PLC0415 - a process that draws nothing does without

        content = picture(calculation.name, cast("CurveAnswer", answer), media_type, units)
        return Shown(content, {"Content-Security-Policy": _SVG_POLICY} if media_type == SVG else {})
    from drawbar_service.sheet.page import page, policy  # noqa: PLC0415 - as above

    headers = {"Content-Security-Policy": policy()} if media_type == HTML else {}
    return Shown(page(cast("SheetAnswer", answer)), headers)
