"""What is answered: the chance to be done in time, by date, and what would raise it."""

import datetime
from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.v1.completion import words
from drawbar_service.api.v1.completion.request import CompletionRequest
from drawbar_service.engine.arrays import FloatArray, Mask, Real, number, somewhere, truth
from drawbar_service.engine.completion import finishing_day
from drawbar_service.engine.years import ROUNDING
from drawbar_service.model.completion import (
    LEVELS,
    Job,
    LeverName,
    Window,
    by_date,
    chance,
    days_spread,
    delay_of,
    known_days,
    levers,
    of_years,
    places_by_gain,
    recorded_days,
    recorded_share,
)
from drawbar_service.model.days import A_WEEK, YearsOfDays
from drawbar_service.model.implement import picked_of
from drawbar_service.model.span import Span
from drawbar_service.model.suitable import Weather, real
from drawbar_service.model.timeliness import Delay
from drawbar_service.quantities import Money, Ratio, Share
from drawbar_service.rows import Names, text_at

LONGEST_DAILY_CURVE = 92
"""Days above which the curve has every seventh day only."""


class Recorded(msgspec.Struct, frozen=True, kw_only=True):
    """What the record itself says, without a model."""

    share: Annotated[Share, Meta(description="Share of years with enough days; low and high hold 95 in 100.")]
    years: Annotated[int, Meta(description="Number of years.")]


class DelayCost(msgspec.Struct, frozen=True, kw_only=True):
    """What it costs that the work takes days."""

    expected: Annotated[Money, Meta(description="For the schedule asked about, with the range of the loss.")]
    balanced: Annotated[Money, Meta(description="If the work lies evenly about the best day.")]
    one_sided: Annotated[Money, Meta(description="If all of it comes before or after the best day.")]
    loss: Annotated[Share, Meta(description="Share of the yield lost for each day.")]


class YearOfWindow(msgspec.Struct, frozen=True, kw_only=True):
    """How the window turned out in a recorded year."""

    year: Annotated[int, Meta(description="Year in which the window starts, by ISO 8601.")]
    days: Annotated[
        float, Meta(description="Suitable days it had; with `so_far`, those it would have from where this year stands.")
    ]
    enough: Annotated[bool, Meta(description="Whether that is enough.")]


class WeekOfWindow(msgspec.Struct, frozen=True, kw_only=True):
    """Some days of the window, a week at most."""

    start: Annotated[datetime.date, Meta(description="First day.")]
    days: Annotated[int, Meta(description="Calendar days, 7 but for the last.")]
    suitable: Annotated[
        Share, Meta(description="Mean share of its days that are suitable; 8 of 10 recorded years lie in the range.")
    ]


class CurvePoint(msgspec.Struct, frozen=True, kw_only=True):
    """The chance to be done by a date."""

    date: Annotated[datetime.date, Meta(description="By the end of this day.")]
    chance: Annotated[Share, Meta(description="Chance to be done.")]


class LikelyDates(msgspec.Struct, frozen=True, kw_only=True):
    """Dates by which the work is done with a given chance, as far as the suitable days are told."""

    even: Annotated[datetime.date | None, Meta(description="50 in 100.")]
    likely: Annotated[datetime.date | None, Meta(description="80 in 100.")]
    very_likely: Annotated[datetime.date | None, Meta(description="90 in 100.")]
    why_null: Annotated[str | None, Meta(description="Why a date is missing; null if none is.")]


class Lever(msgspec.Struct, frozen=True, kw_only=True):
    """One thing changed."""

    name: Annotated[LeverName, Meta(description="What is changed.")]
    change: Annotated[str, Meta(description="The same in words.")]
    chance: Annotated[Share, Meta(description="Chance to be done in time then.")]
    gain: Annotated[Ratio, Meta(description="That chance less the one now.")]
    saves: Annotated[Money | None, Meta(description="Cost of delay saved, if timeliness was asked for.")]


class CompletionAnswer(Answer, frozen=True, kw_only=True):
    """Will it all be done in time."""

    chance: Annotated[Share, Meta(description="Chance to be done by the last day; the range where years are few.")]
    summary: Annotated[str, Meta(description="The answer in words.")]
    days_needed: Annotated[float, Meta(description="Suitable days the work takes.")]
    days_expected: Annotated[float, Meta(description="Suitable days in the window in a middling year.")]
    days_spread: Annotated[float, Meta(description="Their standard deviation from year to year.")]
    calendar_days: Annotated[int, Meta(description="Days in the window, both ends counted.")]
    recorded: Annotated[Recorded | None, Meta(description="What the record says, if it is of this window.")]
    smooth: Annotated[
        Share | None,
        Meta(description="With a `record`: the chance by a beta distribution fitted to the window's years, alone."),
    ]
    by_year: Annotated[list[YearOfWindow], Meta(description="With a `record`: the window in each of its years.")]
    by_week: Annotated[list[WeekOfWindow], Meta(description="With a `record`: the window week by week.")]
    curve: Annotated[list[CurvePoint], Meta(description="Chance by date, to the end of the window.")]
    dates: Annotated[LikelyDates, Meta(description="When it is done with a given chance, past the window too.")]
    levers: Annotated[list[Lever], Meta(description="What would help, the most first.")]
    delay: Annotated[DelayCost | None, Meta(description="What delay costs, if asked for.")]
    about: AboutField


