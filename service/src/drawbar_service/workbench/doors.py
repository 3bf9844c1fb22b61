"""The doors at the foot of the page: further questions about the job, each with what it asks for."""

from typing import NamedTuple

from drawbar_service.docs.markup import Child, Markup, element, joined
from drawbar_service.quantities import (
    Angle,
    Area,
    Ballast,
    Depth,
    Displacement,
    Efficiency,
    Flow,
    FuelRate,
    HireRate,
    Length,
    MachineLength,
    Mass,
    OilPressure,
    Overlap,
    PartLength,
    Price,
    Pull,
    RelativeSpread,
    Rotation,
    Share,
    ShortTime,
    Speed,
    StrokeTime,
    TractorMass,
    TurningLength,
    WheelSlip,
    Width,
)
from drawbar_service.reference import PTO, RESIDUE_RETENTION
from drawbar_service.workbench.controls import Choices, Control, rendered

SYSTEMS, PASSES = 3, 4
SLIP_RUNS, TRIAL_RUNS = 3, 3


class Group(NamedTuple):
    """Some controls of a door, under a heading if they have one."""

    heading: str
    controls: tuple[Control, ...]
    folded: bool = False
    """Whether it opens with a tap of its own."""


class Door(NamedTuple):
    """A question and what it asks for."""

    name: str
    """Of its script, ``door-NAME.js``."""
    question: str
    says: str
    groups: tuple[Group, ...]
    button: str = ""
    """What is pressed to have it answered; empty where it is answered as soon as something is entered."""


_UNCHECKED = "not known"
_CATEGORIES: Choices = tuple((one, one) for one in ("0", "1N", "1", "2N", "2", "3N", "3", "4N", "4"))
_DRAWBARS: Choices = tuple((one, one) for one in ("0", "1", "2", "3", "4", "5"))
_SHAFTS: Choices = tuple((row.id, f"{row.speed_r_min:.0f} r/min, {row.splines} splines") for row in PTO.rows.values())
_OPERATIONS: Choices = tuple(
    (row.id, f"{row.operation}, {row.variant}" if row.variant else row.operation)
    for row in RESIDUE_RETENTION.rows.values()
    if row.group != "weathering"
)

_WEIGHT = Door(
    "weight",
    "Does it need weight?",
    "How heavy this tractor should be for this tool at this speed, and on which axle.",
    (
        Group(
            "",
            (
                Control(
                    "ballast/ballast_on/front",
                    "Ballast on the front",
                    Ballast,
                    hint="What can come off. Empty: not known.",
                ),
                Control("ballast/ballast_on/rear", "Ballast behind", Ballast, hint="On or in the rear wheels."),
                Control("ballast/limits/mass", "Most it may weigh", TractorMass, hint="The manual says."),
                Control(
                    "ballast/aim",
                    "Aim at",
                    choices=(("low", "little slip"), ("middle", "the middle"), ("high", "least mass")),
                ),
                Control("ballast/front_ballast_reach", "Front ballast sits ahead of the axle", MachineLength),
            ),
        ),
    ),
)


def _cylinders(place: int) -> tuple[Control, ...]:
    start = f"hydraulics/functions/{place}/cylinders"
    return (
        Control(f"{start}/each/0/count", "Cylinders side by side", form="whole"),
        Control(f"{start}/each/0/bore", "Bore", PartLength),
        Control(f"{start}/each/0/rod", "Rod", PartLength, hint="Empty: pushes one way only."),
        Control(f"{start}/stroke", "Stroke", PartLength),
        Control(f"{start}/time", "Out in", StrokeTime),
        Control(f"{start}/each/0/load", "Each pushes", Pull),
    )


