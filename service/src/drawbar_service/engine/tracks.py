"""What rubber tracks can pull, and what it costs to roll on them.

Ratios over the load on the tracks, at slip ``s``:

    NTR = g (1 - exp(-k s))        net traction
    MRR = m                        motion resistance, the same at any slip
    GTR = NTR + m                  gross traction
    TE  = (1 - s) NTR / GTR        tractive efficiency, below 1

The greatest pull over weight ``g``, the slip rate ``k`` and the motion resistance ``m``, all [1], depend on the
surface: table ``tracks``. The load is all that stands on the tracks: the weight times the cosine of the grade, and
what presses on the hitch. One transmission drives all tracks at one slip, so the pull depends on the whole load and
not on how front and rear share it. Two tracks stand in the chain of a match as their front and rear ends, four as the
front and the rear pair.

Valid for rubber belts at work straight ahead, up to 30 % slip; not for steel tracks, turning, or soil softer than the
softest surface of the table. The form is that of the coefficient of traction of Gee-Clough et al. (1978); the figures
are from memory, as each row of the table says.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, along, larger, smaller
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.traction import TireModel

MOST_SLIP = 0.3
"""Slip [1] beyond which tracks dig in rather than pull (common practice, no source): what takes more is not carried.

At the table's slip rate all but 1 % of the greatest pull is there before."""


class Grip(NamedTuple):
    """What tracks give on one surface."""

    greatest: Real
    """Greatest pull over weight, g [1]"""
    slip_rate: Real
    """k [1]"""
    motion_resistance: Real
    """m [1]"""


def track_axle(grip: Grip) -> Axle:
    """Return one end, or one pair, of the tracks of a tractor as an axle of its own.

    Parameters
    ----------
    grip : Grip
        On the surface under it, all [1].

    Notes
    -----
    The equations of a tire, without what depends on load or, beside GTR, on slip: the infinite rate with load makes
    the ceiling of GTR the same under any load, so the mobility number plays no part.
    """
    model = TireModel(
        slip_rate=grip.slip_rate,
        offset=grip.motion_resistance,
        roll=0.0,
        gross_max=grip.greatest,
        load_rate=math.inf,
        roll_slip=0.0,
        most_slip=MOST_SLIP,
    )
    return Axle(stiffness=1.0, model=model, driven=1.0)


def grip_at(grip: Grip, cone_index: Real, surfaces: Sequence[tuple[Real, Grip]]) -> Grip:
    """Return the `grip` of a surface where its soil is measured and softer than usual.

    Parameters
    ----------
    grip : Grip
        Of the surface.
    cone_index : float or array
        Measured [Pa].
    surfaces : sequence of pair of float or array and Grip
        Typical cone index [Pa] and grip of each surface of the table, the softest first.

    Notes
    -----
    On straight lines between surfaces, since nothing is published between them; beyond the ends the nearest counts.
    Firmer soil than usual gains nothing.
    """
    places = [place for place, _ in surfaces]
    return Grip(
        smaller(grip.greatest, along(cone_index, places, [there.greatest for _, there in surfaces])),
        grip.slip_rate,
        larger(grip.motion_resistance, along(cone_index, places, [there.motion_resistance for _, there in surfaces])),
    )
