"""POST /v1/draft: what an implement pulls."""

from functools import partial
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import (
    EXAMPLE_IMPLEMENT,
    Implement,
    ToolDraft,
    grade_pull,
    tool_drafts,
    total_terms,
)
from drawbar_service.api.shared.soil import Soil
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.power import drawbar_power
from drawbar_service.quantities import Force, ForcePerWidth, Power, Slope, Speed


class DraftRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An implement at work in a soil."""

    implement: Annotated[Implement, Meta(description="The machine and its ground tools.")]
    soil: Annotated[Soil, Meta(description="The soil it works.")]
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["8 km/h"])]
    slope: Annotated[Slope, Meta(description="Rise over run, positive uphill; acts on the implement's mass.")] = (
        msgspec.field(default_factory=partial(Slope, 0.0))
    )


class ToolDraftAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of one kind of ground tool."""

    tool: Annotated[str, Meta(description="Row of the draft table.")]
    pointer: Annotated[str, Meta(description="Which tool of the request.")]
    draft: Annotated[Force, Meta(description="Draft, with the range of the table.")]
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


def draft_summary(
    drafts: list[ToolDraft], totals: tuple[DraftTerms, DraftTerms, DraftTerms], speed: float, width: float | None
) -> DraftSummary:
    """Return the draft at `speed` [m/s] of an implement of `width` [m].

    `totals` are the terms of all tools together: central, low and high.
    """
    total, low, high = (float(terms.at(speed)) for terms in totals)
    tools: list[ToolDraftAnswer] = []
    for draft in drafts:
        force, spread = float(draft.terms.at(speed)), draft.row.range
        tools.append(
            ToolDraftAnswer(
                tool=draft.row.id,
                pointer=draft.pointer,
                draft=Force.ranged(force, force * (1.0 - spread), force * (1.0 + spread)),
                share=force / total,
            )
        )
    per_width = ForcePerWidth.ranged(total / width, low / width, high / width) if width else None
    return DraftSummary(total=Force.ranged(total, low, high), per_width=per_width, tools=tools)


def compute(request: DraftRequest, ledger: Ledger) -> DraftAnswer:
    """Answer a draft request."""
    implement, speed = request.implement, float(request.speed)
    drafts = tool_drafts(implement, request.soil, ledger)
    if not implement.tools:
        ledger.fault("/implement/tools", "give at least one ground tool; /v1/reference/draft lists them")
    on_grade = grade_pull(implement, float(request.slope), ledger)
    ledger.stop_at_faults()
    widths = [draft.width for draft in drafts if draft.width is not None]
    width = float(implement.width) if implement.width is not None else max(widths, default=None)
    totals = total_terms(drafts)
    summary = draft_summary(drafts, totals, speed, width)
    pull, low, high = (float(terms.at(speed)) + on_grade for terms in totals)
    return DraftAnswer(
        draft=summary,
        grade_pull=Force(on_grade),
        pull=Force.ranged(pull, low, high),
        drawbar_power=Power.ranged(*(float(drawbar_power(force, speed)) for force in (pull, low, high))),
        about=ledger.about(),
    )


DRAFT = Calculation(
    name="draft",
    request=DraftRequest,
    answer=DraftAnswer,
    compute=compute,
    summary="Draft of an implement",
    description=(
        "Adds up the draft of every ground tool at a speed, with low and high from the spread of the table, by tool, "
        "in total and for each unit of width. D = F (A + B S + C S^2) W T, after ASAE D497."
    ),
    example={
        "implement": EXAMPLE_IMPLEMENT,
        "soil": {"texture": "medium", "surface": "firm"},
        "speed": "8 km/h",
    },
    columns=(
        "/draft/total",
        "/draft/per_width",
        "/grade_pull",
        "/pull",
        "/drawbar_power",
    ),
)
