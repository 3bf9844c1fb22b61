"""Requests and answers of the service.

Generated from openapi/drawbar-v1.json by openapi/generate.py; edit neither by hand. Sets of words that answers use
may grow: to a program they are `str`, to an editor or type checker the words known today.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, TypeAlias

import msgspec

from drawbar.quantities import Quantity, Reading

__all__ = [
    "About",
    "Area",
    "AreaRate",
    "Assumption",
    "AtWork",
    "AxleAnswer",
    "AxleTires",
    "AxlesAnswer",
    "CalibrationAnswer",
    "CalibrationPrior",
    "CalibrationRequest",
    "CalibrationRun",
    "CalibrationRunAnswer",
    "CapacitySummary",
    "ChanceAnswer",
    "ColumnAnswer",
    "ConeIndex",
    "Consistency",
    "Constraint",
    "Depth",
    "DistanceRun",
    "DraftAnswer",
    "DraftRequest",
    "DraftSummary",
    "Drive",
    "Efficiency",
    "EfficiencyFrom",
    "EngineSpeedRatio",
    "EquationAnswer",
    "FeedRate",
    "Field",
    "FieldCapacityAnswer",
    "FieldCapacityRequest",
    "FieldShape",
    "FieldTimeAnswer",
    "Findable",
    "FinishOdds",
    "Fleet",
    "FleetImplement",
    "FleetTractor",
    "Flow",
    "FrontLead",
    "FuelAnswer",
    "FuelEquation",
    "FuelPrice",
    "FuelRate",
    "FuelRequest",
    "FuelSummary",
    "Gear",
    "GearAnswer",
    "GearChoice",
    "GreatestAnswer",
    "GreatestDepth",
    "GreatestOdds",
    "GreatestSpeed",
    "GreatestWidth",
    "GroundTool",
    "HealthAnswer",
    "HealthStatus",
    "Hitch",
    "HitchHeight",
    "HourlyCost",
    "HydraulicNeed",
    "Implement",
    "Input",
    "InputShare",
    "Kind",
    "Learned",
    "LearnedConeIndex",
    "LearnedMultiplier",
    "Length",
    "LimitAnswer",
    "LimitName",
    "LossPerArea",
    "MachineLength",
    "Mass",
    "MatchAnswer",
    "MatchLimits",
    "MatchRequest",
    "MeasurementAnswer",
    "MethodsAnswer",
    "Multiplier",
    "Notice",
    "OddsAnswer",
    "OddsRequest",
    "Operator",
    "OtherFuel",
    "Output",
    "OutputSensitivity",
    "Overlap",
    "PairingAnswer",
    "PlanRow",
    "Power",
    "PowerAnswer",
    "PowerMethod",
    "PowerRequest",
    "Predecessor",
    "Pressure",
    "Prices",
    "Pull",
    "Pulling",
    "PullingPower",
    "PullingSurface",
    "Quantity",
    "QuickCheck",
    "RatedPower",
    "Reading",
    "RelativeSpread",
    "Relaxation",
    "Reserve",
    "Resource",
    "ResourceAnswer",
    "RotaryNeed",
    "RunPrediction",
    "Samples",
    "Search",
    "SeasonAnswer",
    "SeasonCost",
    "SeasonField",
    "SeasonRequest",
    "SeasonVerdict",
    "SecondOpinion",
    "SensitivityAnswer",
    "SensitivityRequest",
    "Share",
    "ShortTime",
    "SlipAnswer",
    "SlipLimit",
    "SlipRequest",
    "SlipRunAnswer",
    "Slope",
    "Soil",
    "SoilSurface",
    "SourceAnswer",
    "SourceBasis",
    "SourcesAnswer",
    "Spacing",
    "Speed",
    "Spreads",
    "SuitableDays",
    "SymbolAnswer",
    "TableAnswer",
    "TablesAnswer",
    "TaskAnswer",
    "Texture",
    "TimeRun",
    "TireCount",
    "Tires",
    "ToolDraftAnswer",
    "TractionAnswer",
    "TractionRequest",
    "Tractor",
    "TractorMass",
    "TractorPower",
    "TravelDistances",
    "TravelTimes",
    "Turn",
    "TurnRun",
    "ValidRangeAnswer",
    "Verdict",
    "VersionAnswer",
    "WarningCode",
    "WheelSlip",
    "WheelTurns",
    "Wheelbase",
    "WholeTableAnswer",
    "Width",
    "Window",
    "WithoutOutliers",
    "Work",
    "Workday",
    "Yield",
]

Area: TypeAlias = str | Quantity
"""An area of land.

In range: at least 0.0001 and at most 1000000 ha. Units: m2, ha, ac, ft2. For example "200000 ha".
"""

AreaRate: TypeAlias = str | Quantity
"""Area worked in a time.

In range: at least 0.0036 and at most 360 ha/h. Units: m2/s, ha/h, ha/d, ac/h, ac/d. For example "72 ha/h".
"""

ConeIndex: TypeAlias = str | Quantity
"""Soil cone index: penetration resistance of a standard cone.

In range: at least 10 and at most 10000 kPa. Units: Pa, kPa, MPa, bar, psi, N/cm2. For example "2010 kPa".
"""

Depth: TypeAlias = str | Quantity
"""Working depth in soil.

In range: at least 0.1 and at most 150 cm. Units: mm, cm, m, km, in, ft, yd, mi. For example "30.1 cm".
"""

Efficiency: TypeAlias = float | str | Quantity
"""A ratio of what comes out to what goes in.

In range: at least 0.01 and at most 1. Units: %. A plain number is a ratio. For example "20.8 %".
"""

EngineSpeedRatio: TypeAlias = float | str | Quantity
"""Engine speed over full-throttle speed.

In range: at least 0.4 and at most 1. Units: %. A plain number is a ratio. For example "52 %".
"""

FeedRate: TypeAlias = str | Quantity
"""Material through a machine.

In range: at least 0 and at most 720 t/h. Units: kg/s, kg/h, t/h, lb/h, ton_short/h. For example "144 t/h".
"""

Flow: TypeAlias = str | Quantity
"""Hydraulic flow.

In range: at least 0.006 and at most 1200 L/min. Units: m3/s, L/min, L/h, gal/min, gal/h, gal_imp/h. For example "240
L/min".
"""

FrontLead: TypeAlias = float | str | Quantity
"""How much faster front wheels are geared than rear ones.

In range: at least 0 and at most 0.15. Units: %. A plain number is a ratio. For example "3 %".
"""

FuelPrice: TypeAlias = str | Quantity
"""Price of fuel or oil.

In range: at least 0 and at most 1000 money/L. Units: money/L, money/gal. For example "200 money/L".
"""

FuelRate: TypeAlias = str | Quantity
"""Fuel burnt in a time.

In range: at least 0.36 and at most 72000 L/h. Units: m3/s, L/min, L/h, gal/min, gal/h, gal_imp/h. For example "14400
L/h".
"""

HitchHeight: TypeAlias = str | Quantity
"""A drawbar or a line of pull above ground.

In range: at least 0.1 and at most 2 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "0.48 m".
"""

HourlyCost: TypeAlias = str | Quantity
"""What an hour of a machine or of a person costs.

In range: at least 0 and at most 3600000 money/h. Units: money/h, money/d. For example "720000 money/h".
"""

Length: TypeAlias = str | Quantity
"""A length. In range: at least 0.01 and at most 20000 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "4000 m"."""

LossPerArea: TypeAlias = str | Quantity
"""What an area loses with each day that work on it is late.

In range: at least 0 and at most 10000000 money/ha. Units: money/m2, money/ha, money/ac. For example "2000000 money/ha".
"""

MachineLength: TypeAlias = str | Quantity
"""A dimension of a tractor: wheelbase, heights, tires.

In range: at least 0.01 and at most 6 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "1.21 m".
"""

Mass: TypeAlias = str | Quantity
"""Mass of a machine.

In range: at least 1 and at most 100000 kg. Units: kg, t, lb, ton_short. For example "20000 kg".
"""

Multiplier: TypeAlias = float | str | Quantity
"""A factor on a table value.

