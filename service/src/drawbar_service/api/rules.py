"""What JSON Schema can say of members that depend on each other: this or that, not both, that only with this.

Each rule is a shape that no request may have. A type gets its shapes as one ``not``, which validators check and
generators of code pass over, so that their types stay plain: a ``oneOf`` would make a class of every combination. What
a rule says is refused by the service in a sentence all the same; these are no second check, and tests hold them against
it: ``tests/contract/refused.toml`` lists every kind of fault, and for those that no rule says, why.
"""

from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from drawbar_service.reference import DRAFT

Shape: TypeAlias = dict[str, Any]

_WHEELED = ["two-wheel", "front-wheel-assist", "four-wheel"]
_FOUR_TRACKS = ["four-track"]
_TRACKS = ["rubber-track", "four-track"]
_WITHOUT_LOAD = ["annual-average-diesel", "annual-average-gasoline"]
_REQUIRED = ("drive", "hitch", "tool")
"""Words that their types require."""
_NULL: Shape = {"type": "null"}


def _lacks(*names: str) -> Shape:
    """Return the shape of what has none of these members, or has them as null."""
    return {"properties": dict.fromkeys(names, _NULL)}


def _empty(*names: str) -> Shape:
    """Return the shape of what has nothing in these lists, or no such lists."""
    return {"properties": {name: {"maxItems": 0} for name in names}}


def _has_any(*names: str) -> Shape:
    """Return the shape of what has one of these members at least."""
    return {"not": _lacks(*names)}


def _lacks_any(*names: str) -> Shape:
    """Return the shape of what lacks one of these members at least."""
    return any_of([_lacks(name) for name in names])


def _has(*names: str) -> Shape:
    """Return the shape of what has these members, and none of them null."""
    return {"not": _lacks_any(*names)}


def any_of(shapes: Sequence[Shape]) -> Shape:
    """Return the shape of what has one of the shapes at least."""
    return shapes[0] if len(shapes) == 1 else {"anyOf": list(shapes)}


def _once(*names: str) -> Shape:
    """Return the shape in which not exactly one of these members is there."""
    # Of two, exactly one is there where exactly one is not, which is shorter.
    return {"not": {"oneOf": [_lacks(name) if len(names) == 2 else _has(name) for name in names]}}


def _one_alone(one: str, other: str) -> Shape:
    """Return the shape in which one of two members is there without the other."""
    return {"oneOf": [_lacks(one), _lacks(other)]}


def _together(*names: str) -> Shape:
    """Return the shape in which more than one of these members is there."""
    return {"not": {"oneOf": [_lacks(*names), *(_has(name) for name in names)]}}


def _says(name: str, words: Sequence[str | bool]) -> Shape:
    return (_in if name in _REQUIRED else _within)(name, {"enum": list(words)})


def _both(*shapes: Shape) -> Shape:
    return {"allOf": list(shapes)}


def _within(name: str, shape: Shape) -> Shape:
    return {"required": [name], "properties": {name: shape}}


def _in(name: str, shape: Shape) -> Shape:
    """Return the shape of what has a member of this shape: of a member that its type requires."""
    return {"properties": {name: shape}}


def _holding(*shapes: Shape) -> Shape:
    """Return the shape of a list that has, for each of the shapes, something of it."""
    contained = [{"contains": shape} for shape in shapes]
    return contained[0] if len(contained) == 1 else {"allOf": contained}


def _tools(*, by_width: bool, depth: bool) -> list[str]:
    return [row.id for row in DRAFT.rows.values() if (row.counted_in == "m") == by_width and row.depth_counts == depth]


