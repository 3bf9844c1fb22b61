"""What is inside the headland, cut into parallel strips, for many directions at once.

One pass works one strip. A machine has the full width of its strip to work, so it must travel
wherever any of that width lies inside: a pass is the projection of the piece of field in its strip
on to the direction of travel. Where the field is concave or has a hole, a strip holds several passes.
"""

from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt
import shapely

from drawbar_service.engine.arrays import FloatArray

Indices: TypeAlias = npt.NDArray[np.intp]

SLIVER = 0.01
"""Part of a strip at either side that counts as worked by its neighbours [1]: keeps rounding from making passes."""
_GAP = 0.01
"""A gap in a pass that is but rounding [m]."""
_BATCH = 200_000
"""Pieces of edge worked on at a time; more do not fit in a processor's cache."""


class Edges(NamedTuple):
    """Sides of polygons, one in a row."""

    start: FloatArray
    """[m], shape (n, 2)"""
    end: FloatArray
    """[m], shape (n, 2)"""

    @classmethod
    def of(cls, area: shapely.Polygon | shapely.MultiPolygon) -> "Edges":
        """Return the sides of polygons and of their holes."""
        rings = shapely.get_rings(shapely.get_parts(area))
        points, ring = shapely.get_coordinates(rings, return_index=True)
        inside = ring[1:] == ring[:-1]
        return cls(points[:-1][inside], points[1:][inside])

    @property
    def bearings(self) -> FloatArray:
        """Bearing of each side [rad], east of north, from 0 to pi."""
        along = self.end - self.start
        return np.arctan2(along[:, 0], along[:, 1]) % np.pi

    @property
    def lengths(self) -> FloatArray:
        """Length of each side [m]."""
        along = self.end - self.start
        return np.hypot(along[:, 0], along[:, 1])


class Passes(NamedTuple):
    """Passes in several directions, one in a row: by direction, then by strip, then along the strip."""

    direction: Indices
    """Which of the directions."""
    strip: Indices
    """Which strip of the direction."""
    across: FloatArray
    """Middle of the strip, to the right of the direction of travel [m]"""
    start: FloatArray
    """Where it begins along the direction [m]"""
    end: FloatArray
    """Where it ends [m]"""
    follower: Indices
    """The pass in the next strip that a machine turns into; its own row where there is none."""

    @property
    def entry(self) -> FloatArray:
        """Where a machine enters along the direction [m]; it goes up the even strips and down the odd."""
        return np.where(self.strip % 2 == 0, self.start, self.end)

    @property
    def exit(self) -> FloatArray:
        """Where it leaves [m]."""
        return np.where(self.strip % 2 == 0, self.end, self.start)


def cut(edges: Edges, directions: FloatArray, spacing: float) -> Passes:
    """Return the passes that work all that lies within `edges`.

    Parameters
    ----------
    edges : Edges
        Sides of the area [m].
    directions : array
        Bearings of travel [rad], shape (d,).
    spacing : float
        Greatest distance between passes [m]. The strips of a direction are equally wide and fill
        the area from side to side.
    """
    along = np.stack((np.sin(directions), np.cos(directions)))
    right = np.stack((np.cos(directions), -np.sin(directions)))
    s1, s2 = (edges.start @ along).T, (edges.end @ along).T
    t1, t2 = (edges.start @ right).T, (edges.end @ right).T
    least = t1.min(axis=1, keepdims=True)
    breadth = t1.max(axis=1, keepdims=True) - least
    strips = np.maximum(np.ceil(breadth / spacing - SLIVER), 1.0)
    strip_width = breadth / strips
    # Every strip gets a stretch of one long line, so that one sort and one search serve all. A spare
    # strip after each direction keeps its last from meeting the next direction's first.
    offset = float(s1.min())
    stretch = 2.0 * (float(s1.max()) - offset) + 1.0
    first = np.concatenate(([0.0], np.cumsum(strips[:, 0] + 1.0)))
    row, start, end = _joined(
        *_stretches(
            s1 - offset,
            s2 - offset,
            (t1 - least) / strip_width,
            (t2 - least) / strip_width,
            _Line(strips, first[:-1, None], stretch),
        )
    )
    direction = np.searchsorted(first, row, "right") - 1
    strip = row - first[direction].astype(np.intp)
    across = least[direction, 0] + strip_width[direction, 0] * (strip + 0.5)
    back = offset - row * stretch
    return Passes(direction, strip, across, start + back, end + back, _followers(start, end, stretch))


class _Line(NamedTuple):
    """One long line with a stretch for every strip of every direction."""

    strips: FloatArray
    """Number of strips of each direction, shape (d, 1)"""
    first: FloatArray
    """Number of the stretch of its first strip, shape (d, 1)"""
    stretch: float
    """[m]"""


