"""The field: turns, how its time is spent, and the area an hour that follows."""

from typing import Literal, NamedTuple, TypeAlias

from drawbar_service.engine.arrays import Real
from drawbar_service.engine.capacity import FieldTime, field_capacity, field_time, reversing_path, turning_path
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import FieldShape, Turn
from drawbar_service.model.span import Span
from drawbar_service.reference import PracticeRow

EfficiencyMethod: TypeAlias = Literal["given", "shape", "outline", "practice", "default"]
"""Where a field efficiency comes from."""
AIR = 1.1
"""Width of all passes over that of the field [1] above which the last pass is mostly air (our choice)."""


class HeadlandTurn(NamedTuple):
    """One headland turn."""

    time: Real
    """[s]"""
    path: Real | None
    """Way of the tractor [m], if it follows from a radius"""


class InField(NamedTuple):
    """How time goes in a rectangular field."""

    spent: FieldTime
    turn: HeadlandTurn


class Capacity(NamedTuple):
    """Area in a time."""

    width: Real
    """[m]"""
    efficiency: Span[Real]
    """Field efficiency, with the usual range if it was looked up [1]"""
    method: EfficiencyMethod
    theoretical: Real
    """[m^2/s]"""
    effective: Span[Real]
    """[m^2/s]"""
    per_day: Real | None
    """[m^2]"""
    time: Real | None
    """For the area [s]"""
    days: Real | None
    """For the area [1]"""
    in_field: InField | None


def headland_turn(
    turn: Turn, width: Real, overlap: Real, speed: Real, found: Findings, pointer: str
) -> HeadlandTurn | None:
    """Return time and path of a turn from one pass into the next; None, with a fault noted, if it is not stated once.

    `width` [m] and `overlap` [1] of the machine, working `speed` [m/s], `pointer` to the turn.
    """
    if (turn.time is None) == (turn.radius is None):
        found.fault("turn-once", pointer)
        return None
    if turn.radius is None or turn.time is not None:
        if turn.tongue_length is not None:
            found.warn("tongue-with-time", f"{pointer}/tongue_length")
        return HeadlandTurn(0.0 if turn.time is None else turn.time, None)
    spacing = width * (1.0 - overlap)
    path = (reversing_path if turn.reversing else turning_path)(turn.radius, spacing)
    # The tractor goes on by the tongue until the tool is out, and is as far ahead when the tool is back in.
    path = path + 2.0 * (0.0 if turn.tongue_length is None else turn.tongue_length)
    found.assume("turn-by-path", f"{pointer}/time", path / speed, "derived")
    return HeadlandTurn(path / speed, path)


def capacity(
    width: Real,
    speed: Real,
    given: float | None,
    shape: FieldShape | None,
    practice: PracticeRow | None,
    area: Real | None,
    workday: Real | None,
    found: Findings,
    pointer: str,
) -> Capacity:
    """Return field capacity by a given efficiency, a field shape, a practice row or the default, in that order.

    Parameters
    ----------
    width : float or array
        Working width [m].
    speed : float or array
        [m/s]
    given : float, optional
        Field efficiency [1].
    shape : FieldShape, optional
    practice : PracticeRow, optional
    area : float, optional
        Area to work [m^2].
    workday : float, optional
        Time of field work in a day [s].
    found : Findings
        Receives assumptions, warnings and faults.
    pointer : str
        To the object that holds efficiency and shape.
    """
    if given is not None:
        return capacity_at(width, speed, Span(given), "given", area, workday)
    if shape is not None:
        efficiency, in_field = _from_shape(shape, width, speed, found, f"{pointer}/shape")
        return capacity_at(width, speed, Span(efficiency), "shape", area, workday, in_field)
    if practice is not None and practice.field_efficiency_typical is not None:
        usual = practice.field_efficiency_typical
        found.assume("usual-efficiency", f"{pointer}/efficiency", usual, practice.source, machine=practice.machine)
        span: Span[Real] = Span(usual, practice.field_efficiency_low, practice.field_efficiency_high)
        return capacity_at(width, speed, span, "practice", area, workday)
    efficiency = found.fallback(None, f"{pointer}/efficiency", "field_efficiency")
    return capacity_at(width, speed, Span(efficiency), "default", area, workday)


def capacity_at(
    width: Real,
    speed: Real,
    efficiency: Span[Real],
    method: EfficiencyMethod,
    area: Real | None,
    workday: Real | None,
    in_field: InField | None = None,
) -> Capacity:
    """Return field capacity at an `efficiency` [1], with the range that comes of its range."""
    effective = efficiency.map(lambda share: field_capacity(width, speed, share))
    time = area / effective.value if area is not None else None
    return Capacity(
        width=width,
        efficiency=efficiency,
        method=method,
        theoretical=field_capacity(width, speed, 1.0),
        effective=effective,
        per_day=effective.value * workday if workday is not None else None,
        time=time,
        days=time / workday if time is not None and workday is not None else None,
        in_field=in_field,
    )


def _from_shape(
    shape: FieldShape, width: Real, speed: Real, found: Findings, pointer: str
) -> tuple[Real, InField | None]:
    turn = headland_turn(shape.turn, width, shape.overlap, speed, found, f"{pointer}/turn")
    if turn is None:
        return 1.0, None
    spent = field_time(shape.length, shape.width, width, shape.overlap, speed, turn.time, shape.stops)
    covered = spent.passes * width * (1.0 - shape.overlap)
    found.warn("mostly-air", f"{pointer}/width", where=covered > AIR * shape.width)
    return spent.efficiency, InField(spent, turn)
