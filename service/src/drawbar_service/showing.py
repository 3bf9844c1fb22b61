"""Answers for people: which package shows an answer, as which media type."""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple, cast

from drawbar_service.api.answers import Answer
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.curve import PNG, SVG, CurveAnswer
from drawbar_service.api.v1.sheet.answer import HTML, SheetAnswer
from drawbar_service.pictures.drawing import picture
from drawbar_service.quantities import UnitSystem
from drawbar_service.sheet.page import page, policy

_HEADERS: Mapping[str, Callable[[], str]] = {
    # A drawing styles its lines in place.
    SVG: lambda: "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox",
    HTML: policy,
}


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
        content = picture(calculation.name, cast("CurveAnswer", answer), media_type, units)
    else:
        content = page(cast("SheetAnswer", answer))
    headers = {"Content-Security-Policy": _HEADERS[media_type]()} if media_type in _HEADERS else {}
    return Shown(content, headers)
