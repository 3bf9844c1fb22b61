from __future__ import annotations
import importlib
from typing import Any
from drawbar.errors import DrawbarError

def library(name: str, extra: str) -> Any:
    ...
