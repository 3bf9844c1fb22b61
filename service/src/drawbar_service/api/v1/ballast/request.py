"""What is asked: a tractor, its work, a speed and a soil, and what else to look at."""

from functools import partial
from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import (
    CENTER_OF_MASS,
    HITCH_SHARE,
    VERTICAL_LOAD,
    VERTICAL_SHARE,
    Hitch,
    Implement,
)
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import Tractor
from drawbar_service.quantities import (
    Ballast,
    ContactArea,
    Depth,
    Efficiency,
    HitchHeight,
    Length,
    MachineLength,
    Mass,
    Pull,
    Share,
    Slope,
    Speed,
    TractorMass,
)

Aim: TypeAlias = Literal["low", "middle", "high"]
Depths = Annotated[list[Depth], Meta(min_length=1, max_length=20)]
Concentration = Annotated[float, Meta(ge=3.0, le=8.0)]


class KnownPull(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A pull that is known, in place of an implement."""

    force: Annotated[Pull, Meta(description="At the hitch, along the ground, the grade included.", examples=["38 kN"])]
    hitch: Annotated[Hitch, Meta(description="Where it acts.")] = "drawbar"
    mass: Annotated[Mass | None, Meta(description="Of the machine that pulls; some of its weight is on the hitch.")] = (
        None
    )
    center_of_mass: Annotated[Length | None, Meta(description=CENTER_OF_MASS)] = None
    hitch_share: Annotated[Share | None, Meta(description=HITCH_SHARE)] = None
    vertical_load: Annotated[Pull | None, Meta(description=VERTICAL_LOAD)] = None
    vertical_share: Annotated[Share | None, Meta(description=VERTICAL_SHARE)] = None
    pull_height: Annotated[HitchHeight | None, Meta(description="Line of pull above ground at the hitch.")] = None


class BallastOn(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Ballast the tractor carries now and can do without."""

    front: Annotated[Ballast, Meta(description="On the front.", examples=["600 kg"])] = msgspec.field(
        default_factory=partial(Ballast, 0.0)
    )
    rear: Annotated[Ballast, Meta(description="On or in the rear wheels.", examples=["400 kg"])] = msgspec.field(
        default_factory=partial(Ballast, 0.0)
    )
    total: Annotated[
        Ballast | None,
        Meta(description="On both together, in place of front and rear, where it is not known which has how much."),
    ] = None


class BallastLimits(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Limits to keep."""

    mass: Annotated[TractorMass | None, Meta(description="Most it may weigh; the manual says.")] = None
    front_share: Annotated[
        Efficiency | None, Meta(description="Least load on the front axle under the pull, as a share of the weight.")
    ] = None
    axle_mass: Annotated[Mass | None, Meta(description="Most on one axle for the sake of the subsoil.")] = None


class FrontMounted(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What hangs on the front, raised."""

    mass: Annotated[Mass, Meta(description="Its mass, beyond the mass of the tractor.", examples=["900 kg"])]
    ahead_of_axle: Annotated[
        MachineLength, Meta(description="Its center ahead of the front axle: a.", examples=["1.4 m"])
    ]


class RearMounted(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What hangs on the rear, raised."""

    mass: Annotated[Mass, Meta(description="Its mass.", examples=["1.6 t"])]
    behind_links: Annotated[
        MachineLength, Meta(description="Its center behind the lower link ends: d.", examples=["1.1 m"])
    ]


class Transport(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Implements raised for the road. Give the front one, the rear one or both."""

    front: Annotated[FrontMounted | None, Meta(description="On the front linkage.")] = None
    rear: Annotated[RearMounted | None, Meta(description="On the rear linkage.")] = None
    links_behind_axle: Annotated[
        MachineLength | None, Meta(description="Lower link ends behind the rear axle: c.", examples=["1.05 m"])
    ] = None
    unladen_mass: Annotated[
        TractorMass | None,
        Meta(description="The tractor's own mass, of which each axle must keep its share; else its mass as it stands."),
    ] = None
    speed: Annotated[
        Speed | None, Meta(description="Greatest speed on the road; tires carry less at speed.", examples=["40 km/h"])
    ] = None


class SoilStress(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Ask for the stress in the soil; `{}` takes every default."""

    depths: Annotated[Depths | None, Meta(description="Depths to tell; else seven from 10 cm to 1 m.")] = None
    concentration: Annotated[
        Concentration | None,
        Meta(description="Concentration factor: 3 elastic, 4 hard or dry, 5 normal, 6 soft or wet soil.", examples=[5]),
    ] = None
    front_contact: Annotated[
        ContactArea | None, Meta(description="Measured area of one front tire on the ground.", examples=["0.25 m2"])
    ] = None
    rear_contact: Annotated[
        ContactArea | None, Meta(description="Measured area of one rear tire on the ground.", examples=["0.4 m2"])
    ] = None
    dual_spacing: Annotated[
        MachineLength | None, Meta(description="Duals and triples, center to center of neighbors.", examples=["0.7 m"])
    ] = None


class BallastRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor, its work, a speed and a soil. Give an implement or a pull."""

    tractor: Annotated[Tractor, Meta(description="The tractor as it stands.")]
    implement: Annotated[Implement | None, Meta(description="The implement.")] = None
    pull: Annotated[KnownPull | None, Meta(description="A known pull, in place of an implement.")] = None
    soil: Annotated[Soil, Meta(description="The soil.")]
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["8 km/h"])]
    slope: Annotated[Slope, Meta(description="Rise over run, positive uphill.")] = msgspec.field(
        default_factory=partial(Slope, 0.0)
    )
    aim: Annotated[Aim, Meta(description="Which slip of the band to aim at; `high` takes the least mass.")] = "middle"
    wanted_front_share: Annotated[
        Share | None,
        Meta(description="Split to aim at; else the one in the usual band that takes the least mass."),
    ] = None
    ballast_on: Annotated[
        BallastOn | None,
        Meta(
            description="Ballast that can come off; sets how light the tractor can be. `{}`: none. Left out it is not "
            "known, and none is advised off."
        ),
    ] = None
    front_ballast_reach: Annotated[
        MachineLength | None, Meta(description="Center of the front ballast ahead of the front axle.")
    ] = None
    limits: Annotated[BallastLimits, Meta(description="Limits to keep.")] = msgspec.field(default_factory=BallastLimits)
    transport: Annotated[Transport | None, Meta(description="Implements raised for the road, to check the axles.")] = (
        None
    )
    soil_stress: Annotated[
        SoilStress | None, Meta(description="Ask for stress in the soil; `{}` takes every default.")
    ] = None
    tables: Tables = None
