"""The contract as a document: valid, complete in words, and with examples that are what they say."""

from collections.abc import Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from drawbar_service.api.calculations import CALCULATIONS, SHOWN

Contract = dict[str, Any]


def operations(contract: Contract) -> Iterator[tuple[str, Contract]]:
    for path, item in contract["paths"].items():
        for method, operation in item.items():
            yield f"{method.upper()} {path}", operation


def nodes(value: Any, place: str = "#") -> Iterator[tuple[str, Contract]]:
    """Every object in the document, with its place."""
    if isinstance(value, dict):
        yield place, value
        for key, member in value.items():
            yield from nodes(member, f"{place}/{key}")
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from nodes(item, f"{place}/{index}")


def resolved(contract: Contract, reference: str) -> Any:
    assert reference.startswith("#/")
    node: Any = contract
    for part in reference[2:].split("/"):
        node = node[int(part) if isinstance(node, list) else part]
    return node


def validator(contract: Contract, schema: Contract) -> Draft202012Validator:
    return Draft202012Validator(schema | {"components": contract["components"]})


def test_it_is_a_valid_openapi_3_1_document(contract: Contract) -> None:
    assert contract["openapi"].startswith("3.1.")
    assert [str(error) for error in OpenAPIV31SpecValidator(contract).iter_errors()] == []


def test_every_schema_is_valid_json_schema_2020_12(contract: Contract) -> None:
    for schema in contract["components"]["schemas"].values():
        Draft202012Validator.check_schema(schema)


def test_every_reference_leads_somewhere_and_every_schema_is_used(contract: Contract) -> None:
    used = {node["$ref"] for _, node in nodes(contract) if "$ref" in node}
    for reference in used:
        resolved(contract, reference)
    structs = {name for name, schema in contract["components"]["schemas"].items() if "x-quantity" not in schema}
    assert structs <= {reference.rpartition("/")[2] for reference in used}


def test_every_operation_says_what_it_is(contract: Contract) -> None:
    ids = [operation["operationId"] for _, operation in operations(contract)]
    assert len(ids) == len(set(ids)) >= 12
    tags = {tag["name"] for tag in contract["tags"]}
    for name, operation in operations(contract):
        assert operation["summary"], name
        assert operation["description"].endswith("."), name
        assert set(operation["tags"]) <= tags, name
        assert all(parameter["description"] for parameter in operation.get("parameters", [])), name


def test_every_schema_and_every_property_has_a_description(contract: Contract) -> None:
    silent = []
    for name, schema in contract["components"]["schemas"].items():
        if not schema.get("description"):
            silent.append(name)
        for place, node in nodes(schema, name):
            # A field of an object may itself be called "properties".
            properties = node.get("properties", {}) if node.get("type") == "object" else {}
            if "unit" in properties and "additionalProperties" in node:
                continue  # the object form of a quantity, described as a whole
            silent += [f"{place}/{field}" for field, member in properties.items() if not member.get("description")]
    assert silent == []


def test_requests_take_no_field_they_do_not_know(contract: Contract) -> None:
    schemas = contract["components"]["schemas"]
    waiting = [
        media["schema"]["$ref"]
        for _, operation in operations(contract)
        for media in operation.get("requestBody", {}).get("content", {}).values()
        if media["schema"].get("type") != "string"
    ]
    seen: set[str] = set()
    while waiting:
        reference = waiting.pop()
        if reference in seen:
            continue
        seen.add(reference)
        for place, node in nodes(resolved(contract, reference), reference):
            if "properties" in node:
                assert node.get("additionalProperties") is False, place
            if "$ref" in node:
                waiting.append(node["$ref"])
    assert len(seen) > len(schemas) / 4


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda one: one.name)
def test_every_calculation_has_a_worked_request_and_answer_that_fit_their_schemas(
    contract: Contract, calculation: Any
) -> None:
    operation = contract["paths"][calculation.path]["post"]
    for content in (operation["requestBody"]["content"], operation["responses"]["200"]["content"]):
        assert set(content) == {"application/json", "application/msgpack"}
        for media in content.values():
            examples = [example["value"] for example in media["examples"].values()]
            assert examples
            for example in examples:
                errors = validator(contract, media["schema"]).iter_errors(example)
                assert [f"{error.json_path}: {error.message}" for error in errors] == []


@pytest.mark.parametrize("shown", SHOWN, ids=lambda one: one.name)
def test_what_is_shown_says_as_what_and_has_a_worked_request_and_answer(contract: Contract, shown: Any) -> None:
    operation = contract["paths"][shown.path]["post"]
    content = operation["responses"]["200"]["content"]
    assert set(content) == {"application/json", "application/msgpack", *shown.shown_as}
    for media in shown.shown_as:
        assert content[media]["schema"]["type"] == "string"
    for media in (operation["requestBody"]["content"]["application/json"], content["application/json"]):
        errors = validator(contract, media["schema"]).iter_errors(media["examples"]["worked"]["value"])
        assert [f"{error.json_path}: {error.message}" for error in errors] == []


def test_examples_of_fields_and_quantities_fit_their_schemas(contract: Contract) -> None:
    checked = 0
    for place, node in nodes(contract["components"]["schemas"]):
        if isinstance(node.get("examples"), list):
            schema = {key: value for key, value in node.items() if key != "examples"}
            for example in node["examples"]:
                assert validator(contract, schema).is_valid(example), (place, example)
                checked += 1
    assert checked > 50


def test_every_failure_is_a_problem_document_with_a_request_id(contract: Contract) -> None:
    for name, operation in operations(contract):
        failures = {status: one for status, one in operation["responses"].items() if not status.startswith("2")}
        assert {"406", "500"} <= set(failures), name
        for status, response in failures.items():
            assert list(response["content"]) == ["application/problem+json"], (name, status)
            assert response["content"]["application/problem+json"]["schema"] == {"$ref": "#/components/schemas/Problem"}
            assert response["headers"]["X-Request-ID"]["required"], (name, status)


def test_the_service_serves_this_document(client: Any, contract: Contract) -> None:
    assert client.get("/openapi/drawbar-v1.json").json() == contract


def test_every_link_leads_from_an_answer_to_an_answer(contract: Contract, client: Any) -> None:
    addresses = {operation["operationId"]: name.split() for name, operation in operations(contract)}
    wanted = {
        operation["operationId"]: {one["name"] for one in operation.get("parameters", []) if one["in"] == "path"}
        for _, operation in operations(contract)
    }
    followed = 0
    for name, operation in operations(contract):
        links = operation["responses"]["200"].get("links", {})
        if not links:
            continue
        method, path = name.split()
        content = operation.get("requestBody", {}).get("content", {})
        body = content["application/json"]["examples"]["worked"]["value"] if content else None
        answer = client.request(method, path, json=body).json()
        for link in links.values():
            given = link.get("parameters", {})
            assert set(given) == wanted[link["operationId"]]
            to_method, to_path = addresses[link["operationId"]]
            for parameter, value in given.items():
                in_answer = value.startswith("$response.body")
                found = resolved(answer, value.removeprefix("$response.body")) if in_answer else value
                to_path = to_path.replace(f"{{{parameter}}}", found)
            to_body = body if link.get("requestBody") == "$request.body" else None
            assert client.request(to_method, to_path, json=to_body).status_code == 200, (name, link)
            followed += 1
    assert followed > len(CALCULATIONS)
