"""Quantities on the wire: text and units to SI and back. The only module that knows pint.

A quantity is a type. A field declared ``depth: Depth`` reads ``"8 in"`` or
``{"value": 8, "unit": "in"}``, holds meters, and is written in centimeters or inches as the
caller asks. The type carries dimension, display units and the range that makes physical sense.

Text from a caller never reaches pint's parser, which evaluates it as an expression. Units are a
closed list (``units.toml``); pint has turned our own spellings into factors (``unit_factors.json``),
and one multiplication converts.
"""

import difflib
import math
import re
import tomllib
from collections.abc import Mapping
from importlib.resources import files
from types import MappingProxyType
from typing import Any, ClassVar, Literal, NamedTuple, Protocol, Self, TypeAlias, cast

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.rows import as_rows

UnitSystem: TypeAlias = Literal["metric", "us"]
Way: TypeAlias = Literal["down", "up"]
"""Which way a number is rounded, where the nearest will not do."""

_MAX_TEXT = 64
_MEANT = {
    "ton": ("t", "ton_short"),
    "tons": ("t", "ton_short"),
    "ps": ("hp_metric",),
    "cv": ("hp_metric",),
    "bhp": ("hp",),
    '"': ("in",),
    "'": ("ft",),
    **dict.fromkeys(("kmph", "km/hour", "kmhr", "kmp/h", "kms/h"), ("km/h",)),
    **dict.fromkeys(("mile/h", "miles/h", "mp/h", "miles/hour"), ("mph",)),
    **dict.fromkeys(("ha/hr", "ha/hour", "hectares/h"), ("ha/h",)),
    **dict.fromkeys(("ac/hr", "ac/hour", "acre/h", "acres/h", "acres/hour"), ("ac/h",)),
}
"""Units that are not read, because they say too little or are no units of this list, and what they may stand for."""
_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_READING = ("value", "unit", "low", "high")
_CUSTOMARY = re.compile(r"(?:^|[*/])(?:in3?|ft2?|yd|mi|ac|degF|mph|lbf?|ton_short|hp|psi|gal|gal_imp)(?=$|[*/])")
"""In the units of US customary measure; a suggestion never goes from these to the others, or back."""
_SEPARATED = re.compile(r" *[+-]?[0-9.]+ ?[, '/_] ?[0-9]")
_TEXT = re.compile(rf"({_NUMBER})(?: *([^ 0-9.+-].*)| +(1/[A-Za-z].*))", re.DOTALL)


class Dimension(NamedTuple):
    """A kind of quantity and the units it may be given in."""

    name: str
    factors: Mapping[str, float]
    """SI value of one of each unit, by the spelling the service writes."""
    spellings: Mapping[str, str]
    """Every spelling that is read, to the one that is written."""


class _UnitEntry(msgspec.Struct, rename={"expression": "is"}, forbid_unknown_fields=True):
    expression: str
    also: list[str] = []


class _DimensionEntry(msgspec.Struct, forbid_unknown_fields=True):
    si: str
    units: dict[str, _UnitEntry]


def _file(name: str) -> str:
    return (files("drawbar_service.reference") / "data" / name).read_text(encoding="utf-8")


def _entries() -> dict[str, _DimensionEntry]:
    return msgspec.convert(tomllib.loads(_file("units.toml")), dict[str, _DimensionEntry])


def factors_by_pint() -> dict[str, dict[str, float]]:
    """Return the SI value of one of each unit of ``units.toml``, by dimension: what ``unit_factors.json`` is made of.

    It takes a second, so it is done when the file is made, and no service or client waits for it.
    """
    import pint  # noqa: PLC0415

    registry = cast("Any", pint).UnitRegistry(cache_folder=None)
    registry.define("money = [money]")
    return {
        name: {
            symbol: float(registry.parse_expression(unit.expression).to(entry.si).magnitude)
            for symbol, unit in entry.units.items()
        }
        for name, entry in _entries().items()
    }


