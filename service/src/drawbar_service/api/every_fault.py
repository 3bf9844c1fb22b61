"""The faults that a calculation would find in a request that cannot even be read: all come in one answer.

What cannot be read gets a stand-in of its kind, and the calculation is begun with it. Only faults count that hold
whatever the stand-ins are: something is missing, or is there twice, or a table does not have it.
"""

import types
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Annotated, Any, Literal, NoReturn, Union, cast, get_args, get_origin

import msgspec

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.nulls import without_nulls
from drawbar_service.quantities import Quantity, decode_quantity

_WHATEVER = frozenset(
    (
        "unknown-reference",
        "rated-power-once",
        "needed-on-wheels",
        "needed-on-four-tracks",
        "no-tire-size",
        "draft-needs-width",
        "draft-needs-count",
        "draft-needs-depth",
        "unit-draft-once",
        "no-width",
        "rolling-needs-mass",
        "power-needs",
        "nothing-to-pull",
        "no-ground-tool",
        "turn-once",
        "efficiency-once",
        "pull-or-slip",
        "no-drawbar-ratio",
        "nothing-takes-power",
        "load-once",
        "implement-or-pull",
        "nothing-raised",
        "mounted-has-no-tongue",
        "mounted-needs-lever",
        "hitch-load-once",
        "needs-mass",
        "tongue-needs-lever",
        "tire-load-once",
        "pump-flow-once",
        "function-once",
        "torque-once",
        "load-or-pressure",
        "series-of-one",
        "series-needs-rod",
        "time-lost-once",
        "both-capacities",
        "loss-once",
        "suitable-once",
        "no-spread",
        "value-once",
        "repairs-once",
        "area-once",
        "life-once",
        "first-life",
        "life-unknown",
        "match-or-rates",
        "machine-price-once",
        "no-price-for-all",
        "one-slip-method",
        "headland-once",
    )
)
"""Kinds of faults that depend on no number."""
_BY_WORD = frozenset(("needed-on-wheels", "needed-on-four-tracks", "mounted-has-no-tongue", "mounted-needs-lever"))
"""Those that depend on a word beside them, which may be a stand-in: how a tractor is driven, how a machine hitched."""


class _Begun(Exception):  # noqa: N818 - it names how far it got
    """The calculation has looked at the request."""


class _Looking(Ledger):
    """Findings of a calculation that is only begun."""

    def stop_at_faults(self) -> NoReturn:
        """Stop at the first place where faults would."""
        raise _Begun


def further_faults(calculation: Calculation[Any, Any]) -> Callable[[object, Sequence[Fault]], list[Fault]]:
    """Return what finds the faults of a decoded body beside those it cannot be read for."""

    def find(body: object, faults: Sequence[Fault]) -> list[Fault]:
        words: list[str] = []
        mended = _mended(without_nulls(body, calculation.request), calculation.request, "", words)
        try:
            request = msgspec.convert(mended, calculation.request, dec_hook=decode_quantity)
        except msgspec.ValidationError:
            return []  # as it is, it can be read no further
        ledger = _Looking("metric")
        with suppress(_Begun, ImpossibleInput):
            calculation.compute(request, ledger)
        beside = [f"{place.rpartition('/')[0]}/" for place in words]
        known = [fault.pointer for fault in faults]
        found = [one for one in ledger.refused if one.kind in _WHATEVER]
        return [
            ledger.as_fault(one)
            for one in found
            if not any(one.pointer == place or one.pointer.startswith(f"{place}/") for place in known)
            and not (one.kind in _BY_WORD and any(one.pointer.startswith(place) for place in beside))
        ]

    return find


def _mended(value: object, kind: Any, pointer: str, words: list[str]) -> object:
    """Return a decoded body with a stand-in for all that cannot be read; `words` gets where one is a word of a list."""
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Annotated and _holds_others(arguments[0]):
        return _mended(value, arguments[0], pointer, words)
    if origin in (Union, types.UnionType):
        others = [argument for argument in arguments if argument is not types.NoneType]
        return _mended(value, others[0], pointer, words) if len(others) == 1 and value is not None else value
    if origin is list and isinstance(value, list):
        items = cast("list[object]", value)
        return [_mended(item, arguments[0], f"{pointer}/{index}", words) for index, item in enumerate(items)]
    if _is(kind, msgspec.Struct) and isinstance(value, dict):
        members = cast("dict[str, object]", value)
        return {
            field.encode_name: _mended(members[field.encode_name], field.type, f"{pointer}/{field.encode_name}", words)
            if field.encode_name in members
            else _stand_in(field.type, f"{pointer}/{field.encode_name}", words)
            for field in msgspec.structs.fields(kind)
            if field.encode_name in members or field.required
        }
    try:
        msgspec.convert(value, kind, dec_hook=decode_quantity)
    except msgspec.ValidationError:
        return _stand_in(kind, pointer, words)
    return value


def _holds_others(kind: Any) -> bool:
    """Return whether a kind is a list or an object, or that or nothing."""
    if get_origin(kind) in (Union, types.UnionType):
        others = [one for one in get_args(kind) if one is not types.NoneType]
        return len(others) == 1 and _holds_others(others[0])
    if get_origin(kind) is Annotated:
        return _holds_others(get_args(kind)[0])
    return get_origin(kind) is list or _is(kind, msgspec.Struct)


def _stand_in(kind: Any, pointer: str, words: list[str]) -> object:
    """Return something of a kind."""
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _stand_in(arguments[0], pointer, words)
    if origin in (Union, types.UnionType):
        return _stand_in(next(one for one in arguments if one is not types.NoneType), pointer, words)
    if origin is Literal:
        words.append(pointer)
        return arguments[0]
    if origin is list:
        return []
    if _is(kind, Quantity):
        return kind.example()
    if _is(kind, msgspec.Struct):
        return {
            field.encode_name: _stand_in(field.type, f"{pointer}/{field.encode_name}", words)
            for field in msgspec.structs.fields(kind)
            if field.required
        }
    return {str: "?", bool: False}.get(kind, 1)


def _is(kind: Any, base: type) -> bool:
    return isinstance(kind, type) and issubclass(kind, base)
