"""Pictures that start from a match: power by speed, slip by pull, what holds, draft by tool."""

from math import floor
from typing import Any, NamedTuple, cast

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from drawbar_service.api.shared.curve import Series
from drawbar_service.api.v1.curves.draft_by_tool import DraftByToolAnswer
from drawbar_service.api.v1.curves.fit_map import FitMapAnswer
from drawbar_service.api.v1.curves.power_by_speed import PowerBySpeedAnswer
from drawbar_service.api.v1.curves.slip_by_pull import SlipByPullAnswer
from drawbar_service.api.words import LIMIT_WORDS, VERDICT_WORDS
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.model.chance import Word
from drawbar_service.pictures.canvas import (
    SMALL,
    Paint,
    Panel,
    breadth,
    few_ticks,
    folded,
    legible,
    on_ground,
    soft_band,
    soft_bar,
    write,
)
from drawbar_service.quantities import Quantity, Share, UnitSystem

_SIGNS: dict[Word, str] = {
    "holds": "\N{BLACK DIAMOND}",
    "close": "\N{WHITE DIAMOND CONTAINING BLACK SMALL DIAMOND}",
    "fails": "\N{WHITE DIAMOND}",
    "cannot-tell": "\N{WHITE DIAMOND}",
}
"""How the match is marked: full where it holds, half full where it is close, hollow where it fails."""
_NEARLY_ALL = 99.0
_TALL, _UPPER, _LOWER = 215.0, 150.0, 75.0
"""Heights of a drawing alone, and of two below each other [pt]."""
_ALONG = 280.0
"""Width of the axes, about [pt]."""


def array(one: Series | list[float | None], end: str = "values") -> FloatArray:
    """Return a series, or an end of its range, as an array with what is missing as not a number."""
    given = one if isinstance(one, list) else getattr(one, end)
    return np.array([np.nan if value is None else value for value in given], dtype=np.float64)


def labelled(one: Series) -> str:
    """Return the name of an axis."""
    return f"{one.name} [{one.unit}]"


def shown(quantity: Quantity, units: UnitSystem) -> float:
    """Return a quantity in the unit it is shown in."""
    return float(quantity) / type(quantity).shown(units)[1]


class _Ends(NamedTuple):
    low: float
    middle: float
    high: float


def ends_of(quantity: Quantity, units: UnitSystem) -> _Ends:
    """Return a quantity between the ends of its range, itself where it has none."""
    factor = type(quantity).shown(units)[1]
    return _Ends(*(float(quantity if end is None else end) / factor for end in (quantity.low, quantity, quantity.high)))


def note_of_ranges(answer: Any, units: UnitSystem) -> str:
    """Return what soft edges stand for."""
    return "Soft edges: 9 in 10 are meant to lie inside."


# ---- the match itself


def _this(where: str, word: Word, chance: Share | None) -> str:
    """Return what the mark of the match stands for: its verdict and its chance, never more than it is."""
    told = f"{_SIGNS[word]} This match, {where}: {VERDICT_WORDS[word].short}"
    if chance is None:
        return told
    percent = 100.0 * float(chance)
    if percent > _NEARLY_ALL:
        return f"{told}, over 99 in 100"
    return f"{told}, under 1 in 100" if percent < 1.0 else f"{told}, {floor(percent + 1e-3)} in 100"


def this_at_speed(answer: PowerBySpeedAnswer, units: UnitSystem) -> str:
    """Return what the mark on the power curve stands for."""
    point = answer.operating
    return _this(point.speed.words(units), point.word, point.chance)


def this_on_map(answer: FitMapAnswer, units: UnitSystem) -> str:
    """Return what the mark on the map stands for."""
    point = answer.operating
    return _this(f"{point.width.words(units)} at {point.speed.words(units)}", point.word, point.chance)


def this_pull(answer: SlipByPullAnswer, units: UnitSystem) -> str:
    """Return what the mark on the slip curve stands for."""
    point = answer.operating
    sign = _SIGNS["holds" if point.carried else "fails"]
    return f"{sign} This match pulls {point.pull.words(units)}"