_OIL = Door(
    "oil",
    "Is there enough oil?",
    "What the tool takes from the pump, all the time and now and then, against what the tractor gives.",
    (
        Group(
            "The tractor gives",
            (
                Control(
                    "hydraulics/tractor/pump",
                    "Pump",
                    asks="say which",
                    choices=(("fixed", "Fixed flow"), ("load-sensing", "Load sensing")),
                ),
                Control("hydraulics/tractor/flow", "Flow, full throttle", Flow),
                Control("hydraulics/tractor/pressure", "Greatest pressure", OilPressure),
                Control("hydraulics/tractor/outlets", "Outlets", form="whole", hint="Pairs of couplers."),
                Control("hydraulics/tractor/outlet_flow", "Most through one outlet", Flow),
            ),
        ),
        Group(
            "Pressed down all the time",
            (
                Control("hydraulics/functions/0/steady/flow", "Flow", Flow),
                Control("hydraulics/functions/0/steady/pressure", "Pressure", OilPressure),
            ),
        ),
        Group(
            "A motor, such as a fan",
            (
                Control("hydraulics/functions/1/motor/displacement", "Oil in one turn", Displacement),
                Control("hydraulics/functions/1/motor/rotation", "Turns at", Rotation),
                Control("hydraulics/functions/1/motor/pressure", "Pressure it takes", OilPressure),
            ),
        ),
        Group("Lifting", _cylinders(2)),
        Group("Folding", _cylinders(3), folded=True),
    ),
)

_HITCH = Door(
    "hitch",
    "Will it hitch?",
    "Whether hitch, drawbar, axles, tires and the road bear the tool, raised or in transport.",
    (
        Group(
            "The tractor has",
            (
                Control("hitch/hitch/three_point", "Three-point category", asks=_UNCHECKED, choices=_CATEGORIES),
                Control("hitch/hitch/drawbar", "Drawbar category", asks=_UNCHECKED, choices=_DRAWBARS),
                Control("hitch/hitch/pto/0", "PTO shaft", asks=_UNCHECKED, choices=_SHAFTS),
                Control(
                    "hitch/hitch/vertical_limit",
                    "Hitch may carry",
                    Pull,
                    hint="Straight down; the manual says. For a mounted tool, what it lifts.",
                ),
            ),
        ),
        Group(
            "The tool has",
            (
                Control("hitch/machine/three_point", "Three-point category", asks=_UNCHECKED, choices=_CATEGORIES),
                Control("hitch/machine/drawbar", "Tongue category", asks=_UNCHECKED, choices=_DRAWBARS),
                Control("hitch/machine/pto", "PTO shaft", asks=_UNCHECKED, choices=_SHAFTS),
                Control("hitch/machine/tongue_share", "Of its weight on the tongue", Share),
                Control("hitch/machine/center_of_mass", "Its weight sits behind the hitch by", Length),
            ),
        ),
        Group(
            "Tires",
            (
                Control("hitch/tires/front/rated_load", "A front tire may carry", Mass, hint="On the sidewall."),
                Control("hitch/tires/rear/rated_load", "A rear tire may carry", Mass),
                Control("hitch/tires/machine/rated_load", "A tire of the tool may carry", Mass),
                Control("hitch/tires/machine/count", "Tires on the tool", form="whole"),
            ),
            folded=True,
        ),
        Group(
            "On the road",
            (
                Control("hitch/road/width", "Widest", Width),
                Control("hitch/road/tractor_length", "Tractor, nose to hitch", Length),
                Control("hitch/road/machine_length", "Tool, hitch to tail", Length),
                Control("hitch/road/speed", "Greatest speed", Speed),
                Control("hitch/road/greatest_width", "Law allows, wide", Width),
                Control("hitch/road/greatest_length", "Law allows, long", Length),
            ),
            folded=True,
        ),
    ),
)

_FIRST = Door(
    "first",
    "What should I measure first?",
    "Which of the things nobody knows exactly moves the answer most, so that an hour with a tape is well spent.",
    (
        Group(
            "How far off may they be?",
            (
                Control("sensitivity/odds/spreads/cone_index", "Firmness of the soil", RelativeSpread),
                Control("sensitivity/odds/spreads/depth", "Depth of the tools", RelativeSpread),
                Control("sensitivity/odds/spreads/speed", "Speed over the ground", RelativeSpread),
            ),
        ),
    ),
)


