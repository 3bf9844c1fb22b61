"""Plans against what can be found by hand, by another method, or by trying everything."""

import itertools
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment, linprog
from tests.engine.seasons import (
    DAY,
    HECTARE,
    any_season,
    check,
    done_by_day,
    farm,
    machines,
    planned,
    season,
    short_runs,
    ways,
)
from tests.searching import one_in

from drawbar_service.engine.daylight import daylight
from drawbar_service.engine.season import SAME_DAY, Crew
from drawbar_service.engine.season import there as days_there
from drawbar_service.engine.season_days import carry_out
from drawbar_service.engine.season_plan import plan
from drawbar_service.engine.season_program import cheapest, program_of, relaxed

SEASONS = 40
"""Random seasons that are checked here; with those of the night there are 200."""


@pytest.mark.parametrize("seed", range(SEASONS))
def test_a_plan_keeps_everything_there_is_to_keep(seed):
    """No machine in two places, hours, precedence, roads, absences and totals, from the diary alone."""
    given_season = any_season(seed)
    bound = relaxed(given_season)
    made = plan(given_season, bound, effort=0.05)
    check(given_season, made)
    assert made.lateness >= bound.lateness * (1.0 - 1e-6) - 1.0
    if made.lateness <= bound.lateness * (1.0 + 1e-9):
        assert made.cost >= cheapest(given_season, bound).cost * (1.0 - 1e-6)


@pytest.mark.nightly
@pytest.mark.parametrize("seed", range(SEASONS, 200))
def test_a_plan_of_the_whole_search_keeps_everything(seed):
    given_season = any_season(seed)
    check(given_season, planned(given_season))


def test_hardly_a_block_is_shorter_than_the_least():
    """Of all stays on a field only those are that end it, or that an absence or another tractor cuts off."""
    stays = short = 0
    for seed in range(SEASONS):
        given_season = any_season(seed)
        made = plan(given_season, relaxed(given_season), effort=0.0)
        runs = check(given_season, made)
        stays += len(runs)
        short += len(short_runs(given_season, made, runs))
    assert stays > 100
    assert short <= 0.06 * stays


def test_the_cheapest_assignment_of_machines_is_found():
    """Three tractors, three implements, a day's work each: the assignment problem, solved by the Hungarian method."""
    cost = np.array([[90.0, 75.0, 80.0], [35.0, 85.0, 55.0], [125.0, 95.0, 90.0]])
    choices = [(job, tractor, job, 10.0, cost[tractor, job]) for job, tractor in itertools.product(range(3), range(3))]
    made = planned(season([10.0] * 3, choices, periods=1, tractors=3, implements=3))
    rows, columns = linear_sum_assignment(cost)
    assert made.lateness == pytest.approx(0.0, abs=1e-3)
    assert made.cost == pytest.approx(cost[rows, columns].sum(), rel=1e-6)
    assert made.cost == pytest.approx(75.0 + 35.0 + 90.0, rel=1e-6)


def test_two_fields_one_tractor_by_hand():
    """10 ha a day: 15 ha due on the first day and 5 ha due on the second; 5 ha are a day late, whichever waits."""
    made = planned(
        season(
            [15.0, 5.0], [(0, 0, 0, 10.0, 1.0), (1, 0, 0, 10.0, 1.0)], periods=3, due=[0, 1], tractors=1, implements=1
        )
    )
    assert made.lateness / HECTARE == pytest.approx(5.0, rel=1e-6)
    assert made.cost == pytest.approx(2.0, rel=1e-6)
    assert made.lateness_gap == pytest.approx(0.0, abs=1e-6)


def test_the_dearer_field_goes_first():
    given_season = season(
        [10.0, 10.0],
        [(0, 0, 0, 10.0, 1.0), (1, 0, 0, 10.0, 1.0)],
        periods=2,
        due=[0, 0],
        weight=[1.0, 3.0],
        tractors=1,
        implements=1,
    )
    made = planned(given_season)
    assert done_by_day(given_season, made) == pytest.approx(np.array([[0.0, 1.0], [1.0, 0.0]]), abs=1e-6)
    assert made.lateness / HECTARE == pytest.approx(10.0, rel=1e-6)


