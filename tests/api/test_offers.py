"""Every way out that an error offers is taken: the request that follows it is answered.

For each kind of fault: a request that has it, and for each alternative its sentence names the changes that take it. A
kind whose sentence offers nothing stands in ``NOTHING_OFFERED``; a kind in neither fails.
"""

import copy
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import msgspec
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculations import CALCULATIONS, CURVES
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.words import WORDS
from drawbar_service.quantities import decode_quantity

BY_NAME = {one.name: one for one in (*CALCULATIONS, *CURVES)}
Changes = Mapping[str, Any]
GONE = object()
"""In changes: leave this member out."""


class Offers(NamedTuple):
    """A request with a fault, and the ways out that its sentence offers."""

    calculation: str
    broken: Changes
    """Changes of the worked example, by pointer."""
    taken: Sequence[Changes | tuple[str, Changes]]
    """Further changes, one set for each offer; with another calculation where the sentence points to one."""


TRACTOR = BY_NAME["traction"].example["tractor"]
PLOW = {"tool": "moldboard-plow", "width": "2 m", "depth": "20 cm"}
CHISEL = {"tool": "chisel-plow.twisted-shovel-10cm", "count": 11, "depth": "18 cm"}
DRILL = {"tool": "grain-drill.narrow", "count": 20}
SHAPE = {"length": "600 m", "width": "300 m", "turn": {"time": "20 s"}}
SQUARE = [[0.0, 0.0], [0.004, 0.0], [0.004, 0.004], [0.0, 0.004], [0.0, 0.0]]
OUTLINE = {"polygon": {"type": "Polygon", "coordinates": [SQUARE]}, "turn": {"time": "20 s"}}
ON_TRACKS = {"/tractor": {"drive": "rubber-track", "power": {"rated_pto": "145 kW"}, "mass": "9.4 t"}}
ON_WHEELS = {"/tractor": TRACTOR}
RECORDED = [{"year": year, "week": week, "days": 4.0} for year in range(2021, 2025) for week in range(42, 48)]
HISTORY = {"history": [12, 9, 14, 20, 11]}
MATCH = BY_NAME["match"].example

DRAFT_ROW = {"group": "major-tillage", "counted_in": "m", "depth_counts": True, "A": 100.0, "B": 0.0, "C": 1.0}
NEW_ROW = DRAFT_ROW | {"id": "trial.tool", "fine": 1.0, "medium": 0.7, "coarse": 0.4, "range": 0.3}
FUEL_MAP = {"loads": ["20 %", "100 %"], "engine_speeds": ["100 %"], "rates": [["12 L/h"], ["40 L/h"]]}
READINGS = [{"depth": "5 cm", "cone_index": "900 kPa"}, {"depth": "15 cm", "cone_index": "1.2 MPa"}]

