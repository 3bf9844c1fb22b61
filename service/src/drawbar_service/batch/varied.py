"""The values of a leaf that varies: numbers in SI units, or the distinct ones of others and which each row has."""

import math
from collections.abc import Callable, Mapping, Sequence
from difflib import get_close_matches
from functools import cache
from typing import Any, NamedTuple, cast

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.api.faults import Fault, find_faults
from drawbar_service.batch.leaves import Leaf
from drawbar_service.batch.table import Coded
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.quantities import SMALLEST, Quantity, decode_quantity
from drawbar_service.rows import Codes

_GREATEST = float(np.finfo(np.float64).max)
EMPTY = "nothing stands here: a number belongs here"
"""What is wrong with an empty cell of a column of quantities, or with NaN."""
MOST_DIFFERENT = 65_536
"""Most different texts of one leaf in a part of a batch: each of them is looked up, and told of if it is none."""
_BARE = "1"
"""Unit of a number that needs none."""


class Given(NamedTuple):
    """What is given for one leaf: numbers in a unit, or values as a request would hold them."""

    values: Sequence[object] | npt.NDArray[Any] | Coded
    unit: str | None = None


class Varied(NamedTuple):
    """One leaf and its values."""

    leaf: Leaf
    numbers: FloatArray | None
    """In SI units, if the leaf is a quantity; a value at fault stands as given."""
    codes: Codes | None
    """Else the place of each row's value among the distinct ones."""
    distinct: list[object]
    """Distinct values as the request holds them; None where a value is left out or at fault."""
    bodies: list[object]
    """The same as a decoded body holds them."""
    unsound: npt.NDArray[np.bool_] | None
    """Which values are at fault; None if none is."""
    fault: Callable[[int], str]
    """What is wrong with a value, by its index."""

    def __len__(self) -> int:
        return len(self.numbers if self.numbers is not None else cast("Codes", self.codes))

    def at(self, index: int) -> object:
        """Return a value as a decoded body holds it."""
        if self.numbers is not None:
            return cast("type[Quantity]", self.leaf.quantity)(self.numbers[index])
        return self.bodies[cast("Codes", self.codes)[index]]


def read(
    one: Leaf, given: Given, fleets: Mapping[str, Mapping[str, object]], tell: Callable[[str, str], None]
) -> Varied:
    """Return the values of a leaf.

    Parameters
    ----------
    one : Leaf
    given : Given
    fleets : mapping
        Objects by the name of their fleet and their key.
    tell : callable
        Receives what is wrong with all of them: which member of what is given, and the sentence.
    """
    if one.quantity is not None and one.quantity.bare and given.unit is None and _are_numbers(given.values):
        given = Given(given.values, _BARE)
    if one.quantity is not None and given.unit is not None:
        return _numbers(one, one.quantity, given, tell)
    if isinstance(given.values, Coded) and len(given.values.values) > MOST_DIFFERENT:
        tell("", f"{len(given.values.values)} different values; at most {MOST_DIFFERENT}")
        return Varied(one, np.zeros(0), None, [], [], None, str)
    if given.unit is not None:
        tell("/unit", "this leaf has no unit; leave it out")
    if one.kind == "object":
        return _objects(one, given.values, fleets)
    return _others(one, given.values)


def _are_numbers(values: Sequence[object] | npt.NDArray[Any] | Coded) -> bool:
    """Return whether values can be read as numbers all at once."""
    if isinstance(values, Coded):
        return False
    if isinstance(values, np.ndarray):
        return values.dtype.kind in "iuf"
    kinds = set(map(type, values))
    return kinds == {float} or (kinds <= {float, int} and not any(map(is_huge, values)))


def is_huge(value: object) -> bool:
    """Return whether a value is a whole number beyond what a float holds."""
    return type(value) is int and value.bit_length() > 1000


def _numbers(one: Leaf, quantity: type[Quantity], given: Given, tell: Callable[[str, str], None]) -> Varied:
    listed = given.values.expanded() if isinstance(given.values, Coded) else given.values
    try:
        values = np.asarray(listed, dtype=np.float64)
    except (TypeError, ValueError, OverflowError):
        tell("/values", "with a unit, plain numbers belong here")
        return Varied(one, np.zeros(0), None, [], [], None, str)
    unit = cast("str", given.unit)
    symbol = quantity.dimension.spellings.get(unit)
    if symbol is None:
        tell("/unit", f"{unit[:40]!r} is not read here; use {', '.join(quantity.dimension.factors)}")
        return Varied(one, values, None, [], [], None, str)
    factor = quantity.dimension.factors[symbol]
    numbers = values if factor == 1.0 else values * factor
    least = -math.inf if quantity.least is None else quantity.least
    most = math.inf if quantity.most is None else quantity.most
    unsound = None
    if numbers.size:
        lowest, highest = float(numbers.min()), float(numbers.max())
        if not lowest >= SMALLEST:
            numbers = _without_traces(numbers)
        if not (max(least, -_GREATEST) <= lowest and highest <= min(most, _GREATEST)):
            unsound = ~(np.isfinite(numbers) & (numbers >= least) & (numbers <= most))

    def fault(index: int) -> str:
        if math.isnan(values[index]):
            return EMPTY
        try:
            quantity.read({"value": float(values[index]), "unit": symbol})
        except ValueError as error:
            return str(error)
        raise AssertionError("a value outside the range of its kind was read")

    return Varied(one, numbers, None, [], [], unsound, fault)


def _without_traces(numbers: FloatArray) -> FloatArray:
    """Return numbers [SI] with those too small to be a measurement as 0, as a single request reads them."""
    traces = (np.abs(numbers) < SMALLEST) & (numbers != 0.0)
    return np.where(traces, 0.0, numbers) if traces.any() else numbers


