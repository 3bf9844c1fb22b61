"""The documentation: whole, well-formed, on its own, and true."""

import itertools
import re
import shlex
import tomllib
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, get_args

import msgspec
import pytest

from drawbar.cli import main
from drawbar_service import __version__
from drawbar_service.api.answers import MODEL_VERSION
from drawbar_service.api.problems import KINDS
from drawbar_service.api.v1.methods.answer import USES
from drawbar_service.api.words import WarningCode
from drawbar_service.docs.markup import element, joined, prose
from drawbar_service.docs.problems import catalogue
from drawbar_service.docs.site import PATHS, site
from drawbar_service.quantities import DIMENSIONS
from drawbar_service.reference import DEFAULTS, SOURCES, TABLES
from drawbar_service.reference.methods import METHODS

EMPTY = {"meta", "link", "br", "input"}
ROOT = Path(__file__).parents[2]
NUMBER = re.compile(r"\d+\.\d{4,}")


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
def texts(client: Any) -> dict[str, str]:
    found = {}
    for path in PATHS:
        response = client.get(path)
        assert response.status_code == 200, path
        assert response.headers["content-type"] == "text/html; charset=utf-8"
        found[path] = response.text
    return found


@pytest.fixture(scope="module")
def pages(texts: dict[str, str]) -> dict[str, Page]:
    return {path: Page(text) for path, text in texts.items()}


def examples(pages: dict[str, Page]) -> Iterator[tuple[str, dict[str, str], str, str | None]]:
    """Every example with its page, and what it is said to print, if that is shown."""
    for path, page in pages.items():
        for (attributes, text), (after, shown) in itertools.pairwise([*page.examples, ({}, "")]):
            yield path, attributes, text, shown if after.get("class") == "output" else None


def of_kind(pages: dict[str, Page], kind: str) -> list[tuple[str, dict[str, str], str, str | None]]:
    return [one for one in examples(pages) if one[1].get("class") == kind]


def rounded(text: str) -> str:
    """Without the last digits of long numbers, in which processors differ."""
    return NUMBER.sub(lambda match: f"{float(match[0]):.6g}", text.replace("\r\n", "\n").strip())


def test_the_page_at_the_root_leads_to_it(client: Any) -> None:
    assert 'href="docs"' in client.get("/").text


def test_these_are_all_the_pages(client: Any) -> None:
    assert set(PATHS) == set(site())
    assert client.get("/docs/nothing").status_code == 404
    assert client.get("/docs/methods/nothing").status_code == 404


def test_a_browser_is_told_to_load_nothing_from_elsewhere(client: Any) -> None:
    for path in PATHS:
        policy = client.head(path).headers["content-security-policy"]
        assert dict(part.strip().split(" ", 1) for part in policy.split(";")) == {
            "default-src": "'none'",
            "script-src": "'self'",
            "style-src": "'self'",
            "img-src": "'self'",
            "connect-src": "'self'",
            "base-uri": "'none'",
            "form-action": "'none'",
            "frame-ancestors": "'none'",
        }


def test_it_loads_its_stylesheet_and_its_script_and_nothing_else(client: Any, pages: dict[str, Page]) -> None:
    for page in pages.values():
        loaded = [attributes["href"] for tag, attributes in page.tags if tag == "link"] + page.all("src")
        assert loaded == ["/docs/style.css", "/docs/docs.js"]
        assert all(link.startswith(("#", "/")) for link in page.all("href"))
        assert page.count("script") == 1
        assert page.count("iframe") == page.count("style") == 0
        assert not any(name.startswith("on") or name == "style" for _, attributes in page.tags for name in attributes)
    sheet, script = (client.get(f"/docs/{name}") for name in ("style.css", "docs.js"))
    assert sheet.headers["content-type"] == "text/css; charset=utf-8"
    assert script.headers["content-type"].startswith("text/javascript")
    assert "url(" not in sheet.text
    assert "@import" not in sheet.text
    assert not re.search(r"https?://", script.text)
    assert len(script.content) < 8_000


def test_the_page_and_the_documentation_have_their_colours_and_type_in_one_file(client: Any) -> None:
    tokens = (ROOT / "service/src/drawbar_service/look/tokens.css").read_text("utf-8")
    own = client.get("/docs/style.css").text.removeprefix(tokens)
    assert own != client.get("/docs/style.css").text
    assert not re.search(r"#[0-9a-f]{3,8}\b|rgb|hsl|--[a-z-]+:", own)
    used = set(re.findall(r"var\((--[a-z-]+)", own))
    assert len(used) > 8
    assert used <= set(re.findall(r"(--[a-z-]+):", tokens))


