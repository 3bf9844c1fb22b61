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
FITS: Final = 0
MISFIT: Final = 1
REFUSED: Final = 2
UNREACHABLE: Final = 3
SERVICE_FAULT: Final = 4
_INTERRUPTED: Final = 130
T = TypeVar('T')
_EXIT_CODES: Final = 'exit code:\n  0  answered; a match fits, a season is done in time\n  1  answered; a match does not fit, a season is not done in time\n  2  wrong use, or the request was refused; each fault names its place in the file\n  3  no service reached, or one too old for this command\n  4  the service failed\n'
_CALCULATIONS: Final[Mapping[str, tuple[Operation[Any], str]]] = {'draft': (operations.DRAFT, 'what an implement pulls, whole and by tool'), 'power': (operations.POWER, 'PTO and engine power that pulling, PTO drive and oil take'), 'traction': (operations.TRACTION, 'slip and axle loads of a tractor under a pull'), 'fuel': (operations.FUEL, 'fuel that a load takes'), 'field-capacity': (operations.FIELD_CAPACITY, 'area an hour, and hours and days for a field'), 'slip': (operations.SLIP, 'slip from wheel turns, times or distances'), 'ballast': (operations.BALLAST, 'mass and split for a pull, transport axles and soil stress'), 'sensitivity': (operations.SENSITIVITY, 'which uncertain input matters most'), 'completion': (operations.COMPLETION, 'the chance to be done in time, and what would raise it'), 'cost': (operations.COST, 'what work costs to own and to run, against hire, and the best width'), 'system': (operations.SYSTEM, 'chains of passes on the same land, side by side'), 'calibration': (operations.CALIBRATION, 'draft multiplier and cone index from runs in the field'), 'hydraulics': (operations.HYDRAULICS, 'oil that functions take, against pump and outlets'), 'hitch': (operations.HITCH, 'hitch, drawbar, PTO, axles and tires for a machine')}
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

def _match_jobs(options: argparse.Namespace, farm: Farm) -> int:
    ...

def _match_all(options: argparse.Namespace, farm: Farm) -> int:
    ...

def _all_answers(options: argparse.Namespace, cases: Mapping[str, Case]) -> tuple[dict[str, bytes], dict[str, _Refusal]]:
    ...

def _refuse_all(refused: Mapping[str, _Refusal]) -> int:
    ...

def _answered(client: _Asker, case: Case, name: str, operation: Operation[Any]=operations.MATCH) -> bytes | _Refusal:
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
