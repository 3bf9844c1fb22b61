from __future__ import annotations
import difflib
import json
import re
import sys
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TypeAlias, cast
from drawbar.errors import Fault
Table: TypeAlias = dict[str, Any]
_KINDS: Final = {'tractor': 'tractors', 'implement': 'implements', 'field': 'fields'}
_OPTIONS: Final = ('speed', 'find', 'limits', 'odds')
_JOB_MEMBERS: Final = (*_KINDS, *_OPTIONS)
_FARM_MEMBERS: Final = (*_KINDS.values(), 'jobs')
_SEASON: Final = 'season'
_BARE_KEY: Final = re.compile('[A-Za-z0-9_-]+')

class BadFile(Exception):

    def __init__(self, name: str, *faults: Fault) -> None:
        ...

@dataclass(frozen=True)
class Case:
    name: str
    body: Table
    places: Mapping[str, str]
    parts: Mapping[str, str]

    def place(self, pointer: str) -> str:
        ...

@dataclass(frozen=True)
class Farm:
    file: str
    tables: Mapping[str, Mapping[str, Table]]
    season: Table | None = None

    def names(self, kind: str) -> list[str]:
        ...

    def case(self, job: str | None=None, *, tractor: str | None=None, implement: str | None=None, field: str | None=None, speed: str | None=None) -> Case:
        ...

    def _job(self, job: str, faults: list[Fault]) -> Table:
        ...

    def _part(self, kind: str, asked: str | None, job: str | None, planned: Table, faults: list[Fault]) -> str:
        ...

def read(name: str) -> Farm | Table:
    ...

def plain_case(name: str, body: Table, speed: str | None=None) -> Case:
    ...

def _text_of(name: str) -> str:
    ...

def _parse(name: str, text: str) -> Table:
    ...

def dotted(keys: Iterable[str], start: str='') -> str:
    ...

def _listed(names: Iterable[str]) -> str:
    ...

def unknown(kind: str, name: str, known: Iterable[str]) -> str:
    ...
