"""The tables: what a row holds, how it is read and how it is found.

Each table is a CSV file in ``data/``, explained column by column in ``tables.toml``; each
row names a source of ``sources.toml``. Everything is read and checked on import and cannot
change afterwards. Figures keep the units they were published in, so that they can be
proof-read; ``Table.columns`` gives them.
"""

import csv
import datetime
import tomllib
from collections.abc import Iterable, Mapping
from contextvars import ContextVar
from difflib import get_close_matches
from importlib.resources import files
from itertools import pairwise
from types import MappingProxyType
from typing import Annotated, Any, Generic, Literal, NamedTuple, TypeVar, cast

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.rows import Names, gathered, picked

_DATA = files("drawbar_service.reference") / "data"

Basis = Literal["published", "memory", "common-practice", "derived", "caller"]
"""How a figure is known: read in print, recalled, known to the trade, worked out, or given in the request."""
CALLER: Literal["caller"] = "caller"
"""Basis and source of a figure that a request gives."""

Id = Annotated[str, msgspec.Meta(pattern=r"^[a-z0-9]+([-._][a-z0-9]+)*$")]
Positive = Annotated[float, msgspec.Meta(gt=0)]
NotNegative = Annotated[float, msgspec.Meta(ge=0)]
Fraction = Annotated[float, msgspec.Meta(ge=0, le=1)]
Percent = Annotated[float, msgspec.Meta(ge=0, le=100)]


