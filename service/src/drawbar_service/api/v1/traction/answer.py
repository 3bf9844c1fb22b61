"""POST /v1/traction: slip, axle loads and efficiency of a tractor under a pull."""

from functools import partial
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import Hitch, hitching
from drawbar_service.api.shared.soil import Soil, cone_index, surface_row
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR, Tractor, TractorInSI, tractor_in_si
from drawbar_service.engine.axle_loads import lifting_pull
from drawbar_service.engine.draft import NO_DRAFT
from drawbar_service.engine.match import AxlePoint, OperatingPoint, Work, operate, operate_at_slip
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.traction import (
    gee_clough,
    motion_resistance_ratio,
    tractive_efficiency,
    wheel_numeric,
    wismer_luth_gross_ratio,
    wismer_luth_motion_resistance_ratio,
)
from drawbar_service.quantities import Force, HitchHeight, Pull, Ratio, Share, Slope, WheelSlip

MODELS_DIFFER = 0.30
"""Difference in net traction [1] at which another model is said to part (common practice, no source)."""


class TractionRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor on a soil. Give a pull to get the slip, or a slip to get the pull."""

    tractor: Annotated[Tractor, Meta(description="The tractor.")]
    soil: Annotated[Soil, Meta(description="What it stands on. Texture plays no part here.")]
    pull: Annotated[Pull | None, Meta(description="Pull at the hitch, along the ground.", examples=["38 kN"])] = None
    slip: Annotated[
        WheelSlip | None, Meta(description="Slip to be reached, in place of a pull.", examples=["10 %"])
    ] = None
    slope: Annotated[Slope, Meta(description="Rise over run, positive uphill.")] = msgspec.field(
        default_factory=partial(Slope, 0.0)
    )
    hitch: Annotated[Hitch, Meta(description="Where the pull acts.")] = "drawbar"
    vertical_load: Annotated[Pull | None, Meta(description="What presses on the hitch all the time.")] = None
    pull_height: Annotated[HitchHeight | None, Meta(description="Line of pull above ground at the hitch.")] = None


class SecondOpinion(msgspec.Struct, frozen=True, kw_only=True):
    """What another published model says of the same axle at the same slip."""

    model: Annotated[str, Meta(description="Source id of the model.")]
    net_ratio: Annotated[float, Meta(description="Net traction over load.")]
    motion_resistance_ratio: Annotated[float, Meta(description="Motion resistance over load.")]
    tractive_efficiency: Annotated[Share | None, Meta(description="Power out over power in; null below no net pull.")]
    difference: Annotated[
        Ratio | None,
        Meta(description="Its net ratio over the answer's, less 1; null without net pull."),
    ]


class AxleAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One axle at work."""

    driven: Annotated[bool, Meta(description="Whether the axle is driven.")]
    load: Annotated[Force, Meta(description="Load on the axle under the pull; negative once it has lifted.")]
    load_share: Annotated[Ratio, Meta(description="That load over the weight of the tractor.")]
    mobility_number: Annotated[float, Meta(description="Bn of one tire (Brixius 1987).")]
    slip: Annotated[Share, Meta(description="Slip; 0 on a towed axle.")]
    gross_ratio: Annotated[float, Meta(description="Gross traction over load, GTR; 0 on a towed axle.")]
    motion_resistance_ratio: Annotated[float, Meta(description="Motion resistance over load, MRR.")]
    net_ratio: Annotated[float, Meta(description="Net traction over load, NTR = GTR - MRR.")]


class AxlesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Both axles at work."""

    front: Annotated[AxleAnswer, Meta(description="Front axle.")]
    rear: Annotated[AxleAnswer, Meta(description="Rear axle.")]


class TractionAnswer(Answer, frozen=True, kw_only=True):
    """How the tractor stands under the pull."""

    carried: Annotated[bool, Meta(description="Whether any slip in range carries the pull.")]
    pull: Annotated[Force, Meta(description="Pull at the hitch.")]
    slip: Annotated[Share, Meta(description="Slip; of greatest net traction if the pull is not carried.")]
    slip_band: Annotated[list[Share], Meta(description="Slip of best efficiency on this surface, from and to.")]
    pull_effort: Annotated[Ratio, Meta(description="Net traction needed over the greatest there is.")]
    tractive_efficiency: Annotated[Ratio, Meta(description="Drawbar power over axle power.")]
    lifting_pull: Annotated[Force, Meta(description="Pull that would lift the front axle off the ground.")]
    axles: Annotated[AxlesAnswer, Meta(description="Each axle.")]
    second_opinions: Annotated[
        list[SecondOpinion], Meta(description="Other models on the rear axle at the same load and slip.")
    ]
    about: AboutField


def compute(request: TractionRequest, ledger: Ledger) -> TractionAnswer:
    """Answer a traction request."""
    if (request.pull is None) == (request.slip is None):
        ledger.fault("/pull", "give pull or slip, one of the two")
    if request.tractor.drive == "rubber-track":
        ledger.fault(
            "/tractor/drive",
            "no traction equation for rubber tracks is trustworthy enough to offer; use /v1/power or /v1/match, "
            "which take the published drawbar/PTO ratio",
        )
        ledger.stop_at_faults()
    hitched = hitching(request.hitch, request.vertical_load, request.pull_height, request.tractor, ledger, "")
    soil_strength = cone_index(request.soil, ledger, "/soil")
    tractor = tractor_in_si(request.tractor, hitched, soil_strength, float(request.slope), ledger)
    ledger.stop_at_faults()
    assert tractor is not None
    ledger.use("brixius-1987", "zoz-grisso-2003", "asabe-s296")
    band = surface_row(request.soil, ledger)
    if request.slip is not None:
        point = operate_at_slip(tractor.engine, float(request.slip))
    else:
        # The chain wants a speed; ratios and loads do not depend on it.
        point = operate(tractor.engine, Work(NO_DRAFT, float(request.pull or 0.0), 0.0), 1.0)
    pull = float(point.pull)
    if point.pull_effort > 1.0:
        ledger.warn(
            "not-carried",
            "/pull" if request.pull is not None else "/slip",
            "No slip carries this pull: the soil gives way first. More mass, driven wheels or firmer ground helps.",
        )
    return TractionAnswer(
        carried=bool(point.pull_effort <= 1.0),
        pull=Force(pull),
        slip=Share(float(point.slip)),
        slip_band=[Share(band.slip_band_low), Share(band.slip_band_high)],
        pull_effort=Ratio(float(point.pull_effort)),
        tractive_efficiency=Ratio(float(point.tractive_efficiency)),
        lifting_pull=Force(float(lifting_pull(tractor.engine.loads))),
        axles=axles_answer(tractor, point),
        second_opinions=_second_opinions(tractor, point, ledger),
        about=ledger.about(),
    )


def axles_answer(tractor: TractorInSI, point: OperatingPoint) -> AxlesAnswer:
    """Return both axles of a tractor at an operating point."""
    loads = tractor.engine.loads
    return AxlesAnswer(
        front=_axle_answer(tractor.engine.front, point.front, float(loads.front(point.pull)), tractor.weight),
        rear=_axle_answer(tractor.engine.rear, point.rear, float(loads.rear(point.pull)), tractor.weight),
    )


def _axle_answer(axle: Axle, point: AxlePoint, load: float, weight: float) -> AxleAnswer:
    resistance = float(motion_resistance_ratio(point.mobility, point.slip, axle.model))
    return AxleAnswer(
        driven=bool(axle.driven),
        load=Force(load),
        load_share=Ratio(load / weight),
        mobility_number=float(point.mobility),
        slip=Share(float(point.slip)),
        gross_ratio=float(point.gross_ratio),
        motion_resistance_ratio=resistance,
        net_ratio=float(point.gross_ratio) - resistance,
    )


def _second_opinions(tractor: TractorInSI, point: OperatingPoint, ledger: Ledger) -> list[SecondOpinion]:
    tire, slip = tractor.rear.tire, float(point.rear.slip)
    load = float(point.rear.load) / tractor.rear.tires
    numeric = wheel_numeric(tire.cone_index, tire.width, tire.diameter, load)
    gross, rolling = wismer_luth_gross_ratio(numeric, slip), wismer_luth_motion_resistance_ratio(numeric)
    other = gee_clough(tire.cone_index, tire.width, tire.diameter, load, tire.deflection_ratio)
    ledger.use("wismer-luth", "gee-clough-1978")
    net = float(gross - rolling)
    efficiency = float(tractive_efficiency(gross, net, slip)) if net > 0.0 else None
    coefficient = float(other.net_ratio(slip))
    ours = float(point.rear.gross_ratio - motion_resistance_ratio(point.rear.mobility, slip, tractor.engine.rear.model))
    opinions = [
        SecondOpinion(
            model="wismer-luth",
            net_ratio=net,
            motion_resistance_ratio=float(rolling),
            tractive_efficiency=Share(efficiency) if efficiency is not None else None,
            difference=Ratio(net / ours - 1.0) if ours > 0.0 else None,
        ),
        SecondOpinion(
            model="gee-clough-1978",
            net_ratio=coefficient,
            motion_resistance_ratio=float(other.rolling_resistance),
            tractive_efficiency=Share(float(other.efficiency(slip))) if coefficient > 0.0 else None,
            difference=Ratio(coefficient / ours - 1.0) if ours > 0.0 else None,
        ),
    ]
    for opinion in opinions:
        if opinion.difference is not None and abs(float(opinion.difference)) > MODELS_DIFFER:
            ledger.warn(
                "methods-differ",
                "/soil",
                f"By {opinion.model} the rear wheels pull {abs(float(opinion.difference)):.0%} "
                f"{'more' if float(opinion.difference) > 0.0 else 'less'} at this slip than the answer says. "
                "Soil decides which is nearer; a measured slip settles it (/v1/calibration).",
            )
    return opinions


TRACTION = Calculation(
    name="traction",
    request=TractionRequest,
    answer=TractionAnswer,
    compute=compute,
    summary="Slip, axle loads and tractive efficiency under a pull",
    description=(
        "Axle loads from statics, a mobility number for each axle, and the slip at which both axles together give the "
        "pull, the grade and the rolling of axles that are not driven (Brixius 1987; radial tires after Zoz and Grisso "
        "2003). Wismer and Luth and Gee-Clough et al. stand beside it as second opinions."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "soil": {"texture": "medium", "surface": "firm"},
        "pull": "38 kN",
    },
    columns=(
        "/carried",
        "/pull",
        "/slip",
        "/tractive_efficiency",
        "/axles/front/load",
        "/axles/rear/load",
    ),
)
