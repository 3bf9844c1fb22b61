"""Plain text for a terminal: columns that fit its width, and characters that it can show."""

from __future__ import annotations

import codecs
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from typing import Final

NARROWEST: Final = 60
WIDEST: Final = 120
_GAP: Final = "  "
_LEAST_COLUMN: Final = 8
_LEAST_LAST_COLUMN: Final = 24
# What Unicode itself gives no plain form of.
_STAND_INS: Final = {
    "\u00d7": "x",
    "\u2212": "-",
    "\u2013": "-",
    "\u2014": "-",
    "\u2018": "'",
    "\u2019": "'",
    "\u00b7": "*",
}


def line_width() -> int:
    """Give the width to fill: the terminal's, or 100 where there is none, within reason."""
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size((100, 24)).columns))


def make_output_safe() -> None:
    """Let standard output and error show what they cannot encode by the nearest plain characters."""
    codecs.register_error("drawbar", _nearest)
    for stream in (sys.stdout, sys.stderr):
        # Whoever replaced a stream by something without this method also decided how it encodes.
        reconfigure: Callable[..., None] | None = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="drawbar")


def _nearest(fault: UnicodeError) -> tuple[str, int]:
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    shown = ""
    for character in fault.object[fault.start : fault.end]:
        stand_in = _STAND_INS.get(character) or unicodedata.normalize("NFKD", character)
        shown += "".join(part for part in stand_in if part.isascii()) or "?"
    return shown, fault.end


def wrapped(text: str, width: int, indent: str = "") -> list[str]:
    """Break text into lines.

    Parameters
    ----------
    text
        Any text.
    width
        Longest line, indent included.
    indent
        Put before each line.
    """
    return textwrap.wrap(text, width, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False) or [""]


def columns(rows: Iterable[Sequence[str]], width: int, *, header: Sequence[str] = (), indent: str = "") -> list[str]:
    """Lay rows out in columns; cells that are too wide for all to fit are broken into several lines.

    The last column gives way first, then the one before: there stand the sentences.

    Parameters
    ----------
    rows
        Cells, as many in each row.
    width
        Longest line.
    header
        Names of the columns, to be underlined.
    indent
        Put before each line.
    """
    body = [list(row) for row in rows]
    everything = [list(header), *body] if header else body
    if not everything:
        return []
    widths = [max(len(row[place]) for row in everything) for place in range(len(everything[0]))]
    room = width - len(indent) - len(_GAP) * (len(widths) - 1)
    for place, least in ((-1, _LEAST_LAST_COLUMN), (-min(2, len(widths)), _LEAST_COLUMN * 2)):
        excess = max(0, sum(widths) - room)
        widths[place] = max(min(least, widths[place]), widths[place] - excess)
    while sum(widths) > room and max(widths) > _LEAST_COLUMN:
        widths[widths.index(max(widths))] -= 1
    lines: list[str] = []
    for number, row in enumerate(everything):
        lines += _laid_out(row, widths, indent)
        if header and number == 0:
            lines.append(indent + _GAP.join("-" * each for each in widths))
    return lines


def _laid_out(row: Sequence[str], widths: Sequence[int], indent: str) -> list[str]:
    cells = [
        textwrap.wrap(cell, width, break_on_hyphens=width < _LEAST_LAST_COLUMN) or [""]
        for cell, width in zip(row, widths, strict=True)
    ]
    lines: list[str] = []
    for level in range(max(len(cell) for cell in cells)):
        parts = [cell[level] if level < len(cell) else "" for cell in cells]
        padded = (part.ljust(width) for part, width in zip(parts, widths, strict=True))
        lines.append((indent + _GAP.join(padded)).rstrip())
    return lines
