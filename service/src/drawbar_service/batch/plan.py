"""A scenario and what varies in it, checked and laid out in rows."""

import math
from collections.abc import Mapping, Sequence
from functools import partial
from itertools import pairwise
from typing import Any, Literal, NamedTuple, TypeAlias, cast

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.costs import seconds_of_row
from drawbar_service.api.faults import MAX_FAULTS, Fault, ImpossibleInput, find_faults
from drawbar_service.api.renamed import OldWords, Renaming, old_words, replaced
from drawbar_service.api.v1.batch.request import MAX_COLUMNS
from drawbar_service.api.wire import read_decoded
from drawbar_service.batch.leaves import FLEETS, Leaf, NoSuchLeaf, leaf, put
from drawbar_service.batch.table import Coded
from drawbar_service.batch.varied import Given as Given
from drawbar_service.batch.varied import Varied as Varied
from drawbar_service.batch.varied import check_fleets, read
from drawbar_service.quantities import UnitSystem

Mode: TypeAlias = Literal["zip", "grid"]
Index: TypeAlias = npt.NDArray[np.intp]


class Plan(NamedTuple):
    """A batch that can be run."""

    calculation: Calculation[Any, Any]
    scenario: object
    """Decoded, before anything varies."""
    fleets: Mapping[str, Mapping[str, object]]
    """Decoded objects by the name of their fleet and their key."""
    varied: list[Varied]
    mode: Mode
    rows: int
    wanted: list[Leaf]
    """Leaves of the answer, the columns of the result."""
    units: UnitSystem
    given: Mapping[str, str]
    """Pointers of what varies as the caller wrote them, by those in new words."""
    renamings: Sequence[Renaming]
    """Old words in all of it."""

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
    old = old_words(calculation.request)
    renamings: list[Renaming] = []
    scenario = _scenario_in_new_words(scenario, old, renamings, faults)
    given, vary = _vary_in_new_words(vary, old, renamings, faults)
    faults.stop()
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
    scenario, fleets = _without_fleets(scenario, faults)
    faults.stop()
    varied = [
        read(cast("Leaf", leaves[pointer]), given, fleets, partial(faults.inside, pointer))
        for pointer, given in vary.items()
    ]
    rows = _count(varied, list(vary), mode, most_rows, faults)
    faults.stop()
    wanted_leaves = [one for one in columns if one is not None]
    plan = Plan(calculation, scenario, fleets, varied, mode, rows, wanted_leaves, units, given, renamings)
    _check_scenario(plan, faults)
    faults.stop()
    return plan


class _Faults:
    def __init__(self) -> None:
        self._found: list[Fault] = []

    def add(self, pointer: str, detail: str) -> None:
        self._found.append(Fault(pointer, detail))

    def inside(self, pointer: str, member: str, detail: str) -> None:
        self.add(f"/vary/{_escaped(pointer)}{member}", detail)

    def leaf(self, kind: type[msgspec.Struct], pointer: str, place: str) -> Leaf | None:
        try:
            return leaf(kind, pointer)
        except NoSuchLeaf as error:
            self.add(place, str(error))
            return None

    def stop(self) -> None:
        if self._found:
            raise ImpossibleInput(self._found[:MAX_FAULTS])


def _scenario_in_new_words(
    scenario: object, old: OldWords, renamings: list[Renaming], faults: _Faults
) -> dict[str, object]:
    """Return a scenario in new words, and those of its fleets."""
    members = cast("dict[str, object]", scenario)
    new = old.replaced({name: member for name, member in members.items() if name != "fleets"})
    found = cast("dict[str, object]", new.body)
    parts = [new]
    fleets = members.get("fleets")
    if isinstance(fleets, dict):
        there: dict[str, object] = {}
        for name, those in cast("dict[str, object]", fleets).items():
            there[name] = those
            if name in FLEETS and isinstance(those, dict):
                of_fleet = {
                    key: replaced(one, FLEETS[name], f"/fleets/{name}/{_escaped(key)}")
                    for key, one in cast("dict[str, object]", those).items()
                }
                there[name] = {key: one.body for key, one in of_fleet.items()}
                parts += of_fleet.values()
        found["fleets"] = there
    elif "fleets" in members:
        found["fleets"] = fleets
    for part in parts:
        renamings += [one._replace(pointer=f"/scenario{one.pointer}") for one in part.renamings]
        for fault in part.faults:
            faults.add(f"/scenario{fault.pointer}", fault.detail)
    return found


