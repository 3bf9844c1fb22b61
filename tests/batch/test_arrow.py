"""Arrow streams in and out: texts by their places, faults as a list, and what dictionaries may hold."""

import io
import itertools
import json
from collections.abc import Iterator
from typing import Any

import numpy as np
import polars as pl
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drawbar_service.batch import arrow_out, arrow_stream, as_arrow, as_csv
from drawbar_service.batch.arrow_out import Kind

ARROW = "application/vnd.apache.arrow.stream"
PATH = "/v1/batch/field-capacity"
COLUMNS = ["/capacity/theoretical", "/about/assumptions/0/value", "/about/warnings/0/detail"]
KINDS = ["field-cultivator", "chisel-plow", "row-crop-planter"]


def stream(table: pa.Table, scenario: Any, **options: Any) -> bytes:
    head = json.dumps({"scenario": scenario, "columns": COLUMNS}).encode()
    sink = pa.BufferOutputStream()
    settled = pa.ipc.IpcWriteOptions(**options)
    with pa.ipc.new_stream(sink, table.schema.with_metadata({"drawbar": head}), options=settled) as writer:
        writer.write_table(table)
    return sink.getvalue().to_pybytes()


def post(client: Any, content: bytes, **headers: str) -> Any:
    return client.post(PATH, content=content, headers={"Content-Type": ARROW} | headers)


def read(content: bytes) -> tuple[pa.Table, list[dict[str, Any]]]:
    """The table, and the faults that the metadata of its record batches tell of."""
    reader = pa.ipc.open_stream(content)
    batches: list[Any] = []
    faults: list[dict[str, Any]] = []
    while True:
        try:
            batch, metadata = reader.read_next_batch_with_custom_metadata()
        except StopIteration:
            return pa.Table.from_batches(batches), faults
        batch.validate(full=True)
        batches.append(batch)
        faults += json.loads(metadata[b"drawbar"])["faults"] if metadata else []


@pytest.mark.parametrize("together", [1, 300, 100_000])
def test_faults_and_texts_keep_their_rows_over_record_batches(
    client: Any, capacity: Any, together: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(as_arrow, "_SENT_ROWS", together)
    monkeypatch.setattr(as_csv, "PART_ROWS", 100)
    lines = [f"{5 + at / 100},{KINDS[at // 250]}" for at in range(700)]
    lines[0] = lines[350] = lines[699] = "fast,chisel-plow"
    head = json.dumps({"scenario": capacity, "columns": COLUMNS})
    text = "\n".join([f"#{head}", "/speed [km/h],/practice", *lines])
    told, reply = (
        client.post(PATH, content=text, headers={"Content-Type": "text/csv", "Accept": media})
        for media in ("application/json", ARROW)
    )
    table, faults = read(reply.content)
    assert faults == told.json()["faults"]
    assert [fault["row"] for fault in faults] == [0, 350, 699]
    assert table["fault"].is_valid().to_pylist() == [at in (0, 350, 699) for at in range(700)]
    for pointer, column in told.json()["columns"].items():
        assert table[pointer].to_pylist() == column["values"]
    assert len(set(table[COLUMNS[1]].to_pylist())) >= 3
    assert pl.read_ipc_stream(io.BytesIO(reply.content))[COLUMNS[1]].to_list() == table[COLUMNS[1]].to_pylist()


@pytest.mark.parametrize("chunks", [1, 7])
@pytest.mark.parametrize("deltas", [False, True])
def test_texts_in_dictionaries_say_what_texts_say(client: Any, capacity: Any, chunks: int, deltas: bool) -> None:
    kinds = [*KINDS, None, "spade", "chisel-plow", KINDS[0]] * 30
    speeds = pa.array(np.linspace(5.0, 9.0, len(kinds)))
    parts = np.array_split(np.array(kinds, dtype=object), chunks)
    coded = pa.chunked_array([pa.array(part.tolist(), pa.string()).dictionary_encode() for part in parts])
    if deltas:
        whole = pa.array(kinds, pa.string()).dictionary_encode()
        # Each dictionary begins as the one before it, so that only what is new in it is written.
        coded = pa.chunked_array(
            pa.DictionaryArray.from_arrays(whole.indices[start:end], whole.dictionary[:known])
            for start, end, known in ((0, 2, 2), (2, 4, 3), (4, len(kinds), 4))
        )
    plain = post(client, stream(pa.table({"/speed [km/h]": speeds, "/practice": kinds}), capacity)).json()
    content = stream(pa.table({"/speed [km/h]": speeds, "/practice": coded}), capacity, emit_dictionary_deltas=deltas)
    found = post(client, content).json()
    assert found == plain
    assert {fault["row"] for fault in found["faults"]} == {at for at, kind in enumerate(kinds) if kind == "spade"}


def test_numbers_and_truths_in_dictionaries_are_read(client: Any, capacity: Any) -> None:
    speeds = pa.array([7.0, 8.0, None, 7.0]).dictionary_encode()
    answer = post(client, stream(pa.table({"/speed [km/h]": speeds}), capacity)).json()
    assert answer["columns"][COLUMNS[0]]["values"] == [pytest.approx(4.2), pytest.approx(4.8), None, pytest.approx(4.2)]
    assert [fault["row"] for fault in answer["faults"]] == [2]


def stream_of(*messages: arrow_out.Pieces) -> bytes:
    schema = arrow_out.schema([Kind("/practice", "coded", {}, dictionary=7)], {})
    return b"".join([schema, *itertools.chain.from_iterable(messages), arrow_out.END])


def places(*codes: int) -> arrow_out.Pieces:
    return arrow_out.record_batch([arrow_out.numbers([np.array(codes, dtype="<i4")])])


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (stream_of(places(0)), "a dictionary is missing"),
        (stream_of(arrow_out.dictionary(7, ["a"]), places(1)), "outside it"),
        (stream_of(arrow_out.dictionary(7, ["a"]), places(-1)), "outside it"),
        (stream_of(arrow_out.dictionary(8, ["a"]), places(0)), "belongs to no column"),
        (stream_of(arrow_out.dictionary(7, ["a"] * (arrow_stream.MAX_ENTRIES + 1))), "all together at most"),
    ],
    ids=range(5),
)
def test_dictionaries_that_are_refused(client: Any, content: bytes, told: str) -> None:
    reply = post(client, content)
    assert reply.status_code == 400
    assert told in reply.json()["detail"]


