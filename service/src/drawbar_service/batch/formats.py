"""Media types of a batch, and who reads and writes them."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import TypeAlias

from drawbar_service.api.answers import About
from drawbar_service.api.v1.batch.request import ARROW, CSV, NDJSON
from drawbar_service.api.wire import JSON, MSGPACK, OFFERED
from drawbar_service.batch import as_arrow, as_columns, as_csv, as_ndjson
from drawbar_service.batch.leaves import ValueKind
from drawbar_service.batch.parts import Table
from drawbar_service.batch.table import Block, Column

Chunks: TypeAlias = Iterable[bytes]
Write: TypeAlias = Callable[[Iterable[Block], list[Column], About | None], Iterator[bytes]]

NAMES: Mapping[str, str] = MappingProxyType(
    {
        **OFFERED,
        **dict.fromkeys((NDJSON, "application/ndjson", "application/jsonl", "application/x-jsonlines"), NDJSON),
        CSV: CSV,
        ARROW: ARROW,
    }
)
"""Every name a media type goes by, to the one that is written."""

WHOLE = frozenset((JSON, MSGPACK))
"""Read and written whole; the others as they come."""

READ_TABLE: Mapping[str, Callable[[Chunks, Callable[[str], ValueKind | None]], Table]] = MappingProxyType(
    {
        NDJSON: lambda chunks, _: as_ndjson.read(chunks),
        CSV: as_csv.read,
        ARROW: lambda chunks, _: as_arrow.read(chunks),
    }
)
WRITE: Mapping[str, Write] = MappingProxyType(
    {
        JSON: as_columns.write_json,
        MSGPACK: as_columns.write_msgpack,
        NDJSON: as_ndjson.write,
        CSV: as_csv.write,
        ARROW: as_arrow.write,
    }
)
