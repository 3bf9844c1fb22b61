"""Learning from runs, against brute force, against worlds whose truth is known, and against refitting."""

import numpy as np
import pytest

from drawbar_service.engine.axle_loads import axle_loads
from drawbar_service.engine.calibration import (
    FUEL,
    LOAD,
    PULL,
    SLIP,
    FieldRuns,
    Measurements,
    Prior,
    learn,
    predict,
    residuals,
    stand_out,
)
from drawbar_service.engine.draft import draft_terms
from drawbar_service.engine.match import Tractor, Work
from drawbar_service.engine.odds import log_sigma
from drawbar_service.engine.slip import Axle, slip_from_distances, slip_from_turns, slip_standard_error
from drawbar_service.engine.traction import RADIAL, second_pass_cone_index, wheel_stiffness

PRIOR = Prior(draft=float(log_sigma(0.5, 2.0)), soil=0.3)
ERRORS = {PULL: 0.05, SLIP: 0.015, FUEL: 0.05, LOAD: 0.05}


def field_runs(count=5, cone_index=1.2e6, seed=1, in_track=False):
    """A front-wheel-assist tractor of 9.4 t on a chisel plow of 11 points, at various speeds and slopes."""
    rng = np.random.default_rng(seed)
    speed = rng.uniform(1.4, 2.4, count)
    angle = rng.uniform(-0.04, 0.04, count)
    weight = 9400.0 * 9.80665
    front = Axle(2.0 * wheel_stiffness(cone_index, 0.54, 1.464, 0.2), RADIAL, 1.0)
    rear = Axle(2.0 * wheel_stiffness(cone_index, 0.65, 1.912, 0.2), RADIAL, 1.0)
    loads = axle_loads(weight, 0.41, 2.82, 1.0, 0.5, 0.9, 0.9, 0.0, 0.0, np.sin(angle), np.cos(angle))
    mobility = None
    if in_track:
        mobility = front.stiffness / loads.front_standing
        again = second_pass_cone_index(1.0, mobility)
        rear = rear._replace(stiffness=rear.stiffness * again)
    tractor = Tractor(front, rear, loads, weight * np.sin(angle), 0.96)
    depth = rng.uniform(0.14, 0.2, count)
    work = Work(draft_terms(123.0, 7.3, 0.0, 0.85, 11.0, depth), 3000.0 * 9.80665 * np.sin(angle), 0.0)
    return FieldRuns(tractor, work, speed, 145e3, np.full(count, 0.9), mobility)


def measurements(runs, kinds, factors, rng=None, errors=None):
    """What instruments show with these factors, with errors if there is a generator of them."""
    errors = ERRORS | (errors or {})
    shown = predict(runs, *factors)
    rows = []
    for kind in kinds:
        for run, truth in enumerate(shown[kind]):
            noise = errors[kind] * rng.standard_normal() if rng is not None else 0.0
            value = truth + noise if kind == SLIP else truth * (1.0 + noise)
            rows.append((kind, run, value, errors[kind]))
    kind, run, value, error = zip(*rows, strict=True)
    return Measurements(np.array(kind), np.array(run), np.array(value), np.array(error))


def quadrature(runs, measured, prior, centre, sd, points=241):
    """Mean and standard deviation of both logarithms by summing the posterior density over a grid."""
    axes = [np.linspace(c - 7.0 * s, c + 7.0 * s, points) for c, s in zip(centre, sd, strict=True)]
    draft, soil = np.meshgrid(*axes, indexing="ij")
    data = residuals(runs, measured, np.exp(draft)[..., np.newaxis], np.exp(soil)[..., np.newaxis])
    misfit = np.sum(data**2, axis=0) + (draft / prior.draft) ** 2 + (soil / prior.soil) ** 2
    density = np.exp(-0.5 * (misfit - misfit.min()))
    density /= density.sum()
    peak = np.unravel_index(np.argmin(misfit), misfit.shape)
    means = np.array([np.sum(density * x) for x in (draft, soil)])
    sds = np.array([np.sqrt(np.sum(density * (x - mean) ** 2)) for x, mean in zip((draft, soil), means, strict=True)])
    correlation = np.sum(density * (draft - means[0]) * (soil - means[1])) / np.prod(sds)
    steps = np.array([axis[1] - axis[0] for axis in axes])
    return np.array([draft[peak], soil[peak]]), steps, means, sds, correlation


