"""Figures that are rounded one way: what is greatest down, what is least up, so that what is written still holds."""

import types
from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, Final, TypeAlias, Union, cast, get_args, get_origin

import msgspec
from msgspec import Meta

from drawbar_service.quantities import Way, to_digits

_ROUNDED: Final = "x-rounded"
GREATEST: Final = Meta(extra_json_schema={_ROUNDED: "down"})
"""Of a member of an answer: the most that holds."""
LEAST: Final = Meta(extra_json_schema={_ROUNDED: "up"})
"""Of a member of an answer: the least that will do."""

Ways: TypeAlias = Way | Mapping[str, "Ways"] | None


@cache
def ways_of(kind: Any) -> Ways:
    """Return which way the figures of a type are rounded: by member, where they are not all rounded to the nearest."""
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Annotated:
        marked = [(extra.extra_json_schema or {}).get(_ROUNDED) for extra in arguments[1:] if isinstance(extra, Meta)]
        way = next((one for one in marked if one), None)
        return cast("Way", way) if way else ways_of(arguments[0])
    if origin in (Union, types.UnionType, list):
        return next((ways for argument in arguments if (ways := ways_of(argument))), None)
    if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
        found: dict[str, Ways] = {field.encode_name: ways_of(field.type) for field in msgspec.structs.fields(kind)}
        some: dict[str, Ways] = {name: ways for name, ways in found.items() if ways}
        return some or None
    return None


def rounded(value: Any, digits: int, ways: Ways) -> Any:
    """Return what is written of an answer with its numbers rounded to significant digits, each its own way."""
    if isinstance(value, float):
        return to_digits(value, digits, ways if isinstance(ways, str) else None)
    if isinstance(value, dict):
        members = cast("dict[str, Any]", value)
        return {
            name: rounded(member, digits, ways.get(name) if isinstance(ways, Mapping) else ways)
            for name, member in members.items()
        }
    if isinstance(value, list):
        return [rounded(item, digits, ways) for item in cast("list[Any]", value)]
    return value
