"""The reference tables: complete, sourced, unchangeable, and helpful when asked for what they lack."""

import pickle
from importlib.resources import files

import msgspec
import numpy as np
import pytest

from drawbar_service.reference import (
    DRAFT,
    PRACTICE,
    RESIDUE_RETENTION,
    ROTARY,
    ROTARY_FOOTNOTES,
    SOURCES,
    TABLES,
    UnknownReference,
    default,
    draft_row,
    drawbar_per_pto,
    practice_row,
    residue_row,
    rotary_row,
    source,
    static_split,
    suitable_weeks,
    surface,
    tables,
    tracks_row,
)

DATA = files("drawbar_service.reference") / "data"
EVERY_TABLE = [SOURCES, *TABLES.values()]
PER_TABLE = pytest.mark.parametrize("table", EVERY_TABLE, ids=lambda table: table.id)


def test_no_row_is_lost():
    # After ASAE D497, from memory: 42 draft rows, 32 rotary rows, 40 rows of machine practice; 2 rotary rows are newer.
    elsewhere = [row.id for row in DRAFT.rows.values() if row.source != "asae-d497"]
    assert elsewhere == ["disk-plow", "rolling-cultivator", "knife-applicator"]
    assert (len(DRAFT.rows) - len(elsewhere), len(ROTARY.rows), len(PRACTICE.rows)) == (42, 32 + 2, 40)


def test_a_row_from_elsewhere_comes_to_the_figure_it_is_drawn_from():
    """The disk plow trial at 5 km/h; a rolling cultivator's 2.5 PTO hp a foot at 5.5 mph through a ratio of 0.67."""
    disk = draft_row("disk-plow")
    unit_draft = disk.A + 5.0 * disk.B + 25.0 * disk.C
    assert unit_draft == pytest.approx(152.28 + 5.0 * 3.79 + 25.0 * 9.66, rel=0.005)
    pull = draft_row("rolling-cultivator").A * 0.3048
    assert pull * 5.5 * 0.44704 / 0.67 / 745.7 == pytest.approx(2.5, rel=0.005)


@pytest.mark.parametrize(
    ("id", "counted_in", "depth_counts", "abc", "factors", "spread"),
    [
        # After ASAE D497, from memory. A, B and C of the first two are in print, the second in
        # Field and Solie, Introduction to Agricultural Engineering Technology.
        ("moldboard-plow", "m", True, (652, 0, 5.1), (1, 0.70, 0.45), 0.40),
        ("chisel-plow.straight-point-5cm", "tool", True, (91, 5.4, 0), (1, 0.85, 0.65), 0.50),
        ("chisel-plow.twisted-shovel-10cm", "tool", True, (123, 7.3, 0), (1, 0.85, 0.65), 0.50),
        ("disk-gang.primary", "m", True, (124, 6.4, 0), (1, 0.88, 0.78), 0.25),
        ("field-cultivator.secondary", "tool", True, (32, 1.9, 0), (1, 0.85, 0.65), 0.25),
        ("row-crop-cultivator.no-till", "row", True, (435, 21.8, 0), (1, 0.85, 0.65), 0.20),
        ("land-plane", "m", False, (8000, 0, 0), (1, 1, 1), 0.45),
        ("row-crop-planter.zone-till", "row", False, (3400, 0, 0), (1, 0.94, 0.82), 0.35),
        ("grain-drill.wide", "row", False, (200, 0, 0), (1, 1, 1), 0.25),
    ],
)
def test_draft_figures(id, counted_in, depth_counts, abc, factors, spread):
    row = draft_row(id)
    assert (row.counted_in, row.depth_counts) == (counted_in, depth_counts)
    assert (row.fine, row.medium, row.coarse, row.range) == (*factors, spread)
    coefficients = (row.A, row.B, row.C)
    assert coefficients == abc


def test_depth_counts_for_major_tillage_only():
    # The form of ASAE D497: T is depth in cm for major tillage, 1 for minor tillage and seeding.
    assert {(row.group, row.depth_counts) for row in DRAFT.rows.values()} == {
        ("major-tillage", True),
        ("minor-tillage", False),
        ("seeding", False),
    }


@pytest.mark.parametrize(
    ("id", "abc", "spread", "footnote"),
    [
        # After ASAE D497, from memory.
        ("baler.large-rectangular", (4, 0, 1.3), 0.35, "b"),
        ("baler.large-rectangular-high-density", (0, 0, 4.5), 0.25, ""),  # published, no part to run empty
        ("combine.corn", (35, 0, 1.6), 0.30, "d"),
        ("forage-harvester.corn-silage", (6, 0, 3.3), 0.40, "e"),
        ("mower.disk", (0, 5, 0), 0.30, ""),
        ("potato-harvester", (0, 10.7, 0), 0.30, "c"),
    ],
)
def test_rotary_figures(id, abc, spread, footnote):
    row = rotary_row(id)
    assert (row.a_kW, row.b_kW_per_m, row.c_kWh_per_t) == abc
    assert (row.range, row.footnote) == (spread, footnote)


