"""Requests as plain dicts, for type checkers: what `drawbar.models` says of structs, for mappings.

Generated from openapi/drawbar-v1.json by openapi/generate.py; edit neither by hand. At runtime these are dicts and
nothing more: what is wrong in one is found by a type checker before, and by the service after it is sent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal, NotRequired, TypedDict

from drawbar import models

__all__ = [
    "AmountOfMoneyValueDict",
    "AngleValueDict",
    "AreaRateValueDict",
    "AreaValueDict",
    "AwayDict",
    "AxleTireLoadsDict",
    "AxleTiresDict",
    "BallastLimitsDict",
    "BallastOnDict",
    "BallastRequestDict",
    "BatchRequestDict",
    "BestWidthDict",
    "CalibrationPriorDict",
    "CalibrationRequestDict",
    "CalibrationRunDict",
    "CompletionRequestDict",
    "ConeReadingDict",
    "CostRequestDict",
    "CylinderDict",
    "CylindersDict",
    "DaylightDict",
    "DaysOffDict",
    "DaysRecordDict",
    "DaysRequestDict",
    "DeratingDict",
    "DistanceRunDict",
    "DoneBeforeDict",
    "DraftRequestDict",
    "DrivingDict",
    "EnergyPerVolumeValueDict",
    "EngineFuelDict",
    "FieldCapacityRequestDict",
    "FieldDict",
    "FieldOutlineDict",
    "FieldPassDict",
    "FieldShapeDict",
    "FieldSystemDict",
    "FleetDict",
    "FleetImplementDict",
    "FleetTractorDict",
    "ForcePerLengthValueDict",
    "ForceValueDict",
    "FrontMountedDict",
    "FuelMapDict",
    "FuelRequestDict",
    "FuelUseDict",
    "GearDict",
    "GroundToolDict",
    "HitchLimitsDict",
    "HitchRequestDict",
    "HitchedMachineDict",
    "HydraulicFunctionDict",
    "HydraulicNeedDict",
    "HydraulicsRequestDict",
    "ImplementDict",
    "KnownPullDict",
    "LaborDict",
    "LengthValueDict",
    "MassFlowValueDict",
    "MassPerAreaValueDict",
    "MassPerVolumeValueDict",
    "MassValueDict",
    "MatchLimitsDict",
    "MatchRequestDict",
    "MoneyPerAreaValueDict",
    "MoneyPerMassValueDict",
    "MoneyPerTimeValueDict",
    "MoneyPerVolumeValueDict",
    "NeighborDict",
    "OddsRequestDict",
    "OilMotorDict",
    "OperatorDict",
    "OutlinePolygonDict",
    "OwnBreakdownRowDict",
    "OwnDefaultsRowDict",
    "OwnDraftRowDict",
    "OwnDrainageRowDict",
    "OwnDrawbarPerPtoRowDict",
    "OwnDrawbarRowDict",
    "OwnLoadIndexRowDict",
    "OwnMassPerPowerRowDict",
    "OwnPracticeRowDict",
    "OwnPtoRowDict",
    "OwnRemainingValueRowDict",
    "OwnResidueRetentionRowDict",
    "OwnRotaryRowDict",
    "OwnSoilWaterRowDict",
    "OwnStaticSplitRowDict",
    "OwnSuitableDaysRowDict",
    "OwnSurfacesRowDict",
    "OwnTablesDict",
    "OwnThreePointRowDict",
    "OwnTimelinessRowDict",
    "OwnTireMultiplesRowDict",
    "OwnTracksRowDict",
    "OwnWearRowDict",
    "OwnedMachineDict",
    "PassMatchDict",
    "PassRatesDict",
    "PowerRequestDict",
    "PowerValueDict",
    "PredecessorDict",
    "PressureValueDict",
    "PricesDict",
    "PullingDict",
    "RatioValueDict",
    "RearMountedDict",
    "RecordedWeekDict",
    "RepairFactorsDict",
    "ResidueDict",
    "RoadDict",
    "RotaryNeedDict",
    "RotationValueDict",
    "SeasonAlternativeDict",
    "SeasonFieldDict",
    "SeasonRequestDict",
    "SensitivityRequestDict",
    "SlipRequestDict",
    "SoilDict",
    "SoilStressDict",
    "SpeedValueDict",
    "SpotDict",
    "SpreadsDict",
    "SuitableDaysDict",
    "SystemCalendarDict",
    "SystemPricesDict",
    "SystemRequestDict",
    "TemperatureDifferenceValueDict",
    "TermsDict",
    "TimeRunDict",
    "TimeValueDict",
    "TimelinessDict",
    "TireConstantsDict",
    "TireLoadsDict",
    "TiresDict",
    "TorquePointDict",
    "TorqueValueDict",
    "TractionDict",
    "TractionRequestDict",
    "TractorDict",
    "TractorHitchDict",
    "TractorHydraulicsDict",
    "TractorPowerDict",
    "TransportDict",
    "TravelDistancesDict",
    "TravelTimesDict",
    "TurnDict",
    "TurnRunDict",
    "VariedValuesDict",
    "VolumeFlowValueDict",
    "VolumePerAreaValueDict",
    "VolumeValueDict",
    "WearPartDict",
    "WearingPlaceDict",
    "WheelTracksDict",
    "WheelTurnsDict",
    "WindowDict",
    "WorkDict",
    "YearsWorkDict",
]


class AmountOfMoneyValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["money"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class AngleValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["deg", "rad"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class AreaRateValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["m2/s", "ha/h", "ha/d", "ac/h", "ac/d"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class AreaValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["m2", "ha", "ac", "ft2"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class EnergyPerVolumeValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["kWh/L", "hp*h/gal"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class ForcePerLengthValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["N/m", "kN/m", "lbf/ft"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class ForceValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["N", "kN", "daN", "lbf", "kgf"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class LengthValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["mm", "cm", "m", "km", "in", "ft", "yd", "mi"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class MassFlowValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["kg/s", "kg/h", "t/h", "lb/h", "ton_short/h"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class MassPerAreaValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["kg/m2", "kg/ha", "t/ha", "lb/ac", "ton_short/ac"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class MassPerVolumeValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["kg/L", "kg/m3", "lb/gal"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class MassValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["kg", "t", "lb", "ton_short"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class MoneyPerAreaValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["money/m2", "money/ha", "money/ac"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class MoneyPerMassValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["money/kg", "money/t", "money/lb", "money/ton_short"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class MoneyPerTimeValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["money/h", "money/d"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class MoneyPerVolumeValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["money/L", "money/gal"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class PowerValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["W", "kW", "hp", "hp_metric"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class PressureValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["Pa", "kPa", "MPa", "bar", "psi", "N/cm2"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class RatioValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["1", "%"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class RotationValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["rad/s", "r/min"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class SpeedValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["m/s", "km/h", "mph", "ft/min"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class TemperatureDifferenceValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["K", "degF"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class TimeValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["s", "min", "h", "d"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class TorqueValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["N*m", "lbf*ft"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class VolumeFlowValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["m3/s", "L/min", "L/h", "gal/min", "gal/h", "gal_imp/h"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class VolumePerAreaValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["L/ha", "gal/ac", "gal_imp/ac"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class VolumeValueDict(TypedDict):
    """A number with its unit, or what an answer gave."""

    value: float
    unit: Literal["L", "m3", "cm3", "gal", "gal_imp", "in3"]
    low: NotRequired[float | None]
    high: NotRequired[float | None]


class AwayDict(TypedDict):
    """Days on which a machine is away."""

    first: str
    last: str


class TireLoadsDict(TypedDict):
    """Tires of one axle by what they carry. Give `load_index` or `rated_load`."""

    load_index: NotRequired[int | None]
    rated_load: NotRequired[models.Mass | MassValueDict | None]
    count: NotRequired[int | None]
    mounting: NotRequired[models.Mounting | None]


class AxleTireLoadsDict(TypedDict):
    """Tires by what they carry."""

    front: NotRequired[TireLoadsDict | None]
    rear: NotRequired[TireLoadsDict | None]
    machine: NotRequired[TireLoadsDict | None]


class TiresDict(TypedDict):
    """All tires of one axle: two, or four and six as duals and triples."""

    size: str
    count: NotRequired[models.TireCount | None]
    width: NotRequired[models.MachineLength | LengthValueDict | None]
    diameter: NotRequired[models.MachineLength | LengthValueDict | None]
    static_loaded_radius: NotRequired[models.MachineLength | LengthValueDict | None]
    inflation: NotRequired[models.InflationPressure | PressureValueDict | None]
    road_inflation: NotRequired[models.InflationPressure | PressureValueDict | None]
    rated_inflation: NotRequired[models.InflationPressure | PressureValueDict | None]


class AxleTiresDict(TypedDict):
    """Tires of both axles."""

    front: TiresDict
    rear: TiresDict


class BallastLimitsDict(TypedDict):
    """Limits to keep."""

    mass: NotRequired[models.TractorMass | MassValueDict | None]
    front_share: NotRequired[models.Efficiency | RatioValueDict | None]
    axle_mass: NotRequired[models.Mass | MassValueDict | None]


class BallastOnDict(TypedDict):
    """Ballast the tractor carries now and can do without."""

    front: NotRequired[models.Ballast | MassValueDict | None]
    rear: NotRequired[models.Ballast | MassValueDict | None]
    total: NotRequired[models.Ballast | MassValueDict | None]


class ConeReadingDict(TypedDict):
    """The cone index at one depth."""

    depth: models.Depth | LengthValueDict
    cone_index: models.ConeIndex | PressureValueDict


class DeratingDict(TypedDict):
    """Thin and hot air, which leave a diesel engine less than its rated power."""

    aspiration: models.Aspiration
    altitude: NotRequired[models.Altitude | LengthValueDict | None]
    heat: NotRequired[models.Heat | TemperatureDifferenceValueDict | None]


class FuelMapDict(TypedDict):
    """Measured fuel by load and engine speed: straight lines between the points, the nearest one beyond them."""

    loads: Sequence[models.Share | RatioValueDict]
    engine_speeds: Sequence[models.EngineSpeedRatio | RatioValueDict]
    rates: Sequence[Sequence[models.FuelRate | VolumeFlowValueDict]]


class EngineFuelDict(TypedDict):
    """What this engine burns, in place of the fuel equation. Give one of the two."""

    map: NotRequired[FuelMapDict | None]
    work_per_fuel: NotRequired[models.WorkPerFuel | EnergyPerVolumeValueDict | None]


class FrontMountedDict(TypedDict):
    """What hangs on the front, raised."""

    mass: models.Mass | MassValueDict
    ahead_of_axle: models.MachineLength | LengthValueDict


class GearDict(TypedDict):
    """One gear of the transmission."""

    name: str
    speed: models.Speed | SpeedValueDict
    efficiency: NotRequired[models.Efficiency | RatioValueDict | None]


class GroundToolDict(TypedDict):
    """One kind of ground-engaging tool on an implement."""

    tool: models.DraftRow
    count: NotRequired[int | None]
    spacing: NotRequired[models.Spacing | LengthValueDict | None]
    width: NotRequired[models.Width | LengthValueDict | None]
    depth: NotRequired[models.Depth | LengthValueDict | None]
    draft_per_width: NotRequired[models.DraftOfWidth | ForcePerLengthValueDict | None]
    draft_per_tool: NotRequired[models.DraftOfTool | ForceValueDict | None]
    draft_speed: NotRequired[models.Speed | SpeedValueDict | None]
    draft_range: NotRequired[models.Share | RatioValueDict | None]


class HydraulicNeedDict(TypedDict):
    """Oil that flows all the time the machine works."""

    name: NotRequired[str | None]
    flow: models.Flow | VolumeFlowValueDict
    pressure: models.Pressure | PressureValueDict


class RotaryNeedDict(TypedDict):
    """Something driven from the PTO."""

    machine: models.RotaryRow
    width: NotRequired[models.Width | LengthValueDict | None]
    feed_rate: NotRequired[models.FeedRate | MassFlowValueDict | None]


class WheelTracksDict(TypedDict):
    """Tools that run in the wheel tracks of the tractor, where draft is higher; `{}` takes every default."""

    share: NotRequired[models.Share | RatioValueDict | None]
    factor: NotRequired[models.Multiplier | RatioValueDict | None]


class ImplementDict(TypedDict):
    """A machine behind the tractor: a list of ground tools, and what else it needs."""

    name: NotRequired[str | None]
    hitch: models.Hitch
    tools: NotRequired[Sequence[GroundToolDict] | None]
    width: NotRequired[models.Width | LengthValueDict | None]
    mass: NotRequired[models.Mass | MassValueDict | None]
    practice: NotRequired[models.PracticeRow | None]
    speed_range: NotRequired[Sequence[models.Speed | SpeedValueDict] | None]
    depth_range: NotRequired[Sequence[models.Depth | LengthValueDict] | None]
    draft_multiplier: NotRequired[models.Multiplier | RatioValueDict | None]
    wheel_tracks: NotRequired[WheelTracksDict | None]
    motion_resistance_ratio: NotRequired[models.Share | RatioValueDict | None]
    center_of_mass: NotRequired[models.Length | LengthValueDict | None]
    hitch_share: NotRequired[models.Share | RatioValueDict | None]
    vertical_load: NotRequired[models.Pull | ForceValueDict | None]
    vertical_share: NotRequired[models.Share | RatioValueDict | None]
    pull_height: NotRequired[models.HitchHeight | LengthValueDict | None]
    rotary: NotRequired[Sequence[RotaryNeedDict] | None]
    hydraulic: NotRequired[Sequence[HydraulicNeedDict] | None]
    electric: NotRequired[models.Power | PowerValueDict | None]


class KnownPullDict(TypedDict):
    """A pull that is known, in place of an implement."""

    force: models.Pull | ForceValueDict
    hitch: NotRequired[models.Hitch | None]
    mass: NotRequired[models.Mass | MassValueDict | None]
    center_of_mass: NotRequired[models.Length | LengthValueDict | None]
    hitch_share: NotRequired[models.Share | RatioValueDict | None]
    vertical_load: NotRequired[models.Pull | ForceValueDict | None]
    vertical_share: NotRequired[models.Share | RatioValueDict | None]
    pull_height: NotRequired[models.HitchHeight | LengthValueDict | None]


class OwnBreakdownRowDict(TypedDict):
    """A row for the table `breakdown`."""

    id: str
    operation: NotRequired[str | None]
    hours_per_year: NotRequired[float | None]
    chance_per_40_ha: NotRequired[float | None]


class OwnDefaultsRowDict(TypedDict):
    """A row for the table `defaults`."""

    id: str
    value: NotRequired[float | None]
    unit: NotRequired[models.Unit | None]


class OwnDraftRowDict(TypedDict):
    """A row for the table `draft`."""

    id: str
    group: NotRequired[models.OwnDraftRowGroup | None]
    implement: NotRequired[str | None]
    variant: NotRequired[str | None]
    counted_in: NotRequired[models.CountedIn | None]
    depth_counts: NotRequired[bool | None]
    A: NotRequired[float | None]
    B: NotRequired[float | None]
    C: NotRequired[float | None]
    fine: NotRequired[float | None]
    medium: NotRequired[float | None]
    coarse: NotRequired[float | None]
    range: NotRequired[float | None]
    practice: NotRequired[str | None]


class OwnDrainageRowDict(TypedDict):
    """A row for the table `drainage`."""

    id: str
    rate: NotRequired[float | None]


class OwnDrawbarPerPtoRowDict(TypedDict):
    """A row for the table `drawbar-per-pto`."""

    id: str
    concrete: NotRequired[float | None]
    firm: NotRequired[float | None]
    tilled: NotRequired[float | None]
    soft: NotRequired[float | None]


class OwnDrawbarRowDict(TypedDict):
    """A row for the table `drawbar`."""

    id: str
    pto_high_kW: NotRequired[float | None]


class OwnLoadIndexRowDict(TypedDict):
    """A row for the table `load-index`."""

    id: str
    load_kg: NotRequired[float | None]


class OwnMassPerPowerRowDict(TypedDict):
    """A row for the table `mass-per-power`."""

    id: str
    speed_low_km_h: NotRequired[float | None]
    speed_high_km_h: NotRequired[float | None]
    mass_kg_per_kW: NotRequired[float | None]


class OwnPracticeRowDict(TypedDict):
    """A row for the table `practice`."""

    id: str
    group: NotRequired[models.OwnPracticeRowGroup | None]
    machine: NotRequired[str | None]
    field_efficiency_low: NotRequired[float | None]
    field_efficiency_typical: NotRequired[float | None]
    field_efficiency_high: NotRequired[float | None]
    speed_low_km_h: NotRequired[float | None]
    speed_typical_km_h: NotRequired[float | None]
    speed_high_km_h: NotRequired[float | None]
    life_h: NotRequired[float | None]
    lifetime_repair: NotRequired[float | None]
    RF1: NotRequired[float | None]
    RF2: NotRequired[float | None]


class OwnPtoRowDict(TypedDict):
    """A row for the table `pto`."""

    id: str
    speed_r_min: NotRequired[float | None]
    shaft_mm: NotRequired[float | None]
    splines: NotRequired[int | None]
    spline_form: NotRequired[models.SplineForm | None]
    pto_high_kW: NotRequired[float | None]


class OwnRemainingValueRowDict(TypedDict):
    """A row for the table `remaining-value`."""

    id: str
    machine: NotRequired[str | None]
    C1: NotRequired[float | None]
    C2: NotRequired[float | None]
    C3: NotRequired[float | None]


class OwnResidueRetentionRowDict(TypedDict):
    """A row for the table `residue-retention`."""

    id: str
    group: NotRequired[models.OwnResidueRetentionRowGroup | None]
    operation: NotRequired[str | None]
    variant: NotRequired[str | None]
    non_fragile_low: NotRequired[float | None]
    non_fragile_high: NotRequired[float | None]
    fragile_low: NotRequired[float | None]
    fragile_high: NotRequired[float | None]
    confidence: NotRequired[models.Confidence | None]


class OwnRotaryRowDict(TypedDict):
    """A row for the table `rotary`."""

    id: str
    machine: NotRequired[str | None]
    a_kW: NotRequired[float | None]
    b_kW_per_m: NotRequired[float | None]
    c_kWh_per_t: NotRequired[float | None]
    range: NotRequired[float | None]


class OwnSoilWaterRowDict(TypedDict):
    """A row for the table `soil-water`."""

    id: str
    topsoil: NotRequired[float | None]
    subsoil: NotRequired[float | None]
    topsoil_drains: NotRequired[float | None]
    subsoil_drains: NotRequired[float | None]
    evaporation: NotRequired[float | None]
    season: NotRequired[float | None]
    level: NotRequired[float | None]
    by_topsoil: NotRequired[float | None]
    by_subsoil: NotRequired[float | None]
    by_rain: NotRequired[float | None]
    by_warmth: NotRequired[float | None]
    by_snow: NotRequired[float | None]
    spread: NotRequired[float | None]
    next_week: NotRequired[float | None]
    same_year: NotRequired[float | None]


class OwnStaticSplitRowDict(TypedDict):
    """A row for the table `static-split`."""

    id: str
    front_share_low: NotRequired[float | None]
    front_share_high: NotRequired[float | None]


class OwnSuitableDaysRowDict(TypedDict):
    """A row for the table `suitable-days`."""

    id: str
    place: NotRequired[str | None]
    period: NotRequired[str | None]
    calendar_days: NotRequired[float | None]
    mean_days: NotRequired[float | None]
    least_days: NotRequired[float | None]
    most_days: NotRequired[float | None]
    years: NotRequired[float | None]


class OwnSurfacesRowDict(TypedDict):
    """A row for the table `surfaces`."""

    id: str
    cone_index_kPa: NotRequired[float | None]
    mobility_number_label: NotRequired[float | None]
    slip_band_low: NotRequired[float | None]
    slip_band_high: NotRequired[float | None]
    ratio_column: NotRequired[models.RatioColumn | None]


class OwnThreePointRowDict(TypedDict):
    """A row for the table `three-point`."""

    id: str
    category: NotRequired[str | None]
    lower_pin_in: NotRequired[float | None]
    upper_pin_in: NotRequired[float | None]
    spacing_in: NotRequired[float | None]
    tractor_low_hp: NotRequired[float | None]
    tractor_high_hp: NotRequired[float | None]
    pto_low_kW: NotRequired[float | None]
    pto_high_kW: NotRequired[float | None]


class OwnTimelinessRowDict(TypedDict):
    """A row for the table `timeliness`."""

    id: str
    operation: NotRequired[str | None]
    region: NotRequired[str | None]
    loss_low: NotRequired[float | None]
    loss_high: NotRequired[float | None]


class OwnTireMultiplesRowDict(TypedDict):
    """A row for the table `tire-multiples`."""

    id: str
    load_multiplier: NotRequired[float | None]


class OwnTracksRowDict(TypedDict):
    """A row for the table `tracks`."""

    id: str
    greatest_pull: NotRequired[float | None]
    greatest_pull_low: NotRequired[float | None]
    greatest_pull_high: NotRequired[float | None]
    slip_rate: NotRequired[float | None]
    motion_resistance: NotRequired[float | None]
    slip_band_low: NotRequired[float | None]
    slip_band_high: NotRequired[float | None]


class OwnWearRowDict(TypedDict):
    """A row for the table `wear`."""

    id: str
    part: NotRequired[str | None]
    relative_life: NotRequired[float | None]


class OwnTablesDict(TypedDict):
    """Rows of your own, by table: in place of those with that `id`, or new ones, with all figures."""

    draft: NotRequired[Sequence[OwnDraftRowDict] | None]
    rotary: NotRequired[Sequence[OwnRotaryRowDict] | None]
    drawbar_per_pto: NotRequired[Sequence[OwnDrawbarPerPtoRowDict] | None]
    practice: NotRequired[Sequence[OwnPracticeRowDict] | None]
    surfaces: NotRequired[Sequence[OwnSurfacesRowDict] | None]
    tracks: NotRequired[Sequence[OwnTracksRowDict] | None]
    static_split: NotRequired[Sequence[OwnStaticSplitRowDict] | None]
    mass_per_power: NotRequired[Sequence[OwnMassPerPowerRowDict] | None]
    remaining_value: NotRequired[Sequence[OwnRemainingValueRowDict] | None]
    wear: NotRequired[Sequence[OwnWearRowDict] | None]
    suitable_days: NotRequired[Sequence[OwnSuitableDaysRowDict] | None]
    soil_water: NotRequired[Sequence[OwnSoilWaterRowDict] | None]
    drainage: NotRequired[Sequence[OwnDrainageRowDict] | None]
    breakdown: NotRequired[Sequence[OwnBreakdownRowDict] | None]
    timeliness: NotRequired[Sequence[OwnTimelinessRowDict] | None]
    three_point: NotRequired[Sequence[OwnThreePointRowDict] | None]
    drawbar: NotRequired[Sequence[OwnDrawbarRowDict] | None]
    pto: NotRequired[Sequence[OwnPtoRowDict] | None]
    load_index: NotRequired[Sequence[OwnLoadIndexRowDict] | None]
    tire_multiples: NotRequired[Sequence[OwnTireMultiplesRowDict] | None]
    residue_retention: NotRequired[Sequence[OwnResidueRetentionRowDict] | None]
    defaults: NotRequired[Sequence[OwnDefaultsRowDict] | None]


class RearMountedDict(TypedDict):
    """What hangs on the rear, raised."""

    mass: models.Mass | MassValueDict
    behind_links: models.MachineLength | LengthValueDict


class SoilDict(TypedDict):
    """The soil a tool works and a tractor stands on."""

    texture: models.Texture
    surface: models.SoilSurface
    cone_index: NotRequired[models.ConeIndex | PressureValueDict | None]
    cone_readings: NotRequired[Sequence[ConeReadingDict] | None]
    moisture: NotRequired[models.Moisture | None]
    water_content: NotRequired[models.Share | RatioValueDict | None]
    plastic_limit: NotRequired[models.Share | RatioValueDict | None]


class SoilStressDict(TypedDict):
    """Ask for the stress in the soil; `{}` takes every default."""

    depths: NotRequired[Sequence[models.Depth | LengthValueDict] | None]
    concentration: NotRequired[float | None]
    front_contact: NotRequired[models.ContactArea | AreaValueDict | None]
    rear_contact: NotRequired[models.ContactArea | AreaValueDict | None]
    dual_spacing: NotRequired[models.MachineLength | LengthValueDict | None]


class TireConstantsDict(TypedDict):
    """Constants of the traction equations; what is left out stays as published."""

    gross_max: NotRequired[float | None]
    load_rate: NotRequired[float | None]
    slip_rate: NotRequired[float | None]
    offset: NotRequired[float | None]
    roll: NotRequired[float | None]
    roll_slip: NotRequired[float | None]
    rate_by_mobility: NotRequired[float | None]
    lost: NotRequired[float | None]
    deflection_factor: NotRequired[float | None]
    width_factor: NotRequired[float | None]


class TorquePointDict(TypedDict):
    """Full torque of the engine at one speed."""

    engine_speed: models.EngineSpeedRatio | RatioValueDict
    torque: models.Multiplier | RatioValueDict


class TractionDict(TypedDict):
    """The traction equations a tractor on wheels is held to."""

    model: NotRequired[models.Model | None]
    front: NotRequired[TireConstantsDict | None]
    rear: NotRequired[TireConstantsDict | None]


class TractorPowerDict(TypedDict):
    """What the tractor is rated for. Give one; PTO power is the surer."""

    rated_pto: NotRequired[models.RatedPower | PowerValueDict | None]
    engine: NotRequired[models.RatedPower | PowerValueDict | None]
    fuel: NotRequired[EngineFuelDict | None]
    torque: NotRequired[Sequence[TorquePointDict] | None]


class TractorDict(TypedDict):
    """A tractor as it stands in the yard, ballast on."""

    name: NotRequired[str | None]
    drive: models.Drive
    power: TractorPowerDict
    mass: models.TractorMass | MassValueDict
    tires: NotRequired[AxleTiresDict | None]
    wheelbase: NotRequired[models.Wheelbase | LengthValueDict | None]
    front_share: NotRequired[models.Share | RatioValueDict | None]
    drawbar_height: NotRequired[models.HitchHeight | LengthValueDict | None]
    hitch_distance: NotRequired[models.MachineLength | LengthValueDict | None]
    center_of_mass_height: NotRequired[models.MachineLength | LengthValueDict | None]
    transmission: NotRequired[models.Transmission | None]
    transmission_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    pump_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    generator_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    front_lead: NotRequired[models.FrontLead | RatioValueDict | None]
    rear_follows_front: NotRequired[bool | None]
    engine_speed: NotRequired[models.EngineSpeedRatio | RatioValueDict | None]
    derating: NotRequired[DeratingDict | None]
    traction: NotRequired[TractionDict | None]
    gears: NotRequired[Sequence[GearDict] | None]


class TransportDict(TypedDict):
    """Implements raised for the road. Give the front one, the rear one or both."""

    front: NotRequired[FrontMountedDict | None]
    rear: NotRequired[RearMountedDict | None]
    links_behind_axle: NotRequired[models.MachineLength | LengthValueDict | None]
    unladen_mass: NotRequired[models.TractorMass | MassValueDict | None]
    speed: NotRequired[models.Speed | SpeedValueDict | None]


class BallastRequestDict(TypedDict):
    """A tractor, its work, a speed and a soil. Give an implement or a pull."""

    tractor: TractorDict
    implement: NotRequired[ImplementDict | None]
    pull: NotRequired[KnownPullDict | None]
    soil: SoilDict
    speed: models.Speed | SpeedValueDict
    slope: NotRequired[models.Slope | RatioValueDict | None]
    aim: NotRequired[models.Aim | None]
    wanted_front_share: NotRequired[models.Share | RatioValueDict | None]
    ballast_on: NotRequired[BallastOnDict | None]
    front_ballast_reach: NotRequired[models.MachineLength | LengthValueDict | None]
    limits: NotRequired[BallastLimitsDict | None]
    transport: NotRequired[TransportDict | None]
    soil_stress: NotRequired[SoilStressDict | None]
    tables: NotRequired[OwnTablesDict | None]


class VariedValuesDict(TypedDict):
    """Values of one leaf: a list of them, or evenly spaced ones."""

    unit: NotRequired[str | None]
    values: NotRequired[Sequence[float | bool | str | None] | None]
    first: NotRequired[float | None]
    last: NotRequired[float | None]
    count: NotRequired[int | None]


class BatchRequestDict(TypedDict):
    """One scenario, and what varies in it."""

    scenario: Mapping[str, Any]
    vary: Mapping[str, Sequence[float | bool | str | None] | VariedValuesDict]
    mode: NotRequired[models.BatchMode | None]
    columns: NotRequired[Sequence[str] | None]


class BestWidthDict(TypedDict):
    """Asks how wide a machine should be, its price in proportion to width."""

    machine: str
    delay_cost: NotRequired[models.HourlyRate | MoneyPerTimeValueDict | None]
    within: NotRequired[models.Share | RatioValueDict | None]
    narrowest: NotRequired[models.Width | LengthValueDict | None]
    widest: NotRequired[models.Width | LengthValueDict | None]


class CalibrationPriorDict(TypedDict):
    """How well things were known before the runs: standard deviation of the logarithm, about that over the value."""

    draft: NotRequired[models.RelativeSpread | RatioValueDict | None]
    cone_index: NotRequired[models.RelativeSpread | RatioValueDict | None]


class CalibrationRunDict(TypedDict):
    """One run in the field, and what was measured in it: at least one of pull, slip, fuel rate and engine load."""

    machine: NotRequired[str | None]
    field: NotRequired[str | None]
    speed: models.Speed | SpeedValueDict
    depth: NotRequired[models.Depth | LengthValueDict | None]
    slope: NotRequired[models.Slope | RatioValueDict | None]
    engine_speed: NotRequired[models.EngineSpeedRatio | RatioValueDict | None]
    pull: NotRequired[models.Pull | ForceValueDict | None]
    pull_error: NotRequired[models.RelativeSpread | RatioValueDict | None]
    slip: NotRequired[models.WheelSlip | RatioValueDict | None]
    slip_error: NotRequired[models.RelativeSpread | RatioValueDict | None]
    fuel_rate: NotRequired[models.FuelRate | VolumeFlowValueDict | None]
    fuel_rate_error: NotRequired[models.RelativeSpread | RatioValueDict | None]
    engine_load: NotRequired[models.Efficiency | RatioValueDict | None]
    engine_load_error: NotRequired[models.RelativeSpread | RatioValueDict | None]


class CalibrationRequestDict(TypedDict):
    """A tractor, an implement and a soil as for a match, and runs in the field."""

    tractor: TractorDict
    implement: ImplementDict
    soil: SoilDict
    runs: Sequence[CalibrationRunDict]
    prior: NotRequired[CalibrationPriorDict | None]
    tables: NotRequired[OwnTablesDict | None]


class RecordedWeekDict(TypedDict):
    """A week: `year` and `week`, or its last day, and what was recorded in it."""

    year: NotRequired[int | None]
    week: NotRequired[int | None]
    week_ending: NotRequired[str | None]
    days: NotRequired[float | None]
    topsoil: NotRequired[float | None]


class DaysRecordDict(TypedDict):
    """Suitable days week by week over some years: your own `weeks`, or the `id` of a shipped record."""

    id: NotRequired[str | None]
    weeks: NotRequired[Sequence[RecordedWeekDict] | None]
    place: NotRequired[str | None]
    own: NotRequired[bool | None]


class SuitableDaysDict(TypedDict):
    """How many days are fit for field work: a record, a mean with its spread, or a row of the table."""

    period_days: NotRequired[int | None]
    history: NotRequired[Sequence[float] | None]
    mean: NotRequired[float | None]
    spread: NotRequired[float | None]
    least: NotRequired[float | None]
    most: NotRequired[float | None]
    years: NotRequired[int | None]
    row: NotRequired[models.SuitableDaysRow | None]


class TimelinessDict(TypedDict):
    """What a day off the best one costs. Give `loss` or `row`."""

    loss: NotRequired[models.Share | RatioValueDict | None]
    row: NotRequired[models.TimelinessRow | None]
    crop_yield: models.Yield | MassPerAreaValueDict
    price: models.CropPrice | MoneyPerMassValueDict
    schedule: NotRequired[models.Schedule | None]


class CompletionRequestDict(TypedDict):
    """Work to be done in a window."""

    area: models.Area | AreaValueDict
    done: NotRequired[models.Area | AreaValueDict | None]
    passes: NotRequired[int | None]
    capacity: models.AreaRate | AreaRateValueDict
    capacity_low: NotRequired[models.AreaRate | AreaRateValueDict | None]
    capacity_high: NotRequired[models.AreaRate | AreaRateValueDict | None]
    machine_count: NotRequired[int | None]
    workday: models.Workday | TimeValueDict
    time_lost: NotRequired[models.TimeLost | RatioValueDict | None]
    breakdowns: NotRequired[models.BreakdownRow | None]
    start: str
    end: str
    suitable: NotRequired[SuitableDaysDict | None]
    record: NotRequired[DaysRecordDict | None]
    so_far: NotRequired[Sequence[RecordedWeekDict] | None]
    timeliness: NotRequired[TimelinessDict | None]
    tables: NotRequired[OwnTablesDict | None]


class FuelUseDict(TypedDict):
    """Fuel of the work."""

    rate: models.FuelRate | VolumeFlowValueDict
    price: models.FuelPrice | MoneyPerVolumeValueDict
    oil_share: NotRequired[models.Share | RatioValueDict | None]


class LaborDict(TypedDict):
    """Who does the work."""

    wage: models.HourlyRate | MoneyPerTimeValueDict
    overhead: NotRequired[models.Share | RatioValueDict | None]
    workers: NotRequired[int | None]


class RepairFactorsDict(TypedDict):
    """Repairs up to h hours of work are RF1 × list price × (h/1000)^RF2."""

    RF1: float
    RF2: float


class WearPartDict(TypedDict):
    """A kind of part that fits."""

    name: str
    price: models.Price | AmountOfMoneyValueDict
    life: NotRequired[models.Area | AreaValueDict | None]
    life_hours: NotRequired[models.PartHours | TimeValueDict | None]
    times_first: NotRequired[models.Multiplier | RatioValueDict | None]
    point: NotRequired[models.WearRow | None]
    change_time: NotRequired[models.ShortTime | TimeValueDict | None]


class WearingPlaceDict(TypedDict):
    """A place on the machine where parts wear, and what may be fitted there."""

    name: str
    count: int
    soil_factor: NotRequired[models.Multiplier | RatioValueDict | None]
    options: Sequence[WearPartDict]


class OwnedMachineDict(TypedDict):
    """A tractor or an implement that takes part in the work."""

    name: str
    price: models.MachinePrice | AmountOfMoneyValueDict
    list_price: NotRequired[models.MachinePrice | AmountOfMoneyValueDict | None]
    remaining_value: NotRequired[models.RemainingValueRow | None]
    resale: NotRequired[models.Price | AmountOfMoneyValueDict | None]
    practice: NotRequired[models.PracticeRow | None]
    repair_factors: NotRequired[RepairFactorsDict | None]
    age: NotRequired[float | None]
    hours: NotRequired[models.MachineHours | TimeValueDict | None]
    years: float
    annual_use: NotRequired[models.AnnualUse | TimeValueDict | None]
    width: NotRequired[models.Width | LengthValueDict | None]
    wearing: NotRequired[Sequence[WearingPlaceDict] | None]


class TermsDict(TypedDict):
    """What capital costs, and what comes with owning, each year."""

    interest: models.InterestRate | RatioValueDict
    taxes: NotRequired[models.Share | RatioValueDict | None]
    insurance: NotRequired[models.Share | RatioValueDict | None]
    housing: NotRequired[models.Share | RatioValueDict | None]


class YearsWorkDict(TypedDict):
    """The work of a year. Give `area` or `hours`."""

    capacity: models.AreaRate | AreaRateValueDict
    area: NotRequired[models.Area | AreaValueDict | None]
    hours: NotRequired[models.AnnualUse | TimeValueDict | None]
    fuel: NotRequired[FuelUseDict | None]
    labor: NotRequired[LaborDict | None]


class CostRequestDict(TypedDict):
    """Machines, the terms they are owned on, and the work they do. Amounts are in one currency, yours."""

    machines: Sequence[OwnedMachineDict]
    terms: TermsDict
    work: YearsWorkDict
    hire_rate: NotRequired[models.HireRate | MoneyPerAreaValueDict | None]
    best_width: NotRequired[BestWidthDict | None]
    tables: NotRequired[OwnTablesDict | None]


class CylinderDict(TypedDict):
    """A cylinder, or several alike side by side."""

    bore: models.PartLength | LengthValueDict
    rod: NotRequired[models.PartLength | LengthValueDict | None]
    count: NotRequired[int | None]
    load: NotRequired[models.Pull | ForceValueDict | None]


class CylindersDict(TypedDict):
    """Cylinders that move together. Give every `load`, or the `pressure`."""

    each: Sequence[CylinderDict]
    series: NotRequired[bool | None]
    stroke: models.PartLength | LengthValueDict
    time: models.StrokeTime | TimeValueDict
    pressure: NotRequired[models.OilPressure | PressureValueDict | None]


class DaylightDict(TypedDict):
    """What light a workday has."""

    latitude: float
    lamps: NotRequired[models.WaitTime | TimeValueDict | None]


class DaysOffDict(TypedDict):
    """Days on which nobody works."""

    weekdays: NotRequired[Sequence[models.Weekdays] | None]
    dates: NotRequired[Sequence[str] | None]


class DaysRequestDict(TypedDict):
    """Weather of one place, day by day without a gap; null where a day has no figure."""

    first: str
    rain: Sequence[float | None]
    high: Sequence[float | None]
    low: Sequence[float | None]
    snow_depth: NotRequired[Sequence[float | None] | None]
    latitude: NotRequired[float | None]
    drainage: NotRequired[models.Drainage | None]
    averaged: NotRequired[bool | None]
    from_week: NotRequired[int | None]
    to_week: NotRequired[int | None]
    tables: NotRequired[OwnTablesDict | None]


class DistanceRunDict(TypedDict):
    """Distances covered in one number of wheel turns."""

    loaded: models.Length | LengthValueDict
    unloaded: models.Length | LengthValueDict


class DoneBeforeDict(TypedDict):
    """Work that is done on a field before the plan begins."""

    field: str
    area: NotRequired[models.Area | AreaValueDict | None]
    last: NotRequired[str | None]


class DraftRequestDict(TypedDict):
    """An implement at work in a soil."""

    implement: ImplementDict
    soil: SoilDict
    speed: models.Speed | SpeedValueDict
    slope: NotRequired[models.Slope | RatioValueDict | None]
    tables: NotRequired[OwnTablesDict | None]


class SpotDict(TypedDict):
    """A place, counted from any one point for all."""

    east: models.Position | LengthValueDict
    north: models.Position | LengthValueDict


class DrivingDict(TypedDict):
    """What takes time beside the work, and how long a day can be."""

    least_block: NotRequired[models.WaitTime | TimeValueDict | None]
    hitch_change: NotRequired[models.WaitTime | TimeValueDict | None]
    travel_times: NotRequired[Sequence[Sequence[models.WaitTime | TimeValueDict]] | None]
    travel_speed: NotRequired[models.Speed | SpeedValueDict | None]
    detour: NotRequired[float | None]
    yard: NotRequired[SpotDict | None]
    daylight: NotRequired[DaylightDict | None]


class TurnDict(TypedDict):
    """A headland turn: its time, or the radius it follows from."""

    time: NotRequired[models.ShortTime | TimeValueDict | None]
    radius: NotRequired[models.TurningLength | LengthValueDict | None]
    tongue_length: NotRequired[models.TurningLength | LengthValueDict | None]
    reversing: NotRequired[bool | None]


class FieldShapeDict(TypedDict):
    """A rectangular field, from which field efficiency follows instead of being looked up."""

    length: models.Length | LengthValueDict
    width: models.Length | LengthValueDict
    turn: TurnDict
    overlap: NotRequired[models.Overlap | RatioValueDict | None]
    stops: NotRequired[models.ShortTime | TimeValueDict | None]


class FieldDict(TypedDict):
    """The field and how it is worked."""

    name: NotRequired[str | None]
    slope: NotRequired[models.Slope | RatioValueDict | None]
    area: NotRequired[models.Area | AreaValueDict | None]
    workday: NotRequired[models.Workday | TimeValueDict | None]
    efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    shape: NotRequired[FieldShapeDict | None]
    turning_fuel_share: NotRequired[models.Share | RatioValueDict | None]
    stopped_fuel_share: NotRequired[models.Share | RatioValueDict | None]


class OutlinePolygonDict(TypedDict):
    """A GeoJSON polygon (RFC 7946) in WGS 84."""

    type: models.OutlinePolygonType
    coordinates: Sequence[Sequence[Sequence[float]]]


class FieldOutlineDict(TypedDict):
    """A field as a polygon and how it is worked. Give one of `headland_passes` and `headland_width`, or none."""

    polygon: OutlinePolygonDict
    turn: TurnDict
    headland_passes: NotRequired[int | None]
    headland_width: NotRequired[models.Length | LengthValueDict | None]
    direction: NotRequired[models.Angle | AngleValueDict | None]
    overlap: NotRequired[models.Overlap | RatioValueDict | None]
    stops: NotRequired[models.ShortTime | TimeValueDict | None]
    plan: NotRequired[bool | None]


class FieldCapacityRequestDict(TypedDict):
    """A machine in a field. Give one of `efficiency`, `shape`, `outline` and `practice`, or none."""

    width: models.Width | LengthValueDict
    speed: models.Speed | SpeedValueDict
    efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    shape: NotRequired[FieldShapeDict | None]
    outline: NotRequired[FieldOutlineDict | None]
    practice: NotRequired[models.PracticeRow | None]
    area: NotRequired[models.Area | AreaValueDict | None]
    workday: NotRequired[models.Workday | TimeValueDict | None]
    crop_yield: NotRequired[models.Yield | MassPerAreaValueDict | None]
    tables: NotRequired[OwnTablesDict | None]


class MatchLimitsDict(TypedDict):
    """Limits to keep."""

    slip: NotRequired[models.SlipLimit | RatioValueDict | None]
    power_reserve: NotRequired[models.Reserve | RatioValueDict | None]
    front_share: NotRequired[models.Efficiency | RatioValueDict | None]
    holds_from: NotRequired[models.Probability | RatioValueDict | None]
    fails_below: NotRequired[models.Probability | RatioValueDict | None]
    range_deviations: NotRequired[float | None]


class PassMatchDict(TypedDict):
    """A tractor on an implement, as for `/v1/match`."""

    tractor: TractorDict
    implement: ImplementDict
    soil: SoilDict
    field: NotRequired[FieldDict | None]
    speed: NotRequired[models.Speed | SpeedValueDict | None]
    limits: NotRequired[MatchLimitsDict | None]


class PassRatesDict(TypedDict):
    """A pass of which only the rates are known."""

    capacity: models.AreaRate | AreaRateValueDict
    fuel_per_area: NotRequired[models.PassFuel | VolumePerAreaValueDict | None]


class FieldPassDict(TypedDict):
    """One pass over all the land. Give `match` or `rates`."""

    name: NotRequired[str | None]
    match: NotRequired[PassMatchDict | None]
    rates: NotRequired[PassRatesDict | None]
    times: NotRequired[int | None]
    operation: NotRequired[models.ResidueRetentionRow | None]
    retention: NotRequired[models.Share | RatioValueDict | None]
    winter_before: NotRequired[models.WinterBefore | None]
    machine_per_area: NotRequired[models.HireRate | MoneyPerAreaValueDict | None]
    machine_per_time: NotRequired[models.HourlyRate | MoneyPerTimeValueDict | None]
    price_covers_all: NotRequired[bool | None]
    earliest_day: NotRequired[int | None]
    suitable_share: NotRequired[models.Efficiency | RatioValueDict | None]


class FieldSystemDict(TypedDict):
    """A way to work the land: its passes in the order they are made."""

    name: str
    passes: Sequence[FieldPassDict]


class NeighborDict(TypedDict):
    """The farm a machine is shared with: it is theirs until their work is done, which takes longer in a wet year."""

    days: float
    start: NotRequired[str | None]
    due: NotRequired[str | None]


class FleetImplementDict(TypedDict):
    """An implement of the fleet."""

    name: str
    implement: ImplementDict
    hourly_cost: NotRequired[models.HourlyRate | MoneyPerTimeValueDict | None]
    available_from: NotRequired[str | None]
    available_to: NotRequired[str | None]
    here: NotRequired[models.Share | RatioValueDict | None]
    neighbor: NotRequired[NeighborDict | None]
    away: NotRequired[Sequence[AwayDict] | None]


class FleetTractorDict(TypedDict):
    """A tractor of the fleet."""

    name: str
    tractor: TractorDict
    hourly_cost: NotRequired[models.HourlyRate | MoneyPerTimeValueDict | None]
    available_from: NotRequired[str | None]
    available_to: NotRequired[str | None]
    here: NotRequired[models.Share | RatioValueDict | None]
    neighbor: NotRequired[NeighborDict | None]
    away: NotRequired[Sequence[AwayDict] | None]


class OperatorDict(TypedDict):
    """Someone who drives; any tractor."""

    name: str
    workday: NotRequired[models.Workday | TimeValueDict | None]
    hourly_cost: NotRequired[models.HourlyRate | MoneyPerTimeValueDict | None]


class FleetDict(TypedDict):
    """Machines and people."""

    tractors: Sequence[FleetTractorDict]
    implements: Sequence[FleetImplementDict]
    operators: NotRequired[Sequence[OperatorDict] | None]
    limits: NotRequired[MatchLimitsDict | None]


class FuelRequestDict(TypedDict):
    """A tractor under load."""

    power: TractorPowerDict
    load: NotRequired[models.Power | PowerValueDict | None]
    load_fraction: NotRequired[models.Share | RatioValueDict | None]
    engine_speed: NotRequired[models.EngineSpeedRatio | RatioValueDict | None]
    equation: NotRequired[models.FuelEquation | None]
    capacity: NotRequired[models.AreaRate | AreaRateValueDict | None]
    field_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    turning_fuel_share: NotRequired[models.Share | RatioValueDict | None]
    tables: NotRequired[OwnTablesDict | None]


class HitchLimitsDict(TypedDict):
    """Limits to hold the weights to."""

    least_tongue_share: NotRequired[models.Efficiency | RatioValueDict | None]
    most_tongue_share: NotRequired[models.Efficiency | RatioValueDict | None]
    front_share: NotRequired[models.Efficiency | RatioValueDict | None]


class HitchedMachineDict(TypedDict):
    """A machine as it goes on the road behind the tractor; give what is to be checked."""

    hitch: models.Hitch
    three_point: NotRequired[models.ThreePointCategory | None]
    drawbar: NotRequired[models.DrawbarCategory | None]
    pto: NotRequired[models.PtoType | None]
    pto_speed: NotRequired[models.PtoSpeed | None]
    pto_power: NotRequired[models.Power | PowerValueDict | None]
    mass: NotRequired[models.Mass | MassValueDict | None]
    center_of_mass: NotRequired[models.Length | LengthValueDict | None]
    tongue_length: NotRequired[models.Length | LengthValueDict | None]
    tongue_share: NotRequired[models.Share | RatioValueDict | None]
    tongue_load: NotRequired[models.Pull | ForceValueDict | None]


class RoadDict(TypedDict):
    """Tractor and machine on the road, and the limits there: yours to give, none is built in."""

    width: models.Width | LengthValueDict
    tractor_length: models.Length | LengthValueDict
    machine_length: models.Length | LengthValueDict
    speed: NotRequired[models.Speed | SpeedValueDict | None]
    greatest_width: NotRequired[models.Width | LengthValueDict | None]
    greatest_length: NotRequired[models.Length | LengthValueDict | None]
    greatest_mass_ratio: NotRequired[models.Multiplier | RatioValueDict | None]


class TractorHitchDict(TypedDict):
    """What the tractor has at its rear; give what is to be checked."""

    three_point: NotRequired[models.ThreePointCategory | None]
    drawbar: NotRequired[models.DrawbarCategory | None]
    pto: NotRequired[Sequence[models.PtoType] | None]
    vertical_limit: NotRequired[models.Pull | ForceValueDict | None]


class HitchRequestDict(TypedDict):
    """A tractor, its hitch, and a machine on it."""

    tractor: TractorDict
    hitch: NotRequired[TractorHitchDict | None]
    machine: NotRequired[HitchedMachineDict | None]
    tires: NotRequired[AxleTireLoadsDict | None]
    road: NotRequired[RoadDict | None]
    limits: NotRequired[HitchLimitsDict | None]
    tables: NotRequired[OwnTablesDict | None]


class OilMotorDict(TypedDict):
    """A hydraulic motor, such as that of a fan. Give `torque` or `pressure`."""

    displacement: models.Displacement | VolumeValueDict
    rotation: models.Rotation | RotationValueDict
    torque: NotRequired[models.Torque | TorqueValueDict | None]
    pressure: NotRequired[models.OilPressure | PressureValueDict | None]
    volumetric_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    mechanical_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]


class HydraulicFunctionDict(TypedDict):
    """Something oil moves. Give one of `steady`, `motor` and `cylinders`."""

    name: NotRequired[str | None]
    use: NotRequired[models.Use | None]
    outlet: NotRequired[int | None]
    steady: NotRequired[HydraulicNeedDict | None]
    motor: NotRequired[OilMotorDict | None]
    cylinders: NotRequired[CylindersDict | None]


class TractorHydraulicsDict(TypedDict):
    """Pump and outlets of the tractor. Give `flow`, or `displacement` and `rotation`."""

    pump: models.PumpKind
    flow: NotRequired[models.Flow | VolumeFlowValueDict | None]
    displacement: NotRequired[models.Displacement | VolumeValueDict | None]
    rotation: NotRequired[models.Rotation | RotationValueDict | None]
    volumetric_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    engine_speed: NotRequired[models.EngineSpeedRatio | RatioValueDict | None]
    pressure: models.OilPressure | PressureValueDict
    margin: NotRequired[models.OilPressure | PressureValueDict | None]
    return_pressure: NotRequired[models.OilPressure | PressureValueDict | None]
    outlets: NotRequired[int | None]
    outlet_flow: NotRequired[models.Flow | VolumeFlowValueDict | None]
    pump_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    cooling: NotRequired[models.RatedPower | PowerValueDict | None]


class HydraulicsRequestDict(TypedDict):
    """A tractor's hydraulics and what hangs on them."""

    tractor: TractorHydraulicsDict
    functions: Sequence[HydraulicFunctionDict]
    all_at_once: NotRequired[bool | None]
    tables: NotRequired[OwnTablesDict | None]


