"""From the answer of a curve to the bytes of its picture."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from drawbar_service.api.shared.curve import CurveAnswer
from drawbar_service.api.trimmed import WHOLE, Wanted
from drawbar_service.pictures import machines, times
from drawbar_service.pictures.canvas import Paint, Panel, Words, draw
from drawbar_service.quantities import UnitSystem


def _nothing(answer: Any, units: UnitSystem) -> str:
    return ""


class _Drawing(NamedTuple):
    onto: Callable[[Any, Any, UnitSystem, Paint], Sequence[Panel]]
    lead: Callable[[Any, UnitSystem], str] = _nothing
    note: Callable[[Any, UnitSystem], str] = _nothing


_DRAWINGS: Mapping[str, _Drawing] = {
    "power-by-speed": _Drawing(machines.power_by_speed, machines.this_at_speed, machines.note_of_ranges),
    "slip-by-pull": _Drawing(machines.slip_by_pull, machines.this_pull, machines.note_of_ranges),
    "fit-map": _Drawing(machines.fit_map, machines.this_on_map, machines.note_of_map),
    "draft-by-tool": _Drawing(machines.draft_by_tool, note=machines.note_of_ranges),
    "finish-by-date": _Drawing(times.finish_by_date, note=times.note_of_finish),
    "season-timeline": _Drawing(times.season_timeline, note=times.note_of_timeline),
    "soil-stress-by-depth": _Drawing(times.soil_stress_by_depth),
}


def picture(curve: str, answer: CurveAnswer, media_type: str, wanted: Wanted = WHOLE) -> bytes:
    """Return the picture of a curve; it takes a tenth of a second or more.

    Parameters
    ----------
    curve : str
        Its name.
    answer : CurveAnswer
    media_type : str
        SVG or PNG.
    wanted : Wanted
        The units that the answer was made in, what the picture stands on, and whether it names its sources.

    Raises
    ------
    NotAcceptable
        If matplotlib is not installed.
    """
    drawing, units = _DRAWINGS[curve], wanted.units
    words = Words(
        title=answer.title,
        summary=answer.summary,
        source=answer.source if wanted.about else "",
        lead=drawing.lead(answer, units),
        note=drawing.note(answer, units),
    )
    return draw(words, lambda figure, paint: drawing.onto(figure, answer, units, paint), media_type, wanted.ground)
