"""Plans against what can be told by hand, by another method, or by trying everything."""

import itertools
import time
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment, linprog
from tests.searching import one_in

from drawbar_service.engine import season_plan
from drawbar_service.engine.season import (
    Choices,
    Crew,
    Machines,
    Orders,
    Season,
    Tasks,
    days_late,
    days_there,
)
from drawbar_service.engine.season_plan import plan, relaxed
from drawbar_service.engine.season_program import program_of

DAY = 10 * 3600.0
HECTARE = 1e4
ALWAYS = 10**6
SECONDS = 20.0


def whole(numbers):
    return np.array(numbers, dtype=np.intp)


def machines(count, last=ALWAYS):
    return Machines(whole([0] * count), whole([last] * count), whole([1] * count))


def season(areas, choices, *, periods, due=None, opens=None, weight=None, orders=(), tractors, implements, crew=None):
    """A season of whole days of ten hours; a choice is (task, tractor, implement, hectares a day, money a day)."""
    count = len(areas)
    columns = list(zip(*choices, strict=True))
    return Season(
        Tasks(
            np.array(areas) * HECTARE,
            np.ones(count) if weight is None else np.array(weight, dtype=float),
            whole([0] * count if opens is None else opens),
            whole([periods - 1] * count if due is None else due),
        ),
        Choices(
            *(whole(column) for column in columns[:3]),
            np.array(columns[3]) * HECTARE / DAY,
            np.array(columns[4]) / DAY,
        ),
        Orders(*(whole([order[column] for order in orders]) for column in range(3))),
        machines(tractors),
        machines(implements),
        Crew(np.full(crew if crew is not None else tractors, DAY), np.zeros(crew if crew is not None else tractors)),
        DAY,
        1,
        periods,
    )


def test_the_cheapest_assignment_of_machines_is_found():
    """Three tractors, three implements, a day's work each: the assignment problem, solved by the Hungarian method."""
    cost = np.array([[90.0, 75.0, 80.0], [35.0, 85.0, 55.0], [125.0, 95.0, 90.0]])
    choices = [(job, tractor, job, 10.0, cost[tractor, job]) for job, tractor in itertools.product(range(3), range(3))]
    made = plan(season([10.0] * 3, choices, periods=1, tractors=3, implements=3), SECONDS)
    rows, columns = linear_sum_assignment(cost)
    assert made.lateness == pytest.approx(0.0, abs=1e-3)
    assert made.cost == pytest.approx(cost[rows, columns].sum(), rel=2e-3)
    assert made.cost == pytest.approx(75.0 + 35.0 + 90.0, rel=2e-3)


def test_two_fields_one_tractor_by_hand():
    """10 ha a day: 15 ha due on the first day and 5 ha due on the second; 5 ha are a day late, whichever waits."""
    made = plan(
        season(
            [15.0, 5.0], [(0, 0, 0, 10.0, 1.0), (1, 0, 0, 10.0, 1.0)], periods=3, due=[0, 1], tractors=1, implements=1
        ),
        SECONDS,
    )
    assert made.lateness / HECTARE == pytest.approx(5.0, rel=1e-3)
    assert made.cost == pytest.approx(2.0, rel=1e-6)


def test_the_dearer_field_goes_first():
    made = plan(
        season(
            [10.0, 10.0],
            [(0, 0, 0, 10.0, 1.0), (1, 0, 0, 10.0, 1.0)],
            periods=2,
            due=[0, 0],
            weight=[1.0, 3.0],
            tractors=1,
            implements=1,
        ),
        SECONDS,
    )
    assert made.done == pytest.approx(np.array([[0.0, 1.0], [1.0, 0.0]]), abs=1e-3)
    assert made.lateness / HECTARE == pytest.approx(10.0, rel=1e-3)


UNIT_JOBS = st.lists(st.tuples(st.integers(0, 3), st.integers(1, 9)), min_size=2, max_size=6)


