"""Everything a request can hold is bounded, so that no request makes unbounded work."""

from typing import Any

import pytest

NUMBERS = {"minimum", "exclusiveMinimum"}, {"maximum", "exclusiveMaximum"}


def unbounded(contract: Any, schema: Any, place: str, seen: set[str]) -> list[str]:
    """Places at which a value of a schema may be as large or as long as its sender likes."""
    if isinstance(schema, list):
        return [one for at, item in enumerate(schema) for one in unbounded(contract, item, f"{place}/{at}", seen)]
    if not isinstance(schema, dict):
        return []
    found = []
    name = schema.get("$ref", "").rpartition("/")[2]
    if name and name not in seen:
        seen.add(name)
        target = contract["components"]["schemas"][name]
        # A quantity says its range in words and is held to it by its own tests.
        found += [] if "x-quantity" in target else unbounded(contract, target, name, seen)
    said = schema.get("type")
    kinds = set(said) if isinstance(said, list) else {said} if isinstance(said, str) else set()
    if (
        ("array" in kinds and "maxItems" not in schema)
        or ("string" in kinds and not {"maxLength", "enum", "format"} & set(schema))
        or (kinds & {"integer", "number"} and "enum" not in schema and not all(ends & set(schema) for ends in NUMBERS))
        or ("object" in kinds and schema.get("additionalProperties") and "maxProperties" not in schema)
    ):
        found.append(place)
    for key, member in schema.items():
        if key not in ("examples", "default", "enum", "not"):
            found += unbounded(contract, member, f"{place}/{key}", seen)
    return found


# A cell is a number in the unit of its column, or what the scenario's own type makes of it: bounded there, row by row.
# A table is bounded by the bytes of the body, and its cells as above.
KNOWN = {
    "BatchRequest/properties/vary/additionalProperties/anyOf/0/items/anyOf/0",
    "VariedValues/properties/values/items/anyOf/0",
    "POST /v1/batch/{calculation}",
}


def test_whatever_a_request_can_hold_is_bounded(contract: Any) -> None:
    seen: set[str] = set()
    found = [
        place
        for path, item in contract["paths"].items()
        for method, operation in item.items()
        for media in operation.get("requestBody", {}).get("content", {}).values()
        for place in unbounded(contract, media["schema"], f"{method.upper()} {path}", seen)
    ]
    assert len(seen) > 100
    assert set(found) == KNOWN


@pytest.mark.parametrize(
    "schema",
    [
        {"type": "array", "items": {}},
        {"type": "string"},
        {"type": "number", "minimum": 0},
        {"type": "object", "additionalProperties": {"type": "boolean"}},
        {"anyOf": [{"type": "boolean"}, {"type": "integer"}]},
    ],
)
def test_what_has_no_bound_is_found(schema: Any) -> None:
    assert unbounded({}, schema, "here", set())
