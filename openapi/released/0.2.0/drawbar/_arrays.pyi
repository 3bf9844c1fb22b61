from __future__ import annotations
import importlib
from dataclasses import dataclass
from types import NoneType
from typing import Any, Final, TypeAlias, cast
import numpy as np
import numpy.typing as npt
Array: TypeAlias = npt.NDArray[Any]
_TEXTS: Final = frozenset({'string', 'large_string', 'string_view'})

@dataclass(frozen=True, slots=True)
class Masked:
    values: Array
    there: npt.NDArray[np.bool_]

    def __len__(self) -> int:
        ...

    def __getitem__(self, some: slice) -> Masked:
        ...

    def tolist(self) -> list[Any]:
        ...

@dataclass(frozen=True, slots=True)
class Coded:
    codes: npt.NDArray[np.int32]
    texts: list[str]

    def __len__(self) -> int:
        ...

    def __getitem__(self, some: slice) -> Coded:
        ...

    def tolist(self) -> list[Any]:
        ...

    def compact(self) -> Coded:
        ...

def of_library(column: Any) -> Any:
    ...

def _of_pandas(column: Any) -> Any:
    ...

def _of_polars(column: Any) -> Any:
    ...

def _of_pyarrow(column: Any) -> Any:
    ...

def _copied(column: Any) -> dict[str, bool]:
    ...

def _of_nanoarrow(column: Any) -> Any:
    ...

def _plain(values: Array) -> Array:
    ...

def by_row(column: Any, after: int, before: int) -> Array:
    ...

def encodable(column: Any) -> Array | Masked | Coded | None:
    ...

def _of_list(values: list[Any]) -> Array | Masked | Coded | None:
    ...
