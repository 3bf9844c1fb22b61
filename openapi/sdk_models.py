"""Turn the contract into the SDK's types: requests, answers and quantities as Python source."""

import re
import textwrap
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, TypeAlias, cast

from renames import LIST, Renames

Schema: TypeAlias = dict[str, Any]

WIDTH = 120
_OWN = {"Problem", "Fault"}
"""Written by hand in drawbar.errors, where they also stand for what a proxy answers."""
_KNOWN_AS = {
    "Basis": "SourceBasis",
    "Binding": "LimitName",
    "Code": "WarningCode",
    "Count": "TireCount",
    "Drawbar": "DrawbarCategory",
    "Equation": "FuelEquation",
    "Find": "Findable",
    "Lever": "SeasonLever",
    "LimitedBy": "LimitName",
    "Method": "PowerMethod",
    "Name": "CheckName",
    "Pto": "PtoType",
    "Pump": "PumpKind",
    "Mode": "BatchMode",
    "Status": "HealthStatus",
    "ThreePoint": "ThreePointCategory",
    "Way": "SlipWay",
}
"""Names of sets of words that say more than the name of the field they were found in."""
_WORDS = ("enum", "x-extensible-enum")
"""Words of requests, a closed list, and those of answers and of tables, which may grow."""
_PARTS = ("Row", "Text", "Unit")
"""How names of texts end that stay as they are: ids of tables, and parts of quantities."""
_SCALARS = {"string": "str", "integer": "int", "number": "float", "boolean": "bool", "null": "None"}
_HEADER = '''\
"""Requests and answers of the service.

Generated from openapi/drawbar-v1.json by openapi/generate.py; edit neither by hand. Sets of words that answers use
may grow: to a program they are `str`, to an editor or type checker the words known today.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import msgspec

from drawbar._renamed import Renamed
from drawbar.answers import Answer, MatchPicture
from drawbar.quantities import GreatestReading, LeastReading, Quantity, Reading

'''
_READINGS = {"down": "GreatestReading", "up": "LeastReading"}
"""Readings by which way they are rounded."""
_PICTURES = {"MatchAnswer": "MatchPicture"}
"""Answers that can be drawn, and the base that draws them; any other answer is an `Answer`."""


def models(contract: Mapping[str, Any]) -> str:
    """Return the source of drawbar.models for a contract."""
    return Models(contract).source()


def _target(schema: Schema) -> str | None:
    reference = schema.get("$ref")
    return str(reference).rpartition("/")[2] if reference else None


def _list(value: Any) -> list[Any]:
    return cast("list[Any]", value)


def _items(schema: Schema) -> list[Schema]:
    return [schema["items"]] if "items" in schema else []


def _capitalised(name: str) -> str:
    return "".join(part.capitalize() for part in name.split("_"))


def _literal(words: tuple[Any, ...]) -> str:
    return ", ".join(f'"{word}"' if isinstance(word, str) else str(word) for word in words)


def _alias(name: str, words: tuple[Any, ...], indent: str, suffix: str = "") -> str:
    joined = _literal(words)
    line = f"{indent}{name}: TypeAlias = Literal[{joined}]{suffix}\n"
    if len(line) <= WIDTH + 1:
        return line
    deeper = f"{indent}    "
    one_line = f"{deeper}Literal[{joined}]{suffix}\n"
    if suffix and len(one_line) <= WIDTH + 1:
        return f"{indent}{name}: TypeAlias = (\n{one_line}{indent})\n"
    inner = deeper if not suffix else f"{deeper}    "
    listed = f"{inner}{joined}\n"
    if len(listed) > WIDTH + 1:
        listed = "".join(f"{inner}{_literal((word,))},\n" for word in words)
    if not suffix:
        return f"{indent}{name}: TypeAlias = Literal[\n{listed}{indent}]\n"
    literal = f"{deeper}Literal[\n{listed}{deeper}]\n"
    return f"{indent}{name}: TypeAlias = (\n{literal}{deeper}{suffix.strip()}\n{indent})\n"


