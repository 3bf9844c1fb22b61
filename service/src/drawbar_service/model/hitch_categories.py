"""Categories of three-point hitch, drawbar and PTO: what suits a power, and what goes together."""

import math
from collections.abc import Sequence
from typing import NamedTuple, Protocol, TypeVar

from drawbar_service.engine.arrays import Mask, Real, both, choose, either, total
from drawbar_service.engine.tire import METRES_PER_INCH
from drawbar_service.model.checks import Check, at_most, yes_or_no
from drawbar_service.reference import DRAWBAR, PTO, THREE_POINT, PtoRow, ThreePointRow
from drawbar_service.rows import text_at

KILOWATT = 1000.0
"""[W]."""
HORSEPOWER = 33_000.0 * 0.3048 * 4.4482216152605 / 60.0
"""33,000 ft lbf in a minute [W]."""
R_PER_MIN = 2.0 * math.pi / 60.0
"""A turn in a minute [rad/s]."""


class TractorHitch(Protocol):
    """What a tractor has at its rear; what is None is not checked."""

    @property
    def three_point(self) -> str | None:
        """Category of the three-point hitch."""
        ...

    @property
    def drawbar(self) -> str | None:
        """Category of the drawbar."""
        ...

    @property
    def pto(self) -> Sequence[str]:
        """PTO types it has."""
        ...

    @property
    def vertical_limit(self) -> float | None:
        """Most that may press on the hitch in use [N]."""
        ...


class HitchPoints(Protocol):
    """What a machine hitches with; what is None is not checked."""

    @property
    def three_point(self) -> str | None:
        """Category of its hitch points."""
        ...

    @property
    def drawbar(self) -> str | None:
        """Category of its tongue."""
        ...

    @property
    def pto(self) -> str | None:
        """PTO type of its shaft."""
        ...

    @property
    def pto_speed(self) -> int | None:
        """It is built for [r/min]."""
        ...

    @property
    def pto_power(self) -> float | None:
        """It takes from the PTO [W]."""
        ...


class PowerRange(NamedTuple):
    """A range of power a category is used in."""

    low: float
    """[W]"""
    high: float | None
    """[W]; None: open."""


class Dimension(NamedTuple):
    """A dimension of hitch points that differs between machine and tractor."""

    what: str
    machine: float
    """[m]"""
    tractor: float
    """[m]"""


def usual_three_points(power: Real) -> list[ThreePointRow]:
    """Return the categories usual for a rated PTO `power` [W].

    Raises
    ------
    RowsDiffer
        If they are others in some rows.
    """
    rows = list(THREE_POINT.in_force().values())
    return _those(rows, [_is_usual(row, power) for row in rows])


def smallest_drawbar(power: Real) -> str | None:
    """Return the smallest drawbar category for a rated PTO `power` [W]; None beyond all."""
    rows = list(DRAWBAR.in_force().values())
    place: Real = float(len(rows))
    for at, row in reversed(list(enumerate(rows))):
        place = choose(power <= KILOWATT * row.pto_high_kW, float(at), place)
    return text_at(place, [*(row.id for row in rows), None])


def fitting_ptos(speed: Real | None, power: Real) -> list[PtoRow]:
    """Return the PTO types of a `speed` [r/min], if one is given, that take a `power` [W].

    Raises
    ------
    RowsDiffer
        If they are others in some rows.
    """
    rows = list(PTO.in_force().values())
    return _those(
        rows,
        [
            both(power <= KILOWATT * row.pto_high_kW, True if speed is None else speed == row.speed_r_min)
            for row in rows
        ],
    )


RowT = TypeVar("RowT")


def _those(rows: Sequence[RowT], where: Sequence[Mask]) -> list[RowT]:
    # A bit for each of them, so that rows of a block part once, by all of them together.
    pattern = int(total(choose(here, 2.0**at, 0.0) for at, here in enumerate(where)))
    return [row for at, row in enumerate(rows) if pattern >> at & 1]


