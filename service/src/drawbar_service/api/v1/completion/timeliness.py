"""What it costs that work takes days: a share of the crop for each day off the best one."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import RowId
from drawbar_service.engine.completion import timeliness_cost
from drawbar_service.quantities import CropPrice, Money, Share, Yield
from drawbar_service.reference import UnknownReference, timeliness

Schedule: TypeAlias = Literal["balanced", "one-sided"]

DIVISOR = {"balanced": 4.0, "one-sided": 2.0}
"""Days a job stretches over, for each day its work is off the best one on average [1] (derived)."""


class Timeliness(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a day off the best one costs. Give `loss` or `row`."""

    loss: Annotated[Share | None, Meta(description="Share of the yield lost for each day.", examples=["0.7 %"])] = None
    row: Annotated[RowId | None, Meta(description="Row of `/v1/reference/timeliness`.")] = None
    crop_yield: Annotated[Yield, Meta(description="Yield on the best day.", examples=["8 t/ha"])]
    price: Annotated[CropPrice, Meta(description="What the crop is worth.", examples=["190 money/t"])]
    schedule: Annotated[Schedule, Meta(description="Work evenly about the best day, or all of it before or after.")] = (
        "one-sided"
    )


class DelayCost(msgspec.Struct, frozen=True, kw_only=True):
    """What it costs that the work takes days."""

    expected: Annotated[Money, Meta(description="For the schedule asked about, with the range of the loss.")]
    balanced: Annotated[Money, Meta(description="If the work lies evenly about the best day.")]
    one_sided: Annotated[Money, Meta(description="If all of it comes before or after the best day.")]
    loss: Annotated[Share, Meta(description="Share of the yield lost for each day.")]


def daily_loss(asked: Timeliness, ledger: Ledger) -> tuple[float, float] | None:
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
    ledger.warn("rough-estimate", "/timeliness/row", f"{row.operation}, {row.region}. {row.note}".rstrip())
    return row.loss_low, row.loss_high


def delay_cost(asked: Timeliness, loss: tuple[float, float], area: float, day_rate: float, share: float) -> DelayCost:
    """Return what it costs that work takes days, and never more than the crop is worth.

    Parameters
    ----------
    asked : Timeliness
    loss : pair of float
        Low and high of the share of the yield lost for each day [1/d].
    area : float
        Land to work [m^2].
    day_rate : float
        Of it finished on a suitable day [m^2/d].
    share : float
        Mean share of days that are suitable [1].
    """
    middle = 0.5 * (loss[0] + loss[1])
    crop_yield, price = float(asked.crop_yield), float(asked.price)

    def cost(share_lost: float, schedule: Schedule) -> float:
        # A share so small that the work takes ages costs the crop, whatever its digits.
        fit = max(share, 1e-9)
        found = timeliness_cost(share_lost, area, crop_yield, price, DIVISOR[schedule], day_rate, fit)
        return min(float(found), area * crop_yield * price)

    expected = cost(middle, asked.schedule)
    ranged = loss[0] != loss[1]
    return DelayCost(
        expected=(
            Money.ranged(expected, cost(loss[0], asked.schedule), cost(loss[1], asked.schedule))
            if ranged
            else Money(expected)
        ),
        balanced=Money(cost(middle, "balanced")),
        one_sided=Money(cost(middle, "one-sided")),
        loss=Share.ranged(middle, *loss) if ranged else Share(middle),
    )
