"""The reference: every operation, and the parts of requests and answers, from the contract."""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, cast

import msgspec

from drawbar_service.api.answers import NOTHING_SAID
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.openapi import contract
from drawbar_service.api.schemas import Schema
from drawbar_service.batch.operation import more
from drawbar_service.docs.fields import fields_of, name_of
from drawbar_service.docs.layout import Page, Section, as_json, code, table
from drawbar_service.docs.markup import Child, Markup, element, joined, prose


class _Named(msgspec.Struct):
    operationId: str


class _Paths(msgspec.Struct):
    paths: dict[str, dict[str, _Named]]


PATH = "/docs/reference"
PARTS = (f"{PATH}/parts-of-requests", f"{PATH}/parts-of-answers")
_TAGS = ("calculations", "pictures", "reference", "service")


def operation_ids() -> list[str]:
    """Return the names of all operations, as the contract has them."""
    paths = msgspec.json.decode(contract(), type=_Paths).paths
    return [operation.operationId for item in paths.values() for operation in item.values()]


def reference(operations: list[tuple[str, str, Schema]], components: Schema, links: Mapping[str, str]) -> list[Page]:
    """Return the pages: a list of all operations, one for each of them, and two of the parts they share.

    Parameters
    ----------
    operations : list of (str, str, Schema)
        Method, path and description of every operation.
    components : Schema
        Types of requests and answers, by name.
    links : mapping
        Addresses of what stands in backticks in prose.
    """
    requests, answers = _parts(operations, components, links)
    return [
        Page(
            PATH,
            "Reference",
            "Every operation, and the parts of requests and answers.",
            [
                *(_list_of(tag, operations, links) for tag in _TAGS),
                Section("parts", "Parts of requests and answers", _places_of_parts()),
            ],
            "Reference",
        ),
        *(
            Page(
                f"{PATH}/{one['operationId']}",
                str(one["summary"]),
                "What to send, what comes back, and a worked example.",
                [Section(str(one["operationId"]), "", _operation(method, path, one, components, links))],
            )
            for method, path, one in operations
        ),
        Page(PARTS[0], "Parts of requests", "Objects that requests are made of.", [Section("asked", "", requests)]),
        Page(PARTS[1], "Parts of answers", "Objects that answers are made of.", [Section("given", "", answers)]),
    ]


def _list_of(tag: str, operations: list[tuple[str, str, Schema]], links: Mapping[str, str]) -> Section:
    places = [
        element(
            "li", element("a", one["summary"], href=f"#{one['operationId']}"), " ", element("code", f"{method} {path}")
        )
        for method, path, one in operations
        if tag in one["tags"]
    ]
    said = (
        "A field marked required has to be there; any other may be left out, or null, and where its value was needed "
        "all the same, the answer says what was assumed. A field that is not listed is refused, with the nearest name "
        "that is."
    )
    parts = [element("p", prose(said, links))] if tag == _TAGS[0] else []
    return Section(f"list-of-{tag}", tag.capitalize(), joined([*parts, element("ul", *places, class_="places")]))


def _places_of_parts() -> Markup:
    places = (element("a", "Parts of requests", href=PARTS[0]), element("a", "Parts of answers", href=PARTS[1]))
    return element("ul", *(element("li", place) for place in places), class_="places")


def _operation(method: str, path: str, operation: Schema, components: Schema, links: Mapping[str, str]) -> Markup:
    address = element("code", f"{method} {path}")
    complete = method == "GET" and "{" not in path and not any(one.get("required") for one in operation["parameters"])
    parts: list[Child] = [
        element("p", element("a", address, href=path) if complete else address),
        element("p", prose(operation["description"], links)),
    ]
    if beyond := _more().get(operation["operationId"]):
        parts.append(element("p", prose(beyond, links)))
    if "requestBody" in operation:
        request, example = _content(operation["requestBody"])
        parts.append(_struct_table(request, "Request", components, links))
        examples = {one["name"]: one["example"] for one in operation["parameters"] if one["in"] == "path"}
        parts.append(_example_of("Worked request", example, data_post=path.format_map(examples)))
        parts += _other_media(operation["requestBody"], "Request", links)
    for parameter in operation.get("parameters", []):
        words = joined([element("code", word) for word in parameter["schema"].get("enum", [])], ", ")
        where = "In the query" if parameter["in"] == "query" else "In the path"
        said: list[Child] = [where, ": ", element("code", parameter["name"]), ". "]
        said.append(prose(parameter["description"], links))
        parts.append(element("p", *said, *([" One of ", words, "."] if words else [])))
    answer, example = _content(operation["responses"]["200"])
    parts.append(_struct_table(answer, "Answer", components, links))
    if example is not None:
        short = example.get("about") == msgspec.to_builtins(NOTHING_SAID)
        parts.append(_example_of("Worked answer, as asked with ?about=none" if short else "Worked answer", example))
    parts += _other_media(operation["responses"]["200"], "Answer", links)
    return element("div", *parts, class_="operation")


@cache
def _more() -> Mapping[str, str]:
    """Return what is said of operations beyond the contract, by their ids."""
    return {"batch": more()} | {one.operation_id: one.more for one in (*CALCULATIONS, *SHOWN)}


def _content(holder: Schema) -> tuple[str, Any]:
    """Return the component a body is described by, and its example if there is one."""
    media = holder["content"]["application/json"]
    return name_of(media["schema"]), media.get("examples", {}).get("worked", {}).get("value")


def _other_media(holder: Schema, title: str, links: Mapping[str, str]) -> Iterator[Markup]:
    """Yield what is to be said of media types that are texts to JSON Schema: lines of rows, say."""
    for name, media in holder["content"].items():
        if "$ref" not in media["schema"]:
            said = prose(str(media["schema"].get("description", "")), links)
            yield element("p", f"{title} as ", element("code", name), *((": ", said) if said else (".",)))
            for example in media.get("examples", {}).values():
                yield code(example["value"], class_="lines")


def _example_of(title: str, value: Any, **attributes: str) -> Markup:
    return element("details", element("summary", title), code(as_json(value), class_="json", **attributes))


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
    return table(caption, ["Field", "Kind", "Units and range", "What it is"], rows, "fields")


def _parts(
    operations: list[tuple[str, str, Schema]], components: Schema, links: Mapping[str, str]
) -> tuple[Markup, Markup]:
    """Return the parts of requests, and those of answers."""
    requests = {_content(one["requestBody"])[0] for _, _, one in operations if "requestBody" in one}
    answers = {_content(one["responses"]["200"])[0] for _, _, one in operations}
    given = _within(requests, components)
    asked: list[Child] = []
    answered: list[Child] = []
    for name, schema in components.items():
        if "properties" not in schema or {"x-quantity", "x-dimension"} & set(schema) or name in requests | answers:
            continue
        part = element(
            "section",
            element("h2", name),
            element("p", prose(schema["description"], links)),
            _struct_table(name, "" if name in given else "Answer", components, links),
            id=name,
        )
        (asked if name in given else answered).append(part)
    return joined(asked), joined(answered)


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
