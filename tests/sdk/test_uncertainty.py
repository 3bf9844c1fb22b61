"""Uncertain inputs through any calculation: samples, quantiles, Sobol indices and derivatives."""

import copy
import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from SALib.analyze.sobol import analyze as salib_analyze
from SALib.sample.sobol import sample as salib_sample

from drawbar.client import Client
from drawbar.errors import DrawbarError
from drawbar.uncertainty import (
    Distribution,
    Study,
    discrete,
    lognormal,
    normal,
    pert,
    sobol_indices,
    triangular,
    uniform,
)
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.fuel import FUEL
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.power import POWER
from drawbar_service.reference import draft_row

SLIP, FUEL_PER_AREA = "/at_work/slip", "/fuel/per_area"


@pytest.fixture(scope="module")
def client() -> Client:
    return Client.in_process()


def body(example: Mapping[str, Any], **more: object) -> dict[str, Any]:
    return {**copy.deepcopy(dict(example)), **more}


# ---- distributions

SHARES = np.array([0.01, 0.2, 0.5, 0.8, 0.99])
EACH = [
    normal(8.0, 0.5),
    lognormal(1100.0, 0.3),
    uniform(2.0, 3.0),
    triangular(1.0, 2.0, 5.0),
    pert(1.0, 2.0, 5.0),
    discrete([1.0, 2.0, 4.0]),
    normal(8.0, 3.0, least=5.0, most=9.0),
]


@pytest.mark.parametrize("one", EACH, ids=lambda one: one.shape)
def test_numbers_rise_with_the_share_below_them_and_keep_to_the_cut(one: Distribution) -> None:
    found = one.at(SHARES)
    assert (np.diff(found) >= 0.0).all()
    if one.least is not None and one.most is not None:
        assert found.min() >= one.least
        assert found.max() <= one.most


def test_distributions_have_the_moments_they_are_named_by() -> None:
    shares = (np.arange(200_000) + 0.5) / 200_000
    values = normal(8.0, 0.5).at(shares)
    assert (values.mean(), values.std()) == pytest.approx((8.0, 0.5), rel=1e-4)
    logs = np.log(lognormal(1100.0, 0.3).at(shares))
    assert (math.exp(logs.mean()), logs.std()) == pytest.approx((1100.0, 0.3), rel=1e-4)
    assert triangular(1.0, 2.0, 5.0).at(shares).mean() == pytest.approx(8.0 / 3.0, rel=1e-4)
    assert pert(1.0, 2.0, 5.0).at(shares).mean() == pytest.approx((1.0 + 8.0 + 5.0) / 6.0, rel=1e-4)
    assert discrete([1.0, 2.0, 6.0]).at(shares).mean() == pytest.approx(3.0, rel=1e-4)


@pytest.mark.parametrize(
    "make",
    [
        lambda: normal(1.0, 0.0),
        lambda: lognormal(-1.0, 0.1),
        lambda: uniform(2.0, 1.0),
        lambda: triangular(1.0, 5.0, 2.0),
        lambda: discrete([]),
        lambda: normal(math.inf, 1.0),
        lambda: normal(1.0, 1.0, least=2.0, most=2.0),
    ],
)
def test_what_makes_no_distribution_is_refused(make: Callable[[], Distribution]) -> None:
    with pytest.raises(ValueError, match=r"\."):
        make()


# ---- samples


def study(**more: Any) -> Study:
    inputs = {"/speed": normal(7.0, 0.4, "km/h"), "/soil/cone_index": lognormal(1100.0, 0.2, "kPa")}
    return Study("match", body(MATCH.example), inputs, [SLIP, FUEL_PER_AREA], **more)


def test_samples_are_columns_that_single_requests_agree_with(client: Client) -> None:
    found = study().samples(client, 33, seed=3)
    assert len(found) == 33
    assert found.unanswered == 0.0
    for at in (0, 17):
        speed, strength = (found.inputs[name][at] for name in ("/speed", "/soil/cone_index"))
        request = body(MATCH.example, speed={"value": speed, "unit": "km/h"})
        request["soil"]["cone_index"] = {"value": strength, "unit": "kPa"}
        (only,) = client.batch("match", request, {}, columns=[SLIP]).columns[SLIP]
        assert found.outputs[SLIP][at] == pytest.approx(only, rel=1e-12)
    assert set(found.to_columns()) == {
        "/speed [km/h]",
        "/soil/cone_index [kPa]",
        "/at_work/slip [%]",
        "/fuel/per_area [L/ha]",
    }


