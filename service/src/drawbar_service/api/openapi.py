"""The contract: an OpenAPI 3.1 document made from the calculations and their types.

The schemas of types are in :mod:`~drawbar_service.api.schemas`; this module adds paths and problems. The document is
committed as ``openapi/drawbar-v1.json``, and without its blanks as ``contract.json`` beside this module, which is
served: making it answers every worked example and takes a second.
"""

from functools import cache
from importlib.resources import files
from typing import Any, cast

import msgspec

from drawbar_service import __version__
from drawbar_service.api.answers import NOTHING_SAID, Ledger
from drawbar_service.api.by_address import PARAMETER
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.farewell import FAREWELLS
from drawbar_service.api.problems import KINDS, PROBLEM_MEDIA_TYPE, Kind, Problem
from drawbar_service.api.quantity_schemas import as_short, quantity_components, reading_of
from drawbar_service.api.renamed import RENAMED, renamed_list
from drawbar_service.api.schemas import REF, Schema, asked, given, schemas, used
from drawbar_service.api.shared.curve import PNG
from drawbar_service.api.trimmed import FEWEST_DIGITS, GROUNDS, MOST_DIGITS, MOST_FIELDS
from drawbar_service.api.v1.batch.request import PATH, BatchAnswer, BatchRequest
from drawbar_service.api.v1.reference.answer import READINGS, READY, Reading, TablesAnswer
from drawbar_service.api.wire import JSON, MEDIA_TYPES
from drawbar_service.batch.operation import BATCH, varied_in
from drawbar_service.batch.operation import operation as batch_operation
from drawbar_service.quantities import Quantity, decode_quantity, encode_metric

_EXAMPLE_DIGITS = 6
"""Digits of the numbers in examples, so that the document is the same on every processor."""
_EXAMPLE = "#/paths/{path}/post/requestBody/content/application~1json/examples/worked"


@cache
def contract() -> bytes:
    """Return the contract as it is served."""
    return (files("drawbar_service.api") / "contract.json").read_bytes()


def document() -> Schema:
    """Return the OpenAPI document."""
    readings = (*READINGS, READY)
    calculations = (*CALCULATIONS, *SHOWN)
    requests, request_components = schemas([*(one.request for one in calculations), BatchRequest], _written_quantity)
    answers, answer_components = schemas(
        [*(one.answer for one in calculations), BatchAnswer, *(one.answer for one in readings)], _read_quantity
    )
    problems, problem_components = schemas([Problem], _read_quantity)
    paths: Schema = {}
    for calculation, request, answer in zip(calculations, requests, answers, strict=False):
        paths[calculation.path] = {"post": _post(calculation, request, answer)}
        if PNG in calculation.shown_as:
            paths[calculation.path]["get"] = _by_address(calculation, answer)
    batch = _rounded(batch_operation(requests[-1], answers[len(calculations)]))
    batch["parameters"].append(_shared("units"))
    batch["responses"]["200"]["headers"] = _headers()
    batch["responses"] |= _problems(400, 404, 406, 408, 413, 415, 422, 500)
    paths[PATH] = {"post": batch}
    for reading, answer in zip(readings, answers[len(calculations) + 1 :], strict=True):
        paths[reading.path] = {"get": _get(reading, answer)}
    for path, item in paths.items():
        for operation in item.values():
            if not path.startswith("/v1/"):
                operation["security"] = []
            else:
                operation["responses"] |= _problems(401, 403, 429, 503)
            if path in FAREWELLS:
                operation["deprecated"] = True
    parts = quantity_components() | asked(request_components) | given(answer_components | problem_components)
    failures = {str(kind.status): _problem(problems[0], kind) for kind in KINDS.values()}
    failures["304"] = {
        "description": "Not modified. The caller has it already, by the `ETag` in the header `If-None-Match`.",
        "headers": _headers("ETag"),
    }
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "drawbar",
            "version": __version__,
            "summary": "Which tractor on which implement: draft, slip, power, fuel and area an hour.",
            "description": (
                "Stateless calculations for field machines. Every answer names its assumptions, warnings and sources. "
                'A quantity is read as text, `"8 in"`, or as `{"value": 8, "unit": "in"}`, and written in metric '
                "or US units as `?units=` asks. Examples of answers show the first of the parts in a list, and all but "
                "the first are asked with `?about=none`. An estimate, not a rating: manuals and local law come first."
            ),
            "contact": {"name": "Whoever runs this service; its documentation is at /docs"},
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/", "description": "Wherever this document is served."}],
        "tags": [
            {"name": "calculations", "description": "Questions with an answer."},
            {"name": "pictures", "description": "Answers to look at, and the numbers in them."},
            {"name": "reference", "description": "The tables behind the answers, with their sources."},
            {"name": "service", "description": "The service about itself."},
        ],
        "security": _SECURITY,
        RENAMED: renamed_list(),
        "paths": paths,
        "components": {
            "schemas": used({"paths": paths, "responses": failures}, parts),
            "responses": _answered_in(paths, failures),
            "parameters": {"units": _UNITS, **_TRIMS, "ground": _GROUND, PARAMETER: _REQUEST},
            "headers": {
                name: {"description": told, "schema": {"type": "string"}, "required": True}
                for name, told in _HEADERS.items()
            },
            "securitySchemes": _SCHEMES,
        },
    }


