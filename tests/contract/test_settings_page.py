"""The page of dashboards names every setting with what it is when it is left out and what it does."""

import html
import re
from typing import Any

import msgspec
import pytest

from drawbar_service.settings import BadSettings, Settings, read_settings

FIELDS = {f"DRAWBAR_{one.name.upper()}": one for one in msgspec.structs.fields(Settings)}


@pytest.fixture(scope="module")
def rows(client: Any) -> dict[str, list[str]]:
    page = client.get("/docs/dashboards").text
    section = page[page.index('id="settings"') :]
    cells = [
        [
            html.unescape(re.sub(r"<[^>]+>", "", cell)).strip()
            for cell in re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row, re.S)
        ]
        for row in re.findall(r"<tr>(.*?)</tr>", section, re.S)
    ]
    return {one[0]: one[1:] for one in cells if one and one[0].startswith("DRAWBAR_")}


def test_every_setting_is_there_and_no_other(rows: dict[str, list[str]]) -> None:
    assert list(rows) == list(FIELDS)


@pytest.mark.parametrize("variable", FIELDS)
def test_it_says_what_is_usual_what_it_takes_and_what_it_does(rows: dict[str, list[str]], variable: str) -> None:
    usual, takes, does = rows[variable]
    assert does.endswith(".")
    assert takes
    assert "`" not in does
    default = FIELDS[variable].default
    if usual:
        assert getattr(read_settings({variable: usual}), FIELDS[variable].name) == default
    else:
        assert default in ("", None)
    if takes != "text":
        with pytest.raises(BadSettings, match=re.escape(takes)):
            read_settings({variable: "no such value"})


def test_the_guide_names_no_setting_that_is_none(client: Any) -> None:
    for page in ("/docs/dashboards", "/docs/start", "/docs/limits"):
        assert set(re.findall(r"DRAWBAR_[A-Z_]+", client.get(page).text)) <= FIELDS.keys()
