"""Every fault of a body at once, each with a JSON Pointer and what would be right.

msgspec decodes fast and stops at the first fault. Only when it has stopped does
:func:`find_faults` walk the body again, field by field, and gather all of them.
"""

import difflib
import re
import types
from collections.abc import Iterator
from typing import Annotated, Any, Literal, Union, cast, get_args, get_origin

import msgspec

from drawbar_service.api.nulls import without_nulls
from drawbar_service.quantities import Quantity, decode_quantity

MAX_FAULTS = 50
"""Most faults named of one request."""
_MAX_ECHO = 40
_MEANT = {
    "clay": ("fine",),
    "loam": ("medium",),
    "silt": ("medium",),
    "sand": ("coarse",),
    "dry": ("hard",),
    "stubble": ("firm",),
    "seedbed": ("tilled",),
    "wet": ("soft",),
    "2wd": ("two-wheel",),
    "mfwd": ("front-wheel-assist",),
    "fwa": ("front-wheel-assist",),
    "4wd": ("front-wheel-assist", "four-wheel"),
    "awd": ("front-wheel-assist", "four-wheel"),
    "front-wheel": ("front-wheel-assist",),
    "front-wheel-drive": ("front-wheel-assist",),
    "rear-wheel": ("two-wheel",),
    "articulated": ("four-wheel",),
    "crawler": ("rubber-track",),
    "pulled": ("drawbar",),
    "towed": ("drawbar",),
    "drawn": ("drawbar",),
    "tracks": ("rubber-track", "four-track"),
    "mounted": ("three-point",),
    "trailed": ("drawbar",),
}
"""Words of the trade for what a list calls otherwise (common practice, no source)."""
_MEANT_MEMBERS = {
    **dict.fromkeys(("finish_by", "until", "to", "deadline", "last_day"), "end"),
    **dict.fromkeys(("begin", "from", "first_day"), "start"),
}
"""Members for what others call otherwise."""
_KINDS_IN_WORDS = {
    "int": "a whole number",
    "float": "a number",
    "str": "text",
    "bool": "true or false",
    "array": "a list",
}
_KIND = re.compile(rf"\b({'|'.join(_KINDS_IN_WORDS)})\b")
_PLACE = re.compile(r" - at `.*`$", re.DOTALL)


class Fault(msgspec.Struct, frozen=True):
    """One thing that is wrong with a request."""

    pointer: Annotated[
        str,
        msgspec.Meta(
            description="JSON Pointer (RFC 6901) into the body; `?name` for a query parameter.", examples=["/speed"]
        ),
    ]
    detail: Annotated[str, msgspec.Meta(description="What is wrong and what would be right.")]


class ImpossibleInput(Exception):  # noqa: N818 - it names the input, not the service's failure
    """A request could be read, but what it says cannot be.

    Parameters
    ----------
    faults : list of Fault
        At least one.
    """

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(faults)
        self.faults = faults


def find_faults(body: object, kind: Any) -> list[Fault]:
    """Return what keeps a decoded `body` from being a `kind`, at most fifty faults, in the order of the body."""
    faults: list[Fault] = []
    for fault in _walk(body, kind, ""):
        faults.append(fault)
        if len(faults) == MAX_FAULTS:
            break
    return faults


def _walk(value: object, kind: Any, pointer: str) -> Iterator[Fault]:
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Annotated:
        inner = list(_walk(value, arguments[0], pointer))
        yield from inner or _leaf(value, kind, pointer)
    elif origin in (Union, types.UnionType):
        if value is not None or types.NoneType not in arguments:
            others = [argument for argument in arguments if argument is not types.NoneType]
            yield from _walk(value, others[0], pointer) if len(others) == 1 else _leaf(value, kind, pointer)
    elif origin is list and isinstance(value, list):
        for index, item in enumerate(cast("list[object]", value)):
            yield from _walk(item, arguments[0], f"{pointer}/{index}")
    elif _is_struct(kind):
        yield from _struct(value, kind, pointer)
    elif _is_quantity(kind):
        try:
            kind.read(value)
        except ValueError as error:
            yield Fault(pointer, str(error))
    elif origin is Literal:
        yield from _choice(value, cast("tuple[object, ...]", arguments), pointer)
    else:
        yield from _leaf(value, kind, pointer)


