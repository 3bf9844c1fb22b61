"""Ground tools on arrays: what draft and match share."""

import re
from typing import Final, NamedTuple, cast

import numpy as np

from drawbar_service.api.shared.implement import Implement, ToolDraft
from drawbar_service.api.shared.soil import Soil
from drawbar_service.batch.plan import Index
from drawbar_service.batch.together.way import End, Leaves
from drawbar_service.engine.arrays import Real, choose, larger
from drawbar_service.engine.draft import NO_DRAFT, DraftTerms, draft_terms

TOOL_LEAVES: Final = r"/implement/tools/[0-9]+/(?:depth|count|spacing|width)"
IMPLEMENT_LEAVES: Final = rf"/implement/(?:draft_multiplier|width)|{TOOL_LEAVES}"
_A_TOOL = re.compile(TOOL_LEAVES)


class Tools(NamedTuple):
    """The ground tools of an implement."""

    drafts: list[ToolDraft]
    """With arrays in the place of numbers, but without what the draft multiplier comes to in each row."""
    multiplier: Real
    """What that comes to [1]: a factor for all of them, so that it is multiplied once."""

    def terms(self, at: int) -> DraftTerms:
        """Return the draft of one tool."""
        return self.drafts[at].terms.times(self.multiplier)

    def total(self, end: End) -> DraftTerms:
        """Return the draft of all of them: as it is, or at an end of the table's range."""
        found = NO_DRAFT
        for draft in self.drafts:
            found = found.plus(draft.terms, at_end(draft, end))
        return found if isinstance(self.multiplier, float) else found.times(self.multiplier)


def at_end(draft: ToolDraft, end: End) -> float:
    """Return the draft of a tool at an end of its range over the draft itself [1]."""
    return (1.0, 1.0 - draft.row.range, 1.0 + draft.row.range)[end]


def with_arrays(implement: Implement, soil: Soil, drafts: list[ToolDraft], leaves: Leaves) -> Tools:
    """Return the `drafts` of an implement with arrays in the place of the numbers of the `leaves`."""
    if varies(leaves):
        drafts = [_draft(implement, soil, draft, leaves) for draft in drafts]
    given = leaves.get("/implement/draft_multiplier")
    return Tools(drafts, 1.0 if given is None else given / float(implement.draft_multiplier))


def _draft(implement: Implement, soil: Soil, draft: ToolDraft, leaves: Leaves) -> ToolDraft:
    tool, place, row = implement.tools[int(draft.pointer.rpartition("/")[2])], draft.pointer, draft.row
    count, width = leaves.maybe(f"{place}/count", tool.count), leaves.maybe(f"{place}/width", tool.width)
    spacing = leaves.maybe(f"{place}/spacing", tool.spacing)
    if width is None and count is not None and spacing is not None:
        width = count * spacing
    amount = cast("Real", width if row.counted_in == "m" else count)
    depth = leaves.maybe(f"{place}/depth", tool.depth) if row.depth_counts else None
    texture: float = getattr(row, soil.texture)
    terms = draft_terms(row.A, row.B, row.C, texture * float(implement.draft_multiplier), amount, depth)
    return draft._replace(amount=amount, depth=depth, width=width, terms=terms)


def width_of(implement: Implement, tools: Tools, leaves: Leaves) -> Real | None:
    """Return the working width [m]: given, or that of the widest tool; None if no tool says."""
    given = leaves.maybe("/implement/width", implement.width)
    if given is not None:
        return given
    widest: Real | None = None
    for draft in tools.drafts:
        if draft.width is not None:
            widest = draft.width if widest is None else larger(widest, draft.width)
    return widest


def varies(leaves: Leaves) -> bool:
    """Say whether the draft of one tool over that of another may differ between rows."""
    return any(map(_A_TOOL.fullmatch, leaves))


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