In range: at least 0.1 and at most 10. Units: %. A plain number is a ratio. For example "2.08".
"""

Overlap: TypeAlias = float | str | Quantity
"""Share of a working width that is worked twice.

In range: at least 0 and at most 0.9. Units: %. A plain number is a ratio. For example "18 %".
"""

Power: TypeAlias = str | Quantity
"""Power; not negative. In range: at least 0 and at most 2000 kW. Units: W, kW, hp, hp_metric. For example "400 kW"."""

Pressure: TypeAlias = str | Quantity
"""A pressure.

In range: at least 0.001 and at most 100000 kPa. Units: Pa, kPa, MPa, bar, psi, N/cm2. For example "20000 kPa".
"""

Pull: TypeAlias = str | Quantity
"""A pull at the hitch; not negative.

In range: at least 0 and at most 1000 kN. Units: N, kN, daN, lbf, kgf. For example "200 kN".
"""

RatedPower: TypeAlias = str | Quantity
"""What an engine or PTO is rated for.

In range: at least 1 and at most 1000 kW. Units: W, kW, hp, hp_metric. For example "201 kW".
"""

RelativeSpread: TypeAlias = float | str | Quantity
"""A standard deviation over the value it belongs to.

In range: at least 0 and at most 1. Units: %. A plain number is a ratio. For example "20 %".
"""

Reserve: TypeAlias = float | str | Quantity
"""A share kept in hand.

In range: at least 0 and at most 0.9. Units: %. A plain number is a ratio. For example "18 %".
"""

Share: TypeAlias = float | str | Quantity
"""A ratio from 0 to 1. In range: at least 0 and at most 1. Units: %. A plain number is a ratio. For example "20 %"."""

ShortTime: TypeAlias = str | Quantity
"""A turn, a stop. In range: at least 0 and at most 86400 s. Units: s, min, h, d. For example "17300 s"."""

SlipLimit: TypeAlias = float | str | Quantity
"""A limit on slip.

In range: at least 0.01 and at most 0.6. Units: %. A plain number is a ratio. For example "12.8 %".
"""

Slope: TypeAlias = float | str | Quantity
"""Rise over run along the direction of travel; positive uphill.

In range: at least -0.4 and at most 0.4. Units: %. A plain number is a ratio. For example "-24 %".
"""

Spacing: TypeAlias = str | Quantity
"""Distance between tools or rows.

In range: at least 0.1 and at most 1000 cm. Units: mm, cm, m, km, in, ft, yd, mi. For example "200 cm".
"""

Speed: TypeAlias = str | Quantity
"""Ground speed.

In range: at least 0.036 and at most 72 km/h. Units: m/s, km/h, mph, ft/min. For example "14.4 km/h".
"""

TractorMass: TypeAlias = str | Quantity
"""Mass of a tractor, ballast included.

In range: at least 300 and at most 60000 kg. Units: kg, t, lb, ton_short. For example "12200 kg".
"""

WheelSlip: TypeAlias = float | str | Quantity
"""Slip of driven wheels, in the range where the traction equations mean something.

In range: at least 0 and at most 0.6. Units: %. A plain number is a ratio. For example "12 %".
"""

Wheelbase: TypeAlias = str | Quantity
"""Front to rear axle.

In range: at least 0.8 and at most 6 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "1.84 m".
"""

Width: TypeAlias = str | Quantity
"""Working width of a machine.

In range: at least 0.01 and at most 60 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "12 m".
"""

Workday: TypeAlias = str | Quantity
"""Hours of field work in a day. In range: at least 0.1 and at most 24 h. Units: s, min, h, d. For example "4.88 h"."""

Yield: TypeAlias = str | Quantity
"""Material on an area.

In range: at least 0.01 and at most 500 t/ha. Units: kg/m2, kg/ha, t/ha, lb/ac, ton_short/ac. For example "100 t/ha".
"""

Drive: TypeAlias = Literal["four-wheel", "front-wheel-assist", "rubber-track", "two-wheel"]
Findable: TypeAlias = Literal["depth", "speed", "width"]
FuelEquation: TypeAlias = Literal["annual-average-diesel", "annual-average-gasoline", "diesel", "older-diesel"]
Hitch: TypeAlias = Literal["drawbar", "semi-mounted", "three-point"]
PullingSurface: TypeAlias = Literal["concrete", "firm", "hard", "soft", "tilled"]
Samples: TypeAlias = Literal[256, 1024, 4096, 16384]
SoilSurface: TypeAlias = Literal["firm", "hard", "soft", "tilled"]
Texture: TypeAlias = Literal["coarse", "fine", "medium"]
TireCount: TypeAlias = Literal[2, 4, 6]

if TYPE_CHECKING:
    Constraint: TypeAlias = (
        Literal["availability", "implement", "operator", "order", "pairing", "tractor", "window", "workday"] | str
    )
    EfficiencyFrom: TypeAlias = Literal["default", "given", "practice", "shape"] | str
    HealthStatus: TypeAlias = Literal["ok"] | str
    Input: TypeAlias = Literal["cone_index", "depth", "draft", "rotary", "speed"] | str
    Kind: TypeAlias = Literal["engine_load", "fuel_rate", "pull", "slip"] | str
    LimitName: TypeAlias = (
        Literal["front-axle", "power", "pull", "search-end", "slip", "tool-depth", "tool-speed"] | str
    )
    Output: TypeAlias = Literal["capacity", "fuel_per_area", "pto_power", "pull", "slip", "tractive_efficiency"] | str
    PowerMethod: TypeAlias = Literal["ratio", "tractive-efficiency"] | str
    Resource: TypeAlias = Literal["implement", "operator", "tractor"] | str
    SourceBasis: TypeAlias = Literal["common-practice", "derived", "memory", "published"] | str
    WarningCode: TypeAlias = (
        Literal[
            "check-safety", "methods-differ", "not-carried", "not-used", "outside-range", "poor-work", "rough-estimate"
        ]
        | str
    )
else:
    Constraint = str
    EfficiencyFrom = str
    HealthStatus = str
    Input = str
    Kind = str
    LimitName = str
    Output = str
    PowerMethod = str
    Resource = str
    SourceBasis = str
    WarningCode = str


class Assumption(msgspec.Struct, frozen=True, kw_only=True):
    """A value the request left out."""

    pointer: str
    """Where the value would go in the request (JSON Pointer)."""

    value: str
    """What was taken, in a form the request accepts. For example "0.5 m"."""

    why: str
    """Why this value."""

    source: str
    """Source id; see `/v1/sources`. For example "asae-ep496"."""


class Notice(msgspec.Struct, frozen=True, kw_only=True):
    """Something to beware of."""

    code: WarningCode
    """Kind of warning, stable across versions."""

    pointer: str
    """The part of the request that caused it (JSON Pointer); empty: all of it."""

    detail: str
    """What, and what to do about it."""


class About(msgspec.Struct, frozen=True, kw_only=True):
    """What an answer says about itself."""

    assumptions: list[Assumption]
    """Values the request left out and what was taken instead."""

    warnings: list[Notice]
    """Things to beware of, each with its cause."""

    cautions: list[str]
    """Safety cautions that apply to this kind of work."""

    sources: list[str]
    """Ids of the sources used; see `/v1/sources`."""

    model: str
    """Version of the model: same request and version, same numbers."""


class AxleAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One axle at work."""

    driven: bool
    """Whether the axle is driven."""

    load: Reading
    """Load on the axle under the pull; negative once it has lifted. [kN or lbf]"""

    load_share: Reading
    """That load over the weight of the tractor. [%]"""

    mobility_number: float
    """Bn of one tire (Brixius 1987)."""

    slip: Reading
    """Slip; 0 on a towed axle. [%]"""

    gross_ratio: float
    """Gross traction over load, GTR; 0 on a towed axle."""

    motion_resistance_ratio: float
    """Motion resistance over load, MRR."""

    net_ratio: float
    """Net traction over load, NTR = GTR - MRR."""


class AxlesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Both axles at work."""

    front: AxleAnswer
    """Front axle."""

    rear: AxleAnswer
    """Rear axle."""


class AtWork(msgspec.Struct, frozen=True, kw_only=True):
    """The tractor at work; low and high follow the range of the draft."""

    speed: Reading
    """Ground speed. [km/h or mph]"""

    pull: Reading
    """Pull at the hitch. [kN or lbf]"""

    drawbar_power: Reading
    """Pull times speed. [kW or hp]"""

    axle_power: Reading | None = None
    """Power at the axles; null on rubber tracks. [kW or hp]"""

    pto_power: Reading
    """All needs, brought to the PTO. [kW or hp]"""

    other_power: Reading
    """Of it: PTO-driven machines, hydraulics, electrics. [kW or hp]"""

    load_fraction: Reading
    """PTO power needed over rated. [%]"""

    slip: Reading | None = None
    """Slip; of greatest pull where the pull is not carried; null on rubber tracks. [%]"""

    slip_band: list[Reading]
    """Slip of best efficiency on this surface, from and to. [%]"""

    tractive_efficiency: Reading | None = None
    """Drawbar power over axle power. [%]"""

    axles: AxlesAnswer | None = None
    """Each axle; null on rubber tracks."""


class Tires(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """All tires of one axle: two, or four and six as duals and triples."""

    size: str
    """Size as on the sidewall: `710/70R42`, `18.4R38`, `18.4-38`. R is radial, - is bias. For example "650/65R42"."""

    count: TireCount = 2
    """Tires on the axle: 2, 4 (duals) or 6 (triples)."""

    width: MachineLength | None = None
    """Measured section width, unloaded."""

    diameter: MachineLength | None = None
    """Measured overall diameter, unloaded."""

    static_loaded_radius: MachineLength | None = None
    """Axle centre to ground under load; gives the deflection."""


class AxleTires(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Tires of both axles."""

    front: Tires
    """Front axle."""

    rear: Tires
    """Rear axle."""


class MeasurementAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One measurement against its prediction."""

    pointer: str
    """Which measurement of the request."""

    kind: Kind
    """What was measured."""

    residual: float
    """Measured less predicted, in errors of measurement."""

    left_out_residual: float
    """The same against what all other runs predict, in standard deviations of that prediction."""


class RunPrediction(msgspec.Struct, frozen=True, kw_only=True):
    """What a run should have shown, with the medians found."""

    pull: Reading
    """Pull at the hitch. [kN or lbf]"""

    slip: Reading
    """Slip. [%]"""

    fuel_rate: Reading
    """Fuel in a time. [L/h or gal/h]"""

    engine_load: Reading
    """PTO power used over rated. [%]"""


class CalibrationRunAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One run."""

    predicted: RunPrediction
    """What it should have shown."""

    measurements: list[MeasurementAnswer]
    """What it showed."""

    stands_out: bool
    """Whether the run does not go with the others; it is counted all the same."""


class Consistency(msgspec.Struct, frozen=True, kw_only=True):
    """Whether runs, errors, prior and equations go together."""

    chi_squared: float
    """Sum of squared residuals, those of the prior included."""

    measurements: int
    """Degrees of freedom of chi-squared."""

    p_value: float
    """Chance of a greater misfit if all is as said."""


class LearnedConeIndex(msgspec.Struct, frozen=True, kw_only=True):
    """The cone index, before and after the runs. Low and high hold 95 in 100."""

    median: Reading
    """Cone index under the wheels. [kPa or psi]"""

    standard_deviation: Reading
    """Standard deviation of its logarithm. [%]"""

    prior: Reading
    """Before the runs. [kPa or psi]"""

    prior_standard_deviation: Reading
    """Standard deviation of its logarithm before. [%]"""

    times_narrower: float
    """Standard deviation before over after; 1: nothing learned."""

    informed: bool
    """Whether the runs say anything of it; if not, it is as before."""


class LearnedMultiplier(msgspec.Struct, frozen=True, kw_only=True):
    """The draft multiplier, before and after the runs. Low and high hold 95 in 100."""

    median: Reading
    """Draft of this machine here over that of the table. [1]"""

    standard_deviation: Reading
    """Standard deviation of its logarithm. [%]"""

    prior: Reading
    """Before the runs. [1]"""

    prior_standard_deviation: Reading
    """Standard deviation of its logarithm before. [%]"""

    times_narrower: float
    """Standard deviation before over after; 1: nothing learned."""

    informed: bool
    """Whether the runs say anything of it; if not, it is as before."""


class Learned(msgspec.Struct, frozen=True, kw_only=True):
    """What the runs taught."""

    draft_multiplier: LearnedMultiplier
    """Of the draft."""

    cone_index: LearnedConeIndex
    """Of the soil."""

    correlation: float
    """Between the logarithms of the two, -1 to 1. Near 1: the runs tell only their ratio."""


class WithoutOutliers(msgspec.Struct, frozen=True, kw_only=True):
    """What the other runs alone would say. Low and high hold 95 in 100."""

    draft_multiplier: Reading
    """Draft multiplier. [1]"""

    cone_index: Reading
    """Cone index. [kPa or psi]"""


class CalibrationAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What to put into requests from now on, and how well it is known."""

    summary: str
    """The answer in words."""

    draft_multiplier: Reading
    """Median, as `implement.draft_multiplier` takes it. [1]"""

    cone_index: Reading
    """Median, as `soil.cone_index` takes it. [kPa or psi]"""

    learned: Learned
    """How well both are known, before and after."""

    without_outliers: WithoutOutliers | None = None
    """From the other runs alone; null if no run stands out, or too many to say which are right."""

    consistency: Consistency
    """Whether it all goes together."""

    runs: list[CalibrationRunAnswer]
    """Every run, in the order of the request."""

    about: About
    """What was assumed, what to beware of, and the sources."""


class CalibrationPrior(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How well things were known before the runs: standard deviation of the logarithm, about that over the value."""

    draft: RelativeSpread | None = None
    """Of the draft multiplier, in place of the draft table's range."""

    cone_index: RelativeSpread | None = None
    """Of the cone index. For example "30 %"."""


