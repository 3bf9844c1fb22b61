"""The operation of batches in the contract: one path for all calculations, five media types each way."""

import re
from collections.abc import Iterator, Mapping
from threading import Event
from typing import Any, TypeAlias, cast

import msgspec

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.v1.batch.request import ARROW, CSV, NDJSON
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.wire import JSON, MEDIA_TYPES
from drawbar_service.batch.answer import Batch, answer

Schema: TypeAlias = dict[str, Any]

_SCENARIO = {"width": "6 m", "practice": "field-cultivator"}
_COLUMNS = ["/capacity/efficiency", "/capacity/effective"]
_HEAD = msgspec.json.encode({"scenario": _SCENARIO, "columns": _COLUMNS}).decode()
EXAMPLE: Schema = {
    "scenario": _SCENARIO,
    "vary": {"/speed": {"unit": "km/h", "first": 7, "last": 9, "count": 3}},
    "columns": _COLUMNS,
}
"""A request that is answered; of field capacity, because its numbers are short."""
BATCH = "x-batch-vary"
"""At the operation of a calculation: the `vary` of a batch whose scenario is its worked request."""
_VARIED = ("speed", "pull", "load", "mass", "area")
"""Members that an example of a batch varies, the first that is found in the worked request."""
_NUMBER_AND_UNIT = re.compile(r"([0-9.]+) ([^ 0-9]+)")
_TABLES: dict[str, tuple[str, str, str, str]] = {
    NDJSON: (
        "An object a line: first `scenario`, `columns` and the `units` of numbers, then an object a row, values by "
        "pointer.",
        f'{_HEAD[:-1]},"units":{{"/speed":"km/h"}}}}\n{{"/speed":7}}\n{{"/speed":8}}\n',
        "An object a line: first the `columns` with their units and `about`, then an object a row, with its number "
        "`row`, and values by pointer or its `faults`.",
        '{"columns":{"/capacity/effective":{"unit":"ha/h"}},"about":null}\n'
        '{"row":0,"/capacity/effective":3.57}\n'
        '{"row":1,"faults":[{"pointer":"/speed","detail":"a speed is a finite number"}]}\n',
    ),
    CSV: (
        "`scenario` and `columns` as JSON after `#`; a header of pointers, with units as in `/speed [km/h]`; then the "
        "rows.",
        f"#{_HEAD}\r\n/speed [km/h]\r\n7\r\n8\r\n",
        "A header of pointers with units, then the rows; the last column, `fault`, says what is wrong with a row.",
        "/capacity/effective [ha/h],fault\r\n3.57,\r\n,/speed: a speed is a finite number\r\n",
    ),
    ARROW: (
        "An Arrow IPC stream of columns named by pointers, not compressed. Units are in the metadata of the fields, "
        "under `unit`; `scenario` and `columns`, as JSON, in that of the schema, under `drawbar`.",
        "",
        "An Arrow IPC stream of columns named by pointers, units under `unit` in the metadata of the fields; the last "
        "column, `fault`, says what is wrong with a row. `about`, and the `faults` of a record batch, are in metadata "
        "under `drawbar`.",
        "",
    ),
}


def varied_in(calculation: Calculation[Any, Any]) -> Schema:
    """Return what a batch varies in the worked request of a calculation, by pointer: three values of one member."""
    numbers = dict(_numbers(calculation.example, ""))
    named = [pointer for name in _VARIED for pointer in numbers if pointer.endswith(f"/{name}")]
    pointer = (named or list(numbers))[0]
    value, unit = numbers[pointer]
    values = [float(f"{value * times:.3g}") for times in (0.95, 1.0, 1.05)]
    return {pointer: {"unit": unit, "values": values} if unit else values}


def _numbers(part: object, pointer: str) -> Iterator[tuple[str, tuple[float, str]]]:
    """Yield every number of a request with its unit, empty for a plain one, by its JSON Pointer."""
    if isinstance(part, Mapping):
        for name, member in cast("Mapping[str, object]", part).items():
            yield from _numbers(member, f"{pointer}/{name}")
    elif isinstance(part, list):
        for index, item in enumerate(cast("list[object]", part)):
            yield from _numbers(item, f"{pointer}/{index}")
    elif isinstance(part, str) and (match := _NUMBER_AND_UNIT.fullmatch(part)):
        yield pointer, (float(match[1]), match[2])
    elif isinstance(part, float):
        yield pointer, (part, "")


def operation(request: Schema, answered: Schema) -> Schema:
    """Return the operation, without what every operation shares: the query, and how it fails.

    Parameters
    ----------
    request, answered : dict
        Schemas of the bodies in JSON.
    """
    batch = Batch(FIELD_CAPACITY, JSON, JSON, "metric", most_rows=3)
    worked = msgspec.json.decode(b"".join(answer(batch, [msgspec.json.encode(EXAMPLE)], Event())))
    asked: Schema = {media: {"schema": request} for media in MEDIA_TYPES}
    given: Schema = {media: {"schema": answered} for media in MEDIA_TYPES}
    asked[JSON]["examples"] = {"worked": {"value": EXAMPLE}}
    given[JSON]["examples"] = {"worked": {"value": worked}}
    for media, (reads, body, writes, told) in _TABLES.items():
        asked[media] = _table(reads, body)
        given[media] = _table(writes, told)
    names = [one.name for one in CALCULATIONS]
    return {
        "operationId": "batch",
        "tags": ["calculations"],
        "summary": "Many rows of a calculation in one request",
        "description": (
            "A scenario, which is a request of the calculation, and what varies in it, by JSON Pointer: row by row "
            "(`zip`), or every value with every other (`grid`). Values of the answer come back as columns, and a row "
            "that cannot be answered with what is wrong with it. As an example take a worked request as the "
            f"`scenario`, and as `vary` what stands at its operation under `{BATCH}`."
        ),
        "parameters": [
            {
                "name": "calculation",
                "in": "path",
                "required": True,
                "description": "Which calculation.",
                "schema": {"type": "string", "enum": names},
                "example": FIELD_CAPACITY.name,
            }
        ],
        "requestBody": {"required": True, "content": asked},
        "responses": {"200": {"description": "The answer.", "content": given}},
    }


def more() -> str:
    """Return what the documentation says of batches beyond the contract."""
    alone = "; ".join(f"{one.name}: {one.by_row}" for one in CALCULATIONS if one.by_row)
    return (
        "Rows are worked in blocks, but for some calculations one at a time, which takes longer "
        f"({alone}). JSON and MessagePack are made whole, up to a million rows and four million values unless the "
        "service is set otherwise; NDJSON, CSV and Arrow streams are sent as they are made, and read as they come. "
        "An answer that breaks off is not whole: the service failed, or there were more rows than it takes. Bodies "
        "of more than 32 MB have to be sent while the answer is taken. In Arrow, texts may be in dictionaries of at "
        "most 262,144 values and 16 MB all together, and those of the answer may be replaced between record batches. "
        "`about` is in the metadata of the schema; a record batch with rows at fault has `faults` in its own: a list "
        "of `row` (counted over the whole answer), `pointer` and `detail`."
    )


def _table(description: str, example: str) -> Schema:
    media: Schema = {"schema": {"type": "string", "description": description}}
    if example:
        media["examples"] = {"worked": {"value": example}}
    return media
