"""Pictures that start from a match: power by speed, slip by pull, what fits, draft by tool."""

from typing import Any

import numpy as np

from drawbar_service.api.shared.curve import Series
from drawbar_service.api.v1.curves.draft_by_tool import DraftByToolAnswer
from drawbar_service.api.v1.curves.fit_map import FitMapAnswer
from drawbar_service.api.v1.curves.power_by_speed import PowerBySpeedAnswer
from drawbar_service.api.v1.curves.slip_by_pull import SlipByPullAnswer
from drawbar_service.api.words import LIMIT_WORDS
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.model.limits import LimitName
from drawbar_service.pictures.canvas import (
    BLUE,
    INK,
    LEAF,
    MIST,
    OCHRE,
    PLUM,
    QUIET,
    RUST,
    SAND,
    Key,
    fill_of,
    hatch_of,
    legible,
)
from drawbar_service.quantities import Quantity, UnitSystem

_LIMIT_LINES: dict[LimitName, tuple[str, Any, str]] = {
    "power": (RUST, "-", ""),
    "slip": (BLUE, (0, (5, 2)), "o"),
    "pull": (PLUM, (0, (1, 1.4)), "s"),
    "front-axle": (LEAF, (0, (6, 2, 1, 2)), "^"),
}
_POINT: dict[str, Any] = {
    "marker": "D",
    "markersize": 7,
    "markeredgewidth": 1.6,
    "linestyle": "none",
    "zorder": 6,
    "clip_on": False,
}


def array(one: Series | list[float | None], end: str = "values") -> FloatArray:
    """Return a series, or an end of its range, as an array with what is missing as not a number."""
    given = one if isinstance(one, list) else getattr(one, end)
    return np.array([np.nan if value is None else value for value in given], dtype=np.float64)


def labelled(one: Series) -> str:
    """Return the label of an axis."""
    return f"{one.name} [{one.unit}]"


def shown(quantity: Quantity, units: UnitSystem) -> float:
    """Return a quantity in the unit it is shown in."""
    return float(quantity) / type(quantity).shown(units)[1]


def _marked(axes: Any, x: float, y: float, fits: bool, label: str) -> None:
    """Mark the match: filled where it fits, hollow where it does not."""
    axes.plot([x], [y], **_POINT, color=INK, markerfacecolor=INK if fits else "white", label=label)


def _ends(quantity: Quantity, units: UnitSystem) -> list[list[float]]:
    factor = type(quantity).shown(units)[1]
    low = quantity if quantity.low is None else quantity.low
    high = quantity if quantity.high is None else quantity.high
    return [[float(quantity - low) / factor], [float(high - quantity) / factor]]


def power_by_speed(figure: Any, answer: PowerBySpeedAnswer, units: UnitSystem) -> Key:
    """Draw power needed and usable by speed."""
    axes = figure.add_subplot()
    speed, needed = array(answer.speed), array(answer.needed)
    top = 1.18 * max(shown(answer.rated, units), shown(answer.operating.power, units))
    axes.set(xlabel=labelled(answer.speed), ylabel=f"PTO power [{answer.needed.unit}]")
    axes.set_xlim(speed[0], speed[-1])
    axes.set_ylim(0.0, top)
    if answer.tool_speeds is not None:
        low, high = (shown(end, units) for end in answer.tool_speeds)
        axes.axvspan(low, high, color=MIST, linewidth=0)
        axes.text(
            0.5 * (max(low, speed[0]) + min(high, speed[-1])),
            0.015 * top,
            "tool works soundly",
            horizontalalignment="center",
            verticalalignment="bottom",
            fontsize=8,
            color=QUIET,
        )
    low_end, high_end = array(answer.needed, "low"), array(answer.needed, "high")
    axes.fill_between(speed, low_end, high_end, color=RUST, alpha=0.16, linewidth=0, label="range of the draft table")
    axes.plot(speed, needed, color=RUST, label="needed")
    fits = np.array(answer.fits)
    if fits.any():
        axes.plot(speed, np.where(fits, needed, np.nan), color=RUST, linewidth=4.2, label="needed, all limits kept")
    usable, rated = shown(answer.usable, units), shown(answer.rated, units)
    axes.axhline(usable, color=BLUE, linestyle=(0, (6, 2)), label="usable")
    if rated > usable * 1.001:
        axes.axhline(rated, color=BLUE, linestyle=(0, (1, 1.5)), linewidth=1.2, label="rated")
    point = answer.operating
    _marked(axes, shown(point.speed, units), shown(point.power, units), point.fits, _this(point.fits))
    return Key(columns=2)


def _this(fits: bool) -> str:
    return "this match: fits" if fits else "this match: does not fit"


