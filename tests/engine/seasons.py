"""Seasons for tests, and everything a plan has to keep, checked from its diary alone."""

import itertools

import numpy as np

from drawbar_service.engine.season import SAME_DAY, Choices, Crew, Machines, Orders, Season, Tasks, Ways
from drawbar_service.engine.season_plan import plan
from drawbar_service.engine.season_program import relaxed

DAY = 10 * 3600.0
HECTARE = 1e4
ALWAYS = 10**6
_INSTANT = 0.1


def whole(numbers):
    return np.array(numbers, dtype=np.intp)


def machines(count, first=None, last=None, share=None, since=None, need=None, away=()):
    return Machines(
        whole([0] * count if first is None else first),
        whole([ALWAYS] * count if last is None else last),
        np.array([1.0] * count if share is None else share),
        whole([0] * count if since is None else since),
        np.array([np.inf] * count if need is None else need, dtype=float),
        whole(list(away)).reshape(-1, 3),
    )


def ways(fields, *, least=0.0, hitch=np.inf, travel=None):
    return Ways(least, hitch, np.zeros((fields + 1, fields)) if travel is None else np.asarray(travel, dtype=float))


def season(
    areas,
    choices,
    *,
    periods,
    due=None,
    opens=None,
    weight=None,
    orders=(),
    tractors,
    implements,
    crew=None,
    fields=None,
    fit=None,
    ways_of=None,
    done=None,
    done_on=None,
):
    """A season of whole days of ten hours; a choice is (task, tractor, implement, hectares a day, money a day)."""
    count = len(areas)
    columns = list(zip(*choices, strict=True))
    places = list(range(count)) if fields is None else fields
    operators = crew if crew is not None else tractors
    return Season(
        Tasks(
            np.array(areas) * HECTARE,
            np.ones(count) if weight is None else np.array(weight, dtype=float),
            whole([0] * count if opens is None else opens),
            whole([periods - 1] * count if due is None else due),
            whole(places),
            np.ones(count) if fit is None else np.array(fit, dtype=float),
            np.zeros(count) if done is None else np.array(done, dtype=float),
            whole([-1] * count if done_on is None else done_on),
        ),
        Choices(
            *(whole(column) for column in columns[:3]),
            np.array(columns[3]) * HECTARE / DAY,
            np.array(columns[4]) / DAY,
        ),
        Orders(*(whole([order[column] for order in orders]) for column in range(3))),
        machines(tractors),
        machines(implements),
        Crew(np.full(operators, DAY), np.zeros(operators)),
        ways(max(places) + 1) if ways_of is None else ways_of,
        DAY,
        np.ones(periods),
    )


def planned(given, **more):
    return plan(given, relaxed(given), **more)


def done_by_day(given, made):
    """Share of each task done on each day."""
    diary = made.diary
    done = np.zeros((len(given.tasks.area), given.days))
    np.add.at(done, (given.choices.task[diary.choice], diary.day), diary.share)
    return done


def farm(seed, *, tractors=4, implements=6, fields=12, days=25, pace=1.0, ways_of=None, alike=False):
    """A farm of random fields, each to be worked and then sown; of machines as `alike` as people buy them, or not."""
    random = np.random.default_rng(seed)
    tasks, half = 2 * fields, implements // 2
    areas = np.tile(random.uniform(8.0, 30.0, fields), 2)
    size = random.uniform(0.6, 1.4, tractors)

    def rate(tractor):
        return pace * (15.0 * size[tractor] * random.uniform(0.95, 1.05) if alike else random.uniform(8.0, 22.0))

    choices = [
        (
            task,
            tractor,
            implement,
            rate(tractor),
            200.0 * size[tractor] ** 0.8 if alike else random.uniform(100.0, 300.0),
        )
        for task in range(tasks)
        for implement in (range(half) if task < fields else range(half, implements))
        for tractor in range(tractors)
        if random.random() < 0.7
    ]
    return season(
        areas,
        choices,
        periods=days,
        due=[days - 1 - int(late) for late in random.integers(0, 6, tasks)],
        opens=list(np.tile(random.integers(0, 8, fields), 2)),
        orders=[(field, fields + field, 1) for field in range(fields)],
        tractors=tractors,
        implements=implements,
        crew=max(tractors - 1, 1),
        fields=list(range(fields)) * 2,
        ways_of=ways_of,
    )


