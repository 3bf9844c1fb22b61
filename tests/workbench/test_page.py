"""The page and its parts as they are served, without a browser."""

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from litestar.testing import TestClient

from drawbar_service.api.openapi import document
from drawbar_service.app import create_app
from drawbar_service.quantities import OilPressure, Quantity
from drawbar_service.settings import Settings
from drawbar_service.sheet.page import style_hash
from drawbar_service.workbench.controls import GROUPS
from drawbar_service.workbench.page import every_control, farm

FARM = tomllib.loads((Path(__file__).parents[2] / "sdk" / "examples" / "farm.toml").read_text("utf-8"))


@pytest.fixture(scope="module")
def client() -> Iterator[Any]:
    with TestClient(create_app(Settings())) as client:
        yield client


@pytest.fixture(scope="module")
def components() -> Any:
    return document()["components"]["schemas"]


def lists_of(text: str) -> Any:
    found = re.search(r'<script type="application/json" id="lists">(.*?)</script>', text, re.DOTALL)
    assert found is not None
    return json.loads(found[1])


def test_it_may_run_its_own_scripts_and_ask_its_own_service_only(client: Any) -> None:
    policy = client.get("/").headers["content-security-policy"]
    assert dict(part.strip().split(" ", 1) for part in policy.split(";")) == {
        "default-src": "'none'",
        "script-src": "'self'",
        # What the page opens is held to its policy, and a field sheet has its style within.
        "style-src": f"'self' '{style_hash()}'",
        "img-src": "'self' blob:",
        "connect-src": "'self'",
        "manifest-src": "'self'",
        "base-uri": "'none'",
        "form-action": "'none'",
        "frame-ancestors": "'none'",
    }


def test_the_page_is_asked_for_again_and_its_parts_are_kept(client: Any) -> None:
    page = client.get("/")
    assert page.headers["cache-control"] == "no-cache"
    again = client.get("/", headers={"If-None-Match": f'"other", W/{page.headers["etag"]}'})
    assert (again.status_code, again.content) == (304, b"")
    parts = re.findall(r'(?:href|src)="(workbench/[^"]+)"', page.text)
    assert {part.rpartition(".")[2] for part in parts} == {"css", "js", "svg", "webmanifest"}
    for part in parts:
        found = client.get(f"/{part}")
        assert found.headers["cache-control"] == "public, max-age=31536000, immutable"
        assert client.get(f"/{part}", headers={"If-None-Match": found.headers["etag"]}).status_code == 304


def test_what_keeps_the_page_offline_belongs_to_its_edition(client: Any) -> None:
    text = client.get("/").text
    edition = re.search(r"workbench/([0-9a-f]+)/", text)
    assert edition is not None
    worker = client.get("/sw.js")
    assert worker.headers["cache-control"] == "no-cache"
    assert f'const EDITION = "{edition[1]}"' in worker.text
    kept = re.search(r"const PARTS = (\[.*\]);", worker.text)
    assert kept is not None
    parts = json.loads(kept[1])
    assert set(re.findall(r'(?:href|src)="(workbench/[^"]+)"', text)) <= set(parts)
    assert f"workbench/{edition[1]}/toml.js" in parts
    for part in parts:
        assert client.get(f"/{part}").status_code == 200
    manifest = client.get(f"/workbench/{edition[1]}/manifest.webmanifest")
    assert manifest.headers["content-type"].startswith("application/manifest+json")
    assert manifest.json()["start_url"] == "../../"


@pytest.mark.parametrize("path", ["/workbench/0000/main.js", "/workbench/{}/farm.toml", "/workbench/{}/..%2Fpage.py"])
def test_nothing_else_is_served(client: Any, path: str) -> None:
    edition = re.search(r"workbench/([0-9a-f]+)/", client.get("/").text)
    assert edition is not None
    assert client.get(path.format(edition[1])).status_code == 404


def test_nothing_is_written_into_the_page_that_the_policy_forbids(client: Any) -> None:
    text = client.get("/").text
    assert "{{" not in text
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=", text)
    assert all("src=" in tag or "application/json" in tag for tag in re.findall(r"<script[^>]*>", text))


def test_the_farm_is_the_one_of_the_sdk() -> None:
    ours = farm()
    for kind in ("tractors", "implements", "fields"):
        assert ours[kind].keys() == FARM[kind].keys()
        for name, machine in ours[kind].items():
            assert machine == {key: FARM[kind][name][key] for key in machine}, name
            left_out = FARM[kind][name].keys() - machine.keys()
            assert left_out <= {"workday"}, name


