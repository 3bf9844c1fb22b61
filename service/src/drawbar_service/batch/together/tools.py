"""Ground tools on arrays: what draft and match share."""

from typing import Final, cast

import numpy as np

from drawbar_service.api.v1.implement import Implement, ToolDraft
from drawbar_service.api.v1.soil import Soil
from drawbar_service.batch.plan import Index
from drawbar_service.batch.together.way import Leaves
from drawbar_service.engine.arrays import Real, choose, larger
from drawbar_service.engine.draft import draft_terms

TOOL_LEAVES: Final = r"/implement/tools/[0-9]+/(?:depth|count|spacing|width)"
IMPLEMENT_LEAVES: Final = rf"/implement/(?:draft_multiplier|width)|{TOOL_LEAVES}"


def with_arrays(implement: Implement, soil: Soil, drafts: list[ToolDraft], leaves: Leaves) -> list[ToolDraft]:
    """Return the `drafts` of an implement with arrays in the place of the numbers of the `leaves`."""
    if not any(pointer.startswith("/implement/") for pointer in leaves):
        return drafts
    return [_draft(implement, soil, draft, leaves) for draft in drafts]


def _draft(implement: Implement, soil: Soil, draft: ToolDraft, leaves: Leaves) -> ToolDraft:
    tool, place, row = implement.tools[int(draft.pointer.rpartition("/")[2])], draft.pointer, draft.row
    count, width = leaves.maybe(f"{place}/count", tool.count), leaves.maybe(f"{place}/width", tool.width)
    spacing = leaves.maybe(f"{place}/spacing", tool.spacing)
    if width is None and count is not None and spacing is not None:
        width = count * spacing
    amount = cast("Real", width if row.counted_in == "m" else count)
    depth = leaves.maybe(f"{place}/depth", tool.depth) if row.depth_counts else None
    multiplier = leaves.at("/implement/draft_multiplier", implement.draft_multiplier)
    texture: float = getattr(row, soil.texture)
    terms = draft_terms(row.A, row.B, row.C, texture * multiplier, amount, depth)
    return draft._replace(amount=amount, depth=depth, width=width, terms=terms)


def width_of(implement: Implement, drafts: list[ToolDraft], leaves: Leaves) -> Real | None:
    """Return the working width [m]: given, or that of the widest tool; None if no tool says."""
    given = leaves.maybe("/implement/width", implement.width)
    if given is not None:
        return given
    widest: Real | None = None
    for draft in drafts:
        if draft.width is not None:
            widest = draft.width if widest is None else larger(widest, draft.width)
    return widest


def hardest(drafts: list[ToolDraft], speed: Real) -> Real:
    """Return which of `drafts` pulls hardest at `speed` [m/s], the first of them where several do."""
    which: Real = 0.0
    most = drafts[0].terms.at(speed)
    for at, draft in enumerate(drafts[1:], 1):
        force = draft.terms.at(speed)
        which, most = choose(force > most, float(at), which), larger(force, most)
    return which


def of_tool(which: Real, values: list[Real]) -> Real:
    """Return, row by row, the value of the tool that is meant."""
    chosen = values[0]
    for at, value in enumerate(values[1:], 1):
        chosen = choose(which == float(at), value, chosen)
    return chosen


def as_codes(which: Real, size: int) -> Index:
    """Return which tool is meant as whole numbers, one for each row."""
    return np.broadcast_to(np.asarray(which, dtype=np.intp), (size,))
