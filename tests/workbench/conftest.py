import re
from collections.abc import Iterator
from typing import Any

import pytest
from tests.faults.processes import running

PATIENCE = 60.0
"""Longest wait for the service, and for an answer on the page [s]."""


class Bench:
    """The page in a browser, with everything it asked for and complained of."""

    def __init__(self, browser: Any, url: str) -> None:
        self.browser, self.url = browser, url
        self.pages: list[Any] = []

    def open(self, link: str = "", settle: bool = True, **context: Any) -> Any:
        # A page that keeps itself would answer what a test means to hold back.
        given = {"locale": "en-GB", "viewport": {"width": 1280, "height": 900}, "service_workers": "block"} | context
        page = self.browser.new_context(**given).new_page()
        page.set_default_timeout(1000 * PATIENCE)
        page.asked, page.complaints = [], []
        page.on("request", lambda request: page.asked.append(request.url))
        page.on("console", lambda message: page.complaints.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        self.pages.append(page)
        page.goto(self.url + link)
        if settle:
            settled(page)
        return page

    def close(self) -> None:
        for page in self.pages:
            page.context.close()


def settled(page: Any, after: str | None = None) -> None:
    """Wait until the page has answered what was last asked of it; `after` is the turn it has to come after."""
    page.wait_for_function(
        "before => document.body.dataset.turn !== undefined && document.body.dataset.turn !== before"
        " && document.querySelector('#answer').getAttribute('aria-busy') === 'false'"
        " || document.querySelector('[aria-invalid]') !== null && document.body.dataset.turn !== before",
        arg=after,
    )


def turn(page: Any) -> str:
    return page.evaluate("document.body.dataset.turn")


@pytest.fixture(scope="session")
def service() -> Iterator[str]:
    with running() as (port, _):
        yield f"http://127.0.0.1:{port}/"


@pytest.fixture
def bench(browser: Any, service: str) -> Iterator[Bench]:
    bench = Bench(browser, service)
    yield bench
    bench.close()


def number(text: str) -> float:
    found = re.search(r"-?\d+(\.\d+)?", text)
    assert found is not None, text
    return float(found[0])
