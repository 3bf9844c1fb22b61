"""Hypothesis strategies for request bodies, read off the request types themselves.

``bodies(kind)`` gives anything the schema of a request admits. ``consistent_bodies(kind)`` keeps the
rules that hold across fields as well (one of two ways to state a power, a depth where the draft goes
by depth), with quantities up to their bounds. ``sensible_bodies(kind)`` also stays near what stands
in a yard, so that all of it is answered.

All give bodies as they go on the wire: dicts, lists, numbers and texts.
"""

import datetime as dt
import math
import types
from collections.abc import Callable
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

import msgspec
from hypothesis import strategies as st

from drawbar_service import quantities as q
from drawbar_service.api.shared.field import Field, Turn
from drawbar_service.api.shared.implement import GroundTool, Implement, RotaryNeed, WheelTracks
from drawbar_service.api.shared.own_machine import EngineFuel, FuelMap, Traction
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tables import OwnTables
from drawbar_service.api.shared.tractor import Tires, Tractor, TractorPower
from drawbar_service.api.v1.ballast.request import BallastRequest, Transport
from drawbar_service.api.v1.calibration.request import CalibrationRequest, CalibrationRun
from drawbar_service.api.v1.completion.request import CompletionRequest, Timeliness
from drawbar_service.api.v1.cost.request import (
    BestWidth,
    CostRequest,
    OwnedMachine,
    WearingPlace,
    WearPart,
    YearsWork,
)
from drawbar_service.api.v1.days.request import DaysRequest
from drawbar_service.api.v1.draft.request import DraftRequest
from drawbar_service.api.v1.field_capacity.outline import FieldOutline
from drawbar_service.api.v1.field_capacity.request import FieldCapacityRequest
from drawbar_service.api.v1.fuel.request import FuelRequest
from drawbar_service.api.v1.hitch.request import HitchedMachine, HitchRequest, TireLoads
from drawbar_service.api.v1.hydraulics.request import (
    Cylinder,
    Cylinders,
    HydraulicFunction,
    OilMotor,
    TractorHydraulics,
)
from drawbar_service.api.v1.match.request import MatchLimits
from drawbar_service.api.v1.power.request import PowerRequest, Pulling
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.api.v1.sensitivity.request import SensitivityRequest
from drawbar_service.api.v1.slip.request import SlipRequest, TravelDistances, TravelTimes, WheelTurns
from drawbar_service.api.v1.system.request import FieldPass, SystemRequest
from drawbar_service.api.v1.traction.request import TractionRequest
from drawbar_service.model.tracks import FOUR_TRACKS, TWO_TRACKS
from drawbar_service.reference import (
    BREAKDOWN,
    DRAFT,
    LOAD_INDEX,
    PRACTICE,
    REMAINING_VALUE,
    RESIDUE_RETENTION,
    ROTARY,
    TIMELINESS,
    WEAR,
    draft_row,
    rotary_row,
)
from drawbar_service.reference.own import OWN_TABLES, GivenRow, OwnFault, laid_over, member_of, own_columns

IDS = {
    "breakdowns": BREAKDOWN,
    "tool": DRAFT,
    "machine": ROTARY,
    "practice": PRACTICE,
    "operation": RESIDUE_RETENTION,
    "remaining_value": REMAINING_VALUE,
    "point": WEAR,
}
"""The table whose ids a field of this name takes."""

SIZES = ("540/65R30", "650/65R42", "710/70R42", "480/70R30", "520/85R42", "18.4R38", "18.4-38", "16.9-28", "14.9R30")

