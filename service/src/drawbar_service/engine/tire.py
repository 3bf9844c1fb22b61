"""Tire dimensions, construction and rating from the text on the sidewall.

Four ways of writing a size are read:

``710/70R42``
    Nominal section width 710 mm, section height 70 % of it, rim 42 in. The designation
    itself defines the height (aspect ratio = section height / section width), so
    d = rim + 2 h is exact for the nominal tire.
``18.4R38``, ``18.4-38``
    Nominal section width 18.4 in, rim 38 in. The height is not written. It is taken as
    0.85 of the width, which is within about 3 % of the diameter of conventional sizes
    (common practice, no source): give the diameter when it is known.
``30.5L-32``, ``16.5L-16.1``
    The same with a low section: 0.66 of the width on rims of 24 in and more, 0.75 on smaller
    ones (from memory of listed diameters, within about 5 %).
``66x43.00-25``
    Overall diameter, section width and rim, all in inches.

``R`` means radial, ``-`` means bias. Before the size may stand ``IF`` (improved flexion), ``VF`` (very high
flexion), ``LSW`` (low sidewall) or ``HF`` (high flotation). After it may stand one or two load indices with
their speed symbols (``162A8``, ``159A8/B``, ``(173D)``, ``162A8/159B``), a ply rating (``10PR``), ``CFO`` and
``CHO`` (cyclic field and harvest work), ``NRO`` (narrow rim option), ``TL`` and ``TT``, stars, and the code of
the tread (``R-1W``, ``F-2``). Whatever else stands there is not guessed at: the size is not read.
"""

import re
from functools import lru_cache
from typing import Final, NamedTuple

from drawbar_service.engine.arrays import Real

METRES_PER_INCH = 0.0254
INCH_SIZE_ASPECT_RATIO = 0.85
"""Section height over width of sizes written in inches (common practice, no source)."""
LOW_SECTION_ASPECT_RATIO = 0.75
"""The same of sizes marked L on rims under 24 in (from memory of listed diameters)."""
LOW_DRIVE_ASPECT_RATIO = 0.66
"""The same of sizes marked L on rims of 24 in and more: drive wheels (from memory of listed diameters)."""
DRIVE_RIM = 24.0
"""Rim diameter [in] from which a tire marked L is one of a drive wheel (common practice, no source)."""
RIM_FLANGE_RATIO = 1.06
"""Rim diameter at the flange over nominal rim diameter (tire geometry for the mobility number)."""
LONGEST_TEXT = 48
"""Letters of a sidewall text that are looked at; more is no size."""

FLEXIONS: Final[dict[str, float]] = {"": 1.0, "IF": 1.2, "VF": 1.4}
"""Load over that of a standard tire of the same size at the same pressure [1]: the standards' definition of IF and VF
(from memory of TRA, ETRTO and UN Regulation 106)."""
SPEEDS: Final[dict[str, float]] = {
    **{f"A{step}": 5.0 * step for step in range(1, 9)},
    "B": 50.0,
    "C": 60.0,
    "D": 65.0,
    "E": 70.0,
    "F": 80.0,
    "G": 90.0,
}
"""Speed [km/h] that a speed symbol stands for (UN Regulation 106, from memory)."""
_KM_PER_H = 1.0 / 3.6

_FLAGS = re.ASCII | re.IGNORECASE
_PREFIX = re.compile(r"(IF|VF|LSW|HF)\s?(?=[0-9IVLH])", _FLAGS)
_ENDS = r"(?=[\s(*]|(?:SL|FI|NHS)\b|$)"
_BY_WIDTH = re.compile(
    r"(?P<width>\d{1,4}(?:\.\d{1,2})?)(?:/(?P<aspect>\d{2,3}))?\s?(?P<low>L)?\s?(?P<build>R|-)\s?"
    r"(?P<rim>\d{1,2}(?:\.\d)?)" + _ENDS,
    _FLAGS,
)
_BY_DIAMETER = re.compile(
    r"(?P<overall>\d{2}(?:\.\d{1,2})?)\s?x\s?(?P<width>\d{1,2}(?:\.\d{1,2})?)\s?(?P<build>R|-)\s?"
    r"(?P<rim>\d{1,2}(?:\.\d)?)" + _ENDS,
    _FLAGS,
)
_SYMBOL = r"(?:A[1-8]|[B-G])"
_RATING = rf"(?P<index>\d{{2,3}})\s?(?P<symbol>{_SYMBOL})(?:\s?/\s?(?P<other>\d{{2,3}})?\s?(?P<faster>{_SYMBOL}))?"
_MARKS = (
    r"(?P<ply>\d{1,2})\s?PR|(?P<cyclic>CFO|CHO)|NRO|TL|TT|HF-?[1-4]?|[RFI]-?[1-6][WM]?|IMP|IND|MPT|NHS|SL|FI|\*{1,3}"
)
_SUFFIXES = tuple(
    re.compile(rf"(?:{pattern})(?=[\s(]|$)", _FLAGS) for pattern in (_RATING, rf"\(\s?{_RATING}\s?\)", _MARKS)
)


class Rating(NamedTuple):
    """A load index and the speed it holds at."""

    load_index: int
    """0 where none is written [1]."""
    speed: float
    """[m/s]; 0 where none is written."""


NOT_RATED = Rating(0, 0.0)
"""Stands for a load index and a speed symbol that are not written."""


