"""Batches from the SDK, against the service in this process."""

import asyncio
import threading

import msgspec
import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

import drawbar
from drawbar import _arrays, _columns
from drawbar.batch import Batch
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.match import MATCH

SCENARIO = {**FIELD_CAPACITY.example}
SPEEDS = [5.0, 6.0, 7.5, 900.0, 9.0, 10.0, 11.0]
KINDS = ["field-cultivator", "chisel-plow", "spade", "chisel-plow", "chisel-plow", "field-cultivator", "chisel-plow"]
NAMED = {"/speed [km/h]": SPEEDS, "/practice": KINDS}
COLUMNS = ["/capacity/theoretical", "/capacity/efficiency"]
FAULTS = [(2, "/practice"), (3, "/speed")]


@pytest.fixture(scope="module")
def client():
    with drawbar.Client.in_process() as made:
        yield made


def ask(client, vary, **more):
    return client.batch("field-capacity", SCENARIO, vary, columns=COLUMNS, **more)


@pytest.fixture(scope="module")
def whole(client):
    return ask(client, NAMED)


def test_each_row_is_what_a_single_call_answers(client, whole):
    assert [(fault.row, fault.pointer) for fault in whole.faults] == FAULTS
    assert (whole.rows, whole.units["/capacity/theoretical"]) == (7, "ha/h")
    for row in range(7):
        request = SCENARIO | {"speed": f"{SPEEDS[row]} km/h", "practice": KINDS[row]}
        values = [whole.columns[pointer][row] for pointer in COLUMNS]
        if row in (2, 3):
            assert values == [None, None]
            with pytest.raises(drawbar.ImpossibleInput):
                client.field_capacity(request)
        else:
            capacity = client.field_capacity(request).capacity
            assert values == pytest.approx([capacity.theoretical.value, capacity.efficiency.value])


@pytest.mark.parametrize("rows_per_request", [1, 2, 3, 6])
@pytest.mark.parametrize("concurrency", [1, 3])
def test_parts_are_one_whole(client, whole, rows_per_request, concurrency):
    assert ask(client, NAMED, rows_per_request=rows_per_request, concurrency=concurrency) == whole


@pytest.mark.parametrize("rows_per_request", [1, 2, 3, 4, 5, 8, 11, 12])
def test_a_grid_in_parts_is_one_whole(client, rows_per_request):
    vary = {"/speed": ("km/h", [5, 6, 7]), "/practice": KINDS[:2], "/width": ["4 m", "6 m"]}
    result = client.batch(
        "field-capacity", SCENARIO, vary, mode="grid", columns=COLUMNS[:1], rows_per_request=rows_per_request
    )
    expected = [speed * width / 10 for speed in (5, 6, 7) for _ in range(2) for width in (4, 6)]
    assert result.columns["/capacity/theoretical"] == pytest.approx(expected)