def any_season(seed):
    """A random season with everything there is: roads, changes of implement, orders, half days, absences."""
    random = np.random.default_rng(seed)
    fields, tractors, implements = (int(random.integers(*ends)) for ends in ((1, 7), (1, 4), (1, 5)))
    days = int(random.integers(4, 16))
    works = int(random.integers(1, 4))
    places = list(range(fields)) * works
    at = random.uniform(0.0, 5.0, (fields, 2))
    away = np.hypot(*(at[:, np.newaxis, :] - at).transpose(2, 0, 1)) / 25.0 * 3600.0 * (random.random() < 0.6)
    travel = np.vstack([away, random.uniform(0.0, 900.0, fields)])
    hitch = np.inf if random.random() < 0.6 else float(random.uniform(0.0, 3600.0))
    choices = [
        (task, tractor, implement, float(random.uniform(4.0, 25.0)), float(random.uniform(50.0, 300.0)))
        for task, tractor, implement in itertools.product(range(fields * works), range(tractors), range(implements))
        if random.random() < 0.6 or (tractor, implement) == (0, 0)
    ]
    rest = [SAME_DAY, 0, 1, 3]
    orders = [
        (fields * work + field, fields * (work + 1) + field, int(random.choice(rest)))
        for work in range(works - 1)
        for field in range(fields)
        if random.random() < 0.7
    ]
    made = season(
        random.uniform(1.0, 40.0, fields * works),
        choices,
        periods=days,
        due=random.integers(0, days, fields * works),
        opens=random.integers(0, max(days // 2, 1), fields * works),
        weight=random.uniform(0.5, 3.0, fields * works),
        orders=orders,
        tractors=tractors,
        implements=implements,
        crew=int(random.integers(1, tractors + 1)),
        fields=places,
        fit=random.choice([1.0, 1.0, 0.6], fields * works),
        ways_of=ways(fields, least=float(random.choice([0.0, 0.25, 0.5])), hitch=hitch, travel=travel),
    )
    crew = Crew(
        made.crew.time * random.uniform(0.4, 1.0, len(made.crew.time)),
        random.uniform(0.0, 30.0, len(made.crew.time)) / DAY,
    )
    made = made._replace(
        crew=crew,
        length=random.uniform(0.3, 1.2, days),
        tractors=machines(
            tractors, first=random.integers(0, 3, tractors), last=random.integers(days // 2, 2 * days, tractors)
        ),
        implements=machines(implements, share=random.choice([1.0, 1.0, 0.5], implements)),
    )
    return _with_neighbors(made, seed)


def _with_neighbors(made, seed):
    """Days off, machines away or with a neighbor for some time, and work that is done before the season."""
    random = np.random.default_rng([seed, 1])
    days, tractors, implements = made.days, len(made.tractors.first), len(made.implements.first)
    off = (np.arange(days) + int(random.integers(0, 7))) % 7 == 0
    if random.random() < 0.5:
        made = made._replace(length=np.where(off, 0.0, made.length))
    away = [(int(random.integers(0, tractors)), first, first + int(random.integers(0, 3))) for first in (1, days - 3)]
    some = random.random(implements) < 0.3
    need = np.where(some, random.uniform(0.5, 4.0, implements) * DAY, made.implements.need)
    made = made._replace(
        tractors=made.tractors._replace(away=whole(away if random.random() < 0.5 else []).reshape(-1, 3)),
        implements=made.implements._replace(
            share=np.where(some, random.choice([0.0, 0.5], implements), made.implements.share),
            since=np.where(some, random.integers(-1, 3, implements), 0),
            need=need,
        ),
    )
    if random.random() < 0.5:
        return made
    done = random.uniform(0.0, 0.9, len(made.tasks.area)) * (random.random(len(made.tasks.area)) < 0.6)
    for first, then in zip(made.orders.first, made.orders.then, strict=True):
        done[then] = min(done[then], done[first])
    return made._replace(tasks=made.tasks._replace(done=done, done_on=random.integers(-5, 0, len(done))))


def there(machine, number, day, times):
    """Whether a machine is there on a day, of days of these times of work."""
    if any(one == number and first <= day <= last for one, first, last in machine.away):
        return False
    left = machine.need[number]
    for one in range(day + 1):
        share = machine.share[number]
        theirs = one >= machine.since[number] and int((one + 1) * share + 1e-9) <= int(one * share + 1e-9)
        theirs = theirs and left > 1e-3
        if one < day and theirs:
            left -= times[one]
    return machine.first[number] <= day <= machine.last[number] and not theirs


def check(given, made):
    """Everything a plan must keep; nothing of the planner is used."""
    diary, choices, tasks, overnight = made.diary, given.choices, given.tasks, not np.isfinite(given.ways.hitch)
    at, hitched = {}, {}
    done = tasks.done.copy()
    past = [done.copy()]
    times = given.day_time * given.length
    late = cost = 0.0
    runs = []
    for day in range(given.days):
        length = given.day_time * given.length[day]
        rows = [one for one in range(len(diary.day)) if diary.day[one] == day]
        rows.sort(key=lambda one: diary.begins[one])
        used = {"tractor": {}, "implement": {}}
        together = {}
        people = 0.0
        pay = []
        before = {}
        for one in rows:
            choice = diary.choice[one]
            task, tractor, implement = (int(column[choice]) for column in choices[:3])
            field, begins, ends = int(tasks.place[task]), diary.begins[one], None
            ends = begins + diary.moving[one] + diary.lasts[one]
            # Nobody and nothing is in two places, and nothing goes on after the day.
            assert there(given.tractors, tractor, day, times)
            assert there(given.implements, implement, day, times)
            for kind, number in (("tractor", tractor), ("implement", implement)):
                assert begins >= used[kind].get(number, 0.0) - _INSTANT
                used[kind][number] = ends
            assert ends <= length + _INSTANT
            if overnight:
                assert together.setdefault(("tractor", tractor), implement) == implement
                assert together.setdefault(("implement", implement), tractor) == tractor
            # The road and the change of implement are paid in time.
            moving = given.ways.travel[at.get(tractor, -1), field]
            moving += 0.0 if overnight or hitched.get(tractor) == implement else given.ways.hitch
            assert diary.moving[one] >= moving - _INSTANT
            at[tractor], hitched[tractor] = field, implement
            # Area follows from time, and time from what of it is fit.
            assert np.isclose(diary.worked[one], diary.lasts[one] * tasks.fit[task])
            area = diary.worked[one] * choices.rate[choice]
            assert np.isclose(diary.share[one] * tasks.area[task], area, atol=2e-6 * tasks.area[task])
            assert day >= tasks.opens[task]
            # What comes before on the field.
            before[task] = before.get(task, 0.0) + diary.share[one]
            done[task] += diary.share[one]
            late += diary.share[one] * tasks.weight[task] * tasks.area[task] * max(day - tasks.due[task], 0)
            cost += diary.worked[one] * choices.cost[choice]
            people += ends - begins
            pay.append((ends - begins, (diary.worked[one] + diary.moving[one]) / max(ends - begins, 1e-9)))
            if runs and runs[-1][:2] == [tractor, choice]:
                runs[-1][2] += diary.lasts[one] / length
            else:
                mine = next((run for run in reversed(runs) if run[0] == tractor), None)
                if mine is not None and mine[1] == choice:
                    mine[2] += diary.lasts[one] / length
                else:
                    runs.append([tractor, int(choice), diary.lasts[one] / length, task, day])
        for first, then, rest in zip(*given.orders, strict=True):
            if rest == SAME_DAY:
                assert done[then] <= done[first] + 1e-6
                _check_behind(given, diary, rows, int(first), int(then), past[-1])
            elif before.get(int(then), 0.0) > 0.0:
                rested = day >= rest or day - tasks.done_on[first] > rest
                assert done[then] <= (past[max(day - rest, 0)][first] if rested else 0.0) + 1e-6
        hours = np.minimum(given.crew.time * given.length[day], length)
        assert people <= hours.sum() + _INSTANT
        past.append(done.copy())
    assert (done <= 1.0 + 1e-6).all()
    assert np.allclose(1.0 - done, made.course.left[0], atol=1e-6)
    after = tasks.weight * tasks.area * np.maximum(given.days - tasks.due, 0.0) * made.course.left[0]
    assert np.isclose(late + after.sum(), made.lateness, rtol=1e-6, atol=1.0)
    least, most = given.crew.cost.min(), given.crew.cost.max()
    paid = (diary.worked + diary.moving).sum()
    assert cost + least * paid - 1e-6 <= made.cost <= cost + most * paid + 1e-6
    return runs


def _check_behind(given, diary, rows, first, then, before):
    """At every end of a block on either, the work behind has gone no further than the work ahead."""
    spans = {first: [], then: []}
    for one in rows:
        task = int(given.choices.task[diary.choice[one]])
        if task in spans:
            begins = diary.begins[one] + diary.moving[one]
            spans[task].append((begins, begins + diary.lasts[one], diary.share[one]))
    moments = [moment for span in spans.values() for begins, ends, _ in span for moment in (begins, ends)]
    for moment in moments:
        so_far = {
            task: before[task] + sum(share * np.clip((moment - a) / max(b - a, 1e-9), 0.0, 1.0) for a, b, share in span)
            for task, span in spans.items()
        }
        assert so_far[then] <= so_far[first] + 1e-6


def short_runs(given, made, runs):
    """Runs of a tractor on a field that are shorter than the least block, though the field has more work than that."""
    tasks, choices = given.tasks, given.choices
    found = []
    last_share = {}
    for tractor, choice, days, task, day in runs:
        area = tasks.area[task] / (choices.rate[choice] * tasks.fit[task])
        needs = area / (given.day_time * given.length.max())
        last_share[task] = day
        if days < min(given.ways.least, needs) - 1e-6:
            found.append((tractor, choice, days, task, day))
    return found
