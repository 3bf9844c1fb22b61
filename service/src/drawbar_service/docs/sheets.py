"""The method sheets: the equations of each calculation, typeset, with symbols, ranges, misfits and sources."""

import json
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from drawbar_service.api.schemas import Schema
from drawbar_service.api.v1.methods.answer import USES
from drawbar_service.docs.layout import BASES, Page, Section, file, source_link, table
from drawbar_service.docs.markup import Child, Markup, element, joined, prose
from drawbar_service.reference import SOURCES
from drawbar_service.reference.methods import METHODS, Equation

INDEX = "/docs/methods"
_NAMES = {"wismer-luth": "Wismer and Luth", "gee-clough": "Gee-Clough"}


@cache
def _typeset() -> dict[str, list[str]]:
    return json.loads(file("equations.json"))


def _title(id: str) -> str:
    return _NAMES.get(id, id.replace("-", " ").capitalize())


def sheets(operations: list[tuple[str, str, Schema]], links: Mapping[str, str]) -> Iterator[Page]:
    """Yield the list of sheets and a sheet for each calculation.

    Parameters
    ----------
    operations : list of (str, str, Schema)
        Method, path and description of every operation.
    links : mapping
        Addresses of what stands in backticks in prose.
    """
    summaries: dict[str, Any] = {path.removeprefix("/v1/"): one["summary"] for _, path, one in operations}
    rows: list[list[Child]] = [
        [
            element("a", _title(name), href=f"{INDEX}/{name}"),
            str(summaries.get(name, "The odds of a match, and shares of its uncertainty.")),
            str(sum(len(METHODS[used]) for used in uses)),
        ]
        for name, uses in USES.items()
    ]
    yield Page(
        INDEX,
        "Method sheets",
        "One sheet for each calculation: its equations with symbols and units, where they hold, where they are known "
        "to be wrong, and the source. Each prints on a page or two.",
        [
            Section("sheets", "Sheets", table("Method sheets", ["Sheet", "Question", "Equations"], rows)),
            Section(
                "reading",
                "How to read a sheet",
                element(
                    "p",
                    prose(
                        "Units are those of the equation as it stands there; the engine itself works in SI. "
                        "Coefficients are from the sources named, not yet proof-read against the standards behind "
                        "them. `/v1/methods/{calculation}` gives the same as data, with LaTeX.",
                        links,
                    ),
                ),
            ),
        ],
        "Methods",
    )
    for name, uses in USES.items():
        yield _sheet(name, uses, str(summaries.get(name, "How uncertain inputs become odds.")), links)


def _sheet(name: str, uses: tuple[str, ...], summary: str, links: Mapping[str, str]) -> Page:
    sections: list[Section] = []
    for used in uses:
        if used == name:
            sections += [Section(f"equation-{one.id}", _title(one.id), _equation(one, links)) for one in METHODS[used]]
        else:
            lines = joined([_borrowed(one, links) for one in METHODS[used]])
            more = element(
                "p", "Symbols, ranges and sources: ", element("a", _title(used), href=f"{INDEX}/{used}"), "."
            )
            sections.append(Section(f"{name}-uses-{used}", f"From {_title(used).lower()}", joined([lines, more])))
    return Page(f"{INDEX}/{name}", f"{_title(name)}: method sheet", summary, sections)


def _math(latex: str) -> Markup:
    return joined([Markup(part) for part in _typeset()[latex]])


def _display(equation: Equation) -> Markup:
    return element(
        "div",
        _math(equation.latex),
        class_="equation",
        tabindex="0",
        role="group",
        aria_label=f"Equation: {equation.plain}",
    )


def _borrowed(equation: Equation, links: Mapping[str, str]) -> Markup:
    return joined([element("p", prose(equation.says, links)), _display(equation)])


def _equation(equation: Equation, links: Mapping[str, str]) -> Markup:
    symbols: list[list[Child]] = [
        [
            element("code", written),
            _math(one.typeset(written)),
            one.means,
            "ratio" if one.unit == "1" else one.unit,
        ]
        for written, one in equation.symbols.items()
    ]
    holds = [
        f"{one.of} from {one.low:g} to {one.high:g}{f' {one.unit}' if one.unit != '1' else ''}"
        for one in equation.valid
    ]
    facts: list[Child] = []
    for title, items in (("Holds for", holds), ("Known misfits", equation.misfits)):
        if items:
            facts.append(element("dt", title))
            facts += [element("dd", prose(item, links)) for item in items]
    basis = BASES[SOURCES.row(equation.source).basis]
    facts += [element("dt", "Source"), element("dd", source_link(equation.source), f", {basis}")]
    caption = f"Symbols of {_title(equation.id).lower()}"
    return joined(
        [
            element("p", prose(equation.says, links)),
            _display(equation),
            element("p", element("code", equation.plain), class_="note"),
            table(caption, ["Written", "Symbol", "Meaning", "Unit"], symbols, "symbols"),
            element("dl", *facts, class_="facts"),
        ]
    )