def _mark(axes: Any, x: float, y: float, word: Word, paint: Paint) -> None:
    plain: dict[str, Any] = {"linestyle": "none", "marker": "D", "clip_on": False, "markeredgecolor": paint.ink}
    # A rim of the ground's colour keeps it apart from what it stands on.
    axes.plot([x], [y], **plain | {"markeredgecolor": paint.ground}, markersize=13, color=paint.ground, zorder=8)
    full = word == "holds"
    axes.plot([x], [y], **plain, markersize=9, markeredgewidth=2, color=paint.ink if full else paint.ground, zorder=9)
    if word == "close":
        axes.plot([x], [y], **plain, markersize=4, color=paint.ink, zorder=10)


# ---- power by speed


def power_by_speed(figure: Any, answer: PowerBySpeedAnswer, units: UnitSystem, paint: Paint) -> list[Panel]:
    """Draw power needed and usable by speed, and over which speeds it holds."""
    axes = figure.add_subplot()
    speed, needed = array(answer.speed), array(answer.needed)
    usable, rated = shown(answer.usable, units), shown(answer.rated, units)
    point = answer.operating
    here = shown(point.power, units) if point.power is not None else 0.0
    top = 1.3 * max(rated, here)
    axes.set_xlim(speed[0], speed[-1])
    axes.set_ylim(0.0, top)
    few_ticks(axes)
    fits, holds = np.array(answer.fits), np.array(answer.holds)
    _under(axes, speed, needed, fits, paint.near_ground, paint.near)
    _under(axes, speed, needed, holds, paint.mark, paint.mark)
    _name_under(axes, speed, holds, top, "holds", paint.on_mark)
    _name_under(axes, speed, fits & ~holds, top, "close", paint.near)
    soft_band(axes, speed, array(answer.needed, "low"), needed, array(answer.needed, "high"), paint.second)
    axes.plot(speed, needed, color=paint.ground, linewidth=4.5, zorder=4)
    axes.plot(speed, needed, color=paint.ink, zorder=5)
    _name_curve(axes, speed, needed, 0.62 * usable, "power needed", paint)
    near = (rated - usable) / top * _TALL < 1.5 * SMALL
    _level(axes, usable, f"usable {answer.usable.words(units)}", paint.ink, below=near and rated > usable * 1.001)
    if rated > usable * 1.001:
        _level(axes, rated, f"rated {answer.rated.words(units)}", paint.quiet, dashes=(0, (1, 2)))
    if answer.tool_speeds is not None:
        low, high = (shown(end, units) for end in answer.tool_speeds)
        _bracket(axes, (low, high), top, "the tool's range", paint)
    across = shown(point.speed, units)
    if point.power is None:
        axes.axvline(across, color=paint.wrong, linewidth=1.6, linestyle=(0, (3, 1.5)))
    _mark(axes, across, here, point.word, paint)
    return [Panel(axes, _TALL, f"PTO power [{answer.needed.unit}]", labelled(answer.speed))]


def _under(axes: Any, x: FloatArray, y: FloatArray, where: Any, fill: str, edge: str) -> None:
    """Fill what is under a curve `where` something is kept."""
    if where.any():
        axes.fill_between(x, 0.0, y, where=where & np.isfinite(y), color=fill, linewidth=0, zorder=2)
        ends = np.flatnonzero(where)
        axes.plot([x[ends[-1]]] * 2, [0.0, y[ends[-1]]], color=edge, linewidth=1.2, zorder=2.5)


def _name_under(axes: Any, x: FloatArray, where: Any, top: float, text: str, color: str) -> None:
    """Write what an area under a curve stands for into it, if there is room."""
    places = np.flatnonzero(where)
    if not places.size:
        return
    first, last = float(x[places[0]]), float(x[places[-1]])
    room = (last - first) / float(x[-1] - x[0]) * _ALONG
    if room > SMALL:
        upright = room < breadth(text, face="bold") + 6.0
        write(
            axes, 0.5 * (first + last), 0.05 * top, text, color=color, horizontalalignment="center", fontweight="bold",
            rotation=90.0 if upright else 0.0,
        )  # fmt: skip