def _written_quantity(kind: type[Quantity]) -> Schema:
    return {"$ref": REF.format(name=kind.__name__)}


def _read_quantity(kind: type[Quantity]) -> Schema:
    return {"$ref": REF.format(name=reading_of(kind))}


_UNITS: Schema = {
    "name": "units",
    "in": "query",
    "description": "Units of the answer.",
    "schema": {"type": "string", "enum": ["metric", "us"], "default": "metric"},
}

_TRIMS: Schema = {
    "about": {
        "name": "about",
        "in": "query",
        "description": "`none` leaves out what the answer says about itself: assumptions, warnings, cautions, sources; "
        "of a picture its source line.",
        "schema": {"type": "string", "enum": ["full", "none"], "default": "full"},
    },
    "digits": {
        "name": "digits",
        "in": "query",
        "description": "Significant digits of the numbers; all there are if left out. What is greatest is rounded "
        "down, what is least up.",
        "schema": {"type": "integer", "minimum": FEWEST_DIGITS, "maximum": MOST_DIGITS},
    },
    "fields": {
        "name": "fields",
        "in": "query",
        "description": "JSON Pointers to the parts of the answer that are wanted, such as `/verdict,/fuel/per_area`. "
        "The rest is left out, although its type requires it.",
        "schema": {"type": "array", "items": {"type": "string", "maxLength": 200}, "maxItems": MOST_FIELDS},
        "style": "form",
        "explode": False,
    },
}
"""Parameters that leave something of an answer out."""
_GROUND: Schema = {
    "name": "ground",
    "in": "query",
    "description": "What a picture stands on: a light or a dark ground of its own, or `clear`, the page behind it, "
    "which `clear-dark` takes to be dark.",
    "schema": {"type": "string", "enum": list(GROUNDS), "default": GROUNDS[0]},
}
_REQUEST: Schema = {
    "name": PARAMETER,
    "in": "query",
    "required": True,
    "description": "The request as JSON in base64url, with or without padding.",
    "schema": {"type": "string", "minLength": 2, "maxLength": 60_000, "pattern": "^[A-Za-z0-9_-]+=*$"},
}


