"""The documentation: one page, made from the contract, the tables and a few hand-written sections."""

import json
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, cast

import msgspec

from drawbar_service import __version__
from drawbar_service.api.answers import CAUTIONS, MODEL_VERSION
from drawbar_service.api.openapi import Schema, contract
from drawbar_service.api.problems import KINDS
from drawbar_service.api.v1.match import MATCH
from drawbar_service.docs.fields import fields_of, name_of
from drawbar_service.docs.markup import Child, Markup, element, joined, prose
from drawbar_service.quantities import DIMENSIONS, Dimension
from drawbar_service.reference import SOURCES, TABLES, Row, Table
from drawbar_service.reference.methods import METHODS, Equation

_LINE = 76
"""Width of examples in characters."""
_BASES = {
    "published": "read in print",
    "memory": "from memory, not read again",
    "common-practice": "common practice, no source",
    "derived": "derived",
}


@cache
def page() -> bytes:
    """Return the whole page as HTML in UTF-8."""
    schema = msgspec.json.decode(contract(), type=Schema)
    components = schema["components"]["schemas"]
    operations = [
        (method.upper(), path, operation)
        for path, item in schema["paths"].items()
        for method, operation in item.items()
    ]
    links = {path: f"#{operation['operationId']}" for _, path, operation in operations}
    links |= {f"/v1/reference/{table}": f"#table-{table}" for table in TABLES}
    links["/v1/sources"] = "#list-of-sources"
    sections: list[tuple[str, str, Markup]] = [
        ("about", "What this is", _written("about")),
        ("start", "Start in five minutes", _start()),
        ("quantities", "How quantities are written", _quantities()),
        ("answers", "How to read an answer", _written("answers")),
        ("operations", "Operations", _operations(operations, components, links)),
        ("parts", "Parts of requests and answers", _parts(operations, components, links)),
        ("problems", "Problems", _problems(links)),
        ("tables", "Reference tables", _tables(links)),
        ("equations", "Equations", _equations(links)),
        ("list-of-sources", "Sources", _sources(links)),
        ("cannot", "What it cannot do", _written("limits")),
        ("cautions", "Cautions", _cautions()),
    ]
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", "drawbar: documentation"),
        element("link", rel="stylesheet", href="/docs/style.css"),
    )
    contents = [element("li", element("a", title, href=f"#{anchor}")) for anchor, title, _ in sections]
    body = element(
        "body",
        element("a", "Skip to the text", class_="skip", href="#text"),
        element(
            "header",
            element("h1", "drawbar"),
            element("p", str(schema["info"]["summary"])),
            element("p", f"Service {__version__}, model {MODEL_VERSION}.", class_="note"),
        ),
        element("nav", element("h2", "Contents"), element("ol", *contents), aria_label="Contents"),
        element("main", *(section for _, _, section in sections), id="text", tabindex="-1"),
    )
    return f"<!doctype html>\n{element('html', head, body, lang='en')}\n".encode()


def style() -> bytes:
    """Return the page's stylesheet."""
    return _file("style.css").encode()


def _file(name: str) -> str:
    return (files("drawbar_service.docs") / name).read_text(encoding="utf-8")


def _written(name: str) -> Markup:
    """Return a section written by hand."""
    return Markup(_file(f"{name}.html"))


def _section(anchor: str, title: str, *children: Child) -> Markup:
    return element("section", element("h2", title), *children, id=anchor)


def _table(caption: str, columns: list[str], rows: list[list[Child]], class_: str = "") -> Markup:
    head = element("tr", *(element("th", column, scope="col") for column in columns))
    body = [
        element(
            "tr",
            element("th", cells[0], scope="row"),
            *(element("td", cell, data_label=column) for cell, column in zip(cells[1:], columns[1:], strict=True)),
        )
        for cells in rows
    ]
    table = element("table", element("caption", caption), element("thead", head), element("tbody", *body))
    # A table may be wider than a phone; whoever has no pointer scrolls it with the keyboard.
    return element("div", table, class_=f"table {class_}".strip(), tabindex="0", role="region", aria_label=caption)


