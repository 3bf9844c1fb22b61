"""Batches over Arrow: rows as a stream to the service, its stream back as a table."""

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

pa: Final = library("pyarrow", "files")
ipc: Final = library("pyarrow.ipc", "files")

ARROW: Final = "application/vnd.apache.arrow.stream"
CSV: Final = "text/csv"
FAULT: Final = "fault"
"""Name of the column that says what is wrong with a row."""
KEY: Final = b"drawbar"
UNIT: Final = b"unit"
REQUEST_ROWS: Final = 131_072
"""Rows of a request: enough that its toll is small beside them, few enough to be held in memory several times."""
_BATCH_BYTES: Final = 16_777_216
"""Size of a record batch [bytes]; few large ones cost less to read than many small ones."""
_PATIENT: Final = RetryPolicy(attempts=20, budget=7200.0)
_LONG: Final = Timeout(total=3600.0)

_clients: dict[str | None, Client] = {}


@atexit.register
def close_clients() -> None:
    """Close the clients that this process shares; whoever asks next makes them anew."""
    while _clients:
        _clients.popitem()[1].close()


def shared_client(url: str | None) -> Client:
    """Give the client that all batches of this process share; it lives as long as the process.

    Parameters
    ----------
    url
        Address of the service; None runs it inside this process.
    """
    if url not in _clients:
        made = Client.in_process(timeout=_LONG) if url is None else Client(url, timeout=_LONG, retry=_PATIENT)
        # Of two threads that come here first, one throws its client away.
        kept = _clients.setdefault(url, made)
        if kept is not made:
            made.close()
    return _clients[url]


class Sent(NamedTuple):
    """A column that goes to the service."""

    name: str
    """As the table calls it."""
    pointer: str
    unit: str | None


def sent_columns(schema: Any, keep: Sequence[str]) -> list[Sent]:
    """Tell which columns of a table go to the service: all but those that are only kept.

    Parameters
    ----------
    schema
        Of the table.
    keep
        Names of columns that come back as they are. Those called by a pointer are sent too.

    Raises
    ------
    ValueError
        If a column is there twice, is called by no pointer, or is to be kept and is not there.
    """
    names: list[str] = list(schema.names)
    found: dict[str, Sent] = {}
    for at, name in enumerate(names):
        pointer, unit = split_name(name)
        if not pointer.startswith("/"):
            if name in keep:
                continue
            raise ValueError(
                f"The column {name[:60]!r} is not called by a JSON Pointer such as '/speed'. Rename it, drop it, or "
                "keep it: it is then handed on as it is."
            )
        if pointer in found:
            raise ValueError(f"The column {pointer[:60]!r} is there twice.")
        found[pointer] = Sent(name, pointer, unit if unit is not None else unit_of(schema.field(at)) or None)
    for name in keep:
        if name not in names:
            raise ValueError(f"There is no column {name[:60]!r} to keep; there are {', '.join(names)}.")
    return list(found.values())


def head(scenario: Mapping[str, Any] | msgspec.Struct, columns: Sequence[str] | None) -> bytes:
    """Write what goes ahead of rows: the scenario, and which values come back.

    Parameters
    ----------
    scenario
        A request of the calculation.
    columns
        JSON Pointers into the answer; None for the usual ones.
    """
    told: dict[str, Any] = {"scenario": scenario}
    if columns is not None:
        told["columns"] = list(columns)
    return msgspec.json.encode(told)


def encode(table: Any, sent: Iterable[Sent], head: bytes) -> bytes:
    """Write rows as the stream that the service reads.

    Parameters
    ----------
    table
        A pyarrow table.
    sent
        Its columns that go to the service.
    head
        What goes ahead of them.
    """
    fields: list[Any] = []
    columns: list[Any] = []
    for one in sent:
        column = _plain(table.column(one.name))
        columns.append(column)
        fields.append(pa.field(one.pointer, column.type, metadata={UNIT: one.unit} if one.unit is not None else None))
    sink = pa.BufferOutputStream()
    schema = pa.schema(fields, metadata={KEY: head})
    with ipc.new_stream(sink, schema) as writer:
        whole = pa.Table.from_arrays(columns, schema=schema)
        writer.write_table(whole, max_chunksize=max(1, whole.num_rows * _BATCH_BYTES // max(whole.nbytes, 1)))
    return sink.getvalue().to_pybytes()


def _plain(column: Any) -> Any:
    """Give a column in a type that the service reads, if it has one; else the service says which it does."""
    kind, types = column.type, pa.types
    texts = (types.is_string, types.is_large_string, types.is_string_view)
    if types.is_dictionary(kind) and not any(is_text(kind.value_type) for is_text in texts):
        return _plain(column.cast(kind.value_type))
    if types.is_decimal(kind):
        return column.cast(pa.float64())
    return column.cast(pa.string()) if types.is_date(kind) else column


def ask(client: SyncCore, calculation: str, content: bytes, media: str, units: Units | None) -> Any:
    """Have the service answer rows.

    Parameters
    ----------
    client
        Who asks.
    calculation
        Which one.
    content, media
        The rows, and what they are written as.
    units
        Units of the answer.

    Returns
    -------
    pyarrow.Table
        A row for each; its last column says what is wrong with a row.

    Raises
    ------
    ImpossibleInput
        If something is wrong with every row.
    UnreadableAnswer
        If what comes back is no such table.
    """
    answer = client.batch_bytes(calculation, content, sends=media, accept=ARROW, units=units)
    try:
        table = ipc.open_stream(pa.py_buffer(answer)).read_all()
    except pa.ArrowInvalid as fault:
        raise UnreadableAnswer(200, f"it is no Arrow stream: {fault}") from fault
    if FAULT not in table.column_names:
        raise UnreadableAnswer(200, f"its columns are {', '.join(table.column_names)}; {FAULT!r} is missing")
    return table


def about(schema: Any) -> dict[str, Any]:
    """Tell what an answer says about itself; nothing if its first hundred rows are at fault.

    Parameters
    ----------
    schema
        Of the answer.
    """
    told: dict[str, Any] = msgspec.json.decode(_metadata(schema).get(KEY, b"{}"))
    return told.get("about") or {}


def unit_of(field: Any) -> str:
    """Tell the unit of a column, empty if it has none.

    Parameters
    ----------
    field
        Of a schema.
    """
    return _metadata(field).get(UNIT, b"").decode()


def _metadata(thing: Any) -> dict[bytes, bytes]:
    return thing.metadata or {}
