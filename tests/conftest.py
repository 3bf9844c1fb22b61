"""What all tests share: how hard properties are searched, and where shared helpers are found.

Slow properties get fewer examples, see tests/searching.py. `--hypothesis-profile long` searches thirty times harder.
"""

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings

# Helpers are imported as tests.<folder>.<name>, from wherever pytest is started.
sys.path.insert(0, str(Path(__file__).parent.parent))

pytest_plugins = ["tests.progress"]

settings.register_profile(
    "default",
    max_examples=30,
    deadline=None,
    derandomize=True,
    # A failure is shrunk but not explained, which would take as long again.
    phases=[Phase.explicit, Phase.generate, Phase.shrink],
    report_multiple_bugs=False,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "long", max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("default")


@pytest.fixture(scope="module")  # while it runs so does an event loop, and other tests start their own
def browser() -> Iterator[Any]:
    """Debian's Chromium, which asks nobody for anything by itself."""
    chromium = shutil.which("chromium")
    if chromium is None:
        pytest.skip("there is no chromium on this machine")
    from playwright.sync_api import sync_playwright

    quiet = ("background-networking", "component-update", "sync", "gpu")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium,
            args=["--no-sandbox", "--no-first-run", *(f"--disable-{what}" for what in quiet)],
        )
        yield browser
        browser.close()
