"""Numbers with a unit: `Quantity` goes into a request, `Reading` comes back in an answer."""

from __future__ import annotations

import math
import re
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any, ClassVar, Final, Self

import msgspec

from drawbar._units import UNITS

_TINY: Final = 1e-6
"""Below this a number is written as a power of ten."""
_SPEC: Final = re.compile(r"(?:.*?\.(?P<precision>[0-9]+))?.*?(?P<kind>[eEfFgGn%]?)", re.DOTALL)


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
    rounding: ClassVar[str | None] = None
    """Which way it is rounded where it is written, in the words of `decimal`; None for the nearest."""

    def __str__(self) -> str:
        return " ".join((f"{self.value:g}", self.unit))

    def __format__(self, spec: str) -> str:
        if not spec:
            return str(self)
        return f"{_written(self.value, spec, self.rounding)}{_unit(self.unit)}"

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
            return f"{rounded(self.value, self.rounding)}{_unit(self.unit)}"
        value, low, high = (rounded(one, self.rounding) for one in (self.value, self.low, self.high))
        return f"{value}{_unit(self.unit)} ({low} to {high})"


class GreatestReading(Reading, frozen=True, omit_defaults=True):
    """A reading that is the most that holds: rounded down where it is written, so that what is written holds, too."""

    rounding: ClassVar[str | None] = ROUND_FLOOR


class LeastReading(Reading, frozen=True, omit_defaults=True):
    """A reading that is the least that will do: rounded up where it is written."""

    rounding: ClassVar[str | None] = ROUND_CEILING


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


def rounded(value: float, rounding: str | None = None) -> str:
    """Write a number with three digits, or all of those before the decimal point; a tiny one as a power of ten.

    Parameters
    ----------
    value
        Any number.
    rounding
        Which way, in the words of `decimal`; None for the nearest.
    """
    if abs(value) < _TINY or not math.isfinite(value):
        return f"{value:.3g}"
    # Rounding first keeps 9.996 from being written 10.00 in one place and 10 in another.
    size = math.floor(math.log10(abs(_cut(value, ".2e", rounding) if rounding else float(f"{value:.2e}"))))
    decimals = max(0, 2 - size)
    text = _written(value, f".{decimals}f", rounding)
    return text.rstrip("0").rstrip(".") if decimals else text


def _written(value: float, spec: str, rounding: str | None) -> str:
    return f"{value if rounding is None else _cut(value, spec, rounding):{spec}}"


def _cut(value: float, spec: str, rounding: str) -> float:
    """Return a number rounded one way to the digits that a format shows, so that the format leaves it as it is."""
    asked = _SPEC.fullmatch(spec)
    if value == 0.0 or not math.isfinite(value) or asked is None or not (asked["precision"] or asked["kind"]):
        return value
    # A hair of tolerance keeps 8.0 from becoming 7.99.
    number, places = Decimal(f"{value:.12g}"), int(asked["precision"] or 6)
    if asked["kind"] in ("f", "F"):
        last = -places
    elif asked["kind"] == "%":
        last = -places - 2
    else:
        last = number.adjusted() - places + (0 if asked["kind"] in ("e", "E") else 1)
    known = number.as_tuple().exponent
    if isinstance(known, int) and known >= last:
        return float(number)
    return float(number.quantize(Decimal(1).scaleb(last), rounding))