def _json(value: Any, indent: int = 0) -> str:
    """Return JSON that breaks a line only where it would not fit."""
    flat = json.dumps(value, ensure_ascii=False)
    if len(flat) + indent <= _LINE or not isinstance(value, dict | list) or not value:
        return flat
    pad = " " * (indent + 2)
    if isinstance(value, dict):
        members = cast("dict[str, Any]", value).items()
        lines = [f"{pad}{json.dumps(key)}: {_json(member, indent + 2)}" for key, member in members]
        return "{\n" + ",\n".join(lines) + "\n" + " " * indent + "}"
    lines = [pad + _json(item, indent + 2) for item in cast("list[Any]", value)]
    return "[\n" + ",\n".join(lines) + "\n" + " " * indent + "]"


def _code(text: str, **attributes: str) -> Markup:
    return element("pre", element("code", text, **attributes), tabindex="0")


def _start() -> Markup:
    request = _json(MATCH.example)
    shell = (
        "curl -s 'http://127.0.0.1:8000/v1/match?units=metric' \\\n"
        f"  -H 'Content-Type: application/json' \\\n  -d '{request}'"
    )
    python = (
        "import drawbar\n\n"
        f"request = {request}\n\n"
        "with drawbar.Client.in_process() as client:\n"
        "    answer = client.match(request)\n"
        "print(answer.verdict.summary)\n"
    )
    return _section(
        "start",
        "Start in five minutes",
        element(
            "p",
            prose(
                "Start the service with `python -m drawbar_service`; it listens on `127.0.0.1:8000`. Then ask whether "
                "a tractor of 145 kW pulls an eleven-shank chisel plow with a disk gang in front:",
                {},
            ),
        ),
        _code(shell, class_="shell"),
        element("p", "The same from Python, with the service running inside your own process and no network:"),
        _code(python, class_="python"),
        element(
            "p",
            prose(
                "`drawbar.Client()` asks a service at `DRAWBAR_URL` instead. The contract itself, for tools that "
                "read OpenAPI 3.1, is at `/openapi/drawbar-v1.json`. Bodies are JSON or MessagePack, as `Content-Type` "
                "says; answers come as `Accept` asks. A body holds at most 64 kB.",
                {"/openapi/drawbar-v1.json": "/openapi/drawbar-v1.json"},
            ),
        ),
    )


def _quantities() -> Markup:
    rows: list[list[Child]] = []
    for dimension in DIMENSIONS.values():
        name = element("span", dimension.name.replace("_", " "), id=f"unit-{dimension.name}")
        written = joined([element("code", unit) for unit in dimension.factors], ", ")
        others = [spelling for spelling in dimension.spellings if spelling not in dimension.factors]
        also = joined([element("code", spelling) for spelling in others], ", ")
        rows.append([name, written, also, element("code", _example(dimension))])
    return _section(
        "quantities",
        "How quantities are written",
        element(
            "p",
            prose(
                'A quantity is a number and a unit: as text, `"8 in"`, or as an object, `{"value": 8, "unit": "in"}`. '
                'A bare number is refused, except for a ratio, where `0.4` and `"40 %"` are the same. Units are '
                "matched letter for letter and never evaluated, so `2*4 in` is not read. Answers come as "
                '`{"value": 20.3, "unit": "cm"}`, in metric units or, with `?units=us`, in US customary ones, with '
                "`low` and `high` beside the value where there is a range.",
                {},
            ),
        ),
        _table("Units by kind of quantity", ["Kind", "Units", "Also read", "Example"], rows),
    )


def _example(dimension: Dimension) -> str:
    first = next(iter(dimension.factors))
    return "0.4" if first == "1" else f"8 {first}"


def _operations(operations: list[tuple[str, str, Schema]], components: Schema, links: Mapping[str, str]) -> Markup:
    return _section(
        "operations",
        "Operations",
        element(
            "p",
            prose(
                "Calculations are `POST`, tables and the service about itself are `GET`. A field marked required has "
                "to be there; any other may be left out, and where its value was needed all the same, the answer says "
                "what was assumed. A field that is not listed is refused, with the nearest name that is.",
                links,
            ),
        ),
        *(_operation(method, path, operation, components, links) for method, path, operation in operations),
    )


