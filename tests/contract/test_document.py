"""The contract as a document: valid, complete in words, and with examples that are what they say."""

import copy
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
        key = part.replace("~1", "/")
        node = node[int(key) if isinstance(node, list) else key]
    return node


def target(reference: str) -> str:
    """The name of the schema that a reference leads to."""
    return reference.removeprefix("#/components/schemas/")


def worked(contract: Contract, media: Contract) -> Any:
    """The worked request or answer of a media type, which may be that of another operation."""
    example = media["examples"]["worked"]
    return (resolved(contract, example["$ref"]) if "$ref" in example else example)["value"]


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
    for part in ("schemas", "responses", "headers", "parameters"):
        assert {f"#/components/{part}/{name}" for name in contract["components"][part]} <= used


def test_every_operation_says_what_it_is(contract: Contract) -> None:
    ids = [operation["operationId"] for _, operation in operations(contract)]
    assert len(ids) == len(set(ids)) >= 12
    tags = {tag["name"] for tag in contract["tags"]}
    for name, operation in operations(contract):
        assert operation["summary"], name
        assert operation["description"].endswith("."), name
        assert set(operation["tags"]) <= tags, name
        for parameter in operation.get("parameters", []):
            assert (resolved(contract, parameter["$ref"]) if "$ref" in parameter else parameter)["description"], name


def test_every_schema_and_every_property_has_a_description(contract: Contract) -> None:
    silent = []
    for name, schema in contract["components"]["schemas"].items():
        if not schema.get("description"):
            silent.append(name)
        for place, node in nodes(schema, name):
            # A field of an object may itself be called "properties".
            properties = node.get("properties", {}) if node.get("type") == "object" else {}
            if {"x-dimension", "x-quantity"} & node.keys() or node.get("type") != "object" or "/not/" in place:
                continue  # the object form of a quantity, described as a whole, or a rule
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
            if "properties" in node and "type" in node and "/not/" not in place:
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
        assert "examples" not in content["application/msgpack"]  # where they would say the same again
        media = content["application/json"]
        errors = validator(contract, media["schema"]).iter_errors(worked(contract, media))
        assert [f"{error.json_path}: {error.message}" for error in errors] == []


@pytest.mark.parametrize("shown", SHOWN, ids=lambda one: one.name)
def test_what_is_shown_says_as_what_and_has_a_worked_request(contract: Contract, shown: Any) -> None:
    operation = contract["paths"][shown.path]["post"]
    content = operation["responses"]["200"]["content"]
    assert set(content) == {"application/json", "application/msgpack", *shown.shown_as}
    for media in shown.shown_as:
        assert content[media]["schema"]["type"] == "string"
    media = operation["requestBody"]["content"]["application/json"]
    errors = validator(contract, media["schema"]).iter_errors(worked(contract, media))
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
        failures = {
            status: one for status, one in operation["responses"].items() if not status.startswith(("2", "304"))
        }
        assert {"406", "500"} <= set(failures), name
        for status, reference in failures.items():
            response = resolved(contract, reference["$ref"])
            assert list(response["content"]) == ["application/problem+json"], (name, status)
            assert response["content"]["application/problem+json"]["schema"] == {"$ref": "#/components/schemas/Problem"}
            header = response["headers"]["X-Request-ID"]["$ref"]
            assert resolved(contract, header)["required"], (name, status)


def test_the_service_serves_this_document(client: Any, contract: Contract) -> None:
    assert client.get("/openapi/drawbar-v1.json").json() == contract
    assert client.get("/openapi.json").json() == contract  # where it is looked for
    moved = client.get("/openapi.json", follow_redirects=False)
    assert (moved.status_code, moved.headers["location"]) == (308, "openapi/drawbar-v1.json")


def test_every_link_leads_from_an_answer_to_an_answer(contract: Contract, client: Any) -> None:
    addresses = {operation["operationId"]: name.split() for name, operation in operations(contract)}
    wanted = {
        operation["operationId"]: {one["name"] for one in operation.get("parameters", []) if one.get("in") == "path"}
        for _, operation in operations(contract)
    }
    followed = 0
    for name, operation in operations(contract):
        links = operation["responses"]["200"].get("links", {})
        if not links:
            continue
        method, path = name.split()
        content = operation.get("requestBody", {}).get("content", {})
        body = worked(contract, content["application/json"]) if content else None
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


def test_every_optional_member_of_a_request_may_be_null_and_has_no_default(contract: Contract) -> None:
    """A `default` would have generators of code require the member."""
    assert all("default" not in node for place, node in nodes(contract["components"]["schemas"]) if "type" in node)
    schemas, waiting, checked = contract["components"]["schemas"], requests_of(contract), set[str]()
    while waiting:
        name = waiting.pop()
        if name in checked or "x-quantity" in schemas[name]:
            continue
        checked.add(name)
        for member, schema in schemas[name].get("properties", {}).items():
            if member not in schemas[name].get("required", []) and "x-dimension" not in schemas[name]:
                assert validator(contract, schema).is_valid(None), (name, member)
        waiting += [target(node["$ref"]) for _, node in nodes(schemas[name]) if "$ref" in node]
    assert len(checked) > 60


def requests_of(contract: Contract) -> list[str]:
    bodies = [operation["requestBody"] for _, operation in operations(contract) if "requestBody" in operation]
    return [body["content"]["application/json"]["schema"]["$ref"].rpartition("/")[2] for body in bodies]