def _load() -> Mapping[str, Dimension]:
    known = msgspec.json.decode(_file("unit_factors.json"), type=dict[str, dict[str, float]])
    entries = _entries()
    if any(symbol not in known.get(name, {}) for name, entry in entries.items() for symbol in entry.units):
        known = factors_by_pint()  # a unit has been added since the file was made
    dimensions: dict[str, Dimension] = {}
    for name, entry in entries.items():
        factors = {symbol: known[name][symbol] for symbol in entry.units}
        spellings = {symbol: symbol for symbol in factors}
        for symbol, unit in entry.units.items():
            for other in unit.also:
                if other in spellings:
                    raise ValueError(f"units.toml: {name} spells {other!r} twice")
                spellings[other] = symbol
        dimensions[name] = Dimension(name, MappingProxyType(factors), MappingProxyType(spellings))
    return MappingProxyType(dimensions)


DIMENSIONS = _load()
SMALLEST = 1e-100
"""What is nearer to 0 than this [SI] is read as 0: it is no measurement, and a ratio to it may not be finite."""


class HasEnds(Protocol):
    """A value with the ends of its range, in SI units; the ends are None where there is no range."""

    @property
    def value(self) -> "float | npt.NDArray[np.float64]":
        """The value."""
        ...

    @property
    def low(self) -> "float | npt.NDArray[np.float64] | None":
        """The low end."""
        ...

    @property
    def high(self) -> "float | npt.NDArray[np.float64] | None":
        """The high end."""
        ...