def _post(calculation: Calculation[Any, Any], request: Schema, answer: Schema) -> Schema:
    return {
        "operationId": calculation.operation_id,
        "tags": ["pictures" if calculation.shown_as else "calculations"],
        "summary": calculation.summary,
        "description": calculation.description,
        **({} if calculation.shown_as else {BATCH: varied_in(calculation)}),
        "parameters": [
            _shared(name) for name in ("units", *_TRIMS, *(("ground",) if PNG in calculation.shown_as else ()))
        ],
        "requestBody": {
            "required": True,
            "content": _both_ways(request, _asked_example(calculation)),
        },
        "responses": {
            "200": {
                "description": "The answer.",
                "headers": _headers("ETag"),
                "content": {
                    # The numbers of a picture are many, and not worth their room.
                    **_both_ways(answer, None if calculation.shown_as else _worked(calculation)),
                    **{
                        media: {"schema": {"type": "string", "description": description}}
                        for media, description in calculation.shown_as.items()
                    },
                },
                **({} if calculation.shown_as else {"links": _links(calculation)}),
            },
            **_problems(400, 406, 408, 413, 415, 422, 500),
        },
    }


def _asked_example(calculation: Calculation[Any, Any]) -> Schema:
    """Return the worked request; a picture refers to that of the calculation it shows."""
    if not calculation.shown_as:
        return {"value": calculation.example}
    (path,) = (one.path for one in CALCULATIONS if one.example == calculation.example)
    return {"$ref": _EXAMPLE.format(path=path.replace("/", "~1"))}


def _by_address(calculation: Calculation[Any, Any], answer: Schema) -> Schema:
    """Return the operation that draws what an address asks for."""
    text: Schema = {"schema": {"type": "string"}}
    return {
        "operationId": f"{calculation.operation_id}_by_address",
        "tags": ["pictures"],
        "summary": f"{calculation.summary}, by address",
        "description": "As the POST, for `<img src>`. SVG unless something else is asked for.",
        "parameters": [_shared(PARAMETER), _shared("units"), _shared("ground")],
        "responses": {
            "200": {
                "description": "The picture.",
                "headers": _headers("ETag"),
                "content": {**dict.fromkeys(calculation.shown_as, text), JSON: {"schema": answer}},
            },
            "304": {"$ref": "#/components/responses/304"},
            **_problems(406, 422, 500),
        },
    }


def _links(calculation: Calculation[Any, Any]) -> Schema:
    """Where to go on from an answer: to its equations, and with the same request to what shows it."""
    equations = {
        "operationId": "methods",
        "parameters": {"calculation": calculation.name},
    }
    shown = {
        one.operation_id: {"operationId": one.operation_id, "requestBody": "$request.body"}
        for one in SHOWN
        if one.request is calculation.request
    }
    return {"methods": equations, **shown}


def _get(reading: Reading, answer: Schema) -> Schema:
    operation: Schema = {
        "operationId": reading.name,
        "tags": [reading.tag],
        "summary": reading.summary,
        "description": reading.description,
        "responses": {
            "200": {
                "description": "The answer.",
                "headers": _headers(*(("ETag",) if _is_kept(reading) else ())),
                "content": {media: {"schema": answer} for media in MEDIA_TYPES}
                | {media: {"schema": {"type": "string"}} for media in reading.also_as},
                **({"links": _TABLE_LINK} if reading.answer is TablesAnswer else {}),
            },
            **({} if not _is_kept(reading) else {"304": {"$ref": "#/components/responses/304"}}),
            **_problems(*((404,) if reading.parameter else ()), 406, 500, *((503,) if reading is READY else ())),
        },
    }
    if reading.parameter:
        name, ids = reading.parameter
        operation["parameters"] = [
            {
                "name": name,
                "in": "path",
                "required": True,
                "description": f"Which {name}.",
                "schema": {"type": "string", "enum": list(ids)},
            }
        ]
    return operation


def _is_kept(reading: Reading) -> bool:
    """Say whether callers may keep what is read: all but how the service is."""
    return reading.path.startswith(("/v1/", "/version"))


_TABLE_LINK: Schema = {
    "reference_table": {
        "operationId": "reference_table",
        "parameters": {"table": "$response.body#/tables/0/id"},
        "description": "A table of the list, whole.",
    }
}