@given(UNIT_JOBS, st.integers(1, 2))
@one_in(3)
def test_jobs_of_a_day_are_put_in_the_order_of_least_weighted_lateness(jobs, tractors):
    """A day each for any tractor: an assignment of jobs to places, which another method solves."""
    periods = 6
    choices = [(job, tractor, tractor, 10.0, 0.0) for job in range(len(jobs)) for tractor in range(tractors)]
    made = plan(
        season(
            [10.0] * len(jobs),
            choices,
            periods=periods,
            due=[due for due, _ in jobs],
            weight=[weight for _, weight in jobs],
            tractors=tractors,
            implements=tractors,
        ),
        SECONDS,
    )
    late = np.array(
        [[weight * max(day - due, 0) for day in range(periods) for _ in range(tractors)] for due, weight in jobs]
    )
    rows, columns = linear_sum_assignment(late)
    # The plan may be late by a thousandth where that costs less.
    assert made.lateness / (10.0 * HECTARE) == pytest.approx(late[rows, columns].sum(), rel=2e-3, abs=1e-2)


@st.composite
def tiny_seasons(draw):
    """Two tractors, two implements, two or three days: few enough pairs to try every way to send them out."""
    periods = draw(st.integers(2, 3))
    tasks = draw(st.integers(1, 3))
    rate = st.integers(3, 12)
    choices = [
        (task, tractor, implement, float(draw(rate)), float(draw(rate)))
        for task, tractor, implement in itertools.product(range(tasks), range(2), range(2))
        if draw(st.integers(0, 3)) > 0
    ] or [(0, 0, 0, 10.0, 5.0)]
    return season(
        [float(draw(st.integers(4, 20))) for _ in range(tasks)],
        choices,
        periods=periods,
        due=[draw(st.integers(0, periods - 1)) for _ in range(tasks)],
        opens=[draw(st.integers(0, 1)) for _ in range(tasks)],
        weight=[float(draw(st.integers(1, 3))) for _ in range(tasks)],
        orders=[(0, 1, draw(st.integers(0, 1)))] if tasks > 1 and draw(st.booleans()) else (),
        tractors=2,
        implements=2,
        crew=draw(st.integers(1, 2)),
    )


def least_by_trying_everything(given_season):
    """The least lateness over every way to send pairs out, each a linear program."""
    program = program_of(given_season)
    y_at, w_at, *_ = program.starts
    pairs = np.unique(np.column_stack([given_season.choices.tractor, given_season.choices.implement]), axis=0)
    # What can go out on one day: no tractor and no implement twice; more is never worse than less.
    days = [
        sent
        for sent in itertools.product((0.0, 1.0), repeat=len(pairs))
        if all(len(set(pairs[np.array(sent) > 0, side])) == int(sum(sent)) for side in (0, 1))
    ]
    largest = [a for a in days if not any(b != a and all(x >= y for x, y in zip(b, a, strict=True)) for b in days)]
    same = program.low == program.high
    best = np.inf
    for sent in itertools.product(largest, repeat=given_season.periods):
        most, least = program.most.copy(), program.least.copy()
        most[y_at:w_at] = least[y_at:w_at] = np.array(sent).T.ravel()
        answer = linprog(
            program.late,
            A_ub=program.matrix[~same],
            b_ub=program.high[~same],
            A_eq=program.matrix[same],
            b_eq=program.high[same],
            bounds=np.column_stack([least, most]),
        )
        best = min(best, answer.fun)
    return best


@given(tiny_seasons())
@one_in(3)
def test_no_way_to_send_pairs_out_is_less_late(given_season):
    made = plan(given_season, SECONDS)
    least = least_by_trying_everything(given_season)
    assert made.lateness == pytest.approx(least, rel=2e-3, abs=2e-3 * HECTARE)
    assert relaxed(given_season).lateness <= least + 1e-3 * HECTARE
    if least > HECTARE:
        assert made.lateness_gap <= 1e-3


