"""Published figures and what the service makes of them: one working for the tests and for the page of results.

The data files name the source of every row.
"""

import csv
import datetime
import tomllib
from pathlib import Path
from typing import NamedTuple

import msgspec
import numpy as np
import pint

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.cost import COST
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.fuel import FUEL
from drawbar_service.api.v1.hydraulics import HYDRAULICS
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.power import POWER
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.engine import (
    axle_loads,
    capacity,
    completion,
    draft,
    hydraulics,
    power,
    slip,
    soil_stress,
    system,
    tire,
    traction,
)
from drawbar_service.engine.arrays import STANDARD_GRAVITY
from drawbar_service.engine.fuel import fuel_per_area, fuel_rate, mean_over_working
from drawbar_service.model.implement import PRIMARY_RANGE
from drawbar_service.quantities import decode_quantity
from drawbar_service.reference import tables

DATA = Path(__file__).parent / "data"
U = pint.UnitRegistry(cache_folder=None)
U.define("money = [money]")


def toml(name):
    return tomllib.loads((DATA / name).read_text("utf-8"))


def si(text):
    """A printed quantity in SI units; pint does the converting here so that the service's own table is not asked."""
    return text if isinstance(text, int | float) else U.Quantity(text).to_base_units().magnitude


def answer(calculation, body):
    request = msgspec.convert(body, calculation.request, dec_hook=decode_quantity)
    return calculation.compute(request, Ledger("metric"))


# ---- a check and its verdict

MET, MISFIT, NOT_MET = "met", "misfit", "NOT MET"


class Check(NamedTuple):
    """One figure from outside and ours, both in the unit it was printed in."""

    id: str
    topic: str
    quantity: str
    source: str
    unit: str
    published: float
    ours: float
    allowed: float
    """Greatest difference that still counts as met, over the published figure [1]."""
    tolerance: str
    """The same, as it was stated."""
    misfit: float | None = None
    """Difference that is known and watched, over the published figure [1]."""
    watched_within: float = 2e-4
    """How far a known difference may drift before somebody has to look [1]."""
    reason: str = ""
    covered: bool = False
    """Whether the published figure lies in our stated range, which is met whatever the difference."""

    @property
    def off(self):
        return self.ours / self.published - 1.0

    @property
    def verdict(self):
        met = abs(self.off) <= self.allowed or self.covered
        if self.misfit is None:
            return MET if met else NOT_MET
        return MISFIT if not met and abs(self.off - self.misfit) <= self.watched_within else NOT_MET

    @property
    def explained(self):
        """The verdict with what there is to say about it."""
        if self.verdict == MISFIT:
            return f"{MISFIT}: {self.reason}"
        if self.verdict == NOT_MET and self.misfit is not None:
            return f"{NOT_MET}: marked as a misfit of {100 * self.misfit:+.2f} %, which it no longer is"
        return self.verdict


# ---- how each example is worked out


def chisel_draft(A, B, C, texture_factor, speed, tools, depth):
    return {"draft": draft.draft_terms(A, B, C, texture_factor, tools, si(depth)).at(si(speed))}


def pto_power_by_multiplier(width, speed, draft_per_width, multiplier):
    pull = f"{si(draft_per_width) * si(width)} N"
    body = {"pulling": {"pull": pull, "speed": speed, "drawbar_per_pto": 1.0 / multiplier}}
    return {"pto_power": float(answer(POWER, body).pulling.pto)}


def pto_power(engine, ratio):
    return {"pto_power": power.pto_from_engine(si(engine), ratio)}


def power_on_concrete(engine, ratio):
    return {"drawbar_power": power.pto_from_engine(si(engine), ratio) * ratio}


def plow_power(specific_draft, bodies, body_width, depth, speed):
    pull = si(specific_draft) * bodies * si(body_width) * si(depth)
    return {"drawbar_power": power.drawbar_power(pull, si(speed))}


def power_by_width(draft_per_width, width, speed):
    return {"drawbar_power": power.drawbar_power(si(draft_per_width) * si(width), si(speed))}


def power_by_unit(draft_per_unit, units, speed):
    return {"drawbar_power": power.drawbar_power(si(draft_per_unit) * units, si(speed))}


def drawbar_power(draft, speed):
    return {"drawbar_power": power.drawbar_power(si(draft), si(speed))}