_SCHEMES: Schema = {
    "bearer": {
        "type": "http",
        "scheme": "bearer",
        "description": (
            "An API key or a JWT, where the service asks for one. Calculations and reference data take the scope "
            "`single`, batches the scope `batch`."
        ),
    }
}
_SECURITY: list[Schema] = [{}, {"bearer": []}]
"""The first says that it may be left out: whether a service asks for it is for whoever runs it to say."""

_HEADERS: dict[str, str] = {
    "X-Request-ID": "Id of this request; quote it when something is wrong.",
    "ETag": "The same for the same request, query and model; of a document, until it changes.",
    "Accept-Post": "Media types that are read.",
    "Retry-After": "Seconds to wait before asking again.",
    "WWW-Authenticate": "What is wanted in the header `Authorization`.",
    "RateLimit": "Cost units left, `r`, and seconds until all are there again, `t`.",
    "RateLimit-Policy": "Cost units, `q`, in how many seconds, `w`.",
}
_PROBLEM_HEADERS = {
    401: ("WWW-Authenticate",),
    403: ("WWW-Authenticate",),
    415: ("Accept-Post",),
    429: ("Retry-After", "RateLimit", "RateLimit-Policy"),
    503: ("Retry-After",),
}


def _shared(parameter: str) -> Schema:
    return {"$ref": f"#/components/parameters/{parameter}"}


def _headers(*more: str) -> Schema:
    return {name: {"$ref": f"#/components/headers/{name}"} for name in ("X-Request-ID", *more)}


def _both_ways(schema: Schema, example: object) -> Schema:
    """Return a body in JSON and in MessagePack; an example once, since it says the same in both."""
    examples: Schema = {} if example is None else {"examples": {"worked": example}}
    return {media: {"schema": schema, **(examples if media == JSON else {})} for media in MEDIA_TYPES}


def _worked(calculation: Calculation[Any, Any]) -> Schema:
    """Return the answer to the worked request; what it says about itself is shown once, in that of the first."""
    decoded = msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)
    answer = msgspec.to_builtins(calculation.compute(decoded, Ledger("metric")), enc_hook=encode_metric)
    if calculation is CALCULATIONS[0]:
        return {"value": _rounded(_cut(answer))}
    return {"value": _rounded(_cut(answer) | {"about": msgspec.to_builtins(NOTHING_SAID)})}


def _cut(value: Any) -> Any:
    """Return the value of an example with the first of many parts or texts, which shows what the rest look like."""
    if isinstance(value, dict):
        return {key: _cut(member) for key, member in cast("Schema", value).items()}
    if isinstance(value, list):
        items = cast("list[Any]", value)
        return [_cut(item) for item in (items[:1] if items and isinstance(items[0], dict | str) else items)]
    return value


def _problems(*statuses: int) -> Schema:
    return {str(status): {"$ref": f"#/components/responses/{status}"} for status in statuses}


def _problem(problem: Schema, kind: Kind) -> Schema:
    return {
        "description": f"{kind.title}. {kind.meaning}",
        "headers": _headers(*_PROBLEM_HEADERS.get(kind.status, ())),
        "content": {PROBLEM_MEDIA_TYPE: {"schema": problem}},
    }


def _answered_in(paths: Schema, failures: Schema) -> Schema:
    """Return the failures that any operation answers with: not all do in the contract, such as a wrong method."""
    answered = {
        response["$ref"].rpartition("/")[2]
        for item in paths.values()
        for operation in item.values()
        for response in operation["responses"].values()
        if "$ref" in response
    }
    return {name: failure for name, failure in sorted(failures.items()) if name in answered}


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return as_short(float(f"{value:.{_EXAMPLE_DIGITS}g}"))
    if isinstance(value, dict):
        return {key: _rounded(member) for key, member in cast("Schema", value).items()}
    if isinstance(value, list):
        return [_rounded(item) for item in cast("list[Any]", value)]
    return value
