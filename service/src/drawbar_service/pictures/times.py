"""Pictures of time and of soil: the chance by date, a season's timeline, stress by depth."""

import datetime as dt
from typing import Any

import numpy as np

from drawbar_service.api.v1.curves.finish_by_date import FinishByDateAnswer
from drawbar_service.api.v1.curves.season_timeline import SeasonTimelineAnswer
from drawbar_service.api.v1.curves.soil_stress_by_depth import SoilStressByDepthAnswer
from drawbar_service.pictures.canvas import (
    BLUE,
    FRAME,
    INK,
    MIST,
    QUIET,
    RUST,
    WIDTH,
    Key,
    fill_of,
    hatch_of,
    legible,
    matplotlib,
)
from drawbar_service.pictures.machines import array, figure_patch, labelled
from drawbar_service.quantities import UnitSystem

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MOST_TICKS = 7
_MOST_NUMBERED_SPANS = 120
"""Spans above which a timeline bears no numbers: they would outweigh it."""
_MOST_NUMBERS = 32
"""Numbers that stand side by side across a timeline."""
_MARGIN_DAYS = 14
"""Days after the window up to which a mark lengthens a timeline."""
_NAME_INCHES = 0.072
"""Width of a letter of a field's name [in]."""
_PANE = 0.8
"""Share of a figure's width [1] that the axes have, about."""
_NUMBER_INCHES = 0.12
"""Width that a number needs [in]."""
_MOST_NAMED = 40
_MOST_WORKS_NAMED = 8


def _date_axis(axes: Any, first: dt.date, last: dt.date) -> None:
    """Label an axis of days counted from `first`, with months in English whatever the machine speaks."""
    days = (last - first).days
    step = next(step for step in (1, 2, 7, 14, 28, 61, 122, 366) if days / step <= _MOST_TICKS or step == 366)
    ticks = range(0, days + 1, step)
    dates = [first + dt.timedelta(days=day) for day in ticks]
    axes.set_xticks(list(ticks), [f"{date.day} {_MONTHS[date.month - 1]}" for date in dates])
    years = str(first.year) if first.year == last.year else f"{first.year}/{last.year}"
    axes.set_xlabel(f"Date, {years}")


def finish_by_date(figure: Any, answer: FinishByDateAnswer, units: UnitSystem) -> Key:
    """Draw the chance to be done by date."""
    axes = figure.add_subplot()
    first, last = answer.dates[0], max(answer.dates[-1], answer.finish_by)
    days = [(date - first).days for date in answer.dates]
    chance = array(answer.chance)
    axes.set_ylim(0.0, 104.0)
    axes.set_ylabel(labelled(answer.chance))
    if days[-1] > 0:
        axes.set_xlim(0, days[-1] * 1.04)
    axes.fill_between(days, chance, color=MIST, linewidth=0)
    axes.plot(days, chance, color=BLUE, marker="" if len(days) > 1 else "o", label="chance to be done by the day")
    marks = ((50.0, answer.likely.even), (80.0, answer.likely.likely), (90.0, answer.likely.very_likely))
    for level, date in marks:
        if date is not None and first <= date <= last:
            day = (date - first).days
            height = float(np.interp(day, days, chance))
            axes.vlines(day, 0.0, height, color=INK, linewidth=1.0, linestyle=(0, (2, 2)))
            axes.plot([day], [height], color=INK, marker="o", markersize=4.5)
            axes.annotate(
                f"{level:.0f} in 100: {date.day} {_MONTHS[date.month - 1]}", (day, height), (-7, 4),
                textcoords="offset points", horizontalalignment="right", fontsize=8.5,
            )  # fmt: skip
    factor = type(answer.in_time).shown(units)[1]
    middle = float(answer.in_time) / factor
    low, high = ((middle if end is None else end / factor) for end in (answer.in_time.low, answer.in_time.high))
    axes.errorbar(
        [days[-1]], [middle], yerr=[[middle - low], [high - middle]], color=RUST, marker="D", markersize=6, capsize=4,
        linewidth=1.4, linestyle="none", zorder=5, clip_on=False,
        label="at the end of the window" + (", range as years are few" if high > low else ""),
    )  # fmt: skip
    _date_axis(axes, first, last)
    return Key(columns=1)


