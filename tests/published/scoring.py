"""How well stated ranges hold: coverage, sharpness and a proper score, and the spread of draft that scores best.

A range is the 90 % interval of a log-normal quantity, so scores are those of its logarithm: they have no unit, and
power and fuel of heavy and light work count alike.
"""

from functools import cache
from statistics import mean, median

import numpy as np
from scipy.special import ndtr
from tests.published import cases

from drawbar_service.engine.odds import END_SCORE
from drawbar_service.reference.own import GivenRow, in_force, laid_over

MISSED = 0.10
"""Share of figures that a stated range lets lie outside, half on each side [1]."""
STEP = 0.05
"""To which a spread is fitted: half a dozen figures tell no more [1]."""


def logs(figure):
    """Logarithms of the published figure, of ours and of both ends."""
    return np.log([figure.check.published, figure.check.ours, figure.low, figure.high])


def interval_score(figure):
    """Interval score of the logarithm (Gneiting and Raftery 2007): width, and 2 / 0.1 times what it is missed by."""
    published, _, low, high = logs(figure)
    return (high - low) + 2.0 / MISSED * (max(low - published, 0.0) + max(published - high, 0.0))


def crps(figure):
    """Continuous ranked probability score of the logarithm, taken as normal about ours with the width of the range."""
    published, ours, low, high = logs(figure)
    sigma = (high - low) / (2.0 * END_SCORE)
    score = (published - ours) / sigma
    density = np.exp(-0.5 * score**2) / np.sqrt(2.0 * np.pi)
    return sigma * (score * (2.0 * ndtr(score) - 1.0) + 2.0 * density - 1.0 / np.sqrt(np.pi))


def summary(figures):
    """Number, figures inside, mean error with and without its sign, median high over low, and both mean scores."""
    offs = [figure.check.off for figure in figures]
    return {
        "figures": len(figures),
        "inside": sum(figure.inside for figure in figures),
        "bias": mean(offs),
        "error": mean(abs(off) for off in offs),
        "high_over_low": median(figure.high / figure.low for figure in figures),
        "interval_score": mean(interval_score(figure) for figure in figures),
        "crps": float(mean(crps(figure) for figure in figures)),
    }


SLACK = 0.05
"""How far the score of the spread that is taken lies above the least, at most [1]."""
SPREADS = {
    "draft_spread_primary": "primary tillage",
    "draft_spread_secondary": "other tillage",
    "draft_spread_light": "light tillage and seeding",
}
"""The kind of operation to which each spread belongs."""


@cache
def scores_by_spread(name):
    """Mean interval score on the figures that are not held back, for each spread tried."""
    scores = {}
    for steps in range(1, 15):
        tried = GivenRow("", name, {"value": STEP * steps})
        with in_force(laid_over([("defaults", tried)])):
            fitted = [one for one in cases.field_figures() if not one.held_back and one.kind == SPREADS[name]]
            scores[round(STEP * steps, 2)] = float(mean(interval_score(one) for one in fitted))
    return scores


def fitted(name):
    """The widest spread whose interval score is nearly the least."""
    scores = scores_by_spread(name)
    return max(spread for spread, score in scores.items() if score <= (1.0 + SLACK) * min(scores.values()))
