"""How heavy a tractor should be for a pull, how that mass is split, and what too much or too little costs.

At a given slip and pull, net traction less what is needed is concave in the weight: each axle gives
``W (0.88 (1 - exp(-0.1 k/W)) (1 - exp(-c s)) - m W/k - 0.5 s sqrt(W/k))``, a sum of concave terms, and the
axle loads are straight lines in the weight. So spare traction first grows with weight, has one highest
point, and falls where rolling through soft soil eats more than weight gains. The least weight for a slip is
the root before that point; where even the highest point is below zero there is none.
"""

import math
from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import Mask, Real, choose, few, larger, opposite, rows_of, smaller, somewhere
from drawbar_service.engine.axle_loads import AxleLoads, Stance
from drawbar_service.engine.match import AxlePoint, OperatingPoint, Tractor, spare_traction
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.traction import motion_resistance_ratio

NO_WEIGHT = 1e12
"""Stands for a weight [N] that no tractor reaches."""

_FIRST_STEP = 1e-5
"""From the lightest weight, over that weight [1]."""
_ROUNDING = 1e-13
"""Step over the weight [1] at which the root has been reached."""
_APART = 0.5
"""Share of all rows [1] below which those that have not arrived go on apart from the others."""
_MANY = 1_000
"""Rows below which it is not worth while to part them [1]."""
_MAX_STEPS = 100
"""More than any root takes, even where zero is all but the highest point and each step halves what is left [1]."""


def reweighed(tractor: Tractor, stance: Stance, weight: Real, front_share: Real) -> Tractor:
    """Return the same `tractor` in the same `stance` with another `weight` [N] and `front_share` [1] of it."""
    return tractor._replace(loads=stance.loads(weight, front_share), grade_pull=weight * stance.sine)


def steering_weight(stance: Stance, front_share: Real, pull: Real, kept_share: Real) -> Real:
    """Return the least weight [N] that keeps enough on the front axle to steer under a pull.

    Parameters
    ----------
    stance : Stance
    front_share : float or array
        Share of the weight on the front axle, standing level [1].
    pull : float or array
        [N]
    kept_share : float or array
        Share of the weight that the front axle shall carry under the pull [1].

    Notes
    -----
    From W (share cos b - h/L sin b) - V_0 x_0/L cos b - P (z + v x_p)/L >= kept W. Where the split alone leaves less
    than `kept_share`, no weight helps and the answer is at least :data:`NO_WEIGHT`.
    """
    lost = -stance.loads(0.0, front_share).front(pull)
    gained = front_share * stance.cosine - stance.center_of_mass_height / stance.wheelbase * stance.sine - kept_share
    possible = gained > 0.0
    return choose(possible, larger(lost, 0.0) / choose(possible, gained, 1.0), NO_WEIGHT + 0.0 * lost)


class WeightAnswer(NamedTuple):
    """What :func:`weight_for_slip` found."""

    weight: Real
    """[N]; where none suffices, one at which spare traction no longer grows, or the heaviest."""
    carried: Mask
    """Whether it suffices."""


def weight_for_slip(
    tractor: Tractor, stance: Stance, front_share: Real, pull: Real, slip: Real, lightest: Real, heaviest: Real
) -> WeightAnswer:
    """Return the least weight [N] at which a tractor pulls at no more than a given slip.

    Parameters
    ----------
    tractor : Tractor
        Its axles and drive; its own loads play no part.
    stance : Stance
    front_share : float or array
        Share of the weight on the front axle, standing level [1].
    pull : float or array
        [N]
    slip : float or array
        [1]
    lightest, heaviest : float or array
        Ends of the search [N]; at the lightest the front axle must still stand on the ground.

    Notes
    -----
    The secant method from the lightest up. Spare traction is concave in the weight (see the module), so a line through
    two weights below the root meets zero below it too: the steps walk up to the root. Should the first of them pass
    it, the line gives it at once. Where spare traction stops growing while some is missing, no weight has enough.
    """
    before = lightest + 0.0 * heaviest
    # Without what plays no part, so that everything that differs from row to row shows in the shape of what is found.
    axles = tractor._replace(loads=AxleLoads(0.0, 0.0, 0.0, 0.0), grade_pull=0.0, transmission_efficiency=1.0)
    machine = _Machine(axles, stance, front_share, pull, slip, heaviest)
    spare_before = machine.spare(before)
    enough, hopeless = spare_before >= 0.0, before >= heaviest
    weight = choose(enough, before, smaller(before * (1.0 + _FIRST_STEP), heaviest))
    return _walked(machine, before, spare_before, weight, enough, hopeless)