def test_the_version_is_on_every_page(texts: dict[str, str]) -> None:
    for text in texts.values():
        assert f'<span class="version">{__version__}, model {MODEL_VERSION}</span>' in text


QUESTIONS = {
    "tongue_load": "/docs/reference/parts-of-requests#HitchedMachine",
    "slip tractive efficiency": "/docs/methods/traction",
    "cors": "/docs/dashboards",
    "beta-binomial": "/docs/methods/completion",
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_the_index_has_what_people_look_for(client: Any, question: str) -> None:
    index = client.get("/docs/search.json").json()
    found: set[int] | None = None
    for word in re.findall("[a-z_]+", question):
        here = set(itertools.accumulate(index["words"][word]))
        found = here if found is None else found & here
    addresses = {
        f"{index['pages'][page][0]}#{anchor}".rstrip("#")
        for page, anchor, _ in (index["places"][at] for at in found or ())
    }
    assert any(address.startswith(QUESTIONS[question]) for address in addresses), addresses


def test_the_index_is_small_and_leads_to_what_is_there(client: Any, pages: dict[str, Page]) -> None:
    answer = client.get("/docs/search.json")
    assert int(answer.headers["content-length"]) < 60_000
    index = answer.json()
    assert {path for path, _ in index["pages"]} == set(pages)
    ids = {path: set(page.all("id")) for path, page in pages.items()}
    for page, anchor, title in index["places"]:
        assert title
        assert not anchor or anchor in ids[index["pages"][page][0]]


def test_each_is_a_page_for_people_and_for_what_reads_to_them(texts: dict[str, str], pages: dict[str, Page]) -> None:
    titles = set()
    for path, page in pages.items():
        assert texts[path].startswith('<!doctype html>\n<html lang="en">')
        assert page.count("h1") == page.count("main") == page.count("title") == 1
        levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch(r"h[1-6]", tag)]
        assert all(later - earlier <= 1 for earlier, later in itertools.pairwise(levels)), path
        first_link = next(attributes for tag, attributes in page.tags if tag == "a")
        assert first_link == {"class": "skip", "href": "#text"}
        assert page.count("table") == page.count("caption")
        assert all("scope" in attributes for tag, attributes in page.tags if tag == "th")
        assert page.all("aria-current") == ["page"], path
        titles.add(page.words[page.words.index(next(word for word in page.words if word.endswith(" - drawbar")))])
    assert len(titles) == len(PATHS)


def test_every_anchor_is_there_once_and_every_link_arrives(client: Any, pages: dict[str, Page]) -> None:
    ids = {path: page.all("id") for path, page in pages.items()}
    for path, page in pages.items():
        assert len(ids[path]) == len(set(ids[path])), path
        for link in page.all("href"):
            target, _, anchor = link.partition("#")
            if target.startswith("/docs") and target != "/docs/style.css":
                assert target in pages, (path, link)
            elif target:
                assert client.get(target).status_code == 200, (path, link)
            if anchor:
                assert anchor in ids[target or path], (path, link)


def test_no_anchor_is_on_two_pages(pages: dict[str, Page]) -> None:
    """Links lead to an anchor without saying on which page it is."""
    everywhere = [anchor for page in pages.values() for anchor in page.all("id") if anchor != "text"]
    assert len(everywhere) == len(set(everywhere))


def test_every_page_is_within_reach(pages: dict[str, Page]) -> None:
    linked = {link.partition("#")[0] for page in pages.values() for link in page.all("href")}
    assert set(PATHS) <= linked


def test_every_operation_object_unit_table_and_source_is_there(
    pages: dict[str, Page], contract: dict[str, Any]
) -> None:
    ids = {anchor for page in pages.values() for anchor in page.all("id")}
    reference = [page for path, page in pages.items() if path.startswith("/docs/reference")]
    words = "\n".join(word for page in reference for word in page.words)
    operations = [operation for item in contract["paths"].values() for operation in item.values()]
    assert {operation["operationId"] for operation in operations} <= ids
    assert {f"unit-{name}" for name in DIMENSIONS} <= ids
    assert {f"table-{name}" for name in TABLES} <= ids
    assert {f"source-{name}" for name in SOURCES.rows} <= ids
    captions = {word.rpartition(": ")[2] for page in reference for word in page.words}
    for name, schema in contract["components"]["schemas"].items():
        if "properties" in schema and "x-quantity" not in schema and "x-dimension" not in schema:
            assert name in captions, name
            assert all(field in words for field in schema["properties"]), name
    for operation in operations:
        assert operation["summary"] in words