@pytest.mark.parametrize("in_track", [False, True], ids=["own-track", "front-track"])
@pytest.mark.parametrize(
    ("kinds", "spread_within", "mean_within"),
    [
        # The less is known, the less normal the posterior: these are the errors of the normal approximation.
        ((PULL, SLIP, FUEL, LOAD), 0.03, 0.15),
        ((PULL, SLIP), 0.05, 0.15),
        ((FUEL, SLIP), 0.05, 0.15),
        ((LOAD,), 0.07, 0.15),
        ((SLIP,), 0.08, 0.3),
    ],
    ids=["all", "pull-slip", "fuel-slip", "load", "slip"],
)
def test_median_and_spread_agree_with_brute_force(kinds, spread_within, mean_within, in_track):
    """Against the posterior density summed over a grid of 241 by 241 points."""
    runs = field_runs(5, in_track=in_track)
    measured = measurements(runs, kinds, (1.2, 0.8), np.random.default_rng(7))
    found = learn(runs, measured, PRIOR)
    sd = np.sqrt(np.diag(found.covariance))
    peak, steps, means, sds, correlation = quadrature(runs, measured, PRIOR, found.log_factors, sd)
    assert (np.abs(found.log_factors - peak) <= 0.51 * steps).all()
    assert sd == pytest.approx(sds, rel=spread_within)
    assert (np.abs(found.log_factors - means) <= mean_within * sds).all()
    assert found.covariance[0, 1] / sd.prod() == pytest.approx(correlation, abs=0.05)


def worlds(count, seed):
    """How often the truth lies within two standard deviations, and how much narrower the posterior is."""
    rng = np.random.default_rng(seed)
    hits, narrower = np.zeros((count, 2)), np.zeros((count, 2))
    for world in range(count):
        truth = np.array(PRIOR) * rng.standard_normal(2)
        runs = field_runs(5, seed=int(rng.integers(2**31)))
        measured = measurements(runs, (PULL, SLIP, FUEL), np.exp(truth), rng)
        found = learn(runs, measured, PRIOR)
        sd = np.sqrt(np.diag(found.covariance))
        hits[world] = np.abs(found.log_factors - truth) <= 2.0 * sd
        narrower[world] = np.array(PRIOR) / sd
    return hits.mean(axis=0), narrower


def check_worlds(count, seed):
    coverage, narrower = worlds(count, seed)
    print(f"{count} worlds: coverage {coverage}, narrower {np.median(narrower, axis=0)}, least {narrower.min(axis=0)}")
    assert coverage.min() >= 0.93
    assert narrower[:, 0].min() >= 3.0


def test_the_truth_is_found_in_worlds_where_it_is_known():
    """5 runs with 5 % noise; if all is well, a truth drawn from the prior lies within two deviations in 95.4 %."""
    check_worlds(200, seed=20)


@pytest.mark.nightly
def test_the_truth_is_found_in_many_worlds():
    check_worlds(1000, seed=21)


def test_without_noise_and_with_exact_instruments_the_truth_comes_back():
    runs = field_runs(5)
    exact = dict.fromkeys(ERRORS, 1e-4)
    found = learn(runs, measurements(runs, (PULL, SLIP), (1.3, 0.7), errors=exact), PRIOR)
    assert np.exp(found.log_factors) == pytest.approx([1.3, 0.7], rel=1e-3)
    assert found.p_value > 0.5


def test_the_search_starts_anywhere_in_reach():
    """Six prior standard deviations away, beyond the coarse grid."""
    runs = field_runs(5)
    truth = np.exp(np.array([-6.0, -6.0]) * PRIOR)
    found = learn(runs, measurements(runs, (PULL, SLIP), truth, errors=dict.fromkeys(ERRORS, 1e-4)), PRIOR)
    assert np.exp(found.log_factors) == pytest.approx(truth, rel=0.02)


