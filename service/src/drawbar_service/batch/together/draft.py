"""Drafts on arrays."""

import re
from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import ToolDraft, tool_drafts
from drawbar_service.api.v1.draft.answer import DraftRequest, compute
from drawbar_service.batch.together.tools import IMPLEMENT_LEAVES, Tools, at_end, width_of, with_arrays
from drawbar_service.batch.together.way import NONE, End, Give, Leaves, Way, plain
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.draft import grade_resistance
from drawbar_service.engine.power import drawbar_power

_MOST_TOOLS = 16


class _Case(NamedTuple):
    request: DraftRequest
    drafts: list[ToolDraft]


class _Rows(NamedTuple):
    tools: Tools
    speed: Real
    width: Real | None
    on_grade: Real

    def total(self, end: End) -> Real:
        return self.tools.total(end).at(self.speed)

    def of_tool(self, at: int, end: End) -> Real:
        if at >= len(self.tools.drafts):
            return NONE
        return self.tools.terms(at).at(self.speed) * at_end(self.tools.drafts[at], end)

    def pull(self, end: End) -> Real:
        return self.total(end) + self.on_grade


def _read(request: DraftRequest, ledger: Ledger, leaves: Leaves) -> _Case:
    compute(request, ledger)
    return _Case(request, tool_drafts(request.implement, request.soil, ledger))


def _rows(case: _Case, leaves: Leaves, size: int) -> _Rows:
    request, implement = case.request, case.request.implement
    tools = with_arrays(implement, request.soil, case.drafts, leaves)
    mass, slope = leaves.maybe("/implement/mass", implement.mass), leaves.at("/slope", request.slope)
    on_grade = grade_resistance(mass, np.sin(np.arctan(slope))) if mass is not None else 0.0
    speed = leaves.at("/speed", request.speed)
    return _Rows(tools, speed, width_of(implement, tools, leaves), on_grade)


def _of_tool(at: int) -> dict[str, Give[_Rows]]:
    def named(name: Callable[[ToolDraft], str]) -> Give[_Rows]:
        return plain(lambda rows: name(rows.tools.drafts[at]) if at < len(rows.tools.drafts) else None)

    return {
        f"/draft/tools/{at}/tool": named(lambda draft: draft.row.id),
        f"/draft/tools/{at}/pointer": named(lambda draft: draft.pointer),
        f"/draft/tools/{at}/draft": lambda rows, end: rows.of_tool(at, end),
        f"/draft/tools/{at}/share": plain(lambda rows: rows.of_tool(at, 0) / rows.total(0)),
    }


DRAFTS: Final = Way(
    leaves=re.compile(rf"/speed|/slope|/implement/mass|{IMPLEMENT_LEAVES}"),
    read=_read,
    rows=_rows,
    columns={
        "/draft/total": lambda rows, end: rows.total(end),
        "/draft/per_width": lambda rows, end: rows.total(end) / rows.width if rows.width is not None else NONE,
        "/grade_pull": plain(lambda rows: rows.on_grade),
        "/pull": lambda rows, end: rows.pull(end),
        "/drawbar_power": lambda rows, end: drawbar_power(rows.pull(end), rows.speed),
        **{pointer: give for at in range(_MOST_TOOLS) for pointer, give in _of_tool(at).items()},
    },
)
"""``/v1/draft``"""