def _point(place: int) -> tuple[Control, ...]:
    start = f"cost/machines/1/wearing/0/options/{place}"
    return (
        Control(f"{start}/name", "Call them"),
        Control(f"{start}/price", "Price of one", Price),
        Control(f"{start}/life", "A set lasts", Area, hint="Worked on one set." if place == 0 else ""),
        Control(f"{start}/change_time", "To change one", ShortTime),
    )


_POINTS = Door(
    "points",
    "Which points pay?",
    "Cheap ones changed often, or dear ones that last: price, life and the time to change them, on this year's land.",
    (
        Group("Fitted now", _point(0)),
        Group("Others that fit", _point(1)),
        Group(
            "",
            (
                Control(
                    "cost/machines/1/wearing/0/count",
                    "Points on the tool",
                    form="whole",
                    hint="Empty: as many as ground tools.",
                ),
            ),
        ),
    ),
)

_HIRE = Door(
    "hire",
    "Own it, or hire it done?",
    "Where owning begins to pay: the cost of your own on any area, beside what the hired job costs.",
    (
        Group(
            "",
            (
                Control(
                    "cost/hire_rate",
                    "Hired instead, it would cost",
                    HireRate,
                    hint="All included: fuel and driver, too.",
                ),
            ),
        ),
    ),
)


def _slip_runs(way: str, what: str, kind: type[Length] | type[ShortTime] | None) -> tuple[Control, ...]:
    return tuple(
        Control(
            f"slip/{way}/runs/{run}/{state}",
            f"{what} {words}, run {run + 1}",
            kind,
            form="text" if kind is not None else "number",
        )
        for run in range(SLIP_RUNS)
        for state, words in (("loaded", "at work"), ("unloaded", "raised"))
    )


def _trial_run(run: int) -> tuple[Control, ...]:
    start = f"calibration/runs/{run}"
    return (
        Control(f"{start}/speed", "Speed", Speed),
        Control(f"{start}/depth", "Depth", Depth, hint="Empty: as set above." if run == 0 else ""),
        Control(f"{start}/slip", "Slip", WheelSlip),
        Control(f"{start}/fuel_rate", "Fuel by the hour", FuelRate),
        Control(f"{start}/engine_load", "Engine load", Efficiency),
        Control(f"{start}/pull", "Pull, if measured", Pull),
    )


_TRIAL = Door(
    "trial",
    "Measured it? Correct it",
    "Your own slip, fuel or pull in this field set the draft of this tool and the firmness of this soil.",
    (
        *(Group(f"Run {run + 1}, as read in the cab", _trial_run(run), folded=run > 0) for run in range(TRIAL_RUNS)),
        Group(
            "Slip test",
            (
                Control(
                    "page/slip_by",
                    "Measured by",
                    choices=(
                        ("turns", "turns of a wheel over one distance"),
                        ("times", "time over one distance"),
                        ("distances", "distance in the same turns"),
                    ),
                ),
                *_slip_runs("turns", "Turns", None),
                *_slip_runs("times", "Time", ShortTime),
                *_slip_runs("distances", "Distance", Length),
            ),
            folded=True,
        ),
    ),
)

_FIELD = Door(
    "field",
    "How do I drive this field?",
    "Draw it, or drop its outline; every pass, lap and turn is drawn, and the hours follow.",
    (
        Group(
            "",
            (
                Control("page/field_length", "A plain rectangle: long", Length),
                Control("page/field_width", "and wide", Length),
                Control("field-capacity/outline/turn/radius", "Turning radius", TurningLength),
                Control("field-capacity/outline/turn/tongue_length", "Hitch back to the tools", TurningLength),
                Control("field-capacity/outline/headland_passes", "Laps round the edge", form="whole"),
                Control(
                    "field-capacity/outline/direction",
                    "Passes run",
                    Angle,
                    hint="East of north. Empty: what is quickest.",
                ),
                Control("field-capacity/outline/overlap", "Overlap of passes", Overlap),
                Control("field-capacity/outline/stops", "All stops in it", ShortTime),
            ),
        ),
    ),
)

