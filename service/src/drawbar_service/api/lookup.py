"""One calculation by its path, without importing the others."""

from importlib import import_module
from importlib.util import find_spec
from typing import Any, cast

from drawbar_service.api import v1
from drawbar_service.api.calculation import Calculation


def calculation_at(path: str) -> Calculation[Any, Any] | None:
    """Return the calculation at a path such as ``/v1/field-capacity``; None where there is none, or a picture."""
    prefix, _, name = path.rpartition("/")
    module = f"{v1.__name__}.{name.replace('-', '_')}"
    if prefix != "/v1" or not name.replace("-", "").isalpha() or find_spec(module) is None:
        return None
    for one in vars(import_module(module)).values():
        if isinstance(one, Calculation) and one.path == path and not one.shown_as:
            return cast("Calculation[Any, Any]", one)
    return None
