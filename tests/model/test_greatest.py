"""The greatest speed, width and depth of a match, put back as a request: it fits, and a little more does not.

Limits are read off the answer to the request put back, not off the search, so a limit that the search does not know
fails here, whatever it is called. DEVELOPERS.md says what a new limit needs.
"""

import copy
from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drawbar_service.api.shared.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.model.findings import Findings
from drawbar_service.model.greatest import (
    GREATEST_DEPTH,
    LEAST_DEPTH,
    MOST_TIMES_WIDER,
    Greatest,
    heavy_case,
    speed_ends,
)
from drawbar_service.model.limits import LIMITS, OF_THE_TOOL, LimitName, is_kept, name_of
from drawbar_service.model.match import Case, Worked, resolve, work_out
from drawbar_service.model.matched import ANYTHING, matched
from drawbar_service.quantities import decode_quantity
from drawbar_service.reference import DRAFT

A_LITTLE_MORE = 1.01
NEAR = 1e-5
"""Margin [1] at which a limit counts as met, and two limits as level."""

DOWNHILL = ("pushing", "braking", "front-raised")
"""Limits that less pull does not mend: beyond them nothing fits, and no search ends just before them."""


def read(body: Mapping[str, Any]) -> MatchRequest:
    return msgspec.convert(body, MatchRequest, dec_hook=decode_quantity)


Judged = Callable[[Case], Case]
"""At which draft a match is judged: the central one, or the one it has to bear to hold as often as asked."""


def central_case(case: Case) -> Case:
    return case


def worked_out(request: MatchRequest, judged: Judged) -> Worked:
    assert request.speed is not None
    return work_out(judged(resolve(request, Findings())), request.speed, Findings())


class Found(NamedTuple):
    """The greatest of one thing, and how to put another value of it back."""

    greatest: Greatest
    value: float
    """The greatest: a speed [m/s], a share of the width [1], a depth [m]. Where nothing fits, the low end."""
    more: float
    """The next greater: 1 % more, or one more tool."""
    end: float
    """Where the search ends by itself."""
    at: Callable[[float], Worked]
    as_asked: frozenset[str]
    """Limits of what is not varied here: they may have been exceeded before."""

    @property
    def stopped_by(self) -> LimitName:
        return name_of(self.greatest.stopped_by)

    @property
    def in_whole_tools(self) -> bool:
        return not np.isnan(self.greatest.whole_tools)


def searches(request: MatchRequest) -> Iterator[Found]:
    case = resolve(request, Findings())
    greatest = matched(case, ANYTHING, Findings()).greatest
    for far, found in (
        (greatest.speed, speed_found),
        (greatest.width, width_found),
        (greatest.depth, depth_found),
    ):
        if far is not None:
            yield found(request, case, far.central, central_case)
            # What runs away downhill does so with less draft, which is another case still.
            if name_of(far.holding.stopped_by) not in DOWNHILL:
                yield found(request, case, far.holding, heavy_case)


def speed_found(request: MatchRequest, case: Case, greatest: Greatest, judged: Judged) -> Found:
    low, high = speed_ends(case)
    value = greatest.value if greatest.fits else low
    slow = frozenset[str]() if greatest.within_tool_range else frozenset({"tool-speed"})

    def at(speed: float) -> Worked:
        return worked_out(msgspec.structs.replace(request, speed=speed), judged)

    return Found(greatest, value, A_LITTLE_MORE * value, high, at, slow | {"tool-depth"})


def width_found(request: MatchRequest, case: Case, greatest: Greatest, judged: Judged) -> Found:
    amount, counted = case.drafts[int(greatest.tool)].amount, not np.isnan(greatest.whole_tools)
    value = greatest.value / case.width if greatest.fits else (1.0 / amount if counted else 0.01)
    more = value + 1.0 / amount if counted else A_LITTLE_MORE * value

    def at(share: float) -> Worked:
        tools = [
            msgspec.structs.replace(
                tool,
                count=None if tool.count is None else share * tool.count,
                width=None if tool.width is None else share * tool.width,
            )
            for tool in request.implement.tools
        ]
        implement = msgspec.structs.replace(request.implement, tools=tools)
        return worked_out(msgspec.structs.replace(request, implement=implement, speed=greatest.at_speed), judged)

    return Found(greatest, value, more, MOST_TIMES_WIDER, at, frozenset({"tool-depth"}))