def check(given_season, made):
    """Everything a plan must keep."""
    choices, tasks = given_season.choices, given_season.tasks
    hours = 1e-3
    for machine, side in ((given_season.tractors, choices.tractor), (given_season.implements, choices.implement)):
        there = days_there(machine, given_season.step, given_season.periods) * given_season.day_time
        for number in range(len(machine.number)):
            assert (made.time[side == number].sum(axis=0) <= there[number] + hours * DAY).all()
    for tractor in range(len(given_season.tractors.number)):
        mine = choices.tractor == tractor
        for period in range(given_season.periods):
            busy = set(choices.implement[mine & (made.time[:, period] > hours * DAY)])
            assert len(busy) <= given_season.step
    assert (made.crew <= given_season.crew.time[:, np.newaxis] * given_season.step + hours * DAY).all()
    assert made.crew.sum(axis=0) == pytest.approx(made.time.sum(axis=0), abs=hours * DAY)
    done = np.zeros_like(made.done)
    np.add.at(done, choices.task, (choices.rate / tasks.area[choices.task])[:, np.newaxis] * made.time)
    assert made.done == pytest.approx(done, abs=1e-6)
    assert (done.sum(axis=1) <= 1.0 + 1e-3).all()
    so_far = np.cumsum(done, axis=1)
    for first, then, rest in zip(*given_season.orders, strict=True):
        for period in range(given_season.periods):
            before = (period * given_season.step - rest) // given_season.step - 1
            assert so_far[then, period] <= (so_far[first, before] if before >= 0 else 0.0) + 1e-3
    for task, opens in enumerate(tasks.opens):
        closed = [period for period in range(given_season.periods) if (period + 1) * given_season.step <= opens]
        assert (done[task, closed] == 0.0).all()


