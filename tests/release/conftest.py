import importlib
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def release() -> Iterator[ModuleType]:
    before = list(sys.path)
    sys.path[:0] = [str(ROOT / "deploy"), str(ROOT / "openapi")]
    try:
        yield importlib.import_module("release")
    finally:
        sys.path[:] = before
