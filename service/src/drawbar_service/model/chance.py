"""The chance that a match holds: at which draft the first limit breaks, and how likely more draft than that is.

Draft and PTO-driven power lie within the range of their tables, together: one standard normal score ``z`` moves all,

    draft of a tool = central draft x exp(z sigma),    sigma as in model/implement.py draft_sigma

so the first limit that breaks does so at one score, which is searched for, and the share of the normal distribution
below it is the chance. A field with a slope has a score at the other end, too: so little draft that the machine pushes.
Where more than that is uncertain, or draft and PTO power are not to move together, ask for odds.
"""

from collections.abc import Callable
from typing import Final, Literal, NamedTuple, TypeAlias, get_args

from drawbar_service.engine.arrays import (
    Mask,
    Real,
    both,
    choose,
    either,
    everywhere,
    exp,
    larger,
    log,
    normal_score,
    normal_share,
    opposite,
    smaller,
)
from drawbar_service.engine.draft import NO_DRAFT
from drawbar_service.engine.match import Work
from drawbar_service.engine.odds import log_sigma
from drawbar_service.engine.reach import Reach
from drawbar_service.model.implement import PowerNeeds
from drawbar_service.model.limits import ROUNDING, WHATEVER_THE_DRAFT, LimitName, Margins, is_kept
from drawbar_service.model.match import Case, Confidence, Worked, downhill_excess_at
from drawbar_service.model.span import Span

Word: TypeAlias = Literal["holds", "close", "fails", "cannot-tell"]
VERDICTS: Final[tuple[Word, ...]] = get_args(Word)
"""Every verdict; its place here stands for it in numbers."""

HOLDS, CLOSE, FAILS = (float(VERDICTS.index(word)) for word in ("holds", "close", "fails"))
"""Numbers of the verdicts by chance."""
CANNOT_TELL = float(VERDICTS.index("cannot-tell"))
"""Number of the verdict where a limit could not be checked."""

FARTHEST = 8.0
"""Score [1] at which the search ends; beyond it lies less than one in 10^15."""
_SETTLED = 1e-6
"""Tolerance of the search, in excess [1]: far below what a chance is known to."""
_ARRIVED = 1e-9
"""Step [1] after which a score stays."""
_STEPS = 12
"""More than the searches take."""
_POWERS: tuple[LimitName, ...] = ("power", "pull", "slip", "front-axle")
"""Limits that more draft breaks."""
_DOWNHILL: tuple[LimitName, ...] = ("pushing", "braking")
"""Limits that less draft breaks."""
_LEAST = 1e-300
"""Least number that a logarithm is taken of."""
_HALF = 0.5
"""Chance [1] of what just keeps its limits by the central figures."""


class Scatter(NamedTuple):
    """How far what is uncertain moves with one score: standard deviations of logarithms [1]."""

    tools: tuple[Real, ...]
    rotary: Real


def scatter(case: Case) -> Scatter:
    """Return how far draft and PTO-driven power of a match move."""
    deviations = case.confidence.deviations
    return Scatter(tuple(draft.sigma(deviations) for draft in case.drafts), rotary_sigma(case.needs, deviations))


def rotary_sigma(needs: PowerNeeds, deviations: Real) -> Real:
    """Return the standard deviation of the logarithm of PTO-driven power [1], 0 where there is none.

    The range of its table stands for so many standard `deviations` [1].
    """
    driven = needs.rotary > 0.0
    spread_there = larger(needs.rotary_high / choose(driven, needs.rotary, 1.0) - 1.0, 0.0)
    return choose(driven, log_sigma(spread_there, deviations), 0.0)


def case_at(case: Case, score: Real) -> Case:
    """Return a match whose draft and PTO-driven power lie at a `score` [1] of their range."""
    scattered, needs = scatter(case), case.needs
    drafts = [
        draft._replace(terms=draft.terms.times(exp(score * sigma)))
        for draft, sigma in zip(case.drafts, scattered.tools, strict=True)
    ]
    terms = NO_DRAFT
    for draft in drafts:
        terms = terms.plus(draft.terms)
    rotary = needs.rotary * exp(score * scattered.rotary)
    work = Work(terms, case.work.value.steady_pull, rotary + needs.hydraulic + needs.electric)
    return case._replace(drafts=drafts, work=Span(work))


