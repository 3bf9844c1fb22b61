"""POST /v1/curves/finish-by-date: the chance to be done by each date of a window."""

import datetime
from typing import Annotated

import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger
from drawbar_service.api.shared.curve import OWN_MODEL, PICTURES, Curve, CurveAnswer, Series, series
from drawbar_service.api.v1 import completion
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.completion.answer import LikelyDates
from drawbar_service.api.v1.completion.request import CompletionRequest
from drawbar_service.api.v1.curves import words
from drawbar_service.quantities import Share

_AS_YEARS = "Days of one year taken as alike, beta-binomial over years"
_AS_RECORDED = "The same window of each recorded year, smoothed by a beta distribution"


class FinishByDateAnswer(CurveAnswer, frozen=True, kw_only=True):
    """The chance to be done, by date."""

    dates: Annotated[list[datetime.date], Meta(description="Dates of the window; by the end of the day.")]
    chance: Annotated[Series, Meta(description="Chance to be done by each.")]
    finish_by: Annotated[datetime.date, Meta(description="Last day of the window.")]
    in_time: Annotated[Share, Meta(description="Chance to be done by then; the range where years are few.")]
    likely: Annotated[LikelyDates, Meta(description="When it is done with a given chance, past the window too.")]
    about: AboutField


def compute(request: CompletionRequest, ledger: Ledger) -> FinishByDateAnswer:
    """Answer with the chance by date."""
    answer = completion.compute(request, ledger)
    chances = np.array([float(point.chance) for point in answer.curve])
    return FinishByDateAnswer(
        title=ledger.sentence(lambda: words.done_by(answer.dates.likely, request.end, answer.chance)),
        summary=answer.summary,
        source=f"{_AS_YEARS if request.record is None else _AS_RECORDED} (own model). {OWN_MODEL}",
        dates=[point.date for point in answer.curve],
        chance=series("Chance to be done", Share, ledger.units, chances),
        finish_by=request.end,
        in_time=answer.chance,
        likely=answer.dates,
        about=ledger.about(),
    )


FINISH_BY_DATE = Curve(
    name="finish-by-date",
    request=CompletionRequest,
    answer=FinishByDateAnswer,
    compute=compute,
    summary="The chance to be done, by date",
    description=(
        "The request is that of `/v1/completion`. The chance to be done by the end of each day of the window; every "
        "seventh day where the window is long."
    ),
    example=COMPLETION.example,
    shown_as=PICTURES,
)