def depth_found(request: MatchRequest, case: Case, greatest: Greatest, judged: Judged) -> Found:
    low, high = case.depths or (LEAST_DEPTH, GREATEST_DEPTH)
    value = greatest.value if greatest.fits else low

    def at(depth: float) -> Worked:
        tools = list(request.implement.tools)
        tools[int(greatest.tool)] = msgspec.structs.replace(tools[int(greatest.tool)], depth=depth)
        implement = msgspec.structs.replace(request.implement, tools=tools)
        return worked_out(msgspec.structs.replace(request, implement=implement, speed=greatest.at_speed), judged)

    # Where another tool pulls hardest at that depth, the ranges are those of another kind of machine.
    there = at(value)
    another = there.depth != value or there.case.practice != case.practice
    as_asked = frozenset(OF_THE_TOOL) if another else frozenset[str]()
    return Found(greatest, value, A_LITTLE_MORE * value, high, at, as_asked)


def exceeded(worked: Worked) -> set[str]:
    return {name for name in worked.left if not is_kept(name, worked.left)}


def check(found: Found) -> None:
    """Put the greatest back, and a little more than it."""
    there, stopped_by = found.at(found.value), found.stopped_by
    if not found.greatest.fits:
        assert stopped_by in exceeded(there)
        return
    assert exceeded(there) <= found.as_asked
    if stopped_by in {"search-end", *found.as_asked}:
        assert found.value == pytest.approx(found.end, rel=1e-9)
        return
    assert stopped_by in exceeded(found.at(found.more))
    if not found.in_whole_tools:
        assert abs(there.left[stopped_by]) <= NEAR
        least = min(margin for name, margin in there.left.items() if name not in found.as_asked)
        assert there.left[stopped_by] <= least + NEAR


# ---- drawn matches

TIRES = {
    "two-wheel": ({"size": "10.00-16"}, {"size": "18.4R38"}),
    "front-wheel-assist": ({"size": "540/65R30"}, {"size": "650/65R42"}),
    "four-wheel": ({"size": "710/70R42", "count": 4}, {"size": "710/70R42", "count": 4}),
}


def si(unit: str, low: float, high: float) -> st.SearchStrategy[dict[str, Any]]:
    return st.floats(low, high).map(lambda value: {"value": value, "unit": unit})


