"""POST /v1/curves/slip-by-pull: slip and tractive efficiency of the tractor of a match under every pull it carries."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger
from drawbar_service.api.shared.curve import AFTER_MATCH, PICTURES, Curve, CurveAnswer, Series, match_of, series
from drawbar_service.api.v1.curves import words
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.answer import slip_of
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.engine.arrays import both, truth
from drawbar_service.model.curves import slip_by_pull
from drawbar_service.model.limits import is_kept
from drawbar_service.model.span import ordered
from drawbar_service.quantities import Force, Ratio, Share


class PullPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The match itself on the curve."""

    pull: Annotated[Force, Meta(description="Pull of the match, with its range.")]
    slip: Annotated[Share | None, Meta(description="Slip there; null where no slip carries the pull.")]
    tractive_efficiency: Annotated[
        Ratio | None, Meta(description="Tractive efficiency there; null where the wheels do not pull it.")
    ]
    carried: Annotated[bool, Meta(description="Whether any slip carries the pull.")]


class SlipByPullAnswer(CurveAnswer, frozen=True, kw_only=True):
    """Slip and tractive efficiency, by pull."""

    pull: Annotated[Series, Meta(description="Pulls at the hitch, rising; empty where the tractor carries none.")]
    slip: Annotated[Series, Meta(description="Slip under each pull.")]
    tractive_efficiency: Annotated[Series, Meta(description="Drawbar power over axle power under each pull.")]
    slip_band: Annotated[list[Share], Meta(description="Slip of best efficiency here, from and to.")]
    slip_limit: Annotated[Share, Meta(description="Most slip the match is held to.")]
    operating: Annotated[PullPoint, Meta(description="The match itself.")]
    about: AboutField


def compute(request: MatchRequest, ledger: Ledger) -> SlipByPullAnswer:
    """Answer with slip by pull."""
    match = match_of(request, request.find, ledger)
    worked = match.worked
    curve, slip = slip_by_pull(worked), slip_of(worked)
    return SlipByPullAnswer(
        title=ledger.sentence(lambda: words.slip_at_work(match, ledger)),
        summary=ledger.sentence(lambda: words.slip_by_pull(match, curve, ledger)),
        source=AFTER_MATCH,
        pull=series("Pull at the hitch", Force, ledger.units, curve.pulls),
        slip=series("Slip", Share, ledger.units, curve.slips),
        tractive_efficiency=series("Tractive efficiency", Ratio, ledger.units, curve.efficiencies),
        slip_band=[Share.of(end) for end in match.case.slip_band],
        slip_limit=Share.of(match.case.limits.slip),
        operating=PullPoint(
            pull=Force.spanning(ordered(worked.pull)),
            slip=slip,
            tractive_efficiency=Ratio.known(
                both(worked.carried, worked.point.value.pulls), worked.point.value.tractive_efficiency
            ),
            carried=truth(is_kept("pull", worked.left)),
        ),
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
        "soil carries, the slip of best efficiency, and the match itself as a point on the curve."
    ),
    example=MATCH.example,
    shown_as=PICTURES,
)