def holding_score(confidence: Confidence) -> Real:
    """Return the score [1] that draft has to reach before a match that only just holds breaks a limit."""
    return normal_score(confidence.holds_from)


class Chance(NamedTuple):
    """How likely a match holds, and what that is called."""

    value: Real
    """That every limit is kept [1]; means nothing where that cannot be told."""
    word: Real
    """Number of the verdict."""

    @property
    def told(self) -> Mask:
        """Whether it can be told at all."""
        return self.word != CANNOT_TELL


def chance_of(worked: Worked, reach: Reach) -> Chance:
    """Return the chance that a match keeps every limit at its speed, and the verdict.

    Parameters
    ----------
    worked : Worked
    reach : Reach
        What the tractor can do within its limits: ``worked.case.reach()``.
    """
    kept = _kept(worked.left, WHATEVER_THE_DRAFT)
    above = _breaking_score(worked, reach)
    value = normal_share(above)
    if worked.case.way_down is not None:
        value = larger(value - normal_share(_pushing_score(worked)), 0.0)
    value = choose(kept, value, 0.0)
    return Chance(value, word_for(value, worked))


def word_for(chance: Real, worked: Worked) -> Real:
    """Return the number of the verdict for a `chance` [1].

    What keeps every limit by the central figures is at worst close, and what does not is at best close, unless the
    caller drew the lines elsewhere than around one half. Where a limit cannot be checked and no other is exceeded, it
    cannot be told.
    """
    confidence, fits = worked.case.confidence, worked.fits
    holds = both(chance >= confidence.holds_from - ROUNDING, either(fits, confidence.holds_from <= _HALF))
    fails = both(chance < confidence.fails_below - ROUNDING, either(opposite(fits), confidence.fails_below > _HALF))
    word = choose(holds, HOLDS, choose(fails, FAILS, CLOSE))
    return choose(_hangs_on_unchecked(worked), CANNOT_TELL, word)


def _hangs_on_unchecked(worked: Worked) -> Mask:
    """Return whether a limit that cannot be checked decides: every other one is kept."""
    unchecked: Mask = False
    for where in worked.unchecked.values():
        unchecked = either(unchecked, where)
    others: tuple[LimitName, ...] = tuple(name for name in worked.left if name not in worked.unchecked)
    return both(unchecked, _kept(worked.left, others)) if worked.unchecked else False


def _kept(left: Margins, names: tuple[LimitName, ...]) -> Mask:
    kept: Mask = True
    for name in names:
        kept = both(kept, is_kept(name, left))
    return kept


class _Load(NamedTuple):
    """What moves with the score, at one speed."""

    tools: tuple[Real, ...]
    """Central draft [N]"""
    scatter: Scatter
    steady: Real
    """[N]"""
    rotary: Real
    """[W]"""
    other: Real
    """[W]"""

    def draft(self, score: Real) -> Real:
        """Return the draft [N] at a score."""
        draft: Real = 0.0
        for tool, sigma in zip(self.tools, self.scatter.tools, strict=True):
            draft = draft + tool * exp(score * sigma)
        return draft

    def power(self, score: Real) -> Real:
        """Return power besides pulling [W] at a score."""
        return self.other + self.rotary * exp(score * self.scatter.rotary)


def _load(worked: Worked) -> _Load:
    case, needs = worked.case, worked.case.needs
    return _Load(
        tuple(draft.terms.at(worked.speed) for draft in case.drafts),
        scatter(case),
        case.work.value.steady_pull,
        needs.rotary,
        needs.hydraulic + needs.electric,
    )


def _breaking_score(worked: Worked, reach: Reach) -> Real:
    """Return the score [1] above which the tractor does not keep its limits."""
    load, speed = _load(worked), worked.speed
    held = _score_of_draft(load, reach.pull - load.steady)

    def excess(score: Real) -> Real:
        power = reach.takes(reach.machine, load.draft(score) + load.steady, speed) + load.power(score)
        return log(larger(power, _LEAST) / reach.power)

    now = log(larger(worked.power.value, _LEAST) / reach.power)
    power = _rising_root(excess, now, _steepness(load), held)
    kept = _kept(worked.left, _POWERS)
    # What is asked is on the same side of the limits as the match itself, whatever rounding says.
    score = smaller(held, power)
    return choose(kept, larger(score, 0.0), smaller(score, 0.0)) if _moves(load) else _certain(kept)


