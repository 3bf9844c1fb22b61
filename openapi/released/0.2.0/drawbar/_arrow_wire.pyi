from __future__ import annotations
import atexit
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, NamedTuple
import msgspec
from drawbar._columns import split_name
from drawbar._libraries import library
from drawbar._options import RetryPolicy, Timeout, Units
from drawbar._sync_core import SyncCore
from drawbar.client import Client
from drawbar.errors import UnreadableAnswer
pa: Final = library('pyarrow', 'files')
ipc: Final = library('pyarrow.ipc', 'files')
ARROW: Final = 'application/vnd.apache.arrow.stream'
CSV: Final = 'text/csv'
FAULT: Final = 'fault'
KEY: Final = b'drawbar'
UNIT: Final = b'unit'
REQUEST_ROWS: Final = 131072
_BATCH_BYTES: Final = 16777216
_PATIENT: Final = RetryPolicy(attempts=20, budget=7200.0)
_LONG: Final = Timeout(total=3600.0)
_clients: dict[str | None, Client] = {}

@atexit.register
def close_clients() -> None:
    ...

def shared_client(url: str | None) -> Client:
    ...

class Sent(NamedTuple):
    name: str
    pointer: str
    unit: str | None

def sent_columns(schema: Any, keep: Sequence[str]) -> list[Sent]:
    ...

def head(scenario: Mapping[str, Any] | msgspec.Struct, columns: Sequence[str] | None) -> bytes:
    ...

def encode(table: Any, sent: Iterable[Sent], head: bytes) -> bytes:
    ...

def _plain(column: Any) -> Any:
    ...

def ask(client: SyncCore, calculation: str, content: bytes, media: str, units: Units | None) -> Any:
    ...

def about(schema: Any) -> dict[str, Any]:
    ...

def unit_of(field: Any) -> str:
    ...

def _metadata(thing: Any) -> dict[bytes, bytes]:
    ...
