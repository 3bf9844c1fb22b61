"""An old word is read as the new one, in every form a request comes in, and said in the answer."""

import base64
import copy
import io
import json
import re
import tomllib
from pathlib import Path
from typing import Any

import msgspec
import pyarrow as pa
import pyarrow.ipc
import pytest
from tests.names.scenes import MEMBERS, ROWS, Scene, in_old_words

import drawbar
from drawbar import cli, own_tables
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.openapi import document
from drawbar_service.api.renamed import FAREWELL, NAMES, old_words
from drawbar_service.api.v1.batch.request import ARROW, CSV, NDJSON
from drawbar_service.api.wire import JSON, MSGPACK
from drawbar_service.reference import TABLES

SCENES = [
    *(pytest.param(old, scene, False, id=f"{kind}-{old}") for (kind, old), scene in MEMBERS.items()),
    *(pytest.param(old, scene, True, id=f"{table}-{old}") for (table, old), scene in ROWS.items()),
]
HEADERS = ("deprecation", "sunset", "link")


def names_in(reply: Any) -> list[tuple[str, str]]:
    return [
        (one["pointer"], one["detail"].split("'")[1])
        for one in reply.json()["about"]["warnings"]
        if one["code"] == "deprecated-name"
    ]


def without_names(answer: dict[str, Any]) -> dict[str, Any]:
    about = answer["about"]
    kept = [one for one in about["warnings"] if one["code"] != "deprecated-name"]
    return answer | {"about": about | {"warnings": kept}}


def test_every_old_word_has_a_scene() -> None:
    assert set(MEMBERS) == {(kind, one.old) for one in NAMES.members for kind in one.of}
    assert set(ROWS) == {(one.table, one.old) for one in NAMES.rows}


def test_new_words_are_in_the_contract_and_old_ones_in_its_list_only() -> None:
    contract = document()
    schemas = contract["components"]["schemas"]
    for one in NAMES.members:
        for kind in one.of:
            assert one.new in schemas[kind]["properties"]
            assert one.old not in schemas[kind]["properties"]
    for one in NAMES.types:
        assert one.new in schemas
        assert one.old not in schemas
    for one in NAMES.rows:
        assert one.new in TABLES[one.table].rows
        assert one.old not in TABLES[one.table].rows
    said = contract["x-renamed"]
    assert [one["old"] for one in said["members"]] == [one.old for one in NAMES.members]
    assert [one["old"] for one in said["rows"]] == [one.old for one in NAMES.rows]


def test_an_old_member_of_an_answer_stands_beside_the_new_one_and_is_marked(client: Any) -> None:
    schemas = document()["components"]["schemas"]
    marked = {
        (kind, name)
        for kind, schema in schemas.items()
        for name, member in schema.get("properties", {}).items()
        if member.get("deprecated")
    }
    assert marked == {(kind, one.old) for one in NAMES.answers for kind in one.of}
    by_name = {one.name: dict(one.example) for one in CALCULATIONS}
    cost = client.post("/v1/cost", json=by_name["cost"]).json()
    assert cost["labour"] == cost["labor"]
    assert cost["labor"]["per_year"]["value"] > 0.0
    season = client.post("/v1/season", json=by_name["season"]).json()["cost"]
    assert season["for_labour"] == season["for_labor"]
    for one in client.post("/v1/system", json=by_name["system"]).json()["systems"]:
        assert one["totals"]["cost"]["labour"] == one["totals"]["cost"]["labor"]


@pytest.mark.parametrize(("old", "scene", "row"), SCENES)
def test_an_old_word_gives_the_same_answer_and_is_said(client: Any, old: str, scene: Scene, row: bool) -> None:
    body, pointer = in_old_words(scene, old, row=row)
    path = f"/v1/{scene.calculation}"
    new = client.post(path, json=scene.body)
    assert not set(HEADERS) & set(new.headers)
    packed = msgspec.msgpack.encode(body)
    for reply in (
        client.post(path, json=body),
        client.post(path, content=packed, headers={"Content-Type": MSGPACK, "Accept": JSON}),
    ):
        assert reply.status_code == new.status_code
        assert reply.headers["deprecation"] == f"@{FAREWELL.announced.timestamp():.0f}"
        assert reply.headers["sunset"].startswith("Tue, 30 Nov 2027")
        if new.status_code == 200:
            assert names_in(new) == []
            assert names_in(reply) == [(pointer, old)]
            assert without_names(reply.json()) == new.json()
        else:
            assert reply.json()["errors"] == new.json()["errors"]


