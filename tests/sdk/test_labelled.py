"""A batch as labelled arrays, its units in every form, and where it comes from."""

import json
from typing import Any

import numpy as np
import pint as pint_library
import pyarrow as pa
import pytest

from drawbar.client import Client
from drawbar.units import cf, long_name, pint, pint_units, variable
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.quantities import DIMENSIONS

SCENARIO = {"width": "6 m", "speed": "8 km/h", "practice": "chisel-plow"}
COLUMNS = ["/capacity/effective", "/capacity/efficiency", "/about/model"]
VARY: dict[str, Any] = {"/speed": ("km/h", [6.0, 8.0, 10.0]), "/width": ("m", [4.0, 6.0])}


@pytest.fixture(scope="module")
def client() -> Client:
    return Client.in_process()


@pytest.mark.parametrize(
    ("unit", "expected"),
    [
        ("km/h", "km h-1"),
        ("%", "percent"),
        ("", "1"),
        ("kN", "kN"),
        ("N*m", "N m"),
        ("L/ha", "L ha-1"),
        ("m2", "m2"),
        ("kg/m2", "kg m-2"),
        ("money/h", "1 h-1"),
    ],
)
def test_units_as_the_cf_conventions_write_them(unit: str, expected: str) -> None:
    assert cf(unit) == expected.removeprefix("1 ") if unit != "" else expected == cf(unit)


def test_pint_reads_every_unit_that_an_answer_may_have() -> None:
    registry = pint_library.UnitRegistry()
    for dimension in DIMENSIONS.values():
        symbols = [symbol for symbol in dimension.factors if "money" not in symbol]
        for symbol in symbols:
            read, first = registry.parse_units(pint(symbol)), symbols[0]
            ratio = (1.0 * read).to(registry.parse_units(pint(first))).magnitude
            # The acre of pint is that of the US survey foot, 4 millionths larger.
            assert ratio == pytest.approx(dimension.factors[symbol] / dimension.factors[first], rel=1e-5), symbol
    assert pint_units({"/a": "%", "/b": "L/ha"}) == {"/a": "percent", "/b": "L/ha"}


def test_a_pointer_becomes_a_name_and_words() -> None:
    assert variable("/at_work/axles/front/slip") == "at_work_axles_front_slip"
    assert long_name("/at_work/tractive_efficiency") == "at work, tractive efficiency"


def test_a_grid_comes_back_with_coordinates(client: Client) -> None:
    pytest.importorskip("xarray")
    result = client.batch("field-capacity", SCENARIO, VARY, mode="grid", columns=COLUMNS)
    found = result.to_xarray()
    assert dict(found.sizes) == {"speed": 3, "width": 2}
    for at, speed in enumerate(VARY["/speed"][1]):
        for place, width in enumerate(VARY["/width"][1]):
            there = float(found["capacity_effective"].sel(speed=speed, width=width))
            assert there == result.columns["/capacity/effective"][2 * at + place]
    assert found["capacity_effective"].attrs == {
        "long_name": "capacity, effective",
        "pointer": "/capacity/effective",
        "units": "ha h-1",
    }
    assert found["speed"].attrs["units"] == "km h-1"
    assert "units" not in found["about_model"].attrs
    assert json.loads(found.attrs["provenance"])["scenario"] == SCENARIO
    assert found.attrs["Conventions"] == "CF-1.11"


def test_rows_come_back_along_one_dimension(client: Client) -> None:
    pytest.importorskip("xarray")
    speeds = np.array([6.0, 900.0, 8.0])
    found = client.batch("field-capacity", SCENARIO, {"/speed": ("km/h", speeds)}, columns=COLUMNS).to_xarray()
    assert dict(found.sizes) == {"row": 3}
    assert found["speed"].values.tolist() == speeds.tolist()
    assert np.isnan(found["capacity_effective"].values).tolist() == [False, True, False]


def test_tables_carry_units_and_where_they_come_from(client: Client) -> None:
    result = client.batch("field-capacity", SCENARIO, VARY, mode="grid", columns=COLUMNS)
    table = result.to_arrow()
    assert isinstance(table, pa.Table)
    assert table.schema.field("/capacity/effective").metadata == {b"unit": b"ha/h"}
    told = json.loads(table.schema.metadata[b"drawbar"])["provenance"]
    frame = result.to_pandas()
    assert told == frame.attrs["provenance"]
    assert frame.attrs["units"]["/capacity/effective"] == "ha/h"
    assert told["scenario"] == SCENARIO
    assert told["rows"] == 6
    assert told["model"] == client.version().model
    again = client.batch("field-capacity", SCENARIO, VARY, mode="grid", columns=COLUMNS).provenance()
    assert again.input_sha256 == told["input_sha256"]
    other = client.batch("field-capacity", SCENARIO, {"/speed": ("km/h", [7.0])}, columns=COLUMNS).provenance()
    assert other.input_sha256 != told["input_sha256"]


def test_the_scenario_may_be_a_request_of_the_client(client: Client) -> None:
    example = dict(FIELD_CAPACITY.example)
    result = client.batch("field-capacity", example, VARY, columns=COLUMNS, mode="grid")
    assert json.loads(bytes(result.provenance().scenario)) == example