def specific_draft(bodies, body_width, depth, **given):
    # The coefficient A of a tool whose draft does not depend on speed [N per metre and centimetre].
    draft_at_unit = draft.draft_terms(1.0, 0.0, 0.0, 1.0, bodies * si(body_width), si(depth)).constant
    return {"specific_draft": draft.CM_PER_M * si(given["draft"]) / draft_at_unit}


DISPLACEMENT = 1e-4
"""Of a hydraulic motor without losses, which turns a shaft with all the power of its oil [m^3]; it cancels."""


def shaft_power(torque, rotation):
    flow = hydraulics.motor_flow(DISPLACEMENT, si(rotation), 1.0)
    return {"shaft_power": power.hydraulic_power(flow, hydraulics.motor_pressure(si(torque), DISPLACEMENT, 1.0))}


def shaft_torque(rotation, **given):
    pressure = si(given["power"]) / hydraulics.motor_flow(DISPLACEMENT, si(rotation), 1.0)
    return {"torque": pressure / hydraulics.motor_pressure(1.0, DISPLACEMENT, 1.0)}


def field_capacity(width, speed, efficiency):
    body = {"width": width, "speed": speed, "efficiency": efficiency}
    return {"effective": float(answer(FIELD_CAPACITY, body).capacity.effective)}


def capacity_from_time(speed, width, at_work, lost):
    # One pass as long as the time at work allows, and the time lost as a stop.
    length = si(speed) * si(at_work)
    efficiency = capacity.field_time(length, si(width), si(width), 0.0, si(speed), 0.0, si(lost)).efficiency
    body = {"width": width, "speed": speed, "efficiency": efficiency}
    found = answer(FIELD_CAPACITY, body).capacity
    return {"theoretical": float(found.theoretical), "efficiency": efficiency, "effective": float(found.effective)}


def plow_capacity(bodies, body_width, speed, efficiency):
    return field_capacity(f"{bodies * si(body_width)} m", speed, efficiency)


def average_fuel(rated_pto):
    body = {"power": {"rated_pto": rated_pto}, "equation": "annual-average-diesel"}
    return {"fuel": float(answer(FUEL, body).rate)}


def drawbar_work(rated_pto, full_drawbar, share, kept, equation):
    """Work at the drawbar for the fuel of a part load, if `kept` of the rated power does not fall with the pull."""
    load = kept + (1.0 - kept) * share
    rate = answer(FUEL, {"power": {"rated_pto": rated_pto}, "load_fraction": load, "equation": equation}).rate
    return {"energy_per_fuel": share * si(full_drawbar) / float(rate)}


def idling_fuel(rated_pto):
    return {"fuel": float(answer(FUEL, {"power": {"rated_pto": rated_pto}, "load_fraction": 0.0}).rate)}


def gee_clough(width, diameter, load, deflection_ratio, cone_index):
    found = traction.gee_clough(si(cone_index), si(width), si(diameter), si(load), deflection_ratio)
    return {
        "max_coefficient": found.max_coefficient,
        "rate_times_max": found.rate * found.max_coefficient,
        "rolling_resistance": found.rolling_resistance,
        "max_efficiency": found.efficiency(np.linspace(0.01, 0.6, 600)).max(),
    }


def wheel_numeric(cone_index, width, diameter, load):
    return {"wheel_numeric": traction.wheel_numeric(si(cone_index), si(width), si(diameter), si(load))}


def wismer_luth(wheel_numeric, load):
    ratio = traction.wismer_luth_motion_resistance_ratio(wheel_numeric)
    return {"ratio": ratio, "force": ratio * si(load)}


def slip_from_times(loaded, unloaded):
    return {"slip": slip.slip_from_times(si(loaded), si(unloaded))}


def slip_from_turns(loaded, unloaded):
    return {"slip": slip.slip_from_turns(loaded, np.array(unloaded))}


def level_loads(weight, front_share, wheelbase, pull_height):
    return axle_loads.axle_loads(weight, front_share, wheelbase, 1.0, pull_height, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0)


def lifting_pull(weight, ahead_of_rear, pull_height):
    # The example gives no wheelbase, and none is needed: it cancels.
    wheelbase = 2.5
    loads = level_loads(si(weight), si(ahead_of_rear) / wheelbase, wheelbase, si(pull_height))
    return {"lifting_pull": axle_loads.lifting_pull(loads)}