def _others(one: Leaf, values: Sequence[object] | npt.NDArray[Any] | Coded) -> Varied:
    plain, codes = _distinct(values)
    found: list[object] = []
    wrong: list[int] = []
    for at, value in enumerate(plain):
        # A count may come as a float that is a whole number.
        body = int(value) if type(value) is float and value.is_integer() else value
        plain[at] = body
        if body is None and one.quantity is not None:
            found.append(None)
            wrong.append(at)
            continue
        try:
            found.append(one.read(body))
        except ValueError:
            found.append(None)
            wrong.append(at)

    @cache
    def why(at: int) -> str:
        value = plain[at]
        nothing = one.quantity is not None if value is None else isinstance(value, float) and math.isnan(value)
        return EMPTY if nothing else one.fault(value)

    if one.quantity is not None:
        numbers = np.array([math.nan if value is None else cast("float", value) for value in found], dtype=np.float64)
        return Varied(one, numbers[codes], None, [], [], *_wrong(codes, wrong, why))
    return Varied(one, None, codes, found, plain, *_wrong(codes, wrong, why))


def _objects(
    one: Leaf, values: Sequence[object] | npt.NDArray[Any] | Coded, fleets: Mapping[str, Mapping[str, object]]
) -> Varied:
    """Return the objects that keys of a fleet stand for; the members of the fleet have been checked."""
    keys, codes = _distinct(values)
    members = {key: member for name in one.fleets for key, member in fleets.get(name, {}).items()}
    found: list[object] = []
    bodies: list[object] = []
    wrong: dict[int, str] = {}
    for at, key in enumerate(keys):
        if isinstance(key, str) and key in members:
            bodies.append(members[key])
            found.append(msgspec.convert(members[key], one.annotation, dec_hook=decode_quantity))
        else:
            bodies.append(None)
            found.append(None)
            wrong[at] = _missing(key, one, members)
    return Varied(one, None, codes, found, bodies, *_wrong(codes, list(wrong), wrong.__getitem__))


def _missing(key: object, one: Leaf, members: Mapping[str, object]) -> str:
    fleet = f"fleets/{one.fleets[0]}"
    if not isinstance(key, str):
        return f"a key of {fleet} of the scenario belongs here, as text"
    close = get_close_matches(key[:40], members, n=1)
    hint = f"did you mean {close[0]!r}?" if close else f"it has {', '.join(list(members)[:8]) or 'none'}"
    return f"{fleet} of the scenario has no {key[:40]!r}; {hint}"


def check_fleets(fleets: object, kinds: Mapping[str, Any]) -> list[Fault]:
    """Return what is wrong with the `fleets` of a scenario, given what each of them holds."""
    if not isinstance(fleets, dict):
        return [Fault("", f"an object with {', '.join(kinds)} belongs here")]
    faults: list[Fault] = []
    for name, members in cast("dict[str, object]", fleets).items():
        place = f"/{name.replace('~', '~0').replace('/', '~1')}"
        if name not in kinds:
            faults.append(Fault(place, f"there is no such fleet; there are {', '.join(kinds)}"))
        elif not isinstance(members, dict):
            faults.append(Fault(place, "an object of names and what they stand for belongs here"))
        else:
            for key, member in cast("dict[str, object]", members).items():
                inside = f"{place}/{key.replace('~', '~0').replace('/', '~1')}"
                faults += [
                    Fault(f"{inside}{fault.pointer}", fault.detail) for fault in find_faults(member, kinds[name])
                ]
    return faults


def _wrong(
    codes: Codes, wrong: list[int], why: Callable[[int], str]
) -> tuple[npt.NDArray[np.bool_] | None, Callable[[int], str]]:
    if not wrong:
        return None, str
    return np.isin(codes, wrong), lambda index: why(int(codes[index]))


def _distinct(values: Sequence[object] | npt.NDArray[Any] | Coded) -> tuple[list[object], Codes]:
    """Return the distinct values, and which of them each row has."""
    if isinstance(values, Coded):
        # One value may stand there twice; the last place is what -1 leads to.
        distinct, places = _distinct([*values.values, None])
        return distinct, places.take(values.codes)
    if isinstance(values, np.ndarray) and values.dtype.kind in "biuf":
        distinct, codes = np.unique(values, return_inverse=True)
        return distinct.tolist(), codes.reshape(-1).astype(np.intp)
    listed: list[Any] = values.tolist() if isinstance(values, np.ndarray) else list(values)
    if set(map(type, listed)) == {str}:
        return _places(listed, dict.fromkeys(listed))
    try:
        # 1, 1.0 and True are equal and not the same.
        typed = list(zip(map(type, listed), listed, strict=True))
        known, codes = _places(typed, dict.fromkeys(typed))
        return [value for _, value in cast("list[tuple[type, object]]", known)], codes
    except TypeError:
        # Objects such as {"value": 8, "unit": "km/h"} cannot be keys.
        texts: dict[bytes, int] = {}
        codes = np.array([texts.setdefault(msgspec.json.encode(value), len(texts)) for value in listed], dtype=np.intp)
        first = np.unique(codes, return_index=True)[1]
        return [listed[at] for at in first.tolist()], codes


def _places(values: list[Any], distinct: dict[Any, Any]) -> tuple[list[object], Codes]:
    """Return the `distinct` values, and the place of each value among them."""
    known = list(distinct)
    places = {value: at for at, value in enumerate(known)}
    return known, np.fromiter(map(places.__getitem__, values), np.intp, len(values))
