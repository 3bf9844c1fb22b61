"""POST /v1/curves/slip-by-pull: slip and tractive efficiency of the tractor of a match under every pull it carries."""

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
    with_points,
)
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.engine.match import operate_at_slip
from drawbar_service.quantities import Force, Ratio, Share

LEAST_SLIP, MOST_SLIP = 0.001, 0.4
"""Slips [1] between which the curve runs: no wheel pulls without slip, and beyond none is left to work with."""
POINTS = 60


class PullPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The match itself on the curve."""

    pull: Annotated[Force, Meta(description="Pull of the match, with its range.")]
    slip: Annotated[Share, Meta(description="Slip there; of the greatest pull where this one is not carried.")]
    tractive_efficiency: Annotated[Ratio, Meta(description="Drawbar power over axle power there.")]
    carried: Annotated[bool, Meta(description="Whether any slip carries the pull.")]


class SlipByPullAnswer(CurveAnswer, frozen=True, kw_only=True):
    """Slip and tractive efficiency, by pull."""

    pull: Annotated[Series, Meta(description="Pulls at the hitch, rising; empty where the tractor carries none.")]
    slip: Annotated[Series, Meta(description="Slip under each pull.")]
    tractive_efficiency: Annotated[Series, Meta(description="Drawbar power over axle power under each pull.")]
    slip_band: Annotated[list[Share], Meta(description="Slip of best efficiency on this surface, from and to.")]
    slip_limit: Annotated[Share, Meta(description="Most slip the match is held to.")]
    operating: Annotated[PullPoint, Meta(description="The match itself.")]
    about: AboutField


def compute(request: MatchRequest, ledger: Ledger) -> SlipByPullAnswer:
    """Answer with slip by pull."""
    if request.tractor.drive == "rubber-track":
        ledger.fault(
            "/tractor/drive",
            "slip is not reckoned on rubber tracks: no traction equation is trustworthy enough to offer; "
            "/v1/curves/power-by-speed takes them",
        )
        ledger.stop_at_faults()
    found = matched(request, ledger)
    case, at_work = found.case, found.answer.at_work
    tractor, slip, efficiency = case.tractor, at_work.slip, at_work.tractive_efficiency
    assert tractor is not None
    assert slip is not None
    assert efficiency is not None
    carried = all(limit.kept for limit in found.answer.limits if limit.name == "pull")
    slips = np.geomspace(LEAST_SLIP, MOST_SLIP, POINTS)
    point = operate_at_slip(tractor.engine, with_points(slips, float(slip)) if carried else slips)
    pulls = np.asarray(point.pull)
    # Past its summit the pull falls while slip goes on: the wheels dig.
    rising = np.minimum.accumulate(np.append(True, np.diff(pulls) > 0.0))
    shown = rising & (pulls >= 0.0)
    most = Force(float(pulls[shown][-1])) if shown.any() else Force(0.0)
    say = ledger.say
    return SlipByPullAnswer(
        title="Slip and efficiency by pull",
        summary=(
            f"Slip rises with the pull, up to {say(most)}, the most the tractor pulls here with at most "
            f"{say(Share(MOST_SLIP))} slip. The match pulls {say(at_work.pull)}"
            + (
                f" with {say(slip)} slip and a tractive efficiency of {say(efficiency)}"
                if carried
                else ", which no slip carries"
            )
            + f"; slip works best from {say(at_work.slip_band[0])} to {say(at_work.slip_band[1])} on this surface."
        ),
        source=AFTER_MATCH,
        pull=series("Pull at the hitch", Force, ledger.units, pulls[shown]),
        slip=series("Slip", Share, ledger.units, np.asarray(point.slip)[shown]),
        tractive_efficiency=series(
            "Tractive efficiency", Ratio, ledger.units, np.asarray(point.tractive_efficiency)[shown]
        ),
        slip_band=at_work.slip_band,
        slip_limit=Share(float(case.limits.slip)),
        operating=PullPoint(pull=at_work.pull, slip=slip, tractive_efficiency=efficiency, carried=carried),
        about=ledger.about(),
    )


SLIP_BY_PULL = Curve(
    name="slip-by-pull",
    request=MatchRequest,
    answer=SlipByPullAnswer,
    compute=compute,
    summary="Slip and tractive efficiency, by pull",
    description=(
        "The request is that of `/v1/match`. Slip and tractive efficiency of the tractor under every pull that this "
        "soil carries, the slip of best efficiency, and the match itself as a point on the curve. On wheels only."
    ),
    example=MATCH.example,
    shown_as=PICTURES,
)
