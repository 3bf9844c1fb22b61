from __future__ import annotations
from collections.abc import Iterable, Mapping
from typing import Any, Final, cast
from drawbar._farm import BadFile, Case, Farm, Table, dotted, unknown
from drawbar.errors import Fault
_WINDOW: Final = ('start', 'end', 'workday', 'suitable')
_FLEET: Final = ('operators', 'limits')
_NAMED: Final = ('tractors', 'implements', 'fields', 'work')
_MEMBERS: Final = (*_WINDOW, *_FLEET, 'prices', *_NAMED)
_OF_THE_SEASON: Final = ('workday',)

def season_case(farm: Farm) -> Case:
    ...

def _tables(season: Table, member: str, faults: list[Fault]) -> Mapping[str, Table]:
    ...

def _named_by(works: Mapping[str, Table], kind: str) -> list[str]:
    ...

def _list(value: object) -> list[Any]:
    ...
