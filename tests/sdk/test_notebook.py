"""Answers in a notebook: tables that are safe to show, frames, and pictures."""

import math
import subprocess
import sys
from html.parser import HTMLParser

import matplotlib as mpl
import numpy as np
import pytest

import drawbar
from drawbar._extras import load
from drawbar._flat import table
from drawbar._limits import SHORT
from drawbar.answers import Answer
from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.slip import SLIP

DEPTH, SPEED = "/implement/tools/0/depth", "/speed"
SHOWN = {"div", "p", "strong", "em", "table", "thead", "tbody", "tr", "th", "td", "details", "summary"}


class Tags(HTMLParser):
    """Names of elements and texts; fails on elements that are not closed in order."""

    def __init__(self, markup):
        super().__init__()
        self.names, self.words, self._open = [], [], []
        self.feed(markup)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag, attrs):
        self.names.append(tag)
        self._open.append(tag)

    def handle_endtag(self, tag):
        assert self._open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)


@pytest.fixture(scope="module")
def client():
    with drawbar.Client.in_process() as made:
        yield made


@pytest.fixture(scope="module")
def match(client):
    return client.match(MATCH.example)


@pytest.fixture(scope="module")
def too_fast(client):
    return client.match(MATCH.example | {"speed": "12 km/h"})


@pytest.fixture
def plt():
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    yield plt
    plt.close("all")


def swept(client, **more):
    vary = {DEPTH: ("cm", np.linspace(12, 24, 3)), SPEED: ("km/h", [6, 7, 8, 9])}
    columns = ["/at_work/slip", "/verdict/fits", "/verdict/binding"]
    return client.batch("match", MATCH.example, vary, columns=columns, **{"mode": "grid"} | more)


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda one: one.name)
def test_every_answer_shows_itself(client, calculation):
    answer = getattr(client, calculation.name.replace("-", "_"))(calculation.example)
    assert isinstance(answer, Answer)
    page = Tags(answer._repr_html_())
    assert {"div", "table"} <= set(page.names) <= SHOWN
    summary = getattr(getattr(answer, "verdict", None), "summary", None)
    assert summary is None or summary in page.words
    assert all(notice.code in page.words for notice in answer.about.warnings)


def test_key_figures_come_with_their_range_and_unit(match):
    page = Tags(match._repr_html_())
    at = page.words.index("at work slip")
    assert page.words[at + 1 : at + 5] == ["6.56", "4.05", "12", "%"]
    assert page.words.index("at work slip") < page.words.index("at work axles front load")


def test_what_a_caller_named_is_shown_as_text(client):
    mark = "<b onclick=x>&"
    gears = [{"name": mark, "speed": "8 km/h"}]
    answer = client.match({**MATCH.example, "tractor": {**MATCH.example["tractor"], "gears": gears}})
    page = Tags(answer._repr_html_())
    assert "b" not in page.names
    assert mark in page.words


def test_rows_of_an_answer_become_frames(match):
    limits = match.to_pandas("/limits")
    assert list(limits["name"]) == [limit.name for limit in match.limits]
    assert list(limits["margin [%]"]) == [limit.margin.value for limit in match.limits]
    tools = match.to_polars("/draft/tools")
    assert tools["draft.low [kN]"].to_list() == [tool.draft.low for tool in match.draft.tools]


def test_the_only_rows_need_not_be_named_and_others_are_asked_for(client, match):
    assert len(client.slip(SLIP.example).to_pandas()) == 3
    with pytest.raises(ValueError, match=r"^Say which rows: there are /draft/tools, /limits\.$"):
        match.to_pandas()
    with pytest.raises(ValueError, match=r"^No rows at '/tools': there are /draft/tools, /limits\.$"):
        match.to_polars("/tools")
    with pytest.raises(ValueError, match=r"^Say which rows: this answer has none\.$"):
        client.field_capacity(FIELD_CAPACITY.example).to_pandas()


def test_units_that_differ_by_row_have_a_column_of_their_own():
    margins = [drawbar.Reading(value=1.0, unit="kN"), drawbar.Reading(value=2.0, unit="%")]
    rows = [drawbar.LimitAnswer(name="pull", kept=True, margin=margin, detail="") for margin in margins]
    assert table(rows)["margin"] == [1.0, 2.0]
    assert table(rows)["margin unit"] == ["kN", "%"]


def test_a_match_is_drawn_as_margins(too_fast, plt):
    axes = too_fast.plot()
    widths = [bar.get_width() for bar in axes.patches]
    assert widths == pytest.approx([limit.margin.value for limit in too_fast.limits])
    assert [label.get_text() for label in axes.get_yticklabels()] == [SHORT[limit.name] for limit in too_fast.limits]
    assert len({bar.get_facecolor() for bar in axes.patches}) == 2
    assert any("too far" in text.get_text() for text in axes.texts)
    _, given = plt.subplots()
    assert too_fast.plot(given) is given


