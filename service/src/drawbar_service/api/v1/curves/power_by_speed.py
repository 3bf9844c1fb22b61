"""POST /v1/curves/power-by-speed: the PTO power a match takes at each speed, against what is usable."""

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
    series,
    with_points,
)
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.reach import greatest_speed
from drawbar_service.model.greatest import SLOWEST, speed_ends
from drawbar_service.model.limits import all_kept
from drawbar_service.quantities import Power, Speed

POINTS = 41


class PowerPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The match itself on the curve."""

    speed: Annotated[Speed, Meta(description="Speed of the match.")]
    power: Annotated[Power, Meta(description="PTO power needed there, with its range.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept there.")]


class PowerBySpeedAnswer(CurveAnswer, frozen=True, kw_only=True):
    """PTO power needed and usable, by speed."""

    speed: Annotated[Series, Meta(description="Ground speeds, rising.")]
    needed: Annotated[Series, Meta(description="PTO power needed, with the range of the draft table.")]
    fits: Annotated[list[bool], Meta(description="At each speed: whether every limit is kept.")]
    usable: Annotated[Power, Meta(description="PTO power usable: rated, less the reserve.")]
    rated: Annotated[Power, Meta(description="Rated PTO power.")]
    tool_speeds: Annotated[
        list[Speed] | None, Meta(description="From and to which speed the tool does sound work; null if not known.")
    ]
    operating: Annotated[PowerPoint, Meta(description="The match itself.")]
    about: AboutField


def speeds_to_show(found: Matched) -> FloatArray:
    """Return rising speeds [m/s] around the match and the tool's range, the speed of the match among them."""
    case, here = found.case, found.speed
    marks = [here, *(case.speeds or ())]
    fastest = greatest_speed(case.reach(), case.work[0], *speed_ends(case))
    if fastest.fits:
        marks.append(float(fastest.value))
    low, high = max(0.5 * min(marks), min(SLOWEST, here)), 1.2 * max(marks)
    return with_points(np.linspace(low, high, POINTS), *marks)


def compute(request: MatchRequest, ledger: Ledger) -> PowerBySpeedAnswer:
    """Answer with power by speed."""
    found = matched(request, ledger)
    case, at_work, verdict = found.case, found.answer.at_work, found.answer.verdict
    speeds = speeds_to_show(found)
    powers = [np.asarray(case.pto_power(work, speeds)) for work in case.work if work is not None]
    kept = np.broadcast_to(all_kept(judged(found, case.work[0], speeds).left), speeds.shape)
    say = ledger.say
    return PowerBySpeedAnswer(
        title="Power needed by speed",
        summary=(
            f"The PTO power needed goes from {say(Power(float(powers[0][0])))} at {say(Speed(float(speeds[0])))} to "
            f"{say(Power(float(powers[0][-1])))} at {say(Speed(float(speeds[-1])))}; {say(Power.of(case.limits.power))} is "
            f"usable. The match, at {say(at_work.speed)}, takes {say(at_work.pto_power)}. {verdict.summary}"
        ),
        source=AFTER_MATCH,
        speed=series("Ground speed", Speed, ledger.units, speeds),
        needed=series("PTO power needed", Power, ledger.units, powers[0], powers[1:]),
        fits=kept.tolist(),
        usable=Power.of(case.limits.power),
        rated=Power.of(case.rated),
        tool_speeds=[Speed.of(end) for end in case.speeds] if case.speeds is not None else None,
        operating=PowerPoint(speed=at_work.speed, power=at_work.pto_power, fits=verdict.fits),
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
        "against the power usable; where every limit is kept; and the match itself as a point on the curve."
    ),
    example=MATCH.example,
    shown_as=PICTURES,
)