class SpreadsDict(TypedDict):
    """What else is uncertain: standard deviation over the value, of a log-normal factor."""

    cone_index: NotRequired[models.RelativeSpread | RatioValueDict | None]
    depth: NotRequired[models.RelativeSpread | RatioValueDict | None]
    speed: NotRequired[models.RelativeSpread | RatioValueDict | None]


class OddsRequestDict(TypedDict):
    """How to draw the odds. The draft is always uncertain, by its range."""

    samples: NotRequired[models.Samples | None]
    seed: NotRequired[int | None]
    range_deviations: NotRequired[float | None]
    spreads: NotRequired[SpreadsDict | None]
    correlation: NotRequired[float | None]


class MatchRequestDict(TypedDict):
    """A tractor, an implement, a soil and a field."""

    tractor: TractorDict
    implement: ImplementDict
    soil: SoilDict
    field: NotRequired[FieldDict | None]
    speed: NotRequired[models.Speed | SpeedValueDict | None]
    limits: NotRequired[MatchLimitsDict | None]
    find: NotRequired[Sequence[models.Findable] | None]
    odds: NotRequired[OddsRequestDict | None]
    tables: NotRequired[OwnTablesDict | None]


class PullingDict(TypedDict):
    """What is pulled."""

    pull: models.Pull | ForceValueDict
    speed: models.Speed | SpeedValueDict
    tractive_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    drive: NotRequired[models.Drive | None]
    surface: NotRequired[models.PullingSurface | None]
    drawbar_per_pto: NotRequired[models.Efficiency | RatioValueDict | None]