def _without_shared_texts(schemas: dict[str, Schema]) -> dict[str, Schema]:
    """Return the types with words and ids that several share in place of each reference to them."""
    shared = {
        name: {key: member for key, member in schema.items() if key != "description"}
        for name, schema in schemas.items()
        if schema.get("type") == "string" and not name.endswith(_PARTS)
    }

    def written(schema: Any) -> Any:
        if isinstance(schema, list):
            return [written(one) for one in _list(schema)]
        if not isinstance(schema, dict):
            return schema
        members = {key: written(member) for key, member in cast("Schema", schema).items()}
        target = _target(members)
        if target in shared:
            del members["$ref"]
            return shared[target] | members
        return members

    whole = {
        name: schemas[_target(schema["allOf"][0]) or ""] | {"description": schema["description"]}
        if "allOf" in schema
        else schema
        for name, schema in schemas.items()
    }
    return {name: written(schema) for name, schema in whole.items() if name not in shared}


class Models:
    """A contract as types: what is asked, what is answered, and what to call it."""

    def __init__(self, contract: Mapping[str, Any]) -> None:
        self.schemas = _without_shared_texts(contract["components"]["schemas"])
        self._renames = Renames(contract)
        self._old_types = {one["old"]: one["new"] for one in contract.get(LIST, {}).get("types", ())}
        bodies: list[Schema] = []
        answers: list[Schema] = []
        for item in contract["paths"].values():
            for operation in item.values():
                bodies += [media["schema"] for media in operation.get("requestBody", {}).get("content", {}).values()]
                for status, response in operation["responses"].items():
                    if status.startswith("2"):
                        answers += [media["schema"] for media in response.get("content", {}).values()]
        self.requests = self._reachable(bodies)
        self.answers = self._reachable(answers) - _OWN
        both = {name for name in self.requests & self.answers if self.is_struct(name)}
        if both:
            # The two sides differ in what they tolerate, so one class cannot stand for both.
            raise ValueError(f"used in requests and in answers: {', '.join(sorted(both))}; give each side its own type")
        self._words = self._name_words()

    def _reachable(self, roots: list[Schema]) -> set[str]:
        found: set[str] = set()
        waiting: list[Any] = list(roots)
        while waiting:
            item = waiting.pop()
            if isinstance(item, dict):
                members = cast("Schema", item)
                name = _target(members)
                if name is not None and name not in found:
                    found.add(name)
                    waiting.append(self.schemas[name])
                waiting += members.values()
            elif isinstance(item, list):
                waiting += _list(item)
        return found

    def structs(self) -> list[str]:
        """Return the names of types with members, each after those it refers to."""
        names = sorted(self.requests | self.answers)
        return self._in_order([name for name in names if self.is_struct(name)])

    def is_struct(self, name: str) -> bool:
        """Say whether a type has members of its own, and is no quantity."""
        schema = self.schemas[name]
        return schema.get("type") == "object" and "x-quantity" not in schema and "x-dimension" not in schema

    def _rows(self) -> list[str]:
        """Return the names of the ids of tables."""
        return sorted(
            name
            for name in self.requests
            if self.schemas[name].get("type") == "string" and _WORDS[1] in self.schemas[name]
        )

    def _in_order(self, names: list[str]) -> list[str]:
        """Put each class after those it refers to, otherwise by name."""
        ordered: dict[str, None] = {}

        def place(name: str) -> None:
            if name not in ordered:
                for other in sorted(self._reachable([self.schemas[name]]) & set(names) - {name}):
                    place(other)
                ordered[name] = None

        for name in names:
            place(name)
        return list(ordered)

    def quantities(self) -> list[str]:
        """Return the names of kinds of quantities that are asked for."""
        return sorted(name for name in self.requests if "x-quantity" in self.schemas[name])

    def _enums(self) -> Iterator[tuple[str, str, tuple[Any, ...]]]:
        def words(schema: Schema) -> Iterator[tuple[Any, ...]]:
            yield from (tuple(schema[key]) for key in _WORDS if key in schema)
            for part in (*_list(schema.get("anyOf", [])), *_items(schema)):
                yield from words(part)

        for name in sorted(self.requests | self.answers):
            if self.is_struct(name):
                for field, schema in self.schemas[name].get("properties", {}).items():
                    for found in words(schema):
                        yield name, field, found

    def _name_words(self) -> dict[tuple[Any, ...], str]:
        """Name each set of words after its field, and after its class too where fields of one name differ."""
        first: dict[tuple[Any, ...], tuple[str, str]] = {}
        for struct, field, words in self._enums():
            first.setdefault(words, (struct, field))
        shared = Counter(field for _, field in first.values())
        named: dict[tuple[Any, ...], str] = {}
        for words, (struct, field) in first.items():
            name = _capitalised(field)
            named[words] = _KNOWN_AS.get(name, name) if shared[field] == 1 else struct + name
        taken = Counter([*named.values(), *self.schemas])
        clashes = [name for name in named.values() if taken[name] > 1]
        if clashes:
            raise ValueError(f"names given twice: {', '.join(clashes)}; add a better one to _KNOWN_AS")
        return named

    def source(self) -> str:
        """Return the module."""
        structs = self.structs()
        readings = {"Quantity", "Reading", *_READINGS.values()}
        exported = sorted(
            {
                *structs,
                *self._old_types,
                *self.quantities(),
                *self._rows(),
                *self._words.values(),
                *readings,
            }
        )
        listed = "\n".join(f'    "{name}",' for name in exported)
        parts = [f"{_HEADER}__all__ = [\n{listed}\n]\n"]
        parts.append("\n".join(self._quantity(name) for name in self.quantities()))
        parts += self._all_words()
        blocks = "\n".join(parts)
        old = "".join(f'\n\n{old} = {new}\n"""Old name of `{new}`."""\n' for old, new in self._old_types.items())
        return blocks + "".join(f"\n\n{self._struct(name)}" for name in structs) + old

    def _quantity(self, name: str) -> str:
        schema = self.schemas[name]
        forms = _list(schema["anyOf"])
        bare = any(form.get("type") == "number" for form in forms)
        spoken = ", ".join(unit for unit in self.schemas[f"{self.dimension(name)}Unit"]["enum"] if unit != "1")
        example = str(_list(schema["examples"])[0])
        text = f"{schema['description']} Units: {spoken}."
        if bare:
            text += " A plain number is a ratio."
        text += f' For example "{example}".'
        return f"{name}: TypeAlias = {'float | ' if bare else ''}str | Quantity\n{_docstring(text, '')}"

    def dimension(self, quantity: str) -> str:
        """Return the first part of the names that all quantities of a dimension share."""
        targets = [_target(form) or "" for form in _list(self.schemas[quantity]["anyOf"])]
        return next(name for name in targets if name.endswith("Value")).removesuffix("Value")

    def _all_words(self) -> list[str]:
        asked = {words for struct, _, words in self._enums() if struct in self.requests}
        given = {words for struct, _, words in self._enums() if struct in self.answers}
        order = sorted(self._words, key=self._words.__getitem__)
        closed = "".join(_alias(self._words[words], words, "") for words in order if words not in given)
        both = [self._words[words] for words in order if words in asked and words in given]
        if both:
            raise ValueError(f"words of requests and of answers: {', '.join(both)}; only the latter may grow")
        opened = [words for words in order if words in given]
        typed = "".join(_alias(self._words[words], words, "    ", " | str") for words in opened)
        plain = "".join(f"    {self._words[words]} = {type(words[0]).__name__}\n" for words in opened)
        for name in self._rows():
            typed += _alias(name, tuple(self.schemas[name][_WORDS[1]]), "    ")
            plain += f"    {name} = str\n"
        return [closed, f"if TYPE_CHECKING:\n{typed}else:\n{plain}"]

    def _struct(self, name: str) -> str:
        schema = self.schemas[name]
        is_request = name in self.requests
        options = "frozen=True, kw_only=True" + (", omit_defaults=True" if is_request else "")
        base = "Answer" if not is_request and "about" in schema.get("properties", {}) else "msgspec.Struct"
        if is_request and self._renames.members(name):
            base = "Renamed"
        lines = [
            f"class {name}({_PICTURES.get(name, base)}, {options}):",
            _docstring(schema["description"], "    ").rstrip("\n"),
        ]
        required = set(_list(schema.get("required", [])))
        for field, member in schema.get("properties", {}).items():
            lines.append("")
            lines.append(f"    {field}: {self._annotation(member, field in required, is_request)}")
            lines.append(_docstring(self._about(member, is_request), "    ").rstrip("\n"))
        return "\n".join(lines) + "\n"

    def _annotation(self, member: Schema, required: bool, is_request: bool) -> str:
        kind = self.type_of(member, is_request)
        if "x-rounded" in member:
            kind = kind.replace("Reading", _READINGS[member["x-rounded"]])
        nullable = kind.endswith(" | None")
        if required and not nullable:
            return kind
        default = member.get("x-default")
        if default == []:
            return f"{kind} = ()"
        if default is not None:
            return f"{kind} = {_literal((default,))}"
        return f"{kind if nullable else f'{kind} | None'} = None"

    def named(self, name: str, *, is_request: bool) -> str:
        """Return the Python name of a type of the contract."""
        return "Reading" if "x-quantity" in self.schemas[name] and not is_request else name

    def words(self, words: tuple[Any, ...]) -> str:
        """Return the Python name of a list of words."""
        return self._words[words]

    def type_of(self, schema: Schema, is_request: bool) -> str:
        """Return the Python type of a schema."""
        name = _target(schema)
        if name is not None:
            return self.named(name, is_request=is_request)
        for key in _WORDS:
            if key in schema:
                return self.words(tuple(schema[key]))
        if "anyOf" in schema:
            kinds = [self.type_of(part, is_request) for part in _list(schema["anyOf"])]
            return " | ".join(sorted(kinds, key=lambda kind: kind == "None"))
        if isinstance(schema["type"], list):
            return " | ".join(self.type_of(schema | {"type": kind}, is_request) for kind in _list(schema["type"]))
        if schema["type"] == "array":
            return f"{'Sequence' if is_request else 'list'}[{self.type_of(schema['items'], is_request)}]"
        if schema["type"] == "object":
            members = cast("Schema", schema.get("additionalProperties") or {})
            kind = self.type_of(members, is_request) if members else "Any"
            return f"{'Mapping' if is_request else 'dict'}[str, {kind}]"
        return _SCALARS[schema["type"]]

    def _about(self, member: Schema, is_request: bool) -> str:
        text = str(member["description"])
        units = self._units_of(member)
        if units and not is_request:
            text += f" [{units}]"
        examples = _list(member.get("examples", []))
        if examples:
            text += f' For example "{examples[0]}".'
        return text

    def _units_of(self, member: Schema) -> str:
        for part in (member, *_list(member.get("anyOf", [])), *_items(member)):
            name = _target(part)
            if name is not None and "x-quantity" in self.schemas[name]:
                about = self.schemas[name]["x-quantity"]
                return " or ".join(dict.fromkeys((str(about["metric"]), str(about["us"]))))
        return ""


def _docstring(text: str, indent: str) -> str:
    """Write a docstring: one line if it fits, else its first sentence apart from the rest."""
    text = re.sub(r"\s+", " ", text.replace("``", "`")).strip()
    # A quotation mark at the end would run into the closing ones.
    line = f'{indent}"""{text}"""\n'
    if len(line) <= WIDTH + 1:
        return line
    head, _, rest = text.partition(". ")
    first = f"{head}." if rest else text
    if len(first) > WIDTH - len(indent) - 3:
        wrapped = textwrap.wrap(text, WIDTH - len(indent) - 3)
        return f'{indent}"""' + f"\n{indent}".join(wrapped) + f'\n{indent}"""\n'
    wrapped = [f"{indent}{part}" for part in textwrap.wrap(rest, WIDTH - len(indent))]
    return f'{indent}"""{first}\n\n' + "\n".join(wrapped) + f'\n{indent}"""\n'