def test_every_source_says_what_rests_on_it(pages: dict[str, Page]) -> None:
    told = "\n".join(pages["/docs/sources"].words)
    for one in SOURCES.rows.values():
        assert one.title in told
    for table in TABLES.values():
        assert table.title in told, table.id


@pytest.mark.parametrize("name", USES)
def test_every_calculation_has_a_sheet_with_its_equations(pages: dict[str, Page], name: str) -> None:
    page = pages[f"/docs/methods/{name}"]
    told = "\n".join(page.words)
    equations = [equation for used in USES[name] for equation in METHODS[used]]
    assert page.all("aria-label").count("Documentation") == 1
    assert page.count("math") >= len(equations)
    for equation in METHODS.get(name, ()):
        assert f"equation-{equation.id}" in page.all("id")
        assert equation.plain in told
        assert equation.source in told
        for symbol in equation.symbols.values():
            assert symbol.means in told
        for misfit in equation.misfits:
            assert misfit.partition("`")[0] in told


def test_every_symbol_is_in_its_equation_as_it_is_typeset() -> None:
    def bare(latex: str) -> str:
        return re.sub(r"[\s{}]|\\[,;!]", "", latex)

    for equations in METHODS.values():
        for equation in equations:
            # A letter is there only if it stands outside the names of commands: b is not in \\beta.
            words = re.sub(r"\\(?:begin|end)\{[a-z]+\}|\\text\{[^}]*\}", " ", equation.latex)
            letters = bare(re.sub(r"\\[A-Za-z]+", " ", words))
            for written, symbol in equation.symbols.items():
                latex = symbol.typeset(written)
                where = bare(equation.latex) if latex.startswith("\\") else letters
                assert bare(latex) in where, (equation.id, written)


def test_every_problem_warning_and_default_is_explained(pages: dict[str, Page]) -> None:
    page = pages["/docs/problems"]
    assert {kind.name for kind in KINDS.values()} <= set(catalogue().problems)
    assert set(catalogue().warnings) == set(get_args(WarningCode))
    assert list(catalogue().assumptions) == list(DEFAULTS.rows)
    ids = set(page.all("id"))
    assert {kind.name for kind in KINDS.values()} <= ids
    assert {f"warning-{code}" for code in get_args(WarningCode)} <= ids
    assert {f"assumption-{name}" for name in DEFAULTS.rows} <= ids


def test_the_type_of_a_problem_leads_to_its_explanation(client: Any, pages: dict[str, Page]) -> None:
    path, _, anchor = client.get("/v1/nothing").json()["type"].partition("#")
    assert anchor in pages[path].all("id")


def test_every_example_that_is_sent_is_answered(client: Any, pages: dict[str, Page], contract: dict[str, Any]) -> None:
    sent = [(one[1]["data-post"], one[2]) for one in examples(pages) if "data-post" in one[1]]
    assert {path for path, _ in sent} == {
        path.replace("{calculation}", "field-capacity") for path, item in contract["paths"].items() if "post" in item
    }
    for path, text in sent:
        assert client.post(path, content=text, headers={"Content-Type": "application/json"}).status_code == 200, path


def test_every_worked_answer_is_the_one_in_the_contract(pages: dict[str, Page], contract: dict[str, Any]) -> None:
    worked = [
        operation["responses"]["200"]["content"]["application/json"]["examples"]["worked"]["value"]
        for item in contract["paths"].values()
        for operation in item.values()
        if "requestBody" in operation and "pictures" not in operation["tags"]
    ]
    assert len(worked) > 16
    decoded = [msgspec.json.decode(text) for _, _, text, _ in of_kind(pages, "json")]
    assert all(answer in decoded for answer in worked)


def sent_by(command: str, client: Any) -> Any:
    """Do what a curl command would do."""
    program, *words = shlex.split(command.replace("\\\n", " "))
    assert program == "curl"
    headers, body, method, address = {}, None, "GET", ""
    for word in (given := iter(words)):
        if word == "-H":
            name, _, value = next(given).partition(": ")
            headers[name] = value
        elif word in ("-d", "--data-binary"):
            body, method = next(given), "POST"
        elif word == "-X":
            method = next(given)
        elif word != "-s":
            address = word
    assert address.startswith("http://127.0.0.1:8000/"), command
    return client.request(method, address.removeprefix("http://127.0.0.1:8000"), content=body, headers=headers)


