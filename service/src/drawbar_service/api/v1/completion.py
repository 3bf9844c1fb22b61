"""POST /v1/completion: the chance to be done in time, and what would raise it."""

import datetime
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.implement import RowId
from drawbar_service.engine.completion import (
    Interval,
    Suitability,
    chance_of_days,
    finishing_day,
    share_of_years,
    spread_from_range,
    spread_of_suitable_days,
    suitability,
    suitable_days_needed,
    timeliness_cost,
)
from drawbar_service.quantities import Area, AreaRate, CropPrice, Money, Ratio, Share, TimeLost, Workday, Yield
from drawbar_service.reference import UnknownReference, suitable_days, timeliness

Days = Annotated[float, Meta(ge=0.0, le=366.0)]
DaysByYear = Annotated[list[Days], Meta(min_length=3, max_length=200)]
Several = Annotated[int, Meta(ge=1, le=20)]
PeriodDays = Annotated[int, Meta(ge=2, le=366)]
Years = Annotated[int, Meta(ge=2, le=200)]
LeverName: TypeAlias = Literal[
    "longer-day", "another-machine", "wider-tool", "faster", "one-pass-fewer", "a-week-earlier"
]
Schedule: TypeAlias = Literal["balanced", "one-sided"]

HORIZON = 366
"""Days looked ahead for a date by which the work is likely to be done."""
LONGEST_DAILY_CURVE = 92
"""Days above which the curve tells every seventh day only."""
AN_HOUR = 3600.0
WIDER, FASTER = 1.25, 1.10
"""How much wider or faster a lever makes the machine [1]."""
SECONDS_PER_DAY = 86_400.0


