"""Every format in and out says the same, and what it says is what single calculations answer."""

import csv
import io
import json
from typing import Any

import msgspec
import nanoarrow as na
import polars as pl
import pytest
from nanoarrow.ipc import InputStream, StreamWriter

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.v1.batch.request import ARROW, CSV, NDJSON
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.wire import JSON, MSGPACK
from drawbar_service.batch.leaves import leaf

FORMATS = (JSON, MSGPACK, NDJSON, CSV, ARROW)
PATH = "/v1/batch/match"
COLUMNS = ["/verdict/fits", "/verdict/binding", "/at_work/slip", "/fuel/per_area", "/gear/best"]
SPEEDS = [6.0, 8.5, 40.0, 7.25, 900.0, 14.0]
SURFACES = ["firm", "tilled", "firm", "bog", "soft", "soft"]
COUNTS = [11, 9, 7, 11, 11, 5]
TOOL = "/implement/tools/0/count"
HEAD = {"scenario": dict(MATCH.example), "columns": COLUMNS}
ROWS = list(zip(SPEEDS, SURFACES, COUNTS, strict=True))


def body(media: str) -> bytes:
    vary = {"/speed": {"unit": "km/h", "values": SPEEDS}, "/soil/surface": SURFACES, TOOL: COUNTS}
    if media == JSON:
        return json.dumps(HEAD | {"vary": vary}).encode()
    if media == MSGPACK:
        return msgspec.msgpack.encode(HEAD | {"vary": vary})
    if media == NDJSON:
        lines: list[Any] = [HEAD | {"units": {"/speed": "km/h"}}]
        lines += [{"/speed": speed, "/soil/surface": surface, TOOL: count} for speed, surface, count in ROWS]
        return "\n".join(map(json.dumps, lines)).encode()
    if media == CSV:
        lines = [f"#{json.dumps(HEAD)}", f"/speed [km/h],/soil/surface,{TOOL}"]
        lines += [f"{speed},{surface},{count}" for speed, surface, count in ROWS]
        return "\r\n".join(lines).encode()
    return arrow({"/speed [km/h]": SPEEDS, "/soil/surface": SURFACES, TOOL: COUNTS}, HEAD)


def arrow(columns: dict[str, Any], head: dict[str, Any]) -> bytes:
    kinds = {float: na.Type.DOUBLE, int: na.Type.INT64, str: na.Type.STRING}
    fields = [na.Schema(kinds[type(values[0])], name=name) for name, values in columns.items()]
    schema = na.Schema(na.Type.STRUCT, fields=fields, nullable=False, metadata={"drawbar": json.dumps(head)})
    arrays = [na.c_array(values, na.Schema(kinds[type(values[0])])) for values in columns.values()]
    file = io.BytesIO()
    with StreamWriter.from_writable(file) as writer:
        rows = len(next(iter(columns.values())))
        writer.write_array(na.c_array_from_buffers(schema, rows, [None], null_count=0, children=arrays))
    return file.getvalue()


def rows_of(media: str, content: bytes) -> tuple[list[list[Any]], dict[int, list[str]], dict[str, str]]:
    """Cells by row, faults by row, units by column, from any format."""
    faults: dict[int, list[str]] = {}
    if media in (JSON, MSGPACK):
        answer = (msgspec.json if media == JSON else msgspec.msgpack).decode(content)
        for fault in answer["faults"]:
            faults.setdefault(fault["row"], []).append(f"{fault['pointer']}: {fault['detail']}")
        columns = answer["columns"]
        cells = list(map(list, zip(*(column["values"] for column in columns.values()), strict=True)))
        assert len(cells) == answer["rows"]
        return cells, faults, {pointer: column["unit"] for pointer, column in columns.items()}
    if media == NDJSON:
        head, *lines = map(json.loads, content.splitlines())
        assert [line["row"] for line in lines] == list(range(len(lines)))
        for line in lines:
            if "faults" in line:
                faults[line["row"]] = [f"{fault['pointer']}: {fault['detail']}" for fault in line["faults"]]
        cells = [[line.get(pointer) for pointer in head["columns"]] for line in lines]
        return cells, faults, {pointer: column["unit"] for pointer, column in head["columns"].items()}
    if media == CSV:
        header, *lines = csv.reader(io.StringIO(content.decode()))
        values = {"true": True, "false": False, "": None}
        cells = [[values[cell] if cell in values else number_or_text(cell) for cell in line[:-1]] for line in lines]
        names = header[:-1]
        told = [line[-1] for line in lines]
    else:
        frame = pl.read_ipc_stream(io.BytesIO(content))
        cells = [list(row[:-1]) for row in frame.iter_rows()]
        with InputStream.from_readable(content) as stream:
            fields = na.ArrayStream(stream).schema.fields
        units = {field.name: dict(field.metadata or {}).get(b"unit", b"").decode() for field in fields}
        names = [f"{name} [{unit}]" for name, unit in units.items() if name != "fault"]
        told = frame["fault"].to_list()
    for at, text in enumerate(told):
        if text:
            faults[at] = text.split(" | ")
    units = {name.partition(" [")[0]: name.partition(" [")[2].rstrip("]") for name in names}
    return cells, faults, units