USUAL = {
    q.Depth: (0.03, 0.4),
    q.Width: (1.0, 15.0),
    q.Spacing: (0.15, 1.5),
    q.MachineLength: (0.4, 3.5),
    q.Length: (50.0, 2000.0),
    q.Speed: (0.5, 5.0),
    q.Mass: (1500.0, 25_000.0),
    q.Pull: (0.0, 60_000.0),
    q.Power: (0.0, 80_000.0),
    q.RatedPower: (20_000.0, 450_000.0),
    q.Pressure: (1e6, 2.5e7),
    q.OilPressure: (1e6, 2.5e7),
    q.PartLength: (0.03, 0.5),
    q.StrokeTime: (1.0, 30.0),
    q.Displacement: (5e-6, 1e-4),
    q.ConeIndex: (2e5, 3e6),
    q.Flow: (1e-5, 2e-3),
    q.AreaRate: (0.2, 20.0),
    q.Area: (1e4, 1e7),
    q.Time: (1.0, 1e5),
    q.ShortTime: (5.0, 3600.0),
    q.Workday: (1e4, 8e4),
    q.FeedRate: (0.5, 30.0),
    q.Yield: (0.1, 10.0),
    q.Multiplier: (0.5, 2.0),
    q.Efficiency: (0.3, 1.0),
    q.Share: (0.05, 0.6),
    q.Slope: (-0.2, 0.2),
    q.MachinePrice: (1e3, 1e6),
    q.Price: (1.0, 1e3),
    q.FuelPrice: (100.0, 5e3),
    q.HourlyRate: (0.0, 0.03),
    q.HireRate: (1e-3, 0.05),
    q.InterestRate: (0.0, 0.1),
    q.MachineHours: (1e5, 1e7),
    q.AnnualUse: (1e5, 3e6),
}
"""SI values met in practice, for kinds of quantity whose bounds reach far beyond."""


class Style(NamedTuple):
    """How far a body may stray."""

    consistent: bool
    """Whether the rules across fields are kept."""
    usual: bool
    """Whether quantities stay near those met in practice."""


def bodies(kind: type[msgspec.Struct]) -> st.SearchStrategy[dict[str, Any]]:
    """Anything the schema of `kind` admits, up to the bounds of every quantity."""
    return _struct(kind, Style(consistent=False, usual=False))


def consistent_bodies(kind: type[msgspec.Struct]) -> st.SearchStrategy[dict[str, Any]]:
    """Bodies of `kind` whose fields go together, up to the bounds of every quantity."""
    return _struct(kind, Style(consistent=True, usual=False))


def sensible_bodies(kind: type[msgspec.Struct]) -> st.SearchStrategy[dict[str, Any]]:
    """Bodies of `kind` that make sense as a whole."""
    return _struct(kind, Style(consistent=True, usual=True))


@st.composite
def _struct(draw: st.DrawFn, kind: type[msgspec.Struct], style: Style) -> dict[str, Any]:
    body: dict[str, Any] = {}
    for field in msgspec.structs.fields(kind):
        if field.required or draw(st.booleans()):
            body[field.encode_name] = draw(_value(field.type, field.encode_name, style))
    if style.consistent and kind in _MEND:
        _MEND[kind](draw, body, style)
    return body


def _value(kind: Any, name: str, style: Style, meta: tuple[msgspec.Meta, ...] = ()) -> st.SearchStrategy[Any]:
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _value(arguments[0], name, style, (*meta, *(m for m in arguments[1:] if isinstance(m, msgspec.Meta))))
    if origin in (Union, types.UnionType):
        options = [argument for argument in arguments if argument is not types.NoneType]
        value = st.one_of([_value(option, name, style, meta) for option in options])
        return value if style.consistent or types.NoneType not in arguments else st.none() | value
    if origin is Literal:
        return st.sampled_from(arguments)
    if origin is list:
        least, most = _bound(meta, "min_length", 0), min(_bound(meta, "max_length", 3), 3)
        if least > most:
            # What is long repeats itself: hypothesis would give up on so many draws.
            few = st.lists(_value(arguments[0], name, style), min_size=most, max_size=most)
            return few.map(lambda drawn: (drawn * least)[:least])
        return st.lists(_value(arguments[0], name, style), min_size=least, max_size=most)
    if kind is OwnTables:
        return _own_tables(style)
    if issubclass(kind, msgspec.Struct):
        return _struct(kind, style)
    if issubclass(kind, q.Quantity):
        return quantity(kind, style.usual)
    if kind is dt.date:
        return st.dates().map(dt.date.isoformat)
    if kind is str:
        return _text(name, _bound(meta, "min_length", 0), _bound(meta, "max_length", 20))
    if kind is bool:
        return st.booleans()
    if kind is int:
        least = _bound(meta, "ge", 0)
        return st.integers(least, max(least, min(_bound(meta, "le", 100), 20 if style.usual else 400)))
    if kind is float:
        above = _bound(meta, "gt", None)
        low = _bound(meta, "ge", 0) if above is None else above
        return st.floats(low, _bound(meta, "le", 1), exclude_min=above is not None)
    raise TypeError(f"no strategy for {kind}: teach tests/api/strategies.py")