class TireSize(NamedTuple):
    """Nominal dimensions of a tire [m], how it is built and what is written of its load."""

    width: float
    diameter: float
    section_height: float
    rim: float
    radial: bool
    height_is_written: bool
    """False when the designation leaves the section height out and it was estimated."""
    aspect_ratio: float
    """Section height over width [1], written or estimated."""
    flexion: str = ""
    """IF, VF, or nothing for a standard tire."""
    cyclic: bool = False
    """Whether it is marked for cyclic work (CFO, CHO), whose higher loads do not hold for a tractor's."""
    rating: Rating = NOT_RATED
    faster_rating: Rating = NOT_RATED
    """A second load index for a higher speed."""
    ply_rating: int = 0
    """0 where none is written [1]."""


class _Unread(NamedTuple):
    part: str


@lru_cache(maxsize=1024)
def _read(designation: str) -> TireSize | _Unread:
    rest = designation.strip()
    if len(rest) > LONGEST_TEXT:
        return _Unread(rest[:LONGEST_TEXT])
    flexion = ""
    while prefix := _PREFIX.match(rest):
        word = prefix[1].upper()
        if word in FLEXIONS:
            if flexion:
                return _Unread(prefix[1])
            flexion = word
        rest = rest[prefix.end() :]
    body = _BY_WIDTH.match(rest) or _BY_DIAMETER.match(rest)
    size = None if body is None else _dimensions(body.groupdict())
    if body is None or size is None:
        return _Unread(rest.partition(" ")[0])
    return _with_suffixes(size._replace(flexion=flexion), rest[body.end() :].strip())


def _dimensions(written: dict[str, str | None]) -> TireSize | None:
    """Return the dimensions behind a size; None where no field tire has them."""
    metric, overall = written.get("aspect"), written.get("overall")
    width = float(written["width"] or 0.0) * (0.001 if metric else METRES_PER_INCH)
    inches = float(written["rim"] or 0.0)
    rim = inches * METRES_PER_INCH
    if not (0.1 <= width <= 1.3 and inches >= 8.0):
        return None
    if metric:
        aspect = float(metric) / 100.0
    elif overall:
        aspect = (float(overall) * METRES_PER_INCH - rim) / 2.0 / width
    elif written.get("low"):
        aspect = LOW_DRIVE_ASPECT_RATIO if inches >= DRIVE_RIM else LOW_SECTION_ASPECT_RATIO
    else:
        aspect = INCH_SIZE_ASPECT_RATIO
    if not 0.2 <= aspect <= 1.2:
        return None
    diameter = rim + 2.0 * aspect * width
    height = aspect * width if metric else float(section_height(diameter, rim))
    radial = (written["build"] or "").upper() == "R"
    return TireSize(width, diameter, height, rim, radial, bool(metric or overall), aspect)


def _with_suffixes(size: TireSize, rest: str) -> TireSize | _Unread:
    """Return a `size` with what the words after it say."""
    while rest:
        found = next((match for match in (suffix.match(rest) for suffix in _SUFFIXES) if match), None)
        marked = size if found is None else _marked(size, found.groupdict())
        if found is None or marked is None:
            return _Unread(rest.split(maxsplit=1)[0])
        size, rest = marked, rest[found.end() :].strip()
    return size


def _marked(size: TireSize, said: dict[str, str | None]) -> TireSize | None:
    """Return a `size` with one more mark; None where that is said already."""
    index, symbol, ply = said.get("index"), said.get("symbol"), said.get("ply")
    if index and symbol:
        ratings = [rating for rating in (size.rating, size.faster_rating) if rating != NOT_RATED]
        ratings.append(Rating(int(index), SPEEDS[symbol.upper()] * _KM_PER_H))
        faster = said.get("faster")
        if faster:
            ratings.append(Rating(int(said.get("other") or index), SPEEDS[faster.upper()] * _KM_PER_H))
        if len(ratings) > len((size.rating, size.faster_rating)):
            return None
        return size._replace(rating=ratings[0], faster_rating=ratings[1] if ratings[1:] else NOT_RATED)
    if ply:
        return size._replace(ply_rating=int(ply)) if not size.ply_rating else None
    return size._replace(cyclic=True) if said.get("cyclic") else size


def read_size(designation: str) -> TireSize | None:
    """Return what a sidewall `designation` says, or None if a part of it is not read.

    Notes
    -----
    A size with an aspect ratio carries its width in millimetres, one without carries it in inches.
    Widths a field tire cannot have (under 100 mm or over 1.3 m) and rims under 8 in are refused.
    """
    found = _read(designation)
    return found if isinstance(found, TireSize) else None


def unread_part(designation: str) -> str:
    """Return the part of a sidewall `designation` that is not read; empty if there is none, or no text at all."""
    found = _read(designation)
    return found.part if isinstance(found, _Unread) else ""


def section_height(diameter: Real, rim: Real) -> Real:
    """Return section height [m] from overall `diameter` [m] and nominal `rim` diameter [m].

    h = (d - 1.06 rim) / 2: height above the rim flange, as the mobility number wants it.
    """
    return (diameter - RIM_FLANGE_RATIO * rim) / 2.0


def deflection(diameter: Real, static_loaded_radius: Real) -> Real:
    """Return tire deflection [m]: half the `diameter` [m] less the `static_loaded_radius` [m]."""
    return diameter / 2.0 - static_loaded_radius
