"""An index of the documentation, made once from its pages: which words stand under which heading.

The browser that searches gets it whole, when somebody first wants to search; nothing is asked of another service.
"""

import html
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import NamedTuple

import msgspec

_MAIN = re.compile(r"<main.*?</main>", re.DOTALL)
_LEFT_OUT = re.compile(r"<(math|script)\b.*?</\1>", re.DOTALL)
_ANCHOR = re.compile(r'<(?:section|div|dt|details|span)\b[^>]* id="([^"]+)"')
_HEADING = re.compile(r"<(h1|h2|h3|dt|summary|caption|span)\b[^>]*>(.*?)</\1>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
_WORD = re.compile(r"[a-z][a-z0-9_]+")
_SHORTEST = 3
_COMMON = 0.25
"""Words that stand under more than this share of headings find nothing."""


class Place(NamedTuple):
    """What a search leads to."""

    page: int
    """Its number in the list of pages."""
    anchor: str
    """Empty: the head of the page."""
    title: str


class Index(msgspec.Struct):
    """All places, and which words are at which."""

    pages: list[tuple[str, str]]
    """Path and title."""
    places: list[Place]
    words: dict[str, list[int]]
    """Numbers of places by word, each as the distance from the one before."""


def index_of(pages: Mapping[str, bytes]) -> bytes:
    """Return the index of whole pages, by path, as JSON."""
    found = Index([], [], {})
    where: defaultdict[str, list[int]] = defaultdict(list)
    for number, (path, page) in enumerate(pages.items()):
        (main,) = _MAIN.findall(page.decode())
        text = _LEFT_OUT.sub(" ", main)
        title = _heading(text)
        found.pages.append((path, title))
        for anchor, part in _parts(text):
            found.places.append(Place(number, anchor, (_heading(part) if anchor else "") or title))
            for word in _words(_plain(part)):
                where[word].append(len(found.places) - 1)
    most = _COMMON * len(found.places)
    found.words = {word: _distances(places) for word, places in sorted(where.items()) if len(places) <= most}
    return msgspec.json.encode(found)


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """Yield the parts of a page by the anchor they begin with."""
    begin, anchor = 0, ""
    for match in _ANCHOR.finditer(text):
        yield anchor, text[begin : match.start()]
        begin, anchor = match.start(), match[1]
    yield anchor, text[begin:]


def _heading(part: str) -> str:
    """Return the heading of a part of a page, empty where it has none."""
    heading = _HEADING.search(part)
    return "" if heading is None else _plain(heading[2])


def _plain(text: str) -> str:
    return " ".join(html.unescape(_TAG.sub(" ", text)).split())


def _words(text: str) -> set[str]:
    """Return the words of a text, and the parts of names such as ``tongue_load``."""
    whole = set(_WORD.findall(text.lower()))
    parts = {part for word in whole for part in word.split("_")}
    return {word for word in whole | parts if len(word) >= _SHORTEST}


def _distances(places: list[int]) -> list[int]:
    return [one - before for before, one in zip([0, *places], places, strict=False)]
