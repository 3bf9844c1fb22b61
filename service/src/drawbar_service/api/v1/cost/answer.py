"""POST /v1/cost: what work costs with machines of one's own, against hire, and the width that costs least."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.cost.choices import (
    BestWidth,
    BestWidthAnswer,
    HireAnswer,
    WorkInSI,
    best_width,
    hire_or_own,
    width_choice,
)
from drawbar_service.api.v1.cost.ownership import (
    CostLine,
    MachineCost,
    MachineInSI,
    OwnedMachine,
    Terms,
    cost_line,
    machine_cost,
    machine_in_si,
    shares_in_si,
)
from drawbar_service.api.v1.cost.wear import WearComparison, compare, distinct_names
from drawbar_service.engine.cost import RunningCost, running_cost
from drawbar_service.quantities import (
    AnnualUse,
    Area,
    AreaRate,
    FuelPrice,
    FuelRate,
    HireRate,
    HourlyRate,
    Share,
    Time,
)

Workers = Annotated[int, Meta(ge=1, le=50)]
Measure: TypeAlias = Literal["area", "hours"]


class FuelUse(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Fuel of the work."""

    rate: Annotated[FuelRate, Meta(description="Fuel in an hour: `fuel.rate` of a match.", examples=["31 L/h"])]
    price: Annotated[FuelPrice, Meta(description="Price of the fuel.", examples=["1.20 money/L"])]
    oil_share: Annotated[Share | None, Meta(description="Oil and grease over the cost of fuel.", examples=["15 %"])] = (
        None
    )


