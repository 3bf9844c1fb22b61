"""POST /v1/curves/fit-map: which widths hold and fit at which speeds, with how much to spare, and what binds."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger
from drawbar_service.api.shared.curve import (
    AFTER_MATCH,
    PICTURES,
    Curve,
    CurveAnswer,
    Series,
    match_of,
    numbers,
    series,
)
from drawbar_service.api.v1.curves import words
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.engine.arrays import truth
from drawbar_service.model.chance import Word
from drawbar_service.model.curves import fit_map
from drawbar_service.model.limits import LIMITS, LimitName, name_of
from drawbar_service.quantities import Ratio, Share, Speed, Width


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
    word: Annotated[Word, Meta(description="The verdict.")]
    chance: Annotated[Share | None, Meta(description="Chance that every limit is kept.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept by the central figures.")]
    binding: Annotated[LimitName, Meta(description="The limit exceeded most, or nearest to being met.")]


class FitMapAnswer(CurveAnswer, frozen=True, kw_only=True):
    """Widths by speeds: whether they fit, the margin, and what binds. Rows are widths, columns speeds."""

    width: Annotated[Series, Meta(description="Working widths, rising; all tools in proportion, whole or not.")]
    speed: Annotated[Series, Meta(description="Ground speeds, rising.")]
    holds: Annotated[
        list[list[bool]],
        Meta(description="By width, then speed: whether every limit is kept as often as `limits.holds_from` asks."),
    ]
    fits: Annotated[
        list[list[bool]],
        Meta(description="By width, then speed: whether every limit is kept by the central figures."),
    ]
    holding_margin: Annotated[
        Grid,
        Meta(description="By width, then speed: the least margin with the draft that it has to bear to hold."),
    ]
    margin: Annotated[
        Grid,
        Meta(
            description=(
                "By width, then speed: the least margin, negative beyond a limit. At most -100 % where nothing "
                "carries the pull."
            )
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
        ledger.fault("no-width-to-map", "/implement/tools")
        ledger.stop_at_faults()
    match = match_of(request, request.find, ledger)
    case, worked = match.case, match.worked
    drawn = fit_map(worked)
    unit, factor = Ratio.shown(ledger.units)
    return FitMapAnswer(
        title=ledger.sentence(lambda: words.up_to_width(drawn, ledger)),
        summary=ledger.sentence(lambda: words.fit_map(match, drawn, ledger)),
        source=AFTER_MATCH,
        width=series("Working width", Width, ledger.units, drawn.widths),
        speed=series("Ground speed", Speed, ledger.units, drawn.speeds),
        holds=drawn.holds.tolist(),
        fits=drawn.fits.tolist(),
        holding_margin=Grid(
            name="Least margin where it holds", unit=unit, rows=[numbers(row, factor) for row in drawn.holding_margin]
        ),
        margin=Grid(name="Least margin", unit=unit, rows=[numbers(row, factor) for row in drawn.margin]),
        binding=[[LIMITS[int(place)] for place in row] for row in drawn.binds.tolist()],
        outlines=[
            Outline(limit=name, width=series(f"Width at which {name} is met", Width, ledger.units, widths))
            for name, widths in drawn.met.items()
        ],
        tool_speeds=[Speed.of(end) for end in case.speeds] if case.speeds is not None else None,
        operating=MapPoint(
            speed=Speed.of(worked.speed),
            width=Width.of(case.width),
            word=match_words.word_of(match.chance),
            chance=Share.of(match.chance.value) if match.chance is not None else None,
            fits=truth(worked.fits),
            binding=name_of(match.binds),
        ),
        about=ledger.about(),
    )


FIT_MAP = Curve(
    name="fit-map",
    request=MatchRequest,
    answer=FitMapAnswer,
    compute=compute,
    summary="Which widths hold at which speeds",
    description=(
        "The request is that of `/v1/match`, with ground tools. Over widths and speeds around the match: what holds "
        "as often as `limits.holds_from` asks, and by the central figures whether every limit is kept, with how much "
        "to spare, and which limit binds."
    ),
    more="All tools grow and shrink in proportion, whole or not.",
    example=MATCH.example,
    shown_as=PICTURES,
)
