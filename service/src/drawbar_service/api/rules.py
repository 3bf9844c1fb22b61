"""What JSON Schema can say of members that depend on each other: this or that, not both, that only with this.

Each rule is a shape that no request may have. A type gets its shapes as one ``not``, which validators check and
generators of code pass over, so that their types stay plain. What a rule says is refused by the service in a sentence
all the same; these are no second check, and a test holds them against it.
"""

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any, TypeAlias

from drawbar_service.reference import DRAFT

Shape: TypeAlias = dict[str, Any]

_WHEELED = ["two-wheel", "front-wheel-assist", "four-wheel"]
_FOUR_TRACKS = ["four-track"]


def _has(*names: str) -> Shape:
    """Return the shape of what has these members, and none of them null."""
    return {"required": list(names), "properties": {name: {"not": {"type": "null"}} for name in names}}


def _lacks(*names: str) -> Shape:
    """Return the shape of what has none of these members."""
    return {"not": any_of([_has(name) for name in names])}


def any_of(shapes: Sequence[Shape]) -> Shape:
    """Return the shape of what has one of the shapes at least."""
    return shapes[0] if len(shapes) == 1 else {"anyOf": list(shapes)}


def _together(*names: str) -> list[Shape]:
    return [_has(*pair) for pair in combinations(names, 2)]


def _once(*names: str) -> list[Shape]:
    """Return the shape in which not exactly one of these members is there."""
    return [{"not": {"oneOf": [_has(name) for name in names]}}]


def _says(name: str, words: Sequence[str]) -> Shape:
    return {"required": [name], "properties": {name: {"enum": list(words)}}}


def _both(*shapes: Shape) -> Shape:
    return {"allOf": list(shapes)}


def _within(name: str, shape: Shape) -> Shape:
    return {"required": [name], "properties": {name: shape}}


_BY_WIDTH = [row.id for row in DRAFT.rows.values() if row.counted_in == "m"]
_BY_COUNT = [row.id for row in DRAFT.rows.values() if row.counted_in != "m"]
_BY_DEPTH = [row.id for row in DRAFT.rows.values() if row.depth_counts]
_NO_WIDTH = _both(_lacks("width"), {"not": _has("count", "spacing")})
_ON_SOIL = [
    _within("tractor", _both(_says("drive", _WHEELED), {"not": _has("tires", "wheelbase")})),
    _within("tractor", _both(_says("drive", _FOUR_TRACKS), _lacks("wheelbase"))),
]
"""A tractor whose slip is calculated: on wheels it needs tires and a wheelbase, on four tracks a wheelbase."""
_POWER = _within("tractor", _within("power", _once("rated_pto", "engine")[0]))
"""A tractor whose power is looked at: from the PTO or from the engine."""

RULES: Mapping[str, Sequence[Shape]] = {
    "Turn": _once("time", "radius"),
    "GroundTool": [
        _has("draft_per_width", "draft_per_tool"),
        _both(_says("tool", _BY_WIDTH), _NO_WIDTH),
        _both(_says("tool", _BY_COUNT), _lacks("count")),
        _both(_says("tool", _BY_DEPTH), _lacks("depth", "draft_per_width", "draft_per_tool")),
        _both(_has("draft_per_width"), _NO_WIDTH),
        _both(_has("draft_per_tool"), _lacks("count")),
    ],
    "MatchRequest": [_POWER, *_ON_SOIL],
    "SensitivityRequest": [_POWER, *_ON_SOIL],
    "TractionRequest": [*_once("pull", "slip"), *_ON_SOIL],
    "BallastRequest": [_POWER, *_once("implement", "pull")],
    "FuelRequest": _once("load", "load_fraction"),
    "FieldCapacityRequest": _together("efficiency", "shape", "outline", "practice"),
    "FieldOutline": [_has("headland_passes", "headland_width")],
    "TractorHydraulics": [
        _has("flow", "displacement"),
        _has("flow", "rotation"),
        _both(_lacks("flow"), {"not": _has("displacement", "rotation")}),
    ],
    "HydraulicFunction": _once("steady", "motor", "cylinders"),
    "OilMotor": _once("torque", "pressure"),
    "HitchedMachine": [
        *_together("tongue_load", "tongue_share", "tongue_length"),
        _both(_has("mass"), _says("hitch", ["three-point"]), _lacks("center_of_mass")),
        *(
            _both(_has(way), _says("hitch", ["three-point"]))
            for way in ("tongue_load", "tongue_share", "tongue_length")
        ),
    ],
    "TireLoads": _once("load_index", "rated_load"),
    "SuitableDays": _once("history", "mean", "row"),
    "Timeliness": _once("loss", "row"),
    "CompletionRequest": [
        _has("time_lost", "breakdowns"),
        _both(_has("capacity_low"), _lacks("capacity_high")),
        _both(_has("capacity_high"), _lacks("capacity_low")),
    ],
    "SlipRequest": _once("turns", "times", "distances"),
    "FieldPass": [*_once("match", "rates"), _has("machine_per_area", "machine_per_time")],
    "OwnedMachine": [*_once("remaining_value", "resale"), *_once("practice", "repair_factors")],
    "YearsWork": _once("area", "hours"),
    "WearPart": _together("life", "life_hours", "times_first"),
    "Transport": [_lacks("front", "rear")],
    "SeasonField": [_has("efficiency", "shape")],
}
"""Shapes that are refused, by the type that may not have them."""