class CalibrationRun(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One run in the field, and what was measured in it: at least one of pull, slip, fuel rate and engine load.

    Errors are standard deviations, taken as independent between measurements.
    """

    speed: Speed
    """Ground speed. For example "7.5 km/h"."""

    depth: Depth | None = None
    """Depth of the tool that pulls hardest, in place of the implement's."""

    slope: Slope | None = None
    """Rise over run, positive uphill."""

    engine_speed: EngineSpeedRatio | None = None
    """Engine speed over full-throttle speed, in place of the tractor's."""

    pull: Pull | None = None
    """Measured pull at the hitch. For example "38 kN"."""

    pull_error: RelativeSpread | None = None
    """Its error, relative. For example "3 %"."""

    slip: WheelSlip | None = None
    """Measured slip. For example "11 %"."""

    slip_error: RelativeSpread | None = None
    """Its error, in percentage points of slip. For example "1.5 %"."""

    fuel_rate: FuelRate | None = None
    """Measured fuel in a time. For example "31 L/h"."""

    fuel_rate_error: RelativeSpread | None = None
    """Its error, relative."""

    engine_load: Efficiency | None = None
    """Measured load: power used, brought to the PTO, over rated PTO power. For example "85 %"."""

    engine_load_error: RelativeSpread | None = None
    """Its error, relative."""


class Gear(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One gear of the transmission."""

    name: str
    """As on the lever or the display."""

    speed: Speed
    """Travel speed at full throttle without slip. For example "8.4 km/h"."""


class GroundTool(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One kind of ground-engaging tool on an implement."""

    tool: str
    """Row of the draft table, see `/v1/reference/draft`. For example "chisel-plow.twisted-shovel-10cm"."""

    count: int | None = None
    """Number of tools or rows, for tools counted one by one."""

    spacing: Spacing | None = None
    """Between neighbouring tools or rows; count x spacing is the width."""

    width: Width | None = None
    """Working width, for tools counted in metres."""

    depth: Depth | None = None
    """Working depth, where the draft depends on it. For example "22 cm"."""


class HydraulicNeed(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Oil that flows all the time the machine works."""

    name: str = ""
    """Yours to choose."""

    flow: Flow
    """Flow. For example "30 L/min"."""

    pressure: Pressure
    """Pressure drop over the machine. For example "120 bar"."""


class RotaryNeed(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Something driven from the PTO."""

    machine: str
    """Row of the rotary table, see `/v1/reference/rotary`. For example "mower.disk"."""

    width: Width | None = None
    """Working width, where the power depends on it."""

    feed_rate: FeedRate | None = None
    """Material through the machine, where the power depends on it."""


class Implement(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A machine behind the tractor: a list of ground tools, and what else it needs."""

    name: str = ""
    """Yours to choose; only echoed."""

    hitch: Hitch
    """How it hangs on the tractor."""

    tools: Sequence[GroundTool] = ()
    """Ground tools; the draft is their sum."""

    width: Width | None = None
    """Working width, in place of the widest tool's."""

    mass: Mass | None = None
    """Needed on a slope, and for a machine that only rolls."""

    kind: str | None = None
    """Row of the practice table, `/v1/reference/practice`: gives field efficiency and usual speeds.

    For example "chisel-plow".
    """

    speed_range: Sequence[Speed] | None = None
    """Lowest and highest speed of sound work, in place of the usual ones."""

    depth_range: Sequence[Depth] | None = None
    """Shallowest and deepest the main tool can be set."""

    draft_multiplier: Multiplier | None = None
    """Your own knowledge: draft of this machine here over that of the table."""

    motion_resistance: Share | None = None
    """Rolling resistance over weight, for a machine without ground tools."""

    vertical_load: Pull | None = None
    """What the machine always presses on the hitch: the tongue load."""

    pull_height: HitchHeight | None = None
    """Line of pull above ground at the hitch."""

    rotary: Sequence[RotaryNeed] = ()
    """What it takes from the PTO."""

    hydraulic: Sequence[HydraulicNeed] = ()
    """What it takes in oil, all the time."""

    electric: Power | None = None
    """Electric power it takes."""


class Soil(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The soil a tool works and a tractor stands on."""

    texture: Texture
    """Fine: clay and clay loam. Medium: loam and silt. Coarse: sand. Sets the draft."""

    surface: SoilSurface
    """What the wheels stand on.

    Hard: dry, untouched. Firm: stubble. Tilled: worked and settled. Soft: freshly worked, wet or sandy. Sets the
    traction.
    """

    cone_index: ConeIndex | None = None
    """Measured cone index, in place of the one that goes with the surface. For example "1100 kPa"."""


class TractorPower(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What the tractor is rated for. Give one; PTO power is the surer."""

    rated_pto: RatedPower | None = None
    """Rated power at the PTO. For example "150 kW"."""

    engine: RatedPower | None = None
    """Rated power at the flywheel. For example "225 hp"."""


class Tractor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor as it stands in the yard, ballast on."""

    name: str = ""
    """Yours to choose; only echoed."""

    drive: Drive
    """What is driven. `four-wheel` is an articulated tractor with equal wheels."""

    power: TractorPower
    """Rated power."""

    mass: TractorMass
    """Mass ready for the field, ballast included. For example "11.5 t"."""

    tires: AxleTires | None = None
    """Needed unless the tractor runs on rubber tracks."""

    wheelbase: Wheelbase | None = None
    """Front to rear axle. Needed unless on rubber tracks. For example "2.95 m"."""

    front_share: Share | None = None
    """Share of the mass on the front axle, standing level. For example "40 %"."""

    drawbar_height: HitchHeight | None = None
    """Drawbar above ground."""

    hitch_distance: MachineLength | None = None
    """Drawbar pin behind the rear axle."""

    centre_of_mass_height: MachineLength | None = None
    """Above ground; matters on a slope only."""

    transmission_efficiency: Efficiency | None = None
    """Axle power over PTO power."""

    pump_efficiency: Efficiency | None = None
    """Fluid power over power into the pump."""

    generator_efficiency: Efficiency | None = None
    """Electric power over power into the generator."""

    front_lead: FrontLead | None = None
    """How much faster the front wheels are geared than the rear."""

    rear_follows_front: bool = False
    """Whether the rear tires run in the track of the front ones and find firmer soil."""

    engine_speed: EngineSpeedRatio | None = None
    """Engine speed over full-throttle speed at which fuel is reckoned."""

    gears: Sequence[Gear] = ()
    """Gears to choose from, any order."""


class CalibrationRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor, an implement and a soil as for a match, and runs in the field."""

    tractor: Tractor
    """The tractor, on wheels."""

    implement: Implement
    """The implement. Its draft multiplier is where the search starts from."""

    soil: Soil
    """The soil."""

    runs: Sequence[CalibrationRun]
    """The runs."""

    prior: CalibrationPrior | None = None
    """How well things were known before the runs."""


class FieldTimeAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How time goes in a rectangular field."""

    passes: int
    """Number of passes."""

    turn_length: Reading | None = None
    """Path of one turn, if it follows from a radius. [m or ft]"""

    working: Reading
    """At work along the passes. [h]"""

    turning: Reading
    """On the headlands. [h]"""

    stopped: Reading
    """Standing. [h]"""


class CapacitySummary(msgspec.Struct, frozen=True, kw_only=True):
    """Area in a time."""

    width: Reading
    """Working width. [m or ft]"""

    efficiency: Reading
    """Field efficiency, with the usual range if it was looked up. [%]"""

    efficiency_from: EfficiencyFrom
    """Where the field efficiency comes from."""

    theoretical: Reading
    """Width times speed. [ha/h or ac/h]"""

    effective: Reading
    """Width times speed times field efficiency. [ha/h or ac/h]"""

    per_day: Reading | None = None
    """Area in a workday, if one was given. [ha or ac]"""

    time: Reading | None = None
    """Hours for the area, if one was given. [h]"""

    days: float | None = None
    """Workdays for the area, if both were given."""

    in_field: FieldTimeAnswer | None = None
    """How time goes, if a field shape was given."""


class ChanceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A chance and its sampling error."""

    value: Reading
    """The chance. [%]"""

    standard_error: Reading
    """Standard error of the sampling; says nothing of the model. [%]"""


class ColumnAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A column of a table."""

    name: str
    """Name, as in each row."""

    unit: str
    """Unit as published; empty for text, a count or a ratio."""

    meaning: str
    """What it means."""


class DistanceRun(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Distances covered in one number of wheel turns."""

    loaded: Length
    """Distance with the implement at work. For example "45.2 m"."""

    unloaded: Length
    """Distance with the implement raised. For example "51 m"."""


class ToolDraftAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of one kind of ground tool."""

    tool: str
    """Row of the draft table."""

    pointer: str
    """Which tool of the request."""

    draft: Reading
    """Draft, with the range of the table. [kN or lbf]"""

    share: float
    """Share of the whole draft."""


class DraftSummary(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of an implement, whole and by tool."""

    total: Reading
    """Draft of all ground tools on level ground, rolling included. [kN or lbf]"""

    per_width: Reading | None = None
    """Draft for each unit of working width, if the request gives one. [kN/m or lbf/ft]"""

    tools: list[ToolDraftAnswer]
    """Each kind of tool, in the order of the request."""


class DraftAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What the implement pulls."""

    draft: DraftSummary
    """Draft of the ground tools."""

    grade_pull: Reading
    """Pull of the implement's own weight on the slope. [kN or lbf]"""

    pull: Reading
    """Draft and grade together, at the hitch. [kN or lbf]"""

    drawbar_power: Reading
    """Pull times speed. [kW or hp]"""

    about: About
    """What was assumed, what to beware of, and the sources."""


class DraftRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """An implement at work in a soil."""

    implement: Implement
    """The machine and its ground tools."""

    soil: Soil
    """The soil it works."""

    speed: Speed
    """Ground speed. For example "8 km/h"."""

    slope: Slope | None = None
    """Rise over run, positive uphill; acts on the implement's mass."""


class SymbolAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A symbol of an equation."""

    symbol: str
    """As in the plain form."""

    unit: str
    """Unit in the equation as printed; 1 for a ratio."""

    means: str
    """What it stands for."""


class ValidRangeAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Where an equation was fitted or is stated to hold."""

    of: str
    """Symbol or group of symbols."""

    unit: str
    """Unit of both ends."""

    low: float
    """Low end."""

    high: float
    """High end."""


class EquationAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One equation."""

    id: str
    """Id of the equation."""

    says: str
    """What it says."""

    plain: str
    """The equation in plain text."""

    latex: str
    """The equation in LaTeX."""

    symbols: list[SymbolAnswer]
    """Its symbols."""

    valid: list[ValidRangeAnswer]
    """Where it holds; empty where no range is stated."""

    misfits: list[str]
    """Where it is known to be wrong."""

    source: str
    """Source id; see `/v1/sources`."""

    basis: str
    """How the source is known: published, memory, common-practice or derived."""


class Turn(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A headland turn: its time, or the radius it follows from."""

    time: ShortTime | None = None
    """Time of one turn. For example "20 s"."""

    radius: MachineLength | None = None
    """Turning radius of tractor and tool."""

    reversing: bool = False
    """Whether turns too tight to loop are made with one reverse."""


class FieldShape(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A rectangular field, from which field efficiency follows instead of being looked up."""

    length: Length
    """Along the passes. For example "600 m"."""

    width: Length
    """Across the passes. For example "300 m"."""

    turn: Turn
    """One headland turn."""

    overlap: Overlap | None = None
    """Share of the working width that is worked twice."""

    stops: ShortTime | None = None
    """All stops in this field: filling, clearing, adjusting."""


class Field(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The field and how it is worked."""

    slope: Slope | None = None
    """Rise over run along the passes, positive uphill."""

    area: Area | None = None
    """Area to work; gives hours and days. For example "32 ha"."""

    workday: Workday | None = None
    """Hours of field work in a day; gives area a day. For example "10 h"."""

    efficiency: Efficiency | None = None
    """Field efficiency: effective over theoretical capacity. For example "82 %"."""

    shape: FieldShape | None = None
    """Field geometry, in place of an efficiency. Give one or neither."""


class FieldCapacityAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Area an hour, and what follows."""

    capacity: CapacitySummary
    """Area in a time."""

    material: Reading | None = None
    """Material handled, if a yield was given. [t/h or ton_short/h]"""

    about: About
    """What was assumed, what to beware of, and the sources."""


class FieldCapacityRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A machine in a field. Give one of `efficiency`, `shape` and `kind`."""

    width: Width
    """Working width. For example "6 m"."""

    speed: Speed
    """Ground speed. For example "9 km/h"."""

    efficiency: Efficiency | None = None
    """Field efficiency, known. For example "85 %"."""

    shape: FieldShape | None = None
    """A rectangular field, to work the efficiency out."""

    kind: str | None = None
    """Row of the practice table, to look the efficiency up. For example "field-cultivator"."""

    area: Area | None = None
    """Area to work; gives hours."""

    workday: Workday | None = None
    """Hours of field work in a day; gives area a day."""

    crop_yield: Yield | None = None
    """Material on the area; gives material an hour."""


class FinishOdds(msgspec.Struct, frozen=True, kw_only=True):
    """The chance that all of it is done in the window."""

    expected: float
    """Suitable days expected in the window."""

    needed: float
    """Suitable days that the plan takes from the first day to its last."""

    finish: Reading
    """Chance of that many in the window. [%]"""

    least_needed: float
    """Suitable days that the busiest machine or person is at work."""

    finish_at_best: Reading
    """Chance of that many: with every other wait taken away it could be no better. [%]"""


class FleetImplement(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """An implement of the fleet."""

    name: str
    """Yours to choose; no other implement's. For example "chisel"."""

    implement: Implement
    """The implement."""

    hourly_cost: HourlyCost | None = None
    """What an hour of it costs."""

    available_from: str | None = None
    """First day it is there. Left out: throughout."""

    available_to: str | None = None
    """Last day it is there. Left out: throughout."""


class FleetTractor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor of the fleet."""

    name: str
    """Yours to choose; no other tractor's. For example "heron"."""

    tractor: Tractor
    """The tractor."""

    hourly_cost: HourlyCost | None = None
    """What an hour of it costs, fuel and operator apart. For example "38 money/h"."""

    available_from: str | None = None
    """First day it is there. Left out: throughout."""

    available_to: str | None = None
    """Last day it is there. Left out: throughout."""


class MatchLimits(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Limits to hold the tractor to."""

    slip: SlipLimit | None = None
    """Most slip. For example "12 %"."""

    power_reserve: Reserve | None = None
    """Share of the rated PTO power to keep in hand."""

    front_share: Efficiency | None = None
    """Least load on the front axle, as a share of the tractor's weight."""


class Operator(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Someone who drives; any tractor."""

    name: str
    """Yours to choose; no other operator's. For example "first"."""

    workday: Workday | None = None
    """Hours in a suitable day, in place of the season's; never more count."""

    hourly_cost: HourlyCost | None = None
    """What an hour costs, in place of `prices/labour`."""


class Fleet(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Machines and people."""

    tractors: Sequence[FleetTractor]
    """Tractors."""

    implements: Sequence[FleetImplement]
    """Implements."""

    operators: Sequence[Operator] | None = None
    """Operators. Left out: one for each tractor."""

    limits: MatchLimits | None = None
    """Limits to hold every tractor to."""


class OtherFuel(msgspec.Struct, frozen=True, kw_only=True):
    """What another equation says of the same load."""

    equation: str
    """The equation."""

    rate: Reading
    """Fuel in a time. [L/h or gal/h]"""

    difference: Reading
    """That rate over the one answered, less 1. [%]"""


class FuelAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Fuel burnt."""

    rate: Reading
    """Fuel in a time. [L/h or gal/h]"""

    load_fraction: Reading | None = None
    """Power used over rated PTO power; null for averages. [%]"""

    energy_per_fuel: Reading | None = None
    """Work done for the fuel; null for averages. [kWh/L or hp*h/gal]"""

    per_area: Reading | None = None
    """Fuel on an area, if a field capacity was given. [L/ha or gal/ac]"""

    equation: str
    """The equation used."""

    second_opinions: list[OtherFuel]
    """Other diesel equations: the older one at this load, and the average over a year's work."""

    about: About
    """What was assumed, what to beware of, and the sources."""


class FuelRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor under load."""

    power: TractorPower
    """What the tractor is rated for."""

    load: Power | None = None
    """Power used, as PTO equivalent. For example "95 kW"."""

    load_fraction: Share | None = None
    """Power used over rated PTO power, in place of `load`."""

    engine_speed: EngineSpeedRatio | None = None
    """Engine speed over full-throttle speed. For example "80 %"."""

    equation: FuelEquation = "diesel"
    """`diesel`: after ASAE D497.5 on.

    `older-diesel`: to D497.4, reads 20-34 % higher; never mix the two. The annual averages take no load: they are for
    budgets.
    """

    capacity: AreaRate | None = None
    """Field capacity; gives fuel for each area."""


class FuelSummary(msgspec.Struct, frozen=True, kw_only=True):
    """Fuel of the match."""

    rate: Reading
    """Fuel in a time, at work. [L/h or gal/h]"""

    per_area: Reading
    """Fuel on an area, at the effective field capacity. [L/ha or gal/ac]"""


class GearAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One gear at the travel speed of the answer."""

    name: str
    """The gear."""

    possible: bool
    """Whether engine speed and torque suffice."""

    engine_speed: Reading
    """Engine speed over full-throttle speed. [%]"""

    load: Reading
    """Power needed over what rated torque gives at that engine speed. [%]"""

    fuel: Reading | None = None
    """Fuel; null if the gear is not possible. [L/h or gal/h]"""


class GearChoice(msgspec.Struct, frozen=True, kw_only=True):
    """Gears compared at one travel speed."""

    best: str | None = None
    """The possible gear that burns least; null if none is possible."""

    gears: list[GearAnswer]
    """Every gear, in the order of the request."""


class GreatestDepth(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest depth of the main tool at one speed."""

    value: Reading | None = None
    """Depth; null if not even the shallowest can be pulled. [cm or in]"""

    pointer: str
    """Which tool of the request."""

    at_speed: Reading
    """The speed: the one asked for, or the tool's slowest if none fits it. [km/h or mph]"""

    limited_by: LimitName
    """What stops it there."""


class GreatestSpeed(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest speed at which every limit of the tractor is kept, no faster than the tool's range."""

    value: Reading | None = None
    """The speed; null if there is none. [km/h or mph]"""

    within_tool_range: bool
    """False where that is slower than the tool's range: it goes, but does poor work."""

    limited_by: LimitName
    """What stops it there."""


class GreatestWidth(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest width at one speed."""

    value: Reading | None = None
    """Working width; null if not even the smallest can be pulled. [m or ft]"""

    count: int | None = None
    """Whole tools of the main kind; null if they go by width."""

    at_speed: Reading
    """The speed: the one asked for, or the tool's slowest if none fits it. [km/h or mph]"""

    limited_by: LimitName
    """What stops it there."""


class GreatestAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What would still fit, one thing changed at a time; null where it was not asked for or has no meaning."""

    speed: GreatestSpeed | None = None
    """Greatest speed."""

    width: GreatestWidth | None = None
    """Greatest width, all tools in proportion."""

    depth: GreatestDepth | None = None
    """Greatest depth of the tool that pulls hardest."""


class GreatestOdds(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest values that keep every limit, median, low and high; 0 where not even the least does."""

    speed: Reading | None = None
    """Greatest speed; null if not asked for. [km/h or mph]"""

    width: Reading | None = None
    """Greatest width, not in whole tools; null if not asked for. [m or ft]"""

    depth: Reading | None = None
    """Greatest depth as set; null if not asked for. [cm or in]"""


class HealthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How the service is."""

    status: HealthStatus = "ok"
    """Always ok; anything else is a problem document."""


class InputShare(msgspec.Struct, frozen=True, kw_only=True):
    """How much of the variance of one output an input brings."""

    input: Input
    """The uncertain input."""

    first_order: float
    """Share of the variance it brings by itself (Sobol, first order)."""

    total: float
    """Share it brings by itself and together with others (Sobol, total)."""


class LimitAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One limit and how far it is from being met."""

    name: LimitName
    """The limit."""

    kept: bool
    """Whether it is kept."""

    margin: Reading
    """What is left before the limit, over the limit; negative beyond it. [%]"""

    detail: str
    """Value and limit in words."""


class OddsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Chances at the speed of the answer, and where it would end up. Low and high hold 90 in 100 scenarios."""

    holds_speed: ChanceAnswer
    """Chance that every limit is kept at this speed."""

    slip_in_band: ChanceAnswer
    """Chance that slip is in the band of best efficiency."""

    slip_below_band: ChanceAnswer
    """Chance that slip is below that band."""

    goes_at_all: ChanceAnswer
    """Chance that there is a speed at which it goes."""

    load_fraction: Reading
    """PTO power needed over rated at this speed; median, low, high. [%]"""

    slip: Reading
    """Slip at this speed; median, low and high. [%]"""

    held_speed: Reading
    """Speed it can hold, at most this one; median, low and high. [km/h or mph]"""

    capacity: Reading
    """Field capacity at the speed it can hold; median, low and high. [ha/h or ac/h]"""

    fuel_per_area: Reading
    """Fuel at the speed it can hold; median, low and high. [L/ha or gal/ac]"""

    greatest: GreatestOdds
    """How far it can go, of what was asked for in `find`."""

    samples: int
    """Number of scenarios."""

    seed: int
    """Seed of the scenarios."""


class QuickCheck(msgspec.Struct, frozen=True, kw_only=True):
    """The same power need by the published drawbar/PTO ratio."""

    drawbar_per_pto: Reading
    """The ratio for this drive and surface. [%]"""

    pto_power: Reading
    """PTO power by that ratio. [kW or hp]"""

    difference: Reading
    """That power over the traction path's, less 1. [%]"""


class Verdict(msgspec.Struct, frozen=True, kw_only=True):
    """The answer in short."""

    fits: bool
    """Whether every limit is kept at this speed."""

    binding: LimitName
    """The limit that is exceeded most, or nearest to being met."""

    summary: str
    """The answer in words."""


class MatchAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Will it pull, how fast, and what stops it."""

    verdict: Verdict
    """The answer in short."""

    at_work: AtWork
    """The tractor at work."""

    draft: DraftSummary | None = None
    """Draft by tool; null for a machine without ground tools."""

    limits: list[LimitAnswer]
    """Every limit, with its margin."""

    greatest: GreatestAnswer
    """What would still fit."""

    gear: GearChoice | None = None
    """Gears compared, if the tractor lists any."""

    fuel: FuelSummary | None = None
    """What it burns; null where the power does not suffice."""

    capacity: CapacitySummary
    """Area an hour."""

    quick_check: QuickCheck
    """A second reckoning of the power."""

    odds: OddsAnswer | None = None
    """The odds, if they were asked for; null on rubber tracks."""

    about: About
    """What was assumed, what to beware of, and the sources."""


class Spreads(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What else is uncertain: standard deviation over the value, of a log-normal factor."""

    cone_index: RelativeSpread | None = None
    """Of the cone index. For example "20 %"."""

    depth: RelativeSpread | None = None
    """Of all working depths together."""

    speed: RelativeSpread | None = None
    """Of the ground speed."""


class OddsRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How to reckon the odds. The draft is always uncertain, by the range of its table."""

    samples: Samples = 4096
    """Number of scenarios."""

    seed: int = 0
    """Seed of the scenarios; the same seed gives the same odds."""

    range_deviations: float | None = None
    """How many standard deviations the range of a table stands for; 2 if left out."""

    spreads: Spreads | None = None
    """What else is uncertain."""


class MatchRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor, an implement, a soil and a field."""

    tractor: Tractor
    """The tractor."""

    implement: Implement
    """The implement."""

    soil: Soil
    """The soil."""

    field: Field | None = None
    """The field and how it is worked."""

    speed: Speed | None = None
    """Wanted ground speed. Leave out for the greatest that fits. For example "8 km/h"."""

    limits: MatchLimits | None = None
    """Limits to hold the tractor to."""

    find: Sequence[Findable] | None = None
    """What to find the greatest of, everything else as asked.

    Left out: all three if the match does not fit, none if it does.
    """

    odds: OddsRequest | None = None
    """Ask for odds; `{}` takes every default. They cost more than the match itself."""


class MethodsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The equations behind a calculation."""

    calculation: str
    """The calculation."""

    equations: list[EquationAnswer]
    """Its equations, in the order of the chain."""


class OutputSensitivity(msgspec.Struct, frozen=True, kw_only=True):
    """One output and what moves it."""

    output: Output
    """The output."""

    inputs: list[InputShare]
    """What moves it, the strongest first; empty if nothing does."""

    advice: str
    """Which measurement would narrow it most, in words."""


class PairingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A tractor on an implement for some work, on fields that are alike."""

    work: str
    """The work."""

    tractor: str
    """The tractor."""

    implement: str
    """The implement."""

    fields: list[str]
    """Fields on which soil, slope and efficiency are the same."""

    fits: bool
    """Whether every limit is kept; pairings that do not fit are left out."""

    speed: Reading
    """Ground speed: the one asked for, or the greatest that fits. [km/h or mph]"""

    capacity: Reading
    """Area an hour. [ha/h or ac/h]"""

    efficiency: Reading
    """Field efficiency. [%]"""

    fuel: Reading | None = None
    """Fuel at work; null where the power does not suffice. [L/h or gal/h]"""

    limited_by: LimitName
    """The limit that is exceeded most, or nearest to being met."""

    why: str
    """The verdict of the match in words."""


class PlanRow(msgspec.Struct, frozen=True, kw_only=True):
    """One machine at work on one field on one day."""

    date: str
    """The day; the first one where a row stands for several."""

    days: int
    """Calendar days the row stands for: 1 unless the season is long."""

    tractor: str
    """The tractor."""

    implement: str
    """The implement."""

    operator: str
    """Who drives."""

    field: str
    """The field."""

    work: str
    """The work."""

    hours: Reading
    """Expected time at work: in a day, workday times the share of suitable days. [h]"""

    area: Reading
    """Area done in it. [ha or ac]"""


class PullingPower(msgspec.Struct, frozen=True, kw_only=True):
    """Power that goes into pulling, along its way."""

    drawbar: Reading
    """Pull times speed. [kW or hp]"""

    axle: Reading | None = None
    """At the axles; null by the ratio method, which skips them. [kW or hp]"""

    pto: Reading
    """Equivalent at the PTO. [kW or hp]"""

    drawbar_per_pto: Reading
    """Drawbar power over PTO power. [%]"""

    method: PowerMethod
    """How the PTO equivalent was reckoned."""


class PowerAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Power needs at the PTO."""

    pulling: PullingPower | None = None
    """What pulling takes, if anything is pulled."""

    rotary: Reading
    """What the PTO drives, with the range of the table. [kW or hp]"""

    hydraulic: Reading
    """Into the pump. [kW or hp]"""

    electric: Reading
    """Into the generator. [kW or hp]"""

    pto_equivalent: Reading
    """All of it, at the PTO. [kW or hp]"""

    engine: Reading
    """The same at the flywheel. [kW or hp]"""

    about: About
    """What was assumed, what to beware of, and the sources."""


class Pulling(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What is pulled."""

    pull: Pull
    """Pull at the hitch. For example "32 kN"."""

    speed: Speed
    """Ground speed. For example "7.5 km/h"."""

    tractive_efficiency: Efficiency | None = None
    """Drawbar power over axle power, for example from `/v1/traction`. Leave out to use the ratio."""

    drive: Drive | None = None
    """For the drawbar/PTO ratio."""

    surface: PullingSurface | None = None
    """For the drawbar/PTO ratio."""

    drawbar_per_pto: Efficiency | None = None
    """A drawbar/PTO ratio of your own, in place of the table's."""


class PowerRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Everything that takes power at once. Give what there is."""

    pulling: Pulling | None = None
    """What is pulled."""

    rotary: Sequence[RotaryNeed] = ()
    """What the PTO drives."""

    hydraulic: Sequence[HydraulicNeed] = ()
    """Oil that flows all the time."""

    electric: Power | None = None
    """Electric power taken."""

    transmission_efficiency: Efficiency | None = None
    """Axle power over PTO power."""

    pump_efficiency: Efficiency | None = None
    """Fluid power over power into the pump."""

    generator_efficiency: Efficiency | None = None
    """Electric power over power into the generator."""

    pto_per_engine_power: Efficiency | None = None
    """PTO power over flywheel power."""


class Predecessor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Work that must be done before, on the same field."""

    work: str
    """Name of that work. For example "stubble"."""

    rest_days: int = 0
    """Whole days the land rests between the two; with 0 it goes on the next day."""


class Prices(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What things cost."""

    fuel: FuelPrice | None = None
    """Price of fuel. For example "1.1 money/L"."""

    labour: HourlyCost | None = None
    """What an operator's hour costs."""


class Relaxation(msgspec.Struct, frozen=True, kw_only=True):
    """A constraint in the way, and what relaxing it would bring."""

    constraint: Constraint
    """Kind of constraint."""

    name: str
    """Which: of a machine, a work or a date."""

    detail: str
    """What is in the way, and what would help."""

    late_left: Reading | None = None
    """Lateness left over lateness now, machines shared freely within a day; null if not reckoned. [%]"""


class ResourceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A tractor, an implement or an operator in the window."""

    resource: Resource
    """What it is."""

    name: str
    """Its name."""

    used: Reading
    """Time at work. [h]"""

    spare: Reading
    """Time left. [h]"""

    use: Reading
    """Time at work over all there is. [%]"""

    extra_hour_saves: Reading | None = None
    """Share of the lateness that an hour more of it in every suitable day would save, were machines shared freely
    within a day; of an operator: of any. Null where nothing is late. [%]
    """


class Search(msgspec.Struct, frozen=True, kw_only=True):
    """How good the plan is, as a plan."""

    proven: bool
    """Whether no plan is better by more than a thousandth."""

    lateness_gap: Reading
    """How far lateness may be above the least, over it. [%]"""

    cost_gap: Reading
    """How far cost may be above the least at that lateness, over it. [%]"""

    period_days: int
    """Calendar days in a period of the plan; more than 1 is coarser."""

    choices: int
    """Ways to do a task that were weighed."""


class SeasonCost(msgspec.Struct, frozen=True, kw_only=True):
    """What the plan costs, in the currency of the prices."""

    fuel: Reading
    """Fuel. [L or gal]"""

    for_fuel: Reading | None = None
    """For fuel; null without a price of fuel. [money]"""

    for_labour: Reading
    """For operators. [money]"""

    for_machines: Reading
    """For tractors and implements by the hour. [money]"""

    total: Reading
    """Sum of what is priced. [money]"""

    lost_by_lateness: Reading | None = None
    """Lost on top; null without `daily_loss`. [money]"""


class SeasonVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """The plan in short."""

    in_time: bool
    """Whether all work is done when due, on expected days."""

    finishes: str | None = None
    """Last day of the plan; null if some work is not in it."""

    days_late: float
    """Mean over all area worked."""

    bottleneck: str
    """The tractor, implement or operator that decides; empty if none."""

    summary: str
    """The plan in words."""


class TaskAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One work on one field."""

    work: str
    """The work."""

    field: str
    """The field."""

    area: Reading
    """Its area. [ha or ac]"""

    planned: Reading
    """Share of it that the plan does. [%]"""

    starts: str | None = None
    """First day of it; null if it is not in the plan."""

    finishes: str | None = None
    """Last day of it; null if it is not in the plan."""

    due: str
    """Last day that is not late."""

    late: Reading
    """Area done after that, or not at all. [ha or ac]"""

    days_late: float
    """Mean over its area; what is not done counts as done on the day after the plan's last."""

    odds: Reading | None = None
    """Chance that it is done when due, the plan followed; null if it is not planned whole. [%]"""


class SeasonAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Who does what when, and whether it gets done."""

    verdict: SeasonVerdict
    """The plan in short."""

    plan: list[PlanRow]
    """Day by day; days on which nothing is done are left out."""

    tasks: list[TaskAnswer]
    """Each work on each field."""

    resources: list[ResourceAnswer]
    """Tractors, implements and operators, and what is spare."""

    odds: FinishOdds | None = None
    """Chance to finish; null if some work is not in the plan."""

    cost: SeasonCost
    """What it costs."""

    relax: list[Relaxation]
    """What stands in the way where not all is done in time."""

    pairings: list[PairingAnswer]
    """Every tractor on every implement that was considered."""

    search: Search
    """How good the plan is, as a plan."""

    about: About
    """What was assumed, what to beware of, and the sources."""


class SeasonField(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A field of the season."""

    name: str
    """Yours to choose; no other field's. For example "millrace"."""

    area: Area
    """Area to work. For example "26 ha"."""

    soil: Soil
    """The soil, as the first work finds it."""

    slope: Slope | None = None
    """Rise over run along the passes. Left out: level."""

    efficiency: Efficiency | None = None
    """Field efficiency: effective over theoretical capacity."""

    shape: FieldShape | None = None
    """Field geometry, in place of an efficiency. Give one or neither."""

    ready: str | None = None
    """First day it can be worked, harvested, say. Left out: the first there is."""

    due: str | None = None
    """Last day that is not late. Left out: the last of the window."""

    daily_loss: LossPerArea | None = None
    """What an area loses with each day its work is late.

    Give it for all fields or for none; without it every late hectare counts the same. For example "9 money/ha".
    """


class SuitableDays(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How many days of the window are fit for field work. Give `share` or `years`."""

    share: Share | None = None
    """Share of days that are suitable, in the mean over years. For example "55 %"."""

    spread: Share | None = None
    """Standard deviation of that share from year to year. For example "12 %"."""

    years: Sequence[float] = ()
    """Suitable days in these calendar days of past years, a year each."""


class Window(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The days there are."""

    start: str
    """First day. For example "2027-03-08"."""

    end: str
    """Last day; at most a year after the first. For example "2027-04-04"."""

    workday: Workday
    """Hours of field work in a suitable day. For example "10 h"."""

    suitable: SuitableDays
    """How many of the days are suitable."""


class Work(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One operation, on one field or several."""

    name: str
    """Yours to choose; no other work's. For example "seedbed"."""

    fields: Sequence[str]
    """Fields by name."""

    implements: Sequence[str]
    """Implements by name, any of which does it."""

    tractors: Sequence[str] = ()
    """Tractors by name that may be put to it. Left out: any."""

    after: Sequence[Predecessor] = ()
    """What must be done before it. It may follow over a field that is half done."""

    surface: SoilSurface | None = None
    """What the wheels stand on by then, in place of the soil's surface."""

    speed: Speed | None = None
    """Ground speed. Left out: the greatest that fits each pairing."""

    due: str | None = None
    """Last day that is not late, in place of the field's."""


class SeasonRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A fleet, fields, work and the days for it."""

    fleet: Fleet
    """Machines and people."""

    fields: Sequence[SeasonField]
    """The fields."""

    work: Sequence[Work]
    """What is to be done; each work on each of its fields is a task."""

    window: Window
    """The days there are."""

    prices: Prices | None = None
    """What things cost. Where nothing has a price, the plan that burns least is taken."""


class SecondOpinion(msgspec.Struct, frozen=True, kw_only=True):
    """What another published model says of the same axle at the same slip."""

    model: str
    """Source id of the model."""

    net_ratio: float
    """Net traction over load."""

    motion_resistance_ratio: float
    """Motion resistance over load."""

    tractive_efficiency: Reading | None = None
    """Power out over power in; null below no net pull. [%]"""

    difference: Reading | None = None
    """Its net ratio over the answer's, less 1; null without net pull. [%]"""


class SensitivityAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What matters most."""

    outputs: list[OutputSensitivity]
    """Every output."""

    about: About
    """What was assumed, what to beware of, and the sources."""


class SensitivityRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A match request; `odds` says what is uncertain."""

    tractor: Tractor
    """The tractor."""

    implement: Implement
    """The implement."""

    soil: Soil
    """The soil."""

    field: Field | None = None
    """The field and how it is worked."""

    speed: Speed | None = None
    """Wanted ground speed. Leave out for the greatest that fits. For example "8 km/h"."""

    limits: MatchLimits | None = None
    """Limits to hold the tractor to."""

    find: Sequence[Findable] | None = None
    """What to find the greatest of, everything else as asked.

    Left out: all three if the match does not fit, none if it does.
    """

    odds: OddsRequest | None = None
    """Ask for odds; `{}` takes every default. They cost more than the match itself."""


class SlipRunAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Slip of one run."""

    slip: Reading
    """Slip. [%]"""

    standard_error: Reading | None = None
    """Standard error from the reading error; null if none was given. [%]"""


class SlipAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Slip, and how well it is known. Standard errors are in percentage points of slip."""

    slip: Reading
    """Mean slip of the runs. [%]"""

    standard_error: Reading | None = None
    """Standard error of the mean: the larger of the two below; null if neither is. [%]"""

    from_scatter: Reading | None = None
    """Standard error of the mean from the scatter of the runs; null for one run. [%]"""

    from_reading: Reading | None = None
    """Standard error of the mean from the reading error; null if none was given. [%]"""

    runs: list[SlipRunAnswer]
    """Every run, in the order of the request."""

    about: About
    """What was assumed, what to beware of, and the sources."""


class TimeRun(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Times over one distance, in one gear at one engine speed."""

    loaded: ShortTime
    """Time with the implement at work. For example "15 s"."""

    unloaded: ShortTime
    """Time with the implement raised. For example "13 s"."""


class TravelDistances(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Slip by measuring distances."""

    runs: Sequence[DistanceRun]
    """One or more runs."""

    reading_error: Length | None = None
    """Standard error of each distance. For example "10 cm"."""


class TravelTimes(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Slip by timing."""

    runs: Sequence[TimeRun]
    """One or more runs."""

    reading_error: ShortTime | None = None
    """Standard error of each time. For example "0.2 s"."""


class TurnRun(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Wheel turns of a driven wheel over one distance."""

    loaded: float
    """Turns with the implement at work. For example "10.0"."""

    unloaded: float
    """Turns with the implement raised, over the same distance."""


class WheelTurns(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Slip by counting turns of a driven wheel."""

    runs: Sequence[TurnRun]
    """One or more runs."""

    reading_error: float | None = None
    """Standard error of each count, in turns. For example "0.1"."""


class SlipRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What was counted, timed or measured. Give one of the three."""

    turns: WheelTurns | None = None
    """Wheel turns over one distance."""

    times: TravelTimes | None = None
    """Times over one distance at one wheel speed."""

    distances: TravelDistances | None = None
    """Distances in one number of wheel turns."""


class SourceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A publication, or the plain statement that there is none."""

    id: str
    """Id, as answers cite it."""

    title: str
    """Title."""

    publisher: str
    """Publisher."""

    edition: str
    """Year or edition; empty where unknown."""

    basis: SourceBasis
    """Read in print, recalled from memory, common practice without a source, or derived."""

    note: str
    """What to know about it."""


class SourcesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every source."""

    sources: list[SourceAnswer]
    """Every source answers cite."""


class TableAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A table in short."""

    id: str
    """Id of the table."""

    title: str
    """What it is."""

    description: str
    """What it holds and where it comes from."""

    rows: int
    """Number of rows."""


class TablesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every table."""

    tables: list[TableAnswer]
    """Every table; `/v1/reference/{id}` gives one whole."""


class TractionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How the tractor stands under the pull."""

    carried: bool
    """Whether any slip in range carries the pull."""

    pull: Reading
    """Pull at the hitch. [kN or lbf]"""

    slip: Reading
    """Slip; of greatest net traction if the pull is not carried. [%]"""

    slip_band: list[Reading]
    """Slip of best efficiency on this surface, from and to. [%]"""

    pull_effort: Reading
    """Net traction needed over the greatest there is. [%]"""

    tractive_efficiency: Reading
    """Drawbar power over axle power. [%]"""

    lifting_pull: Reading
    """Pull that would lift the front axle off the ground. [kN or lbf]"""

    axles: AxlesAnswer
    """Each axle."""

    second_opinions: list[SecondOpinion]
    """Other models on the rear axle at the same load and slip."""

    about: About
    """What was assumed, what to beware of, and the sources."""


class TractionRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor on a soil. Give a pull to get the slip, or a slip to get the pull."""

    tractor: Tractor
    """The tractor."""

    soil: Soil
    """What it stands on. Texture plays no part here."""

    pull: Pull | None = None
    """Pull at the hitch, along the ground. For example "38 kN"."""

    slip: WheelSlip | None = None
    """Slip to be reached, in place of a pull. For example "10 %"."""

    slope: Slope | None = None
    """Rise over run, positive uphill."""

    hitch: Hitch = "drawbar"
    """Where the pull acts."""

    vertical_load: Pull | None = None
    """What presses on the hitch all the time."""

    pull_height: HitchHeight | None = None
    """Line of pull above ground at the hitch."""


class VersionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Which service this is."""

    service: str
    """Version of the service."""

    api: str
    """Version of the paths."""

    model: str
    """Version of the model: same request and version, same numbers."""


class WholeTableAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A table, whole."""

    id: str
    """Id of the table."""

    title: str
    """What it is."""

    description: str
    """What it holds and where it comes from."""

    columns: list[ColumnAnswer]
    """What each column means."""

    rows: list[dict[str, str | float | bool | None]]
    """Rows; figures in the units they were published in."""