def _name_curve(axes: Any, x: FloatArray, y: FloatArray, level: float, text: str, paint: Paint) -> None:
    """Write what a rising curve stands for beside it, above and to the left, where it passes a level."""
    known = np.flatnonzero(np.isfinite(y))
    if not known.size:
        return
    below = known[y[known] <= level]
    place = int(below[-1]) if below.size else int(known[0])
    left = (x[place] - x[0]) / (x[-1] - x[0]) * _ALONG < breadth(text, face="bold") + 14.0
    if not left:
        write(
            axes, x[place], float(y[place]), text, aside=(-9.0, 3.0), horizontalalignment="right", fontweight="bold",
            bbox=on_ground(paint),
        )  # fmt: skip
        return
    # Where there is no room before it, below its beginning, or else above it, as high as it is where the text ends.
    first, wide = int(known[0]), (breadth(text, face="bold") + 10.0) / _ALONG * float(x[-1] - x[0])
    height, aside = float(y[first]), (2.0, -1.6 * SMALL)
    if height / axes.get_ylim()[1] * _TALL < 2.2 * SMALL:
        height, aside = float(np.interp(float(x[first]) + wide, x[known], y[known])), (2.0, 3.0)
    write(axes, x[first], height, text, aside=aside, fontweight="bold", bbox=on_ground(paint))


def _level(axes: Any, height: float, text: str, color: str, dashes: Any = "-", *, below: bool = False) -> None:
    """Draw a level and write what it is."""
    axes.axhline(height, color=color, linewidth=1.6, linestyle=dashes, zorder=4)
    aside, anchor = ((2.0, -3.0), "top") if below else ((2.0, 3.0), "bottom")
    write(axes, axes.get_xlim()[0], height, text, aside=aside, color=color, verticalalignment=anchor)


def _bracket(axes: Any, ends: tuple[float, float], top: float, text: str, paint: Paint) -> None:
    """Draw from where to where a tool does sound work, at the top."""
    left, right = axes.get_xlim()
    shown_low, shown_high = max(ends[0], left), min(ends[1], right)
    height = 0.9 * top
    axes.plot([shown_low, shown_high], [height, height], color=paint.quiet, linewidth=1.4, zorder=4)
    for end in ends:
        if left <= end <= right:
            axes.plot([end, end], [0.87 * top, height], color=paint.quiet, linewidth=1.4, zorder=4)
    room = (shown_high - shown_low) / (right - left) * _ALONG
    middle = 0.5 * (shown_low + shown_high)
    if room < breadth(text):  # kept within the picture
        middle = float(np.clip(middle, left + 0.22 * (right - left), right - 0.22 * (right - left)))
    write(axes, middle, height, text, aside=(0.0, 3.0), horizontalalignment="center", color=paint.quiet)


# ---- slip by pull


