"""Old words of requests, read as the new ones: members that are called otherwise now, and rows of tables.

``names.toml`` is the list. Here, where requests are read, old words become new ones, whatever form they come in; what
is behind knows the new ones only. The answer says each as a warning, and its headers when old words will go.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, time
from functools import cache
from importlib.resources import files
from typing import Any, Final, NamedTuple, TypeVar, cast, get_args, get_origin

import msgspec

from drawbar_service.api import words
from drawbar_service.api.answers import About, Answer, Notice
from drawbar_service.api.farewell import FAREWELLS_SAID, Farewell, headers_of
from drawbar_service.api.faults import Fault
from drawbar_service.api.nulls import bare
from drawbar_service.api.rows_named import ROWS_NAMED
from drawbar_service.api.shared.tables import OWN_ROWS
from drawbar_service.model.findings import Finding

AnswerT = TypeVar("AnswerT", bound=Answer)


class _Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A name that was changed."""

    old: str
    new: str
    why: str = ""
    term: str = ""
    """What a standard of terms calls it; empty where none does."""


class RenamedMember(_Entry, frozen=True, kw_only=True):
    """A member of requests or of answers."""

    of: list[str]
    """Types that it stands in."""


class RenamedRow(_Entry, frozen=True, kw_only=True):
    """A row of a table."""

    table: str


