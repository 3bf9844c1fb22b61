"""What is asked: a tractor, its hitch, and a machine on it."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import Hitch
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import Tractor
from drawbar_service.quantities import (
    Efficiency,
    Length,
    Mass,
    Multiplier,
    Power,
    Pull,
    Share,
    Speed,
    Width,
)

ThreePointCategory: TypeAlias = Literal["0", "1N", "1", "2N", "2", "3N", "3", "4N", "4"]
DrawbarCategory: TypeAlias = Literal["0", "1", "2", "3", "4", "5"]
PtoType: TypeAlias = Literal["1", "2", "3", "4"]
PtoSpeed: TypeAlias = Literal[540, 1000, 1300]
PtoTypes = Annotated[list[PtoType], Meta(max_length=4)]
LoadIndex = Annotated[int, Meta(ge=0, le=300)]
WheelCount = Annotated[int, Meta(ge=1, le=32)]


class TractorHitch(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the tractor has at its rear; give what is to be checked."""

    three_point: Annotated[ThreePointCategory | None, Meta(description="Category of the three-point hitch.")] = None
    drawbar: Annotated[DrawbarCategory | None, Meta(description="Category of the drawbar.")] = None
    pto: Annotated[PtoTypes, Meta(description="PTO types it has, see `/v1/reference/pto`.")] = []
    vertical_limit: Annotated[
        Pull | None, Meta(description="Most that may press on the hitch in use, from the operator's manual.")
    ] = None


class HitchedMachine(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A machine as it goes on the road behind the tractor; give what is to be checked."""

    hitch: Annotated[Hitch, Meta(description="How it hangs on the tractor.")]
    three_point: Annotated[
        ThreePointCategory | None, Meta(description="Category of its hitch points, if mounted or semi-mounted.")
    ] = None
    drawbar: Annotated[DrawbarCategory | None, Meta(description="Category of its tongue, if on the drawbar.")] = None
    pto: Annotated[PtoType | None, Meta(description="PTO type of its shaft.")] = None
    pto_speed: Annotated[PtoSpeed | None, Meta(description="PTO speed it is built for, in r/min.")] = None
    pto_power: Annotated[Power | None, Meta(description="What it takes from the PTO.")] = None
    mass: Annotated[Mass | None, Meta(description="Mass as it goes on the road; gives the loads.")] = None
    center_of_mass: Annotated[
        Length | None,
        Meta(description="Behind the pin or the lower link ends. Needed with the mass of a mounted machine."),
    ] = None
    tongue_length: Annotated[
        Length | None, Meta(description="Its axle behind the pin; with `center_of_mass` gives the tongue load.")
    ] = None
    tongue_share: Annotated[
        Share | None, Meta(description="Share of its weight on the hitch, if known.", examples=["15 %"])
    ] = None
    tongue_load: Annotated[Pull | None, Meta(description="What it presses on the hitch, if known.")] = None


class TireLoads(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tires of one axle by what they carry. Give `load_index` or `rated_load`."""

    load_index: Annotated[
        LoadIndex | None, Meta(description="From the sidewall; only those of `/v1/reference/load-index`.")
    ] = None
    rated_load: Annotated[Mass | None, Meta(description="What one tire carries alone, from the sidewall.")] = None
    count: Annotated[WheelCount, Meta(description="Tires on the axle, or on all axles of the machine.")] = 2
    mounting: Annotated[
        Literal["single", "dual", "triple"], Meta(description="How many stand side by side at each end.")
    ] = "single"


class AxleTireLoads(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tires by what they carry."""

    front: Annotated[TireLoads | None, Meta(description="Front axle of the tractor.")] = None
    rear: Annotated[TireLoads | None, Meta(description="Rear axle of the tractor.")] = None
    machine: Annotated[TireLoads | None, Meta(description="The machine's own.")] = None


class Road(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tractor and machine on the road, and the limits there: yours to give, none is built in."""

    width: Annotated[Width, Meta(description="Greatest width of tractor and machine.", examples=["3.4 m"])]
    tractor_length: Annotated[Length, Meta(description="Front end to hitch.", examples=["5.1 m"])]
    machine_length: Annotated[Length, Meta(description="Hitch to rear end.", examples=["7.2 m"])]
    speed: Annotated[
        Speed | None, Meta(description="Greatest speed; tires marked with a load index carry less above their own.")
    ] = None
    greatest_width: Annotated[Width | None, Meta(description="Most that is allowed.")] = None
    greatest_length: Annotated[Length | None, Meta(description="Most that is allowed.")] = None
    greatest_mass_ratio: Annotated[
        Multiplier | None,
        Meta(description="Most mass of the machine, with the brakes it has, over that of the tractor."),
    ] = None


class HitchLimits(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Limits to hold the weights to."""

    least_tongue_share: Annotated[Efficiency | None, Meta(description="Least share of weight on the hitch.")] = None
    most_tongue_share: Annotated[Efficiency | None, Meta(description="Most share of weight on the hitch.")] = None
    front_share: Annotated[
        Efficiency | None, Meta(description="Least load on the front axle, as a share of the tractor's weight.")
    ] = None


class HitchRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor, its hitch, and a machine on it."""

    tractor: Annotated[Tractor, Meta(description="The tractor. The wheelbase is needed once weights are asked for.")]
    hitch: Annotated[TractorHitch, Meta(description="What it has at its rear.")] = msgspec.field(
        default_factory=TractorHitch
    )
    machine: Annotated[HitchedMachine | None, Meta(description="The machine.")] = None
    tires: Annotated[AxleTireLoads, Meta(description="Tires to check.")] = msgspec.field(default_factory=AxleTireLoads)
    road: Annotated[Road | None, Meta(description="Dimensions on the road.")] = None
    limits: Annotated[HitchLimits, Meta(description="Limits to hold the weights to.")] = msgspec.field(
        default_factory=HitchLimits
    )
    tables: Tables = None
