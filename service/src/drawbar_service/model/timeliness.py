"""What it costs that work takes days: a share of the crop for each day off the best one."""

from typing import NamedTuple, Protocol

from drawbar_service.engine.arrays import Real, known_where, larger, opposite, smaller
from drawbar_service.engine.completion import timeliness_cost
from drawbar_service.model.findings import Findings
from drawbar_service.model.span import Span
from drawbar_service.reference import UnknownReference, timeliness
from drawbar_service.rows import picked

DIVISOR = {"balanced": 4.0, "one-sided": 2.0}
"""Days a job stretches over, for each day its work is off the best one on average [1] (derived)."""
LEAST_SHARE = 1e-9
"""Share of suitable days [1] taken at least: with fewer, the work takes ages and costs the crop."""


class Timeliness(Protocol):
    """What a day off the best one costs."""

    @property
    def loss(self) -> float | None:
        """Share of the yield lost for each day [1/d]."""
        ...

    @property
    def row(self) -> str | None:
        """Row of the timeliness table, in place of a loss."""
        ...

    @property
    def crop_yield(self) -> float:
        """On the best day [kg/m^2]."""
        ...

    @property
    def price(self) -> float:
        """What the crop is worth [money/kg]."""
        ...

    @property
    def schedule(self) -> str:
        """Balanced or one-sided."""
        ...


class Delay(NamedTuple):
    """What it costs that the work takes days [money]."""

    expected: Span[Real]
    """For the schedule asked about, with the range of the loss."""
    balanced: Real
    one_sided: Real
    loss: Span[Real]
    """Share of the yield lost for each day [1/d]."""


def daily_loss(asked: Timeliness, found: Findings) -> Span[Real] | None:
    """Return the share of the yield lost for each day [1/d], with its range; None if a fault was noted."""
    if (asked.loss is None) == (asked.row is None):
        found.fault("loss-once", "/timeliness")
        return None
    if asked.loss is not None:
        return Span(asked.loss)
    try:
        row = timeliness(asked.row or "")
    except UnknownReference as error:
        found.unknown("/timeliness/row", error)
        return None
    found.use(row.source)
    found.warn("timeliness-row", "/timeliness/row", operation=row.operation, region=row.region, note=row.note)
    low, high = row.loss_low, row.loss_high
    apart = opposite(low == high)
    return Span(0.5 * (low + high), known_where(apart, low), known_where(apart, high))


def delay(asked: Timeliness, loss: Span[Real], area: Real, day_rate: Real, share: Real) -> Delay:
    """Return what it costs that work takes days, and never more than the crop is worth.

    Parameters
    ----------
    asked : Timeliness
    loss : Span
        Share of the yield lost for each day [1/d].
    area : float or array
        Land to work [m^2].
    day_rate : float or array
        Of it finished on a suitable day [m^2/d].
    share : float or array
        Mean share of days that are suitable [1].
    """
    crop_yield, price = asked.crop_yield, asked.price

    def cost(lost: Real, schedule: str) -> Real:
        divisor = picked(schedule, DIVISOR)
        fit = larger(share, LEAST_SHARE)
        return smaller(
            timeliness_cost(lost, area, crop_yield, price, divisor, day_rate, fit), area * crop_yield * price
        )

    return Delay(
        expected=loss.map(lambda lost: cost(lost, asked.schedule)),
        balanced=cost(loss.value, "balanced"),
        one_sided=cost(loss.value, "one-sided"),
        loss=loss,
    )
