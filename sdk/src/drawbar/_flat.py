"""Answers laid flat: figures by name, and lists of parts as tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple, TypeAlias, cast

import msgspec

from drawbar._renamed import current_members
from drawbar.quantities import Reading

Cell: TypeAlias = float | bool | str | None


class Figure(NamedTuple):
    """A value with its unit; no unit for texts, truths and plain numbers."""

    value: Cell
    unit: str


def figures(item: msgspec.Struct, leave_out: Sequence[str] = (), prefix: str = "") -> Iterator[tuple[str, object]]:
    """Yield the members of a part and of the parts within it, by dotted name; lists of parts are left out.

    Parameters
    ----------
    item
        An answer or a part of one.
    leave_out
        Members that are not wanted.
    prefix
        Put before each name.
    """
    for member in current_members(item):
        value: object = getattr(item, member)
        name = f"{prefix}{member}"
        if member in leave_out or value is None or _is_parts(value):
            continue
        if isinstance(value, msgspec.Struct) and not isinstance(value, Reading):
            yield from figures(value, leave_out, f"{name}.")
        elif isinstance(value, list):
            yield name, ", ".join(str(one) for one in cast("list[object]", value))
        else:
            yield name, value


def lists(item: msgspec.Struct, place: str = "") -> Iterator[tuple[str, list[msgspec.Struct]]]:
    """Yield the lists of parts in an answer, by JSON Pointer.

    Parameters
    ----------
    item
        An answer or a part of one.
    place
        Pointer to it.
    """
    for field in msgspec.structs.fields(item):
        value: object = getattr(item, field.name)
        if field.name == "about":
            continue
        if _is_parts(value):
            yield f"{place}/{field.name}", cast("list[msgspec.Struct]", value)
        elif isinstance(value, msgspec.Struct):
            yield from lists(value, f"{place}/{field.name}")


def table(parts: Sequence[msgspec.Struct]) -> dict[str, list[Cell]]:
    """Return parts as columns; the unit is in the name, as in `draft [kN]`, unless it differs from row to row.

    Parameters
    ----------
    parts
        Parts of one kind.
    """
    rows = [dict(_row(part)) for part in parts]
    columns: dict[str, list[Cell]] = {}
    for name in dict.fromkeys(name for row in rows for name in row):
        cells = [row.get(name, Figure(None, "")) for row in rows]
        units = {cell.unit for cell in cells if cell.value is not None}
        if len(units) > 1:
            columns[name] = [cell.value for cell in cells]
            columns[f"{name} unit"] = [cell.unit for cell in cells]
        else:
            unit = next(iter(units), "")
            columns[f"{name} [{unit}]" if unit else name] = [cell.value for cell in cells]
    return columns


def named_list(answer: msgspec.Struct, pointer: str | None) -> list[msgspec.Struct]:
    """Return one of the lists of an answer.

    Parameters
    ----------
    answer
        The answer.
    pointer
        JSON Pointer to the list; None if the answer has one only.

    Raises
    ------
    ValueError
        If there is no such list, or more than one to choose from; the message names those there are.
    """
    found: Mapping[str, list[msgspec.Struct]] = dict(lists(answer))
    if pointer is None and len(found) == 1:
        return next(iter(found.values()))
    if pointer in found:
        return found[pointer]
    there = f"there are {', '.join(found)}" if found else "this answer has none"
    raise ValueError(f"{'Say which rows' if pointer is None else f'No rows at {pointer!r}'}: {there}.")


def _row(part: msgspec.Struct) -> Iterator[tuple[str, Figure]]:
    for name, value in figures(part):
        if isinstance(value, Reading):
            unit = "" if value.unit == "1" else value.unit
            yield name, Figure(value.value, unit)
            for end, bound in (("low", value.low), ("high", value.high)):
                if bound is not None:
                    yield f"{name}.{end}", Figure(bound, unit)
        else:
            yield name, Figure(value if isinstance(value, bool | float | int) else str(value), "")


def _is_parts(value: object) -> bool:
    if not isinstance(value, list) or not value:
        return False
    first = cast("list[Any]", value)[0]
    return isinstance(first, msgspec.Struct) and not isinstance(first, Reading)