def height_of_timeline(answer: SeasonTimelineAnswer) -> float:
    """Return how tall a timeline is to be [in]."""
    lanes = sum(max(lanes, 1) for _, lanes in _lanes(answer).values())
    return min(1.9 + max(0.34 * lanes, 0.5) + 0.2 * ((len(answer.works) + 3) // 2), 12.0)


def _lanes(answer: SeasonTimelineAnswer) -> dict[str, tuple[list[int], int]]:
    """Return for each tractor the lane of each of its spans and how many lanes it has: spans may share days."""
    found: dict[str, tuple[list[int], int]] = {}
    for tractor in answer.tractors:
        ends: list[dt.date] = []
        lanes: list[int] = []
        for span in (span for span in answer.spans if span.tractor == tractor):
            free = next((lane for lane, end in enumerate(ends) if end < span.first), len(ends))
            ends[free : free + 1] = [span.last]
            lanes.append(free)
        found[tractor] = (lanes, len(ends))
    return found


def _days(answer: SeasonTimelineAnswer) -> int:
    marks = [one for one in (answer.freeze_up, answer.likely) if one is not None]
    # A mark long after the work would leave it no room.
    near = [one for one in marks if (one - answer.end).days <= _MARGIN_DAYS]
    last = max([answer.end, *(span.last for span in answer.spans), *near])
    return (last - answer.start).days + 1


def _numbered(answer: SeasonTimelineAnswer) -> list[str]:
    """Return the fields that need a number, for some span has no room for the name, in the order they are worked."""
    if len(answer.spans) > _MOST_NUMBERED_SPANS:
        return []
    days = _days(answer)
    wide = [(span, (span.last - span.first).days + 1) for span in answer.spans]
    inches = _PANE * WIDTH / days
    return list(
        dict.fromkeys(
            span.field
            for span, lasts in wide
            if lasts * _MOST_NUMBERS >= days and len(legible(span.field)) * _NAME_INCHES > lasts * inches
        )
    )


def _label(field: str, inches: float, numbers: dict[str, int]) -> str:
    """Return a field's name where there is room for it, else its number; nothing where there is room for neither."""
    name = legible(field)
    if len(name) * _NAME_INCHES <= inches:
        return name
    return str(numbers[field]) if field in numbers and inches >= _NUMBER_INCHES else ""


def note_of_timeline(answer: SeasonTimelineAnswer) -> str:
    """Return which number stands for which field."""
    fields = _numbered(answer)
    names = ", ".join(f"{number} {legible(field)}" for number, field in enumerate(fields[:_MOST_NAMED], 1))
    more = f", and {len(fields) - _MOST_NAMED} more" if len(fields) > _MOST_NAMED else ""
    return f"Fields: {names}{more}." if fields else ""


def _lane_name(answer: SeasonTimelineAnswer, tractor: str) -> str:
    """Return a tractor with who drives it, the most frequent first."""
    drivers = [driver for span in answer.spans if span.tractor == tractor for driver in span.operators]
    often = sorted(dict.fromkeys(drivers), key=lambda one: -drivers.count(one))
    if not often:
        return legible(tractor, 16)
    more = f" +{len(often) - 1}" if len(often) > 1 else ""
    return f"{legible(tractor, 16)}\n{legible(often[0], 14)}{more}"


def season_timeline(figure: Any, answer: SeasonTimelineAnswer, units: UnitSystem) -> Key:
    """Draw the plan of a season by tractor, fields by number."""
    axes = figure.add_subplot()
    axes.grid(visible=False, axis="y")
    first = answer.start
    days = _days(answer)
    last = first + dt.timedelta(days=days - 1)
    numbers = {field: number for number, field in enumerate(_numbered(answer), 1)}
    middles: list[float] = []
    boxes: dict[tuple[int, bool], list[list[tuple[float, float]]]] = {}
    above, dues = 0, False
    inches = _PANE * WIDTH
    for tractor, (lanes, count) in _lanes(answer).items():
        middles.append(above + 0.5 * (max(count, 1) - 1))
        due = sorted(
            {(span.due, span.field) for span in answer.spans if span.tractor == tractor and span.due < answer.end}
        )
        for date in dict.fromkeys(date for date, _ in due):
            place = (date - first).days + 1
            axes.plot(
                [place, place], [above - 0.45, above + max(count, 1) - 0.55], color=RUST, linewidth=1.4, zorder=3.5
            )
            dues = True
        for span, lane in zip((span for span in answer.spans if span.tractor == tractor), lanes, strict=True):
            begins, lasts = float((span.first - first).days), (span.last - span.first).days + 1
            low, high = above + lane - 0.39, above + lane + 0.39
            corners = [(begins, low), (begins + lasts, low), (begins + lasts, high), (begins, high)]
            boxes.setdefault((answer.works.index(span.work), span.late), []).append(corners)
            label = _label(span.field, lasts * inches / days, numbers)
            if label:
                axes.text(
                    begins + 0.5 * lasts, above + lane, label, horizontalalignment="center",
                    verticalalignment="center", fontsize=8, zorder=4,
                    bbox={"boxstyle": "round,pad=0.12", "facecolor": "white", "edgecolor": "none", "alpha": 0.9},
                )  # fmt: skip
        above += max(count, 1)
        if len(middles) < len(answer.tractors):
            axes.axhline(above - 0.5, color=FRAME, linewidth=0.8)
    # One collection for all spans of a kind: an artist for each would take seconds where a season is long.
    for (number, late), corners in boxes.items():
        axes.add_collection(
            matplotlib().collections.PolyCollection(
                corners, facecolor=fill_of(number), hatch=hatch_of(number), edgecolor=INK if late else "white",
                linewidth=2.0 if late else 0.8, zorder=3 if late else 2,
            ),
            autolim=False,
        )  # fmt: skip
    axes.set_yticks(middles, [_lane_name(answer, one) for one in answer.tractors])
    axes.tick_params(axis="y", length=0)
    axes.set_ylim(above - 0.45, -0.55)
    axes.set_xlim(0, days)
    ends = (answer.end - first).days + 1
    handles = [
        figure_patch(axes, fill_of(number), hatch_of(number), legible(work, 28))
        for number, work in enumerate(answer.works[:_MOST_WORKS_NAMED])
    ]
    if ends < days:
        handles.append(axes.axvline(ends, color=QUIET, linestyle=(0, (4, 2)), linewidth=1.6, label="end of the window"))
    if dues:
        handles.append(axes.plot([], [], color=RUST, linewidth=1.4, label="due")[0])
    if answer.finishes is not None and answer.likely is not None and answer.likely > answer.finishes:
        wet = [(one - first).days + 1 for one in (answer.finishes, answer.likely)]
        handles.append(axes.axvspan(*wet, color=MIST, zorder=0.5, label="margin for wet days, done in 4 of 5 years"))
    if answer.freeze_up is not None and 0 <= (answer.freeze_up - first).days <= days:
        frost = (answer.freeze_up - first).days
        handles.append(axes.axvline(frost, color=BLUE, linestyle=(0, (1, 1)), linewidth=2.0, label="usually frozen"))
    if any(span.late for span in answer.spans):
        late = axes.fill([], [], facecolor="white", edgecolor=INK, linewidth=2.0, label="ends late")
        handles.append(late[0])
    _date_axis(axes, first, last)
    if not answer.spans:
        axes.text(0.5, 0.5, "nothing can be planned", transform=axes.transAxes, horizontalalignment="center")
    return Key(2, handles)


def soil_stress_by_depth(figure: Any, answer: SoilStressByDepthAnswer, units: UnitSystem) -> Key:
    """Draw stress by depth, the ground on top."""
    axes = figure.add_subplot()
    depth = array(answer.depth)
    for one in answer.curves:
        advised, rear = one.standing == "advised", one.axle == "rear"
        axes.plot(
            array(one.stress), depth, color=RUST if rear else BLUE, linestyle=(0, (5, 2)) if advised else "-",
            linewidth=1.6 if advised else 2.2, marker="s" if rear else "o", markevery=6, markersize=4.5,
            label=f"{one.axle} tire, {one.standing.replace('-', ' ')} ({one.mass.words(units)})",
        )  # fmt: skip
    axes.set_ylim(float(depth[-1]), 0.0)
    axes.set_xlim(0.0, None)
    axes.xaxis.set_label_position("top")
    axes.xaxis.tick_top()
    axes.spines["top"].set_visible(True)
    axes.spines["bottom"].set_visible(False)
    axes.set(xlabel=labelled(answer.curves[0].stress), ylabel=labelled(answer.depth))
    return Key(columns=1)