class _Machine(NamedTuple):
    """What spare traction depends on besides the weight, and where the search for a weight ends."""

    tractor: Tractor
    stance: Stance
    front_share: Real
    pull: Real
    slip: Real
    heaviest: Real

    def spare(self, weight: Real) -> Real:
        """Return the spare traction [N] at a `weight` [N]."""
        return spare_traction(reweighed(self.tractor, self.stance, weight, self.front_share), self.pull, self.slip)


def _walked(
    machine: _Machine, before: Real, spare_before: Real, weight: Real, enough: Mask, hopeless: Mask
) -> WeightAnswer:
    """Return where the secant method arrives that has tried a weight `before` [N] and goes on at a `weight` [N]."""
    for _ in range(_MAX_STEPS):
        spare_now = machine.spare(weight)
        gained = spare_now - spare_before
        hopeless = hopeless | ((spare_now < 0.0) & ((gained <= 0.0) | (weight >= machine.heaviest)))
        # A row that has arrived stays, so that its answer does not depend on its neighbours.
        settled = enough | hopeless
        ahead = smaller(weight - spare_now * (weight - before) / choose(settled, 1.0, gained), machine.heaviest)
        enough = enough | (choose(settled, math.inf, ahead - weight) <= _ROUNDING * weight)
        before, spare_before, weight = weight, spare_now, choose(settled, weight, ahead)
        walking = opposite(enough | hopeless)
        if not somewhere(walking):
            break
        if few(walking, _APART) and walking.size > _MANY:
            # Where zero is all but the highest point it takes many steps; other rows need not go along.
            state = (machine, before, spare_before, weight, enough, hopeless)
            rest = _walked(*rows_of(state, walking))
            weight, enough = np.array(weight), np.array(enough)
            weight[walking], enough[walking] = rest
            break
    return WeightAnswer(weight, enough)


class PowerPaths(NamedTuple):
    """Where the power at the axles goes [W]."""

    drawbar: Real
    slip: Real
    """Lost because wheels turn farther than they travel."""
    rolling: Real
    """Lost in soil and tires, on driven and towed axles."""
    grade: Real
    """Into the tractor's own weight along the grade."""


def power_paths(tractor: Tractor, point: OperatingPoint) -> PowerPaths:
    """Return where the axle power [W] of a `tractor` at a `point` goes.

    The four add up to the axle power wherever the pull is carried at a slip above 0.
    """
    lost, rolling = _axle_losses(tractor.front, point.front, point.speed)
    rear_lost, rear_rolling = _axle_losses(tractor.rear, point.rear, point.speed)
    return PowerPaths(
        point.pull * point.speed,
        lost + rear_lost,
        rolling + rear_rolling,
        tractor.grade_pull * point.speed,
    )


def _axle_losses(axle: Axle, at: AxlePoint, speed: Real) -> tuple[Real, Real]:
    lost = at.gross_ratio * at.load * at.slip / (1.0 - at.slip)
    rolling = at.load * motion_resistance_ratio(at.mobility, at.slip, axle.model)
    return speed * lost, speed * rolling


def sliding(slip: Real) -> Real:
    """Return how far the tread slides over the distance travelled [1] at `slip` [1]: s / (1 - s).

    Tread wears as it slides. How much it wears for each metre depends on soil and rubber; no equation for it is
    trustworthy enough to offer.
    """
    return slip / (1.0 - slip)


class Hung(NamedTuple):
    """Masses to hang on a tractor [kg]; negative: to take off."""

    front: Real
    rear: Real