_NO_WIDTH = _both(_lacks("width"), _lacks_any("count", "spacing"))
_NO_DEPTH = _lacks("depth", "draft_per_width", "draft_per_tool")
_BURNS = _in("power", _within("fuel", {"type": "object", **_once("map", "work_per_fuel")}))
_RATED = _in("power", _once("rated_pto", "engine"))
_POWER = _in("tractor", _RATED)
"""A tractor whose power is looked at: from the PTO or from the engine."""
_FUEL = _in("tractor", _BURNS)
"""A tractor whose fuel is looked at: from a map or from the work a fuel does."""
_CONSTANTS = _within("traction", _both(_says("model", ["wismer-luth", "gee-clough"]), _has_any("front", "rear")))
_ON_WHEELS = _in("tractor", _both(_says("drive", _WHEELED), any_of([_lacks_any("tires", "wheelbase"), _CONSTANTS])))
_ON_SOIL = [
    _ON_WHEELS,
    _in("tractor", _both(_says("drive", _FOUR_TRACKS), _lacks("wheelbase"))),
    _in("tractor", _both(_says("drive", _TRACKS), _has("traction"))),
]
"""A tractor whose slip is calculated: on wheels it needs tires and a wheelbase, on four tracks a wheelbase."""
_WIDTH_OF_A_TOOL = any_of([_has("width"), _has("count", "spacing")])
_NO_WIDTH_AT_ALL = _in(
    "implement",
    _both(_lacks("width"), any_of([_empty("tools"), {"not": _in("tools", _holding(_WIDTH_OF_A_TOOL))}])),
)
_NO_TOOLS = _in("implement", _empty("tools"))
_TURN = _in("turn", _once("time", "radius"))
_SHAPE = _within("shape", {"type": "object", **_TURN})
"""A shape of a field, whose turns are looked at where no efficiency is given."""
_SO_FAR_ALONE = _both(_has("so_far"), _lacks("record"))
_MOUNTED = _says("hitch", ["three-point"])
_TONGUE = ("tongue_load", "tongue_share", "tongue_length")