UNIT_JOBS = st.lists(st.tuples(st.integers(0, 3), st.integers(1, 9)), min_size=2, max_size=6)


@given(UNIT_JOBS, st.integers(1, 2))
@one_in(3)
def test_jobs_of_a_day_are_put_in_the_order_of_least_weighted_lateness(jobs, tractors):
    """A day each for any tractor: an assignment of jobs to places, which another method solves."""
    periods = 6
    choices = [(job, tractor, tractor, 10.0, 0.0) for job in range(len(jobs)) for tractor in range(tractors)]
    made = planned(
        season(
            [10.0] * len(jobs),
            choices,
            periods=periods,
            due=[due for due, _ in jobs],
            weight=[weight for _, weight in jobs],
            tractors=tractors,
            implements=tractors,
        )
    )
    late = np.array(
        [[weight * max(day - due, 0) for day in range(periods) for _ in range(tractors)] for due, weight in jobs]
    )
    rows, columns = linear_sum_assignment(late)
    # Two tractors may share a field, which is at times less late than any assignment.
    assert made.lateness / (10.0 * HECTARE) <= late[rows, columns].sum() * (1.0 + 1e-6) + 1e-2


@st.composite
def tiny_seasons(draw):
    """Two tractors, two implements, two or three days: few enough pairs to try every way to send them out."""
    periods = draw(st.integers(2, 3))
    tasks = draw(st.integers(1, 3))
    rate = st.integers(3, 12)
    choices = [
        (task, tractor, implement, float(draw(rate)), float(draw(rate)))
        for task, tractor, implement in itertools.product(range(tasks), range(2), range(2))
        if (tractor, implement) == (0, 0) or draw(st.integers(0, 3)) > 0
    ]
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
    """The least lateness over every way to send pairs out, each a linear program; time of a day is split at will."""
    program = program_of(given_season)
    assert program.step == 1
    choices, periods = given_season.choices, given_season.days
    pairs, pair_of = np.unique(np.column_stack([choices.tractor, choices.implement]), axis=0, return_inverse=True)
    # What can go out on one day: no tractor and no implement twice; more is never worse than less.
    days = [
        sent
        for sent in itertools.product((False, True), repeat=len(pairs))
        if all(len(set(pairs[np.array(sent), side])) == sum(sent) for side in (0, 1))
    ]
    largest = [a for a in days if not any(b != a and all(x >= y for x, y in zip(b, a, strict=True)) for b in days)]
    same = program.low == program.high
    best = np.inf
    for sent in itertools.product(largest, repeat=periods):
        most = program.most.copy()
        out = np.array(sent).T[pair_of.reshape(-1)]
        most[: out.size] = np.where(out.ravel(), most[: out.size], 0.0)
        answer = linprog(
            program.late,
            A_ub=program.matrix[~same],
            b_ub=program.high[~same],
            A_eq=program.matrix[same],
            b_eq=program.high[same],
            bounds=np.column_stack([program.least, most]),
        )
        best = min(best, answer.fun)
    return best


@given(tiny_seasons())
@one_in(3)
def test_a_plan_is_near_the_best_way_to_send_pairs_out(given_season):
    """Never better than the best of all ways, and worse by little: lists cannot split every day as they like."""
    made, least = planned(given_season), least_by_trying_everything(given_season)
    area = float(given_season.tasks.weight @ given_season.tasks.area)
    check(given_season, made)
    assert made.lateness >= least - 1e-3 * HECTARE
    assert relaxed(given_season).lateness <= least + 1e-3 * HECTARE
    assert made.lateness <= 1.1 * least + 0.1 * area


def every_list(given_season):
    """Every list of work: each choice on it or not, in every order."""
    count = len(given_season.choices.task)
    orders, on = itertools.permutations(range(count)), list(itertools.product((False, True), repeat=count))
    return np.unique([np.where(some, order, np.inf) for order in orders for some in on], axis=0)