@pytest.mark.parametrize(("old", "scene"), [(old, scene) for (_, old), scene in MEMBERS.items()])
def test_both_words_given_is_a_fault_unless_one_of_them_is_null(client: Any, old: str, scene: Scene) -> None:
    path = f"/v1/{scene.calculation}"
    body, pointer = in_old_words(scene, old)
    new = scene.pointer.rpartition("/")[2]
    *steps, _ = scene.pointer.split("/")[1:]

    def beside(name: str, value: Any, *, first: bool = False) -> dict[str, Any]:
        whole = copy.deepcopy(body)
        here = whole
        for step in steps:
            here = here[step]
        there = dict(here)
        here.clear()
        here.update({name: value, **there} if first else {**there, name: value})
        return whole

    here: Any = body
    for step in steps:
        here = here[step]
    (fault,) = client.post(path, json=beside(new, here[old])).json()["errors"]
    assert fault["pointer"] == pointer
    assert new in fault["detail"]
    expected = client.post(path, json=scene.body).json()
    for first in (True, False):
        reply = client.post(path, json=beside(new, None, first=first))
        assert without_names(reply.json()) == expected


def test_a_fault_points_to_the_word_that_was_given(client: Any) -> None:
    body = {"width": "6 m", "speed": "9 km/h", "kind": "spade"}
    (fault,) = client.post("/v1/field-capacity", json=body).json()["errors"]
    assert fault["pointer"] == "/kind"
    (fault,) = client.post("/v1/field-capacity", json={**body, "kind": 7}).json()["errors"]
    assert fault["pointer"] == "/kind"


def test_an_old_word_is_read_however_its_letters_are_written(client: Any) -> None:
    body = rb'{"width": "6 m", "speed": "9 km/h", "\u006bind": "tandem-dis\u006b"}'
    reply = client.post("/v1/field-capacity", content=body, headers={"Content-Type": JSON})
    assert names_in(reply) == [("/kind", "kind"), ("/kind", "tandem-disk")]


def test_a_picture_by_address_reads_old_words(client: Any) -> None:
    old, scene = "finish_by", MEMBERS["CompletionRequest", "finish_by"]
    body, pointer = in_old_words(scene, old)
    encoded = base64.urlsafe_b64encode(json.dumps(body).encode()).decode()
    reply = client.get(f"/v1/curves/finish-by-date?request={encoded}", headers={"Accept": JSON})
    assert names_in(reply) == [(pointer, old)]
    assert reply.headers["sunset"]


BATCHED = {"scenario": {"width": "6 m"}, "columns": ["/capacity/effective"]}
PRACTICES = ["tandem-disk", "chisel-plow", "large-round-baler"]
NOW = ["disk-harrow.tandem", "chisel-plow", "baler.large-round"]
SPEEDS = [7.0, 8.0, 9.0]


def as_columns(word: str, practices: list[str]) -> bytes:
    vary = {"/speed": {"unit": "km/h", "values": SPEEDS}, f"/{word}": practices}
    return json.dumps({**BATCHED, "vary": vary}).encode()


def as_packed(word: str, practices: list[str]) -> bytes:
    return msgspec.msgpack.encode(json.loads(as_columns(word, practices)))


def as_lines(word: str, practices: list[str]) -> bytes:
    head = {**BATCHED, "units": {"/speed": "km/h"}}
    rows = [{"/speed": speed, f"/{word}": one} for speed, one in zip(SPEEDS, practices, strict=True)]
    return "\n".join(map(json.dumps, [head, *rows])).encode()


