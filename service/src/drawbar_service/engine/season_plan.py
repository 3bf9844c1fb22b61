"""The search for a season's lists of work; :mod:`drawbar_service.engine.season` says what is searched for.

It starts from the linear program that bounds it, and from simple rules. Days in that program are full to the last
minute, and no list of whole days is: so it is solved once more with somewhat shorter days, and of a long season day by
day, which leaves room for what a plan loses. The search goes on with small changes of the best lists: an entry earlier
or later, a task to another pair, one pair more or fewer. Changes are drawn with a fixed seed and their number follows
from the size of the season: no clock has a part in the answer.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import Diary, IntArray, Relaxed, Season
from drawbar_service.engine.season_daily import Daily, daily, least_cost
from drawbar_service.engine.season_days import Course, carry_out
from drawbar_service.engine.season_program import cheapest, relaxed, step_of

_LANES = 40
"""Lists that are tried at the same time."""
_EFFORT, _LEAST_ROUNDS, _MOST_ROUNDS = 2_700, 15, 200
"""Rounds of the search: effort over days times tractors, within these."""
_PATIENCE = 30
"""Rounds without a better plan that end the search."""
_PART = (0.02, 0.2, 0.45)
"""Shares of a task [1] from which a pair of the linear program goes on the lists, one start for each."""
_HELP = (2.0, 6.0)
"""Days [d] by which pairs come later on the lists that the linear program does not use."""
_NEAR, _DEARER = 6, 0.3
"""Pairs of each task, the cheapest first, that help at all, and by how much dearer [1] those that help only cheaply."""
_SHORTER, _SHORTER_BY_DAY = (0.94, 0.88, 0.82), (0.97, 0.94)
"""Days over the usual [1] for which programs are solved to start from, in periods and by day."""
_MOST_BY_DAY = 7_000
"""Choices times days above which no program is solved by day: it would take many seconds."""
_ENOUGH = 5e-4
"""Gap [1] at which a plan counts as the best."""
_INSTANT = 1.0
"""Time [s] of a choice in a program that is rounding."""
_NEVER_LATE = 1e-4
"""Mean days late [d] below which it is rounding."""


def _goes_on() -> None:
    """Let the search go on."""


class Plan(NamedTuple):
    """Who does what when."""

    rank: FloatArray
    """Place of each choice on the list of its tractor, infinite where it is not on it, shape (choices,)"""
    course: Course
    """What comes of it on expected days, in one lane"""
    diary: Diary
    lateness: float
    """Weight times area times days late [d]"""
    lateness_gap: float
    """How far the lateness may be above the least, over it [1]"""
    cost: float
    """[1]"""
    cost_gap: float
    """How far the cost may be above the least at this lateness, over it [1]"""


class _Best(NamedTuple):
    """The best lists so far."""

    rank: FloatArray
    lateness: float
    """[d]"""
    cost: float
    days_late: FloatArray
    """Of each task [d]"""


def plan(
    season: Season,
    bound: Relaxed,
    go_on: Callable[[], None] = _goes_on,
    *,
    start: FloatArray | None = None,
    effort: float = 1.0,
) -> Plan:
    """Return a plan of little lateness and, at that, of little cost, with how far off the least it may be.

    Parameters
    ----------
    season : Season
        With a task, a choice, an operator and a day at least.
    bound : Relaxed
        Of the season.
    go_on : callable
        Called before each step of the search; what it raises ends the search.
    start : array (choices,), optional
        Lists of a season much like it, tried beside the others.
    effort : float
        Rounds of the search over the usual [1].
    """
    go_on()
    least = cheapest(season, bound)
    go_on()
    search = _Search(season, bound.lateness, least.cost)
    first = [*_by_rule(season), *_by_program(season, least.time, least.middle)]
    search.try_out(np.vstack([*first, start]) if start is not None else np.array(first))
    by_day = _with_room(season, search, least.time, go_on) if effort >= 1.0 and not search.enough else None
    usual = np.clip(_EFFORT / (season.days * len(season.tractors.first)), _LEAST_ROUNDS, _MOST_ROUNDS)
    rounds = int(effort * usual)
    random, idle, ways = np.random.default_rng(1), 0, _ways(season)
    for _ in range(rounds):
        if search.enough or idle >= _PATIENCE:
            break
        go_on()
        idle = 0 if search.try_out(_changed(season, ways, search.best, random)) else idle + 1
    if by_day is not None and search.in_time and not search.enough:
        begun, some = by_day
        search.bound(least_cost(season, begun, some, search.best.lateness, go_on))
    return search.plan()


def _with_room(
    season: Season, search: "_Search", time: FloatArray, go_on: Callable[[], None]
) -> tuple[Daily, npt.NDArray[np.bool_]] | None:
    """Try lists of programs with shorter days, which have room for what a plan loses.

    Returns the program by day and the choices it has, where the others have periods of several days.
    """
    some = time > _INSTANT
    for share in _SHORTER:
        go_on()
        shorter = _with_days_of(season, share)
        least = cheapest(shorter, relaxed(shorter))
        some |= least.time > _INSTANT
        search.try_out(np.array(_by_program(season, least.time, least.middle)))
    if step_of(season) == 1 or season.days * int(some.sum()) > _MOST_BY_DAY:
        return None
    go_on()
    whole = daily(season, some)
    search.try_out(np.array(_by_program(season, whole.time, whole.middle)))
    for share in _SHORTER_BY_DAY:
        go_on()
        by_day = daily(_with_days_of(season, share), some)
        search.try_out(np.array(_by_program(season, by_day.time, by_day.middle)))
    return whole, some


def _with_days_of(season: Season, share: float) -> Season:
    """Return a season whose days are shorter by a `share` [1]."""
    return season._replace(day_time=season.day_time * share, crew=season.crew._replace(time=season.crew.time * share))


class _Search:
    """The best lists so far, and what they are held against."""

    def __init__(self, season: Season, lateness: float, cost: float) -> None:
        self._season, self._lateness, self._cost = season, lateness, cost
        self._time = season.day_time * season.length[np.newaxis, :]
        area = season.tasks.weight * season.tasks.area
        self._rounding = _NEVER_LATE * float(area.sum())
        nothing = np.full(len(season.choices.task), np.inf)
        self.best = _Best(nothing, np.inf, np.inf, np.full(len(area), np.inf))
        self.in_time = False
        """Whether the best leaves nothing late or undone, beyond rounding."""

    def try_out(self, ranks: FloatArray) -> bool:
        """Carry lists out, and keep the best if it is better than the best so far; return whether it is."""
        course = carry_out(self._season, ranks, self._time)
        lateness = course.lateness(self._season)
        # What is left undone, however little, is not in time: it would take days after the last.
        in_time = (lateness <= self._rounding) & ~course.left.any(axis=1)
        late = np.where(in_time, 0.0, lateness)
        lane = int(np.lexsort((course.cost, late))[0])
        before = self.best
        if (float(late[lane]), float(course.cost[lane])) >= (0.0 if self.in_time else before.lateness, before.cost):
            return False
        rank = np.where(course.used[lane], ranks[lane], np.inf)
        self.best = _Best(rank, float(lateness[lane]), float(course.cost[lane]), course.days_late[lane])
        self.in_time = bool(in_time[lane])
        return True

    @property
    def gaps(self) -> tuple[float, float]:
        """How far lateness and cost may be above the least, over themselves [1]."""
        best = self.best
        late = 0.0 if self.in_time else _gap(best.lateness, self._lateness)
        return late, _gap(best.cost, self._cost)

    def bound(self, cost: float) -> None:
        """Take note of a cost that no plan without lateness is below."""
        self._cost = max(self._cost, cost)

    @property
    def enough(self) -> bool:
        """Whether no plan is noticeably better."""
        return max(self.gaps) <= _ENOUGH

    def plan(self) -> Plan:
        """Return the best lists with their diary."""
        course: Course = carry_out(self._season, self.best.rank[np.newaxis, :], self._time, write=True)
        assert course.diary is not None
        late, cost = self.gaps
        return Plan(self.best.rank, course, course.diary, self.best.lateness, late, self.best.cost, cost)


def _gap(value: float, bound: float) -> float:
    """Return how far `value` may be above the least, over it [1]; no least is below 0."""
    return max(value - max(bound, 0.0), 0.0) / max(value, 1e-300)


def _due(season: Season) -> FloatArray:
    """Return the day by which each task has to be done, for what comes after it, too [d]."""
    tasks = season.tasks
    due = tasks.due + 1e-3 * tasks.opens
    for first, then, rest in sorted(zip(*season.orders, strict=True), key=lambda one: -tasks.due[one[1]]):
        due[first] = min(due[first], due[then] - rest - 1.0)
    return due


def _tie(season: Season) -> FloatArray:
    """Return what tells entries of one rank apart."""
    return 1e-6 * np.arange(len(season.choices.task), dtype=np.float64)


def _near(season: Season) -> npt.NDArray[np.bool_]:
    """Return which choices are among the cheapest of their task."""
    near = np.zeros(len(season.choices.task), dtype=np.bool_)
    for mine in _ways(season):
        near[mine[:_NEAR]] = True
    return near


def _by_rule(season: Season) -> list[FloatArray]:
    """Return lists to start from: the cheapest or the quickest of each task, or all that are near, in due order."""
    tasks, choices = season.tasks, season.choices
    due, tie = _due(season), _tie(season)
    found: list[FloatArray] = []
    hourly = choices.cost + season.crew.cost.min()
    for value in (hourly / choices.rate, -choices.rate):
        least = np.full(len(tasks.area), np.inf)
        np.minimum.at(least, choices.task, value)
        found.append(np.where(value <= least[choices.task], due[choices.task] + tie, np.inf))
    anyone = due[choices.task] - 1e-4 * choices.rate / choices.rate.max() + tie
    return [*found, np.where(_near(season), anyone, np.inf)]


def _by_program(season: Season, time: FloatArray, middle: FloatArray) -> list[FloatArray]:
    """Return lists to start from: pairs and order of a program with this `time` [s] and `middle` day [d] of choices."""
    tasks, choices = season.tasks, season.choices
    due, tie, near = _due(season), _tie(season), _near(season)
    share = time * choices.rate / tasks.area[choices.task]
    most = np.zeros(len(tasks.area))
    np.maximum.at(most, choices.task, share)
    of_task = np.zeros(len(tasks.area))
    np.add.at(of_task, choices.task, share * middle)
    hourly = choices.cost + season.crew.cost.min()
    found: list[FloatArray] = []
    for part in _PART:
        on = (share >= part) | ((share >= most[choices.task] - 1e-9) & (most[choices.task] > 0.0))
        # What the program leaves undone may still fit in.
        on |= most[choices.task] <= 0.0
        found += [np.where(on, rank + tie, np.inf) for rank in (middle, of_task[choices.task], due[choices.task])]
    # Others help out where they have nothing better to do, the cheaper the sooner.
    value = hourly / choices.rate
    cheapest_of = np.full(len(tasks.area), np.inf)
    np.minimum.at(cheapest_of, choices.task, value)
    least = cheapest_of[choices.task]
    dearer = value / np.where(least > 0.0, least, 1.0) - (least > 0.0)
    planned = share >= _PART[1]
    for patience in _HELP:
        for helping in (near & (dearer <= _DEARER), near):
            wait = np.where(planned, 0.0, patience * (1.0 + dearer))
            found.append(np.where(planned | helping, of_task[choices.task] + wait + tie, np.inf))
    return found


def _early(some: IntArray, random: np.random.Generator) -> int:
    """Return one of some, the first ones more often."""
    return int(some[int(len(some) * random.random() ** 2)])


def _ways(season: Season) -> list[IntArray]:
    """Return the choices of each task, those first that cost least for the area."""
    choices = season.choices
    order = np.argsort((choices.cost + season.crew.cost.min()) / choices.rate, kind="stable")
    return [order[choices.task[order] == task] for task in range(len(season.tasks.area))]


def _changed(season: Season, ways: list[IntArray], best: _Best, random: np.random.Generator) -> FloatArray:
    """Return lists a step or two from the best."""
    found = np.tile(best.rank, (_LANES, 1))
    # Two in three changes are about what is late, where something is.
    late = best.days_late * season.tasks.weight * season.tasks.area
    chances = np.full(len(late), 1.0 / len(late))
    if best.lateness > 0.0 and late.sum() > 0.0:
        chances = (chances + 2.0 * late / late.sum()) / 3.0
    for lane in range(_LANES):
        for _ in range(int(random.integers(1, 4))):
            _change(ways[int(random.choice(len(late), p=chances))], found[lane], random)
    return found


def _change(mine: IntArray, rank: FloatArray, random: np.random.Generator) -> None:
    """Change the lists at one task, of which `mine` are the choices, the cheapest first."""
    on, off = mine[np.isfinite(rank[mine])], mine[np.isinf(rank[mine])]
    listed = rank[np.isfinite(rank)]
    kind = random.random()
    if not len(on):
        rank[random.choice(mine)] = random.choice(listed) - 1e-3 if len(listed) else 0.0
    elif kind < 0.4 and len(off):
        one = random.choice(on)
        rank[_early(off, random)], rank[one] = rank[one], np.inf
    elif kind < 0.5 and len(off):
        rank[_early(off, random)] = rank[random.choice(on)]
    elif kind < 0.6 and len(on) > 1:
        rank[random.choice(on)] = np.inf
    elif kind < 0.8:
        rank[random.choice(on)] = random.choice(listed) + random.choice((-1e-3, 1e-3))
    else:
        rank[on] = random.choice(listed) + random.choice((-1e-3, 1e-3))
