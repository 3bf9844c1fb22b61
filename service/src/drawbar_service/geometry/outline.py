"""What is wrong with the rings of a polygon, and the polygon they make.

A ring is an array of positions [deg], longitude first, shape (n, 2), as GeoJSON has it (RFC 7946):
the first is the outside of a field, all others are holes in it. Either way round will do.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import shapely

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.geometry.earth import LocalPlane
from drawbar_service.geometry.strips import Indices

MOST_POSITIONS = 2_000
"""Most positions of all rings together."""
LEAST_AREA, MOST_AREA = 100.0, 5e7
"""Bounds of the area of a field [m^2]."""
MOST_EXTENT = 20_000.0
"""Greatest distance across a field, east to west or north to south [m]."""
_MOST_CROSSINGS = 5
_CHUNK = 100
_LIMITS = (("longitude", 180.0), ("latitude", 90.0))
_SIZES_OF_METRES = 1_000.0
_ORDER = "positions are [longitude, latitude] in degrees: are the two swapped?"


class Flaw(NamedTuple):
    """Something wrong with an outline, and where."""

    place: tuple[int, ...]
    """Ring, position in it, and 0 for longitude or 1 for latitude; as far as it goes"""
    detail: str
    """What is wrong and what would be right."""


class Outline(NamedTuple):
    """A field on the plane."""

    plane: LocalPlane
    polygon: shapely.Polygon
    """[m]"""


def read(rings: Sequence[FloatArray]) -> Outline | list[Flaw]:
    """Return the field within `rings` [deg], or all that keeps them from being one."""
    flaws = list(_flaws_of_positions(rings))
    if flaws:
        return flaws
    plane = LocalPlane.about(rings[0])
    points = [plane.points(ring) for ring in rings]
    whole = np.concatenate(points)
    extent = float(np.ptp(whole, axis=0).max()) if np.isfinite(whole).all() else np.inf
    if extent > MOST_EXTENT:
        far = f"{extent / 1000.0:,.0f} km" if np.isfinite(extent) else "half the globe"
        return [Flaw((), f"this is {far} across and a field at most {MOST_EXTENT / 1000.0:g} km; {_ORDER}")]
    flaws = list(_flaws_of_rings(points))
    if flaws:
        return flaws
    polygon = shapely.Polygon(points[0], points[1:])
    if not LEAST_AREA <= polygon.area <= MOST_AREA:
        bounds = f"{LEAST_AREA / 1e4:g} to {MOST_AREA / 1e4:,.0f} ha"
        return [Flaw((), f"this encloses {polygon.area / 1e4:,.4g} ha; a field here has {bounds}")]
    return Outline(plane, polygon)


def _flaws_of_positions(rings: Sequence[FloatArray]) -> Iterator[Flaw]:
    if not rings:
        yield Flaw((), "a polygon has at least one ring, the outside of the field")
        return
    count = sum(len(ring) for ring in rings)
    if count > MOST_POSITIONS:
        yield Flaw((), f"{count:,} positions; at most {MOST_POSITIONS:,} are read: simplify the outline")
        return
    hint = _hint(np.concatenate(rings))
    for number, ring in enumerate(rings):
        if len(ring) < 4:
            yield Flaw((number,), f"{len(ring)} positions; a ring has at least 4, the last a repetition of the first")
            continue
        for axis, (name, limit) in enumerate(_LIMITS):
            for index in np.flatnonzero(np.abs(ring[:, axis]) > limit):
                value = ring[index, axis]
                yield Flaw(
                    (number, int(index), axis), f"{name} {value:.10g} is not from -{limit:g} to {limit:g} deg; {hint}"
                )
        if not np.array_equal(ring[0], ring[-1]):
            first = ", ".join(f"{value:.12g}" for value in ring[0])
            yield Flaw((number, len(ring) - 1), f"the ring is open; end it where it starts, with [{first}]")
        on_globe = np.abs(ring[:, 0]) <= 180.0
        for index in np.flatnonzero((np.abs(np.diff(ring[:, 0])) > 180.0) & on_globe[1:] & on_globe[:-1]):
            yield Flaw(
                (number, int(index) + 1, 0),
                "the side to here goes round the globe; a field on both sides of the antimeridian (180 deg) is not "
                "read: give the part on one side",
            )


def _hint(positions: FloatArray) -> str:
    if np.abs(positions).max(initial=0.0) > _SIZES_OF_METRES:
        return "these look like metres on a map grid: convert them to WGS 84 longitude and latitude in degrees"
    return _ORDER


def _flaws_of_rings(rings: Sequence[FloatArray]) -> Iterator[Flaw]:
    for number, ring in enumerate(rings):
        if len(np.unique(ring, axis=0)) < 3:
            yield Flaw((number,), "fewer than 3 different positions; a ring encloses an area")
            return
    polygon = shapely.Polygon(rings[0], rings[1:])
    if shapely.is_valid(polygon):
        return
    crossings = list(_crossings(rings)) or list(_misplaced_holes(rings))
    if crossings:
        yield from crossings
    else:
        yield Flaw(
            (), f"the rings make no polygon: {shapely.is_valid_reason(polygon).lower()} (metres from its middle)"
        )


class _Sides(NamedTuple):
    ring: Indices
    position: Indices
    start: FloatArray
    end: FloatArray
    following: Indices
    """Row of the next side of the ring."""


def _sides(rings: Sequence[FloatArray]) -> _Sides:
    """Return all sides that have a length."""
    ring: list[Indices] = []
    position: list[Indices] = []
    start: list[FloatArray] = []
    end: list[FloatArray] = []
    following: list[Indices] = []
    count = 0
    for number, points in enumerate(rings):
        kept = np.flatnonzero((points[1:] != points[:-1]).any(axis=1))
        ring.append(np.full(kept.size, number))
        position.append(kept)
        start.append(points[kept])
        end.append(points[kept + 1])
        following.append(count + (np.arange(kept.size) + 1) % kept.size)
        count += kept.size
    return _Sides(
        np.concatenate(ring),
        np.concatenate(position),
        np.concatenate(start),
        np.concatenate(end),
        np.concatenate(following),
    )


def _crossings(rings: Sequence[FloatArray]) -> Iterator[Flaw]:
    """Yield the first few sides that cross or meet another where they must not."""
    sides = _sides(rings)
    lines = np.asarray(shapely.linestrings(np.stack((sides.start, sides.end), axis=1)), dtype=np.object_)
    along, onward = sides.end - sides.start, (sides.end - sides.start)[sides.following]
    turned_back = (along[:, 0] * onward[:, 1] == along[:, 1] * onward[:, 0]) & ((along * onward).sum(axis=1) < 0.0)
    for row in np.flatnonzero(turned_back)[:_MOST_CROSSINGS]:
        after = sides.following[row]
        yield Flaw(
            (int(sides.ring[after]), int(sides.position[after])), "the outline turns back on itself here: a spike"
        )
    if turned_back.any():
        return
    tree = shapely.STRtree(lines)
    found = 0
    # In parts, because a scribble of 2,000 sides has a million crossings.
    for begin in range(0, len(lines), _CHUNK):
        here, there = tree.query(lines[begin : begin + _CHUNK], predicate="intersects")
        here += begin
        apart = (here < there) & (sides.following[here] != there) & (sides.following[there] != here)
        here, there = here[apart], there[apart]
        # Rings may touch each other in a point, but none may touch itself.
        wrong = (sides.ring[here] == sides.ring[there]) | ~shapely.touches(lines[here], lines[there])
        for one, other in zip(here[wrong], there[wrong], strict=True):
            if found >= _MOST_CROSSINGS:
                return
            found += 1
            yield Flaw(
                (int(sides.ring[other]), int(sides.position[other])),
                "the side from here to the next position crosses or touches the one that starts at position "
                f"{sides.position[one]} of ring {sides.ring[one]}; an outline goes round its field once",
            )


def _misplaced_holes(rings: Sequence[FloatArray]) -> Iterator[Flaw]:
    outside, *holes = (shapely.Polygon(ring) for ring in rings)
    for number, hole in enumerate(holes, 1):
        if not outside.contains(hole):
            yield Flaw((number,), "this hole is not inside the first ring, the outside of the field")
        for other, larger in enumerate(holes, 1):
            if other != number and larger.contains(hole):
                yield Flaw((number,), f"this hole is inside the one of ring {other}; leave it out")
                break
