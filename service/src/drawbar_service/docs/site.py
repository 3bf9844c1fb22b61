"""The documentation: a few pages made from the contract, the tables, the equations and what was written by hand."""

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any

import msgspec

from drawbar_service.api.openapi import contract
from drawbar_service.api.schemas import Schema, whole
from drawbar_service.api.v1.methods.answer import USES
from drawbar_service.api.wire import JSON
from drawbar_service.api.words import CAUTIONS, USUAL_CAUTIONS
from drawbar_service.docs.figures import quantities, sources, tables
from drawbar_service.docs.layout import Page, Section, file, framed, table, written
from drawbar_service.docs.markup import Child, Markup, element, joined
from drawbar_service.docs.names import names
from drawbar_service.docs.problems import problems
from drawbar_service.docs.reference import PARTS, operation_ids, reference
from drawbar_service.docs.reference import PATH as REFERENCE
from drawbar_service.docs.search import index_of
from drawbar_service.docs.settings import settings
from drawbar_service.docs.sheets import sheets
from drawbar_service.look import tokens
from drawbar_service.reference import TABLES
from drawbar_service.settings import Settings

PATHS = (
    "/docs",
    "/docs/start",
    REFERENCE,
    *PARTS,
    *(f"{REFERENCE}/{name}" for name in operation_ids()),
    "/docs/methods",
    *(f"/docs/methods/{name}" for name in USES),
    "/docs/tables",
    "/docs/sources",
    "/docs/problems",
    "/docs/limits",
    "/docs/dashboards",
    "/docs/promise",
)
"""Path of every page, known before any is made."""
_ID = re.compile(r' id="([^"]*)"')
_INSIDE = re.compile(r' href="#([^"]*)"')


@cache
def site() -> Mapping[str, bytes]:
    """Return every page as HTML in UTF-8, by its path."""
    made = {page.path: page for page in _pages()}
    menu = {path: page.short for path, page in made.items() if page.short}
    whole = {path: framed(page, menu) for path, page in made.items()}
    homes = {anchor: path for path, text in whole.items() for anchor in _ID.findall(text)}
    return MappingProxyType({path: _linked(text, path, homes).encode() for path, text in whole.items()})


@cache
def style() -> bytes:
    """Return the stylesheet of all pages, after what everything looks like."""
    return (tokens() + file("style.css")).encode()


@cache
def script() -> bytes:
    """Return the script of all pages: search, copying, and equations that fit."""
    return file("docs.js").encode()


@cache
def search_index() -> bytes:
    """Return what the script searches in, as JSON."""
    return index_of(site())


def _linked(text: str, path: str, homes: Mapping[str, str]) -> str:
    """Let a link to an anchor lead to the page that the anchor is on."""
    own = set(_ID.findall(text))

    def address(match: re.Match[str]) -> str:
        anchor = match[1]
        return match[0] if anchor in own else f' href="{homes[anchor]}#{anchor}"'

    return _INSIDE.sub(address, text)


