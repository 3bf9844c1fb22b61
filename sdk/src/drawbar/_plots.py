"""Pictures of answers. matplotlib is loaded when one is drawn, never before."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any, Final, Protocol, TypeAlias

from drawbar._extras import load
from drawbar._limits import SHORT
from drawbar.quantities import Reading, rounded

Axes: TypeAlias = Any
"""Axes of matplotlib, which says little of the types it takes."""

KEPT: Final = "#1d5c3a"
BROKEN: Final = "#b4491b"


class Margin(Protocol):
    """A limit and what is left before it."""

    @property
    def name(self) -> str:
        """The limit."""
        ...

    @property
    def kept(self) -> bool:
        """Whether it is kept."""
        ...

    @property
    def margin(self) -> Reading:
        """What is left, in percent."""
        ...


def margins(limits: Sequence[Margin], title: str, ax: Axes | None) -> Axes:
    """Draw a bar for each limit: to the right what is left, to the left what is too much.

    Parameters
    ----------
    limits
        The limits.
    title
        Stands above.
    ax
        Axes to draw on; None for new ones.
    """
    axes = ax if ax is not None else new_axes(7.0, 1.4 + 0.45 * len(limits))
    places = range(len(limits), 0, -1)
    values = [limit.margin.value for limit in limits]
    bars = axes.barh(places, values, color=[KEPT if limit.kept else BROKEN for limit in limits])
    told = [f"{rounded(abs(limit.margin.value))} % {'to spare' if limit.kept else 'too far'}" for limit in limits]
    axes.bar_label(bars, told, padding=4)
    axes.axvline(0.0, color="black", linewidth=1.0)
    axes.margins(x=0.3)
    axes.set_yticks(places, [SHORT.get(limit.name, limit.name) for limit in limits])
    axes.set_xlabel("to spare, over the limit [%]")
    axes.set_title(textwrap.fill(title, 80), fontsize="medium", loc="left")
    return axes


def line(xs: Sequence[Any], ys: Sequence[Any], labels: tuple[str, str], ax: Axes | None) -> Axes:
    """Draw one column over another.

    Parameters
    ----------
    xs, ys
        Values; None or NaN leaves a gap.
    labels
        Names of both, with units.
    ax
        Axes to draw on; None for new ones.
    """
    axes = ax if ax is not None else new_axes(6.0, 4.0)
    axes.plot(xs, [float("nan") if y is None else y for y in ys], color=KEPT)
    return labelled(axes, labels)


def two_way(
    sides: tuple[Sequence[Any], Sequence[Any]], values: Any, labels: tuple[str, str, str], ax: Axes | None
) -> Axes:
    """Draw a map of a value over two others, each with each.

    Parameters
    ----------
    sides
        Values along the bottom and up the side.
    values
        One for each pair, the side's the slower.
    labels
        Names of the two sides and of the value, with units.
    ax
        Axes to draw on; None for new ones.
    """
    axes = ax if ax is not None else new_axes(6.4, 4.6)
    xs, ys = sides
    rows = [[_number(value) for value in values[at : at + len(xs)]] for at in range(0, len(values), len(xs))]
    mesh = axes.pcolormesh(_places(xs), _places(ys), rows, shading="nearest", cmap="cividis", rasterized=True)
    for side, set_ticks in ((xs, axes.set_xticks), (ys, axes.set_yticks)):
        if isinstance(side[0], str):
            set_ticks(_places(side), side)
    axes.figure.colorbar(mesh, ax=axes, label=labels[2])
    return labelled(axes, labels[:2])


def points(columns: Mapping[str, Sequence[Any]], ax: Axes | None) -> Axes:
    """Draw rows as points, coloured by a third value.

    Parameters
    ----------
    columns
        Three columns by name, with units.
    ax
        Axes to draw on; None for new ones.
    """
    axes = ax if ax is not None else new_axes(6.4, 4.6)
    (x, xs), (y, ys), (name, values) = columns.items()
    marks = axes.scatter(xs, ys, c=[_number(value) for value in values], s=12, cmap="cividis")
    axes.figure.colorbar(marks, ax=axes, label=name)
    return labelled(axes, (x, y))


def _places(side: Sequence[Any]) -> Sequence[float]:
    """Return where values stand along a side: words stand one beside the other."""
    return range(len(side)) if isinstance(side[0], str) else side


def _number(value: Any) -> float:
    return float("nan") if value is None else float(value)


def labelled(axes: Axes, labels: tuple[str, str]) -> Axes:
    """Name what stands along the bottom and up the side.

    Parameters
    ----------
    axes
        The axes.
    labels
        Both names, with units.
    """
    axes.set_xlabel(labels[0])
    axes.set_ylabel(labels[1])
    return axes


def new_axes(width: float, height: float) -> Axes:
    """Return axes of a new figure.

    Parameters
    ----------
    width, height
        Of the figure [in].
    """
    return load("matplotlib.pyplot", "plot").subplots(figsize=(width, height), layout="constrained")[1]