@pytest.mark.parametrize(
    "vary",
    [
        {"/speed": ("km/h", SPEEDS), "/practice": KINDS},
        {"/speed": drawbar.VariedValues(unit="km/h", values=SPEEDS), "/practice": tuple(KINDS)},
        {"/speed": [f"{speed} km/h" for speed in SPEEDS], "/practice": KINDS},
        {"/speed": ("km/h", pl.Series(SPEEDS)), "/practice": pl.Series(KINDS, dtype=pl.Categorical)},
        {"/speed": ("km/h", pd.Series(SPEEDS, index=range(7, 0, -1))), "/practice": pd.Series(KINDS, dtype="category")},
        {"/speed": ("km/h", np.array(SPEEDS)[::-1][::-1].astype(">f8")), "/practice": KINDS},
        {"/speed": ("km/h", np.array([0.0, *SPEEDS])[1:]), "/practice": np.array(KINDS)},
        {"/speed": ("km/h", np.array(SPEEDS, dtype=object)), "/practice": np.array(KINDS, dtype=object)},
        {"/speed": ("km/h", pl.Series(SPEEDS)), "/practice": pl.Series(KINDS, dtype=pl.Enum(sorted(set(KINDS))))},
        {
            "/speed": np.array([f"{speed} km/h" for speed in SPEEDS]),
            "/practice": pa.chunked_array([KINDS[:3], KINDS[3:]]),
        },
        {
            "/speed": [f"{speed} km/h" for speed in SPEEDS[:6]] + [np.str_("11 km/h")],
            "/practice": pl.Series(KINDS),
        },
        pd.DataFrame(NAMED),
        pl.DataFrame(NAMED),
        pl.LazyFrame(NAMED),
        pa.table(NAMED),
        pa.table(NAMED).set_column(1, "/practice", pa.chunked_array([KINDS[:3], KINDS[3:]]).dictionary_encode()),
        pa.record_batch(NAMED),
    ],
    ids=[
        "pairs",
        "structs",
        "texts",
        "polars columns",
        "pandas columns",
        "big-endian and a list",
        "part of an array",
        "objects",
        "enumerated",
        "texts in arrays",
        "what no record batch holds",
        "pandas",
        "polars",
        "polars, lazy",
        "Arrow",
        "Arrow dictionary",
        "record batch",
    ],
)
def test_columns_of_any_kind_say_the_same(client, whole, vary):
    result = ask(client, vary, rows_per_request=3)
    assert [(fault.row, fault.pointer) for fault in result.faults] == FAULTS
    for pointer, values in whole.columns.items():
        found = [None if value != value else value for value in result.columns[pointer]]
        assert found == [value if value is None else pytest.approx(value) for value in values]


def test_values_that_are_missing_are_told_of_their_rows(client):
    speeds, kinds = [6.0, None, 7.0, 8.0], ["chisel-plow", "chisel-plow", None, "chisel-plow"]
    expected = ask(client, {"/speed": ("km/h", speeds), "/practice": kinds})
    assert [fault.row for fault in expected.faults] == [1]
    for vary in (
        {"/speed": ("km/h", pd.Series(speeds)), "/practice": pd.Series(kinds)},
        {"/speed": ("km/h", pd.Series(speeds, dtype="Int64")), "/practice": pd.Series(kinds, dtype="category")},
        {"/speed": ("km/h", pl.Series(speeds)), "/practice": pl.Series(kinds)},
        {"/speed": ("km/h", pa.array(speeds)), "/practice": pa.array(kinds)},
        {"/speed": ("km/h", np.array([6.0, np.nan, 7.0, 8.0])), "/practice": kinds},
        pa.table({"/speed [km/h]": speeds, "/practice": pa.array(kinds).dictionary_encode()}),
    ):
        found = ask(client, vary)
        assert found.faults == expected.faults
        np.testing.assert_array_equal(found.columns[COLUMNS[0]], np.array(expected.columns[COLUMNS[0]], dtype=float))


def test_counts_may_be_missing_too(client):
    counts = [7, None, 9, 11]
    vary = [
        counts,
        np.array(counts, dtype=object),
        pl.Series(counts),
        pa.array(counts),
        pd.Series(counts, dtype="Int64"),
    ]
    request = dict(MATCH.example)
    results = [
        client.batch("match", request, {"/implement/tools/0/count": one}, columns=["/at_work/pull"]) for one in vary
    ]
    for result in results[1:]:
        assert result.faults == results[0].faults
        np.testing.assert_array_equal(
            result.columns["/at_work/pull"], np.array(results[0].columns["/at_work/pull"], dtype=float)
        )


def test_what_polars_and_arrow_give_is_lists_where_there_is_no_numpy(client, whole, monkeypatch):
    monkeypatch.setattr(_columns, "_arrays", lambda: None)
    for vary in (pl.DataFrame(NAMED), pa.table(NAMED)):
        result = ask(client, vary, rows_per_request=3)
        assert result == whole
        assert result.varied.by_row() == {"/speed": SPEEDS, "/practice": KINDS}


