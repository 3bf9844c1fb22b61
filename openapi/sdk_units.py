"""Tell the SDK what units measure, so that it converts a reading without asking the service."""

from collections.abc import Mapping

from sdk_client import formatted

from drawbar_service.quantities import Dimension

_HEAD = '''\
"""What each unit measures, and one of it in SI units. Generated from the service: run `python openapi/generate.py`."""

from collections.abc import Mapping
from typing import Final

UNITS: Final[Mapping[str, tuple[str, float]]] = {
'''


def units(dimensions: Mapping[str, Dimension]) -> str:
    """Return the module of units, by the spelling that is written."""
    lines: dict[str, str] = {}
    for name, dimension in dimensions.items():
        for symbol, factor in dimension.factors.items():
            if symbol in lines:
                raise ValueError(f"{symbol} is a unit of two dimensions, {name} among them")
            lines[symbol] = f'    "{symbol}": ("{name.replace("_", " ")}", {factor!r}),\n'
    return formatted(_HEAD + "".join(lines.values()) + "}\n")
