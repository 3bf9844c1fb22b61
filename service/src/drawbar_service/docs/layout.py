"""What all pages share: the frame round them, tables and blocks of code."""

import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Any, NamedTuple, cast

from drawbar_service import __version__
from drawbar_service.api.answers import MODEL_VERSION
from drawbar_service.docs.markup import Child, Markup, element

_LINE = 76
"""Width of examples in characters."""
BASES = {
    "published": "read in print",
    "memory": "from memory, not read again",
    "common-practice": "common practice, no source",
    "derived": "derived",
    "caller": "given in the request",
}
"""How a figure is known, in words."""


_SEARCH = element(
    "form",
    element("label", "Search ", element("input", type="search", autocomplete="off", enterkeyhint="search")),
    element("p", role="status"),
    element("ol"),
    class_="search",
    role="search",
    hidden="",
)
"""Shown by the script, without which it would find nothing."""


class Section(NamedTuple):
    """A part of a page with a heading of its own."""

    anchor: str
    title: str
    content: Markup


class Page(NamedTuple):
    """One page."""

    path: str
    title: str
    lead: str
    """What the page is for, in a sentence."""
    sections: list[Section]
    short: str = ""
    """Its name in the menu; empty for a page that is not in it."""


def framed(page: Page, menu: Mapping[str, str]) -> Markup:
    """Return a page within its frame.

    Parameters
    ----------
    page : Page
        The page.
    menu : mapping
        Names of the pages to go to, by path.
    """
    here = page.path if page.short else page.path.rpartition("/")[0]
    places = [
        element("li", element("a", title, href=path, **({"aria_current": "page"} if path == here else {})))
        for path, title in menu.items()
    ]
    contents = [
        element("li", element("a", section.title, href=f"#{section.anchor}"))
        for section in page.sections
        if section.title
    ]
    inside = (
        [
            element(
                "nav", element("h2", "On this page"), element("ol", *contents), class_="inside", aria_label="Contents"
            )
        ]
        if len(contents) > 1
        else []
    )
    alone = {} if inside else {"class_": "single"}
    body = element(
        "body",
        element("a", "Skip to the text", class_="skip", href="#text"),
        element(
            "header",
            element(
                "p",
                element("a", "drawbar", href="/docs"),
                element("span", f"{__version__}, model {MODEL_VERSION}", class_="version"),
                class_="name",
            ),
            _SEARCH,
            element("nav", element("ul", *places), class_="menu", aria_label="Documentation"),
        ),
        *inside,
        element(
            "main",
            element("h1", page.title),
            element("p", page.lead, class_="lead"),
            *(_section(section) for section in page.sections),
            id="text",
            tabindex="-1",
        ),
        element("footer", element("p", f"Service {__version__}, model {MODEL_VERSION}. An estimate, not a rating.")),
        **alone,
    )
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", f"{page.title} - drawbar"),
        element("link", rel="stylesheet", href="/docs/style.css"),
        element("script", type="module", src="/docs/docs.js"),
    )
    return Markup(f"<!doctype html>\n{element('html', head, body, lang='en')}\n")


def _section(section: Section) -> Markup:
    heading = [element("h2", section.title)] if section.title else []
    return element("section", *heading, section.content, id=section.anchor)


def file(name: str) -> str:
    """Return the text of a file beside this module."""
    return (files("drawbar_service.docs") / name).read_text(encoding="utf-8")


def written(name: str) -> Markup:
    """Return what was written by hand, as HTML."""
    return Markup(file(f"{name}.html"))


def table(caption: str, columns: list[str], rows: list[list[Child]], class_: str = "") -> Markup:
    """Return a table; the first cell of each row names it."""
    head = element("tr", *(element("th", column, scope="col") for column in columns))
    body = [
        element(
            "tr",
            element("th", cells[0], scope="row"),
            *(element("td", cell, data_label=column) for cell, column in zip(cells[1:], columns[1:], strict=True)),
        )
        for cells in rows
    ]
    whole = element("table", element("caption", caption), element("thead", head), element("tbody", *body))
    # A table may be wider than a phone; whoever has no pointer scrolls it with the keyboard.
    return element("div", whole, class_=f"table {class_}".strip(), tabindex="0", role="group", aria_label=caption)


def code(text: str, **attributes: str) -> Markup:
    """Return a block of code."""
    return element("pre", element("code", text, **attributes), tabindex="0")


def as_json(value: Any, indent: int = 0) -> str:
    """Return JSON that breaks a line only where it would not fit."""
    flat = json.dumps(value, ensure_ascii=False)
    if len(flat) + indent <= _LINE or not isinstance(value, dict | list) or not value:
        return flat
    pad = " " * (indent + 2)
    if isinstance(value, dict):
        members = cast("dict[str, Any]", value).items()
        lines = [f"{pad}{json.dumps(key)}: {as_json(member, indent + 2)}" for key, member in members]
        return "{\n" + ",\n".join(lines) + "\n" + " " * indent + "}"
    lines = [pad + as_json(item, indent + 2) for item in cast("list[Any]", value)]
    return "[\n" + ",\n".join(lines) + "\n" + " " * indent + "]"


def source_link(source: str) -> Markup:
    """Return a link to a source."""
    return element("a", element("code", source), href=f"#source-{source}")
