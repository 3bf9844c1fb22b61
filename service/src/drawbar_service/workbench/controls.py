"""What can be set on the page: each control with its words, its kind of quantity or its choices."""

from collections.abc import Iterable
from typing import Literal, NamedTuple, TypeAlias

from drawbar_service.docs.markup import Child, Markup, element, joined
from drawbar_service.quantities import (
    AnnualUse,
    Area,
    ConeIndex,
    Depth,
    Efficiency,
    FeedRate,
    FuelPrice,
    HourlyRate,
    InterestRate,
    Length,
    MachinePrice,
    Mass,
    Multiplier,
    Overlap,
    Probability,
    Pull,
    Quantity,
    RatedPower,
    Reserve,
    Share,
    ShortTime,
    SlipLimit,
    Slope,
    Spacing,
    Speed,
    TractorMass,
    Wheelbase,
    Width,
    Workday,
)
from drawbar_service.reference import DRAFT, PRACTICE, REMAINING_VALUE, ROTARY

Form: TypeAlias = Literal["text", "whole", "number", "date", "gears"]
Choices: TypeAlias = tuple[tuple[str, str], ...]
"""What is sent and what is read, in order."""


class Control(NamedTuple):
    """One thing that can be set."""

    name: str
    """The calculation and where the value goes in its request (JSON Pointer), as in ``match/tractor/mass``."""
    label: str
    kind: type[Quantity] | None = None
    """Kind of quantity; its unit stands beside the control."""
    choices: Choices = ()
    groups: tuple[tuple[str, Choices], ...] = ()
    """Choices under headings, in place of `choices`."""
    form: Form = "text"
    hint: str = ""
    asks: str = ""
    """What a choice says before anything is chosen; empty where the first choice is taken."""
    instead: str = ""
    """Name of the control that this one takes the place of: whatever is filled in clears the other."""
    lists: str = ""
    """What its choices are, machines of a kind or operations; the script fills them in."""


_KEYS: dict[Form, str] = {"text": "decimal", "whole": "numeric", "number": "decimal", "gears": "text"}
"""Which keys a phone shows."""

_NARROW = 31
"""Letters of a choice that a control in a column has room for."""
_LOOKED_UP = (("", "looked up"),)
_TIRES: Choices = (("2", "2"), ("4", "4, duals"), ("6", "6, triples"))
_SIZE = "As on the sidewall, like 620/70R42."

_HEADINGS = {
    "major-tillage": "Primary and secondary tillage",
    "minor-tillage": "Light tillage",
    "seeding": "Planting and seeding",
    "tractor": "Tractors",
    "tillage": "Tillage",
    "planting": "Planting and seeding",
    "harvest": "Harvest",
    "misc": "Other",
}
_TOOLS = tuple(
    (
        heading,
        tuple(
            (row.id, f"{row.implement}, {row.variant}" if row.variant else row.implement)
            for row in DRAFT.rows.values()
            if row.group == group
        ),
    )
    for group, heading in _HEADINGS.items()
    if any(row.group == group for row in DRAFT.rows.values())
)
_MACHINES = tuple(
    (
        heading,
        tuple((row.id, row.machine) for row in PRACTICE.rows.values() if row.group == group),
    )
    for group, heading in _HEADINGS.items()
    if any(row.group == group for row in PRACTICE.rows.values())
)
_TRACTORS_KEPT, _TOOLS_KEPT = (
    tuple((row.id, row.machine) for row in PRACTICE.rows.values() if (row.group == "tractor") is wanted)
    for wanted in (True, False)
)
_TRACTORS_SOLD, _TOOLS_SOLD = (
    tuple((row.id, row.machine) for row in REMAINING_VALUE.rows.values() if row.id.startswith("tractor.") is wanted)
    for wanted in (True, False)
)

