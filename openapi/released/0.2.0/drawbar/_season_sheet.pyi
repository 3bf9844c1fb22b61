from __future__ import annotations
from collections.abc import Callable, Iterable, Sequence
from typing import Final
from drawbar._sheets import about_lines, short
from drawbar._text import columns, wrapped
from drawbar.models import FinishOdds, Reading, SeasonAnswer, SeasonCost
from drawbar.quantities import rounded
_INDENT: Final = '  '

def season_sheet(answer: SeasonAnswer, place: Callable[[str], str], width: int) -> list[str]:
    ...
_WHOLE: Final = 99.99

def _table(head: str, header: Sequence[str], rows: Iterable[Sequence[str]], width: int) -> list[str]:
    ...

def _hours(time: Reading) -> str:
    ...

def _chance(share: Reading) -> str:
    ...

def _odds(odds: FinishOdds | None) -> list[tuple[str, str]]:
    ...

def _cost(cost: SeasonCost) -> list[tuple[str, str]]:
    ...

def _money(amount: Reading) -> str:
    ...

def _first_sentence(text: str) -> str:
    ...

def _search(answer: SeasonAnswer) -> str:
    ...
