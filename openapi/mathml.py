"""Turn the LaTeX of equations and symbols into MathML, which browsers typeset by themselves."""

import json
import re
from collections.abc import Iterable, Mapping

from latex2mathml.converter import convert  # pyright: ignore[reportMissingTypeStubs, reportUnknownVariableType]

from drawbar_service.reference.methods import Equation

_BETWEEN = re.compile(r"[,;]\\(?:quad|;)\s*")
"""What stands between two equations of one method; each goes on a line of its own."""
_NAME = re.compile(r"(?<![\\A-Za-z])[A-Z]{2,}(?![a-z])")
_INDEX = re.compile(r"_\{([A-Za-z,]{2,})\}")
_LETTERS = re.compile(r'(?:<mi mathvariant="normal">[A-Za-z]</mi>)+')
_FUNCTION = re.compile(r"(<mi>(?:sin|cos|ln|arcsin)</mi>)(?=<m(?:i|n|sub|row)>)")
_ENTITY = re.compile(r"&#x([0-9A-F]+);")


def typeset(methods: Mapping[str, Iterable[Equation]]) -> str:
    """Return a JSON object: the MathML of each equation and symbol by its LaTeX, one string for each line."""
    found: dict[str, list[str]] = {}
    for equations in methods.values():
        for equation in equations:
            found[equation.latex] = [_mathml(part, "block") for part in _BETWEEN.split(equation.latex)]
            for written, symbol in equation.symbols.items():
                latex = symbol.typeset(written)
                found[latex] = [_mathml(latex, "inline")]
    return json.dumps(found, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def _mathml(latex: str, display: str) -> str:
    # A name of several letters is upright and in one piece: GTR is not G times T times R.
    spelt = _INDEX.sub(r"_{\\mathrm{\1}}", _NAME.sub(r"\\mathrm{\g<0>}", latex))
    markup = str(convert(spelt, display=display))
    if "\\" in markup:
        raise ValueError(f"part of {latex} is not understood; write it otherwise: {markup}")
    markup = _LETTERS.sub(lambda match: f"<mi>{re.sub('<[^>]*>', '', match[0])}</mi>", markup)
    markup = _FUNCTION.sub(r'\1<mspace width="0.167em" />', markup)
    return _ENTITY.sub(_character, markup)


def _character(match: re.Match[str]) -> str:
    character = chr(int(match[1], 16))
    return match[0] if character in "<>&" else character