def test_the_same_seed_gives_the_same_samples_and_any_count_goes() -> None:
    one = study()
    for count in (1, 7, 1000):
        first, again, other = one.draw(count, 5), one.draw(count, 5), one.draw(count, 6)
        assert all((first[name] == again[name]).all() for name in first)
        assert any((first[name] != other[name]).any() for name in first)


def test_quantiles_of_the_inputs_are_those_of_their_distribution(client: Client) -> None:
    drawn = study().draw(10_000, 1)
    assert np.quantile(drawn["/speed"], 0.05) == pytest.approx(7.0 - 1.6449 * 0.4, rel=2e-3)
    found = study().samples(client, 400).quantiles([0.05, 0.5, 0.95])
    assert (np.diff(found[SLIP]) > 0.0).all()


@given(st.floats(-0.9, 0.9))
def test_correlation_is_what_was_asked_for(rank: float) -> None:
    drawn = study(correlation={("/speed", "/soil/cone_index"): rank}).draw(4000, 2)
    ranks = [np.argsort(np.argsort(values)) for values in drawn.values()]
    assert np.corrcoef(*ranks)[0, 1] == pytest.approx(rank, abs=0.04)


def test_correlations_that_contradict_each_other_are_refused() -> None:
    inputs = {name: uniform(0.0, 1.0) for name in ("/a", "/b", "/c")}
    pairs = {("/a", "/b"): 0.9, ("/b", "/c"): 0.9, ("/a", "/c"): -0.9}
    with pytest.raises(ValueError, match="contradict"):
        Study("match", {}, inputs, ["/x"], pairs)
    with pytest.raises(ValueError, match="not two of the inputs"):
        Study("match", {}, inputs, ["/x"], {("/a", "/z"): 0.1})


def test_samples_without_an_answer_are_counted_and_stop_a_share_of_variance(client: Client) -> None:
    beyond = Study("fuel", body(FUEL.example), {"/load": uniform(100.0, 200.0, "kW")}, ["/rate"])
    found = beyond.samples(client, 200)
    assert found.unanswered == pytest.approx(0.5, abs=0.01)
    assert np.isnan(found.outputs["/rate"]).sum() == 100
    assert np.isfinite(found.quantiles([0.5])["/rate"]).all()
    with pytest.raises(DrawbarError, match="have no answer"):
        beyond.sobol(client, 16)


def test_an_output_that_some_samples_lack_stops_a_share_of_variance(client: Client) -> None:
    """Work beyond the power of the engine is answered, but burns nothing that could be named."""
    inputs = {"/implement/draft_multiplier": uniform(0.5, 4.0)}
    hard = Study("match", body(MATCH.example), inputs, [FUEL_PER_AREA])
    assert np.isnan(hard.samples(client, 200).outputs[FUEL_PER_AREA]).any()
    with pytest.raises(DrawbarError, match="samples have no /fuel/per_area"):
        hard.sobol(client, 64)
    with pytest.raises(DrawbarError, match="samples have no /fuel/per_area"):
        hard.derivatives(client, {"/implement/draft_multiplier": 4.0})


def test_a_figure_of_a_table_may_be_uncertain(client: Client) -> None:
    request = body(DRAFT.example)
    tool = request["implement"]["tools"][0]["tool"]
    request["tables"] = {"draft": [{"id": tool}]}
    ours = draft_row(tool).A
    one = Study("draft", request, {"/tables/draft/0/A": lognormal(ours, 0.2)}, ["/draft/total"])
    assert np.ptp(one.samples(client, 50).outputs["/draft/total"]) > 0.0


# ---- Sobol indices


def ishigami(x: np.ndarray) -> np.ndarray:
    return np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])


