"""A farm and its work as the plan of a season needs them described: fleet, fields, work and the days for it.

As in :mod:`~drawbar_service.model.nouns`: numbers in SI units, and a member that is None was not given.
"""

import datetime as dt
from collections.abc import Sequence
from typing import Protocol

from drawbar_service.model.days import GivenRecord, RecordedWeek
from drawbar_service.model.nouns import FieldShape, Implement, MatchLimits, Soil, Tractor
from drawbar_service.model.suitable import SuitableDays


class Away(Protocol):
    """Days on which a machine is away."""

    @property
    def first(self) -> dt.date:
        """First of them."""
        ...

    @property
    def last(self) -> dt.date:
        """Last of them."""
        ...


class Neighbor(Protocol):
    """What another farm needs a machine for."""

    @property
    def days(self) -> float:
        """Suitable days of work [1]."""
        ...

    @property
    def start(self) -> dt.date | None:
        """First day; None: that of the window."""
        ...

    @property
    def due(self) -> dt.date | None:
        """Last day that is in time; None: not told."""
        ...


class Owned(Protocol):
    """A machine of the fleet."""

    @property
    def name(self) -> str:
        """No other machine's of its kind."""
        ...

    @property
    def hourly_cost(self) -> float | None:
        """Money for each time at work, fuel and operator apart [1/s]."""
        ...

    @property
    def available_from(self) -> dt.date | None:
        """First day it is there."""
        ...

    @property
    def available_to(self) -> dt.date | None:
        """Last day it is there."""
        ...

    @property
    def here(self) -> float | None:
        """Share of the days on which it is here while a neighbor needs it [1]."""
        ...

    @property
    def neighbor(self) -> Neighbor | None:
        """The farm it is shared with; None: all season, if `here` says so."""
        ...

    @property
    def away(self) -> Sequence[Away]:
        """Days on which it is away."""
        ...


class FleetTractor(Owned, Protocol):
    """A tractor of the fleet."""

    @property
    def tractor(self) -> Tractor:
        """The tractor itself."""
        ...


class FleetImplement(Owned, Protocol):
    """An implement of the fleet."""

    @property
    def implement(self) -> Implement:
        """The implement itself."""
        ...


class Operator(Protocol):
    """Someone who drives; any tractor."""

    @property
    def name(self) -> str:
        """No other operator's."""
        ...

    @property
    def workday(self) -> float | None:
        """Time in a suitable day, in place of the season's [s]."""
        ...

    @property
    def hourly_cost(self) -> float | None:
        """Money for each time at work, in place of the price of labor [1/s]."""
        ...


class Fleet(Protocol):
    """Machines and people."""

    @property
    def tractors(self) -> Sequence[FleetTractor]:
        """At least one."""
        ...

    @property
    def implements(self) -> Sequence[FleetImplement]:
        """At least one."""
        ...

    @property
    def operators(self) -> Sequence[Operator] | None:
        """None: one for each tractor."""
        ...

    @property
    def limits(self) -> MatchLimits:
        """What every tractor is held to."""
        ...


class Spot(Protocol):
    """A place on a map."""

    @property
    def east(self) -> float:
        """How far east of wherever all places are counted from [m]."""
        ...

    @property
    def north(self) -> float:
        """How far north [m]."""
        ...


class SeasonField(Protocol):
    """A field of the season."""

    @property
    def name(self) -> str:
        """No other field's."""
        ...

    @property
    def area(self) -> float:
        """Area to work [m^2]."""
        ...

    @property
    def soil(self) -> Soil:
        """As the first work finds it."""
        ...

    @property
    def slope(self) -> float | None:
        """Rise over run along the passes [1]."""
        ...

    @property
    def efficiency(self) -> float | None:
        """Effective over theoretical capacity [1]."""
        ...

    @property
    def shape(self) -> FieldShape | None:
        """In place of an efficiency."""
        ...

    @property
    def turning_fuel_share(self) -> float | None:
        """Fuel rate on turns over that at work [1]."""
        ...

    @property
    def stopped_fuel_share(self) -> float | None:
        """Fuel rate standing over that at work [1]."""
        ...

    @property
    def ready(self) -> dt.date | None:
        """First day it can be worked."""
        ...

    @property
    def due(self) -> dt.date | None:
        """Last day that is not late."""
        ...

    @property
    def daily_loss(self) -> float | None:
        """Money an area loses with each day [1/m^2]."""
        ...

    @property
    def at(self) -> Spot | None:
        """Where it is; None: no time on the road."""
        ...


class Predecessor(Protocol):
    """Work that must be done before, on the same field."""

    @property
    def work(self) -> str:
        """Name of that work."""
        ...

    @property
    def rest_days(self) -> int:
        """Whole days between the two [d]."""
        ...

    @property
    def same_day(self) -> bool:
        """Whether it may follow on the same day."""
        ...


class DoneBefore(Protocol):
    """Work that is done on a field before the plan begins."""

    @property
    def field(self) -> str:
        """Name of the field."""
        ...

    @property
    def area(self) -> float | None:
        """How much of it [m^2]; None: all."""
        ...

    @property
    def last(self) -> dt.date | None:
        """Last day it was worked; None: the day before the plan begins."""
        ...


