"""From a field sheet to HTML: one page, A4 or US Letter, that loads nothing and runs nothing."""

import base64
import hashlib
from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from drawbar_service.api.v1.sheet.answer import SheetAnswer, SheetLine, TrialColumn
from drawbar_service.api.words import LIMIT_WORDS, VERDICT_WORDS
from drawbar_service.docs.markup import Child, Markup, element
from drawbar_service.look import tokens

MOST_LINES = 8
"""Settings there is room for."""
MOST_LETTERS = 48
"""Letters of a caller's name that there is room for."""
LONG = 26
"""Letters of a value above which it may be broken."""
RUNS, SLIP_RUNS = 3, 2
"""Empty rows of the two tables."""
ROOMY = 1500
"""Up to so many letters to read, they are set larger."""


@cache
def _style() -> str:
    return tokens() + (files("drawbar_service.sheet") / "style.css").read_text(encoding="utf-8")


@cache
def style_hash() -> str:
    """Return the hash by which a content security policy lets in the style of a sheet."""
    return f"sha256-{base64.b64encode(hashlib.sha256(_style().encode()).digest()).decode()}"


@cache
def policy() -> str:
    """Return the content security policy of the page: its own style, by its hash, and nothing else."""
    return (
        f"default-src 'none'; style-src '{style_hash()}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


def page(answer: SheetAnswer) -> bytes:
    """Return the sheet as HTML in UTF-8, every text of the answer escaped."""
    title = _short(answer.title, 2 * MOST_LETTERS)
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", f"Field sheet: {title}"),
        element("style", Markup(_style())),
    )
    body = element(
        "body",
        element(
            "header",
            element("p", "Date ", _blank(), " Driver ", _blank(), class_="place"),
            element("h1", "Field sheet"),
            element("p", title, class_="what"),
        ),
        element("dl", *(_big(line) for line in answer.glance), class_=f"glance {answer.word}"),
        element("p", answer.summary, class_=f"verdict {answer.word}"),
        element("h2", "Before all else"),
        element("ul", *(element("li", caution) for caution in answer.cautions)),
        element(
            "div",
            element("section", element("h2", _heading(answer)), _lines(answer.start_with)),
            element("section", element("h2", "Watch"), _lines(answer.watch), *_binds(answer)),
            class_="two",
        ),
        element(
            "div",
            element("section", element("h2", "If it lugs"), _list(answer.if_it_lugs)),
            element("section", element("h2", "If it slips"), _list(answer.if_it_slips)),
            class_="two",
        ),
        *_trial(answer),
        element("footer", answer.source),
        **({"class_": "roomy"} if _letters_of(answer) <= ROOMY else {}),
    )
    return f"<!doctype html>\n{element('html', head, body, lang='en')}\n".encode()


def _letters_of(answer: SheetAnswer) -> int:
    """Return how many letters there are to read, but for those that every sheet has."""
    lines = [f"{line.value} {line.note}" for line in (*answer.start_with, *answer.watch)]
    return sum(map(len, (answer.summary, *lines, *answer.cautions, *answer.if_it_lugs, *answer.if_it_slips)))


def _heading(answer: SheetAnswer) -> str:
    if answer.word == "holds":
        return "Start with"
    if answer.word == "close":
        return "Start with, ready to stop: it is close"
    word = VERDICT_WORDS[answer.word].short
    return f"As asked: {'it fails' if answer.word == 'fails' else word}, do not start with it"


def _short(text: str, most: int = MOST_LETTERS) -> str:
    return text if len(text) <= most else text[: most - 1] + "\N{HORIZONTAL ELLIPSIS}"


def _blank() -> Markup:
    return element("span", class_="blank")


def _big(line: SheetLine) -> Markup:
    return element("div", element("dt", line.what), element("dd", _short(line.value, LONG)))


def _lines(lines: Sequence[SheetLine]) -> Markup:
    shown = lines if len(lines) <= MOST_LINES else lines[: MOST_LINES - 1]
    items: list[Child] = []
    for line in shown:
        value = _short(line.value)
        strong = element("b", value, class_="long") if len(value) > LONG else element("b", value)
        note = element("span", f" {line.note}", class_="note")
        items += [element("dt", _short(line.what)), element("dd", strong, *([note] if line.note else []))]
    if len(shown) < len(lines):
        items += [element("dt", "And"), element("dd", f"{len(lines) - len(shown)} settings more.")]
    return element("dl", *items)


def _list(advice: Sequence[str]) -> Markup:
    return element("ol", *(element("li", one) for one in advice))


def _binds(answer: SheetAnswer) -> list[Markup]:
    word = "Nearest limit" if answer.binds.kept else "Stopped by"
    return [
        element("h2", "What stops it first"),
        element("p", f"{word}: ", element("b", LIMIT_WORDS[answer.binds.limit].name), f", {answer.binds.detail}."),
    ]


def _trial(answer: SheetAnswer) -> list[Child]:
    trial = answer.trial
    ways = [column for way in trial.slip for column in way.columns]
    told = "; ".join(f"{way.how[:1].lower()}{way.how[1:]}" for way in trial.slip)
    return [
        element("h2", "Trial runs"),
        _ruled(
            "One row for each run. Write at least one of pull, slip, fuel and engine load, and beside it how far off "
            "it may be, give or take.",
            trial.calibration,
            RUNS,
        ),
        _ruled(f"For the slip, one of three ways: {told}.", ways, SLIP_RUNS),
    ]


def _ruled(caption: str, columns: Sequence[TrialColumn], runs: int) -> Markup:
    heads = [
        element(
            "th",
            column.heading,
            element("span", column.unit),
            scope="col",
        )
        for column in columns
    ]
    rows = [element("tr", element("td", str(run)), *(element("td") for _ in columns)) for run in range(1, runs + 1)]
    return element(
        "table",
        element("caption", caption),
        element("thead", element("tr", element("th", "Run", scope="col"), *heads)),
        element("tbody", *rows),
    )