def test_a_grid_of_two_is_drawn_as_a_map(client, plt):
    result = swept(client)
    axes = result.plot()
    (mesh,) = axes.collections
    assert mesh.get_array().shape == (3, 4)
    assert mesh.get_array().ravel().tolist() == pytest.approx(result.columns["/at_work/slip"])
    assert axes.get_xlabel() == "/speed [km/h]"
    assert axes.get_ylabel() == "/implement/tools/0/depth [cm]"


def test_words_along_a_side_stand_one_beside_the_other(client, plt):
    vary = {"/soil/texture": ["fine", "coarse"], SPEED: ("km/h", [6, 8])}
    axes = client.batch("match", MATCH.example, vary, mode="grid", columns=["/at_work/slip"]).plot()
    assert [label.get_text() for label in axes.get_yticklabels()] == ["fine", "coarse"]


def test_one_leaf_is_drawn_as_a_line_and_a_faulty_row_as_a_gap(client, plt):
    vary = {SPEED: ("km/h", [6, 900, 8])}
    axes = client.batch("match", MATCH.example, vary, columns=["/at_work/slip"]).plot()
    (line,) = axes.lines
    assert list(line.get_xdata()) == [6, 900, 8]
    assert [math.isnan(y) for y in line.get_ydata()] == [False, True, False]


def test_rows_that_are_no_grid_are_drawn_as_points(client, plt):
    vary = {DEPTH: ("cm", [12, 14, 16]), SPEED: ("km/h", [6, 7, 8])}
    result = client.batch("match", MATCH.example, vary, columns=["/at_work/slip", "/fuel/per_area"])
    (marks,) = result.plot("/fuel/per_area").collections
    assert marks.get_offsets().tolist() == [[12, 6], [14, 7], [16, 8]]
    (marks,) = result.plot("/fuel/per_area", x=SPEED, y="/at_work/slip").collections
    assert marks.get_offsets()[:, 1].tolist() == pytest.approx(result.columns["/at_work/slip"])


def test_a_pointer_that_is_not_there_is_told_with_those_that_are(client):
    with pytest.raises(ValueError, match=r"'/slip' is not here; there are /implement/tools/0/depth, /speed, /at_work/"):
        swept(client).plot("/slip", x=SPEED)
    alone = client.batch("field-capacity", FIELD_CAPACITY.example, {}, columns=["/capacity/effective"])
    with pytest.raises(ValueError, match="There is nothing to draw"):
        alone.plot()


@pytest.mark.parametrize("rows_per_request", [5, 50_000])
def test_frames_can_hold_what_varied(client, rows_per_request):
    result = swept(client, rows_per_request=rows_per_request)
    frame = result.to_pandas(varied=True)
    assert list(frame[DEPTH]) == [depth for depth in (12, 18, 24) for _ in range(4)]
    assert list(frame[SPEED]) == [6, 7, 8, 9] * 3
    assert frame.attrs["units"] == {DEPTH: "cm", SPEED: "km/h"} | result.units
    assert result.to_polars(varied=True).columns == list(frame.columns)
    assert list(result.to_pandas().columns) == list(result.columns)
    row = frame.iloc[6]
    first, *others = MATCH.example["implement"]["tools"]
    tools = [first | {"depth": f"{row[DEPTH]} cm"}, *others]
    implement = {**MATCH.example["implement"], "tools": tools}
    single = client.match({**MATCH.example, "implement": implement, "speed": f"{row[SPEED]} km/h"})
    assert row["/at_work/slip"] == pytest.approx(single.at_work.slip.value)


def test_a_batch_shows_its_first_rows(client):
    vary = {SPEED: ("km/h", [900.0, *np.linspace(5, 9, 99)])}
    result = client.batch("field-capacity", FIELD_CAPACITY.example, vary, columns=["/capacity/effective"])
    page = Tags(result._repr_html_())
    assert "100 rows, 1 of them with faults" in page.words
    assert "40 more rows." in page.words
    assert "/capacity/effective [ha/h]" in page.words


def test_nothing_heavy_is_loaded_before_it_is_asked_for():
    code = (
        "import sys, drawbar; heavy = {'matplotlib', 'pandas', 'polars', 'numpy', 'drawbar_service'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


def test_a_missing_library_is_told_with_its_extra():
    with pytest.raises(ModuleNotFoundError, match=r"needs drawbar_nowhere, .*: pip install './sdk\[plot\]'"):
        load("drawbar_nowhere.pyplot", "plot")


def test_a_library_that_is_broken_inside_is_not_called_missing(tmp_path, monkeypatch):
    (tmp_path / "drawbar_broken.py").write_text("import drawbar_nowhere\n", "utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(ModuleNotFoundError, match="No module named 'drawbar_nowhere'"):
        load("drawbar_broken", "plot")
