"""The contract: an OpenAPI 3.1 document made from the calculations and their types.

msgspec writes the schema of every type; this module adds quantities, paths and problems. The
document is committed as ``openapi/drawbar-v1.json``, and without its blanks as ``contract.json``
beside this module, which is served: making it answers every worked example and takes a second.
"""

from collections.abc import Callable, Iterable
from functools import cache
from importlib.resources import files
from typing import Any, TypeAlias, cast

import msgspec

from drawbar_service import __version__
from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.farewell import FAREWELLS
from drawbar_service.api.problems import KINDS, PROBLEM_MEDIA_TYPE, Kind, Problem
from drawbar_service.api.v1.batch.request import PATH, BatchAnswer, BatchRequest
from drawbar_service.api.v1.reference.answer import READINGS, READY, Reading, TablesAnswer
from drawbar_service.api.wire import JSON, MEDIA_TYPES
from drawbar_service.batch.operation import operation as batch_operation
from drawbar_service.quantities import Quantity, decode_quantity, encode_metric

Schema: TypeAlias = dict[str, Any]

_REF = "#/components/schemas/{name}"
_EXAMPLE_DIGITS = 6
"""Digits of the numbers in examples, so that the document is the same on every processor."""


@cache
def contract() -> bytes:
    """Return the contract as it is served."""
    return (files("drawbar_service.api") / "contract.json").read_bytes()


def document() -> Schema:
    """Return the OpenAPI document."""
    readings = (*READINGS, READY)
    calculations = (*CALCULATIONS, *SHOWN)
    requests, request_components = _schemas([*(one.request for one in calculations), BatchRequest], _written_quantity)
    answers, answer_components = _schemas(
        [*(one.answer for one in calculations), BatchAnswer, *(one.answer for one in readings)], _read_quantity
    )
    problems, problem_components = _schemas([Problem], _read_quantity)
    paths: Schema = {}
    for calculation, request, answer in zip(calculations, requests, answers, strict=False):
        paths[calculation.path] = {"post": _post(calculation, request, answer, problems[0])}
    batch = _rounded(batch_operation(requests[-1], answers[len(calculations)]))
    batch["parameters"].append(_UNITS)
    batch["responses"]["200"]["headers"] = _headers()
    batch["responses"] |= _problems(problems[0], 400, 404, 406, 408, 413, 415, 422, 500)
    paths[PATH] = {"post": batch}
    for reading, answer in zip(readings, answers[len(calculations) + 1 :], strict=True):
        paths[reading.path] = {"get": _get(reading, answer, problems[0])}
    for path, item in paths.items():
        for operation in item.values():
            if path.startswith("/v1/"):
                operation["security"] = _SECURITY
                operation["responses"] |= _problems(problems[0], 401, 403, 429, 503)
            if path in FAREWELLS:
                operation["deprecated"] = True
    components = _quantity_components() | request_components | answer_components | problem_components
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "drawbar",
            "version": __version__,
            "summary": "Which tractor on which implement: draft, slip, power, fuel and area an hour.",
            "description": (
                "Stateless calculations for field machines. Every answer names its assumptions, warnings and sources. "
                'A quantity is read as text, `"8 in"`, or as `{"value": 8, "unit": "in"}`, and written in metric '
                "or US units as `?units=` asks. An estimate, not a rating: manuals and local law come first."
            ),
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/", "description": "Wherever this document is served."}],
        "tags": [
            {"name": "calculations", "description": "Questions with an answer."},
            {"name": "pictures", "description": "Answers to look at, and the numbers in them."},
            {"name": "reference", "description": "The tables behind the answers, with their sources."},
            {"name": "service", "description": "The service about itself."},
        ],
        "paths": paths,
        "components": {"schemas": dict(sorted(components.items())), "securitySchemes": _SCHEMES},
    }


def _schemas(
    kinds: Iterable[type[msgspec.Struct]], quantity: Callable[[type[Quantity]], Schema]
) -> tuple[list[Schema], Schema]:
    def hook(kind: type) -> Schema:
        if issubclass(kind, Quantity):
            return quantity(kind)
        raise NotImplementedError

    found, components = msgspec.json.schema_components(list(kinds), schema_hook=hook, ref_template=_REF)
    return list(found), components


def _written_quantity(kind: type[Quantity]) -> Schema:
    return {"$ref": _REF.format(name=kind.__name__)}


def _read_quantity(kind: type[Quantity]) -> Schema:
    return {"$ref": _REF.format(name=f"{kind.__name__}Reading")}


def _all_kinds(kind: type[Quantity] = Quantity) -> list[type[Quantity]]:
    kinds: list[type[Quantity]] = []
    for child in kind.__subclasses__():
        kinds += [child, *_all_kinds(child)]
    return kinds


def _quantity_components() -> Schema:
    components: Schema = {}
    for kind in _all_kinds():
        components[kind.__name__] = _input_schema(kind)
        components[f"{kind.__name__}Reading"] = _reading_schema(kind)
    return components


def _about_quantity(kind: type[Quantity]) -> Schema:
    about: Schema = {"dimension": kind.dimension.name, "metric": kind.metric, "us": kind.us}
    symbol = kind.metric
    factor = kind.dimension.factors[symbol]
    for name, bound in (("minimum", kind.least), ("maximum", kind.most)):
        if bound is not None:
            about[name] = {"value": _rounded(bound / factor), "unit": symbol}
    return about


