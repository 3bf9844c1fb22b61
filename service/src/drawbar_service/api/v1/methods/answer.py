"""GET /v1/methods/{calculation}: the equations behind an answer, with symbols, ranges, sources and misfits."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.reference import source
from drawbar_service.reference.methods import METHODS, Equation

_MATCH = ("draft", "power", "traction", "fuel", "field-capacity", "odds")
USES = {
    **{name: (name,) for name in METHODS},
    "ballast": ("ballast", "draft", "power", "traction", "fuel"),
    "match": _MATCH,
    "sensitivity": _MATCH,
    "calibration": ("calibration", *_MATCH),
    "system": ("system", *(name for name in _MATCH if name != "odds")),
    "season": ("season", "completion", *(name for name in _MATCH if name != "odds")),
}
"""Whose equations each calculation uses."""


class SymbolAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A symbol of an equation."""

    symbol: Annotated[str, Meta(description="As in the plain form.")]
    unit: Annotated[str, Meta(description="Unit in the equation as printed; 1 for a ratio.")]
    means: Annotated[str, Meta(description="What it stands for.")]


class ValidRangeAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Where an equation was fitted or is stated to hold."""

    of: Annotated[str, Meta(description="Symbol or group of symbols.")]
    unit: Annotated[str, Meta(description="Unit of both ends.")]
    low: Annotated[float, Meta(description="Low end.")]
    high: Annotated[float, Meta(description="High end.")]


class EquationAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One equation."""

    id: Annotated[str, Meta(description="Id of the equation.")]
    says: Annotated[str, Meta(description="What it says.")]
    plain: Annotated[str, Meta(description="The equation in plain text.")]
    latex: Annotated[str, Meta(description="The equation in LaTeX.")]
    symbols: Annotated[list[SymbolAnswer], Meta(description="Its symbols.")]
    valid: Annotated[list[ValidRangeAnswer], Meta(description="Where it holds; empty where no range is stated.")]
    misfits: Annotated[list[str], Meta(description="Where it is known to be wrong.")]
    source: Annotated[str, Meta(description="Source id; see `/v1/sources`.")]
    basis: Annotated[str, Meta(description="How the source is known: published, memory, common-practice or derived.")]


class MethodsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The equations behind a calculation."""

    calculation: Annotated[str, Meta(description="The calculation.")]
    equations: Annotated[list[EquationAnswer], Meta(description="Its equations, in the order of the chain.")]


def methods(calculation: str) -> MethodsAnswer:
    """Return the equations of a `calculation`, which must be in :data:`USES`."""
    return MethodsAnswer(
        calculation=calculation,
        equations=[_answer(equation) for name in USES[calculation] for equation in METHODS[name]],
    )


def _answer(equation: Equation) -> EquationAnswer:
    return EquationAnswer(
        id=equation.id,
        says=equation.says,
        plain=equation.plain,
        latex=equation.latex,
        symbols=[
            SymbolAnswer(symbol=name, unit=symbol.unit, means=symbol.means) for name, symbol in equation.symbols.items()
        ],
        valid=[ValidRangeAnswer(of=one.of, unit=one.unit, low=one.low, high=one.high) for one in equation.valid],
        misfits=equation.misfits,
        source=equation.source,
        basis=source(equation.source).basis,
    )
