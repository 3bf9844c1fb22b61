"""The sentence of every finding, made from its figures in the units of the caller.

The TOML files beside this module have one entry for each kind of finding; ``common.toml`` those that several
calculations share. In a sentence, ``{load:Pressure}`` stands for the figure ``load``, in SI units, written as that
quantity; ``{name:lower}`` in small letters; ``{share:.0%}`` and the like are Python's own formats.
"""

import string
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any, Literal, NamedTuple, TypeAlias, cast

import msgspec

from drawbar_service import quantities
from drawbar_service.model.chance import VERDICTS, Word
from drawbar_service.model.findings import Finding
from drawbar_service.model.limits import LIMITS, LimitName
from drawbar_service.quantities import Quantity, UnitSystem
from drawbar_service.reference import default

WarningCode: TypeAlias = Literal[
    "outside-range",
    "rough-estimate",
    "not-used",
    "methods-differ",
    "check-safety",
    "not-carried",
    "row-by-row",
    "deprecated-name",
]


class _Warning(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    code: WarningCode
    says: str


class _Assumption(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    why: str
    value: str = "{value}"


class LimitWords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a limit of a match is called."""

    name: str
    """In a sentence."""
    short: str
    """Beside a number or a line."""
    stops: str
    """What happens where it is met."""


class VerdictWords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a verdict on a match is called."""

    name: str
    """Where it begins a sentence."""
    short: str
    """Where it stands alone."""


class _Words(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    usual_cautions: tuple[str, ...] = ()
    cautions: dict[str, str] = {}
    warnings: dict[str, _Warning] = {}
    faults: dict[str, str] = {}
    assumptions: dict[str, _Assumption] = {}
    limits: dict[LimitName, LimitWords] = {}
    verdicts: dict[Word, VerdictWords] = {}


def _load() -> _Words:
    whole = _Words()
    for file in sorted(files("drawbar_service.api.words").iterdir(), key=lambda file: file.name):
        if not file.name.endswith(".toml"):
            continue
        part = msgspec.convert(tomllib.loads(file.read_text(encoding="utf-8")), _Words)
        for mine, more in (
            (whole.cautions, part.cautions),
            (whole.warnings, part.warnings),
            (whole.faults, part.faults),
            (whole.assumptions, part.assumptions),
            (whole.limits, part.limits),
            (whole.verdicts, part.verdicts),
        ):
            if twice := mine.keys() & more.keys():
                raise ValueError(f"{file.name}: {', '.join(sorted(twice))} stands in another file too")
            cast("dict[str, Any]", mine).update(cast("dict[str, Any]", more))
        whole = msgspec.structs.replace(whole, usual_cautions=whole.usual_cautions + part.usual_cautions)
    return whole


WORDS = _load()
LIMIT_WORDS: Mapping[LimitName, LimitWords] = WORDS.limits
"""What every limit of a match is called: in answers, in pictures, on the page and in the command line."""
if LIMIT_WORDS.keys() != set(LIMITS):
    raise ValueError("limits.toml and the limits of a match differ")
VERDICT_WORDS: Mapping[Word, VerdictWords] = WORDS.verdicts
"""What every verdict on a match is called, in the same places."""
if VERDICT_WORDS.keys() != set(VERDICTS):
    raise ValueError("limits.toml and the verdicts on a match differ")
CAUTIONS: Mapping[str, str] = WORDS.cautions
"""What some work asks for besides the usual cautions, by name (common practice, no source)."""
USUAL_CAUTIONS = WORDS.usual_cautions
"""Cautions of all tractor work (common practice, no source)."""
_KIND_OF_UNIT = {
    "": "Ratio",
    "m": "MachineLength",
    "m/s": "Speed",
    "kg": "Mass",
    "Pa": "Pressure",
    "kg/m3": "CarbonDioxidePerFuel",
}
_KIND_OF_DEFAULT = {
    "range_deviations": "Multiplier",
    "road_detour": "Multiplier",
    "load_sensing_margin": "OilPressure",
    "concentration_hard": "Multiplier",
    "concentration_firm": "Multiplier",
    "concentration_tilled": "Multiplier",
    "concentration_soft": "Multiplier",
}


class _Piece(NamedTuple):
    """A part of a sentence: a text, then a figure."""

    text: str
    figure: str
    """Its name; empty after the last text."""
    form: str
    """How it is written: a quantity, ``lower``, or one of Python's own formats."""
    shown: str
    """``!r`` where it is quoted, else empty."""


@cache
def _pieces(template: str) -> tuple[_Piece, ...]:
    return tuple(
        _Piece(text, name or "", form or "", f"!{shown}" if shown else "")
        for text, name, form, shown in string.Formatter().parse(template)
    )


def _written(value: Any, piece: _Piece, units: UnitSystem) -> str:
    if piece.form[:1].isupper():
        return _kind(piece.form)(value).words(units)
    if piece.form == "lower":
        return str(value).lower()
    return repr(value) if piece.shown == "!r" else format(value, piece.form)


def _kind(name: str) -> type[Quantity]:
    return cast("type[Quantity]", getattr(quantities, name))


def say(template: str, figures: Mapping[str, Any], units: UnitSystem) -> str:
    """Return a sentence from its `template` and `figures`, in the caller's `units`."""
    if "{" not in template:
        return template
    told: list[str] = []
    for piece in _pieces(template):
        told.append(piece.text)
        if piece.figure:
            told.append(_written(figures[piece.figure], piece, units))
    return "".join(told)


def code_of(finding: Finding) -> WarningCode:
    """Return the public code of a warning."""
    return WORDS.warnings[finding.kind].code


def of_warning(finding: Finding, units: UnitSystem) -> str:
    """Return the sentence of a warning, and whose it is where it is about one of several."""
    # A note that is empty leaves a space at the end.
    sentence = say(WORDS.warnings[finding.kind].says, finding.figures, units).rstrip()
    return f"{sentence} ({finding.whose})" if finding.whose else sentence


def of_fault(finding: Finding, units: UnitSystem) -> str:
    """Return the sentence of a fault."""
    return say(WORDS.faults[finding.kind], finding.figures, units)


def of_assumption(kind: str, value: Any, figures: Mapping[str, Any], units: UnitSystem) -> tuple[str, str]:
    """Return an assumed value in words, in a form that the request takes, and why it was taken."""
    prefix, _, row = kind.partition("default.")
    if not prefix:
        return _of_default(row, units)
    entry, known = WORDS.assumptions[kind], {"value": value, **figures}
    return say(entry.value, known, units), say(entry.why, known, units)


def _of_default(row: str, units: UnitSystem) -> tuple[str, str]:
    entry = default(row)
    kind = _kind(_KIND_OF_DEFAULT.get(row, _KIND_OF_UNIT[entry.unit]))
    return kind(entry.value).words(units), entry.why