class Work(Protocol):
    """One operation, on one field or several."""

    @property
    def name(self) -> str:
        """No other work's."""
        ...

    @property
    def fields(self) -> Sequence[str]:
        """Fields by name."""
        ...

    @property
    def implements(self) -> Sequence[str]:
        """Implements by name, any of which does it."""
        ...

    @property
    def tractors(self) -> Sequence[str]:
        """Tractors by name that may be put to it; empty: any."""
        ...

    @property
    def after(self) -> Sequence[Predecessor]:
        """What must be done before."""
        ...

    @property
    def surface(self) -> str | None:
        """What the wheels stand on by then, in place of the soil's surface."""
        ...

    @property
    def done(self) -> Sequence[DoneBefore]:
        """What of it is done before the plan begins."""
        ...

    @property
    def fit_share(self) -> float | None:
        """Share of the suitable time that is fit for it [1]."""
        ...

    @property
    def speed(self) -> float | None:
        """Ground speed; None: the greatest that fits each pairing [m/s]."""
        ...

    @property
    def due(self) -> dt.date | None:
        """Last day that is not late, in place of the field's."""
        ...


class Daylight(Protocol):
    """What light a workday has."""

    @property
    def latitude(self) -> float:
        """North of the equator [deg]."""
        ...

    @property
    def lamps(self) -> float | None:
        """Time in a day that is worked by lamps [s]."""
        ...


class Driving(Protocol):
    """What takes time beside the work, and how long a day can be."""

    @property
    def least_block(self) -> float | None:
        """Least time on a field, of a suitable day [s]."""
        ...

    @property
    def hitch_change(self) -> float | None:
        """To put another implement on within a day [s]; None: only overnight."""
        ...

    @property
    def travel_times(self) -> Sequence[Sequence[float]] | None:
        """From each field to each [s]."""
        ...

    @property
    def travel_speed(self) -> float | None:
        """On the road [m/s]."""
        ...

    @property
    def detour(self) -> float | None:
        """Roads over the straight line [1]."""
        ...

    @property
    def yard(self) -> Spot | None:
        """Where tractors begin."""
        ...

    @property
    def daylight(self) -> Daylight | None:
        """None: the workday is as long all season."""
        ...


class DaysOff(Protocol):
    """Days on which nobody works."""

    @property
    def weekdays(self) -> Sequence[str]:
        """In every week."""
        ...

    @property
    def dates(self) -> Sequence[dt.date]:
        """Further ones."""
        ...


class Window(Protocol):
    """The days there are."""

    @property
    def start(self) -> dt.date:
        """First day."""
        ...

    @property
    def end(self) -> dt.date:
        """Last day."""
        ...

    @property
    def workday(self) -> float:
        """Time of field work in a suitable day [s]."""
        ...

    @property
    def days_off(self) -> DaysOff | None:
        """None: every day is worked."""
        ...


class Prices(Protocol):
    """What things cost."""

    @property
    def fuel(self) -> float | None:
        """Money for each volume [1/m^3]."""
        ...

    @property
    def labor(self) -> float | None:
        """Money for each time of an operator [1/s]."""
        ...


class Farm(Protocol):
    """A fleet, fields, work and the days for it."""

    @property
    def fleet(self) -> Fleet:
        """Machines and people."""
        ...

    @property
    def fields(self) -> Sequence[SeasonField]:
        """At least one."""
        ...

    @property
    def work(self) -> Sequence[Work]:
        """At least one."""
        ...

    @property
    def window(self) -> Window:
        """The days there are."""
        ...

    @property
    def driving(self) -> Driving:
        """What takes time beside the work."""
        ...

    @property
    def prices(self) -> Prices:
        """Where nothing has a price, the least fuel is the least cost."""
        ...


class WindowOfDays(Window, Protocol):
    """A window, and how many of its days are suitable."""

    @property
    def suitable(self) -> SuitableDays | None:
        """None where a record says it."""
        ...


class Alternative(Protocol):
    """The same work otherwise: what is None stays as it is."""

    @property
    def name(self) -> str:
        """No other alternative's."""
        ...

    @property
    def fleet(self) -> Fleet | None:
        """Other machines and people, under the names that works ask for."""
        ...

    @property
    def workday(self) -> float | None:
        """Another workday [s]."""
        ...

    @property
    def prices(self) -> Prices | None:
        """Other prices."""
        ...

    @property
    def days(self) -> float | None:
        """Suitable days over those of the record [1]."""
        ...

    @property
    def yearly_cost(self) -> float | None:
        """What it costs a year beside hours and fuel."""
        ...


class FarmAndDays(Farm, Protocol):
    """A farm, and what its days are like."""

    @property
    def window(self) -> WindowOfDays:
        """The days there are."""
        ...

    @property
    def record(self) -> GivenRecord | None:
        """Of suitable days week by week."""
        ...

    @property
    def so_far(self) -> Sequence[RecordedWeek] | None:
        """Weeks of this year before the window."""
        ...

    @property
    def alternatives(self) -> Sequence[Alternative]:
        """The same work otherwise."""
        ...
