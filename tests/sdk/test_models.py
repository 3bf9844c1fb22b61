"""Typed requests and answers, against the service in this process and against the contract."""

import asyncio
import inspect
import json
import runpy
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

import drawbar
from drawbar import _calculations as calculations
from drawbar import _operations as operations
from drawbar import models

ROOT = Path(__file__).resolve().parents[2]
CONTRACT = json.loads((ROOT / "openapi/drawbar-v1.json").read_text("utf-8"))
OPERATIONS = {
    operation["operationId"]: (method.upper(), path, operation)
    for path, item in CONTRACT["paths"].items()
    for method, operation in item.items()
    if not operation["operationId"].endswith("_by_address")  # for pages, which have no client
}


def worked_request(operation):
    example = operation["requestBody"]["content"]["application/json"]["examples"]["worked"]
    if "$ref" in example:  # a picture refers to that of its calculation
        _, path, *_ = example["$ref"].removeprefix("#/").split("/")
        return worked_request(CONTRACT["paths"][path.replace("~1", "/")]["post"])
    return example["value"]


EXAMPLES = {
    name: worked_request(operation)
    for name, (_, _, operation) in OPERATIONS.items()
    if "requestBody" in operation and name != "batch"  # whose method takes columns; see test_batch.py
}
NOT_OPERATIONS = {"batch_bytes", "close", "connect", "in_process", "picture", "sheet_page", "with_options"}
METHODS = {name: name for name in OPERATIONS} | {"readyz": "ready"}


def request_type(name):
    reference = OPERATIONS[name][2]["requestBody"]["content"]["application/json"]["schema"]["$ref"]
    return getattr(models, reference.rpartition("/")[2])


@pytest.fixture(scope="module")
def client():
    with drawbar.Client.in_process() as made:
        yield made


@pytest.mark.parametrize("kind", [drawbar.Client, drawbar.AsyncClient])
def test_every_operation_has_a_method_and_every_method_an_operation(kind):
    methods = {name for name, _ in inspect.getmembers(kind, callable) if not name.startswith("_")} - NOT_OPERATIONS
    assert methods == set(METHODS.values())


@pytest.mark.parametrize("name", OPERATIONS)
def test_each_operation_is_where_the_contract_says(name):
    method, path, operation = OPERATIONS[name]
    ours = getattr(calculations, name.upper(), None) or getattr(operations, name.upper())
    takes_units = any(parameter.get("$ref", "").endswith("/units") for parameter in operation.get("parameters", ()))
    assert (ours.method, ours.path, ours.takes_units) == (method, path, takes_units)
    if name != "readyz":
        answer = operation["responses"]["200"]["content"]["application/json"]["schema"]["$ref"]
        assert ours.result.__name__ == answer.rpartition("/")[2]


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_struct_and_a_mapping_say_the_same(client, name):
    request = msgspec.convert(EXAMPLES[name], request_type(name))
    assert msgspec.to_builtins(request) == EXAMPLES[name]
    assert getattr(client, name)(request) == getattr(client, name)(EXAMPLES[name])


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_an_answer_is_read_whole(client, name, units):
    """What the type keeps of the raw answer is all of it, in the units asked for."""
    raw = client._call(msgspec_free(getattr(calculations, name.upper())), EXAMPLES[name], units)
    kept = msgspec.to_builtins(getattr(client, name)(EXAMPLES[name], units=units))
    assert without_nulls(kept) == without_nulls(raw)


def msgspec_free(operation):
    return type(operation)(operation.method, operation.path, dict)


def without_nulls(value):
    if isinstance(value, dict):
        return {key: without_nulls(member) for key, member in value.items() if member is not None}
    if isinstance(value, list):
        return [without_nulls(item) for item in value]
    return value


def test_an_answer_of_a_newer_service_is_still_read(client):
    raw = client._call(msgspec_free(calculations.MATCH), EXAMPLES["match"])
    raw["news"] = {"from": "tomorrow"}
    raw["verdict"] |= {"binding": "a-limit-of-tomorrow", "mood": "fine"}
    answer = msgspec.convert(raw, drawbar.MatchAnswer)
    assert answer.verdict.binding == "a-limit-of-tomorrow"