class Labour(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Who does the work."""

    wage: Annotated[HourlyRate, Meta(description="Pay of one worker.", examples=["18 money/h"])]
    overhead: Annotated[Share | None, Meta(description="What comes on top of pay.", examples=["10 %"])] = None
    workers: Annotated[Workers, Meta(description="How many work at once.")] = 1


class YearsWork(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The work of a year. Give `area` or `hours`."""

    capacity: Annotated[
        AreaRate, Meta(description="Area in an hour: `capacity.effective` of a match.", examples=["2.4 ha/h"])
    ]
    area: Annotated[
        Area | None, Meta(description="Area in a year; an area worked twice counts twice.", examples=["210 ha"])
    ] = None
    hours: Annotated[AnnualUse | None, Meta(description="Hours in a year, in place of `area`.")] = None
    fuel: Annotated[FuelUse | None, Meta(description="Fuel; left out, none is counted.")] = None
    labour: Annotated[Labour | None, Meta(description="Labour; left out, none is counted.")] = None


class CostRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Machines, the terms they are owned on, and the work they do. Amounts are in one currency, yours."""

    machines: Annotated[
        list[OwnedMachine], Meta(min_length=1, max_length=20, description="All that take part: tractor and implement.")
    ]
    terms: Annotated[Terms, Meta(description="Interest, taxes, insurance and housing.")]
    work: Annotated[YearsWork, Meta(description="The work of a year.")]
    hire_rate: Annotated[
        HireRate | None,
        Meta(description="What it costs to have the work done, all included.", examples=["58 money/ha"]),
    ] = None
    best_width: Annotated[BestWidth | None, Meta(description="Asks for the width of a machine that costs least.")] = (
        None
    )


class CostAnswer(Answer, frozen=True, kw_only=True):
    """What the work costs, item by item, in today's money."""

    total: Annotated[CostLine, Meta(description="Everything.")]
    ownership: Annotated[CostLine, Meta(description="Capital recovery, taxes, insurance and housing of all machines.")]
    operating: Annotated[CostLine, Meta(description="Repairs, wearing parts, fuel, oil and labour.")]
    machines: Annotated[list[MachineCost], Meta(description="This work's share of each machine.")]
    fuel: Annotated[CostLine, Meta(description="Fuel.")]
    oil: Annotated[CostLine, Meta(description="Oil and grease.")]
    labour: Annotated[CostLine, Meta(description="Labour at work; changing of parts is with the parts.")]
    area: Annotated[Area, Meta(description="Worked in a year.")]
    hours: Annotated[Time, Meta(description="Of this work in a year.")]
    wearing: Annotated[list[WearComparison], Meta(description="Options for wearing parts, side by side.")]
    hire: Annotated[HireAnswer | None, Meta(description="Hire against own; null if no `hire_rate` was given.")]
    best_width: Annotated[BestWidthAnswer | None, Meta(description="Width of least cost; null if not asked for.")]
    about: AboutField


def compute(request: CostRequest, ledger: Ledger) -> CostAnswer:
    """Answer a cost request."""
    time, area = _year(request.work, ledger)
    capacity = float(request.work.capacity)
    running = _running_cost(request.work, ledger)
    shares = shares_in_si(request.terms, ledger)
    distinct_names([machine.name for machine in request.machines], "machine", "/machines", ledger)
    machines: list[MachineInSI] = []
    for index, machine in enumerate(request.machines):
        found = machine_in_si(machine, request.terms, shares, time, ledger, f"/machines/{index}")
        if found is not None:
            machines.append(found)
    wearing = _wearing(request, running, area, ledger)
    chosen = width_choice(request.best_width, request.machines, ledger) if request.best_width is not None else None
    ledger.stop_at_faults()
    ledger.use("derived")
    costs = [
        machine_cost(
            machine,
            sum(float(one.options[0].per_year) for one in wearing if one.machine == machine.name),
            time,
            area,
        )
        for machine in machines
    ]
    parts = sum(float(cost.parts.per_year) for cost in costs)
    repairs = sum(float(cost.repairs.per_year) for cost in costs)
    machinery = sum(float(cost.total.per_year) for cost in costs)
    at_work = float(running.total) * time
    work = WorkInSI(area=area, capacity=capacity, running=running, parts_per_area=parts / area)

    def line(per_year: float) -> CostLine:
        return cost_line(per_year, time, area)

    answer = CostAnswer(
        total=line(machinery + at_work),
        ownership=line(machinery - parts - repairs),
        operating=line(repairs + parts + at_work),
        machines=costs,
        fuel=line(float(running.fuel) * time),
        oil=line(float(running.oil) * time),
        labour=line(float(running.labour) * time),
        area=Area(area),
        hours=Time(time),
        wearing=wearing,
        hire=hire_or_own(float(request.hire_rate), machines, work, ledger) if request.hire_rate is not None else None,
        best_width=best_width(chosen, machines, work, ledger) if chosen is not None else None,
        about=ledger.about(),
    )
    ledger.stop_at_faults()
    return answer


def _year(work: YearsWork, ledger: Ledger) -> tuple[float, float]:
    """Return time [s] and area [m^2] of a year's work."""
    if (work.area is None) == (work.hours is None):
        ledger.fault("/work/area", "give area or hours of a year, one of the two")
        ledger.stop_at_faults()
    capacity = float(work.capacity)
    area = float(work.area) if work.area is not None else float(work.hours or 0.0) * capacity
    time = area / capacity
    if time > (AnnualUse.most or 0.0):
        ledger.fault(
            "/work/area",
            f"would take {ledger.say(Time(time))} at {ledger.say(work.capacity)}, more than a year has; "
            "give the area of one year, or a greater capacity",
        )
        ledger.stop_at_faults()
    return time, area


def _running_cost(work: YearsWork, ledger: Ledger) -> RunningCost:
    fuel, labour = work.fuel, work.labour
    oil_share = overhead = 0.0
    if fuel is not None:
        oil_share = ledger.fallback(fuel.oil_share, "/work/fuel/oil_share", "oil_share")
    if labour is not None:
        overhead = ledger.fallback(labour.overhead, "/work/labour/overhead", "labour_overhead")
    for name, given in (("fuel", fuel), ("labour", labour)):
        if given is None:
            ledger.warn("rough-estimate", f"/work/{name}", f"No {name} was given, and none is counted.")
    return running_cost(
        float(fuel.rate) if fuel is not None else 0.0,
        float(fuel.price) if fuel is not None else 0.0,
        oil_share,
        float(labour.wage) if labour is not None else 0.0,
        overhead,
        float(labour.workers) if labour is not None else 0.0,
    )


def _wearing(request: CostRequest, running: RunningCost, area: float, ledger: Ledger) -> list[WearComparison]:
    labour = request.work.labour
    # One person changes parts, however many drive.
    wage = float(running.labour) / labour.workers if labour is not None else None
    comparisons: list[WearComparison] = []
    for index, machine in enumerate(request.machines):
        pointer = f"/machines/{index}"
        for number, place in enumerate(machine.wearing):
            found = compare(
                machine.name, place, float(request.work.capacity), area, wage, ledger, f"{pointer}/wearing/{number}"
            )
            if found is not None:
                comparisons.append(found)
        if machine.wearing and machine.practice is not None:
            ledger.warn(
                "rough-estimate",
                f"{pointer}/practice",
                "The table's repairs may hold some of these wearing parts already; repair_factors of your own, without "
                "parts, would not count them twice.",
            )
    return comparisons


COST = Calculation(
    name="cost",
    request=CostRequest,
    answer=CostAnswer,
    compute=compute,
    summary="What work costs: own, hire, parts, width",
    description=(
        "Ownership (capital recovery, taxes, insurance, housing), repairs by hours, wearing parts, fuel, oil and "
        "labour by year, hour and area, after ASAE EP496 and D497. Fuel rate and field capacity may come from a match: "
        "its `fuel.rate` and `capacity.effective`. A machine that does other work too carries its share by hours. "
        "Interest is real and all prices are of today, so that all costs are in today's money. Also: options for "
        "wearing parts side by side, hire against own with the area at which they break even, and the width that costs "
        "least."
    ),
    example={
        "terms": {"interest": "4 %"},
        "machines": [
            {
                "name": "tractor",
                "price": 168000,
                "remaining_value": "tractor.over-112-kw",
                "practice": "tractor.four-wheel",
                "years": 12,
                "annual_use": "520 h",
            },
            {
                "name": "chisel plow",
                "price": 39000,
                "remaining_value": "tillage",
                "practice": "chisel-plow",
                "years": 12,
                "width": "4 m",
                "wearing": [
                    {
                        "name": "shank points",
                        "count": 11,
                        "options": [
                            {
                                "name": "twisted shovel",
                                "price": 24,
                                "life": "140 ha",
                                "point": "twisted-shovel-10cm",
                                "change_time": "6 min",
                            },
                            {"name": "wing point", "price": 48, "point": "wing-point", "change_time": "6 min"},
                        ],
                    }
                ],
            },
        ],
        "work": {
            "capacity": "2.4 ha/h",
            "area": "260 ha",
            "fuel": {"rate": "31 L/h", "price": "1.20 money/L"},
            "labour": {"wage": "18 money/h"},
        },
        "hire_rate": "74 money/ha",
        "best_width": {"machine": "chisel plow", "delay_cost": "40 money/h"},
    },
    columns=(
        "/total/per_year",
        "/total/per_hour",
        "/total/per_area",
        "/ownership/per_year",
        "/operating/per_year",
        "/area",
        "/hours",
    ),
)
