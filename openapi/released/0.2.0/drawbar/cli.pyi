from __future__ import annotations
import argparse
import importlib.util
import logging
import os
import runpy
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, TypeVar
import msgspec
from drawbar import _batch_command as batch_command
from drawbar import _calculations as calculations
from drawbar import _operations as operations
from drawbar import _sheets as sheets
from drawbar._farm import BadFile, Case, Farm, plain_case, read
from drawbar._season import season_case
from drawbar._season_sheet import season_sheet
from drawbar._text import columns, line_width, make_output_safe
from drawbar._version import __version__
from drawbar._wire import Operation
from drawbar.client import Client
from drawbar.errors import ApiError, BadSetting, DrawbarError, Fault, ServerFault, Unauthorized, UnreadableAnswer
from drawbar.models import MatchAnswer, SeasonAnswer, WholeTableAnswer
ANSWERED: Final = 0
FALLS_SHORT: Final = 1
REFUSED: Final = 2
UNREACHABLE: Final = 3
SERVICE_FAULT: Final = 4
_INTERRUPTED: Final = 130
_FINISHED_STAYS: Final = 'What was finished stays; the same call goes on from there.'
T = TypeVar('T')
_EXIT_CODES: Final = 'exit code:\n  0  answered; a match holds, a season is done in time\n  1  answered; a match is close, fails or cannot be told, a season is not done in time\n  2  wrong use, or the request was refused; each fault names its place in the file\n  3  no service reached, or one too old for this command\n  4  the service failed\n'
_APART: Final = ('match', 'season', 'sheet')
_PICTURES: Final[Mapping[str, str]] = {'.svg': 'image/svg+xml', '.png': 'image/png'}
_CURVES: Final = ('power-by-speed', 'slip-by-pull', 'fit-map', 'draft-by-tool', 'finish-by-date', 'season-timeline', 'soil-stress-by-depth')
_NOT_OF_A_FARM: Final = ('finish-by-date', 'soil-stress-by-depth')

class _Asker(Client):

    def ask(self, operation: Operation[Any], body: object=None, *, table: str | None=None) -> bytes:
        ...

@dataclass(frozen=True)
class _Refusal:
    name: str
    faults: list[str]

def main(arguments: list[str] | None=None) -> int:
    ...

def _code_of(fault: DrawbarError) -> int:
    ...

def _parser() -> argparse.ArgumentParser:
    ...

def _add_shown(add: Callable[..., argparse.ArgumentParser]) -> None:
    ...

def _client(options: argparse.Namespace, *, of_any_version: bool=False) -> _Asker:
    ...

def _say(lines: Iterable[str]) -> None:
    ...

def _give(content: bytes) -> None:
    ...

def _refuse(name: str, faults: Iterable[str]) -> int:
    ...

def _match(options: argparse.Namespace) -> int:
    ...

def _match_one(options: argparse.Namespace, case: Case) -> int:
    ...

def _code(answer: MatchAnswer) -> int:
    ...

def _match_jobs(options: argparse.Namespace, farm: Farm) -> int:
    ...

def _match_all(options: argparse.Namespace, farm: Farm) -> int:
    ...

def _all_answers(options: argparse.Namespace, cases: Mapping[str, Case]) -> tuple[dict[str, bytes], dict[str, _Refusal]]:
    ...

def _refuse_all(refused: Mapping[str, _Refusal]) -> int:
    ...

def _answered(client: _Asker, case: Case, name: str, operation: Operation[Any]=calculations.MATCH) -> bytes | _Refusal:
    ...

def _read_match(content: bytes) -> MatchAnswer:
    ...

def _decoded(content: bytes, kind: type[T]) -> T:
    ...

def _title(case: Case) -> str:
    ...

def _named(case: Case) -> Case:
    ...

def _season(options: argparse.Namespace) -> int:
    ...

def _calculate(options: argparse.Namespace) -> int:
    ...

def _show(options: argparse.Namespace) -> int:
    ...

def _tables(options: argparse.Namespace) -> int:
    ...

def _table(options: argparse.Namespace, table: WholeTableAnswer) -> int:
    ...

def _sources(options: argparse.Namespace) -> int:
    ...

def _serve(options: argparse.Namespace) -> int:
    ...

def _version(options: argparse.Namespace) -> int:
    ...
if __name__ == '__main__':
    sys.exit(main())
