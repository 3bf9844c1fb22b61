from __future__ import annotations
from collections.abc import Mapping
from typing import Any, NamedTuple, Protocol
import msgspec

class Head(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    scenario: dict[str, Any] | None = None
    columns: list[str] | None = None
    units: dict[str, str] = {}

class Piece(NamedTuple):
    content: bytes
    media: str
    kept: Any

class Source(Protocol):

    @property
    def name(self) -> str:
        ...

    @property
    def kind(self) -> str:
        ...

    @property
    def digest(self) -> str:
        ...

    @property
    def rows(self) -> int:
        ...

    @property
    def told(self) -> Head:
        ...

    def piece(self, start: int, stop: int, head: bytes) -> Piece:
        ...

def head_of(told: Mapping[bytes, bytes] | None) -> Head:
    ...
