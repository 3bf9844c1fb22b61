import struct
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple, TypeAlias

class Damaged(ValueError):
    ...

class FlatTable:

    def __init__(self, buffer: bytes, at: int) -> None:
        ...

    @classmethod
    def root(cls, buffer: bytes) -> 'FlatTable':
        ...

    def has(self, slot: int) -> bool:
        ...

    def number(self, slot: int, form: str, default: int=0) -> int:
        ...

    def table(self, slot: int) -> 'FlatTable':
        ...

    def text(self, slot: int) -> str:
        ...

    def tables(self, slot: int) -> Iterator['FlatTable']:
        ...

    def structs(self, slot: int, form: str) -> list[tuple[int, ...]]:
        ...

    def _vector(self, slot: int, size: int) -> tuple[int, int]:
        ...

    def _target(self, slot: int) -> int:
        ...

    def _place(self, slot: int) -> int | None:
        ...

    def _number(self, form: str, at: int) -> int:
        ...

def _unpack(form: str, buffer: bytes, at: int) -> int:
    ...

class Scalar(NamedTuple):
    form: str
    value: int

class Structs(NamedTuple):
    form: str
    rows: Sequence[tuple[int, ...]]
Members: TypeAlias = Mapping[int, 'Scalar | Structs | str | Members | Sequence[Members]']

def flat_bytes(root: Members) -> bytes:
    ...

def _put_table(out: bytearray, members: Members) -> int:
    ...

def _put(out: bytearray, member: 'Structs | str | Members | Sequence[Members]') -> int:
    ...

def _point(out: bytearray, place: int, target: int) -> None:
    ...

def _align(out: bytearray, step: int) -> int:
    ...

def _aligned(size: int, step: int) -> int:
    ...