def _is_struct(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, msgspec.Struct)


def _is_quantity(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, Quantity)


def _struct(value: object, kind: type[msgspec.Struct], pointer: str) -> Iterator[Fault]:
    fields = {field.encode_name: field for field in msgspec.structs.fields(kind)}
    if not isinstance(value, dict):
        yield Fault(pointer, f"an object with {_listed(fields)} belongs here, not {_called(value)}")
        return
    members = cast("dict[object, object]", value)
    for key, member in members.items():
        name = str(key)
        if name in fields:
            if member is None and not fields[name].required:
                continue  # the same as left out
            yield from _walk(member, fields[name].type, f"{pointer}/{_escaped(name)}")
        else:
            meant = _MEANT_MEMBERS.get(name[:_MAX_ECHO])
            close = [meant] if meant in fields else difflib.get_close_matches(name[:_MAX_ECHO], fields, n=1)
            hint = f"did you mean {close[0]!r}?" if close else f"the fields are {_listed(fields)}"
            yield Fault(f"{pointer}/{_escaped(name[:_MAX_ECHO])}", f"there is no such field here; {hint}")
    for name, field in fields.items():
        if field.required and name not in members:
            yield Fault(f"{pointer}/{name}", f"required and missing: {_described(field.type)}{_choices(field.type)}")


def _choice(value: object, choices: tuple[object, ...], pointer: str) -> Iterator[Fault]:
    if value in choices and type(value) in {type(choice) for choice in choices}:
        return
    names = [str(choice) for choice in choices]
    close: list[str] = []
    if isinstance(value, str):
        meant = [name for name in _MEANT.get(value[:_MAX_ECHO].casefold(), ()) if name in names]
        folded = [name for name in names if name.casefold() == value.casefold()]
        close = meant or folded or _close_words(value[:_MAX_ECHO].casefold(), names)
    hint = f"; did you mean {' or '.join(repr(name) for name in close)}?" if close else ""
    yield Fault(pointer, f"{_called(value)} is not one of {_listed(names)}{hint}")


def _close_words(given: str, names: list[str]) -> list[str]:
    """Return what a word may stand for: those it is a part of, else one that differs by a slip of the finger.

    Words that are alike in letters may be far apart in meaning, and a wrong suggestion is taken: better none.
    """
    whole = [name for name in names if len(given) > 2 and (name.startswith(given) or given.startswith(name))]
    return whole or difflib.get_close_matches(given, names, n=1, cutoff=0.85)


def _leaf(value: object, kind: Any, pointer: str) -> Iterator[Fault]:
    try:
        msgspec.convert(without_nulls(value, kind), kind, dec_hook=decode_quantity)
    except msgspec.ValidationError as error:
        if "RFC3339 encoded date" in str(error):
            yield Fault(pointer, f"{_called(value)} is no date; a date is written 2026-11-01")
            return
        detail = _KIND.sub(lambda kind: _KINDS_IN_WORDS[kind[0]], _PLACE.sub("", str(error)).replace("`", ""))
        yield Fault(pointer, detail[:1].lower() + detail[1:])


def _described(kind: Any) -> str:
    """Return the first sentence of a field's description."""
    if get_origin(kind) is Annotated:
        for extra in get_args(kind)[1:]:
            if isinstance(extra, msgspec.Meta) and extra.description:
                return extra.description.split(". ")[0].rstrip(".")
    return "see the documentation"


def _choices(kind: Any) -> str:
    """Return what may stand for a missing field: the words of its list, or an example of its quantity."""
    while get_origin(kind) is Annotated:
        kind = get_args(kind)[0]
    if get_origin(kind) is Literal:
        return f"; one of {_listed(get_args(kind))}"
    return f'; such as "{kind.example()}"' if _is_quantity(kind) else ""


def _called(value: object) -> str:
    if value is None:
        return "null"
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    text = repr(value)
    return text if len(text) <= _MAX_ECHO else f"{text[:_MAX_ECHO]}..."


def _listed(names: Any) -> str:
    return ", ".join(str(name) for name in names)


def _escaped(name: str) -> str:
    return name.replace("~", "~0").replace("/", "~1")