@given(st.integers(0, 10_000))
@one_in(10)
def test_no_lists_of_a_small_season_are_better(seed):
    """Two or three fields and up to five ways to work them: every list is tried."""
    random = np.random.default_rng(seed)
    tasks = int(random.integers(2, 4))
    ways_to = [(task, 0, 0) for task in range(tasks)] + [(int(random.integers(tasks)), 1, int(random.integers(2)))]
    given_season = season(
        random.uniform(4.0, 25.0, tasks),
        [(*way, float(random.uniform(4.0, 15.0)), float(random.uniform(50.0, 200.0))) for way in ways_to],
        periods=4,
        due=random.integers(0, 4, tasks),
        opens=random.integers(0, 2, tasks),
        orders=[(0, 1, 0)] if random.random() < 0.5 else (),
        tractors=2,
        implements=2,
        ways_of=ways(tasks, least=0.25),
    )
    ranks = every_list(given_season)
    course = carry_out(given_season, ranks, np.full((1, 4), DAY))
    made = planned(given_season)
    least = course.lateness(given_season).min()
    assert made.lateness <= least * 1.001 + 1e-3 * HECTARE


@pytest.mark.parametrize(("seed", "pace"), [(1, 1.0), (2, 0.35), (3, 0.5)])
def test_orders_hours_and_days_are_kept(seed, pace):
    given_season = farm(seed, tractors=2, implements=4, fields=4, days=12, pace=pace)
    check(given_season, planned(given_season))


def test_a_farm_is_planned_in_time_and_near_the_least_cost():
    """4 tractors, 6 implements, 12 fields, 24 tasks, 25 days."""
    given_season = farm(0, ways_of=ways(12, least=0.5))
    made = planned(given_season)
    check(given_season, made)
    assert made.lateness == pytest.approx(0.0, abs=HECTARE * 1e-2)
    assert made.course.left.max() == 0.0
    assert made.cost_gap <= 0.02


def test_a_plan_is_the_same_every_time():
    first, second = (planned(farm(4, tractors=2, implements=4, fields=3, days=8, pace=0.4)) for _ in range(2))
    for one, other in zip(first.diary, second.diary, strict=True):
        assert (one == other).all()


def test_no_clock_is_asked():
    """What decides the end of the search is the size of the season; nothing in the planner knows the time."""
    for module in ("season", "season_daily", "season_days", "season_plan", "season_program"):
        text = files("drawbar_service.engine").joinpath(f"{module}.py").read_text("utf-8")
        assert "perf_counter" not in text
        assert "time_limit" not in text


def test_a_search_ends_at_its_next_step_where_nobody_waits():
    class LeftError(Exception):
        pass

    asked = []

    def go_on():
        asked.append(None)
        if len(asked) > 4:
            raise LeftError

    hard = farm(2, tractors=2, implements=4, fields=4, days=10, pace=0.35)
    with pytest.raises(LeftError):
        plan(hard, relaxed(hard), go_on)
    assert len(asked) == 5


def test_the_slope_says_what_a_little_more_saves():
    """One tractor, three days of work due on the first: lateness 1 x 10 + 2 x 10 ha days."""
    scarce = season([30.0], [(0, 0, 0, 10.0, 1.0)], periods=4, due=[0], tractors=1, implements=1, crew=2)
    found = relaxed(scarce)
    assert found.lateness / HECTARE == pytest.approx(30.0, rel=1e-6)
    faster = scarce._replace(day_time=1.01 * DAY, crew=scarce.crew._replace(time=1.01 * scarce.crew.time))
    saved = found.lateness - relaxed(faster).lateness
    assert found.tractors[0] + found.implements[0] == pytest.approx(saved / 0.01, rel=0.05)


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


def test_a_long_season_has_a_bound_of_longer_periods_that_is_no_higher():
    long = farm(1, tractors=3, implements=4, fields=12, days=200, pace=0.05)
    assert program_of(long).step > 1
    made = plan(long, relaxed(long), effort=0.0)
    assert relaxed(long).lateness <= made.lateness * (1.0 + 1e-9)


def test_what_cannot_be_done_in_the_window_is_left_undone_and_counted():
    made = planned(season([25.0], [(0, 0, 0, 10.0, 1.0)], periods=2, tractors=1, implements=1))
    assert made.course.left[0] == pytest.approx([0.2], abs=1e-6)
    assert made.lateness / HECTARE == pytest.approx(5.0, rel=1e-6)