def test_every_footnote_is_written_and_used():
    assert {row.footnote for row in ROTARY.rows.values()} - {""} == set(ROTARY_FOOTNOTES.rows)


@pytest.mark.parametrize(
    ("id", "older", "low", "high"),
    [
        # Energy Requirements for Biomass Harvest and Densification, Energies 2018.
        ("baler.large-rectangular-high-density", "baler.large-rectangular", 4.0, 5.0),
        ("tub-grinder.bales", "tub-grinder.straw", 13.0, 32.0),
    ],
)
def test_rows_of_modern_machines_cover_what_was_measured(id, older, low, high):
    row = rotary_row(id)
    assert row.c_kWh_per_t * (1.0 - row.range) <= low
    assert row.c_kWh_per_t * (1.0 + row.range) >= high
    assert row.basis == "published"
    assert id in rotary_row(older).note


def test_practice_figures():
    # After ASAE D497, from memory.
    disk = practice_row("disk-harrow.tandem")
    assert (disk.field_efficiency_low, disk.field_efficiency_typical, disk.field_efficiency_high) == (0.70, 0.80, 0.90)
    assert (disk.speed_low_km_h, disk.speed_typical_km_h, disk.speed_high_km_h) == (6.5, 10, 11)
    assert (disk.life_h, disk.lifetime_repair, disk.RF1, disk.RF2) == (2000, 0.60, 0.18, 1.7)


@pytest.mark.parametrize(
    ("id", "non_fragile", "fragile"),
    [
        # After a guide of the USDA Soil Conservation Service (1992), from memory.
        ("moldboard-plow", (0.00, 0.10), (0.00, 0.05)),
        ("chisel-plow.straight-point", (0.60, 0.80), (0.40, 0.60)),
        ("chisel-plow.twisted-point", (0.50, 0.70), (0.30, 0.40)),
        ("disk-harrow.offset-plowing", (0.25, 0.50), (0.10, 0.25)),
        ("field-cultivator.primary", (0.60, 0.80), (0.55, 0.75)),
        ("field-cultivator.secondary", (0.80, 0.90), (0.60, 0.75)),
        ("row-crop-planter.conventional", (0.85, 0.95), (0.75, 0.85)),
    ],
)
def test_residue_figures(id, non_fragile, fragile):
    row = residue_row(id)
    assert (row.non_fragile_low, row.non_fragile_high) == non_fragile
    assert (row.fragile_low, row.fragile_high) == fragile


def test_residue_figures_own_up_to_memory():
    assert {row.basis for row in RESIDUE_RETENTION.rows.values()} == {"memory"}
    assert "not yet proof-read" in source("residue-guide-1992").note
    # A row whose recollections differ, or whose tool is not quite that of the guide, is not called sure.
    assert {row.confidence for row in RESIDUE_RETENTION.rows.values() if row.note} == {"medium"}


def test_a_blank_cell_is_none():
    wagon = practice_row("wagon")
    assert (wagon.field_efficiency_typical, wagon.speed_typical_km_h, wagon.life_h) == (None, None, 3000)


@pytest.mark.parametrize(
    ("drive", "surface_id", "ratio"),
    [
        # Univ. of Arizona Cooperative Extension, Agricultural Machinery Management; firm soil under
        # tracks from memory of ASAE D497; hard soil is read as firm.
        ("two-wheel", "concrete", 0.87),
        ("two-wheel", "hard", 0.72),
        ("front-wheel-assist", "tilled", 0.73),
        ("four-wheel", "soft", 0.70),
        ("rubber-track", "firm", 0.82),
        ("four-track", "soft", 0.78),
    ],
)
def test_drawbar_per_pto(drive, surface_id, ratio):
    assert drawbar_per_pto(drive, surface_id) == ratio


@pytest.mark.parametrize(
    ("id", "cone_index", "label", "band"),
    [
        # Cone index and label after ASAE D497, from memory; slip bands published by the Univ. of
        # Arizona Cooperative Extension, which has none for hard soil.
        ("hard", 1800, 80, (0.08, 0.10)),
        ("firm", 1200, 55, (0.08, 0.10)),
        ("tilled", 900, 40, (0.11, 0.13)),
        ("soft", 450, 20, (0.14, 0.16)),
    ],
)
def test_surfaces(id, cone_index, label, band):
    row = surface(id)
    assert (row.cone_index_kPa, row.mobility_number_label) == (cone_index, label)
    assert (row.slip_band_low, row.slip_band_high) == band