def _pages() -> list[Page]:
    schema = msgspec.json.decode(contract(), type=Schema)
    components = whole(schema["components"]["schemas"])
    shared = schema["components"]["parameters"]
    operations = [
        (method.upper(), path, _with_worked_request(_with_parameters(operation, shared), schema))
        for path, item in schema["paths"].items()
        for method, operation in item.items()
    ]
    links = {path: f"#{operation['operationId']}" for _, path, operation in operations}
    links |= {f"/v1/reference/{table}": f"#table-{table}" for table in TABLES}
    links["/openapi/drawbar-v1.json"] = "/openapi/drawbar-v1.json"
    return [
        Page(
            "/docs",
            "What this is",
            str(schema["info"]["summary"]),
            [
                Section("about", "", written("about")),
                Section("answers", "How to read an answer", written("answers")),
                quantities(),
                Section("cautions", "Cautions", _cautions()),
            ],
            "Overview",
        ),
        Page(
            "/docs/start",
            "Start in five minutes",
            "Ways in: build it into farm software, ask it from a notebook, put its answers on a dashboard, or ask how "
            "many days your weather gives you.",
            [
                Section("developer", "In farm software", written("start_developer")),
                Section("researcher", "In a notebook", written("start_researcher")),
                Section("rows", "Many rows", written("start_rows")),
                Section("integrator", "On a dashboard", written("start_integrator")),
                Section("days-from-record", "Days from a record", written("start_days")),
            ],
            "Start",
        ),
        *reference(operations, components, links),
        *sheets(operations, links),
        tables(links),
        sources(links),
        problems(links),
        Page(
            "/docs/limits",
            "What it cannot do",
            "What the model leaves out, where its figures are weak, and how much the service takes at once.",
            [
                Section("cannot", "What the model leaves out", written("limits")),
                Section("weak", "Where its figures are weak", written("weak")),
                Section("sizes", "How much it takes at once", _sizes()),
            ],
            "Limits",
        ),
        Page(
            "/docs/dashboards",
            "Dashboards and settings",
            "What lets pages of other origins use the service, and every setting of whoever runs it.",
            [
                Section("other-origins", "On a dashboard of another origin", written("dashboard")),
                Section("settings", "Every setting", settings()),
            ],
            "Dashboards",
        ),
        Page(
            "/docs/promise",
            "What stays the same",
            "What you may build on: versions, numbers, and notice before anything goes.",
            [
                Section("promise", "", written("promise")),
                Section("names", "Names that were changed", names()),
            ],
            "Promise",
        ),
    ]


def _with_worked_request(operation: Schema, contract: Schema) -> Schema:
    """Return an operation with its worked request in place of a reference to that of another operation."""
    if "requestBody" not in operation:
        return operation
    content = operation["requestBody"]["content"]
    examples = content[JSON]["examples"]
    if "$ref" not in examples["worked"]:
        return operation
    worked: Any = contract
    for step in examples["worked"]["$ref"].removeprefix("#/").split("/"):
        worked = worked[step.replace("~1", "/")]
    media = content[JSON] | {"examples": examples | {"worked": worked}}
    return operation | {"requestBody": operation["requestBody"] | {"content": content | {JSON: media}}}


def _with_parameters(operation: Schema, shared: Schema) -> Schema:
    """Return an operation with the parameters that it shares with others in place of where they stand."""
    given = [
        shared[one["$ref"].rpartition("/")[2]] if "$ref" in one else one for one in operation.get("parameters", [])
    ]
    return operation | {"parameters": given}


def _cautions() -> Markup:
    return element("ul", *(element("li", one) for one in (*USUAL_CAUTIONS, *CAUTIONS.values())))


def _sizes() -> Markup:
    usual = Settings()
    rows: list[list[Child]] = [
        ["Body of a single calculation", f"{usual.max_body_bytes // 1024:,} kB", "DRAWBAR_MAX_BODY_BYTES"],
        [
            "Body of a batch in JSON or MessagePack",
            f"{usual.batch_body_bytes // 2**20:,} MB",
            "DRAWBAR_BATCH_BODY_BYTES",
        ],
        ["Body of a batch in lines", f"{usual.batch_stream_bytes // 2**20:,} MB", "DRAWBAR_BATCH_STREAM_BYTES"],
        ["Rows of a batch in JSON or MessagePack", f"{usual.batch_rows:,}", "DRAWBAR_BATCH_ROWS"],
        ["Rows of a batch in lines", f"{usual.batch_stream_rows:,}", "DRAWBAR_BATCH_STREAM_ROWS"],
        ["Batches at work at the same time", f"{usual.batch_slots}", "DRAWBAR_BATCH_SLOTS"],
        ["Wait for a caller of a batch who is silent", f"{usual.batch_patience} s", "DRAWBAR_BATCH_PATIENCE"],
    ]
    coded = [[what, most, element("code", setting)] for what, most, setting in rows]
    return joined([written("sizes"), table("Most at once", ["What", "Usual", "Setting"], coded)])
