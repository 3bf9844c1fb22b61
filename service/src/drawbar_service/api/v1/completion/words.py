"""The sentences of a completion: the answer in words, why a date is missing, and what a lever changes."""

import datetime

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.completion.request import CompletionRequest
from drawbar_service.engine.arrays import Real
from drawbar_service.model.completion import FASTER, WIDER, Job, Lever
from drawbar_service.model.days import YearsOfDays
from drawbar_service.model.suitable import Weather
from drawbar_service.quantities import Workday


def summary(
    request: CompletionRequest,
    start: datetime.date,
    job: Job,
    weather: Weather | YearsOfDays,
    chance: Real,
    likely: Real,
) -> str:
    """Return the answer in words; `chance` to be done in time [1], day by which it is 80 in 100 or NaN."""
    text = (
        f"{int(100.0 * chance + 1e-9)} in 100 to be done by {request.end.isoformat()}: the work takes "
        f"{job.needed():.1f} suitable days, and the window has about {weather.share * job.days:.1f} of {job.days}."
    )
    if likely != likely:
        return f"{text} 80 in 100 is not reached within the window."
    return f"{text} Done with 80 in 100 by {_on(start, likely)}."


def why_null(start: datetime.date, known: Real) -> str:
    """Return why a date is missing, where the days are known for so many from the `start`."""
    return (
        f"Not by {_on(start, known)}: the suitable days are told for {known:.0f} days, and nothing is known of later "
        "ones. Give the days of a longer period to look further."
    )


def change(lever: Lever, ledger: Ledger) -> str:
    """Return what a lever changes."""
    changed = lever.changed
    match lever.name:
        case "another-machine":
            return f"{changed.machines:.0f} machines"
        case "wider-tool":
            return f"{WIDER:g} times as wide"
        case "faster":
            return f"{FASTER:g} times as fast"
        case "a-week-earlier":
            return "start a week earlier, on days like these"
        case "longer-day":
            return f"{ledger.say(Workday.of(changed.workday))} a day"
        case "one-pass-fewer":
            return f"{changed.passes:.0f} pass{'es' if changed.passes > 1.0 else ''}"


def _on(start: datetime.date, day: Real) -> str:
    return (start + datetime.timedelta(days=float(day) - 1.0)).isoformat()