def slip_by_pull(figure: Any, answer: SlipByPullAnswer, units: UnitSystem, paint: Paint) -> list[Panel]:
    """Draw slip by pull, and below it tractive efficiency, each on a scale of its own."""
    upper, lower = figure.subplots(2, 1)
    pull, slip, efficiency = array(answer.pull), array(answer.slip), array(answer.tractive_efficiency)
    point, here = answer.operating, ends_of(answer.operating.pull, units)
    farthest = max([here.high, *pull[-1:].tolist()]) * 1.05
    left, right = min(0.0, here.low), farthest if farthest > 0.0 else 1.0
    low, high = (shown(end, units) for end in answer.slip_band)
    limit = shown(answer.slip_limit, units)
    at = shown(point.slip, units) if point.slip is not None else 0.0
    top = min(max(1.45 * limit, 1.3 * at, 1.5 * high), 105.0)
    best = (slip >= low) & (slip <= high)
    for axes in (upper, lower):
        axes.set_xlim(left, right)
        if best.any():
            axes.axvspan(pull[best][0], pull[best][-1], color=paint.mark, alpha=0.14, linewidth=0, zorder=0.5)
    upper.set_ylim(0.0, top)
    upper.axhspan(low, high, color=paint.mark, linewidth=0, zorder=1)
    band = f"best slip, {answer.slip_band[0].words(units).removesuffix(' %')} to {answer.slip_band[1].words(units)}"
    within = (high - low) / top * _UPPER > 1.2 * SMALL
    write(
        upper, left, 0.5 * (low + high) if within else high, band, aside=(5.0, 0.0 if within else 3.0),
        color=paint.on_mark if within else paint.mark, fontweight="bold",
        verticalalignment="center_baseline" if within else "baseline",
    )  # fmt: skip
    upper.axhline(limit, color=paint.wrong, linewidth=1.6, zorder=3)
    write(upper, left, limit, f"limit {answer.slip_limit.words(units)}", aside=(5.0, 3.0), color=paint.wrong)
    for axes, curve in ((upper, slip), (lower, efficiency)):
        axes.plot(pull, curve, color=paint.ground, linewidth=4.5, zorder=4)
        axes.plot(pull, curve, color=paint.ink, zorder=5)
        few_ticks(axes, upwards=3)
    lower.set_ylim(0.0, max(1.15 * float(np.nanmax(efficiency, initial=0.0)), 50.0))
    soft_bar(upper, at, here, 0.028 * top, paint.second, upright=False)
    if not point.carried:
        upper.axvline(here.middle, color=paint.wrong, linewidth=1.6, linestyle=(0, (3, 1.5)))
    if not pull.size:
        upper.text(0.5, 0.6, "no pull at any slip", transform=upper.transAxes, horizontalalignment="center")
    word: Word = "holds" if point.carried else "fails"
    _mark(upper, here.middle, at, word, paint)
    if point.tractive_efficiency is not None:
        _mark(lower, here.middle, shown(point.tractive_efficiency, units), word, paint)
    return [
        Panel(upper, _UPPER, f"Slip [{answer.slip.unit}]"),
        Panel(lower, _LOWER, f"Tractive efficiency [{answer.tractive_efficiency.unit}]", labelled(answer.pull)),
    ]


# ---- what holds, by width and speed


