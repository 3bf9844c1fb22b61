"""Anything a table gives, a request may give: every figure of every table is replaced, and the answer follows."""

import pickle
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.batch.agreeing import all_agree
from tests.own.scenes import TRACTOR, example, scenes, with_more
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.shared.tables import MOST_ROWS, OwnTables
from drawbar_service.api.v1.draft import DRAFT as DRAFT_OF_TOOLS
from drawbar_service.api.v1.match import MATCH
from drawbar_service.batch.plan import Given
from drawbar_service.quantities import decode_quantity, encode_metric
from drawbar_service.reference import TABLES, Row, Table
from drawbar_service.reference.own import (
    NOT_OFFERED,
    OWN_TABLES,
    RECORDS,
    GivenRow,
    OwnColumn,
    OwnFault,
    laid_over,
    member_of,
    own_columns,
)

SHOWN_ONLY = {("practice", "speed_typical_km_h"), ("practice", "life_h"), ("practice", "lifetime_repair")}
"""Figures that the reference endpoint shows and no calculation reads."""
FIGURES = [
    (table, column) for table in OWN_TABLES.values() for column in own_columns(table) if column.least is not None
]
Answered = tuple[Mapping[str, Any], Mapping[str, Any]]


def answered(calculation: Calculation[Any, Any], body: Mapping[str, Any]) -> Answered:
    """Return an answer with its warnings, and what it says about itself."""
    request = msgspec.convert(body, calculation.request, dec_hook=decode_quantity)
    answer = msgspec.to_builtins(calculation.compute(request, Ledger("metric")), enc_hook=encode_metric)
    about = answer.pop("about")
    return answer | {"warnings": about["warnings"]}, about


@cache
def as_published() -> list[tuple[Calculation[Any, Any], Mapping[str, Any], Mapping[str, Any]]]:
    """Return every scene with its answer by the tables as they are."""
    return [(one, body, answered(one, body)[0]) for one, body in scenes()]


def moved(table: Table[Row], column: OwnColumn, factor: float) -> Iterator[dict[str, Any]]:
    """Return the rows of a table with other figures in one column, as far as that makes sense."""
    for row in table.rows.values():
        old = getattr(row, column.name)
        if old is None:
            continue
        new = int(old) + 1 if column.type is int else old * factor if old else 0.01
        try:
            laid_over([(table.id, GivenRow("", row.id, {column.name: new}))])
        except OwnFault:
            continue
        if column.most is not None and new <= column.most:
            yield {"id": row.id, column.name: new}


def follows(tables: Mapping[str, Any]) -> bool:
    """Return whether the answer to some scene moves with the figures of these tables."""
    for one, body, published in as_published():
        try:
            answer, about = answered(one, {**body, "tables": tables})
        except ImpossibleInput:
            continue
        assert answer == published or any(figure["used"] for figure in about["own"])
        if answer != published:
            return True
    return False


@pytest.mark.parametrize(
    ("table", "column"),
    [pair for pair in FIGURES if pair[0].id != "defaults"],
    ids=lambda part: part.id if isinstance(part, Table) else part.name,
)
def test_every_figure_of_a_table_may_come_from_the_request(table: Table[Row], column: OwnColumn) -> None:
    seen = any(
        follows({member_of(table): rows})
        for factor in (0.95, 1.05)
        if (rows := list(moved(table, column, factor))[:MOST_ROWS])
    )
    assert seen is ((table.id, column.name) not in SHOWN_ONLY)


@pytest.mark.parametrize("id", list(TABLES["defaults"].rows))
def test_every_default_may_come_from_the_request(id: str) -> None:
    value = msgspec.structs.asdict(TABLES["defaults"].rows[id])["value"]
    others = [0.05] if value == 0.0 else [0.8 * value, 1.1 * value]
    assert any(follows({"defaults": [{"id": id, "value": other}]}) for other in others)


def test_every_column_of_every_file_is_offered_or_no_figure() -> None:
    for table in TABLES.values():
        offered = {column.name for column in own_columns(table)}
        assert offered | NOT_OFFERED >= {column.name for column in table.columns}
        numbers = {
            column.name
            for column in table.columns
            if any(isinstance(getattr(row, column.name), (int, float)) for row in table.rows.values())
        }
        assert numbers <= offered
    assert OWN_TABLES.keys() == TABLES.keys() - {"rotary-footnotes"} - RECORDS


def test_whatever_looks_figures_up_takes_tables() -> None:
    without = {one.name for one in CALCULATIONS if "tables" not in one.request.__struct_fields__}
    assert without == {"slip"}


def test_figures_that_say_the_same_change_nothing() -> None:
    tool = TABLES["draft"].rows["chisel-plow.twisted-shovel-10cm"]
    same = {name: getattr(tool, name) for name in ("A", "B", "C", "fine", "medium", "coarse", "range")}
    published, _ = answered(*with_more("match"))
    answer, about = answered(*with_more("match", tables={"draft": [{"id": tool.id, **same}]}))
    assert answer == published
    assert [figure["pointer"] for figure in about["own"]] == [f"/tables/draft/0/{name}" for name in same]
    assert {figure["source"] for figure in about["own"]} == {"asae-d497"}
    assert {"caller", "asae-d497"} <= set(about["sources"])


