"""The equations behind each calculation, as data: what they say, their symbols, ranges, sources and misfits."""

import tomllib
from collections.abc import Mapping
from importlib.resources import files
from types import MappingProxyType

import msgspec

from drawbar_service.reference.tables import source


class Symbol(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One symbol of an equation."""

    unit: str
    means: str
    latex: str = ""
    """How it is typeset, where that is not plain from how it is written."""

    def typeset(self, written: str) -> str:
        """Return this symbol in LaTeX, given how it is `written` in the plain form."""
        if self.latex:
            return self.latex
        letter, _, index = written.partition("_")
        return f"{letter}_{{{index}}}" if index else letter


class ValidRange(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where an equation was fitted or is stated to hold."""

    of: str
    unit: str
    low: float
    high: float


class Equation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One equation."""

    id: str
    says: str
    plain: str
    latex: str
    source: str
    """Id of a source."""
    symbols: dict[str, Symbol]
    valid: list[ValidRange] = []
    misfits: list[str] = []
    """Where it is known to be wrong."""


def _read() -> Mapping[str, tuple[Equation, ...]]:
    text = (files("drawbar_service.reference") / "data" / "methods.toml").read_text("utf-8")
    methods = msgspec.convert(tomllib.loads(text), dict[str, tuple[Equation, ...]])
    for equations in methods.values():
        for equation in equations:
            source(equation.source)
    return MappingProxyType(methods)


METHODS = _read()
"""Equations by calculation. A match uses those of draft, power, traction, fuel and field capacity."""