def _input_schema(kind: type[Quantity]) -> Schema:
    units = list(kind.dimension.factors)
    bounds = kind.range_in_words(kind.dimension.spellings["1"] if kind.bare else kind.metric)
    forms: list[Schema] = [
        {
            "type": "string",
            "maxLength": 64,
            "pattern": kind.pattern(),
            "description": "Number and unit.",
        },
        {
            "type": "object",
            "properties": {"value": {"type": "number"}, "unit": {"enum": units}},
            "required": ["value", "unit"],
            "additionalProperties": False,
        },
    ]
    if kind.bare:
        bare: Schema = {"type": "number", "description": "A plain number."}
        for name, bound in (("minimum", kind.least), ("maximum", kind.most)):
            if bound is not None:
                bare[name] = bound
        forms.append(bare)
    return {
        "title": kind.__name__,
        "description": f"{kind.__doc__} In range: {bounds}." if bounds else kind.__doc__,
        "anyOf": forms,
        "examples": [kind.example()],
        "x-quantity": _about_quantity(kind),
    }


def _reading_schema(kind: type[Quantity]) -> Schema:
    units = list(dict.fromkeys((kind.metric, kind.us)))
    return {
        "title": f"{kind.__name__}Reading",
        "description": kind.__doc__,
        "type": "object",
        "properties": {
            "value": {"type": "number", "description": "The value."},
            "unit": {"enum": units, "description": "Its unit, metric or US."},
            "low": {"type": "number", "description": "Low end of its range, if it has one."},
            "high": {"type": "number", "description": "High end of its range, if it has one."},
        },
        "required": ["value", "unit"],
        "x-quantity": {"dimension": kind.dimension.name, "metric": kind.metric, "us": kind.us},
    }


_UNITS: Schema = {
    "name": "units",
    "in": "query",
    "description": "Units of the answer.",
    "schema": {"type": "string", "enum": ["metric", "us"], "default": "metric"},
}


def _post(calculation: Calculation[Any, Any], request: Schema, answer: Schema, problem: Schema) -> Schema:
    decoded = msgspec.convert(calculation.example, calculation.request, dec_hook=decode_quantity)
    answered = msgspec.to_builtins(calculation.compute(decoded, Ledger("metric")), enc_hook=encode_metric)
    return {
        "operationId": calculation.operation_id,
        "tags": ["pictures" if calculation.shown_as else "calculations"],
        "summary": calculation.summary,
        "description": calculation.description,
        "parameters": [_UNITS],
        "requestBody": {
            "required": True,
            "content": {
                media: {"schema": request, "examples": {"worked": {"value": calculation.example}}}
                for media in MEDIA_TYPES
            },
        },
        "responses": {
            "200": {
                "description": "The answer.",
                "headers": _headers("ETag"),
                "content": {
                    **{
                        media: {"schema": answer, "examples": {"worked": {"value": _rounded(answered)}}}
                        if media == JSON or not calculation.shown_as
                        else {"schema": answer}  # the numbers of a picture are many: once is enough
                        for media in MEDIA_TYPES
                    },
                    **{
                        media: {"schema": {"type": "string", "description": description}}
                        for media, description in calculation.shown_as.items()
                    },
                },
                **({} if calculation.shown_as else {"links": _links(calculation)}),
            },
            **_problems(problem, 400, 406, 408, 413, 415, 422, 500),
        },
    }


def _links(calculation: Calculation[Any, Any]) -> Schema:
    """Where to go on from an answer: to its equations, and with the same request to what shows it."""
    equations = {
        "operationId": "methods",
        "parameters": {"calculation": calculation.name},
        "description": "The equations behind this answer.",
    }
    shown = {
        one.operation_id: {
            "operationId": one.operation_id,
            "requestBody": "$request.body",
            "description": f"{one.summary}, for the same request.",
        }
        for one in SHOWN
        if one.request is calculation.request
    }
    return {"methods": equations, **shown}


def _get(reading: Reading, answer: Schema, problem: Schema) -> Schema:
    operation: Schema = {
        "operationId": reading.name,
        "tags": [reading.tag],
        "summary": reading.summary,
        "description": reading.description,
        "responses": {
            "200": {
                "description": "The answer.",
                "headers": _headers(),
                "content": {media: {"schema": answer} for media in MEDIA_TYPES},
                **({"links": _TABLE_LINK} if reading.answer is TablesAnswer else {}),
            },
            **_problems(
                problem, *((404,) if reading.parameter else ()), 406, 500, *((503,) if reading is READY else ())
            ),
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
    "ETag": "The same for the same request, units and model.",
    "Accept-Post": "Media types that are read.",
    "Retry-After": "Seconds to wait before asking again.",
    "WWW-Authenticate": "What is wanted in the header `Authorization`.",
    "RateLimit": "Requests left, `r`, and seconds until all are there again, `t`.",
    "RateLimit-Policy": "Requests, `q`, in how many seconds, `w`.",
}
_PROBLEM_HEADERS = {
    401: ("WWW-Authenticate",),
    403: ("WWW-Authenticate",),
    415: ("Accept-Post",),
    429: ("Retry-After", "RateLimit", "RateLimit-Policy"),
    503: ("Retry-After",),
}


def _headers(*more: str) -> Schema:
    return {
        name: {"description": _HEADERS[name], "schema": {"type": "string"}, "required": True}
        for name in ("X-Request-ID", *more)
    }


def _problems(problem: Schema, *statuses: int) -> Schema:
    return {str(status): _problem(problem, KINDS[status]) for status in statuses}


def _problem(problem: Schema, kind: Kind) -> Schema:
    return {
        "description": f"{kind.title}. {kind.meaning}",
        "headers": _headers(*_PROBLEM_HEADERS.get(kind.status, ())),
        "content": {PROBLEM_MEDIA_TYPE: {"schema": problem}},
    }


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.{_EXAMPLE_DIGITS}g}")
    if isinstance(value, dict):
        return {key: _rounded(member) for key, member in cast("Schema", value).items()}
    if isinstance(value, list):
        return [_rounded(item) for item in cast("list[Any]", value)]
    return value
