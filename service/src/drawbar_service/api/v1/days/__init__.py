"""POST /v1/days: how many days daily weather makes fit for field work, and when the soil freezes."""

import math

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.days.answer import DaysAnswer, answer_of
from drawbar_service.api.v1.days.request import DaysRequest
from drawbar_service.model.weather import days_of_weather


def compute(request: DaysRequest, ledger: Ledger) -> DaysAnswer:
    """Answer with days from weather."""
    return answer_of(request, days_of_weather(request, ledger), ledger)


_DAYS = 84
"""Of the worked example, from July to September."""


def _example() -> dict[str, object]:
    """Return invented weather: a wave for the season, and rain every sixth day."""
    season = [math.sin(math.pi * (day + 60) / 183.0) for day in range(_DAYS)]
    return {
        "first": "2024-07-01",
        "rain": [14.0 if day % 6 == 0 else 2.5 if day % 6 == 1 else 0.0 for day in range(_DAYS)],
        "high": [round(14.0 + 15.0 * one, 1) for one in season],
        "low": [round(3.0 + 14.0 * one, 1) for one in season],
        "latitude": 42.0,
        "to_week": 38,
    }


DAYS = Calculation(
    name="days",
    request=DaysRequest,
    answer=DaysAnswer,
    compute=compute,
    steps=lambda request: len(request.rain),
    summary="Days fit for field work from daily weather, and freeze-up",
    description=(
        "Rain, high and low of each day of your own station make the suitable days of each week, weeks 13 to 48, with "
        "the range that holds 8 of 10."
    ),
    more=(
        "Two stores of water in the soil, the warmth of the season and snow decide; the coefficients are fitted to "
        "the weeks recorded in Iowa (`/v1/reference/soil-water`). Freeze-up is the first day of a week in which the "
        "soil is frozen at 10 cm. Begin 60 days before the first week you want. The `record` of the answer is one "
        "that `/v1/completion` takes."
    ),
    example=_example(),
    by_row="it runs through every day of some years",
    columns=("/years/0/days", "/years/0/low", "/years/0/high"),
)