def as_csv(word: str, practices: list[str]) -> bytes:
    rows = [f"{speed},{one}" for speed, one in zip(SPEEDS, practices, strict=True)]
    return "\n".join([f"#{json.dumps(BATCHED)}", f"/speed [km/h],/{word}", *rows]).encode()


def as_arrow(word: str, practices: list[str]) -> bytes:
    coded = pa.array(practices).dictionary_encode()
    fields = [pa.field("/speed", pa.float64(), metadata={"unit": "km/h"}), pa.field(f"/{word}", coded.type)]
    schema = pa.schema(fields, metadata={"drawbar": json.dumps(BATCHED)})
    out = io.BytesIO()
    with pa.ipc.new_stream(out, schema) as writer:
        writer.write_table(pa.table([pa.array(SPEEDS), coded], schema=schema))
    return out.getvalue()


FORMS = {JSON: as_columns, MSGPACK: as_packed, NDJSON: as_lines, CSV: as_csv, ARROW: as_arrow}


@pytest.mark.parametrize("media", FORMS)
def test_a_batch_reads_old_pointers_and_old_rows(client: Any, media: str) -> None:
    def asked(word: str, practices: list[str]) -> Any:
        headers = {"Content-Type": media, "Accept": JSON}
        return client.post("/v1/batch/field-capacity", content=FORMS[media](word, practices), headers=headers)

    new, old = asked("practice", NOW), asked("kind", PRACTICES)
    assert old.json()["columns"] == new.json()["columns"]
    assert not old.json()["faults"]
    assert names_in(new) == []
    assert {word for _, word in names_in(old)} == {"kind", "tandem-disk", "large-round-baler"}
    assert {pointer for pointer, _ in names_in(old)} == {"/vary/~1kind"}
    assert old.headers["sunset"]
    assert not set(HEADERS) & set(new.headers)


def test_a_batch_reads_old_words_of_its_scenario_and_fleets(client: Any) -> None:
    old, scene = "kind", MEMBERS["Implement", "kind"]
    body, _ = in_old_words(scene, old)
    tool = body.pop("implement")
    vary = {"/implement": ["disk", "disk"], "/tractor/centre_of_mass_height": ["1 m", "1.2 m"]}
    ask = {"scenario": {**body, "fleets": {"tools": {"disk": tool}}}, "vary": vary, "columns": ["/at_work/slip"]}
    reply = client.post("/v1/batch/match", json=ask)
    assert names_in(reply) == [
        ("/scenario/fleets/tools/disk/kind", "kind"),
        ("/vary/~1tractor~1centre_of_mass_height", "centre_of_mass_height"),
    ]
    tool["practice"] = tool.pop("kind")
    ask["vary"]["/tractor/center_of_mass_height"] = ask["vary"].pop("/tractor/centre_of_mass_height")
    new = client.post("/v1/batch/match", json=ask)
    assert reply.json()["columns"] == new.json()["columns"]


def test_a_batch_that_varies_by_both_words_is_refused(client: Any) -> None:
    vary = {"/speed": ["8 km/h"], "/kind": ["chisel-plow"], "/practice": ["chisel-plow"]}
    (fault,) = client.post("/v1/batch/field-capacity", json={**BATCHED, "vary": vary}).json()["errors"]
    assert fault["pointer"] == "/vary/~1practice"
    assert "old" in fault["detail"]


