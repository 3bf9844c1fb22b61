"""Pictures that start from a match: power by speed, slip by pull, what holds, draft by tool."""

from math import floor
from typing import Any

import numpy as np

from drawbar_service.api.shared.curve import Series
from drawbar_service.api.v1.curves.draft_by_tool import DraftByToolAnswer
from drawbar_service.api.v1.curves.fit_map import FitMapAnswer, MapPoint
from drawbar_service.api.v1.curves.power_by_speed import PowerBySpeedAnswer, PowerPoint
from drawbar_service.api.v1.curves.slip_by_pull import SlipByPullAnswer
from drawbar_service.api.words import LIMIT_WORDS, VERDICT_WORDS
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.model.chance import Word
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


_FILLS: dict[Word, Any] = {"holds": "full", "close": "left", "fails": "none", "cannot-tell": "none"}


def _marked(axes: Any, x: float, y: float, word: Word, label: str) -> None:
    """Mark the match: full where it holds, half full where it is close, hollow where it fails."""
    axes.plot(
        [x],
        [y],
        **_POINT,
        color=INK,
        fillstyle=_FILLS[word],
        markerfacecoloralt="white",
        markerfacecolor=INK,
        label=label,
    )


def _ends(quantity: Quantity, units: UnitSystem) -> list[list[float]]:
    factor = type(quantity).shown(units)[1]
    low = quantity if quantity.low is None else quantity.low
    high = quantity if quantity.high is None else quantity.high
    return [[float(quantity - low) / factor], [float(high - quantity) / factor]]


def power_by_speed(figure: Any, answer: PowerBySpeedAnswer, units: UnitSystem) -> Key:
    """Draw power needed and usable by speed."""
    axes = figure.add_subplot()
    speed, needed = array(answer.speed), array(answer.needed)
    here = answer.operating.power
    top = 1.18 * max(shown(answer.rated, units), shown(here, units) if here is not None else 0.0)
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
    for kept, width, label in (
        (np.array(answer.fits), 2.8, "kept by central figures"),
        (np.array(answer.holds), 5.0, "holds"),
    ):
        if kept.any():
            axes.plot(speed, np.where(kept, needed, np.nan), color=RUST, linewidth=width, label=label)
    usable, rated = shown(answer.usable, units), shown(answer.rated, units)
    axes.axhline(usable, color=BLUE, linestyle=(0, (6, 2)), label="usable")
    if rated > usable * 1.001:
        axes.axhline(rated, color=BLUE, linestyle=(0, (1, 1.5)), linewidth=1.2, label="rated")
    point = answer.operating
    across = shown(point.speed, units)
    if point.power is None:
        axes.axvline(across, color=INK, linewidth=1.3, linestyle=(0, (3, 1.5)))
        _marked(axes, across, 0.0, point.word, "this match: no power carries it")
    else:
        _marked(axes, across, shown(point.power, units), point.word, _this(point))
    return Key(columns=2)


_NEARLY_ALL = 99.0


def _this(point: PowerPoint | MapPoint) -> str:
    """Return what the verdict on the match is, with its chance; never more than it is."""
    word = f"this match: {VERDICT_WORDS[point.word].short}"
    if point.chance is None:
        return word
    percent = 100.0 * float(point.chance)
    if percent > _NEARLY_ALL:
        return f"{word}, over 99 in 100"
    return f"{word}, under 1 in 100" if percent < 1.0 else f"{word}, {floor(percent + 1e-3)} in 100"


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
    where = [shown(point.slip, units)] if point.slip is not None else [0.0]
    axes.errorbar(
        [here], where, xerr=ends, color=INK, linewidth=1.3, capsize=3.5, linestyle="none", zorder=5, clip_on=False
    )
    if point.carried:
        _marked(axes, here, where[0], "holds", "this match, range of its pull")
        if point.tractive_efficiency is not None:
            axes.plot([here], [shown(point.tractive_efficiency, units)], **_POINT | {"markersize": 5}, color=INK)
    else:
        axes.axvline(here, color=INK, linewidth=1.3, linestyle=(0, (3, 1.5)))
        _marked(axes, here, where[0], "fails", "this match: no slip carries it")
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
    """Draw what holds by width and speed, over the margins by the central figures."""
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
    bears = np.array([array(row) for row in answer.holding_margin.rows])
    if (bears >= 0.0).any() and (bears < 0.0).any():
        axes.contour(speed, width, np.clip(bears, -1e6, 1e6), levels=[0.0], colors=INK, linewidths=2.6)
        handles += axes.plot([], [], color=INK, linewidth=2.6, label="holds within this line")
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
    _marked(axes, shown(point.speed, units), shown(point.width, units), point.word, _this(point))
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