def _operation(method: str, path: str, operation: Schema, components: Schema, links: Mapping[str, str]) -> Markup:
    address = element("code", f"{method} {path}")
    parts: list[Child] = [
        element("h3", operation["summary"]),
        element("p", element("a", address, href=path) if method == "GET" and "{" not in path else address),
        element("p", prose(operation["description"], links)),
    ]
    if "requestBody" in operation:
        request, example = _content(operation["requestBody"])
        parts.append(_struct_table(request, "Request", components, links))
        examples = {one["name"]: one["example"] for one in operation["parameters"] if one["in"] == "path"}
        parts.append(_example_of("Worked request", example, data_post=path.format_map(examples)))
        parts += _other_media(operation["requestBody"], "Request", links)
    for parameter in operation.get("parameters", []):
        words = joined([element("code", word) for word in parameter["schema"]["enum"]], ", ")
        where = "In the query" if parameter["in"] == "query" else "In the path"
        name = element("code", parameter["name"])
        parts.append(element("p", where, ": ", name, ". ", parameter["description"], " One of ", words, "."))
    answer, example = _content(operation["responses"]["200"])
    parts.append(_struct_table(answer, "Answer", components, links))
    if example is not None:
        parts.append(_example_of("Worked answer", example))
    parts += _other_media(operation["responses"]["200"], "Answer", links)
    return element("section", *parts, id=operation["operationId"], class_="operation")


def _content(holder: Schema) -> tuple[str, Any]:
    """Return the component a body is described by, and its example if there is one."""
    media = holder["content"]["application/json"]
    return name_of(media["schema"]), media.get("examples", {}).get("worked", {}).get("value")


def _other_media(holder: Schema, title: str, links: Mapping[str, str]) -> Iterator[Markup]:
    """Yield what is to be said of media types that are texts to JSON Schema: lines of rows, say."""
    for name, media in holder["content"].items():
        if "$ref" not in media["schema"]:
            yield element(
                "p", f"{title} as ", element("code", name), ": ", prose(media["schema"]["description"], links)
            )
            for example in media.get("examples", {}).values():
                yield _code(example["value"], class_="lines")


def _example_of(title: str, value: Any, **attributes: str) -> Markup:
    return element("details", element("summary", title), _code(_json(value), class_="json", **attributes))


def _struct_table(name: str, title: str, components: Schema, links: Mapping[str, str]) -> Markup:
    rows: list[list[Child]] = []
    for field in fields_of(components[name], components):
        label = joined([element("code", field.name), element("span", " required", class_="required")])
        rows.append(
            [
                label if field.required and title != "Answer" else element("code", field.name),
                field.kind,
                field.limits,
                prose(field.description, links),
            ]
        )
    caption = f"{title}: {name}" if title else name
    return _table(caption, ["Field", "Kind", "Units and range", "What it is"], rows, "fields")


def _parts(operations: list[tuple[str, str, Schema]], components: Schema, links: Mapping[str, str]) -> Markup:
    requests = {_content(one["requestBody"])[0] for _, _, one in operations if "requestBody" in one}
    answers = {_content(one["responses"]["200"])[0] for _, _, one in operations}
    given = _within(requests, components)
    parts: list[Child] = []
    for name, schema in components.items():
        if "properties" not in schema or "x-quantity" in schema or name in requests | answers:
            continue
        parts.append(
            element(
                "section",
                element("h3", name),
                element("p", prose(schema["description"], links)),
                _struct_table(name, "" if name in given else "Answer", components, links),
                id=name,
            )
        )
    return _section(
        "parts", "Parts of requests and answers", element("p", "Objects that the tables above refer to."), *parts
    )


def _within(names: set[str], components: Schema) -> set[str]:
    """Return the components that these are made of, themselves included."""
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += _references(components[name])
    return found


def _references(schema: Any) -> Iterator[str]:
    if isinstance(schema, dict):
        members = cast("Schema", schema)
        if "$ref" in members:
            yield name_of(members)
        for member in members.values():
            yield from _references(member)
    elif isinstance(schema, list):
        for item in cast("list[Any]", schema):
            yield from _references(item)