def some(**members: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Any of these members."""
    return st.fixed_dictionaries({}, optional=members)


def pairs(unit: str, low: float, high: float) -> st.SearchStrategy[list[dict[str, Any]]]:
    return st.lists(si(unit, low, high), min_size=2, max_size=2).map(
        lambda pair: sorted(pair, key=lambda one: one["value"])
    )


@st.composite
def tractors(draw: st.DrawFn) -> dict[str, Any]:
    drive = draw(st.sampled_from([*TIRES, "rubber-track"]))
    power = draw(st.floats(30.0, 300.0))
    tractor = {
        "drive": drive,
        "power": {"rated_pto": f"{power!r} kW"},
        "mass": f"{draw(st.floats(35.0, 110.0)) * power!r} kg",
        **draw(some(front_share=si("1", 0.2, 0.6), transmission_efficiency=si("1", 0.8, 1.0))),
    }
    if drive in TIRES:
        front, rear = TIRES[drive]
        tractor |= {"wheelbase": draw(si("m", 2.2, 3.6)), "tires": {"front": front, "rear": rear}}
        tractor |= draw(some(front_lead=si("1", 0.0, 0.05), rear_follows_front=st.booleans()))
    return tractor


@st.composite
def tools(draw: st.DrawFn) -> dict[str, Any]:
    row = DRAFT.rows[draw(st.sampled_from(sorted(DRAFT.rows)))]
    count, spacing = draw(st.integers(1, 24)), draw(st.floats(0.2, 0.8))
    tool: dict[str, Any] = {"tool": row.id, "width": {"value": count * spacing, "unit": "m"}}
    if row.counted_in != "m":
        tool["count"] = count
    if row.depth_counts:
        tool["depth"] = draw(si("m", 0.03, 0.4))
    return tool


IMPLEMENTS = st.builds(
    lambda needed, more: needed | more,
    st.fixed_dictionaries(
        {
            "hitch": st.sampled_from(["drawbar", "semi-mounted", "three-point"]),
            "tools": st.lists(tools(), min_size=1, max_size=2),
            "mass": si("kg", 200.0, 6000.0),
        }
    ),
    some(
        draft_multiplier=si("1", 0.5, 2.0),
        speed_range=pairs("m/s", 0.8, 4.0),
        depth_range=pairs("m", 0.03, 0.4),
        vertical_load=si("N", 0.0, 8000.0),
        pull_height=si("m", 0.3, 0.9),
        rotary=st.just([{"machine": "mower.disk", "width": "2 m"}]),
        hydraulic=st.lists(
            st.fixed_dictionaries({"flow": si("L/min", 5.0, 80.0), "pressure": si("bar", 20.0, 200.0)}), max_size=2
        ),
        electric=si("kW", 0.0, 20.0),
    ),
)
SOILS = st.builds(
    lambda needed, more: needed | more,
    st.fixed_dictionaries(
        {
            "texture": st.sampled_from(["fine", "medium", "coarse"]),
            "surface": st.sampled_from(["hard", "firm", "tilled", "soft"]),
        }
    ),
    some(cone_index=si("kPa", 200.0, 2500.0)),
)
REQUESTS = st.fixed_dictionaries(
    {
        "tractor": tractors(),
        "implement": IMPLEMENTS,
        "soil": SOILS,
        "field": some(slope=si("1", -0.15, 0.2)),
        "speed": si("m/s", 0.5, 4.0),
        "limits": some(slip=si("1", 0.03, 0.6), power_reserve=si("1", 0.0, 0.5), front_share=si("1", 0.01, 0.4)),
    }
)


@settings(max_examples=4 * settings.default.max_examples)
@given(REQUESTS)
def test_the_greatest_put_back_fits_and_a_little_more_does_not(body: dict[str, Any]) -> None:
    for found in searches(read(body)):
        check(found)


@given(REQUESTS)
def test_without_a_speed_the_limit_that_binds_is_the_one_that_ends_the_search(body: dict[str, Any]) -> None:
    del body["speed"]
    answer = matched(resolve(read(body), Findings()), ["speed"], Findings())
    assert answer.greatest.speed is not None
    central, holding = answer.greatest.speed
    taken = holding if holding.fits and holding.within_tool_range else central
    if taken.fits and not exceeded(answer.worked) and name_of(taken.stopped_by) in answer.worked.left:
        assert name_of(answer.binds) == name_of(taken.stopped_by)


# ---- every limit

EXAMPLE: Mapping[str, Any] = {
    "tractor": EXAMPLE_TRACTOR,
    "implement": EXAMPLE_IMPLEMENT,
    "soil": {"texture": "medium", "surface": "firm"},
    "speed": "8 km/h",
}
CHISEL = "chisel-plow.twisted-shovel-10cm"
ENDED_BY: Mapping[str, Mapping[str, Any]] = {
    "power": {"/tractor/power": {"rated_pto": "90 kW"}},
    "slip": {"/limits": {"slip": "6 %"}},
    "pull": {
        "/soil": {"texture": "medium", "surface": "soft", "cone_index": "400 kPa"},
        "/limits": {"slip": "60 %", "front_share": "1 %"},
        "/tractor/front_share": "50 %",
        "/tractor/power": {"rated_pto": "400 kW"},
    },
    "front-axle": {"/tractor/front_share": "25 %", "/tractor/power": {"rated_pto": "250 kW"}},
    "tool-speed": {"/tractor/power": {"rated_pto": "250 kW"}},
    "tool-depth": {"/implement/depth_range": ["5 cm", "20 cm"], "/tractor/power": {"rated_pto": "250 kW"}},
    "pushing": {"/field": {"slope": "25 %"}, "/implement/mass": "15 t"},
    "braking": {
        "/field": {"slope": "20 %"},
        "/implement": {
            "hitch": "drawbar",
            "mass": "300 kg",
            "tools": [{"tool": CHISEL, "count": 2, "spacing": "36 cm", "depth": "5 cm"}],
        },
        "/limits": {"slip": "1 %", "front_share": "1 %"},
    },
    "front-raised": {"/implement/hitch": "three-point", "/implement/mass": "7 t"},
    "search-end": {
        "/implement/tools": [
            {"tool": "chisel-plow.twisted-shovel-10cm", "count": 2, "spacing": "36 cm", "depth": "18 cm"}
        ],
        "/tractor/power": {"rated_pto": "400 kW"},
        "/tractor/mass": "18 t",
    },
}
"""For each limit, a change to the example after which a search ends at it."""


def changed(changes: Mapping[str, Any]) -> dict[str, Any]:
    body = copy.deepcopy(dict(EXAMPLE))
    for pointer, value in changes.items():
        place: Any = body
        *path, last = [int(part) if part.isdigit() else part for part in pointer[1:].split("/")]
        for part in path:
            place = place[part]
        place[last] = value
    return body


def test_every_limit_has_a_case_that_it_ends() -> None:
    assert ENDED_BY.keys() == set(LIMITS)


@pytest.mark.parametrize("name", ENDED_BY)
def test_every_limit_ends_a_search_somewhere(name: str) -> None:
    ended = [found for found in searches(read(changed(ENDED_BY[name]))) if found.stopped_by == name]
    assert ended
    assert any(found.greatest.fits for found in ended) or name in DOWNHILL
    for found in ended:
        check(found)