def slip_by_pull(figure: Any, answer: SlipByPullAnswer, units: UnitSystem) -> Key:
    """Draw slip and tractive efficiency by pull."""
    axes = figure.add_subplot()
    pull, slip, efficiency = array(answer.pull), array(answer.slip), array(answer.tractive_efficiency)
    point = answer.operating
    here, ends = shown(point.pull, units), _ends(point.pull, units)
    farthest = max([here + ends[1][0], *pull[-1:].tolist()]) * 1.05
    axes.set(xlabel=labelled(answer.pull), ylabel=f"Slip, tractive efficiency [{answer.slip.unit}]")
    axes.set_xlim(min(0.0, here - ends[0][0]), farthest if farthest > 0.0 else 1.0)
    axes.set_ylim(0.0, 100.0)
    low, high = (shown(end, units) for end in answer.slip_band)
    axes.axhspan(low, high, color=SAND, linewidth=0, label="slip of best efficiency")
    axes.axhline(
        shown(answer.slip_limit, units), color=QUIET, linestyle=(0, (1, 1.5)), linewidth=1.2, label="slip limit"
    )
    axes.plot(pull, efficiency, color=BLUE, linestyle=(0, (6, 2)), label="tractive efficiency")
    axes.plot(pull, slip, color=RUST, label="slip")
    if not pull.size:
        axes.text(0.5, 0.5, "no pull at any slip", transform=axes.transAxes, horizontalalignment="center")
    where = [shown(point.slip, units)] if point.carried else [0.0]
    axes.errorbar(
        [here], where, xerr=ends, color=INK, linewidth=1.3, capsize=3.5, linestyle="none", zorder=5, clip_on=False
    )
    if point.carried:
        _marked(axes, here, where[0], True, "this match, range of its pull")
        axes.plot([here], [shown(point.tractive_efficiency, units)], **_POINT | {"markersize": 5}, color=INK)
    else:
        axes.axvline(here, color=INK, linewidth=1.3, linestyle=(0, (3, 1.5)))
        _marked(axes, here, where[0], False, "this match: no slip carries it")
    return Key(columns=2)


_MARGIN_LEVELS = (-1e9, -25.0, 0.0, 10.0, 25.0, 1e9)
_MARGIN_SHADES = ("#a29a8e", "#cfc8bc", "#f6f0f6", "#dfcfe2", "#bda3c4")
_MARGIN_HATCHES = ("xxx", "///", "", "", "")
_MARGIN_WORDS = (
    "beyond by over 25 %",
    "beyond a limit",
    "0 to 10 % to spare",
    "10 to 25 % to spare",
    "over 25 % to spare",
)


def fit_map(figure: Any, answer: FitMapAnswer, units: UnitSystem) -> Key:
    """Draw what fits by width and speed."""
    axes = figure.add_subplot()
    axes.grid(visible=False)
    speed, width = array(answer.speed), array(answer.width)
    margin = np.array([array(row) for row in answer.margin.rows])
    axes.contourf(
        speed, width, np.clip(margin, -1e6, 1e6), levels=_MARGIN_LEVELS, colors=_MARGIN_SHADES, hatches=_MARGIN_HATCHES
    )
    axes.set(xlabel=labelled(answer.speed), ylabel=labelled(answer.width))
    axes.set_xlim(speed[0], speed[-1])
    axes.set_ylim(width[0], width[-1])
    handles = [
        figure_patch(axes, shade, hatch, label)
        for shade, hatch, label, low, high in zip(
            _MARGIN_SHADES, _MARGIN_HATCHES, _MARGIN_WORDS, _MARGIN_LEVELS[:-1], _MARGIN_LEVELS[1:], strict=True
        )
        if ((margin >= low) & (margin < high)).any()
    ]
    for one in answer.outlines:
        met = array(one.width)
        if np.isfinite(met).sum() > 1:
            color, dashes, marker = _LIMIT_LINES[one.limit]
            handles += axes.plot(
                speed, met, color=color, linestyle=dashes, marker=marker, markevery=3, markersize=4, linewidth=2.0,
                label=f"limit: {LIMIT_WORDS[one.limit].short}",
            )  # fmt: skip
    if answer.tool_speeds is not None:
        dashes: dict[str, Any] = {"color": OCHRE, "linestyle": (0, (3, 2)), "linewidth": 2.0}
        low, high = answer.tool_speeds
        axes.axvline(shown(low, units), **dashes)
        handles.append(axes.axvline(shown(high, units), **dashes, label="limit: tool's speed range"))
    point = answer.operating
    _marked(axes, shown(point.speed, units), shown(point.width, units), point.fits, _this(point.fits))
    handles.append(axes.lines[-1])
    return Key(2, handles)


def figure_patch(axes: Any, shade: str, hatch: str, label: str) -> Any:
    """Return a filled box for a legend."""
    patch = axes.fill([], [], facecolor=shade, hatch=hatch, edgecolor="white", linewidth=0, label=label)
    return patch[0]


def draft_by_tool(figure: Any, answer: DraftByToolAnswer, units: UnitSystem) -> Key:
    """Draw draft by tool as bars at speeds around the match."""
    axes = figure.add_subplot()
    axes.grid(visible=False, axis="x")
    speed = array(answer.speed)
    places = np.arange(len(speed), dtype=np.float64)
    below = np.zeros(len(speed))
    for number, one in enumerate(answer.tools):
        force = array(one.draft)
        axes.bar(
            places, force, 0.62, bottom=below, color=fill_of(number), hatch=hatch_of(number),
            edgecolor="white", linewidth=0.6, label=legible(one.tool, 40),
        )  # fmt: skip
        below = below + force
    total = array(answer.total)
    reach = np.abs(np.array([total - array(answer.total, "low"), array(answer.total, "high") - total]))
    axes.errorbar(
        places, total, yerr=reach, color=INK, capsize=5, linewidth=1.4, linestyle="none", label="range, 9 in 10"
    )
    middle = len(speed) // 2
    axes.set_xticks(places, [f"{one:.3g}" for one in speed])
    axes.get_xticklabels()[middle].set_fontweight("bold")
    axes.annotate(
        "this match", (places[middle], (total + reach[1])[middle]), (0, 6), textcoords="offset points",
        horizontalalignment="center", fontsize=8.5, fontweight="bold",
    )  # fmt: skip
    axes.set(xlabel=labelled(answer.speed), ylabel=labelled(answer.total))
    axes.set_ylim(0.0, 1.1 * float(np.max(total + reach[1])))
    return Key(columns=1 if len(answer.tools) < 5 else 2)
