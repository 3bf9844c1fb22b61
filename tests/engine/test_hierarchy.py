"""Machines and fields that differ: against closed forms, brute force and worlds whose truth is known."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.engine.hierarchy import Cells, after, before, elsewhere, likelihood, within

PRIOR = 0.25


def cells(values, deviations, machines=None, fields=None) -> Cells:
    count = len(values)
    return Cells(
        np.zeros(count, dtype=np.intp) if machines is None else np.array(machines, dtype=np.intp),
        np.arange(count, dtype=np.intp) if fields is None else np.array(fields, dtype=np.intp),
        np.array(values, dtype=np.float64),
        np.broadcast_to(np.array(deviations, dtype=np.float64), count),
    )


@given(st.floats(-1.0, 1.0), st.floats(0.01, 0.24))
def test_a_likelihood_times_the_prior_is_the_posterior(mean: float, deviation: float) -> None:
    value, error = likelihood(mean, deviation, PRIOR)
    precision = error**-2 + PRIOR**-2
    assert precision**-0.5 == pytest.approx(deviation)
    assert value * error**-2 / precision == pytest.approx(mean, abs=1e-12)


def test_one_machine_on_one_field_is_as_without_groups() -> None:
    found = after(cells([0.3], 0.1), 1, 1, PRIOR)
    share = PRIOR**2 / (PRIOR**2 + 0.1**2)
    assert found.mean == pytest.approx([0.3 * share, 0.0, 0.0])
    assert found.covariance[0, 0] == pytest.approx(share * 0.1**2)
    assert elsewhere(found, 0) == pytest.approx((0.3 * share, 0.1 * share**0.5))


@pytest.mark.parametrize(("machines", "fields"), [(1, 1), (1, 4), (3, 1), (3, 4)])
def test_before_the_runs_each_cell_is_as_wide_as_the_prior(machines: int, fields: int) -> None:
    start = before(machines, fields, PRIOR)
    adds = within(cells([0.0], 1.0), machines, fields)
    assert adds @ start.covariance @ adds.T == pytest.approx(PRIOR**2)
    nothing = after(cells([0.0, 0.0], 1e6, fields=[0, fields - 1]), machines, fields, PRIOR)
    assert np.diag(nothing.covariance) == pytest.approx(np.diag(start.covariance))


def test_the_grid_is_what_sampling_gives() -> None:
    given_cells = cells([0.10, 0.35, 0.20, -0.05], [0.06, 0.08, 0.05, 0.12], machines=[0, 0, 1, 1], fields=[0, 1, 0, 2])
    found = after(given_cells, 2, 3, PRIOR)
    start = before(2, 3, PRIOR)
    random = np.random.default_rng(1)
    draws = 400_000
    common = random.normal(0.0, start.covariance[0, 0] ** 0.5, (draws, 1))
    spread = [np.abs(random.normal(0.0, one, (draws, 1))) for one in (start.between_machines, start.between_fields)]
    effects = np.hstack(
        [common, spread[0] * random.standard_normal((draws, 2)), spread[1] * random.standard_normal((draws, 3))]
    )
    misfit = (effects @ within(given_cells, 2, 3).T - given_cells.value) / given_cells.deviation
    weight = np.exp(-0.5 * np.sum(misfit**2, axis=1))
    mean = np.average(effects, axis=0, weights=weight)
    assert found.mean == pytest.approx(mean, abs=6e-3)
    wide = np.sqrt(np.average((effects - mean) ** 2, axis=0, weights=weight))
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(wide, rel=0.05)
    assert found.between_fields == pytest.approx(np.sqrt(np.average(spread[1][:, 0] ** 2, weights=weight)), rel=0.05)


@given(st.lists(st.floats(-0.6, 0.6), min_size=2, max_size=12), st.floats(0.02, 0.3))
def test_fields_are_drawn_towards_what_is_common(values: list[float], error: float) -> None:
    found = after(cells(values, error), 1, len(values), PRIOR)
    fields = found.mean[0] + found.mean[2:]
    assert np.ptp(fields) <= np.ptp(values) + 1e-9
    assert np.all(np.diff(fields[np.argsort(values)]) >= -1e-9)
    assert elsewhere(found, None)[1] >= found.covariance[0, 0] ** 0.5


def test_intervals_hold_as_often_as_they_say() -> None:
    random = np.random.default_rng(5)
    inside = []
    start = before(1, 8, PRIOR)
    for _ in range(400):
        spread = abs(random.normal(0.0, start.between_fields))
        common = random.normal(0.0, start.covariance[0, 0] ** 0.5)
        truth = common + spread * random.standard_normal(9)
        found = after(cells(truth[:8] + random.normal(0.0, 0.08, 8), 0.08), 1, 8, PRIOR)
        mean, deviation = elsewhere(found, 0)
        inside.append(abs(truth[8] - mean) <= 1.645 * deviation)
    assert np.mean(inside) == pytest.approx(0.9, abs=0.04)
