"""POST /v1/curves/power-by-speed: the PTO power a match takes at each speed, against what is usable."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger, part_where
from drawbar_service.api.shared.curve import AFTER_MATCH, PICTURES, Curve, CurveAnswer, Series, match_of, series
from drawbar_service.api.v1.curves import words
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.engine.arrays import truth
from drawbar_service.model.chance import Word
from drawbar_service.model.curves import power_by_speed
from drawbar_service.model.span import ordered
from drawbar_service.quantities import Power, Share, Speed


class PowerPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The match itself on the curve."""

    speed: Annotated[Speed, Meta(description="Speed of the match.")]
    power: Annotated[
        Power | None, Meta(description="PTO power needed there, with its range; null where nothing carries the pull.")
    ]
    word: Annotated[Word, Meta(description="The verdict there: holds, close, fails or cannot-tell.")]
    chance: Annotated[Share | None, Meta(description="Chance that every limit is kept there.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept there by the central figures.")]


class PowerBySpeedAnswer(CurveAnswer, frozen=True, kw_only=True):
    """PTO power needed and usable, by speed."""

    speed: Annotated[Series, Meta(description="Ground speeds, rising.")]
    needed: Annotated[Series, Meta(description="PTO power needed; 9 in 10 lie from low to high.")]
    holds: Annotated[
        list[bool],
        Meta(description="At each speed: whether every limit is kept as often as `limits.holds_from` asks."),
    ]
    fits: Annotated[list[bool], Meta(description="At each speed: whether every limit is kept by the central figures.")]
    usable: Annotated[Power, Meta(description="PTO power usable: rated, less the reserve.")]
    rated: Annotated[Power, Meta(description="Rated PTO power.")]
    tool_speeds: Annotated[
        list[Speed] | None, Meta(description="From and to which speed the tool does sound work; null if not known.")
    ]
    operating: Annotated[PowerPoint, Meta(description="The match itself.")]
    about: AboutField


def compute(request: MatchRequest, ledger: Ledger) -> PowerBySpeedAnswer:
    """Answer with power by speed."""
    match = match_of(request, request.find, ledger)
    case, worked = match.case, match.worked
    curve = power_by_speed(worked)
    return PowerBySpeedAnswer(
        title=ledger.sentence(lambda: words.up_to_speed(match, curve, ledger)),
        summary=ledger.sentence(lambda: words.power_by_speed(match, curve, ledger)),
        source=AFTER_MATCH,
        speed=series("Ground speed", Speed, ledger.units, curve.speeds),
        needed=series("PTO power needed", Power, ledger.units, curve.needed.value, curve.needed[1:]),
        holds=curve.holds.tolist(),
        fits=curve.fits.tolist(),
        usable=Power.of(case.limits.power),
        rated=Power.of(case.rated),
        tool_speeds=[Speed.of(end) for end in case.speeds] if case.speeds is not None else None,
        operating=PowerPoint(
            speed=Speed.of(worked.speed),
            power=part_where(worked.carried, lambda: Power.spanning(ordered(worked.power))),
            word=match_words.word_of(match.chance),
            chance=Share.of(match.chance.value) if match.chance is not None else None,
            fits=truth(worked.fits),
        ),
        about=ledger.about(),
    )


POWER_BY_SPEED = Curve(
    name="power-by-speed",
    request=MatchRequest,
    answer=PowerBySpeedAnswer,
    compute=compute,
    summary="Power needed and usable, by speed",
    description=(
        "The request is that of `/v1/match`. PTO power needed at each speed, with the range of the draft table, "
        "against the power usable; where it holds, and where every limit is kept by the central figures; and the match "
        "itself as a point on the curve."
    ),
    example=MATCH.example,
    shown_as=PICTURES,
)
