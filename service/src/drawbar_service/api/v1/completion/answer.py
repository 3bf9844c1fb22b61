"""POST /v1/completion: the chance to be done in time, and what would raise it."""

import datetime
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation, a_while
from drawbar_service.api.shared.implement import RowId
from drawbar_service.api.shared.suitable import SuitableDays, Weather, weather_of
from drawbar_service.api.v1.completion.timeliness import DelayCost, Timeliness, daily_loss, delay_cost
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.completion import (
    chance_of_days,
    finishing_day,
    likely_capacities,
    share_of_years,
    spread_of_suitable_days,
    suitable_days_needed,
)
from drawbar_service.quantities import Area, AreaRate, Money, Ratio, Share, TimeLost, Workday
from drawbar_service.reference import UnknownReference, breakdown

Several = Annotated[int, Meta(ge=1, le=20)]
LeverName: TypeAlias = Literal[
    "longer-day", "another-machine", "wider-tool", "faster", "one-pass-fewer", "a-week-earlier"
]

LONGEST_WINDOW = 366
"""Days a window may have [1]."""
YEARS = (1900, 2200)
"""Years a window may lie in."""
LONGEST_DAILY_CURVE = 92
"""Days above which the curve tells every seventh day only."""
AN_HOUR = 3600.0
WIDER, FASTER = 1.25, 1.10
"""How much wider or faster a lever makes the machine [1]."""
SECONDS_PER_DAY = 86_400.0
LEVELS = (0.5, 0.8, 0.9)
"""Chances that dates are told for [1]."""


class CompletionRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Work to be done in a window."""

    area: Annotated[Area, Meta(description="Land to work.", examples=["180 ha"])]
    done: Annotated[Area | None, Meta(description="Of it: worked already.")] = None
    passes: Annotated[Several, Meta(description="Passes over the land with this machine.")] = 1
    capacity: Annotated[
        AreaRate, Meta(description="Effective field capacity of one machine; see `/v1/match`.", examples=["3.1 ha/h"])
    ]
    capacity_low: Annotated[
        AreaRate | None,
        Meta(description="It is below this 5 times in 100; with `capacity_high`, the chance takes the range in."),
    ] = None
    capacity_high: Annotated[AreaRate | None, Meta(description="It is above this 5 times in 100.")] = None
    machines: Annotated[Several, Meta(description="Machines at work side by side.")] = 1
    workday: Annotated[Workday, Meta(description="Hours at work on a suitable day.", examples=["9 h"])]
    time_lost: Annotated[
        TimeLost | None, Meta(description="Share of it lost to breakdowns and waiting.", examples=["5 %"])
    ] = None
    breakdowns: Annotated[
        RowId | None,
        Meta(
            description="Row of `/v1/reference/breakdown`, whose hours each machine stands, in place of `time_lost`.",
            examples=["tillage"],
        ),
    ] = None
    start: Annotated[datetime.date, Meta(description="First day of the window.", examples=["2027-10-20"])]
    finish_by: Annotated[datetime.date, Meta(description="Last day of the window.", examples=["2027-11-25"])]
    suitable: Annotated[SuitableDays, Meta(description="How many days are fit for field work.")]
    timeliness: Annotated[Timeliness | None, Meta(description="What delay costs; leave out not to ask.")] = None


class Recorded(msgspec.Struct, frozen=True, kw_only=True):
    """What the record itself says, without a model."""

    share: Annotated[Share, Meta(description="Share of years with enough days; low and high hold 95 in 100.")]
    years: Annotated[int, Meta(description="Number of years.")]


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
    curve: Annotated[list[CurvePoint], Meta(description="Chance by date, to the end of the window.")]
    dates: Annotated[LikelyDates, Meta(description="When it is done with a given chance, past the window too.")]
    levers: Annotated[list[Lever], Meta(description="What would help, the most first.")]
    delay: Annotated[DelayCost | None, Meta(description="What delay costs, if asked for.")]
    about: AboutField


class _Job(NamedTuple):
    """The work in SI units; a lever changes one of its members."""

    area: float
    passes: int
    capacity: float
    """Of one machine, the median [m^2/s]"""
    pace: FloatArray
    """Capacities that are equally likely, over the median [1]"""
    machines: int
    workday: float
    time_lost: float
    repair_time: float
    """Time each machine stands for repairs [s]"""
    days: int

    def needed(self) -> float:
        """Return the suitable days it takes at the median capacity [1]."""
        return float(
            suitable_days_needed(
                self.area * self.passes, self.capacity, self.workday, self.machines, self.time_lost, self.repair_time
            )
        )

    def likely_needs(self) -> FloatArray:
        """Return the suitable days it takes at each of the likely capacities [1]."""
        return np.asarray(
            suitable_days_needed(
                self.area * self.passes,
                self.capacity * self.pace,
                self.workday,
                self.machines,
                self.time_lost,
                self.repair_time,
            )
        )

    def chance(self, days: FloatArray, share: float, correlation: float) -> FloatArray:
        """Return the chance to be done within each of these `days` [1]."""
        needs = self.likely_needs()[:, np.newaxis]
        return np.mean(np.asarray(chance_of_days(needs, days, share, correlation)), axis=0)


def compute(request: CompletionRequest, ledger: Ledger) -> CompletionAnswer:
    """Answer a completion request."""
    job = _job(request, ledger)
    weather = weather_of(request.suitable, job.days, ledger, "/suitable")
    loss = daily_loss(request.timeliness, ledger) if request.timeliness is not None else None
    ledger.stop_at_faults()
    assert weather is not None
    ledger.use("derived")
    chance = _chance(job, weather)
    reach = np.arange(1.0, max(job.days, weather.period) + 1.0)
    by_day = job.chance(reach, weather.share, float(weather.fit.correlation))
    dates = _dates(request.start, by_day)
    return CompletionAnswer(
        chance=chance,
        summary=_summary(request, job, weather, chance, dates),
        days_needed=job.needed(),
        days_expected=weather.share * job.days,
        days_spread=float(spread_of_suitable_days(weather.fit.share, weather.fit.correlation, float(job.days))),
        calendar_days=job.days,
        recorded=_recorded(job, weather),
        curve=_curve(request.start, by_day[: job.days]),
        dates=dates,
        levers=_levers(job, weather, request.timeliness, loss, ledger),
        delay=_delay(request.timeliness, loss, job, weather),
        about=ledger.about(),
    )


def _job(request: CompletionRequest, ledger: Ledger) -> _Job:
    days = (request.finish_by - request.start).days + 1
    if not YEARS[0] <= request.start.year <= YEARS[1]:
        ledger.fault("/start", f"a date from {YEARS[0]} to {YEARS[1]}")
    if not 1 <= days <= LONGEST_WINDOW:
        ledger.fault(
            "/finish_by", f"the window is from 1 to {LONGEST_WINDOW} days long, both ends counted; this is {days}"
        )
    done = float(request.done) if request.done is not None else 0.0
    if done >= float(request.area):
        ledger.fault("/done", "less than the area; nothing is left to do")
    lost, repair_time = _standing(request, ledger)
    return _Job(
        float(request.area) - done,
        request.passes,
        float(request.capacity),
        _pace(request, ledger),
        request.machines,
        float(request.workday),
        lost,
        repair_time,
        days,
    )


def _standing(request: CompletionRequest, ledger: Ledger) -> tuple[float, float]:
    """Return the share of work time that is lost [1], and the time each machine stands besides [s]."""
    if request.breakdowns is None:
        return ledger.fallback(request.time_lost, "/time_lost", "time_lost"), 0.0
    if request.time_lost is not None:
        ledger.fault("/breakdowns", "give time_lost or breakdowns, not both: each tells the time lost")
    try:
        row = breakdown(request.breakdowns)
    except UnknownReference as error:
        ledger.unknown("/breakdowns", error)
        return 0.0, 0.0
    ledger.use(row.source)
    ledger.warn(
        "rough-estimate",
        "/breakdowns",
        f"{row.hours_per_year:g} h for each machine: a whole year of {row.operation.lower()}. {row.note}".rstrip(),
    )
    return 0.0, row.hours_per_year * AN_HOUR


def _pace(request: CompletionRequest, ledger: Ledger) -> FloatArray:
    low, middle, high = request.capacity_low, request.capacity, request.capacity_high
    if low is None and high is None:
        return np.ones(1)
    if low is None or high is None:
        missing = "capacity_low" if low is None else "capacity_high"
        ledger.fault(f"/{missing}", "give both ends of the capacity, or neither")
        return np.ones(1)
    for name, fits in (("capacity_low", low <= middle), ("capacity_high", middle <= high)):
        if not fits:
            ledger.fault(f"/{name}", "capacity_low, capacity and capacity_high rise")
    if low < high and low <= middle <= high:
        return likely_capacities(float(middle), float(low), float(high)) / float(middle)
    return np.ones(1)


def _chance(job: _Job, weather: Weather) -> Share:
    days = np.array([float(job.days)])
    ends = np.clip(weather.share + np.array([0.0, -2.0, 2.0]) * weather.mean_error, 0.0, 1.0)
    middle, low, high = (float(job.chance(days, share, float(weather.fit.correlation))[0]) for share in ends.tolist())
    return Share.ranged(middle, low, high) if weather.mean_error else Share(middle)


def _recorded(job: _Job, weather: Weather) -> Recorded | None:
    if weather.recorded is None:
        return None
    found = share_of_years(np.array(weather.recorded), job.needed())
    return Recorded(share=Share.ranged(*found), years=len(weather.recorded))


def _curve(start: datetime.date, by_day: FloatArray) -> list[CurvePoint]:
    days = len(by_day)
    step = 1 if days <= LONGEST_DAILY_CURVE else 7
    return [
        CurvePoint(date=start + datetime.timedelta(days=day - 1), chance=Share(float(by_day[day - 1])))
        for day in sorted({*range(step, days + 1, step), days})
    ]


def _dates(start: datetime.date, by_day: FloatArray) -> LikelyDates:
    days = [finishing_day(by_day, level) for level in LEVELS]
    even, likely, very_likely = (start + datetime.timedelta(days=day - 1) if day is not None else None for day in days)
    end = start + datetime.timedelta(days=len(by_day) - 1)
    why = (
        f"Not by {end.isoformat()}: the suitable days are told for {len(by_day)} days, and nothing is known of later "
        "ones. Give the days of a longer period to look further."
    )
    return LikelyDates(even=even, likely=likely, very_likely=very_likely, why_null=why if very_likely is None else None)


# ---- what would help


def _levers(
    job: _Job,
    weather: Weather,
    timeliness: Timeliness | None,
    loss: tuple[float, float] | None,
    ledger: Ledger,
) -> list[Lever]:
    day = Workday(job.workday + AN_HOUR)
    changes: list[tuple[LeverName, str, _Job]] = [
        ("another-machine", f"{job.machines + 1} machines", job._replace(machines=job.machines + 1)),
        ("wider-tool", f"{WIDER:g} times as wide", job._replace(capacity=job.capacity * WIDER)),
        ("faster", f"{FASTER:g} times as fast", job._replace(capacity=job.capacity * FASTER)),
        ("a-week-earlier", "start a week earlier, on days like these", job._replace(days=job.days + 7)),
    ]
    if float(day) <= SECONDS_PER_DAY:
        changes.append(("longer-day", f"{ledger.say(day)} a day", job._replace(workday=float(day))))
    if job.passes > 1:
        fewer = job.passes - 1
        changes.append(("one-pass-fewer", f"{fewer} pass{'es' if fewer > 1 else ''}", job._replace(passes=fewer)))
    now, cost = float(_chance(job, weather)), _delay(timeliness, loss, job, weather)
    levers: list[Lever] = []
    for name, change, changed in changes:
        chance, less = float(_chance(changed, weather)), _delay(timeliness, loss, changed, weather)
        levers.append(
            Lever(
                name=name,
                change=change,
                chance=Share(chance),
                gain=Ratio(chance - now),
                saves=Money(float(cost.expected) - float(less.expected)) if cost and less else None,
            )
        )
    return sorted(levers, key=lambda lever: (-float(lever.gain), -float(lever.saves or 0.0)))


def _delay(asked: Timeliness | None, loss: tuple[float, float] | None, job: _Job, weather: Weather) -> DelayCost | None:
    if asked is None or loss is None:
        return None
    return delay_cost(asked, loss, job.area, job.area / job.needed(), weather.share)


def _summary(request: CompletionRequest, job: _Job, weather: Weather, chance: Share, dates: LikelyDates) -> str:
    text = (
        f"{100 * float(chance):.0f} in 100 to be done by {request.finish_by.isoformat()}: the work takes "
        f"{job.needed():.1f} suitable days, and the window has about {weather.share * job.days:.1f} of {job.days}."
    )
    if dates.likely is None:
        return f"{text} 80 in 100 is not reached within the window."
    return f"{text} Done with 80 in 100 by {dates.likely.isoformat()}."


COMPLETION = Calculation(
    name="completion",
    request=CompletionRequest,
    answer=CompletionAnswer,
    compute=compute,
    lasts=a_while,
    summary="The chance to be done in time, and what would raise it",
    description=(
        "How many suitable days the work takes, and the chance that the window has them. Days of one year resemble "
        "each other more than days of different years, so their number is taken as beta-binomial, fitted to a record, "
        "a mean and spread, or a table; a plain binomial would be far too sure. Dry spells within a year are not "
        "modelled, and dates are told only as far as the figures reach. "
        "Names what would help most, and what delay costs."
    ),
    example={
        "area": "180 ha",
        "capacity": "3.1 ha/h",
        "workday": "9 h",
        "start": "2027-10-20",
        "finish_by": "2027-11-25",
        "suitable": {"mean": 13.5, "spread": 4.8},
    },
    columns=(
        "/chance",
        "/days_needed",
        "/days_expected",
        "/days_spread",
    ),
)
