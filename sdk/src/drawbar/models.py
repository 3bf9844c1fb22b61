"""Requests and answers of the service.

Generated from openapi/drawbar-v1.json by openapi/generate.py; edit neither by hand. Sets of words that answers use
may grow: to a program they are `str`, to an editor or type checker the words known today.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import msgspec

from drawbar._renamed import Renamed
from drawbar.answers import Answer, MatchPicture
from drawbar.quantities import GreatestReading, LeastReading, Quantity, Reading

__all__ = [
    "About",
    "Advice",
    "Aim",
    "AlternativeAnswer",
    "Altitude",
    "Angle",
    "AnnualUse",
    "Area",
    "AreaRate",
    "Aspiration",
    "Assumption",
    "AtWork",
    "Away",
    "AwaySpan",
    "Axle",
    "AxleAnswer",
    "AxleStress",
    "AxleTireLoads",
    "AxleTires",
    "AxlesAnswer",
    "Ballast",
    "BallastAnswer",
    "BallastChange",
    "BallastLimit",
    "BallastLimitName",
    "BallastLimits",
    "BallastOn",
    "BallastRequest",
    "BallastVerdict",
    "BatchAnswer",
    "BatchColumn",
    "BatchMode",
    "BatchRequest",
    "BestWidth",
    "BestWidthAnswer",
    "BreakdownRow",
    "CalendarDay",
    "CalendarLine",
    "CalibrationAnswer",
    "CalibrationGroup",
    "CalibrationGroups",
    "CalibrationPrior",
    "CalibrationRequest",
    "CalibrationRun",
    "CalibrationRunAnswer",
    "CapacitySummary",
    "CarbonDioxidePerFuel",
    "ChanceAnswer",
    "Cheaper",
    "CheckAnswer",
    "CheckAnswerName",
    "ColumnAnswer",
    "CompletionAnswer",
    "CompletionRequest",
    "ConeIndex",
    "ConeReading",
    "Confidence",
    "Consistency",
    "Constraint",
    "ContactArea",
    "CostAnswer",
    "CostLine",
    "CostParts",
    "CostRequest",
    "CountedIn",
    "Criterion",
    "CriterionAnswer",
    "CropPrice",
    "CurvePoint",
    "Cylinder",
    "CylinderAnswer",
    "Cylinders",
    "CylindersAnswer",
    "Daylight",
    "DaysAnswer",
    "DaysOff",
    "DaysRecord",
    "DaysRequest",
    "DecidedBy",
    "DelayCost",
    "Depth",
    "Derating",
    "Displacement",
    "DistanceRun",
    "DoneBefore",
    "DoneBy",
    "DownhillAnswer",
    "DraftAnswer",
    "DraftByToolAnswer",
    "DraftOfTool",
    "DraftOfWidth",
    "DraftRequest",
    "DraftRow",
    "DraftSummary",
    "Drainage",
    "DrawbarCategory",
    "Drive",
    "Driving",
    "DutyAnswer",
    "Efficiency",
    "EfficiencyFrom",
    "EngineFuel",
    "EngineSpeedRatio",
    "EquationAnswer",
    "FeedRate",
    "Field",
    "FieldCapacityAnswer",
    "FieldCapacityRequest",
    "FieldOutline",
    "FieldPass",
    "FieldPlan",
    "FieldPlanType",
    "FieldShape",
    "FieldSystem",
    "FieldTimeAnswer",
    "Findable",
    "FinishByDateAnswer",
    "FinishOdds",
    "FirstLate",
    "FitMapAnswer",
    "Fleet",
    "FleetImplement",
    "FleetTractor",
    "Flow",
    "ForbiddenBy",
    "FreezeUp",
    "FreezeUpOfYear",
    "FrontLead",
    "FrontMounted",
    "FuelAnswer",
    "FuelEquation",
    "FuelMap",
    "FuelPrice",
    "FuelRate",
    "FuelRequest",
    "FuelSummary",
    "FuelUse",
    "FunctionAnswer",
    "Gear",
    "GearAnswer",
    "GearChoice",
    "GreatestAnswer",
    "GreatestDepth",
    "GreatestOdds",
    "GreatestReading",
    "GreatestSpeed",
    "GreatestWidth",
    "Grid",
    "GroundTool",
    "HealthAnswer",
    "HealthStatus",
    "Heat",
    "HireAnswer",
    "HireRate",
    "Hitch",
    "HitchAnswer",
    "HitchHeight",
    "HitchLimits",
    "HitchLoads",
    "HitchRequest",
    "HitchedMachine",
    "HourlyRate",
    "HydraulicFunction",
    "HydraulicNeed",
    "HydraulicsAnswer",
    "HydraulicsRequest",
    "Implement",
    "InflationPressure",
    "Input",
    "InputShare",
    "InterestRate",
    "IsoSlip",
    "KnownPull",
    "Labor",
    "Labour",
    "Learned",
    "LearnedConeIndex",
    "LearnedMultiplier",
    "LeastReading",
    "Length",
    "Lever",
    "LeverAnswer",
    "LeverName",
    "LikelyDates",
    "LimitAnswer",
    "LossPerArea",
    "MachineCost",
    "MachineHours",
    "MachineLength",
    "MachinePrice",
    "MapPoint",
    "Mass",
    "MassCost",
    "MassGuide",
    "MatchAnswer",
    "MatchLimits",
    "MatchRequest",
    "MeasurementAnswer",
    "MeasurementAnswerKind",
    "MethodsAnswer",
    "Model",
    "Moisture",
    "Mounting",
    "Multiplier",
    "Neighbor",
    "NeighborAnswer",
    "NotYetWorked",
    "Notice",
    "OddsAnswer",
    "OddsRequest",
    "OilForMatch",
    "OilMotor",
    "OilPressure",
    "Operator",
    "OtherFuel",
    "Outline",
    "OutlineAnswer",
    "OutlinePolygon",
    "OutlinePolygonType",
    "Output",
    "OutputSensitivity",
    "Overlap",
    "OwnBreakdownRow",
    "OwnDefaultsRow",
    "OwnDraftRow",
    "OwnDraftRowGroup",
    "OwnDrainageRow",
    "OwnDrawbarPerPtoRow",
    "OwnDrawbarRow",
    "OwnFigure",
    "OwnLoadIndexRow",
    "OwnMassPerPowerRow",
    "OwnPracticeRow",
    "OwnPracticeRowGroup",
    "OwnPtoRow",
    "OwnRemainingValueRow",
    "OwnResidueRetentionRow",
    "OwnResidueRetentionRowGroup",
    "OwnRotaryRow",
    "OwnSoilWaterRow",
    "OwnStaticSplitRow",
    "OwnSuitableDaysRow",
    "OwnSurfacesRow",
    "OwnTables",
    "OwnThreePointRow",
    "OwnTimelinessRow",
    "OwnTireMultiplesRow",
    "OwnTracksRow",
    "OwnWearRow",
    "OwnedMachine",
    "PairingAnswer",
    "Part",
    "PartHours",
    "PartLength",
    "PassAnswer",
    "PassCalendar",
    "PassFuel",
    "PassMatch",
    "PassMatchAnswer",
    "PassRates",
    "PlanFeature",
    "PlanFeatureType",
    "PlanLine",
    "PlanLineType",
    "PlanProperties",
    "PlanRow",
    "Position",
    "Power",
    "PowerAnswer",
    "PowerBySpeedAnswer",
    "PowerMethod",
    "PowerPathsAnswer",
    "PowerPoint",
    "PowerRequest",
    "PracticeRow",
    "Predecessor",
    "PredictiveCheck",
    "Pressure",
    "Price",
    "Prices",
    "Probability",
    "PtoAnswer",
    "PtoSpeed",
    "PtoType",
    "Pull",
    "PullPoint",
    "Pulling",
    "PullingPower",
    "PullingSurface",
    "PumpKind",
    "Quantity",
    "QuickCheck",
    "RatedPower",
    "RatioColumn",
    "Reading",
    "RearMounted",
    "RecordOfWeather",
    "RecordWeekOfWeather",
    "Recorded",
    "RecordedWeek",
    "RelativeSpread",
    "Relaxation",
    "RemainingValueRow",
    "RepairFactors",
    "Reserve",
    "Residue",
    "ResidueKind",
    "ResidueRetentionRow",
    "Resource",
    "ResourceAnswer",
    "Road",
    "RoadAnswer",
    "RotaryNeed",
    "RotaryRow",
    "Rotation",
    "RowFault",
    "RunPrediction",
    "Samples",
    "Schedule",
    "Search",
    "SeasonAlternative",
    "SeasonAnswer",
    "SeasonCost",
    "SeasonField",
    "SeasonLever",
    "SeasonOutcome",
    "SeasonRequest",
    "SeasonTimelineAnswer",
    "SeasonVerdict",
    "SeasonYear",
    "SeasonYears",
    "SecondOpinion",
    "SensitivityAnswer",
    "SensitivityRequest",
    "Series",
    "Share",
    "SheetAnswer",
    "SheetBinding",
    "SheetLine",
    "ShortTime",
    "SlipAnswer",
    "SlipByPullAnswer",
    "SlipColumns",
    "SlipLimit",
    "SlipRequest",
    "SlipRunAnswer",
    "SlipWay",
    "Slope",
    "Soil",
    "SoilStress",
    "SoilStressAnswer",
    "SoilStressByDepthAnswer",
    "SoilSurface",
    "SourceAnswer",
    "SourceBasis",
    "SourcesAnswer",
    "Spacing",
    "Speed",
    "SplineForm",
    "Spot",
    "Spreads",
    "Standing",
    "StandingAnswer",
    "StressAtDepth",
    "StressCurve",
    "StrokeTime",
    "SubsoilBears",
    "SuitableDays",
    "SuitableDaysRow",
    "SymbolAnswer",
    "SystemAnswer",
    "SystemCalendar",
    "SystemDifference",
    "SystemPrices",
    "SystemRequest",
    "SystemResult",
    "SystemTotals",
    "SystemVerdict",
    "TableAnswer",
    "TablesAnswer",
    "TaskAnswer",
    "Terms",
    "Texture",
    "ThreePointAnswer",
    "ThreePointCategory",
    "TimeLost",
    "TimeRun",
    "Timeliness",
    "TimelinessRow",
    "TireAnswer",
    "TireConstants",
    "TireCount",
    "TireLoads",
    "Tires",
    "ToolBars",
    "ToolDraftAnswer",
    "Torque",
    "TorquePoint",
    "Traction",
    "TractionAnswer",
    "TractionRequest",
    "Tractor",
    "TractorHitch",
    "TractorHydraulics",
    "TractorMass",
    "TractorPower",
    "Transmission",
    "Transport",
    "TransportAnswer",
    "TravelDistances",
    "TravelTimes",
    "TrialColumn",
    "TrialRuns",
    "Turn",
    "TurnRun",
    "TurningLength",
    "Unit",
    "Use",
    "ValidRangeAnswer",
    "VariedValues",
    "Verdict",
    "VersionAnswer",
    "WaitTime",
    "WarningCode",
    "WearComparison",
    "WearPart",
    "WearPartCost",
    "WearRow",
    "WearingPlace",
    "WeekOfWeather",
    "WeekOfWindow",
    "Weekdays",
    "WheelSlip",
    "WheelTracks",
    "WheelTurns",
    "Wheelbase",
    "WholeTableAnswer",
    "Width",
    "Window",
    "WinterBefore",
    "WithoutOutliers",
    "Word",
    "Work",
    "WorkPerFuel",
    "WorkSpan",
    "Workday",
    "YearOfWeather",
    "YearOfWindow",
    "YearsWork",
    "Yield",
]

Altitude: TypeAlias = str | Quantity
"""Height above sea level. From 0 to 5500 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "1100 m"."""

Angle: TypeAlias = str | Quantity
"""An angle, or a direction east of north. From -401.1 to 401.1 deg. Units: deg, rad. For example "-241 deg"."""

AnnualUse: TypeAlias = str | Quantity
"""Hours of work in a year; no more than the year has. From 1 to 8784 h. Units: s, min, h, d. For example "1760 h"."""

Area: TypeAlias = str | Quantity
"""An area of land. From 0.0001 to 1000000 ha. Units: m2, ha, ac, ft2. For example "200000 ha"."""

AreaRate: TypeAlias = str | Quantity
"""Area worked in a time. From 0.0036 to 360 ha/h. Units: m2/s, ha/h, ha/d, ac/h, ac/d. For example "72 ha/h"."""

Ballast: TypeAlias = str | Quantity
"""Mass hung on a tractor. From 0 to 60000 kg. Units: kg, t, lb, ton_short. For example "12000 kg"."""

CarbonDioxidePerFuel: TypeAlias = str | Quantity
"""Carbon dioxide from burning fuel. From 0 to 10 kg/L. Units: kg/L, kg/m3, lb/gal. For example "2 kg/L"."""

ConeIndex: TypeAlias = str | Quantity
"""Soil cone index: penetration resistance of a standard cone.

From 10 to 10000 kPa. Units: Pa, kPa, MPa, bar, psi, N/cm2. For example "2010 kPa".
"""

ContactArea: TypeAlias = str | Quantity
"""Area of a tire on the ground. From 0.001 to 5 m2. Units: m2, ha, ac, ft2. For example "1 m2"."""

CropPrice: TypeAlias = str | Quantity
"""Price of a crop.

From 0 to 1000000 money/t. Units: money/kg, money/t, money/lb, money/ton_short. For example "200000 money/t".
"""

Depth: TypeAlias = str | Quantity
"""Working depth in soil. From 0.1 to 150 cm. Units: mm, cm, m, km, in, ft, yd, mi. For example "30.1 cm"."""

Displacement: TypeAlias = str | Quantity
"""Volume a pump or motor sweeps in one turn.

From 0.1 to 10000 cm3. Units: L, m3, cm3, gal, gal_imp, in3. For example "2000 cm3".
"""

DraftOfTool: TypeAlias = str | Quantity
"""Draft of one's own for each tool or row. From 0.001 to 100 kN. Units: N, kN, daN, lbf, kgf. For example "20 kN"."""

DraftOfWidth: TypeAlias = str | Quantity
"""Draft of one's own for each unit of working width.

From 0.001 to 100 kN/m. Units: N/m, kN/m, lbf/ft. For example "20 kN/m".
"""

Efficiency: TypeAlias = float | str | Quantity
"""A ratio of what comes out to what goes in.

From 0.01 to 1. Units: %. A plain number is a ratio. For example "20.8 %".
"""

EngineSpeedRatio: TypeAlias = float | str | Quantity
"""Engine speed over full-throttle speed. From 0.4 to 1. Units: %. A plain number is a ratio. For example "52 %"."""

FeedRate: TypeAlias = str | Quantity
"""Material through a machine. From 0 to 720 t/h. Units: kg/s, kg/h, t/h, lb/h, ton_short/h. For example "144 t/h"."""

Flow: TypeAlias = str | Quantity
"""Hydraulic flow.

From 0.006 to 1200 L/min. Units: m3/s, L/min, L/h, gal/min, gal/h, gal_imp/h. For example "240 L/min".
"""

FrontLead: TypeAlias = float | str | Quantity
"""How much faster front wheels are geared than rear ones.

From 0 to 0.15. Units: %. A plain number is a ratio. For example "3 %".
"""

FuelPrice: TypeAlias = str | Quantity
"""Price of fuel or oil. From 0 to 1000 money/L. Units: money/L, money/gal. For example "200 money/L"."""

FuelRate: TypeAlias = str | Quantity
"""Fuel burnt in a time.

From 0.36 to 72000 L/h. Units: m3/s, L/min, L/h, gal/min, gal/h, gal_imp/h. For example "14400 L/h".
"""

Heat: TypeAlias = str | Quantity
"""How much warmer something is. From 0 to 31 K. Units: K, degF. For example "6.2 K"."""

HireRate: TypeAlias = str | Quantity
"""What is paid to have an area worked.

From 0 to 100000000 money/ha. Units: money/m2, money/ha, money/ac. For example "20000000 money/ha".
"""

HitchHeight: TypeAlias = str | Quantity
"""A drawbar or a line of pull above ground.

From 0.1 to 2 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "0.48 m".
"""

HourlyRate: TypeAlias = str | Quantity
"""What is paid, or lost, in a time.

From 0 to 36000000 money/h. Units: money/h, money/d. For example "7200000 money/h".
"""

InflationPressure: TypeAlias = str | Quantity
"""Pressure of the air in a tire, above that around it.

From 0.2 to 10 bar. Units: Pa, kPa, MPa, bar, psi, N/cm2. For example "2.16 bar".
"""

InterestRate: TypeAlias = float | str | Quantity
"""Real interest a year: what is paid or forgone above inflation.

From -0.1 to 0.5. Units: %. A plain number is a ratio. For example "2 %".
"""

Length: TypeAlias = str | Quantity
"""A length. From 0.01 to 20000 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "4000 m"."""

LossPerArea: TypeAlias = str | Quantity
"""What an area loses with each day that work on it is late.

From 0 to 10000000 money/ha. Units: money/m2, money/ha, money/ac. For example "2000000 money/ha".
"""

MachineHours: TypeAlias = str | Quantity
"""Hours of work of a machine or a part. From 0 to 100000 h. Units: s, min, h, d. For example "20000 h"."""

MachineLength: TypeAlias = str | Quantity
"""A dimension of a tractor: wheelbase, heights, tires.

From 0.01 to 6 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "1.21 m".
"""

MachinePrice: TypeAlias = float | str | Quantity
"""What a machine is bought for.

From 0.01 to 1000000000 money. Units: money. A plain number is a ratio. For example "200000000 money".
"""

Mass: TypeAlias = str | Quantity
"""Mass of a machine. From 1 to 100000 kg. Units: kg, t, lb, ton_short. For example "20000 kg"."""

Multiplier: TypeAlias = float | str | Quantity
"""A factor on a table value. From 0.1 to 10. Units: %. A plain number is a ratio. For example "2.08"."""

OilPressure: TypeAlias = str | Quantity
"""Pressure of hydraulic oil. From 0.1 to 1000 bar. Units: Pa, kPa, MPa, bar, psi, N/cm2. For example "200 bar"."""

Overlap: TypeAlias = float | str | Quantity
"""Share of a working width that is worked twice.

From 0 to 0.9. Units: %. A plain number is a ratio. For example "18 %".
"""

PartHours: TypeAlias = str | Quantity
"""Hours of work a wearing part lasts. From 0.1 to 100000 h. Units: s, min, h, d. For example "20000 h"."""

PartLength: TypeAlias = str | Quantity
"""A dimension of a part: a bore, a rod, a stroke, a pin.

From 5 to 3000 mm. Units: mm, cm, m, km, in, ft, yd, mi. For example "604 mm".
"""

PassFuel: TypeAlias = str | Quantity
"""Fuel that one pass over the land takes.

From 0 to 10000 L/ha. Units: L/ha, gal/ac, gal_imp/ac. For example "2000 L/ha".
"""

Position: TypeAlias = str | Quantity
"""How far east or north a place lies.

From -100000 to 100000 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "-60000 m".
"""

Power: TypeAlias = str | Quantity
"""Power; not negative. From 0 to 2000 kW. Units: W, kW, hp, hp_metric. For example "400 kW"."""

Pressure: TypeAlias = str | Quantity
"""A pressure. From 0.001 to 100000 kPa. Units: Pa, kPa, MPa, bar, psi, N/cm2. For example "20000 kPa"."""

Price: TypeAlias = float | str | Quantity
"""What something is bought or sold for.

From 0 to 1000000000 money. Units: money. A plain number is a ratio. For example "200000000 money".
"""

Probability: TypeAlias = float | str | Quantity
"""A chance that is neither none nor certain.

From 0.001 to 0.999. Units: %. A plain number is a ratio. For example "20.1 %".
"""

Pull: TypeAlias = str | Quantity
"""A pull at the hitch; not negative. From 0 to 1000 kN. Units: N, kN, daN, lbf, kgf. For example "200 kN"."""

RatedPower: TypeAlias = str | Quantity
"""What an engine or PTO is rated for. From 1 to 1000 kW. Units: W, kW, hp, hp_metric. For example "201 kW"."""

RelativeSpread: TypeAlias = float | str | Quantity
"""A standard deviation over the value it belongs to.

From 0 to 1. Units: %. A plain number is a ratio. For example "20 %".
"""

Reserve: TypeAlias = float | str | Quantity
"""A share kept in hand. From 0 to 0.9. Units: %. A plain number is a ratio. For example "18 %"."""

Rotation: TypeAlias = str | Quantity
"""A speed of rotation. From 0.09549 to 9549 r/min. Units: rad/s, r/min. For example "1910 r/min"."""

Share: TypeAlias = float | str | Quantity
"""A ratio from 0 to 1. From 0 to 1. Units: %. A plain number is a ratio. For example "20 %"."""

ShortTime: TypeAlias = str | Quantity
"""A turn, a stop. From 0 to 86400 s. Units: s, min, h, d. For example "17300 s"."""

SlipLimit: TypeAlias = float | str | Quantity
"""A limit on slip. From 0.01 to 0.6. Units: %. A plain number is a ratio. For example "12.8 %"."""

Slope: TypeAlias = float | str | Quantity
"""Rise over run along the direction of travel; positive uphill.

From -0.4 to 0.4. Units: %. A plain number is a ratio. For example "-24 %".
"""

Spacing: TypeAlias = str | Quantity
"""Distance between tools or rows. From 0.1 to 1000 cm. Units: mm, cm, m, km, in, ft, yd, mi. For example "200 cm"."""

Speed: TypeAlias = str | Quantity
"""Ground speed. From 0.036 to 72 km/h. Units: m/s, km/h, mph, ft/min. For example "14.4 km/h"."""

StrokeTime: TypeAlias = str | Quantity
"""Time a cylinder takes over its stroke. From 0.1 to 3600 s. Units: s, min, h, d. For example "720 s"."""

TimeLost: TypeAlias = float | str | Quantity
"""Share of work time that is lost. From 0 to 0.9. Units: %. A plain number is a ratio. For example "18 %"."""

Torque: TypeAlias = str | Quantity
"""A torque. From 0 to 10000000 N*m. Units: N*m, lbf*ft. For example "2000000 N*m"."""

TractorMass: TypeAlias = str | Quantity
"""Mass of a tractor, ballast included. From 300 to 60000 kg. Units: kg, t, lb, ton_short. For example "12200 kg"."""

TurningLength: TypeAlias = str | Quantity
"""A turning radius, or the length of a tongue.

From 0.01 to 30 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "6.01 m".
"""

WaitTime: TypeAlias = str | Quantity
"""Time on the road or to change an implement. From 0 to 1440 min. Units: s, min, h, d. For example "288 min"."""

