"""Answers as small tables for a notebook. Every text is escaped; nothing is styled beyond alignment."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Final, cast

import msgspec

from drawbar._flat import figures, lists, table
from drawbar.quantities import Reading, rounded

_HEAD: Final = ("", "value", "low", "high", "unit")
_MOST_ROWS: Final = 60
_LEFT: Final = ' style="text-align: left"'


def answer(item: msgspec.Struct) -> str:
    """Write an answer: what it says in short, its figures, its warnings, and folded away the rest.

    Parameters
    ----------
    item
        The answer.
    """
    verdict = getattr(item, "verdict", None)
    summary = getattr(verdict, "summary", None)
    found = [(name, row) for name, value in figures(item, ("about", "summary")) if (row := _figure(name, value))]
    # What lies deep inside is detail; what is near the top is what was asked for.
    near = [row for name, row in found if name.count(".") <= 1]
    rest = [row for name, row in found if name.count(".") > 1]
    parts = [f"<p><strong>{escape(str(summary))}</strong></p>"] if summary else []
    parts.append(_table(_HEAD, near))
    about = getattr(item, "about", None)
    parts += [
        f"<p><em>{escape(notice.code)}</em> {escape(notice.pointer)}: {escape(notice.detail)}</p>"
        for notice in getattr(about, "warnings", ())
    ]
    if rest:
        parts.append(_folded(f"More figures ({len(rest)})", _table(_HEAD, rest)))
    parts += [_folded(f"{pointer} ({len(items)})", columns(table(items), len(items))) for pointer, items in lists(item)]
    assumed = [(one.pointer, one.value, one.why, one.source) for one in getattr(about, "assumptions", ())]
    if assumed:
        parts.append(_folded(f"Assumed ({len(assumed)})", _table(("where", "value", "why", "source"), assumed)))
    return f"<div>{''.join(parts)}</div>"


def columns(given: Mapping[str, Sequence[object]], rows: int) -> str:
    """Write columns as a table, the first rows of many.

    Parameters
    ----------
    given
        Values by name.
    rows
        How many there are.
    """
    shown = min(rows, _MOST_ROWS)
    cells = [[_cell(values[row]) for values in given.values()] for row in range(shown)]
    more = f"<p>{rows - shown:,} more rows.</p>" if rows > shown else ""
    return _table(tuple(given), cells) + more


def _figure(name: str, value: object) -> tuple[str, ...] | None:
    label = re.sub(r"[_.]", " ", name)
    if isinstance(value, Reading):
        unit = "" if value.unit == "1" else value.unit
        ends = [rounded(end, value.rounding) if end is not None else "" for end in (value.low, value.high)]
        return label, rounded(value.value, value.rounding), *ends, unit
    text = _cell(value)
    return (label, text, "", "", "") if len(text) <= 60 else None


def _cell(value: object) -> str:
    if value is None or value != value:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return rounded(value) if isinstance(value, float) else str(value)


def _table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    names = "".join(f"<th{_LEFT}>{escape(name)}</th>" for name in head)
    lines = "".join(
        "<tr>" + "".join(f"<td{_LEFT}>{escape(cast('str', cell))}</td>" for cell in row) + "</tr>" for row in rows
    )
    return f"<table><thead><tr>{names}</tr></thead><tbody>{lines}</tbody></table>"


def _folded(title: str, content: str) -> str:
    return f"<details><summary>{escape(title)}</summary>{content}</details>"