class Quantity(float):
    """A value in SI units that knows its dimension; optionally with the low and high of its range.

    Subclasses are declared with class keywords::

        class Depth(Length, metric="cm", us="in", least=0.001, most=1.5): ...

    Parameters
    ----------
    dimension : str
        A table of ``units.toml``; inherited when left out.
    metric, us : str
        Units to write in.
    least, most : float
        Bounds in SI units: what makes physical sense, not what is advisable.
    bare : bool
        Whether a number without a unit is read as SI (ratios and money).
    """

    low: float | None = None
    high: float | None = None

    dimension: ClassVar[Dimension]
    metric: ClassVar[str]
    us: ClassVar[str]
    least: ClassVar[float | None] = None
    most: ClassVar[float | None] = None
    bare: ClassVar[bool] = False
    _shown: ClassVar[Mapping[UnitSystem, tuple[str, float]]]
    """Unit to write in and its SI value; an answer writes dozens of quantities."""

    def __init_subclass__(
        cls,
        *,
        dimension: str | None = None,
        metric: str | None = None,
        us: str | None = None,
        least: float | None = None,
        most: float | None = None,
        bare: bool | None = None,
    ) -> None:
        """Record what the class keywords say."""
        super().__init_subclass__()
        if dimension is not None:
            cls.dimension = DIMENSIONS[dimension]
        for name, value in {"least": least, "most": most, "bare": bare}.items():
            if value is not None:
                setattr(cls, name, value)
        for name, unit in {"metric": metric, "us": us}.items():
            if unit is not None:
                if unit not in cls.dimension.factors:
                    raise ValueError(f"{cls.__name__}: {unit!r} is not a unit of {cls.dimension.name}")
                setattr(cls, name, unit)
        if hasattr(cls, "metric") and hasattr(cls, "us"):
            factors = cls.dimension.factors
            cls._shown = {"metric": (cls.metric, factors[cls.metric]), "us": (cls.us, factors[cls.us])}

    @classmethod
    def of(cls, si: "float | npt.NDArray[np.float64]") -> Self:
        """Return a quantity of this kind from a value in SI units, or from one for each row."""
        if isinstance(si, float):
            return cls(si)
        return cast("Self", as_rows(si)) if isinstance(si, np.ndarray) else cls(si)

    @classmethod
    def known(cls, where: "bool | npt.NDArray[np.bool_]", si: "float | npt.NDArray[np.float64]") -> Self | None:
        """Return a quantity `where` it means something, else None; of rows, NaN where it does not."""
        if isinstance(where, np.ndarray):
            return cast("Self", as_rows(np.where(where, si, np.nan)))
        return cls.of(si) if where else None

    @classmethod
    def ranged(
        cls,
        si: "float | npt.NDArray[np.float64]",
        low: "float | npt.NDArray[np.float64] | None" = None,
        high: "float | npt.NDArray[np.float64] | None" = None,
    ) -> Self:
        """Return a quantity with its range from `low` to `high`, if it has one; all in SI units, or rows of them."""
        if isinstance(si, np.ndarray) or isinstance(low, np.ndarray):
            rows = as_rows(si).view()
            rows.low, rows.high = low, high
            return cast("Self", rows)
        self = cls(si)
        if low is not None and high is not None:
            self.low, self.high = float(low), float(high)
        return self

    @classmethod
    def spanning(cls, span: HasEnds) -> Self:
        """Return a quantity with its range from a value and its ends, in SI units or rows of them."""
        return cls.ranged(span.value, span.low, span.high)

    @classmethod
    def noun(cls) -> str:
        """Return what to call this kind of quantity in a sentence."""
        return cls.dimension.name.replace("_", " ")

    @classmethod
    def read(cls, given: object) -> Self:
        """Read a quantity from the wire: text such as ``"8 in"`` or ``{"value": 8, "unit": "in"}``.

        Raises
        ------
        ValueError
            With a sentence that says what was wrong and what would be right.
        """
        if isinstance(given, cls):
            return given
        value, unit = cls._split(given)
        symbol = cls.dimension.spellings.get(unit)
        if symbol is None:
            raise ValueError(cls._wrong_unit(unit))
        si = value * cls.dimension.factors[symbol]
        quantity = cls(0.0 if abs(si) < SMALLEST else si)
        quantity._check(value, symbol)
        return quantity

    @classmethod
    def _split(cls, given: object) -> tuple[float, str]:
        if isinstance(given, str):
            text = given.strip(" ")
            match = _TEXT.fullmatch(text) if len(given) <= _MAX_TEXT else None
            unit = "" if match is None else match[2] or match[3]
            if unit not in cls.dimension.spellings and _SEPARATED.match(given):
                raise ValueError(
                    f"{given[:_MAX_TEXT]!r}: write the number with a point and nothing else in it, like 4.5 or 17200"
                )
            if match is not None:
                return float(match[1]), unit
            if cls.bare and len(given) <= _MAX_TEXT and re.fullmatch(_NUMBER, text):
                return float(text), "1"
        elif isinstance(given, dict):
            members = cast("dict[object, object]", given)
            value, unit = members.get("value"), members.get("unit")
            # What an answer gives has the ends of its range, too, of which a request takes no notice.
            plain = len(members) == 2 or all(
                name in _READING and (name == "unit" or member is None or _is_number(member))
                for name, member in members.items()
            )
            if plain and _is_number(value) and isinstance(unit, str):
                return float(cast("float", value)), unit[:_MAX_TEXT]
        elif cls.bare and _is_number(given):
            return float(cast("float", given)), "1"
        number, _, unit = cls.example().partition(" ")
        wanted = f'"{number} {unit}" or {{"value": {number}, "unit": "{unit}"}}'
        if not unit:
            raise ValueError(f"{_with_article(cls.noun())} is a plain number here, such as {number}")
        if cls.bare:
            plain = "0.15 for 15 %" if "%" in cls.dimension.factors else number
            raise ValueError(f"{_with_article(cls.noun())} is a plain number, such as {plain}, or {wanted}")
        raise ValueError(f"{_with_article(cls.noun())} needs a number and a unit: {wanted}")

    @classmethod
    def _wrong_unit(cls, unit: str) -> str:
        allowed = ", ".join(cls.dimension.factors)
        folded = {spelling.casefold(): spelling for spelling in cls.dimension.spellings}
        close = [one for one in _MEANT.get(unit.casefold(), ()) if one in cls.dimension.spellings]
        close = close or ([folded[unit.casefold()]] if unit.casefold() in folded else [])
        close = close or cls._close_units(unit)
        meant = " or ".join(repr(cls.dimension.spellings[one]) for one in close)
        hint = f"; did you mean {meant}?" if close else ""
        return f"unit {unit!r} is not {_with_article(cls.noun())} here; use {allowed}{hint}"

    @classmethod
    def _close_units(cls, unit: str) -> list[str]:
        """Return the unit that a misspelt one comes closest to, none where those that come close are of two systems."""
        swapped = [one for one in cls.dimension.spellings if sorted(one) == sorted(unit.casefold())]
        close = swapped or difflib.get_close_matches(unit, cls.dimension.spellings, n=6)
        systems = {_CUSTOMARY.search(cls.dimension.spellings[one]) is None for one in close}
        return close[:1] if len(systems) == 1 else []

    def _check(self, value: float, symbol: str) -> None:
        too_low = self.least is not None and self < self.least
        too_high = self.most is not None and not self <= self.most
        if math.isfinite(self) and not (too_low or too_high):
            return
        if not math.isfinite(self):
            raise ValueError(f"{_with_article(self.noun())} is a finite number")
        given = f"{value:.6g}" if symbol == "1" else f"{value:.6g} {symbol}"
        hint = f'; write "{value:.6g} %" if you mean percent' if symbol == "1" and 1.0 < value <= 100.0 else ""
        raise ValueError(f"{given} is out of range: {type(self).range_in_words(symbol)}{hint}")

    @classmethod
    def range_in_words(cls, symbol: str) -> str:
        """Return the range that makes physical sense, in the unit `symbol`."""
        factor = cls.dimension.factors[symbol]
        unit = "" if symbol == "1" else f" {symbol}"
        words: list[str] = []
        if cls.least is not None:
            words.append(f"at least {_plain(cls.least / factor)}")
        if cls.most is not None:
            words.append(f"at most {_plain(cls.most / factor)}")
        return " and ".join(words) + unit

    @classmethod
    def pattern(cls) -> str:
        """Return a regular expression of the texts that are read, the written spelling of units only."""
        units = "|".join(re.sub(r"([^0-9A-Za-z_%])", r"\\\1", unit) for unit in cls.dimension.factors)
        return rf"^ *{_NUMBER} *(?:{units}){'?' if cls.bare else ''} *$"

    @classmethod
    def example(cls) -> str:
        """Return a text that this kind of quantity reads, inside its range."""
        if cls.least is None or cls.most is None:
            return cls(cls.dimension.factors[cls.metric]).words("metric")
        return cls(cls.least + 0.2 * (cls.most - cls.least)).words("metric")

    @classmethod
    def shown(cls, units: UnitSystem) -> tuple[str, float]:
        """Return the unit this kind is written in, and its SI value."""
        return cls._shown[units]

    def written(self, units: UnitSystem) -> dict[str, float | str]:
        """Return the quantity as it goes on the wire."""
        unit, factor = self._shown[units]
        low, high = self.low, self.high
        if low is None or high is None:
            return {"value": self / factor, "unit": unit}
        return {"value": self / factor, "unit": unit, "low": low / factor, "high": high / factor}

    def words(self, units: UnitSystem, digits: int = 3) -> str:
        """Return the quantity as a person would write it, in a form :meth:`read` takes back."""
        unit, factor = self._shown[units]
        number = f"{self / factor:.{digits}g}"
        if "e" in number:
            number = f"{float(number):.12g}"
        return number if unit == "1" else f"{number} {unit}"

    def words_not_above(self, units: UnitSystem, digits: int = 3) -> str:
        """Return a positive quantity in words, rounded down, so that what is read back is not above it."""
        _, factor = self._shown[units]
        return type(self)(to_digits(self / factor, digits, "down") * factor).words(units, digits)


