"""The documentation in a browser: nothing blocked, nothing wider than a phone, nothing that hinders a reader."""

import threading
from collections.abc import Iterator
from typing import Any

import pytest
import uvicorn

from drawbar_service.app import create_app
from drawbar_service.docs.site import PATHS
from drawbar_service.settings import Settings


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    started = threading.Event()

    class Server(uvicorn.Server):
        async def startup(self, sockets: Any = None) -> None:
            await super().startup(sockets)
            started.set()

    server = Server(uvicorn.Config(create_app(Settings()), port=0, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    assert started.wait(30)
    port = server.servers[0].sockets[0].getsockname()[1]
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(30)


def opened(browser: Any, width: int, said: list[str]) -> Any:
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.on("console", lambda message: said.append(message.text))
    page.route("**/favicon.ico", lambda route: route.fulfill(status=204))
    return page


def test_no_page_is_wider_than_a_phone_and_nothing_is_blocked(address: str, browser: Any) -> None:
    said: list[str] = []
    page = opened(browser, 360, said)
    for path in PATHS:
        page.goto(address + path)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, path
    page.close()
    assert said == []


def test_equations_and_tables_fit_on_a_phone(address: str, browser: Any) -> None:
    page = opened(browser, 360, [])
    for path in ("/docs/methods/ballast", "/docs/methods/traction", "/docs/methods/fuel", "/docs/tables", "/docs"):
        page.goto(address + path)
        for kind in (".equation", ".table"):
            wide = "all => all.filter(one => one.scrollWidth > one.clientWidth + 1).map(one => one.ariaLabel)"
            assert page.eval_on_selector_all(kind, wide) == [], path
        sizes = page.eval_on_selector_all(
            ".equation", "all => all.map(one => parseFloat(getComputedStyle(one).fontSize))"
        )
        assert min(sizes, default=16.0) > 10.0
    page.close()


def test_search_is_found_used_and_left_with_the_keyboard(address: str, browser: Any) -> None:
    said: list[str] = []
    page = opened(browser, 360, said)
    page.goto(f"{address}/docs")
    page.keyboard.press("/")
    page.keyboard.type("tongue load")
    page.locator(".search li").first.wait_for()
    assert "found" in page.locator(".search [role=status]").inner_text()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    first = page.locator(".search li a").first
    assert page.evaluate("document.activeElement.href") == first.evaluate("one => one.href")
    page.keyboard.press("Escape")
    assert page.locator(".search li").count() == 0
    page.keyboard.type("tongue load")
    page.locator(".search li").first.wait_for()
    page.keyboard.press("Enter")
    page.wait_for_url("**/docs/methods/hitch#equation-tongue-load")
    page.keyboard.press("/")
    page.keyboard.type("xyzzy")
    page.wait_for_function("document.querySelector('.search [role=status]').textContent === 'Nothing found.'")
    page.close()
    assert said == []


def test_a_block_of_code_is_copied_as_it_stands(address: str, browser: Any) -> None:
    context = browser.new_context(permissions=["clipboard-read", "clipboard-write"])
    page = context.new_page()
    page.goto(f"{address}/docs/start")
    button = page.locator(".block button").first
    button.focus()
    page.keyboard.press("Enter")
    page.wait_for_function("document.querySelector('.block button').textContent === 'Copied'")
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied == page.locator(".block code").first.text_content()
    assert page.locator("pre > code.output").count() > 0
    assert page.locator(".block code.output").count() == 0
    context.close()


def test_equations_are_typeset(address: str, browser: Any) -> None:
    page = opened(browser, 1200, [])
    page.goto(f"{address}/docs/methods/traction")
    sizes = page.eval_on_selector_all("math", "all => all.map(one => one.getBoundingClientRect().height)")
    assert len(sizes) > 20
    assert min(sizes) > 5
    fraction, row = (page.locator(name).first.bounding_box()["height"] for name in ("mfrac", "mfrac mrow"))
    assert fraction > 1.8 * row
    page.close()


def test_nothing_hinders_a_reader(address: str, browser: Any) -> None:
    check_with_axe(address, browser, "/docs/methods/system")


@pytest.mark.nightly
@pytest.mark.parametrize("path", PATHS)
def test_nothing_hinders_a_reader_anywhere(address: str, browser: Any, path: str) -> None:
    check_with_axe(address, browser, path)


def check_with_axe(address: str, browser: Any, path: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page = opened(browser, 1200, [])
    page.goto(address + path)
    found = Axe().run(page)
    page.close()
    assert found.violations_count == 0, found.generate_report()


def test_details_are_open_on_paper(address: str, browser: Any) -> None:
    page = opened(browser, 1200, [])
    page.goto(f"{address}/docs/tables")
    page.emulate_media(media="print")
    assert page.locator("details dl").first.is_visible()
    assert not page.locator(".menu").is_visible()
    page.close()