@pytest.mark.parametrize("seed", [3, 11, 21, 44])
def test_a_local_minimum_is_not_taken_for_the_lowest(seed):
    """Runs on soft soil, seen by slip or fuel alone, fit in two places; a grid over the prior knows which fits best."""
    runs = field_runs(3, seed=seed, cone_index=5e5)
    rng = np.random.default_rng(seed)
    factors = np.exp(2.0 * rng.standard_normal(2) * np.array(PRIOR))
    for kinds in ((SLIP,), (FUEL,)):
        measured = measurements(runs, kinds, factors, np.random.default_rng(seed))
        draft, soil = np.meshgrid(*(np.linspace(-4.0, 4.0, 81) for _ in PRIOR), indexing="ij")
        data = residuals(
            runs, measured, np.exp(PRIOR.draft * draft)[..., np.newaxis], np.exp(PRIOR.soil * soil)[..., np.newaxis]
        )
        least = np.min(np.sum(data**2, axis=0) + draft**2 + soil**2)
        assert learn(runs, measured, PRIOR).misfit <= least + 1e-6


@pytest.mark.parametrize("in_track", [False, True], ids=["own-track", "front-track"])
def test_a_factor_on_the_soil_is_softer_soil_under_every_wheel(in_track):
    by_factor = predict(field_runs(5, cone_index=1.2e6, in_track=in_track), 1.1, 0.75)
    by_soil = predict(field_runs(5, cone_index=0.9e6, in_track=in_track), 1.1, 1.0)
    for one, other in zip(by_factor, by_soil, strict=True):
        assert one == pytest.approx(other, rel=1e-9)
    assert (by_factor.slip > predict(field_runs(5, cone_index=1.2e6, in_track=in_track), 1.1, 1.0).slip).all()


def test_pull_alone_says_nothing_of_the_soil():
    runs = field_runs(5)
    found = learn(runs, measurements(runs, (PULL,), (1.2, 0.8), np.random.default_rng(3)), PRIOR)
    assert found.log_factors[1] == pytest.approx(0.0, abs=1e-9)
    assert np.sqrt(found.covariance[1, 1]) == pytest.approx(PRIOR.soil, rel=1e-9)
    assert found.covariance[0, 1] == pytest.approx(0.0, abs=1e-9)


def test_pull_alone_follows_the_textbook_mean_of_normals():
    """On the level the logarithm of the pull is that of the draft: precisions add up (conjugate normal model)."""
    runs = field_runs(4)
    runs = runs._replace(work=runs.work._replace(steady_pull=np.zeros(4)))
    measured = measurements(runs, (PULL,), (1.25, 1.0), np.random.default_rng(5))
    ratios = np.log(measured.value / predict(runs, 1.0, 1.0).pull)
    precision = 1.0 / PRIOR.draft**2 + 4.0 / ERRORS[PULL] ** 2
    found = learn(runs, measured, PRIOR)
    assert found.log_factors[0] == pytest.approx(ratios.sum() / ERRORS[PULL] ** 2 / precision, rel=1e-6)
    assert found.covariance[0, 0] == pytest.approx(1.0 / precision, rel=1e-6)


def test_leaving_a_run_out_is_what_refitting_without_it_gives():
    runs = field_runs(6)
    measured = measurements(runs, (PULL, SLIP, FUEL), (1.1, 0.9), np.random.default_rng(11))
    whole = learn(runs, measured, PRIOR)
    for run in range(6):
        rest = learn(runs, measured.without(np.array([run])), PRIOR)
        expected = residuals(runs, measured, *np.exp(rest.log_factors))[measured.run == run]
        nudge = 1e-4 * np.sqrt(np.diag(rest.covariance))
        slope = np.stack(
            [
                (
                    residuals(runs, measured, *np.exp(rest.log_factors + step))
                    - residuals(runs, measured, *np.exp(rest.log_factors - step))
                )[measured.run == run]
                / (2.0 * step.sum())
                for step in np.diag(nudge)
            ],
            axis=-1,
        )
        predictive = np.eye(len(expected)) + slope @ rest.covariance @ slope.T
        # Not exactly: the slopes are those of the fit with the run.
        assert whole.left_out[measured.run == run] == pytest.approx(expected / np.sqrt(np.diag(predictive)), abs=0.05)


