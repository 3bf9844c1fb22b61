"""Implements raised on a tractor's ends: what each axle carries on the road, and the ballast that takes."""

from typing import NamedTuple, Protocol

from drawbar_service.engine.arrays import Real, larger
from drawbar_service.engine.ballast import least_front_ballast, least_rear_ballast, transport_front_axle
from drawbar_service.model.findings import Findings
from drawbar_service.reference import default


class FrontMounted(Protocol):
    """What hangs on the front, raised."""

    @property
    def mass(self) -> float:
        """Its mass [kg]."""
        ...

    @property
    def ahead_of_axle(self) -> float:
        """Its center ahead of the front axle [m]."""
        ...


class RearMounted(Protocol):
    """What hangs on the rear, raised."""

    @property
    def mass(self) -> float:
        """Its mass [kg]."""
        ...

    @property
    def behind_links(self) -> float:
        """Its center behind the lower link ends [m]."""
        ...


class Transport(Protocol):
    """Implements raised for the road."""

    @property
    def front(self) -> FrontMounted | None:
        """On the front linkage."""
        ...

    @property
    def rear(self) -> RearMounted | None:
        """On the rear linkage."""
        ...

    @property
    def links_behind_axle(self) -> float | None:
        """Lower link ends behind the rear axle [m]."""
        ...

    @property
    def unladen_mass(self) -> float | None:
        """The tractor's own mass [kg]."""
        ...

    @property
    def speed(self) -> float | None:
        """Greatest on the road [m/s]."""
        ...


class RaisedImplements(NamedTuple):
    """What hangs on a tractor, and what its axles must keep."""

    front_mass: Real
    """[kg]"""
    front_reach: Real
    """Its center ahead of the front axle [m]."""
    rear_mass: Real
    """[kg]"""
    rear_reach: Real
    """Its center behind the rear axle [m]."""
    unladen_mass: Real
    """Of the tractor [kg]."""
    kept_front: Real
    """Share of the unladen mass that the front axle keeps [1]."""
    kept_rear: Real
    """The same of the rear axle [1]."""


class RaisedAxles(NamedTuple):
    """Axles with the implements raised, level and standing [kg]."""

    front: Real
    rear: Real
    front_share: Real
    """Over the unladen mass [1]."""
    rear_share: Real
    """Over the unladen mass [1]."""
    front_ballast: Real
    """Still missing on the front; 0 if none is."""
    rear_ballast: Real
    """Still missing behind; 0 if none is."""


def raised_implements(transport: Transport, mass: Real, found: Findings, pointer: str) -> RaisedImplements:
    """Return what hangs on a tractor of `mass` [kg]; `pointer` leads to `transport`."""
    front, rear = transport.front, transport.rear
    if front is None and rear is None:
        found.fault("nothing-raised", pointer)
    links = found.fallback(transport.links_behind_axle, f"{pointer}/links_behind_axle", "three_point_hitch_distance")
    unladen: Real = mass
    if transport.unladen_mass is None:
        found.assume("unladen-mass", f"{pointer}/unladen_mass", mass, "transport-ballast-method")
    else:
        unladen = transport.unladen_mass
    kept_front, kept_rear = default("transport_front_share"), default("transport_rear_share")
    found.use(kept_front.source)
    return RaisedImplements(
        0.0 if front is None else front.mass,
        0.0 if front is None else front.ahead_of_axle,
        0.0 if rear is None else rear.mass,
        links + (0.0 if rear is None else rear.behind_links),
        unladen,
        kept_front.value,
        kept_rear.value,
    )


def raised_axles(
    hung: RaisedImplements, mass: Real, front_share: Real, wheelbase: Real, ballast_reach: Real
) -> RaisedAxles:
    """Return the axles of a tractor with what is `hung` on it raised.

    Parameters
    ----------
    hung : RaisedImplements
    mass : float or array
        Of the tractor alone [kg].
    front_share : float or array
        Of that mass on the front axle, standing level [1].
    wheelbase : float or array
        [m]
    ballast_reach : float or array
        Where more front ballast would hang, ahead of the front axle [m].
    """
    alone = front_share * mass
    front = transport_front_axle(hung.front_mass, hung.front_reach, hung.rear_mass, hung.rear_reach, alone, wheelbase)
    rear = mass + hung.front_mass + hung.rear_mass - front
    # What already hangs on an axle counts as part of it: asked for is what is missing beyond it.
    with_front = front + hung.rear_mass * hung.rear_reach / wheelbase
    with_rear = rear + hung.front_mass * hung.front_reach / wheelbase
    missing_front = least_front_ballast(
        hung.rear_mass, hung.rear_reach, with_front, hung.unladen_mass, wheelbase, ballast_reach, hung.kept_front
    )
    missing_rear = least_rear_ballast(
        hung.front_mass, hung.front_reach, with_rear, hung.unladen_mass, wheelbase, hung.rear_reach, hung.kept_rear
    )
    return RaisedAxles(
        front,
        rear,
        front / hung.unladen_mass,
        rear / hung.unladen_mass,
        larger(missing_front, 0.0),
        larger(missing_rear, 0.0),
    )
