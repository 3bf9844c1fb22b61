"""POST /v1/curves/draft-by-tool: what each kind of tool adds to the draft, at speeds around the match."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger
from drawbar_service.api.shared.curve import AFTER_MATCH, PICTURES, Curve, CurveAnswer, Series, match_of, series
from drawbar_service.api.v1.curves import words
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.model.curves import draft_by_tool
from drawbar_service.quantities import Force, Speed


class ToolBars(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of one kind of ground tool."""

    tool: Annotated[str, Meta(description="Row of the draft table.")]
    pointer: Annotated[str, Meta(description="Which tool of the request.")]
    draft: Annotated[Series, Meta(description="Its draft at each speed; 9 in 10 lie from low to high.")]


class DraftByToolAnswer(CurveAnswer, frozen=True, kw_only=True):
    """Draft by tool, at speeds around the match."""

    speed: Annotated[Series, Meta(description="Ground speeds, rising; the match's is in the middle.")]
    tools: Annotated[list[ToolBars], Meta(description="Each kind of tool, in the order of the request.")]
    total: Annotated[Series, Meta(description="Draft of all of them; 9 in 10 lie from low to high.")]
    about: AboutField


def compute(request: MatchRequest, ledger: Ledger) -> DraftByToolAnswer:
    """Answer with draft by tool."""
    if not request.implement.tools:
        ledger.fault("no-draft-to-show", "/implement/tools")
        ledger.stop_at_faults()
    match = match_of(request, request.find, ledger)
    curve = draft_by_tool(match.worked)
    return DraftByToolAnswer(
        title=ledger.sentence(lambda: words.pull_of_tools(match, ledger)),
        summary=ledger.sentence(lambda: words.draft_by_tool(match, ledger)),
        source=AFTER_MATCH,
        speed=series("Ground speed", Speed, ledger.units, curve.speeds),
        tools=[
            ToolBars(
                tool=tool.row.id,
                pointer=tool.pointer,
                draft=series(f"Draft of {tool.row.id}", Force, ledger.units, draft.value, draft[1:]),
            )
            for tool, draft in curve.tools
        ],
        total=series("Draft", Force, ledger.units, curve.total.value, curve.total[1:]),
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
