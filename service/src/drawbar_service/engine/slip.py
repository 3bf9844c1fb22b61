"""The slip at which a tractor pulls what it must.

Both axles of a tractor are geared together, so one slip ``s`` (of the rear axle) describes
it; front wheels that are geared to run ahead by ``lead`` slip by 1 - (1 - s)/(1 + lead).
With the equations of a :class:`~drawbar_service.engine.traction.TireModel` the net traction of the driven axles is then

    N(s) = top - sum of a exp(-c s) over the axles - drag s

which is concave in ``s``. Two facts follow, and the solver rests on them:

* N has one highest point. A pull above it is carried at no slip.
* Below it, Newton's method started at or left of the root never overshoots, so it walks up to
  the root and always arrives. No bracket, no fallback.
"""

import math
from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import (
    Mask,
    Real,
    choose,
    everywhere,
    exp,
    few,
    larger,
    log,
    opposite,
    rows_of,
    smaller,
    sqrt,
)
from drawbar_service.engine.traction import (
    TireModel,
    gross_offset,
    gross_traction_ceiling,
    motion_resistance_per_slip,
    rolling_ratio,
    slip_rate,
)

# Newton's error is about the square of its last step.
_TOLERANCE = 1e-9
# Keeps the last steps beside the peak short, where N is flat; slopes elsewhere are thousands of times this [N].
_LEAST_SLOPE = 1.0
# Stands for none where it is divided by [N].
_LEAST_DRAG = 1e-200
# Below this share of all rows, those that have not arrived go on apart from the others.
_APART = 0.5
# Newton takes about three; beside the peak of traction up to thirty.
_MAX_STEPS = 60


class Axle(NamedTuple):
    """One axle of the tractor, as the traction equations see it."""

    stiffness: Real
    """Load on the whole axle at which its mobility number is 1 [N]: wheel stiffness times tires."""
    model: TireModel
    driven: Real
    """1 if the axle is driven, 0 if it is towed."""
    lead: Real = 0.0
    """How much faster than the rear these wheels are geared [1]."""


class AxleState(NamedTuple):
    """What traction of an axle depends on besides slip."""

    mobility: Real
    """Mobility number of one of its tires [1]"""
    ceiling: Real
    """Gross traction ratio it rises to, less the tire's own loss [1]"""


class NetTraction(NamedTuple):
    """Net traction of the driven axles as a function of slip, and what goes with it."""

    top: Real
    """[N]"""
    saturation: tuple[tuple[Real, Real], ...]
    """Pairs of amplitude a [N] and rate c [1]; axles that share a rate share a pair."""
    drag: Real
    """[N]"""
    towed_resistance: Real
    """Motion resistance of the axles that are not driven [N]."""
    most_slip: Real
    """End of the range that is searched [1]."""
    front: "AxleState"
    rear: "AxleState"

    @property
    def without_slip(self) -> Real:
        """Net traction at no slip, mostly below 0: wheels that roll only [N]."""
        force = self.top
        for amplitude, _ in self.saturation:
            force = force - amplitude
        return force

    def at(self, slip: Real) -> Real:
        """Return net traction [N] at `slip` [1]."""
        force = self.top - self.drag * slip
        for amplitude, rate in self.saturation:
            force = force - amplitude * exp(-rate * slip)
        return force