class Record(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What every row of every table has."""

    id: Id
    basis: Basis
    note: str = ""


class Source(Record, frozen=True, kw_only=True):
    """A publication, or the plain statement that there is none."""

    title: str
    publisher: str = ""
    edition: str = ""


class Row(Record, frozen=True, kw_only=True):
    """A row of figures."""

    source: str
    """Id of a :class:`Source`."""


def _check_ascending(what: str, *values: float | None) -> None:
    known = [value for value in values if value is not None]
    for less, more in pairwise(known):
        if less > more:
            raise ValueError(f"{what} must not fall, got {less:g} before {more:g}")


class DraftRow(Row, frozen=True, kw_only=True):
    """A ground tool: coefficients of D = F (A + B S + C S^2) W T."""

    group: Literal["major-tillage", "minor-tillage", "seeding"]
    implement: str
    variant: str = ""
    counted_in: Literal["m", "tool", "row"]
    depth_counts: bool
    A: Positive
    B: NotNegative
    C: NotNegative
    fine: Fraction
    medium: Fraction
    coarse: Fraction
    range: Fraction
    practice: str = ""
    """Id of the :class:`PracticeRow` whose speeds and field efficiency go with the tool; empty where none does."""

    def __post_init__(self) -> None:
        """Check that lighter soil pulls no harder."""
        _check_ascending("texture factors coarse, medium, fine", self.coarse, self.medium, self.fine)


class RotaryRow(Row, frozen=True, kw_only=True):
    """A PTO-driven machine: coefficients of P = a + b w + c F."""

    machine: str
    a_kW: NotNegative
    b_kW_per_m: NotNegative
    c_kWh_per_t: NotNegative
    range: Fraction
    footnote: Literal["", "b", "c", "d", "e"] = ""


class RotaryFootnote(Row, frozen=True, kw_only=True):
    """What the coefficients of a PTO-driven machine assume."""

    text: str


class DrawbarPerPtoRow(Row, frozen=True, kw_only=True):
    """Drawbar power over PTO power of one drive, by surface."""

    concrete: Fraction
    firm: Fraction
    tilled: Fraction
    soft: Fraction


class PracticeRow(Row, frozen=True, kw_only=True):
    """Field efficiency, speed, life and repair of a machine; None where the table is empty."""

    group: Literal["tractor", "tillage", "planting", "harvest", "misc"]
    machine: str
    field_efficiency_low: Fraction | None = None
    field_efficiency_typical: Fraction | None = None
    field_efficiency_high: Fraction | None = None
    speed_low_km_h: Positive | None = None
    speed_typical_km_h: Positive | None = None
    speed_high_km_h: Positive | None = None
    life_h: Positive
    lifetime_repair: Positive
    RF1: Positive
    RF2: Positive

    def __post_init__(self) -> None:
        """Check that what is typical lies between low and high."""
        _check_ascending(
            "field efficiency low, typical, high",
            self.field_efficiency_low,
            self.field_efficiency_typical,
            self.field_efficiency_high,
        )
        _check_ascending("speed low, typical, high", self.speed_low_km_h, self.speed_typical_km_h, self.speed_high_km_h)


class SurfaceRow(Row, frozen=True, kw_only=True):
    """What a soil surface stands for in traction, slip and the drawbar/PTO ratio."""

    cone_index_kPa: Positive
    mobility_number_label: Positive
    slip_band_low: Fraction
    slip_band_high: Fraction
    slip_band_source: str
    """Id of a :class:`Source`."""
    ratio_column: Literal["firm", "tilled", "soft"]

    def __post_init__(self) -> None:
        """Check the slip band."""
        _check_ascending("slip band low, high", self.slip_band_low, self.slip_band_high)


class TracksRow(Row, frozen=True, kw_only=True):
    """What rubber tracks pull and resist on one surface."""

    greatest_pull: Fraction
    greatest_pull_low: Fraction
    greatest_pull_high: Fraction
    slip_rate: Positive
    motion_resistance: Fraction
    slip_band_low: Fraction
    slip_band_high: Fraction

    def __post_init__(self) -> None:
        """Check range and slip band."""
        _check_ascending(
            "greatest pull low, central, high", self.greatest_pull_low, self.greatest_pull, self.greatest_pull_high
        )
        _check_ascending("slip band low, high", self.slip_band_low, self.slip_band_high)


class StaticSplitRow(Row, frozen=True, kw_only=True):
    """Share of the weight on the front axle of one drive, standing level."""

    front_share_low: Fraction
    front_share_high: Fraction

    def __post_init__(self) -> None:
        """Check the band."""
        _check_ascending("front share low, high", self.front_share_low, self.front_share_high)


class MassPerPowerRow(Row, frozen=True, kw_only=True):
    """Tractor mass over PTO power in one band of speed; None where the band is open."""

    speed_low_km_h: Positive | None = None
    speed_high_km_h: Positive | None = None
    mass_kg_per_kW: Positive

    def __post_init__(self) -> None:
        """Check the band."""
        _check_ascending("speed low, high", self.speed_low_km_h, self.speed_high_km_h)


class RemainingValueRow(Row, frozen=True, kw_only=True):
    """A class of machine: coefficients of (C1 - C2 sqrt(n) - C3 sqrt(h))^2."""

    machine: str
    C1: Positive
    C2: NotNegative
    C3: NotNegative


class WearRow(Row, frozen=True, kw_only=True):
    """How long a point lasts beside the one the table is measured by."""

    part: str
    relative_life: Positive


class SuitableDaysRow(Row, frozen=True, kw_only=True):
    """Days fit for field work in one period of the year at one place; None where the spread is not told."""

    place: str
    period: str
    calendar_days: Positive
    mean_days: Positive
    least_days: NotNegative | None = None
    most_days: Positive | None = None
    years: Positive

    def __post_init__(self) -> None:
        """Check that the mean lies between least and most, and all within the period."""
        _check_ascending("least, mean, most, calendar days", self.least_days, self.mean_days, self.most_days)
        _check_ascending("mean and calendar days", self.mean_days, self.calendar_days)


class SuitableWeekRow(Row, frozen=True, kw_only=True):
    """Days fit for field work in one week of one year, and what per cent of the topsoil was how moist at its end."""

    record: Id
    """Id of the record it belongs to."""
    place: str
    year: int
    week: int
    week_ending: datetime.date
    days_suitable: Annotated[float, msgspec.Meta(ge=0, le=7)]
    topsoil_very_short: Percent | None = None
    topsoil_short: Percent | None = None
    topsoil_adequate: Percent | None = None
    topsoil_surplus: Percent | None = None

    def __post_init__(self) -> None:
        """Check that the week is that of its last day."""
        if self.week_ending.isocalendar()[:2] != (self.year, self.week):
            raise ValueError(f"{self.week_ending} does not end week {self.week} of {self.year}")


class SoilWaterRow(Row, frozen=True, kw_only=True):
    """Coefficients of days from weather; see :class:`~drawbar_service.engine.soil_water.SoilWater`."""

    topsoil: Positive
    subsoil: Positive
    topsoil_drains: Fraction
    subsoil_drains: Fraction
    evaporation: Positive
    season: Fraction
    level: float
    by_topsoil: NotNegative
    by_subsoil: NotNegative
    by_rain: NotNegative
    by_warmth: float
    by_snow: NotNegative
    spread: Positive
    next_week: Fraction
    same_year: Fraction


class DrainageRow(Row, frozen=True, kw_only=True):
    """How fast a soil drains, over the soils that days from weather were fitted on."""

    rate: Positive


class BreakdownRow(Row, frozen=True, kw_only=True):
    """Time lost to breakdowns of one kind of work."""

    operation: str
    hours_per_year: Positive
    chance_per_40_ha: Fraction


class TimelinessRow(Row, frozen=True, kw_only=True):
    """Share of the yield lost for each day the work is off its best day."""

    operation: str
    region: str
    loss_low: Fraction
    loss_high: Fraction

    def __post_init__(self) -> None:
        """Check the range."""
        _check_ascending("loss low, high", self.loss_low, self.loss_high)


class ResidueRow(Row, frozen=True, kw_only=True):
    """Share of the residue cover that one operation, or a winter, leaves on the ground."""

    group: Literal["weathering", "tillage", "cultivating", "applying", "seeding"]
    operation: str
    variant: str = ""
    non_fragile_low: Fraction
    non_fragile_high: Fraction
    fragile_low: Fraction
    fragile_high: Fraction
    confidence: Literal["high", "medium"]

    def __post_init__(self) -> None:
        """Check the ranges, and that fragile residue lasts no better."""
        _check_ascending("non-fragile low, high", self.non_fragile_low, self.non_fragile_high)
        _check_ascending("fragile low, high", self.fragile_low, self.fragile_high)
        _check_ascending("fragile, non-fragile low", self.fragile_low, self.non_fragile_low)
        _check_ascending("fragile, non-fragile high", self.fragile_high, self.non_fragile_high)


class DefaultRow(Row, frozen=True, kw_only=True):
    """What the service takes where a request leaves a value out."""

    value: NotNegative
    unit: Literal["", "m", "m/s", "kg", "Pa", "kg/m3"] = ""
    why: str


class ThreePointRow(Row, frozen=True, kw_only=True):
    """A category of three-point hitch; None where a range is open or not known."""

    category: str
    lower_pin_in: Positive
    upper_pin_in: Positive
    spacing_in: Positive
    tractor_low_hp: Positive | None = None
    tractor_high_hp: Positive | None = None
    pto_low_kW: Positive | None = None
    pto_high_kW: Positive | None = None

    def __post_init__(self) -> None:
        """Check the ranges."""
        _check_ascending("tractor power low, high", self.tractor_low_hp, self.tractor_high_hp)
        _check_ascending("PTO power low, high", self.pto_low_kW, self.pto_high_kW)


class DrawbarRow(Row, frozen=True, kw_only=True):
    """A category of drawbar."""

    pto_high_kW: Positive


class PtoRow(Row, frozen=True, kw_only=True):
    """A type of PTO."""

    speed_r_min: Positive
    shaft_mm: Positive
    splines: int
    spline_form: Literal["straight", "involute"]
    pto_high_kW: Positive


class LoadIndexRow(Row, frozen=True, kw_only=True):
    """What a tire of this load index carries."""

    load_kg: Positive


class TireMultipleRow(Row, frozen=True, kw_only=True):
    """What a tire carries beside others, over what it carries alone."""

    load_multiplier: Fraction


_FEW_IDS = 12
"""As many ids as are read at a glance."""


class UnknownReference(LookupError):  # noqa: N818 - it names what was asked for, not what broke
    """A table has no row of that id.

    Parameters
    ----------
    table : str
        Id of the table.
    row : str
        What a row of it is, such as "tool".
    id : str
        The id that was asked for.
    close : tuple of str
        Ids that come close to it, the closest first.
    known : tuple of str
        Ids that there are, which are named if none comes close and they are few.
    """

    def __init__(self, table: str, row: str, id: str, close: tuple[str, ...], known: tuple[str, ...] = ()) -> None:
        super().__init__(table, row, id, close, known)
        self.table = table
        self.id = id
        self.close = close
        there_are = f"there are {', '.join(known)}; " if 0 < len(known) <= _FEW_IDS else ""
        hint = f"did you mean {', '.join(close)}? " if close else there_are
        path = "/v1/sources" if table == "sources" else f"/v1/reference/{table}"
        self.message = f"no {row} {id!r} in the {table} table; {hint}GET {path} lists all"

    def __str__(self) -> str:
        return self.message


class Column(msgspec.Struct, frozen=True):
    """What a column of a table means."""

    name: str
    unit: str
    """Empty for text, a yes or no, a count or a ratio."""
    meaning: str


R_co = TypeVar("R_co", bound=Record, covariant=True)


class OwnTable(NamedTuple):
    """Rows of a request for one table."""

    rows: dict[str, "Row"]
    """By id, whole."""
    used: set[str]
    """Ids that were looked up."""


IN_FORCE: ContextVar[Mapping[str, OwnTable]] = ContextVar("IN_FORCE", default=MappingProxyType({}))
"""Rows that the request being answered gives, by the id of their table; see :mod:`drawbar_service.reference.own`."""


class Table(msgspec.Struct, Generic[R_co], frozen=True):
    """A table that explains itself."""

    id: str
    title: str
    description: str
    row_is: str
    """What a row is, such as "tool"."""
    columns: tuple[Column, ...]
    rows: Mapping[str, R_co]
    """By id, in the order of the file; without what a request gives."""

    def in_force(self) -> Mapping[str, R_co]:
        """Return the rows that hold for the request being answered: these, and over them those that it gives."""
        own = IN_FORCE.get().get(self.id)
        if own is None:
            return self.rows
        own.used.update(own.rows)
        return {**self.rows, **cast("dict[str, Any]", own.rows)}

    def row(self, id: str) -> R_co:
        """Return the row of this `id`.

        Raises
        ------
        UnknownReference
            If there is none; it names the ids that come close.

        Notes
        -----
        For :class:`~drawbar_service.rows.Names`, one for each row of a batch, what comes back has the figures of
        each row's own row.
        """
        if isinstance(id, Names):
            return id.look_up(self.row)
        own = IN_FORCE.get().get(self.id)
        if own is not None and id in own.rows:
            own.used.add(id)
            return cast("Any", own.rows[id])
        try:
            return self.rows[id]
        except KeyError:
            known = tuple(self.rows if own is None else (*own.rows, *self.rows))
            raise UnknownReference(self.id, self.row_is, id, _close_ids(id, known), known) from None

    def records(self) -> list[dict[str, str | float | bool | None]]:
        """Return the rows as new dicts, column by column as in the file; None where a cell is empty."""
        return [
            {column.name: _cell(getattr(row, column.name)) for column in self.columns} for row in self.rows.values()
        ]


def _cell(value: str | float | bool | datetime.date | None) -> str | float | bool | None:
    return value.isoformat() if isinstance(value, datetime.date) else value


_SLIP = 0.8
"""How alike a word and a part of an id are that differ by a slip of the finger."""


def _close_ids(wanted: str, ids: Iterable[str]) -> tuple[str, ...]:
    """Return up to four ids whose part before the dot comes close or holds the word, ranked by the whole id."""
    families: dict[str, list[str]] = {}
    for id in ids:
        families.setdefault(_family(id), []).append(id)
    near = get_close_matches(_family(wanted), families) or [
        family
        for family in families
        if wanted in family or get_close_matches(_family(wanted), family.split("-"), cutoff=_SLIP)
    ]
    return tuple(id for family in near for id in get_close_matches(wanted, families[family], n=4, cutoff=0.0))[:4]


def _family(id: str) -> str:
    return id.partition(".")[0]


class _ColumnText(msgspec.Struct, forbid_unknown_fields=True):
    meaning: str
    unit: str = ""


class _TableText(msgspec.Struct, forbid_unknown_fields=True):
    title: str
    description: str
    row: str
    columns: dict[str, _ColumnText]


class _Texts(msgspec.Struct, forbid_unknown_fields=True):
    columns: dict[str, _ColumnText]
    tables: dict[str, _TableText]


_TEXTS = msgspec.convert(tomllib.loads((_DATA / "tables.toml").read_text("utf-8")), _Texts)


def _read_sources() -> Table[Source]:
    entries = tomllib.loads((_DATA / "sources.toml").read_text("utf-8"))
    rows = msgspec.convert({id: {"id": id, **entry} for id, entry in entries.items()}, dict[str, Source])
    header = ["id", *_TEXTS.tables["sources"].columns, "basis", "note"]
    return _explained("sources", header, rows)


def _read_table(id: str, row_type: type[R_co]) -> Table[R_co]:
    """Return a table read from its CSV file; ValueError names the line that is at fault."""
    name = f"{id.replace('-', '_')}.csv"
    lines = csv.reader((_DATA / name).read_text("utf-8").splitlines(), strict=True)
    header = next(lines)
    rows: dict[str, R_co] = {}
    for cells in lines:
        try:
            row = _read_row(header, cells, row_type)
        except (ValueError, UnknownReference, msgspec.ValidationError) as fault:
            raise ValueError(f"{name}, line {lines.line_num}: {fault}") from fault
        if rows.setdefault(row.id, row) is not row:
            raise ValueError(f"{name}, line {lines.line_num}: {row.id} stands twice")
    return _explained(id, header, rows)


def _read_row(header: list[str], cells: list[str], row_type: type[R_co]) -> R_co:
    if len(cells) != len(header):
        raise ValueError(f"{len(cells)} cells under {len(header)} columns")
    filled = {name: cell for name, cell in zip(header, cells, strict=True) if cell}
    row = msgspec.convert(filled, row_type, strict=False)
    for name in header:
        if name.endswith("source"):
            SOURCES.row(getattr(row, name))
    return row


def _explained(id: str, header: list[str], rows: dict[str, R_co]) -> Table[R_co]:
    """Return the table with what tables.toml says of it and of every column in the `header`."""
    text, common = _TEXTS.tables[id], _TEXTS.columns
    if odd := text.columns.keys() ^ (set(header) - common.keys()):
        raise ValueError(f"the {id} table and tables.toml differ in columns: {', '.join(sorted(odd))}")
    meanings = common | text.columns
    columns = tuple(Column(name, meanings[name].unit, meanings[name].meaning) for name in header)
    return Table(id, text.title, text.description, text.row, columns, MappingProxyType(rows))


SOURCES = _read_sources()
DRAFT = _read_table("draft", DraftRow)
ROTARY = _read_table("rotary", RotaryRow)
ROTARY_FOOTNOTES = _read_table("rotary-footnotes", RotaryFootnote)
DRAWBAR_PER_PTO = _read_table("drawbar-per-pto", DrawbarPerPtoRow)
PRACTICE = _read_table("practice", PracticeRow)
SURFACES = _read_table("surfaces", SurfaceRow)
TRACKS = _read_table("tracks", TracksRow)
STATIC_SPLIT = _read_table("static-split", StaticSplitRow)
MASS_PER_POWER = _read_table("mass-per-power", MassPerPowerRow)
REMAINING_VALUE = _read_table("remaining-value", RemainingValueRow)
WEAR = _read_table("wear", WearRow)
SUITABLE_DAYS = _read_table("suitable-days", SuitableDaysRow)
SUITABLE_WEEKS = _read_table("suitable-weeks", SuitableWeekRow)
SOIL_WATER = _read_table("soil-water", SoilWaterRow)
DRAINAGE = _read_table("drainage", DrainageRow)
BREAKDOWN = _read_table("breakdown", BreakdownRow)
TIMELINESS = _read_table("timeliness", TimelinessRow)
THREE_POINT = _read_table("three-point", ThreePointRow)
DRAWBAR = _read_table("drawbar", DrawbarRow)
PTO = _read_table("pto", PtoRow)
LOAD_INDEX = _read_table("load-index", LoadIndexRow)
TIRE_MULTIPLES = _read_table("tire-multiples", TireMultipleRow)
RESIDUE_RETENTION = _read_table("residue-retention", ResidueRow)
DEFAULTS = _read_table("defaults", DefaultRow)

_ALL: tuple[Table[Row], ...] = (
    DRAFT,
    ROTARY,
    ROTARY_FOOTNOTES,
    DRAWBAR_PER_PTO,
    PRACTICE,
    SURFACES,
    TRACKS,
    STATIC_SPLIT,
    MASS_PER_POWER,
    REMAINING_VALUE,
    WEAR,
    SUITABLE_DAYS,
    SUITABLE_WEEKS,
    SOIL_WATER,
    DRAINAGE,
    BREAKDOWN,
    TIMELINESS,
    THREE_POINT,
    DRAWBAR,
    PTO,
    LOAD_INDEX,
    TIRE_MULTIPLES,
    RESIDUE_RETENTION,
    DEFAULTS,
)
TABLES: Mapping[str, Table[Row]] = MappingProxyType({table.id: table for table in _ALL})
"""Every table of figures, by id."""

# A row by its id, or UnknownReference.
source = SOURCES.row
draft_row = DRAFT.row
rotary_row = ROTARY.row
practice_row = PRACTICE.row
surface = SURFACES.row
remaining_value_row = REMAINING_VALUE.row
wear_row = WEAR.row
static_split = STATIC_SPLIT.row
tracks_row = TRACKS.row
suitable_days = SUITABLE_DAYS.row
soil_water = SOIL_WATER.row
drainage = DRAINAGE.row
breakdown = BREAKDOWN.row
timeliness = TIMELINESS.row
residue_row = RESIDUE_RETENTION.row
default = DEFAULTS.row


def suitable_weeks(record: str) -> tuple[SuitableWeekRow, ...]:
    """Return the weeks of a `record` of suitable days.

    Raises
    ------
    UnknownReference
        If there is no such record.
    """
    try:
        return _WEEKS_OF[record]
    except KeyError:
        close = _close_ids(record, _WEEKS_OF)
        raise UnknownReference(SUITABLE_WEEKS.id, "record", record, close, tuple(_WEEKS_OF)) from None


def _weeks_by_record() -> Mapping[str, tuple[SuitableWeekRow, ...]]:
    weeks: dict[str, list[SuitableWeekRow]] = {}
    for row in SUITABLE_WEEKS.rows.values():
        weeks.setdefault(row.record, []).append(row)
    return MappingProxyType({record: tuple(rows) for record, rows in weeks.items()})


_WEEKS_OF = _weeks_by_record()


def drawbar_per_pto(drive: str, surface_id: str) -> float:
    """Return drawbar power over PTO power [1] of a `drive` on a soil surface or on "concrete".

    Raises
    ------
    UnknownReference
        If there is no such drive or surface.
    """
    row = DRAWBAR_PER_PTO.row(drive)
    if surface_id == "concrete":
        return row.concrete
    return picked(surface(surface_id).ratio_column, {"firm": row.firm, "tilled": row.tilled, "soft": row.soft})


def mass_per_power(speed: float | npt.NDArray[np.float64]) -> MassPerPowerRow:
    """Return the band of speed that `speed` [km/h] of heavy pulling is in, or that of each row.

    A speed on the edge belongs to the band that is open on its other side, as published.
    """
    rows = sorted(
        MASS_PER_POWER.in_force().values(), key=lambda row: None not in (row.speed_low_km_h, row.speed_high_km_h)
    )
    inside = [
        (row.speed_low_km_h is None or speed >= row.speed_low_km_h)
        & (row.speed_high_km_h is None or speed <= row.speed_high_km_h)
        for row in rows
    ]
    first = np.argmax(np.broadcast_arrays(*inside), axis=0)
    return gathered(rows, first) if first.ndim else rows[int(first)]