def answer_of(
    request: CompletionRequest,
    window: Window,
    job: Job,
    weather: Weather | YearsOfDays,
    loss: Span[Real] | None,
    ledger: Ledger,
) -> CompletionAnswer:
    """Return the answer for a job; `loss` is the share of the yield lost for each day [1/d], if it was asked about."""
    asked = ledger.asked
    found = chance(job, weather, ends=asked.ranges)
    by_end = by_date(job, weather) if asked("/curve") or asked("/dates") or asked.sentences else None
    done = [real(finishing_day(by_end, level)) for level in LEVELS] if by_end is not None else []
    return CompletionAnswer(
        chance=Share.spanning(found),
        summary=ledger.sentence(lambda: words.summary(request, window.start, job, weather, found.value, done[1])),
        days_needed=number(job.needed()),
        days_expected=number(weather.share * job.days),
        days_spread=number(days_spread(job, weather)),
        calendar_days=job.days,
        recorded=_recorded(job, weather),
        smooth=_smooth(job, weather, ledger),
        by_year=_by_year(job, weather) if asked("/by_year") else [],
        by_week=_by_week(window.start, weather) if asked("/by_week") else [],
        curve=_curve(window.start, job.days, by_end) if by_end is not None else [],
        dates=_dates(window.start, known_days(job, weather), done, ledger) if done else UNKNOWN_DATES,
        levers=_levers(request, job, weather, loss, ledger) if asked("/levers") else [],
        delay=_delay(delay_of(request.timeliness, loss, job, weather)) if asked("/delay") else None,
        about=ledger.about(),
    )


def _recorded(job: Job, weather: Weather | YearsOfDays) -> Recorded | None:
    found, recorded = recorded_share(job, weather), recorded_days(weather)
    if found is None or recorded is None:
        return None
    return Recorded(share=Share.ranged(*found), years=recorded.shape[-1])


def _smooth(job: Job, weather: Weather | YearsOfDays, ledger: Ledger) -> Share | None:
    if not isinstance(weather, YearsOfDays) or not ledger.asked("/smooth"):
        return None
    return Share.of(real(of_years(job, weather, weather.window_totals(job.days), only_last=True).smooth[..., -1]))


def _by_year(job: Job, weather: Weather | YearsOfDays) -> list[YearOfWindow]:
    if not isinstance(weather, YearsOfDays):
        return []
    least = job.needed() - ROUNDING
    return [
        YearOfWindow(year=year, days=days, enough=truth(days >= least))
        for year, days in zip(weather.years, weather.window.tolist(), strict=True)
    ]


def _by_week(start: datetime.date, weather: Weather | YearsOfDays) -> list[WeekOfWindow]:
    if not isinstance(weather, YearsOfDays):
        return []
    weeks: list[WeekOfWindow] = []
    for first in range(0, weather.days, A_WEEK):
        shares: FloatArray = np.mean(weather.daily[:, first : first + A_WEEK], axis=-1)
        low, high = (float(np.quantile(shares, end)) for end in (0.1, 0.9))
        mean = float(np.mean(shares))
        weeks.append(
            WeekOfWindow(
                start=start + datetime.timedelta(days=first),
                days=min(A_WEEK, weather.days - first),
                # A single odd year may put the mean beyond 8 of 10 others.
                suitable=Share.ranged(mean, min(low, mean), max(high, mean)),
            )
        )
    return weeks


def _curve(start: datetime.date, days: int, by_end: FloatArray) -> list[CurvePoint]:
    step = 1 if days <= LONGEST_DAILY_CURVE else 7
    return [
        CurvePoint(date=start + datetime.timedelta(days=day - 1), chance=Share.of(real(by_end[..., day - 1])))
        for day in sorted({*range(step, days + 1, step), days})
    ]


UNKNOWN_DATES = LikelyDates(even=None, likely=None, very_likely=None, why_null=None)
"""Of rows whose dates nobody reads."""


def _dates(start: datetime.date, known: Real, done: list[Real], ledger: Ledger) -> LikelyDates:
    even, likely, very_likely = (_date(start, day) for day in done)
    return LikelyDates(
        even=even, likely=likely, very_likely=very_likely, why_null=_why_null(start, known, done[-1], ledger)
    )


def _date(start: datetime.date, day: Real) -> datetime.date | None:
    """Return the date of a day, 1 being the `start`, or that of each row; None where the day is NaN."""
    days, codes = np.unique(np.asarray(day), return_inverse=True)
    dates = [None if one != one else start + datetime.timedelta(days=one - 1.0) for one in days.tolist()]
    if not isinstance(day, np.ndarray):
        return dates[0]
    texts = [None if date is None else date.isoformat() for date in dates]
    return Names(texts, codes)  # pyright: ignore[reportReturnType, reportArgumentType] - one for each row


def _why_null(start: datetime.date, known: Real, very_likely: Real, ledger: Ledger) -> str | None:
    missing: Mask = very_likely != very_likely
    if not somewhere(missing):
        return None
    # Rows that have the date part here from those that have not.
    return ledger.sentence(lambda: words.why_null(start, known) if missing else "")


def _levers(
    request: CompletionRequest, job: Job, weather: Weather | YearsOfDays, loss: Span[Real] | None, ledger: Ledger
) -> list[Lever]:
    found = levers(job, weather, request.timeliness, loss)
    saves = [one.saves for one in found if one.saves is not None]
    return [
        Lever(
            name=text_at(place, [one.name for one in found]),
            change=ledger.sentence(lambda place=place: text_at(place, [words.change(one, ledger) for one in found])),
            chance=Share.of(picked_of(place, [one.chance for one in found])),
            gain=Ratio.of(picked_of(place, [one.gain for one in found])),
            saves=Money.of(picked_of(place, saves)) if saves else None,
        )
        for place in places_by_gain(found)
    ]


def _delay(found: Delay | None) -> DelayCost | None:
    if found is None:
        return None
    return DelayCost(
        expected=Money.spanning(found.expected),
        balanced=Money.of(found.balanced),
        one_sided=Money.of(found.one_sided),
        loss=Share.spanning(found.loss),
    )