def test_dictionaries_are_bounded_together_and_not_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(arrow_stream, "MAX_ENTRIES", 5)
    kinds = [Kind("/a", "coded", {}, dictionary=1), Kind("/b", "coded", {}, dictionary=2)]

    def rows(*messages: arrow_out.Pieces) -> int:
        content = b"".join([arrow_out.schema(kinds, {}), *itertools.chain.from_iterable(messages), arrow_out.END])
        return sum(batch.rows for batch in arrow_stream.read_stream([content])[1])

    both = arrow_out.record_batch([arrow_out.numbers([np.zeros(4, dtype="<i4")])] * 2)
    three, three_more = arrow_out.dictionary(1, list("abc")), arrow_out.dictionary(2, list("abc"))
    # What takes the place of another counts once.
    assert rows(three, arrow_out.dictionary(2, ["a"]), both, three, three, both) == 8
    with pytest.raises(arrow_stream.BadStream, match="dictionaries of 6 values"):
        rows(three, three_more, both)


def test_a_dictionary_of_nothing_is_refused(client: Any, capacity: Any) -> None:
    nothing = pa.DictionaryArray.from_arrays(pa.array([0, 0], pa.int32()), pa.nulls(3))
    reply = post(client, stream(pa.table({"/practice": nothing}), capacity))
    assert reply.status_code == 400
    assert "values of no type" in reply.json()["detail"]


def test_views_of_the_same_bytes_are_refused_before_they_are_cut(client: Any, capacity: Any) -> None:
    """A million views of one text of a megabyte take 16 MB to send and would take a terabyte to hold."""
    long = pa.array(["a" * 1_000_000], pa.string_view())
    views, text = long.buffers()[1:3]
    many = pa.Array.from_buffers(pa.string_view(), 1_000, [None, pa.py_buffer(views.to_pybytes() * 1_000), text])
    reply = post(client, stream(pa.table({"/practice": many}), capacity))
    assert reply.status_code == 400
    assert "come to more than is taken" in reply.json()["detail"]


def test_only_texts_in_use_are_handed_on() -> None:
    content = stream_of(
        arrow_out.dictionary(7, [str(at) for at in range(1_000)]), places(3, 999, 3), places(*range(1000))
    )
    some, every = arrow_stream.read_stream([content])[1]
    codes, texts = some.columns[0].coded(0, 3)
    assert (codes.tolist(), texts) == ([0, 1, 0], ["3", "999"])
    codes, texts = every.columns[0].coded(0, 1_000)
    assert [texts[at] for at in codes] == [str(at) for at in range(1_000)]


@st.composite
def tables(draw: st.DrawFn) -> tuple[int, dict[str, Any]]:
    rows = draw(st.integers(1, 20))
    values = {
        "number": st.floats(allow_nan=False) | st.none(),
        "truth": st.booleans() | st.none(),
        "text": st.text(max_size=5) | st.none(),
    }
    names = draw(st.lists(st.sampled_from(list(values)), min_size=1, max_size=4))
    return rows, {
        f"{at}-{name}": draw(st.lists(values[name], min_size=rows, max_size=rows)) for at, name in enumerate(names)
    }


def held(name: str, values: list[Any]) -> arrow_out.Held:
    there = np.array([value is not None for value in values])
    if name.endswith("text"):
        return arrow_out.texts(values)
    if name.endswith("truth"):
        return arrow_out.truths(np.array([bool(value) for value in values]), there)
    return arrow_out.numbers([np.array([0.0 if value is None else value for value in values])], there)


def in_pieces(content: bytes, size: int) -> Iterator[bytes]:
    return (content[start : start + size] for start in range(0, len(content), size))


@given(table=tables(), unit=st.text(max_size=5), size=st.integers(1, 300))
@settings(max_examples=60, deadline=None)
def test_what_is_written_is_read_alike_here_and_by_a_library(
    table: tuple[int, dict[str, Any]], unit: str, size: int
) -> None:
    rows, columns = table
    kinds = [Kind(name, name.partition("-")[2], {"unit": unit}) for name in columns]  # type: ignore[arg-type]
    batch = arrow_out.record_batch([held(*column) for column in columns.items()], {"told": unit})
    content = b"".join([arrow_out.schema(kinds, {"of": unit}), *batch, *batch, arrow_out.END])
    library = pa.ipc.open_stream(content)
    assert library.schema.metadata == {b"of": unit.encode()}
    assert library.schema.field(0).metadata == {b"unit": unit.encode()}
    whole = library.read_all()
    whole.validate(full=True)
    assert whole.to_pydict() == {name: values * 2 for name, values in columns.items()}
    schema, batches = arrow_stream.read_stream(in_pieces(content, size))
    assert [(field.name, field.unit) for field in schema.fields] == [(name, unit) for name in columns]
    for found in batches:
        assert (found.rows, found.metadata) == (rows, {"told": unit})
        read_back = [list(column.some(0, rows)) for column in found.columns]
        assert read_back == list(columns.values())
