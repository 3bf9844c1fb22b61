"""Say what in a contract would break callers of an older one: `python openapi/breaking.py OLD NEW`.

Requests may only become wider and answers may only grow. A member or a type may have another name where the new
contract lists the old one as read (`x-renamed`). Words of an answer (its enumerations) may grow too: clients
keep a word they do not know as text. Exit code 0: nothing breaks. 1: something does, one line each. 2: wrong use.
"""

import operator
import sys
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any, Literal, TypeAlias

import msgspec
from renames import Renames, gone_early

Node: TypeAlias = Mapping[str, Any]
Role: TypeAlias = Literal["request", "answer"]

_METHODS = ("get", "put", "post", "delete", "head", "patch")
_LEAST = ("minimum", "exclusiveMinimum", "minLength", "minItems")
_MOST = ("maximum", "exclusiveMaximum", "maxLength", "maxItems")


def breaks(old: Node, new: Node) -> list[str]:
    """Return what breaks callers of `old`, one line each; none if `new` serves them all.

    Parameters
    ----------
    old, new
        OpenAPI 3.1 documents whose schemas are shared through `#/components/schemas`.
    """
    found = list(gone_early(old, new))
    comparison = _Comparison(old, new)
    for path, item in old["paths"].items():
        for method in _METHODS:
            if method in item:
                where = f"{method.upper()} {path}"
                now = new["paths"].get(path, {}).get(method)
                if now is None:
                    found.append(f"{where}: removed")
                else:
                    found += [f"{where}: {line}" for line in comparison.operation(item[method], now)]
    return list(dict.fromkeys(found))


class _Comparison:
    """Two documents side by side; every pair of named schemas is compared once for each role."""

    def __init__(self, old: Node, new: Node) -> None:
        self._old = old
        self._new = new
        self._renames = Renames(new)
        self._seen: set[tuple[str, str, Role]] = set()

    def operation(self, old: Node, new: Node) -> Iterator[str]:
        if old.get("operationId") != new.get("operationId"):
            yield f"operationId {old.get('operationId')!r} became {new.get('operationId')!r}"
        yield from self._parameters(old, new)
        before, after = old.get("requestBody", {}), new.get("requestBody", {})
        if after.get("required") and not before.get("required"):
            yield "a body is now required"
        yield from self._content(before, after, "request")
        for status, response in old["responses"].items():
            if status not in new["responses"]:
                if status.startswith("2"):
                    yield f"answer {status}: removed"
                continue
            yield from self._content(
                self._followed(self._old, response), self._followed(self._new, new["responses"][status]), "answer"
            )

    def _parameters(self, old: Node, new: Node) -> Iterator[str]:
        before, after = (
            {(one["in"], one["name"]): one for given in operation.get("parameters", ()) for one in [followed(given)]}
            for operation, followed in (
                (old, partial(self._followed, self._old)),
                (new, partial(self._followed, self._new)),
            )
        )
        for key, one in before.items():
            name = f"{key[0]} parameter {key[1]!r}"
            if key not in after:
                yield f"{name}: removed"
                continue
            if after[key].get("required") and not one.get("required"):
                yield f"{name}: now required"
            yield from self._schema(one.get("schema", {}), after[key].get("schema", {}), "request", name)
        for key, one in after.items():
            if key not in before and one.get("required"):
                yield f"{key[0]} parameter {key[1]!r}: new and required"

    def _content(self, old: Node, new: Node, role: Role) -> Iterator[str]:
        for media_type, form in old.get("content", {}).items():
            if media_type not in new.get("content", {}):
                yield f"{role} as {media_type}: removed"
            else:
                yield from self._schema(
                    form.get("schema", {}), new["content"][media_type].get("schema", {}), role, role
                )

    def _followed(self, document: Node, node: Node) -> Node:
        """Return what a reference stands for; one with more beside it keeps that beside it."""
        while "$ref" in node:
            found = document
            for step in node["$ref"].removeprefix("#/").split("/"):
                found = found[step.replace("~1", "/").replace("~0", "~")]
            node = {**found, **{key: value for key, value in node.items() if key != "$ref"}}
        for form in node.get("allOf", ()):  # all that a type of another name has
            node = {**self._followed(document, form), **{key: value for key, value in node.items() if key != "allOf"}}
        return node

    def _forms(self, document: Node, node: Node) -> dict[str, Node]:
        """Return the forms of `anyOf` by name: a type's own, else what it is; a list of types is a form for each.

        The pattern of a quantity's text only repeats its list of units.
        """
        forms: dict[str, Node] = {}
        for one in node.get("anyOf", ()):
            form = self._followed(document, one)
            if "x-quantity" in form and "properties" in form:
                forms[f"a reading of {form['x-quantity']['dimension']}"] = one
            elif "x-quantity" in form or ("$ref" in one and "properties" in form and "x-dimension" not in form):
                forms[self._renames.kind(str(one["$ref"]).rsplit("/", 1)[-1])] = one
            else:
                kept = {key: form[key] for key in form if key != "pattern" or "x-quantity" not in node}
                for kind in sorted(_types(form)) or [()]:
                    # What bounds the others means nothing to null.
                    alone: Node = {"type": kind} if kind == "null" else kept | {"type": kind}
                    forms[_form(alone)] = alone
        return forms

    def _schema(self, old: Node, new: Node, role: Role, where: str) -> Iterator[str]:
        if role == "request" and "anyOf" not in old:
            new = _not_null(new)
        if "$ref" in old and "$ref" in new:
            pair = (old["$ref"], new["$ref"], role)
            if pair in self._seen:
                return
            self._seen.add(pair)
            where = old["$ref"].rsplit("/", 1)[-1]
        if ("anyOf" in old) != ("anyOf" in new):
            # One of them has forms: the other is its only one.
            old, new = (one if "anyOf" in one else {"anyOf": [one]} for one in (old, new))
        old, new = self._followed(self._old, old), self._followed(self._new, new)
        yield from self._words(old, new, role, where)
        if role == "request":
            yield from _bounds(old, new, where)
        yield from self._members(old, new, role, where)
        yield from self._variants(old, new, role, where)
        for inside in ("items", "additionalProperties"):
            if isinstance(old.get(inside), dict) and isinstance(new.get(inside), dict):
                yield from self._schema(old[inside], new[inside], role, f"{where}/{inside}")
        if role == "request" and old.get("additionalProperties", True) and new.get("additionalProperties") is False:
            yield f"{where}: fields of other names are no longer taken"

    def _words(self, old: Node, new: Node, role: Role, where: str) -> Iterator[str]:
        before, after = _types(old), _types(new)
        narrow, wide = (before, after) if role == "request" else (after, before)
        forms = "anyOf" in old or "anyOf" in new  # compared form by form
        if wide and not forms and not (narrow and _within(narrow, wide)):
            yield f"{where}: type {_named(before)} became {_named(after)}"
        if role == "request" and "enum" in new:
            gone = [word for word in old.get("enum", ()) if word not in new["enum"]]
            if gone:
                yield f"{where}: no longer takes {', '.join(map(repr, gone))}"
            elif "enum" not in old:
                yield f"{where}: takes only certain words now"

    def _members(self, old: Node, new: Node, role: Role, where: str) -> Iterator[str]:
        before, after = old.get("properties", {}), new.get("properties", {})
        needed_before, needed_after = set(old.get("required", ())), set(new.get("required", ()))
        called: Mapping[str, str] = self._renames.members(where) if role == "request" else {}
        for name, one in before.items():
            now = name if name in after else called.get(name, name)
            if now not in after:
                yield f"{where}/{name}: removed"
            else:
                yield from self._schema(one, after[now], role, f"{where}/{name}")
        if role == "request":
            needed_before |= {called[name] for name in needed_before & called.keys()}
            yield from (f"{where}/{name}: now required" for name in sorted(needed_after - needed_before))
        else:
            kept = needed_before & set(after)
            yield from (f"{where}/{name}: may now be absent" for name in sorted(kept - needed_after))

    def _variants(self, old: Node, new: Node, role: Role, where: str) -> Iterator[str]:
        """Compare what stands in `anyOf`: a request may gain forms, an answer may not."""
        before, after = self._forms(self._old, old), self._forms(self._new, new)
        for form in before.keys() & after.keys():
            yield from self._schema(before[form], after[form], role, f"{where} as {form}")
        lost = before.keys() - after.keys() if role == "request" else after.keys() - before.keys()
        for form in sorted(lost):
            yield f"{where}: no longer taken as {form}" if role == "request" else f"{where}: may now be {form}"