def test_indices_of_a_known_function_lie_in_their_intervals() -> None:
    """Ishigami and Homma (1990) with a = 7, b = 0.1: indices worked out by hand from its variances."""
    random = np.random.default_rng(4)
    one, other = (random.uniform(-math.pi, math.pi, (3, 8192)) for _ in range(2))
    blocks = [ishigami(one), ishigami(other)]
    for at in range(3):
        mixed = one.copy()
        mixed[at] = other[at]
        blocks.append(ishigami(mixed))
    found = sobol_indices(np.array(blocks), ["/1", "/2", "/3"], level=0.999)
    a, b = 7.0, 0.1
    by_first, by_second = 0.5 * (1.0 + b * math.pi**4 / 5.0) ** 2, a * a / 8.0
    together = b * b * math.pi**8 * (1.0 / 18.0 - 1.0 / 50.0)
    whole = by_first + by_second + together
    expected = {
        "first": (by_first / whole, by_second / whole, 0.0),
        "total": ((by_first + together) / whole, by_second / whole, together / whole),
    }
    for order, values in expected.items():
        for name, value in zip(("/1", "/2", "/3"), values, strict=True):
            index = getattr(found, order)[name]
            assert index.low <= value <= index.high, (order, name)
            assert index.high - index.low < 0.2


@given(st.floats(-1e3, 1e3))
def test_what_is_added_to_an_output_changes_no_share(added: float) -> None:
    """Nor how well it is known: a first order that is not taken about the mean scatters with the mean."""
    values = np.random.default_rng(1).normal(size=(4, 256))
    values[2:] += values[:2]
    plain, moved = (sobol_indices(some, ["/1", "/2"]) for some in (values, values + added))
    for name in ("/1", "/2"):
        for order in ("first", "total"):
            one, other = getattr(plain, order)[name], getattr(moved, order)[name]
            assert (other.value, other.low, other.high) == pytest.approx((one.value, one.low, one.high), abs=1e-9)


def test_a_product_shares_its_variance_as_its_factors_do(client: Client) -> None:
    """Drawbar power is pull times speed: with independent factors of relative variance u and v, shares are known."""
    inputs = {"/pulling/pull": uniform(20.0, 40.0, "kN"), "/pulling/speed": uniform(6.0, 9.0, "km/h")}
    found = Study("power", body(POWER.example), inputs, ["/pulling/drawbar"]).sobol(client, 1024, level=0.999)
    u, v = (10.0 / math.sqrt(3.0) / 30.0) ** 2, (1.5 / math.sqrt(3.0) / 7.5) ** 2
    whole = u + v + u * v
    indices = found["/pulling/drawbar"]
    for name, alone in (("/pulling/pull", u), ("/pulling/speed", v)):
        assert indices.first[name].low <= alone / whole <= indices.first[name].high
        assert indices.total[name].low <= (alone + u * v) / whole <= indices.total[name].high


def test_what_moves_nothing_has_no_share_and_correlated_inputs_none_at_all(client: Client) -> None:
    still = Study("power", body(POWER.example), {"/pulling/pull": uniform(20.0, 40.0, "kN")}, ["/rotary"])
    assert still.sobol(client, 16)["/rotary"].total["/pulling/pull"].value == 0.0
    with pytest.raises(ValueError, match="independent"):
        study(correlation={("/speed", "/soil/cone_index"): 0.3}).sobol(client)


# ---- derivatives


def test_derivatives_are_those_of_the_closed_forms(client: Client) -> None:
    request = body(DRAFT.example)
    tools = [one | {} for one in request["implement"]["tools"]]
    inputs = {
        "/speed": uniform(7.0, 9.0, "km/h"),
        "/implement/tools/0/depth": uniform(15.0, 21.0, "cm"),
    }
    found = Study("draft", request, inputs, ["/draft/total"]).derivatives(client)["/draft/total"]
    slope = depth_slope = 0.0
    for place, tool in enumerate(tools):
        row = draft_row(tool["tool"])
        amount = float(tool["width"].split()[0]) if row.counted_in == "m" else tool["count"]
        depth = float(tool["depth"].split()[0]) if row.depth_counts else 1.0
        slope += row.medium * (row.B + 2.0 * row.C * 8.0) * amount * depth / 1000.0
        if place == 0:
            depth_slope = row.medium * (row.A + row.B * 8.0 + row.C * 64.0) * amount / 1000.0
    assert found["/speed"].value == pytest.approx(slope, rel=1e-9)
    assert found["/implement/tools/0/depth"].value == pytest.approx(depth_slope, rel=1e-9)
    assert found["/speed"].unit == "kN/(km/h)"
    plain = Study("draft", request, {"/implement/draft_multiplier": uniform(0.9, 1.1)}, ["/draft/total"])
    assert plain.derivatives(client)["/draft/total"]["/implement/draft_multiplier"].unit == "kN"
    assert found["/speed"].error < 1e-6


