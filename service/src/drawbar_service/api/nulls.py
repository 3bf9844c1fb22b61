"""Null as a caller's way to leave a member out: the same for every member that may be left out."""

import types
from typing import Annotated, Any, Union, cast, get_args, get_origin

import msgspec


def bare(kind: Any) -> Any:
    """Return a type without its annotations and without None."""
    while True:
        if get_origin(kind) is Annotated:
            kind = get_args(kind)[0]
        elif get_origin(kind) in (Union, types.UnionType):
            kind = next(one for one in get_args(kind) if one is not types.NoneType)
        else:
            return kind


def without_nulls(value: object, kind: Any) -> object:
    """Return a decoded body for a `kind` of request without the members that are null and may be left out.

    Parameters
    ----------
    value : object
        As it was decoded. Members that a `kind` does not have stay, and so do those that it requires.
    kind : type
        What it is to become.
    """
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return without_nulls(value, arguments[0])
    if origin in (Union, types.UnionType):
        others = [argument for argument in arguments if argument is not types.NoneType]
        return without_nulls(value, others[0]) if len(others) == 1 else value
    if origin is list and isinstance(value, list):
        return [without_nulls(item, arguments[0]) for item in cast("list[object]", value)]
    if isinstance(kind, type) and issubclass(kind, msgspec.Struct) and isinstance(value, dict):
        fields = {field.encode_name: field for field in msgspec.structs.fields(kind)}
        return {
            name: without_nulls(member, fields[name].type) if name in fields else member
            for name, member in cast("dict[str, object]", value).items()
            if not (member is None and name in fields and not fields[name].required)
        }
    return value