class PowerRequestDict(TypedDict):
    """Everything that takes power at once. Give what there is."""

    pulling: NotRequired[PullingDict | None]
    rotary: NotRequired[Sequence[RotaryNeedDict] | None]
    hydraulic: NotRequired[Sequence[HydraulicNeedDict] | None]
    electric: NotRequired[models.Power | PowerValueDict | None]
    transmission_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    pump_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    generator_efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    pto_per_engine_power: NotRequired[models.Efficiency | RatioValueDict | None]
    tables: NotRequired[OwnTablesDict | None]


class PredecessorDict(TypedDict):
    """Work that must be done before, on the same field."""

    work: str
    rest_days: NotRequired[int | None]
    same_day: NotRequired[bool | None]


class PricesDict(TypedDict):
    """What things cost."""

    fuel: NotRequired[models.FuelPrice | MoneyPerVolumeValueDict | None]
    labor: NotRequired[models.HourlyRate | MoneyPerTimeValueDict | None]


class ResidueDict(TypedDict):
    """What the harvest left on the ground."""

    cover: models.Share | RatioValueDict
    kind: models.ResidueKind
    winter_retention: NotRequired[models.Share | RatioValueDict | None]


class SeasonAlternativeDict(TypedDict):
    """The same work otherwise; what is left out stays as it is."""

    name: str
    fleet: NotRequired[FleetDict | None]
    workday: NotRequired[models.Workday | TimeValueDict | None]
    prices: NotRequired[PricesDict | None]
    days: NotRequired[models.Multiplier | RatioValueDict | None]
    yearly_cost: NotRequired[models.Price | AmountOfMoneyValueDict | None]