def fit_map(figure: Any, answer: FitMapAnswer, units: UnitSystem, paint: Paint) -> list[Panel]:
    """Draw what holds, is close and fails by width and speed, with the limits between them."""
    axes = figure.add_subplot()
    axes.grid(visible=False)
    speed, width = array(answer.speed), array(answer.width)
    axes.set_xlim(speed[0], speed[-1])
    axes.set_ylim(width[0], width[-1])
    few_ticks(axes)
    axes.set_facecolor(paint.wrong_ground)
    for margin, color in ((answer.margin, paint.near_ground), (answer.holding_margin, paint.mark)):
        grid = np.clip(np.array([array(row) for row in margin.rows]), -1e6, 1e6)
        if (grid >= 0.0).any():
            # Below zero is beyond a limit; what is met exactly is kept.
            axes.contourf(speed, width, grid, levels=[-1e-9, 2e6], colors=[color], zorder=1)
    point = answer.operating
    here = shown(point.speed, units), shown(point.width, units)
    place_of = _Places((speed[0], speed[-1]), (width[0], width[-1]), (_ALONG, _MAP))
    place_of.take(*here, 20.0, 20.0)
    ends = [shown(end, units) for end in answer.tool_speeds or ()]
    for end, text in zip(ends, ("tool from", "tool to"), strict=False):
        axes.axvline(end, color=paint.ink, linewidth=1.6, linestyle=(0, (1, 1.5)), zorder=3)
        side = "left" if end < 0.5 * (speed[0] + speed[-1]) else "right"
        write(
            axes, end, width[-1], text, aside=(4.0 if side == "left" else -4.0, -5.0), horizontalalignment=side,
            verticalalignment="top", bbox=on_ground(paint),
        )  # fmt: skip
        half = 0.5 * breadth(text) / _ALONG * (speed[-1] - speed[0])
        place_of.take(end + half if side == "left" else end - half, width[-1], breadth(text) + 8.0, 4.0 * SMALL)
    holds, fits = np.array(answer.holds), np.array(answer.fits)
    lines = [(LIMIT_WORDS[one.limit].short, array(one.width)) for one in answer.outlines]
    lines = [(name, line) for name, line in lines if np.isfinite(line).sum() > 1]
    for where, text, color in (
        (holds, "holds", paint.on_mark),
        (fits & ~holds, "close", paint.near),
        (~fits & ~holds, "fails", paint.wrong),
    ):
        _name_area(axes, (speed, width, where), [line for _, line in lines], ends, place_of, text, color)
    for number, (name, line) in enumerate(lines):
        axes.plot(speed, line, color=paint.ink, linewidth=1.6, linestyle=_DASHES[number % len(_DASHES)], zorder=3)
        inside = np.flatnonzero(np.isfinite(line) & (line <= 0.95 * width[-1]) & (line >= 1.05 * width[0]))
        wide = breadth(name) + 8.0
        inside = inside[[place_of.within(speed[one], wide) for one in inside]] if inside.size else inside
        free = [one for one in inside if place_of.free(speed[one], line[one], wide, 1.5 * SMALL)]
        if free:
            place = free[int(0.7 * len(free))]
            place_of.take(speed[place], line[place], wide, 1.5 * SMALL)
            write(
                axes, speed[place], line[place], name, horizontalalignment="center",
                verticalalignment="center_baseline", bbox=on_ground(paint),
            )  # fmt: skip
    _mark(axes, *here, point.word, paint)
    return [Panel(axes, _MAP, labelled(answer.width), labelled(answer.speed))]


class _Places:
    """Where something stands on a drawing already, so that nothing is written over it.

    Parameters
    ----------
    across, up : pair of float
        Ends of the axes.
    size : pair of float
        Width and height of the drawing, about [pt].
    """

    def __init__(self, across: tuple[float, float], up: tuple[float, float], size: tuple[float, float]) -> None:
        self._across, self._up, self._size = across, up, size
        self._taken: list[tuple[float, float, float, float]] = []

    def _at(self, x: float, y: float) -> tuple[float, float]:
        (left, right), (low, high) = self._across, self._up
        return (x - left) / (right - left) * self._size[0], (y - low) / (high - low) * self._size[1]

    def take(self, x: float, y: float, wide: float, tall: float) -> None:
        """Note that something of this size [pt] stands around a place."""
        self._taken.append((*self._at(x, y), wide, tall))

    def free(self, x: float, y: float, wide: float, tall: float) -> bool:
        """Return whether nothing stands where something of this size [pt] would."""
        across, up = self._at(x, y)
        return not any(
            abs(across - one[0]) < 0.5 * (wide + one[2]) and abs(up - one[1]) < 0.5 * (tall + one[3])
            for one in self._taken
        )

    def within(self, x: float, wide: float) -> bool:
        """Return whether something so wide [pt] would not run out of the drawing."""
        across, _ = self._at(x, self._up[0])
        return 0.5 * wide <= across <= self._size[0] - 0.5 * wide


_MAP = 245.0
"""Height of the map [pt]."""
_DASHES: tuple[Any, ...] = ("-", (0, (6, 2)), (0, (2, 1.5)), (0, (6, 2, 1, 2)))


def note_of_map(answer: FitMapAnswer, units: UnitSystem) -> str:
    """Return what lines and areas of the map stand for."""
    return "Lines: where a limit is met by the central figures."


