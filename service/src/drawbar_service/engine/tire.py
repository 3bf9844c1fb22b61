"""Tire dimensions from the size written on the sidewall.

Two ways of writing a size are read:

``710/70R42``
    Nominal section width 710 mm, section height 70 % of it, rim 42 in. The designation
    itself defines the height (aspect ratio = section height / section width), so
    d = rim + 2 h is exact for the nominal tire.
``18.4R38``, ``18.4-38``
    Nominal section width 18.4 in, rim 38 in. The height is not written. It is taken as
    0.85 of the width, which is within about 3 % of the diameter of conventional sizes
    (common practice, no source): give the diameter when it is known.

``R`` means radial, ``-`` means bias. A prefix for improved flexion (``IF``, ``VF``) and a
trailing service description (``158A8``) do not change the dimensions and are accepted.
"""

import re
from functools import lru_cache
from typing import NamedTuple

from drawbar_service.engine.arrays import Real

METRES_PER_INCH = 0.0254
INCH_SIZE_ASPECT_RATIO = 0.85
"""Section height over width of sizes written in inches (common practice, no source)."""
RIM_FLANGE_RATIO = 1.06
"""Rim diameter at the flange over nominal rim diameter (tire geometry for the mobility number)."""

_SIZE = re.compile(
    r"""
    (?:(?:IF|VF)\s?)?
    (?P<width>\d{1,4}(?:\.\d{1,2})?)
    (?:/(?P<aspect>\d{2,3}))?
    \s?(?P<construction>R|-)\s?
    (?P<rim>\d{1,2}(?:\.\d)?)
    (?:\s+\d{2,3}\s?[A-D]\d?)?
    """,
    re.VERBOSE | re.IGNORECASE,
)


class TireSize(NamedTuple):
    """Nominal dimensions of a tire [m] and how it is built."""

    width: float
    diameter: float
    section_height: float
    rim: float
    radial: bool
    height_is_written: bool
    """False when the designation leaves the section height out and it was estimated."""


@lru_cache(maxsize=1024)
def read_size(designation: str) -> TireSize | None:
    """Return the dimensions behind a size `designation`, or None if it is not one.

    Notes
    -----
    A size with an aspect ratio carries its width in millimetres, one without carries it in inches.
    Widths a field tire cannot have (under 100 mm or over 1.3 m) and rims under 8 in are refused.
    """
    match = _SIZE.fullmatch(designation.strip())
    if match is None:
        return None
    metric = match["aspect"] is not None
    width = float(match["width"]) * (0.001 if metric else METRES_PER_INCH)
    aspect = float(match["aspect"]) / 100.0 if metric else INCH_SIZE_ASPECT_RATIO
    rim = float(match["rim"]) * METRES_PER_INCH
    if not (0.1 <= width <= 1.3 and 0.2 <= aspect <= 1.2 and rim >= 8 * METRES_PER_INCH):
        return None
    diameter = rim + 2.0 * aspect * width
    height = aspect * width if metric else float(section_height(diameter, rim))
    return TireSize(width, diameter, height, rim, match["construction"].upper() == "R", metric)


def section_height(diameter: Real, rim: Real) -> Real:
    """Return section height [m] from overall `diameter` [m] and nominal `rim` diameter [m].

    h = (d - 1.06 rim) / 2: height above the rim flange, as the mobility number wants it.
    """
    return (diameter - RIM_FLANGE_RATIO * rim) / 2.0


def deflection(diameter: Real, static_loaded_radius: Real) -> Real:
    """Return tire deflection [m]: half the `diameter` [m] less the `static_loaded_radius` [m]."""
    return diameter / 2.0 - static_loaded_radius
