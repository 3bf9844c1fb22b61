"""One tractor on one implement in one soil: the whole chain, and its limits.

    draft -> axle loads under that pull -> slip -> axle power -> PTO power -> load fraction

:func:`operate` follows the chain at a given speed. A :data:`Strain` says how far a piece of work
exceeds what a tractor may do; :mod:`~drawbar_service.engine.reach` asks how far speed, width or depth can
go before it does. All of it works on floats and arrays alike.
"""

from collections.abc import Callable
from typing import NamedTuple, TypeAlias

from drawbar_service.engine.arrays import Mask, Real, choose, everywhere, larger, smaller
from drawbar_service.engine.axle_loads import AxleLoads
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.search import greatest_within
from drawbar_service.engine.slip import (
    Axle,
    AxleState,
    NetTraction,
    SlipAnswer,
    best_pulling_slip,
    front_slip,
    net_traction,
    pull_effort,
    slip_for_pull,
)
from drawbar_service.engine.traction import gross_traction_ceiling, gross_traction_ratio

_LEAST_POWER = 1e-300
"""Power [W] that a ratio is taken over at least."""
_LIGHTEST_AXLE = 10.0
"""Load [N] at which an axle that is lifting stops being lightened; the front-axle limit has long been passed."""


class Tractor(NamedTuple):
    """A tractor hitched to an implement, standing on a grade."""

    front: Axle
    rear: Axle
    loads: AxleLoads
    grade_pull: Real
    """Part of the tractor's own weight along the grade [N]."""
    transmission_efficiency: Real
    """Axle power over PTO power [1]."""
    drawbar_per_pto: Real | None = None
    """Drawbar power over PTO power [1], where it gives the power; None: axle power does."""


class Work(NamedTuple):
    """What the implement asks of the tractor."""

    draft: DraftTerms
    steady_pull: Real
    """Pull that does not depend on speed: grade and rolling resistance of the implement [N]."""
    other_power: Real
    """PTO, hydraulic and electric power, at the PTO [W]."""

    def pull_at(self, speed: Real) -> Real:
        """Return the pull [N] at `speed` [m/s]."""
        return self.draft.at(speed) + self.steady_pull


class Limits(NamedTuple):
    """What must not be exceeded."""

    slip: Real
    """[1]"""
    power: Real
    """At the PTO [W]"""
    front_load: Real
    """Least load on the front axle [N]"""
    grip_known: Mask = True
    """Whether anything published says what this soil carries; elsewhere no pull counts as within the limits."""


class AxlePoint(NamedTuple):
    """One axle at an operating point."""

    load: Real
    """[N]"""
    mobility: Real
    """[1]"""
    slip: Real
    """[1]; 0 where the axle is towed."""
    gross_ratio: Real
    """GTR [1]; 0 where the axle is towed."""


class OperatingPoint(NamedTuple):
    """A tractor at work."""

    speed: Real
    """[m/s]"""
    draft: Real
    """Of the ground tools [N]"""
    pull: Real
    """At the hitch, along the ground: draft, grade and rolling resistance [N]"""
    front: AxlePoint
    rear: AxlePoint
    slip: Real
    """[1]"""
    pull_effort: Real
    """Net traction asked for over the greatest the soil gives [1]; above 1 nothing carries it."""
    net_pull: Real
    """Pull at the hitch and the part of the tractor's own weight along the grade [N]"""
    axle_power: Real
    """[W]"""
    pto_power: Real
    """All needs brought to the PTO [W]"""
    rim_force: Real
    """Axle power over speed of travel [N]; below 0 the wheels have to brake."""

    @property
    def carried(self) -> Mask:
        """Whether any slip carries the pull; elsewhere there is no such operating point."""
        return self.pull_effort <= 1.0

    @property
    def pulls(self) -> Mask:
        """Whether the tractor has to pull at all; downhill it may not."""
        return self.net_pull > 0.0

    @property
    def tractive_efficiency(self) -> Real:
        """Power that pulls and lifts the tractor over axle power [1], at most 1; 0 where it need not pull.

        On level ground drawbar power over axle power (ASABE S296). Where the pull is not carried, that of the greatest
        pull.
        """
        return choose(self.pulls, self.net_pull * self.speed / larger(self.axle_power, _LEAST_POWER), 0.0)


class Excess(NamedTuple):
    """How far each limit is exceeded, as a fraction of the limit; at or below 0 it is kept."""

    power: Real
    slip: Real
    pull: Real
    front_axle: Real

    def greatest(self) -> Real:
        """Return the largest of the four [1]."""
        return larger(larger(self.power, self.slip), larger(self.pull, self.front_axle))


