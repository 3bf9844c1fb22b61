"""Drafts on arrays."""

import re
from typing import Final, NamedTuple

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.draft import DraftRequest, compute
from drawbar_service.api.v1.implement import ToolDraft, tool_drafts, total_terms
from drawbar_service.batch.together.tools import IMPLEMENT_LEAVES, width_of, with_arrays
from drawbar_service.batch.together.way import NONE, End, Give, Leaves, Value, Way, plain
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.draft import DraftTerms, grade_resistance
from drawbar_service.engine.power import drawbar_power

_MOST_TOOLS = 16


class _Case(NamedTuple):
    request: DraftRequest
    drafts: list[ToolDraft]


class _Rows(NamedTuple):
    drafts: list[ToolDraft]
    totals: tuple[DraftTerms, DraftTerms, DraftTerms]
    speed: Real
    width: Real | None
    on_grade: Real

    def total(self, end: End) -> Real:
        return self.totals[end].at(self.speed)

    def pull(self, end: End) -> Real:
        return self.total(end) + self.on_grade


def _read(request: DraftRequest, ledger: Ledger, leaves: Leaves) -> _Case:
    compute(request, ledger)
    return _Case(request, tool_drafts(request.implement, request.soil, ledger))


def _rows(case: _Case, leaves: Leaves, size: int) -> _Rows:
    request, implement = case.request, case.request.implement
    drafts = with_arrays(implement, request.soil, case.drafts, leaves)
    mass, slope = leaves.maybe("/implement/mass", implement.mass), leaves.at("/slope", request.slope)
    on_grade = grade_resistance(mass, np.sin(np.arctan(slope))) if mass is not None else 0.0
    speed = leaves.at("/speed", request.speed)
    return _Rows(drafts, total_terms(drafts), speed, width_of(implement, drafts, leaves), on_grade)


def _of_tool(at: int) -> dict[str, Give[_Rows]]:
    def draft(rows: _Rows, end: End) -> Value:
        if at >= len(rows.drafts):
            return NONE
        one = rows.drafts[at]
        return one.terms.at(rows.speed) * (1.0, 1.0 - one.row.range, 1.0 + one.row.range)[end]

    def share(rows: _Rows) -> Value:
        return rows.drafts[at].terms.at(rows.speed) / rows.total(0) if at < len(rows.drafts) else NONE

    return {
        f"/draft/tools/{at}/draft": draft,
        f"/draft/tools/{at}/share": plain(share),
        f"/draft/tools/{at}/tool": plain(lambda rows: rows.drafts[at].row.id if at < len(rows.drafts) else None),
        f"/draft/tools/{at}/pointer": plain(lambda rows: rows.drafts[at].pointer if at < len(rows.drafts) else None),
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