def farm(seed, *, tractors=4, implements=6, fields=12, days=25, pace=1.0, step=1):
    """A farm of random fields, each to be worked and then sown."""
    random = np.random.default_rng(seed)
    tasks = 2 * fields
    areas = np.tile(random.uniform(8.0, 30.0, fields), 2)
    half = implements // 2
    choices = [
        (task, tractor, implement, pace * random.uniform(8.0, 22.0), random.uniform(100.0, 300.0))
        for task in range(tasks)
        for implement in (range(half) if task < fields else range(half, implements))
        for tractor in range(tractors)
        if random.random() < 0.7
    ]
    made = season(
        areas,
        choices,
        periods=days,
        due=[days - 1 - int(late) for late in random.integers(0, 6, tasks)],
        opens=list(np.tile(random.integers(0, 8, fields), 2)),
        orders=[(field, fields + field, 1) for field in range(fields)],
        tractors=tractors,
        implements=implements,
        crew=tractors - 1,
    )
    return made._replace(step=step, periods=-(-days // step))


@pytest.mark.parametrize(("seed", "pace", "step"), [(1, 1.0, 1), (2, 0.35, 1), (3, 0.5, 3)])
def test_orders_hours_and_days_are_kept(seed, pace, step):
    given_season = farm(seed, tractors=2, implements=4, fields=4, days=12, pace=pace, step=step)
    check(given_season, plan(given_season, 6.0))


def test_a_farm_is_planned_in_a_few_seconds():
    """4 tractors, 6 implements, 12 fields, 24 tasks, 25 days."""
    given_season = farm(0)
    begun = time.perf_counter()
    made = plan(given_season, 8.0)
    # Each search that follows one which used up the time has a little of its own.
    assert time.perf_counter() - begun < 16.0
    check(given_season, made)
    assert made.lateness == pytest.approx(0.0, abs=HECTARE * 1e-2)
    assert made.undone.max() == 0.0


@given(tiny_seasons())
@one_in(3)
def test_another_tractor_never_makes_it_later(given_season):
    more = given_season._replace(tractors=given_season.tractors._replace(number=given_season.tractors.number + 1))
    before, after = plan(given_season, SECONDS).lateness, plan(more, SECONDS).lateness
    assert after <= before * 1.002 + 1e-2 * HECTARE
    assert relaxed(more).lateness <= relaxed(given_season).lateness + 1e-3 * HECTARE


def test_the_slope_says_what_a_little_more_saves():
    """One tractor, three days of work due on the first: lateness 1 x 10 + 2 x 10 ha days."""
    scarce = season([30.0], [(0, 0, 0, 10.0, 1.0)], periods=4, due=[0], tractors=1, implements=1, crew=2)
    found = relaxed(scarce)
    assert found.lateness / HECTARE == pytest.approx(30.0, rel=1e-6)
    faster = scarce._replace(day_time=1.01 * DAY, crew=scarce.crew._replace(time=1.01 * scarce.crew.time))
    saved = found.lateness - relaxed(faster).lateness
    assert found.tractors[0] + found.implements[0] == pytest.approx(saved / 0.01, rel=0.05)


def test_what_cannot_be_done_in_the_window_is_left_undone_and_counted():
    made = plan(season([25.0], [(0, 0, 0, 10.0, 1.0)], periods=2, tractors=1, implements=1), SECONDS)
    assert made.undone == pytest.approx([0.2], abs=1e-3)
    assert made.lateness / HECTARE == pytest.approx(5.0, rel=1e-2)


def test_a_plan_is_the_same_every_time():
    first, second = (plan(farm(4, tractors=2, implements=4, fields=3, days=8), SECONDS) for _ in range(2))
    assert (first.time == second.time).all()


def test_days_late_of_a_long_period_are_those_on_which_the_field_is_open():
    given_season = farm(1, days=9, step=3)
    tasks = given_season.tasks._replace(
        opens=np.full_like(given_season.tasks.opens, 1), due=np.full_like(given_season.tasks.due, 4)
    )
    late = days_late(given_season._replace(tasks=tasks))
    assert late[0] == pytest.approx([0.0, 1.0 / 3.0, (2.0 + 3.0 + 4.0) / 3.0, 5.0])


# ---- one rule of the program at a time, by hand


def two_in_a_row(rest, *, areas=(10.0, 10.0), periods=6, step=1):
    """Two fields due on the first day, each with a tractor, an implement and an operator; the second waits."""
    choices = [(0, 0, 0, 10.0, 1.0), (1, 1, 1, 10.0, 1.0)]
    made = season(list(areas), choices, periods=periods, due=[0, 0], orders=[(0, 1, rest)], tractors=2, implements=2)
    return made._replace(step=step)


@pytest.mark.parametrize(("rest", "day"), [(0, 1), (1, 2), (3, 4)])
def test_the_second_task_follows_on_the_day_after_the_rest(rest, day):
    made = plan(two_in_a_row(rest), SECONDS)
    assert made.done[0] == pytest.approx([1.0] + 5 * [0.0], abs=1e-3)
    assert made.done[1, day] == pytest.approx(1.0, abs=1e-2)
    assert made.lateness / HECTARE == pytest.approx(10.0 * day, rel=2e-3)


@pytest.mark.parametrize(("rest", "period"), [(0, 1), (1, 2), (3, 2), (4, 3)])
def test_a_rest_counts_in_days_where_periods_are_longer(rest, period):
    made = plan(two_in_a_row(rest, periods=5, step=3), SECONDS)
    assert made.done[1] == pytest.approx([float(at == period) for at in range(5)], abs=1e-2)


def test_the_second_task_follows_share_by_share():
    made = plan(two_in_a_row(0, areas=(20.0, 20.0), periods=4), SECONDS)
    assert made.done == pytest.approx(np.array([[0.5, 0.5, 0.0, 0.0], [0.0, 0.5, 0.5, 0.0]]), abs=1e-2)


def test_a_task_that_waits_beyond_the_last_day_is_left_undone():
    assert plan(two_in_a_row(4), SECONDS).undone == pytest.approx([0.0, 0.0], abs=1e-3)
    assert plan(two_in_a_row(5), SECONDS).undone == pytest.approx([0.0, 1.0], abs=1e-3)


def test_a_period_of_days_holds_the_work_of_its_days():
    """20 ha in one period of two days, with 20 hours of machine and operator."""
    made = plan(
        season([20.0], [(0, 0, 0, 10.0, 3.0)], periods=2, due=[1], tractors=1, implements=1)._replace(step=2), SECONDS
    )
    assert made.time == pytest.approx(np.array([[2 * DAY, 0.0]]), rel=1e-3)
    assert made.crew == pytest.approx(np.array([[2 * DAY, 0.0]]), rel=1e-3)
    assert made.cost == pytest.approx(6.0, rel=1e-6)


def side_by_side(**changes):
    """20 ha that two tractors with an implement each do on one day, if nothing hinders them."""
    given_season = season(
        [20.0], [(0, 0, 0, 10.0, 1.0), (0, 1, 1, 10.0, 1.0)], periods=3, due=[0], tractors=2, implements=2
    )
    return plan(given_season._replace(**changes), SECONDS)


def test_what_hinders_two_tractors_takes_another_day():
    assert side_by_side().lateness == pytest.approx(0.0, abs=1.0)
    hindrances = {
        "one operator": {"crew": Crew(np.array([DAY]), np.zeros(1))},
        "an implement that comes a day later": {"implements": Machines(whole([0, 1]), whole([9, 9]), whole([1, 1]))},
        "a tractor that leaves before": {"tractors": Machines(whole([0, 0]), whole([9, -1]), whole([1, 1]))},
        "a tractor that is not there": {"tractors": Machines(whole([0, 0]), whole([9, 9]), whole([1, 0]))},
    }
    for why, changes in hindrances.items():
        assert side_by_side(**changes).lateness / HECTARE == pytest.approx(10.0, rel=2e-3), why


def test_three_of_a_kind_do_the_work_of_three():
    three = Machines(whole([0]), whole([9]), whole([3]))
    given_season = season([30.0], [(0, 0, 0, 10.0, 1.0)], periods=2, due=[0], tractors=1, implements=1, crew=3)
    made = plan(given_season._replace(tractors=three, implements=three), SECONDS)
    assert made.time == pytest.approx(np.array([[3 * DAY, 0.0]]), rel=1e-3)
    # The fewer of the two sides counts.
    made = plan(given_season._replace(tractors=three), SECONDS)
    assert made.time[0] == pytest.approx([DAY, DAY], rel=1e-3)
    assert made.undone == pytest.approx([1 / 3], abs=1e-3)


def test_the_cheaper_operator_works_and_is_paid():
    given_season = season([10.0], [(0, 0, 0, 10.0, 5.0)], periods=1, tractors=1, implements=1, crew=2)
    paid = Crew(np.array([DAY, DAY]), np.array([4.0, 3.0]) / DAY)
    made = plan(given_season._replace(crew=paid), SECONDS)
    assert made.crew == pytest.approx(np.array([[0.0], [DAY]]), abs=1e-3 * DAY)
    assert made.cost == pytest.approx(8.0, rel=2e-3)


def test_with_lateness_and_cost_alike_the_earlier_day_is_taken():
    made = plan(season([10.0], [(0, 0, 0, 10.0, 5.0)], periods=4, opens=[1], tractors=1, implements=1), SECONDS)
    assert made.done[0] == pytest.approx([0.0, 1.0, 0.0, 0.0], abs=1e-2)


def dear_or_cheap(*, due):
    """One field, a dear tractor from the first day on and a cheap one, with its own implement, from the third."""
    given_season = season(
        [10.0], [(0, 0, 0, 10.0, 900.0), (0, 1, 1, 10.0, 100.0)], periods=4, due=[due], tractors=2, implements=2
    )
    return plan(given_season._replace(tractors=Machines(whole([0, 2]), whole([9, 9]), whole([1, 1]))), SECONDS)


def test_what_is_cheaper_is_worth_a_wait_and_nothing_is_worth_being_late():
    in_time = dear_or_cheap(due=3)
    assert in_time.cost == pytest.approx(100.0, rel=2e-3)
    assert in_time.time[1, 2] == pytest.approx(DAY, rel=1e-2)
    pressing = dear_or_cheap(due=0)
    assert pressing.cost == pytest.approx(900.0, rel=2e-3)
    assert pressing.lateness == pytest.approx(0.0, abs=1e-3 * 10.0 * HECTARE)
    assert pressing.time[0, 0] == pytest.approx(DAY, rel=2e-3)


def test_days_matched_are_whole_and_leave_nothing_idle_that_could_go_out():
    """A relaxed season splits the days of two tractors between two implements; a matching sends out two whole pairs."""
    choices = [(0, tractor, implement, 10.0, 1.0) for tractor, implement in itertools.product(range(2), repeat=2)]
    program = program_of(season([60.0], choices, periods=3, tractors=2, implements=2))
    y_at, w_at, *_ = program.starts
    columns = np.full(program.starts[-1] + 1, 0.5)
    columns[y_at:w_at] = np.array([[0.6, 0.0, 0.5], [0.4, 1.0, 0.5], [0.4, 1.0, 0.5], [0.6, 0.0, 0.5]]).ravel()
    days = season_plan._matched(program, columns)[y_at:w_at].reshape(4, 3)
    assert days[:, 0].tolist() == [1.0, 0.0, 0.0, 1.0]
    assert days[:, 1].tolist() == [0.0, 1.0, 1.0, 0.0]
    assert sorted(days[:, 2].tolist()) == [0.0, 0.0, 1.0, 1.0]
    assert days[0, 2] == days[3, 2]


def test_a_pair_goes_out_as_often_as_there_are_machines_of_it():
    program = program_of(
        season([60.0], [(0, 0, 0, 10.0, 1.0)], periods=2, tractors=1, implements=1)._replace(
            tractors=Machines(whole([0]), whole([9]), whole([3])),
            implements=Machines(whole([1]), whole([9]), whole([2])),
        )
    )
    y_at, w_at, *_ = program.starts
    assert season_plan._matched(program, np.ones(program.starts[-1] + 1))[y_at:w_at].tolist() == [0.0, 2.0]


class Searched(NamedTuple):
    """One search on the way to a plan."""

    seconds: float
    whole: int
    """Days that had to be whole."""
    held: int
    """Objectives of before that had to stay as good."""
    found: bool


def searches(monkeypatch, given_season):
    """A plan, and the searches it took."""
    taken, search = [], season_plan._search

    def recorded(program, objective, seconds, held, gap):
        found = search(program, objective, seconds, held, gap)
        taken.append(Searched(seconds, int(program.whole.sum()), len(held), found is not None))
        return found

    monkeypatch.setattr(season_plan, "_search", recorded)
    return plan(given_season, SECONDS), taken


def two_fields(areas, periods, dear):
    return season(
        areas, [(0, 0, 0, 10.0, dear), (1, 0, 0, 10.0, dear)], periods=periods, due=[0, 1], tractors=1, implements=1
    )


@pytest.mark.parametrize("dear", [1.0, 100.0])
@pytest.mark.parametrize("areas", [[15.0, 5.0], [25.0, 10.0]], ids=["done", "not all done"])
def test_a_plan_that_is_proven_the_best_is_searched_no_further(areas, dear, monkeypatch):
    made, taken = searches(monkeypatch, two_fields(areas, 3, dear))
    # Lateness: a bound, and days matched to it, which prove each other. Cost and mean day: the bound alone.
    assert [(one.whole, one.held) for one in taken] == [(0, 0), (3, 0), (0, 1), (0, 2)]
    # What was held can be kept, and what could be done can be done again.
    assert all(one.found for one in taken)
    assert all(0.5 * SECONDS < one.seconds <= SECONDS for one in taken)
    assert made.lateness_gap <= 1e-6
    assert made.cost_gap <= 1e-6


def test_the_first_plan_is_made_whole_a_few_days_at_a_time(monkeypatch):
    """More than 20 pairs of machines, and more days than are made whole together."""
    crowded = farm(5, tractors=5, implements=10, fields=2, days=4, pace=0.4)
    made, taken = searches(monkeypatch, crowded)
    check(crowded, made)
    late = [one for one in taken if one.held == 0]
    every_day = late[1].whole
    assert every_day > 20 * 4
    assert [one.whole for one in late] == [0, every_day, every_day * 3 // 4, every_day]
    assert all(0.1 * SECONDS < one.seconds < SECONDS for one in late)
    assert made.lateness_gap <= 1e-4


def test_a_gap_is_over_what_the_plan_has_and_no_least_is_below_nothing():
    assert season_plan._gap(0.5, 0.4) == pytest.approx(0.2)
    assert season_plan._gap(1e-2, -1e3) == season_plan._gap(1e-2, -np.inf) == 1.0
    assert season_plan._gap(0.5, 0.6) == 0.0


def test_what_is_not_late_has_no_gap_and_no_lateness():
    in_time = season([10.0], [(0, 0, 0, 10.0, 5.0)], periods=2, tractors=1, implements=1)
    made = plan(in_time, SECONDS)
    assert (made.lateness, made.lateness_gap, relaxed(in_time).lateness) == (0.0, 0.0, 0.0)


def test_lateness_that_is_nothing_but_rounding_has_no_gap(monkeypatch):
    search = season_plan._search

    def rounded(program, *rest):
        columns, bound = search(program, *rest)
        *_, f_at, end = program.starts
        columns[f_at:end] *= 1.0 - 1e-9
        return columns, bound

    monkeypatch.setattr(season_plan, "_search", rounded)
    made = plan(season([10.0], [(0, 0, 0, 10.0, 5.0)], periods=2, due=[0], tractors=1, implements=1), SECONDS)
    assert made.lateness_gap == 0.0
    assert made.undone.max() == 0.0


def test_a_share_more_of_two_tractors_saves_that_share_of_what_both_do():
    """60 ha due on the first day at 20 ha a day: 20 ha a day late and 20 ha two days."""
    both = season([60.0], [(0, 0, 0, 10.0, 1.0)], periods=4, due=[0], tractors=1, implements=1, crew=3)
    both = both._replace(
        tractors=Machines(whole([0]), whole([9]), whole([2])), implements=Machines(whole([0]), whole([9]), whole([3]))
    )
    found = relaxed(both)
    assert found.lateness / HECTARE == pytest.approx(60.0)
    # A share s more brings 20 s ha forward by two days, to the first, and 20 s ha by one: 60 s ha days.
    assert found.tractors / HECTARE == pytest.approx([60.0])
    assert found.implements == pytest.approx([0.0])


def test_a_search_cut_short_gives_a_plan_that_holds_and_says_how_far_off_it_may_be(monkeypatch):
    given_season = farm(2, tractors=2, implements=4, fields=3, days=6, pace=0.35)
    best = plan(given_season, 6.0)
    monkeypatch.setattr(season_plan, "_NODES", 1)
    short = plan(given_season, 6.0)
    check(given_season, short)
    assert short.lateness_gap >= 0.0
    assert short.lateness * (1.0 - short.lateness_gap) <= best.lateness * (1.0 + 2e-3)
    assert short.lateness <= 1.2 * best.lateness


def test_a_plan_that_nothing_proves_the_best_is_improved_a_few_days_at_a_time(monkeypatch):
    monkeypatch.setattr(season_plan, "_NODES", 1)
    given_season = farm(1, tractors=2, implements=4, fields=4, days=12, pace=0.5)
    made, least = plan(given_season, 3.0), relaxed(given_season).lateness
    check(given_season, made)
    assert made.lateness >= least * (1.0 - 1e-6)
    # The bound it gives is no worse than that of machines which can be split.
    assert made.lateness * (1.0 - made.lateness_gap) >= least * (1.0 - 2e-3)
    assert made.lateness <= 1.5 * least


def test_the_slopes_say_where_a_little_more_saves_and_where_it_does_not():
    """30 ha due on the first day at 10 ha a day: a share more of what is short saves that share of 30 ha days."""
    base = season([30.0], [(0, 0, 0, 10.0, 1.0)], periods=4, due=[0], tractors=1, implements=1, crew=2)
    short_of_crew = base._replace(crew=Crew(np.array([0.5 * DAY]), np.zeros(1)))
    found = relaxed(short_of_crew)
    more = short_of_crew._replace(crew=Crew(np.array([0.505 * DAY]), np.zeros(1)))
    assert (found.tractors, found.implements) == (pytest.approx([0.0]), pytest.approx([0.0]))
    assert found.crew == pytest.approx((found.lateness - relaxed(more).lateness) / 0.01, rel=1e-3)
    # Half a day of work in each of 4 days: 20 of 30 ha.
    assert found.undone == pytest.approx(1 / 3)
    assert relaxed(base).crew == pytest.approx(0.0, abs=1.0)
    assert relaxed(base).undone == pytest.approx(0.0, abs=1e-9)