def operate(tractor: Tractor, work: Work, speed: Real) -> OperatingPoint:
    """Follow the chain from draft to PTO power at `speed` [m/s].

    Parameters
    ----------
    tractor : Tractor
    work : Work
    speed : float or array
        Ground speed [m/s].

    Notes
    -----
    Where no slip carries the pull (``pull_effort`` above 1), slip is the one of greatest net
    traction, and power is scaled up from there to the pull: what it would take if the soil held.
    """
    draft = work.draft.at(speed)
    return _under(tractor, draft, draft + work.steady_pull, work.other_power, speed)


def pulling_power(tractor: Tractor, pull: Real, speed: Real) -> Real:
    """Return the power at the PTO [W] that a `pull` [N] takes of a `tractor` at `speed` [m/s], as :func:`operate`."""
    return _under(tractor, pull, pull, 0.0, speed).pto_power


def _under(tractor: Tractor, draft: Real, pull: Real, other_power: Real, speed: Real) -> OperatingPoint:
    footing = _footing(tractor, pull)
    needed = _needed(tractor, footing, pull)
    answer = slip_for_pull(footing.net, needed)
    return _point(tractor, draft, pull, other_power, speed, footing, needed, answer)


def operate_at_slip(tractor: Tractor, slip: Real) -> OperatingPoint:
    """Return the operating point of a `tractor` at a given `slip` [1], for the pull it gives, at 1 m/s.

    Ratios, loads and pull do not depend on speed; power is for 1 m/s.
    """
    pull = pull_at_slip(tractor, slip)
    footing = _footing(tractor, pull)
    greatest = footing.net.at(best_pulling_slip(footing.net))
    needed = _needed(tractor, footing, pull)
    return _point(tractor, 0.0, pull, 0.0, 1.0, footing, needed, SlipAnswer(slip, pull_effort(needed, greatest)))


class _Footing(NamedTuple):
    """How a tractor stands under a pull."""

    front_load: Real
    rear_load: Real
    net: NetTraction


def _footing(tractor: Tractor, pull: Real) -> _Footing:
    front_load = larger(tractor.loads.front(pull), _LIGHTEST_AXLE)
    rear_load = larger(tractor.loads.rear(pull), _LIGHTEST_AXLE)
    return _Footing(front_load, rear_load, net_traction(tractor.front, tractor.rear, front_load, rear_load))


def _needed(tractor: Tractor, footing: _Footing, pull: Real) -> Real:
    """Return the net traction the driven axles must give [N]."""
    return pull + tractor.grade_pull + footing.net.towed_resistance


def _point(
    tractor: Tractor,
    draft: Real,
    pull: Real,
    other_power: Real,
    speed: Real,
    footing: _Footing,
    needed: Real,
    answer: SlipAnswer,
) -> OperatingPoint:
    net, (slip, effort) = footing.net, answer
    front = _axle_point(tractor.front, net.front, footing.front_load, front_slip(slip, tractor.front.lead))
    rear = _axle_point(tractor.rear, net.rear, footing.rear_load, slip)
    rim_force = front.gross_ratio * front.load / (1.0 - front.slip) + rear.gross_ratio * rear.load / (1.0 - rear.slip)
    # Downhill the wheels may have to give less than they do without slip: then they drive less, and in the end brake.
    rim_force = rim_force + smaller(needed - net.without_slip, 0.0)
    if tractor.drawbar_per_pto is None:
        axle_power = speed * larger(rim_force, 0.0) * larger(effort, 1.0)
    else:
        pulling = speed * larger(pull + tractor.grade_pull, 0.0) / tractor.drawbar_per_pto
        axle_power = pulling * tractor.transmission_efficiency
    return OperatingPoint(
        speed,
        draft,
        pull,
        front,
        rear,
        slip,
        effort,
        pull + tractor.grade_pull,
        axle_power,
        axle_power / tractor.transmission_efficiency + other_power,
        rim_force,
    )


def _axle_point(axle: Axle, state: AxleState, load: Real, slip: Real) -> AxlePoint:
    own_slip = axle.driven * slip
    return AxlePoint(
        load,
        state.mobility,
        own_slip,
        axle.driven * gross_traction_ratio(state.mobility, state.ceiling, own_slip, axle.model),
    )