def net_traction(front: Axle, rear: Axle, front_load: Real, rear_load: Real) -> NetTraction:
    """Return net traction against slip for a tractor whose axles carry these loads.

    Parameters
    ----------
    front, rear : Axle
    front_load, rear_load : float or array
        Dynamic loads [N], above 0.

    Notes
    -----
    N = sum of W (GTR - MRR) over the driven axles. The tire's own loss ``offset``
    cancels between GTR and MRR on a driven axle and counts in full on a towed one.
    """
    front_mobility, rear_mobility = front.stiffness / front_load, rear.stiffness / rear_load
    front_ceiling = gross_traction_ceiling(front_mobility, front.model)
    rear_ceiling = gross_traction_ceiling(rear_mobility, rear.model)
    front_reach = front.driven * front_load * front_ceiling
    rear_reach = rear.driven * rear_load * rear_ceiling
    front_rolling = front_load * rolling_ratio(front_mobility, front.model)
    rear_rolling = rear_load * rolling_ratio(rear_mobility, rear.model)
    front_rate = slip_rate(front_mobility, front_ceiling, front.model)
    rear_rate = slip_rate(rear_mobility, rear_ceiling, rear.model)
    front_drag = front.driven * front_load * motion_resistance_per_slip(front_mobility, front.model)
    drag = rear.driven * rear_load * motion_resistance_per_slip(rear_mobility, rear.model)
    top = (
        front_reach
        - front.driven * (front_rolling - front_load * gross_offset(front_mobility, front.model))
        + rear_reach
        - rear.driven * (rear_rolling - rear_load * gross_offset(rear_mobility, rear.model))
    )
    saturation: tuple[tuple[Real, Real], ...]
    one_rate = everywhere(front_rate == rear_rate)
    if one_rate and isinstance(front.lead, float) and front.lead == 0.0:
        drag = drag + front_drag
        saturation = ((front_reach + rear_reach, rear_rate),)
    else:
        # Front wheels that are geared ahead slip by (s + lead) / (1 + lead): the same form in s, with other constants.
        geared = 1.0 + front.lead
        ahead = front.lead / geared
        drag = drag + front_drag / geared
        top = top - front_drag * ahead
        saturation = (
            (front_reach * exp(-front_rate * ahead), front_rate / geared),
            (rear_reach, rear_rate),
        )
    towed = (1.0 - front.driven) * front_rolling + (1.0 - rear.driven) * rear_rolling
    return NetTraction(
        top,
        saturation,
        drag,
        towed,
        rear.model.most_slip,
        AxleState(front_mobility, front_ceiling),
        AxleState(rear_mobility, rear_ceiling),
    )


def best_pulling_slip(net: NetTraction) -> Real:
    """Return the slip [1] at which `net` traction is greatest, at most ``net.most_slip``.

    Where the axles share a rate c, it is ln(a c / drag) / c. Elsewhere Newton's method on the slope
    of N, which falls and is convex: started left of its root it walks up to it.
    """
    pull = sum(amplitude * rate for amplitude, rate in net.saturation)
    fastest = _fastest_rate(net)
    drag = larger(net.drag, _LEAST_DRAG)
    slip = smaller(larger(log(larger(pull, 1e-300) / drag) / fastest, 0.0), net.most_slip)
    if len(net.saturation) == 1:
        return slip
    settled: Mask = False
    for _ in range(_MAX_STEPS):
        slope = -drag
        bend: Real = 1e-300
        for amplitude, rate in net.saturation:
            steepness = amplitude * rate * exp(-rate * slip)
            slope = slope + steepness
            bend = bend + steepness * rate
        ahead = smaller(larger(slip + slope / bend, 0.0), net.most_slip)
        # A row that has arrived stays, so that its answer does not depend on its neighbours.
        step = choose(settled, 0.0, ahead - slip)
        slip = choose(settled, slip, ahead)
        settled = abs(step) < _TOLERANCE
        if everywhere(settled):
            break
    return slip


def _fastest_rate(net: NetTraction) -> Real:
    fastest: Real = 0.0
    for _, rate in net.saturation:
        fastest = larger(fastest, rate)
    return fastest


class SlipAnswer(NamedTuple):
    """What :func:`slip_for_pull` found."""

    slip: Real
    """[1]; where the pull is not carried, the slip of greatest net traction."""
    effort: Real
    """Net traction asked for over the greatest there is [1]; above 1 nothing carries it."""


def slip_for_pull(net: NetTraction, needed: Real) -> SlipAnswer:
    """Return the smallest slip at which the driven axles give the `net` traction `needed` [N].

    Where the need is met without slip (a steep downhill), the slip is 0.
    """
    limit = best_pulling_slip(net)
    greatest = net.at(limit)
    carried = needed <= greatest
    amplitude: Real = 1e-300
    for part, _ in net.saturation:
        amplitude = amplitude + part
    target = smaller(larger(needed, net.top - amplitude), greatest)
    slip = choose(carried, smaller(_flattering_slip(net, target, amplitude), limit), limit)
    # Where nothing carries the pull, no step leads away from the limit.
    least_slope = choose(carried, _LEAST_SLOPE, math.inf)
    slip = _climbed(slip, target - net.top, net.drag, net.saturation, least_slope)
    return SlipAnswer(larger(smaller(slip, limit), 0.0), pull_effort(needed, greatest))