WheelSlip: TypeAlias = float | str | Quantity
"""Slip of driven wheels, in the range where the traction equations mean something.

From 0 to 0.6. Units: %. A plain number is a ratio. For example "12 %".
"""

Wheelbase: TypeAlias = str | Quantity
"""Front to rear axle. From 0.8 to 6 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "1.84 m"."""

Width: TypeAlias = str | Quantity
"""Working width of a machine. From 0.01 to 60 m. Units: mm, cm, m, km, in, ft, yd, mi. For example "12 m"."""

WorkPerFuel: TypeAlias = str | Quantity
"""Work that an engine does for each unit of fuel.

From 0.1 to 10 kWh/L. Units: kWh/L, hp*h/gal. For example "2.08 kWh/L".
"""

Workday: TypeAlias = str | Quantity
"""Hours of field work in a day. From 0.1 to 24 h. Units: s, min, h, d. For example "4.88 h"."""

Yield: TypeAlias = str | Quantity
"""Material on an area.

From 0.01 to 500 t/ha. Units: kg/m2, kg/ha, t/ha, lb/ac, ton_short/ac. For example "100 t/ha".
"""

Aim: TypeAlias = Literal["high", "low", "middle"]
Aspiration: TypeAlias = Literal["naturally-aspirated", "turbocharged"]
BatchMode: TypeAlias = Literal["grid", "zip"]
Confidence: TypeAlias = Literal["high", "medium"]
CountedIn: TypeAlias = Literal["m", "row", "tool"]
Drainage: TypeAlias = Literal["good", "moderate", "poor"]
DrawbarCategory: TypeAlias = Literal["0", "1", "2", "3", "4", "5"]
Drive: TypeAlias = Literal["four-track", "four-wheel", "front-wheel-assist", "rubber-track", "two-wheel"]
Findable: TypeAlias = Literal["depth", "speed", "width"]
FuelEquation: TypeAlias = Literal["annual-average-diesel", "annual-average-gasoline", "diesel", "older-diesel"]
Hitch: TypeAlias = Literal["drawbar", "semi-mounted", "three-point"]
Model: TypeAlias = Literal["brixius", "gee-clough", "ratio", "wismer-luth"]
Moisture: TypeAlias = Literal["dry", "frozen", "moist", "plastic", "wet"]
Mounting: TypeAlias = Literal["dual", "single", "triple"]
OutlinePolygonType: TypeAlias = Literal["Polygon"]
OwnDraftRowGroup: TypeAlias = Literal["major-tillage", "minor-tillage", "seeding"]
OwnPracticeRowGroup: TypeAlias = Literal["harvest", "misc", "planting", "tillage", "tractor"]
OwnResidueRetentionRowGroup: TypeAlias = Literal["applying", "cultivating", "seeding", "tillage", "weathering"]
PtoSpeed: TypeAlias = Literal[540, 1000, 1300]
PtoType: TypeAlias = Literal["1", "2", "3", "4"]
PullingSurface: TypeAlias = Literal["concrete", "firm", "hard", "soft", "tilled"]
PumpKind: TypeAlias = Literal["fixed", "load-sensing"]
RatioColumn: TypeAlias = Literal["firm", "soft", "tilled"]
ResidueKind: TypeAlias = Literal["fragile", "non-fragile"]
Samples: TypeAlias = Literal[256, 1024, 4096, 16384]
Schedule: TypeAlias = Literal["balanced", "one-sided"]
SoilSurface: TypeAlias = Literal["firm", "hard", "soft", "tilled"]
SplineForm: TypeAlias = Literal["involute", "straight"]
Texture: TypeAlias = Literal["coarse", "fine", "medium"]
ThreePointCategory: TypeAlias = Literal["0", "1", "1N", "2", "2N", "3", "3N", "4", "4N"]
TireCount: TypeAlias = Literal[2, 4, 6]
Transmission: TypeAlias = Literal["cvt", "gear"]
Unit: TypeAlias = Literal["", "Pa", "kg", "kg/m3", "m", "m/s"]
Use: TypeAlias = Literal["constant", "in-turn"]
Weekdays: TypeAlias = Literal["friday", "monday", "saturday", "sunday", "thursday", "tuesday", "wednesday"]
WinterBefore: TypeAlias = Literal["after-fall-harvest", "after-summer-harvest"]

if TYPE_CHECKING:
    Advice: TypeAlias = (
        Literal["add", "as-it-stands", "cannot", "guide-only", "shift", "take-off", "unknown-ballast"] | str
    )
    Axle: TypeAlias = Literal["front", "rear"] | str
    BallastLimitName: TypeAlias = (
        Literal[
            "axle-load",
            "front-axle",
            "front-lift",
            "front-raised",
            "power",
            "pull",
            "rear-raised",
            "slip",
            "static-split",
        ]
        | str
    )
    Cheaper: TypeAlias = Literal["equal", "hire", "own"] | str
    CheckAnswerName: TypeAlias = (
        Literal[
            "cooling",
            "drawbar",
            "front-axle",
            "hitch-load",
            "length",
            "mass-ratio",
            "outlet-flow",
            "outlets",
            "phasing",
            "pressure",
            "pto-power",
            "pto-type",
            "pump-flow",
            "three-point",
            "tire-load",
            "tongue-share",
            "width",
        ]
        | str
    )
    Constraint: TypeAlias = (
        Literal["availability", "implement", "operator", "order", "pairing", "tractor", "window", "workday"] | str
    )
    Criterion: TypeAlias = Literal["cost", "cover", "finish", "fuel", "passes", "time"] | str
    DecidedBy: TypeAlias = Literal["front-axle", "heaviest", "lightest", "raised", "slip", "soil", "split"] | str
    EfficiencyFrom: TypeAlias = Literal["default", "given", "outline", "practice", "shape"] | str
    FieldPlanType: TypeAlias = Literal["FeatureCollection"] | str
    ForbiddenBy: TypeAlias = (
        Literal[
            "braking",
            "front-axle",
            "front-raised",
            "power",
            "pull",
            "pushing",
            "search-end",
            "slip",
            "tool-depth",
            "tool-speed",
        ]
        | str
    )
    HealthStatus: TypeAlias = Literal["ok"] | str
    Input: TypeAlias = Literal["cone_index", "depth", "draft", "rotary", "speed"] | str
    LeverName: TypeAlias = (
        Literal["a-week-earlier", "another-machine", "faster", "longer-day", "one-pass-fewer", "wider-tool"] | str
    )
    MeasurementAnswerKind: TypeAlias = Literal["engine_load", "fuel_rate", "pull", "slip"] | str
    Output: TypeAlias = Literal["capacity", "fuel_per_area", "pto_power", "pull", "slip", "tractive_efficiency"] | str
    Part: TypeAlias = Literal["headland", "pass"] | str
    PlanFeatureType: TypeAlias = Literal["Feature"] | str
    PlanLineType: TypeAlias = Literal["LineString"] | str
    PowerMethod: TypeAlias = Literal["ratio", "tractive-efficiency"] | str
    Resource: TypeAlias = Literal["implement", "operator", "tractor"] | str
    SeasonLever: TypeAlias = (
        Literal[
            "another-driver",
            "days-off-worked",
            "hired-work",
            "longer-day",
            "neighbor-later",
            "not-shared",
            "second-shift",
            "shared",
        ]
        | str
    )
    SlipWay: TypeAlias = Literal["distances", "times", "turns"] | str
    SourceBasis: TypeAlias = Literal["caller", "common-practice", "derived", "memory", "published"] | str
    Standing: TypeAlias = Literal["advised", "as-it-stands"] | str
    WarningCode: TypeAlias = (
        Literal[
            "check-safety",
            "deprecated-name",
            "methods-differ",
            "not-carried",
            "not-used",
            "outside-range",
            "rough-estimate",
            "row-by-row",
        ]
        | str
    )
    Word: TypeAlias = Literal["cannot-tell", "close", "fails", "holds"] | str
    BreakdownRow: TypeAlias = Literal[
        "tillage", "planting-corn", "planting-soybeans", "row-cultivation", "harvest-soybeans", "harvest-corn"
    ]
    DraftRow: TypeAlias = Literal[
        "subsoiler.narrow-point",
        "subsoiler.winged-point-30cm",
        "moldboard-plow",
        "disk-plow",
        "chisel-plow.straight-point-5cm",
        "chisel-plow.shovel-or-sweep",
        "chisel-plow.twisted-shovel-10cm",
        "sweep-plow.primary",
        "sweep-plow.secondary",
        "disk-harrow.tandem-primary",
        "disk-harrow.tandem-secondary",
        "disk-harrow.offset-primary",
        "disk-harrow.offset-secondary",
        "disk-gang.primary",
        "disk-gang.secondary",
        "coulter.smooth-or-ripple",
        "coulter.bubble-or-flute",
        "field-cultivator.primary",
        "field-cultivator.secondary",
        "row-crop-cultivator.s-tine",
        "row-crop-cultivator.c-shank",
        "row-crop-cultivator.no-till",
        "rod-weeder",
        "disk-bedder",
        "rotary-hoe",
        "coil-tine-harrow",
        "spike-tooth-harrow",
        "spring-tooth-harrow",
        "roller-packer",
        "roller-harrow",
        "rolling-cultivator",
        "knife-applicator",
        "land-plane",
        "row-crop-planter.mounted",
        "row-crop-planter.drawn",
        "row-crop-planter.drawn-with-fertilizer",
        "row-crop-planter.no-till",
        "row-crop-planter.zone-till",
        "grain-drill.narrow",
        "grain-drill.medium",
        "grain-drill.wide",
        "grain-drill.no-till",
        "hoe-drill.primary",
        "hoe-drill.secondary",
        "pneumatic-drill",
    ]
    PracticeRow: TypeAlias = Literal[
        "tractor.two-wheel",
        "tractor.four-wheel",
        "moldboard-plow",
        "disk-harrow.heavy-duty",
        "disk-harrow.tandem",
        "chisel-plow",
        "field-cultivator",
        "spring-tooth-harrow",
        "roller-packer",
        "mulcher-packer",
        "rotary-hoe",
        "row-crop-cultivator",
        "rotary-tiller",
        "row-crop-planter",
        "grain-drill",
        "corn-picker-sheller",
        "combine.pulled",
        "combine.self-propelled",
        "mower",
        "rotary-mower",
        "mower-conditioner",
        "rotary-mower-conditioner",
        "windrower",
        "rake.side-delivery",
        "baler.small-rectangular",
        "baler.large-rectangular",
        "baler.large-round",
        "forage-harvester.pulled",
        "forage-harvester.self-propelled",
        "sugar-beet-harvester",
        "potato-harvester",
        "cotton-picker",
        "fertilizer-spreader",
        "boom-sprayer",
        "air-carrier-sprayer",
        "bean-puller-windrower",
        "beet-topper",
        "forage-blower",
        "forage-wagon",
        "wagon",
    ]
    RemainingValueRow: TypeAlias = Literal[
        "tractor.under-60-kw",
        "tractor.60-112-kw",
        "tractor.over-112-kw",
        "combine",
        "mower",
        "baler",
        "other-harvest",
        "plow",
        "tillage",
        "vehicle",
        "planter",
        "other",
    ]
    ResidueRetentionRow: TypeAlias = Literal[
        "winter.after-fall-harvest",
        "winter.after-summer-harvest",
        "moldboard-plow",
        "disk-plow",
        "subsoiler.ripper",
        "subsoiler.bent-leg",
        "disk-subsoiler",
        "chisel-plow.sweep",
        "chisel-plow.straight-point",
        "chisel-plow.twisted-point",
        "coulter-chisel-plow.sweep",
        "coulter-chisel-plow.straight-point",
        "coulter-chisel-plow.twisted-point",
        "disk-chisel-plow.sweep",
        "disk-chisel-plow.straight-point",
        "disk-chisel-plow.twisted-point",
        "sweep-plow",
        "disk-harrow.offset-plowing",
        "disk-harrow.tandem-plowing",
        "disk-harrow.tandem-primary",
        "disk-harrow.tandem-finishing",
        "field-cultivator.primary",
        "field-cultivator.secondary",
        "field-cultivator.secondary-narrow",
        "combination-finisher.disk",
        "combination-finisher.spring-tooth",
        "spring-tooth-harrow",
        "spike-tooth-harrow",
        "roller-packer",
        "rotary-tiller.primary",
        "strip-till",
        "row-crop-cultivator",
        "rotary-hoe",
        "ammonia-knife",
        "ammonia-knife.closing-disks",
        "manure-injector",
        "grain-drill.disk-opener",
        "grain-drill.hoe-opener",
        "grain-drill.no-till",
        "row-crop-planter.conventional",
        "row-crop-planter.no-till",
        "row-crop-planter.row-cleaner",
    ]
    RotaryRow: TypeAlias = Literal[
        "baler.small-rectangular",
        "baler.large-rectangular",
        "baler.large-rectangular-high-density",
        "baler.large-round-variable-chamber",
        "baler.large-round-fixed-chamber",
        "beet-harvester",
        "beet-topper",
        "combine.small-grains",
        "combine.corn",
        "cotton-picker",
        "cotton-stripper",
        "feed-mixer",
        "forage-blower",
        "flail-harvester.direct-cut",
        "forage-harvester.corn-silage",
        "forage-harvester.wilted-alfalfa",
        "forage-harvester.direct-cut",
        "forage-wagon",
        "grinder-mixer",
        "manure-spreader",
        "mower.cutterbar",
        "mower.disk",
        "mower.flail",
        "mower-conditioner.cutterbar",
        "mower-conditioner.disk",
        "potato-harvester",
        "potato-windrower",
        "rake.side-delivery",
        "rake.rotary",
        "tedder",
        "tub-grinder.straw",
        "tub-grinder.bales",
        "tub-grinder.alfalfa-hay",
        "windrower.small-grain",
    ]
    SuitableDaysRow: TypeAlias = Literal[
        "illinois-central.spring", "nebraska.spring", "illinois.late-spring", "illinois.fall", "iowa-northwest.spring"
    ]
    TimelinessRow: TypeAlias = Literal[
        "tillage",
        "corn-seeding.april",
        "corn-seeding.may",
        "wheat-seeding.utah",
        "wheat-seeding.north-dakota",
        "soybean-seeding",
        "soybean-double-crop",
        "barley-seeding",
        "oats-seeding.illinois",
        "oats-seeding.wisconsin",
        "rape-seeding",
        "haymaking",
        "corn-harvest",
        "soybean-harvest",
        "wheat-harvest",
        "cotton-harvest",
        "rice-harvest",
        "sugarcane-harvest",
        "corn-planting.illinois",
    ]
    WearRow: TypeAlias = Literal["twisted-shovel-10cm", "wing-point"]
else:
    Advice = str
    Axle = str
    BallastLimitName = str
    Cheaper = str
    CheckAnswerName = str
    Constraint = str
    Criterion = str
    DecidedBy = str
    EfficiencyFrom = str
    FieldPlanType = str
    ForbiddenBy = str
    HealthStatus = str
    Input = str
    LeverName = str
    MeasurementAnswerKind = str
    Output = str
    Part = str
    PlanFeatureType = str
    PlanLineType = str
    PowerMethod = str
    Resource = str
    SeasonLever = str
    SlipWay = str
    SourceBasis = str
    Standing = str
    WarningCode = str
    Word = str
    BreakdownRow = str
    DraftRow = str
    PracticeRow = str
    RemainingValueRow = str
    ResidueRetentionRow = str
    RotaryRow = str
    SuitableDaysRow = str
    TimelinessRow = str
    WearRow = str


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


class OwnFigure(msgspec.Struct, frozen=True, kw_only=True):
    """A figure that the request gives in place of one of ours."""

    pointer: str
    """Where it stands in the request (JSON Pointer)."""

    instead_of: str | None = None
    """What our table has there; null where it has nothing."""

    source: str | None = None
    """Source of what our table has; null where it has nothing."""

    used: bool
    """Whether the calculation looked at it."""


class About(msgspec.Struct, frozen=True, kw_only=True):
    """What an answer says about itself: what was assumed, what to beware of, and the sources."""

    assumptions: list[Assumption]
    """Values the request left out and what was taken instead."""

    warnings: list[Notice]
    """Things to beware of, each with its cause."""

    cautions: list[str]
    """Safety cautions that apply to this kind of work."""

    sources: list[str]
    """Ids of the sources used; see `/v1/sources`."""

    own: list[OwnFigure]
    """Figures that the request gives in place of ours."""

    model: str
    """Version of the model: same request and version, same numbers."""


class SeasonOutcome(msgspec.Struct, frozen=True, kw_only=True):
    """What a plan comes to over the recorded years."""

    in_time: Reading
    """Share of years in which all is done when due. [%]"""

    days_late: float
    """Mean over all area and years."""

    worst_days_late: float
    """Mean over all area in the worst year."""

    cost: Reading
    """Fuel, machines and people in a mean year. [money]"""

    lost: Reading
    """Lost by lateness in a mean year. [money]"""

    yearly_cost: Reading
    """As given, beside hours and fuel. [money]"""

    total: Reading
    """All of it in a mean year. [money]"""

    worst_total: Reading
    """All of it in the dearest year. [money]"""


class AlternativeAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The same work otherwise."""

    name: str
    """Its name."""

    outcome: SeasonOutcome | None = None
    """Over the recorded years; null if some work cannot be planned with it."""

    detail: str
    """How it compares with the plan, in good years and bad."""


class TireAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One tire of an axle at work."""

    deflection: Reading
    """How far it is pressed in as the tractor stands. [mm or in]"""

    deflection_ratio: Reading
    """Deflection over section height, as the equations take it. [%]"""

    contact_area: Reading
    """On the ground, estimated from its deflection. [m2 or ft2]"""

    ground_pressure: Reading
    """Load under the pull over contact area: the mean. [kPa or psi]"""

    inflation: Reading | None = None
    """As stated, or what keeps the same deflection at another mass; null if none is stated. [bar or psi]"""

    load_share: Reading | None = None
    """Load under the pull over what the tire may carry; null where pressure or load index are not stated.

    The tire maker's load table decides. [%]
    """


class AxleAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One axle at work."""

    driven: bool
    """Whether the axle is driven."""

    load: Reading
    """Load on the axle under the pull; negative once it has lifted. [kN or lbf]"""

    load_share: Reading
    """That load over the weight of the tractor. [%]"""

    mobility_number: float
    """Bn of one tire (Brixius 1987); 0 on tracks, which have none."""

    slip: Reading
    """Slip; 0 on a towed axle. [%]"""

    gross_ratio: float
    """Gross traction over load, GTR; 0 on a towed axle."""

    motion_resistance_ratio: float
    """Motion resistance over load, MRR."""

    net_ratio: float
    """Net traction over load, NTR = GTR - MRR."""

    tire: TireAnswer | None = None
    """One of its tires. Null on tracks."""


class AxlesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Both axles at work; of two tracks their front and rear ends, of four the front and the rear pair."""

    front: AxleAnswer
    """Front axle."""

    rear: AxleAnswer
    """Rear axle."""


class DownhillAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The same work on the way downhill."""

    pull: Reading
    """Pull at the hitch; negative where the machine pushes the tractor. [kN or lbf]"""

    push: Reading
    """Part of the machine's weight along the slope. [kN or lbf]"""

    braking: Reading | None = None
    """What the wheels must hold back; 0 where they drive. [kN or lbf]"""

    rear_axle_load: Reading | None = None
    """Load on the rear axle. [kN or lbf]"""

    load_fraction: Reading
    """PTO power needed over rated. [%]"""


class AtWork(msgspec.Struct, frozen=True, kw_only=True):
    """The tractor at work, uphill on a slope; low and high follow the range of the draft.

    Where nothing carries the pull there is no such operating point: what would describe it is null.
    """

    speed: GreatestReading
    """Ground speed. [km/h or mph]"""

    pull: Reading
    """Pull at the hitch. [kN or lbf]"""

    drawbar_power: Reading
    """Pull times speed. [kW or hp]"""

    axle_power: Reading | None = None
    """Power at the axles. [kW or hp]"""

    pto_power: Reading | None = None
    """All needs, brought to the PTO. [kW or hp]"""

    other_power: Reading
    """Of it: PTO-driven machines, hydraulics, electrics. [kW or hp]"""

    load_fraction: Reading | None = None
    """PTO power needed over rated. [%]"""

    slip: Reading | None = None
    """Slip. [%]"""

    slip_band: list[Reading]
    """Slip of best efficiency here, from and to. [%]"""

    tractive_efficiency: Reading | None = None
    """Drawbar power, and what lifts the tractor, over axle power; null where it need not pull. [%]"""

    axles: AxlesAnswer | None = None
    """Each axle, or front and rear of the tracks."""

    forbidden_by: ForbiddenBy | None = None
    """The limit that forbids this operating point; null where there is one."""

    downhill: DownhillAnswer | None = None
    """On the way downhill; null on level ground."""


