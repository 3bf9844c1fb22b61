"""POST /v1/ballast: how heavy a tractor should be for its work, where the mass belongs, and what a wrong one costs."""

from functools import partial
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import Hitch, Implement
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR, Tractor
from drawbar_service.api.v1.ballast.advice import (
    LEAST_MASS,
    BallastChange,
    BallastVerdict,
    Outcome,
    Reach,
    advice_of,
    change_to,
    greatest_pull_in_reach,
    limit_of,
    right_for,
    search,
    verdict,
)
from drawbar_service.api.v1.ballast.costs import MassCost, mass_costs
from drawbar_service.api.v1.ballast.soil_stress import SoilStress, ground_in_si
from drawbar_service.api.v1.ballast.standing import (
    Case,
    StandingAnswer,
    Work3,
    standing,
)
from drawbar_service.api.v1.ballast.transport import Transport, transport_in_si
from drawbar_service.engine.draft import KM_PER_H, NO_DRAFT
from drawbar_service.engine.match import Work, pull_at_slip
from drawbar_service.model.implement import (
    draft_span,
    grade_pull,
    hitching,
    power_needs,
    rolling_resistance,
    tool_drafts,
)
from drawbar_service.model.soil import cone_index, surface_row
from drawbar_service.model.tractor import on_wheels, rated_pto_power
from drawbar_service.quantities import (
    Ballast,
    Efficiency,
    Force,
    HitchHeight,
    MachineLength,
    Mass,
    MassChange,
    MassPerPower,
    Pull,
    Ratio,
    Share,
    Slope,
    Speed,
    TractorMass,
)
from drawbar_service.reference import SurfaceRow, default, mass_per_power, static_split

Aim: TypeAlias = Literal["low", "middle", "high"]


FULL_WORK = 0.8
"""Share of the rated power [1] from which the guide of mass for power is held against the advice."""
METHODS_DIFFER = 0.15
"""Difference [1] at which the two are said to part."""


class KnownPull(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A pull that is known, in place of an implement."""

    force: Annotated[Pull, Meta(description="At the hitch, along the ground, the grade included.", examples=["38 kN"])]
    hitch: Annotated[Hitch, Meta(description="Where it acts.")] = "drawbar"
    vertical_load: Annotated[Pull | None, Meta(description="What presses on the hitch all the time.")] = None
    pull_height: Annotated[HitchHeight | None, Meta(description="Line of pull above ground at the hitch.")] = None


class BallastOn(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Ballast the tractor carries now and can do without."""

    front: Annotated[Ballast, Meta(description="On the front.", examples=["600 kg"])] = msgspec.field(
        default_factory=partial(Ballast, 0.0)
    )
    rear: Annotated[Ballast, Meta(description="On or in the rear wheels.", examples=["400 kg"])] = msgspec.field(
        default_factory=partial(Ballast, 0.0)
    )


class BallastLimits(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Limits to hold the tractor to."""

    mass: Annotated[TractorMass | None, Meta(description="Most it may weigh; the manual says.")] = None
    front_share: Annotated[
        Efficiency | None, Meta(description="Least load on the front axle under the pull, as a share of the weight.")
    ] = None
    axle_mass: Annotated[Mass | None, Meta(description="Most on one axle for the sake of the subsoil.")] = None


class BallastRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor, its work, a speed and a soil. Give an implement or a pull."""

    tractor: Annotated[Tractor, Meta(description="The tractor as it stands.")]
    implement: Annotated[Implement | None, Meta(description="The implement.")] = None
    pull: Annotated[KnownPull | None, Meta(description="A known pull, in place of an implement.")] = None
    soil: Annotated[Soil, Meta(description="The soil.")]
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["8 km/h"])]
    slope: Annotated[Slope, Meta(description="Rise over run, positive uphill.")] = msgspec.field(
        default_factory=partial(Slope, 0.0)
    )
    aim: Annotated[Aim, Meta(description="Which slip of the band to aim at; `high` takes the least mass.")] = "middle"
    wanted_front_share: Annotated[
        Share | None,
        Meta(description="Split to aim at; else the one in the usual band that takes the least mass."),
    ] = None
    ballast_on: Annotated[
        BallastOn | None, Meta(description="Ballast that can come off; sets how light the tractor can be.")
    ] = None
    front_ballast_reach: Annotated[
        MachineLength | None, Meta(description="Centre of the front ballast ahead of the front axle.")
    ] = None
    limits: Annotated[BallastLimits, Meta(description="Limits to hold the tractor to.")] = msgspec.field(
        default_factory=BallastLimits
    )
    transport: Annotated[Transport | None, Meta(description="Implements raised for the road, to check the axles.")] = (
        None
    )
    soil_stress: Annotated[
        SoilStress | None, Meta(description="Ask for stress in the soil; `{}` takes every default.")
    ] = None