OFFERS: Mapping[str, Offers] = {
    # ---- figures of one's own
    "own-row-twice": Offers(
        "match", {"/tables": {"draft": [{"id": "disk-gang.primary"}] * 2}}, [{"/tables/draft": [NEW_ROW]}]
    ),
    "own-row-short": Offers(
        "match", {"/tables": {"draft": [DRAFT_ROW | {"id": "new"}]}}, [{"/tables/draft": [NEW_ROW]}]
    ),
    "own-default-range": Offers(
        "match",
        {"/tables": {"defaults": [{"id": "power_reserve", "value": 2.0}]}},
        [{"/tables/defaults/0/value": 0.001}, {"/tables/defaults/0/value": 0.9}],
    ),
    "fuel-once": Offers(
        "fuel",
        {"/power": {"rated_pto": "150 kW", "fuel": {}}},
        [{"/power/fuel": {"map": FUEL_MAP}}, {"/power/fuel": {"work_per_fuel": "3 kWh/L"}}],
    ),
    "fuel-law-once": Offers(
        "fuel",
        {"/power": {"rated_pto": "150 kW", "fuel": {"map": FUEL_MAP}}, "/equation": "older-diesel"},
        [{"/equation": GONE}],
    ),
    "fuel-map-shape": Offers(
        "fuel",
        {"/power": {"rated_pto": "150 kW", "fuel": {"map": FUEL_MAP | {"rates": [["12 L/h"], ["9 L/h", "8 L/h"]]}}}},
        [{"/power/fuel/map/rates": FUEL_MAP["rates"]}],
    ),
    "cone-index-once": Offers(
        "match",
        {"/soil": {"texture": "fine", "surface": "firm", "cone_index": "1 MPa", "cone_readings": READINGS}},
        [{"/soil/cone_index": GONE}, {"/soil/cone_readings": []}],
    ),
    "no-ballast-by-ratio": Offers(
        "ballast",
        {"/tractor": {**TRACTOR, "traction": {"model": "ratio"}}},
        [{"/tractor/traction/model": model} for model in ("brixius", "wismer-luth", "gee-clough")],
    ),
    "traction-on-tracks": Offers(
        "match",
        {"/tractor": {**ON_TRACKS["/tractor"], "traction": {}}},
        [{"/tractor/traction": GONE, "/tables": {"tracks": [{"id": "firm", "greatest_pull": 0.8}]}}],
    ),
    # ---- ballast
    "implement-or-pull": Offers(
        "ballast",
        {"/pull": {"force": "38 kN"}},
        [{"/pull": GONE}, {"/implement": GONE}],
    ),
    "ballast-once": Offers(
        "ballast",
        {"/ballast_on": {"total": "1 t", "front": "500 kg"}},
        [{"/ballast_on": {"total": "1 t"}}, {"/ballast_on": {"front": "500 kg", "rear": "500 kg"}}],
    ),
    "too-much-comes-off": Offers("ballast", {"/ballast_on": {"rear": "9.2 t"}}, [{"/ballast_on/rear": "500 kg"}]),
    "lighter-than-can-be": Offers("ballast", {"/limits": {"mass": "8 t"}}, [{"/limits/mass": "12 t"}]),
    "stress-on-tracks": Offers("soil-stress-by-depth", ON_TRACKS, [ON_WHEELS]),
    "nothing-raised": Offers(
        "ballast",
        {"/transport": {}},
        [
            {"/transport": transport}
            for rear in ({}, {"rear": {"mass": "1.4 t", "behind_links": "0.9 m"}})
            for front in ({}, {"front": {"mass": "600 kg", "ahead_of_axle": "1.2 m"}})
            if (transport := {**rear, **front})
        ],
    ),
    # ---- calibration
    "no-soil-by-tracks": Offers("calibration", ON_TRACKS, [("draft", {})]),
    "run-without-measurement": Offers(
        "calibration",
        {"/runs": [{"speed": "6.2 km/h"}]},
        [
            {"/runs/0/pull": "31 kN"},
            {"/runs/0/slip": "7 %"},
            {"/runs/0/fuel_rate": "30 L/h"},
            {"/runs/0/engine_load": "60 %"},
        ],
    ),
    "measured-nothing": Offers("calibration", {"/runs/0/pull": "0 kN"}, [{"/runs/0/pull": GONE}]),
    "depth-counts-nowhere": Offers(
        "calibration",
        {"/implement/tools": [DRILL], "/runs": [{"speed": "7 km/h", "depth": "5 cm", "pull": "9 kN"}]},
        [{"/runs/0/depth": GONE}],
    ),
    "nothing-to-learn": Offers("calibration", {"/prior": {"draft": "0 %"}}, [{"/prior/draft": "20 %"}]),
    "too-exact": Offers("calibration", {"/runs/0/pull_error": "0.001 %"}, [{"/runs/0/pull_error": "3 %"}]),
    # ---- what several calculations share
    "rated-power-once": Offers("fuel", {"/power": {}}, [{"/power/rated_pto": "150 kW"}, {"/power/engine": "170 kW"}]),
    "no-tire-size": Offers(
        "traction",
        {"/tractor/tires/rear/size": "big ones"},
        [{"/tractor/tires/rear/size": size} for size in ("710/70R42", "18.4R38", "18.4-38")],
    ),
    "tire-too-small": Offers(
        "traction", {"/tractor/tires/rear/diameter": "1 m"}, [{"/tractor/tires/rear/diameter": "1.9 m"}]
    ),
    "loaded-radius": Offers(
        "traction",
        {"/tractor/tires/rear/static_loaded_radius": "1.4 m"},
        [{"/tractor/tires/rear/static_loaded_radius": "0.87 m"}],
    ),
    "no-width": Offers(
        "match",
        {"/implement/tools": [CHISEL]},
        [
            {"/implement/width": "4 m"},
            {"/implement/tools/0/width": "4 m"},
            {"/implement/tools/0/spacing": "36 cm"},
        ],
    ),
    "nothing-to-pull": Offers(
        "match",
        {"/implement": {"hitch": "drawbar", "width": "4 m"}},
        [
            {"/implement/tools": [CHISEL]},
            {"/implement/mass": "3 t"},
            {"/implement/mass": "3 t", "/implement/rotary": [{"machine": "mower.disk", "width": "4 m"}]},
        ],
    ),
    "rolling-needs-mass": Offers(
        "match",
        {"/implement": {"hitch": "drawbar", "width": "4 m", "rotary": [{"machine": "mower.disk", "width": "4 m"}]}},
        [{"/implement/mass": "3 t"}],
    ),
    "fails-above-holds": Offers(
        "match", {"/limits": {"holds_from": "60 %", "fails_below": "80 %"}}, [{"/limits/fails_below": "40 %"}]
    ),
    "no-ground-tool": Offers("draft", {"/implement/tools": []}, [{"/implement/tools": [PLOW]}]),
    "no-track-share": Offers(
        "draft", {"/implement/wheel_tracks": {}}, [{"/implement/wheel_tracks": {"share": "30 %"}}]
    ),
    "turn-once": Offers(
        "field-capacity",
        {"/practice": GONE, "/shape": {**SHAPE, "turn": {}}},
        [{"/shape/turn/time": "20 s"}, {"/shape/turn/radius": "6 m"}],
    ),
    "efficiency-once": Offers(
        "field-capacity",
        {"/practice": GONE, "/efficiency": "80 %", "/shape": SHAPE},
        [{"/efficiency": GONE}, {"/shape": GONE}],
    ),
    "pull-or-slip": Offers("traction", {"/pull": GONE}, [{"/pull": "38 kN"}, {"/slip": "10 %"}]),
    "unit-draft-once": Offers(
        "draft",
        {"/implement/tools/0/draft_per_width": "8 kN/m", "/implement/tools/0/draft_per_tool": "3 kN"},
        [{"/implement/tools/0/draft_per_width": GONE}, {"/implement/tools/0/draft_per_tool": GONE}],
    ),
    "no-drawbar-ratio": Offers(
        "power",
        {"/pulling": {"pull": "32 kN", "speed": "7.5 km/h"}},
        [
            {"/pulling/tractive_efficiency": "75 %"},
            {"/pulling/drawbar_per_pto": "70 %"},
            {"/pulling/drive": "front-wheel-assist", "/pulling/surface": "firm"},
        ],
    ),
    "nothing-takes-power": Offers(
        "power",
        {"/pulling": GONE, "/hydraulic": GONE},
        [
            {"/pulling": BY_NAME["power"].example["pulling"]},
            {"/rotary": [{"machine": "mower.disk", "width": "3 m"}]},
            {"/hydraulic": BY_NAME["power"].example["hydraulic"]},
            {"/electric": "20 kW"},
        ],
    ),
    "load-once": Offers("fuel", {"/load": GONE}, [{"/load": "95 kW"}, {"/load_fraction": "60 %"}]),
    "load-beyond-rated": Offers("fuel", {"/load": "400 kW"}, [{"/load": "150 kW"}]),
    # ---- completion and suitable days
    "time-lost-once": Offers(
        "completion",
        {"/time_lost": "5 %", "/breakdowns": "tillage"},
        [{"/time_lost": GONE}, {"/breakdowns": GONE}],
    ),
    "both-capacities": Offers(
        "completion",
        {"/capacity_low": "2.8 ha/h"},
        [{"/capacity_high": "3.4 ha/h"}, {"/capacity_low": GONE}],
    ),
    "loss-once": Offers(
        "completion",
        {"/timeliness": {"crop_yield": "8 t/ha", "price": "190 money/t"}},
        [{"/timeliness/loss": "0.7 %"}, {"/timeliness/row": "corn-seeding.april"}],
    ),
    "suitable-once": Offers(
        "completion",
        {"/suitable": {}},
        [
            {"/suitable": HISTORY},
            {"/suitable": {"mean": 13.5, "spread": 4.8}},
            {"/suitable": {"row": "illinois-central.spring"}},
        ],
    ),
    "no-spread": Offers(
        "completion",
        {"/suitable": {"mean": 13.5}},
        [{"/suitable/spread": 4.8}, {"/suitable/least": 5.0, "/suitable/most": 22.0, "/suitable/years": 12}],
    ),
    "row-without-spread": Offers(
        "completion", {"/suitable": {"row": "nebraska.spring"}}, [{"/suitable": {"mean": 20.0, "spread": 5.0}}]
    ),
    "suitable-or-record": Offers(
        "completion",
        {"/suitable": GONE},
        [{"/suitable": {"mean": 13.5, "spread": 4.8}}, {"/record": {"id": "iowa"}}],
    ),
    "record-once": Offers(
        "completion",
        {"/suitable": GONE, "/record": {}},
        [{"/record": {"id": "iowa"}}, {"/record": {"weeks": RECORDED}}],
    ),
    "week-unknown": Offers(
        "completion",
        {"/suitable": GONE, "/record": {"weeks": [*RECORDED, {"year": 2012, "days": 3.0}]}},
        [
            {"/record/weeks/24": {"year": 2012, "week": 42, "days": 3.0}},
            {"/record/weeks/24": {"week_ending": "2012-10-21", "days": 3.0}},
        ],
    ),
    "so-far-without-record": Offers(
        "completion",
        {"/so_far": [{"year": 2027, "week": 40, "days": 3.0}]},
        [{"/suitable": GONE, "/record": {"id": "iowa"}}],
    ),
    "nothing-so-far": Offers(
        "completion",
        {"/suitable": GONE, "/record": {"id": "iowa"}, "/so_far": [{"year": 2027, "week": 40}]},
        [{"/so_far/0/days": 3.0}, {"/so_far/0/topsoil": 1.5}],
    ),
    # ---- cost
    "area-once": Offers("cost", {"/work/area": GONE}, [{"/work/area": "260 ha"}, {"/work/hours": "110 h"}]),
    "more-than-a-year": Offers(
        "cost",
        {"/work/area": "30000 ha", "/best_width": GONE, "/machines/0/annual_use": GONE},
        [{"/work/area": "260 ha"}, {"/work/capacity": "20 ha/h"}],
    ),
    "name-twice": Offers("cost", {"/machines/0/name": "chisel plow"}, [{"/machines/0/name": "tractor"}]),
    "value-once": Offers(
        "cost",
        {"/machines/0/remaining_value": GONE},
        [{"/machines/0/remaining_value": "tractor.over-112-kw"}, {"/machines/0/resale": 50_000}],
    ),
    "repairs-once": Offers(
        "cost",
        {"/machines/0/practice": GONE},
        [
            {"/machines/0/practice": "tractor.four-wheel"},
            {"/machines/0/repair_factors": {"RF1": 0.003, "RF2": 2.0}},
        ],
    ),
    "use-below-work": Offers("cost", {"/machines/0/annual_use": "20 h"}, [{"/machines/0/annual_use": "520 h"}]),
    "resale-above-price": Offers(
        "cost",
        {"/machines/0/list_price": 900_000},
        [
            {"/machines/0/price": 800_000},
            {"/machines/0/list_price": 180_000},
            {"/machines/0/age": 20, "/machines/0/list_price": 180_000},
            {"/machines/0/remaining_value": GONE, "/machines/0/resale": 40_000, "/machines/0/list_price": 168_000},
        ],
    ),
    "change-needs-labor": Offers("cost", {"/work/labor": GONE}, [{"/work/labor": {"wage": "18 money/h"}}]),
    "life-once": Offers(
        "cost",
        {"/machines/1/wearing/0/options/0/life_hours": "60 h"},
        [
            {"/machines/1/wearing/0/options/0/life_hours": GONE},
            {"/machines/1/wearing/0/options/0/life": GONE},
        ],
    ),
    "first-life": Offers(
        "cost",
        {"/machines/1/wearing/0/options/0/life": GONE},
        [
            {"/machines/1/wearing/0/options/0/life": "140 ha"},
            {"/machines/1/wearing/0/options/0/life_hours": "60 h"},
        ],
    ),
    "life-unknown": Offers(
        "cost",
        {"/machines/1/wearing/0/options/1/point": GONE},
        [
            {"/machines/1/wearing/0/options/1/life": "300 ha"},
            {"/machines/1/wearing/0/options/1/life_hours": "120 h"},
            {"/machines/1/wearing/0/options/1/times_first": 3.0},
            {"/machines/1/wearing/0/options/1/point": "wing-point"},
        ],
    ),
    "no-such-machine": Offers("cost", {"/best_width/machine": "disk"}, [{"/best_width/machine": "chisel plow"}]),
    "no-width-left": Offers(
        "cost",
        {"/best_width/widest": "2 m", "/best_width/narrowest": "3 m"},
        [{"/best_width/widest": "12 m"}],
    ),
    # ---- curves
    "no-draft-to-show": Offers(
        "draft-by-tool",
        {"/implement/tools": [], "/implement/mass": "3 t", "/implement/width": "4 m"},
        [{"/implement/tools": [PLOW]}],
    ),
    "no-width-to-map": Offers(
        "fit-map",
        {"/implement/tools": [], "/implement/mass": "3 t", "/implement/width": "4 m"},
        [{"/implement/tools": [PLOW]}],
    ),
    # ---- field capacity
    "no-room-for-a-lap": Offers(
        "field-capacity",
        {
            "/practice": GONE,
            "/width": "40 m",
            "/outline": {**OUTLINE, "headland_passes": 2},
            "/outline/polygon/coordinates": [[[0.0, 0.0], [0.004, 0.0], [0.004, 0.0002], [0.0, 0.0002], [0.0, 0.0]]],
        },
        [{"/outline/headland_passes": 0}],
    ),
    "headland-once": Offers(
        "field-capacity",
        {"/practice": GONE, "/outline": {**OUTLINE, "headland_passes": 2, "headland_width": "12 m"}},
        [{"/outline/headland_passes": GONE}, {"/outline/headland_width": GONE}],
    ),
    "too-many-laps": Offers(
        "field-capacity",
        {"/practice": GONE, "/width": "1 m", "/outline": {**OUTLINE, "headland_width": "100 m"}},
        [{"/outline/headland_width": GONE, "/outline/headland_passes": 8}, {"/width": "20 m"}],
    ),
    # ---- hitch
    "hitch-load-once": Offers(
        "hitch",
        {
            "/machine/tongue_share": "10 %",
            "/machine/tongue_load": "5 kN",
            "/machine/tongue_length": GONE,
            "/machine/center_of_mass": GONE,
        },
        [{"/machine/tongue_share": GONE}, {"/machine/tongue_load": GONE}],
    ),
    "no-axle-load": Offers(
        "hitch",
        {"/machine": GONE},
        [
            {"/machine": {"hitch": "drawbar", "mass": "5.2 t", "tongue_load": "6 kN"}, "/tires/machine": GONE},
            {"/machine": {"hitch": "three-point", "mass": "1.2 t", "center_of_mass": "0.8 m"}, "/tires/machine": GONE},
        ],
    ),
    "no-machine-load": Offers(
        "hitch",
        {"/machine": {"hitch": "three-point", "mass": "1.2 t", "center_of_mass": "0.8 m"}},
        [{"/machine": {"hitch": "drawbar", "mass": "5.2 t", "tongue_load": "6 kN"}}],
    ),
    "tire-load-once": Offers(
        "hitch", {"/tires/rear": {}}, [{"/tires/rear/load_index": 170}, {"/tires/rear/rated_load": "5 t"}]
    ),
    "no-load-index": Offers("hitch", {"/tires/rear/load_index": 1}, [{"/tires/rear": {"rated_load": "5 t"}}]),
    # ---- hydraulics
    "pump-flow-once": Offers(
        "hydraulics",
        {"/tractor/flow": GONE},
        [{"/tractor/flow": "115 L/min"}, {"/tractor/displacement": "60 cm3", "/tractor/rotation": "2000 r/min"}],
    ),
    "function-once": Offers(
        "hydraulics",
        {"/functions": [{"name": "fan"}]},
        [
            {"/functions/0/steady": {"flow": "11 L/min", "pressure": "35 bar"}},
            {"/functions/0/motor": {"displacement": "20 cm3", "rotation": "2000 r/min", "torque": "30 N*m"}},
            {"/functions/0/cylinders": BY_NAME["hydraulics"].example["functions"][2]["cylinders"]},
        ],
    ),
    "torque-once": Offers(
        "hydraulics",
        {"/functions": [{"name": "fan", "motor": {"displacement": "20 cm3", "rotation": "2000 r/min"}}]},
        [{"/functions/0/motor/torque": "30 N*m"}, {"/functions/0/motor/pressure": "120 bar"}],
    ),
    "load-or-pressure": Offers(
        "hydraulics",
        {"/functions/2/cylinders/each/0/load": GONE},
        [{"/functions/2/cylinders/each/0/load": "60 kN"}, {"/functions/2/cylinders/pressure": "120 bar"}],
    ),
    # ---- season
    "loss-for-all-or-none": Offers(
        "season",
        {"/fields/0/daily_loss": "9 money/ha"},
        [{"/fields/1/daily_loss": "9 money/ha"}, {"/fields/0/daily_loss": GONE}],
    ),
    "places-for-all-or-none": Offers(
        "season",
        {"/fields/0/at": {"east": "1 km", "north": "0 km"}},
        [{"/fields/1/at": {"east": "0 km", "north": "2 km"}}, {"/fields/0/at": GONE}],
    ),
    "season-suitable-or-record": Offers(
        "season", {"/record": {"id": "iowa"}}, [{"/record": GONE}, {"/window/suitable": GONE}]
    ),
    # ---- slip
    "one-slip-method": Offers(
        "slip",
        {"/turns": GONE},
        [
            {"/turns": {"runs": [{"loaded": 10, "unloaded": 8.9}]}},
            {"/times": {"runs": [{"loaded": "32 s", "unloaded": "29 s"}]}},
            {"/distances": {"runs": [{"loaded": "27 m", "unloaded": "30 m"}]}},
        ],
    ),
    "swapped-turns": Offers(
        "slip",
        {"/turns": {"runs": [{"loaded": 8.9, "unloaded": 10}]}},
        [{"/turns/runs/0": {"loaded": 10, "unloaded": 8.9}}],
    ),
    "swapped-times": Offers(
        "slip",
        {"/turns": GONE, "/times": {"runs": [{"loaded": "29 s", "unloaded": "32 s"}]}},
        [{"/times/runs/0": {"loaded": "32 s", "unloaded": "29 s"}}],
    ),
    "swapped-distances": Offers(
        "slip",
        {"/turns": GONE, "/distances": {"runs": [{"loaded": "30 m", "unloaded": "27 m"}]}},
        [{"/distances/runs/0": {"loaded": "27 m", "unloaded": "30 m"}}],
    ),
    # ---- system
    "match-or-rates": Offers(
        "system",
        {"/systems/0/passes/0/match": GONE},
        [
            {"/systems/0/passes/0/match": BY_NAME["system"].example["systems"][0]["passes"][0]["match"]},
            {"/systems/0/passes/0/rates": {"capacity": "4.5 ha/h", "fuel_per_area": "4 L/ha"}},
        ],
    ),
    "machine-price-once": Offers(
        "system",
        {"/systems/0/passes/0/machine_per_time": "60 money/h"},
        [{"/systems/0/passes/0/machine_per_time": GONE}, {"/systems/0/passes/0/machine_per_area": GONE}],
    ),
    "no-price-for-all": Offers(
        "system",
        {"/systems/1/passes/0/machine_per_area": GONE},
        [
            {"/systems/1/passes/0/machine_per_area": "20 money/ha"},
            {"/systems/1/passes/0/machine_per_time": "90 money/h"},
        ],
    ),
    "no-operation": Offers(
        "system",
        {"/systems/0/passes/0/operation": GONE},
        [
            {"/systems/0/passes/0/operation": "disk-chisel-plow.twisted-point"},
            {"/systems/0/passes/0/retention": "60 %"},
        ],
    ),
    "no-constant-of-the-model": Offers(
        "match",
        {"/tractor/traction": {"model": "wismer-luth", "rear": {"load_rate": 0.1}}},
        [
            {"/tractor/traction/rear": {name: value}}
            for name, value in (("gross_max", 0.7), ("rate_by_mobility", 0.2), ("roll", 1.0), ("offset", 0.05))
        ],
    ),
}
NOTHING_OFFERED = frozenset(
    [
        "own-row-wrong",
        "own-default-unknown",
        "own-practice-unknown",
        "must-rise",
        "depths-rise",
        "shares-of-independent",
        "unknown-reference",
        "needed-on-wheels",
        "needed-on-four-tracks",
        "draft-needs-width",
        "draft-needs-count",
        "draft-needs-depth",
        "speed-range-order",
        "depth-range-order",
        "power-needs",
        "learns-of-ground-tools",
        "implied-draft",
        "implied-cone-index",
        "year-of-window",
        "days-of-window",
        "nothing-left",
        "capacities-rise",
        "record-beyond-period",
        "mean-beyond-period",
        "spread-too-wide",
        "least-to-most",
        "best-width-needs-width",
        "flaw-of-outline",
        "too-narrow-to-plan",
        "no-vertical-limit",
        "mounted-has-no-tongue",
        "mounted-needs-lever",
        "needs-mass",
        "tongue-needs-lever",
        "tongue-above-weight",
        "needs-wheelbase",
        "ratio-needs-mass",
        "series-of-one",
        "series-needs-rod",
        "rod-in-bore",
        "too-many-tasks",
        "too-many-matches",
        "too-many-choices",
        "name-taken",
        "window-year",
        "window-length",
        "after-window",
        "before-window",
        "no-such-name",
        "named-twice",
        "no-field-shared",
        "circle-of-works",
        "travel-times-shape",
        "only-in-alternatives",
        "alternatives-need-record",
        "season-passed",
        "all-is-done",
        "done-beyond-field",
        "done-later",
        "done-out-of-turn",
        "reading-above-zero",
        "slip-on-the-spot",
        "reading-error-too-large",
        "system-name-twice",
        "no-such-system",
        "no-such-week",
        "week-of-date",
        "weeks-overlap",
        "record-not-of-window",
        "nothing-left-of-window",
        "weeks-turned-round",
        "series-differ",
        "too-much-missing",
        "high-below-low",
        "no-whole-week",
    ]
)
"""Sentences that say what is wrong or missing and name one thing that would be right, not a choice."""


