from __future__ import annotations
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any, Final, Protocol, TypeAlias
from drawbar._extras import load
from drawbar.quantities import Reading, rounded
Axes: TypeAlias = Any
_KEPT: Final = '#1d5c3a'
_BROKEN: Final = '#b4491b'

class Margin(Protocol):

    @property
    def name(self) -> str:
        ...

    @property
    def kept(self) -> bool:
        ...

    @property
    def margin(self) -> Reading:
        ...

def margins(limits: Sequence[Margin], title: str, ax: Axes | None) -> Axes:
    ...

def line(xs: Sequence[Any], ys: Sequence[Any], labels: tuple[str, str], ax: Axes | None) -> Axes:
    ...

def two_way(sides: tuple[Sequence[Any], Sequence[Any]], values: Any, labels: tuple[str, str, str], ax: Axes | None) -> Axes:
    ...

def points(columns: Mapping[str, Sequence[Any]], ax: Axes | None) -> Axes:
    ...

def _places(side: Sequence[Any]) -> Sequence[float]:
    ...

def _number(value: Any) -> float:
    ...

def _labelled(axes: Axes, labels: tuple[str, str]) -> Axes:
    ...

def _new_axes(width: float, height: float) -> Axes:
    ...
