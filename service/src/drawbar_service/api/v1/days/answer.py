"""What is answered: suitable days by week and year, freeze-up, and a record for a completion."""

import datetime
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.v1.days import words
from drawbar_service.api.v1.days.request import DaysRequest
from drawbar_service.model.weather import LEAST_WINTERS, DaysOfWeather, Frost


class WeekOfWeather(msgspec.Struct, frozen=True, kw_only=True):
    """Suitable days of a week."""

    year: Annotated[int, Meta(description="Year of the week by ISO 8601.")]
    week: Annotated[int, Meta(description="Its number by ISO 8601.")]
    week_ending: Annotated[datetime.date, Meta(description="Its last day.")]
    days: Annotated[float, Meta(description="Days of it that are suitable.")]
    low: Annotated[float, Meta(description="1 of 10 such weeks has fewer.")]
    high: Annotated[float, Meta(description="1 of 10 such weeks has more.")]


class RecordWeekOfWeather(msgspec.Struct, frozen=True, kw_only=True):
    """A week as the record of a completion takes it."""

    year: Annotated[int, Meta(description="Year of the week by ISO 8601.")]
    week: Annotated[int, Meta(description="Its number by ISO 8601.")]
    days: Annotated[float, Meta(description="Suitable days.")]
    topsoil: Annotated[float, Meta(description="Moisture of the topsoil at its end, from 0 dry to 3 full.")]


class RecordOfWeather(msgspec.Struct, frozen=True, kw_only=True):
    """The weeks as a completion takes them."""

    weeks: Annotated[list[RecordWeekOfWeather], Meta(description="Week by week.")]


class YearOfWeather(msgspec.Struct, frozen=True, kw_only=True):
    """Suitable days of the weeks that are added up, in one year."""

    year: Annotated[int, Meta(description="The year.")]
    days: Annotated[float, Meta(description="Suitable days.")]
    low: Annotated[float, Meta(description="1 of 10 such years has fewer.")]
    high: Annotated[float, Meta(description="1 of 10 such years has more.")]


class FreezeUpOfYear(msgspec.Struct, frozen=True, kw_only=True):
    """When the soil froze in one year."""

    year: Annotated[int, Meta(description="Year of the autumn.")]
    date: Annotated[
        datetime.date | None, Meta(description="First day of a week of frozen soil; null: not by the end of January.")
    ]


class FreezeUp(msgspec.Struct, frozen=True, kw_only=True):
    """When the soil freezes at 10 cm, as dates of the last year."""

    middle: Annotated[
        datetime.date | None,
        Meta(description="In half of the years it was frozen by then; null where it was not by the end of January."),
    ]
    early: Annotated[datetime.date | None, Meta(description="In 1 year of 10.")]
    late: Annotated[datetime.date | None, Meta(description="In 9 years of 10.")]
    spread: Annotated[float | None, Meta(description="Standard deviation from year to year, in days.")]
    by_year: Annotated[list[FreezeUpOfYear], Meta(description="Year by year.")]
    why_null: Annotated[str | None, Meta(description="Why there are no dates; null if there are.")]


class DaysAnswer(Answer, frozen=True, kw_only=True):
    """How many days the weather made fit for field work."""

    summary: Annotated[str, Meta(description="The answer in words.")]
    years: Annotated[list[YearOfWeather], Meta(description="The weeks asked for, added up, of each year that has all.")]
    freeze_up: Annotated[FreezeUp, Meta(description="When the soil freezes.")]
    weeks: Annotated[list[WeekOfWeather], Meta(description="Week by week: weeks 13 to 48 of each year.")]
    record: Annotated[
        RecordOfWeather,
        Meta(
            description=(
                "The same as the `record` of a completion. Its `topsoil` is that of this model: compare it with no "
                "other."
            )
        ),
    ]
    about: AboutField


def answer_of(request: DaysRequest, found: DaysOfWeather, ledger: Ledger) -> DaysAnswer:
    """Return the answer for what the weather made of the days."""
    return DaysAnswer(
        summary=ledger.sentence(lambda: words.summary(request, found)),
        years=[YearOfWeather(year=one.year, days=one.days, low=one.low, high=one.high) for one in found.totals],
        freeze_up=_freeze_up(found.frost, ledger),
        weeks=[
            WeekOfWeather(year=one.year, week=one.week, week_ending=one.end, days=one.days, low=one.low, high=one.high)
            for one in found.weeks
        ],
        record=RecordOfWeather(
            weeks=[
                RecordWeekOfWeather(
                    year=one.year, week=one.week, days=round(one.days, 2), topsoil=round(one.topsoil, 2)
                )
                for one in found.weeks
            ]
        ),
        about=ledger.about(),
    )


def _freeze_up(frost: Frost, ledger: Ledger) -> FreezeUp:
    days = frost.days()
    few = len(days) < LEAST_WINTERS
    return FreezeUp(
        middle=frost.likely(0.5),
        early=frost.likely(0.1),
        late=frost.likely(0.9),
        spread=None if few else float(days.std(ddof=1)),
        by_year=[FreezeUpOfYear(year=year, date=date) for year, date in frost.by_year.items()],
        why_null=ledger.sentence(lambda: words.few_winters(len(days))) if few else None,
    )
