"""POST /v1/curves/draft-by-tool: what each kind of tool adds to the draft, at speeds around the match."""

from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger
from drawbar_service.api.v1.curves.curve import (
    AFTER_MATCH,
    PICTURES,
    Curve,
    CurveAnswer,
    Series,
    matched,
    series,
)
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.model.implement import draft_span
from drawbar_service.quantities import Force, Speed

TIMES_THE_SPEED = (0.6, 0.8, 1.0, 1.2, 1.4)
"""Speeds shown, over that of the match [1]."""


class ToolBars(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of one kind of ground tool."""

    tool: Annotated[str, Meta(description="Row of the draft table.")]
    pointer: Annotated[str, Meta(description="Which tool of the request.")]
    draft: Annotated[Series, Meta(description="Its draft at each speed, with the range of the table.")]


class DraftByToolAnswer(CurveAnswer, frozen=True, kw_only=True):
    """Draft by tool, at speeds around the match."""

    speed: Annotated[Series, Meta(description="Ground speeds, rising; the match's is in the middle.")]
    tools: Annotated[list[ToolBars], Meta(description="Each kind of tool, in the order of the request.")]
    total: Annotated[Series, Meta(description="Draft of all of them, with the range of the table.")]
    about: AboutField


def compute(request: MatchRequest, ledger: Ledger) -> DraftByToolAnswer:
    """Answer with draft by tool."""
    if not request.implement.tools:
        ledger.fault("/implement/tools", "give at least one ground tool; /v1/reference/draft lists them")
        ledger.stop_at_faults()
    found = matched(request, ledger)
    draft, drafts, speed = found.answer.draft, found.case.drafts, found.speed
    assert draft is not None
    speeds = speed * np.array(TIMES_THE_SPEED)
    total, *ends_of_total = (terms.at(speeds) for terms in draft_span(drafts) if terms is not None)
    tools: list[ToolBars] = []
    for one in drafts:
        force, spread = one.terms.at(speeds), one.row.range
        ends = (force * (1.0 - spread), force * (1.0 + spread))
        bars = series(f"Draft of {one.row.id}", Force, ledger.units, force, ends)
        tools.append(ToolBars(tool=one.row.id, pointer=one.pointer, draft=bars))
    say = ledger.say
    parts = ", ".join(f"{one.tool} {say(one.draft)}" for one in draft.tools)
    whole = draft.total
    return DraftByToolAnswer(
        title="Draft by tool",
        summary=(
            f"At {say(Speed(speed))} the ground tools pull {say(whole)}, from {say(Force(whole.low or whole))} to "
            f"{say(Force(whole.high or whole))} by the range of the draft table: {parts}."
        ),
        source=AFTER_MATCH,
        speed=series("Ground speed", Speed, ledger.units, speeds),
        tools=tools,
        total=series("Draft", Force, ledger.units, total, ends_of_total),
        about=ledger.about(),
    )


DRAFT_BY_TOOL = Curve(
    name="draft-by-tool",
    request=MatchRequest,
    answer=DraftByToolAnswer,
    compute=compute,
    summary="Draft by tool, at speeds around the match",
    description=(
        "The request is that of `/v1/match`, with ground tools. What each kind of tool adds to the draft at five "
        "speeds, of which the match's is the middle one, and the range of the draft table."
    ),
    example=MATCH.example,
    shown_as=PICTURES,
)
