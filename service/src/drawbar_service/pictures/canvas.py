"""A blank picture and what becomes of it: our look, and the bytes of a finished drawing.

A picture has its answer for a title, in a second line what the mark of the case stands for, and one panel or several
below each other; lines and areas are named where they are. It is as wide as a phone, so that its smallest letters can
be read there.

Only objects of matplotlib are used, never its ``pyplot``, which keeps state of its own. The settings it reads are
global all the same, and so a lock lets one picture be drawn at a time.
"""

import hashlib
import html
import io
import re
from collections.abc import Callable, Sequence
from functools import cache
from importlib import import_module
from threading import Lock
from typing import Any, Literal, NamedTuple, TypeAlias

from drawbar_service.api.shared.curve import SVG
from drawbar_service.api.trimmed import Ground
from drawbar_service.api.wire import NotAcceptable
from drawbar_service.look import looks

Face: TypeAlias = Literal["sans", "bold", "head"]

WIDTH = 4.8
"""Width of a picture [in]."""
DOTS_PER_INCH = 200
POINTS_PER_INCH = 72.0
ACROSS = WIDTH * POINTS_PER_INCH
"""Width of a picture [pt]."""
SMALL = 12.0
"""Size of all letters but those of the title [pt]: 11.4 px where the page is 360 px wide."""
_TITLE = 17.0
_EDGE = 4.0
"""Room left at either side [pt]."""
_LEADING = 1.3
"""From one line to the next, over the size of the letters [1]."""
_SOFT_STEPS = (1.0, 0.88, 0.76, 0.64, 0.52, 0.4, 0.28, 0.16)
"""Parts of a range [1] that lie on each other, so that it fades to its ends."""
_SOFT = 0.05
"""How much of what is behind each of them hides [1]."""
_DRAWING = Lock()
_TAG = re.compile(r"<[a-zA-Z][^<>]*>")
_ID = re.compile(r"""((?:\bid|xlink:href|\bhref)="#?(?=[^":]*")|url\(#)""")
"""Where an id begins, or a place that names one."""
_UNIT = re.compile(r"(?<=\d) (?=\S{1,5}(?: |$))")
_FACES: dict[Face, tuple[str, str]] = {
    "sans": ("DejaVu Sans", "normal"),
    "bold": ("DejaVu Sans", "bold"),
    "head": ("DejaVu Serif", "bold"),
}
"""Faces that letters are measured in and pixels drawn with; they are broader than what a page shows instead."""


class Paint(NamedTuple):
    """The colours of a picture: those of the page, by day or by night."""

    ink: str
    quiet: str
    ground: str
    shade: str
    line: str
    hair: str
    mark: str
    on_mark: str
    near: str
    near_ground: str
    wrong: str
    wrong_ground: str
    second: str
    fills: tuple[str, ...]
    """Of areas side by side; letters in ink can be read on each."""
    clear: bool
    """Whether what is behind the picture shows through."""

    def fill_of(self, number: int) -> str:
        """Return the fill of an area counted from 0."""
        return self.fills[number % len(self.fills)]


class Words(NamedTuple):
    """What a picture says besides its lines."""

    title: str
    summary: str
    source: str
    lead: str = ""
    """Below the title: what the mark of the case stands for."""
    note: str = ""
    """Above the source: what is said nowhere in the drawing."""


class Panel(NamedTuple):
    """A drawing with its axes, within a picture."""

    axes: Any
    height: float
    """[pt]"""
    name: str
    """What is measured upwards; stands above."""
    across: str = ""
    """What is measured across; empty where the panel below says it."""
    head: float = 0.0
    """Room above for what the panel writes there itself [pt]."""
    foot: float | None = None
    """Room below for the same [pt]; None: for the numbers and for what is measured across."""


@cache
def paint_of(ground: Ground) -> Paint:
    """Return the colours of a picture on this ground."""
    found = looks(night=ground in ("dark", "clear-dark"))
    named = [one for one in Paint._fields if one not in ("fills", "clear")]
    return Paint(
        **{one: found[one.replace("_", "-")] for one in named},
        fills=tuple(found[f"fill-{number}"] for number in range(1, 7)),
        clear=ground in ("clear", "clear-dark"),
    )


