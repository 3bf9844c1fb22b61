"""Verdicts in color, on a terminal only."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterable, Iterator
from typing import Final

from drawbar._limits import VERDICTS

_GREEN, _YELLOW, _RED, _PLAIN = "\x1b[32m", "\x1b[33m", "\x1b[31m", "\x1b[0m"
_COLORS: Final = {"holds": _GREEN, "close": _YELLOW, "fails": _RED, "cannot-tell": _YELLOW}
_BROKEN: Final = "BROKEN"
_BY_WORD: Final = {VERDICTS[word]: color for word, color in _COLORS.items()} | {_BROKEN: _RED}
_LISTED: Final = "|".join(_BY_WORD)
_VERDICT: Final = re.compile(rf"(?:^|(?<= {{2}}))(?:{_LISTED})(?=[ ,]|$)", re.IGNORECASE)
"""A verdict at the beginning of a line or of a column: elsewhere the same words only belong to a sentence."""


def wanted() -> bool:
    """Say whether standard output is a terminal that shows colors, and nobody has asked for none (no-color.org)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def colored(lines: Iterable[str]) -> Iterator[str]:
    """Give lines with their verdicts in color.

    Parameters
    ----------
    lines
        As they are printed without.
    """
    for line in lines:
        yield _VERDICT.sub(lambda found: f"{_of(found[0])}{found[0]}{_PLAIN}", line)


def _of(word: str) -> str:
    return _BY_WORD.get(word) or _BY_WORD[word.lower()]