def test_a_row_of_ones_own_is_named_as_any_other() -> None:
    body = example("draft")
    tool = TABLES["draft"].rows[body["implement"]["tools"][0]["tool"]]
    mine = {name: getattr(tool, name) for name in ("group", "counted_in", "depth_counts", "A", "B", "C", "fine")}
    mine |= {name: getattr(tool, name) for name in ("medium", "coarse", "range")}
    published, _ = answered(DRAFT_OF_TOOLS, body)
    body["implement"]["tools"][0]["tool"] = "trial.2027"
    body["tables"] = {"draft": [{"id": "trial.2027", **mine}]}
    answer, about = answered(DRAFT_OF_TOOLS, body)
    assert answer["draft"]["total"] == published["draft"]["total"]
    assert len(about["own"]) == len(mine)
    assert all(figure["used"] and figure["instead_of"] is None for figure in about["own"])


@pytest.mark.parametrize(
    ("tables", "pointer", "says"),
    [
        ({"draft": [{"id": "new", "A": 100.0}]}, "/tables/draft/0", "all its figures"),
        ({"draft": [{"id": "disk-gang.primary", "coarse": 1.0}]}, "/tables/draft/0", "must not fall"),
        ({"draft": [{"id": "disk-gang.primary"}] * 2}, "/tables/draft/1/id", "twice"),
        ({"draft": [{"id": "disk-gang.primary", "practice": "no"}]}, "/tables/draft/0/practice", "no row 'no'"),
        ({"defaults": [{"id": "no", "value": 1.0}]}, "/tables/defaults/0/id", "no default"),
        ({"defaults": [{"id": "power_reserve", "value": 2.0}]}, "/tables/defaults/0/value", "give a number"),
    ],
)
def test_rows_that_cannot_be_are_refused(tables: dict[str, Any], pointer: str, says: str) -> None:
    with pytest.raises(ImpossibleInput) as refused:
        answered(*with_more("match", tables=tables))
    assert [fault.pointer for fault in refused.value.faults] == [pointer]
    assert says in refused.value.faults[0].detail


def test_what_is_not_looked_at_is_said() -> None:
    _, about = answered(*with_more("match", tables={"draft": [{"id": "roller-packer", "A": 100.0}]}))
    assert [figure["used"] for figure in about["own"]] == [False]


def test_a_figure_may_be_a_column() -> None:
    body = example("match")
    tool = body["implement"]["tools"][0]["tool"]
    body["tables"] = {
        "draft": [{"id": tool}],
        "surfaces": [{"id": "firm"}],
        "defaults": [{"id": "power_reserve", "value": 0.1}],
    }
    random = np.random.default_rng(1)
    vary = {
        "/tables/draft/0/A": Given(random.uniform(50.0, 200.0, 30)),
        "/tables/draft/0/range": Given(random.uniform(0.2, 0.5, 30)),
        "/tables/surfaces/0/cone_index_kPa": Given(random.uniform(600.0, 1500.0, 30)),
        "/tables/defaults/0/value": Given(random.uniform(0.05, 0.3, 30)),
    }
    all_agree(MATCH, body, vary)


def test_a_column_of_figures_names_rows_that_cannot_be() -> None:
    body = {**example("match"), "tables": {"draft": [{"id": "disk-gang.primary"}]}}
    all_agree(MATCH, body, {"/tables/draft/0/coarse": Given(np.linspace(0.5, 1.0, 12))})


@one_in(3)
@given(st.sampled_from([one for one in FIGURES if one[0].id != "defaults"]), st.sampled_from([0.5, 0.9, 1.1, 2.0]))
def test_answers_stay_finite(figure: tuple[Table[Row], OwnColumn], factor: float) -> None:
    table, column = figure
    rows = list(moved(table, column, factor))[:MOST_ROWS]
    body = {**example("match"), "tractor": TRACTOR, "tables": {member_of(table): rows}}
    request = msgspec.convert(body, MATCH.request, dec_hook=decode_quantity)
    assert isinstance(request.tables, OwnTables)
    msgspec.json.encode(MATCH.compute(request, Ledger("metric")), enc_hook=encode_metric)


def test_a_request_with_figures_of_its_own_goes_to_another_process() -> None:
    body = {**example("match"), "tables": {"draft": [{"id": "disk-gang.primary", "A": 100.0}]}}
    request = msgspec.convert(body, MATCH.request, dec_hook=decode_quantity)
    assert pickle.loads(pickle.dumps(request)) == request


def test_figures_and_the_names_of_rows_vary_together() -> None:
    random = np.random.default_rng(3)
    body = example("match")
    mine = body["implement"]["tools"][0]["tool"]
    body["tables"] = {"draft": [{"id": mine}], "surfaces": [{"id": "tilled"}]}
    others = ["chisel-plow.shovel-or-sweep", mine, "subsoiler.narrow-point"]
    vary = {
        "/implement/tools/0/tool": Given(random.choice(others, 40).tolist()),
        "/soil/surface": Given(random.choice(["firm", "tilled", "soft"], 40).tolist()),
        "/tables/draft/0/A": Given(random.uniform(50.0, 200.0, 40)),
        "/tables/draft/0/fine": Given(random.uniform(0.9, 1.0, 40)),
        "/tables/surfaces/0/slip_band_high": Given(random.uniform(0.14, 0.3, 40)),
        "/speed": Given(random.uniform(4.0, 9.0, 40), "km/h"),
    }
    all_agree(MATCH, body, vary)