def _style(paint: Paint) -> dict[str, Any]:
    return {
        "axes.axisbelow": True,
        "axes.edgecolor": paint.line,
        "axes.facecolor": "none",
        "axes.grid": True,
        "axes.grid.axis": "y",
        "axes.linewidth": 1.0,
        "axes.spines.left": False,
        "axes.spines.right": False,
        "axes.spines.top": False,
        "axes.unicode_minus": True,
        "figure.edgecolor": "none",
        "figure.facecolor": "none" if paint.clear else paint.ground,
        "font.family": "sans-serif",
        "font.sans-serif": ["DejaVu Sans"],
        "font.size": SMALL,
        "grid.color": paint.hair,
        "grid.linewidth": 0.8,
        "hatch.linewidth": 0.8,
        "lines.linewidth": 2.2,
        "lines.solid_capstyle": "round",
        "savefig.edgecolor": "none",
        "savefig.facecolor": "auto",
        "svg.fonttype": "none",
        "svg.hashsalt": "drawbar",
        "text.color": paint.ink,
        "text.parse_math": False,  # a name may hold a dollar sign
        "xtick.color": paint.line,
        "xtick.labelcolor": paint.quiet,
        "xtick.labelsize": SMALL,
        "ytick.color": paint.line,
        "ytick.labelcolor": paint.quiet,
        "ytick.labelsize": SMALL,
        "ytick.major.size": 0.0,
    }


@cache
def matplotlib() -> Any:
    """Return matplotlib, loaded with what is used of it.

    Raises
    ------
    NotAcceptable
        If it is not installed, or has no place for its list of fonts.
    """
    numbers = "the same numbers come as application/json or application/msgpack"
    try:
        # It takes half a second, and few ask for pictures.
        for part in (
            "backends.backend_agg", "backends.backend_svg", "collections", "figure", "font_manager", "patches",
            "ticker",
        ):  # fmt: skip
            import_module(f"matplotlib.{part}")
        return import_module("matplotlib")
    except ModuleNotFoundError as missing:
        raise NotAcceptable(
            f"pictures are not installed here: pip install './service[pictures]'; {numbers}"
        ) from missing
    except OSError as refused:
        raise NotAcceptable(
            f"pictures need a directory to write a list of fonts to: set MPLCONFIGDIR where the service runs; {numbers}"
        ) from refused


@cache
def _font(face: Face) -> Any:
    manager = matplotlib().font_manager
    family, weight = _FACES[face]
    return manager.get_font(manager.findfont(manager.FontProperties(family=family, weight=weight)))


@cache
def _letters() -> frozenset[int]:
    return frozenset(_font("sans").get_charmap())


_PER_POINT = 64.0
"""Parts of a point that a face measures in."""


def breadth(text: str, size: float = SMALL, face: Face = "sans") -> float:
    """Return how broad a text is [pt]."""
    font = _font(face)
    font.set_size(size, POINTS_PER_INCH)
    font.set_text(text)
    return float(font.get_width_height()[0]) / _PER_POINT


def legible(text: str, most: int = 24) -> str:
    """Return a caller's text as it can be drawn: on one line, letters the font has, no more than `most` of them."""
    line = " ".join("".join(one if one.isprintable() else " " for one in text).split())
    line = line if len(line) <= most else line[: most - 1].rstrip() + "\N{HORIZONTAL ELLIPSIS}"
    return "".join(one if ord(one) in _letters() else "\N{WHITE SQUARE}" for one in line)


def fitted(text: str, room: float, face: Face = "sans") -> str:
    """Return as much of a text as there is room for [pt]; nothing where there is none for two letters of it."""
    line = legible(text, 80)
    if breadth(line, face=face) <= room:
        return line
    for end in range(len(line) - 1, 1, -1):
        cut = line[:end].rstrip(" ,") + "\N{HORIZONTAL ELLIPSIS}"
        if breadth(cut, face=face) <= room:
            return cut
    return ""


