"""Every calculation of version 1, found in the packages of ``api/v1``, and what is shown of them."""

from collections.abc import Iterator
from importlib import import_module
from pkgutil import walk_packages
from typing import Any

from drawbar_service.api import v1
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.curve import Curve


def _found() -> Iterator[Calculation[Any, Any]]:
    for module in walk_packages(v1.__path__, f"{v1.__name__}."):
        for value in vars(import_module(module.name)).values():
            if isinstance(value, Calculation):
                yield value


def _in_order() -> tuple[Calculation[Any, Any], ...]:
    """Return each calculation once, by name; first the match, which people come for."""
    once = {id(one): one for one in _found()}.values()  # whoever takes another's example imports it
    return tuple(sorted(once, key=lambda one: (one.name != "match", one.name)))


_EVERY = _in_order()

CALCULATIONS = tuple(one for one in _EVERY if not one.shown_as)
"""Questions with an answer; a batch takes any of them."""

CURVES = tuple(one for one in _EVERY if isinstance(one, Curve))
"""The numbers of a picture, and the picture."""

SHOWN = (*CURVES, *(one for one in _EVERY if one.shown_as and not isinstance(one, Curve)))
"""What takes the request of a calculation and shows its answer to people."""
