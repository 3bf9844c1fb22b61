"""A blank picture and what becomes of it: our look, and the bytes of a finished drawing.

Only objects of matplotlib are used, never its ``pyplot``, which keeps state of its own. The settings it reads are
global all the same, and so a lock lets one picture be drawn at a time.
"""

import hashlib
import html
import io
import re
import textwrap
from collections.abc import Callable
from functools import cache
from importlib import import_module
from threading import Lock
from typing import Any, NamedTuple

from drawbar_service.api.shared.curve import SVG
from drawbar_service.api.wire import NotAcceptable

INK, QUIET, FRAME = "#1b2b34", "#56636b", "#9aa5ab"
RUST, BLUE, OCHRE, LEAF, PLUM = "#9c3d0f", "#1d5c96", "#c98a00", "#3f7d3a", "#6b3a6e"
"""Told apart by people who see few colours, and in grey by their lightness; lines differ in their dashes as well."""
SAND, MIST = "#f2e3cf", "#dfe9f1"
_FILLS = ("#7fa8c4", "#d9a441", "#8c4a2f", "#a9c3b0", "#6f5c82", "#e3d3b8")
_HATCHES = ("", "////", "||", "\\\\\\\\", "xx", "--")
"""Fills of areas, each with its hatch."""

WIDTH = 4.8
"""Width of a picture [in]: on a phone a little over its own size, on paper a column and a half."""
DOTS_PER_INCH = 200
_SOURCE_LETTERS, _SOURCE_SIZE = 104, 6.3
_NOTE_LETTERS, _NOTE_SIZE = 78, 8.0
_LINE_SPACING = 1.25
_LEFT = 0.015
_POINTS_PER_INCH = 72.0
_STYLE: dict[str, Any] = {
    "axes.axisbelow": True,
    "axes.edgecolor": FRAME,
    "axes.grid": True,
    "axes.labelcolor": INK,
    "axes.labelsize": 9.5,
    "axes.spines.right": False,
    "axes.spines.top": False,
    "axes.unicode_minus": True,
    "figure.facecolor": "white",
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 9.0,
    "grid.color": "#d9dee1",
    "grid.linewidth": 0.6,
    "hatch.color": "white",
    "hatch.linewidth": 0.6,
    "legend.borderaxespad": 0.2,
    "legend.fontsize": 8.5,
    "legend.frameon": False,
    "legend.handlelength": 2.6,
    "lines.linewidth": 1.8,
    "lines.solid_capstyle": "round",
    "svg.fonttype": "none",
    "svg.hashsalt": "drawbar",
    "text.color": INK,
    "text.parse_math": False,  # a name may hold a dollar sign
    "xtick.color": QUIET,
    "xtick.labelsize": 8.5,
    "ytick.color": QUIET,
    "ytick.labelsize": 8.5,
}
_DRAWING = Lock()
_TAG = re.compile(r"<[a-zA-Z][^<>]*>")
_ID = re.compile(r"""((?:\bid|xlink:href|\bhref)="#?(?=[^":]*")|url\(#)""")
"""Where an id begins, or a place that names one."""


class Words(NamedTuple):
    """What a picture says besides its lines."""

    title: str
    summary: str
    source: str
    note: str = ""
    """What its marks stand for, above the source."""


class Key(NamedTuple):
    """What lines and areas stand for."""

    columns: int
    handles: list[Any] | None = None
    """Everything with a label, if not told."""


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
        for part in ("backends.backend_agg", "backends.backend_svg", "collections", "figure", "font_manager"):
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
def _letters() -> frozenset[int]:
    manager = matplotlib().font_manager
    return frozenset(manager.get_font(manager.findfont("DejaVu Sans")).get_charmap())


def legible(text: str, most: int = 24) -> str:
    """Return a caller's text as it can be drawn: on one line, letters the font has, no more than `most` of them."""
    line = " ".join("".join(one if one.isprintable() else " " for one in text).split())
    line = line if len(line) <= most else line[: most - 1].rstrip() + "\N{HORIZONTAL ELLIPSIS}"
    return "".join(one if ord(one) in _letters() else "\N{WHITE SQUARE}" for one in line)


def fill_of(number: int) -> str:
    """Return the fill of an area counted from 0."""
    return _FILLS[number % len(_FILLS)]


def hatch_of(number: int) -> str:
    """Return the hatch of an area counted from 0; where fills begin anew it is another than the first time."""
    return _HATCHES[(number + number // len(_FILLS)) % len(_HATCHES)]


def draw(words: Words, height: float, onto: Callable[[Any], Key], media_type: str) -> bytes:
    """Return a picture.

    Parameters
    ----------
    words : Words
    height : float
        Without the lines below the key [in].
    onto : callable
        Draws on the figure it is given, and returns the key to the drawing.
    media_type : str
        SVG or PNG.
    """
    library = matplotlib()
    below = [
        (textwrap.fill(text, letters), size)
        for text, letters, size in (
            (words.source, _SOURCE_LETTERS, _SOURCE_SIZE),
            (words.note, _NOTE_LETTERS, _NOTE_SIZE),
        )
        if text
    ]
    heights = [_LINE_SPACING * size * (text.count("\n") + 1.6) / _POINTS_PER_INCH for text, size in below]
    whole = height + sum(heights)
    with _DRAWING, library.rc_context(_STYLE):
        figure = library.figure.Figure(figsize=(WIDTH, whole), dpi=DOTS_PER_INCH, layout="constrained")
        figure.get_layout_engine().set(w_pad=0.06, h_pad=0.06, hspace=0.0)
        upper, _ = figure.subfigures(2, 1, height_ratios=(height, sum(heights)))
        floor = 0.04
        for (text, size), tall in zip(below, heights, strict=True):
            color = QUIET if size == _SOURCE_SIZE else INK
            figure.text(
                _LEFT, floor / whole, text, fontsize=size, color=color, linespacing=_LINE_SPACING,
                verticalalignment="bottom",
            )  # fmt: skip
            floor += tall
        upper.suptitle(words.title, x=_LEFT, horizontalalignment="left", fontsize=11.5, fontweight="bold")
        key = onto(upper)
        told = {} if key.handles is None else {"handles": key.handles}
        upper.legend(**told, loc="outside lower left", ncols=key.columns, columnspacing=1.4)
        out = io.BytesIO()
        if media_type == SVG:
            canvas = library.backends.backend_svg.FigureCanvasSVG(figure)
            canvas.print_svg(out, metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
            return _with_words(out.getvalue().decode("utf-8"), words).encode("utf-8")
        canvas = library.backends.backend_agg.FigureCanvasAgg(figure)
        canvas.print_png(out, metadata={"Software": None, "Title": words.title, "Description": words.summary})
        return out.getvalue()


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