class Downhill(NamedTuple):
    """How far each limit of working downhill is exceeded, as a fraction of it; at or below 0 it is kept."""

    pushing: Real
    braking: Real
    """Below -1 where the axles still drive."""


def downhill(point: OperatingPoint, tractor: Tractor, push: Real, slip: Real) -> Downhill:
    """Return how far a `point` exceeds what holds a tractor and its machine back downhill [1].

    Parameters
    ----------
    point : OperatingPoint
        On the way downhill.
    tractor : Tractor
    push : float or array
        Part of the machine's own weight along the grade [N].
    slip : float or array
        Most slip at which the wheels may brake [1].

    Notes
    -----
    The machine pushes the tractor where its own weight along the grade is more than its draft and rolling resistance
    (statics). A braked wheel is taken to hold as much as a driving one pulls at the same slip: Brixius's gross traction
    ratio; only driven axles brake, as they do with the engine.
    """
    driven = _braking_force(tractor.front, point.front, slip) + _braking_force(tractor.rear, point.rear, slip)
    return Downhill(pushing(point.pull, push), -point.rim_force / larger(driven, 1.0) - 1.0)


def pushing(pull: Real, push: Real) -> Real:
    """Return how far a machine pushes [1]: its weight along the grade, `push` [N], over what holds it, less 1.

    What holds it is its draft and rolling resistance: the `pull` at the hitch [N] and the push together.
    """
    return push / larger(pull + push, 1.0) - 1.0


def _braking_force(axle: Axle, point: AxlePoint, slip: Real) -> Real:
    """Return the force [N] that a driven `axle` at its `point` holds back at most at `slip` [1]; 0 for a towed one."""
    ceiling = gross_traction_ceiling(point.mobility, axle.model)
    return axle.driven * point.load * gross_traction_ratio(point.mobility, ceiling, slip, axle.model)


Strain: TypeAlias = Callable[[Work, Real], Excess]
"""How far some work at some speed [m/s] exceeds what a tractor may do."""


def excess(point: OperatingPoint, tractor: Tractor, limits: Limits) -> Excess:
    """Return how far a `point` of a `tractor` exceeds each of its `limits`, as fractions of them [1].

    Slip and power beyond a pull that nothing carries mean little: there they never count for more than the pull. Where
    the grip is not known, the pull counts as twice too great.
    """
    pull = choose(limits.grip_known, point.pull_effort - 1.0, 1.0)
    slip = point.slip / limits.slip - 1.0
    power = point.pto_power / limits.power - 1.0
    return Excess(
        choose(pull > 0.0, smaller(power, pull), power),
        choose(pull > 0.0, smaller(slip, pull), slip),
        pull,
        1.0 - tractor.loads.front(point.pull) / limits.front_load,
    )


def strain_on_wheels(tractor: Tractor, limits: Limits) -> Strain:
    """Return the strain on a wheeled `tractor` held to `limits`."""
    return lambda work, speed: excess(operate(tractor, work, speed), tractor, limits)


def power_by_ratio(work: Work, grade_pull: Real, drawbar_per_pto: Real, speed: Real) -> Real:
    """Return the PTO power [W] for `work` by the drawbar/PTO ratio, without a traction model.

    Parameters
    ----------
    work : Work
    grade_pull : float or array
        Part of the tractor's own weight along the grade [N].
    drawbar_per_pto : float or array
        Drawbar power over PTO power [1].
    speed : float or array
        [m/s]

    Notes
    -----
    A tractor pushed downhill needs no power to pull: below 0 the pull counts as 0.
    """
    pull = work.draft.at(speed) + work.steady_pull + grade_pull
    return larger(pull, 0.0) * speed / drawbar_per_pto + work.other_power


def spare_traction(tractor: Tractor, pull: Real, slip: Real) -> Real:
    """Return the net traction [N] that a `tractor` has to spare under a `pull` [N] at `slip` [1].

    Below 0 the slip has to be greater, or nothing carries the pull.
    """
    footing = _footing(tractor, pull)
    return footing.net.at(slip) - _needed(tractor, footing, pull)


def pull_at_slip(tractor: Tractor, slip: Real) -> Real:
    """Return the pull [N] at the hitch that brings `tractor` to `slip` [1].

    Negative where the tractor would have to be pushed to roll at that slip.
    """
    return _pull_that_meets(tractor, lambda net: net.at(slip) + 0.0 * slip)


