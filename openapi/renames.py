"""Names that a contract announces as changed, so that an older one can be read in its words."""

from collections.abc import Iterator, Mapping
from typing import Any, TypeAlias, cast

Node: TypeAlias = Mapping[str, Any]

LIST = "x-renamed"
"""Where a contract lists them: members by the types they stand in, types, and rows by their table."""


class Renames:
    """What is called otherwise in a contract than in older ones.

    Parameters
    ----------
    new : mapping
        The contract that announces it.
    """

    def __init__(self, new: Node) -> None:
        said = new.get(LIST, {})
        self._types = {one["old"]: one["new"] for one in said.get("types", ())}
        self._members: dict[str, dict[str, str]] = {}
        for one in said.get("members", ()):
            for kind in one["of"]:
                self._members.setdefault(kind, {})[one["old"]] = one["new"]

    def kind(self, name: str) -> str:
        """Return what a type is called now."""
        return self._types.get(name, name)

    def members(self, kind: str) -> Mapping[str, str]:
        """Return the new names of members of requests by their old ones, of a type by either of its names."""
        return self._members.get(self.kind(kind), {})

    def in_new_words(self, value: Any, schema: Node, old: Node) -> Any:
        """Return a `value` of a `schema` of the older contract `old`, with its members as they are called now."""
        name = ""
        while "$ref" in schema:
            name = str(schema["$ref"]).rpartition("/")[2]
            schema = old["components"]["schemas"][name]
        if isinstance(value, list):
            items = schema.get("items", {})
            return [self.in_new_words(one, items, old) for one in cast("list[Any]", value)]
        if not isinstance(value, dict):
            return value
        members = cast("dict[str, Any]", value)
        for form in schema.get("anyOf", ()):
            if members.keys() <= _properties(form, old).keys():
                return self.in_new_words(members, form, old)
        inside = _properties(schema, old)
        new = self.members(name)
        return {new.get(key, key): self.in_new_words(one, inside.get(key, {}), old) for key, one in members.items()}


def _properties(schema: Node, document: Node) -> Node:
    while "$ref" in schema:
        schema = document["components"]["schemas"][str(schema["$ref"]).rpartition("/")[2]]
    return schema.get("properties", {})


def gone_early(old: Node, new: Node) -> Iterator[str]:
    """Yield each old word that an older contract says is read, and `new` does not."""
    before, after = (
        {_key(one, key) for key in ("members", "rows") for one in said.get(LIST, {}).get(key, ())}
        for said in (old, new)
    )
    yield from (f"the old word {word!r} is no longer read" for word, *_ in sorted(before - after))


def _key(one: Node, key: str) -> tuple[str, ...]:
    return (one["old"], key, one.get("table", ""), *one.get("of", ()))
