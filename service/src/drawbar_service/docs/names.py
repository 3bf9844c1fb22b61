"""The names that were changed as tables, from the list that requests are read by."""

from collections.abc import Sequence

from drawbar_service.api.renamed import NAMES, RenamedMember
from drawbar_service.docs.layout import table
from drawbar_service.docs.markup import Child, Markup, element, joined, prose


def names() -> Markup:
    """Return every old word with the new one, and the words that differ and stay."""
    rows: list[list[Child]] = [
        [_code(one.old), _code(one.new), _code(one.table), prose(one.why, {})] for one in NAMES.rows
    ]
    kinds: list[list[Child]] = [[_code(one.old), _code(one.new)] for one in NAMES.types]
    kept: list[list[Child]] = [[one.words, prose(one.why, {})] for one in NAMES.kept]
    lead = (
        f"Since {NAMES.announced.isoformat()} these are called otherwise. Old words of requests are read until "
        f"{NAMES.gone.isoformat()} at least, in any form a request comes in; the answer has a warning for each, "
        "and its headers say when they go. Both words given is a fault. Old members of answers stand beside the new."
    )
    return joined(
        [
            element("p", lead),
            _members("Members of requests", NAMES.members),
            _members("Members of answers", NAMES.answers),
            table("Rows of tables", ["Old word", "New word", "Table", "Why"], rows),
            table("Types, classes in Python", ["Old word", "New word"], kinds),
            table("Words that differ and stay", ["Words", "Why"], kept),
        ]
    )


def _members(caption: str, members: Sequence[RenamedMember]) -> Markup:
    rows: list[list[Child]] = [
        [_code(one.old), _code(one.new), ", ".join(one.of), one.term, prose(one.why, {})] for one in members
    ]
    return table(caption, ["Old word", "New word", "In", "In the standards of terms", "Why"], rows)


def _code(word: str) -> Markup:
    return element("code", word)