def holding_pull(tractor: Tractor, limits: Limits) -> Real:
    """Return the greatest pull [N] at which a `tractor` keeps its `limits` of slip and front-axle load, at any speed.

    No more than what the soil carries. Negative where the tractor cannot even roll within its limits, and where it is
    not known what the soil carries.
    """
    gripped = _pull_that_meets(
        tractor, lambda net: net.at(smaller(limits.slip + 0.0 * net.top, best_pulling_slip(net)))
    )
    loads = tractor.loads
    held = smaller(gripped, (limits.front_load - loads.front_standing) / loads.front_per_pull)
    return choose(limits.grip_known, held, _NO_PULL)


def _pull_that_meets(tractor: Tractor, traction: Callable[[NetTraction], Real]) -> Real:
    """Return the pull [N] at which the net traction needed is the `traction` that the axles then give.

    Axle loads depend on the pull, and traction on them. What is missing grows with the pull along a line that is
    nearly straight, so the secant method arrives in a few steps; where it does not, a bracket does.
    """
    weight = tractor.loads.front_standing + tractor.loads.rear_standing

    def missing(pull: Real) -> Real:
        footing = _footing(tractor, pull)
        return _needed(tractor, footing, pull) - traction(footing.net)

    before: Real = 0.0 * weight
    missing_before = missing(before)
    pull = _sensible(-missing_before, weight)
    for _ in range(_SECANT_STEPS):
        missing_now = missing(pull)
        settled = abs(missing_now) <= _ROUNDING * weight
        if everywhere(settled):
            return pull
        step = pull - before
        slope = (missing_now - missing_before) / choose(step == 0.0, 1.0, step)
        before, missing_before = pull, missing_now
        ahead = _sensible(pull - missing_now / choose(slope > _LEAST_SLOPE, slope, 1.0), weight)
        pull = choose(settled, pull, ahead)
    found = abs(missing(pull)) <= _ROUNDING * weight
    return pull if everywhere(found) else choose(found, pull, _bracketed(missing, weight + 0.0 * pull))


def _sensible(pull: Real, weight: Real) -> Real:
    # Far below 0 the front axle is loaded beyond all sense; above twice the weight no soil carries it.
    return smaller(larger(pull, -weight), 2.0 * weight)


def _bracketed(missing: Callable[[Real], Real], weight: Real) -> Real:
    # A bracket from far below 0 would lead the search astray: go no farther than needed.
    low: Real = 0.0 * weight
    for _ in range(_DOUBLINGS):
        enough = missing(low) <= 0.0
        if everywhere(enough):
            break
        low = choose(enough, low, smaller(2.0 * low, -0.5 * weight))
    pull = greatest_within(missing, low, 2.0 * weight, tolerance=1e-12).value
    # One Newton step takes off what the tolerance of the search leaves.
    at_pull = missing(pull)
    return pull - at_pull / (missing(pull + 1.0) - at_pull)


_NO_PULL = -1e12
"""Less [N] than any implement asks for; a number, where infinity would spoil the arithmetic."""
_SECANT_STEPS = 12
_ROUNDING = 1e-13
"""Force over weight [1] that counts as none missing."""
_LEAST_SLOPE = 0.05
"""Net traction missing for each newton of pull [1]; in truth not far from 1."""
_DOUBLINGS = 12
"""Doublings of a pull of minus half the weight: more than any soil a request can describe asks for."""


class GearPoint(NamedTuple):
    """Engine speed and fuel in each gear at one travel speed."""

    engine_speed_ratio: Real
    """Engine speed over full-throttle speed, N [1]"""
    load_at_speed: Real
    """Power needed over what the engine gives at that speed with its torque there [1]"""


def gear_point(
    theoretical_speed: Real, gear_speed: Real, load_fraction: Real, torque_curve: Callable[[Real], Real] | None = None
) -> GearPoint:
    """Return how the engine runs in a gear when the wheels must turn at `theoretical_speed` [m/s].

    Parameters
    ----------
    theoretical_speed : float or array
        Travel speed over (1 - slip) [m/s].
    gear_speed : float or array
        Speed of the gear at full throttle without slip [m/s].
    load_fraction : float or array
        PTO-equivalent power needed over rated power X [1].
    torque_curve : callable, optional
        Torque over rated torque [1] at an engine speed over full-throttle speed [1].

    Notes
    -----
    Without a curve of its torque the engine is taken to hold rated torque, no more, at lower speed, so power falls in
    proportion to engine speed. Engines with torque rise have more.
    """
    ratio = theoretical_speed / gear_speed
    return GearPoint(
        ratio, load_fraction / ratio if torque_curve is None else load_fraction / (ratio * torque_curve(ratio))
    )
