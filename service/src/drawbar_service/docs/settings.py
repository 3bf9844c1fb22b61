"""The settings of the service as a table, from where they are declared."""

import ast
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

import msgspec

from drawbar_service.docs.layout import table
from drawbar_service.docs.markup import Child, Markup, element
from drawbar_service.settings import Settings, variable_of, wanted_of

_TICKS = "``", "`"


def settings() -> Markup:
    """Return every setting: its variable, what it is when it is not set, what it may be, and what it does."""
    rows: list[list[Child]] = [
        [
            element("code", variable_of(field.name)),
            element("code", usual) if (usual := _usual(field.default)) else "",
            wanted_of(field.type),
            said,
        ]
        for field in msgspec.structs.fields(Settings)
        for said in [_meanings()[field.name]]
    ]
    return table("Settings", ["Variable", "Left out", "Takes", "What it does"], rows)


def _usual(default: Any) -> str:
    if default is None:
        return ""
    return str(default).lower() if isinstance(default, bool) else str(default)


@cache
def _meanings() -> dict[str, str]:
    """Return what stands below each setting in its source: Python keeps no text of a member."""
    source = ast.parse((files("drawbar_service") / "settings.py").read_text("utf-8"))
    (members,) = (one.body for one in source.body if isinstance(one, ast.ClassDef) and one.name == Settings.__name__)
    return {
        member.target.id: _plain(ast.literal_eval(text.value))
        for member, text in pairwise(members)
        if isinstance(member, ast.AnnAssign) and isinstance(member.target, ast.Name) and isinstance(text, ast.Expr)
    }


def _plain(text: str) -> str:
    for ticks in _TICKS:
        text = text.replace(ticks, "")
    return text
