"""From the answer of a curve to the bytes of its picture."""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from drawbar_service.api.shared.curve import CurveAnswer
from drawbar_service.pictures import machines, times
from drawbar_service.pictures.canvas import Key, Words, draw
from drawbar_service.quantities import UnitSystem


def _usual(answer: Any) -> float:
    return 4.1


def _tall(answer: Any) -> float:
    return 5.0


def _nothing(answer: Any) -> str:
    return ""


class _Drawing(NamedTuple):
    onto: Callable[[Any, Any, UnitSystem], Key]
    height: Callable[[Any], float] = _usual
    """[in]"""
    note: Callable[[Any], str] = _nothing


_DRAWINGS: Mapping[str, _Drawing] = {
    "power-by-speed": _Drawing(machines.power_by_speed),
    "slip-by-pull": _Drawing(machines.slip_by_pull),
    "fit-map": _Drawing(machines.fit_map, _tall),
    "draft-by-tool": _Drawing(machines.draft_by_tool),
    "finish-by-date": _Drawing(times.finish_by_date),
    "season-timeline": _Drawing(times.season_timeline, times.height_of_timeline, times.note_of_timeline),
    "soil-stress-by-depth": _Drawing(times.soil_stress_by_depth),
}


def picture(curve: str, answer: CurveAnswer, media_type: str, units: UnitSystem) -> bytes:
    """Return the picture of a curve; it takes a tenth of a second or more.

    Parameters
    ----------
    curve : str
        Its name.
    answer : CurveAnswer
    media_type : str
        SVG or PNG.
    units : {"metric", "us"}
        Units the answer was made in.

    Raises
    ------
    NotAcceptable
        If matplotlib is not installed.
    """
    drawing = _DRAWINGS[curve]
    words = Words(answer.title, answer.summary, answer.source, drawing.note(answer))
    return draw(words, drawing.height(answer), lambda figure: drawing.onto(figure, answer, units), media_type)
