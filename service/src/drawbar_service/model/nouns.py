"""The nouns of the trade as a calculation needs them described: numbers in SI units, texts as the tables call things.

Requests are such descriptions, and so is any other object with these members. A member that is None was not given.
Every number may also be one for each row of a block, and so may every text.
"""

from collections.abc import Sequence
from typing import Protocol


class Tires(Protocol):
    """All tires of one axle."""

    @property
    def size(self) -> str:
        """As on the sidewall."""
        ...

    @property
    def count(self) -> int:
        """On the axle [1]."""
        ...

    @property
    def width(self) -> float | None:
        """Measured section width, unloaded [m]."""
        ...

    @property
    def diameter(self) -> float | None:
        """Measured overall diameter, unloaded [m]."""
        ...

    @property
    def static_loaded_radius(self) -> float | None:
        """Axle center to ground under load [m]."""
        ...

    @property
    def inflation(self) -> float | None:
        """Pressure in the field [Pa]."""
        ...

    @property
    def road_inflation(self) -> float | None:
        """Pressure on the road, where it is another [Pa]."""
        ...

    @property
    def rated_inflation(self) -> float | None:
        """Pressure at which the load index holds [Pa]."""
        ...


class AxleTires(Protocol):
    """Tires of both axles."""

    @property
    def front(self) -> Tires:
        """Front axle."""
        ...

    @property
    def rear(self) -> Tires:
        """Rear axle."""
        ...


class RatedPower(Protocol):
    """What a tractor is rated for; one of the two is given."""

    @property
    def rated_pto(self) -> float | None:
        """At the PTO [W]."""
        ...

    @property
    def engine(self) -> float | None:
        """At the flywheel [W]."""
        ...

    @property
    def fuel(self) -> "EngineFuel | None":
        """What the engine burns, in place of the fuel equation."""
        ...

    @property
    def torque(self) -> "Sequence[TorquePoint]":
        """Full torque by engine speed, any number of points."""
        ...


class FuelMap(Protocol):
    """Measured fuel of an engine."""

    @property
    def loads(self) -> Sequence[float]:
        """Power used over rated PTO power [1]."""
        ...

    @property
    def engine_speeds(self) -> Sequence[float]:
        """Over full-throttle speed [1]."""
        ...

    @property
    def rates(self) -> Sequence[Sequence[float]]:
        """For each load, and in it for each engine speed [m^3/s]."""
        ...


class EngineFuel(Protocol):
    """What an engine burns; one of the two is given."""

    @property
    def map(self) -> FuelMap | None:
        """By load and engine speed."""
        ...

    @property
    def work_per_fuel(self) -> float | None:
        """Work at the PTO over fuel [J/m^3]."""
        ...


class TorquePoint(Protocol):
    """Full torque of an engine at one speed."""

    @property
    def engine_speed(self) -> float:
        """Over full-throttle speed [1]."""
        ...

    @property
    def torque(self) -> float:
        """Over that at rated power [1]."""
        ...


class TireConstants(Protocol):
    """Constants of traction equations; None where the published one stays."""

    @property
    def deflection_factor(self) -> float | None:
        """Of delta/h [1]."""
        ...

    @property
    def width_factor(self) -> float | None:
        """Of b/d [1]."""
        ...


class Traction(Protocol):
    """The traction equations a tractor is held to."""

    @property
    def model(self) -> str:
        """Brixius, wismer-luth, gee-clough or ratio."""
        ...

    @property
    def front(self) -> TireConstants | None:
        """Of the front tires."""
        ...

    @property
    def rear(self) -> TireConstants | None:
        """Of the rear tires."""
        ...


class Derating(Protocol):
    """Thin and hot air that an engine works in."""

    @property
    def aspiration(self) -> str:
        """Naturally-aspirated or turbocharged."""
        ...

    @property
    def altitude(self) -> float | None:
        """Above sea level [m]."""
        ...

    @property
    def heat(self) -> float | None:
        """How much warmer the air is than that the rating holds for [K]."""
        ...


class Gear(Protocol):
    """One gear of the transmission."""

    @property
    def name(self) -> str:
        """As on the lever."""
        ...

    @property
    def speed(self) -> float:
        """Travel speed at full throttle without slip [m/s]."""
        ...

    @property
    def efficiency(self) -> float | None:
        """Axle power over PTO power [1]; None: that of the tractor."""
        ...


