"""Pictures of time and of soil: the chance by date, a season's timeline, stress by depth."""

import datetime as dt
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from drawbar_service.api.shared.dates import day_and_month
from drawbar_service.api.v1.curves.finish_by_date import FinishByDateAnswer
from drawbar_service.api.v1.curves.season_timeline import SeasonTimelineAnswer, WorkSpan
from drawbar_service.api.v1.curves.soil_stress_by_depth import SoilStressByDepthAnswer
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.pictures.canvas import (
    ACROSS,
    SMALL,
    Paint,
    Panel,
    breadth,
    few_ticks,
    fitted,
    matplotlib,
    on_ground,
    soft_bar,
    write,
)
from drawbar_service.pictures.machines import array, ends_of, labelled, shown
from drawbar_service.quantities import UnitSystem

_AXLES = ("front", "rear")
_TALL = 215.0
"""Height of a drawing [pt]."""
_ALONG = 280.0
"""Width of the axes, about [pt]."""

# ---- the chance by date

_MOST_TICKS = 5
_LEVELS = ((50.0, "5 in 10"), (80.0, "8 in 10"), (90.0, "9 in 10"))


def _step(days: int, most: int) -> int:
    """Return how many days apart marks stand, so that there are no more than `most`."""
    return next(step for step in (1, 2, 7, 14, 28, 61, 122, 366) if days / step <= most or step == 366)


def _years(first: dt.date, last: dt.date) -> str:
    return str(first.year) if first.year == last.year else f"{first.year}/{last.year}"


def finish_by_date(figure: Any, answer: FinishByDateAnswer, units: UnitSystem, paint: Paint) -> list[Panel]:
    """Draw the chance to be done by date; from where it is likely, in full colour."""
    axes = figure.add_subplot()
    first, last = answer.dates[0], max(answer.dates[-1], answer.finish_by)
    days = np.array([(date - first).days for date in answer.dates], dtype=np.float64)
    chance = array(answer.chance)
    end = max(float(days[-1]), 0.5)
    axes.set_ylim(0.0, 112.0)
    axes.set_xlim(0.0, end * 1.05)
    fine: FloatArray = np.linspace(0.0, float(days[-1]), 200) if days[-1] > 0 else days
    risen = np.interp(fine, days, chance)
    axes.fill_between(fine, risen, color=paint.shade, linewidth=0, zorder=1)
    for least, color in ((50.0, paint.near_ground), (80.0, paint.mark)):
        axes.fill_between(fine, np.where(risen >= least, risen, np.nan), color=color, linewidth=0, zorder=1.5)
    axes.plot(days, chance, color=paint.ink, marker="" if len(days) > 1 else "o", zorder=4)
    dates = (answer.likely.even, answer.likely.likely, answer.likely.very_likely)
    for (level, words), date in zip(_LEVELS, dates, strict=True):
        if date is None or not first <= date <= last:
            continue
        day = float((date - first).days)
        height = float(np.interp(day, days, chance))
        axes.plot([day], [height], color=paint.ink, marker="o", markersize=6, zorder=6)
        left = day / end * _ALONG > 8.0 * len(words + "14 Nov, ")
        write(
            axes, day, height, f"{words}: {day_and_month(date)}", aside=(-9.0, 1.0) if left else (9.0, -4.0),
            horizontalalignment="right" if left else "left", verticalalignment="bottom" if left else "top",
            fontweight="bold" if level == _LEVELS[1][0] else "normal", bbox=None if left else on_ground(paint),
        )  # fmt: skip
    ends = ends_of(answer.in_time, units)
    soft_bar(axes, float(days[-1]), ends, 0.016 * end, paint.second, upright=True)
    axes.plot(
        [days[-1]], [ends.middle], linestyle="none", marker="D", markersize=9, color=paint.ink, clip_on=False,
        markeredgecolor=paint.ground, markeredgewidth=1.6, zorder=7,
    )  # fmt: skip
    step = _step(int(end), _MOST_TICKS)
    ticks = list(range(0, int(end) + 1, step))
    axes.set_xticks(ticks, [day_and_month(first + dt.timedelta(days=day)) for day in ticks])
    axes.set_yticks([0, 50, 80, 100])
    return [Panel(axes, _TALL, labelled(answer.chance), f"Date, {_years(first, last)}")]


def note_of_finish(answer: FinishByDateAnswer, units: UnitSystem) -> str:
    """Return what the mark at the end of the window stands for."""
    ranged = answer.in_time.low is not None and answer.in_time.high is not None
    soft = "; the soft bar is the range, as years are few" if ranged else ""
    return f"\N{BLACK DIAMOND} End of the window, {day_and_month(answer.finish_by)}{soft}."


# ---- the season, from top to bottom

