"""FlatBuffers, as far as Arrow's messages need them: tables, vectors and texts, read and never trusted.

Layout after the FlatBuffers internals: a table begins with the distance back to its list of slots, a slot holds the
distance from the table to a member, and 0 where the member is absent.
"""

import struct
from collections.abc import Iterator


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
