from __future__ import annotations
import math
import msgspec

class Quantity(msgspec.Struct, frozen=True):
    value: float
    unit: str

    def __str__(self) -> str:
        ...

class Reading(msgspec.Struct, frozen=True):
    value: float
    unit: str
    low: float | None = None
    high: float | None = None

    @property
    def quantity(self) -> Quantity:
        ...

    def __str__(self) -> str:
        ...

def rounded(value: float) -> str:
    ...
