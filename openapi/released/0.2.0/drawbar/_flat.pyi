from __future__ import annotations
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple, TypeAlias, cast
import msgspec
from drawbar.quantities import Reading
Cell: TypeAlias = float | bool | str | None

class Figure(NamedTuple):
    value: Cell
    unit: str

def figures(item: msgspec.Struct, leave_out: Sequence[str]=(), prefix: str='') -> Iterator[tuple[str, object]]:
    ...

def lists(item: msgspec.Struct, place: str='') -> Iterator[tuple[str, list[msgspec.Struct]]]:
    ...

def table(parts: Sequence[msgspec.Struct]) -> dict[str, list[Cell]]:
    ...

def named_list(answer: msgspec.Struct, pointer: str | None) -> list[msgspec.Struct]:
    ...

def _row(part: msgspec.Struct) -> Iterator[tuple[str, Figure]]:
    ...

def _is_parts(value: object) -> bool:
    ...
