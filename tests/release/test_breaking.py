"""A change of the contract that breaks callers is found, and one that does not is let pass."""

import copy

import pytest


@pytest.fixture(scope="module")
def contract(release):
    return release.read_contract(release.CONTRACT)


def schema(document, name):
    return document["components"]["schemas"][name]


def match(document):
    return document["paths"]["/v1/match"]["post"]


def request_form(document, media_type):
    return match(document)["requestBody"]["content"][media_type]


BREAKING = {
    "an operation goes": (lambda d: d["paths"].pop("/v1/match"), "POST /v1/match: removed"),
    "an operation is renamed": (lambda d: match(d).update(operationId="fit"), "operationId 'match' became 'fit'"),
    "a parameter word goes": (
        lambda d: d["components"]["parameters"]["units"]["schema"].update(enum=["metric"]),
        "query parameter 'units': no longer takes 'us'",
    ),
    "a parameter becomes required": (
        lambda d: d["components"]["parameters"]["units"].update(required=True),
        "query parameter 'units': now required",
    ),
    "a parameter is added and required": (
        lambda d: match(d)["parameters"].append({"in": "header", "name": "X", "required": True, "schema": {}}),
        "header parameter 'X': new and required",
    ),
    "a way to write a request goes": (
        lambda d: match(d)["requestBody"]["content"].pop("application/msgpack"),
        "request as application/msgpack: removed",
    ),
    "the good answer goes": (lambda d: match(d)["responses"].pop("200"), "answer 200: removed"),
    "a request field goes": (lambda d: schema(d, "Tractor")["properties"].pop("mass"), "Tractor/mass: removed"),
    "a request field becomes required": (
        lambda d: schema(d, "MatchRequest")["required"].append("speed"),
        "Request/speed: now required",
    ),
    "a range of a request narrows": (
        lambda d: schema(d, "Depth")["x-quantity"].update(maximum=100.0),
        "Depth: maximum of the quantity",
    ),
    "a text may be less long": (
        lambda d: schema(d, "LengthText").update(maxLength=8),
        "as string: maxLength 64 became 8",
    ),
    "a unit goes": (
        lambda d: schema(d, "LengthUnit")["enum"].remove("in"),
        "no longer takes 'in'",
    ),
    "a quantity is no longer read as text": (lambda d: schema(d, "Depth")["anyOf"].pop(0), "no longer taken as string"),
    "an answer field goes": (lambda d: schema(d, "Verdict")["properties"].pop("summary"), "Verdict/summary: removed"),
    "an answer field may be absent": (
        lambda d: schema(d, "Verdict")["required"].remove("fits"),
        "Verdict/fits: may now be absent",
    ),
    "an answer changes its type": (
        lambda d: schema(d, "Verdict")["properties"]["fits"].update(type="string"),
        "Verdict/fits: type boolean became string",
    ),
    "a request field may no longer be null": (
        lambda d: schema(d, "Tractor")["properties"]["tires"]["anyOf"].remove({"type": "null"}),
        "Tractor/tires: no longer taken as null",
    ),
    "a word of a request goes": (
        lambda d: schema(d, "Soil")["properties"]["texture"]["enum"].remove("fine"),
        "Soil/texture: no longer takes 'fine'",
    ),
    "an answer may be null": (
        lambda d: schema(d, "Verdict")["properties"].update(
            fits={"anyOf": [schema(d, "Verdict")["properties"]["fits"], {"type": "null"}]}
        ),
        "Verdict/fits: may now be null",
    ),
}

HARMLESS = {
    "nothing": lambda d: None,
    "an operation comes": lambda d: d["paths"].update({"/v1/new": {"get": {"responses": {}}}}),
    "a description changes": lambda d: schema(d, "Depth").update(description="How deep."),
    "an optional request field comes": lambda d: schema(d, "Tractor")["properties"].update(colour={"type": "string"}),
    "a request field becomes optional": lambda d: schema(d, "Tractor")["required"].remove("mass"),
    "a range of a request widens": lambda d: schema(d, "Depth")["x-quantity"].update(maximum=200.0),
    "a unit comes": lambda d: (
        schema(d, "LengthUnit")["enum"].append("furlong"),
        schema(d, "LengthText").update(pattern="^ *[0-9]+ *furlong$"),
    ),
    "a default goes, and is said in words": lambda d: schema(d, "Tires")["properties"]["count"].pop("x-default"),
    "a request field may be null": lambda d: schema(d, "Tractor")["properties"].update(
        drive={"anyOf": [schema(d, "Tractor")["properties"]["drive"], {"type": "null"}]}
    ),
    "a text of an answer is no closed list": lambda d: schema(d, "LimitName").pop("x-extensible-enum"),
    "an answer field comes": lambda d: schema(d, "Verdict")["properties"].update(why={"type": "string"}),
    "a word of an answer comes": lambda d: schema(d, "LimitName")["x-extensible-enum"].append("mud"),
    "a failure is told more closely": lambda d: match(d)["responses"].update({"409": {"description": "Not now."}}),
}


@pytest.mark.parametrize("name", BREAKING)
def test_what_breaks_callers_is_found(contract, release, name):
    change, said = BREAKING[name]
    changed = copy.deepcopy(contract)
    change(changed)
    found = release.breaks(contract, changed)
    assert found
    assert all(said in line for line in found), found


@pytest.mark.parametrize("name", HARMLESS)
def test_what_breaks_nobody_passes(contract, release, name):
    changed = copy.deepcopy(contract)
    HARMLESS[name](changed)
    assert release.breaks(contract, changed) == []


def test_the_command_says_what_breaks(contract, release, tmp_path, capsys):
    import json

    import breaking

    changed = copy.deepcopy(contract)
    BREAKING["an operation goes"][0](changed)
    (tmp_path / "new.json").write_text(json.dumps(changed))
    assert breaking.main([str(release.CONTRACT), str(tmp_path / "new.json")]) == 1
    assert capsys.readouterr().out == "POST /v1/match: removed\n"
    assert breaking.main([str(release.CONTRACT), str(release.CONTRACT)]) == 0
    assert breaking.main([]) == 2


def test_only_renames_that_are_announced_break_nobody(release):
    old = release.read_contract(release.RELEASED / "0.2.0" / "contract.json")
    new = release.read_contract(release.CONTRACT)
    assert release.breaks(old, new) == []
    for key, said in (("members", "Implement/kind: removed"), ("types", "Labour")):
        silent = copy.deepcopy(new)
        silent["x-renamed"][key] = [one for one in new["x-renamed"][key] if one["old"] not in ("kind", "Labour")]
        assert any(said in line for line in release.breaks(old, silent)), key
    other = copy.deepcopy(new)
    other["components"]["schemas"]["Implement"]["properties"].pop("practice")
    assert "Implement/kind: removed" in str(release.breaks(old, other))


def test_an_old_word_that_is_no_longer_read_is_found(contract, release):
    changed = copy.deepcopy(contract)
    gone = changed["x-renamed"]["rows"].pop(0)
    assert release.breaks(contract, changed) == [f"the old word {gone['old']!r} is no longer read"]
