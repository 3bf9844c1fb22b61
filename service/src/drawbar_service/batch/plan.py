"""A scenario and what varies in it, checked and laid out in rows."""

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any, Literal, NamedTuple, TypeAlias, cast

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.faults import MAX_FAULTS, Fault, ImpossibleInput, find_faults
from drawbar_service.api.v1.batch.request import MAX_COLUMNS
from drawbar_service.batch.leaves import Leaf, NoSuchLeaf, leaf, put
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.quantities import Quantity, UnitSystem, decode_quantity

Mode: TypeAlias = Literal["zip", "grid"]
Index: TypeAlias = npt.NDArray[np.intp]


_GREATEST = float(np.finfo(np.float64).max)
_BARE = "1"
"""Unit of a number that needs none."""
MOST_LONG_ROWS = 32
"""Most rows of a calculation that takes long alone."""


class Given(NamedTuple):
    """What is given for one leaf: numbers in a unit, or values as a request would hold them."""

    values: Sequence[object] | npt.NDArray[Any]
    unit: str | None = None


class Varied(NamedTuple):
    """One leaf and its values."""

    leaf: Leaf
    numbers: FloatArray | None
    """In SI units, if the leaf is a quantity; a value at fault stands as given."""
    others: list[object] | None
    """As the request holds them, if it is no quantity; None where the value is at fault."""
    faults: dict[int, str]
    """What is wrong with a value, by its index."""

    def __len__(self) -> int:
        return len(self.numbers if self.numbers is not None else cast("list[object]", self.others))

    def at(self, index: int) -> object:
        """Return a value as the request holds it."""
        if self.numbers is not None:
            return cast("type[Quantity]", self.leaf.quantity)(self.numbers[index])
        return cast("list[object]", self.others)[index]


class Plan(NamedTuple):
    """A batch that can be run."""

    calculation: Calculation[Any, Any]
    scenario: object
    """Decoded, before anything varies."""
    varied: list[Varied]
    mode: Mode
    rows: int
    wanted: list[Leaf]
    """Leaves of the answer, the columns of the result."""
    units: UnitSystem

    def indices(self, start: int, stop: int) -> list[Index]:
        """Return, for each leaf that varies, which of its values each row from `start` to before `stop` takes.

        In a grid the last leaf varies fastest.
        """
        rows = np.arange(start, stop)
        if self.mode == "zip" or not self.varied:
            return [rows] * len(self.varied)
        return list(np.unravel_index(rows, [len(one) for one in self.varied]))

    def body(self, indices: Sequence[Index], row: int) -> object:
        """Return the request body of one row of a block."""
        body = self.scenario
        for one, index in zip(self.varied, indices, strict=True):
            body = put(body, one.leaf.path, one.at(int(index[row])))
        return body


def make_plan(
    calculation: Calculation[Any, Any],
    scenario: object,
    vary: Mapping[str, Given],
    mode: Mode,
    wanted: Sequence[str],
    units: UnitSystem,
    most_rows: int,
) -> Plan:
    """Return the plan of a batch.

    Parameters
    ----------
    calculation : Calculation
    scenario : object
        A decoded request body; what varies may be missing from it.
    vary : mapping
        By JSON Pointer into the scenario.
    mode : {"zip", "grid"}
        Row by row, or every value with every other.
    wanted : sequence of str
        JSON Pointers into the answer.
    units : {"metric", "us"}
        Units of the answer.
    most_rows : int

    Raises
    ------
    ImpossibleInput
        With every fault that concerns all rows. Faults of single rows are left to the run.
    """
    faults = _Faults()
    leaves = {pointer: faults.leaf(calculation.request, pointer, f"/vary/{_escaped(pointer)}") for pointer in vary}
    columns = [faults.leaf(calculation.answer, pointer, f"/columns/{at}") for at, pointer in enumerate(wanted)]
    for name, several in (("/vary", vary), ("/columns", wanted)):
        if len(several) > MAX_COLUMNS:
            faults.add(name, f"at most {MAX_COLUMNS} of them")
    for first, second in pairwise(sorted(vary)):
        if second.startswith(f"{first}/"):
            faults.add(f"/vary/{_escaped(second)}", f"{first} varies as a whole, so nothing inside it can")
    for pointer, one in leaves.items():
        if one is not None and one.end:
            faults.add(f"/vary/{_escaped(pointer)}", "a request holds single values, without low and high")
    faults.stop()
    varied = [_read(cast("Leaf", leaves[pointer]), given, faults) for pointer, given in vary.items()]
    rows = _count(varied, list(vary), mode, most_rows, faults)
    faults.stop()
    plan = Plan(calculation, scenario, varied, mode, rows, [one for one in columns if one is not None], units)
    _check_scenario(plan, faults)
    faults.stop()
    return plan


