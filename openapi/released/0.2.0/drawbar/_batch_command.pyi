from __future__ import annotations
import argparse
import contextlib
import logging
import re
import sys
from collections.abc import Generator
from typing import TYPE_CHECKING, Any, Final
from drawbar._farm import BadFile, Case, Farm, plain_case, read
from drawbar._libraries import library
from drawbar.errors import Fault, ImpossibleInput
if TYPE_CHECKING:
    from drawbar.batch import Progress
    from drawbar.files import Estimate, Job, Summary
_SHARD: Final = re.compile('([1-9][0-9]{0,8})/([1-9][0-9]{0,8})')
_DESCRIPTION: Final = 'FILE is Parquet, Arrow (file or stream), CSV, or a grid in TOML: a table `vary`, and if need be `scenario`,\n`columns` and `mode` (grid or zip). Its columns are called by JSON Pointers into a request, with their units:\n`/speed [km/h]`; Parquet and Arrow may have the unit in the metadata of a field, under `unit`.\n\nFOLDER gets part-00001.parquet and so on, each whole once it is there; `row` in them counts the rows of FILE from 0.\nRows that cannot be answered are in faults-00001.csv beside them, with row, pointer and reason. A second run goes on\nwhere the first stopped, and refuses if FILE, the model or what is asked has changed.\n'

def add_to(commands: Any, where: argparse.ArgumentParser) -> None:
    ...

def _names(text: str) -> list[str]:
    ...

def _shard(text: str) -> tuple[int, int]:
    ...

def _batch(options: argparse.Namespace) -> int:
    ...

def _run(job: Job, options: argparse.Namespace, told: Progress) -> Summary:
    ...

def _scenario(options: argparse.Namespace) -> Case | None:
    ...

def _placed(fault: Fault, case: Case | None, options: argparse.Namespace) -> Fault:
    ...

@contextlib.contextmanager
def _progress() -> Generator[Progress]:
    ...

def _counted(many: int, what: str) -> str:
    ...

def _forecast(ahead: Estimate, workers: int) -> str:
    ...

def _told(job: Job, done: Summary) -> str:
    ...

def _time(seconds: float) -> str:
    ...