def center_of_mass(weight, wheelbase, front_load):
    over_front_axle = level_loads(si(weight), 1.0, si(wheelbase), 0.0).front(0.0)
    return {"ahead_of_rear": si(wheelbase) * si(front_load) / over_front_axle}


def front_load(weight, wheelbase, ahead_of_rear, pull, pull_height):
    loads = level_loads(si(weight), si(ahead_of_rear) / si(wheelbase), si(wheelbase), si(pull_height))
    return {"front_load": loads.front(si(pull))}


def weight_transfer(hitch, wheelbase, pull, machine):
    """What the rear axle gains under a pull, over the pull, with what the service takes where nothing is stated."""
    front_share, mass = 0.3, 5000.0
    body = {
        "tractor": {
            "drive": "two-wheel",
            "power": {"rated_pto": "60 kW"},
            "mass": f"{mass} kg",
            "front_share": front_share,
            "wheelbase": wheelbase,
            "tires": {"front": {"size": "11.00-16"}, "rear": {"size": "18.4-38"}},
        },
        "soil": {"texture": "medium", "surface": "firm"},
        "hitch": hitch,
        "pull": pull,
    }
    if machine != "0 kg":
        body["mass"] = machine
    rear = float(answer(TRACTION, body).axles.rear.load)
    return {"transfer": (rear - (1.0 - front_share) * mass * STANDARD_GRAVITY) / si(pull)}


def ballast(pto_power, band, front_share):
    """The guide of `/v1/ballast`, for a tractor that pulls at a speed of that band."""
    row = tables.MASS_PER_POWER.row(band)
    body = {
        "tractor": {"drive": "rubber-track", "power": {"rated_pto": pto_power}, "mass": "10 t"},
        "pull": {"force": "40 kN"},
        "soil": {"texture": "medium", "surface": "firm"},
        "speed": f"{0.5 * (row.speed_low_km_h + row.speed_high_km_h)} km/h",
    }
    mass = float(answer(BALLAST, body).guide.mass)
    return {"mass": mass, "front": front_share * mass, "rear": (1.0 - front_share) * mass}


BOUSSINESQ = 3.0
"""Concentration factor at which Froehlich's equations are Boussinesq's."""


def point_stress(load, depth, offset):
    return {"stress": soil_stress.point_load_stress(si(load), si(depth), si(offset), BOUSSINESQ)}


def stress_under_circle(pressure, radius, depth):
    return {"stress": soil_stress.circle_stress(si(pressure), si(radius), si(depth), BOUSSINESQ)}


def fluid_power(flow, pressure):
    oil = {"flow": f"{si(flow)!r} m3/s", "pressure": f"{si(pressure)!r} Pa"}
    tractor = {"pump": "fixed", "flow": "100 L/min", "pressure": "200 bar"}
    found = answer(HYDRAULICS, {"tractor": tractor, "functions": [{"steady": oil}]})
    return {"power": float(found.functions[0].power)}


def owned_work(machine, **work):
    """Cost of work in which one machine takes part, for an hour of whatever it works."""
    body = {
        "machines": [{"name": "it", "price": 80000, "years": 10, "resale": 0, **machine}],
        "terms": {"interest": 0},
        "work": {"capacity": "1 ha/h", **work},
    }
    return answer(COST, body)


def repairs_share(RF1, RF2, list_price, hours):
    machine = {"repair_factors": {"RF1": RF1, "RF2": RF2}, "price": list_price}
    found = owned_work(machine, hours=f"{si(hours) / 10} s")
    return {"share_of_list_price": 10 * float(found.machines[0].repairs.per_year) / list_price}


def remaining_share(years, annual_use, **given):
    machine = {"remaining_value": given["class"], "resale": None, "years": years, "practice": "tractor.two-wheel"}
    return {"share_of_list_price": float(owned_work(machine, hours=annual_use).machines[0].resale) / 80000}