class SeasonFieldDict(TypedDict):
    """A field of the season."""

    name: str
    area: models.Area | AreaValueDict
    soil: SoilDict
    slope: NotRequired[models.Slope | RatioValueDict | None]
    efficiency: NotRequired[models.Efficiency | RatioValueDict | None]
    shape: NotRequired[FieldShapeDict | None]
    turning_fuel_share: NotRequired[models.Share | RatioValueDict | None]
    stopped_fuel_share: NotRequired[models.Share | RatioValueDict | None]
    ready: NotRequired[str | None]
    due: NotRequired[str | None]
    daily_loss: NotRequired[models.LossPerArea | MoneyPerAreaValueDict | None]
    at: NotRequired[SpotDict | None]


class WindowDict(TypedDict):
    """The days there are."""

    start: str
    end: str
    workday: models.Workday | TimeValueDict
    suitable: NotRequired[SuitableDaysDict | None]
    days_off: NotRequired[DaysOffDict | None]
    freeze_up: NotRequired[str | None]
    freeze_up_spread: NotRequired[float | None]


class WorkDict(TypedDict):
    """One operation, on one field or several."""

    name: str
    fields: Sequence[str]
    implements: Sequence[str]
    tractors: NotRequired[Sequence[str] | None]
    after: NotRequired[Sequence[PredecessorDict] | None]
    surface: NotRequired[models.SoilSurface | None]
    speed: NotRequired[models.Speed | SpeedValueDict | None]
    due: NotRequired[str | None]
    done: NotRequired[Sequence[DoneBeforeDict] | None]
    fit_share: NotRequired[models.Efficiency | RatioValueDict | None]


