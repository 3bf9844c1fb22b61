"""CSV files: cut where a row ends, and handed to the service as they are, which knows how to read each cell."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import IO, Any, Final

import msgspec

from drawbar._arrow_wire import CSV, pa, sent_columns
from drawbar._columns import split_name
from drawbar.files.rows import Head, Piece

_MOST_BYTES: Final = 1_000_000
"""Longest row [bytes]; the service takes no longer lines."""


@dataclass(frozen=True)
class CsvFile:
    """A CSV file, with the places where parts begin."""

    path: Path
    digest: str
    told: Head
    names: tuple[str, ...]
    keep: tuple[str, ...]
    step: int
    places: tuple[int, ...] = field(repr=False)
    """Where row 0, row `step`, and so on, begin [bytes]."""
    rows: int
    kind: str = "csv"

    @property
    def name(self) -> str:
        """The file."""
        return self.path.name

    def piece(self, start: int, stop: int, head: bytes) -> Piece:
        """Read the rows from `start` to before `stop`."""
        with self.path.open("rb") as opened:
            opened.seek(self.places[start // self.step])
            records = _records(opened, len(self.names))
            rows = list(islice(records, start % self.step, start % self.step + stop - start))
        # The units that the file told ahead of its rows go along.
        ahead = {**msgspec.json.decode(head), "units": self._units()}
        if not self.keep:
            names, kept = list(self.names), None
            content = b"".join(_ended(row) for row in rows)
        else:
            names, content, kept = self._apart(rows)
        return Piece(b"#" + msgspec.json.encode(ahead) + b"\n" + _line(names) + content, CSV, kept)

    def empty_cells(self, stop: int) -> dict[str, int]:
        """Count the empty cells of each column that is sent in the rows before `stop`, by its pointer."""
        with self.path.open("rb") as opened:
            opened.seek(self.places[0])
            rows = [
                next(csv.reader([row.decode("utf-8")]), [""]) for row in islice(_records(opened, len(self.names)), stop)
            ]
        return {
            split_name(name)[0]: sum(len(row) > at and row[at] == "" for row in rows)
            for at, name in enumerate(self.names)
            if name.startswith("/")
        }

    def _units(self) -> dict[str, str]:
        return {pointer: unit for pointer, unit in self.told.units.items() if pointer in self.names}

    def _apart(self, rows: list[bytes]) -> tuple[list[str], bytes, Any]:
        """Give the columns that are sent, as text, and those that are kept."""
        sent = [at for at, name in enumerate(self.names) if name.startswith("/")]
        text = io.StringIO(newline="")
        writer = csv.writer(text, lineterminator="\n")
        kept: dict[str, list[str | None]] = {name: [] for name in self.keep}
        for row in rows:
            cells = next(csv.reader(io.StringIO(row.decode("utf-8"), newline="")), [""])
            whole = len(cells) == len(self.names)
            # Cells that are too many or too few stay so, for the service to say it of the row.
            writer.writerow([cells[at] for at in sent] if whole else [""] * (len(sent) + 1))
            for name in self.keep:
                kept[name].append(cells[self.names.index(name)] if whole else None)
        table = pa.table({name: pa.array(values, pa.string()) for name, values in kept.items()})
        return [self.names[at] for at in sent], text.getvalue().encode(), table


def open_csv(file: Path, digest: str, keep: tuple[str, ...], step: int) -> CsvFile:
    """Look at a CSV file, all through, for where its rows begin.

    Parameters
    ----------
    file, digest
        Where it is, and the SHA-256 of its bytes.
    keep
        Columns that are handed on as they are, as text.
    step
        Rows that are going to be read at a time.

    Raises
    ------
    ValueError
        If it has no header, or one that names no columns, or a quote that is never closed.
    """
    with file.open("rb") as opened:
        first = opened.readline()
        told = Head()
        if first.removeprefix(b"\xef\xbb\xbf").startswith(b"#"):
            told = msgspec.json.decode(first.removeprefix(b"\xef\xbb\xbf")[1:], type=Head)
            first = opened.readline()
        header = list(csv.reader([first.decode("utf-8-sig")]))
        names = header[0] if header else []
        if len(names) == 1 and ";" in names[0]:
            raise ValueError("the columns are separated by ;, but a comma belongs there, and a point in numbers")
        if not sent_columns(pa.schema([pa.field(name, pa.string()) for name in names]), keep):
            raise ValueError("a header belongs in the first line, such as: /speed [km/h]")
        places: list[int] = []
        rows = 0
        place = opened.tell()
        for lines, record in _placed(opened, len(names)):
            if rows % step == 0:
                places.append(place + lines - len(record))
            rows += 1
    return CsvFile(file, digest, told, tuple(names), keep, step, tuple(places) or (place,), rows)


def _records(opened: IO[bytes], width: int) -> Iterator[bytes]:
    return (record for _, record in _placed(opened, width))


def _placed(opened: IO[bytes], width: int) -> Iterator[tuple[int, bytes]]:
    """Yield the rows, each with how many bytes have been read at its end."""
    read = 0
    rest = b""
    for line in opened:
        read += len(line)
        # A line ends inside a cell where the quotes so far are odd in number.
        record = rest + line if rest else line
        if b'"' in record and record.count(b'"') % 2:
            if len(record) > _MOST_BYTES:
                raise ValueError(f"a quote is opened and never closed: {record[:60].decode('utf-8', 'replace')!r}")
            rest = record
            continue
        rest = b""
        # An empty line is a row only where there is a single column.
        if width > 1 and not record.strip(b"\r\n"):
            continue
        yield read, record
    if rest:
        raise ValueError(f"a quote is opened and never closed: {rest[:60].decode('utf-8', 'replace')!r}")


def _ended(row: bytes) -> bytes:
    return row if row.endswith(b"\n") else row + b"\n"


def _line(names: list[str]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerow(names)
    return text.getvalue().encode()