def test_later_parts_of_a_batch_are_read_in_old_words_too(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("drawbar_service.batch.as_csv.PART_ROWS", 1)
    reply = client.post(
        "/v1/batch/field-capacity", content=as_csv("kind", PRACTICES), headers={"Content-Type": CSV, "Accept": JSON}
    )
    assert not reply.json()["faults"]


def test_a_body_in_new_words_is_not_looked_through() -> None:
    for one in CALCULATIONS:
        assert (
            not old_words(one.request).may_be_in(json.dumps(dict(one.example)).encode(), True) or one.name == "system"
        )


def test_old_keywords_of_the_client_are_new_ones_with_a_warning() -> None:
    for (kind, old), scene in MEMBERS.items():
        made = getattr(drawbar, kind)
        new = scene.pointer.rpartition("/")[2]
        here: Any = scene.body
        for step in scene.pointer.split("/")[1:-1]:
            here = here[step]
        with pytest.warns(DeprecationWarning, match=new):
            asked = made(**{old if name == new else name: value for name, value in here.items()})
        assert asked == made(**here)
        with pytest.raises(TypeError, match=old):
            made(**here, **{old: here[new]})
    assert drawbar.Labour is drawbar.Labor


def test_the_client_sends_old_words_of_a_dict_and_shows_new_members_only() -> None:
    body, _ = in_old_words(MEMBERS["YearsWork", "labour"], "labour")
    with drawbar.Client.in_process() as client:
        answer = client.cost(body)  # pyright: ignore[reportArgumentType]
    assert [one.code for one in answer.about.warnings if one.code == "deprecated-name"]
    assert answer.labour == answer.labor
    assert "abour" not in str(answer).split("Beware")[0]
    assert "Labor" in str(answer)


def test_a_farm_file_in_old_words_is_read_and_told_so(tmp_path: Any, capsys: Any) -> None:
    text = (Path(__file__).parents[2] / "sdk/examples/farm.toml").read_text("utf-8")
    old = text.replace('practice = "baler.large-rectangular"', 'kind = "large-rectangular-baler"')
    old = old.replace('labor = "25 money/h"', 'labour = "25 money/h"')
    assert old.count("labour") == 1
    answers: list[tuple[int, Any]] = []
    jobs = [name for name, job in tomllib.loads(text)["jobs"].items() if job["implement"] == "baler"]
    for name, content in (("old.toml", old), ("new.toml", text)):
        (tmp_path / name).write_text(content, "utf-8")
        code = cli.main(["match", str(tmp_path / name), "--job", jobs[0], "--json"])
        answers.append((code, json.loads(capsys.readouterr().out)))
    assert answers[0][0] == answers[1][0]
    assert without_names(answers[0][1]) == answers[1][1]
    cli.main(["match", str(tmp_path / "old.toml"), "--job", jobs[0]])
    assert "'kind' is now called 'practice'" in " ".join(capsys.readouterr().out.split())


def test_a_batch_of_files_in_old_words_is_reproduced(tmp_path: Any, capsys: Any) -> None:
    (tmp_path / "rows.csv").write_text("/speed [km/h],/kind\n7,tandem-disk\n8,chisel-plow\n")
    (tmp_path / "new.csv").write_text("/speed [km/h],/practice\n7,disk-harrow.tandem\n8,chisel-plow\n")
    (tmp_path / "scenario.json").write_text(json.dumps({"width": "6 m"}))
    found: list[list[str]] = []
    for name in ("rows", "new"):
        folder = tmp_path / name
        asked = ["batch", str(tmp_path / f"{name}.csv"), "--calculation", "field-capacity", "-o", str(folder)]
        assert cli.main([*asked, "--scenario", str(tmp_path / "scenario.json"), "--format", "csv"]) == 0
        found.append([line for part in sorted(folder.glob("part-*")) for line in part.read_text().splitlines()])
    assert found[0][1:] == found[1][1:]
    capsys.readouterr()
    assert cli.main(["reproduce", str(tmp_path / "rows")]) == 0


def test_a_copy_of_a_table_with_old_ids_is_compared_by_the_new_ones(tmp_path: Any) -> None:
    with drawbar.Client.in_process() as client:
        table = client.reference_table("practice")
    text = own_tables.written(table)
    (tmp_path / "practice.csv").write_text(text.replace("disk-harrow.tandem,", "tandem-disk,"))
    assert own_tables.differences(table, tmp_path / "practice.csv") == []


def test_the_changelog_announces_every_old_word() -> None:
    text = (Path(__file__).parents[2] / "CHANGELOG.md").read_text("utf-8")
    told = "".join(re.findall(r"^### Deprecated\n(.*?)^##", text, re.M | re.S))
    for one in (*NAMES.members, *NAMES.answers, *NAMES.types, *NAMES.rows):
        assert f"`{one.old}`" in told or f"`drawbar.{one.old}`" in told, one.old
        assert f"`{one.new}`" in told or f"`drawbar.{one.new}`" in told, one.new