def ballast_for_axles(front_change: Real, total_change: Real, wheelbase: Real, front_reach: Real) -> Hung:
    """Return what to hang on the front and at the rear axle to bring about a change of axle masses.

    Parameters
    ----------
    front_change : float or array
        More mass on the front axle, standing level [kg].
    total_change : float or array
        More mass altogether [kg].
    wheelbase : float or array
        [m]
    front_reach : float or array
        Center of the front ballast ahead of the front axle [m].

    Notes
    -----
    Front ballast hangs ahead of its axle, so it puts (a + L)/L of itself on that axle and lifts the rear one. Rear
    ballast is taken as wheel weights or liquid, on the axle itself.
    """
    front = front_change * wheelbase / (wheelbase + front_reach)
    return Hung(front, total_change - front)


def transport_front_axle(
    front_mass: Real, front_reach: Real, rear_mass: Real, rear_reach: Real, front_axle_mass: Real, wheelbase: Real
) -> Real:
    """Return what the front axle carries with implements raised on both ends [kg].

    Parameters
    ----------
    front_mass, rear_mass : float or array
        Of what hangs on the front and at the rear, G_V and G_H [kg].
    front_reach : float or array
        Its center ahead of the front axle, a [m].
    rear_reach : float or array
        Its center behind the rear axle, c + d [m].
    front_axle_mass : float or array
        On the front axle without them, T_V [kg].
    wheelbase : float or array
        b [m]

    Notes
    -----
    T_V,act = (G_V (a + b) + T_V b - G_H (c + d)) / b, as operator's manuals print it.
    """
    return (front_mass * (front_reach + wheelbase) + front_axle_mass * wheelbase - rear_mass * rear_reach) / wheelbase


def least_front_ballast(
    rear_mass: Real,
    rear_reach: Real,
    front_axle_mass: Real,
    unladen_mass: Real,
    wheelbase: Real,
    front_reach: Real,
    kept_share: Real,
) -> Real:
    """Return the least ballast on the front that keeps the tractor steerable with an implement raised behind [kg].

    Parameters
    ----------
    rear_mass : float or array
        Of the implement, G_H [kg].
    rear_reach : float or array
        Its center behind the rear axle, c + d [m].
    front_axle_mass : float or array
        On the front axle without implement and ballast, T_V [kg].
    unladen_mass : float or array
        T_L [kg]
    wheelbase : float or array
        b [m]
    front_reach : float or array
        Center of the ballast ahead of the front axle, a [m].
    kept_share : float or array
        Share of the unladen mass to be kept on the front axle [1]: 0.2 in the published method.

    Notes
    -----
    G_V,min = (G_H (c + d) - T_V b + 0.2 T_L b) / (a + b); below 0 none is needed.
    """
    return (rear_mass * rear_reach + (kept_share * unladen_mass - front_axle_mass) * wheelbase) / (
        front_reach + wheelbase
    )


def least_rear_ballast(
    front_mass: Real,
    front_reach: Real,
    rear_axle_mass: Real,
    unladen_mass: Real,
    wheelbase: Real,
    rear_reach: Real,
    kept_share: Real,
) -> Real:
    """Return the least ballast behind that keeps the rear axle loaded with an implement raised in front [kg].

    Parameters
    ----------
    front_mass : float or array
        Of the implement, G_V [kg].
    front_reach : float or array
        Its center ahead of the front axle, a [m].
    rear_axle_mass : float or array
        On the rear axle without implement and ballast, T_H [kg].
    unladen_mass : float or array
        T_L [kg]
    wheelbase : float or array
        b [m]
    rear_reach : float or array
        Center of the ballast behind the rear axle, c + d [m].
    kept_share : float or array
        Share of the unladen mass to be kept on the rear axle [1]: 0.45 in the published method.

    Notes
    -----
    G_H,min = (G_V a - T_H b + 0.45 T_L b) / (b + c + d); below 0 none is needed.
    """
    return (front_mass * front_reach + (kept_share * unladen_mass - rear_axle_mass) * wheelbase) / (
        wheelbase + rear_reach
    )
