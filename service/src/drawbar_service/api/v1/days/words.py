"""The sentences of days from weather."""

from drawbar_service.api.v1.days.request import DaysRequest
from drawbar_service.model.weather import LEAST_WINTERS, DaysOfWeather


def summary(request: DaysRequest, found: DaysOfWeather) -> str:
    """Return the answer in words."""
    first, last = found.weeks[0], found.weeks[-1]
    text = f"{len(found.weeks)} weeks from {first.end.isoformat()} to {last.end.isoformat()}."
    if found.totals:
        days = [one.days for one in found.totals]
        worst, best = min(found.totals, key=lambda one: one.days), max(found.totals, key=lambda one: one.days)
        text += (
            f" Weeks {request.from_week} to {request.to_week} had {sum(days) / len(days):.1f} suitable days in the "
            f"mean of {len(days)} years, {worst.days:.1f} in {worst.year}, {best.days:.1f} in {best.year}."
        )
    if (middle := found.frost.likely(0.5)) is not None:
        text += f" The soil freezes about {middle.day} {middle:%B}."
    return text


def few_winters(years: int) -> str:
    """Return why there are no dates of freeze-up, with so many years in which the soil froze."""
    return (
        f"The soil froze in {years} of the years, and {LEAST_WINTERS} are needed; give the weather of more winters, to "
        "the end of January."
    )
