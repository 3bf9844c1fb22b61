"""How many days of a window are suitable for field work, and the chance of enough of them."""

from typing import NamedTuple

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.fleet import Window
from drawbar_service.engine.completion import chance_of_days, suitability


class Weather(NamedTuple):
    """Suitable days of a window."""

    days: int
    """Calendar days [d]"""
    share: float
    """Of them suitable, in the mean over years [1]"""
    correlation: float
    """Of the days of one year [1]"""

    def chance(self, days: int, needed: float) -> float:
        """Return the chance [1] of so many suitable days [d] among the first `days` [d] of the window."""
        if needed > days:
            return 0.0
        if self.share in (0.0, 1.0):
            return float(self.share == 1.0 or needed <= 0.0)
        return float(chance_of_days(needed, float(days), self.share, self.correlation))


def weather_of(window: Window, ledger: Ledger) -> Weather:
    """Return the suitable days of a window, from a share and its spread or from past years."""
    days, suitable = (window.end - window.start).days + 1, window.suitable
    at = "/window/suitable"
    if (suitable.share is None) == (not suitable.years):
        ledger.fault(at, "give share or years, one of the two")
    elif suitable.share is not None and suitable.spread is None:
        ledger.fault(f"{at}/spread", "required beside a share; years differ, and without it odds would be too sure")
    elif suitable.years and suitable.spread is not None:
        ledger.fault(f"{at}/spread", "give it beside a share only; years show their own")
    elif suitable.years and len(suitable.years) < 2:
        ledger.fault(f"{at}/years", "give two years or more; one shows no spread")
    for place, count in enumerate(suitable.years):
        if count > days:
            ledger.fault(f"{at}/years/{place}", f"{count:.6g} suitable days are more than the window has: {days}")
    ledger.stop_at_faults()
    if suitable.years:
        shares = np.array(suitable.years) / days
        share, spread = float(shares.mean()), float(shares.std(ddof=1))
    else:
        share, spread = float(suitable.share or 0.0), float(suitable.spread or 0.0)
    certain = share <= 0.0 or share >= 1.0
    fit = suitability(share * days, spread * days, float(days))
    return Weather(days, share, 0.0 if certain else float(fit.correlation))
