"""What each axle carries, standing, pulling and on a grade.

Moments about the rear wheel contact. Weight ``W`` acts ``x`` ahead of the rear axle and
``h`` above ground; the pull ``P`` acts backward at height ``z``; the implement presses the
tractor down with its weight on the hitch ``V_0``, ``x_0`` behind the rear axle, and with ``v P`` more
at the hitch, ``x_p`` behind it; ``L`` is the wheelbase and ``b`` the angle of the grade, positive uphill:

    R_front L = W x cos b - W h sin b - P z - v P x_p - V_0 x_0 cos b
    R_front + R_rear = (W + V_0) cos b + v P

From statics; the level case is published in farm power teaching texts.
"""

from typing import NamedTuple

from drawbar_service.engine.arrays import Real, arctan, cos, sin


def grade(slope: Real) -> tuple[Real, Real]:
    """Return sine and cosine [1] of the angle of a `slope`, rise over run [1]."""
    if isinstance(slope, float) and slope == 0.0:
        return 0.0, 1.0
    angle = arctan(slope)
    return sin(angle), cos(angle)


class AxleLoads(NamedTuple):
    """Axle loads as straight lines in the pull: ``standing + per_pull P``."""

    front_standing: Real
    """[N]"""
    front_per_pull: Real
    """[1], negative: pulling lightens the front"""
    rear_standing: Real
    """[N]"""
    rear_per_pull: Real
    """[1]"""

    def front(self, pull: Real) -> Real:
        """Return the load on the front axle [N] under `pull` [N]; negative once it has lifted."""
        return self.front_standing + self.front_per_pull * pull

    def rear(self, pull: Real) -> Real:
        """Return the load on the rear axle [N] under `pull` [N]."""
        return self.rear_standing + self.rear_per_pull * pull


def axle_loads(
    weight: Real,
    front_share: Real,
    wheelbase: Real,
    center_of_mass_height: Real,
    pull_height: Real,
    hitch_distance: Real,
    load_distance: Real,
    vertical_load: Real,
    vertical_per_pull: Real,
    sine: Real,
    cosine: Real,
) -> AxleLoads:
    """Return the axle loads of a tractor as straight lines in the pull.

    Parameters
    ----------
    weight : float or array
        Weight of the tractor, ballast included [N].
    front_share : float or array
        Share of the weight on the front axle, standing level without implement [1]; x = share L.
    wheelbase : float or array
        L [m].
    center_of_mass_height : float or array
        h [m]; matters on a grade only.
    pull_height : float or array
        Height of the line of pull at the hitch, z [m].
    hitch_distance : float or array
        Distance of the hitch behind the rear axle, x_p [m].
    load_distance : float or array
        Distance behind the rear axle at which `vertical_load` acts, x_0 [m]: the hitch of a drawn implement, the
        center of mass of a mounted one.
    vertical_load : float or array
        Part of the implement's weight that the tractor carries, V_0, standing level [N].
    vertical_per_pull : float or array
        What it presses on the hitch more for each newton of pull, v [1].
    sine, cosine : float or array
        Of the angle of the grade [1].

    Notes
    -----
    The tractor stands in for a rigid body; the moment of rolling resistance is left out.
    """
    overhang = hitch_distance / wheelbase
    pressing = vertical_load * cosine
    front_standing = (
        weight * (front_share * cosine - center_of_mass_height / wheelbase * sine)
        - pressing * load_distance / wheelbase
    )
    front_per_pull = -(pull_height / wheelbase) - vertical_per_pull * overhang
    return AxleLoads(
        front_standing,
        front_per_pull,
        weight * cosine + pressing - front_standing,
        vertical_per_pull - front_per_pull,
    )


class Stance(NamedTuple):
    """All that axle loads depend on besides the weight and its split: see :func:`axle_loads`."""

    wheelbase: Real
    """[m]"""
    center_of_mass_height: Real
    """[m]"""
    pull_height: Real
    """[m]"""
    hitch_distance: Real
    """[m]"""
    load_distance: Real
    """[m]"""
    vertical_load: Real
    """[N]"""
    vertical_per_pull: Real
    """[1]"""
    sine: Real
    """[1]"""
    cosine: Real
    """[1]"""

    def loads(self, weight: Real, front_share: Real) -> AxleLoads:
        """Return the axle loads of a `weight` [N] of which `front_share` [1] stands on the front axle."""
        return axle_loads(weight, front_share, *self)


def lifting_pull(loads: AxleLoads) -> Real:
    """Return the pull [N] at which the front axle of `loads` carries nothing."""
    return -loads.front_standing / loads.front_per_pull