class MassGuide(msgspec.Struct, frozen=True, kw_only=True):
    """The trade's guide: mass for each unit of PTO power, by the speed of heavy pulling."""

    band: Annotated[str, Meta(description="Row of the mass-per-power table.")]
    mass_per_power: Annotated[MassPerPower, Meta(description="The guide.")]
    mass: Annotated[Mass, Meta(description="Mass by the guide, if the rated power is put to work.")]
    present: Annotated[MassPerPower, Meta(description="Mass over rated PTO power as it stands.")]
    difference: Annotated[Ratio, Meta(description="Present mass over the guide's, less 1.")]


class IsoSlip(msgspec.Struct, frozen=True, kw_only=True):
    """What goes with one slip."""

    slip: Annotated[Share, Meta(description="The slip.")]
    pull: Annotated[Force, Meta(description="Pull that brings the tractor as it stands to it.")]
    mass: Annotated[
        Mass | None,
        Meta(
            description="Least mass that holds the asked pull to it and the front axle down, at the best split; null "
            "if there is none up to 60 t."
        ),
    ]


class BallastAnswer(Answer, frozen=True, kw_only=True):
    """How heavy, where, and what a wrong mass costs."""

    verdict: Annotated[BallastVerdict, Meta(description="The answer in short.")]
    pull: Annotated[Force, Meta(description="Pull at the hitch, with the range of the draft.")]
    slip_band: Annotated[list[Share], Meta(description="Slip of best efficiency on this surface, from and to.")]
    guide: Annotated[MassGuide, Meta(description="Mass by the trade's guide.")]
    as_it_stands: Annotated[StandingAnswer | None, Meta(description="The tractor as given; null on rubber tracks.")]
    advised: Annotated[
        StandingAnswer | None, Meta(description="The tractor as advised; null where it stays as it is or cannot.")
    ]
    change: Annotated[BallastChange | None, Meta(description="What to add or take off; null where nothing changes.")]
    pull_in_reach: Annotated[
        Force | None,
        Meta(description="Greatest pull at the slip aimed at, with the ballast within reach; null if there is none."),
    ]
    costs: Annotated[
        list[MassCost], Meta(description="Masses around the right one: too light slips, too heavy rolls hard.")
    ]
    iso_slip: Annotated[list[IsoSlip], Meta(description="Pull and mass at low, middle and high slip of the band.")]
    about: AboutField


class _Asked(NamedTuple):
    """What is pulled."""

    work: Work3
    hitch: Hitch
    vertical_load: float | None
    pull_height: float | None
    pointer: str


def compute(request: BallastRequest, ledger: Ledger) -> BallastAnswer:
    """Answer a ballast request."""
    surface = surface_row(request.soil, ledger)
    rated = rated_pto_power(request.tractor.power, ledger, "/tractor/power")
    asked = _asked(request, surface, ledger)
    guide = _guide(request, rated, ledger)
    if request.tractor.drive == "rubber-track":
        return _on_tracks(request, asked, surface, guide, ledger)
    case = _resolve(request, asked, surface, rated, ledger)
    mass, share = float(request.tractor.mass), case.tractor.front_share
    reach = _reach(request, case, ledger)
    ledger.stop_at_faults()
    now = standing(case, mass, share, ledger)
    found = search(case, reach)
    right = right_for(case, reach, now, found)
    advice = advice_of(now, right)
    advised = (
        standing(case, right.mass, right.front_share, ledger, right.mass_range)
        if right is not None and advice != "as-it-stands"
        else None
    )
    change = change_to(case, now, advised) if advised is not None else None
    pull_in_reach = greatest_pull_in_reach(case, reach)
    outcome = Outcome(advice, now, found, right, advised, change, pull_in_reach)
    _warn(outcome, guide, ledger)
    return BallastAnswer(
        verdict=verdict(case, reach, outcome, ledger),
        pull=_pull(case.work, case.speed),
        slip_band=[Share(end) for end in case.band],
        guide=guide,
        as_it_stands=now,
        advised=advised,
        change=change,
        pull_in_reach=Force(pull_in_reach) if pull_in_reach is not None else None,
        costs=mass_costs(case, float(outcome.last.mass), float(outcome.last.front_share)),
        iso_slip=[
            IsoSlip(
                slip=Share(slip),
                pull=Force(float(pull_at_slip(case.tractor.engine, slip))),
                mass=Mass(needed) if needed is not None else None,
            )
            for slip, needed in zip(reach.slips, found.needed, strict=True)
        ],
        about=ledger.about(),
    )