# ---- one rule at a time, by hand


def two_in_a_row(rest, *, areas=(10.0, 10.0), periods=6):
    """Two fields due on the first day, each with a tractor, an implement and an operator; the second waits."""
    choices = [(0, 0, 0, 10.0, 1.0), (1, 1, 1, 10.0, 1.0)]
    return season(list(areas), choices, periods=periods, due=[0, 0], orders=[(0, 1, rest)], tractors=2, implements=2)


@pytest.mark.parametrize(("rest", "day"), [(SAME_DAY, 0), (0, 1), (1, 2), (3, 4)])
def test_the_second_task_follows_on_the_day_after_the_rest(rest, day):
    given_season = two_in_a_row(rest)
    done = done_by_day(given_season, planned(given_season))
    assert done[0] == pytest.approx([1.0] + 5 * [0.0], abs=1e-6)
    assert done[1, day] == pytest.approx(1.0, abs=1e-6)


def test_the_second_task_follows_share_by_share():
    given_season = two_in_a_row(0, areas=(20.0, 20.0), periods=4)
    done = done_by_day(given_season, planned(given_season))
    assert done == pytest.approx(np.array([[0.5, 0.5, 0.0, 0.0], [0.0, 0.5, 0.5, 0.0]]), abs=1e-6)


def test_a_task_that_waits_beyond_the_last_day_is_left_undone():
    assert planned(two_in_a_row(4)).course.left[0] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert planned(two_in_a_row(5)).course.left[0] == pytest.approx([0.0, 1.0], abs=1e-6)


def side_by_side(**changes):
    """20 ha that two tractors with an implement each do on one day, if nothing hinders them."""
    given_season = season(
        [20.0], [(0, 0, 0, 10.0, 1.0), (0, 1, 1, 10.0, 1.0)], periods=3, due=[0], tractors=2, implements=2
    )
    return planned(given_season._replace(**changes))


def test_what_hinders_two_tractors_takes_another_day():
    assert side_by_side().lateness == pytest.approx(0.0, abs=1.0)
    hindrances = {
        "one operator": {"crew": Crew(np.array([DAY]), np.zeros(1))},
        "an implement that comes a day later": {"implements": machines(2, first=[0, 1])},
        "a tractor that leaves before": {"tractors": machines(2, last=[9, -1])},
        "a tractor that the neighbor has on the first day": {"tractors": machines(2, share=[1.0, 0.5])},
    }
    for why, changes in hindrances.items():
        assert side_by_side(**changes).lateness / HECTARE == pytest.approx(10.0, rel=1e-6), why


def test_the_cheaper_operator_works_and_is_paid():
    given_season = season([10.0], [(0, 0, 0, 10.0, 5.0)], periods=1, tractors=1, implements=1, crew=2)
    paid = Crew(np.array([DAY, DAY]), np.array([4.0, 3.0]) / DAY)
    assert planned(given_season._replace(crew=paid)).cost == pytest.approx(8.0, rel=1e-6)


def dear_or_cheap(*, due):
    """One field, a dear tractor from the first day on and a cheap one, with its own implement, from the third."""
    given_season = season(
        [10.0], [(0, 0, 0, 10.0, 900.0), (0, 1, 1, 10.0, 100.0)], periods=4, due=[due], tractors=2, implements=2
    )
    return planned(given_season._replace(tractors=machines(2, first=[0, 2])))


def test_what_is_cheaper_is_worth_a_wait_and_nothing_is_worth_being_late():
    assert dear_or_cheap(due=3).cost == pytest.approx(100.0, rel=1e-6)
    pressing = dear_or_cheap(due=0)
    assert pressing.cost == pytest.approx(900.0, rel=1e-6)
    assert pressing.lateness == pytest.approx(0.0, abs=1.0)


def test_a_tractor_changes_its_implement_overnight_or_in_the_time_it_takes():
    """Half a day with each of two implements: a day and a half by night, a day and an hour with an hour to change."""
    both = season(
        [5.0, 5.0], [(0, 0, 0, 10.0, 1.0), (1, 0, 1, 10.0, 1.0)], periods=3, due=[0, 0], tractors=1, implements=2
    )
    assert planned(both).lateness / HECTARE == pytest.approx(5.0, rel=1e-6)
    quick = planned(both._replace(ways=ways(2, hitch=3600.0)))
    # Each implement takes its hour, the first one too: 8 of 10 h are left.
    assert quick.lateness / HECTARE == pytest.approx(2.0, rel=1e-6)


