"""Tools that run in the wheel tracks of the tractor, where soil is pressed firm and draft is higher.

Only where a request asks: left out, no tool is taken to run in a track.
"""

from drawbar_service.engine.arrays import Real, smaller
from drawbar_service.engine.draft import draft_in_tracks
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import Implement, Tractor
from drawbar_service.model.tractor import width_on_tires


def track_factor(
    implement: Implement, width: Real | None, tractor: Tractor | None, found: Findings, pointer: str = "/implement"
) -> Real:
    """Return the draft of all tools over that of the same tools in soil without tracks [1]; 1 where nobody asks.

    Parameters
    ----------
    implement : Implement
    width : float or array, optional
        Working width [m]; None where nothing gives one.
    tractor : Tractor, optional
        What makes the tracks; None in a calculation without one.
    found : Findings
        Receives assumptions, warnings and faults.
    pointer : str
        Where the implement stands in the request.
    """
    tracks = implement.wheel_tracks
    if tracks is None:
        return 1.0
    pointer = f"{pointer}/wheel_tracks"
    found.use("tullberg-2000")
    found.warn("wheel-tracks-in-clay", pointer)
    if tracks.share is not None:
        share: Real = tracks.share
    else:
        across = None if tractor is None else width_on_tires(tractor)
        if across is None or width is None:
            found.fault("no-track-share", f"{pointer}/share")
            return 1.0
        share = smaller(across / width, 1.0)
        found.assume("track-share", f"{pointer}/share", share, "derived", across=across, width=width)
    return draft_in_tracks(share, found.fallback(tracks.factor, f"{pointer}/factor", "track_draft_factor"))