_DAY_HEIGHTS = (4.0, 16.0)
"""Least and usual height of a day [pt]."""
_MOST_HEIGHT = 620.0
"""[pt]"""
_MARGIN_DAYS = 14
"""Days after the window up to which a mark lengthens a timeline."""
_LINE = 1.15 * SMALL
"""Height that a name needs [pt]."""
_MOST_WORKS_NAMED = 8
_GAP = 0.03
"""Room at either side of a span, over the width of a lane [1]."""


class _Piece(NamedTuple):
    """A span of work within its lane: days count from the start of the window, parts of days where it shares them."""

    span: WorkSpan
    begins: float
    ends: float


def lane_of(spans: Sequence[WorkSpan], start: dt.date) -> list[_Piece]:
    """Return where spans stand in the one lane of their tractor; those that share a day divide it, in their order."""
    on_day: dict[int, list[int]] = {}
    for number, span in enumerate(spans):
        for day in range((span.first - start).days, (span.last - start).days + 1):
            on_day.setdefault(day, []).append(number)

    def within(day: int, number: int) -> tuple[float, float]:
        sharing = on_day[day]
        place = sharing.index(number)
        return day + place / len(sharing), day + (place + 1) / len(sharing)

    return [
        _Piece(
            span,
            within((span.first - start).days, number)[0],
            within((span.last - start).days, number)[1],
        )
        for number, span in enumerate(spans)
    ]


def _days(answer: SeasonTimelineAnswer) -> int:
    marks = [one for one in (answer.freeze_up, answer.likely) if one is not None]
    # A mark long after the work would leave it no room.
    near = [one for one in marks if (one - answer.end).days <= _MARGIN_DAYS]
    last = max([answer.end, *(span.last for span in answer.spans), *near])
    return (last - answer.start).days + 1


def _height_of_day(days: int) -> float:
    least, usual = _DAY_HEIGHTS
    return max(min(usual, _MOST_HEIGHT / days), least * min(1.0, _MOST_HEIGHT / (least * days)))


def note_of_timeline(answer: SeasonTimelineAnswer, units: UnitSystem) -> str:
    """Return what the lines across a lane stand for."""
    told = [] if answer.spans else ["Nothing can be planned."]
    if any(span.due < answer.end for span in answer.spans):
        told.append("A line across a lane: what is due by then.")
    return " ".join(told)


def season_timeline(figure: Any, answer: SeasonTimelineAnswer, units: UnitSystem, paint: Paint) -> list[Panel]:
    """Draw the plan of a season, days from top to bottom, a lane for each tractor with its driver."""
    axes = figure.add_subplot()
    axes.grid(visible=False)
    first, days = answer.start, _days(answer)
    day = _height_of_day(days)
    lanes = max(len(answer.tractors), 1)
    room = (ACROSS - 55.0) / lanes
    axes.set_xlim(0.0, lanes)
    axes.set_ylim(days, 0.0)
    boxes: dict[int, list[list[tuple[float, float]]]] = {}
    late: list[list[tuple[float, float]]] = []
    for lane, tractor in enumerate(answer.tractors):
        if lane:
            axes.axvline(lane, color=paint.hair, linewidth=1.0, zorder=1)
        spans = [span for span in answer.spans if span.tractor == tractor]
        _head(axes, lane, tractor, spans, room, paint)
        pieces = lane_of(spans, first)
        for one in pieces:
            left, right = lane + _GAP, lane + 1.0 - _GAP
            corners = [(left, one.begins), (right, one.begins), (right, one.ends), (left, one.ends)]
            boxes.setdefault(answer.works.index(one.span.work), []).append(corners)
            if one.span.late:
                late.append(corners)
        _name_pieces(axes, lane, pieces, day, room, paint)
        for date in dict.fromkeys(span.due for span in spans if span.due < answer.end):
            place = (date - first).days + 1
            axes.plot([lane, lane + 1], [place, place], color=paint.wrong, linewidth=1.8, zorder=5)
            write(
                axes, lane + 1, place, "due", aside=(-5.0, 1.0), color=paint.wrong, horizontalalignment="right",
                verticalalignment="bottom",
            )  # fmt: skip
    # One collection for all spans of a kind: an artist for each would take seconds where a season is long.
    polygons = matplotlib().collections.PolyCollection
    for number, corners in boxes.items():
        axes.add_collection(
            polygons(corners, facecolor=paint.fill_of(number), edgecolor=paint.ground, linewidth=1.0, zorder=2),
            autolim=False,
        )
    if late:
        axes.add_collection(
            polygons(late, facecolor="none", edgecolor=paint.wrong, linewidth=2.0, zorder=4), autolim=False
        )
    foot = _key(axes, answer, days, _date_lines(axes, answer, days, day, lanes, paint), paint)
    step = _step(days, int(days * day / (2.2 * SMALL)) or 1)
    ticks = list(range(0, days, step))
    axes.set_yticks(ticks, [day_and_month(first + dt.timedelta(days=one)) for one in ticks], verticalalignment="top")
    axes.set_xticks([])
    axes.spines["bottom"].set_visible(False)
    return [Panel(axes, days * day, "", head=2.0 * _LINE + 4.0, foot=foot + 6.0)]


