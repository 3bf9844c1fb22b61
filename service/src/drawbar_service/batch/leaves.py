"""A JSON Pointer into a request or an answer: what kind of value it leads to, and how to get or set it."""

import datetime
from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple, TypeAlias, cast, get_args, get_origin

import msgspec

from drawbar_service.api.answers import UNSAID
from drawbar_service.api.faults import find_faults
from drawbar_service.api.nulls import bare
from drawbar_service.api.shared.field import Field
from drawbar_service.api.shared.implement import Implement
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tractor import Tractor
from drawbar_service.quantities import Quantity, decode_quantity

ValueKind: TypeAlias = Literal["quantity", "number", "flag", "text", "object", "findings"]
FINDINGS = ("/about/warnings", "/about/assumptions")
"""Parts of an answer that come back as one text for each row: what holds for it."""


FLEETS: Mapping[str, type[msgspec.Struct]] = {
    "tractors": Tractor,
    "tools": Implement,
    "soils": Soil,
    "fields": Field,
}
"""Fleets that a scenario may hold, and what is in them; a column of their keys varies the whole object."""


class NoSuchLeaf(LookupError):  # noqa: N818 - it names the pointer, not the service's failure
    """A pointer leads to no value; the message says where it ends and what is there."""


class Leaf(NamedTuple):
    """A value that a pointer leads to."""

    pointer: str
    path: tuple[str | int, ...]
    attributes: tuple[str | int, ...]
    """The same path by the names the fields have in Python."""
    annotation: Any
    """As the field declares it: what msgspec converts to."""
    kind: ValueKind
    quantity: type[Quantity] | None
    """The quantity, if the value is one."""
    end: str
    """``low`` or ``high`` where the pointer leads to one end of a range, else empty."""
    fleets: tuple[str, ...] = ()
    """Fleets whose keys may stand for the value, if it is an object."""

    def read(self, given: object) -> object:
        """Return a value as the request holds it.

        Raises
        ------
        ValueError
            With what is wrong with `given`.
        """
        if self.quantity is not None:
            return self.quantity.read(given)
        try:
            return msgspec.convert(given, self.annotation, dec_hook=decode_quantity)
        except msgspec.ValidationError as error:
            raise ValueError(str(error)) from None

    def fault(self, given: object) -> str:
        """Return what is wrong with a value that cannot be read, and what would be right."""
        if self.quantity is None:
            return find_faults(given, self.annotation)[0].detail
        try:
            self.quantity.read(given)
        except ValueError as error:
            return str(error)
        raise AssertionError("a value that could not be read was read")


def leaf(kind: type[msgspec.Struct], pointer: str) -> Leaf:
    """Return what `pointer` leads to in a `kind` of request or answer.

    Raises
    ------
    NoSuchLeaf
        If it leads to nothing, or to something that holds other values.
    """
    if pointer and not pointer.startswith("/"):
        raise NoSuchLeaf("a JSON Pointer starts with /, such as /speed")
    path: list[str | int] = []
    attributes: list[str | int] = []
    here: Any = kind
    annotation: Any = kind
    steps = [part.replace("~1", "/").replace("~0", "~") for part in pointer.split("/")[1:]]
    for index, step in enumerate(steps):
        inner = bare(here)
        if isinstance(inner, type) and issubclass(inner, msgspec.Struct):
            fields = {field.encode_name: field for field in msgspec.structs.fields(inner)}
            if step not in fields:
                raise NoSuchLeaf(f"there is no {step[:40]!r} in {_place(path)}; it has {', '.join(fields)}")
            annotation = here = fields[step].type
            path.append(step)
            attributes.append(fields[step].name)
        elif get_origin(inner) is list:
            if not step.isascii() or not step.isdigit() or len(step) > 4:
                raise NoSuchLeaf(f"{_place(path)} is a list: a whole number from 0 belongs here, not {step[:40]!r}")
            annotation = here = get_args(inner)[0]
            path.append(int(step))
            attributes.append(int(step))
        elif _is_quantity(inner) and step in ("low", "high") and index == len(steps) - 1:
            return Leaf(pointer, tuple(path), tuple(attributes), annotation, "quantity", inner, step)
        else:
            raise NoSuchLeaf(f"{_place(path)} is a single value; nothing is inside it")
    if pointer in FINDINGS and get_origin(bare(here)) is list:
        return Leaf(pointer, tuple(path), tuple(attributes), annotation, "findings", None, "")
    found = bare(here)
    quantity = found if _is_quantity(found) else None
    if fleets := tuple(name for name, member in FLEETS.items() if member is found):
        return Leaf(pointer, tuple(path), tuple(attributes), annotation, "object", None, "", fleets=fleets)
    value_kind = _kind_of(found, path)
    return Leaf(pointer, tuple(path), tuple(attributes), annotation, value_kind, quantity, "")


def _kind_of(inner: Any, path: Sequence[str | int]) -> ValueKind:
    if _is_quantity(inner):
        return "quantity"
    if inner is bool:
        return "flag"
    if inner in (int, float):
        return "number"
    if inner in (str, datetime.date):
        return "text"
    if get_origin(inner) is Literal:
        return "text" if all(isinstance(choice, str) for choice in get_args(inner)) else "number"
    raise NoSuchLeaf(f"{_place(path)} holds other values; point to one of them")


def _is_quantity(inner: Any) -> bool:
    return isinstance(inner, type) and issubclass(inner, Quantity)


def _place(path: Sequence[str | int]) -> str:
    return "/" + "/".join(map(str, path)) if path else "the body"


def put(body: object, path: Sequence[str | int], value: object) -> object:
    """Return a decoded `body` with `value` at `path`; objects on the way are copied, and made where they are missing.

    Raises
    ------
    NoSuchLeaf
        If a list on the way has no such item, or something on the way holds no values.
    """
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        if not isinstance(body, list) or step >= len(cast("list[object]", body)):
            raise NoSuchLeaf(
                f"the scenario has no item {step} there; put it in, and the column fills this member of it"
            )
        items = list(cast("list[object]", body))
        items[step] = put(items[step], rest, value)
        return items
    if body is None:
        body = {}
    if not isinstance(body, Mapping):
        raise NoSuchLeaf(f"the scenario holds no {step!r} there")
    members = dict(cast("Mapping[str, object]", body))
    members[step] = put(members.get(step), rest, value)
    return members


def get(answer: object, one: Leaf) -> object:
    """Return what a leaf leads to in an `answer`: a number in SI units, a truth, a text, or None.

    Of what consists of sentences it is :data:`~drawbar_service.api.answers.UNSAID` where they were not made.
    """
    here: Any = answer
    for step in one.attributes:
        if here is None or here is UNSAID:
            return here
        if isinstance(step, int):
            if step >= len(here):
                return None
            here = here[step]
        else:
            here = getattr(here, step)
    if isinstance(here, datetime.date):
        return here.isoformat()
    return getattr(here, one.end) if one.end and here is not None else here