GROUPS: dict[str, tuple[Control, ...]] = {
    "speed": (Control("match/speed", "Ground speed", Speed, hint="Leave empty for the greatest that holds."),),
    "tractor": (
        Control("match/tractor/name", "Call it", hint="A link and the field sheet carry it."),
        Control(
            "match/tractor/drive",
            "Drive",
            asks="say which",
            choices=(
                ("two-wheel", "Two-wheel drive"),
                ("front-wheel-assist", "Front-wheel assist"),
                ("four-wheel", "Four-wheel drive, articulated"),
                ("rubber-track", "Two rubber tracks"),
                ("four-track", "Four rubber tracks, articulated"),
            ),
        ),
        Control(
            "match/tractor/power/rated_pto",
            "Rated PTO power",
            RatedPower,
            hint="Give this or engine power. This is the surer.",
            instead="match/tractor/power/engine",
        ),
        Control(
            "match/tractor/power/engine", "Rated engine power", RatedPower, instead="match/tractor/power/rated_pto"
        ),
        Control("match/tractor/mass", "Mass, ballast on", TractorMass),
        Control("match/tractor/front_share", "Front axle carries", Share, hint="Standing level, tool unhitched."),
        Control("match/tractor/wheelbase", "Front to rear axle", Wheelbase),
        Control("match/tractor/tires/front/size", "Front tire size", hint=_SIZE),
        Control("match/tractor/tires/front/count", "Tires in front", choices=_TIRES, form="whole"),
        Control("match/tractor/tires/rear/size", "Rear tire size", hint=_SIZE),
        Control("match/tractor/tires/rear/count", "Tires behind", choices=_TIRES, form="whole"),
        Control(
            "match/tractor/gears",
            "Gears and their speeds",
            Speed,
            form="gears",
            hint="At full throttle, like C1 7.4; C2 9.1. Empty: fuel as with the best gear.",
        ),
    ),
    "implement": (
        Control("match/implement/name", "Call it", hint="A link and the field sheet carry it."),
        Control(
            "match/implement/hitch",
            "Hitched by",
            asks="say how",
            choices=(("drawbar", "Drawbar"), ("semi-mounted", "Semi-mounted"), ("three-point", "Three-point hitch")),
        ),
        Control("match/implement/mass", "Mass of the tool", Mass, hint="Counts on hitch, slope and what only rolls."),
        Control("match/implement/depth_range/0", "Shallowest it can be set", Depth),
        Control("match/implement/depth_range/1", "Deepest it can be set", Depth),
        Control("match/implement/speed_range/0", "Slowest sound work", Speed),
        Control("match/implement/speed_range/1", "Fastest sound work", Speed),
        Control(
            "match/implement/draft_multiplier",
            "Draft here, times the table's",
            Multiplier,
            hint="Your own experience: 1.2 is a fifth harder.",
        ),
    ),
    "pto": (
        Control("match/implement/width", "Width it covers", Width, hint="For a machine without ground tools."),
        Control("match/implement/vertical_load", "Tongue presses down with", Pull),
        Control("match/implement/practice", "Works like", choices=_LOOKED_UP, groups=_MACHINES),
        Control(
            "match/implement/rotary/0/machine",
            "Driven from the PTO",
            choices=(("", "nothing"), *((row.id, row.machine) for row in ROTARY.rows.values())),
        ),
        Control("match/implement/rotary/0/width", "Width of what is driven", Width),
        Control("match/implement/rotary/0/feed_rate", "Crop going through", FeedRate),
    ),
    "tool": (
        Control("match/implement/tools/N/tool", "Ground tool", groups=_TOOLS),
        Control("match/implement/tools/N/count", "How many", form="whole"),
        Control("match/implement/tools/N/spacing", "Spacing", Spacing),
        Control("match/implement/tools/N/width", "Width", Width),
        Control("match/implement/tools/N/depth", "Depth", Depth),
        Control("match/implement/tools/N/draft_range", "Draft known to within", Share, hint="Empty: as the table is."),
    ),
    "field": (
        Control("match/field/name", "Call it"),
        Control(
            "match/soil/texture",
            "Soil",
            asks="say which",
            choices=(
                ("fine", "Fine: clay, clay loam"),
                ("medium", "Medium: loam, silt"),
                ("coarse", "Coarse: sand"),
            ),
        ),
        Control(
            "match/soil/surface",
            "Under the wheels",
            asks="say which",
            choices=(
                ("hard", "Hard: dry, untouched"),
                ("firm", "Firm: stubble"),
                ("tilled", "Tilled: worked and settled"),
                ("soft", "Soft: fresh, wet or sandy"),
            ),
        ),
        Control("match/soil/cone_index", "Cone index, if measured", ConeIndex),
        Control("match/field/slope", "Slope along the passes", Slope, hint="Worked both ways, uphill and down."),
        Control("match/field/area", "Area of this field", Area),
        Control(
            "match/field/efficiency",
            "Field efficiency",
            Efficiency,
            hint="Empty: usual for the tool, or from the shape below.",
        ),
        Control("match/field/shape/length", "Length along the passes", Length),
        Control("match/field/shape/width", "Width across the passes", Length),
        Control("match/field/shape/turn/time", "Time of one turn", ShortTime),
        Control("match/field/shape/overlap", "Overlap of passes", Overlap),
    ),
    "limits": (
        Control("match/limits/slip", "Most slip", SlipLimit),
        Control("match/limits/power_reserve", "Power kept in hand", Reserve),
        Control("match/limits/front_share", "Least weight on the front axle", Efficiency),
        Control("match/limits/holds_from", "Holds from a chance of", Probability),
        Control("match/limits/fails_below", "Fails below a chance of", Probability),
    ),
    "completion": (
        Control("completion/area", "Land to work", Area),
        Control("completion/passes", "Times over", form="whole"),
        Control("completion/start", "From", form="date"),
        Control("completion/end", "Done by", form="date"),
        Control("page/freeze_up", "The ground freezes about", form="date", hint="Drawn in the calendar."),
        Control("completion/machine_count", "Tractors at it", form="whole", hint="Empty: this one alone."),
        Control(
            "page/record",
            "Days fit for work",
            choices=(("", "as entered below"), ("iowa", "as recorded in Iowa, 2007 to 2024")),
        ),
        Control(
            "completion/suitable/mean", "Fit days between, normal year", form="number", hint="Days dry enough to work."
        ),
        Control(
            "page/bad_year",
            "Fit days between, bad year",
            form="number",
            hint="About the worst of six: one standard deviation below normal.",
        ),
        Control("match/field/workday", "Hours at work in a day", Workday),
    ),
    "cost": (
        Control("cost/work/area", "Worked in a year", Area, hint="Worked twice counts twice."),
        Control("cost/machines/0/price", "Price of the tractor", MachinePrice),
        Control("cost/machines/1/price", "Price of the tool", MachinePrice),
        Control("cost/work/fuel/price", "Fuel", FuelPrice),
        Control("cost/work/labor/wage", "Wage", HourlyRate),
    ),
    "owned": (
        Control("cost/machines/0/annual_use", "Tractor works in a year", AnnualUse, hint="All its work together."),
        Control("cost/machines/0/years", "Years both are kept", form="number"),
        Control("cost/terms/interest", "Interest, less inflation", InterestRate),
        Control("cost/machines/0/remaining_value", "Tractor loses value like", choices=_TRACTORS_SOLD),
        Control("cost/machines/0/practice", "Tractor is repaired like", choices=_TRACTORS_KEPT),
        Control("cost/machines/1/remaining_value", "Tool loses value like", choices=_TOOLS_SOLD),
        Control("cost/machines/1/practice", "Tool is repaired like", choices=_TOOLS_KEPT),
    ),
}
"""Every control, by the group it stands in on the page."""


