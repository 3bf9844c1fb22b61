"""What is answered: draft by tool, in total and on a grade."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.engine.arrays import Real, number
from drawbar_service.engine.power import drawbar_power
from drawbar_service.model.draft import Drafted, Pulled
from drawbar_service.quantities import Force, ForcePerWidth, Power


class ToolDraftAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of one kind of ground tool."""

    tool: Annotated[str, Meta(description="Row of the draft table.")]
    pointer: Annotated[str, Meta(description="Which tool of the request.")]
    draft: Annotated[Force, Meta(description="Draft; 9 in 10 lie from low to high.")]
    share: Annotated[float, Meta(description="Share of the whole draft.", ge=0, le=1)]


class DraftSummary(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of an implement, whole and by tool."""

    total: Annotated[Force, Meta(description="Draft of all ground tools on level ground, rolling included.")]
    per_width: Annotated[
        ForcePerWidth | None, Meta(description="Draft for each unit of working width, if the request gives one.")
    ]
    tools: Annotated[list[ToolDraftAnswer], Meta(description="Each kind of tool, in the order of the request.")]


class DraftAnswer(Answer, frozen=True, kw_only=True):
    """What the implement pulls."""

    draft: Annotated[DraftSummary, Meta(description="Draft of the ground tools.")]
    grade_pull: Annotated[Force, Meta(description="Pull of the implement's own weight on the slope.")]
    pull: Annotated[Force, Meta(description="Draft and grade together, at the hitch.")]
    drawbar_power: Annotated[Power, Meta(description="Pull times speed.")]
    about: AboutField


def draft_summary(found: Drafted) -> DraftSummary:
    """Return the draft of an implement, whole and by tool."""
    total, width = found.total, found.width
    return DraftSummary(
        total=Force.spanning(total),
        per_width=ForcePerWidth.spanning(total.map(lambda draft: draft / width)) if width is not None else None,
        tools=[
            ToolDraftAnswer(
                tool=tool.row.id,
                pointer=tool.pointer,
                draft=Force.spanning(draft),
                share=number(draft.value / total.value),
            )
            for tool, draft in zip(found.tools, found.by_tool, strict=True)
        ],
    )


def answer_of(found: Pulled, speed: Real, ledger: Ledger) -> DraftAnswer:
    """Return the answer for what is pulled at a `speed` [m/s]."""
    return DraftAnswer(
        draft=draft_summary(found.drafted),
        grade_pull=Force.of(found.grade_pull),
        pull=Force.spanning(found.pull),
        drawbar_power=Power.spanning(found.pull.map(lambda pull: drawbar_power(pull, speed))),
        about=ledger.about(),
    )