def _pushing_score(worked: Worked) -> Real:
    """Return the score [1] below which the machine pushes, or the wheels cannot hold it, on the way downhill."""
    case, load = worked.case, _load(worked)
    assert case.way_down is not None
    kept = _kept(worked.left, _DOWNHILL)
    if not _moves(load):
        return -_certain(kept)
    pushes = _score_of_draft(load, 2.0 * case.way_down.push - load.steady)

    def excess(score: Real) -> Real:
        found = downhill_excess_at(case, case_at(case, -score).work.value, worked.speed)
        return found.braking if found is not None else -1.0

    now = -worked.left["braking"] if "braking" in worked.left else -1.0
    brakes = -_rising_root(excess, now, 0.1, FARTHEST)
    score = larger(pushes, brakes)
    return choose(kept, smaller(score, 0.0), larger(score, 0.0))


def _moves(load: _Load) -> bool:
    """Return whether anything is uncertain."""
    sigmas = (*load.scatter.tools, load.scatter.rotary)
    return any(bool(sigma > 0.0) for sigma in sigmas)


def _certain(kept: Mask) -> Real:
    return choose(kept, FARTHEST, -FARTHEST)


def _steepness(load: _Load) -> Real:
    """Return about how fast the logarithm of the power rises with the score [1]: never 0."""
    sigma: Real = load.scatter.rotary
    for one in load.scatter.tools:
        sigma = larger(sigma, one)
    return larger(sigma, 1e-3)


def _score_of_draft(load: _Load, draft: Real) -> Real:
    """Return the score [1] at which the draft is this `draft` [N], within the ends of the search.

    Newton's method on the logarithm of the draft, which is convex and rises: exact at once for a single tool. A row
    that has arrived stays, so that it never depends on its neighbours.
    """
    if not load.tools:
        return choose(draft >= 0.0, FARTHEST, -FARTHEST)
    target = log(larger(draft, _LEAST))
    score: Real = 0.0
    settled: Mask = False
    for _ in range(1 if len(load.tools) == 1 else _STEPS):
        whole: Real = 0.0
        rise: Real = 0.0
        for tool, sigma in zip(load.tools, load.scatter.tools, strict=True):
            part = tool * exp(score * sigma)
            whole, rise = whole + part, rise + part * sigma
        slope = larger(rise / larger(whole, _LEAST), 1e-9)
        ahead = _within(score + (target - log(larger(whole, _LEAST))) / slope)
        step = choose(settled, 0.0, ahead - score)
        score = choose(settled, score, ahead)
        settled = abs(step) < _ARRIVED
        if everywhere(settled):
            break
    return choose(draft > 0.0, score, -FARTHEST)


def _within(score: Real) -> Real:
    return smaller(larger(score, -FARTHEST), FARTHEST)


def _rising_root(excess: Callable[[Real], Real], now: Real, steepness: Real, most: Real) -> Real:
    """Return the score [1] at which a rising `excess` [1] is 0, no further than `most` [1].

    Secant method from score 0, where the excess is `now` [1]; nearly a straight line. A row that has arrived stays.
    """
    before, at_before = 0.0 * most, now
    score = smaller(_within(-now / steepness), most)
    settled: Mask = False
    for _ in range(_STEPS):
        found = excess(score)
        at_an_end = either(both(score >= most, found <= 0.0), both(score <= -FARTHEST, found >= 0.0))
        step = score - before
        slope = larger((found - at_before) / choose(step == 0.0, 1.0, step), 1e-6)
        ahead = choose(at_an_end, score, smaller(_within(score - found / slope), most))
        before, at_before = choose(settled, before, score), choose(settled, at_before, found)
        score = choose(settled, score, ahead)
        # The secant's next error is about the product of its last two.
        settled = either(settled, either(abs(found * step) <= _SETTLED, at_an_end))
        if everywhere(settled):
            break
    return score