def operating_cost(list_price, hours, repairs_share, fuel_price, pto_power, oil_share):
    # A straight line to so many repairs at the end of the hours: exponent 1.
    factors = {"RF1": repairs_share / (hours / 1000), "RF2": 1}
    rate = average_fuel(pto_power)["fuel"]
    found = owned_work(
        {"repair_factors": factors, "price": list_price},
        hours=f"{hours / 10} h",
        fuel={"rate": f"{rate!r} m3/s", "price": f"{fuel_price} money/gal", "oil_share": oil_share},
    )
    return {
        "repairs": float(found.machines[0].repairs.per_hour),
        "fuel_rate": rate,
        "fuel": float(found.fuel.per_hour),
        "oil": float(found.oil.per_hour),
    }


def labor_cost(wage, overhead):
    machine = {"repair_factors": {"RF1": 0, "RF2": 1}}
    found = owned_work(machine, hours="100 h", labor={"wage": f"{wage} money/h", "overhead": overhead})
    return {"labor": float(found.labor.per_hour)}


def exhaust(diesel):
    return {"carbon_dioxide": system.carbon_dioxide(si(diesel), tables.default("carbon_dioxide_per_diesel").value)}


def days_for_area(area, capacity, workday):
    body = dict(COMPLETION.example) | {
        "area": f"{si(area)} m2",
        "capacity": f"{si(capacity)} m2/s",
        "workday": f"{si(workday)} s",
        "time_lost": 0.0,
    }
    needed = answer(COMPLETION, body).days_needed
    return {"suitable_days": needed * si("1 day"), "area_a_day": si(area) / (needed * si("1 day"))}


def share_of_days(row):
    found = tables.SUITABLE_DAYS.row(row)
    return {"share": completion.suitability(found.mean_days, 1.0, found.calendar_days).share}


def days_expected(calendar_days, share):
    end = datetime.date(2027, 4, 22) + datetime.timedelta(days=calendar_days - 1)
    # A period of a hundred days says the same in whole days.
    body = dict(COMPLETION.example) | {
        "start": "2027-04-22",
        "end": end.isoformat(),
        "suitable": {"mean": 100.0 * share, "spread": 20.0, "period_days": 100},
    }
    return {"suitable_days": answer(COMPLETION, body).days_expected * si("1 day")}


WORKED = {
    "draft-01": chisel_draft,
    "power-01": pto_power_by_multiplier,
    "power-02": pto_power,
    "power-03": power_on_concrete,
    "power-04": plow_power,
    "power-05": power_by_width,
    "power-06": power_by_unit,
    "power-07": drawbar_power,
    "power-08": specific_draft,
    "power-09": shaft_power,
    "power-10": shaft_torque,
    "capacity-01": field_capacity,
    "capacity-02a": field_capacity,
    "capacity-02b": field_capacity,
    "capacity-02c": field_capacity,
    "capacity-03": capacity_from_time,
    "capacity-04": plow_capacity,
    "fuel-01": average_fuel,
    "fuel-02a": drawbar_work,
    "fuel-02b": drawbar_work,
    "fuel-02c": drawbar_work,
    "fuel-03": idling_fuel,
    "traction-01": gee_clough,
    "traction-02": wheel_numeric,
    "traction-03": wismer_luth,
    "traction-04": slip_from_times,
    "traction-05": slip_from_turns,
    "weight-01": lifting_pull,
    "weight-02": center_of_mass,
    "weight-03": front_load,
    "weight-04": ballast,
    "weight-05a": weight_transfer,
    "weight-05b": weight_transfer,
    "weight-05c": weight_transfer,
    "weight-06a": weight_transfer,
    "weight-06b": weight_transfer,
    "soil-01": point_stress,
    "soil-02": stress_under_circle,
    "hydraulic-01a": fluid_power,
    "hydraulic-01b": fluid_power,
    "window-01": days_for_area,
    "window-02": share_of_days,
    "window-03": days_expected,
    "cost-01": repairs_share,
    "cost-02": remaining_share,
    "cost-03": remaining_share,
    "cost-04": operating_cost,
    "cost-05": labor_cost,
    "exhaust-01": exhaust,
    "exhaust-02": exhaust,
    "exhaust-03": exhaust,
}
EXAMPLES = {example["id"]: example for example in toml("examples.toml")["example"]}


