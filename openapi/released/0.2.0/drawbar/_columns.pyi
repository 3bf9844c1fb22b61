from __future__ import annotations
import importlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias, cast
from drawbar.models import VariedValues
Column: TypeAlias = Any
_AS_LIST: Final = ('to_pylist', 'to_list', 'tolist')

@dataclass(frozen=True, slots=True)
class Given:
    unit: str | None
    values: Column

    def __len__(self) -> int:
        ...

    def some(self, start: int, stop: int) -> list[Any]:
        ...

    def by_row(self, after: int, before: int) -> Any:
        ...

def _is_list(values: Column) -> bool:
    ...

def _listed(values: Column) -> list[Any]:
    ...

def read(vary: Any) -> dict[str, Given]:
    ...

def are_arrays(vary: Mapping[str, Given]) -> bool:
    ...

def split_name(name: str) -> tuple[str, str | None]:
    ...

def _given(values: Any) -> Given:
    ...

def _spaced(values: VariedValues) -> list[float]:
    ...

def _arrays() -> Any:
    ...

def _sliceable(values: Any) -> Column:
    ...

def _columns_of(table: Any) -> dict[str, Any]:
    ...

def _columns_of_arrow(table: Any) -> dict[str, Any]:
    ...

def _with_unit(table: Any, name: str) -> str:
    ...

def _name(name: str, metadata: Mapping[bytes, bytes]) -> str:
    ...