class KeptWords(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Words that differ and stay."""

    words: str
    why: str


class NameTable(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Every name that was changed, and those that were looked at and stay."""

    announced: date
    gone: date
    """No old word goes before this day."""
    members: list[RenamedMember]
    answers: list[RenamedMember]
    types: list[_Entry]
    rows: list[RenamedRow]
    kept: list[KeptWords]


NAMES: Final = msgspec.toml.decode(
    (files("drawbar_service.api") / "names.toml").read_text(encoding="utf-8"), type=NameTable
)
"""The list."""
PAGE: Final = "/docs/promise#names"
"""Where people read it."""


RENAMED: Final = "x-renamed"
"""Where the contract has it."""


def renamed_list() -> dict[str, Any]:
    """Return the list as the contract has it: what is read. Old members of answers stand beside the new ones."""
    return {
        "announced": NAMES.announced.isoformat(),
        "gone": NAMES.gone.isoformat(),
        "members": [{"old": one.old, "new": one.new, "of": one.of} for one in NAMES.members],
        "types": [{"old": one.old, "new": one.new} for one in NAMES.types],
        "rows": [{"old": one.old, "new": one.new, "table": one.table} for one in NAMES.rows],
    }


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


FAREWELL: Final = Farewell(_midnight(NAMES.announced), _midnight(NAMES.gone), PAGE)
"""When old words are no longer read."""

_MEMBERS: Final[Mapping[str, Mapping[str, str]]] = {
    kind: {one.old: one.new for one in NAMES.members if kind in one.of}
    for kind in dict.fromkeys(kind for one in NAMES.members for kind in one.of)
}
"""New words of members by their old ones, by type."""
_ROWS: Final[Mapping[str, Mapping[str, str]]] = {
    table: {one.old: one.new for one in NAMES.rows if one.table == table}
    for table in dict.fromkeys(one.table for one in NAMES.rows)
}
"""New ids of rows by their old ones, by table."""
_TABLE_OF: Final[Mapping[str, Mapping[str, str]]] = {
    **ROWS_NAMED,
    **{kind.__name__: {"id": table} for table, kind in OWN_ROWS.items()},
    OWN_ROWS["draft"].__name__: {"id": "draft", "practice": "practice"},
}
"""Tables of the members that name a row, by type; those of a request's own rows, too."""
_ESCAPED: Final = (b"\\u006", b"\\u007")
"""How JSON may write a small letter: what has one is looked through."""


class Renaming(NamedTuple):
    """An old word in a request."""

    pointer: str
    """Where it stands (JSON Pointer)."""
    old: str
    new: str
    is_row: bool = False
    """Whether it is the id of a row and not the name of a member."""


class Replaced(NamedTuple):
    """A decoded body in new words."""

    body: object
    renamings: Sequence[Renaming]
    faults: Sequence[Fault]
    """Where a member is given by its old and by its new word."""


class OldWords:
    """The old words of one kind of request.

    Parameters
    ----------
    kind : type
    """

    def __init__(self, kind: type[msgspec.Struct]) -> None:
        self._kind = kind
        parts = {one.__name__ for one in _parts(kind)}
        members = [old for part in parts for old in _MEMBERS.get(part, ())]
        tables = {table for part in parts for table in _TABLE_OF.get(part, {}).values()}
        rows = [old for table in tables for old in _ROWS.get(table, ())]
        plain = sorted({word.encode() for word in (*members, *rows)})
        self._in_json = (*(b'"%b"' % word for word in plain), *_ESCAPED)
        self._in_msgpack = tuple(plain)

    def may_be_in(self, body: bytes, is_json: bool) -> bool:
        """Return whether a body may have an old word; False where it has none for sure."""
        return any(word in body for word in (self._in_json if is_json else self._in_msgpack))

    def replaced(self, body: object) -> Replaced:
        """Return a decoded body in new words; members that are none stay."""
        return replaced(body, self._kind)

    def pointer(self, pointer: str) -> tuple[str, list[Renaming]]:
        """Return a JSON Pointer into a request in new words, and its old ones."""
        here: Any = self._kind
        steps, given = [""], [""]
        found: list[Renaming] = []
        for step in pointer.split("/")[1:]:
            inner = bare(here)
            given.append(step)
            new = step
            if _is_struct(inner):
                new = _MEMBERS.get(inner.__name__, {}).get(step, step)
                if new != step:
                    found.append(Renaming("/".join(given), step, new))
                here = next((one.type for one in msgspec.structs.fields(inner) if one.encode_name == new), None)
            elif get_origin(inner) is list:
                here = get_args(inner)[0]
            else:
                here = None
            steps.append(new)
        return "/".join(steps), found

    def new_rows(self, pointer: str) -> Mapping[str, str]:
        """Return the new ids of rows by their old ones, where a pointer in new words leads to ids of a table."""
        here: Any = self._kind
        table: str | None = None
        for step in pointer.split("/")[1:]:
            inner = bare(here)
            table = None
            if _is_struct(inner):
                table = _TABLE_OF.get(inner.__name__, {}).get(step)
                here = next((one.type for one in msgspec.structs.fields(inner) if one.encode_name == step), None)
            elif get_origin(inner) is list:
                here = get_args(inner)[0]
            else:
                here = None
        return {} if table is None else _ROWS.get(table, {})


@cache
def old_words(kind: type[msgspec.Struct]) -> OldWords:
    """Return the old words of a kind of request."""
    return OldWords(kind)


def replaced(body: object, kind: Any, pointer: str = "") -> Replaced:
    """Return a decoded body of a `kind`, which stands at `pointer`, in new words; members that are none stay."""
    renamings: list[Renaming] = []
    faults: list[Fault] = []
    return Replaced(_replaced(body, kind, pointer, renamings, faults), renamings, faults)


def _replaced(value: object, kind: Any, pointer: str, renamings: list[Renaming], faults: list[Fault]) -> object:
    kind = bare(kind)
    if get_origin(kind) is list and isinstance(value, list):
        (inner,) = get_args(kind)
        items = cast("list[object]", value)
        return [_replaced(item, inner, f"{pointer}/{index}", renamings, faults) for index, item in enumerate(items)]
    if not _is_struct(kind) or not isinstance(value, dict):
        return value
    members = cast("dict[str, object]", value)
    fields = {field.encode_name: field.type for field in msgspec.structs.fields(kind)}
    new_of, table_of = _MEMBERS.get(kind.__name__, {}), _TABLE_OF.get(kind.__name__, {})
    found: dict[str, object] = {}
    for name, member in members.items():
        place = f"{pointer}/{str(name).replace('~', '~0').replace('/', '~1')}"
        new = new_of.get(name, name)
        if new != name:
            renamings.append(Renaming(place, name, new))
            if member is not None and members.get(new) is not None:
                faults.append(Fault(place, f"{name!r} is the old word for {new!r}, which is given, too: leave it out"))
                continue
        if member is None and found.get(new) is not None:
            continue  # null is the same as left out, and the other word is given
        now = _ROWS.get(table_of.get(new, ""), {}).get(member) if isinstance(member, str) else None
        if now is not None:
            renamings.append(Renaming(place, cast("str", member), now, is_row=True))
            member = now
        found[new] = _replaced(member, fields.get(new), place, renamings, faults)
    return found


def in_given_words(faults: Sequence[Fault], renamings: Sequence[Renaming]) -> list[Fault]:
    """Return faults that point to where the caller wrote an old word, and not to where the new one would stand."""
    found: list[Fault] = []
    for fault in faults:
        pointer = fault.pointer
        for one in renamings:  # what is around comes before what is inside
            there = f"{one.pointer.rpartition('/')[0]}/{one.new}"
            if not one.is_row and f"{pointer}/".startswith(f"{there}/"):
                pointer = one.pointer + pointer[len(there) :]
        found.append(Fault(pointer, fault.detail))
    return found


def with_renamings(answer: AnswerT, renamings: Sequence[Renaming]) -> AnswerT:
    """Return an answer that says which old words its request has."""
    if not renamings:
        return answer
    about = cast("About", msgspec.structs.asdict(answer)["about"])
    return msgspec.structs.replace(answer, about=noted(about, renamings))


def noted(about: About, renamings: Sequence[Renaming]) -> About:
    """Return what is said beside an answer, and which old words its request has."""
    notices = [_notice(one) for one in dict.fromkeys(renamings)]
    return msgspec.structs.replace(about, warnings=[*about.warnings, *notices])


def _notice(one: Renaming) -> Notice:
    figures = {"old": one.old, "new": one.new, "gone": NAMES.gone.isoformat()}
    finding = Finding("deprecated-name", one.pointer, figures)
    return Notice(words.code_of(finding), one.pointer, words.of_warning(finding, "metric"))


def announce(state: dict[str, Any]) -> None:
    """Have the response to a request, whose `state` this is, announce when old words will go."""
    state[FAREWELLS_SAID] = headers_of(FAREWELL)


def _is_struct(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, msgspec.Struct)


def _parts(kind: type[msgspec.Struct]) -> Iterator[type[msgspec.Struct]]:
    """Yield a type and the types with members that it is made of."""
    seen: set[Any] = set()
    waiting: list[Any] = [kind]
    while waiting:
        inner = bare(waiting.pop())
        if get_origin(inner) is list:
            waiting.append(get_args(inner)[0])
        elif _is_struct(inner) and inner not in seen:
            seen.add(inner)
            yield inner
            waiting += [one.type for one in msgspec.structs.fields(inner)]