def folded(text: str, room: float, size: float = SMALL, face: Face = "sans") -> list[str]:
    """Return the lines of a text that are no broader than the `room` [pt], broken between words where that can be."""
    lines: list[str] = []
    line = ""
    room = max(room, size)
    for word in _together(text).split(" "):
        longer = f"{line} {word}" if line else word
        if breadth(longer, size, face) <= room:
            line = longer
            continue
        lines += [line] if line else []
        while breadth(word, size, face) > room:
            end = next(
                end for end in range(len(word) - 1, 0, -1) if end == 1 or breadth(word[:end], size, face) <= room
            )
            lines.append(word[:end])
            word = word[end:]
        line = word
    return [*lines, line] if line else lines


def _together(text: str) -> str:
    """Return a text in which a number and its unit are not parted."""
    return _UNIT.sub("\N{NO-BREAK SPACE}", " ".join(text.split()))


# ---- what drawings are made of


def write(
    axes: Any, x: float, y: float, text: str, *, aside: tuple[float, float] = (0.0, 0.0), **how: Any
) -> None:  # fmt: skip
    """Write a text at a place of the axes, `aside` from it [pt]."""
    options: dict[str, Any] = {"fontsize": SMALL, "zorder": 7, "annotation_clip": False} | how
    axes.annotate(text, (x, y), aside, textcoords="offset points", **options)


def on_ground(paint: Paint) -> dict[str, Any]:
    """Return what lets a text be read whatever it is written on."""
    return {"boxstyle": "round,pad=0.14", "facecolor": paint.ground, "edgecolor": "none"}


def soft_band(axes: Any, x: Any, low: Any, middle: Any, high: Any, color: str) -> None:
    """Draw a range as a band without an edge: the farther from the middle, the fainter."""
    for part in _SOFT_STEPS:
        axes.fill_between(
            x, middle - part * (middle - low), middle + part * (high - middle), color=color, alpha=_SOFT, linewidth=0,
            zorder=3,
        )  # fmt: skip


def soft_bar(
    axes: Any, place: float, ends: tuple[float, float, float], half: float, color: str, *, upright: bool
) -> None:
    """Draw a range, low, middle and high, as a bar of twice `half` its thickness that fades to its ends."""
    low, middle, high = ends
    for part in _SOFT_STEPS:
        start, end = middle - part * (middle - low), middle + part * (high - middle)
        along, across = (start, end - start), (place - half, 2.0 * half)
        (x, wide), (y, tall) = (across, along) if upright else (along, across)
        axes.add_patch(
            matplotlib().patches.Rectangle(
                (x, y), wide, tall, facecolor=color, alpha=2.0 * _SOFT, linewidth=0, zorder=5, clip_on=False
            )
        )


def few_ticks(axes: Any, across: int = 5, upwards: int = 4) -> None:
    """Let the axes bear few numbers, round ones."""
    for axis, most in ((axes.xaxis, across), (axes.yaxis, upwards)):
        axis.set_major_locator(matplotlib().ticker.MaxNLocator(most, steps=[1, 2, 2.5, 5, 10]))


# ---- the whole