def number_or_text(cell: str) -> float | str:
    try:
        return float(cell)
    except ValueError:
        return cell


def alone(client: Any, speed: float, surface: str, count: int, units: str) -> Any:
    scenario = json.loads(json.dumps(dict(MATCH.example)))
    scenario["speed"] = f"{speed} km/h"
    scenario["soil"]["surface"] = surface
    scenario["implement"]["tools"][0]["count"] = count
    return client.post(f"/v1/match?units={units}", json=scenario)


def value_at(answer: Any, pointer: str) -> Any:
    for step in pointer.split("/")[1:]:
        answer = answer[step] if answer is not None else None
    return answer["value"] if isinstance(answer, dict) else answer


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_batch_says_what_single_calculations_answer(client: Any, units: str) -> None:
    reply = client.post(f"{PATH}?units={units}", content=body(JSON))
    cells, faults, _ = rows_of(JSON, reply.content)
    assert sorted(faults) == [3, 4]
    for at, row in enumerate(ROWS):
        single = alone(client, *row, units)
        if at in faults:
            errors = single.json()["errors"]
            assert faults[at] == [f"{error['pointer']}: {error['detail']}" for error in errors]
            assert cells[at] == [None] * len(COLUMNS)
        else:
            # Arrays may be added up in another order than single numbers.
            assert cells[at] == [
                pytest.approx(value, rel=1e-9) if isinstance(value, float) else value
                for value in (value_at(single.json(), pointer) for pointer in COLUMNS)
            ]


@pytest.mark.parametrize("wanted", FORMATS)
@pytest.mark.parametrize("sent", FORMATS)
def test_every_format_says_the_same(client: Any, sent: str, wanted: str) -> None:
    reply = client.post(PATH, content=body(sent), headers={"Content-Type": sent, "Accept": wanted})
    assert (reply.status_code, reply.headers["content-type"]) == (200, wanted)
    expected = rows_of(JSON, client.post(PATH, content=body(JSON)).content)
    assert rows_of(wanted, reply.content) == expected


def test_metric_and_us_say_the_same(client: Any) -> None:
    metric, us = (
        client.post(f"{PATH}?units={units}", content=body(JSON)).json()["columns"] for units in ("metric", "us")
    )
    assert metric["/fuel/per_area"]["unit"] == "L/ha"
    assert us["/fuel/per_area"]["unit"] == "gal/ac"
    per_ha, per_ac = metric["/fuel/per_area"]["values"], us["/fuel/per_area"]["values"]
    # A US gallon is 3.785411784 L, an acre 0.40468564224 ha.
    expected = [None if value is None else value * 0.40468564224 / 3.785411784 for value in per_ha]
    assert per_ac == [None if value is None else pytest.approx(value) for value in expected]
    assert metric["/verdict/binding"] == us["/verdict/binding"]


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda one: one.name)
def test_every_calculation_has_columns_to_give_back_and_answers_a_batch_of_one(client: Any, calculation: Any) -> None:
    assert calculation.columns
    for pointer in calculation.columns:
        leaf(calculation.answer, pointer)
    reply = client.post(f"/v1/batch/{calculation.name}", json={"scenario": calculation.example, "vary": {}})
    single = client.post(calculation.path, json=calculation.example).json()
    answer = reply.json()
    assert (reply.status_code, answer["rows"], answer["faults"]) == (200, 1, [])
    assert list(answer["columns"]) == list(calculation.columns)
    told = answer["about"]["warnings"]
    assert [one["code"] for one in told].count("row-by-row") == bool(calculation.by_row)
    answer["about"]["warnings"] = [one for one in told if one["code"] != "row-by-row"]
    assert answer["about"] == single["about"]


def test_a_grid_is_every_value_with_every_other_the_last_fastest(client: Any, capacity: Any) -> None:
    vary = {"/speed": {"unit": "km/h", "values": [6, 9]}, "/width": ["4 m", "6 m", "8 m"]}
    asked = {"scenario": capacity, "vary": vary, "mode": "grid", "columns": ["/capacity/theoretical"]}
    answer = client.post("/v1/batch/field-capacity", json=asked).json()
    # Width times speed: 4 m at 6 km/h work 2.4 ha/h.
    expected = [speed * width / 10 for speed in (6, 9) for width in (4, 6, 8)]
    assert answer["columns"]["/capacity/theoretical"]["values"] == pytest.approx(expected)