def _asked(request: BallastRequest, surface: SurfaceRow, ledger: Ledger) -> _Asked:
    implement, pull = request.implement, request.pull
    if (implement is None) == (pull is None):
        ledger.fault("/implement", "give implement or pull, one of the two")
        ledger.stop_at_faults()
    if pull is not None:
        work = Work(NO_DRAFT, float(pull.force), 0.0)
        return _Asked(Work3(work, work, work), pull.hitch, pull.vertical_load, pull.pull_height, "/pull")
    assert implement is not None
    drafts = tool_drafts(implement, request.soil, ledger)
    slope = float(request.slope)
    steady = rolling_resistance(implement, surface.mobility_number_label, slope, ledger)
    steady += grade_pull(implement, slope, ledger)
    needs = power_needs(
        implement.rotary,
        implement.hydraulic,
        float(implement.electric or 0.0),
        request.tractor.pump_efficiency,
        request.tractor.generator_efficiency,
        ledger,
        "/implement",
        "/tractor",
    )
    work = Work3(*(Work(terms, steady, needs.total) for terms in draft_span(drafts) if terms is not None))
    return _Asked(work, implement.hitch, implement.vertical_load, implement.pull_height, "/implement")


def _resolve(request: BallastRequest, asked: _Asked, surface: SurfaceRow, rated: float, ledger: Ledger) -> Case:
    hitched = hitching(asked.hitch, asked.vertical_load, asked.pull_height, request.tractor, ledger, asked.pointer)
    soil_strength = cone_index(request.soil, ledger, "/soil")
    tractor = on_wheels(request.tractor, hitched, soil_strength, float(request.slope), ledger)
    limits = request.limits
    split = static_split(request.tractor.drive)
    kept = ledger.fallback(limits.front_share, "/limits/front_share", "front_share_limit")
    axle_mass = ledger.fallback(limits.axle_mass, "/limits/axle_mass", "axle_mass_caution", Mass)
    ballast_reach = ledger.fallback(
        request.front_ballast_reach, "/front_ballast_reach", "front_ballast_reach", MachineLength
    )
    engine_speed = ledger.fallback(request.tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")
    transport = (
        transport_in_si(request.transport, float(request.tractor.mass), ledger, "/transport")
        if request.transport is not None
        else None
    )
    ledger.use("brixius-1987", "zoz-grisso-2003", "asabe-s296", "grisso-2004", surface.slip_band_source, split.source)
    ledger.stop_at_faults()
    assert tractor is not None
    ground = (
        ground_in_si(request.soil_stress, request.soil.surface, tractor, ledger, "/soil_stress")
        if request.soil_stress is not None
        else None
    )
    return Case(
        tractor=tractor,
        work=asked.work,
        speed=float(request.speed),
        band=(surface.slip_band_low, surface.slip_band_high),
        split=split,
        rated=rated,
        engine_speed=engine_speed,
        kept_share=kept,
        axle_mass=axle_mass,
        ballast_reach=ballast_reach,
        transport=transport,
        ground=ground,
    )


def _reach(request: BallastRequest, case: Case, ledger: Ledger) -> Reach:
    """Return how light and heavy the tractor can be made, and at which splits and slips to look."""
    mass = float(request.tractor.mass)
    on = request.ballast_on
    each = (float(on.front), float(on.rear)) if on is not None else None
    if each is None:
        row = default("removable_share")
        removable = min(row.value * mass, mass - LEAST_MASS)
        ledger.assume("/ballast_on", f"{ledger.say(MassChange(removable))} in all", row.why, row.source)
    else:
        removable = sum(each)
    lightest = mass - removable
    if lightest < LEAST_MASS:
        ledger.fault(
            "/ballast_on",
            f"leaves {ledger.say(MassChange(lightest))} of a tractor of {ledger.say(request.tractor.mass)}; give what "
            "can come off",
        )
    if request.limits.mass is None:
        row = default("heaviest_over_present")
        heaviest = row.value * mass
        ledger.assume("/limits/mass", Mass(heaviest), row.why, row.source)
    else:
        heaviest = float(request.limits.mass)
        if heaviest < lightest:
            ledger.fault(
                "/limits/mass",
                f"is less than the {ledger.say(Mass(lightest))} that are left with all ballast off; give the most that "
                "it may weigh",
            )
    low, high = case.band
    slips = (low, 0.5 * (low + high), high)
    wanted = request.wanted_front_share
    usual = (case.split.front_share_low, case.split.front_share_high)
    ends = usual if wanted is None else (float(wanted), float(wanted))
    return Reach(lightest, heaviest, each, ends, slips, ("low", "middle", "high").index(request.aim))


def _guide(request: BallastRequest, rated: float, ledger: Ledger) -> MassGuide:
    row = mass_per_power(float(request.speed) * KM_PER_H)
    ledger.use(row.source)
    guide, present = row.mass_kg_per_kW / 1000.0, float(request.tractor.mass) / rated
    return MassGuide(
        band=row.id,
        mass_per_power=MassPerPower(guide),
        mass=Mass(guide * rated),
        present=MassPerPower(present),
        difference=Ratio(present / guide - 1.0),
    )


def _on_tracks(
    request: BallastRequest, asked: _Asked, surface: SurfaceRow, guide: MassGuide, ledger: Ledger
) -> BallastAnswer:
    ledger.warn(
        "rough-estimate",
        "/tractor/drive",
        "No traction equation for rubber tracks is trustworthy enough: only the guide of mass for power is told.",
    )
    for name in ("transport", "soil_stress", "ballast_on", "wanted_front_share", "front_ballast_reach"):
        if getattr(request, name) is not None:
            ledger.warn("not-used", f"/{name}", "Only the guide is told of a tractor on rubber tracks.")
    ledger.stop_at_faults()
    word = "above" if guide.difference > 0.0 else "below"
    return BallastAnswer(
        verdict=BallastVerdict(
            advice="guide-only",
            decided_by=None,
            summary=f"On rubber tracks only the guide is told: {ledger.say(guide.mass)} for this power and speed; the "
            f"tractor is {ledger.say(Ratio(abs(guide.difference)))} {word} it.",
        ),
        pull=_pull(asked.work, float(request.speed)),
        slip_band=[Share(surface.slip_band_low), Share(surface.slip_band_high)],
        guide=guide,
        as_it_stands=None,
        advised=None,
        change=None,
        pull_in_reach=None,
        costs=[],
        iso_slip=[],
        about=ledger.about(),
    )


def _pull(work: Work3, speed: float) -> Force:
    central, low, high = (float(one.draft.at(speed) + one.steady_pull) for one in work)
    return Force.ranged(central, low, high) if low < high else Force(central)


def _warn(outcome: Outcome, guide: MassGuide, ledger: Ledger) -> None:
    if not outcome.now.carried:
        ledger.warn("not-carried", "", "As the tractor stands, no slip carries this pull: the soil gives way first.")
    if outcome.advised is not None and outcome.advised.load_fraction >= FULL_WORK:
        advised = outcome.advised.mass
        if abs(advised / guide.mass - 1.0) > METHODS_DIFFER:
            ledger.warn(
                "methods-differ",
                "/tractor/mass",
                f"Slip asks for {ledger.say(advised)}, the guide of mass for power for {ledger.say(guide.mass)}. "
                "Measure slip in the field before much ballast is bought.",
            )
    last, whose = outcome.last, "As it stands" if outcome.advised is None else "As advised"
    if not limit_of(last, "axle-load").kept:
        ledger.warn(
            "check-safety",
            "/limits/axle_mass",
            f"{whose}, {limit_of(last, 'axle-load').detail}: stress reaches the subsoil.",
        )
    for limit in last.limits:
        if limit.name in ("front-lift", "front-raised", "rear-raised") and not limit.kept:
            ledger.warn("check-safety", "/transport" if "raised" in limit.name else "", f"{whose}: {limit.detail}.")


BALLAST = Calculation(
    name="ballast",
    request=BallastRequest,
    answer=BallastAnswer,
    compute=compute,
    summary="Mass and split that bring slip into its band",
    description=(
        "The least mass and the split that hold the pull at a slip in the band of best efficiency and leave the front "
        "axle enough to steer by, by the traction equations; the trade's mass for power beside it. What to add or take "
        "off and where, what a lighter and a heavier tractor cost, axles with implements raised (20 % and 45 % of the "
        "unladen mass), and stress in the soil with depth (Froehlich, Soehne)."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "implement": {
            "hitch": "three-point",
            "mass": "1.4 t",
            "tools": [
                {"tool": "chisel-plow.twisted-shovel-10cm", "count": 15, "spacing": "30 cm", "depth": "24 cm"},
            ],
        },
        "soil": {"texture": "fine", "surface": "tilled"},
        "speed": "6 km/h",
        "ballast_on": {"front": "500 kg"},
        "transport": {"rear": {"mass": "1.4 t", "behind_links": "0.9 m"}},
        "soil_stress": {"depths": ["10 cm", "30 cm", "50 cm"]},
    },
    columns=(
        "/verdict/advice",
        "/verdict/decided_by",
        "/pull",
        "/as_it_stands/mass",
        "/as_it_stands/front_share",
        "/as_it_stands/slip",
        "/as_it_stands/tractive_efficiency",
        "/as_it_stands/load_fraction",
    ),
)