def example_checks(example):
    """Each printed figure of a worked example, checked."""
    found = WORKED[example["id"]](**example["inputs"])
    if found.keys() != example["published"].keys():
        raise ValueError(f"{example['id']} prints {list(example['published'])}, worked out are {list(found)}")
    return [
        Check(
            id=example["id"],
            topic=example["id"].partition("-")[0],
            quantity=quantity.replace("_", " "),
            source=example["source"],
            unit=text.partition(" ")[2],
            published=float(text.partition(" ")[0]),
            ours=float(ours / si(f"1 {text.partition(' ')[2]}")),
            # A hair for what floating point makes of a difference that is exactly the tolerance.
            allowed=example["tolerance"] + 1e-9,
            tolerance=f"{100 * example['tolerance']:g} %",
            misfit=example.get("off"),
            reason=example.get("off_because", ""),
        )
        for quantity, printed in example["published"].items()
        for text, ours in zip(
            printed if isinstance(printed, list) else [printed], np.atleast_1d(found[quantity]), strict=True
        )
    ]


with (DATA / "field_capacity.csv").open(encoding="utf-8", newline="") as file:
    CAPACITIES = list(csv.DictReader(file))


def capacity_check(row):
    """A row of the published tables of field capacity, checked to the digits it was printed with."""
    body = {
        "width": f"{row['width_ft']} ft",
        "speed": f"{row['speed_mph']} mph",
        "efficiency": f"{row['field_efficiency_percent']} %",
    }
    printed = row["published_acre_per_h"]
    half_digit = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    return Check(
        id=f"{row['machine']}, {row['size']}",
        topic="field capacity",
        quantity="effective",
        source=row["source"],
        unit="acre/hour",
        published=float(printed),
        ours=float(answer(FIELD_CAPACITY, body).capacity.effective) / si("1 acre/hour"),
        # A hair for a value that ends in 5.
        allowed=(half_digit + 1e-3) / float(printed),
        tolerance=f"{half_digit:g} acre/hour, half of the last digit",
    )


# ---- power and fuel by operation

OPERATIONS = toml("power_and_fuel_by_operation.toml")
NEAR = 0.30
"""Difference [1] within which a figure that names neither depth nor soil nor tractor is called near."""
FUEL_UNITS = {"fuel_gal_per_acre": "gal/acre", "fuel_L_per_ha": "L/ha"}


def within(printed, low, high):
    """Whether what a figure may have been before it was rounded to the digits it is printed with meets a range."""
    half_digit = 0.5 * 10.0 ** -len(str(printed).partition(".")[2])
    return low <= printed + half_digit and printed - half_digit <= high


class FieldFigure(NamedTuple):
    """A published figure of a field operation beside the answer of a match, in the printed unit."""

    check: Check
    low: float
    high: float
    """Ends of the range that the answer states."""
    draft_ends: float
    """High over low of the draft the answer states [1]."""
    ratio: float | None
    """Power by the drawbar/PTO ratio; None for fuel."""
    kind: str
    """primary tillage, other tillage, or light tillage and seeding."""
    held_back: bool
    """Whether the spread of the draft is scored on it; it is fitted on the others."""

    @property
    def inside(self):
        return self.check.covered


def _kind(operation):
    row = tables.draft_row(operation["tools"][0]["tool"])
    if row.group != "major-tillage":
        return "light tillage and seeding"
    return "primary tillage" if row.range >= PRIMARY_RANGE else "other tillage"


def _matched(operation):
    body = {
        "tractor": OPERATIONS["tractor"],
        "implement": {"hitch": "drawbar", "width": operation["width"], "tools": operation["tools"]},
        "soil": {"texture": "medium", "surface": operation["surface"]},
        "speed": operation["speed"],
    }
    return answer(MATCH, body)


def operation_figures(operation, held_back):
    """Power and fuel of a published operation, as far as they are printed."""
    found = _matched(operation)
    draft = found.draft.total

    def figure(topic, unit, printed, ours, per, ratio):
        middle, low, high = (float(one) / per for one in (ours, ours.low, ours.high))
        check = Check(
            id=operation["name"],
            topic=topic,
            quantity=topic,
            source=OPERATIONS["sources"][operation["source"]],
            unit=unit,
            published=printed,
            ours=middle,
            allowed=NEAR,
            tolerance=f"{100 * NEAR:g} %, or inside our range",
            covered=within(printed, low, high),
        )
        reason = operation.get(f"{topic}_off_because", "")
        if reason and check.verdict != MET:
            check = check._replace(misfit=check.off, reason=reason)
        return FieldFigure(check, low, high, draft.high / draft.low, ratio, _kind(operation), held_back)

    figures = []
    if "pto_hp_per_ft" in operation:
        per_foot = si("1 hp") * si(operation["width"]) / si("1 ft")
        quick = float(found.quick_check.pto_power) / per_foot
        power_needed = found.at_work.pto_power
        figures.append(figure("power", "hp/ft", operation["pto_hp_per_ft"], power_needed, per_foot, quick))
    for name, unit in FUEL_UNITS.items():
        if name in operation:
            per = si(f"1 {unit.replace('gal', 'gallon')}")
            figures.append(figure("fuel", unit, operation[name], found.fuel.per_area, per, None))
    return figures