RULES: Mapping[str, Sequence[Shape]] = {
    "Field": [_both(_lacks("efficiency"), _SHAPE)],
    "GroundTool": [
        _has("draft_per_width", "draft_per_tool"),
        _both(_says("tool", _tools(by_width=True, depth=True)), any_of([_NO_WIDTH, _NO_DEPTH])),
        _both(_says("tool", _tools(by_width=True, depth=False)), _NO_WIDTH),
        _both(_says("tool", _tools(by_width=False, depth=True)), any_of([_lacks("count"), _NO_DEPTH])),
        _both(_says("tool", _tools(by_width=False, depth=False)), _lacks("count")),
        _both(_has("draft_per_width"), _NO_WIDTH),
        _both(_has("draft_per_tool"), _lacks("count")),
    ],
    "Implement": [_both(_empty("tools"), _lacks("mass"))],
    "Soil": [_both(_has("cone_index"), {"not": _empty("cone_readings")})],
    "MatchRequest": [_POWER, _FUEL, *_ON_SOIL, _NO_WIDTH_AT_ALL],
    "SensitivityRequest": [_POWER, _FUEL, *_ON_SOIL, _NO_WIDTH_AT_ALL],
    "PassMatch": [_POWER, _FUEL, *_ON_SOIL, _NO_WIDTH_AT_ALL],
    "TractionRequest": [_once("pull", "slip"), *_ON_SOIL],
    "BallastRequest": [
        _POWER,
        _once("implement", "pull"),
        _FUEL,
        _ON_WHEELS,
        _both(
            _in("tractor", _says("drive", _WHEELED)),
            _within("transport", {"type": "object", **_lacks("front", "rear")}),
        ),
    ],
    "DraftRequest": [_NO_TOOLS],
    "CalibrationRequest": [_POWER, _FUEL, _ON_WHEELS, _NO_TOOLS, _in("tractor", _says("drive", _TRACKS))],
    "CalibrationRun": [_lacks("pull", "slip", "fuel_rate", "engine_load")],
    "FuelRequest": [
        _both({"not": _says("equation", _WITHOUT_LOAD)}, any_of([_once("load", "load_fraction"), _BURNS])),
        _both(_says("equation", ["older-diesel"]), _in("power", _has("fuel"))),
        _RATED,
    ],
    "PowerRequest": [_both(_lacks("pulling", "electric"), _empty("rotary", "hydraulic"))],
    "Pulling": [
        _both(_lacks("tractive_efficiency", "drawbar_per_pto"), _lacks_any("drive", "surface")),
    ],
    "FieldCapacityRequest": [_SHAPE, _together("efficiency", "shape", "outline", "practice")],
    "FieldOutline": [_TURN, _has("headland_passes", "headland_width")],
    "TractorHydraulics": [
        _has("flow", "displacement"),
        _has("flow", "rotation"),
        _both(_lacks("flow"), _lacks_any("displacement", "rotation")),
    ],
    "HydraulicFunction": [_once("steady", "motor", "cylinders")],
    "OilMotor": [_once("torque", "pressure")],
    "Cylinders": [
        _both(_has("pressure"), _in("each", _holding(_has("load")))),
        _both(_lacks("pressure"), _in("each", _holding(_lacks("load")))),
        _both(_says("series", [True]), any_of([_in("each", {"maxItems": 1}), _in("each", _holding(_lacks("rod")))])),
    ],
    "HitchRequest": [
        _POWER,
        _both(
            _within("road", _has("greatest_mass_ratio")),
            any_of([_lacks("machine"), _within("machine", _lacks("mass"))]),
        ),
    ],
    "HitchedMachine": [
        _together(*_TONGUE),
        _both(_MOUNTED, any_of([_has_any(*_TONGUE), _both(_has("mass"), _lacks("center_of_mass"))])),
        _both(_lacks("mass"), _has_any("tongue_share", "tongue_length")),
        _both(_has("tongue_length"), _lacks("center_of_mass")),
    ],
    "TireLoads": [_once("load_index", "rated_load")],
    "SuitableDays": [
        _once("history", "mean", "row"),
        _both(_has("mean"), _lacks("spread"), _lacks_any("least", "most", "years")),
    ],
    "Timeliness": [_once("loss", "row")],
    "DaysRecord": [_once("id", "weeks")],
    "RecordedWeek": [
        _lacks("week_ending", "year"),
        _one_alone("year", "week"),
    ],
    "CompletionRequest": [
        _once("suitable", "record"),
        _SO_FAR_ALONE,
        _has("time_lost", "breakdowns"),
        _one_alone("capacity_low", "capacity_high"),
    ],
    "SlipRequest": [_once("turns", "times", "distances")],
    "SystemRequest": [
        _both(_has("residue"), _in("systems", _holding(_in("passes", _holding(_lacks("operation", "retention")))))),
    ],
    "FieldPass": [
        _once("match", "rates"),
        _has("machine_per_area", "machine_per_time"),
        _both(_says("price_covers_all", [True]), _lacks("machine_per_area", "machine_per_time")),
    ],
    "OwnedMachine": [_once("remaining_value", "resale"), _once("practice", "repair_factors")],
    "YearsWork": [_once("area", "hours")],
    "WearPart": [
        _together("life", "life_hours", "times_first"),
        _lacks("life", "life_hours", "times_first", "point"),
    ],
    "WearingPlace": [_in("options", {"prefixItems": [_lacks("life", "life_hours")]})],
    "SeasonRequest": [
        _both(_has("record"), _in("window", _has("suitable"))),
        _both(_lacks("record"), _in("window", _lacks("suitable"))),
        _SO_FAR_ALONE,
        _both({"not": _empty("alternatives")}, _lacks("record")),
        _in("fields", _holding(_has("daily_loss"), _lacks("daily_loss"))),
        _both(
            _in("fields", _holding(_has("at"), _lacks("at"))),
            {"not": _within("driving", _has("travel_times"))},
        ),
    ],
    "SeasonField": [_SHAPE, _has("efficiency", "shape")],
}
"""Shapes that are refused, by the type that may not have them."""
