from __future__ import annotations
import importlib
from typing import Any

def load(module: str, extra: str) -> Any:
    ...
