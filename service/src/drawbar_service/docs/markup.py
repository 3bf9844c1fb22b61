"""HTML from Python values, every text escaped on the way in."""

import html
import re
from collections.abc import Mapping
from typing import TypeAlias

_CODE = re.compile(r"`([^`]+)`")
_EMPTY = frozenset({"meta", "link", "br", "input"})


class Markup(str):
    """Text that is HTML already; any other text is escaped."""

    __slots__ = ()


Child: TypeAlias = "Markup | str"


def element(name: str, /, *children: Child, **attributes: str) -> Markup:
    """Return an element; a trailing underscore in an attribute's name is dropped, any other becomes a hyphen."""
    given = "".join(f' {key.rstrip("_").replace("_", "-")}="{html.escape(value)}"' for key, value in attributes.items())
    if name in _EMPTY:
        return Markup(f"<{name}{given}>")
    return Markup(f"<{name}{given}>{joined(children)}</{name}>")


def joined(children: "list[Child] | tuple[Child, ...]", between: str = "") -> Markup:
    """Return several children as one."""
    parts = (child if isinstance(child, Markup) else html.escape(child) for child in children)
    return Markup(html.escape(between).join(parts))


def prose(text: str, links: Mapping[str, str]) -> Markup:
    """Return a text with what stands in backticks as code, linked where `links` has an address for it."""
    parts: list[Child] = []
    end = 0
    for match in _CODE.finditer(text):
        code = element("code", match[1])
        parts += [text[end : match.start()], element("a", code, href=links[match[1]]) if match[1] in links else code]
        end = match.end()
    return joined([*parts, text[end:]])
