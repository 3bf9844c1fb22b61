from __future__ import annotations
import contextlib
import hashlib
import os
import re
import socket
from collections.abc import Generator, Mapping
from pathlib import Path
from typing import IO, Any, Final, Literal, TypeAlias, cast
from uuid import uuid4
import msgspec
from drawbar.errors import BadSetting
try:
    import fcntl
except ImportError:
    fcntl = None
Told: TypeAlias = dict[str, object]
Format: TypeAlias = Literal['parquet', 'csv', 'arrow']
NAME: Final = 'manifest.json'
DIGESTS: Final = 'digests.jsonl'
_OURS: Final = re.compile('(part|faults)-\\d{5,}\\.(parquet|csv|arrow)')
_TEMPORARY: Final = re.compile('\\.(part|faults)-(\\d{5,})\\.(parquet|csv|arrow)\\.[0-9a-f]+\\.tmp')

class BadJob(BadSetting):
    ...

class Input(msgspec.Struct, frozen=True):
    name: str
    kind: str
    sha256: str
    rows: int

class Manifest(msgspec.Struct, frozen=True):
    calculation: str
    model: str
    input: Input
    scenario_sha256: str
    columns: list[str]
    units: dict[str, str]
    keep: list[str]
    format: Format
    part_rows: int
    parts: int
    layout: int = 1

class Digest(msgspec.Struct, frozen=True):
    name: str
    bytes: int
    sha256: str

def settle(folder: Path, wanted: Manifest, *, overwrite: bool) -> None:
    ...

def _compare(folder: Path, wanted: Manifest) -> None:
    ...

def _nameless(value: object) -> object:
    ...

def _short(value: object) -> str:
    ...

def _is_input(value: object) -> bool:
    ...

def part_name(number: int, format: Format) -> str:
    ...

def faults_name(number: int) -> str:
    ...

def digests(folder: Path) -> dict[str, Digest]:
    ...

def is_done(folder: Path, number: int, format: Format, known: Mapping[str, Digest]) -> bool:
    ...

def _sha256(file: Path) -> str:
    ...

@contextlib.contextmanager
def locked(folder: Path, shard: tuple[int, int]) -> Generator[None]:
    ...

def remove_unfinished(folder: Path, numbers: frozenset[int]) -> None:
    ...

@contextlib.contextmanager
def written(folder: Path, name: str) -> Generator[IO[bytes]]:
    ...

def _write_through(opened: IO[bytes], content: bytes) -> None:
    ...
