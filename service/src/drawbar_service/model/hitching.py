"""How a machine hangs on the tractor: where it pulls, and what of its weight and its draft presses on the axles.

What presses on the hitch at work has two parts. One is weight: `vertical_load` where it is stated, else the share of
the machine's weight that its own wheels and tools do not carry. The other grows with the pull: soil pressing the tools
down, and a line of pull that falls away behind the hitch. Neither takes the place of the other.

A drawn or semi-mounted machine presses at the pin. A mounted one is held by three links and cannot turn about them, so
that its weight acts where its center of mass is. Raised, all of it hangs on the tractor: :func:`warn_of_raised`.
"""

from drawbar_service.engine.arrays import STANDARD_GRAVITY, Real, both, either, larger, opposite
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import Attached, Tractor
from drawbar_service.model.tracks import TrackedTractor
from drawbar_service.model.tractor import Hitching, WheeledTractor
from drawbar_service.reference import default

MOUNTED = "three-point"
"""The hitch that lifts the whole machine."""
_LEAST_SHARE = 1e-3
"""Share of the weight in front [1] that another is taken over at least: on a steep slope the front may lift alone."""
_STEM = {"drawbar": "drawbar", "semi-mounted": "semi_mounted", MOUNTED: "three_point"}
"""What the defaults of each hitch begin with."""


def hitching(
    attached: Attached, tractor: Tractor, found: Findings, pointer: str, *, in_ground: bool = True
) -> Hitching:
    """Return where a machine pulls and presses at work.

    Parameters
    ----------
    attached : Attached
        Stands at `pointer` in the request.
    tractor : Tractor
    found : Findings
        Receives assumptions and warnings.
    pointer : str
    in_ground : bool
        Whether the machine has tools in the ground, which carry some of its weight.
    """
    mounted, stem = attached.hitch == MOUNTED, _STEM[attached.hitch]
    if attached.pull_height is not None:
        height: Real = attached.pull_height
    elif mounted:
        height = found.fallback(None, f"{pointer}/pull_height", "three_point_pull_height")
    else:
        height = found.fallback(tractor.drawbar_height, "/tractor/drawbar_height", "drawbar_height")
    share = found.fallback(attached.vertical_share, f"{pointer}/vertical_share", f"{stem}_vertical_share")
    load = standing_load(attached, in_ground=in_ground)
    if attached.vertical_load is not None:
        if attached.hitch_share is not None:
            found.warn("load-for-share", f"{pointer}/hitch_share")
    elif attached.mass is not None:
        found.fallback(attached.hitch_share, f"{pointer}/hitch_share", _hitch_share_row(attached.hitch, in_ground))
    if attached.mass is None:
        if attached.vertical_load is None and attached.hitch != "drawbar":
            found.warn("mass-on-hitch", f"{pointer}/mass")
        if mounted:
            found.warn("raised-unknown", f"{pointer}/mass")
    presses = load != 0.0
    distance = found.fallback(
        tractor.hitch_distance,
        "/tractor/hitch_distance",
        "three_point_hitch_distance" if mounted else "hitch_distance",
        where=either(presses, share != 0.0),
    )
    overhang: Real = 0.0
    if mounted:
        weighs = True if attached.mass is not None else presses
        overhang = found.fallback(
            attached.center_of_mass, f"{pointer}/center_of_mass", "three_point_center_of_mass", where=weighs
        )
    elif attached.center_of_mass is not None:
        found.warn("lever-of-mounted", f"{pointer}/center_of_mass")
    return Hitching(height, distance, distance + overhang, load, share)


def standing_load(attached: Attached, *, in_ground: bool = True) -> Real:
    """Return the weight of a machine at work that the tractor carries, standing level [N].

    Stated, or a share of the machine's weight; 0 where its mass is not known. `in_ground` says whether it has tools
    in the ground.
    """
    if attached.vertical_load is not None:
        return attached.vertical_load
    if attached.mass is None:
        return 0.0
    share = attached.hitch_share
    if share is None:
        share = default(_hitch_share_row(attached.hitch, in_ground)).value
    return share * attached.mass * STANDARD_GRAVITY


def _hitch_share_row(hitch: str, in_ground: bool) -> str:
    if hitch == MOUNTED and not in_ground:
        return "raised_hitch_share"
    return f"{_STEM[hitch]}_hitch_share"


def raised_front_share(tractor: WheeledTractor | TrackedTractor, weight: Real) -> Real:
    """Return the load on the front axle with a mounted machine raised, over the tractor's weight [1].

    Parameters
    ----------
    tractor : WheeledTractor or TrackedTractor
        Hitched to the machine.
    weight : float or array
        Of the machine [N].

    Notes
    -----
    Standing on the slope of the field with the front uphill, whichever way the pass goes: on the headland it turns.
    """
    sine = abs(tractor.stance.sine)
    raised = tractor.stance._replace(vertical_load=weight, vertical_per_pull=0.0, sine=sine)
    return raised.loads(tractor.weight, tractor.front_share).front(weight * sine) / tractor.weight


def front_left_raised(attached: Attached, tractor: WheeledTractor | TrackedTractor) -> Real | None:
    """Return the load on the front axle with the machine raised, over that without it [1].

    Below 0 the machine lifts the front off the ground. None unless a mounted machine of known mass is `attached`.
    """
    if attached.hitch != MOUNTED or attached.mass is None:
        return None
    alone = larger(raised_front_share(tractor, 0.0), _LEAST_SHARE)
    return raised_front_share(tractor, attached.mass * STANDARD_GRAVITY) / alone


def warn_of_raised(attached: Attached, tractor: WheeledTractor | TrackedTractor, found: Findings, pointer: str) -> None:
    """Warn where a mounted machine, raised, leaves too little on the front axle of a `tractor` to steer by.

    `attached` stands at `pointer` in the request. Without its mass nothing can be said; :func:`hitching` warns of that.
    """
    if attached.hitch != MOUNTED or attached.mass is None:
        return
    kept = default("transport_front_share")
    share = raised_front_share(tractor, attached.mass * STANDARD_GRAVITY)
    found.use(kept.source)
    lifts = share <= 0.0
    found.warn("front-lifts-raised", f"{pointer}/mass", where=lifts)
    light = both(share < kept.value, opposite(lifts))
    found.warn("front-light-raised", f"{pointer}/mass", where=light, share=share, kept=kept.value)
