"""Pictures of studies show the values they are given."""

from collections.abc import Iterator
from typing import Any

import matplotlib as mpl
import pytest

from drawbar import plots
from drawbar.logs import Feedback, Score
from drawbar.uncertainty import Index, Indices


@pytest.fixture(autouse=True)
def pyplot() -> Iterator[None]:
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    yield
    plt.close("all")


def test_a_map_shows_each_kind_in_its_colour() -> None:
    axes = plots.kinds([[0, 1], [2, 2]], ["a", "b", "c"], "soil")
    (image,) = axes.images
    assert image.get_array().tolist() == [[0, 1], [2, 2]]
    shown = [tuple(image.to_rgba(value)) for value in (0, 1, 2)]
    assert len(set(shown)) == 3
    assert image.origin == "lower"
    assert [one.get_text() for one in image.colorbar.ax.get_yticklabels()] == ["a", "b", "c"]
    with pytest.raises(ValueError, match="6 kinds at most"):
        plots.kinds([[0]], list("abcdefg"))


def test_bands_reach_from_low_to_high() -> None:
    axes = plots.bands([1.0, 2.0], {"own": ([3.0, 4.0], [2.0, 3.0], [5.0, 6.0])}, ("x [m]", "y [kN]"))
    assert axes.lines[0].get_ydata().tolist() == [3.0, 4.0]
    corners = axes.collections[0].get_paths()[0].vertices
    assert (corners[:, 1].min(), corners[:, 1].max()) == (2.0, 6.0)
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("x [m]", "y [kN]")


def ends(axes: Any, at: int) -> list[list[list[float]]]:
    return [segment.tolist() for segment in axes.containers[at][2][0].get_segments()]


def test_intervals_are_ordered_from_above_and_reach_from_low_to_high() -> None:
    found = plots.intervals({"one": {"a": (2.0, 1.0, 4.0), "b": (3.0, 3.0, 3.0)}, "other": {"b": (5.0, 4.0, 6.0)}}, "z")
    assert [one.get_text() for one in found.get_yticklabels()] == ["a", "b"]
    low, high = found.get_ylim()
    assert low > high
    assert [[x for x, _ in segment] for segment in ends(found, 0)] == [[1.0, 4.0], [3.0, 3.0]]
    assert [[x for x, _ in segment] for segment in ends(found, 1)] == [[4.0, 6.0]]


def test_what_was_predicted_stands_over_what_came() -> None:
    score = Score(2, 0.0, 1.0, 1.0, 1.0, "L/h")
    axes = Feedback(score, [(30.0, 25.0, 36.0), (40.0, 35.0, 46.0)], [31.0, 39.0]).plot()
    assert [segment[0][0] for segment in ends(axes, 0)] == [31.0, 39.0]
    assert [[y for _, y in segment] for segment in ends(axes, 0)] == [[25.0, 36.0], [35.0, 46.0]]
    assert axes.get_xlabel() == "measured fuel [L/h]"


def test_indices_draw_themselves() -> None:
    indices = Indices({"/speed": Index(0.5, 0.4, 0.6)}, {"/speed": Index(0.7, 0.6, 0.8)})
    assert [x for x, _ in ends(indices.plot(), 1)[0]] == [0.6, 0.8]


def test_a_histogram_leaves_out_what_is_no_number() -> None:
    axes = plots.histogram([1.0, 2.0, float("nan"), 2.0], "slip [%]", {"median": 2.0})
    assert sum(bar.get_height() for bar in axes.patches) == 3
    assert axes.lines[0].get_xdata()[0] == 2.0