def test_evenly_spaced_values_are_those_values(client: Any, capacity: Any) -> None:
    answers = [
        client.post("/v1/batch/field-capacity", json={"scenario": capacity, "vary": {"/speed": speeds}}).json()
        for speeds in (
            {"unit": "km/h", "first": 6, "last": 9, "count": 4},
            {"unit": "km/h", "values": [6, 7, 8, 9]},
            ["6 km/h", "7 km/h", "8 km/h", "9 km/h"],
        )
    ]
    assert answers[0]["rows"] == 4
    assert answers[0]["columns"] == answers[1]["columns"]
    assert answers[1]["columns"]["/capacity/effective"]["values"] == pytest.approx(
        answers[2]["columns"]["/capacity/effective"]["values"], rel=1e-12
    )


def test_zipped_columns_of_unlike_length_are_refused(client: Any, capacity: Any) -> None:
    asked = {"scenario": capacity, "vary": {"/speed": ["6 km/h"], "/width": ["4 m", "5 m"]}}
    reply = client.post("/v1/batch/field-capacity", json=asked)
    assert reply.status_code == 422
    assert [error["pointer"] for error in reply.json()["errors"]] == ["/vary"]


def test_rows_are_faulty_even_if_all_are(client: Any, capacity: Any) -> None:
    del capacity["speed"]
    asked = {"scenario": capacity, "vary": {"/speed": ["9 parsec", "fast"]}}
    answer = client.post("/v1/batch/field-capacity", json=asked).json()
    assert [(fault["row"], fault["pointer"]) for fault in answer["faults"]] == [(0, "/speed"), (1, "/speed")]
    assert answer["about"] is None


@pytest.mark.parametrize("wanted", FORMATS)
def test_many_parts_are_one_table(client: Any, capacity: Any, wanted: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rows keep their numbers across parts of the body and blocks of work."""
    from drawbar_service.batch import as_csv

    monkeypatch.setattr(as_csv, "PART_ROWS", 100)
    speeds = [str(5 + at / 100) for at in range(700)]
    speeds[0] = speeds[150] = speeds[699] = "fast"
    speeds[350] = "6,7"
    head = json.dumps({"scenario": capacity, "columns": ["/capacity/theoretical"]})
    text = "\n".join([f"#{head}", "/speed [km/h]", *speeds])
    reply = client.post(
        "/v1/batch/field-capacity", content=text, headers={"Content-Type": "text/csv", "Accept": wanted}
    )
    cells, faults, _ = rows_of(wanted, reply.content)
    assert sorted(faults) == [0, 150, 350, 699]
    assert len(cells) == 700
    for at, (value,) in enumerate(cells):
        assert value == (None if at in faults else pytest.approx(6 * (5 + at / 100) / 10))
    assert "2 cells in a table of 1 columns" in faults[350][0]


def test_a_line_that_cannot_be_read_is_a_faulty_row(client: Any, capacity: Any) -> None:
    lines = [
        json.dumps({"scenario": capacity, "columns": ["/capacity/theoretical"]}),
        '{"/speed": "6 km/h"}',
        "{speed: 6}",
        '{"/speed": "7 km/h", "/width": "4 m"}',
        '{"/speed": "7 km/h"} {"/speed": "8 km/h"}',
        "",
        '{"/speed": {"value": 10, "unit": "km/h"}}',
    ]
    reply = client.post(
        "/v1/batch/field-capacity", content="\n".join(lines), headers={"Content-Type": NDJSON, "Accept": NDJSON}
    )
    cells, faults, _ = rows_of(NDJSON, reply.content)
    assert [cell for (cell,) in cells] == [pytest.approx(3.6), None, None, None, pytest.approx(6.0)]
    assert sorted(faults) == [1, 2, 3]
    for told in faults.values():
        assert "no JSON object" in told[0] or "no column '/width'" in told[0]


def test_the_example_in_the_contract_is_answered_as_it_says(client: Any) -> None:
    operation = client.get("/openapi/drawbar-v1.json").json()["paths"]["/v1/batch/{calculation}"]["post"]
    for media in (NDJSON, CSV):
        sent = operation["requestBody"]["content"][media]["examples"]["worked"]["value"]
        reply = client.post("/v1/batch/field-capacity", content=sent, headers={"Content-Type": media})
        assert reply.json()["columns"]["/capacity/effective"]["values"] == pytest.approx([3.57, 4.08])