@pytest.mark.parametrize(
    ("id", "greatest", "handbook"),
    [
        # Handbooks of earthmoving, steel tracks, from memory: firm earth 0.90; loose earth 0.60; from dry sand 0.30
        # to wet clay loam 0.70.
        ("hard", 0.75, (0.90, 0.90)),
        ("firm", 0.75, (0.90, 0.90)),
        ("tilled", 0.60, (0.60, 0.60)),
        ("soft", 0.50, (0.30, 0.70)),
    ],
)
def test_the_pull_of_tracks_is_no_higher_than_the_middle_of_its_range(id, greatest, handbook):
    row = tracks_row(id)
    assert (row.greatest_pull, row.basis) == (greatest, "memory")
    assert row.greatest_pull <= (row.greatest_pull_low + row.greatest_pull_high) / 2.0
    assert row.greatest_pull_low <= handbook[0] <= handbook[1] <= row.greatest_pull_high


@pytest.mark.parametrize("id", ["hard", "firm", "tilled", "soft"])
def test_motion_resistance_and_slip_band_of_tracks_follow_from_the_published_ratio(id):
    row, slip = tracks_row(id), np.linspace(0.001, 0.5, 5_000)
    net = row.greatest_pull * (1.0 - np.exp(-row.slip_rate * slip))
    efficiency = (1.0 - slip) * net / (net + row.motion_resistance)
    published = drawbar_per_pto("rubber-track", id) / default("transmission_efficiency").value
    assert efficiency.max() == pytest.approx(published, abs=0.001)
    band = slip[efficiency >= 0.99 * efficiency.max()]
    assert (row.slip_band_low, row.slip_band_high) == pytest.approx((band[0], band[-1]), abs=0.005)


def test_ballasting_figures():
    # Published guides to ballasting: front share by drive; 120, 130 and 140 lb/hp by speed.
    shares = {drive: (row.front_share_low, row.front_share_high) for drive, row in tables.STATIC_SPLIT.rows.items()}
    assert shares == {
        "two-wheel": (0.25, 0.35),
        "front-wheel-assist": (0.35, 0.40),
        "four-wheel": (0.51, 0.60),
        # On tracks from memory.
        "rubber-track": (0.50, 0.55),
        "four-track": (0.51, 0.60),
    }
    kg_per_lb, kW_per_hp = 0.45359237, 0.74569987
    for band, pounds_per_horsepower in {"fast": 120, "medium": 130, "slow": 140}.items():
        mass = tables.MASS_PER_POWER.row(band).mass_kg_per_kW
        assert mass == pytest.approx(pounds_per_horsepower * kg_per_lb / kW_per_hp, abs=0.5)


@pytest.mark.parametrize(
    ("id", "value", "unit", "cited"),
    [
        ("transmission_efficiency", 0.96, "", "asae-ep496"),  # from memory
        ("pto_per_engine_power", 0.90, "", "arizona-machinery-management"),  # published
        ("turning_fuel_share", 0.25, "", "headland-fuel"),  # published
        ("stopped_fuel_share", 0.17, "", "grisso-2004"),  # derived
        ("deflection_ratio", 0.20, "", "brixius-1987"),  # from memory
        ("drawbar_height", 0.5, "m", "common-practice"),  # common practice, no source
    ],
)
def test_defaults(id, value, unit, cited):
    row = default(id)
    assert (row.value, row.unit, row.source) == (value, unit, cited)
    assert row.why


def test_d497_is_never_claimed_as_read():
    assert source("asae-d497").basis == "memory"
    assert "not yet proof-read" in source("asae-d497").note
    cited = [row for table in TABLES.values() for row in table.rows.values() if row.source == "asae-d497"]
    assert {row.basis for row in cited} == {"memory"}


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda table: table.id)
def test_every_row_cites_a_source(table):
    for row in table.rows.values():
        assert source(row.source).title


@PER_TABLE
def test_a_table_explains_itself(table):
    assert table.title
    assert table.description
    names = [column.name for column in table.columns]
    assert all(column.meaning for column in table.columns)
    records = table.records()
    assert [record["id"] for record in records] == list(table.rows)
    assert all(list(record) == names for record in records)
    assert msgspec.json.decode(msgspec.json.encode(records)) == records


@PER_TABLE
def test_a_table_cannot_be_changed(table):
    row = next(iter(table.rows.values()))
    with pytest.raises(AttributeError):
        row.note = "changed"
    with pytest.raises(AttributeError):
        table.rows = {}
    with pytest.raises(TypeError):
        table.rows[row.id] = row
    table.records()[0]["note"] = "changed"
    assert table.records()[0]["note"] == row.note


