"""POST /v1/hitch: whether hitch, drawbar, PTO, axles and tires suit, and what goes on the road."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.checks import CheckAnswer, Checks, Fits, at_least, at_most
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR, Tractor
from drawbar_service.api.v1.hitch.categories import (
    HitchedMachine,
    PtoAnswer,
    ThreePointAnswer,
    TractorHitch,
    category_checks,
    fitting_pto,
    pto_checks,
    smallest_drawbar,
    usual_three_point,
)
from drawbar_service.engine.arrays import STANDARD_GRAVITY
from drawbar_service.engine.hitch import TowedLoads, standing_loads, tires_capacity, towed_loads
from drawbar_service.model.tractor import front_share, rated_pto_power
from drawbar_service.quantities import (
    Efficiency,
    Force,
    Length,
    MachineLength,
    Mass,
    Multiplier,
    Ratio,
    Width,
)
from drawbar_service.reference import LOAD_INDEX, TIRE_MULTIPLES

LoadIndex = Annotated[int, Meta(ge=0, le=300)]
WheelCount = Annotated[int, Meta(ge=1, le=32)]


class TireLoads(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tires of one axle by what they carry. Give `load_index` or `rated_load`."""

    load_index: Annotated[
        LoadIndex | None, Meta(description="From the sidewall; only those of `/v1/reference/load-index`.")
    ] = None
    rated_load: Annotated[Mass | None, Meta(description="What one tire carries alone, from the sidewall.")] = None
    count: Annotated[WheelCount, Meta(description="Tires on the axle, or on all axles of the machine.")] = 2
    mounting: Annotated[
        Literal["single", "dual", "triple"], Meta(description="How many stand side by side at each end.")
    ] = "single"


