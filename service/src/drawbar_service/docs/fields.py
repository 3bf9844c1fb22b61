"""What a field of a request or an answer may hold, in words, from its JSON Schema."""

from typing import Any, NamedTuple, cast

from drawbar_service.api.schemas import WORDS, Schema
from drawbar_service.docs.markup import Child, Markup, element, joined

_TYPES = {"string": "text", "integer": "whole number", "number": "number", "boolean": "true or false"}


class Field(NamedTuple):
    """One field of an object."""

    name: str
    required: bool
    kind: Markup
    limits: Markup
    """Units and range; empty where there are none."""
    description: str


def fields_of(struct: Schema, components: Schema) -> list[Field]:
    """Return the fields of an object."""
    required = struct.get("required", [])
    properties = cast("dict[str, Schema]", struct["properties"])
    return [
        Field(
            name,
            name in required,
            kind_of(schema if name in required else _without_null(schema), components),
            joined(_limits_of(schema, components), "; "),
            str(schema.get("description", "")),
        )
        for name, schema in properties.items()
    ]


def _without_null(schema: Schema) -> Schema:
    """Return the schema of what may be left out without null, which says the same: no need to say so each time."""
    forms = [form for form in _list(schema, "anyOf") if form != {"type": "null"}]
    if isinstance(schema.get("type"), list):
        return schema | {"type": next(kind for kind in _list(schema, "type") if kind != "null")}
    return schema | {"anyOf": forms} if forms else schema


def kind_of(schema: Schema, components: Schema) -> Markup:
    """Return the kind of value a schema asks for, with a link where there is more to say."""
    if "$ref" in schema:
        name = name_of(schema)
        quantity = components[name].get("x-quantity")
        if "properties" not in components[name] and quantity is None:
            return joined([kind_of(components[name], components)])
        if quantity is None:
            return element("a", name, href=f"#{name}")
        return element("a", _spaced(quantity["dimension"]), href=f"#unit-{quantity['dimension']}")
    if "anyOf" in schema:
        return joined([kind_of(form, components) for form in _list(schema, "anyOf")], " or ")
    if "maxLength" in schema and WORDS in schema:
        return Markup("text")  # the id of a row of a table, which is on its own page
    for words in ("enum", WORDS):
        if words in schema:
            return joined([element("code", str(word)) for word in _list(schema, words)], ", ")
    if isinstance(schema.get("type"), list):
        return joined([kind_of(schema | {"type": kind}, components) for kind in _list(schema, "type")], " or ")
    if schema.get("type") == "array":
        return joined(["list of ", kind_of(schema["items"], components)])
    if schema.get("type") == "object":
        return Markup("object")
    return joined([_TYPES.get(str(schema.get("type")), "null")])


def name_of(schema: Schema) -> str:
    """Return the name of the component a schema refers to."""
    return str(schema["$ref"]).rpartition("/")[2]


def _limits_of(schema: Schema, components: Schema) -> list[Child]:
    if "$ref" in schema:
        quantity = components[name_of(schema)].get("x-quantity")
        return _limits_of_quantity(quantity) if quantity is not None else []
    limits: list[Child] = []
    for form in _list(schema, "anyOf"):
        limits += _limits_of(form, components)
    if schema.get("type") == "array":
        limits += _limits_of(schema["items"], components)
    for low, high, what in (
        ("minimum", "maximum", ""),
        ("minLength", "maxLength", " characters"),
        ("minItems", "maxItems", " of them"),
    ):
        if low in schema or high in schema:
            limits.append(_range(schema.get(low), schema.get(high)) + what)
    return limits


def _limits_of_quantity(quantity: Schema) -> list[Child]:
    units = dict.fromkeys((quantity["metric"], quantity["us"]))
    limits: list[Child] = [" or ".join(units)] if list(units) != ["1"] else []
    low = quantity.get("minimum")
    high = quantity.get("maximum")
    if low is not None or high is not None:
        unit = quantity["metric"]
        limits.append(f"{_range(low, high)}{'' if unit == '1' else f' {unit}'}")
    return limits


def _range(low: float | None, high: float | None) -> str:
    if low is None:
        return f"at most {_number(cast('float', high))}"
    if high is None:
        return f"at least {_number(low)}"
    return _number(low) if low == high else f"{_number(low)} to {_number(high)}"


def _number(value: float) -> str:
    return f"{value:,.10g}"


def _spaced(name: str) -> str:
    return name.replace("_", " ")


def _list(schema: Schema, key: str) -> list[Any]:
    return cast("list[Any]", schema.get(key, []))
