"""A worked answer whose numbers are others is found, unless the model version says that they may be."""

import copy

import pytest


@pytest.fixture(scope="module")
def moved(release):
    return release.moved


@pytest.fixture(scope="module")
def contract(release):
    return release.read_contract(release.CONTRACT)


@pytest.fixture
def changed(contract):
    return copy.deepcopy(contract)


def answer(document):
    return document["paths"]["/v1/draft"]["post"]["responses"]["200"]["content"]["application/json"]["examples"][
        "worked"
    ]["value"]


def test_the_contract_has_not_moved_from_itself(moved, contract, changed):
    assert moved(contract, changed) == []


def test_a_number_that_moves_is_found_with_its_place(moved, contract, changed):
    draft = answer(changed)["draft"]["total"]
    draft["value"] *= 1.001
    (line,) = moved(contract, changed)
    assert line == f"POST /v1/draft: /draft/total/value: {draft['value'] / 1.001:g} became {draft['value']:g}"


def test_rounding_is_no_move(moved, contract, changed):
    answer(changed)["draft"]["total"]["value"] *= 1.0 + 2e-6
    assert moved(contract, changed) == []


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda a: a["draft"]["total"].update(low=None), "POST /v1/draft: /draft/total/low: "),
        (lambda a: a["draft"]["tools"].pop(), "POST /v1/draft: /draft/tools: "),
    ],
)
def test_what_goes_missing_inside_an_answer_is_found(moved, contract, changed, change, said):
    change(answer(changed))
    assert any(line.startswith(said) for line in moved(contract, changed))


def test_another_model_version_or_request_is_let_pass(release, moved, contract, changed):
    answer(changed)["draft"]["total"]["value"] *= 2.0
    operation = changed["paths"]["/v1/draft"]["post"]
    asked = operation["requestBody"]["content"]["application/json"]["examples"]["worked"]
    asked["value"] = {**asked["value"], "speed": "1 km/h"}
    assert moved(contract, changed) == []

    raised = copy.deepcopy(contract)
    answer(raised)["draft"]["total"]["value"] *= 2.0
    match = raised["paths"]["/v1/match"]["post"]["responses"]["200"]["content"]["application/json"]
    match["examples"]["worked"]["value"]["about"]["model"] = "next"
    assert release.model(raised) == "next"
    assert moved(contract, raised) == []


def test_a_request_in_old_words_is_the_same_request(moved, contract, changed):
    older = copy.deepcopy(contract)
    asked = older["paths"]["/v1/completion"]["post"]["requestBody"]["content"]["application/json"]
    body = asked["examples"]["worked"]["value"]
    body["finish_by"] = body.pop("end")
    members = older["components"]["schemas"]["CompletionRequest"]["properties"]
    members["finish_by"] = members.pop("end")
    given = changed["paths"]["/v1/completion"]["post"]["responses"]["200"]["content"]["application/json"]
    given["examples"]["worked"]["value"]["days_needed"] *= 2.0
    (line,) = moved(older, changed)
    assert line.startswith("POST /v1/completion: /days_needed")
    changed["x-renamed"]["members"] = []
    assert moved(older, changed) == []