def test_the_async_client_answers_the_same(client):
    async def ask():
        async with drawbar.AsyncClient.in_process() as other:
            return [await getattr(other, name)(example) for name, example in EXAMPLES.items()]

    assert asyncio.run(ask()) == [getattr(client, name)(example) for name, example in EXAMPLES.items()]


def test_tables_and_sources(client):
    listed = client.reference_tables().tables
    for table in listed:
        whole = client.reference_table(table.id)
        assert (whole.id, len(whole.rows)) == (table.id, table.rows)
    cited = client.match(EXAMPLES["match"]).about.sources
    assert set(cited) <= {source.id for source in client.sources().sources}
    assert client.livez().status == "ok"
    assert client.ready()
    with pytest.raises(drawbar.NotFound, match="no table 'nope'"):
        client.reference_table("nope")


def test_a_fault_names_its_place(client):
    request = drawbar.FieldCapacityRequest(width="6 kN", speed=drawbar.Quantity(9, "km/h"))
    with pytest.raises(drawbar.ImpossibleInput) as caught:
        client.field_capacity(request)
    assert [fault.pointer for fault in caught.value.problem.errors] == ["/width"]


def test_an_answer_goes_back_into_a_request(client):
    greatest = client.match(EXAMPLES["match"] | {"find": ["speed"]}).greatest.speed
    again = client.match(EXAMPLES["match"] | {"speed": greatest.value.quantity})
    assert again.verdict.fits
    assert again.at_work.speed.value == pytest.approx(greatest.value.value)


def test_every_type_is_exported_and_explains_each_member():
    assert set(models.__all__) <= set(drawbar.__all__)
    assert len(drawbar.__all__) == len(set(drawbar.__all__))
    text = (ROOT / "sdk/src/drawbar/models.py").read_text("utf-8").splitlines()
    members = [
        number for number, line in enumerate(text) if line.startswith("    ") and line[4:5].isalpha() and ": " in line
    ]
    fields = sum(len(kind.__struct_fields__) for kind in structs() if kind.__module__ == models.__name__)
    told = [number for number in members if text[number + 1].strip().startswith('"""')]
    assert len(told) >= fields


def structs():
    return [kind for kind in vars(models).values() if isinstance(kind, type) and issubclass(kind, msgspec.Struct)]


@pytest.mark.parametrize(
    ("reading", "text"),
    [
        (drawbar.Reading(35.3399, "kN", 18.87, 51.8073), "35.3 kN (18.9 to 51.8)"),
        (drawbar.Reading(35.3399, "kN"), "35.3 kN"),
        (drawbar.Reading(4.0, "kW", 4.0, 4.0), "4 kW"),
        (drawbar.Reading(12345.6, "lbf"), "12346 lbf"),
        (drawbar.Reading(9.996, "m"), "10 m"),
        (drawbar.Reading(-0.0123456, "1"), "-0.0123"),
        (drawbar.Reading(0.0, "%"), "0 %"),
    ],
)
def test_a_reading_in_words(reading, text):
    assert str(reading) == text


def test_a_quantity_in_words_is_what_the_service_reads():
    assert str(drawbar.Quantity(8, "in")) == "8 in"


def test_the_import_is_light():
    heavy = "numpy", "pint", "scipy", "litestar", "httpx2", "drawbar_service"
    code = f"import sys, drawbar; print([name for name in {heavy} if name in sys.modules])"
    run = subprocess.run((sys.executable, "-c", code), capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_the_example_script(capsys):
    runpy.run_path(str(ROOT / "sdk/examples/match.py"), run_name="__main__")
    first, second = capsys.readouterr().out.splitlines()
    assert first.startswith("Holds at ")
    assert "ac/h" in first + second
    assert "gal/ac" in second