def test_words_have_a_type_and_those_of_an_answer_may_grow(contract: Contract) -> None:
    for place, node in nodes(contract["components"]["schemas"]):
        if isinstance(node.get("enum"), list) and "/not/" not in place:
            assert node["type"] in ("string", "integer"), place
    waiting, seen = ["Problem"], set[str]()
    for _, operation in operations(contract):
        for media in operation["responses"]["200"].get("content", {}).values():
            waiting += [target(node["$ref"]) for _, node in nodes(media["schema"]) if "$ref" in node]
    while waiting:
        name = waiting.pop()
        if name not in seen and not name.endswith("Unit"):  # units are a closed list in an answer, too
            seen.add(name)
            for place, node in nodes(contract["components"]["schemas"][name], name):
                assert not isinstance(node.get("enum"), list), place
                waiting += [target(node["$ref"])] if "$ref" in node else []
    assert len(seen) > 60


def test_open_operations_say_so_and_the_others_take_a_key(contract: Contract) -> None:
    schemes = contract["components"]["securitySchemes"]
    assert all(name in schemes for requirement in contract["security"] for name in requirement)
    for name, operation in operations(contract):
        assert operation.get("security", contract["security"]) == ([] if "/v1/" not in name else contract["security"])


def test_it_is_small(client: Any) -> None:
    assert len(client.get("/openapi/drawbar-v1.json").content) <= 450 * 1024


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda one: one.name)
def test_every_calculation_has_a_batch_that_is_answered(contract: Contract, client: Any, calculation: Any) -> None:
    operation = contract["paths"][calculation.path]["post"]
    scenario = worked(contract, operation["requestBody"]["content"]["application/json"])
    example = {"scenario": scenario, "vary": operation["x-batch-vary"]}
    answer = client.post(f"/v1/batch/{calculation.name}", json=example).json()
    assert (answer["rows"], answer["faults"]) == (3, [])


@pytest.mark.parametrize("calculation", [*CALCULATIONS, *SHOWN], ids=lambda one: one.name)
def test_the_schema_refuses_nothing_that_is_answered(contract: Contract, client: Any, calculation: Any) -> None:
    """Any member of the worked request left out, or null: what the rules of the schema refuse, the service does."""
    media = contract["paths"][calculation.path]["post"]["requestBody"]["content"]["application/json"]
    checked = validator(contract, media["schema"])
    for place in places(worked(contract, media)):
        for change in (left_out, nulled):
            body = copy.deepcopy(worked(contract, media))
            change(body, place)
            if not checked.is_valid(body):
                assert client.post(calculation.path, json=body).status_code == 422, (change.__name__, place)


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(value, dict):
        for key, member in value.items():
            yield (*path, key)
            yield from places(member, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from places(item, (*path, index))


def holder(body: Any, place: tuple[Any, ...]) -> Any:
    for step in place[:-1]:
        body = body[step]
    return body


def left_out(body: Any, place: tuple[Any, ...]) -> None:
    del holder(body, place)[place[-1]]


def nulled(body: Any, place: tuple[Any, ...]) -> None:
    holder(body, place)[place[-1]] = None


REFUSED = {
    "no tires on wheels": ("match", ("tractor", "tires")),
    "no wheelbase on wheels": ("match", ("tractor", "wheelbase")),
    "no depth of a tool whose draft depends on it": ("match", ("implement", "tools", 0, "depth")),
    "no count of a tool that is counted": ("match", ("implement", "tools", 0, "count")),
    "no width of a tool that is measured": ("match", ("implement", "tools", 1, "width")),
    "no power": ("match", ("tractor", "power", "rated_pto")),
    "neither pull nor slip": ("traction", ("pull",)),
    "neither load nor share": ("fuel", ("load",)),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_depends_on_another_member_is_in_the_schema(contract: Contract, client: Any, name: str) -> None:
    calculation, place = REFUSED[name]
    media = contract["paths"][f"/v1/{calculation}"]["post"]["requestBody"]["content"]["application/json"]
    for change in (left_out, nulled):
        body = copy.deepcopy(worked(contract, media))
        change(body, place)
        assert not validator(contract, media["schema"]).is_valid(body)
        assert client.post(f"/v1/{calculation}", json=body).status_code == 422


@pytest.mark.parametrize("calculation", [*CALCULATIONS, *SHOWN], ids=lambda one: one.name)
def test_null_is_the_same_as_left_out(contract: Contract, client: Any, calculation: Any) -> None:
    media = contract["paths"][calculation.path]["post"]["requestBody"]["content"]["application/json"]
    plain = worked(contract, media)
    full = with_nulls(plain, media["schema"], contract["components"]["schemas"])
    assert full != plain
    answer = client.post(calculation.path, json=full)
    assert (answer.status_code, answer.json()) == (200, client.post(calculation.path, json=plain).json())


def with_nulls(value: Any, schema: Contract, schemas: Contract) -> Any:
    """A request in which every member that is not there is null, as generated clients send it."""
    for form in schema.get("anyOf", []):
        if "$ref" in form or form.get("type") == "array":
            schema = form
    if "$ref" in schema:
        schema = schemas[target(schema["$ref"])]
    for form in schema.get("allOf", []):
        return with_nulls(value, form, schemas)
    if isinstance(value, dict) and "properties" in schema and "x-dimension" not in schema:
        members = schema["properties"]
        return {name: with_nulls(value.get(name), members[name], schemas) for name in members}
    if isinstance(value, list):
        return [with_nulls(item, schema.get("items", {}), schemas) for item in value]
    return value


def test_every_path_says_which_methods_it_takes(contract: Contract, client: Any) -> None:
    for path, item in contract["paths"].items():
        address = path.replace("{calculation}", "match").replace("{table}", "draft")
        for said in (client.delete(address), client.options(address)):
            allowed = {method.strip() for method in said.headers["allow"].split(",")}
            assert allowed - {"HEAD", "OPTIONS"} == {method.upper() for method in item}, (path, said.status_code)
