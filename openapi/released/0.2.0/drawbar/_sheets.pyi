from __future__ import annotations
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any, Final, TypeAlias, cast
import msgspec
from drawbar._limits import SHORT, STOPS, VERDICTS
from drawbar._text import columns, wrapped
from drawbar.models import About, Assumption, DownhillAnswer, FieldPlan, GearChoice, GreatestAnswer, MatchAnswer, OddsAnswer, Reading, SourcesAnswer, TablesAnswer, WholeTableAnswer
from drawbar.quantities import rounded
Place: TypeAlias = Callable[[str], str]
_LABEL: Final = 16
_WIDE: Final = 100
_NARROW = 66
_INDENT: Final = '  '

def short(reading: Reading | None) -> str:
    ...

def limit_word(name: str) -> str:
    ...

def _in_hundred(chance: Reading) -> str:
    ...

def _count(chance: Reading) -> str:
    ...

def match_sheet(answer: MatchAnswer, title: str, place: Place, width: int) -> list[str]:
    ...

def _falls_short(load: Reading | None) -> bool:
    ...

def jobs_table(answers: Mapping[str, tuple[Mapping[str, str], MatchAnswer]], width: int) -> list[str]:
    ...

def speed_cell(answer: MatchAnswer) -> str:
    ...

def sheet(answer: msgspec.Struct, place: Place, width: int) -> list[str]:
    ...

def about_lines(about: About, place: Place, width: int) -> list[str]:
    ...

def tables_list(answer: TablesAnswer, width: int) -> list[str]:
    ...
_PROVENANCE = ('basis', 'source')

def table_rows(answer: WholeTableAnswer, width: int, wanted: Sequence[str]=()) -> list[str]:
    ...

def whole_table(answer: WholeTableAnswer, width: int) -> list[str]:
    ...

def _stacked(names: Sequence[str], cells: Mapping[str, Sequence[str]], width: int) -> list[str]:
    ...

def sources_list(answer: SourcesAnswer, width: int) -> list[str]:
    ...

def _span(ends: Sequence[Reading]) -> str:
    ...

def _others(other: Reading) -> str:
    ...

def _headed(head: str, lines: list[str], width: int) -> list[str]:
    ...

def _rows(rows: Iterable[tuple[str, str]], width: int) -> list[str]:
    ...

def _bullet(text: str, width: int) -> list[str]:
    ...

def _limits(answer: MatchAnswer) -> list[tuple[str, str, str, str]]:
    ...

def _odds(odds: OddsAnswer | None, width: int) -> list[str]:
    ...

def _greatest(greatest: GreatestAnswer, place: Place, width: int) -> list[str]:
    ...

def _at(speed: Reading) -> str:
    ...

def _most(value: Reading | None, count: int | None=None) -> str:
    ...

def _not_above(value: Reading) -> str:
    ...

def _up_to(holds: str, central: str, more: str, limit: str) -> str:
    ...

def _downhill(down: DownhillAnswer) -> str:
    ...

def _gears(choice: GearChoice | None, width: int) -> list[str]:
    ...

def _assumed(about: About, place: Place, width: int) -> list[str]:
    ...

def _split(where: str) -> tuple[str, str]:
    ...

def _members(value: msgspec.Struct, width: int, indent: str) -> list[str]:
    ...

def _nests(item: msgspec.Struct) -> bool:
    ...

def _labelled(label: str, text: str, width: int, indent: str) -> list[str]:
    ...

def _cell(value: object) -> str:
    ...
