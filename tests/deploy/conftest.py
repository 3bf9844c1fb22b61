import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def root() -> Path:
    return ROOT


@pytest.fixture
def local() -> ModuleType:
    """A fresh copy of deploy/local.py, which is a script and no part of a package."""
    spec = importlib.util.spec_from_file_location("local", ROOT / "deploy/local.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
