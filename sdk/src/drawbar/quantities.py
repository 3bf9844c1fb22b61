"""Numbers with a unit: `Quantity` goes into a request, `Reading` comes back in an answer."""

from __future__ import annotations

import math

import msgspec


class Quantity(msgspec.Struct, frozen=True):
    """A number with its unit, wherever text such as "8 in" would do too.

    Parameters
    ----------
    value
        The number.
    unit
        Its unit, such as "in", "km/h" or "kN".
    """

    value: float
    unit: str

    def __str__(self) -> str:
        return " ".join((f"{self.value:g}", self.unit))


class Reading(msgspec.Struct, frozen=True):
    """A number with its unit and, where the method has a spread, the range it may lie in.

    Parameters
    ----------
    value
        The number.
    unit
        Its unit, metric or US as asked.
    low
        Low end of its range, if it has one.
    high
        High end of its range, if it has one.
    """

    value: float
    unit: str
    low: float | None = None
    high: float | None = None

    @property
    def quantity(self) -> Quantity:
        """The number and its unit, to be put into a request."""
        return Quantity(self.value, self.unit)

    def __str__(self) -> str:
        unit = "" if self.unit == "1" else f" {self.unit}"
        if self.low is None or self.high is None or self.low == self.high == self.value:
            return f"{rounded(self.value)}{unit}"
        return f"{rounded(self.value)}{unit} ({rounded(self.low)} to {rounded(self.high)})"


def rounded(value: float) -> str:
    """Write a number with three digits, or all of those before the decimal point.

    Parameters
    ----------
    value
        Any number.
    """
    if value == 0.0 or not math.isfinite(value):
        return f"{value:g}"
    # Rounding first keeps 9.996 from being written 10.00 in one place and 10 in another.
    size = math.floor(math.log10(abs(float(f"{value:.2e}"))))
    decimals = max(0, 2 - size)
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text
