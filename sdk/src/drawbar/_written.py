"""Answers as text, whichever they are: the sheets of the command line."""

from __future__ import annotations

import msgspec

from drawbar._season_sheet import season_sheet
from drawbar._sheets import match_sheet, sheet
from drawbar._text import line_width
from drawbar.models import MatchAnswer, SeasonAnswer


def written(answer: msgspec.Struct) -> str:
    """Write an answer as the command line shows it, places as JSON Pointers.

    Parameters
    ----------
    answer
        Of any calculation.
    """
    width = line_width()
    if isinstance(answer, MatchAnswer):
        lines = match_sheet(answer, "", str, width)
    elif isinstance(answer, SeasonAnswer):
        lines = season_sheet(answer, str, width)
    else:
        lines = sheet(answer, str, width)
    return "\n".join(lines)