def _bounds(old: Node, new: Node, where: str) -> Iterator[str]:
    for names, tighter in ((_LEAST, operator.gt), (_MOST, operator.lt)):
        for name in names:
            if name in new and (name not in old or tighter(new[name], old[name])):
                yield f"{where}: {name} {old.get(name, 'absent')} became {new[name]}"
    before, after = old.get("x-quantity", {}), new.get("x-quantity", {})
    for name, tighter in (("minimum", operator.gt), ("maximum", operator.lt)):
        if name in after:
            was, now = _bound(before, name), _bound(after, name)
            if was is None or was[1] != now[1] or tighter(now[0], was[0]):
                yield f"{where}: {name} of the quantity {was} became {now}"
    if "pattern" in new and new["pattern"] != old.get("pattern"):
        yield f"{where}: pattern {old.get('pattern', 'absent')} became {new['pattern']}"


def _bound(quantity: Node, name: str) -> Any:
    """Return a bound and its unit; up to 0.2.0 the unit stood with each bound, now it is `metric`."""
    bound = quantity.get(name)
    if isinstance(bound, dict):
        return bound["value"], bound["unit"]
    return None if bound is None else (bound, quantity["metric"])


def _not_null(node: Node) -> Node:
    """Return what a `node` takes beside null, where that is one form: a request may say nothing there, too."""
    forms = [one for one in node.get("anyOf", ()) if one != {"type": "null"}]
    return forms[0] if len(forms) == 1 else node


def _types(node: Node) -> frozenset[str]:
    words = {"string" if isinstance(word, str) else "integer" for word in node.get("enum", ())}
    given = node.get("type", words)
    return frozenset([given] if isinstance(given, str) else given)


def _within(narrow: frozenset[str], wide: frozenset[str]) -> bool:
    return all(one in wide or (one == "integer" and "number" in wide) for one in narrow)


def _named(types: frozenset[str]) -> str:
    return " or ".join(sorted(types)) or "any"


def _form(node: Node) -> str:
    return " of ".join((_named(_types(node)), *filter(None, [", ".join(node.get("required", ()))])))


def main(arguments: list[str]) -> int:
    """Compare two files."""
    if len(arguments) != 2:
        print(__doc__, file=sys.stderr)
        return 2
    old, new = (msgspec.json.decode(Path(name).read_bytes(), type=dict[str, Any]) for name in arguments)
    found = breaks(old, new)
    for line in found:
        print(line)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
