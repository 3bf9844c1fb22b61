"""Weight on hitch, axles and tires in transport.

A trailed machine is a lever on its own axle: with its weight ``W`` acting ``x`` behind the hitch and
its axle ``L`` behind the hitch,

    on its axle: W x / L        on the hitch: W (1 - x / L)

A mounted machine hangs on the hitch with all its weight. From statics, standing level. What the hitch
takes goes to the axles of the tractor by :func:`drawbar_service.engine.axle_loads.axle_loads`.
"""

from typing import NamedTuple

from drawbar_service.engine.arrays import Real
from drawbar_service.engine.axle_loads import axle_loads


class TowedLoads(NamedTuple):
    """Where the weight of a trailed machine goes."""

    hitch: Real
    """On the hitch [N]; negative where it lifts."""
    axle: Real
    """On its own axle [N]."""


def towed_loads(weight: Real, center_of_mass_distance: Real, tongue_length: Real) -> TowedLoads:
    """Return where the weight of a trailed machine goes.

    Parameters
    ----------
    weight : float or array
        W [N].
    center_of_mass_distance : float or array
        Of the center of mass behind the hitch point, x [m].
    tongue_length : float or array
        Of its axle behind the hitch point, L [m].
    """
    axle = weight * center_of_mass_distance / tongue_length
    return TowedLoads(weight - axle, axle)


class StandingLoads(NamedTuple):
    """Axle loads of a tractor that stands level."""

    front: Real
    """[N]; negative where the front would lift."""
    rear: Real
    """[N]"""


def standing_loads(
    weight: Real, front_share: Real, wheelbase: Real, hitch_distance: Real, vertical_load: Real
) -> StandingLoads:
    """Return the axle loads of a tractor that stands level with a machine on its hitch.

    Parameters
    ----------
    weight : float or array
        Of the tractor, ballast included [N].
    front_share : float or array
        Share of it on the front axle without the machine [1].
    wheelbase : float or array
        [m]
    hitch_distance : float or array
        Distance behind the rear axle at which the load acts [m]: the hitch of a trailed machine, the center of
        mass of a mounted one.
    vertical_load : float or array
        What presses down there [N].
    """
    # Nothing pulls and nothing slopes: the two heights play no part.
    loads = axle_loads(
        weight, front_share, wheelbase, 0.0, 0.0, hitch_distance, hitch_distance, vertical_load, 0.0, 0.0, 1.0
    )
    return StandingLoads(loads.front_standing, loads.rear_standing)


def tires_capacity(tire_load: Real, tires: Real, multiplier: Real) -> Real:
    """Return what the tires of an axle carry [N].

    Parameters
    ----------
    tire_load : float or array
        What one tire carries alone [N].
    tires : float or array
        How many tires the axle has [1].
    multiplier : float or array
        Load of a tire mounted as dual or triple over its load alone [1].
    """
    return tires * tire_load * multiplier