class Tractor(Protocol):
    """A tractor as it stands in the yard, ballast on."""

    @property
    def drive(self) -> str:
        """Two-wheel, front-wheel-assist, four-wheel, rubber-track (two of them) or four-track."""
        ...

    @property
    def power(self) -> RatedPower:
        """What it is rated for."""
        ...

    @property
    def mass(self) -> float:
        """Ballast included [kg]."""
        ...

    @property
    def tires(self) -> AxleTires | None:
        """None on tracks."""
        ...

    @property
    def wheelbase(self) -> float | None:
        """Front to rear axle [m]."""
        ...

    @property
    def front_share(self) -> float | None:
        """Of the mass, on the front axle, standing level [1]."""
        ...

    @property
    def drawbar_height(self) -> float | None:
        """Above ground [m]."""
        ...

    @property
    def hitch_distance(self) -> float | None:
        """Drawbar pin behind the rear axle [m]."""
        ...

    @property
    def center_of_mass_height(self) -> float | None:
        """Above ground [m]."""
        ...

    @property
    def transmission(self) -> str | None:
        """Gear or cvt."""
        ...

    @property
    def transmission_efficiency(self) -> float | None:
        """Axle power over PTO power [1]."""
        ...

    @property
    def pump_efficiency(self) -> float | None:
        """Fluid power over power into the pump [1]."""
        ...

    @property
    def generator_efficiency(self) -> float | None:
        """Electric power over power into the generator [1]."""
        ...

    @property
    def front_lead(self) -> float | None:
        """How much faster the front wheels are geared than the rear [1]."""
        ...

    @property
    def rear_follows_front(self) -> bool:
        """Whether the rear tires run in the track of the front ones."""
        ...

    @property
    def engine_speed(self) -> float | None:
        """Over full-throttle speed [1]."""
        ...

    @property
    def derating(self) -> Derating | None:
        """Thin and hot air that the engine works in; None where it gives its rated power."""
        ...

    @property
    def traction(self) -> Traction | None:
        """Other equations or constants; None: Brixius as published."""
        ...

    @property
    def gears(self) -> Sequence[Gear]:
        """Any order."""
        ...


class GroundTool(Protocol):
    """One kind of ground-engaging tool on an implement."""

    @property
    def tool(self) -> str:
        """Row of the draft table."""
        ...

    @property
    def count(self) -> int | None:
        """Tools or rows [1]."""
        ...

    @property
    def spacing(self) -> float | None:
        """Between neighbouring tools or rows [m]."""
        ...

    @property
    def width(self) -> float | None:
        """Working width [m]."""
        ...

    @property
    def depth(self) -> float | None:
        """Working depth [m]."""
        ...

    @property
    def draft_per_width(self) -> float | None:
        """Draft for each metre of width, in place of the table's [N/m]."""
        ...

    @property
    def draft_per_tool(self) -> float | None:
        """Draft of each tool or row, in place of the table's [N]."""
        ...

    @property
    def draft_speed(self) -> float | None:
        """Speed at which that draft was measured [m/s]; None: it is the same at any speed."""
        ...

    @property
    def draft_range(self) -> float | None:
        """Range of the draft to either side in which 9 in 10 lie, in place of that of its row [1]."""
        ...


class RotaryNeed(Protocol):
    """Something driven from the PTO."""

    @property
    def machine(self) -> str:
        """Row of the rotary table."""
        ...

    @property
    def width(self) -> float | None:
        """Working width [m]."""
        ...

    @property
    def feed_rate(self) -> float | None:
        """Material through the machine [kg/s]."""
        ...


class HydraulicNeed(Protocol):
    """Oil that flows all the time the machine works."""

    @property
    def flow(self) -> float:
        """In SI units [m^3/s]."""
        ...

    @property
    def pressure(self) -> float:
        """Pressure drop over the machine [Pa]."""
        ...


class WheelTracks(Protocol):
    """Tools that run in the wheel tracks of the tractor."""

    @property
    def share(self) -> float | None:
        """Of the tools [1]."""
        ...

    @property
    def factor(self) -> float | None:
        """Draft of a tool in a track over that of one beside it [1]."""
        ...


class Attached(Protocol):
    """How a machine hangs on the tractor: where it pulls, and what of its weight and its draft presses on the hitch."""

    @property
    def hitch(self) -> str:
        """Drawbar, semi-mounted or three-point."""
        ...

    @property
    def mass(self) -> float | None:
        """In SI units [kg]."""
        ...

    @property
    def center_of_mass(self) -> float | None:
        """Of a mounted machine, behind the lower link ends [m]."""
        ...

    @property
    def hitch_share(self) -> float | None:
        """Of its weight, on the hitch at work [1]."""
        ...

    @property
    def vertical_load(self) -> float | None:
        """Its weight on the hitch at work, standing level [N]."""
        ...

    @property
    def vertical_share(self) -> float | None:
        """What it presses on the hitch more for each newton of pull [1]."""
        ...

    @property
    def pull_height(self) -> float | None:
        """Line of pull above ground at the hitch [m]."""
        ...