class Away(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Days on which a machine is away."""

    first: str
    """First of them. For example "2027-09-13"."""

    last: str
    """Last of them. For example "2027-09-15"."""


class AwaySpan(msgspec.Struct, frozen=True, kw_only=True):
    """Days on end on which a tractor is not here."""

    tractor: str
    """The tractor."""

    first: str
    """First day."""

    last: str
    """Last day of the window at most."""


class StressAtDepth(msgspec.Struct, frozen=True, kw_only=True):
    """Stress at one depth."""

    depth: Reading
    """Below the ground. [cm or in]"""

    stress: Reading
    """Vertical stress below the center of the tire. [kPa or psi]"""


class AxleStress(msgspec.Struct, frozen=True, kw_only=True):
    """Stress under the tires of one axle."""

    tire_load: Reading
    """On each tire, pulling; 0 once the axle has lifted. [kN or lbf]"""

    contact_area: Reading
    """Of one tire on the ground: measured, or estimated. [m2 or ft2]"""

    contact_stress: Reading
    """Load over area: the mean stress at the surface. [kPa or psi]"""

    stress: list[StressAtDepth]
    """With depth."""


class TireLoads(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Tires of one axle by what they carry. Give `load_index` or `rated_load`."""

    load_index: int | None = None
    """From the sidewall; only those of `/v1/reference/load-index`."""

    rated_load: Mass | None = None
    """What one tire carries alone, from the sidewall."""

    count: int | None = 2
    """Tires on the axle, or on all axles of the machine. Left out: `2`."""

    mounting: Mounting | None = "single"
    """How many stand side by side at each end. Left out: `single`."""


class AxleTireLoads(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Tires by what they carry."""

    front: TireLoads | None = None
    """Front axle of the tractor."""

    rear: TireLoads | None = None
    """Rear axle of the tractor."""

    machine: TireLoads | None = None
    """The machine's own."""


class Tires(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """All tires of one axle: two, or four and six as duals and triples."""

    size: str
    """As on the sidewall: `710/70R42`, `18.4R38`, `18.4-38`, `30.5L-32`, `66x43.00-25`; R is radial, - is bias.

    IF, VF, load index and speed symbol count, as in `IF 710/70R42 CFO 179D`. For example "650/65R42".
    """

    count: TireCount | None = 2
    """Tires on the axle: 2, 4 (duals) or 6 (triples). Left out: `2`."""

    width: MachineLength | None = None
    """Measured section width, unloaded."""

    diameter: MachineLength | None = None
    """Measured overall diameter, unloaded."""

    static_loaded_radius: MachineLength | None = None
    """Axle center to ground under load; gives the deflection."""

    inflation: InflationPressure | None = None
    """Pressure in the field.

    With the load index in `size` it gives the deflection, unless `static_loaded_radius` does, and what the tires may
    carry. For example "1.0 bar".
    """

    road_inflation: InflationPressure | None = None
    """Pressure on the road; else that in the field. For example "1.6 bar"."""

    rated_inflation: InflationPressure | None = None
    """Pressure at which the load index holds; the load table of the tire has it."""


class AxleTires(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Tires of both axles."""

    front: Tires
    """Front axle."""

    rear: Tires
    """Rear axle."""


class BallastChange(msgspec.Struct, frozen=True, kw_only=True):
    """What to add; negative: what to take off."""

    total: Reading
    """Altogether. [kg or lb]"""

    front_axle: Reading
    """What the front axle carries more, standing level. [kg or lb]"""

    rear_axle: Reading
    """What the rear axle carries more, standing level. [kg or lb]"""

    front_ballast: Reading
    """Ballast to hang ahead of the front axle. [kg or lb]"""

    rear_ballast: Reading
    """Ballast on or in the rear wheels. [kg or lb]"""


class BallastLimit(msgspec.Struct, frozen=True, kw_only=True):
    """One limit and how far it is from being met."""

    name: BallastLimitName
    """slip: band of best efficiency.

    pull: what the soil carries. front-axle: load to steer by. front-lift: pull that lifts the front. static-split:
    usual share in front. axle-load: caution for the subsoil. power: rated. front-raised, rear-raised: implements
    raised.
    """

    kept: bool
    """Whether it is kept."""

    margin: Reading
    """What is left before the limit, over the limit; negative beyond it. [%]"""

    detail: str
    """Value and limit in words."""


class BallastVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """The answer in short."""

    advice: Advice
    """What to do.

    shift: another split at about this mass. cannot: no mass within reach brings slip into its band. unknown-ballast:
    too heavy, and what can come off was not said. guide-only: rubber tracks.
    """

    decided_by: DecidedBy | None = None
    """What sets the advised mass; for `cannot` and `unknown-ballast`, what forbids it.

    Null where nothing is to change.
    """

    summary: str
    """The answer in words."""


class IsoSlip(msgspec.Struct, frozen=True, kw_only=True):
    """What goes with one slip."""

    slip: Reading
    """The slip. [%]"""

    pull: Reading
    """Pull that brings the tractor as it stands to it. [kN or lbf]"""

    mass: LeastReading | None = None
    """Least mass that holds the asked pull to it and the front axle down, at the best split; null if there is none up
    to 60 t. [kg or lb]
    """


class MassCost(msgspec.Struct, frozen=True, kw_only=True):
    """The same work at one mass, at the same ground speed: costs compare for each area as for each hour."""

    over_right: Reading
    """Mass over the right one, less 1. [%]"""

    mass: Reading
    """The mass. [kg or lb]"""

    carried: bool
    """Whether any slip carries the pull."""

    slip: Reading
    """Slip; of greatest net traction if the pull is not carried. [%]"""

    sliding: Reading
    """Distance the tread slides over distance traveled: a sign of wear. [%]"""

    slip_power: Reading | None = None
    """Lost to slip; null where the pull is not carried. [kW or hp]"""

    rolling_power: Reading | None = None
    """Lost to rolling; null where the pull is not carried. [kW or hp]"""

    tractive_efficiency: Reading
    """Drawbar power over axle power. [%]"""

    fuel: Reading | None = None
    """Fuel in a time; null where pull or power is too much. [L/h or gal/h]"""

    more_fuel: Reading | None = None
    """Fuel over that at the right mass, less 1. [%]"""


class MassGuide(msgspec.Struct, frozen=True, kw_only=True):
    """The trade's guide: mass for each unit of PTO power, by the speed of heavy pulling."""

    band: str
    """Row of the mass-per-power table."""

    mass_per_power: Reading
    """The guide. [kg/kW or lb/hp]"""

    mass: Reading
    """Mass by the guide, if the rated power is put to work. [kg or lb]"""

    present: Reading
    """Mass over rated PTO power as it stands. [kg/kW or lb/hp]"""

    difference: Reading
    """Present mass over the guide's, less 1. [%]"""


class PowerPathsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Where the power at the axles goes."""

    drawbar: Reading
    """Pull times speed. [kW or hp]"""

    slip: Reading
    """Lost because wheels turn farther than they travel. [kW or hp]"""

    rolling: Reading
    """Lost in soil and tires; grows with mass. [kW or hp]"""

    grade: Reading
    """Into the tractor's own weight uphill; negative where the hill pushes. [kW or hp]"""


class SoilStressAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Stress in the soil under both axles, pulling."""

    front: AxleStress
    """Under a front tire."""

    rear: AxleStress
    """Under a rear tire."""


class TransportAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Axles with the implements raised, level and standing."""

    front_axle: Reading
    """On the front axle; negative: the tractor tips over backward. [kg or lb]"""

    rear_axle: Reading
    """On the rear axle; negative: it tips over forward. [kg or lb]"""

    front_share: Reading
    """On the front axle, over the unladen mass. [%]"""

    rear_share: Reading
    """On the rear axle, over the unladen mass. [%]"""

    front_ballast: Reading
    """Ballast still missing on the front, at the reach of front ballast; 0 if none is. [kg or lb]"""

    rear_ballast: Reading
    """Ballast still missing behind, where the rear implement hangs, else at the link ends. [kg or lb]"""

    front_tire_share: Reading | None = None
    """Load of a front tire over what it may carry at road pressure (else rated pressure) and speed; null without a load
    index. The tire maker's load table decides. [%]
    """

    rear_tire_share: Reading | None = None
    """The same of a rear tire. [%]"""


class StandingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A tractor of one mass and split at this work."""

    mass: Reading
    """Total mass; a range follows that of the draft. [kg or lb]"""

    front_mass: Reading
    """On the front axle, standing level without implement. [kg or lb]"""

    rear_mass: Reading
    """On the rear axle, standing level without implement. [kg or lb]"""

    front_share: Reading
    """Of the mass, on the front axle, standing level. [%]"""

    mass_per_power: Reading
    """Mass over rated PTO power. [kg/kW or lb/hp]"""

    carried: bool
    """Whether any slip carries the pull."""

    slip: Reading
    """Slip; of greatest net traction if the pull is not carried. [%]"""

    sliding: Reading
    """Distance the tread slides over distance traveled: a sign of wear. [%]"""

    tractive_efficiency: Reading
    """Drawbar power over axle power. [%]"""

    front_share_pulling: Reading
    """Front axle load under the pull, over the weight. [%]"""

    lifting_pull: Reading
    """Pull that would lift the front axle off the ground. [kN or lbf]"""

    pto_power: Reading
    """All needs, brought to the PTO. [kW or hp]"""

    load_fraction: Reading
    """PTO power needed over rated. [%]"""

    power_paths: PowerPathsAnswer | None = None
    """Where the axle power goes; null where the pull is not carried."""

    fuel: Reading | None = None
    """Fuel in a time; null where pull or power is more than there is. [L/h or gal/h]"""

    axles: AxlesAnswer
    """Each axle under the pull."""

    limits: list[BallastLimit]
    """Every limit, with its margin."""

    transport: TransportAnswer | None = None
    """With implements raised, if `transport` was given."""

    soil_stress: SoilStressAnswer | None = None
    """Stress in the soil, if it was asked for."""


class BallastAnswer(Answer, frozen=True, kw_only=True):
    """How heavy, where, and what a wrong mass costs."""

    verdict: BallastVerdict
    """The answer in short."""

    pull: Reading
    """Pull at the hitch, with the range of the draft. [kN or lbf]"""

    slip_band: list[Reading]
    """Slip of best efficiency here, from and to. [%]"""

    guide: MassGuide
    """Mass by the trade's guide."""

    as_it_stands: StandingAnswer | None = None
    """The tractor as given; null on rubber tracks."""

    advised: StandingAnswer | None = None
    """The tractor as advised; null where it stays as it is or cannot."""

    change: BallastChange | None = None
    """What to add or take off; null where nothing changes."""

    pull_in_reach: GreatestReading | None = None
    """Greatest pull at the slip aimed at, with the ballast within reach; null if there is none. [kN or lbf]"""

    costs: list[MassCost]
    """Masses around the right one: too light slips, too heavy rolls hard."""

    iso_slip: list[IsoSlip]
    """Pull and mass at low, middle and high slip of the band."""

    about: About
    """About this answer."""


class BallastLimits(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Limits to keep."""

    mass: TractorMass | None = None
    """Most it may weigh; the manual says."""

    front_share: Efficiency | None = None
    """Least load on the front axle under the pull, as a share of the weight."""

    axle_mass: Mass | None = None
    """Most on one axle for the sake of the subsoil."""


class BallastOn(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Ballast the tractor carries now and can do without."""

    front: Ballast | None = None
    """On the front. Left out: `0 kg`. For example "600 kg"."""

    rear: Ballast | None = None
    """On or in the rear wheels. Left out: `0 kg`. For example "400 kg"."""

    total: Ballast | None = None
    """On both together, in place of front and rear, where it is not known which has how much."""


class ConeReading(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The cone index at one depth."""

    depth: Depth
    """Below the surface. For example "10 cm"."""

    cone_index: ConeIndex
    """Measured there. For example "1300 kPa"."""


class Derating(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Thin and hot air, which leave a diesel engine less than its rated power."""

    aspiration: Aspiration
    """How the engine breathes. A turbocharger makes up for thin and hot air, up to its own limit."""

    altitude: Altitude | None = None
    """Of the field above sea level; left out: no loss by it. For example "1200 m"."""

    heat: Heat | None = None
    """How much warmer the air is than 29 °C (85 °F): at 38 °C it is `9 K`. Left out: no warmer. For example "9 K"."""


class FuelMap(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Measured fuel by load and engine speed: straight lines between the points, the nearest one beyond them."""

    loads: Sequence[Share]
    """Power used over rated PTO power, from low to high. For example "['20 %', '50 %', '80 %', '100 %']"."""

    engine_speeds: Sequence[EngineSpeedRatio]
    """Engine speed over full-throttle speed, from low to high. For example "['70 %', '100 %']"."""

    rates: Sequence[Sequence[FuelRate]]
    """Fuel in an hour: a list for each load, in it a number for each engine speed."""


class EngineFuel(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What this engine burns, in place of the fuel equation. Give one of the two."""

    map: FuelMap | None = None
    """Measured fuel by load and engine speed."""

    work_per_fuel: WorkPerFuel | None = None
    """Work at the PTO for each unit of fuel, the same at any load and speed. For example "3.1 kWh/L"."""


class FrontMounted(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What hangs on the front, raised."""

    mass: Mass
    """Its mass, beyond the mass of the tractor. For example "900 kg"."""

    ahead_of_axle: MachineLength
    """Its center ahead of the front axle: a. For example "1.4 m"."""


class Gear(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One gear of the transmission."""

    name: str
    """As on the lever or the display."""

    speed: Speed
    """Travel speed at full throttle without slip. For example "8.4 km/h"."""

    efficiency: Efficiency | None = None
    """Axle power over PTO power in this gear: for its load and fuel, not for the limits."""


class GroundTool(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One kind of ground-engaging tool on an implement."""

    tool: DraftRow
    """Row of the draft table, see `/v1/reference/draft`. For example "chisel-plow.twisted-shovel-10cm"."""

    count: int | None = None
    """Number of tools or rows, for tools counted one by one."""

    spacing: Spacing | None = None
    """Between neighboring tools or rows; count x spacing is the width."""

    width: Width | None = None
    """Working width, for tools counted in meters."""

    depth: Depth | None = None
    """Working depth, where the draft depends on it. For example "22 cm"."""

    draft_per_width: DraftOfWidth | None = None
    """Published or measured draft for each meter of width, in place of the table's; `tool` then gives how it is
    counted, usual speeds and range. For example "3.5 kN/m".
    """

    draft_per_tool: DraftOfTool | None = None
    """The same for each tool or row; one of the two. For example "1.8 kN"."""

    draft_speed: Speed | None = None
    """Speed at which that draft was measured: at others it changes as A, B and C of the row say.

    Left out: it is the same at any speed. For example "7 km/h".
    """

    draft_range: Share | None = None
    """Range of the draft to either side in which 9 in 10 lie, in place of the row's. For example "25 %"."""


class HydraulicNeed(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Oil that flows all the time the machine works."""

    name: str | None = ""
    """Yours to choose."""

    flow: Flow
    """Flow. For example "30 L/min"."""

    pressure: Pressure
    """Pressure drop over the machine. For example "120 bar"."""


class RotaryNeed(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Something driven from the PTO."""

    machine: RotaryRow
    """Row of the rotary table, see `/v1/reference/rotary`. For example "mower.disk"."""

    width: Width | None = None
    """Working width, where the power depends on it."""

    feed_rate: FeedRate | None = None
    """Material through the machine, where the power depends on it."""


class WheelTracks(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Tools that run in the wheel tracks of the tractor, where draft is higher; `{}` takes every default."""

    share: Share | None = None
    """Share of the tools in tracks. Left out: the width of the tires over the working width."""

    factor: Multiplier | None = None
    """Draft of a tool in a track over that of one beside it. For example "2.0"."""


class Implement(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """A machine behind the tractor: a list of ground tools, and what else it needs."""

    name: str | None = ""
    """Yours to choose; only echoed."""

    hitch: Hitch
    """How it hangs on the tractor."""

    tools: Sequence[GroundTool] | None = ()
    """Ground tools; the draft is their sum."""

    width: Width | None = None
    """Working width, in place of the widest tool's."""

    mass: Mass | None = None
    """Some of its weight is on the hitch. Needed on a slope, and for a machine that only rolls."""

    practice: PracticeRow | None = None
    """Row of the practice table, `/v1/reference/practice`: gives field efficiency and usual speeds.

    For example "chisel-plow".
    """

    speed_range: Sequence[Speed] | None = None
    """Lowest and highest speed of sound work, in place of the usual ones."""

    depth_range: Sequence[Depth] | None = None
    """Shallowest and deepest the main tool can be set."""

    draft_multiplier: Multiplier | None = None
    """Your own knowledge: draft of this machine here over that of the table. Left out: `1`."""

    wheel_tracks: WheelTracks | None = None
    """Ask for the draft of tools in wheel tracks. Left out: no tool is taken to run in one."""

    motion_resistance_ratio: Share | None = None
    """Rolling resistance over weight, for a machine without ground tools."""

    center_of_mass: Length | None = None
    """Of a mounted machine, behind the lower link ends."""

    hitch_share: Share | None = None
    """Share of its weight on the hitch at work; its wheels and tools carry the rest."""

    vertical_load: Pull | None = None
    """Its weight on the hitch at work, in place of a share of the mass: tongue load."""

    vertical_share: Share | None = None
    """What else presses on the hitch, over the pull: soil forces, a falling line of pull."""

    pull_height: HitchHeight | None = None
    """Line of pull above ground at the hitch."""

    rotary: Sequence[RotaryNeed] | None = ()
    """What it takes from the PTO."""

    hydraulic: Sequence[HydraulicNeed] | None = ()
    """What it takes in oil, all the time."""

    electric: Power | None = None
    """Electric power it takes."""


class KnownPull(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """A pull that is known, in place of an implement."""

    force: Pull
    """At the hitch, along the ground, the grade included. For example "38 kN"."""

    hitch: Hitch | None = "drawbar"
    """Where it acts. Left out: `drawbar`."""

    mass: Mass | None = None
    """Of the machine that pulls; some of its weight is on the hitch."""

    center_of_mass: Length | None = None
    """Of a mounted machine, behind the lower link ends."""

    hitch_share: Share | None = None
    """Share of its weight on the hitch at work; its wheels and tools carry the rest."""

    vertical_load: Pull | None = None
    """Its weight on the hitch at work, in place of a share of the mass: tongue load."""

    vertical_share: Share | None = None
    """What else presses on the hitch, over the pull: soil forces, a falling line of pull."""

    pull_height: HitchHeight | None = None
    """Line of pull above ground at the hitch."""


class OwnBreakdownRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `breakdown`."""

    id: str
    """Which operation."""

    operation: str | None = None
    """The work."""

    hours_per_year: float | None = None
    """Time lost in a year. In h."""

    chance_per_40_ha: float | None = None
    """Chance of a breakdown on 40 ha."""


class OwnDefaultsRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `defaults`."""

    id: str
    """Which default."""

    value: float | None = None
    """The value, in the unit of the row."""

    unit: Unit | None = None
    """SI unit; empty for a ratio."""


class OwnDraftRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `draft`."""

    id: str
    """Which tool."""

    group: OwnDraftRowGroup | None = None
    """major-tillage, minor-tillage or seeding."""

    implement: str | None = None
    """The implement that carries the tool."""

    variant: str | None = None
    """Which form of the tool, or which work it does."""

    counted_in: CountedIn | None = None
    """What width counts: m of width, or the number of tools or rows."""

    depth_counts: bool | None = None
    """Whether draft grows with depth; if not, T is 1."""

    A: float | None = None
    """Draft that does not depend on speed, for each unit of width and, where depth counts, each cm of depth. In N."""

    B: float | None = None
    """Draft that grows with speed, counted as A is. In N·h/km."""

    C: float | None = None
    """Draft that grows with the square of speed, counted as A is. In N·h²/km²."""

    fine: float | None = None
    """Texture factor F of fine soil (clay)."""

    medium: float | None = None
    """Texture factor F of medium soil (loam)."""

    coarse: float | None = None
    """Texture factor F of coarse soil (sand)."""

    range: float | None = None
    """Spread of draft to either side, as a fraction: machine design, adjustment, age, soil moisture and residue.

    Not a confidence interval.
    """

    practice: str | None = None
    """Row of the practice table whose speeds and field efficiency go with the tool; empty where none does."""


class OwnDrainageRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `drainage`."""

    id: str
    """Which class."""

    rate: float | None = None
    """Rate of drainage over that of the soils fitted on."""


class OwnDrawbarPerPtoRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `drawbar-per-pto`."""

    id: str
    """Which drive."""

    concrete: float | None = None
    """Ratio on concrete."""

    firm: float | None = None
    """Ratio on firm soil."""

    tilled: float | None = None
    """Ratio on tilled soil."""

    soft: float | None = None
    """Ratio on soft soil."""


class OwnDrawbarRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `drawbar`."""

    id: str
    """Which category."""

    pto_high_kW: float | None = None
    """Greatest PTO power. In kW."""


class OwnLoadIndexRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `load-index`."""

    id: str
    """Which load index."""

    load_kg: float | None = None
    """Load of one tire. In kg."""


class OwnMassPerPowerRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `mass-per-power`."""

    id: str
    """Which speed band."""

    speed_low_km_h: float | None = None
    """Lower end of the band; empty where it is open. In km/h."""

    speed_high_km_h: float | None = None
    """Upper end of the band; empty where it is open. In km/h."""

    mass_kg_per_kW: float | None = None
    """Tractor mass over PTO power; over engine power for articulated tractors. In kg/kW."""


class OwnPracticeRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `practice`."""

    id: str
    """Which machine."""

    group: OwnPracticeRowGroup | None = None
    """tractor, tillage, planting, harvest or misc."""

    machine: str | None = None
    """The machine."""

    field_efficiency_low: float | None = None
    """Low end of usual field efficiency, as a fraction."""

    field_efficiency_typical: float | None = None
    """Typical field efficiency, as a fraction."""

    field_efficiency_high: float | None = None
    """High end of usual field efficiency, as a fraction."""

    speed_low_km_h: float | None = None
    """Low end of usual working speed. In km/h."""

    speed_typical_km_h: float | None = None
    """Typical working speed. In km/h."""

    speed_high_km_h: float | None = None
    """High end of usual working speed. In km/h."""

    life_h: float | None = None
    """Hours of work in the life of the machine. In h."""

    lifetime_repair: float | None = None
    """Repairs over that life, as a fraction of list price."""

    RF1: float | None = None
    """Repair factor 1 in repairs = RF1 × list price × (h/1000)^RF2."""

    RF2: float | None = None
    """Repair factor 2, the exponent."""


class OwnPtoRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `pto`."""

    id: str
    """Which type."""

    speed_r_min: float | None = None
    """Rated speed. In r/min."""

    shaft_mm: float | None = None
    """Diameter of the shaft. In mm."""

    splines: int | None = None
    """Number of splines."""

    spline_form: SplineForm | None = None
    """straight or involute."""

    pto_high_kW: float | None = None
    """Greatest power recommended. In kW."""


class OwnRemainingValueRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `remaining-value`."""

    id: str
    """Which class of machine."""

    machine: str | None = None
    """The class of machine."""

    C1: float | None = None
    """Root of the share of list price left at once."""

    C2: float | None = None
    """Loss with the root of age in years."""

    C3: float | None = None
    """Loss with the root of hours worked in a year."""


class OwnResidueRetentionRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `residue-retention`."""

    id: str
    """Which operation."""

    group: OwnResidueRetentionRowGroup | None = None
    """weathering, tillage, cultivating, applying or seeding."""

    operation: str | None = None
    """The operation."""

    variant: str | None = None
    """Which form of the tool, or which work it does."""

    non_fragile_low: float | None = None
    """Low end of the share of non-fragile residue cover left, as a fraction."""

    non_fragile_high: float | None = None
    """High end of that share."""

    fragile_low: float | None = None
    """Low end of the share of fragile residue cover left, as a fraction."""

    fragile_high: float | None = None
    """High end of that share."""

    confidence: Confidence | None = None
    """How surely the row is remembered: high, or medium, where the range was taken wider."""


class OwnRotaryRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `rotary`."""

    id: str
    """Which machine."""

    machine: str | None = None
    """The machine and, where it matters, its kind or crop."""

    a_kW: float | None = None
    """Power to run empty. In kW."""

    b_kW_per_m: float | None = None
    """Power for each meter of working width. In kW/m."""

    c_kWh_per_t: float | None = None
    """Energy for each tonne of material. In kW·h/t."""

    range: float | None = None
    """Spread of power to either side, as a fraction: machine design, adjustment and crop."""


class OwnSoilWaterRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `soil-water`."""

    id: str
    """Which kind of weather."""

    topsoil: float | None = None
    """Water the topsoil holds between dry and full. In mm."""

    subsoil: float | None = None
    """Water the soil below holds. In mm."""

    topsoil_drains: float | None = None
    """Share of a full topsoil's water that drains in a day. In 1/d."""

    subsoil_drains: float | None = None
    """Share of the water of a full soil below that drains in a day. In 1/d."""

    evaporation: float | None = None
    """Evaporation of a wet topsoil over reference evapotranspiration."""

    season: float | None = None
    """Share of today's temperature in the warmth of the season."""

    level: float | None = None
    """Logit of the share of fit days on dry, cold soil without rain."""

    by_topsoil: float | None = None
    """Fall of the logit from a dry to a full topsoil."""

    by_subsoil: float | None = None
    """Fall of the logit from a dry to a full soil below."""

    by_rain: float | None = None
    """Fall of the logit at 15 mm of rain or more."""

    by_warmth: float | None = None
    """Rise of the logit from 0 to 15 °C of the season."""

    by_snow: float | None = None
    """Fall of the logit under snow that holds 10 mm of water or more."""

    spread: float | None = None
    """Standard deviation of recorded days about calculated ones, over the square root of d (7 - d) with d days."""

    next_week: float | None = None
    """Correlation of that deviation with the next week's."""

    same_year: float | None = None
    """Correlation of it with any other week of the year."""


class OwnStaticSplitRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `static-split`."""

    id: str
    """Which drive."""

    front_share_low: float | None = None
    """Least share on the front axle, as a fraction."""

    front_share_high: float | None = None
    """Greatest share on the front axle, as a fraction."""


class OwnSuitableDaysRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `suitable-days`."""

    id: str
    """Which place and period."""

    place: str | None = None
    """The region."""

    period: str | None = None
    """The days of the year it is about."""

    calendar_days: float | None = None
    """Length of the period. In d."""

    mean_days: float | None = None
    """Suitable days in a middling year. In d."""

    least_days: float | None = None
    """In the worst year; empty where not told. In d."""

    most_days: float | None = None
    """In the best year; empty where not told. In d."""

    years: float | None = None
    """Number of years."""


class OwnSurfacesRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `surfaces`."""

    id: str
    """Which surface."""

    cone_index_kPa: float | None = None
    """Typical cone index. In kPa."""

    mobility_number_label: float | None = None
    """Mobility number the surface is known by.

    A label only: equations use the cone index, and the two do not match at common tire loads.
    """

    slip_band_low: float | None = None
    """Least slip of the band of best efficiency, as a fraction."""

    slip_band_high: float | None = None
    """Greatest slip of that band."""

    ratio_column: RatioColumn | None = None
    """Column of the drawbar-per-pto table that applies."""


class OwnThreePointRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `three-point`."""

    id: str
    """Which category."""

    category: str | None = None
    """As requests and answers write it."""

    lower_pin_in: float | None = None
    """Diameter of the lower pins. In in."""

    upper_pin_in: float | None = None
    """Diameter of the upper pin. In in."""

    spacing_in: float | None = None
    """Between the lower hitch points, shoulder to shoulder: 683, 825, 965 and 1166.5 mm for categories 1 to 4, from
    memory of ISO 730. In in.
    """

    tractor_low_hp: float | None = None
    """Low end of usual tractor power, held against rated PTO power; empty where it is open. In hp."""

    tractor_high_hp: float | None = None
    """High end of usual tractor power; empty where it is open. In hp."""

    pto_low_kW: float | None = None
    """Low end of PTO power, from memory of ISO 730; empty where it is open or not known. In kW."""

    pto_high_kW: float | None = None
    """High end of PTO power, from memory of ISO 730; empty where it is not known. In kW."""


class OwnTimelinessRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `timeliness`."""

    id: str
    """Which operation."""

    operation: str | None = None
    """Crop and work."""

    region: str | None = None
    """Where it was found."""

    loss_low: float | None = None
    """Low end of the share lost a day. In 1/d."""

    loss_high: float | None = None
    """High end. In 1/d."""


class OwnTireMultiplesRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `tire-multiples`."""

    id: str
    """Which mounting."""

    load_multiplier: float | None = None
    """Load of each over its load alone."""


class OwnTracksRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `tracks`."""

    id: str
    """Which surface."""

    greatest_pull: float | None = None
    """Greatest net traction over load, g."""

    greatest_pull_low: float | None = None
    """Low end of its range."""

    greatest_pull_high: float | None = None
    """High end of its range."""

    slip_rate: float | None = None
    """How fast net traction rises with slip, k."""

    motion_resistance: float | None = None
    """Motion resistance over load, m."""

    slip_band_low: float | None = None
    """Least slip of the band of best efficiency, as a fraction."""

    slip_band_high: float | None = None
    """Greatest slip of that band."""


class OwnWearRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A row for the table `wear`."""

    id: str
    """Which point."""

    part: str | None = None
    """The point."""

    relative_life: float | None = None
    """Life over that of a twisted shovel 10 cm wide."""


class OwnTables(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Rows of your own, by table: in place of those with that `id`, or new ones, with all figures."""

    draft: Sequence[OwnDraftRow] | None = ()
    """Of `/v1/reference/draft`."""

    rotary: Sequence[OwnRotaryRow] | None = ()
    """Of `/v1/reference/rotary`."""

    drawbar_per_pto: Sequence[OwnDrawbarPerPtoRow] | None = ()
    """Of `/v1/reference/drawbar-per-pto`."""

    practice: Sequence[OwnPracticeRow] | None = ()
    """Of `/v1/reference/practice`."""

    surfaces: Sequence[OwnSurfacesRow] | None = ()
    """Of `/v1/reference/surfaces`."""

    tracks: Sequence[OwnTracksRow] | None = ()
    """Of `/v1/reference/tracks`."""

    static_split: Sequence[OwnStaticSplitRow] | None = ()
    """Of `/v1/reference/static-split`."""

    mass_per_power: Sequence[OwnMassPerPowerRow] | None = ()
    """Of `/v1/reference/mass-per-power`."""

    remaining_value: Sequence[OwnRemainingValueRow] | None = ()
    """Of `/v1/reference/remaining-value`."""

    wear: Sequence[OwnWearRow] | None = ()
    """Of `/v1/reference/wear`."""

    suitable_days: Sequence[OwnSuitableDaysRow] | None = ()
    """Of `/v1/reference/suitable-days`."""

    soil_water: Sequence[OwnSoilWaterRow] | None = ()
    """Of `/v1/reference/soil-water`."""

    drainage: Sequence[OwnDrainageRow] | None = ()
    """Of `/v1/reference/drainage`."""

    breakdown: Sequence[OwnBreakdownRow] | None = ()
    """Of `/v1/reference/breakdown`."""

    timeliness: Sequence[OwnTimelinessRow] | None = ()
    """Of `/v1/reference/timeliness`."""

    three_point: Sequence[OwnThreePointRow] | None = ()
    """Of `/v1/reference/three-point`."""

    drawbar: Sequence[OwnDrawbarRow] | None = ()
    """Of `/v1/reference/drawbar`."""

    pto: Sequence[OwnPtoRow] | None = ()
    """Of `/v1/reference/pto`."""

    load_index: Sequence[OwnLoadIndexRow] | None = ()
    """Of `/v1/reference/load-index`."""

    tire_multiples: Sequence[OwnTireMultiplesRow] | None = ()
    """Of `/v1/reference/tire-multiples`."""

    residue_retention: Sequence[OwnResidueRetentionRow] | None = ()
    """Of `/v1/reference/residue-retention`."""

    defaults: Sequence[OwnDefaultsRow] | None = ()
    """Of `/v1/reference/defaults`."""


class RearMounted(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What hangs on the rear, raised."""

    mass: Mass
    """Its mass. For example "1.6 t"."""

    behind_links: MachineLength
    """Its center behind the lower link ends: d. For example "1.1 m"."""


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

    cone_readings: Sequence[ConeReading] | None = ()
    """Measured by depth, from the surface down, in place of `cone_index`: traction takes the mean down to 15 cm."""

    moisture: Moisture | None = None
    """Soil at working depth.

    Dry: no ball holds. Moist: a ball that crumbles. Wet: leaves water on the hand. Plastic: rolls to a thread of 3 mm,
    too wet to work. Left out, nothing is widened.
    """

    water_content: Share | None = None
    """Mass of water over mass of dry soil, where it is known. For example "22 %"."""

    plastic_limit: Share | None = None
    """Water content at which the soil just rolls to a thread of 3 mm. For example "24 %"."""


class SoilStress(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Ask for the stress in the soil; `{}` takes every default."""

    depths: Sequence[Depth] | None = None
    """Depths to tell; else seven from 10 cm to 1 m."""

    concentration: float | None = None
    """Concentration factor: 3 elastic, 4 hard or dry, 5 normal, 6 soft or wet soil. For example "5"."""

    front_contact: ContactArea | None = None
    """Measured area of one front tire on the ground. For example "0.25 m2"."""

    rear_contact: ContactArea | None = None
    """Measured area of one rear tire on the ground. For example "0.4 m2"."""

    dual_spacing: MachineLength | None = None
    """Duals and triples, center to center of neighbors. For example "0.7 m"."""


class TireConstants(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Constants of the traction equations; what is left out stays as published.

    Brixius: GTR = gross_max (1 - exp(-load_rate Bn)) (1 - exp(-slip_rate s)) + offset, MRR = roll/Bn + offset +
    roll_slip s/√Bn, Bn = CI b d/W (1 + deflection_factor δ/h)/(1 + width_factor b/d). Wismer and Luth: GTR = gross_max
    (1 - exp(-rate_by_mobility Cn s)), MRR = roll/Cn + offset, Cn = CI b d/W. Gee-Clough: CT = top (1 - exp(-k s)), top
    = gross_max - lost/M, k top = slip_rate + rate_by_mobility M, CRR = offset + roll/M, M = CI b d/W √(δ/h)/(1 +
    width_factor b/d).
    """

    gross_max: float | None = None
    """0.88; Wismer-Luth 0.75, Gee-Clough 0.796."""

    load_rate: float | None = None
    """0.1."""

    slip_rate: float | None = None
    """7.5 of bias tires, 9.5 of radial ones; Gee-Clough 4.838."""

    offset: float | None = None
    """0.04 of bias tires, 0.0325 of radial ones; Wismer-Luth 0.04, Gee-Clough 0.049."""

    roll: float | None = None
    """1 of bias tires, 0.9 of radial ones; Wismer-Luth 1.2, Gee-Clough 0.287."""

    roll_slip: float | None = None
    """0.5."""

    rate_by_mobility: float | None = None
    """Wismer-Luth 0.3, Gee-Clough 0.061."""

    lost: float | None = None
    """Gee-Clough 0.92."""

    deflection_factor: float | None = None
    """5."""

    width_factor: float | None = None
    """3; Gee-Clough 0.5."""


class TorquePoint(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Full torque of the engine at one speed."""

    engine_speed: EngineSpeedRatio
    """Over full-throttle speed. For example "70 %"."""

    torque: Multiplier
    """Over that at rated power. For example "1.3"."""


class Traction(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The traction equations a tractor on wheels is held to."""

    model: Model | None = "brixius"
    """`brixius`: Brixius (1987), radial tires after Zoz and Grisso (2003).

    `wismer-luth` (1974), `gee-clough` (1978): their equations. `ratio`: power by drawbar/PTO ratio, slip by Brixius.
    Left out: `brixius`.
    """

    front: TireConstants | None = None
    """Constants of the model for the front tires."""

    rear: TireConstants | None = None
    """Constants of the model for the rear tires."""


class TractorPower(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What the tractor is rated for. Give one; PTO power is the surer."""

    rated_pto: RatedPower | None = None
    """Rated power at the PTO. For example "150 kW"."""

    engine: RatedPower | None = None
    """Rated power at the flywheel. For example "225 hp"."""

    fuel: EngineFuel | None = None
    """What this engine burns, in place of the fuel equation."""

    torque: Sequence[TorquePoint] | None = ()
    """Full torque by engine speed, for gears. Left out: rated torque, no more, at lower speed."""


class Tractor(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor as it stands in the yard, ballast on."""

    name: str | None = ""
    """Yours to choose; only echoed."""

    drive: Drive
    """What is driven.

    `four-wheel` is an articulated tractor with equal wheels; `rubber-track` has two tracks, `four-track` four.
    """

    power: TractorPower
    """Rated power."""

    mass: TractorMass
    """Mass ready for the field, ballast included. For example "11.5 t"."""

    tires: AxleTires | None = None
    """Needed unless the tractor runs on rubber tracks."""

    wheelbase: Wheelbase | None = None
    """Front to rear axle, on tracks too. Needed unless on two tracks. For example "2.95 m"."""

    front_share: Share | None = None
    """Share of the mass on the front axle, standing level. For example "40 %"."""

    drawbar_height: HitchHeight | None = None
    """Drawbar above ground."""

    hitch_distance: MachineLength | None = None
    """Drawbar pin behind the rear axle."""

    center_of_mass_height: MachineLength | None = None
    """Above ground; matters on a slope only."""

    transmission: Transmission | None = None
    """`gear`, or `cvt` for continuously variable: sets the usual efficiency. Left out: gears."""

    transmission_efficiency: Efficiency | None = None
    """Axle power over PTO power."""

    pump_efficiency: Efficiency | None = None
    """Fluid power over power into the pump."""

    generator_efficiency: Efficiency | None = None
    """Electric power over power into the generator."""

    front_lead: FrontLead | None = None
    """How much faster the front wheels are geared than the rear."""

    rear_follows_front: bool | None = False
    """Whether the rear tires run in the track of the front ones and find firmer soil. Left out: `false`."""

    engine_speed: EngineSpeedRatio | None = None
    """Engine speed over full-throttle speed of the fuel rate."""

    derating: Derating | None = None
    """Thin or hot air that the engine works in. Left out: it gives its rated power."""

    traction: Traction | None = None
    """Other traction equations, or constants of your own, for tires. Left out: Brixius."""

    gears: Sequence[Gear] | None = ()
    """Gears to choose from, any order."""


class Transport(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Implements raised for the road. Give the front one, the rear one or both."""

    front: FrontMounted | None = None
    """On the front linkage."""

    rear: RearMounted | None = None
    """On the rear linkage."""

    links_behind_axle: MachineLength | None = None
    """Lower link ends behind the rear axle: c. For example "1.05 m"."""

    unladen_mass: TractorMass | None = None
    """The tractor's own mass, of which each axle must keep its share; else its mass as it stands."""

    speed: Speed | None = None
    """Greatest speed on the road; tires carry less at speed. For example "40 km/h"."""


class BallastRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor, its work, a speed and a soil. Give an implement or a pull."""

    tractor: Tractor
    """The tractor as it stands."""

    implement: Implement | None = None
    """The implement."""

    pull: KnownPull | None = None
    """A known pull, in place of an implement."""

    soil: Soil
    """The soil."""

    speed: Speed
    """Ground speed. For example "8 km/h"."""

    slope: Slope | None = None
    """Rise over run, positive uphill. Left out: `0 %`."""

    aim: Aim | None = "middle"
    """Which slip of the band to aim at; `high` takes the least mass. Left out: `middle`."""

    wanted_front_share: Share | None = None
    """Split to aim at; else the one in the usual band that takes the least mass."""

    ballast_on: BallastOn | None = None
    """Ballast that can come off; sets how light the tractor can be.

    `{}`: none. Left out it is not known, and none is advised off.
    """

    front_ballast_reach: MachineLength | None = None
    """Center of the front ballast ahead of the front axle."""

    limits: BallastLimits | None = None
    """Limits to keep."""

    transport: Transport | None = None
    """Implements raised for the road, to check the axles."""

    soil_stress: SoilStress | None = None
    """Ask for stress in the soil; `{}` takes every default."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class BatchColumn(msgspec.Struct, frozen=True, kw_only=True):
    """One value of every row."""

    unit: str
    """Unit of the numbers; empty for plain numbers, truths and texts."""

    values: list[float | bool | str | None]
    """By row; null where there is none, or the row has a fault."""


class RowFault(msgspec.Struct, frozen=True, kw_only=True):
    """Why a row has no answer."""

    row: int
    """Row, counted from 0."""

    pointer: str
    """JSON Pointer into the scenario of that row; empty: all of it."""

    detail: str
    """What is wrong and what would be right."""


class BatchAnswer(Answer, frozen=True, kw_only=True):
    """Columns, faults by row, and what the first row says about itself."""

    rows: int
    """Number of rows, faulty ones included."""

    columns: dict[str, BatchColumn]
    """By JSON Pointer into the answer."""

    faults: list[RowFault]
    """Every fault of every row, in the order of the rows."""

    about: About | None = None
    """What the answer to the first sound row says about itself. Null if the first hundred rows are all at fault."""


class VariedValues(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Values of one leaf: a list of them, or evenly spaced ones."""

    unit: str | None = None
    """Unit of the numbers; leave it out for texts, truths and counts."""

    values: Sequence[float | bool | str | None] | None = None
    """The values. With a unit: numbers. Else as a single request would hold them."""

    first: float | None = None
    """First of evenly spaced values."""

    last: float | None = None
    """Last of evenly spaced values."""

    count: int | None = None
    """How many evenly spaced values."""


class BatchRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One scenario, and what varies in it."""

    scenario: Mapping[str, Any]
    """A request of the calculation; what varies may be missing.

    `fleets` may hold objects by name, in `tractors`, `tools`, `soils` and `fields`: a list of names at `/tractor`,
    `/implement`, `/soil` or `/field` varies the whole object.
    """

    vary: Mapping[str, Sequence[float | bool | str | None] | VariedValues]
    """Values by JSON Pointer into the scenario: a list as a single request would hold them, or numbers in a unit."""

    mode: BatchMode | None = "zip"
    """`zip`: the first values of all make the first row, and so on.

    `grid`: every value with every other; the leaf named last varies fastest. Left out: `zip`.
    """

    columns: Sequence[str] | None = None
    """JSON Pointers into the answer: which values come back; left out, the usual ones.

    `/about/warnings` gives each row its codes and pointers, `/about/assumptions` pointers.
    """


class BestWidth(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Asks how wide a machine should be, its price in proportion to width.

    Other machines and labor cost the same an hour at any width; fuel and wearing parts the same on an area.
    """

    machine: str
    """Its name in `machines`; it needs a `width`. For example "chisel plow"."""

    delay_cost: HourlyRate | None = None
    """Crop lost for each hour the work takes: `delay.expected` of `/v1/completion` over its hours.

    Left out, none is counted. For example "40 money/h".
    """

    within: Share | None = None
    """Widths that cost at most this much more than the best make the band."""

    narrowest: Width | None = None
    """Narrowest to think of; a tenth of it if left out."""

    widest: Width | None = None
    """Widest to think of; ten times as wide if left out."""


class BestWidthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The width that costs least, and those that are about as good."""

    machine: str
    """The machine."""

    width: Reading
    """Width of least cost; low and high are the ends of the band. [m or ft]"""

    within: Reading
    """How much more than the least the band costs at its ends. [%]"""

    cost: Reading
    """Cost of the work in a year at that width, delay included. [money]"""

    present_width: Reading
    """As in the request. [m or ft]"""

    present_cost: Reading
    """The same cost at the present width. [money]"""

    hours: Reading
    """The work takes so long in a year at the best width. [h]"""

    closed_form: Reading
    """Width by sqrt(A k / (f v E)), without repairs: an independent check. [m or ft]"""


class CalendarLine(msgspec.Struct, frozen=True, kw_only=True):
    """What one tractor does on one day."""

    tractor: str
    """The tractor."""

    operators: list[str]
    """Who drives, in turn."""

    implements: list[str]
    """What it pulls, in turn."""

    works: list[str]
    """Its works, in turn."""

    fields: list[str]
    """Fields it works, in turn."""

    hours: Reading
    """Expected time at work. [h]"""

    moving: Reading
    """Expected time on the road and changing implements. [h]"""

    area: Reading
    """Area done. [ha or ac]"""

    finished: list[str]
    """Fields whose work is finished that day."""


class CalendarDay(msgspec.Struct, frozen=True, kw_only=True):
    """What is done on one day."""

    date: str
    """The day."""

    day: str
    """The day as people write it. For example "Mon 6 Sep"."""

    lines: list[CalendarLine]
    """Each tractor that works, in the order of the request."""

    beyond_window: bool
    """Whether the day is after the window."""


class CalibrationGroup(msgspec.Struct, frozen=True, kw_only=True):
    """One machine on one field. Low and high hold 95 in 100."""

    machine: str | None = None
    """As its runs name it."""

    field: str | None = None
    """As its runs name it."""

    runs: list[int]
    """Which runs of the request, counted from 0."""

    draft_multiplier: Reading
    """Median, drawn towards what is common to all. [1]"""

    draft_deviation: Reading
    """Standard deviation of its logarithm. [%]"""

    cone_index: Reading
    """Median; each group has a soil of its own. [kPa or psi]"""

    cone_index_deviation: Reading
    """Standard deviation of its logarithm. [%]"""

    correlation: float
    """Between the logarithms of the two, -1 to 1."""


class NotYetWorked(msgspec.Struct, frozen=True, kw_only=True):
    """A machine on a field not yet worked. Low and high hold 95 in 100."""

    machine: str | None = None
    """Its name; null among several: one that has not yet run."""

    draft_multiplier: Reading
    """Median. [1]"""

    draft_deviation: Reading
    """Standard deviation of its logarithm. [%]"""


class PredictiveCheck(msgspec.Struct, frozen=True, kw_only=True):
    """Whether measurements lie where they were expected, their errors included."""

    inside: float
    """Share of measurements in the range meant to hold 9 in 10."""

    p_value: float
    """Chance of a greater misfit if all is as said."""


class CalibrationGroups(msgspec.Struct, frozen=True, kw_only=True):
    """What runs of several machines and fields say of each."""

    each: list[CalibrationGroup]
    """Each machine on each field, in the order of their runs."""

    elsewhere: list[NotYetWorked]
    """Each machine on a field not yet worked."""

    between_machines: Reading | None = None
    """Standard deviation of the logarithm of the draft between machines; null with one. [%]"""

    between_fields: Reading | None = None
    """The same between fields. [%]"""

    before: PredictiveCheck
    """The runs against what was known before them."""

    after: PredictiveCheck
    """The runs against what was learned from them; since it was, more than 9 in 10 lie inside."""


class MeasurementAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One measurement against its prediction."""

    pointer: str
    """Which measurement of the request."""

    kind: MeasurementAnswerKind
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


class CalibrationAnswer(Answer, frozen=True, kw_only=True):
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

    groups: CalibrationGroups | None = None
    """Each machine on each field, where runs name them; else null."""

    runs: list[CalibrationRunAnswer]
    """Every run, in the order of the request."""

    about: About
    """About this answer."""


class CalibrationPrior(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How well things were known before the runs: standard deviation of the logarithm, about that over the value."""

    draft: RelativeSpread | None = None
    """Of the draft multiplier, in place of the draft's range."""

    cone_index: RelativeSpread | None = None
    """Of the cone index. For example "30 %"."""


class CalibrationRun(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One run in the field, and what was measured in it: at least one of pull, slip, fuel rate and engine load.

    Errors are standard deviations, taken as independent between measurements.
    """

    machine: str | None = None
    """Which machine, where runs of several are learned from. For example "heron"."""

    field: str | None = None
    """Which field, where there are several. For example "millrace"."""

    speed: Speed
    """Ground speed. For example "7.5 km/h"."""

    depth: Depth | None = None
    """Depth of the tool that pulls hardest, in place of the implement's."""

    slope: Slope | None = None
    """Rise over run, positive uphill. Left out: `0 %`."""

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

    tables: OwnTables | None = None
    """Your own figures, for this request."""


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
    """Hours for the area, if one is known. [h]"""

    days: float | None = None
    """Workdays for the area, if both are known."""

    in_field: FieldTimeAnswer | None = None
    """How time goes, if a field shape was given."""


class ChanceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A chance and its sampling error."""

    value: Reading
    """The chance. [%]"""

    standard_error: Reading
    """Standard error of the sampling; says nothing of the model. [%]"""


class CheckAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One limit, and whether it is kept."""

    name: CheckAnswerName
    """The limit."""

    kept: bool
    """Whether it is kept."""

    margin: Reading | None = None
    """What is left before the limit, over the limit; negative beyond it; null for yes or no. [%]"""

    pointer: str
    """The part of the request it is about (JSON Pointer); empty: all of it."""

    detail: str
    """Value and limit in words."""


class ColumnAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A column of a table."""

    name: str
    """Name, as in each row."""

    unit: str
    """Unit as published; empty for text, a count or a ratio."""

    meaning: str
    """What it means."""


class CurvePoint(msgspec.Struct, frozen=True, kw_only=True):
    """The chance to be done by a date."""

    date: str
    """By the end of this day."""

    chance: Reading
    """Chance to be done. [%]"""


class DelayCost(msgspec.Struct, frozen=True, kw_only=True):
    """What it costs that the work takes days."""

    expected: Reading
    """For the schedule asked about, with the range of the loss. [money]"""

    balanced: Reading
    """If the work lies evenly about the best day. [money]"""

    one_sided: Reading
    """If all of it comes before or after the best day. [money]"""

    loss: Reading
    """Share of the yield lost for each day. [%]"""


class Lever(msgspec.Struct, frozen=True, kw_only=True):
    """One thing changed."""

    name: LeverName
    """What is changed."""

    change: str
    """The same in words."""

    chance: Reading
    """Chance to be done in time then. [%]"""

    gain: Reading
    """That chance less the one now. [%]"""

    saves: Reading | None = None
    """Cost of delay saved, if timeliness was asked for. [money]"""


class LikelyDates(msgspec.Struct, frozen=True, kw_only=True):
    """Dates by which the work is done with a given chance, as far as the suitable days are told."""

    even: str | None = None
    """50 in 100."""

    likely: str | None = None
    """80 in 100."""

    very_likely: str | None = None
    """90 in 100."""

    why_null: str | None = None
    """Why a date is missing; null if none is."""


class Recorded(msgspec.Struct, frozen=True, kw_only=True):
    """What the record itself says, without a model."""

    share: Reading
    """Share of years with enough days; low and high hold 95 in 100. [%]"""

    years: int
    """Number of years."""


class WeekOfWindow(msgspec.Struct, frozen=True, kw_only=True):
    """Some days of the window, a week at most."""

    start: str
    """First day."""

    days: int
    """Calendar days, 7 but for the last."""

    suitable: Reading
    """Mean share of its days that are suitable; 8 of 10 recorded years lie in the range. [%]"""


class YearOfWindow(msgspec.Struct, frozen=True, kw_only=True):
    """How the window turned out in a recorded year."""

    year: int
    """Year in which the window starts, by ISO 8601."""

    days: float
    """Suitable days it had; with `so_far`, those it would have from where this year stands."""

    enough: bool
    """Whether that is enough."""


class CompletionAnswer(Answer, frozen=True, kw_only=True):
    """Will it all be done in time."""

    chance: Reading
    """Chance to be done by the last day; the range where years are few. [%]"""

    summary: str
    """The answer in words."""

    days_needed: float
    """Suitable days the work takes."""

    days_expected: float
    """Suitable days in the window in a middling year."""

    days_spread: float
    """Their standard deviation from year to year."""

    calendar_days: int
    """Days in the window, both ends counted."""

    recorded: Recorded | None = None
    """What the record says, if it is of this window."""

    smooth: Reading | None = None
    """With a `record`: the chance by a beta distribution fitted to the window's years, alone. [%]"""

    by_year: list[YearOfWindow]
    """With a `record`: the window in each of its years."""

    by_week: list[WeekOfWindow]
    """With a `record`: the window week by week."""

    curve: list[CurvePoint]
    """Chance by date, to the end of the window."""

    dates: LikelyDates
    """When it is done with a given chance, past the window too."""

    levers: list[Lever]
    """What would help, the most first."""

    delay: DelayCost | None = None
    """What delay costs, if asked for."""

    about: About
    """About this answer."""


class RecordedWeek(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A week: `year` and `week`, or its last day, and what was recorded in it."""

    year: int | None = None
    """Year of the week by ISO 8601. For example "2024"."""

    week: int | None = None
    """Its number by ISO 8601. For example "42"."""

    week_ending: str | None = None
    """Its last day, in place of `year` and `week`. For example "2024-10-20"."""

    days: float | None = None
    """Days of it that were suitable; leave out where not known. For example "4.5"."""

    topsoil: float | None = None
    """Moisture of the topsoil at its end: 0 very short, 1 short, 2 adequate, 3 surplus; of shares of land, their mean.

    For example "1.8".
    """


class DaysRecord(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Suitable days week by week over some years: your own `weeks`, or the `id` of a shipped record."""

    id: str | None = None
    """A `record` of `/v1/reference/suitable-weeks`. For example "iowa"."""

    weeks: Sequence[RecordedWeek] | None = None
    """Your own, in any order; weeks may be missing, and a year that lacks one is left out."""

    place: str | None = None
    """Where they were recorded."""

    own: bool | None = None
    """Whether that is where the work is. Left out: yes for your own `weeks`, no for a shipped record."""


class SuitableDays(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How many days are fit for field work: a record, a mean with its spread, or a row of the table."""

    period_days: int | None = None
    """Calendar days the figures are about; the window itself if left out."""

    history: Sequence[float] | None = None
    """Suitable days of each recorded year. For example "[12.5, 9.0, 17.0, 14.0]"."""

    mean: float | None = None
    """Suitable days in a middling year."""

    spread: float | None = None
    """Standard deviation from year to year."""

    least: float | None = None
    """In the worst year, in place of a spread."""

    most: float | None = None
    """In the best year."""

    years: int | None = None
    """Number of years behind mean, least and most."""

    row: SuitableDaysRow | None = None
    """Row of `/v1/reference/suitable-days`. For example "illinois-central.spring"."""


class Timeliness(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What a day off the best one costs. Give `loss` or `row`."""

    loss: Share | None = None
    """Share of the yield lost for each day. For example "0.7 %"."""

    row: TimelinessRow | None = None
    """Row of `/v1/reference/timeliness`."""

    crop_yield: Yield
    """Yield on the best day. For example "8 t/ha"."""

    price: CropPrice
    """What the crop is worth. For example "190 money/t"."""

    schedule: Schedule | None = "one-sided"
    """Work evenly about the best day, or all of it before or after. Left out: `one-sided`."""


class CompletionRequest(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """Work to be done in a window."""

    area: Area
    """Land to work. For example "180 ha"."""

    done: Area | None = None
    """Of it: worked already."""

    passes: int | None = 1
    """Passes over the land with this machine. Left out: `1`."""

    capacity: AreaRate
    """Effective field capacity of one machine; see `/v1/match`. For example "3.1 ha/h"."""

    capacity_low: AreaRate | None = None
    """It is below this 5 times in 100; with `capacity_high`, the chance takes the range in."""

    capacity_high: AreaRate | None = None
    """It is above this 5 times in 100."""

    machine_count: int | None = 1
    """Machines at work side by side. Left out: `1`."""

    workday: Workday
    """Hours at work on a suitable day. For example "9 h"."""

    time_lost: TimeLost | None = None
    """Share of it lost to breakdowns and waiting. For example "5 %"."""

    breakdowns: BreakdownRow | None = None
    """Row of `/v1/reference/breakdown`, whose hours each machine stands, in place of `time_lost`.

    For example "tillage".
    """

    start: str
    """First day of the window. For example "2027-10-20"."""

    end: str
    """Last day of the window. For example "2027-11-25"."""

    suitable: SuitableDays | None = None
    """How many days are fit for field work; give it or `record`."""

    record: DaysRecord | None = None
    """Suitable days week by week over some years, in place of `suitable`."""

    so_far: Sequence[RecordedWeek] | None = None
    """Weeks of this year up to now, with a `record`: the answer is for what is left of the window, its years moved by
    how far these weeks lie from theirs. State land worked as `done`.
    """

    timeliness: Timeliness | None = None
    """What delay costs; leave out not to ask."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class CostLine(msgspec.Struct, frozen=True, kw_only=True):
    """One item of cost, in three measures."""

    per_year: Reading
    """In a year of this work. [money]"""

    per_hour: Reading
    """In an hour of it. [money/h]"""

    per_area: Reading
    """On an area. [money/ha or money/ac]"""


class HireAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Hire against own, with the same machines, terms and rates on any area."""

    own: Reading
    """Cost of doing it yourself. [money/ha or money/ac]"""

    hire: Reading
    """Cost of having it done. [money/ha or money/ac]"""

    difference: Reading
    """Hire less own; above 0, owning saves it. [money/ha or money/ac]"""

    difference_per_year: Reading
    """The same in a year. [money]"""

    cheaper: Cheaper
    """Which costs less on this area."""

    break_even: Reading | None = None
    """Area a year from which owning costs less; null if it never or always does: see `says`. [ha or ac]"""

    no_longer_above: Reading | None = None
    """Area a year above which repairs make owning dearer again; null beyond a year's hours or a machine's life.

    [ha or ac]
    """

    says: str
    """The same in words."""


class MachineCost(msgspec.Struct, frozen=True, kw_only=True):
    """What a machine costs. The lines are this work's share of it."""

    name: str
    """As in the request."""

    share_of_use: Reading
    """Part of the machine's year that this work takes. [%]"""

    annual_use: Reading
    """Hours the machine works in a year, all work together. [h]"""

    hours_at_sale: Reading
    """Hours it will have worked when you part with it. [h]"""

    resale: Reading
    """What it fetches then, once. [money]"""

    whole_year: Reading
    """Ownership and repairs of a year, all work together, without wearing parts. [money]"""

    capital_recovery: CostLine
    """Loss of value, and interest on what is tied up."""

    taxes: CostLine
    """Taxes."""

    insurance: CostLine
    """Insurance."""

    housing: CostLine
    """Housing."""

    repairs: CostLine
    """Repairs and upkeep at today's prices, mean of the years you keep it."""

    parts: CostLine
    """Wearing parts as fitted: the first option of each place."""

    total: CostLine
    """All of these."""


class WearPartCost(msgspec.Struct, frozen=True, kw_only=True):
    """What a kind of part costs."""

    name: str
    """As in the request."""

    life: Reading
    """Area worked on one set, in this soil. [ha or ac]"""

    life_from: str
    """Where the life comes from: given, hours, times_first or point."""

    sets_per_year: float
    """Sets worn out in a year of this work."""

    change_time: Reading
    """Labor to change them in a year. [h]"""

    per_area: Reading
    """Parts and the labor to change them. [money/ha or money/ac]"""

    per_year: Reading
    """The same in a year. [money]"""

    saving: Reading
    """What it saves in a year over what is fitted; below 0 it costs more. [money]"""

    against_fitted: Reading | None = None
    """Its cost over that of what is fitted; null where that costs nothing. [%]"""


class WearComparison(msgspec.Struct, frozen=True, kw_only=True):
    """The options of one place, side by side."""

    machine: str
    """The machine."""

    place: str
    """The place on it."""

    options: list[WearPartCost]
    """In the order of the request; the first is fitted."""

    best: str
    """The option that costs least on an area; the earlier of equals."""


class CostAnswer(Answer, frozen=True, kw_only=True):
    """What the work costs, item by item, in today's money."""

    total: CostLine
    """Everything."""

    ownership: CostLine
    """Capital recovery, taxes, insurance and housing of all machines."""

    operating: CostLine
    """Repairs, wearing parts, fuel, oil and labor."""

    machines: list[MachineCost]
    """This work's share of each machine."""

    fuel: CostLine
    """Fuel."""

    oil: CostLine
    """Oil and grease."""

    labor: CostLine
    """Labor at work; changing of parts is with the parts."""

    labour: CostLine
    """Old word for `labor`."""

    area: Reading
    """Worked in a year. [ha or ac]"""

    hours: Reading
    """Of this work in a year. [h]"""

    wearing: list[WearComparison]
    """Options for wearing parts, side by side."""

    hire: HireAnswer | None = None
    """Hire against own; null if no `hire_rate` was given."""

    best_width: BestWidthAnswer | None = None
    """Width of least cost; null if not asked for."""

    about: About
    """About this answer."""


class CostParts(msgspec.Struct, frozen=True, kw_only=True):
    """What something costs, as far as prices were given; null where none was."""

    machine: Reading | None = None
    """Tractor and implement, or hired work. [money]"""

    fuel: Reading | None = None
    """Fuel, where no hired price covers it. [money]"""

    labor: Reading | None = None
    """One driver for the hours, where no hired price covers it. [money]"""

    labour: Reading | None = None
    """Old word for `labor`. [money]"""

    total: Reading | None = None
    """Sum of those that are known. [money]"""

    per_area: Reading | None = None
    """That sum on an area. [money/ha or money/ac]"""


class FuelUse(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Fuel of the work."""

    rate: FuelRate
    """Fuel in an hour, turns and stops included: `fuel.mean_rate` of a match. For example "31 L/h"."""

    price: FuelPrice
    """Price of the fuel. For example "1.20 money/L"."""

    oil_share: Share | None = None
    """Oil and grease over the cost of fuel. For example "15 %"."""


class Labor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Who does the work."""

    wage: HourlyRate
    """Pay of one worker. For example "18 money/h"."""

    overhead: Share | None = None
    """What comes on top of pay. For example "10 %"."""

    workers: int | None = 1
    """How many work at once. Left out: `1`."""


class RepairFactors(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Repairs up to h hours of work are RF1 × list price × (h/1000)^RF2."""

    RF1: float
    """Repair factor 1. For example "0.28"."""

    RF2: float
    """Repair factor 2, the exponent. For example "1.4"."""


class WearPart(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A kind of part that fits.

    The first of a place is what is fitted, and states its `life` or `life_hours`. The others may state theirs, or how
    many `times_first` they last; or both name their `point` in the wear table.
    """

    name: str
    """What you call it. For example "wing point"."""

    price: Price
    """Of one. For example "42"."""

    life: Area | None = None
    """Area the machine works on one set of it. For example "180 ha"."""

    life_hours: PartHours | None = None
    """Hours the machine works on one set."""

    times_first: Multiplier | None = None
    """Life over that of the first option. For example "3"."""

    point: WearRow | None = None
    """Row of the wear table; with one on the first option, tells life. For example "wing-point"."""

    change_time: ShortTime | None = None
    """Labor to change one. For example "6 min"."""


class WearingPlace(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A place on the machine where parts wear, and what may be fitted there."""

    name: str
    """What you call it. For example "shank points"."""

    count: int
    """Parts in a set: how many the machine carries there. For example "11"."""

    soil_factor: Multiplier | None = None
    """Life in this soil over the lives given, for all options; no table tells it. Below 1: it wears faster."""

    options: Sequence[WearPart]
    """What is fitted, then what else would fit."""


class OwnedMachine(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor or an implement that takes part in the work.

    Give `remaining_value` or `resale`, and `practice` or `repair_factors`.
    """

    name: str
    """What you call it; each machine its own. For example "chisel plow"."""

    price: MachinePrice
    """What you pay for it, or what it would fetch today if it is yours."""

    list_price: MachinePrice | None = None
    """Price of the same machine new, today; `price` if left out."""

    remaining_value: RemainingValueRow | None = None
    """Row of the remaining-value table, for what it fetches in the end. For example "tillage"."""

    resale: Price | None = None
    """What it will fetch in the end, if you know better."""

    practice: PracticeRow | None = None
    """Row of the practice table, for its repair factors and life. For example "chisel-plow"."""

    repair_factors: RepairFactors | None = None
    """Repair factors of your own."""

    age: float | None = None
    """Age in years at the price given; 0 if left out: new."""

    hours: MachineHours | None = None
    """Hours it has worked by then; 0 if left out: new."""

    years: float
    """Years you keep it from then on. For example "10"."""

    annual_use: AnnualUse | None = None
    """Hours it works in a year, all work together; this work alone if left out."""

    width: Width | None = None
    """Working width; needed for `best_width` only."""

    wearing: Sequence[WearingPlace] | None = ()
    """Points and other parts that wear out on the ground."""


class Terms(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What capital costs, and what comes with owning, each year."""

    interest: InterestRate
    """Real interest a year: the bank's rate less inflation, about. For example "4 %"."""

    taxes: Share | None = None
    """Taxes a year, over the price. For example "1 %"."""

    insurance: Share | None = None
    """Insurance a year, over the price."""

    housing: Share | None = None
    """Shed a year, over the price."""


class YearsWork(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """The work of a year. Give `area` or `hours`."""

    capacity: AreaRate
    """Area in an hour: `capacity.effective` of a match. For example "2.4 ha/h"."""

    area: Area | None = None
    """Area in a year; an area worked twice counts twice. For example "210 ha"."""

    hours: AnnualUse | None = None
    """Hours in a year, in place of `area`."""

    fuel: FuelUse | None = None
    """Fuel; left out, none is counted."""

    labor: Labor | None = None
    """Labor; left out, none is counted."""


class CostRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Machines, the terms they are owned on, and the work they do. Amounts are in one currency, yours."""

    machines: Sequence[OwnedMachine]
    """All that take part: tractor and implement."""

    terms: Terms
    """Interest, taxes, insurance and housing."""

    work: YearsWork
    """The work of a year."""

    hire_rate: HireRate | None = None
    """What it costs to have the work done, all included. For example "58 money/ha"."""

    best_width: BestWidth | None = None
    """Asks for the width of a machine that costs least."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class CriterionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Who comes first on one criterion: least hours, fuel, cost and passes, most cover, earliest finish."""

    criterion: Criterion
    """The criterion; carbon dioxide goes with fuel."""

    systems: list[str]
    """The system that comes first, or those that are level."""

    clear: bool
    """Whether its range lies wholly before the ranges of all others; else it is a close call."""


class Cylinder(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A cylinder, or several alike side by side."""

    bore: PartLength
    """Inside diameter. For example "100 mm"."""

    rod: PartLength | None = None
    """Diameter of the rod. Left out: single-acting, it returns by itself."""

    count: int | None = 1
    """Alike, side by side. Left out: `1`."""

    load: Pull | None = None
    """What each pushes when extending. For example "45 kN"."""


class CylinderAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One of the cylinders."""

    pressure: Reading | None = None
    """At its inlet under its load; null without loads. [bar or psi]"""

    stroke: Reading
    """How far it travels. [mm or in]"""

    extend_force: Reading
    """Its push at the tractor's pressure, all of it; in series less is left for each. [kN or lbf]"""

    retract_force: Reading | None = None
    """Its pull at that pressure; null if single-acting. [kN or lbf]"""


class Cylinders(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Cylinders that move together. Give every `load`, or the `pressure`."""

    each: Sequence[Cylinder]
    """The cylinders; in series, in the order the oil runs."""

    series: bool | None = False
    """Whether the oil each pushes out moves the next, as in phasing cylinders: pressures add. Left out: `false`."""

    stroke: PartLength
    """Travel; of the first, if in series. For example "400 mm"."""

    time: StrokeTime
    """Wanted time to extend. For example "5 s"."""

    pressure: OilPressure | None = None
    """Pressure they need, if known."""


class CylindersAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Cylinders that move together."""

    volume: Reading
    """Oil to extend them. [L or gal]"""

    retract_time: Reading | None = None
    """To retract at the same flow; null if any is single-acting. [s]"""

    return_flow: Reading | None = None
    """Oil that comes back meanwhile, more than goes in; null likewise. [L/min or gal/min]"""

    each: list[CylinderAnswer]
    """In the order of the request."""


class Daylight(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What light a workday has."""

    latitude: float
    """Degrees north of the equator. For example "42.0"."""

    lamps: WaitTime | None = None
    """How long a day is worked by lamps. Left out: from sunrise to sunset only."""


class FreezeUpOfYear(msgspec.Struct, frozen=True, kw_only=True):
    """When the soil froze in one year."""

    year: int
    """Year of the autumn."""

    date: str | None = None
    """First day of a week of frozen soil; null: not by the end of January."""


class FreezeUp(msgspec.Struct, frozen=True, kw_only=True):
    """When the soil freezes at 10 cm, as dates of the last year."""

    middle: str | None = None
    """In half of the years it was frozen by then; null where it was not by the end of January."""

    early: str | None = None
    """In 1 year of 10."""

    late: str | None = None
    """In 9 years of 10."""

    spread: float | None = None
    """Standard deviation from year to year, in days."""

    by_year: list[FreezeUpOfYear]
    """Year by year."""

    why_null: str | None = None
    """Why there are no dates; null if there are."""


class RecordWeekOfWeather(msgspec.Struct, frozen=True, kw_only=True):
    """A week as the record of a completion takes it."""

    year: int
    """Year of the week by ISO 8601."""

    week: int
    """Its number by ISO 8601."""

    days: float
    """Suitable days."""

    topsoil: float
    """Moisture of the topsoil at its end, from 0 dry to 3 full."""


class RecordOfWeather(msgspec.Struct, frozen=True, kw_only=True):
    """The weeks as a completion takes them."""

    weeks: list[RecordWeekOfWeather]
    """Week by week."""


class WeekOfWeather(msgspec.Struct, frozen=True, kw_only=True):
    """Suitable days of a week."""

    year: int
    """Year of the week by ISO 8601."""

    week: int
    """Its number by ISO 8601."""

    week_ending: str
    """Its last day."""

    days: float
    """Days of it that are suitable."""

    low: float
    """1 of 10 such weeks has fewer."""

    high: float
    """1 of 10 such weeks has more."""


class YearOfWeather(msgspec.Struct, frozen=True, kw_only=True):
    """Suitable days of the weeks that are added up, in one year."""

    year: int
    """The year."""

    days: float
    """Suitable days."""

    low: float
    """1 of 10 such years has fewer."""

    high: float
    """1 of 10 such years has more."""


class DaysAnswer(Answer, frozen=True, kw_only=True):
    """How many days the weather made fit for field work."""

    summary: str
    """The answer in words."""

    years: list[YearOfWeather]
    """The weeks asked for, added up, of each year that has all."""

    freeze_up: FreezeUp
    """When the soil freezes."""

    weeks: list[WeekOfWeather]
    """Week by week: weeks 13 to 48 of each year."""

    record: RecordOfWeather
    """The same as the `record` of a completion. Its `topsoil` is that of this model: compare it with no other."""

    about: About
    """About this answer."""


class DaysOff(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Days on which nobody works."""

    weekdays: Sequence[Weekdays] | None = ()
    """In every week. For example "['sunday']"."""

    dates: Sequence[str] | None = ()
    """Further ones."""


class DaysRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Weather of one place, day by day without a gap; null where a day has no figure."""

    first: str
    """First day of the lists. For example "2024-07-01"."""

    rain: Sequence[float | None]
    """Rain and melted snow that fell on each day, in mm."""

    high: Sequence[float | None]
    """Highest air temperature of each day, in °C."""

    low: Sequence[float | None]
    """Lowest air temperature of each day, in °C."""

    snow_depth: Sequence[float | None] | None = None
    """Snow on the ground, in mm; left out: as rain and cold make it."""

    latitude: float | None = None
    """Degrees north, for the sun. For example "42.0"."""

    drainage: Drainage | None = "moderate"
    """How fast the soil drains, beside the drained fields of Iowa it was fitted to. Left out: `moderate`."""

    averaged: bool | None = False
    """Whether the figures are averages over a region, such as a state, not of one station. Left out: `false`."""

    from_week: int | None = 36
    """First week (ISO 8601) that is added up for each year. Left out: `36`."""

    to_week: int | None = 47
    """Last week that is added up. Left out: `47`."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class DistanceRun(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Distances covered in one number of wheel turns."""

    loaded: Length
    """Distance with the implement at work. For example "45.2 m"."""

    unloaded: Length
    """Distance with the implement raised. For example "51 m"."""


class DoneBefore(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Work that is done on a field before the plan begins."""

    field: str
    """Name of the field. For example "millrace"."""

    area: Area | None = None
    """How much of it. Left out: all. For example "5 ha"."""

    last: str | None = None
    """Last day it was worked. Left out: the day before the plan begins."""


class DoneBy(msgspec.Struct, frozen=True, kw_only=True):
    """The chance that all is done by a day."""

    date: str
    """The day."""

    chance: Reading
    """Share of the recorded years in which all is done by its end. [%]"""


class ToolDraftAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of one kind of ground tool."""

    tool: str
    """Row of the draft table."""

    pointer: str
    """Which tool of the request."""

    draft: Reading
    """Draft; 9 in 10 lie from low to high. [kN or lbf]"""

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


class DraftAnswer(Answer, frozen=True, kw_only=True):
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
    """About this answer."""


class Series(msgspec.Struct, frozen=True, kw_only=True):
    """Numbers of one unit, in the order of the curve."""

    name: str
    """What they are."""

    unit: str
    """Unit of all of them, as `units` asks."""

    values: list[float | None]
    """The numbers; null where there is none."""

    low: list[float | None] | None = None
    """Low ends of their ranges, if they have any."""

    high: list[float | None] | None = None
    """High ends of their ranges, if they have any."""


class ToolBars(msgspec.Struct, frozen=True, kw_only=True):
    """Draft of one kind of ground tool."""

    tool: str
    """Row of the draft table."""

    pointer: str
    """Which tool of the request."""

    draft: Series
    """Its draft at each speed; 9 in 10 lie from low to high."""


class DraftByToolAnswer(Answer, frozen=True, kw_only=True):
    """Draft by tool, at speeds around the match."""

    title: str
    """Its title."""

    summary: str
    """What it shows, in words."""

    source: str
    """Its source line."""

    speed: Series
    """Ground speeds, rising; the match's is in the middle."""

    tools: list[ToolBars]
    """Each kind of tool, in the order of the request."""

    total: Series
    """Draft of all of them; 9 in 10 lie from low to high."""

    about: About
    """About this answer."""


class DraftRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """An implement at work in a soil."""

    implement: Implement
    """The machine and its ground tools."""

    soil: Soil
    """The soil it works."""

    speed: Speed
    """Ground speed. For example "8 km/h"."""

    slope: Slope | None = None
    """Rise over run, positive uphill; acts on the implement's mass. Left out: `0 %`."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class Spot(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A place, counted from any one point for all."""

    east: Position
    """How far east it lies. For example "1.2 km"."""

    north: Position
    """How far north it lies. For example "-300 m"."""


class Driving(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What takes time beside the work, and how long a day can be."""

    least_block: WaitTime | None = None
    """Least work on a field before a tractor leaves it, in time of a suitable day; only the rest of a field may be
    less. Left out: half a workday. For example "3 h".
    """

    hitch_change: WaitTime | None = None
    """To put another implement on.

    With it a tractor may change within a day; left out, only overnight, which takes no time. For example "30 min".
    """

    travel_times: Sequence[Sequence[WaitTime]] | None = None
    """Time on the road from each field (rows) to each, in the order of `fields`."""

    travel_speed: Speed | None = None
    """Speed on the road, where fields have places. Left out: 25 km/h."""

    detour: float | None = None
    """Length of the road over the straight line. Left out: 1.3."""

    yard: Spot | None = None
    """Where tractors begin the season. Left out: at their field."""

    daylight: Daylight | None = None
    """Ends workdays with the light. Left out: they are as long all season."""


class DutyAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Functions that run together, and what that asks of the pump, whether it has it or not."""

    name: str
    """`constant`, `all at once`, or the function moved besides what is constant."""

    functions: list[str]
    """Which functions run (JSON Pointers)."""

    needed_flow: Reading
    """What they take together. [L/min or gal/min]"""

    pump_flow: Reading
    """What the pump moves: more, if it is fixed. [L/min or gal/min]"""

    pump_pressure: Reading
    """Pressure of the pump. [bar or psi]"""

    useful_power: Reading
    """What reaches the functions. [kW or hp]"""

    over_relief: Reading
    """Heat of the flow over the relief valve. [kW or hp]"""

    throttled: Reading
    """Heat of flow throttled to the pressure of each function. [kW or hp]"""

    heat: Reading
    """Both. [kW or hp]"""

    pto_power: Reading
    """Into the pump: fluid power over its efficiency. [kW or hp]"""


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

    radius: TurningLength | None = None
    """Turning radius of tractor and tool."""

    tongue_length: TurningLength | None = None
    """From the hitch back to the tools of a pulled implement. Lengthens a turn by radius."""

    reversing: bool | None = False
    """Whether turns too tight to loop are made with one reverse. Left out: `false`."""


class FieldShape(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A rectangular field, from which field efficiency follows instead of being looked up."""

    length: Length
    """Along the passes. For example "600 m"."""

    width: Length
    """Across the passes. For example "300 m"."""

    turn: Turn
    """One headland turn."""

    overlap: Overlap | None = None
    """Share of the working width that is worked twice. Left out: `0 %`."""

    stops: ShortTime | None = None
    """All stops in this field: filling, clearing, adjusting. Left out: `0 s`."""


class Field(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The field and how it is worked."""

    name: str | None = ""
    """Yours to choose; only echoed."""

    slope: Slope | None = None
    """Rise over run along the passes; worked both ways, so its sign does not matter. Left out: `0 %`."""

    area: Area | None = None
    """Area to work; gives hours and days. For example "32 ha"."""

    workday: Workday | None = None
    """Hours of field work in a day; gives area a day. For example "10 h"."""

    efficiency: Efficiency | None = None
    """Field efficiency: effective over theoretical capacity. For example "82 %"."""

    shape: FieldShape | None = None
    """Field geometry, in place of an efficiency. Give one or neither."""

    turning_fuel_share: Share | None = None
    """Fuel rate while raised and turning, over that at work, as read in the cab. For example "30 %"."""

    stopped_fuel_share: Share | None = None
    """Fuel rate while standing, over that at work; 0 with the engine off. Counts the stops of a shape."""


class PlanLine(msgspec.Struct, frozen=True, kw_only=True):
    """Where the middle of the machine goes."""

    type: PlanLineType
    """Kind of geometry."""

    coordinates: list[list[float]]
    """Positions [longitude, latitude] in degrees, WGS 84, in the order of travel."""


class PlanProperties(msgspec.Struct, frozen=True, kw_only=True):
    """What a line of a plan is; plain values, for programs that draw maps."""

    part: Part
    """Lap of the headland, or pass."""

    number: int
    """Order among the laps, from the edge inwards, or among the passes; from 1."""

    block: int
    """Which lap, or which block of passes that are worked up and down without a break; from 1."""

    length: float
    """Length in meters, whatever units are asked for."""


class PlanFeature(msgspec.Struct, frozen=True, kw_only=True):
    """One lap or pass."""

    type: PlanFeatureType
    """Kind of GeoJSON object."""

    geometry: PlanLine
    """The line."""

    properties: PlanProperties
    """What it is."""


class FieldPlan(msgspec.Struct, frozen=True, kw_only=True):
    """A GeoJSON feature collection (RFC 7946): laps of the headland, then passes in the order of work."""

    type: FieldPlanType
    """Kind of GeoJSON object."""

    features: list[PlanFeature]
    """Laps and passes."""


class OutlineAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How a field is worked and how time goes."""

    area: Reading
    """Area of the field. [ha or ac]"""

    headland_area: Reading
    """Of it worked in laps. [ha or ac]"""

    missed_area: Reading
    """Of it in places too narrow for a lap: not worked. [ha or ac]"""

    headland_passes: int
    """Laps round the field."""

    direction: Reading | None = None
    """Bearing of the passes, east of north, below 180 deg; null if there are none. [deg]"""

    passes: int
    """Number of passes."""

    mean_pass: Reading | None = None
    """Mean length of a pass; null if there are none. [m or ft]"""

    shortest_pass: Reading | None = None
    """Shortest pass. [m or ft]"""

    longest_pass: Reading | None = None
    """Longest pass. [m or ft]"""

    turns: int
    """Number of turns: from pass to pass, and on to each lap."""

    turn_length: Reading | None = None
    """Path of one turn, if it follows from a radius. [m or ft]"""

    turn_time: Reading
    """Time of one turn. [s]"""

    working: Reading
    """At work along the passes. [h]"""

    headland: Reading
    """At work along the laps of the headland. [h]"""

    turning: Reading
    """In turns. [h]"""

    between: Reading
    """On the way between passes that do not end abreast, and round holes and corners. [h]"""

    stopped: Reading
    """Standing. [h]"""

    total: Reading
    """In the field. [h]"""

    plan: FieldPlan | None = None
    """Every lap and pass, if asked for."""


class FieldCapacityAnswer(Answer, frozen=True, kw_only=True):
    """Area an hour, and what follows."""

    capacity: CapacitySummary
    """Area in a time."""

    outline: OutlineAnswer | None = None
    """How the field is worked, if an outline was given."""

    material: Reading | None = None
    """Material handled, if a yield was given. [t/h or ton_short/h]"""

    about: About
    """About this answer."""


class OutlinePolygon(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A GeoJSON polygon (RFC 7946) in WGS 84."""

    type: OutlinePolygonType
    """Kind of geometry."""

    coordinates: Sequence[Sequence[Sequence[float]]]
    """Rings: the outside, then any holes; up to 2,000 positions in all, 0.01 to 5,000 ha.

    A position is [longitude, latitude] in degrees. Each ring ends where it starts and crosses nothing.
    """


class FieldOutline(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A field as a polygon and how it is worked. Give one of `headland_passes` and `headland_width`, or none."""

    polygon: OutlinePolygon
    """Outside of the field, and holes in it."""

    turn: Turn
    """One headland turn."""

    headland_passes: int | None = None
    """Laps round the field and its holes; 0 if turns are made outside it."""

    headland_width: Length | None = None
    """Width of the headland, worked in as many laps as that takes."""

    direction: Angle | None = None
    """Bearing of the passes, east of north. Left out: that of least time. For example "15 deg"."""

    overlap: Overlap | None = None
    """Share of the working width that is worked twice. Left out: `0 %`."""

    stops: ShortTime | None = None
    """All stops in this field: filling, clearing, adjusting. Left out: `0 s`."""

    plan: bool | None = False
    """Whether to answer with every lap and pass as GeoJSON. Left out: `false`."""


class FieldCapacityRequest(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """A machine in a field. Give one of `efficiency`, `shape`, `outline` and `practice`, or none."""

    width: Width
    """Working width. For example "6 m"."""

    speed: Speed
    """Ground speed. For example "9 km/h"."""

    efficiency: Efficiency | None = None
    """Field efficiency, known. For example "85 %"."""

    shape: FieldShape | None = None
    """A rectangular field, to work the efficiency out."""

    outline: FieldOutline | None = None
    """A field as a polygon, to plan its passes and work the efficiency out."""

    practice: PracticeRow | None = None
    """Row of the practice table, to look the efficiency up. For example "field-cultivator"."""

    area: Area | None = None
    """Area to work; gives hours. Left out with an outline: the field's."""

    workday: Workday | None = None
    """Hours of field work in a day; gives area a day."""

    crop_yield: Yield | None = None
    """Material on the area; gives material an hour."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class MatchLimits(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Limits to keep."""

    slip: SlipLimit | None = None
    """Most slip. For example "12 %"."""

    power_reserve: Reserve | None = None
    """Share of the rated PTO power to keep in hand."""

    front_share: Efficiency | None = None
    """Least load on the front axle, as a share of the tractor's weight."""

    holds_from: Probability | None = None
    """Chance from which a match holds. For example "90 %"."""

    fails_below: Probability | None = None
    """Chance below which a match fails; between the two it is close."""

    range_deviations: float | None = None
    """How many standard deviations the range of a table stands for; 2 if left out."""


class PassMatch(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor on an implement, as for `/v1/match`."""

    tractor: Tractor
    """The tractor."""

    implement: Implement
    """The implement."""

    soil: Soil
    """The soil as this pass finds it: firm before tillage, tilled after."""

    field: Field | None = None
    """The field and how it is worked."""

    speed: Speed | None = None
    """Ground speed. Leave out for the greatest that fits. For example "8 km/h"."""

    limits: MatchLimits | None = None
    """Limits to keep."""


class PassRates(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A pass of which only the rates are known."""

    capacity: AreaRate
    """Area an hour, stops and turns included. For example "6 ha/h"."""

    fuel_per_area: PassFuel | None = None
    """Fuel on an area. Left out, fuel is not counted. For example "6 L/ha"."""


class FieldPass(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One pass over all the land. Give `match` or `rates`."""

    name: str | None = ""
    """Yours to choose; only echoed."""

    match: PassMatch | None = None
    """Tractor, implement and soil, for the pass."""

    rates: PassRates | None = None
    """Rates of the pass, where they are known."""

    times: int | None = 1
    """How often the pass is made, one right after the other. Left out: `1`."""

    operation: ResidueRetentionRow | None = None
    """Row of the residue table, see `/v1/reference/residue-retention`. For example "chisel-plow.twisted-point"."""

    retention: Share | None = None
    """Share of the residue cover that one pass leaves, in place of the table's."""

    winter_before: WinterBefore | None = None
    """Say so on the first pass after winter, for residue weathers before it."""

    machine_per_area: HireRate | None = None
    """What tractor and implement cost on an area. For example "30 money/ha"."""

    machine_per_time: HourlyRate | None = None
    """What they cost in a time. Give one of the two, or neither."""

    price_covers_all: bool | None = False
    """Whether that price includes fuel and driver, as that of hired work does. Left out: `false`."""

    earliest_day: int | None = None
    """Day before which the pass cannot begin; day 0 is the first of the calendar."""

    suitable_share: Efficiency | None = None
    """Share of days fit for this pass, in place of the calendar's."""


class FieldSystem(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A way to work the land: its passes in the order they are made."""

    name: str
    """Name of the system, its own. For example "strip-till"."""

    passes: Sequence[FieldPass]
    """Passes, each over all the land."""


class FinishByDateAnswer(Answer, frozen=True, kw_only=True):
    """The chance to be done, by date."""

    title: str
    """Its title."""

    summary: str
    """What it shows, in words."""

    source: str
    """Its source line."""

    dates: list[str]
    """Dates of the window; by the end of the day."""

    chance: Series
    """Chance to be done by each."""

    finish_by: str
    """Last day of the window."""

    in_time: Reading
    """Chance to be done by then; the range where years are few. [%]"""

    likely: LikelyDates
    """When it is done with a given chance, past the window too."""

    about: About
    """About this answer."""


class FinishOdds(msgspec.Struct, frozen=True, kw_only=True):
    """The chance that all of it is done in the window."""

    expected: float
    """Suitable days expected in the window, days off apart."""

    needed: float
    """Suitable days that the plan takes from the first day to its last."""

    finish: Reading
    """Chance of that many in the window; with a `record`, share of its years in which all is done in it. [%]"""

    least_needed: float
    """Suitable days that the busiest machine or person is at work."""

    finish_at_best: Reading
    """Chance of that many: with every other wait taken away it could be no better. [%]"""


class FirstLate(msgspec.Struct, frozen=True, kw_only=True):
    """What is late first in years in which something is."""

    work: str
    """The work."""

    field: str
    """The field."""

    tractor: str
    """The tractor that does most of it."""

    years: int
    """In how many of the recorded years."""


class Grid(msgspec.Struct, frozen=True, kw_only=True):
    """Numbers of one unit, by width and then by speed."""

    name: str
    """What they are."""

    unit: str
    """Unit of all of them."""

    rows: list[list[float | None]]
    """A row for each width; in it a number for each speed."""


class MapPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The match itself on the map."""

    speed: Reading
    """Speed of the match. [km/h or mph]"""

    width: Reading
    """Working width of the match. [m or ft]"""

    word: Word
    """The verdict."""

    chance: Reading | None = None
    """Chance that every limit is kept. [%]"""

    fits: bool
    """Whether every limit is kept by the central figures."""

    binding: ForbiddenBy
    """The limit exceeded most, or nearest to being met."""


class Outline(msgspec.Struct, frozen=True, kw_only=True):
    """Where one limit is just met."""

    limit: ForbiddenBy
    """The limit."""

    width: Series
    """At each speed, the width at which it is met; null where none on the map meets it."""


class FitMapAnswer(Answer, frozen=True, kw_only=True):
    """Widths by speeds: whether they fit, the margin, and what binds. Rows are widths, columns speeds."""

    title: str
    """Its title."""

    summary: str
    """What it shows, in words."""

    source: str
    """Its source line."""

    width: Series
    """Working widths, rising; all tools in proportion, whole or not."""

    speed: Series
    """Ground speeds, rising."""

    holds: list[list[bool]]
    """By width, then speed: whether every limit is kept as often as `limits.holds_from` asks."""

    fits: list[list[bool]]
    """By width, then speed: whether every limit is kept by the central figures."""

    holding_margin: Grid
    """By width, then speed: the least margin with the draft that it has to bear to hold."""

    margin: Grid
    """By width, then speed: the least margin, negative beyond a limit.

    At most -100 % where nothing carries the pull.
    """

    binding: list[list[ForbiddenBy]]
    """By width, then speed: the limit exceeded most or nearest."""

    outlines: list[Outline]
    """Where each limit that goes by width is just met."""

    tool_speeds: list[Reading] | None = None
    """From and to which speed the tool does sound work; null if not known. [km/h or mph]"""

    operating: MapPoint
    """The match itself."""

    about: About
    """About this answer."""


class Neighbor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The farm a machine is shared with: it is theirs until their work is done, which takes longer in a wet year."""

    days: float
    """Suitable days of their work with it. For example "4.5"."""

    start: str | None = None
    """First day they need it. Left out: that of the window."""

    due: str | None = None
    """Last day on which their work is in time."""


class FleetImplement(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """An implement of the fleet."""

    name: str
    """Yours to choose; no other implement's. For example "chisel"."""

    implement: Implement
    """The implement."""

    hourly_cost: HourlyRate | None = None
    """What an hour of it costs."""

    available_from: str | None = None
    """First day it is there. Left out: throughout."""

    available_to: str | None = None
    """Last day it is there. Left out: throughout."""

    here: Share | None = None
    """Share of the days a neighbor needs it on which it is here, spread evenly.

    Left out: none with `neighbor`, else all.
    """

    neighbor: Neighbor | None = None
    """Who shares it, and for how long. Left out: all season, if `here` says so."""

    away: Sequence[Away] | None = ()
    """Days on which it is away."""


class FleetTractor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor of the fleet."""

    name: str
    """Yours to choose; no other tractor's. For example "heron"."""

    tractor: Tractor
    """The tractor."""

    hourly_cost: HourlyRate | None = None
    """What an hour of it costs, fuel and operator apart. For example "38 money/h"."""

    available_from: str | None = None
    """First day it is there. Left out: throughout."""

    available_to: str | None = None
    """Last day it is there. Left out: throughout."""

    here: Share | None = None
    """Share of the days a neighbor needs it on which it is here, spread evenly.

    Left out: none with `neighbor`, else all.
    """

    neighbor: Neighbor | None = None
    """Who shares it, and for how long. Left out: all season, if `here` says so."""

    away: Sequence[Away] | None = ()
    """Days on which it is away."""


class Operator(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Someone who drives; any tractor."""

    name: str
    """Yours to choose; no other operator's. For example "first"."""

    workday: Workday | None = None
    """Hours in a suitable day, in place of the season's; never more count."""

    hourly_cost: HourlyRate | None = None
    """What an hour costs, in place of `prices/labor`."""


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


class FuelAnswer(Answer, frozen=True, kw_only=True):
    """Fuel burnt."""

    rate: Reading
    """Fuel in a time. [L/h or gal/h]"""

    load_fraction: Reading | None = None
    """Power used over rated PTO power; null for averages. [%]"""

    energy_per_fuel: Reading | None = None
    """Work done for the fuel; null for averages. [kWh/L or hp*h/gal]"""

    mean_rate: Reading | None = None
    """Fuel in a time, turns and other lost time included, if a field capacity was given. [L/h or gal/h]"""

    per_area: Reading | None = None
    """Fuel on an area, if a field capacity was given. [L/ha or gal/ac]"""

    equation: str
    """The equation used."""

    second_opinions: list[OtherFuel]
    """Other diesel equations: the older one at this load, and the average over a year's work."""

    about: About
    """About this answer."""


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

    equation: FuelEquation | None = "diesel"
    """`diesel`: after ASAE D497.5 on.

    `older-diesel`: to D497.4, reads 20-34 % higher; never mix the two. The annual averages take no load: they are for
    budgets. Left out: `diesel`.
    """

    capacity: AreaRate | None = None
    """Effective field capacity; gives fuel for each area."""

    field_efficiency: Efficiency | None = None
    """Field efficiency in that capacity: what is lost burns as turning does. For example "82 %"."""

    turning_fuel_share: Share | None = None
    """Fuel rate while raised and turning, over that at work, as read in the cab. For example "30 %"."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class FuelSummary(msgspec.Struct, frozen=True, kw_only=True):
    """Fuel of the match."""

    rate: Reading
    """Fuel in a time, at work; low and high follow the range of the draft. [L/h or gal/h]"""

    turning_rate: Reading
    """Fuel in a time, raised and turning. [L/h or gal/h]"""

    stopped_rate: Reading | None = None
    """Fuel in a time, standing; null without a field shape, where all time lost counts as turning. [L/h or gal/h]"""

    mean_rate: Reading
    """Fuel in a time, over all time in the field; goes with the effective field capacity.

    Low and high follow the ranges of draft and field efficiency, taken together. [L/h or gal/h]
    """

    per_area: Reading
    """Fuel on an area, turns and stops included; low and high follow the ranges of draft and field efficiency, taken
    together. [L/ha or gal/ac]
    """

    total: Reading | None = None
    """Fuel for the area of the field, if one was given. [L or gal]"""


class FunctionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What one function takes at the outlet."""

    name: str
    """As in the request."""

    constant: bool
    """Whether it runs all the time; else in turn."""

    flow: Reading
    """Flow. [L/min or gal/min]"""

    pressure: Reading
    """Pressure, that of the return line included. [bar or psi]"""

    power: Reading
    """Flow times pressure. [kW or hp]"""

    cylinders: CylindersAnswer | None = None
    """Its cylinders, if it has any."""


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

    value: GreatestReading | None = None
    """By the central figures; null if not even the shallowest can be pulled. [cm or in]"""

    holds: GreatestReading | None = None
    """Greatest that holds as often as `limits.holds_from` asks; null if none. [cm or in]"""

    pointer: str
    """Which tool of the request."""

    at_speed: Reading
    """The speed: the one asked for, or the tool's slowest if none fits it. [km/h or mph]"""

    limited_by: ForbiddenBy
    """What stops it there."""


class GreatestSpeed(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest speed at which every limit of the tractor is kept, no faster than the tool's range."""

    value: GreatestReading | None = None
    """By the central figures; null if there is none. [km/h or mph]"""

    holds: GreatestReading | None = None
    """Greatest that holds as often as `limits.holds_from` asks; null if none in the tool's range. [km/h or mph]"""

    within_tool_range: bool
    """False where `value` is slower than the tool's range: it goes, but does poor work."""

    limited_by: ForbiddenBy
    """What stops it there."""


class GreatestWidth(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest width at one speed."""

    value: GreatestReading | None = None
    """Working width by the central figures; null if not even the smallest can be pulled. [m or ft]"""

    count: int | None = None
    """Whole tools of the main kind; null if they are counted by width."""

    holds: GreatestReading | None = None
    """Greatest that holds as often as `limits.holds_from` asks; null if none. [m or ft]"""

    holds_count: int | None = None
    """Whole tools of that width; null if counted by width."""

    at_speed: Reading
    """The speed: the one asked for, or the tool's slowest if none fits it. [km/h or mph]"""

    limited_by: ForbiddenBy
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

    speed: GreatestReading | None = None
    """Greatest speed; null if not asked for. [km/h or mph]"""

    width: GreatestReading | None = None
    """Greatest width, not in whole tools; null if not asked for. [m or ft]"""

    depth: GreatestReading | None = None
    """Greatest depth as set; null if not asked for. [cm or in]"""


class HealthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How the service is."""

    status: HealthStatus = "ok"
    """Always ok; anything else is a problem document."""


class HitchLoads(msgspec.Struct, frozen=True, kw_only=True):
    """Loads standing level, the machine raised or in transport."""

    hitch: Reading
    """On the hitch; negative where the machine lifts it. [kN or lbf]"""

    hitch_share: Reading | None = None
    """Of the machine's weight; null without its mass. [%]"""

    machine_axle: Reading | None = None
    """On the machine's own axle; null if it has none. [kN or lbf]"""

    front: Reading | None = None
    """Front axle of the tractor, or front of its tracks. [kN or lbf]"""

    front_alone: Reading | None = None
    """The same without the machine. [kN or lbf]"""

    rear: Reading | None = None
    """Rear axle of the tractor, or rear of its tracks. [kN or lbf]"""

    front_share: Reading | None = None
    """Front load over the tractor's weight. [%]"""


class PtoAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A type of PTO."""

    type: str
    """Type."""

    speed: Reading
    """Rated speed. [r/min]"""

    shaft: Reading
    """Diameter of the shaft. [mm or in]"""

    splines: int
    """Number of splines."""

    greatest_power: GreatestReading
    """Greatest power recommended. [kW or hp]"""


class RoadAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Tractor and machine on the road."""

    width: Reading
    """Width. [m or ft]"""

    length: Reading
    """Both together. [m or ft]"""

    mass: Reading | None = None
    """Both together; null without the machine's mass. [kg or lb]"""

    mass_ratio: float | None = None
    """Machine over tractor; null likewise."""


class ThreePointAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A category of three-point hitch."""

    category: str
    """Category; N: narrow spacing."""

    lower_pin: Reading
    """Diameter of the lower pins. [mm or in]"""

    upper_pin: Reading
    """Diameter of the upper pin. [mm or in]"""

    spacing: Reading
    """Between the lower hitch points. [mm or in]"""


class HitchAnswer(Answer, frozen=True, kw_only=True):
    """What suits the tractor's power, and whether hitch, axles and tires bear the machine."""

    fits: bool
    """Whether every limit that could be checked is kept."""

    checks: list[CheckAnswer]
    """Every limit that could be checked."""

    three_point: list[ThreePointAnswer]
    """Categories usual for the tractor's power."""

    drawbar: str | None = None
    """Smallest drawbar category for its power; null beyond all."""

    pto: list[PtoAnswer]
    """PTO types for the machine's speed and power; for the tractor's power where none is given."""

    loads: HitchLoads | None = None
    """Loads; null unless the machine gives a weight."""

    road: RoadAnswer | None = None
    """On the road, if dimensions were given."""

    about: About
    """About this answer."""


class HitchLimits(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Limits to hold the weights to."""

    least_tongue_share: Efficiency | None = None
    """Least share of weight on the hitch."""

    most_tongue_share: Efficiency | None = None
    """Most share of weight on the hitch."""

    front_share: Efficiency | None = None
    """Least load on the front axle, as a share of the tractor's weight."""


class HitchedMachine(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """A machine as it goes on the road behind the tractor; give what is to be checked."""

    hitch: Hitch
    """How it hangs on the tractor."""

    three_point: ThreePointCategory | None = None
    """Category of its hitch points, if mounted or semi-mounted."""

    drawbar: DrawbarCategory | None = None
    """Category of its tongue, if on the drawbar."""

    pto: PtoType | None = None
    """PTO type of its shaft."""

    pto_speed: PtoSpeed | None = None
    """PTO speed it is built for, in r/min."""

    pto_power: Power | None = None
    """What it takes from the PTO."""

    mass: Mass | None = None
    """Mass as it goes on the road; gives the loads."""

    center_of_mass: Length | None = None
    """Behind the pin or the lower link ends. Needed with the mass of a mounted machine."""

    tongue_length: Length | None = None
    """Its axle behind the pin; with `center_of_mass` gives the tongue load."""

    tongue_share: Share | None = None
    """Share of its weight on the hitch, if known. For example "15 %"."""

    tongue_load: Pull | None = None
    """What it presses on the hitch, if known."""


class Road(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Tractor and machine on the road, and the limits there: yours to give, none is built in."""

    width: Width
    """Greatest width of tractor and machine. For example "3.4 m"."""

    tractor_length: Length
    """Front end to hitch. For example "5.1 m"."""

    machine_length: Length
    """Hitch to rear end. For example "7.2 m"."""

    speed: Speed | None = None
    """Greatest speed; tires marked with a load index carry less above their own."""

    greatest_width: Width | None = None
    """Most that is allowed."""

    greatest_length: Length | None = None
    """Most that is allowed."""

    greatest_mass_ratio: Multiplier | None = None
    """Most mass of the machine, with the brakes it has, over that of the tractor."""


class TractorHitch(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What the tractor has at its rear; give what is to be checked."""

    three_point: ThreePointCategory | None = None
    """Category of the three-point hitch."""

    drawbar: DrawbarCategory | None = None
    """Category of the drawbar."""

    pto: Sequence[PtoType] | None = ()
    """PTO types it has, see `/v1/reference/pto`."""

    vertical_limit: Pull | None = None
    """Most that may press on the hitch in use, from the operator's manual."""


class HitchRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor, its hitch, and a machine on it."""

    tractor: Tractor
    """The tractor. The wheelbase is needed once weights are asked for."""

    hitch: TractorHitch | None = None
    """What it has at its rear."""

    machine: HitchedMachine | None = None
    """The machine."""

    tires: AxleTireLoads | None = None
    """Tires to check."""

    road: Road | None = None
    """Dimensions on the road."""

    limits: HitchLimits | None = None
    """Limits to hold the weights to."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class OilMotor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A hydraulic motor, such as that of a fan. Give `torque` or `pressure`."""

    displacement: Displacement
    """What it sweeps in one turn. For example "11 cm3"."""

    rotation: Rotation
    """Speed of its shaft. For example "4000 r/min"."""

    torque: Torque | None = None
    """At its shaft."""

    pressure: OilPressure | None = None
    """Pressure drop over it, if known."""

    volumetric_efficiency: Efficiency | None = None
    """Volume swept over flow in."""

    mechanical_efficiency: Efficiency | None = None
    """Torque out over that of a motor without friction."""


class HydraulicFunction(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Something oil moves. Give one of `steady`, `motor` and `cylinders`."""

    name: str | None = ""
    """Yours to choose. For example "fan"."""

    use: Use | None = None
    """`constant`: all the time the machine works.

    `in-turn`: now and then, one at a time. Left out: cylinders in turn, all else constant.
    """

    outlet: int | None = None
    """Outlet it hangs on; functions with one number share it. Left out: one of its own."""

    steady: HydraulicNeed | None = None
    """Known flow and pressure, such as constant pressure on a gang."""

    motor: OilMotor | None = None
    """A hydraulic motor."""

    cylinders: Cylinders | None = None
    """Cylinders, such as those for lift and fold."""


class OilForMatch(msgspec.Struct, frozen=True, kw_only=True):
    """Oil that flows all the time, as `/v1/match` and `/v1/power` take it under `hydraulic`."""

    name: str
    """What it is."""

    flow: Reading
    """Flow of the pump. [L/min or gal/min]"""

    pressure: Reading
    """Pressure of the pump. [bar or psi]"""


class HydraulicsAnswer(Answer, frozen=True, kw_only=True):
    """What the functions take and whether the tractor gives it."""

    fits: bool
    """Whether every limit that could be checked is kept."""

    checks: list[CheckAnswer]
    """Every limit that could be checked."""

    available_flow: Reading
    """Flow of the pump at the engine speed. [L/min or gal/min]"""

    functions: list[FunctionAnswer]
    """Each function, in the order of the request."""

    duties: list[DutyAnswer]
    """What runs together: the constant, then each in turn."""

    for_match: list[OilForMatch]
    """What is constant, heat included: goes into `hydraulic` of the implement of `/v1/match`."""

    about: About
    """About this answer."""


class TractorHydraulics(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Pump and outlets of the tractor. Give `flow`, or `displacement` and `rotation`."""

    pump: PumpKind
    """`fixed`: what no function takes goes over the relief valve.

    `load-sensing`: what is taken, at the highest load and a margin.
    """

    flow: Flow | None = None
    """Flow of the pump at full throttle, for the outlets. For example "115 L/min"."""

    displacement: Displacement | None = None
    """What the pump sweeps in one turn."""

    rotation: Rotation | None = None
    """Speed of the pump at full throttle."""

    volumetric_efficiency: Efficiency | None = None
    """Flow out over volume swept, with `displacement`."""

    engine_speed: EngineSpeedRatio | None = None
    """Engine speed over full-throttle speed; flow goes with it."""

    pressure: OilPressure
    """Relief pressure, or the highest of a load-sensing pump. For example "200 bar"."""

    margin: OilPressure | None = None
    """What a load-sensing pump keeps above the highest load."""

    return_pressure: OilPressure | None = None
    """Pressure in the return line. Left out: oil returns freely."""

    outlets: int | None = None
    """Outlets there are, each a pair of couplers."""

    outlet_flow: Flow | None = None
    """Most flow through one outlet."""

    pump_efficiency: Efficiency | None = None
    """Fluid power over power into the pump."""

    cooling: RatedPower | None = None
    """Heat the oil cooler carries away."""


class HydraulicsRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A tractor's hydraulics and what hangs on them."""

    tractor: TractorHydraulics
    """Pump and outlets."""

    functions: Sequence[HydraulicFunction]
    """What the oil moves."""

    all_at_once: bool | None = False
    """Whether functions used in turn may all be moved at once; else one at a time. Left out: `false`."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class InputShare(msgspec.Struct, frozen=True, kw_only=True):
    """How much of the variance of one output an input brings."""

    input: Input
    """The uncertain input."""

    first_order: float
    """Share of the variance it brings by itself (Sobol, first order)."""

    total: float
    """Share it brings by itself and together with others (Sobol, total)."""


class LeverAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One change, with a plan of its own."""

    lever: SeasonLever
    """Which."""

    name: str
    """Of the machines it is about; empty if of none."""

    detail: str
    """What is changed, and what it brings."""

    outcome: SeasonOutcome
    """Over the recorded years."""

    gain: Reading
    """Chance to be in time, above that of the plan. [%]"""

    value: Reading
    """Money it saves in a mean year, lateness and running costs, before what it costs to have. [money]"""


class LimitAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One limit and how far it is from being met."""

    name: ForbiddenBy
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

    held_speed: GreatestReading
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

    word: Word
    """`holds` from a chance of `limits.holds_from`, `fails` below `limits.fails_below`, `close` between them; `cannot-
    tell` where a limit could not be checked.
    """

    chance: GreatestReading | None = None
    """Chance that every limit is kept, by the range of draft and PTO-driven power; from the odds, if asked for.

    Null where it cannot be told. [%]
    """

    fits: bool
    """Whether every limit is kept at this speed by the central figures."""

    binding: ForbiddenBy
    """The limit exceeded most, or nearest to it."""

    summary: str
    """The answer in words."""


class MatchAnswer(MatchPicture, frozen=True, kw_only=True):
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
    """The power by another method."""

    odds: OddsAnswer | None = None
    """The odds, if they were asked for; null where a limit cannot be checked."""

    about: About
    """About this answer."""


class Spreads(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What else is uncertain: standard deviation over the value, of a log-normal factor."""

    cone_index: RelativeSpread | None = None
    """Of the cone index. For example "20 %"."""

    depth: RelativeSpread | None = None
    """Of all working depths together."""

    speed: RelativeSpread | None = None
    """Of the ground speed."""


class OddsRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How to draw the odds. The draft is always uncertain, by its range."""

    samples: Samples | None = 4096
    """Number of scenarios. Left out: `4096`."""

    seed: int | None = 0
    """Seed of the scenarios; the same seed gives the same odds. Left out: `0`."""

    range_deviations: float | None = None
    """How many standard deviations the range of a table stands for; 2 if left out."""

    spreads: Spreads | None = None
    """What else is uncertain."""

    correlation: float | None = None
    """Between the logarithms of draft and cone index, as a calibration gives it; 0 if left out."""


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
    """Limits to keep."""

    find: Sequence[Findable] | None = None
    """What to find the greatest of, everything else as asked.

    Left out: all three if the match does not fit, none if it does.
    """

    odds: OddsRequest | None = None
    """Ask for odds; `{}` takes every default. They cost more than the match itself."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class MethodsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The equations behind a calculation."""

    calculation: str
    """The calculation."""

    equations: list[EquationAnswer]
    """Its equations, in the order of the chain."""


class NeighborAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A machine that a neighbor needs, and when it is back."""

    resource: Resource
    """What it is."""

    name: str
    """Its name."""

    back: str | None = None
    """Day from which it is here, on expected days; null if not as far as is known."""

    likely: str | None = None
    """The same in 4 of 5 recorded years; null without a record, or if it is not."""

    in_time: Reading | None = None
    """Share of recorded years in which the neighbor's work is done when due; null if not known. [%]"""


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

    word: Word
    """The verdict."""

    fits: bool
    """Whether every limit is kept; pairings that do not fit are left out."""

    speed: GreatestReading
    """Ground speed: the one asked for, or the greatest that fits. [km/h or mph]"""

    capacity: Reading
    """Area an hour. [ha/h or ac/h]"""

    efficiency: Reading
    """Field efficiency. [%]"""

    fuel: Reading | None = None
    """Fuel at work; null where the power does not suffice. [L/h or gal/h]"""

    mean_fuel: Reading | None = None
    """Fuel over all time in the field, turns and stops included; null as the fuel at work is. [L/h or gal/h]"""

    limited_by: ForbiddenBy
    """The limit exceeded most, or nearest to it."""

    why: str
    """The verdict of the match in words."""


class PassCalendar(msgspec.Struct, frozen=True, kw_only=True):
    """When a pass is made. Days count from 0; day 1.5 is noon of the second."""

    start_day: float
    """Day it begins."""

    finish_day: float
    """Day it is done, on average; `/v1/completion` tells the chance."""

    latest_finish_day: float
    """The same at the high end of the hours so far."""

    start_date: str | None = None
    """Date of the start day; null without a date for day 0."""

    finish_date: str | None = None
    """Date of the finish day; null without a date for day 0."""


class PassMatchAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What the match says of a pass."""

    word: Word
    """The verdict."""

    fits: bool
    """Whether every limit is kept by the central figures."""

    binding: ForbiddenBy
    """The limit exceeded most, or nearest to it."""

    summary: str
    """The match in words."""

    speed: Reading
    """Ground speed. [km/h or mph]"""

    load_fraction: Reading | None = None
    """PTO power needed over rated. [%]"""

    slip: Reading | None = None
    """Slip. [%]"""


class PassAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One pass: hours, fuel, cost and residue, for all the times it is made."""

    name: str
    """Its name in the request."""

    times: int
    """How often it is made."""

    capacity: Reading
    """Area an hour. [ha/h or ac/h]"""

    time: Reading
    """Hours. [h]"""

    fuel: Reading | None = None
    """Fuel; null if it is not known. [L or gal]"""

    fuel_per_area: Reading | None = None
    """Fuel on an area of the land. [L/ha or gal/ac]"""

    carbon_dioxide: Reading | None = None
    """Carbon dioxide from burning that fuel. [kg or lb]"""

    cost: CostParts
    """What it costs."""

    retention: Reading | None = None
    """Share of the cover that one pass leaves; the middle of the range is ours. [%]"""

    cover_after: Reading | None = None
    """Ground covered by residue after it. Low and high are an outer bound. [%]"""

    calendar: PassCalendar | None = None
    """When it is made, if a calendar was given."""

    match: PassMatchAnswer | None = None
    """What the match says; null for given rates."""


class PlanRow(msgspec.Struct, frozen=True, kw_only=True):
    """One machine at work on one field on one day."""

    date: str
    """The day; the first one where a row stands for several."""

    days: int
    """Calendar days the row stands for: 1."""

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

    moving: Reading
    """Expected time before it on the road and changing the implement, not in `hours`. [h]"""

    beyond_window: bool
    """Whether the day is after the window."""


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
    """How the PTO equivalent was found."""


class PowerAnswer(Answer, frozen=True, kw_only=True):
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
    """About this answer."""


class PowerPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The match itself on the curve."""

    speed: Reading
    """Speed of the match. [km/h or mph]"""

    power: Reading | None = None
    """PTO power needed there, with its range; null where nothing carries the pull. [kW or hp]"""

    word: Word
    """The verdict there: holds, close, fails or cannot-tell."""

    chance: Reading | None = None
    """Chance that every limit is kept there. [%]"""

    fits: bool
    """Whether every limit is kept there by the central figures."""


class PowerBySpeedAnswer(Answer, frozen=True, kw_only=True):
    """PTO power needed and usable, by speed."""

    title: str
    """Its title."""

    summary: str
    """What it shows, in words."""

    source: str
    """Its source line."""

    speed: Series
    """Ground speeds, rising."""

    needed: Series
    """PTO power needed; 9 in 10 lie from low to high."""

    holds: list[bool]
    """At each speed: whether every limit is kept as often as `limits.holds_from` asks."""

    fits: list[bool]
    """At each speed: whether every limit is kept by the central figures."""

    usable: Reading
    """PTO power usable: rated, less the reserve. [kW or hp]"""

    rated: Reading
    """Rated PTO power. [kW or hp]"""

    tool_speeds: list[Reading] | None = None
    """From and to which speed the tool does sound work; null if not known. [km/h or mph]"""

    operating: PowerPoint
    """The match itself."""

    about: About
    """About this answer."""


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

    rotary: Sequence[RotaryNeed] | None = ()
    """What the PTO drives."""

    hydraulic: Sequence[HydraulicNeed] | None = ()
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

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class Predecessor(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Work that must be done before, on the same field."""

    work: str
    """Name of that work. For example "stubble"."""

    rest_days: int | None = 0
    """Whole days the land rests between the two; with 0 it goes on the next day. Left out: `0`."""

    same_day: bool | None = False
    """Whether it may follow on the same day, behind what is done. It then rests no day. Left out: `false`."""


class Prices(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """What things cost."""

    fuel: FuelPrice | None = None
    """Price of fuel. For example "1.1 money/L"."""

    labor: HourlyRate | None = None
    """What an operator's hour costs."""


class PullPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The match itself on the curve."""

    pull: Reading
    """Pull of the match, with its range. [kN or lbf]"""

    slip: Reading | None = None
    """Slip there; null where no slip carries the pull. [%]"""

    tractive_efficiency: Reading | None = None
    """Tractive efficiency there; null where the wheels do not pull it. [%]"""

    carried: bool
    """Whether any slip carries the pull."""


class Relaxation(msgspec.Struct, frozen=True, kw_only=True):
    """A constraint in the way, and what relaxing it would bring."""

    constraint: Constraint
    """Kind of constraint."""

    name: str
    """Which: of a machine, a work or a date."""

    detail: str
    """What is in the way, and what would help."""

    late_left: Reading | None = None
    """Lateness left over lateness now, machines shared freely within a day; null if not counted. [%]"""


class Residue(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What the harvest left on the ground."""

    cover: Share
    """Share of the ground it covers after harvest. For example "90 %"."""

    kind: ResidueKind
    """Non-fragile: corn, sorghum, small grain of ordinary yield.

    Fragile: soybean, dry bean, pea, sunflower, cotton, thin small grain.
    """

    winter_retention: Share | None = None
    """Share of the cover that a winter leaves, in place of the table's."""


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
    """Share of the lateness that an hour more of it a day would save, machines shared freely within a day; of an
    operator: of any. Null where nothing is late. [%]
    """


class Search(msgspec.Struct, frozen=True, kw_only=True):
    """How good the plan is, as a plan."""

    proven: bool
    """Whether no plan is better by more than a thousandth."""

    lateness_gap: Reading
    """How far lateness may be above the least, over it. [%]"""

    cost_gap: Reading
    """How far cost may be above the least at that lateness, over it. [%]"""

    lateness_gap_days: float
    """The same in days late, mean over all area."""

    period_days: int
    """Calendar days in a period of the plan: 1."""

    choices: int
    """Ways to do a task that were weighed."""


class SeasonAlternative(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The same work otherwise; what is left out stays as it is."""

    name: str
    """Yours to choose. For example "two smaller ones"."""

    fleet: Fleet | None = None
    """Other machines and people. Works find their implements by name in it."""

    workday: Workday | None = None
    """Another workday."""

    prices: Prices | None = None
    """Other prices and wages."""

    days: Multiplier | None = None
    """Suitable days over those of the record; 0.8: a fifth fewer."""

    yearly_cost: Price | None = None
    """What it costs a year beside hours and fuel: owning it, or a share of that. For example "18000 money"."""


class SeasonCost(msgspec.Struct, frozen=True, kw_only=True):
    """What the plan costs, in the currency of the prices."""

    fuel: Reading
    """Fuel. [L or gal]"""

    for_fuel: Reading | None = None
    """For fuel; null without a price of fuel. [money]"""

    for_labor: Reading
    """For operators. [money]"""

    for_labour: Reading
    """Old word for `for_labor`. [money]"""

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

    beyond_window: bool
    """Whether some work that can be planned is done after the window, or left undone."""

    bottleneck: str
    """The tractor, implement or operator that decides; empty if none."""

    summary: str
    """The plan in words."""


class SeasonYear(msgspec.Struct, frozen=True, kw_only=True):
    """The plan in one recorded year."""

    year: int
    """The year."""

    suitable: float
    """Suitable days in the window."""

    finishes: str | None = None
    """Day of this season on which all would be done; null if not as far as known."""

    late: Reading
    """Area done after it was due, or not at all. [ha or ac]"""

    days_late: float
    """Mean over all area."""

    cost: Reading
    """Fuel, machines and people, as far as they are priced. [money]"""

    lost: Reading
    """Lost by lateness; 0 without `daily_loss`. [money]"""


class SeasonYears(msgspec.Struct, frozen=True, kw_only=True):
    """The plan in every recorded year."""

    outcome: SeasonOutcome
    """Over all of them."""

    done_by: list[DoneBy]
    """The chance that all is done, by date."""

    before_freeze_up: Reading | None = None
    """Chance that all is done before the ground freezes; null without `window.freeze_up`. [%]"""

    first_late: list[FirstLate]
    """What breaks first, the most frequent first."""

    by_year: list[SeasonYear]
    """Year by year, the worst first."""

    levers: list[LeverAnswer]
    """What would change the chance or the money."""

    alternatives: list[AlternativeAnswer]
    """Each alternative that was asked for."""

    summary: str
    """The years in words."""


class TaskAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One work on one field."""

    work: str
    """The work."""

    field: str
    """The field."""

    area: Reading
    """Its area. [ha or ac]"""

    done: Reading
    """Of it done before the plan begins. [ha or ac]"""

    planned: Reading
    """Share of it that is done by the end of the plan. [%]"""

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
    """Chance that it is done when due, the plan followed: with a `record` the share of its years.

    Null if it is not planned whole. [%]
    """

    even: str | None = None
    """Day by which it is done in half of the recorded years; null without a record, or if never."""

    likely: str | None = None
    """Day by which it is done in 4 of 5 recorded years; null as `even`."""

    beyond_window: bool
    """Whether the plan does some of it after the window, or never."""


class SeasonAnswer(Answer, frozen=True, kw_only=True):
    """Who does what when, and whether it gets done."""

    verdict: SeasonVerdict
    """The plan in short."""

    plan: list[PlanRow]
    """Day by day; days on which nothing is done are left out."""

    calendar: list[CalendarDay]
    """The plan as a calendar: a day, and a line for each tractor."""

    tasks: list[TaskAnswer]
    """Each work on each field."""

    resources: list[ResourceAnswer]
    """Tractors, implements and operators, and what is spare."""

    odds: FinishOdds | None = None
    """Chance to finish; null if some work is not in the plan."""

    cost: SeasonCost
    """What it costs."""

    neighbors: list[NeighborAnswer]
    """Machines with a `neighbor`, and when they are back."""

    relax: list[Relaxation]
    """What stands in the way where not all is done in time."""

    pairings: list[PairingAnswer]
    """Every tractor on every implement that was considered."""

    search: Search
    """How good the plan is, as a plan."""

    years: SeasonYears | None = None
    """The plan in every recorded year; null without a `record` or a plan."""

    about: About
    """About this answer."""


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

    turning_fuel_share: Share | None = None
    """Fuel rate while raised and turning, over that at work, as read in the cab. For example "30 %"."""

    stopped_fuel_share: Share | None = None
    """Fuel rate while standing, over that at work; 0 with the engine off. Counts the stops of a shape."""

    ready: str | None = None
    """First day it can be worked, harvested, say. Left out: the first there is."""

    due: str | None = None
    """Last day that is not late. Left out: the last of the window."""

    daily_loss: LossPerArea | None = None
    """What an area loses with each day of lateness.

    For all fields or none; without it every late hectare counts the same. For example "9 money/ha".
    """

    at: Spot | None = None
    """Where it lies, for the time on the road; give it for all fields or for none."""


class Window(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The days there are."""

    start: str
    """First day. For example "2027-03-08"."""

    end: str
    """Last day; at most a year after the first. For example "2027-04-04"."""

    workday: Workday
    """Hours of field work in a suitable day. For example "10 h"."""

    suitable: SuitableDays | None = None
    """How many of the days are suitable; give it or `record`."""

    days_off: DaysOff | None = None
    """Days on which nobody works. Left out: none."""

    freeze_up: str | None = None
    """Day by which the ground is frozen in half of the years, as `/v1/days` answers it."""

    freeze_up_spread: float | None = None
    """Its standard deviation from year to year, in days. Left out: none."""


class Work(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One operation, on one field or several."""

    name: str
    """Yours to choose; no other work's. For example "seedbed"."""

    fields: Sequence[str]
    """Fields by name."""

    implements: Sequence[str]
    """Implements by name, any of which does it."""

    tractors: Sequence[str] | None = ()
    """Tractors by name that may be put to it. Left out: any."""

    after: Sequence[Predecessor] | None = ()
    """What must be done before it. It may follow over a field that is half done."""

    surface: SoilSurface | None = None
    """What the wheels stand on by then, in place of the soil's surface."""

    speed: Speed | None = None
    """Ground speed. Left out: the greatest that fits each pairing."""

    due: str | None = None
    """Last day that is not late, in place of the field's."""

    done: Sequence[DoneBefore] | None = ()
    """What of it is done already; the rest is planned."""

    fit_share: Efficiency | None = None
    """Share of the suitable time that is fit for this work: less for what asks for drier land. Left out: all."""


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

    driving: Driving | None = None
    """What takes time beside the work, and how long a day can be."""

    record: DaysRecord | None = None
    """Suitable days week by week over some years, in place of `window.suitable`: planned for their mean, replayed over
    each.
    """

    so_far: Sequence[RecordedWeek] | None = None
    """Weeks of this year up to now, with a `record`: what is left of the window is planned, its years moved by how far
    these weeks lie from theirs. State what is done at `work`.
    """

    alternatives: Sequence[SeasonAlternative] | None = ()
    """The same work otherwise, each planned and replayed over the years of `record`."""

    yearly_cost: Price | None = None
    """What the fleet costs a year beside hours and fuel, to compare with the alternatives'."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class WorkSpan(msgspec.Struct, frozen=True, kw_only=True):
    """Days on end that one tractor works one field."""

    tractor: str
    """The tractor."""

    implement: str
    """The implement."""

    work: str
    """The work."""

    field: str
    """The field."""

    first: str
    """First day."""

    last: str
    """Last day."""

    hours: Reading
    """Expected time at work. [h]"""

    area: Reading
    """Area done. [ha or ac]"""

    late: bool
    """Whether it ends after the work on that field is due."""

    due: str
    """Last day on which the work on that field is not late."""

    likely: str | None = None
    """Day by which the work on that field is done in 4 of 5 recorded years; null without a record, or if it is not."""

    operators: list[str]
    """Who drives, in turn."""


class SeasonTimelineAnswer(Answer, frozen=True, kw_only=True):
    """The plan of a season, tractor by tractor."""

    title: str
    """Its title."""

    summary: str
    """What it shows, in words."""

    source: str
    """Its source line."""

    tractors: list[str]
    """Every tractor of the fleet, in the order of the request."""

    works: list[str]
    """Every work, in the order of the request."""

    spans: list[WorkSpan]
    """The plan, by first day."""

    start: str
    """First day of the window."""

    end: str
    """Last day of the window."""

    freeze_up: str | None = None
    """Day by which the ground is frozen in half of the years, as given."""

    freeze_early: str | None = None
    """The same in 1 year of 10; null without `freeze_up_spread`."""

    freeze_late: str | None = None
    """The same in 9 years of 10."""

    days_off: list[str]
    """Days of the window on which nobody works."""

    away: list[AwaySpan]
    """Days on which a tractor is not here, on expected days."""

    finishes: str | None = None
    """Last day of the plan; null if some work is not in it."""

    likely: str | None = None
    """Day by which all is done in 4 of 5 recorded years. Null without a `record`, or if it is not."""

    about: About
    """About this answer."""


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


class SensitivityAnswer(Answer, frozen=True, kw_only=True):
    """What matters most."""

    outputs: list[OutputSensitivity]
    """Every output."""

    about: About
    """About this answer."""


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
    """Limits to keep."""

    find: Sequence[Findable] | None = None
    """What to find the greatest of, everything else as asked.

    Left out: all three if the match does not fit, none if it does.
    """

    odds: OddsRequest | None = None
    """Ask for odds; `{}` takes every default. They cost more than the match itself."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


class SheetBinding(msgspec.Struct, frozen=True, kw_only=True):
    """The limit that binds."""

    limit: ForbiddenBy
    """The limit exceeded most, or nearest to being met."""

    kept: bool
    """Whether it is kept."""

    detail: str
    """Value and limit in words."""


class SheetLine(msgspec.Struct, frozen=True, kw_only=True):
    """One thing to set or to watch."""

    what: str
    """What it is."""

    value: str
    """Its value, in words."""

    note: str = ""
    """What to know about it; may be empty."""


class TrialColumn(msgspec.Struct, frozen=True, kw_only=True):
    """A column to write a trial run in: a field of a run, as a request takes it."""

    field: str
    """Name of the field."""

    heading: str
    """Heading of the column."""

    unit: str
    """Unit to write in; empty for a plain number."""


class SlipColumns(msgspec.Struct, frozen=True, kw_only=True):
    """One way to measure slip, with its columns."""

    way: SlipWay
    """Member of the request of `/v1/slip`."""

    how: str
    """How it is done."""

    columns: list[TrialColumn]
    """Fields of its runs."""


class TrialRuns(msgspec.Struct, frozen=True, kw_only=True):
    """What to write down in a trial run."""

    calibration: list[TrialColumn]
    """Fields of `runs` of `/v1/calibration`."""

    errors: list[TrialColumn]
    """Fields for how well each reading is known: one standard deviation."""

    slip: list[SlipColumns]
    """Three ways to measure slip, for `/v1/slip`."""


class SheetAnswer(Answer, frozen=True, kw_only=True):
    """What to set, what to watch and what to change, on one page."""

    title: str
    """Title of the sheet."""

    word: Word
    """The verdict."""

    chance: Reading | None = None
    """Chance that every limit is kept. [%]"""

    fits: bool
    """Whether every limit is kept by the central figures."""

    summary: str
    """The match in words."""

    glance: list[SheetLine]
    """Speed, gear if known, depth and the slip to expect: read from the seat."""

    start_with: list[SheetLine]
    """Settings to start with, if it holds or is close; else as asked."""

    binds: SheetBinding
    """What stops it first."""

    watch: list[SheetLine]
    """What to watch at work."""

    if_it_lugs: list[str]
    """What to change when the engine lugs, the first thing first."""

    if_it_slips: list[str]
    """What to change when the wheels slip too much."""

    trial: TrialRuns
    """What to write down in a trial run."""

    cautions: list[str]
    """Safety cautions; the manuals come first."""

    source: str
    """Source line of the sheet."""

    about: About
    """About this answer."""


class SlipRunAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Slip of one run."""

    slip: Reading
    """Slip. [%]"""

    standard_error: Reading | None = None
    """Standard error from the reading error; null if none was given. [%]"""


class SlipAnswer(Answer, frozen=True, kw_only=True):
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
    """About this answer."""


class SlipByPullAnswer(Answer, frozen=True, kw_only=True):
    """Slip and tractive efficiency, by pull."""

    title: str
    """Its title."""

    summary: str
    """What it shows, in words."""

    source: str
    """Its source line."""

    pull: Series
    """Pulls at the hitch, rising; empty where the tractor carries none."""

    slip: Series
    """Slip under each pull."""

    tractive_efficiency: Series
    """Drawbar power over axle power under each pull."""

    slip_band: list[Reading]
    """Slip of best efficiency here, from and to. [%]"""

    slip_limit: Reading
    """Most slip the match is held to. [%]"""

    operating: PullPoint
    """The match itself."""

    about: About
    """About this answer."""


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


class StressCurve(msgspec.Struct, frozen=True, kw_only=True):
    """Stress under the tires of one axle."""

    axle: Axle
    """Which axle."""

    standing: Standing
    """Of which tractor: as given, or advised."""

    mass: Reading
    """Mass of that tractor. [kg or lb]"""

    contact_stress: Reading
    """Mean stress at the surface. [kPa or psi]"""

    stress: Series
    """Vertical stress at each depth."""


class SubsoilBears(msgspec.Struct, frozen=True, kw_only=True):
    """What moist subsoil bears, by a rule of thumb."""

    depth: Reading
    """From which depth. [cm or in]"""

    stress: Reading
    """Vertical stress without lasting harm. [kPa or psi]"""


class SoilStressByDepthAnswer(Answer, frozen=True, kw_only=True):
    """Vertical stress in the soil, by depth."""

    title: str
    """Its title."""

    summary: str
    """What it shows, in words."""

    source: str
    """Its source line."""

    depth: Series
    """Depths below the ground, growing."""

    curves: list[StressCurve]
    """Under each axle, as the tractor stands and as advised."""

    bears: SubsoilBears
    """What moist subsoil bears."""

    about: About
    """About this answer."""


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
    """Read in print, recalled from memory, common practice without a source, derived, or given in the request."""

    note: str
    """What to know about it."""


class SourcesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every source."""

    sources: list[SourceAnswer]
    """Every source answers cite."""


class SystemDifference(msgspec.Struct, frozen=True, kw_only=True):
    """A system less the baseline. Relative: that difference over the baseline; null where the baseline is nothing."""

    name: str
    """The system."""

    passes: int
    """Passes more or fewer."""

    passes_relative: Reading | None = None
    """The same, relative. [%]"""

    time: Reading
    """Hours more or fewer. [h]"""

    time_relative: Reading | None = None
    """The same, relative. [%]"""

    fuel: Reading | None = None
    """Fuel more or less; null if not known of both. [L or gal]"""

    fuel_relative: Reading | None = None
    """The same, relative. [%]"""

    carbon_dioxide: Reading | None = None
    """Carbon dioxide from fuel, more or less. [kg or lb]"""

    carbon_dioxide_relative: Reading | None = None
    """The same, relative. [%]"""

    cost: Reading | None = None
    """Cost more or less, as far as prices were given. [money]"""

    cost_relative: Reading | None = None
    """The same, relative. [%]"""

    cover: Reading | None = None
    """Cover more or less, in points of the ground. [%]"""

    cover_relative: Reading | None = None
    """The same, relative. [%]"""

    finish_day: float | None = None
    """Days later or earlier that the last pass is done."""


class SystemTotals(msgspec.Struct, frozen=True, kw_only=True):
    """All passes of a system together; low and high add up the ends of every pass."""

    passes: int
    """Passes over the land."""

    fits: bool
    """Whether every pass that was matched fits."""

    time: Reading
    """Hours. [h]"""

    fuel: Reading | None = None
    """Fuel; null if that of a pass is not known. [L or gal]"""

    fuel_per_area: Reading | None = None
    """Fuel on an area of the land. [L/ha or gal/ac]"""

    carbon_dioxide: Reading | None = None
    """Carbon dioxide from burning that fuel, and nothing else. [kg or lb]"""

    cost: CostParts
    """What it costs."""

    cover: Reading | None = None
    """Ground covered after the last pass. Low and high: outer bound. [%]"""

    finish_day: float | None = None
    """Day the last pass is done; null without a calendar."""

    latest_finish_day: float | None = None
    """The same at the high end of the hours."""

    finish_date: str | None = None
    """Date of the finish day; null without a date for day 0."""


class SystemResult(msgspec.Struct, frozen=True, kw_only=True):
    """One system."""

    name: str
    """Its name."""

    passes: list[PassAnswer]
    """Every pass, in order."""

    totals: SystemTotals
    """All passes together."""


class SystemVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """Who comes first on what. What counts more is yours to say: none is called the best."""

    summary: str
    """The answer in words."""

    criteria: list[CriterionAnswer]
    """Each criterion that could be found for all."""


class SystemAnswer(Answer, frozen=True, kw_only=True):
    """Systems side by side."""

    verdict: SystemVerdict
    """The answer in short."""

    baseline: str
    """The system the others are held against."""

    systems: list[SystemResult]
    """Every system, in the order of the request."""

    differences: list[SystemDifference]
    """Every other system against the baseline."""

    about: About
    """About this answer."""


class SystemCalendar(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """When there is field work."""

    workday: Workday
    """Hours of field work in a day. For example "10 h"."""

    suitable_share: Efficiency | None = None
    """Share of days fit for field work. For example "60 %"."""

    first_date: str | None = None
    """Date of day 0, such as the end of harvest. For example "2027-10-20"."""


class SystemPrices(Renamed, frozen=True, kw_only=True, omit_defaults=True):
    """Prices that are the same for every pass."""

    fuel: FuelPrice | None = None
    """Price of fuel. For example "0.9 money/L"."""

    labor: HourlyRate | None = None
    """What a driver costs in a time. For example "25 money/h"."""


class SystemRequest(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Two or more ways to work the same land."""

    area: Area
    """Land that every pass covers. For example "120 ha"."""

    systems: Sequence[FieldSystem]
    """The systems to compare."""

    baseline: str | None = None
    """Name of the system the others are held against; the first if left out."""

    residue: Residue | None = None
    """Residue to start from. Left out, cover is not counted."""

    prices: SystemPrices | None = None
    """Prices of fuel and labor. Left out, neither is in the cost."""

    calendar: SystemCalendar | None = None
    """Left out, days are not counted."""

    carbon_dioxide_per_fuel: CarbonDioxidePerFuel | None = None
    """Carbon dioxide from burning the fuel; of diesel if left out."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


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


class TractionAnswer(Answer, frozen=True, kw_only=True):
    """How the tractor stands under the pull."""

    carried: bool
    """Whether any slip in range carries the pull."""

    pull: Reading
    """Pull at the hitch. [kN or lbf]"""

    slip: Reading
    """Slip; of greatest net traction if the pull is not carried. [%]"""

    slip_band: list[Reading]
    """Slip of best efficiency here, from and to. [%]"""

    pull_effort: Reading
    """Net traction needed over the greatest there is. [%]"""

    tractive_efficiency: Reading
    """Drawbar power over axle power. [%]"""

    lifting_pull: Reading
    """Pull that would lift the front axle off the ground. [kN or lbf]"""

    axles: AxlesAnswer
    """Each axle."""

    second_opinions: list[SecondOpinion]
    """Other models on the rear axle at the same load and slip; none on tracks."""

    about: About
    """About this answer."""


class TractionRequest(Renamed, frozen=True, kw_only=True, omit_defaults=True):
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
    """Rise over run, positive uphill. Left out: `0 %`."""

    hitch: Hitch | None = "drawbar"
    """Where the pull acts. Left out: `drawbar`."""

    mass: Mass | None = None
    """Of the machine that pulls; some of its weight is on the hitch."""

    center_of_mass: Length | None = None
    """Of a mounted machine, behind the lower link ends."""

    hitch_share: Share | None = None
    """Share of its weight on the hitch at work; its wheels and tools carry the rest."""

    vertical_load: Pull | None = None
    """Its weight on the hitch at work, in place of a share of the mass: tongue load."""

    vertical_share: Share | None = None
    """What else presses on the hitch, over the pull: soil forces, a falling line of pull."""

    pull_height: HitchHeight | None = None
    """Line of pull above ground at the hitch."""

    tables: OwnTables | None = None
    """Your own figures, for this request."""


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


Labour = Labor
"""Old name of `Labor`."""