def test_the_list_of_tables_cannot_be_changed():
    with pytest.raises(TypeError):
        TABLES["draft"] = DRAFT


@pytest.mark.parametrize(
    ("lookup", "id", "message"),
    [
        (
            draft_row,
            "chisel-plough",
            "no tool 'chisel-plough' in the draft table; did you mean chisel-plow.straight-point-5cm, "
            "chisel-plow.shovel-or-sweep, chisel-plow.twisted-shovel-10cm? GET /v1/reference/draft lists all",
        ),
        (
            suitable_weeks,
            "ohio",
            "no record 'ohio' in the suitable-weeks table; there are iowa; GET /v1/reference/suitable-weeks lists all",
        ),
        (
            draft_row,
            "chizel",
            "no tool 'chizel' in the draft table; did you mean chisel-plow.shovel-or-sweep, "
            "chisel-plow.straight-point-5cm, chisel-plow.twisted-shovel-10cm? GET /v1/reference/draft lists all",
        ),
        (
            surface,
            "mud",
            "no surface 'mud' in the surfaces table; there are hard, firm, tilled, soft; "
            "GET /v1/reference/surfaces lists all",
        ),
        (
            static_split,
            "two-wheels",
            "no drive 'two-wheels' in the static-split table; did you mean two-wheel, four-wheel? "
            "GET /v1/reference/static-split lists all",
        ),
    ],
)
def test_an_unknown_id_says_what_would_be_right(lookup, id, message):
    with pytest.raises(UnknownReference) as caught:
        lookup(id)
    assert str(caught.value) == message
    assert caught.value.id == id
    assert str(pickle.loads(pickle.dumps(caught.value))) == message  # it may cross to another process


@pytest.mark.parametrize(
    ("lookup", "id", "first"),
    [
        (draft_row, "disk-harrow", "disk-harrow.tandem-primary"),
        (draft_row, "chisel-plow.twisted-shovel", "chisel-plow.twisted-shovel-10cm"),
        (draft_row, "plow", "disk-plow"),
        (rotary_row, "baler.square", "baler.small-rectangular"),
        (practice_row, "combine", "combine.pulled"),
        (default, "drawbar_hight", "drawbar_height"),
        (source, "asae-d479", "asae-d497"),
    ],
)
def test_the_closest_id_comes_first(lookup, id, first):
    with pytest.raises(UnknownReference) as caught:
        lookup(id)
    assert caught.value.close[0] == first


def test_an_unknown_drive_or_surface_is_named():
    with pytest.raises(UnknownReference, match="no drive 'three-wheel'"):
        drawbar_per_pto("three-wheel", "firm")
    with pytest.raises(UnknownReference, match="no surface 'gravel'"):
        drawbar_per_pto("two-wheel", "gravel")


def test_data_files_are_utf8_with_plain_line_ends():
    for file in DATA.iterdir():
        content = file.read_bytes()
        assert content.decode("utf-8").endswith("\n"), file.name
        assert b"\r" not in content, file.name
        assert not content.startswith(b"\xef\xbb\xbf"), file.name


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("1200,55,", "1200,", "line 3: 9 cells under 10 columns"),
        ("firm,1200", "firm,-1200", "line 3: Expected `float` > 0"),
        ("firm,1200", "firm,about 1200", "line 3: Expected `float`"),
        ("firm,1200", "hard,1200", "line 3: hard stands twice"),
        ("0.11,0.13", "0.13,0.11", "line 4: slip band low, high must not fall"),
        ("tilled,memory,asae-d497", "tilled,memory,asae-d947", "line 4: no source 'asae-d947'"),
        ("tilled,memory", "tilled,hearsay", "line 4: Invalid enum value 'hearsay'"),
        ("0.14,0.16,arizona-", "0.14,0.16,nevada-", "line 5: no source 'nevada-machinery-management'"),
        ("id,cone_index_kPa", "id,cone_index", "line 2: Object contains unknown field `cone_index`"),
    ],
)
def test_a_faulty_file_is_refused(old, new, fault, tmp_path, monkeypatch):
    text = (DATA / "surfaces.csv").read_text("utf-8")
    assert old in text
    (tmp_path / "surfaces.csv").write_text(text.replace(old, new, 1), "utf-8")
    monkeypatch.setattr(tables, "_DATA", tmp_path)
    with pytest.raises(ValueError, match=f"^surfaces.csv, {fault}"):
        tables._read_table("surfaces", tables.SurfaceRow)


def test_a_column_without_a_meaning_is_refused():
    header = [column.name.replace("footnote", "remark") for column in ROTARY.columns]
    with pytest.raises(ValueError, match=r"the rotary table and tables.toml differ in columns: footnote, remark"):
        tables._explained("rotary", header, {})