def test_commands_for_the_network_can_be_typed_as_they_stand(client: Any, pages: dict[str, Page]) -> None:
    kinds: set[str] = set()
    for path, attributes, command, shown in of_kind(pages, "shell"):
        response = sent_by(command, client)
        if "data-problem" in attributes:
            kinds.add(attributes["data-problem"])
            assert response.json()["type"] == f"/docs/problems#{attributes['data-problem']}", command
            assert shown is None or response.json() == msgspec.json.decode(shown), command
            continue
        assert response.status_code == 200, (path, command, response.text)
        if "data-warning" in attributes:
            codes = [warning["code"] for warning in response.json()["about"]["warnings"]]
            assert attributes["data-warning"] in codes, command
        if shown is not None:
            assert rounded(response.text) == rounded(shown)
    # The others are of a service that is out of breath or guarded, which no single request makes it.
    assert kinds == {
        "unreadable",
        "not-found",
        "wrong-method",
        "not-acceptable",
        "wrong-media-type",
        "impossible-input",
    }


def test_the_python_runs_as_it_stands(pages: dict[str, Page], capsys: pytest.CaptureFixture[str]) -> None:
    found = of_kind(pages, "python")
    assert len(found) >= 3
    for path, _, program, shown in found:
        exec(compile(program, path, "exec"), {})
        assert shown is not None
        assert rounded(capsys.readouterr().out) == rounded(shown)


def test_the_typescript_is_that_which_the_long_tests_compile(pages: dict[str, Page]) -> None:
    tried = ROOT / "tests/long/generators"
    blocks = [text for _, text in pages["/docs/start"].examples]
    steps = next(text for text in blocks if text.startswith("npm install"))
    recipe = (ROOT / "deploy/CLIENTS.md").read_text("utf-8")
    assert "".join(f"    {line}\n" for line in steps.splitlines()) in recipe
    sample = (tried / "match.ts").read_text("utf-8")
    assert sample in blocks
    assert f"```ts\n{sample}```" in recipe
    versions = msgspec.json.decode((tried / "package.json").read_bytes())["dependencies"]
    asked = dict(word.split("@") for word in steps.splitlines()[0].split()[2:])
    assert set(asked) == {"openapi-typescript", "openapi-fetch", "typescript"}
    assert all(versions[name].startswith(f"{version}.") for name, version in asked.items())


def test_files_and_commands_of_the_command_line_work_together(
    pages: dict[str, Page], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for _, attributes, text, _ in (*of_kind(pages, "toml"), *of_kind(pages, "csv")):
        assert attributes["class"] == "csv" or tomllib.loads(text)
        (tmp_path / attributes["data-file"]).write_text(text, "utf-8")
    commands = of_kind(pages, "command")
    assert commands
    for path, _, lines, _ in commands:
        for line in lines.splitlines():
            program, *words = shlex.split(line)
            assert program == "drawbar"
            assert main(words) == 0, (path, line)
            assert capsys.readouterr().out


def test_every_kind_of_example_is_one_that_is_run(pages: dict[str, Page]) -> None:
    kinds = {attributes.get("class") for _, attributes, _, _ in examples(pages)}
    assert kinds == {"python", "shell", "command", "toml", "csv", "json", "lines", "output"}


def test_files_that_the_pages_name_are_there(texts: dict[str, str]) -> None:
    named = {path for text in texts.values() for path in re.findall(r"<code>((?:sdk|tests)/[\w./-]+)</code>", text)}
    assert len(named) > 3
    assert all((ROOT / path).is_file() for path in named), named


def test_text_is_escaped_and_markup_is_not() -> None:
    assert element("p", "a < b & c", title='"x"') == '<p title="&quot;x&quot;">a &lt; b &amp; c</p>'
    assert element("p", element("b", "<")) == "<p><b>&lt;</b></p>"
    assert joined(["<", element("br"), "&"], " & ") == "&lt; &amp; <br> &amp; &amp;"
    linked = prose("see `a<b` and `/x`", {"/x": "#y"})
    assert linked == 'see <code>a&lt;b</code> and <a href="#y"><code>/x</code></a>'


def test_what_language_models_read_leads_to_what_is_there(client: Any, contract: dict[str, Any]) -> None:
    page = client.get("/llms.txt")
    assert page.headers["content-type"] == "text/markdown; charset=utf-8"
    for link in re.findall(r"\]\((/[^)]*)\)", page.text):
        assert client.get(link).status_code == 200, link
    assert {path for path, item in contract["paths"].items() if "post" in item} == set(
        re.findall(r"`POST ([^`]*)`", page.text)
    )
