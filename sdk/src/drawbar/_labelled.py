"""A batch as labelled arrays. Needs NumPy and xarray."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

import msgspec
import numpy as np

from drawbar._columns import Given
from drawbar._extras import load
from drawbar.provenance import Provenance
from drawbar.units import cf, long_name, variable


def dataset(
    columns: Mapping[str, Any],
    units: Mapping[str, str],
    given: Mapping[str, Given],
    grid: bool,
    rows: int,
    origin: Provenance,
) -> Any:
    """Return an xarray dataset: of a grid N-d arrays with coordinates, else one dimension, `row`.

    Parameters
    ----------
    columns, units
        Of the answer, by pointer.
    given
        What varied, by pointer.
    grid
        Whether each value went with each.
    rows
        How many rows there are.
    origin
        Where the answers come from.
    """
    xarray: Any = load("xarray", "xarray")
    names = _names([*given, *columns])
    if grid and given:
        dims = [names[pointer] for pointer in given]
        shape = tuple(len(one) for one in given.values())
        coordinates = {names[pointer]: (names[pointer], one.some(0, len(one))) for pointer, one in given.items()}
    else:
        dims, shape = ["row"], (rows,)
        coordinates = {names[pointer]: ("row", one.some(0, len(one))) for pointer, one in given.items()}
        coordinates["row"] = ("row", list(range(rows)))
    found = xarray.Dataset(
        {names[pointer]: (dims, _array(values).reshape(shape)) for pointer, values in columns.items()}, coordinates
    )
    for pointer, unit in {**{pointer: one.unit or "" for pointer, one in given.items()}, **units}.items():
        numeric = found[names[pointer]].dtype.kind in "iuf"
        found[names[pointer]].attrs |= {
            "long_name": long_name(pointer),
            "pointer": pointer,
            **({"units": cf(unit)} if numeric else {}),
        }
    found.attrs |= {
        "Conventions": "CF-1.11",
        "title": "Answers of drawbar",
        "source": f"drawbar SDK {origin.sdk}, model {origin.model}",
        "references": " ".join(origin.sources),
        "history": f"{origin.date}: calculated",
        "provenance": msgspec.json.encode(origin).decode(),
    }
    return found


def _array(values: Any) -> Any:
    if hasattr(values, "dtype"):
        return values
    kinds: set[type] = {type(value) for value in cast("list[object]", values) if value is not None}
    return np.array(values, dtype=np.float64) if kinds <= {int, float} else np.array(values, dtype=object)


def _names(pointers: list[str]) -> dict[str, str]:
    """Return a name for each pointer; of two that would be called the same the second gets a number."""
    names: dict[str, str] = {}
    for pointer in pointers:
        name, at = variable(pointer), 2
        while name in names.values() or name == "row":
            name, at = f"{variable(pointer)}_{at}", at + 1
        names[pointer] = name
    return names