class SuitableDays(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How many days are fit for field work: a record, a mean with its spread, or a row of the table."""

    period_days: Annotated[
        PeriodDays | None,
        Meta(description="Calendar days the figures are about; the window itself if left out."),
    ] = None
    history: Annotated[
        DaysByYear | None, Meta(description="Suitable days of each recorded year.", examples=[[12.5, 9.0, 17.0, 14.0]])
    ] = None
    mean: Annotated[Days | None, Meta(description="Suitable days in a middling year.")] = None
    spread: Annotated[Days | None, Meta(description="Standard deviation from year to year.")] = None
    least: Annotated[Days | None, Meta(description="In the worst year, in place of a spread.")] = None
    most: Annotated[Days | None, Meta(description="In the best year.")] = None
    years: Annotated[Years | None, Meta(description="Number of years behind mean, least and most.")] = None
    row: Annotated[
        RowId | None,
        Meta(description="Row of `/v1/reference/suitable-days`.", examples=["illinois-central.spring"]),
    ] = None


class Timeliness(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a day off the best one costs. Give `loss` or `row`."""

    loss: Annotated[Share | None, Meta(description="Share of the yield lost for each day.", examples=["0.7 %"])] = None
    row: Annotated[RowId | None, Meta(description="Row of `/v1/reference/timeliness`.")] = None
    crop_yield: Annotated[Yield, Meta(description="Yield on the best day.", examples=["8 t/ha"])]
    price: Annotated[CropPrice, Meta(description="What the crop is worth.", examples=["190 money/t"])]
    schedule: Annotated[Schedule, Meta(description="Work evenly about the best day, or all of it before or after.")] = (
        "one-sided"
    )


class CompletionRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Work to be done in a window."""

    area: Annotated[Area, Meta(description="Land to work.", examples=["180 ha"])]
    done: Annotated[Area | None, Meta(description="Of it: worked already.")] = None
    passes: Annotated[Several, Meta(description="Passes over the land with this machine.")] = 1
    capacity: Annotated[
        AreaRate, Meta(description="Effective field capacity of one machine; see `/v1/match`.", examples=["3.1 ha/h"])
    ]
    machines: Annotated[Several, Meta(description="Machines at work side by side.")] = 1
    workday: Annotated[Workday, Meta(description="Hours at work on a suitable day.", examples=["9 h"])]
    time_lost: Annotated[
        TimeLost | None, Meta(description="Share of it lost to breakdowns and waiting.", examples=["5 %"])
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
    """Dates by which the work is done with a given chance; null where that lies more than a year ahead."""

    even: Annotated[datetime.date | None, Meta(description="50 in 100.")]
    likely: Annotated[datetime.date | None, Meta(description="80 in 100.")]
    very_likely: Annotated[datetime.date | None, Meta(description="90 in 100.")]


class Lever(msgspec.Struct, frozen=True, kw_only=True):
    """One thing changed."""

    name: Annotated[LeverName, Meta(description="What is changed.")]
    change: Annotated[str, Meta(description="The same in words.")]
    chance: Annotated[Share, Meta(description="Chance to be done in time then.")]
    gain: Annotated[Ratio, Meta(description="That chance less the one now.")]
    saves: Annotated[Money | None, Meta(description="Cost of delay saved, if timeliness was asked for.")]


class DelayCost(msgspec.Struct, frozen=True, kw_only=True):
    """What it costs that the work takes days."""

    expected: Annotated[Money, Meta(description="For the schedule asked about, with the range of the loss.")]
    balanced: Annotated[Money, Meta(description="If the work lies evenly about the best day.")]
    one_sided: Annotated[Money, Meta(description="If all of it comes before or after the best day.")]
    loss: Annotated[Share, Meta(description="Share of the yield lost for each day.")]


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
    machines: int
    workday: float
    time_lost: float
    days: int

    def needed(self) -> float:
        """Return the suitable days it takes."""
        return float(
            suitable_days_needed(self.area * self.passes, self.capacity, self.workday, self.machines, self.time_lost)
        )

    def day_rate(self) -> float:
        """Return the land finished on a suitable day [m^2/d]."""
        return self.capacity * self.workday * self.machines * (1.0 - self.time_lost) / self.passes


class _Weather(NamedTuple):
    """How days turn out."""

    fit: Suitability
    mean_error: float
    """Standard error of the mean share [1]; 0 where the number of years is not known."""
    recorded: list[float] | None
    """Suitable days of each year, if the record is of the window itself."""


def compute(request: CompletionRequest, ledger: Ledger) -> CompletionAnswer:
    """Answer a completion request."""
    days = (request.finish_by - request.start).days + 1
    if not 1 <= days <= HORIZON:
        ledger.fault("/finish_by", f"the window is from 1 to {HORIZON} days long, both ends counted; this is {days}")
    done = float(request.done) if request.done is not None else 0.0
    if done >= float(request.area):
        ledger.fault("/done", "less than the area; nothing is left to do")
    lost = ledger.fallback(request.time_lost, "/time_lost", "time_lost")
    weather = _weather(request.suitable, days, ledger)
    loss = _loss(request.timeliness, ledger) if request.timeliness is not None else None
    ledger.stop_at_faults()
    assert weather is not None
    job = _Job(
        float(request.area) - done,
        request.passes,
        float(request.capacity),
        request.machines,
        float(request.workday),
        lost,
        days,
    )
    ledger.use("derived")
    chance = _chance(job, weather)
    delay = _delay(request.timeliness, loss, job, weather) if request.timeliness and loss is not None else None
    recorded: Interval | None = None
    if weather.recorded is not None:
        recorded = share_of_years(np.array(weather.recorded), job.needed())
    return CompletionAnswer(
        chance=chance,
        summary=_summary(request, job, weather, chance),
        days_needed=job.needed(),
        days_expected=float(weather.fit.share) * days,
        days_spread=float(spread_of_suitable_days(weather.fit.share, weather.fit.correlation, float(days))),
        calendar_days=days,
        recorded=(
            Recorded(share=Share.ranged(*recorded), years=len(weather.recorded or [])) if recorded is not None else None
        ),
        curve=_curve(request.start, job, weather),
        dates=LikelyDates(
            even=_date(request.start, job, weather, 0.5),
            likely=_date(request.start, job, weather, 0.8),
            very_likely=_date(request.start, job, weather, 0.9),
        ),
        levers=_levers(request, job, weather, loss, ledger),
        delay=delay,
        about=ledger.about(),
    )


# ---- the weather


def _weather(given: SuitableDays, days: int, ledger: Ledger) -> _Weather | None:
    ways = [name for name in ("history", "mean", "row") if getattr(given, name) is not None]
    if len(ways) != 1:
        ledger.fault("/suitable", "give one of history, mean and row: how many days are fit for field work")
        return None
    if given.row is not None:
        return _from_table(given.row, days, ledger)
    period = given.period_days or days
    if given.history is not None:
        if any(one > period for one in given.history):
            ledger.fault("/suitable/history", f"no year has more suitable days than the {period} of the period")
            return None
        mean, spread = float(np.mean(given.history)), float(np.std(given.history, ddof=1))
        weather = _fitted(mean, spread, period, len(given.history), days, "/suitable/history", ledger)
        return weather._replace(recorded=given.history) if period == days else weather
    assert given.mean is not None
    if given.mean > period:
        ledger.fault("/suitable/mean", f"at most the {period} calendar days of the period")
        return None
    if given.spread is not None:
        return _fitted(given.mean, given.spread, period, given.years, days, "/suitable/spread", ledger)
    if given.least is None or given.most is None or given.years is None:
        ledger.fault(
            "/suitable/spread",
            "required with a mean: the standard deviation from year to year, or least, most and years in its place",
        )
        return None
    if not given.least <= given.mean <= given.most <= period:
        ledger.fault("/suitable/least", "least, mean and most rise, and none is beyond the period")
        return None
    spread = float(spread_from_range(given.least, given.most, float(given.years)))
    ledger.assume(
        "/suitable/spread", f"{spread:.3g}", f"From the range of {given.years} years, taken as normal.", "derived"
    )
    return _fitted(given.mean, spread, period, given.years, days, "/suitable/least", ledger)


def _from_table(id: str, days: int, ledger: Ledger) -> _Weather | None:
    try:
        row = suitable_days(id)
    except UnknownReference as error:
        ledger.unknown("/suitable/row", error)
        return None
    ledger.use(row.source)
    if row.least_days is None or row.most_days is None:
        ledger.fault(
            "/suitable/row",
            f"{row.id} tells no spread, and without one a chance would be too sure of itself; give its mean "
            f"({row.mean_days:g} of {row.calendar_days:g} days) with a spread of your own",
        )
        return None
    ledger.warn(
        "rough-estimate",
        "/suitable/row",
        f"Days of {row.place}, {row.period}: a large region at its own time of year. A record of your own is better.",
    )
    spread = float(spread_from_range(row.least_days, row.most_days, float(row.years)))
    return _fitted(row.mean_days, spread, int(row.calendar_days), int(row.years), days, "/suitable/row", ledger)


def _fitted(
    mean: float, spread: float, period: int, years: int | None, days: int, pointer: str, ledger: Ledger
) -> _Weather:
    share = mean / period
    if spread * spread < period * share * (1.0 - share):
        ledger.warn(
            "outside-range",
            pointer,
            "Years differ by less than chance alone would make them; days are then taken as independent, which is the "
            "least they can differ.",
        )
    if days > period:
        ledger.warn(
            "outside-range",
            "/suitable/period_days",
            f"The window is {days} days long, the figures are about {period}; days beyond are taken as alike.",
        )
    error = spread / period / float(np.sqrt(years)) if years is not None else 0.0
    return _Weather(suitability(mean, spread, float(period)), error, None)


def _chance(job: _Job, weather: _Weather) -> Share:
    shares = np.clip(float(weather.fit.share) + np.array([0.0, -2.0, 2.0]) * weather.mean_error, 0.0, 1.0)
    found = np.asarray(chance_of_days(job.needed(), float(job.days), shares, weather.fit.correlation))
    middle, low, high = (float(one) for one in found)
    return Share.ranged(middle, low, high) if weather.mean_error else Share(middle)


def _curve(start: datetime.date, job: _Job, weather: _Weather) -> list[CurvePoint]:
    step = 1 if job.days <= LONGEST_DAILY_CURVE else 7
    days = sorted({*range(step, job.days + 1, step), job.days})
    chances = np.asarray(chance_of_days(job.needed(), np.array(days, dtype=np.float64), *weather.fit))
    return [
        CurvePoint(date=start + datetime.timedelta(days=day - 1), chance=Share(float(chance)))
        for day, chance in zip(days, chances, strict=True)
    ]


def _date(start: datetime.date, job: _Job, weather: _Weather, chance: float) -> datetime.date | None:
    day = finishing_day(job.needed(), float(weather.fit.share), float(weather.fit.correlation), chance, HORIZON)
    return start + datetime.timedelta(days=day - 1) if day is not None else None


# ---- what would help


def _levers(
    request: CompletionRequest, job: _Job, weather: _Weather, loss: tuple[float, float] | None, ledger: Ledger
) -> list[Lever]:
    day = Workday(job.workday + AN_HOUR)
    changes: list[tuple[LeverName, str, _Job]] = [
        ("another-machine", f"{job.machines + 1} machines", job._replace(machines=job.machines + 1)),
        ("wider-tool", f"{WIDER:g} times as wide", job._replace(capacity=job.capacity * WIDER)),
        ("faster", f"{FASTER:g} times as fast", job._replace(capacity=job.capacity * FASTER)),
        ("a-week-earlier", "start a week earlier", job._replace(days=job.days + 7)),
    ]
    if float(day) <= SECONDS_PER_DAY:
        changes.append(("longer-day", f"{ledger.say(day)} a day", job._replace(workday=float(day))))
    if job.passes > 1:
        fewer = job.passes - 1
        changes.append(
            ("one-pass-fewer", f"{fewer} pass{'es' if fewer > 1 else ''}", job._replace(passes=job.passes - 1))
        )
    now = float(_chance(job, weather))
    levers: list[Lever] = []
    for name, change, changed in changes:
        chance = float(_chance(changed, weather))
        saves = None
        if request.timeliness is not None and loss is not None:
            before, after = (_delay(request.timeliness, loss, one, weather).expected for one in (job, changed))
            saves = Money(float(before) - float(after))
        levers.append(Lever(name=name, change=change, chance=Share(chance), gain=Ratio(chance - now), saves=saves))
    return sorted(levers, key=lambda lever: (-float(lever.gain), -float(lever.saves or 0.0)))


def _loss(asked: Timeliness, ledger: Ledger) -> tuple[float, float] | None:
    """Return low and high of the share of the yield lost for each day [1]."""
    if (asked.loss is None) == (asked.row is None):
        ledger.fault("/timeliness", "give loss or row, one of the two")
        return None
    if asked.loss is not None:
        return float(asked.loss), float(asked.loss)
    try:
        row = timeliness(asked.row or "")
    except UnknownReference as error:
        ledger.unknown("/timeliness/row", error)
        return None
    ledger.use(row.source)
    ledger.warn("rough-estimate", "/timeliness/row", f"{row.operation}, {row.region}. {row.note}")
    return row.loss_low, row.loss_high


def _delay(asked: Timeliness, loss: tuple[float, float], job: _Job, weather: _Weather) -> DelayCost:
    middle = 0.5 * (loss[0] + loss[1])
    share = max(float(weather.fit.share), 1e-9)

    def cost(share_lost: float, schedule: float) -> float:
        return float(
            timeliness_cost(
                share_lost, job.area, float(asked.crop_yield), float(asked.price), schedule, job.day_rate(), share
            )
        )

    chosen = 4.0 if asked.schedule == "balanced" else 2.0
    expected = cost(middle, chosen)
    ranged = loss[0] != loss[1]
    return DelayCost(
        expected=Money.ranged(expected, cost(loss[0], chosen), cost(loss[1], chosen)) if ranged else Money(expected),
        balanced=Money(cost(middle, 4.0)),
        one_sided=Money(cost(middle, 2.0)),
        loss=Share.ranged(middle, *loss) if ranged else Share(middle),
    )


def _summary(request: CompletionRequest, job: _Job, weather: _Weather, chance: Share) -> str:
    needed, expected = job.needed(), float(weather.fit.share) * job.days
    text = (
        f"{100 * float(chance):.0f} in 100 to be done by {request.finish_by.isoformat()}: the work takes "
        f"{needed:.1f} suitable days, and the window has about {expected:.1f} of {job.days}."
    )
    likely = _date(request.start, job, weather, 0.8)
    if likely is None:
        return f"{text} Done with 80 in 100 only after more than a year."
    return f"{text} Done with 80 in 100 by {likely.isoformat()}."


COMPLETION = Calculation(
    name="completion",
    request=CompletionRequest,
    answer=CompletionAnswer,
    compute=compute,
    summary="The chance to be done in time, and what would raise it",
    description=(
        "How many suitable days the work takes, and the chance that the window has them. Days of one year resemble "
        "each other more than days of different years, so their number is taken as beta-binomial, fitted to a record, "
        "a mean and spread, or a table; a plain binomial would be far too sure. Dry spells within a year are not "
        "modelled. "
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
