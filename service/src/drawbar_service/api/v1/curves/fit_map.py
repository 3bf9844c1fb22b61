"""POST /v1/curves/fit-map: which widths fit at which speeds, with how much to spare, and what binds elsewhere."""

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
    Matched,
    Series,
    judged,
    matched,
    numbers,
    series,
    spare,
    with_points,
)
from drawbar_service.api.v1.curves.power_by_speed import speeds_to_show
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.reach import by_width, greatest_amount
from drawbar_service.model.greatest import MOST_TIMES_WIDER, sound_speed
from drawbar_service.model.implement import main_tool
from drawbar_service.model.limits import LIMITS, LimitName, Margins, all_kept, binding
from drawbar_service.quantities import Ratio, Speed, Width

WIDTHS = 20
SPEED_STEP = 3
"""Of the speeds of the power curve, every third one is enough for a map."""
_BESIDE = (1.0 - 1e-3, 1.0 + 1e-3)
"""Just outside the low and the high end of a range, over that end [1]."""
_BY_WIDTH: tuple[LimitName, ...] = ("power", "pull", "slip", "front-axle")
"""Limits that some width meets; the others go by speed or depth alone."""


class Grid(msgspec.Struct, frozen=True, kw_only=True):
    """Numbers of one unit, by width and then by speed."""

    name: Annotated[str, Meta(description="What they are.")]
    unit: Annotated[str, Meta(description="Unit of all of them.")]
    rows: Annotated[list[list[float | None]], Meta(description="A row for each width; in it a number for each speed.")]


class Outline(msgspec.Struct, frozen=True, kw_only=True):
    """Where one limit is just met."""

    limit: Annotated[LimitName, Meta(description="The limit.")]
    width: Annotated[
        Series, Meta(description="At each speed, the width at which it is met; null where none on the map meets it.")
    ]


class MapPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The match itself on the map."""

    speed: Annotated[Speed, Meta(description="Speed of the match.")]
    width: Annotated[Width, Meta(description="Working width of the match.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept.")]
    binding: Annotated[LimitName, Meta(description="The limit exceeded most, or nearest to being met.")]


class FitMapAnswer(CurveAnswer, frozen=True, kw_only=True):
    """Widths by speeds: whether they fit, the margin, and what binds. Rows are widths, columns speeds."""

    width: Annotated[Series, Meta(description="Working widths, rising; all tools in proportion, whole or not.")]
    speed: Annotated[Series, Meta(description="Ground speeds, rising.")]
    fits: Annotated[list[list[bool]], Meta(description="By width, then speed: whether every limit is kept.")]
    margin: Annotated[
        Grid,
        Meta(
            description="By width, then speed: the least margin, negative beyond a limit; the tool's own "
            "ranges count only where they are left."
        ),
    ]
    binding: Annotated[
        list[list[LimitName]], Meta(description="By width, then speed: the limit exceeded most or nearest.")
    ]
    outlines: Annotated[list[Outline], Meta(description="Where each limit that goes by width is just met.")]
    tool_speeds: Annotated[
        list[Speed] | None, Meta(description="From and to which speed the tool does sound work; null if not known.")
    ]
    operating: Annotated[MapPoint, Meta(description="The match itself.")]
    about: AboutField


def compute(request: MatchRequest, ledger: Ledger) -> FitMapAnswer:
    """Answer with a map."""
    if not request.implement.tools:
        ledger.fault("/implement/tools", "give at least one ground tool: the map makes them wider and narrower")
        ledger.stop_at_faults()
    found = matched(request, ledger)
    case, verdict = found.case, found.answer.verdict
    whole = speeds_to_show(found)
    # A hair beyond the tool's range the map changes from one shade to another.
    edges = [end * side for end, side in zip(case.speeds or (), _BESIDE, strict=False)]
    speeds = with_points(whole[::SPEED_STEP], found.speed, *edges, *(case.speeds or ()))
    widths = _widths(found)
    across, along = (part.ravel() for part in np.meshgrid(widths, speeds, indexing="ij"))
    work = case.work[0]._replace(draft=case.work[0].draft.times(across / case.width))
    held = judged(found, work, along)
    shape = (len(widths), len(speeds))
    kept = np.broadcast_to(all_kept(held.left), along.shape).reshape(shape)
    margin = np.broadcast_to(spare(held.left), along.shape).reshape(shape)
    binds = np.broadcast_to(binding(held.left, held.carried), along.shape).reshape(shape)
    say, (unit, factor) = ledger.say, Ratio.shown(ledger.units)
    here = f"{say(Width.of(case.width))} at {say(Speed(found.speed))}"
    return FitMapAnswer(
        title="What fits, by width and speed",
        summary=(
            f"Of widths from {say(Width(float(widths[0])))} to {say(Width(float(widths[-1])))} at speeds from "
            f"{say(Speed(float(speeds[0])))} to {say(Speed(float(speeds[-1])))}, {say(Ratio(float(kept.mean())))} of "
            f"the map fits. The match, {here}, {'fits' if verdict.fits else 'does not fit'}. {verdict.summary}"
        ),
        source=AFTER_MATCH,
        width=series("Working width", Width, ledger.units, widths),
        speed=series("Ground speed", Speed, ledger.units, speeds),
        fits=kept.tolist(),
        margin=Grid(name="Least margin", unit=unit, rows=[numbers(row, factor) for row in margin]),
        binding=[[LIMITS[int(place)] for place in row] for row in binds.tolist()],
        outlines=_outlines(held.left, widths, shape, ledger),
        tool_speeds=[Speed.of(end) for end in case.speeds] if case.speeds is not None else None,
        operating=MapPoint(
            speed=found.answer.at_work.speed, width=Width.of(case.width), fits=verdict.fits, binding=verdict.binding
        ),
        about=ledger.about(),
    )


def _widths(found: Matched) -> FloatArray:
    """Return widths [m] from well below to well above both the machine's and the greatest that fits at sound speed."""
    case = found.case
    speed = float(sound_speed(case, found.speed))
    main = main_tool(case.drafts, speed)
    assert main is not None
    fixed, each = by_width(case.work[0], main.amount)
    ends = (0.1 * main.amount, MOST_TIMES_WIDER * main.amount)
    most = float(case.width * greatest_amount(case.reach(), fixed, each, speed, *ends).value / main.amount)
    low, high = 0.4 * min(float(case.width), most), 1.3 * max(float(case.width), most)
    return with_points(np.linspace(low, high, WIDTHS), case.width)


def _outlines(left: Margins, widths: FloatArray, shape: tuple[int, int], ledger: Ledger) -> list[Outline]:
    found: list[Outline] = []
    for name in _BY_WIDTH:
        if name in left:
            margin = np.broadcast_to(left[name], (shape[0] * shape[1],)).reshape(shape)
            met = np.array([_crossing(widths, margin[:, column]) for column in range(shape[1])])
            found.append(Outline(limit=name, width=series(f"Width at which {name} is met", Width, ledger.units, met)))
    return found


def _crossing(widths: FloatArray, margin: FloatArray) -> float:
    """Return the width [m] at which a margin [1] falls to 0, not a number where it does not."""
    below = np.flatnonzero(margin < 0.0)
    if not below.size or below[0] == 0:
        return float("nan")
    after = int(below[0])
    high, low = float(margin[after - 1]), float(margin[after])
    return float(widths[after - 1] + (widths[after] - widths[after - 1]) * high / (high - low))


FIT_MAP = Curve(
    name="fit-map",
    request=MatchRequest,
    answer=FitMapAnswer,
    compute=compute,
    summary="Which widths fit at which speeds",
    description=(
        "The request is that of `/v1/match`, with ground tools. Over widths and speeds around the match: whether every "
        "limit is kept, with how much to spare, and which limit binds. All tools grow and shrink in proportion, whole "
        "or not."
    ),
    example=MATCH.example,
    shown_as=PICTURES,
)