class Implement(Attached, Protocol):
    """A machine behind the tractor: a list of ground tools, and what else it needs."""

    @property
    def tools(self) -> Sequence[GroundTool]:
        """Their draft adds up."""
        ...

    @property
    def width(self) -> float | None:
        """Working width, in place of the widest tool's [m]."""
        ...

    @property
    def practice(self) -> str | None:
        """Row of the practice table."""
        ...

    @property
    def speed_range(self) -> Sequence[float] | None:
        """Lowest and highest speed of sound work [m/s]."""
        ...

    @property
    def depth_range(self) -> Sequence[float] | None:
        """Shallowest and deepest the main tool can be set [m]."""
        ...

    @property
    def draft_multiplier(self) -> float:
        """Draft of this machine here over that of the table [1]."""
        ...

    @property
    def wheel_tracks(self) -> WheelTracks | None:
        """Tools in wheel tracks; None to leave them out."""
        ...

    @property
    def motion_resistance_ratio(self) -> float | None:
        """Rolling resistance over weight [1]."""
        ...

    @property
    def rotary(self) -> Sequence[RotaryNeed]:
        """What it takes from the PTO."""
        ...

    @property
    def hydraulic(self) -> Sequence[HydraulicNeed]:
        """What it takes in oil."""
        ...

    @property
    def electric(self) -> float | None:
        """Electric power it takes [W]."""
        ...


class ConeReading(Protocol):
    """The cone index at one depth."""

    @property
    def depth(self) -> float:
        """Below the surface [m]."""
        ...

    @property
    def cone_index(self) -> float:
        """In SI units [Pa]."""
        ...


class Soil(Protocol):
    """The soil a tool works and a tractor stands on."""

    @property
    def texture(self) -> str:
        """Fine, medium or coarse: a column of the draft table."""
        ...

    @property
    def surface(self) -> str:
        """Row of the surface table."""
        ...

    @property
    def cone_index(self) -> float | None:
        """Measured [Pa]."""
        ...

    @property
    def cone_readings(self) -> Sequence[ConeReading]:
        """Measured by depth, from the surface down, in place of one cone index."""
        ...

    @property
    def moisture(self) -> str | None:
        """Dry, moist, wet, plastic or frozen, as it feels in the hand."""
        ...

    @property
    def water_content(self) -> float | None:
        """Mass of water over mass of dry soil [1]."""
        ...

    @property
    def plastic_limit(self) -> float | None:
        """Water content at which the soil just rolls to a thread of 3 mm [1]."""
        ...


class Turn(Protocol):
    """A headland turn: its time, or the radius it follows from."""

    @property
    def time(self) -> float | None:
        """Of one turn [s]."""
        ...

    @property
    def radius(self) -> float | None:
        """Turning radius of tractor and tool [m]."""
        ...

    @property
    def tongue_length(self) -> float | None:
        """From the hitch back to the tools [m]."""
        ...

    @property
    def reversing(self) -> bool:
        """Whether turns too tight to loop are made with one reverse."""
        ...


class FieldShape(Protocol):
    """A rectangular field."""

    @property
    def length(self) -> float:
        """Along the passes [m]."""
        ...

    @property
    def width(self) -> float:
        """Across the passes [m]."""
        ...

    @property
    def turn(self) -> Turn:
        """One headland turn."""
        ...

    @property
    def overlap(self) -> float:
        """Share of the working width that is worked twice [1]."""
        ...

    @property
    def stops(self) -> float:
        """All stops in this field [s]."""
        ...


class Field(Protocol):
    """The field and how it is worked."""

    @property
    def slope(self) -> float:
        """Rise over run along the passes, positive uphill [1]."""
        ...

    @property
    def area(self) -> float | None:
        """Area to work [m^2]."""
        ...

    @property
    def workday(self) -> float | None:
        """Time of field work in a day [s]."""
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


class MatchLimits(Protocol):
    """Limits to hold a tractor to."""

    @property
    def slip(self) -> float | None:
        """Most slip [1]."""
        ...

    @property
    def power_reserve(self) -> float | None:
        """Share of the rated PTO power to keep in hand [1]."""
        ...

    @property
    def front_share(self) -> float | None:
        """Least load on the front axle, over the tractor's weight [1]."""
        ...

    @property
    def holds_from(self) -> float | None:
        """Chance from which a match holds [1]."""
        ...

    @property
    def fails_below(self) -> float | None:
        """Chance below which it fails [1]."""
        ...

    @property
    def range_deviations(self) -> float | None:
        """Standard deviations that the range of a table stands for [1]."""
        ...


class Job(Protocol):
    """A tractor, an implement, a soil and a field."""

    @property
    def tractor(self) -> Tractor:
        """The tractor."""
        ...

    @property
    def implement(self) -> Implement:
        """The implement."""
        ...

    @property
    def soil(self) -> Soil:
        """The soil."""
        ...

    @property
    def field(self) -> Field:
        """The field."""
        ...

    @property
    def speed(self) -> float | None:
        """Wanted ground speed; None: the greatest that fits [m/s]."""
        ...

    @property
    def limits(self) -> MatchLimits:
        """What to hold the tractor to."""
        ...
