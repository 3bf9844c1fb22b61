"""Numbers with a unit: `Quantity` goes into a request, `Reading` comes back in an answer."""

from __future__ import annotations

import math
from typing import Any, Final, Self

import msgspec

from drawbar._units import UNITS

_TINY: Final = 1e-6
"""Below this a number is written as a power of ten."""


class Quantity(msgspec.Struct, frozen=True, omit_defaults=True):
    """A number with its unit, wherever text such as "8 in" would do too.

    Two of them, or one and such a text, can be put in order with `<` and `>`, whatever their units.

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

    def __format__(self, spec: str) -> str:
        if not spec:
            return str(self)
        return f"{self.value:{spec}}{_unit(self.unit)}"

    def __float__(self) -> float:
        return float(self.value)

    def __lt__(self, other: Quantity | str) -> bool:
        return self._si < self._other(other)

    def __le__(self, other: Quantity | str) -> bool:
        return self._si <= self._other(other)

    def __gt__(self, other: Quantity | str) -> bool:
        return self._si > self._other(other)

    def __ge__(self, other: Quantity | str) -> bool:
        return self._si >= self._other(other)

    def to(self, unit: str) -> Self:
        """Give the same in another unit of its dimension.

        Parameters
        ----------
        unit
            Such as "mph"; the spelling that the service writes.

        Raises
        ------
        ValueError
            If it is no unit, or one of something else.
        """
        times = _factor(self.unit) / _factor(unit, _dimension(self.unit))
        changed: dict[str, Any] = {
            name: None if (number := getattr(self, name)) is None else number * times
            for name in self.__struct_fields__
            if name != "unit"
        }
        return type(self)(unit=unit, **changed)

    @property
    def _si(self) -> float:
        return self.value * _factor(self.unit)

    def _other(self, other: Quantity | str) -> float:
        if isinstance(other, str):
            number, _, unit = other.strip().partition(" ")
            other = Quantity(float(number), unit.strip() or "1")
        return other.value * _factor(other.unit, _dimension(self.unit))


class Reading(Quantity, frozen=True, omit_defaults=True):
    """A number with its unit and, where the method has a spread, the range it may lie in.

    It goes into a request as it is: its value counts there, its range does not.

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

    low: float | None = None
    high: float | None = None

    @property
    def quantity(self) -> Quantity:
        """The number and its unit, without a range."""
        return Quantity(self.value, self.unit)

    def __str__(self) -> str:
        if self.low is None or self.high is None or self.low == self.high == self.value:
            return f"{rounded(self.value)}{_unit(self.unit)}"
        return f"{rounded(self.value)}{_unit(self.unit)} ({rounded(self.low)} to {rounded(self.high)})"


def _unit(unit: str) -> str:
    return "" if unit == "1" else f" {unit}"


def _dimension(unit: str) -> str:
    return _known(unit)[0]


def _factor(unit: str, dimension: str | None = None) -> float:
    """Return one of a unit in SI units."""
    measures, factor = _known(unit)
    if dimension is not None and measures != dimension:
        raise ValueError(f"{unit!r} measures {measures}, not {dimension}")
    return factor


def _known(unit: str) -> tuple[str, float]:
    try:
        return UNITS[unit]
    except KeyError:
        raise ValueError(f"{unit!r} is not a unit as the service writes it, such as km/h or kN") from None


def rounded(value: float) -> str:
    """Write a number with three digits, or all of those before the decimal point; a tiny one as a power of ten.

    Parameters
    ----------
    value
        Any number.
    """
    if abs(value) < _TINY or not math.isfinite(value):
        return f"{value:.3g}"
    # Rounding first keeps 9.996 from being written 10.00 in one place and 10 in another.
    size = math.floor(math.log10(abs(float(f"{value:.2e}"))))
    decimals = max(0, 2 - size)
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text
