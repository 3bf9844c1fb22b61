"""Requests that look at every figure of every table, between them."""

import copy
from collections.abc import Iterator, Mapping
from typing import Any, cast

from drawbar_service.api.calculation import Calculation
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.curves.soil_stress_by_depth import SOIL_STRESS_BY_DEPTH

Body = dict[str, Any]
BY_NAME: Mapping[str, Calculation[Any, Any]] = {one.name: one for one in CALCULATIONS}


def example(name: str) -> Body:
    """Return the worked example of a calculation, to be changed at will."""
    return copy.deepcopy(dict(cast("Mapping[str, Any]", BY_NAME[name].example)))


def with_more(name: str, **more: object) -> tuple[Calculation[Any, Any], Body]:
    """Return a calculation and its worked example with other members."""
    return BY_NAME[name], {**example(name), **more}


TRACTOR: Body = copy.deepcopy(dict(EXAMPLE_TRACTOR))
TIRES = {
    "front": {"size": "540/65R30 143D", "inflation": "1.2 bar"},
    "rear": {"size": "650/65R42 158D", "inflation": "1.2 bar", "count": 4},
}


def _soil(surface: str, texture: str = "coarse", **more: object) -> Body:
    return {"texture": texture, "surface": surface, **more}


def scenes() -> Iterator[tuple[Calculation[Any, Any], Body]]:
    """Return calculations with requests of theirs: the worked examples, then what those leave out."""
    for one in CALCULATIONS:
        if one.name != "slip":
            yield one, example(one.name)
    yield SOIL_STRESS_BY_DEPTH, example("ballast")
    chisel = example("match")["implement"]
    for surface in ("hard", "firm", "tilled", "soft"):
        yield with_more("match", soil=_soil(surface))
        tracks = {"drive": "rubber-track", "power": {"rated_pto": "145 kW"}, "mass": "12 t"}
        yield with_more("match", tractor=tracks, soil=_soil(surface, cone_index="700 kPa"))
        yield with_more("match", tractor=tracks, soil=_soil(surface, "fine"))
        yield with_more("ballast", soil=_soil(surface, "fine"))
        pulling = {"pull": "32 kN", "speed": "7.5 km/h", "drive": "two-wheel", "surface": surface}
        yield with_more("power", pulling=pulling, electric="5 kW")
    concrete = {"pull": "32 kN", "speed": "7.5 km/h", "drive": "two-wheel", "surface": "concrete"}
    yield with_more("power", pulling=concrete, rotary=[{"machine": "mower.disk", "width": "3 m"}])
    baler = {"machine": "baler.large-rectangular", "feed_rate": "20 t/h"}
    yield with_more("match", implement={"hitch": "drawbar", "mass": "6 t", "width": "3 m", "rotary": [baler]})
    mower = {"machine": "mower.disk", "width": "3 m"}
    yield with_more("match", implement={"hitch": "three-point", "mass": "900 kg", "width": "3 m", "rotary": [mower]})
    yield with_more("match", implement={**chisel, "hitch": "semi-mounted", "mass": "2 t"}, field={"slope": "5 %"})
    geared = {**TRACTOR, "tires": TIRES, "gears": [{"name": "a", "speed": "9 km/h"}, {"name": "b", "speed": "16 km/h"}]}
    yield with_more("match", tractor=geared, speed="5.5 km/h")
    yield with_more("match", tractor={**TRACTOR, "transmission": "cvt"}, soil=_soil("soft", moisture="wet"))
    seeder = {"hitch": "drawbar", "tools": [{"tool": "grain-drill.no-till", "count": 20, "width": "4 m"}]}
    yield with_more("match", implement=seeder)
    light = {"hitch": "drawbar", "width": "1 m", "mass": "200 kg", "rotary": [mower]}
    yield with_more("match", implement=light, speed=None, find=["speed"])
    yield with_more("match", implement={**chisel, "wheel_tracks": {}})
    shape = {"length": "600 m", "width": "300 m", "turn": {"time": "20 s"}, "stops": "600 s"}
    yield with_more("match", field={"shape": shape})
    corners = [[9.0, 50.0], [9.006, 50.0], [9.006, 50.002], [9.0, 50.002], [9.0, 50.0]]
    outline = {"polygon": {"type": "Polygon", "coordinates": [corners]}, "turn": {"time": "20 s"}}
    field = {name: value for name, value in example("field-capacity").items() if name not in ("practice", "area")}
    yield BY_NAME["field-capacity"], {**field, "outline": outline}
    for speed in ("6 km/h", "7.4 km/h", "8 km/h", "8.4 km/h", "10 km/h"):
        yield with_more("ballast", speed=speed)
    duals = {**TRACTOR, "drive": "four-wheel", "tires": {"front": TIRES["rear"], "rear": TIRES["rear"]}}
    yield with_more("ballast", tractor={**duals, "power": {"engine": "300 kW"}, "mass": "16 t"})
    ballast = example("ballast")
    del ballast["ballast_on"]
    yield BY_NAME["ballast"], ballast
    yield with_more("completion", suitable={"row": "illinois-central.spring"}, breakdowns="tillage")
    for row in ("corn-seeding.april", "tillage"):
        delay = {"row": row, "crop_yield": "8 t/ha", "price": "190 money/t"}
        yield with_more("completion", timeliness=delay)
    fragile = example("system")
    fragile["residue"]["kind"] = "fragile"
    yield BY_NAME["system"], fragile
    calendar = {name: value for name, value in fragile["calendar"].items() if name != "suitable_share"}
    yield BY_NAME["system"], {**fragile, "calendar": calendar}
    motor = {"displacement": "11 cm3", "rotation": "4000 r/min", "torque": "15 N*m"}
    pump = {"pump": "load-sensing", "displacement": "45 cm3", "rotation": "2200 r/min", "pressure": "200 bar"}
    yield (
        BY_NAME["hydraulics"],
        {"tractor": {**pump, "outlets": 4, "outlet_flow": "95 L/min"}, "functions": [{"name": "fan", "motor": motor}]},
    )
    machine = {"hitch": "three-point", "three_point": "3", "pto": "1", "pto_power": "50 kW", "mass": "2 t"}
    hitched = {**machine, "center_of_mass": "1 m"}
    every = {"three_point": "3", "drawbar": "3", "pto": ["1", "2", "3", "4"]}
    powers = ("20 kW", "40 kW", "60 kW", "85 kW", "120 kW", "180 kW", "300 kW")
    for power in powers:
        yield with_more(
            "hitch", tractor={**TRACTOR, "power": {"rated_pto": power}}, hitch=every, machine=hitched, tires={}
        )
    triple = {"rear": {"load_index": 170, "mounting": "triple", "count": 6}}
    yield with_more("hitch", tires=triple)
    yield with_more("hitch", machine={**hitched, "three_point": "2"}, hitch=every, tires={})
    loaded = {"rear": {"mass": "1.4 t", "behind_links": "0.9 m"}}
    autumn = {"first": "2024-09-09", "rain": 3 * [0.0, 6.0, 0.0, 12.0] * 7, "from_week": 46, "to_week": 47}
    cold = [16.0 - 0.25 * day for day in range(84)]
    yield BY_NAME["days"], {**autumn, "high": cold, "low": [high - 8.0 for high in cold], "latitude": 42.0}
    apart = example("season")
    for field, east in zip(apart["fields"], ("1 km", "9 km"), strict=True):
        field["at"] = {"east": east, "north": "0 m"}
    yield BY_NAME["season"], {**apart, "driving": {"yard": {"east": "0 m", "north": "0 m"}}}
    laden = {**TIRES, "rear": {**TIRES["rear"], "count": 2, "inflation": "0.8 bar"}}
    yield with_more("ballast", tractor={**TRACTOR, "mass": "13 t", "tires": laden}, transport=loaded)