class AxleTireLoads(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tires by what they carry."""

    front: Annotated[TireLoads | None, Meta(description="Front axle of the tractor.")] = None
    rear: Annotated[TireLoads | None, Meta(description="Rear axle of the tractor.")] = None
    machine: Annotated[TireLoads | None, Meta(description="The machine's own.")] = None


class Road(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tractor and machine on the road, and the limits there: yours to give, none is built in."""

    width: Annotated[Width, Meta(description="Greatest width of tractor and machine.", examples=["3.4 m"])]
    tractor_length: Annotated[Length, Meta(description="Front end to hitch.", examples=["5.1 m"])]
    machine_length: Annotated[Length, Meta(description="Hitch to rear end.", examples=["7.2 m"])]
    greatest_width: Annotated[Width | None, Meta(description="Most that is allowed.")] = None
    greatest_length: Annotated[Length | None, Meta(description="Most that is allowed.")] = None
    greatest_mass_ratio: Annotated[
        Multiplier | None,
        Meta(description="Most mass of the machine, with the brakes it has, over that of the tractor."),
    ] = None


class HitchLimits(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Limits to hold the weights to."""

    least_tongue_share: Annotated[Efficiency | None, Meta(description="Least share of weight on the hitch.")] = None
    most_tongue_share: Annotated[Efficiency | None, Meta(description="Most share of weight on the hitch.")] = None
    front_share: Annotated[
        Efficiency | None, Meta(description="Least load on the front axle, as a share of the tractor's weight.")
    ] = None


class HitchRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor, its hitch, and a machine on it."""

    tractor: Annotated[Tractor, Meta(description="The tractor. The wheelbase is needed once weights are asked for.")]
    hitch: Annotated[TractorHitch, Meta(description="What it has at its rear.")] = msgspec.field(
        default_factory=TractorHitch
    )
    machine: Annotated[HitchedMachine | None, Meta(description="The machine.")] = None
    tires: Annotated[AxleTireLoads, Meta(description="Tires to check.")] = msgspec.field(default_factory=AxleTireLoads)
    road: Annotated[Road | None, Meta(description="Dimensions on the road.")] = None
    limits: Annotated[HitchLimits, Meta(description="Limits to hold the weights to.")] = msgspec.field(
        default_factory=HitchLimits
    )


class HitchLoads(msgspec.Struct, frozen=True, kw_only=True):
    """Loads standing level, the machine raised or in transport."""

    hitch: Annotated[Force, Meta(description="On the hitch; negative where the machine lifts it.")]
    hitch_share: Annotated[Ratio | None, Meta(description="Of the machine's weight; null without its mass.")]
    machine_axle: Annotated[Force | None, Meta(description="On the machine's own axle; null if it has none.")]
    front: Annotated[Force | None, Meta(description="Front axle of the tractor; null on rubber tracks.")]
    front_alone: Annotated[Force | None, Meta(description="Front axle without the machine; null likewise.")]
    rear: Annotated[Force | None, Meta(description="Rear axle of the tractor; null on rubber tracks.")]
    front_share: Annotated[Ratio | None, Meta(description="Front load over the tractor's weight; null likewise.")]


class RoadAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Tractor and machine on the road."""

    width: Annotated[Width, Meta(description="Width.")]
    length: Annotated[Length, Meta(description="Both together.")]
    mass: Annotated[Mass | None, Meta(description="Both together; null without the machine's mass.")]
    mass_ratio: Annotated[float | None, Meta(description="Machine over tractor; null likewise.")]


class HitchAnswer(Answer, frozen=True, kw_only=True):
    """What suits the tractor's power, and whether hitch, axles and tires bear the machine."""

    fits: Fits
    checks: Checks
    three_point: Annotated[list[ThreePointAnswer], Meta(description="Categories usual for the tractor's power.")]
    drawbar: Annotated[str | None, Meta(description="Smallest drawbar category for its power; null beyond all.")]
    pto: Annotated[
        list[PtoAnswer],
        Meta(description="PTO types for the machine's speed and power; for the tractor's power where none is given."),
    ]
    loads: Annotated[HitchLoads | None, Meta(description="Loads; null unless the machine gives a weight.")]
    road: Annotated[RoadAnswer | None, Meta(description="On the road, if dimensions were given.")]
    about: AboutField


def compute(request: HitchRequest, ledger: Ledger) -> HitchAnswer:
    """Answer a hitch request."""
    power = rated_pto_power(request.tractor.power, ledger, "/tractor/power")
    loads = _loads(request, ledger)
    tire_checks = _tire_checks(request.tires, loads, ledger)
    road_checks, road = _road(request, ledger)
    if request.hitch.vertical_limit == 0.0:
        ledger.fault("/hitch/vertical_limit", "a load above 0 belongs here")
    ledger.stop_at_faults()
    machine = request.machine
    ledger.use("three-point-pages", "iso-6489-3", "pto-pages")
    checks = [
        *category_checks(request.hitch, machine, power, ledger),
        *pto_checks(request.hitch, machine, power, ledger),
        *_load_checks(request, loads, ledger),
        *tire_checks,
        *road_checks,
    ]
    speed = machine.pto_speed if machine is not None else None
    taken = float(machine.pto_power) if machine is not None and machine.pto_power is not None else power
    return HitchAnswer(
        fits=all(check.kept for check in checks),
        checks=checks,
        three_point=usual_three_point(power),
        drawbar=smallest_drawbar(power),
        pto=fitting_pto(speed, taken),
        loads=loads,
        road=road,
        about=ledger.about(),
    )


def _towed(machine: HitchedMachine, ledger: Ledger) -> TowedLoads | None:
    """Return what a machine puts on the hitch and on its own axle [N]; None if it gives no weight."""
    weight = STANDARD_GRAVITY * float(machine.mass) if machine.mass is not None else None
    if machine.hitch == "three-point":
        for name in ("tongue_length", "tongue_share", "tongue_load"):
            if getattr(machine, name) is not None:
                ledger.fault(f"/machine/{name}", "a mounted machine hangs on the hitch with all its weight")
        if weight is None:
            return None
        if machine.centre_of_mass is None:
            ledger.fault("/machine/centre_of_mass", "required with the mass of a mounted machine: it is the lever")
        return TowedLoads(weight, 0.0)
    ways = [name for name in ("tongue_load", "tongue_share", "tongue_length") if getattr(machine, name) is not None]
    if len(ways) > 1:
        ledger.fault(f"/machine/{ways[1]}", f"give {ways[0]} or {ways[1]}, not both: each sets the load on the hitch")
    for way in ways:
        if way != "tongue_load" and weight is None:
            ledger.fault("/machine/mass", f"required with {way}")
        if way == "tongue_length" and machine.centre_of_mass is None:
            ledger.fault("/machine/centre_of_mass", "required with tongue_length: the two make the lever")
    if machine.centre_of_mass is not None and machine.tongue_length is None:
        ledger.warn("not-used", "/machine/centre_of_mass", "Without tongue_length it says nothing of a towed machine.")
    if machine.tongue_load is not None:
        on_hitch = float(machine.tongue_load)
        if weight is not None and on_hitch > weight:
            ledger.fault("/machine/tongue_load", f"more than the machine weighs, {ledger.say(Force(weight))}")
        return TowedLoads(on_hitch, weight - on_hitch if weight is not None else 0.0)
    if weight is None or not ways:
        return None
    if machine.tongue_share is not None:
        on_hitch = float(machine.tongue_share) * weight
        return TowedLoads(on_hitch, weight - on_hitch)
    return towed_loads(weight, float(machine.centre_of_mass or 0.0), float(machine.tongue_length or 1.0))


def _loads(request: HitchRequest, ledger: Ledger) -> HitchLoads | None:
    tractor, machine = request.tractor, request.machine
    towed = _towed(machine, ledger) if machine is not None else None
    if machine is None or towed is None:
        return None
    mass = float(machine.mass) if machine.mass is not None else None
    hitch = float(towed.hitch)
    weight = STANDARD_GRAVITY * float(tractor.mass)
    front = rear = alone = None
    if tractor.drive != "rubber-track":
        if tractor.wheelbase is None:
            ledger.fault("/tractor/wheelbase", "required for the axle loads under a machine")
        mounted = machine.hitch == "three-point"
        row = "three_point_hitch_distance" if mounted else "hitch_distance"
        distance = ledger.fallback(tractor.hitch_distance, "/tractor/hitch_distance", row, MachineLength)
        if mounted:
            distance += float(machine.centre_of_mass or 0.0)
        share = front_share(tractor, ledger, "/tractor")
        alone = share * weight
        front, rear = standing_loads(weight, share, float(tractor.wheelbase or 1.0), distance, hitch)
    own_axle = machine.hitch != "three-point" and mass is not None
    return HitchLoads(
        hitch=Force(hitch),
        hitch_share=Ratio(hitch / (STANDARD_GRAVITY * mass)) if mass is not None else None,
        machine_axle=Force(float(towed.axle)) if own_axle else None,
        front=Force(float(front)) if front is not None else None,
        front_alone=Force(alone) if alone is not None else None,
        rear=Force(float(rear)) if rear is not None else None,
        front_share=Ratio(float(front) / weight) if front is not None else None,
    )


def _load_checks(request: HitchRequest, loads: HitchLoads | None, ledger: Ledger) -> list[CheckAnswer]:
    if loads is None or request.machine is None:
        return []
    checks: list[CheckAnswer] = []
    ledger.use("derived")
    limits, most = request.limits, request.hitch.vertical_limit
    if request.machine.hitch == "drawbar" and loads.hitch_share is not None:
        low = ledger.fallback(limits.least_tongue_share, "/limits/least_tongue_share", "tongue_share_low")
        high = ledger.fallback(limits.most_tongue_share, "/limits/most_tongue_share", "tongue_share_high")
        said = f"{ledger.say(loads.hitch_share)} of the machine's weight on the hitch"
        detail = f"{said}, at least {ledger.say(Ratio(low))}"
        checks.append(at_least("tongue-share", loads.hitch_share, low, "/machine", detail))
        detail = f"{said}, at most {ledger.say(Ratio(high))}"
        checks.append(at_most("tongue-share", loads.hitch_share, high, "/machine", detail))
    if most is not None:
        detail = f"{ledger.say(loads.hitch)} on the hitch, at most {ledger.say(most)}"
        checks.append(at_most("hitch-load", loads.hitch, most, "/hitch/vertical_limit", detail))
    if loads.front_share is not None:
        least = ledger.fallback(limits.front_share, "/limits/front_share", "transport_front_share")
        detail = f"{ledger.say(loads.front_share)} of the tractor's weight on its front axle, at least " + ledger.say(
            Ratio(least)
        )
        checks.append(at_least("front-axle", loads.front_share, least, "/tractor", detail))
    return checks


def _tire_checks(tires: AxleTireLoads, loads: HitchLoads | None, ledger: Ledger) -> list[CheckAnswer]:
    checks: list[CheckAnswer] = []
    front = None
    if loads is not None and loads.front is not None and loads.front_alone is not None:
        # A load behind the rear axle lightens the front: its tires carry most without the machine.
        front = max(loads.front, loads.front_alone)
    for name, given, load in (
        ("front", tires.front, front),
        ("rear", tires.rear, loads.rear if loads is not None else None),
        ("machine", tires.machine, loads.machine_axle if loads is not None else None),
    ):
        if given is None:
            continue
        place = f"/tires/{name}"
        one = _tire_load(given, ledger, place)
        if load is None:
            ledger.fault(place, _NO_LOAD[name])
        elif one:
            row = TIRE_MULTIPLES.row(given.mounting)
            ledger.use(row.source)
            capacity = Force(float(tires_capacity(one, float(given.count), row.load_multiplier)))
            detail = f"{name} axle: {ledger.say(load)} on tires for {ledger.say(capacity)}"
            checks.append(at_most("tire-load", load, capacity, place, detail))
    return checks


_NO_LOAD = {
    "front": "no load to check against: give the machine's mass and lever or tongue load, and no rubber tracks",
    "rear": "no load to check against: give the machine's mass and lever or tongue load, and no rubber tracks",
    "machine": "no load to check against: give mass and tongue of a machine that runs on its own wheels",
}


def _tire_load(given: TireLoads, ledger: Ledger, pointer: str) -> float:
    """Return what one tire carries alone [N]; 0 where that is at fault."""
    if (given.load_index is None) == (given.rated_load is None):
        ledger.fault(pointer, "give load_index or rated_load, one of the two")
        return 0.0
    if given.rated_load is not None:
        return STANDARD_GRAVITY * float(given.rated_load)
    row = LOAD_INDEX.rows.get(str(given.load_index))
    if row is None:
        ledger.fault(
            f"{pointer}/load_index",
            f"{given.load_index} is not in the table, which has {', '.join(LOAD_INDEX.rows)}; give rated_load instead",
        )
        return 0.0
    ledger.use(row.source)
    return STANDARD_GRAVITY * row.load_kg


def _road(request: HitchRequest, ledger: Ledger) -> tuple[list[CheckAnswer], RoadAnswer | None]:
    road, mass = request.road, request.machine.mass if request.machine is not None else None
    if road is None:
        return [], None
    ledger.warn(
        "check-safety",
        "/road",
        "Local law decides on width, length, brakes, lights, signs and speed; only the limits you give are checked.",
    )
    length = Length(float(road.tractor_length) + float(road.machine_length))
    ratio = float(mass) / float(request.tractor.mass) if mass is not None else None
    checks: list[CheckAnswer] = []
    if road.greatest_width is not None:
        detail = f"{ledger.say(road.width)} wide, at most {ledger.say(road.greatest_width)}"
        checks.append(at_most("width", road.width, road.greatest_width, "/road/width", detail))
    if road.greatest_length is not None:
        detail = f"{ledger.say(length)} long, at most {ledger.say(road.greatest_length)}"
        checks.append(at_most("length", length, road.greatest_length, "/road", detail))
    if road.greatest_mass_ratio is not None:
        if ratio is None:
            ledger.fault("/machine/mass", "required for its ratio to the tractor's mass")
        else:
            most = float(road.greatest_mass_ratio)
            detail = f"machine {ratio:.3g} times as heavy as the tractor, at most {most:.3g} with the brakes it has"
            checks.append(at_most("mass-ratio", ratio, most, "/machine/mass", detail))
    train = Mass(float(mass) + float(request.tractor.mass)) if mass is not None else None
    return checks, RoadAnswer(width=road.width, length=length, mass=train, mass_ratio=ratio)


HITCH = Calculation(
    name="hitch",
    request=HitchRequest,
    answer=HitchAnswer,
    compute=compute,
    summary="Hitch, drawbar, PTO, axle and tire loads, and the road",
    description=(
        "Categories of three-point hitch, drawbar and PTO that suit the tractor's power, and whether the machine's go "
        "with them. Load on the hitch by the lever of the machine, what it does to the axles, and tires against it. "
        "Width, length and mass on the road against limits you give. The operator's manuals and local law come first."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "hitch": {"drawbar": "3", "three_point": "3", "pto": ["1", "3"], "vertical_limit": "30 kN"},
        "machine": {
            "hitch": "drawbar",
            "drawbar": "3",
            "mass": "5.2 t",
            "centre_of_mass": "3.6 m",
            "tongue_length": "4.3 m",
        },
        "tires": {
            "rear": {"load_index": 170},
            "machine": {"rated_load": "1800 kg", "count": 4, "mounting": "dual"},
        },
        "road": {
            "width": "3.9 m",
            "tractor_length": "5.1 m",
            "machine_length": "6.4 m",
            "greatest_width": "4 m",
        },
    },
    columns=(
        "/fits",
        "/loads/hitch",
        "/loads/front",
        "/loads/rear",
        "/loads/front_share",
        "/road/width",
        "/road/mass",
    ),
)