@pytest.mark.parametrize("name", [control.name for control in every_control()])
def test_every_control_goes_somewhere_in_a_request_as_what_it_is(name: str, components: Any) -> None:
    (control,) = [one for one in every_control() if one.name == name]
    calculation, _, pointer = name.partition("/")
    if calculation == "page":
        return
    request = "".join(word.capitalize() for word in calculation.split("-"))
    schema: Any = {"$ref": f"#/components/schemas/{request}Request"}
    for key in pointer.split("/"):
        schema = _plain(schema, components)
        schema = schema["items"] if key.isdecimal() or key == "N" else schema["properties"][key]
    schema = _plain(schema, components)
    if control.form == "gears":  # one control for all of them, its unit that of their speeds
        schema = _plain(_plain(schema["items"], components)["properties"]["speed"], components)
    if control.kind is not None:
        assert issubclass(control.kind, Quantity)
        assert schema["x-quantity"]["dimension"] == control.kind.dimension.name
        # Oil pressure is read in bar on every gauge, whatever the request shows.
        assert schema["x-quantity"]["metric"] == control.kind.metric or control.kind is OilPressure
    if "enum" in schema:
        assert {str(word) for word in schema["enum"]} == {value for value, _ in control.choices}


def _plain(schema: Any, components: Any) -> Any:
    """Follow references to where a schema is told, passing over that its value may be null."""
    while "x-quantity" not in schema and "properties" not in schema and {"$ref", "anyOf", "allOf"} & schema.keys():
        if "$ref" in schema:
            schema = components[schema["$ref"].rpartition("/")[2]]
        elif "allOf" in schema:  # a request that is another one, with words of its own
            (schema,) = schema["allOf"]
        else:
            schema = next(form for form in schema["anyOf"] if form != {"type": "null"})
    return schema


def test_the_lists_are_those_of_the_tables(client: Any) -> None:
    lists = lists_of(client.get("/").text)
    tools = client.get("/v1/reference/draft").json()["rows"]
    assert lists["tools"].keys() == {row["id"] for row in tools}
    for row in tools:
        tool = lists["tools"][row["id"]]
        assert (tool["by"], tool["depth"], tool["words"]) == (row["counted_in"], row["depth_counts"], row["implement"])
    assert lists["tools"]["subsoiler.narrow-point"]["called"] == ["shank", "shanks"]
    assert lists["tools"]["knife-applicator"]["called"] == ["knife", "knives"]
    assert lists["tools"]["grain-drill.wide"]["called"] == ["row", "rows"]
    assert lists["units"]["length"]["in"] == pytest.approx(0.0254)
    assert set(lists["farms"]["metric"]["presets"]["tractor"]) == {"wren", "heron", "elk"}


def test_each_system_of_units_has_a_farm_that_is_round_in_it(client: Any) -> None:
    farms = lists_of(client.get("/").text)["farms"]
    for kind in ("tractor", "implement", "field"):
        metric, us = (farms[units]["presets"][kind] for units in ("metric", "us"))
        # From one to the other by place: none may be missing, and a link finds its farm by their names.
        assert len(metric) == len(us)
        assert not metric.keys() & us.keys()
    us = farm("us")
    assert {tractor["power"]["engine"] for tractor in us["tractors"].values()} == {"120 hp", "200 hp", "400 hp"}
    texts = [
        text for presets in farms["us"]["presets"].values() for values in presets.values() for text in values.values()
    ]
    assert not [text for text in texts if re.search(r"\d (?:cm|m|kg|t|ha|kW|kN|km/h)\b", text)]


@pytest.mark.parametrize("units", ["metric", "us"])
def test_each_example_farm_starts_with_a_job_that_holds(client: Any, units: str) -> None:
    given = farm(units)
    field = dict(given["fields"][given["start"]["field"]])
    body = {
        "tractor": given["tractors"][given["start"]["tractor"]],
        "implement": given["implements"][given["start"]["implement"]],
        "soil": field.pop("soil"),
        "field": field,
        "speed": given["match"]["speed"],
        "odds": {"samples": 4096},
    }
    assert client.post("/v1/match", json=body).json()["verdict"]["word"] == "holds"


def test_builds_are_made_of_ground_tools_of_the_table(client: Any) -> None:
    lists = lists_of(client.get("/").text)
    for build in lists["builds"]["implement"]:
        for place, row in enumerate(build["tools"]):
            tool = lists["tools"][row["tool"]]
            assert ("spacing" in row) == (tool["by"] != "m"), build["words"]
            assert ("depth" in row) == tool["depth"], build["words"]
            for part in {"spacing", "depth"} & row.keys():
                assert row[part].keys() == {"metric", "us"}, (build["words"], place)
    drives = {control.name: control for control in GROUPS["tractor"]}["match/tractor/drive"].choices
    assert {build["drive"] for build in lists["builds"]["tractor"]} == {value for value, _ in drives}


def test_the_reader_of_farm_files_comes_with_its_licence(client: Any) -> None:
    text = client.get("/").text
    edition = re.search(r"workbench/([0-9a-f]+)/", text)
    assert edition is not None
    assert "toml.js" not in text
    script = client.get(f"/workbench/{edition[1]}/toml.js").text
    assert "Redistributions in binary form must reproduce the above copyright" in script


def test_links_with_old_names_lead_to_controls_of_today(client: Any) -> None:
    found = lists_of(client.get("/").text)["renamed"]
    controls = {control.name for control in every_control()}
    assert found["names"]["completion/finish_by"] == "completion/end"
    assert set(found["names"].values()) <= controls
    assert not set(found["names"]) & controls
    assert found["practices"]["tandem-disk"] == "disk-harrow.tandem"