def _problems(links: Mapping[str, str]) -> Markup:
    problems = [
        element(
            "section",
            element("h3", f"{kind.status}: {kind.title}"),
            element("p", element("code", f"/docs#{kind.name}")),
            element("p", prose(kind.meaning, links)),
            id=kind.name,
        )
        for kind in KINDS.values()
    ]
    return _section(
        "problems",
        "Problems",
        element(
            "p",
            prose(
                "A request that is not answered gets a problem document, `application/problem+json` (RFC 9457). Its "
                "`type` leads here, `detail` says what happened and what would be right, `instance` is the request id, "
                "and `errors` lists every fault of a body at once, each with a JSON Pointer.",
                links,
            ),
        ),
        *problems,
    )


def _tables(links: Mapping[str, str]) -> Markup:
    return _section(
        "tables",
        "Reference tables",
        element(
            "p",
            prose("Figures in the units they were published in. `/v1/reference` gives the same as data.", links),
        ),
        *(_reference_table(table, links) for table in TABLES.values()),
    )


def _reference_table(table: Table[Row], links: Mapping[str, str]) -> Markup:
    columns = [column.name.replace("_", " ") + (f" [{column.unit}]" if column.unit else "") for column in table.columns]
    rows: list[list[Child]] = [[_cell(name, value) for name, value in record.items()] for record in table.records()]
    meanings: list[Child] = []
    for column in table.columns:
        meanings += [element("dt", element("code", column.name)), element("dd", prose(column.meaning, links))]
    return element(
        "details",
        element("summary", f"{table.title} ({len(table.rows)})"),
        element("p", prose(table.description, links)),
        element("p", element("a", element("code", f"/v1/reference/{table.id}"), href=f"/v1/reference/{table.id}")),
        _table(table.title, columns, rows, "figures"),
        element("dl", *meanings),
        id=f"table-{table.id}",
    )


def _cell(column: str, value: object) -> Child:
    if column == "source":
        return element("a", str(value), href=f"#source-{value}")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    return "" if value is None else str(value)


def _equations(links: Mapping[str, str]) -> Markup:
    parts: list[Child] = []
    for calculation, equations in METHODS.items():
        parts.append(element("h3", calculation.replace("-", " ").capitalize()))
        parts += [_equation(equation, links) for equation in equations]
    return _section(
        "equations",
        "Equations",
        element(
            "p",
            "What each calculation reckons with; a match uses them all. Coefficients are from the sources named, not "
            "yet proof-read against the standards behind them.",
        ),
        *parts,
    )


def _equation(equation: Equation, links: Mapping[str, str]) -> Markup:
    symbols: list[Child] = []
    for symbol, one in equation.symbols.items():
        unit = "" if one.unit == "1" else f" [{one.unit}]"
        symbols.append(joined([element("code", symbol), f" {one.means}{unit}"]))
    holds = [
        f"{one.of} from {one.low:g} to {one.high:g}{f' {one.unit}' if one.unit != '1' else ''}"
        for one in equation.valid
    ]
    lines: list[Child] = [
        element("p", prose(equation.says, links)),
        element("p", equation.plain, class_="equation"),
        element("p", joined(symbols, "; "), ".", class_="note"),
    ]
    if holds:
        lines.append(element("p", f"Holds for {'; '.join(holds)}."))
    lines += [element("p", prose(misfit, links)) for misfit in equation.misfits]
    address = element("a", element("code", equation.source), href=f"#source-{equation.source}")
    lines.append(element("p", "Source: ", address, f", {_BASES[SOURCES.row(equation.source).basis]}."))
    return element("div", *lines, class_="method")


def _sources(links: Mapping[str, str]) -> Markup:
    entries: list[Child] = []
    for one in SOURCES.rows.values():
        where = ", ".join(part for part in (one.publisher, one.edition) if part)
        entries += [
            element("dt", element("code", one.id), f" {one.title}", id=f"source-{one.id}"),
            element("dd", f"{where}. " if where else "", f"Basis: {_BASES[one.basis]}. ", prose(one.note, links)),
        ]
    return _section("list-of-sources", "Sources", element("dl", *entries))


def _cautions() -> Markup:
    return _section("cautions", "Cautions", element("ul", *(element("li", caution) for caution in CAUTIONS)))