class SeasonRequestDict(TypedDict):
    """A fleet, fields, work and the days for it."""

    fleet: FleetDict
    fields: Sequence[SeasonFieldDict]
    work: Sequence[WorkDict]
    window: WindowDict
    prices: NotRequired[PricesDict | None]
    driving: NotRequired[DrivingDict | None]
    record: NotRequired[DaysRecordDict | None]
    so_far: NotRequired[Sequence[RecordedWeekDict] | None]
    alternatives: NotRequired[Sequence[SeasonAlternativeDict] | None]
    yearly_cost: NotRequired[models.Price | AmountOfMoneyValueDict | None]
    tables: NotRequired[OwnTablesDict | None]


class SensitivityRequestDict(TypedDict):
    """A match request; `odds` says what is uncertain."""

    tractor: TractorDict
    implement: ImplementDict
    soil: SoilDict
    field: NotRequired[FieldDict | None]
    speed: NotRequired[models.Speed | SpeedValueDict | None]
    limits: NotRequired[MatchLimitsDict | None]
    find: NotRequired[Sequence[models.Findable] | None]
    odds: NotRequired[OddsRequestDict | None]
    tables: NotRequired[OwnTablesDict | None]


class TimeRunDict(TypedDict):
    """Times over one distance, in one gear at one engine speed."""

    loaded: models.ShortTime | TimeValueDict
    unloaded: models.ShortTime | TimeValueDict