class _Faults:
    def __init__(self) -> None:
        self._found: list[Fault] = []

    def add(self, pointer: str, detail: str) -> None:
        self._found.append(Fault(pointer, detail))

    def leaf(self, kind: type[msgspec.Struct], pointer: str, place: str) -> Leaf | None:
        try:
            return leaf(kind, pointer)
        except NoSuchLeaf as error:
            self.add(place, str(error))
            return None

    def stop(self) -> None:
        if self._found:
            raise ImpossibleInput(self._found[:MAX_FAULTS])


def _read(one: Leaf, given: Given, faults: _Faults) -> Varied:
    place = f"/vary/{_escaped(one.pointer)}"
    if one.quantity is not None and one.quantity.bare and given.unit is None and _are_numbers(given.values):
        given = Given(given.values, _BARE)
    if one.quantity is not None and given.unit is not None:
        return _read_numbers(one, one.quantity, given, faults, place)
    if given.unit is not None:
        faults.add(f"{place}/unit", "this leaf has no unit; leave it out")
    return _read_one_by_one(one, given.values)


def _are_numbers(values: Sequence[object] | npt.NDArray[Any]) -> bool:
    """Return whether values can be read as numbers all at once."""
    if isinstance(values, np.ndarray):
        return values.dtype.kind in "iuf"
    kinds = set(map(type, values))
    return kinds == {float} or (kinds <= {float, int} and not any(map(is_huge, values)))


def is_huge(value: object) -> bool:
    """Return whether a value is a whole number beyond what a float holds."""
    return type(value) is int and value.bit_length() > 1000


def _read_numbers(one: Leaf, quantity: type[Quantity], given: Given, faults: _Faults, place: str) -> Varied:
    try:
        values = np.asarray(given.values, dtype=np.float64)
    except (TypeError, ValueError, OverflowError):
        faults.add(f"{place}/values", "with a unit, plain numbers belong here")
        return Varied(one, np.zeros(0), None, {})
    unit = cast("str", given.unit)
    symbol = quantity.dimension.spellings.get(unit)
    if symbol is None:
        faults.add(f"{place}/unit", f"{unit[:40]!r} is not read here; use {', '.join(quantity.dimension.factors)}")
        return Varied(one, values, None, {})
    numbers = values * quantity.dimension.factors[symbol]
    least = -math.inf if quantity.least is None else quantity.least
    most = math.inf if quantity.most is None else quantity.most
    if numbers.size:
        lowest, highest = float(numbers.min()), float(numbers.max())
        if max(least, -_GREATEST) <= lowest and highest <= min(most, _GREATEST):
            return Varied(one, numbers, None, {})
    sound = np.isfinite(numbers) & (numbers >= least) & (numbers <= most)
    wrong = {int(at): _wrong(quantity, float(values[at]), symbol) for at in np.flatnonzero(~sound)}
    return Varied(one, numbers, None, wrong)


