"""The documentation page: whole, well-formed, on its own, and true."""

import itertools
import re
import shlex
from html.parser import HTMLParser
from typing import Any

import msgspec
import pytest

from drawbar_service.api.problems import KINDS
from drawbar_service.docs.markup import element, joined, prose
from drawbar_service.quantities import DIMENSIONS
from drawbar_service.reference import SOURCES, TABLES

EMPTY = {"meta", "link", "br"}


class Page(HTMLParser):
    """Ids, links, headings and examples of a page; fails on elements that are not closed in order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.examples: list[tuple[dict[str, str], str]] = []
        self.words: list[str] = []
        self._open: list[str] = []
        self._example: dict[str, str] | None = None
        self.feed(text)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = {name: value or "" for name, value in attrs}
        self.tags.append((tag, attributes))
        if tag not in EMPTY:
            self._open.append(tag)
        if tag == "code" and self._open[-2:-1] == ["pre"]:
            self._example = attributes
            self.examples.append((attributes, ""))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag
        self._example = None

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if self._example is not None:
            attributes, text = self.examples[-1]
            self.examples[-1] = (attributes, text + data)

    def all(self, attribute: str) -> list[str]:
        return [attributes[attribute] for _, attributes in self.tags if attribute in attributes]

    def count(self, tag: str) -> int:
        return sum(name == tag for name, _ in self.tags)


@pytest.fixture(scope="module")
def text(client: Any) -> str:
    response = client.get("/docs")
    assert response.status_code == 200
    assert response.headers["content-type"] == "text/html; charset=utf-8"
    return response.text


@pytest.fixture(scope="module")
def page(text: str) -> Page:
    return Page(text)


def test_the_page_at_the_root_leads_to_it(client: Any) -> None:
    assert 'href="docs"' in client.get("/").text


def test_a_browser_is_told_to_load_nothing_but_the_stylesheet(client: Any) -> None:
    policy = client.get("/docs").headers["content-security-policy"]
    assert dict(part.strip().split(" ", 1) for part in policy.split(";")) == {
        "default-src": "'none'",
        "style-src": "'self'",
        "img-src": "'self'",
        "base-uri": "'none'",
        "form-action": "'none'",
        "frame-ancestors": "'none'",
    }


def test_it_loads_nothing_from_elsewhere_and_runs_nothing(client: Any, page: Page, text: str) -> None:
    loaded = [attributes["href"] for tag, attributes in page.tags if tag == "link"] + page.all("src")
    assert loaded == ["/docs/style.css"]
    assert all(link.startswith(("#", "/")) for link in page.all("href"))
    assert page.count("script") == page.count("iframe") == page.count("style") == 0
    assert not any(name.startswith("on") or name == "style" for _, attributes in page.tags for name in attributes)
    sheet = client.get("/docs/style.css")
    assert sheet.headers["content-type"] == "text/css; charset=utf-8"
    assert "url(" not in sheet.text
    assert "@import" not in sheet.text
    assert text.isprintable() or "\x00" not in text


def test_it_is_one_page_for_people_and_for_what_reads_to_them(page: Page, text: str) -> None:
    assert text.startswith('<!doctype html>\n<html lang="en">')
    assert page.count("h1") == page.count("main") == page.count("nav") == page.count("title") == 1
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch(r"h[1-6]", tag)]
    assert all(later - earlier <= 1 for earlier, later in itertools.pairwise(levels))
    first_link = next(attributes for tag, attributes in page.tags if tag == "a")
    assert first_link == {"class": "skip", "href": "#text"}
    assert page.count("table") == page.count("caption") > 50
    assert all("scope" in attributes for tag, attributes in page.tags if tag == "th")


def test_every_anchor_is_there_once_and_every_link_arrives(client: Any, page: Page) -> None:
    ids = page.all("id")
    assert len(ids) == len(set(ids))
    inside = {link[1:] for link in page.all("href") if link.startswith("#")}
    assert inside - set(ids) == set()
    for path in {link for link in page.all("href") if link.startswith("/")}:
        assert client.get(path).status_code == 200, path


def test_every_operation_object_unit_problem_table_and_source_is_there(page: Page, contract: dict[str, Any]) -> None:
    ids, words = set(page.all("id")), "\n".join(page.words)
    operations = [operation for item in contract["paths"].values() for operation in item.values()]
    assert {operation["operationId"] for operation in operations} <= ids
    assert {kind.name for kind in KINDS.values()} <= ids
    assert {f"unit-{name}" for name in DIMENSIONS} <= ids
    assert {f"table-{name}" for name in TABLES} <= ids
    assert {f"source-{name}" for name in SOURCES.rows} <= ids
    captions = {words.rpartition(": ")[2] for words in page.words}
    for name, schema in contract["components"]["schemas"].items():
        if "properties" in schema and "x-quantity" not in schema:
            assert name in captions, name
            assert all(field in words for field in schema["properties"]), name
    for operation in operations:
        assert operation["summary"] in words


def test_every_example_that_is_sent_is_answered(client: Any, page: Page, contract: dict[str, Any]) -> None:
    sent = [(attributes["data-post"], text) for attributes, text in page.examples if "data-post" in attributes]
    assert {path for path, _ in sent} == {
        path.replace("{calculation}", "field-capacity") for path, item in contract["paths"].items() if "post" in item
    }
    for path, text in sent:
        assert client.post(path, content=text, headers={"Content-Type": "application/json"}).status_code == 200, path


def test_every_worked_answer_is_the_one_in_the_contract(page: Page, contract: dict[str, Any]) -> None:
    shown = [text for attributes, text in page.examples if attributes.get("class") == "json"]
    worked = [
        operation["responses"]["200"]["content"]["application/json"]["examples"]["worked"]["value"]
        for item in contract["paths"].values()
        for operation in item.values()
        if "requestBody" in operation
    ]
    decoded = [msgspec.json.decode(text) for text in shown]
    assert all(answer in decoded for answer in worked)


def test_the_command_can_be_typed_as_it_stands(client: Any, page: Page) -> None:
    (command,) = [text for attributes, text in page.examples if attributes.get("class") == "shell"]
    program, *words = shlex.split(command.replace("\\\n", " "))
    assert (program, words[0], words[2], words[4]) == ("curl", "-s", "-H", "-d")
    path = words[1].removeprefix("http://127.0.0.1:8000")
    name, _, value = words[3].partition(": ")
    response = client.post(path, content=words[5], headers={name: value})
    assert response.status_code == 200
    assert response.json()["verdict"]["fits"]


def test_the_python_runs_as_it_stands(page: Page, capsys: pytest.CaptureFixture[str]) -> None:
    (program,) = [text for attributes, text in page.examples if attributes.get("class") == "python"]
    exec(program, {})
    assert capsys.readouterr().out.startswith("Fits at 8 km/h.")


def test_text_is_escaped_and_markup_is_not() -> None:
    assert element("p", "a < b & c", title='"x"') == '<p title="&quot;x&quot;">a &lt; b &amp; c</p>'
    assert element("p", element("b", "<")) == "<p><b>&lt;</b></p>"
    assert joined(["<", element("br"), "&"], " & ") == "&lt; &amp; <br> &amp; &amp;"
    linked = prose("see `a<b` and `/x`", {"/x": "#y"})
    assert linked == 'see <code>a&lt;b</code> and <a href="#y"><code>/x</code></a>'