class TravelDistancesDict(TypedDict):
    """Slip by measuring distances."""

    runs: Sequence[DistanceRunDict]
    reading_error: NotRequired[models.Length | LengthValueDict | None]


class TravelTimesDict(TypedDict):
    """Slip by timing."""

    runs: Sequence[TimeRunDict]
    reading_error: NotRequired[models.ShortTime | TimeValueDict | None]


class TurnRunDict(TypedDict):
    """Wheel turns of a driven wheel over one distance."""

    loaded: float
    unloaded: float


class WheelTurnsDict(TypedDict):
    """Slip by counting turns of a driven wheel."""

    runs: Sequence[TurnRunDict]
    reading_error: NotRequired[float | None]


class SlipRequestDict(TypedDict):
    """What was counted, timed or measured. Give one of the three."""

    turns: NotRequired[WheelTurnsDict | None]
    times: NotRequired[TravelTimesDict | None]
    distances: NotRequired[TravelDistancesDict | None]


class SystemCalendarDict(TypedDict):
    """When there is field work."""

    workday: models.Workday | TimeValueDict
    suitable_share: NotRequired[models.Efficiency | RatioValueDict | None]
    first_date: NotRequired[str | None]


class SystemPricesDict(TypedDict):
    """Prices that are the same for every pass."""

    fuel: NotRequired[models.FuelPrice | MoneyPerVolumeValueDict | None]
    labor: NotRequired[models.HourlyRate | MoneyPerTimeValueDict | None]


