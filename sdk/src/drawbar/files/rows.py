"""What a source of rows is: whatever hands some of them over, ready to be sent."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple, Protocol

import msgspec


class Head(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a file may say ahead of its rows."""

    scenario: dict[str, Any] | None = None
    columns: list[str] | None = None
    units: dict[str, str] = {}


class Piece(NamedTuple):
    """Some rows, ready to be sent."""

    content: bytes
    media: str
    kept: Any
    """Columns that are handed on as they are, as a pyarrow table; None if there are none."""


class Source(Protocol):
    """Rows that can be read from any place, by any process that sees the file."""

    @property
    def path(self) -> Path:
        """Where it is."""
        ...

    @property
    def name(self) -> str:
        """The file."""
        ...

    @property
    def kind(self) -> str:
        """How it is written."""
        ...

    @property
    def digest(self) -> str:
        """SHA-256 of the file's bytes."""
        ...

    @property
    def rows(self) -> int:
        """How many rows there are."""
        ...

    @property
    def told(self) -> Head:
        """What the file says ahead of its rows."""
        ...

    def piece(self, start: int, stop: int, head: bytes) -> Piece:
        """Read the rows from `start` to before `stop`, ready to be sent after a `head`."""
        ...


def head_of(told: Mapping[bytes, bytes] | None) -> Head:
    """Read what the metadata of a schema say ahead of its rows.

    Parameters
    ----------
    told
        The metadata.
    """
    found = (told or {}).get(b"drawbar")
    # An answer of the service has something else under the same key, and may well be asked about further.
    return Head() if found is None or b'"about"' in found[:10] else msgspec.json.decode(found, type=Head)