def rendered(controls: Iterable[Control]) -> Markup:
    """Return controls as they stand on the page."""
    return joined([_control(control) for control in controls])


def id_of(name: str) -> str:
    """Return the id of the control of this name."""
    return name.replace("/", "-")


def _control(control: Control) -> Markup:
    id_ = id_of(control.name)
    spoken = [f"{id_}-unit"] if control.kind is not None else []
    spoken += [f"{id_}-hint"] if control.hint else []
    spoken.append(f"{id_}-fault")
    about = {"id": id_, "name": control.name, "data_form": control.form, "aria_describedby": " ".join(spoken)}
    about |= {"data_kind": control.kind.__name__} if control.kind is not None else {}
    about |= {"data_instead": control.instead} if control.instead else {}
    about |= {"data_lists": control.lists} if control.lists else {}
    if control.choices or control.groups or control.lists:
        entry = element("select", *_options(control), **about)
    elif control.form == "date":
        entry = _input(type="date", **about)
    else:
        entry = (
            _input(type="text", inputmode=_KEYS[control.form], autocomplete="off", **about)
            if control.kind is not None or control.form != "text"
            else _input(type="text", autocomplete="off", **about)
        )
    wide = control.groups or any(len(words) > _NARROW for _, words in control.choices)
    parts: list[Child] = [element("label", control.label, for_=id_)]
    unit = element("span", class_="unit", id=f"{id_}-unit") if control.kind is not None else ""
    parts.append(element("span", entry, unit, class_="entry"))
    if control.hint:
        parts.append(element("span", control.hint, class_="hint", id=f"{id_}-hint"))
    parts.append(element("span", class_="fault", id=f"{id_}-fault", hidden="hidden"))
    return element("div", *parts, class_="control" + (" wide" if wide else ""))


def _options(control: Control) -> list[Markup]:
    asked = [("", control.asks)] if control.asks else []
    plain = [element("option", words, value=value) for value, words in (*asked, *control.choices)]
    headed = [
        element("optgroup", *(element("option", words, value=value) for value, words in choices), label=heading)
        for heading, choices in control.groups
    ]
    return plain + headed


def _input(**attributes: str) -> Markup:
    return element("input", **attributes)
