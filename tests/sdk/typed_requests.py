"""All worked requests as plain dicts, and wrong ones: a Python file for type checkers to read."""

import json
from collections.abc import Mapping
from typing import Any

WRONG = (
    'client.match({"tractr": {}})',
    'client.match({"tractor": TRACTOR, "soil": SOIL})',
    'client.match({"tractor": TRACTOR, "implement": {"hitch": "towed"}, "soil": SOIL})',
    'client.draft({"implement": {"hitch": "drawbar", "tools": [{"tool": "plough"}]}, "soil": SOIL, "speed": "8 km/h"})',
    'client.fuel({"power": {"rated_pto": "145 kW"}, "load": {"value": 95, "unit": "kmh"}})',
    'client.traction({"tractor": TRACTOR, "soil": SOIL, "pull": 38})',
    'client.traction({"tractor": {"drive": "two-wheel", "power": {"engin": "9 hp"}}, "soil": SOIL, "pull": "9 kN"})',
    'OURS: TractorDict = {"drive": "two-wheel", "power": {"engine": "100 hp"}, "wheelbse": "2.6 m"}',
    'YARD: FuelRequestDict = {"power": {"rated_ptoo": "145 kW"}, "load": "95 kW"}',
)
"""What a type checker has to refuse: a misspelt member, a missing one, words and units that are on no list, a number
without a unit, and members that are misspelt deeper down."""
NAMED = ("wheelbse", "rated_ptoo")
"""Misspelt members that each type checker names, because the dict is annotated."""


def source(contract: Mapping[str, Any]) -> tuple[str, list[int]]:
    """Return a Python module, and the numbers of its lines that are wrong."""
    lines = [
        "import drawbar",
        "from drawbar.dicts import FuelRequestDict, SoilDict, TractorDict",
        "client = drawbar.Client()",
        'SOIL: SoilDict = {"texture": "medium", "surface": "firm"}',
        "TRACTOR: TractorDict = {",
        '    "drive": "two-wheel", "power": {"engine": "100 hp"}, "mass": {"value": 9.4, "unit": "t"}, "tires": None',
        "}",
    ]
    for path, item in contract["paths"].items():
        operation = item.get("post")
        if operation is not None and "{" not in path and "pictures" not in operation["tags"]:
            example = operation["requestBody"]["content"]["application/json"]["examples"]["worked"]["value"]
            lines += [f"client.{operation['operationId']}({literal(example)})"]
    first = len(lines) + 1
    return "\n".join([*lines, *WRONG]) + "\n", list(range(first, first + len(WRONG)))


def literal(value: Any) -> str:
    """Return a value of JSON as Python writes it."""
    return repr(json.loads(json.dumps(value)))