def test_a_run_that_is_off_stands_out_alone():
    runs = field_runs(6)
    measured = measurements(runs, (PULL, SLIP), (1.0, 1.0), np.random.default_rng(2))
    odd = measured._replace(
        value=np.where((measured.quantity == PULL) & (measured.run == 3), 1.8, 1.0) * measured.value
    )
    whole = learn(runs, odd, PRIOR)
    found = stand_out(runs, odd, PRIOR, whole)
    assert found.apart == [3]
    # It is counted in the whole, and does not count in the rest.
    assert whole.log_factors[0] > found.rest.log_factors[0] + 0.05
    assert found.rest.log_factors == pytest.approx(learn(runs, measured.without(np.array([3])), PRIOR).log_factors)


def test_when_half_the_runs_are_apart_it_ends():
    """Six pulls, each twice that of the run before, within a thousandth: whichever are left disagree as well."""
    runs = field_runs(6)
    measured = measurements(runs, (PULL,), (1.0, 1.0), errors={PULL: 1e-3})
    none_agree = measured._replace(value=measured.value * 2.0**measured.run)
    found = stand_out(runs, none_agree, PRIOR, learn(runs, none_agree, PRIOR))
    assert len(found.apart) == len(set(found.apart)) == 3
    assert len(found.rest.residuals) == 3


def test_sound_runs_do_not_stand_out():
    apart = 0
    for seed in range(60):
        runs = field_runs(5, seed=seed)
        measured = measurements(runs, (PULL, SLIP), (1.1, 0.9), np.random.default_rng(seed))
        apart += len(stand_out(runs, measured, PRIOR, learn(runs, measured, PRIOR)).apart)
    # 600 measurements, of which 0.27 % lie beyond three standard deviations.
    assert apart <= 5


def test_the_misfit_has_the_distribution_it_is_said_to_have():
    """Chances of the misfit are spread evenly over 0 to 1 where truth and errors are as said."""
    rng = np.random.default_rng(4)
    chances = []
    for _ in range(150):
        runs = field_runs(5, seed=int(rng.integers(2**31)))
        measured = measurements(runs, (PULL, SLIP), np.exp(np.array(PRIOR) * rng.standard_normal(2)), rng)
        chances.append(learn(runs, measured, PRIOR).p_value)
    # Kolmogorov's bound for 150 values at 1 in 1000.
    gap = np.abs(np.sort(chances) - (np.arange(150) + 0.5) / 150).max()
    assert gap < 1.95 / np.sqrt(150)


def test_a_pull_no_one_could_need_stays_finite():
    """Downhill, an implement that pushes: the predicted pull is below 0 and has no logarithm."""
    runs = field_runs(3)
    runs = runs._replace(work=runs.work._replace(steady_pull=np.full(3, -2e5)))
    one = Measurements(np.array([PULL]), np.array([0]), np.array([3e4]), np.array([0.03]))
    assert np.isfinite(residuals(runs, one, 1.0, 1.0)).all()
    assert np.isfinite(learn(runs, one, PRIOR).covariance).all()


def test_a_grid_of_factors_gives_what_single_ones_give():
    runs = field_runs(4, in_track=True)
    measured = measurements(runs, (PULL, SLIP, FUEL, LOAD), (1.1, 0.9), np.random.default_rng(9))
    draft, soil = np.array([0.7, 1.0, 1.6]), np.array([0.5, 1.0, 1.9])
    together = residuals(runs, measured, draft[:, np.newaxis], soil[:, np.newaxis])
    for index in range(3):
        alone = residuals(runs, measured, float(draft[index]), float(soil[index]))
        assert together[:, index] == pytest.approx(alone, rel=1e-7, abs=1e-9)


def test_slip_from_distances_and_its_error():
    assert slip_from_distances(45.0, 50.0) == pytest.approx(0.1)
    # The same wheels, seen from turns: 50/45 times as many over one distance.
    assert slip_from_distances(45.0, 50.0) == pytest.approx(slip_from_turns(50.0, 45.0))


def test_the_error_of_slip_agrees_with_repeated_readings():
    rng = np.random.default_rng(1)
    lesser, greater = (reading + 0.05 * rng.standard_normal(200_000) for reading in (8.8, 10.0))
    assert slip_standard_error(8.8, 10.0, 0.05) == pytest.approx(np.std(1.0 - lesser / greater), rel=0.01)