def to_digits(number: float, digits: int, way: Way | None = None) -> float:
    """Return a number with so many significant digits, rounded down, up, or to the nearest if no way is given."""
    near = float(f"{number:.{digits}g}")
    # A hair of tolerance keeps 8.0 from becoming 7.99.
    beyond = {"down": near - number, "up": number - near}.get(way or "", 0.0)
    if not beyond > 1e-12 * abs(number):
        return near
    step = 10.0 ** (math.floor(math.log10(abs(number))) + 1 - digits)
    return float(f"{near - step if way == 'down' else near + step:.{digits}g}")


def _with_article(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _plain(number: float) -> str:
    """Return a number to four digits, never in scientific notation."""
    return f"{float(f'{number:.4g}'):.12g}"


def _is_number(value: object) -> bool:
    # An int too long for a float is no quantity either.
    return isinstance(value, float) or (type(value) is int and value.bit_length() <= 1000)


class Ratio(Quantity, dimension="ratio", metric="%", us="%", bare=True):
    """A share of something; written in percent."""


class Share(Ratio, least=0.0, most=1.0):
    """A ratio from 0 to 1."""


class Probability(Ratio, least=0.001, most=0.999):
    """A chance that is neither none nor certain."""


class Efficiency(Ratio, least=0.01, most=1.0):
    """A ratio of what comes out to what goes in."""


class Slope(Ratio, least=-0.4, most=0.4):
    """Rise over run along the direction of travel; positive uphill."""


class Overlap(Ratio, least=0.0, most=0.9):
    """Share of a working width that is worked twice."""


class WheelSlip(Ratio, least=0.0, most=0.6):
    """Slip of driven wheels, in the range where the traction equations mean something."""


class SlipLimit(Ratio, least=0.01, most=0.6):
    """A limit on slip."""


class Reserve(Ratio, least=0.0, most=0.9):
    """A share kept in hand."""


class TimeLost(Ratio, least=0.0, most=0.9):
    """Share of work time that is lost."""


class RelativeSpread(Ratio, least=0.0, most=1.0):
    """A standard deviation over the value it belongs to."""


class FrontLead(Ratio, least=0.0, most=0.15):
    """How much faster front wheels are geared than rear ones."""


class EngineSpeedRatio(Ratio, least=0.4, most=1.0):
    """Engine speed over full-throttle speed."""


class InterestRate(Ratio, least=-0.1, most=0.5):
    """Real interest a year: what is paid or forgone above inflation."""


class Multiplier(Ratio, metric="1", us="1", least=0.1, most=10.0):
    """A factor on a table value."""


class Length(Quantity, dimension="length", metric="m", us="ft", least=0.01, most=20_000.0):
    """A length."""


class Depth(Length, metric="cm", us="in", least=0.001, most=1.5):
    """Working depth in soil."""


class Width(Length, metric="m", us="ft", least=0.01, most=60.0):
    """Working width of a machine."""


class Spacing(Length, metric="cm", us="in", least=0.001, most=10.0):
    """Distance between tools or rows."""


class MachineLength(Length, metric="m", us="in", least=0.01, most=6.0):
    """A dimension of a tractor: wheelbase, heights, tires."""


class TurningLength(Length, metric="m", us="ft", least=0.01, most=30.0):
    """A turning radius, or the length of a tongue."""


class Wheelbase(MachineLength, least=0.8, most=6.0):
    """Front to rear axle."""


class HitchHeight(MachineLength, least=0.1, most=2.0):
    """A drawbar or a line of pull above ground."""


class PartLength(Length, metric="mm", us="in", least=0.005, most=3.0):
    """A dimension of a part: a bore, a rod, a stroke, a pin."""


class Altitude(Length, metric="m", us="ft", least=0.0, most=5_500.0):
    """Height above sea level."""


class Position(Length, metric="m", us="ft", least=-100_000.0, most=100_000.0):
    """How far east or north a place lies."""


class Heat(Quantity, dimension="temperature_difference", metric="K", us="degF", least=0.0, most=31.0):
    """How much warmer something is."""


class Speed(Quantity, dimension="speed", metric="km/h", us="mph", least=0.01, most=20.0):
    """Ground speed."""


class Mass(Quantity, dimension="mass", metric="kg", us="lb", least=1.0, most=100_000.0):
    """Mass of a machine."""


class TractorMass(Mass, least=300.0, most=60_000.0):
    """Mass of a tractor, ballast included."""


class Ballast(Mass, least=0.0, most=60_000.0):
    """Mass hung on a tractor."""


class MassChange(Mass, least=-60_000.0, most=60_000.0):
    """Mass to add to a tractor; negative: to take off."""


class Force(Quantity, dimension="force", metric="kN", us="lbf", least=-1e6, most=1e6):
    """A pull, draft or load."""


class Pull(Force, least=0.0, most=1e6):
    """A pull at the hitch; not negative."""


class Power(Quantity, dimension="power", metric="kW", us="hp", least=0.0, most=2e6):
    """Power; not negative."""


class RatedPower(Power, least=1_000.0, most=1e6):
    """What an engine or PTO is rated for."""


class Pressure(Quantity, dimension="pressure", metric="kPa", us="psi", least=1.0, most=1e8):
    """A pressure."""


class OilPressure(Pressure, metric="bar", us="psi", least=1e4, most=1e8):
    """Pressure of hydraulic oil."""


class InflationPressure(Pressure, metric="bar", us="psi", least=20_000.0, most=1e6):
    """Pressure of the air in a tire, above that around it."""


class ConeIndex(Pressure, least=10_000.0, most=1e7):
    """Soil cone index: penetration resistance of a standard cone."""


class Torque(Quantity, dimension="torque", metric="N*m", us="lbf*ft", least=0.0, most=1e7):
    """A torque."""


class Rotation(Quantity, dimension="rotation", metric="r/min", us="r/min", least=0.01, most=1_000.0):
    """A speed of rotation."""


class Flow(Quantity, dimension="volume_flow", metric="L/min", us="gal/min", least=1e-7, most=0.02):
    """Hydraulic flow."""


class FuelRate(Flow, metric="L/h", us="gal/h"):
    """Fuel burnt in a time."""


class FuelPerArea(Quantity, dimension="volume_per_area", metric="L/ha", us="gal/ac", least=0.0):
    """Fuel burnt on an area."""


class PassFuel(FuelPerArea, least=0.0, most=1e-3):
    """Fuel that one pass over the land takes."""


class CarbonDioxidePerFuel(Quantity, dimension="mass_per_volume", metric="kg/L", us="lb/gal", least=0.0, most=10_000.0):
    """Carbon dioxide from burning fuel."""


class EnergyPerFuel(Quantity, dimension="energy_per_volume", metric="kWh/L", us="hp*h/gal", least=0.0):
    """Work done for a volume of fuel."""


class WorkPerFuel(EnergyPerFuel, least=3.6e8, most=3.6e10):
    """Work that an engine does for each unit of fuel."""


class AreaRate(Quantity, dimension="area_rate", metric="ha/h", us="ac/h", least=0.01, most=1_000.0):
    """Area worked in a time."""


class Area(Quantity, dimension="area", metric="ha", us="ac", least=1.0, most=1e10):
    """An area of land."""


class ContactArea(Area, metric="m2", us="ft2", least=0.001, most=5.0):
    """Area of a tire on the ground."""


class Time(Quantity, dimension="time", metric="h", us="h", least=0.0, most=3.2e7):
    """A length of time."""


class WaitTime(Time, metric="min", us="min", least=0.0, most=86_400.0):
    """Time on the road or to change an implement."""


class ShortTime(Time, metric="s", us="s", least=0.0, most=86_400.0):
    """A turn, a stop."""


class StrokeTime(ShortTime, least=0.1, most=3_600.0):
    """Time a cylinder takes over its stroke."""


class Workday(Time, metric="h", us="h", least=360.0, most=86_400.0):
    """Hours of field work in a day."""


class MachineHours(Time, metric="h", us="h", least=0.0, most=3.6e8):
    """Hours of work of a machine or a part."""


class PartHours(MachineHours, least=360.0, most=3.6e8):
    """Hours of work a wearing part lasts."""


class AnnualUse(MachineHours, least=3600.0, most=31_622_400.0):
    """Hours of work in a year; no more than the year has."""


class FeedRate(Quantity, dimension="mass_flow", metric="t/h", us="ton_short/h", least=0.0, most=200.0):
    """Material through a machine."""


class Yield(Quantity, dimension="mass_per_area", metric="t/ha", us="ton_short/ac", least=0.001, most=50.0):
    """Material on an area."""


class Volume(Quantity, dimension="volume", metric="L", us="gal", least=0.0, most=1e6):
    """A volume of fuel or oil."""


class Displacement(Volume, metric="cm3", us="in3", least=1e-7, most=0.01):
    """Volume a pump or motor sweeps in one turn."""


class MassPerPower(Quantity, dimension="mass_per_power", metric="kg/kW", us="lb/hp", least=0.0, most=10.0):
    """Tractor mass over PTO power."""


class Angle(Quantity, dimension="angle", metric="deg", us="deg", least=-7.0, most=7.0):
    """An angle, or a direction east of north."""


class Money(Quantity, dimension="amount_of_money", metric="money", us="money", least=-1e9, most=1e9, bare=True):
    """An amount in the currency the caller's prices are in; nothing is ever converted."""


class Price(Money, least=0.0, most=1e9):
    """What something is bought or sold for."""


class MachinePrice(Price, least=0.01, most=1e9):
    """What a machine is bought for."""


class MoneyPerArea(Quantity, dimension="money_per_area", metric="money/ha", us="money/ac"):
    """A cost, or a worth, on an area."""


class HireRate(MoneyPerArea, least=0.0, most=1e4):
    """What is paid to have an area worked."""


class LossPerArea(MoneyPerArea, least=0.0, most=1e3):
    """What an area loses with each day that work on it is late."""


class MoneyPerTime(Quantity, dimension="money_per_time", metric="money/h", us="money/h"):
    """A cost in a time."""


class HourlyRate(MoneyPerTime, least=0.0, most=1e4):
    """What is paid, or lost, in a time."""


class FuelPrice(Quantity, dimension="money_per_volume", metric="money/L", us="money/gal", least=0.0, most=1e6):
    """Price of fuel or oil."""


class CropPrice(Quantity, dimension="money_per_mass", metric="money/t", us="money/ton_short", least=0.0, most=1e3):
    """Price of a crop."""


class ForcePerWidth(Quantity, dimension="force_per_length", metric="kN/m", us="lbf/ft", least=0.0, most=1e6):
    """Draft for each unit of working width."""


class DraftOfWidth(ForcePerWidth, least=1.0, most=1e5):
    """Draft of one's own for each unit of working width."""


class DraftOfTool(Force, least=1.0, most=1e5):
    """Draft of one's own for each tool or row."""


def decode_quantity(kind: type[object], given: object) -> object:
    """Read a quantity for msgspec (its ``dec_hook``)."""
    if issubclass(kind, Quantity):
        return kind.read(given)
    raise NotImplementedError(f"no reader for {kind}")


def encode_metric(value: object) -> object:
    """Write a quantity in metric units for msgspec (its ``enc_hook``)."""
    if isinstance(value, Quantity):
        return value.written("metric")
    raise NotImplementedError(f"no writer for {type(value)}")


def encode_us(value: object) -> object:
    """Write a quantity in US customary units for msgspec (its ``enc_hook``)."""
    if isinstance(value, Quantity):
        return value.written("us")
    raise NotImplementedError(f"no writer for {type(value)}")
