"""JSON Schema of quantities: for each kind what is read and what is written, and for each dimension their shared parts.

A kind, such as ``Depth``, has a range; its text, its object of value and unit, and the list of its units are those of
its dimension, named once (``LengthText``, ``LengthValue``, ``LengthUnit``), so that generators name them once, too.
"""

from typing import Any, TypeAlias

from drawbar_service.quantities import Dimension, Quantity

Schema: TypeAlias = dict[str, Any]

_REF = "#/components/schemas/{name}"
_DIGITS = 6


def quantity_components() -> Schema:
    """Return the schemas of every kind of quantity and of the parts they share, by name."""
    components: Schema = {}
    for kind in _all_kinds():
        components[kind.__name__] = _asked(kind)
        components[f"{kind.__name__}Reading"] = _given(kind)
        components |= _shared(kind)
    return components


def part_of(dimension: Dimension, part: str) -> str:
    """Return the name of what all quantities of a dimension share: its ``Unit``, ``Text`` or ``Value``."""
    return "".join(word.capitalize() for word in dimension.name.split("_")) + part


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
    spoken = {"x-dimension": dimension.name}
    return {
        part_of(dimension, "Unit"): {
            "type": "string",
            "enum": list(dimension.factors),
            "description": f"Unit of {noun}.",
            **spoken,
        },
        part_of(dimension, "Text"): {
            "type": "string",
            "maxLength": 64,
            "pattern": kind.pattern(),
            "description": f"{noun.capitalize()} as text: number and unit.",
            **spoken,
        },
        part_of(dimension, "Value"): {
            "type": "object",
            "description": "Number and unit; of a reading the value counts.",
            "properties": {
                "value": {"type": "number"},
                "unit": _ref(kind, "Unit"),
                "low": {"type": ["number", "null"]},
                "high": {"type": ["number", "null"]},
            },
            "required": ["value", "unit"],
            "additionalProperties": False,
            **spoken,
        },
    }


def _asked(kind: type[Quantity]) -> Schema:
    bounds = kind.range_in_words(kind.dimension.spellings["1"] if kind.bare else kind.metric)
    forms: list[Schema] = [_ref(kind, "Text"), _ref(kind, "Value")]
    if kind.bare:
        bare: Schema = {"type": "number", "description": "A plain number."}
        for name, bound in (("minimum", kind.least), ("maximum", kind.most)):
            if bound is not None:
                bare[name] = bound
        forms.append(bare)
    return {
        "description": f"{kind.__doc__} In range: {bounds}." if bounds else kind.__doc__,
        "anyOf": forms,
        "examples": [kind.example()],
        "x-quantity": _about(kind),
    }


def _given(kind: type[Quantity]) -> Schema:
    return {
        "description": kind.__doc__,
        "type": "object",
        "properties": {
            "value": {"type": "number", "description": "The value."},
            "unit": {**_ref(kind, "Unit"), "description": f"{_either(kind)}, as asked."},
            "low": {"type": "number", "description": "Low end of its range."},
            "high": {"type": "number", "description": "High end of its range."},
        },
        "required": ["value", "unit"],
        "x-quantity": {"dimension": kind.dimension.name, "metric": kind.metric, "us": kind.us},
    }


def _either(kind: type[Quantity]) -> str:
    return " or ".join(dict.fromkeys((f"`{kind.metric}`", f"`{kind.us}`")))


def _about(kind: type[Quantity]) -> Schema:
    about: Schema = {"dimension": kind.dimension.name, "metric": kind.metric, "us": kind.us}
    symbol = kind.metric
    factor = kind.dimension.factors[symbol]
    for name, bound in (("minimum", kind.least), ("maximum", kind.most)):
        if bound is not None:
            about[name] = {"value": float(f"{bound / factor:.{_DIGITS}g}"), "unit": symbol}
    return about