def _head(axes: Any, lane: int, tractor: str, spans: Sequence[WorkSpan], room: float, paint: Paint) -> None:
    """Write a tractor above its lane, and who drives it, the most frequent first."""
    drivers = [driver for span in spans for driver in span.operators]
    often = sorted(dict.fromkeys(drivers), key=lambda one: -drivers.count(one))
    who = f"{often[0]}{f' +{len(often) - 1}' if len(often) > 1 else ''}" if often else ""
    lines = [(fitted(tractor, room - 6.0, "bold"), "bold", paint.ink), (fitted(who, room - 6.0), "normal", paint.quiet)]
    for number, (text, weight, color) in enumerate(lines):
        write(
            axes, lane + _GAP, 0.0, text, aside=(1.0, 4.0 + (1 - number) * _LINE), color=color, fontweight=weight,
        )  # fmt: skip


def _name_pieces(axes: Any, lane: int, pieces: Sequence[_Piece], day: float, room: float, paint: Paint) -> None:
    """Write fields into their spans; those with no room for a line share one, in the room of a longer that follows."""

    def put(named: Sequence[_Piece], begins: float, ends: float) -> None:
        names = ", ".join(dict.fromkeys(piece.span.field for piece in named))
        names += ", late" if any(piece.span.late for piece in named) else ""
        text = fitted(names, room * (1.0 - 2.0 * _GAP) - 6.0)
        if not text or (ends - begins) * day < 0.8 * _LINE:
            return
        # A long span has its name at its beginning, where the eye comes from.
        middle = (ends - begins) * day < 1.6 * _LINE
        write(
            axes, lane + _GAP, 0.5 * (begins + ends) if middle else begins, text,
            aside=(4.0, 0.0) if middle else (4.0, -2.0), verticalalignment="center_baseline" if middle else "top",
            zorder=6,
        )  # fmt: skip

    waiting: list[_Piece] = []
    for number, one in enumerate(pieces, 1):
        after = pieces[number] if number < len(pieces) else None
        shared = [*waiting, one]
        begins, tall = shared[0].begins, (one.ends - shared[0].begins) * day
        if tall < _LINE and after is not None and after.begins <= one.ends + 0.5:
            waiting = shared
            continue
        if waiting and tall > 2.0 * _LINE:
            line = begins + _LINE / day
            put(waiting, begins, line)
            put([one], line, one.ends)
        else:
            put(shared, begins, one.ends)
        waiting = []


def _date_lines(axes: Any, answer: SeasonTimelineAnswer, days: int, day: float, lanes: int, paint: Paint) -> float:
    """Draw what a season has to keep to: a margin for wet days, the end of its window, and when it usually freezes."""
    first = answer.start
    if answer.finishes is not None and answer.likely is not None and answer.likely > answer.finishes:
        begins, ends = ((one - first).days + 1 for one in (answer.finishes, answer.likely))
        axes.axhspan(begins, min(ends, days), color=paint.near_ground, zorder=0.5)
        if (min(ends, days) - begins) * day > _LINE:
            text = fitted("margin for wet days: done in 8 of 10 years", ACROSS - 65.0)
            write(
                axes, 0.0, 0.5 * (begins + min(ends, days)), text, aside=(4.0, 0.0), color=paint.near,
                verticalalignment="center",
            )  # fmt: skip
    lines: list[tuple[int, str, str, Any]] = []
    window = (answer.end - first).days + 1
    if window <= days:
        lines.append((window, f"window ends {day_and_month(answer.end)}", paint.quiet, (0, (4, 2))))
    if answer.freeze_up is not None and 0 <= (answer.freeze_up - first).days <= days:
        frozen = (answer.freeze_up - first).days
        lines.append((frozen, f"usually frozen from {day_and_month(answer.freeze_up)}", paint.mark, "-"))
    down = 0.0
    for number, (place, text, color, dashes) in enumerate(sorted(lines, key=lambda one: one[0])):
        axes.axhline(place, color=color, linewidth=2.4, linestyle=dashes, zorder=5, clip_on=False)
        # Below the line where nothing follows, else above it.
        below = place >= days or (number and (place - lines[0][0]) * day < 2.0 * _LINE)
        write(
            axes, lanes, place, text, aside=(-2.0, -3.0 if below else 3.0), color=color, horizontalalignment="right",
            verticalalignment="top" if below else "bottom", bbox=on_ground(paint),
        )  # fmt: skip
        if below:
            down = _LINE
    return down