def field_figures():
    """Power and fuel of every published operation, in the order of the data file.

    Of each source every second operation is held back: the spread of the draft is fitted without it.
    """
    figures, seen = [], dict.fromkeys(OPERATIONS["sources"], 0)
    for operation in OPERATIONS["operation"]:
        figures += operation_figures(operation, held_back=seen[operation["source"]] % 2 == 1)
        seen[operation["source"]] += 1
    return figures


PRINTED_POWER = [operation for operation in OPERATIONS["operation"] if "pto_hp_per_ft" in operation]


def fuel_of_printed_power(operation, turning_share):
    """Fuel over the published figure, less 1, from the published power: the fuel equations without ours of draft."""
    rated, found = si(OPERATIONS["tractor"]["power"]["rated_pto"]), _matched(operation).capacity
    load = operation["pto_hp_per_ft"] * si("1 hp") * si(operation["width"]) / si("1 ft") / rated
    efficiency = float(found.efficiency)
    mean = mean_over_working(efficiency, 1.0 - efficiency, 0.0, turning_share, 0.0)
    burnt = fuel_per_area(fuel_rate(min(load, 1.0), rated) * mean, float(found.effective))
    return burnt / si("1 gallon/acre") / operation["fuel_gal_per_acre"] - 1.0


def fuel_error_of_printed_power(turning_share=None):
    """Mean absolute error [1] of :func:`fuel_of_printed_power`; turns burn the default share if none is given."""
    share = tables.default("turning_fuel_share").value if turning_share is None else turning_share
    return float(np.mean([abs(fuel_of_printed_power(one, share)) for one in PRINTED_POWER]))


def guide_pull_over_weight(ground):
    """Pull over weight [1] by each row of the mass guide, for front-wheel assist, at middle or end of its speeds."""
    ratio = tables.drawbar_per_pto("front-wheel-assist", ground)
    found = []
    for row in tables.MASS_PER_POWER.rows.values():
        ends = [end for end in (row.speed_low_km_h, row.speed_high_km_h) if end is not None]
        pull = 1e3 * ratio / (sum(ends) / len(ends) / 3.6)
        found.append(pull / (row.mass_kg_per_kW * STANDARD_GRAVITY))
    return found


with (DATA / "operations_diesel_burial.csv").open(newline="", encoding="utf-8") as _file:
    RUSLE2 = {row["Operation"]: row for row in csv.DictReader(_file)}


# ---- ours: arithmetic and tire sizes

DERIVED = toml("derived.toml")
MODELS = {"bias": traction.BIAS, "radial": traction.RADIAL}


def wheel_values(wheel):
    """The ratios of a wheel by the equations, under the names of the data file."""
    model, mobility, s = MODELS[wheel["model"]], float(wheel["mobility"]), wheel["slip"]
    gross = traction.gross_traction_ratio(mobility, traction.gross_traction_ceiling(mobility, model), s, model)
    rolling = traction.motion_resistance_ratio(mobility, s, model)
    net = gross - rolling
    efficiency = traction.tractive_efficiency(gross, net, s)
    return {"gross": gross, "rolling": rolling, "net": net, "efficiency": efficiency}


def size_lengths(row):
    """The lengths [mm] a metric size defines, under the names of the data file."""
    size = tire.read_size(row["size"])
    lengths = {"width_mm": size.width, "section_height_mm": size.section_height, "diameter_mm": size.diameter}
    return {name: 1e3 * length for name, length in lengths.items()}


def inch_diameter(row):
    """The diameter [in] the service estimates for an inch size."""
    return tire.read_size(row["size"]).diameter / 0.0254
