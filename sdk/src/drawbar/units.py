"""Units of columns as other tools write them: CF for labelled arrays, and names for pint."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

_CF: Final = {"": "1", "%": "percent", "deg": "degree", "1": "1", "t": "tonne", "money": "1"}
_PINT: Final = {
    "": "dimensionless",
    "%": "percent",
    "1": "dimensionless",
    "deg": "degree",
    "money": "dimensionless",
    "ac": "acre",
    "degF": "delta_degF",
    "gal_imp": "imperial_gallon",
    "hp_metric": "metric_horsepower",
    "r": "revolution",
    "ton_short": "short_ton",
}
_POWER: Final = re.compile(r"([A-Za-z]+)([23])")


def cf(unit: str) -> str:
    """Return a unit as the CF conventions write it (UDUNITS): `km/h` is `km h-1`, `%` is `percent`, none is `1`.

    Parameters
    ----------
    unit
        As an answer writes it. Money has no unit there: it becomes 1.
    """
    above, *below = unit.split("/")
    parts = [_CF.get(part, part) for part in above.split("*")]
    parts += [f"{_CF.get(part, part)}-1" for one in below for part in one.split("*")]
    # Of a square below the line the exponent is 2, and not 2 and then 1.
    return " ".join(re.sub(r"([A-Za-z]+)([23])-1", r"\1-\2", part) for part in parts if part not in ("1", "1-1")) or "1"


def pint(unit: str) -> str:
    """Return a unit as pint reads it, for `pint_pandas` and the like: `m2` is `m**2`, `%` is `percent`.

    Parameters
    ----------
    unit
        As an answer writes it.
    """
    if unit in _PINT:
        return _PINT[unit]
    named = [
        "*".join(_POWER.sub(r"\1**\2", _PINT.get(part, part)) for part in side.split("*")) for side in unit.split("/")
    ]
    return "/".join(named)


def pint_units(units: Mapping[str, str]) -> dict[str, str]:
    """Return the units of a batch as pint reads them, by pointer: `frame.astype({name: f"pint[{unit}]"})`.

    Parameters
    ----------
    units
        Of the columns of a `BatchResult`.
    """
    return {pointer: pint(unit) for pointer, unit in units.items()}


def variable(pointer: str) -> str:
    """Return the name of a variable for a pointer, which a NetCDF file takes: `/at_work/slip` is `at_work_slip`.

    Parameters
    ----------
    pointer
        JSON Pointer.
    """
    return re.sub(r"[^A-Za-z0-9_]+", "_", pointer).strip("_") or "value"


def long_name(pointer: str) -> str:
    """Return a pointer in words: `/at_work/tractive_efficiency` is `at work, tractive efficiency`.

    Parameters
    ----------
    pointer
        JSON Pointer.
    """
    return ", ".join(part.replace("_", " ").replace("-", " ") for part in pointer.split("/")[1:])
