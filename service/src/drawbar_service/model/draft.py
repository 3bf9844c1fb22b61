"""What an implement pulls: the draft of its ground tools, and its own weight on a grade."""

from typing import NamedTuple

from drawbar_service.engine.arrays import Real
from drawbar_service.model.findings import Findings
from drawbar_service.model.implement import ToolDraft, draft_span, grade_pull, tool_drafts, widest
from drawbar_service.model.nouns import Implement, Soil
from drawbar_service.model.span import Span


class Drafted(NamedTuple):
    """The draft of every ground tool at one speed."""

    tools: list[ToolDraft]
    by_tool: list[Span[Real]]
    """[N]"""
    total: Span[Real]
    """On level ground, rolling included [N]"""
    width: Real | None
    """[m]"""


class Pulled(NamedTuple):
    """What an implement pulls at one speed."""

    drafted: Drafted
    grade_pull: Real
    """[N]"""
    pull: Span[Real]
    """At the hitch [N]"""


def drafted_at(tools: list[ToolDraft], speed: Real, width: Real | None, *, ends: bool = True) -> Drafted:
    """Return the draft at `speed` [m/s] of the `tools` of an implement of `width` [m], with the range if `ends`."""
    total = draft_span(tools, ends=ends).map(lambda terms: terms.at(speed))
    return Drafted(tools, [tool.at(speed) for tool in tools], total, width)


def pulled(implement: Implement, soil: Soil, speed: Real, slope: Real, found: Findings) -> Pulled:
    """Return what an `implement` pulls in a `soil` at `speed` [m/s] on a `slope`, rise over run [1].

    Raises
    ------
    Impossible
        If there are faults.
    """
    tools = tool_drafts(implement, soil, found)
    if not implement.tools:
        found.fault("no-ground-tool", "/implement/tools")
    on_grade = grade_pull(implement, slope, found)
    found.stop_at_faults()
    width = implement.width if implement.width is not None else widest(tools)
    drafted = drafted_at(tools, speed, width, ends=found.asked.ranges)
    return Pulled(drafted, on_grade, drafted.total.map(lambda draft: draft + on_grade))