def draw(
    words: Words, onto: Callable[[Any, Paint], Sequence[Panel]], media_type: str, ground: Ground = "light"
) -> bytes:
    """Return a picture.

    Parameters
    ----------
    words : Words
    onto : callable
        Makes axes on the figure it is given, draws on them, and returns the panels, from top to bottom.
    media_type : str
        SVG or PNG.
    ground : str
        What it stands on.
    """
    library, paint = matplotlib(), paint_of(ground)
    with _DRAWING, library.rc_context(_style(paint)):
        figure = library.figure.Figure(figsize=(WIDTH, 1.0), dpi=DOTS_PER_INCH)
        _arrange(figure, words, onto(figure, paint), paint)
        out = io.BytesIO()
        if media_type == SVG:
            canvas = library.backends.backend_svg.FigureCanvasSVG(figure)
            canvas.print_svg(out, metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
            return _with_words(_in_faces_of_pages(out.getvalue().decode("utf-8")), words).encode("utf-8")
        canvas = library.backends.backend_agg.FigureCanvasAgg(figure)
        canvas.print_png(out, metadata={"Software": None, "Title": words.title, "Description": words.summary})
        return out.getvalue()


class _Line(NamedTuple):
    text: str
    size: float
    face: Face
    color: str


def _arrange(figure: Any, words: Words, panels: Sequence[Panel], paint: Paint) -> None:
    """Set the height of a figure, its texts above each other, and its panels between them."""
    room = ACROSS - 2.0 * _EDGE

    def lines(text: str, color: str, size: float = SMALL, face: Face = "sans") -> list[_Line]:
        return [_Line(one, size, face, color) for one in folded(text, room, size, face)]

    title, lead = lines(words.title, paint.ink, _TITLE, "head"), lines(words.lead, paint.ink)
    below = [*lines(words.note, paint.ink), *lines(words.source, paint.quiet)]
    left = max(_left_of(one) for one in panels)
    under_title = _height(title) + 0.35 * SMALL
    tops = [under_title + _height(lead) + 0.4 * SMALL]
    for one in panels:
        name = (_LEADING + 0.5) * SMALL if one.name else 0.5 * SMALL
        foot = (_LEADING * (1.2 + bool(one.across)) + 0.3) * SMALL if one.foot is None else one.foot
        tops.append(tops[-1] + name + one.head + one.height + foot)
    whole = tops[-1] + 0.5 * SMALL + _height(below) + _EDGE
    figure.set_size_inches(WIDTH, whole / POINTS_PER_INCH)

    def put(text: str, x: float, y: float, **how: Any) -> None:
        figure.text(x / ACROSS, 1.0 - y / whole, text, verticalalignment="baseline", **how)

    def write_lines(texts: list[_Line], y: float) -> None:
        for one in texts:
            y += _LEADING * one.size
            family, weight = _FACES[one.face]
            put(one.text, _EDGE, y, fontsize=one.size, color=one.color, family=family, fontweight=weight)

    write_lines(title, 0.0)
    write_lines(lead, under_title)
    for one, top in zip(panels, tops, strict=False):
        y = top
        if one.name:
            y += _LEADING * SMALL
            put(one.name, _EDGE, y, color=paint.quiet)
        y += 0.5 * SMALL + one.head
        one.axes.set_position(
            (left / ACROSS, 1.0 - (y + one.height) / whole, (room - left) / ACROSS, one.height / whole)
        )
        if one.across:
            foot = y + one.height + 2.0 * _LEADING * SMALL + 0.4 * SMALL
            put(one.across, ACROSS - _EDGE, foot, horizontalalignment="right", color=paint.quiet)
    write_lines(below, tops[-1] + 0.5 * SMALL)


def _height(lines: Sequence[_Line]) -> float:
    return sum(_LEADING * one.size for one in lines)


def _left_of(panel: Panel) -> float:
    """Return the room that the numbers of a panel take at its left [pt]."""
    axis = panel.axes.yaxis
    texts = axis.get_major_formatter().format_ticks(axis.get_majorticklocs())
    return _EDGE + 6.0 + max((breadth(one) for text in texts for one in text.split("\n")), default=0.0)


def _in_faces_of_pages(svg: str) -> str:
    """Return a drawing in the faces of the page, before those that it was measured with."""
    faces = looks()
    for family, generic, token in (("DejaVu Serif", "serif", "serif"), ("DejaVu Sans", "sans-serif", "sans")):
        of_page = faces[token].replace('"', "'").removesuffix(f", {generic}")
        svg = re.sub(rf"'{family}'(?:, {generic})?", f"{of_page}, '{family}', {generic}", svg)
    return svg


def _with_words(svg: str, words: Words) -> str:
    """Return a drawing with its title and description for those who do not see it, and without its document type.

    Its ids begin with a mark of its own, so that several drawings can stand in one page.
    """
    mark = hashlib.blake2b(svg.encode(), digest_size=5).hexdigest()
    svg = _TAG.sub(lambda tag: _ID.sub(rf"\1p{mark}-", tag[0]), svg)
    start = svg.index("<svg ")
    end = svg.index(">", start)
    title, summary = (html.escape(_plain(text), quote=False) for text in (words.title, words.summary))
    return (
        f'{svg[start:end]} role="img" aria-labelledby="p{mark}-title p{mark}-summary">\n'
        f'<title id="p{mark}-title">{title}</title>\n<desc id="p{mark}-summary">{summary}</desc>{svg[end + 1 :]}'
    )


def _plain(text: str) -> str:
    """Return a text without what XML cannot hold."""
    return "".join(one if one.isprintable() else " " for one in text)