def _wrong(quantity: type[Quantity], value: float, symbol: str) -> str:
    try:
        quantity.read({"value": value, "unit": symbol})
    except ValueError as error:
        return str(error)
    raise AssertionError("a value outside the range of its kind was read")


def _read_one_by_one(one: Leaf, values: Sequence[object] | npt.NDArray[Any]) -> Varied:
    plain: list[object] = values.tolist() if isinstance(values, np.ndarray) else list(values)
    read: list[object] = []
    wrong: dict[int, str] = {}
    for at, value in enumerate(_plain_numbers(plain)):
        try:
            read.append(one.read(value))
        except ValueError as error:
            read.append(None)
            wrong[at] = str(error)
    if one.quantity is not None:
        numbers = np.array([math.nan if value is None else cast("float", value) for value in read], dtype=np.float64)
        return Varied(one, numbers, None, wrong)
    return Varied(one, None, read, wrong)


def _plain_numbers(values: list[object]) -> list[object]:
    """Return values with every float that is a whole number as an int, as a count needs it."""
    return [int(value) if type(value) is float and value.is_integer() else value for value in values]


def _count(varied: list[Varied], pointers: list[str], mode: Mode, most_rows: int, faults: _Faults) -> int:
    lengths = [len(one) for one in varied]
    for pointer, length in zip(pointers, lengths, strict=True):
        if length == 0:
            faults.add(f"/vary/{_escaped(pointer)}", "at least one value belongs here")
    if mode == "zip":
        if len(set(lengths)) > 1:
            told = ", ".join(f"{pointer} {length}" for pointer, length in zip(pointers, lengths, strict=True))
            every = 'for every value with every other give mode "grid"'
            faults.add("/vary", f"zipped columns are of one length; these are {told}; {every}")
        rows = lengths[0] if lengths else 1
    else:
        rows = math.prod(lengths)
    if rows > most_rows:
        faults.add("/vary", f"{rows} rows; at most {most_rows} in one request")
    return rows


def _check_scenario(plan: Plan, faults: _Faults) -> None:
    """Find what is wrong with every row: the scenario itself, with the first sound value of every leaf."""
    body = plan.scenario
    unsound: list[str] = []
    for one in plan.varied:
        sound = next((at for at in range(len(one)) if at not in one.faults), None)
        if sound is None:
            unsound.append(one.leaf.pointer)
            continue
        try:
            body = put(body, one.leaf.path, one.at(sound))
        except NoSuchLeaf as error:
            faults.add(f"/vary/{_escaped(one.leaf.pointer)}", str(error))
    found = find_faults(body, plan.calculation.request)
    for fault in found:
        # Where no value of a leaf can be used, each row tells why; that the leaf is missing as well says nothing new.
        if not any(f"{pointer}/".startswith(f"{fault.pointer}/") for pointer in unsound):
            faults.add(f"/scenario{fault.pointer}", fault.detail)
    if not found and takes_long(plan, body) and plan.rows > MOST_LONG_ROWS:
        faults.add("/vary", f"{plan.rows} rows that may take seconds each; at most {MOST_LONG_ROWS} in one request")


def takes_long(plan: Plan, body: object) -> bool:
    """Return whether a single row, such as this decoded `body`, takes long."""
    request = msgspec.convert(body, plan.calculation.request, dec_hook=decode_quantity)
    return plan.calculation.lasts(request) == "long"


def more_rows(plan: Plan, vary: Mapping[str, Given]) -> Plan:
    """Return a plan for further rows of the same columns, in the same units; what is wrong is left to the run.

    Raises
    ------
    ImpossibleInput
        If numbers in a unit are no numbers.
    """
    faults = _Faults()
    varied = [_read(one.leaf, vary[one.leaf.pointer], faults) for one in plan.varied]
    faults.stop()
    return plan._replace(varied=varied, rows=len(varied[0]))


def _escaped(pointer: str) -> str:
    return pointer.replace("~", "~0").replace("/", "~1")
