"""The page of everything an answer may say against a request or about itself: problems, warnings and assumptions."""

import tomllib
from collections.abc import Mapping
from functools import cache
from threading import Event

import msgspec

from drawbar_service.api.answers import About, Ledger, Notice
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.problems import KINDS, PATH
from drawbar_service.api.renamed import noted
from drawbar_service.api.wire import JSON, Reader
from drawbar_service.batch.answer import Batch, answer
from drawbar_service.docs.layout import BASES, Page, Section, as_json, code, file, source_link, table
from drawbar_service.docs.markup import Child, Markup, element, joined, prose
from drawbar_service.reference import DEFAULTS


class Sent(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A request that serves as an example."""

    path: str
    method: str = "POST"
    body: str = ""
    headers: dict[str, str] = {}


class Entry(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What is said of a problem or a warning."""

    do: str
    means: str = ""
    send: Sent | None = None
    answer: str = ""
    """What comes back, where that is worth showing."""


class Catalogue(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Every problem, warning and default, by its id."""

    problems: dict[str, Entry]
    warnings: dict[str, Entry]
    assumptions: dict[str, str]
    """Where a value of one's own goes (JSON Pointer); empty where none is taken."""


@cache
def catalogue() -> Catalogue:
    """Return the catalogue."""
    return msgspec.convert(tomllib.loads(file("catalogue.toml")), Catalogue)


def problems(links: Mapping[str, str]) -> Page:
    """Return the page."""
    return Page(
        PATH,
        "Problems, warnings and assumptions",
        "Everything the service may say against a request or about its own answer, with what to do about each.",
        [
            Section("problems", "Problems", _problems(links)),
            Section("warnings", "Warnings", _warnings(links)),
            Section("assumptions", "Assumptions", _assumptions(links)),
        ],
        "Problems",
    )


def notices(sent: Sent) -> list[Notice]:
    """Return the warnings that come with the answer to a request."""
    _, many, name = sent.path.partition("/batch/")
    calculation = next(one for one in CALCULATIONS if one.name == name or one.path == sent.path)
    if many:
        told = b"".join(answer(Batch(calculation, JSON, JSON, "metric", most_rows=10), [sent.body.encode()], Event()))
        return msgspec.convert(msgspec.json.decode(told)["about"]["warnings"], list[Notice])
    read = Reader(calculation.request).read(sent.body.encode(), JSON)
    about: About = calculation.compute(read.request, Ledger("metric")).about
    return noted(about, read.renamings).warnings


def command(sent: Sent) -> str:
    """Return a request as a command to type."""
    words = ["curl -s"]
    if sent.method != "POST":
        words[0] += f" -X {sent.method}"
    words[0] += f" http://127.0.0.1:8000{sent.path}"
    headers = dict(sent.headers)
    if sent.body:
        headers = {"Content-Type": "application/json"} | headers
    words += [f"-H '{name}: {value}'" for name, value in headers.items()]
    if sent.body:
        words.append(f"-d '{sent.body}'")
    return " \\\n  ".join(words)


def _problems(links: Mapping[str, str]) -> Markup:
    parts: list[Child] = [
        element(
            "p",
            prose(
                "A request that is not answered gets a problem document, `application/problem+json` (RFC 9457). Its "
                "`type` leads here, `title` is the same every time, `detail` says what happened this time and what "
                "would be right, `instance` is the request id, and `errors` lists every fault of a body at once, each "
                "with a JSON Pointer. Decide by `type` or status, show `detail`.",
                links,
            ),
        )
    ]
    for kind in KINDS.values():
        entry = catalogue().problems[kind.name]
        example: list[Child] = []
        if entry.send is not None:
            example = [code(command(entry.send), class_="shell", data_problem=kind.name)]
        if entry.answer:
            example.append(code(entry.answer, class_="output"))
        parts.append(
            element(
                "section",
                element("h3", f"{kind.status}: {kind.title}"),
                element("p", element("code", f"{PATH}#{kind.name}")),
                element("p", prose(kind.meaning, links)),
                element("p", element("strong", "What to do. "), prose(entry.do, links)),
                *example,
                id=kind.name,
            )
        )
    return joined(parts)


def _warnings(links: Mapping[str, str]) -> Markup:
    parts: list[Child] = [
        element(
            "p",
            prose(
                "An answer carries its warnings in `about.warnings`, each with a `code`, the part of the request that "
                "caused it, and a sentence. Codes keep their meaning; new ones may come, so treat one you do not know "
                "as something to show.",
                links,
            ),
        )
    ]
    for name, entry in catalogue().warnings.items():
        example: list[Child] = []
        if entry.send is not None:
            found = next(notice for notice in notices(entry.send) if notice.code == name)
            example = [
                code(command(entry.send), class_="shell", data_warning=name),
                element("p", "brings, among the rest:"),
                code(as_json(msgspec.to_builtins(found)), class_="json"),
            ]
        parts.append(
            element(
                "section",
                element("h3", element("code", name)),
                element("p", prose(entry.means, links)),
                element("p", element("strong", "What to do. "), prose(entry.do, links)),
                *example,
                id=f"warning-{name}",
            )
        )
    return joined(parts)


def _assumptions(links: Mapping[str, str]) -> Markup:
    rows: list[list[Child]] = []
    for name, pointer in catalogue().assumptions.items():
        row = DEFAULTS.row(name)
        rows.append(
            [
                element("code", name, id=f"assumption-{name}"),
                f"{row.value:g} {row.unit}".strip(),
                row.why,
                element("code", pointer) if pointer else "cannot be changed",
                joined([source_link(row.source), f", {BASES[row.basis]}"]),
            ]
        )
    said = element(
        "p",
        prose(
            "What a request leaves out and the answer needs is taken from this table, or from the row of a reference "
            "table that goes with the machine or the soil, and is listed in `about.assumptions` with the place where "
            "your own value would go. Example: a match without `limits` assumes a power reserve of a tenth; "
            '`"limits": {"power_reserve": "15 %"}` puts yours in its place, and the assumption is gone.',
            links,
        ),
    )
    return joined([said, table("Defaults", ["Id", "Value", "Why", "Put your own at", "Source"], rows, "fields")])