def test_a_grid_of_arrays_is_sent_as_its_leaves(client):
    vary = {"/speed": ("km/h", np.linspace(5.0, 9.0, 500)), "/practice": pd.Series(KINDS[:2])}
    (part,) = Batch(SCENARIO, vary, "grid", COLUMNS[:1], None).parts()
    assert part.rows == 1000
    assert len(part.content) < 6_000
    result = client.batch("field-capacity", SCENARIO, vary, mode="grid", columns=COLUMNS[:1])
    expected = np.repeat(np.linspace(5.0, 9.0, 500), 2) * 6 / 10
    np.testing.assert_allclose(result.columns["/capacity/theoretical"], expected)
    rows = result.varied.by_row()
    np.testing.assert_array_equal(rows["/speed"], np.repeat(np.linspace(5.0, 9.0, 500), 2))
    assert list(rows["/practice"][:3]) == [KINDS[0], KINDS[1], KINDS[0]]


def test_parts_grow_as_far_as_they_are_answered_soon():
    batch = Batch({}, {"/x": np.zeros(1_000_000)}, "zip", None, None)
    sizes = []
    for part in batch.parts():
        sizes.append(part.rows)
        batch.took(part.rows, part.rows * 5e-6)
    assert sizes[:3] == [5_000, 200_000, 200_000]
    slow = Batch({}, {"/x": np.zeros(20_000)}, "zip", None, None)
    for part in slow.parts():
        assert part.rows == 5_000
        slow.took(part.rows, 60.0)
    wide = Batch({}, {f"/{at}": np.zeros(300_000) for at in range(60)}, "zip", None, None)
    for part in wide.parts():
        wide.took(part.rows, 1e-3)
        assert len(part.content) < 64_000_000


class Fixed:
    """An app that answers any batch with the same bytes."""

    def __init__(self, content):
        self._content = content

    async def __call__(self, scope, receive, send):
        if scope["type"] == "lifespan":
            for _ in range(2):
                await send({"type": (await receive())["type"] + ".complete"})
            return
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": self._content})


def stream(table):
    sink = pa.BufferOutputStream()
    with pa.ipc.new_stream(sink, table.schema) as writer:
        writer.write_table(table)
    return sink.getvalue().to_pybytes()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"<html>", "no answer in Arrow"),
        (stream(pa.table({"/y": [1.0, 2.0]})), "'fault' is missing"),
        (stream(pa.table({"/y": [1.0], "fault": pa.array([None], pa.string())})), "2 rows were asked and 1 came back"),
        (stream(pa.table({"/y": [1.0] * 3, "fault": pa.nulls(3, pa.string())})), "2 rows were asked and 3 came back"),
        (stream(pa.table({"/y": [1.0, None], "fault": [None, "/x: no"]})), "older than this client"),
        (stream(pa.table({"/y": [1.0, 2.0], "fault": pa.nulls(2, pa.string())}))[:-20], "ends in the middle"),
    ],
    ids=range(6),
)
def test_answers_that_are_none(content, told):
    with drawbar.Client.in_process(Fixed(content)) as client, pytest.raises(drawbar.UnreadableAnswer, match=told):
        client.batch("any", {}, {"/x": np.zeros(2)})


def test_texts_that_come_as_texts_are_read(client):
    table = pa.table({"/y": ["a", None], "fault": pa.nulls(2, pa.string())})
    with drawbar.Client.in_process(Fixed(stream(table))) as client:
        assert client.batch("any", {}, {"/x": np.zeros(2)}).columns["/y"].tolist() == ["a", None]


def test_arrays_in_arrays_out(client, whole):
    result = ask(client, {"/speed": ("km/h", np.array(SPEEDS)), "/practice": np.array(KINDS)})
    for pointer, values in result.columns.items():
        assert values.dtype == np.float64
        np.testing.assert_array_equal(values, np.array(whole.columns[pointer], dtype=float))