class SystemRequestDict(TypedDict):
    """Two or more ways to work the same land."""

    area: models.Area | AreaValueDict
    systems: Sequence[FieldSystemDict]
    baseline: NotRequired[str | None]
    residue: NotRequired[ResidueDict | None]
    prices: NotRequired[SystemPricesDict | None]
    calendar: NotRequired[SystemCalendarDict | None]
    carbon_dioxide_per_fuel: NotRequired[models.CarbonDioxidePerFuel | MassPerVolumeValueDict | None]
    tables: NotRequired[OwnTablesDict | None]


class TractionRequestDict(TypedDict):
    """A tractor on a soil. Give a pull to get the slip, or a slip to get the pull."""

    tractor: TractorDict
    soil: SoilDict
    pull: NotRequired[models.Pull | ForceValueDict | None]
    slip: NotRequired[models.WheelSlip | RatioValueDict | None]
    slope: NotRequired[models.Slope | RatioValueDict | None]
    hitch: NotRequired[models.Hitch | None]
    mass: NotRequired[models.Mass | MassValueDict | None]
    center_of_mass: NotRequired[models.Length | LengthValueDict | None]
    hitch_share: NotRequired[models.Share | RatioValueDict | None]
    vertical_load: NotRequired[models.Pull | ForceValueDict | None]
    vertical_share: NotRequired[models.Share | RatioValueDict | None]
    pull_height: NotRequired[models.HitchHeight | LengthValueDict | None]
    tables: NotRequired[OwnTablesDict | None]