def category_checks(hitch: TractorHitch, machine: HitchPoints | None, power: Real) -> list[Check]:
    """Return the checks of hitch and drawbar categories against a rated PTO `power` [W] and each other."""
    checks: list[Check] = []
    for place, whose, given in (("/hitch", "tractor", hitch), ("/machine", "machine", machine)):
        if given is not None and given.three_point is not None:
            row = THREE_POINT.row(given.three_point.lower())
            usual = _is_usual(row, power)
            pointer, ranges = f"{place}/three_point", _ranges(row)
            figures = {"whose": whose, "category": row.category, "ranges": ranges, "power": power}
            checks.append(yes_or_no("three-point-of-power", "three-point", pointer, usual, **figures))
        if given is not None and given.drawbar is not None:
            most = KILOWATT * DRAWBAR.row(given.drawbar).pto_high_kW
            figures = {"whose": whose, "category": given.drawbar}
            checks.append(at_most("drawbar-of-power", "drawbar", f"{place}/drawbar", power, most, **figures))
    if machine is None:
        return checks
    if hitch.three_point is not None and machine.three_point is not None:
        checks.append(_three_points_meet(hitch.three_point, machine.three_point))
    if hitch.drawbar is not None and machine.drawbar is not None:
        kept: Mask = hitch.drawbar == machine.drawbar
        figures = {"machine": machine.drawbar, "tractor": hitch.drawbar}
        checks.append(yes_or_no("drawbars-meet", "drawbar", "/machine/drawbar", kept, **figures))
    return checks


def pto_checks(hitch: TractorHitch, machine: HitchPoints | None, power: Real) -> list[Check]:
    """Return the checks of the PTO against a rated PTO `power` [W] and the shaft of the machine."""
    if machine is None:
        return []
    checks: list[Check] = []
    row = PTO.row(machine.pto) if machine.pto is not None else None
    if machine.pto_speed is not None:
        types = [row] if row is not None else [PTO.row(one) for one in hitch.pto]
        if types:
            kept: Mask = False
            for one in types:
                kept = either(kept, machine.pto_speed == one.speed_r_min)
            figures = {
                "speed": machine.pto_speed,
                "whose": "its shaft" if row is not None else "the tractor",
                "speeds": [one.speed_r_min for one in types],
            }
            checks.append(yes_or_no("pto-speed", "pto-type", "/machine/pto_speed", kept, **figures))
    if row is not None and hitch.pto:
        kept = False
        for one in hitch.pto:
            kept = either(kept, row.id == one)
        checks.append(yes_or_no("pto-type", "pto-type", "/machine/pto", kept, row=row, types=hitch.pto))
    if machine.pto_power is not None:
        taken: Real = machine.pto_power
        checks.append(at_most("pto-power-rated", "pto-power", "/machine/pto_power", taken, power))
        if row is not None:
            most = KILOWATT * row.pto_high_kW
            checks.append(at_most("pto-power-of-type", "pto-power", "/machine/pto", taken, most, type=row.id))
    return checks


def _ranges(row: ThreePointRow) -> list[PowerRange]:
    """Return the ranges of power a category is used in: the printed one, then that recalled of the standard."""
    high = HORSEPOWER * row.tractor_high_hp if row.tractor_high_hp else None
    ranges = [PowerRange(HORSEPOWER * (row.tractor_low_hp or 0.0), high)]
    if row.pto_high_kW is not None:
        ranges.append(PowerRange(KILOWATT * (row.pto_low_kW or 0.0), KILOWATT * row.pto_high_kW))
    return ranges


def _is_usual(row: ThreePointRow, power: Real) -> Mask:
    usual: Mask = False
    for low, high in _ranges(row):
        usual = either(usual, both(low <= power, power <= high if high is not None else True))
    return usual


def _three_points_meet(tractor: str, machine: str) -> Check:
    ours, theirs = THREE_POINT.row(tractor.lower()), THREE_POINT.row(machine.lower())
    differs = [
        Dimension(what, METRES_PER_INCH * wanted, METRES_PER_INCH * there)
        for what, wanted, there in (
            ("lower pins", theirs.lower_pin_in, ours.lower_pin_in),
            ("upper pin", theirs.upper_pin_in, ours.upper_pin_in),
            ("spacing", theirs.spacing_in, ours.spacing_in),
        )
        if wanted != there
    ]
    figures = {"machine": machine, "tractor": tractor, "differs": differs}
    return yes_or_no("three-points-meet", "three-point", "/machine/three_point", not differs, **figures)