def _name_area(
    axes: Any,
    area: tuple[FloatArray, FloatArray, Any],
    lines: list[FloatArray],
    uprights: list[float],
    place_of: _Places,
    text: str,
    color: str,
) -> None:
    """Write what an area of a map stands for where it is broadest between lines, if there is room."""
    x, y, where = area
    # Grids are uneven where marks stand in them: look on an even one, of cells of about five points.
    across: FloatArray = np.linspace(float(x[0]), float(x[-1]), 57)
    up: FloatArray = np.linspace(float(y[0]), float(y[-1]), 49)
    near_x = np.abs(across[:, None] - x[None, :]).argmin(axis=1)
    near_y = np.abs(up[:, None] - y[None, :]).argmin(axis=1)
    inside: npt.NDArray[np.bool_] = where[np.ix_(near_y, near_x)]
    for line in lines:
        inside &= ~(np.abs(np.interp(across, x, line)[None, :] - up[:, None]) < 1.5 * (up[1] - up[0]))
    for one in uprights:
        inside &= ~(np.abs(across - one) < across[1] - across[0])[None, :]
    far: FloatArray = cast("Any", ndimage).distance_transform_edt(np.pad(inside, 1))[1:-1, 1:-1]
    wide = breadth(text, face="bold")
    for place in np.argsort(-far, axis=None, kind="stable")[:200]:
        row, column = np.unravel_index(int(place), far.shape)
        if far[row, column] < 2.0:
            return
        if place_of.free(across[column], up[row], wide, 1.5 * SMALL):
            place_of.take(across[column], up[row], wide, 1.5 * SMALL)
            write(
                axes, across[column], up[row], text, color=color, fontweight="bold", horizontalalignment="center",
                verticalalignment="center_baseline", zorder=2,
            )  # fmt: skip
            return


# ---- draft by tool


def draft_by_tool(figure: Any, answer: DraftByToolAnswer, units: UnitSystem, paint: Paint) -> list[Panel]:
    """Draw draft by tool as bars at speeds around the match, each tool named beside the last of them."""
    axes = figure.add_subplot()
    speed = array(answer.speed)
    places = np.arange(len(speed), dtype=np.float64)
    below = np.zeros(len(speed))
    middles: list[float] = []
    for number, one in enumerate(answer.tools):
        force = array(one.draft)
        axes.bar(
            places, force, 0.74, bottom=below, color=paint.fill_of(number), edgecolor=paint.ground, linewidth=1.2,
            zorder=2,
        )  # fmt: skip
        middles.append(float(below[-1] + 0.5 * force[-1]))
        below = below + force
    total, low, high = array(answer.total), array(answer.total, "low"), array(answer.total, "high")
    for place, ends in enumerate(zip(low, total, high, strict=True)):
        soft_bar(axes, place, (float(ends[0]), float(ends[1]), float(ends[2])), 0.2, paint.second, upright=True)
    middle = len(speed) // 2
    top = 1.2 * float(np.nanmax(high))
    axes.set_ylim(0.0, top)
    few_ticks(axes)
    axes.set_xlim(-0.5, 6.9)
    names = [legible(one.tool.replace(".", ", ").replace("-", " "), 44) for one in answer.tools]
    folds = [folded(one, 92.0)[:3] for one in names]
    leading = 1.2 * SMALL / _TALL * top
    floor_of = 0.0
    for middle_of, lines in zip(middles, folds, strict=True):
        height = leading * len(lines)
        bottom = min(max(middle_of - 0.5 * height, floor_of), max(top - height, floor_of))
        if bottom + height > 1.1 * top:
            break  # those above stand for little
        floor_of = bottom + height + 0.25 * leading
        write(axes, 4.5, bottom, "\n".join(lines), verticalalignment="bottom", linespacing=1.15)
    axes.set_xticks(places, [f"{one:.3g}" for one in speed])
    axes.get_xticklabels()[middle].set_fontweight("bold")
    axes.get_xticklabels()[middle].set_color(paint.ink)
    write(
        axes, places[middle], 0.0, "this match", aside=(0.0, -2.6 * SMALL), horizontalalignment="center",
        fontweight="bold",
    )  # fmt: skip
    return [Panel(axes, _TALL, labelled(answer.total), labelled(answer.speed))]
