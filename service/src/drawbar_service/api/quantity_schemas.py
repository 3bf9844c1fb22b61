"""JSON Schema of quantities: for each kind what is read and what is written, and for each dimension their shared parts.

A kind, such as ``Depth``, has a range; its text, its object of value and unit, and the list of its units are those of
its dimension, named once (``LengthText``, ``LengthValue``, ``LengthUnit``), so that generators name them once, too.
"""

from typing import Any, TypeAlias

from drawbar_service.quantities import Dimension, Quantity

Schema: TypeAlias = dict[str, Any]

_REF = "#/components/schemas/{name}"
_DIGITS = 6
_WRITTEN_OUT = 1e15
"""Whole numbers from here on are shorter with an exponent."""


def quantity_components() -> Schema:
    """Return the schemas of every kind of quantity and of the parts they share, by name."""
    components: Schema = {}
    for kind in _all_kinds():
        components[kind.__name__] = _asked(kind)
        if reading_of(kind) == f"{kind.__name__}Reading":
            components[reading_of(kind)] = _given(kind)
        components |= _shared(kind)
    return components


def part_of(dimension: Dimension, part: str) -> str:
    """Return the name of what all quantities of a dimension share: its ``Unit``, ``Text`` or ``Value``."""
    return "".join(word.capitalize() for word in dimension.name.split("_")) + part


def reading_of(kind: type[Quantity]) -> str:
    """Return the name of what is written of a kind: of all kinds that are written in the same units, one name."""
    alike = [other for other in _all_kinds() if _written_in(other) == _written_in(kind)]
    named = part_of(kind.dimension, "")
    return f"{min((one.__name__ for one in alike), key=lambda name: (name != named, len(name), name))}Reading"


def _written_in(kind: type[Quantity]) -> tuple[str, str, str]:
    return kind.dimension.name, kind.metric, kind.us


def _all_kinds(kind: type[Quantity] = Quantity) -> list[type[Quantity]]:
    kinds: list[type[Quantity]] = []
    for child in kind.__subclasses__():
        kinds += [child, *_all_kinds(child)]
    return kinds


def _ref(kind: type[Quantity], part: str) -> Schema:
    return {"$ref": _REF.format(name=part_of(kind.dimension, part))}


def _shared(kind: type[Quantity]) -> Schema:
    dimension = kind.dimension
    noun = kind.noun()
    return {
        part_of(dimension, "Unit"): {
            "type": "string",
            "enum": list(dimension.factors),
            "description": f"Unit of {noun}.",
        },
        part_of(dimension, "Text"): {
            "type": "string",
            "maxLength": 64,
            "pattern": kind.pattern(),
            "description": f"{noun.capitalize()} as text.",
        },
        part_of(dimension, "Value"): {
            "type": "object",
            "description": "Number and unit.",
            "properties": {
                "value": {"type": "number"},
                "unit": _ref(kind, "Unit"),
                "low": {"type": ["number", "null"]},
                "high": {"type": ["number", "null"]},
            },
            "required": ["value", "unit"],
            "additionalProperties": False,
            "x-dimension": dimension.name,
        },
    }


def _asked(kind: type[Quantity]) -> Schema:
    forms: list[Schema] = [_ref(kind, "Text"), _ref(kind, "Value")]
    if kind.bare:
        bare: Schema = {"type": "number"}
        for name, bound in (("minimum", kind.least), ("maximum", kind.most)):
            if bound is not None:
                bare[name] = as_short(bound)
        forms.append(bare)
    return {
        "description": f"{kind.__doc__} {_range(kind)}".rstrip(),
        "anyOf": forms,
        "examples": [kind.example()],
        "x-quantity": _about(kind),
    }


def _range(kind: type[Quantity]) -> str:
    """Return the range of a kind as a sentence, nothing where it has none."""
    words = kind.range_in_words(kind.dimension.spellings["1"] if kind.bare else kind.metric)
    if kind.least is not None and kind.most is not None:
        words = words.replace("at least", "from", 1).replace("and at most", "to", 1)
    return f"{words[0].upper()}{words[1:]}." if words else ""


def as_short(number: float) -> float:
    """Return a number of the contract without the point that a whole one does not need."""
    return int(number) if number.is_integer() and abs(number) < _WRITTEN_OUT else number


def _given(kind: type[Quantity]) -> Schema:
    return {
        "description": kind.__doc__,
        "type": "object",
        "properties": {
            "value": {"type": "number"},
            "unit": _ref(kind, "Unit"),
            "low": {"type": "number"},
            "high": {"type": "number"},
        },
        "required": ["value", "unit"],
        "x-quantity": {"dimension": kind.dimension.name, "metric": kind.metric, "us": kind.us},
    }


def _about(kind: type[Quantity]) -> Schema:
    about: Schema = {"dimension": kind.dimension.name, "metric": kind.metric, "us": kind.us}
    factor = kind.dimension.factors[kind.metric]
    for name, bound in (("minimum", kind.least), ("maximum", kind.most)):
        if bound is not None:
            about[name] = as_short(float(f"{bound / factor:.{_DIGITS}g}"))
    return about
