"""FlatBuffers, as far as Arrow's messages need them: tables, lists and texts, read without trust and written.

Layout after the FlatBuffers internals: a table begins with the distance back to its list of slots, a slot holds the
distance from the table to a member, and 0 where the member is absent.
"""

import struct
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple, TypeAlias


class Damaged(ValueError):  # noqa: N818 - it names the bytes
    """A place lies outside the bytes, or is none."""


class FlatTable:
    """A table.

    Parameters
    ----------
    buffer : bytes
    at : int
        Where it begins [bytes].
    """

    def __init__(self, buffer: bytes, at: int) -> None:
        self._buffer = buffer
        self._at = at
        self._slots = at - self._number("<i", at)

    @classmethod
    def root(cls, buffer: bytes) -> "FlatTable":
        """Return the table that a buffer holds.

        Raises
        ------
        Damaged
            If it holds none.
        """
        return cls(buffer, _unpack("<I", buffer, 0))

    def has(self, slot: int) -> bool:
        """Say whether a member is there."""
        return self._place(slot) is not None

    def number(self, slot: int, form: str, default: int = 0) -> int:
        """Return a member that is a number, in a form that ``struct`` knows."""
        place = self._place(slot)
        return default if place is None else self._number(form, place)

    def table(self, slot: int) -> "FlatTable":
        """Return a member that is a table.

        Raises
        ------
        Damaged
            If it is absent.
        """
        return FlatTable(self._buffer, self._target(slot))

    def text(self, slot: int) -> str:
        """Return a member that is a text, an empty one if it is absent."""
        if not self.has(slot):
            return ""
        at, length = self._vector(slot, 1)
        return self._buffer[at : at + length].decode("utf-8")

    def tables(self, slot: int) -> Iterator["FlatTable"]:
        """Yield the tables of a member that is a list of them."""
        if self.has(slot):
            at, length = self._vector(slot, 4)
            for place in range(at, at + 4 * length, 4):
                yield FlatTable(self._buffer, place + self._number("<I", place))

    def structs(self, slot: int, form: str) -> list[tuple[int, ...]]:
        """Return the members of a list of structs, each in a form that ``struct`` knows."""
        if not self.has(slot):
            return []
        size = struct.calcsize(form)
        at, length = self._vector(slot, size)
        return list(struct.iter_unpack(form, self._buffer[at : at + size * length]))

    def _vector(self, slot: int, size: int) -> tuple[int, int]:
        at = self._target(slot)
        length = self._number("<I", at)
        if at + 4 + size * length > len(self._buffer):
            raise Damaged("a list is longer than the bytes there are")
        return at + 4, length

    def _target(self, slot: int) -> int:
        place = self._place(slot)
        if place is None:
            raise Damaged("a member is missing")
        return place + self._number("<I", place)

    def _place(self, slot: int) -> int | None:
        at = 4 + 2 * slot
        if at + 2 > self._number("<H", self._slots):
            return None
        distance = self._number("<H", self._slots + at)
        return self._at + distance if distance else None

    def _number(self, form: str, at: int) -> int:
        return _unpack(form, self._buffer, at)


def _unpack(form: str, buffer: bytes, at: int) -> int:
    if at < 0 or at + struct.calcsize(form) > len(buffer):
        raise Damaged("a place lies outside the bytes there are")
    return int(struct.unpack_from(form, buffer, at)[0])


class Scalar(NamedTuple):
    """A member that is a number, in a form that ``struct`` knows."""

    form: str
    value: int


class Structs(NamedTuple):
    """A member that is a list of structs, each in a form that ``struct`` knows."""

    form: str
    rows: Sequence[tuple[int, ...]]


Members: TypeAlias = Mapping[int, "Scalar | Structs | str | Members | Sequence[Members]"]
"""A table to be written: its members by slot; those that are absent are left out."""


def flat_bytes(root: Members) -> bytes:
    """Return a table as a buffer.

    Parameters
    ----------
    root : mapping
        The members of the table, by slot.
    """
    out = bytearray(4)
    _point(out, 0, _put_table(out, root))
    return bytes(out)


def _put_table(out: bytearray, members: Members) -> int:
    """Write a table and all that belongs to it, and return where it begins."""
    scalars = {slot: one if isinstance(one, Scalar) else Scalar("<I", 0) for slot, one in members.items()}
    distances: dict[int, int] = {}
    size = 4
    for slot, one in scalars.items():
        length = struct.calcsize(one.form)
        size = _aligned(size, length)
        distances[slot] = size
        size += length
    slots = range(max(members, default=-1) + 1)
    list_at = _align(out, 8)
    out += struct.pack("<HH", 4 + 2 * len(slots), size)
    out += struct.pack(f"<{len(slots)}H", *(distances.get(slot, 0) for slot in slots))
    at = _align(out, 8)
    out += bytes(size)
    struct.pack_into("<i", out, at, at - list_at)
    for slot, one in scalars.items():
        struct.pack_into(one.form, out, at + distances[slot], one.value)
    for slot, member in members.items():
        if not isinstance(member, Scalar):
            _point(out, at + distances[slot], _put(out, member))
    return at


def _put(out: bytearray, member: "Structs | str | Members | Sequence[Members]") -> int:
    if isinstance(member, Mapping):
        return _put_table(out, member)
    if isinstance(member, str):
        text = member.encode()
        at = _align(out, 4)
        # Readers in C want a zero behind a text.
        out += struct.pack("<I", len(text)) + text + b"\0"
        return at
    if isinstance(member, Structs):
        # What is in the list begins at a multiple of 8, behind its length.
        _align(out, 8)
        out += bytes(4)
        at = len(out)
        out += struct.pack("<I", len(member.rows))
        for row in member.rows:
            out += struct.pack(member.form, *row)
        return at
    at = _align(out, 4)
    out += struct.pack("<I", len(member)) + bytes(4 * len(member))
    for number, table in enumerate(member):
        _point(out, at + 4 + 4 * number, _put_table(out, table))
    return at


def _point(out: bytearray, place: int, target: int) -> None:
    struct.pack_into("<I", out, place, target - place)


def _align(out: bytearray, step: int) -> int:
    out += bytes(-len(out) % step)
    return len(out)


def _aligned(size: int, step: int) -> int:
    return size + -size % step