def _key(axes: Any, answer: SeasonTimelineAnswer, days: int, down: float, paint: Paint) -> float:
    """Write which colour is which work, where there are several, from so far `down` [pt]; return where it ends."""
    if len(answer.works) < 2:
        return down
    across, down = 0.0, down + _LINE
    for number, work in enumerate(answer.works[:_MOST_WORKS_NAMED]):
        name = fitted(work, 130.0)
        wide = 1.2 * SMALL + breadth(name)
        if across and across + wide > ACROSS - 60.0:
            across, down = 0.0, down + _LINE
        write(
            axes,
            0.0,
            days,
            "\N{BLACK SQUARE}",
            aside=(across, -down),
            color=paint.fill_of(number),
            fontsize=1.2 * SMALL,
        )
        write(axes, 0.0, days, name, aside=(across + 1.2 * SMALL, -down))
        across += wide + SMALL
    return down


# ---- soil stress


def soil_stress_by_depth(figure: Any, answer: SoilStressByDepthAnswer, units: UnitSystem, paint: Paint) -> list[Panel]:
    """Draw stress by depth, the ground on top, beside what moist subsoil bears."""
    axes = figure.add_subplot()
    axes.grid(visible=False)
    depth = array(answer.depth)
    most = max(float(np.nanmax(array(one.stress))) for one in answer.curves)
    bears, from_depth = shown(answer.bears.stress, units), shown(answer.bears.depth, units)
    right = max(1.08 * most, 1.6 * bears)
    axes.set_ylim(float(depth[-1]), 0.0)
    axes.set_xlim(0.0, right)
    few_ticks(axes, upwards=5)
    axes.fill_between([0.0, min(bears, right)], from_depth, float(depth[-1]), color=paint.mark, linewidth=0, zorder=1)
    axes.axhline(from_depth, color=paint.line, linewidth=1.0, zorder=1)
    write(
        axes, right, from_depth, "subsoil", aside=(-2.0, -3.0), color=paint.quiet, horizontalalignment="right",
        verticalalignment="top",
    )  # fmt: skip
    _write_bears(axes, f"bears {answer.bears.stress.words(units)}", bears, paint)
    _draw_curves(axes, answer, depth, right, paint)
    return [Panel(axes, 1.15 * _TALL, labelled(answer.depth), labelled(answer.curves[0].stress), head=6.0)]


def _write_bears(axes: Any, text: str, bears: float, paint: Paint) -> None:
    """Write what moist subsoil bears at the foot of the area that stands for it, or beside it if it is narrow."""
    right, deepest = axes.get_xlim()[1], axes.get_ylim()[0]
    inside = bears / right * _ALONG > breadth(text, face="bold") + 8.0
    box = {"boxstyle": "round,pad=0.14", "facecolor": paint.mark if inside else paint.ground, "edgecolor": "none"}
    write(
        axes, 0.0 if inside else bears, deepest, text, aside=(5.0, 6.0), verticalalignment="bottom", fontweight="bold",
        color=paint.on_mark if inside else paint.mark, bbox=box,
    )  # fmt: skip


def _draw_curves(axes: Any, answer: SoilStressByDepthAnswer, depth: FloatArray, right: float, paint: Paint) -> None:
    """Draw a curve for each axle, each named beside a mark on it: between those of the two axles, if there is room."""
    greatest = {axle: max(one.stress.values[0] or 0.0 for one in answer.curves if one.axle == axle) for axle in _AXLES}
    harder = max(_AXLES, key=lambda axle: greatest[axle])
    for number, one in enumerate(sorted(answer.curves, key=lambda one: one.axle == harder)):
        stress, advised = array(one.stress), one.standing == "advised"
        color = paint.second if one.axle == "rear" else paint.ink
        axes.plot(stress, depth, color=paint.ground, linewidth=4.2, zorder=3)
        axes.plot(stress, depth, color=color, linestyle=(0, (5, 2)) if advised else "-", zorder=4)
        level = float(depth[-1]) * (0.09 + 0.09 * number)
        place = float(np.interp(level, depth, stress))
        text = f"{one.axle}, {one.standing.replace('-', ' ')}"
        axes.plot([place], [level], color=color, marker="o", markersize=6, zorder=5)
        before = one.axle == harder and place / right * _ALONG > breadth(text) + 10.0
        write(
            axes, place, level, text, aside=(-8.0, 0.0) if before else (8.0, 0.0), color=color, bbox=on_ground(paint),
            horizontalalignment="right" if before else "left", verticalalignment="center_baseline",
        )  # fmt: skip