def test_fuel_by_load_is_the_slope_of_the_equation(client: Client) -> None:
    """Q = (0.22 X + 0.096) P (1 - (N - 1)(0.45 X - 0.877)), P = 150 kW, N = 0.85, by hand."""
    one = Study("fuel", body(FUEL.example), {"/load": uniform(90.0, 100.0, "kW")}, ["/rate"])
    x, n = 95.0 / 150.0, 0.85
    slope = 0.22 * (1.0 - (n - 1.0) * (0.45 * x - 0.877)) - (0.22 * x + 0.096) * (n - 1.0) * 0.45
    found = one.derivatives(client)["/rate"]["/load"]
    assert found.value == pytest.approx(slope, rel=1e-9)
    assert one.propagated(client, {"/load": 5.0})["/rate"] == pytest.approx(5.0 * slope, rel=1e-9)


def test_deviations_add_as_correlated_ones_do(client: Client) -> None:
    inputs = {"/pulling/pull": uniform(31.0, 33.0, "kN"), "/pulling/speed": uniform(7.0, 8.0, "km/h")}
    deviations = {"/pulling/pull": 1.0, "/pulling/speed": 0.2}
    slopes = np.array([7.5 / 3.6, 32.0 / 3.6 * 0.2])
    for rank in (0.0, 0.5):
        pairs = {("/pulling/pull", "/pulling/speed"): rank} if rank else None
        one = Study("power", body(POWER.example), inputs, ["/pulling/drawbar"], pairs)
        both = 2.0 * math.sin(math.pi / 6.0 * rank)
        expected = math.sqrt(slopes @ slopes + 2.0 * both * slopes.prod())
        assert one.propagated(client, deviations)["/pulling/drawbar"] == pytest.approx(expected, rel=1e-9)


def test_a_study_without_input_or_output_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        Study("match", {}, {}, ["/x"])
    with pytest.raises(ValueError, match="at least one"):
        Study("match", {}, {"/speed": uniform(1.0, 2.0)}, [])


def salib_indices(names: list[str], function: Callable[[np.ndarray], np.ndarray]) -> Any:
    """Return what SALib makes of a function of shares from 0 to 1, shape (inputs, n)."""
    problem = {"num_vars": len(names), "names": names, "bounds": [[1e-9, 1.0 - 1e-9]] * len(names)}
    shares = salib_sample(problem, 1024, calc_second_order=False, seed=1)
    return salib_analyze(problem, function(shares.T), calc_second_order=False, seed=1)


def agree_within_intervals(ours: Any, theirs: Any, names: list[str]) -> None:
    for order, values, widths in (("first", "S1", "S1_conf"), ("total", "ST", "ST_conf")):
        for place, name in enumerate(names):
            index = getattr(ours, order)[name]
            reach = theirs[widths][place]
            assert index.low - reach <= theirs[values][place] <= index.high + reach, (order, name)


def test_a_match_has_the_indices_that_salib_finds(client: Client) -> None:
    one = study()
    names = list(one.inputs)

    def slip(shares: np.ndarray) -> np.ndarray:
        vary = {
            f"{name} [{known.unit}]": known.at(share)
            for (name, known), share in zip(one.inputs.items(), shares, strict=True)
        }
        return np.asarray(client.batch("match", one.scenario, vary, columns=[SLIP]).columns[SLIP])

    agree_within_intervals(one.sobol(client, 1024, seed=2, level=0.99)[SLIP], salib_indices(names, slip), names)