def test_the_road_takes_its_time():
    """From the yard to the first field 1 h, from there to the second 2 h: 7 of 10 h are left on the first day."""
    away = np.array([[0.0, 2.0], [2.0, 0.0], [1.0, 9.0]]) * 3600.0
    both = season(
        [5.0, 5.0], [(0, 0, 0, 10.0, 1.0), (1, 0, 0, 10.0, 1.0)], periods=3, due=[0, 0], tractors=1, implements=1
    )
    made = planned(both._replace(ways=ways(2, travel=away)))
    assert made.lateness / HECTARE == pytest.approx(3.0, rel=1e-6)
    assert made.diary.moving.sum() == pytest.approx(3.0 * 3600.0)


def test_work_that_asks_for_drier_land_takes_more_of_the_time():
    wet = season([10.0], [(0, 0, 0, 10.0, 6.0)], periods=3, due=[0], tractors=1, implements=1, fit=[0.5])
    made = planned(wet)
    assert made.lateness / HECTARE == pytest.approx(5.0, rel=1e-6)
    assert made.diary.worked.sum() == pytest.approx(DAY)
    assert made.cost == pytest.approx(6.0, rel=1e-6)


def test_a_field_that_is_nearly_done_is_finished_before_another_is_begun():
    """12 ha at 10 ha a day, and a dear field that opens on the second day: a fifth of a day is no block of its own."""
    nearly = season(
        [12.0, 10.0],
        [(0, 0, 0, 10.0, 1.0), (1, 0, 0, 10.0, 1.0)],
        periods=4,
        due=[3, 1],
        opens=[0, 1],
        weight=[1.0, 1.0],
        tractors=1,
        implements=1,
        ways_of=ways(2, least=0.5),
    )
    # The dear field first on the second day would be in time: the first has to wait for it as a whole, or be done.
    made = planned(nearly)
    runs = check(nearly, made)
    assert not short_runs(nearly, made, runs)


def test_years_side_by_side_are_each_what_they_are_alone():
    given_season = any_season(7)
    made = planned(given_season, effort=0.05)
    years = given_season.day_time * np.random.default_rng(3).uniform(0.0, 1.3, (6, given_season.days))
    together = carry_out(given_season, made.rank[np.newaxis, :], years)
    for year in range(6):
        alone = carry_out(given_season, made.rank[np.newaxis, :], years[year : year + 1])
        for one, other in zip(together[:5], alone[:5], strict=True):
            assert (one[year] == other[0]).all()


def test_more_time_in_a_day_is_never_less_work():
    """Of one field; with several, more time can lead a tractor elsewhere."""
    one = season([30.0], [(0, 0, 0, 10.0, 1.0)], periods=4, tractors=1, implements=1)
    shares = np.linspace(0.0, 1.0, 9)[:, np.newaxis] * np.full((1, 4), DAY)
    left = carry_out(one, np.zeros((1, 1)), shares).left[:, 0]
    assert (np.diff(left) <= 0.0).all()
    assert left[0] == 1.0


def test_machines_shared_with_a_neighbor_are_there_that_share_of_days():
    here = days_there(machines(3, share=[1.0, 0.5, 0.3]), np.ones(100))
    assert here.sum(axis=1).tolist() == [100, 50, 30]


def test_days_are_as_long_as_an_almanac_says():
    """Equator: 12 h. 45 degrees north: about 15.6 h at midsummer, 8.6 h at midwinter (from memory, within 0.3 h)."""
    assert daylight(0.0, np.arange(1.0, 366.0)) / 3600.0 == pytest.approx(12.0, abs=1e-9)
    longest, shortest = daylight(np.radians(45.0), np.array([172.0, 355.0])) / 3600.0
    assert longest == pytest.approx(15.5, abs=0.3)
    assert shortest == pytest.approx(8.6, abs=0.3)
