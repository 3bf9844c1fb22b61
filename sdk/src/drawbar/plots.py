"""Pictures of studies: maps of kinds, bands, intervals, and what was predicted against what came.

Each draws on axes of matplotlib (``pip install './sdk[plot]'``), its own unless it is given some, and returns them.
Answers and results of batches draw themselves: ``answer.plot()``, ``result.plot()``.

>>> from drawbar import plots
>>> plots.intervals({"slip": {"speed": (0.62, 0.57, 0.68)}}, "share of the variance")  # doctest: +SKIP
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import cycle
from typing import Any, Final, TypeAlias

from drawbar._extras import load
from drawbar._plots import BROKEN, KEPT, Axes, labelled, new_axes

Ranged: TypeAlias = tuple[float, float, float]
"""A value, and the low and high end of its range."""

_LINES: Final = (KEPT, BROKEN, "#3b6ea5", "#6a4a86")
_KINDS: Final = ("#f0f0d8", "#9fc3a0", "#4f7fa8", "#40304f", "#b98a4a", "#7c8a3a")
"""From light to dark, so that they can be told apart in grey; then two more."""

__all__ = ["Axes", "Ranged", "against", "bands", "histogram", "intervals", "kinds"]


def kinds(values: Any, names: Sequence[str], title: str = "", ax: Axes | None = None) -> Axes:
    """Draw a map of kinds, one colour for each.

    Parameters
    ----------
    values
        Which of the names, counted from 0: rows from the bottom up, each from left to right. An array or lists.
    names
        What they are called, at most six.
    title
        Stands above.
    ax
        Axes to draw on; None for new ones.

    Raises
    ------
    ValueError
        If there are more names than colours.
    """
    if len(names) > len(_KINDS):
        raise ValueError(f"A map shows {len(_KINDS)} kinds at most, not {len(names)}.")
    axes = ax if ax is not None else new_axes(5.6, 4.4)
    colors = load("matplotlib.colors", "plot")
    shown = colors.ListedColormap(_KINDS[: len(names)])
    steps = colors.BoundaryNorm([number - 0.5 for number in range(len(names) + 1)], len(names))
    image = axes.imshow(values, cmap=shown, norm=steps, origin="lower", interpolation="nearest")
    bar = axes.figure.colorbar(image, ax=axes, ticks=range(len(names)))
    bar.set_ticklabels(names)
    axes.set_title(title, loc="left", fontsize="medium")
    axes.set_xticks([])
    axes.set_yticks([])
    return axes


def bands(
    xs: Sequence[float],
    series: Mapping[str, tuple[Sequence[float], Sequence[float], Sequence[float]]],
    labels: tuple[str, str],
    ax: Axes | None = None,
) -> Axes:
    """Draw lines, each in the band of its range.

    Parameters
    ----------
    xs
        Values along the bottom.
    series
        Values, low and high ends of each line, by its name.
    labels
        Names of the bottom and of the side, with units.
    ax
        Axes to draw on; None for new ones.
    """
    axes = ax if ax is not None else new_axes(6.0, 4.0)
    for color, (name, (values, low, high)) in zip(cycle(_LINES), series.items(), strict=False):
        axes.fill_between(xs, low, high, color=color, alpha=0.2, linewidth=0.0)
        axes.plot(xs, values, color=color, label=name)
    axes.legend(frameon=False)
    return labelled(axes, labels)


def intervals(series: Mapping[str, Mapping[str, Ranged]], label: str, ax: Axes | None = None) -> Axes:
    """Draw values with their ranges, one line for each name, series beside each other.

    Parameters
    ----------
    series
        Value, low and high end by name, by the name of the series. The first series orders the lines, from above.
    label
        What the values are, with their unit.
    ax
        Axes to draw on; None for new ones.
    """
    names = list(dict.fromkeys(name for each in series.values() for name in each))
    axes = ax if ax is not None else new_axes(6.4, 1.2 + 0.3 * len(names) * len(series))
    step = 0.6 / len(series)
    for place, (color, (called, each)) in enumerate(zip(cycle(_LINES), series.items(), strict=False)):
        shift = step * (place - 0.5 * (len(series) - 1))
        lines = [names.index(name) + shift for name in each]
        values = [value for value, _, _ in each.values()]
        reach = [[value - low for value, low, _ in each.values()], [high - value for value, _, high in each.values()]]
        axes.errorbar(values, lines, xerr=reach, fmt="o", color=color, capsize=3, label=called)
    axes.set_yticks(range(len(names)), names)
    axes.set_ylim(len(names) - 0.5, -0.5)
    axes.set_xlabel(label)
    if len(series) > 1:
        _legend_above(axes)
    return axes


def against(series: Mapping[str, tuple[Sequence[Ranged], Sequence[float]]], label: str, ax: Axes | None = None) -> Axes:
    """Draw predictions and their ranges against what came; on the line they agree.

    Parameters
    ----------
    series
        Predictions, and what came of each, by name.
    label
        What both are, with their unit.
    ax
        Axes to draw on; None for new ones.
    """
    axes = ax if ax is not None else new_axes(5.0, 4.8)
    ends: list[float] = []
    for color, (name, (predicted, came)) in zip(cycle(_LINES), series.items(), strict=False):
        values = [value for value, _, _ in predicted]
        reach = [[value - low for value, low, _ in predicted], [high - value for value, _, high in predicted]]
        axes.errorbar(came, values, yerr=reach, fmt="o", markersize=4, color=color, alpha=0.6, label=name)
        ends += [*came, *values]
    axes.plot([min(ends), max(ends)], [min(ends), max(ends)], color="black", linewidth=1.0)
    if len(series) > 1:
        _legend_above(axes)
    return labelled(axes, (f"measured {label}", f"predicted {label}"))


def histogram(values: Any, label: str, marks: Mapping[str, float] | None = None, ax: Axes | None = None) -> Axes:
    """Draw how often values came, with some of them marked.

    Parameters
    ----------
    values
        An array or list; NaN is left out.
    label
        What they are, with their unit.
    marks
        Values to mark, by what they are called.
    ax
        Axes to draw on; None for new ones.
    """
    axes = ax if ax is not None else new_axes(6.0, 3.4)
    axes.hist([value for value in map(float, values) if math.isfinite(value)], bins=40, color=_KINDS[1])
    for color, (name, value) in zip(cycle(_LINES), (marks or {}).items(), strict=False):
        axes.axvline(value, color=color, label=name)
    if marks:
        axes.legend(frameon=False)
    return labelled(axes, (label, "samples"))


def _legend_above(axes: Axes) -> None:
    """Put the legend where it hides nothing; a title has the left."""
    axes.legend(frameon=False, loc="lower right", bbox_to_anchor=(1.0, 1.0), ncols=2, borderaxespad=0.2)