def _bound(meta: tuple[msgspec.Meta, ...], name: str, otherwise: float | None) -> Any:
    return next((getattr(m, name) for m in meta if getattr(m, name) is not None), otherwise)


def _text(name: str, least: int, most: int) -> st.SearchStrategy[str]:
    if name in IDS:
        return st.sampled_from(sorted(IDS[name].rows))
    if name == "size":
        return st.sampled_from(SIZES)
    return st.text(min_size=least, max_size=most)


def quantity(kind: type[q.Quantity], usual: bool = False) -> st.SearchStrategy[Any]:
    """Values of a kind of quantity in any of its units, written in either way, inside its bounds."""
    low, high = (-math.inf if kind.least is None else kind.least), (math.inf if kind.most is None else kind.most)
    if usual:
        least, most = USUAL.get(kind, (low, high))
        low, high = max(low, least), min(high, most)

    def written(value: float, unit: str) -> Any:
        return {"value": value, "unit": unit}

    def text(value: float, unit: str) -> str:
        return f"{value!r} {unit}"

    @st.composite
    def one(draw: st.DrawFn) -> Any:
        unit = draw(st.sampled_from(list(kind.dimension.factors)))
        factor = kind.dimension.factors[unit]
        value = draw(st.floats(low / factor, high / factor, allow_nan=False, allow_infinity=False))
        return draw(st.sampled_from([written, text]))(value, unit)

    return one().filter(lambda given: _is_read(kind, given))


def _is_read(kind: type[q.Quantity], given: Any) -> bool:
    # Rounding may carry a bound out of range, and a bound itself may be excluded.
    try:
        kind.read(given)
    except ValueError:
        return False
    return True


# ---- rules across fields


def _one_of(draw: st.DrawFn, body: dict[str, Any], style: Style, kind: type[msgspec.Struct], *names: str) -> str:
    """Leave exactly one of these fields in the body."""
    kept = draw(st.sampled_from(names))
    for name in names:
        body.pop(name, None)
    _need(draw, body, style, kind, kept)
    return kept


def _need(draw: st.DrawFn, body: dict[str, Any], style: Style, kind: type[msgspec.Struct], name: str) -> None:
    if body.get(name) is None:
        field = next(field for field in msgspec.structs.fields(kind) if field.encode_name == name)
        body[name] = draw(_value(field.type, name, style))


@st.composite
def _own_tables(draw: st.DrawFn, style: Style) -> dict[str, Any]:
    """Figures of the caller's own: any that the schema admits, or ours moved a little."""
    tables: dict[str, Any] = {}
    for table in draw(st.lists(st.sampled_from(list(OWN_TABLES.values())), max_size=2, unique_by=lambda one: one.id)):
        column = draw(st.sampled_from([one for one in own_columns(table) if one.least is not None]))
        row = table.rows[draw(st.sampled_from(sorted(table.rows)))]
        ours = getattr(row, column.name)
        if style.consistent:
            if not ours or column.type is int:
                continue
            own = ours * draw(st.floats(0.9, 1.1))
            try:
                laid_over([(table.id, GivenRow("", row.id, {column.name: own}))])
            except OwnFault:
                continue
            if own > column.most:
                continue
        else:
            span = st.integers if column.type is int else st.floats
            own = draw(span(column.type(column.least), column.type(column.most)))
        tables[member_of(table)] = [{"id": row.id, column.name: own}]
    return tables


def _mend_power(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, TractorPower, "rated_pto", "engine")
    body.pop("torque", None)


def _mend_engine_fuel(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, EngineFuel, "map", "work_per_fuel")