def test_truths_and_texts_in_arrays():
    example = {"turns": {"runs": [{"loaded": 10.0, "unloaded": 9.0}]}}
    with drawbar.Client.in_process() as client:
        result = client.batch(
            "slip",
            example,
            {"/turns/runs/0/unloaded": np.array([9.0, 8.0])},
            columns=["/slip", "/about/model", "/about/warnings/0/detail"],
        )
    assert result.columns["/slip"].tolist() == pytest.approx([10.0, 20.0])
    assert result.columns["/about/model"].dtype == object
    assert list(result.columns["/about/model"]) == [result.about.model] * 2


def test_evenly_spaced_values(client):
    spaced = drawbar.VariedValues(unit="km/h", first=5.0, last=8.0, count=4)
    result = client.batch("field-capacity", SCENARIO, {"/speed": spaced}, columns=COLUMNS[:1], rows_per_request=3)
    assert result.columns["/capacity/theoretical"] == pytest.approx([3.0, 3.6, 4.2, 4.8])


def test_frames_and_arrow_out(whole):
    frame = whole.to_pandas()
    assert list(frame.columns) == COLUMNS
    assert frame.attrs["units"] == whole.units
    assert whole.to_polars()["/capacity/theoretical"].to_list() == whole.columns["/capacity/theoretical"]
    assert pl.DataFrame(whole).equals(whole.to_polars())


def test_arrays_go_into_frames_and_tables_as_lists_do(client):
    columns = ["/verdict/fits", "/verdict/binding", "/at_work/slip"]
    speeds = [6.0, 900.0, 30.0]
    request = {name: value for name, value in MATCH.example.items() if name != "speed"}
    listed, filled = (
        client.batch("match", request, {"/speed": ("km/h", values)}, columns=columns)
        for values in (speeds, np.array(speeds))
    )
    assert filled.faults == listed.faults
    assert filled.about == listed.about
    assert filled.to_arrow().equals(listed.to_arrow())
    assert filled.to_arrow().schema.field("/at_work/slip").metadata == {b"unit": b"%"}
    assert filled.to_arrow()["/verdict/fits"].to_pylist() == listed.columns["/verdict/fits"]
    assert filled.to_polars().equals(listed.to_polars())
    assert filled.to_polars(varied=True)["/speed"].to_list() == speeds
    pd.testing.assert_frame_equal(filled.to_pandas(varied=True), listed.to_pandas(varied=True))
    assert pl.DataFrame(filled).equals(filled.to_polars())


def test_an_arrow_table_keeps_its_units(client, whole):
    again = client.batch(
        "field-capacity", SCENARIO, Stream(client.batch("field-capacity", SCENARIO, NAMED, columns=["/capacity/width"]))
    )
    assert again.rows == 7


class Stream:
    """A result whose column is called as the leaf of a request; nothing but Arrow shows."""

    def __init__(self, result):
        self._result = drawbar.batch.BatchResult(
            {"/width": [6.0] * 7}, {"/width": result.units["/capacity/width"]}, [], 7, None
        )

    def __arrow_c_stream__(self, requested_schema=None):
        return self._result.__arrow_c_stream__(requested_schema)


def test_units_of_the_answer(client):
    metric, us = (
        ask(client, {"/speed": ("km/h", [8.0])}, units=units).columns["/capacity/theoretical"][0]
        for units in ("metric", "us")
    )
    # An acre is 0.40468564224 ha.
    assert us == pytest.approx(metric / 0.40468564224)


def test_progress_is_told_in_order(client):
    told = []
    ask(client, NAMED, rows_per_request=3, on_progress=lambda done, of: told.append((done, of)))
    assert told == [(3, 7), (6, 7), (7, 7)]


