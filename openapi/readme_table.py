"""The table of every path in the README, from the contract."""

from collections.abc import Mapping
from typing import Any

FIRST, LAST = "<!-- paths: written by openapi/generate.py -->", "<!-- end of paths -->"
_ALSO_AS = {
    "image/svg+xml": "SVG",
    "image/png": "PNG",
    "text/html": "HTML",
    "application/x-ndjson": "NDJSON",
    "text/csv": "CSV",
    "application/vnd.apache.arrow.stream": "Arrow",
}
"""Names of media types that not every path answers in."""


def with_paths(readme: str, contract: Mapping[str, Any]) -> str:
    """Return the text of the README with the rows for the paths of the contract between its two marks."""
    before, _, rest = readme.partition(FIRST)
    _, _, after = rest.partition(LAST)
    if not after:
        raise ValueError(f"the README lacks {FIRST} or {LAST}")
    rows = [
        f"| `{method.upper()} {path}` | {_answers(operation)} |"
        for path, item in contract["paths"].items()
        for method, operation in item.items()
    ]
    return "\n".join((before + FIRST, "", "| path | answers |", "|---|---|", *rows, "", LAST + after))


def _answers(operation: Mapping[str, Any]) -> str:
    summary: str = operation["summary"]
    others = [_ALSO_AS[kind] for kind in operation["responses"]["200"]["content"] if kind in _ALSO_AS]
    return f"{summary[:1].lower()}{summary[1:]}" + (f" (also as {', '.join(others)})" if others else "")
