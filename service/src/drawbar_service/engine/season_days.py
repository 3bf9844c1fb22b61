"""A season's lists of work carried out day by day; :mod:`drawbar_service.engine.season` says what the lists are.

Many runs go side by side, in lanes: other lists, or other years of weather. On every day, of all entries that can go
on, the one that comes first in rank is worked, until its tractor, its operator or the day has no time left or its task
is done; then the next. An entry can go on where

- tractor, implement and operator are there and free, the implement on no other tractor that day (unless changing it is
  allowed a time), and the field is open;
- what comes before on the field is done as far, or was so many days ago;
- the time left is at least the least block of work, or enough for all that is left of the field. A field of which less
  is left is finished first, by whoever was on it.

A tractor stays overnight where it stopped. What is on the road or changes an implement takes the operator's time.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import SAME_DAY, UNDONE, Diary, IntArray, Season, days_late
from drawbar_service.engine.season import there as days_there

_INSTANT = 1e-3
"""Time [s] that is rounding."""
_EVENING = 0.25
"""Of the least block [1]: less time in a day is not enough to begin one that goes on the next day."""
_FIRST = 1e9
"""What a rank is lowered by for a field that is nearly done: above any rank."""


class Course(NamedTuple):
    """What comes of lists; arrays with a row for each lane."""

    left: FloatArray
    """Share of each task that is not done on the last day [1], shape (lanes, tasks)"""
    first: IntArray
    """First day of each task [d], the number of days where nothing of it is done, shape (lanes, tasks)"""
    last: IntArray
    """Last day of each task so far [d], -1 where nothing of it is done, shape (lanes, tasks)"""
    late: FloatArray
    """Share of each task done after its due day or not at all [1], shape (lanes, tasks)"""
    days_late: FloatArray
    """Mean days late over the area of each task [d], shape (lanes, tasks)"""
    cost: FloatArray
    """Fuel, machines and operators, in money, shape (lanes,)"""
    used: npt.NDArray[np.bool_]
    """Which choices do some work, shape (lanes, choices)"""
    diary: Diary | None
    """None where it was not asked for."""

    def lateness(self, season: Season) -> FloatArray:
        """Return weight x area x days late of each lane.

        Parameters
        ----------
        season : Season
            The one that was carried out.

        Returns
        -------
        array (lanes,)
            [m^2 d]
        """
        return self.days_late @ (season.tasks.weight * season.tasks.area)


def carry_out(season: Season, rank: FloatArray, time: FloatArray, *, write: bool = False) -> Course:
    """Return what comes of lists of work.

    Parameters
    ----------
    season : Season
    rank : array (lanes, choices)
        Place of each choice on its tractor's list, before any of a greater one; infinite: not on it.
    time : array (lanes, days)
        Expected time of work in each day [s].
    write : bool
        Whether to write the diary.
    """
    lanes = max(len(rank), len(time))
    enlisted = np.flatnonzero(np.isfinite(rank).any(axis=0))
    listed = np.broadcast_to(rank[:, enlisted], (lanes, len(enlisted)))
    present = tuple(days_there(machines, time) for machines in (season.tractors, season.implements))
    run = _Run(season, enlisted, listed, present, write)
    time = np.broadcast_to(time, (lanes, season.days))
    for day in range(season.days):
        run.begin(day, time[:, day])
        while run.step():
            pass
        if run.end():
            break
    return run.course()


class _Run:
    """The lanes at some moment of some day."""

    def __init__(
        self,
        season: Season,
        enlisted: IntArray,
        rank: FloatArray,
        present: tuple[npt.NDArray[np.bool_], ...],
        write: bool,
    ) -> None:
        lanes = len(rank)
        tasks, choices, crew = season.tasks, season.choices, season.crew
        self._season, self._write = season, write
        self._all, self._ranks = enlisted, rank
        self._choose(np.arange(len(enlisted)))
        self._late_days = days_late(season)
        self._there = present
        """Tractors and implements, by lane (one for all where they are alike), number and day."""
        count = (len(season.tractors.first), len(season.implements.first), len(crew.time), len(tasks.area))
        tractors, implements, operators, works = count
        self._every = np.arange(lanes)
        self._done = np.tile(tasks.done, (lanes, 1))
        self._past: list[FloatArray] = [self._done.copy()]
        self._first = np.full((lanes, works), season.days)
        self._last = np.full((lanes, works), -1)
        self._late, self._days_late = np.zeros((lanes, works)), np.zeros((lanes, works))
        self._cost = np.zeros(lanes)
        self._used = np.zeros((lanes, len(choices.task)), dtype=np.bool_)
        self._by = np.full((lanes, works), -1)
        """Who was on each task last."""
        self._at = np.full((lanes, tractors), -1)
        self._hitched = np.full((lanes, tractors), -1)
        self._hand, self._run = np.full((lanes, tractors), -1), np.zeros((lanes, tractors))
        """What each tractor is on, and for how long without a break."""
        self._clock = np.zeros((lanes, tractors))
        self._taken = np.zeros((lanes, implements))
        self._with = np.full((lanes, implements), -1)
        """Which tractor each implement is with today."""
        self._time = np.zeros((lanes, operators))
        self._began, self._ended = np.zeros((lanes, works)), np.zeros((lanes, works))
        self._length = np.zeros(lanes)
        self._ceiling = np.ones((lanes, works))
        self._behind = [
            (int(first), int(then)) for first, then, rest in zip(*season.orders, strict=True) if rest == SAME_DAY
        ]
        self._day = 0
        self._cheapest_first = np.argsort(crew.cost, kind="stable").tolist()
        self._overnight = not np.isfinite(season.ways.hitch)
        self._blocks: list[tuple[npt.NDArray[np.generic], ...]] = []

    def begin(self, day: int, length: FloatArray) -> None:
        """Begin a day of so much time in each lane [s]."""
        season = self._season
        self._day, self._length = day, length
        self._clock[:], self._taken[:], self._with[:] = 0.0, 0.0, -1
        self._began[:], self._ended[:] = 0.0, 0.0
        share = length / season.day_time if season.day_time > 0.0 else np.zeros_like(length)
        self._time = np.minimum(season.crew.time * share[:, np.newaxis], length[:, np.newaxis])
        self._ceiling[:] = 1.0
        for number in range(len(season.orders.rest)):
            first, then, rest = (int(column[number]) for column in season.orders)
            if rest != SAME_DAY:
                done = self._past[max(day - rest, 0)][:, first]
                if day < rest and season.tasks.done_on[first] >= day - rest:
                    done = np.zeros(len(length))
                self._ceiling[:, then] = np.minimum(self._ceiling[:, then], done)
        choices = season.choices
        tractor, implement, task = choices.tractor[self._all], choices.implement[self._all], choices.task[self._all]
        here = self._there[0][:, tractor, day] & self._there[1][:, implement, day]
        can = here.any(axis=0) & (season.tasks.opens[task] <= day) & np.asarray((self._done < 1.0).any(axis=0))[task]
        some = np.flatnonzero(can)
        self._choose(some)
        self._here = here[:, some]
        if day + 1 < season.days:
            tomorrow = (self._there[0][:, tractor[some], day + 1], self._there[1][:, implement[some], day + 1])
            self._tomorrow = tomorrow[0] & tomorrow[1]
        else:
            self._tomorrow = np.zeros_like(self._here)
        there = self._there[0]
        soon = there[:, :, day : day + 2].any(axis=-1)
        self._gone = np.broadcast_to(~soon, (len(length), there.shape[1]))

    def _choose(self, some: IntArray) -> None:
        """Let only some of the enlisted choices be looked at."""
        tasks, choices, enlisted = self._season.tasks, self._season.choices, self._all[some]
        self._enlisted, self._rank = enlisted, self._ranks[:, some]
        self._task, self._tractor = choices.task[enlisted], choices.tractor[enlisted]
        self._implement, self._place = choices.implement[enlisted], tasks.place[self._task]
        self._whole = tasks.area[self._task] / (choices.rate[enlisted] * tasks.fit[self._task])

    def step(self) -> bool:
        """Work the next entry in every lane that has one; return whether any has."""
        if not len(self._enlisted):
            return False
        season, tractor, implement, task = self._season, self._tractor, self._implement, self._task
        ceiling = self._ceiling
        if self._behind:
            ceiling = ceiling.copy()
            for first, then in self._behind:
                ceiling[:, then] = np.minimum(ceiling[:, then], self._done[:, first])
        free = np.maximum(self._clock[:, tractor], self._taken[:, implement])
        change = self._hitched[:, tractor] != implement
        moving = season.ways.travel[self._at[:, tractor], self._place]
        if not self._overnight:
            moving = moving + season.ways.hitch * change
        starts = free + moving
        if self._behind:
            for first, then in self._behind:
                starts = np.where(task == then, np.maximum(starts, self._began[:, first, np.newaxis]), starts)
        room = np.minimum(self._length[:, np.newaxis] - starts, self._time.sum(axis=1)[:, np.newaxis] - moving)
        left = (1.0 - self._done)[:, task] * self._whole
        least = season.ways.least * self._length[:, np.newaxis]
        allowed = np.minimum(left, (ceiling - self._done)[:, task] * self._whole)
        possible = np.minimum(allowed, room)
        by = self._by[:, task]
        gone = np.take_along_axis(self._gone, np.maximum(by, 0), axis=1)
        mine = (by == tractor) | (by < 0) | gone
        going = self._hand[:, tractor] == self._enlisted
        unfinished = going & (self._run[:, tractor] < least)
        enough = np.minimum(least, left) - _INSTANT
        begins = (possible >= enough) | (self._tomorrow & (allowed >= enough) & (possible >= _EVENING * least))
        can = self._here & (possible > _INSTANT) & (going | begins) & (mine | (left >= least - _INSTANT))
        if self._overnight:
            holder = self._with[:, implement]
            can &= ((holder < 0) | (holder == tractor)) & ~(change & (self._clock[:, tractor] > 0.0))
        rank = np.where(can, self._rank - _FIRST * (unfinished | ((by == tractor) & (left < least))), np.inf)
        entry = np.argmin(rank, axis=1)
        at = np.flatnonzero(np.isfinite(rank[self._every, entry]))
        if not len(at):
            return False
        self._work(at, entry[at], moving, starts, possible)
        return True

    def _work(
        self, at: IntArray, entry: IntArray, moving: FloatArray, starts: FloatArray, possible: FloatArray
    ) -> None:
        """Work an `entry` in each of the lanes `at`."""
        season, day = self._season, self._day
        task, tractor, implement = self._task[entry], self._tractor[entry], self._implement[entry]
        away, start, lasts = moving[at, entry], starts[at, entry], possible[at, entry]
        if self._behind:
            for first, then in self._behind:
                start = np.where(task == then, np.maximum(start, self._ended[at, first] - lasts), start)
        begin, end = start - away, start + lasts
        share = lasts / self._whole[entry]
        before = self._done[at, task]
        now = before + share
        now = np.where(1.0 - now < UNDONE, 1.0, now)
        share = now - before
        self._done[at, task] = now
        late = self._late_days[task, day]
        self._days_late[at, task] += share * late
        self._late[at, task] += share * (late > 0.0)
        self._first[at, task] = np.minimum(self._first[at, task], day)
        self._last[at, task] = day
        self._by[at, task] = tractor
        worked = lasts * season.tasks.fit[task]
        # The road is paid as well; time that is not fit for the work is not.
        self._cost[at] += worked * season.choices.cost[self._enlisted[entry]]
        paid = (worked + away) / np.maximum(away + lasts, _INSTANT)
        rest = away + lasts
        for operator in self._cheapest_first:
            part = np.minimum(self._time[at, operator], rest)
            self._time[at, operator] -= part
            self._cost[at] += paid * part * season.crew.cost[operator]
            rest = rest - part
        choice = self._enlisted[entry]
        self._used[at, choice] = True
        self._run[at, tractor] = np.where(self._hand[at, tractor] == choice, self._run[at, tractor], 0.0) + lasts
        self._hand[at, tractor] = choice
        self._clock[at, tractor] = end
        self._taken[at, implement] = end
        self._with[at, implement] = tractor
        self._at[at, tractor] = self._place[entry]
        self._hitched[at, tractor] = implement
        if self._behind:
            self._began[at, task] = np.maximum(self._began[at, task], start)
            self._ended[at, task] = np.maximum(self._ended[at, task], end)
        if self._write:
            self._blocks.append((at, np.full_like(at, day), self._enlisted[entry], begin, away, lasts, worked, share))

    def end(self) -> bool:
        """End the day; return whether everything is done in all lanes."""
        if len(self._season.orders.rest):
            self._past.append(self._done.copy())
        return bool((self._done >= 1.0).all())

    def course(self) -> Course:
        """Return what has come of it."""
        left = 1.0 - self._done
        diary = None
        if self._write:
            empty = (*(np.zeros(0, dtype=np.intp),) * 3, *(np.zeros(0),) * 5)
            columns = [np.concatenate(column) for column in zip(empty, *self._blocks, strict=True)]
            order = np.lexsort((columns[3], columns[1], columns[0]))
            diary = Diary(*(column[order] for column in columns))
        return Course(
            left,
            self._first,
            self._last,
            np.minimum(self._late + left, 1.0),
            self._days_late + left * self._late_days[:, -1],
            self._cost,
            self._used,
            diary,
        )
