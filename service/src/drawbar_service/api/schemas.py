"""Types as JSON Schema: what msgspec writes, put so that generators of code in other languages read it well.

A member that may be left out may be null, too, and says in words what it is then: a ``default`` would make generators
require it. Words of a request are a closed list, those of an answer are open, as are the ids of tables. Members that
depend on each other are in :mod:`~drawbar_service.api.rules`.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias, cast, get_args

import msgspec

from drawbar_service.api.quantity_schemas import as_short
from drawbar_service.api.rows_named import ROWS_NAMED
from drawbar_service.api.rules import RULES, any_of
from drawbar_service.api.shared.implement import Hitch
from drawbar_service.api.shared.tables import OWN_ID
from drawbar_service.api.shared.tractor import Drive
from drawbar_service.model.chance import Word
from drawbar_service.model.limits import LimitName
from drawbar_service.quantities import Quantity
from drawbar_service.reference import TABLES

Schema: TypeAlias = dict[str, Any]

REF = "#/components/schemas/{name}"
_SCHEMAS = REF.format(name="")
WORDS = "x-extensible-enum"
"""Words known today, of a text that may hold others tomorrow."""
DEFAULT = "x-default"
"""What a member is when it is left out; a ``default`` would make generators require it."""

_BESIDE = ("description", "examples", DEFAULT)
"""What stands beside the schema of a member."""
_OWN_ID: Schema = {"type": "string", "maxLength": 64, "pattern": OWN_ID}
_LONG = 1_000
"""Characters of members from which it is worth to say them once."""
_BOUNDS = ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum")
_NULL: Schema = {"type": "null"}


_ASKED_WORDS: Mapping[str, tuple[str, Sequence[str]]] = {
    "Drive": ("What is driven.", get_args(Drive)),
    "Hitch": ("How a machine is hitched.", get_args(Hitch)),
}
_GIVEN_WORDS: Mapping[str, tuple[str, Sequence[str]]] = {
    "LimitName": ("A limit of a match.", get_args(LimitName)),
    "VerdictWord": ("A verdict.", get_args(Word)),
}
"""Lists of words that several members have, by the name of their schema, with what they are."""


def schemas(
    kinds: Iterable[type[msgspec.Struct]], quantity: Callable[[type[Quantity]], Schema]
) -> tuple[list[Schema], Schema]:
    """Return the schema of each type, and of what they are made of by name; `quantity` writes that of a quantity."""

    def hook(kind: type) -> Schema:
        if issubclass(kind, Quantity):
            return quantity(kind)
        raise NotImplementedError

    found, components = msgspec.json.schema_components(list(kinds), schema_hook=hook, ref_template=REF)
    return list(found), components


def asked(components: Schema) -> Schema:
    """Return the types of requests, by name, as the contract has them; with the tables whose rows they name."""
    rows = {name: _row_ids(table) for name, table in _tables().items()}
    defaults = _quantity_defaults()
    structs = {name: _asked(name, struct, defaults.get(name, {})) for name, struct in components.items()}
    shared = {
        name: {"type": "string", "enum": sorted(words), "description": said}
        for name, (said, words) in _ASKED_WORDS.items()
    }
    shared["OwnRowId"] = _OWN_ID | {"description": "Id of a row of your own."}
    return rows | _said_once(cast("Schema", _with_shared(structs, shared))) | shared


def _said_once(structs: Schema) -> Schema:
    """Return types with a reference in place of one whose members are all those of another."""
    found: dict[str, str] = {}
    said: Schema = {}
    for name, struct in structs.items():
        members = str(struct.get("properties"))
        if len(members) > _LONG and members in found:
            said[name] = {"description": struct["description"], "allOf": [{"$ref": REF.format(name=found[members])}]}
        else:
            found[members] = name
            said[name] = struct
    return said


def whole(components: Schema) -> Schema:
    """Return the types of a contract, each with members of its own where it refers to another for all of them."""
    return {
        name: components[next(references(schema["allOf"]))] | {"description": schema["description"]}
        if "allOf" in schema
        else schema
        for name, schema in components.items()
    }


def given(components: Schema) -> Schema:
    """Return the types of answers, by name, as the contract has them."""
    structs = {name: _opened(_untitled(struct)) for name, struct in components.items()}
    shared = {
        name: {"type": "string", "description": said, WORDS: sorted(words)}
        for name, (said, words) in _GIVEN_WORDS.items()
    }
    return cast("Schema", _with_shared(structs, shared)) | shared


def _with_shared(schema: Any, shared: Mapping[str, Schema]) -> Any:
    """Return a schema with a reference in place of each text that is the same as a shared one."""
    if isinstance(schema, list):
        return [_with_shared(one, shared) for one in cast("list[Any]", schema)]
    if not isinstance(schema, dict):
        return schema
    members = cast("Schema", schema)
    if members.get("type") == "string":
        beside = {key: member for key, member in members.items() if key in _BESIDE}
        alone = {key: member for key, member in members.items() if key not in _BESIDE}
        for name, one in shared.items():
            if alone == {key: member for key, member in one.items() if key not in _BESIDE}:
                return beside | {"$ref": REF.format(name=name)}
    return {key: member if key == "not" else _with_shared(member, shared) for key, member in members.items()}


def _tables() -> dict[str, str]:
    return {row_name(table): table for members in ROWS_NAMED.values() for table in members.values()}


def row_name(table: str) -> str:
    """Return the name of the schema of the ids of a table, such as ``DraftRow``."""
    return "".join(word.capitalize() for word in table.split("-")) + "Row"


def _row_ids(table: str) -> Schema:
    return {
        "type": "string",
        "maxLength": 64,
        "description": f"Id of a row of `/v1/reference/{table}`, which may get others.",
        WORDS: list(TABLES[table].rows),
    }


def _quantity_defaults() -> dict[str, dict[str, str]]:
    """Return what quantities are when they are left out, in words, by type and member."""
    found: dict[str, dict[str, str]] = {}
    waiting: list[type[msgspec.Struct]] = [msgspec.Struct]
    while waiting:
        for kind in waiting.pop().__subclasses__():
            waiting.append(kind)
            for field in msgspec.structs.fields(kind):
                if field.default_factory is not msgspec.NODEFAULT:
                    value = field.default_factory()
                    if isinstance(value, Quantity):
                        found.setdefault(kind.__name__, {})[field.encode_name] = value.words("metric")
    return found


def _untitled(struct: Schema) -> Schema:
    return {key: member for key, member in struct.items() if key != "title" and (key, member) != ("required", [])}


def _asked(name: str, struct: Schema, defaults: Mapping[str, str]) -> Schema:
    struct = _untitled(struct)
    required = cast("list[str]", struct.get("required", []))
    members = cast("Schema", struct.get("properties", {}))
    rows = ROWS_NAMED.get(name, {})
    struct["properties"] = {
        member: _member(_of_table(schema, rows.get(member)), member in required, defaults.get(member))
        for member, schema in members.items()
    }
    if name in RULES:
        struct["not"] = any_of(RULES[name])
    return struct


def _of_table(schema: Schema, table: str | None) -> Schema:
    """Return the schema of a member with the ids of a table in place of any text."""
    if table is None:
        return schema
    kept = {key: value for key, value in schema.items() if key not in ("type", "maxLength", "anyOf")}
    reference = {"$ref": REF.format(name=row_name(table))}
    return {**kept, **({"anyOf": [reference, {"type": "null"}]} if "anyOf" in schema else reference)}


def _member(schema: Schema, required: bool, quantity: str | None) -> Schema:
    """Return a member of a request: if it may be left out, null is the same, and what it is then is said in words."""
    schema = cast("Schema", _typed(schema))
    default = schema.pop("default", None)
    if required:
        return schema
    said = quantity if quantity is not None else _in_words(default)
    form = {key: value for key, value in schema.items() if key not in _BESIDE}
    forms = cast("list[Schema]", form["anyOf"]) if list(form) == ["anyOf"] else [form]
    member: Schema = {key: schema[key] for key in _BESIDE if key in schema}
    if said:
        member["description"] = f"{member['description']} Left out: `{said}`."
    forms = [one for one in forms if one != _NULL]
    member |= _or_null(forms[0]) if len(forms) == 1 and _is_plain(forms[0]) else {"anyOf": [*forms, _NULL]}
    if default is not None:
        member[DEFAULT] = default
    return member


def _is_plain(form: Schema) -> bool:
    """Say whether a schema can take null into its ``type``, which is shorter than a choice and read as well."""
    return isinstance(form.get("type"), str) and "enum" not in form and WORDS not in form


def _or_null(form: Schema) -> Schema:
    return form | {"type": [form["type"], "null"]}


def _in_words(default: Any) -> str:
    if default in (None, "", []):
        return ""
    return str(default).lower() if isinstance(default, bool) else str(default)


def _typed(schema: Any) -> Any:
    """Return a schema with the type of each list of words beside it, which some generators want."""
    if isinstance(schema, list):
        return [_typed(one) for one in cast("list[Any]", schema)]
    if not isinstance(schema, dict):
        return schema
    members: Schema = {
        key: as_short(member) if key in _BOUNDS and isinstance(member, float) else _typed(member)
        for key, member in cast("Schema", schema).items()
    }
    if "enum" in members and "type" not in members:
        members = {"type": _type_of(members["enum"]), **members}
    return members


def _type_of(words: list[Any]) -> str:
    return "string" if all(isinstance(word, str) for word in words) else "integer"


def _opened(schema: Any) -> Any:
    """Return a schema of answers: its words are those known today, and null is said where it is meant only."""
    if isinstance(schema, list):
        return [_opened(one) for one in cast("list[Any]", schema)]
    if not isinstance(schema, dict):
        return schema
    members = {key: _opened(member) for key, member in cast("Schema", schema).items()}
    if not isinstance(members.get("default"), dict):  # a member of that name is no default
        default = members.pop("default", None)
        if default is not None:
            members[DEFAULT] = default
    if isinstance(members.get("enum"), list):
        words = members.pop("enum")
        members = {"type": _type_of(words), **members, WORDS: words}
    forms = members.get("anyOf")
    if isinstance(forms, list) and len(cast("list[Schema]", forms)) == 2 and _NULL in forms:
        (form,) = (one for one in cast("list[Schema]", forms) if one != _NULL)
        if _is_plain(form):
            del members["anyOf"]
            members = {**members, **_or_null(form)}
    return members


def used(document: Schema, components: Schema) -> Schema:
    """Return those of the `components` that a `document` leads to, in the order of their names."""
    found: set[str] = set()
    waiting: list[Any] = [document]
    while waiting:
        for name in set(references(waiting.pop())) - found:
            found.add(name)
            waiting.append(components[name])
    return {name: components[name] for name in sorted(found)}


def references(schema: Any) -> Iterator[str]:
    """Yield the name of every schema that a part of the document refers to."""
    if isinstance(schema, dict):
        members = cast("Schema", schema)
        reference = members.get("$ref")
        if isinstance(reference, str) and reference.startswith(_SCHEMAS):
            yield reference.removeprefix(_SCHEMAS).partition("/")[0]
        for member in members.values():
            yield from references(member)
    elif isinstance(schema, list):
        for item in cast("list[Any]", schema):
            yield from references(item)