def _stretches(
    s1: FloatArray, s2: FloatArray, t1: FloatArray, t2: FloatArray, line: _Line
) -> tuple[Indices, FloatArray, FloatArray]:
    """Return what must be travelled: stretch of the line, and start and end on the line [m]; they may overlap.

    Sides go along the direction from `s1` to `s2` [m], across it from `t1` to `t2` in strips. Every
    column of the area in a strip, followed towards its lower side, meets an edge inside the strip or a
    chord at its lower side. So pieces of edge and chords together cover the projection of the area.
    """
    swapped = t1 > t2
    low, high = np.where(swapped, t2, t1), np.where(swapped, t1, t2)
    s_low, s_high = np.where(swapped, s2, s1), np.where(swapped, s1, s2)
    first = np.maximum(np.ceil(low - 1.0 + SLIVER), 0.0)
    last = np.minimum(np.floor(high - SLIVER), line.strips - 1.0)
    counts = np.maximum(last - first + 1.0, 0.0).astype(np.intp).ravel()
    side = np.repeat(np.arange(counts.size), counts)
    ahead = np.arange(side.size) - np.repeat(np.cumsum(counts) - counts, counts)
    strip = ahead + first.ravel()[side]
    row = strip + np.broadcast_to(line.first, first.shape).ravel()[side]
    shift = row * line.stretch
    slope = ((s_high - s_low) / np.where(high > low, high - low, 1.0)).ravel()[side]
    low, high, s_low, s_high = (values.ravel()[side] for values in (low, high, s_low, s_high))
    bottom, top = strip + SLIVER, strip + 1.0 - SLIVER
    at_bottom = shift + s_low + slope * (np.maximum(bottom, low) - low)
    at_top = shift + np.where(high > low, s_low + slope * (np.minimum(top, high) - low), s_high)
    crossing = (low <= bottom) & (bottom < high)
    order = np.argsort(at_bottom[crossing])
    # Along a line the border is crossed into the area and out of it in turn.
    chords, chord_rows = at_bottom[crossing][order], row[crossing][order]
    return (
        np.concatenate((row, chord_rows[0::2])).astype(np.intp),
        np.concatenate((np.minimum(at_bottom, at_top), chords[0::2])),
        np.concatenate((np.maximum(at_bottom, at_top), chords[1::2])),
    )


def _joined(row: Indices, start: FloatArray, end: FloatArray) -> tuple[Indices, FloatArray, FloatArray]:
    """Join stretches that overlap or meet."""
    order = np.argsort(start)
    start = start[order]
    reach = np.maximum.accumulate(end[order])
    begins = np.flatnonzero(np.concatenate(([True], start[1:] > reach[:-1] + _GAP)))
    closes = np.append(begins[1:], order.size) - 1
    return row[order[begins]], start[begins], reach[closes]


def _followers(start: FloatArray, end: FloatArray, stretch: float) -> Indices:
    """Return the pass that is alone beside each in the next strip, as that one is alone beside it; or its own row."""
    above = np.searchsorted(end, start + stretch, "right")
    alone_above = np.searchsorted(start, end + stretch, "left") - above == 1
    below = np.searchsorted(end, start - stretch, "right")
    alone_below = np.searchsorted(start, end - stretch, "left") - below == 1
    rows = np.arange(start.size)
    partner = np.minimum(above, start.size - 1)
    return np.where(alone_above & alone_below[partner], partner, rows)


class Ways(NamedTuple):
    """What is travelled in each of several directions, one in a row."""

    passes: Indices
    """Number of passes."""
    working: FloatArray
    """Length of all passes [m]"""
    shifted: FloatArray
    """Extra way in turns between passes that do not end abreast [m]"""
    between: FloatArray
    """Way from one block of passes to the next, in a straight line [m]"""

    def only(self, rows: Indices) -> "Ways":
        """Return those of some directions."""
        return Ways(self.passes[rows], self.working[rows], self.shifted[rows], self.between[rows])

    def with_more(self, *others: "Ways") -> "Ways":
        """Return these and then those of other directions."""
        every = (self, *others)
        return Ways(
            np.concatenate([one.passes for one in every]),
            np.concatenate([one.working for one in every]),
            np.concatenate([one.shifted for one in every]),
            np.concatenate([one.between for one in every]),
        )


def blocks(passes: Passes) -> tuple[Indices, Indices]:
    """Return the first and the last pass of each block, a run of passes in which each turns into the next."""
    rows = np.arange(passes.follower.size)
    follows = passes.follower != rows
    is_first = np.ones(rows.size, dtype=np.bool_)
    is_first[passes.follower[follows]] = False
    last = passes.follower
    # Each round doubles the reach, until every pass knows the last of its block.
    while True:
        further = last[last]
        if np.array_equal(further, last):
            break
        last = further
    first = rows[is_first]
    return first, last[first]


def ways(passes: Passes, directions: int) -> Ways:
    """Return what is travelled to work the `passes` of so many `directions`, in the order they stand.

    Within a block a machine goes up and down. From the end of a block it goes to the start of the next
    in a straight line, whatever lies between.
    """

    def total(direction: Indices, length: FloatArray) -> FloatArray:
        return np.bincount(direction, weights=length, minlength=directions).astype(np.float64)

    rows = np.flatnonzero(passes.follower != np.arange(passes.follower.size))
    shift = np.abs(passes.exit[rows] - passes.entry[passes.follower[rows]])
    first, last = blocks(passes)
    same = passes.direction[first[1:]] == passes.direction[first[:-1]]
    here, there = last[:-1][same], first[1:][same]
    gap = np.hypot(passes.exit[here] - passes.entry[there], passes.across[here] - passes.across[there])
    return Ways(
        np.bincount(passes.direction, minlength=directions),
        total(passes.direction, passes.end - passes.start),
        total(passes.direction[rows], shift),
        total(passes.direction[here], gap),
    )


def ways_in(edges: Edges, directions: FloatArray, spacing: float) -> Ways:
    """Return what is travelled in each of `directions` [rad] to work what lies within `edges`, `spacing` [m] apart."""
    lengths = edges.lengths
    pieces = lengths.size + lengths.sum() / spacing
    step = max(int(_BATCH / pieces), 1)
    found = [
        ways(cut(edges, directions[begin : begin + step], spacing), directions[begin : begin + step].size)
        for begin in range(0, directions.size, step)
    ]
    return found[0].with_more(*found[1:])