def _vary_in_new_words(
    vary: Mapping[str, Given], old: OldWords, renamings: list[Renaming], faults: _Faults
) -> tuple[dict[str, str], dict[str, Given]]:
    """Return the pointers of what varies as they are given, by those in new words, and the values by these."""
    given: dict[str, str] = {}
    found: dict[str, Given] = {}
    for pointer, values in vary.items():
        new, words = old.pointer(pointer)
        place = f"/vary/{_escaped(pointer)}"
        renamings += [one._replace(pointer=place) for one in words]
        if new in given:
            faults.add(place, f"{new} varies by its old and by its new word: leave one of them out")
        given[new] = pointer
        found[new] = _rows_in_new_words(values, old.new_rows(new), place, renamings)
    return given, found


def _rows_in_new_words(values: Given, rows: Mapping[str, str], place: str, renamings: list[Renaming]) -> Given:
    """Return the ids of rows, if there are new ones for them, as new ones."""
    if not rows or values.unit is not None:
        return values
    coded = values.values
    listed = cast("Sequence[object]", coded.values if isinstance(coded, Coded) else coded)
    old = {one for one in listed if isinstance(one, str) and one in rows}
    if not old:
        return values
    renamings += [Renaming(place, one, rows[one], is_row=True) for one in sorted(old)]
    new: list[object] = [rows.get(one, one) if isinstance(one, str) else one for one in listed]
    return Given(Coded(coded.codes, new) if isinstance(coded, Coded) else new)


def _without_fleets(scenario: object, faults: _Faults) -> tuple[object, Mapping[str, Mapping[str, object]]]:
    """Return a scenario without its fleets, and the fleets."""
    members = dict(cast("dict[str, object]", scenario)) if isinstance(scenario, dict) else {}
    if "fleets" not in members:
        return cast("object", scenario), {}
    fleets = members.pop("fleets")
    for fault in check_fleets(fleets, FLEETS):
        faults.add(f"/scenario/fleets{fault.pointer}", fault.detail)
    return members, cast("Mapping[str, Mapping[str, object]]", fleets)


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
        if one.unsound is None:
            sound = 0
        elif not one.unsound.all():
            sound = int(np.argmin(one.unsound))
        else:
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


def seconds_of(plan: Plan) -> float:
    """Return what a row is thought to cost of a processor, by the first one [s]."""
    try:
        request = read_decoded(plan.body(plan.indices(0, 1), 0), plan.calculation.request)
    except (ImpossibleInput, LookupError, ValueError):
        steps = 0  # that row is at fault
    else:
        steps = plan.calculation.steps(request)
    return seconds_of_row(plan.calculation.name, steps)


def more_rows(plan: Plan, vary: Mapping[str, Given]) -> Plan:
    """Return a plan for further rows of the same columns, in the same units; what is wrong is left to the run.

    Raises
    ------
    ImpossibleInput
        If numbers in a unit are no numbers.
    """
    faults = _Faults()
    old = old_words(plan.calculation.request)
    varied: list[Varied] = []
    for one in plan.varied:
        pointer = one.leaf.pointer
        given = _rows_in_new_words(vary[plan.given[pointer]], old.new_rows(pointer), "", [])
        varied.append(read(one.leaf, given, plan.fleets, partial(faults.inside, pointer)))
    faults.stop()
    return plan._replace(varied=varied, rows=len(varied[0]))


def _escaped(pointer: str) -> str:
    return pointer.replace("~", "~0").replace("/", "~1")