def _climbed(slip: Real, short: Real, drag: Real, saturation: tuple[tuple[Real, Real], ...], least_slope: Real) -> Real:
    """Return the slip [1] that Newton's method arrives at from a `slip` left of it."""
    arrived: Mask = False
    for _ in range(_MAX_STEPS):
        missing = short + drag * slip
        slope = -drag
        for part, rate in saturation:
            left_over = part * exp(-rate * slip)
            missing = missing + left_over
            slope = slope + left_over * rate
        # A row that has arrived stays, so that its answer does not depend on its neighbours.
        step = choose(arrived, 0.0, missing / larger(slope, least_slope))
        slip = slip + step
        arrived = abs(step) < _TOLERANCE
        if everywhere(arrived):
            break
        far = opposite(arrived)
        if few(far, _APART):
            # Only rows beside the peak take many steps.
            slip = np.array(slip)
            slip[far] = _climbed(*rows_of((slip, short, drag, saturation, least_slope), far))
            break
    return slip


def _flattering_slip(net: NetTraction, target: Real, amplitude: Real) -> Real:
    """Return a slip [1] left of the one at which `net` traction is the `target` [N], and close to it.

    Every exponential is taken as the fastest, which flatters the tractor. Without drag the root is then a logarithm;
    from there one step of Newton's method is taken on the logarithms, which are concave as well, so it stays left.
    """
    rate = _fastest_rate(net)
    room = larger(net.top - target, 1e-300)
    start = -log(larger(room / amplitude, 1e-300)) / rate
    left = larger(room - net.drag * start, 1e-300)
    return start + log(room / left) * left / larger(rate * left - net.drag, _LEAST_SLOPE)


def pull_effort(needed: Real, greatest: Real) -> Real:
    """Return the net traction `needed` [N] over the `greatest` there is [N], as a ratio [1].

    Above 1 exactly where nothing carries the need. Soil so weak that the tractor cannot even roll has no
    net traction to divide by: there each newton that is missing counts for 1.
    """
    return 1.0 + (needed - greatest) / larger(greatest, 1.0)


def front_slip(slip: Real, lead: Real) -> Real:
    """Return the slip [1] of front wheels geared to run ahead by `lead` [1] when the rear slips by `slip` [1]."""
    return 1.0 - (1.0 - slip) / (1.0 + lead)


def slip_from_turns(loaded: Real, unloaded: Real) -> Real:
    """Return slip [1] from wheel turns over one distance, `loaded` and `unloaded` [1].

    s = 1 - N_unloaded / N_loaded (ASABE S296); not (loaded - unloaded) / unloaded.
    """
    return 1.0 - unloaded / loaded


def slip_from_times(loaded: Real, unloaded: Real) -> Real:
    """Return slip [1] from the times to cover one distance at one wheel speed, `loaded` and `unloaded` [s].

    Wheel speed is the same, so s = 1 - t_unloaded / t_loaded.
    """
    return 1.0 - unloaded / loaded


def slip_from_distances(loaded: Real, unloaded: Real) -> Real:
    """Return slip [1] from the distances [m] covered in one number of wheel turns, `loaded` and `unloaded`.

    s = 1 - d_loaded / d_unloaded, from s = 1 - actual / theoretical (ASABE S296).
    """
    return 1.0 - loaded / unloaded


def slip_standard_error(lesser: Real, greater: Real, reading_error: Real) -> Real:
    """Return the standard error [1] of a slip 1 - `lesser` / `greater` from that of each of the two readings.

    Parameters
    ----------
    lesser, greater : float or array
        The two readings, in one unit: unloaded and loaded turns or times, loaded and unloaded distances.
    reading_error : float or array
        Standard error of either reading, in the same unit; the two are independent.

    Notes
    -----
    To first order: reading_error / greater sqrt(1 + (lesser / greater)^2).
    """
    ratio = lesser / greater
    return reading_error / greater * sqrt(1.0 + ratio * ratio)
