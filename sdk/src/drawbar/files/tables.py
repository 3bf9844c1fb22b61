"""Parquet and Arrow files, read some rows at a time: never more of a file in memory than is being worked."""

from __future__ import annotations

import threading
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from drawbar._arrow_wire import ARROW, Sent, encode, ipc, pa, sent_columns
from drawbar._libraries import library
from drawbar.files.rows import Head, Piece, head_of

pq: Final = library("pyarrow.parquet", "files")

_BATCH_ROWS: Final = 65_536
_PAGE_BYTES: Final = 1_048_576
"""How much of a column is fetched at once [bytes]; without a bound it is all that a row group holds."""


@dataclass(frozen=True)
class TableFile:
    """A file whose rows come in groups that can be opened one by one."""

    path: Path
    kind: str
    digest: str
    told: Head
    sent: tuple[Sent, ...]
    keep: tuple[str, ...]
    starts: tuple[int, ...] = field(repr=False)
    """First row of each group that can be opened."""
    rows: int

    @property
    def name(self) -> str:
        """The file."""
        return self.path.name

    def piece(self, start: int, stop: int, head: bytes) -> Piece:
        """Read the rows from `start` to before `stop`."""
        table = self.table(start, stop)
        return Piece(encode(table, self.sent, head), ARROW, table.select(self.keep) if self.keep else None)

    def table(self, start: int, stop: int) -> Any:
        """Give the rows from `start` to before `stop`."""
        mine: _Place | None = getattr(_places, "place", None)
        group = bisect_right(self.starts, start) - 1
        # To read on costs less than to open anew, unless most of what comes would be passed over.
        near = mine is not None and mine.at <= start and self.starts[group] - mine.at <= 2 * (stop - start)
        if mine is None or not near or mine.key != (self.path, self.digest):
            mine = _Place((self.path, self.digest), self.starts[group], self._batches(group))
        # What failed half way is not read on from.
        _places.place = None
        table = mine.table(start, stop)
        _places.place = mine
        return table

    def _batches(self, group: int) -> Iterator[Any]:
        names = list(dict.fromkeys([one.name for one in self.sent] + list(self.keep)))
        if self.kind == "parquet":
            with pq.ParquetFile(self.path, buffer_size=_PAGE_BYTES, pre_buffer=False) as opened:
                groups = range(group, opened.num_row_groups)
                yield from opened.iter_batches(_BATCH_ROWS, row_groups=groups, columns=names, use_threads=False)
            return
        with pa.OSFile(str(self.path)) as opened:
            if self.kind == "arrow-stream":
                for batch in ipc.open_stream(opened):
                    yield batch.select(names)
                return
            reader = ipc.open_file(opened)
            for at in range(group, reader.num_record_batches):
                yield reader.get_batch(at).select(names)


class _Place:
    """Where a thread is in a file, so that the rows that follow need no new start."""

    def __init__(self, key: tuple[Path, str], at: int, batches: Iterator[Any]) -> None:
        self.key = key
        self.at = at
        self._batches = batches
        self._rest: Any = None

    def table(self, start: int, stop: int) -> Any:
        taken: list[Any] = []
        while self.at < stop:
            batch = self._rest if self._rest is not None else next(self._batches)
            end = self.at + batch.num_rows
            if end > start:
                low = max(0, start - self.at)
                taken.append(batch.slice(low, min(end, stop) - self.at - low))
            self._rest = batch.slice(stop - self.at) if end > stop else None
            self.at = min(end, stop)
        return pa.Table.from_batches(taken)


_places = threading.local()


def open_parquet(file: Path, digest: str, keep: tuple[str, ...]) -> TableFile:
    """Look at a Parquet file.

    Parameters
    ----------
    file, digest
        Where it is, and the SHA-256 of its bytes.
    keep
        Columns that are handed on as they are.
    """
    with pq.ParquetFile(file) as opened:
        schema, metadata = opened.schema_arrow, opened.metadata
        counts = [metadata.row_group(at).num_rows for at in range(metadata.num_row_groups)]
    return _opened(file, "parquet", digest, keep, schema, counts)


def open_arrow_file(file: Path, digest: str, keep: tuple[str, ...]) -> TableFile:
    """Look at an Arrow IPC file.

    Parameters
    ----------
    file, digest
        Where it is, and the SHA-256 of its bytes.
    keep
        Columns that are handed on as they are.
    """
    with pa.OSFile(str(file)) as opened:
        reader = ipc.open_file(opened)
        counts = [reader.get_batch(at).num_rows for at in range(reader.num_record_batches)]
        return _opened(file, "arrow-file", digest, keep, reader.schema, counts)


def open_arrow_stream(file: Path, digest: str, keep: tuple[str, ...]) -> TableFile:
    """Look at an Arrow IPC stream, which can only be read from its beginning.

    Parameters
    ----------
    file, digest
        Where it is, and the SHA-256 of its bytes.
    keep
        Columns that are handed on as they are.
    """
    with pa.OSFile(str(file)) as opened:
        reader = ipc.open_stream(opened)
        rows = sum(batch.num_rows for batch in reader)
        return _opened(file, "arrow-stream", digest, keep, reader.schema, [rows])


def _opened(file: Path, kind: str, digest: str, keep: tuple[str, ...], schema: Any, counts: list[int]) -> TableFile:
    sent = tuple(sent_columns(schema, keep))
    if not sent:
        raise ValueError("no column is called by a JSON Pointer such as '/speed', so nothing varies")
    starts: list[int] = []
    rows = 0
    for count in counts:
        starts.append(rows)
        rows += count
    return TableFile(file, kind, digest, head_of(schema.metadata), sent, keep, tuple(starts) or (0,), rows)
