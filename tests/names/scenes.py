"""A request for each word that was changed, in new words, with the place of the word in it."""

import copy
from typing import Any, NamedTuple

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.renamed import NAMES

_EXAMPLES = {one.name: dict(one.example) for one in CALCULATIONS}
_SPREADER = {"hitch": "three-point", "width": "12 m", "mass": "1.2 t", "practice": "fertilizer-spreader"}
_PULLED = {"force": "20 kN", "hitch": "three-point", "mass": "1.1 t", "center_of_mass": "0.8 m"}


class Scene(NamedTuple):
    """A request with a new word in it."""

    calculation: str
    body: dict[str, Any]
    pointer: str
    """Where the new word stands: of a member its own place, of a row that of the member whose value it is."""


def _with(calculation: str, changes: dict[str, Any]) -> dict[str, Any]:
    body: Any = copy.deepcopy(_EXAMPLES[calculation])
    for pointer, value in changes.items():
        *steps, last = pointer.split("/")[1:]
        here = body
        for step in steps:
            here = here[int(step)] if isinstance(here, list) else here.setdefault(step, {})
        if value is None:
            del here[last]
        else:
            here[last] = value
    return body


def _scene(calculation: str, pointer: str, **changes: Any) -> Scene:
    return Scene(
        calculation, _with(calculation, {f"/{name.replace('__', '/')}": one for name, one in changes.items()}), pointer
    )


MEMBERS = {
    ("Tractor", "centre_of_mass_height"): _scene(
        "match", "/tractor/center_of_mass_height", tractor__center_of_mass_height="1.1 m", field__slope="4 %"
    ),
    ("HitchedMachine", "centre_of_mass"): _scene("hitch", "/machine/center_of_mass"),
    ("Implement", "centre_of_mass"): _scene("ballast", "/implement/center_of_mass", implement__center_of_mass="0.9 m"),
    ("KnownPull", "centre_of_mass"): _scene("ballast", "/pull/center_of_mass", implement=None, pull=_PULLED),
    ("TractionRequest", "centre_of_mass"): _scene(
        "traction", "/center_of_mass", hitch="three-point", mass="1.2 t", center_of_mass="0.8 m"
    ),
    ("Prices", "labour"): _scene("season", "/prices/labor"),
    ("SystemPrices", "labour"): _scene("system", "/prices/labor"),
    ("YearsWork", "labour"): _scene("cost", "/work/labor"),
    ("CompletionRequest", "finish_by"): _scene("completion", "/end"),
    ("CompletionRequest", "machines"): _scene("completion", "/machine_count", machine_count=2),
    ("FieldCapacityRequest", "kind"): _scene("field-capacity", "/practice"),
    ("Implement", "kind"): _scene("match", "/implement/practice", implement__practice="chisel-plow"),
    ("Implement", "motion_resistance"): _scene(
        "match", "/implement/motion_resistance_ratio", implement={**_SPREADER, "motion_resistance_ratio": 0.08}
    ),
}
"""By type and old word."""
ROWS = {
    **{
        ("practice", one.old): _scene("field-capacity", "/practice", practice=one.new)
        for one in NAMES.rows
        if one.table == "practice"
    },
    # The table has no spread for it, which is a fault: the same by both of its names.
    ("suitable-days", "illinois.autumn"): _scene("completion", "/suitable/row", suitable={"row": "illinois.fall"}),
    ("defaults", "centre_of_mass_height"): _scene(
        "match",
        "/tables/defaults/0/id",
        field__slope="4 %",
        tables={"defaults": [{"id": "center_of_mass_height", "value": 1.2}]},
    ),
    ("defaults", "three_point_centre_of_mass"): _scene(
        "ballast",
        "/tables/defaults/0/id",
        tables={"defaults": [{"id": "three_point_center_of_mass", "value": 0.8}]},
    ),
    ("defaults", "labour_overhead"): _scene(
        "cost", "/tables/defaults/0/id", tables={"defaults": [{"id": "labor_overhead", "value": 0.3}]}
    ),
}
"""By table and old id."""


def in_old_words(scene: Scene, old: str, *, row: bool = False) -> tuple[dict[str, Any], str]:
    """Return the request of a scene with the old word in it, and where that stands."""
    body: Any = copy.deepcopy(scene.body)
    *steps, last = scene.pointer.split("/")[1:]
    here = body
    for step in steps:
        here = here[int(step)] if isinstance(here, list) else here[step]
    if row:
        here[last] = old
        return body, scene.pointer
    here[old] = here.pop(last)
    return body, f"{scene.pointer.rpartition('/')[0]}/{old}"