def _mend_fuel_map(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    rate = draw(st.floats(20.0, 60.0))
    body |= {"loads": ["20 %", "100 %"], "engine_speeds": ["60 %", "100 %"]}
    body["rates"] = [["9 L/h", "14 L/h"], ["19 L/h", {"value": rate, "unit": "L/h"}]]


def _mend_traction_law(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    # Not every calculation takes a ratio, and each model has constants of its own; the targeted tests give the others.
    if body.get("model") in ("ratio", "wismer-luth", "gee-clough"):
        body["model"] = "brixius"
    for place in ("front", "rear"):
        for name in ("rate_by_mobility", "lost"):
            (body.get(place) or {}).pop(name, None)


def _mend_soil(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if body.pop("cone_readings", None):
        strength = body.pop("cone_index", "900 kPa")
        body["cone_readings"] = [{"depth": "5 cm", "cone_index": strength}, {"depth": "20 cm", "cone_index": "1.1 MPa"}]


def _mend_tires(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    # Diameter and loaded radius have to suit the size; the targeted tests give them.
    for name in ("diameter", "static_loaded_radius", "width"):
        body.pop(name, None)


def _mend_tractor(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    for name in ("tires", "wheelbase"):
        _need(draw, body, style, Tractor, name)
    if body["drive"] in (TWO_TRACKS, FOUR_TRACKS):
        body.pop("traction", None)


def _mend_ground_tool(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    row = draft_row(body["tool"])
    _need(draw, body, style, GroundTool, "width" if row.counted_in == "m" else "count")
    _need(draw, body, style, GroundTool, "width")
    if row.depth_counts:
        _need(draw, body, style, GroundTool, "depth")
    if "draft_per_width" in body:
        body.pop("draft_per_tool", None)
    if "draft_per_tool" in body:
        _need(draw, body, style, GroundTool, "count")


def _mend_rotary(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    row = rotary_row(body["machine"])
    if row.b_kW_per_m:
        _need(draw, body, style, RotaryNeed, "width")
    if row.c_kWh_per_t:
        _need(draw, body, style, RotaryNeed, "feed_rate")


def _mend_implement(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    for name in ("speed_range", "depth_range"):
        if name in body and _si(q.Speed if name == "speed_range" else q.Depth, body[name][0]) > _si(
            q.Speed if name == "speed_range" else q.Depth, body[name][1]
        ):
            body[name].reverse()
    if not body.get("tools"):
        _need(draw, body, style, Implement, "mass")
        _need(draw, body, style, Implement, "width")


def _mend_wheel_tracks(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    # Not every calculation has a tractor whose tires give it.
    _need(draw, body, style, WheelTracks, "share")


def _si(kind: type[q.Quantity], given: Any) -> float:
    return float(kind.read(given))


def _mend_turn(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, Turn, "time", "radius")


def _mend_field(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if "shape" in body:
        body.pop("efficiency", None)


def _mend_ground_tools(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if not body["implement"].get("tools"):
        body["implement"]["tools"] = [draw(_struct(GroundTool, style))]


def _mend_sensitivity(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    # Without ground tools no draft is uncertain; and shares of the variance are those of independent inputs.
    _mend_ground_tools(draw, body, style)
    (body.get("odds") or {}).pop("correlation", None)


def _mend_pulling(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _need(draw, body, style, Pulling, "drive")
    _need(draw, body, style, Pulling, "surface")


def _mend_power_request(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _need(draw, body, style, PowerRequest, "pulling")


def _mend_traction(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, TractionRequest, "pull", "slip")


def _mend_ballast(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, BallastRequest, "implement", "pull")
    # How much can come off and how heavy it may be depend on the tractor; the targeted tests give both.
    body.pop("ballast_on", None)
    body.get("limits", {}).pop("mass", None)


def _mend_match_limits(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    # A match cannot fail above the chance from which it holds; the targeted tests give both.
    body.pop("fails_below", None)


def _mend_transport(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if "front" not in body:
        _need(draw, body, style, Transport, "rear")


def _mend_fuel(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if _one_of(draw, body, style, FuelRequest, "load", "load_fraction") == "load":
        body["power"] = {"rated_pto": "200 kW"}
    if "fuel" in body["power"]:
        body.pop("equation", None)


def _mend_capacity(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, FieldCapacityRequest, "efficiency", "shape", "outline", "practice")


def _mend_outline(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    # Any list of positions is no polygon: a triangle of some hundred metres is one.
    corners = [[-25.4, 41.2], [-25.394, 41.2], [draw(st.floats(-25.4, -25.394)), 41.203], [-25.4, 41.2]]
    body["polygon"] = {"type": "Polygon", "coordinates": [corners]}
    body.pop("headland_width", None)
    body["headland_passes"] = draw(st.integers(0, 2))


def _mend_slip(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, SlipRequest, "turns", "times", "distances")


def _mend_turns(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _sort_readings(body, "unloaded", "loaded", float)


def _mend_times(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _sort_readings(body, "unloaded", "loaded", lambda given: _si(q.ShortTime, given))


def _mend_distances(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _sort_readings(body, "loaded", "unloaded", lambda given: _si(q.Length, given))


def _sort_readings(body: dict[str, Any], lesser: str, greater: str, size: Callable[[Any], float]) -> None:
    # How large an error may be depends on the readings; the targeted tests give one.
    body.pop("reading_error", None)
    for run in body["runs"]:
        run[lesser], run[greater] = sorted((run["loaded"], run["unloaded"]), key=size)


def _mend_run(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    body.pop("depth", None)
    _need(draw, body, style, CalibrationRun, "slip")
    if "pull" in body and _si(q.Pull, body["pull"]) < 1e3:
        body.pop("pull")
    for name in ("pull", "slip", "fuel_rate", "engine_load"):
        body.pop(f"{name}_error", None)
        if style.usual:
            # Readings that have nothing to do with the machine must not outweigh what is known of it.
            body[f"{name}_error"] = "100 %"


def _mend_pass(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, FieldPass, "match", "rates")
    _need(draw, body, style, FieldPass, "operation")
    if "machine_per_area" in body:
        body.pop("machine_per_time", None)
    elif "machine_per_time" not in body:
        body.pop("price_covers_all", None)


def _mend_system(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    for index, system in enumerate(body["systems"]):
        system["name"] = f"system {index}"
    body.pop("baseline", None)


def _mend_calibration(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    body["prior"] = {"draft": "5 %", "cone_index": "5 %"}
    if body["tractor"]["drive"] in (TWO_TRACKS, FOUR_TRACKS):
        body["tractor"]["drive"] = "four-wheel"
    if not body["implement"].get("tools"):
        body["implement"]["tools"] = [{"tool": "rotary-hoe", "width": "6 m"}]


def _mend_work(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if _one_of(draw, body, style, YearsWork, "area", "hours") == "area":
        # Whether a year has the hours depends on both.
        body["area"], body["capacity"] = "240 ha", "2.2 ha/h"


def _mend_owned_machine(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, OwnedMachine, "practice", "repair_factors")
    # How much it may fetch depends on what was paid and how long ago; the targeted tests give it.
    for name in ("list_price", "resale", "annual_use"):
        body.pop(name, None)
    _need(draw, body, style, OwnedMachine, "remaining_value")
    body["years"] = max(body["years"], 1.0)


def _mend_wear_part(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, WearPart, "life", "life_hours", "times_first")


def _mend_wearing_place(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    first = body["options"][0]
    if first.pop("times_first", None) is not None:
        _need(draw, first, style, WearPart, "life")
    for index, option in enumerate(body["options"]):
        option["name"] = f"option {index}"


def _mend_best_width(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    for name in ("narrowest", "widest"):
        body.pop(name, None)


def _mend_cost(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    for index, machine in enumerate(body["machines"]):
        machine["name"] = f"machine {index}"
    _need(draw, body["work"], style, YearsWork, "labor")
    if "best_width" in body:
        body["best_width"]["machine"] = "machine 0"
        _need(draw, body["machines"][0], style, OwnedMachine, "width")


def _mend_pump(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if _one_of(draw, body, style, TractorHydraulics, "flow", "displacement") == "displacement":
        _need(draw, body, style, TractorHydraulics, "rotation")
    else:
        body.pop("rotation", None)


def _mend_function(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, HydraulicFunction, "steady", "motor", "cylinders")


def _mend_motor(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, OilMotor, "torque", "pressure")


def _mend_cylinder(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if "rod" in body and _si(q.PartLength, body["rod"]) >= _si(q.PartLength, body["bore"]):
        body["rod"], body["bore"] = {"value": 4.0, "unit": "cm"}, {"value": 10.0, "unit": "cm"}


def _mend_cylinders(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if body.get("series"):
        if len(body["each"]) < 2:
            body["each"].append(draw(_struct(Cylinder, style)))
        for one in body["each"]:
            _need(draw, one, style, Cylinder, "rod")
            _mend_cylinder(draw, one, style)
    for one in body["each"]:
        if "pressure" in body:
            one.pop("load", None)
        else:
            _need(draw, one, style, Cylinder, "load")


def _mend_tire_loads(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if _one_of(draw, body, style, TireLoads, "load_index", "rated_load") == "load_index":
        body["load_index"] = int(draw(st.sampled_from(sorted(LOAD_INDEX.rows))))


def _mend_hitched(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if body["hitch"] == "three-point":
        for name in ("tongue_length", "tongue_share", "tongue_load"):
            body.pop(name, None)
        _need(draw, body, style, HitchedMachine, "center_of_mass")
        return
    way = _one_of(draw, body, style, HitchedMachine, "tongue_length", "tongue_share", "tongue_load")
    if way == "tongue_load":
        # It must not exceed the weight; the targeted tests give both.
        body.pop("mass", None)
    else:
        _need(draw, body, style, HitchedMachine, "mass")
    if way == "tongue_length":
        _need(draw, body, style, HitchedMachine, "center_of_mass")


def _mend_hitch(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    if "hitch" in body and _si(q.Pull, body["hitch"].get("vertical_limit", "1 N")) == 0.0:
        body["hitch"].pop("vertical_limit")
    if body.get("tires") or body.get("road"):
        machine = body.setdefault("machine", {})
        for name in ("tongue_length", "tongue_load", "center_of_mass"):
            machine.pop(name, None)
        machine["hitch"] = "drawbar"
        for name in ("mass", "tongue_share"):
            _need(draw, machine, style, HitchedMachine, name)
        if body["tractor"]["drive"] in (TWO_TRACKS, FOUR_TRACKS):
            body["tractor"]["drive"] = "four-wheel"


def _mend_season(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    """Keep a season small, give everything a name of its own, and let names and dates go together."""
    recorded = draw(st.integers(0, 3)) == 0
    start = dt.date(2027, 4 if recorded else 3, draw(st.integers(5 if recorded else 1, 28)))
    days = draw(st.integers(1, 9))

    def some_day() -> str:
        return str(start + dt.timedelta(days=draw(st.integers(0, days - 1))))

    body["window"] |= {
        "start": str(start),
        "end": str(start + dt.timedelta(days=days - 1)),
        "suitable": draw(st.sampled_from([{"row": "illinois-central.spring"}, {"history": [0.2, 0.6, 0.5, 1.0]}])),
    }
    for name in ("record", "alternatives", "so_far"):
        body.pop(name, None)
    if recorded:
        del body["window"]["suitable"]
        body["record"] = {"id": "iowa"}
        body["alternatives"] = draw(
            st.sampled_from([[], [{"name": "wet", "days": 0.6}, {"name": "long", "workday": "15 h"}]])
        )
    spots = st.fixed_dictionaries(
        dict.fromkeys(("east", "north"), st.floats(-9e3, 9e3).map(lambda value: f"{value} m"))
    )
    placed = draw(st.booleans())
    for field in body["fields"]:
        field.pop("at", None)
        if placed:
            field["at"] = draw(spots)
    if "travel_times" in body.get("driving", {}):
        count = min(len(body["fields"]), 2)
        body["driving"]["travel_times"] = [["12 min"] * count] * count
    fleet = body["fleet"]
    named = {"t": fleet["tractors"], "i": fleet["implements"], "f": body["fields"], "w": body["work"]}
    names: dict[str, list[str]] = {}
    for letter, things in (*named.items(), ("o", fleet.get("operators") or [])):
        del things[2:]
        names[letter] = [f"{letter}{number}" for number in range(len(things))]
        for name, thing in zip(names[letter], things, strict=True):
            thing["name"] = name
    # What is done already has to fit fields and order; the targeted tests give it.
    for work in body["work"]:
        work.pop("done", None)
    lossy = draw(st.booleans())
    for field in body["fields"]:
        if "shape" in field:
            field.pop("efficiency", None)
        field |= {member: some_day() for member in ("ready", "due") if member in field}
        field.pop("daily_loss", None)
        if lossy:
            field["daily_loss"] = "12 money/ha"
    for number, work in enumerate(body["work"]):
        for member, letter in (("fields", "f"), ("implements", "i"), ("tractors", "t")):
            work[member] = draw(st.lists(st.sampled_from(names[letter]), min_size=1, unique=True))
        if "due" in work:
            work["due"] = some_day()
        first = body["work"][0]
        follows = number > 0 and set(work["fields"]) & set(first["fields"])
        before = {"work": "w0", "rest_days": draw(st.integers(0, 2)), "same_day": draw(st.booleans())}
        work["after"] = [before] if follows else []


def _mend_timeliness(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    _one_of(draw, body, style, Timeliness, "loss", "row")
    if "row" in body:
        body["row"] = draw(st.sampled_from(sorted(TIMELINESS.rows)))


def _mend_completion(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    """Let the window be open, something be left to do, and the weather be told in one way."""
    start = dt.date(2027, 10, draw(st.integers(1, 31)))
    days = draw(st.integers(1, 60))
    body |= {"start": str(start), "end": str(start + dt.timedelta(days=days - 1))}
    for name in ("done", "capacity_low", "capacity_high"):
        body.pop(name, None)
    if "breakdowns" in body:
        body.pop("time_lost", None)
    for name in ("record", "so_far"):
        body.pop(name, None)
    if draw(st.integers(0, 3)) == 0:
        body.pop("suitable", None)
        finish = dt.date(2027, 10, draw(st.integers(12, 31)))
        week = st.fixed_dictionaries({"days": st.floats(0.0, 7.0)}, optional={"topsoil": st.floats(0.0, 3.0)})
        weeks = [draw(week) | {"year": 2027, "week": number} for number in (38, 39)]
        body |= {"start": "2027-10-04", "end": str(finish), "record": {"id": "iowa"}}
        body |= draw(st.sampled_from([{}, {"so_far": weeks}, {"so_far": weeks[1:]}]))
        return
    part = draw(st.floats(0.0, 1.0))
    body["suitable"] = draw(
        st.sampled_from(
            [
                {"history": [0.1 * days, part * days, 0.8 * days], "period_days": max(days, 2)},
                {
                    "mean": part * days,
                    "spread": 0.9 * days * math.sqrt(part * (1.0 - part)),
                    "period_days": max(days, 2),
                },
                {"mean": 14.0, "least": 5.0, "most": 22.0, "years": 12, "period_days": 30},
                {"row": "illinois-central.spring"},
            ]
        )
    )


def _mend_days(draw: st.DrawFn, body: dict[str, Any], style: Style) -> None:
    """Let the weather reach over some weeks of autumn, with highs above lows and a figure for most days."""
    days = 100
    body |= {"first": str(dt.date(draw(st.integers(1990, 2030)), 7, draw(st.integers(1, 31))))}
    low = [draw(st.floats(-20.0, 20.0)) for _ in range(4)]
    body["low"] = (low * days)[:days]
    body["high"] = [one + draw(st.floats(0.0, 15.0)) for one in low] * (days // 4)
    for name in ("rain", "snow_depth"):
        if name in body:
            body[name] = ([0.0 if one is None else one for one in body[name][:5]] * days)[:days]
    weeks = sorted(draw(st.integers(36, 40)) for _ in range(2))
    body |= {"from_week": weeks[0], "to_week": weeks[1]}


_MEND = {
    DaysRequest: _mend_days,
    CompletionRequest: _mend_completion,
    Timeliness: _mend_timeliness,
    SeasonRequest: _mend_season,
    CostRequest: _mend_cost,
    YearsWork: _mend_work,
    OwnedMachine: _mend_owned_machine,
    WearPart: _mend_wear_part,
    WearingPlace: _mend_wearing_place,
    BestWidth: _mend_best_width,
    MatchLimits: _mend_match_limits,
    BallastRequest: _mend_ballast,
    Transport: _mend_transport,
    TractorHydraulics: _mend_pump,
    HydraulicFunction: _mend_function,
    OilMotor: _mend_motor,
    Cylinder: _mend_cylinder,
    Cylinders: _mend_cylinders,
    TireLoads: _mend_tire_loads,
    HitchedMachine: _mend_hitched,
    HitchRequest: _mend_hitch,
    SlipRequest: _mend_slip,
    WheelTurns: _mend_turns,
    TravelTimes: _mend_times,
    TravelDistances: _mend_distances,
    CalibrationRun: _mend_run,
    CalibrationRequest: _mend_calibration,
    TractorPower: _mend_power,
    EngineFuel: _mend_engine_fuel,
    FuelMap: _mend_fuel_map,
    Traction: _mend_traction_law,
    Soil: _mend_soil,
    Tires: _mend_tires,
    Tractor: _mend_tractor,
    GroundTool: _mend_ground_tool,
    RotaryNeed: _mend_rotary,
    Implement: _mend_implement,
    WheelTracks: _mend_wheel_tracks,
    Turn: _mend_turn,
    Field: _mend_field,
    DraftRequest: _mend_ground_tools,
    SensitivityRequest: _mend_sensitivity,
    Pulling: _mend_pulling,
    PowerRequest: _mend_power_request,
    TractionRequest: _mend_traction,
    FuelRequest: _mend_fuel,
    FieldCapacityRequest: _mend_capacity,
    FieldOutline: _mend_outline,
    FieldPass: _mend_pass,
    SystemRequest: _mend_system,
}
