"""Every figure on the page of limits is the code's own, and none of them is left out."""

import importlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import msgspec
import pytest

from drawbar_service import answering
from drawbar_service.api.calculation import MOMENT, WHILE
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.costs import COSTS, UNIT
from drawbar_service.api.v1.batch.request import Text
from drawbar_service.quantities import decode_quantity
from drawbar_service.settings import Settings

PAGE = Path(__file__).resolve().parents[2] / "service" / "LIMITS.md"
NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?(?: [kM]B)?")


def section(name: str) -> list[list[str]]:
    """Return the cells of a section's table, without its head."""
    text = PAGE.read_text("utf-8").partition(f"## {name}\n")[2].partition("\n## ")[0]
    lines = [line for line in text.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def value_of(name: str) -> float:
    """Return what a setting, or a constant of a module, says."""
    if name.startswith("DRAWBAR_"):
        wanted = name.removeprefix("DRAWBAR_").lower()
        return next(one.default for one in msgspec.structs.fields(Settings) if one.name == wanted)
    if name == "/Text":
        return get_args(Text)[1].max_length
    module, _, constant = name.partition(":")
    return getattr(importlib.import_module(f"drawbar_service.{module}"), constant)


def written(value: float) -> Iterator[str]:
    """Yield the ways in which a figure is written on the page."""
    yield f"{value:g}"
    if float(value).is_integer():
        yield str(int(value))
        yield f"{int(value):,}"
        for unit, size in (("kB", 1024), ("MB", 1024**2)):
            if value >= size and value % size == 0:
                yield f"{int(value) // size} {unit}"


@pytest.mark.parametrize("row", section("Bounds"), ids=lambda row: row[0])
def test_a_bound_says_what_the_code_says(row):
    _, said, by = row
    names = re.findall("`([^`]+)`", by)
    assert names
    ways = [set(written(value_of(name))) for name in names]
    told = NUMBER.findall(said)
    assert len(told) == len(ways)
    for figure, allowed in zip(told, ways, strict=True):
        assert figure in allowed


def test_every_bound_that_can_be_set_is_on_the_page():
    text = PAGE.read_text("utf-8")
    bounds = [
        one.name
        for one in msgspec.structs.fields(Settings)
        if re.search(r"bytes|rows|values|seconds|patience|line|slots|connections|processes", one.name)
        and not one.name.startswith(("drain", "metrics"))
    ]
    assert [name for name in bounds if f"`DRAWBAR_{name.upper()}`" not in text] == []


def test_costs_are_those_of_the_table():
    rows = {row[0].strip("`"): row[1:] for row in section("What a request costs")}
    assert list(rows) == [one.name for one in (*CALCULATIONS, *SHOWN)]
    for name, (alone, each, shown, batch) in rows.items():
        cost = COSTS[name]
        told = [
            float(text) for cell in (alone, each, shown, batch) for text in re.findall(r"[\d.]+(?:e[+-]\d+)?", cell)
        ]
        rows_cost = (cost.row, cost.row_step) if name in {one.name for one in CALCULATIONS} else (0.0, 0.0)
        figures = (cost.alone, cost.step, cost.shown, 1000 * rows_cost[0], 1000 * rows_cost[1])
        assert told == pytest.approx([figure / UNIT for figure in figures if figure])
    assert pytest.approx(0.5e-3) == UNIT


def test_kinds_are_those_of_the_code():
    kinds = {row[0]: row[1:] for row in section("Where it is worked, and whose turn it is")}
    assert kinds["a moment"][0] == f"up to {1e3 * MOMENT:g} ms"
    assert kinds["a while"][0] == f"up to {1e3 * WHILE:g} ms"
    assert kinds["a while"][2] == str(answering._CALLERS_BESIDE)
    assert kinds["batches"][2].startswith(f"{Settings().batch_slots},")


def test_kinds_go_by_cost():
    by_name = {one.name: one for one in (*CALCULATIONS, *SHOWN)}

    def lasts(name):
        one = by_name[name]
        return one.lasts(msgspec.convert(one.example, one.request, dec_hook=decode_quantity))

    assert [lasts(name) for name in ("draft", "match", "ballast", "season")] == ["moment", "moment", "while", "long"]
