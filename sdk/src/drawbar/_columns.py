"""Columns of a batch as they are given: lists, NumPy, pandas, polars and Arrow, told apart by what they can do.

None of these libraries is imported here: whoever hands over one of their columns has it already. Where NumPy is there,
columns of libraries become arrays; lists stay lists.
"""

from __future__ import annotations

import importlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias, cast

from drawbar.models import VariedValues

Column: TypeAlias = Any
"""A list, a NumPy array, or a column of pandas, polars or Arrow."""

_AS_LIST: Final = ("to_pylist", "to_list", "tolist")


@dataclass(frozen=True, slots=True)
class Given:
    """One leaf and its values.

    Parameters
    ----------
    unit
        Unit of the numbers, if they have one.
    values
        The values, which can be counted and sliced.
    """

    unit: str | None
    values: Column

    def __len__(self) -> int:
        return len(self.values)

    def some(self, start: int, stop: int) -> list[Any]:
        """Give some of the values as a list.

        Parameters
        ----------
        start
            The first.
        stop
            The one after the last.
        """
        return _listed(self.values[start:stop])

    def by_row(self, after: int, before: int) -> Any:
        """Give each value so often in turn, and all of them so often over: an array where one was given, or a list.

        Parameters
        ----------
        after
            Rows that follow each other and have the same value.
        before
            How often they all come.
        """
        arrays = None if _is_list(self.values) else _arrays()
        if arrays is not None:
            return arrays.by_row(self.values, after, before)
        return [value for value in _listed(self.values) for _ in range(after)] * before


def _is_list(values: Column) -> bool:
    return isinstance(values, list | tuple | range)


def _listed(values: Column) -> list[Any]:
    for name in _AS_LIST:
        if hasattr(values, name):
            return cast("list[Any]", getattr(values, name)())
    return list(values)


def read(vary: Any) -> dict[str, Given]:
    """Read what varies, by pointer.

    Parameters
    ----------
    vary
        A mapping of columns, or a table.

    Raises
    ------
    ValueError
        If a name is no pointer, or is there twice.
    """
    named: Mapping[str, Any] = cast("Mapping[str, Any]", vary) if isinstance(vary, Mapping) else _columns_of(vary)
    found: dict[str, Given] = {}
    for name, values in named.items():
        pointer, unit = split_name(name)
        if not pointer.startswith("/"):
            raise ValueError(
                f"The column {name!r} is not called by a JSON Pointer such as '/speed [km/h]'. "
                "Rename it, leave it out, or give a mapping of pointers to columns."
            )
        if pointer in found:
            raise ValueError(f"The column {pointer!r} is there twice.")
        given = _given(values)
        found[pointer] = given if unit is None else Given(unit, given.values)
    return found


def are_arrays(vary: Mapping[str, Given]) -> bool:
    """Say whether any column was given as something other than a list, so that the answer's are to be arrays.

    Parameters
    ----------
    vary
        What varies, by pointer.
    """
    return any(not _is_list(given.values) for given in vary.values()) and _arrays() is not None


def split_name(name: str) -> tuple[str, str | None]:
    """Split a name such as `/speed [km/h]` into pointer and unit.

    Parameters
    ----------
    name
        Name of a column.
    """
    pointer, bracket, unit = name.strip().removesuffix("]").rpartition(" [")
    return (pointer.strip(), unit.strip()) if bracket and name.strip().endswith("]") else (name.strip(), None)


def _given(values: Any) -> Given:
    if isinstance(values, VariedValues):
        if values.values is not None:
            return Given(values.unit, values.values)
        return Given(values.unit, _spaced(values))
    if isinstance(values, tuple):
        pair = cast("tuple[Any, ...]", values)
        if len(pair) == 2 and isinstance(pair[0], str) and not isinstance(pair[1], str):
            return Given(pair[0], _sliceable(pair[1]))
    return Given(None, _sliceable(values))


def _spaced(values: VariedValues) -> list[float]:
    first, last, count = values.first, values.last, values.count
    if first is None or last is None or count is None:
        raise ValueError("VariedValues take values, or first, last and count.")
    step = (last - first) / (count - 1) if count > 1 else 0.0
    return [first + at * step for at in range(count - 1)] + [last if count > 1 else first]


def _arrays() -> Any:
    """Give the module that makes arrays of columns; None where there is no NumPy."""
    try:
        return importlib.import_module("drawbar._arrays")
    except ModuleNotFoundError as fault:
        if fault.name != "numpy":
            raise
        return None


def _sliceable(values: Any) -> Column:
    if isinstance(values, str) or not hasattr(values, "__len__"):
        raise ValueError(
            f"Values are a list or an array, not {str(values)[:40]!r}; for one value put it into the scenario."
        )
    if _is_list(values):
        return values
    arrays = _arrays()
    return values if arrays is None else arrays.of_library(values)


def _columns_of(table: Any) -> dict[str, Any]:
    if hasattr(table, "collect_schema") and hasattr(table, "collect"):
        # A frame of polars that is yet to be worked out.
        table = table.collect()
    names: Any = getattr(table, "column_names", None)
    if names is None:
        names = getattr(table, "columns", None)
    if names is None and hasattr(table, "__arrow_c_stream__"):
        return _columns_of_arrow(table)
    if names is None:
        raise ValueError(f"{type(table).__name__} is neither a mapping of columns nor a table.")
    listed = [str(name) for name in cast("Sequence[Any]", names)]
    if len(set(listed)) != len(listed):
        raise ValueError("Two columns of the table are called the same.")
    return {_with_unit(table, name): table[name] for name in listed}


def _columns_of_arrow(table: Any) -> dict[str, Any]:
    import nanoarrow  # noqa: PLC0415 - an extra

    whole: Any = nanoarrow.Array(table)
    columns: dict[str, Any] = {}
    for at in range(whole.n_children):
        field = whole.schema.field(at)
        metadata = cast("dict[bytes, bytes]", dict(field.metadata or {}))
        columns[_name(str(field.name), metadata)] = whole.child(at)
    return columns


def _with_unit(table: Any, name: str) -> str:
    """Name a column with the unit that Arrow keeps in the metadata of its field."""
    schema: Any = getattr(table, "schema", None)
    if not callable(getattr(schema, "field", None)):
        return name
    return _name(name, cast("dict[bytes, bytes] | None", schema.field(name).metadata) or {})


def _name(name: str, metadata: Mapping[bytes, bytes]) -> str:
    unit = metadata.get(b"unit")
    return f"{name} [{unit.decode()}]" if unit and split_name(name)[1] is None else name
