"""A tractor on rubber tracks, two or four, as the engine sees it, and whether its grip is known."""

from typing import NamedTuple

from drawbar_service.engine.arrays import STANDARD_GRAVITY, Mask, Real, either, opposite
from drawbar_service.engine.axle_loads import Stance, grade
from drawbar_service.engine.match import Tractor as EngineTractor
from drawbar_service.engine.tracks import Grip, grip_at, track_axle
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import Soil, Tractor
from drawbar_service.model.penetrometer import cone_index_of
from drawbar_service.model.soil import cone_index
from drawbar_service.model.tractor import (
    Hitching,
    WheeledTractor,
    by_ratio,
    caution_of_slope,
    front_share,
    mass_height,
    on_wheels,
    transmission_efficiency,
)
from drawbar_service.reference import SURFACES, TRACKS, SurfaceRow, TracksRow, surface, tracks_row

TWO_TRACKS, FOUR_TRACKS = "rubber-track", "four-track"
"""The drives on tracks."""


class TrackedTractor(NamedTuple):
    """A tractor on rubber tracks, hitched, on a soil and a slope."""

    engine: EngineTractor
    """Its axles are the front and rear ends of two tracks, or the front and rear pairs of four."""
    weight: Real
    """[N]"""
    stance: Stance
    front_share: Real
    """Of the weight, standing level [1]."""
    grip: TracksRow
    """Of the surface."""
    grip_known: Mask
    """Whether the table covers this soil."""


def on_tracks(drive: str) -> Mask:
    """Return whether a `drive` is on tracks."""
    return either(drive == TWO_TRACKS, drive == FOUR_TRACKS)


def on_soil(
    tractor: Tractor, hitching: Hitching, soil: Soil, slope: Real, found: Findings
) -> WheeledTractor | TrackedTractor | None:
    """Return a tractor on wheels or tracks, on a hitch, a soil and a slope [1]; None with a fault noted."""
    if on_tracks(tractor.drive):
        if tractor.traction is not None:
            found.fault("traction-on-tracks", "/tractor/traction")
        return tracked(tractor, hitching, soil, slope, found)
    found.use("brixius-1987", "zoz-grisso-2003", "asabe-s296")
    wheeled = on_wheels(tractor, hitching, cone_index(soil, found, "/soil"), slope, found)
    return by_ratio(wheeled, tractor, soil.surface)


def tracked(
    tractor: Tractor, hitching: Hitching, soil: Soil, slope: Real, found: Findings, pointer: str = "/tractor"
) -> TrackedTractor | None:
    """Return a tractor on tracks, on a hitch, a soil and a slope; None if what it needs is missing, with a fault noted.

    Parameters
    ----------
    tractor : Tractor
    hitching : Hitching
    soil : Soil
    slope : float or array
        Rise over run [1].
    found : Findings
        Receives assumptions, warnings and faults.
    pointer : str
        Where the tractor stands in the request.
    """
    caution_of_slope(slope, found)
    wheelbase = track_wheelbase(tractor, found, pointer)
    if wheelbase is None:
        return None
    share = front_share(tractor, found, pointer)
    weight = tractor.mass * STANDARD_GRAVITY
    sine, cosine = grade(slope)
    stance = Stance(
        wheelbase,
        mass_height(tractor, slope, found, pointer),
        hitching.pull_height,
        hitching.distance,
        hitching.load_distance,
        hitching.vertical_load,
        hitching.vertical_per_pull,
        sine,
        cosine,
    )
    row, grip, known = _grip(soil, found, f"{pointer}/drive")
    efficiency = transmission_efficiency(tractor, found, pointer)
    axle = track_axle(grip)
    engine = EngineTractor(axle, axle, stance.loads(weight, share), weight * sine, efficiency)
    return TrackedTractor(engine, weight, stance, share, row, known)


def known_grip(tractor: WheeledTractor | TrackedTractor) -> Mask:
    """Return whether anything published says what the soil carries under a `tractor`."""
    return tractor.grip_known if isinstance(tractor, TrackedTractor) else True


def slip_band_of(tractor: WheeledTractor | TrackedTractor, surface: SurfaceRow) -> tuple[Real, Real]:
    """Return the slip of best efficiency [1] of a `tractor` on a `surface`, from and to."""
    row = tractor.grip if isinstance(tractor, TrackedTractor) else surface
    return row.slip_band_low, row.slip_band_high


def track_wheelbase(tractor: Tractor, found: Findings, pointer: str) -> Real | None:
    """Return the distance from front to rear axle [m], given or usual of two tracks; None, with a fault, for four."""
    if tractor.wheelbase is None and tractor.drive == FOUR_TRACKS:
        found.fault("needed-on-four-tracks", f"{pointer}/wheelbase")
        return None
    return found.fallback(tractor.wheelbase, f"{pointer}/wheelbase", "track_wheelbase")


def _grip(soil: Soil, found: Findings, pointer: str) -> tuple[TracksRow, Grip, Mask]:
    """Return the row of the soil's surface, what tracks give there, and whether the table covers the soil."""
    row = tracks_row(soil.surface)
    found.use(row.source, "derived", "asabe-s296")
    grip = Grip(row.greatest_pull, row.slip_rate, row.motion_resistance)
    known: Mask = True
    measured = cone_index_of(soil, found, "/soil")
    if measured is not None:
        by_cone_index = _by_cone_index()
        grip = grip_at(grip, measured, by_cone_index)
        weakest, _ = by_cone_index[0]
        known = measured >= weakest
        found.warn("grip-unknown", "/soil/cone_index", where=opposite(known), weakest=weakest)
    found.warn(
        "grip-of-tracks",
        pointer,
        where=known,
        greatest=grip.greatest,
        low=row.greatest_pull_low,
        high=row.greatest_pull_high,
    )
    return row, grip, known


def _by_cone_index() -> list[tuple[Real, Grip]]:
    """Return typical cone index [Pa] and grip of each surface, the softest first."""
    return sorted(
        (
            (1000.0 * surface(id).cone_index_kPa, Grip(row.greatest_pull, row.slip_rate, row.motion_resistance))
            for id, row in TRACKS.in_force().items()
            if id in SURFACES.rows
        ),
        key=lambda pair: pair[0],
    )