def body_of(calculation: str, *changes: Changes) -> dict[str, Any]:
    """Return the worked example of a calculation with changes by pointer, one set after the other."""
    body = copy.deepcopy(dict(BY_NAME[calculation].example))
    for pointer, value in (item for some in changes for item in some.items()):
        *path, last = (int(part) if part.isdigit() else part for part in pointer[1:].split("/"))
        place: Any = body
        for part in path:
            place = place[part]
        if value is GONE:
            place.pop(last, None)
        else:
            place[last] = copy.deepcopy(value)
    return body


def ask(calculation: str, body: dict[str, Any]) -> Any:
    one = BY_NAME[calculation]
    return one.compute(msgspec.convert(body, one.request, dec_hook=decode_quantity), Ledger("metric"))


def says(kind: str, detail: str) -> bool:
    """Return whether a detail is the sentence of a kind of fault."""
    sentence = re.sub(r"\\{.*?\\}", ".*", re.escape(WORDS.faults[kind]))
    return re.fullmatch(sentence, detail, re.DOTALL) is not None


def taken() -> Iterator[Any]:
    for kind, offers in OFFERS.items():
        for number, changes in enumerate(offers.taken):
            yield pytest.param(offers, changes, id=f"{kind}-{number}")


def test_every_fault_offers_ways_out_that_are_tried_or_none() -> None:
    assert OFFERS.keys() | NOTHING_OFFERED == WORDS.faults.keys()
    assert not OFFERS.keys() & NOTHING_OFFERED


@pytest.mark.parametrize("kind", OFFERS)
def test_the_request_has_the_fault(kind: str) -> None:
    with pytest.raises(ImpossibleInput) as refusal:
        ask(OFFERS[kind].calculation, body_of(OFFERS[kind].calculation, OFFERS[kind].broken))
    assert any(says(kind, fault.detail) for fault in refusal.value.faults), refusal.value.faults


@pytest.mark.parametrize(("offers", "changes"), list(taken()))
def test_an_offer_that_is_taken_is_answered(offers: Offers, changes: Changes | tuple[str, Changes]) -> None:
    if isinstance(changes, tuple):
        assert ask(changes[0], body_of(*changes)) is not None
    else:
        assert ask(offers.calculation, body_of(offers.calculation, offers.broken, changes)) is not None