_FALL = Door(
    "fall",
    "How does the whole fall fit?",
    "Fields, tools, tractors and drivers, day by day, from the window and prices entered above.",
    (
        Group(
            "",
            (
                *(
                    Control(f"page/work/{work}", label, asks="nothing", lists="implement")
                    for work, label in enumerate(("First", "Then", "Last"))
                ),
                Control("page/rest", "Days between works", form="whole"),
                Control("page/drivers", "Drivers", form="whole", hint="Empty: one for each tractor."),
            ),
        ),
    ),
    button="Plan it",
)


def _way(system: int) -> tuple[Group, Group]:
    start = f"system/systems/{system}/passes"
    return (
        Group(
            f"Way {'ABC'[system]}",
            tuple(
                Control(f"page/system/{system}/{place}", f"Pass {place + 1}", asks="none", lists="implement")
                for place in range(PASSES)
            ),
        ),
        Group(
            f"What each pass of way {'ABC'[system]} leaves and costs",
            tuple(
                control
                for place in range(PASSES)
                for control in (
                    Control(
                        f"{start}/{place}/operation",
                        f"Pass {place + 1} leaves residue like",
                        asks="not counted",
                        lists="operation",
                    ),
                    Control(
                        f"{start}/{place}/machine_per_area",
                        f"Machines of pass {place + 1}",
                        HireRate,
                        hint="Without fuel and driver. Empty: not counted." if place == 0 else "",
                    ),
                )
            ),
            folded=True,
        ),
    )


_SYSTEMS = Door(
    "systems",
    "Which way of working is better?",
    "Chains of passes on the same land side by side: hours, fuel, cost, days and the residue left.",
    (
        Group(
            "The land",
            (
                Control("system/residue/cover", "Ground covered after harvest", Share),
                Control(
                    "system/residue/kind",
                    "Residue",
                    choices=(("non-fragile", "Tough: corn, small grain"), ("fragile", "Fragile: soybean, pea")),
                ),
            ),
        ),
        *(group for system in range(SYSTEMS) for group in _way(system)),
    ),
)

_BESIDE = Door(
    "beside",
    "This tractor, or the next size?",
    "One tool behind two tractors, side by side on one page to print and hand over.",
    (
        Group(
            "",
            (
                Control("page/beside", "Beside it", lists="tractor"),
                Control(
                    "page/beside_at",
                    "Each at",
                    choices=(("fastest", "the fastest it holds"), ("same", "the speed above")),
                ),
                Control("page/for", "Prepared for", hint="Stands on the paper."),
            ),
        ),
    ),
)

DOORS: tuple[Door, ...] = (
    _WEIGHT,
    _OIL,
    _HITCH,
    _FIRST,
    _TRIAL,
    _HIRE,
    _POINTS,
    _FIELD,
    _FALL,
    _SYSTEMS,
    _BESIDE,
)
"""In the order they stand on the page."""


def doors() -> Markup:
    """Return every door, shut, and once the operations that many of their lists offer."""
    operations = [element("option", words, value=value) for value, words in _OPERATIONS]
    return joined([*(_door(door) for door in DOORS), element("template", *operations, id="operations")])


def _door(door: Door) -> Markup:
    parts: list[Child] = [element("p", door.says, class_="aside"), *(_group(group) for group in door.groups)]
    parts.append(element("div", class_="rest"))
    if door.button:
        parts.append(element("p", element("button", door.button, type="button", class_="answer-it")))
    return element(
        "details",
        element("summary", door.question),
        element(
            "div",
            element("form", *parts, class_="ask", autocomplete="off"),
            element("div", class_="answer door-answer"),
            class_="pair",
        ),
        class_="door",
        data_door=door.name,
    )


def _group(group: Group) -> Markup:
    controls = element("div", rendered(group.controls), class_="controls")
    if group.folded:
        return element("details", element("summary", group.heading), controls, class_="group")
    heading = [element("h3", group.heading)] if group.heading else []
    return element("div", *heading, controls, class_="group")
