"""The pages of quantities, reference tables and sources."""

from collections import defaultdict
from collections.abc import Mapping

from drawbar_service.docs.layout import BASES, Page, Section, table
from drawbar_service.docs.markup import Child, Markup, element, joined, prose
from drawbar_service.quantities import DIMENSIONS, Dimension
from drawbar_service.reference import SOURCES, TABLES, Row, Table
from drawbar_service.reference.methods import METHODS


def quantities() -> Section:
    """Return how quantities are written."""
    rows: list[list[Child]] = []
    for dimension in DIMENSIONS.values():
        name = element("span", dimension.name.replace("_", " "), id=f"unit-{dimension.name}")
        written = joined([element("code", unit) for unit in dimension.factors], ", ")
        others = [spelling for spelling in dimension.spellings if spelling not in dimension.factors]
        also = joined([element("code", spelling) for spelling in others], ", ")
        rows.append([name, written, also, element("code", _example(dimension))])
    said = element(
        "p",
        prose(
            'A quantity is a number and a unit: as text, `"8 in"`, or as an object, `{"value": 8, "unit": "in"}`. '
            'A bare number is refused, except for a ratio, where `0.4` and `"40 %"` are the same, and for an amount of '
            "money. Units are matched letter for letter and never evaluated, so `2*4 in` is not read. Answers come as "
            '`{"value": 20.3, "unit": "cm"}`, in metric units or, with `?units=us`, in US customary ones, with '
            "`low` and `high` beside the value where there is a range.",
            {},
        ),
    )
    rows_of_units = table("Units by kind of quantity", ["Kind", "Units", "Also read", "Example"], rows)
    return Section("quantities", "How quantities are written", joined([said, rows_of_units]))


def _example(dimension: Dimension) -> str:
    first = next(iter(dimension.factors))
    return "0.4" if first == "1" else f"8 {first}"


def tables(links: Mapping[str, str]) -> Page:
    """Return the page of reference tables."""
    return Page(
        "/docs/tables",
        "Reference tables",
        "The figures behind the answers, in the units they were published in, each row with its basis and source. "
        "/v1/reference gives the same as data.",
        [
            Section(f"table-{one.id}", f"{one.title} ({len(one.rows)})", _reference_table(one, links))
            for one in TABLES.values()
        ],
        "Tables",
    )


def _reference_table(one: Table[Row], links: Mapping[str, str]) -> Markup:
    columns = [column.name.replace("_", " ") + (f" [{column.unit}]" if column.unit else "") for column in one.columns]
    rows: list[list[Child]] = [[_cell(name, value) for name, value in record.items()] for record in one.records()]
    meanings: list[Child] = []
    for column in one.columns:
        meanings += [element("dt", element("code", column.name)), element("dd", prose(column.meaning, links))]
    return joined(
        [
            element("p", prose(one.description, links)),
            element("p", element("a", element("code", f"/v1/reference/{one.id}"), href=f"/v1/reference/{one.id}")),
            element("details", element("summary", "What the columns mean"), element("dl", *meanings)),
            table(one.title, columns, rows, "figures"),
        ]
    )


def _cell(column: str, value: object) -> Child:
    if column == "source":
        return element("a", str(value), href=f"#source-{value}")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    return "" if value is None else str(value)


def sources(links: Mapping[str, str]) -> Page:
    """Return the page of sources: how each is known, and what rests on it."""
    in_tables: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for one in TABLES.values():
        for row in one.rows.values():
            in_tables[row.source][one.id] += 1
    in_methods: dict[str, list[str]] = defaultdict(list)
    for equations in METHODS.values():
        for equation in equations:
            in_methods[equation.source].append(equation.id)
    by_basis: dict[str, list[Child]] = {basis: [] for basis in BASES}
    for one in SOURCES.rows.values():
        where = ", ".join(part for part in (one.publisher, one.edition) if part)
        used: list[Child] = [
            joined([element("a", TABLES[name].title, href=f"#table-{name}"), f" ({count})"])
            for name, count in in_tables[one.id].items()
        ]
        used += [element("a", name.replace("-", " "), href=f"#equation-{name}") for name in in_methods[one.id]]
        by_basis[one.basis] += [
            element("dt", element("code", one.id), f" {one.title}", id=f"source-{one.id}"),
            element("dd", f"{where}. " if where else "", prose(one.note, links)),
            element("dd", "Behind: ", joined(used, ", ") if used else "what answers say in words", ".", class_="note"),
        ]
    return Page(
        "/docs/sources",
        "Sources",
        "Where every figure and equation comes from, how it is known, and which tables (with their rows) and "
        "equations rest on it. Titles and editions of standards and papers are from memory too.",
        [
            Section(f"basis-{basis}", BASES[basis].capitalize(), element("dl", *entries))
            for basis, entries in by_basis.items()
            if entries
        ],
        "Sources",
    )