def test_the_async_client_answers_the_same(whole):
    told = []

    async def main():
        async with drawbar.AsyncClient.in_process() as client:
            return await client.batch(
                "field-capacity",
                SCENARIO,
                NAMED,
                columns=COLUMNS,
                rows_per_request=2,
                concurrency=2,
                on_progress=lambda done, of: told.append(done),
            )

    assert asyncio.run(main()) == whole
    assert told == [2, 4, 6, 7]


def test_what_is_wrong_with_every_row_is_raised(client):
    with pytest.raises(drawbar.ImpossibleInput) as caught:
        client.batch("field-capacity", SCENARIO | {"width": "6 kN"}, NAMED)
    assert [fault.pointer for fault in caught.value.problem.errors] == ["/scenario/width"]
    with pytest.raises(drawbar.NotFound):
        client.batch("crop", SCENARIO, NAMED)


@pytest.mark.parametrize(
    ("vary", "told"),
    [
        ({"/speed": ["7 km/h"], "/practice": KINDS[:2]}, "one length; these are /speed 1, /practice 2"),
        ({"/speed": []}, "/speed is empty"),
        ({"/speed": "7 km/h"}, "put it into the scenario"),
        ({"speed": ["7 km/h"]}, "not called by a JSON Pointer"),
        ({"/speed": ["7 km/h"], "/speed [km/h]": [7]}, "there twice"),
        (7, "neither a mapping of columns nor a table"),
        ({"/speed": drawbar.VariedValues(unit="km/h", first=7)}, "first, last and count"),
    ],
    ids=range(7),
)
def test_columns_that_cannot_be_sent(client, vary, told):
    with pytest.raises(ValueError, match=told):
        client.batch("field-capacity", SCENARIO, vary)


class Flaky:
    """An app that answers each part at the second attempt, and notes how many are under way together."""

    def __init__(self):
        self.seen = {}
        self.under_way = self.most = 0
        self._lock = threading.Lock()

    async def __call__(self, scope, receive, send):
        if scope["type"] == "lifespan":
            for _ in range(2):
                await send({"type": (await receive())["type"] + ".complete"})
            return
        body = (await receive())["body"]
        with self._lock:
            self.under_way += 1
            self.most = max(self.most, self.under_way)
        await asyncio.sleep(0.01)
        self.seen[body] = self.seen.get(body, 0) + 1
        values = msgspec.msgpack.decode(body)["vary"]["/x"]
        answer = {"rows": len(values), "columns": {"/y": {"unit": "", "values": values}}, "faults": [], "about": None}
        status = 503 if self.seen[body] == 1 else 200
        self.under_way -= 1
        await send({"type": "http.response.start", "status": status, "headers": []})
        await send({"type": "http.response.body", "body": msgspec.msgpack.encode(answer)})


def test_parts_are_retried_and_bounded_in_number():
    app = Flaky()
    patient = drawbar.RetryPolicy(backoff=0.0)
    with drawbar.Client.in_process(app, retry=patient) as client:
        result = client.batch("any", {}, {"/x": list(range(50))}, rows_per_request=5, concurrency=3)
    assert result.columns["/y"] == list(range(50))
    assert set(app.seen.values()) == {2}
    assert 2 <= app.most <= 3


@given(st.lists(st.text(st.characters(exclude_characters="\0"), max_size=6), min_size=1), st.booleans())
def test_arrays_of_texts_are_read_as_lists_of_them(texts, mixed):
    """Also where two texts come to one number, here made likely by mixing nothing."""
    column = np.array(texts)
    with pytest.MonkeyPatch.context() as patched:
        if not mixed:
            patched.setattr(_arrays, "_MIXER", np.uint64(0))
        found = _arrays.encodable(column)
    assert found.tolist() == column.tolist()
    assert len(set(found.texts)) == len(found.texts)
    assert set(found.texts) == set(texts)
    big_endian = column.astype(column.dtype.newbyteorder(">"))
    assert _arrays.encodable(big_endian).tolist() == column.tolist()
    if mixed:
        assert found.texts == list(dict.fromkeys(texts))
