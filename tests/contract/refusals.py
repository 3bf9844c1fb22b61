"""Requests drawn from the contract that the service refuses all the same, and for which kinds of faults."""

import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import msgspec
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from jsonschema import Draft202012Validator

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.schemas import WORDS
from drawbar_service.api.wire import JSON, Reader
from drawbar_service.model.findings import Findings, OutOfTime, Waiting

LISTED = Path(__file__).resolve().parent / "refused.toml"
READING = "(a member alone)"
"""Faults of a member whatever the others are: an id of no table, a date that is none, a text that is no tire."""
SECONDS = 2.0
"""After which an answer is not waited for: it would not be refused any more."""


def in_range(contract: dict[str, Any]) -> dict[str, Any]:
    """Return a contract in which texts mean something: quantities and sizes are their examples, ids those there are."""
    for schema in contract["components"]["schemas"].values():
        if "x-quantity" in schema and "examples" in schema:
            becomes(schema, schema["examples"])
        elif schema.get("maxLength") and WORDS in schema:
            becomes(schema, schema[WORDS])
    for schema in (contract["components"]["schemas"]["Tires"]["properties"]["size"],):
        becomes(schema, schema["examples"])
    days = [f"{year}-{month:02}-{day:02}" for year in (2026, 2027) for month in (4, 6, 10, 11) for day in (4, 12, 25)]
    for node in nodes(contract):
        if node.get("format") == "date":
            becomes(node, [*days, *([None] if isinstance(node["type"], list) else [])])
    return contract


def becomes(schema: dict[str, Any], values: list[Any]) -> None:
    """Let a schema hold these values alone."""
    kept = {"description": schema.get("description", ""), "enum": values}
    schema.clear()
    schema.update(kept)


def nodes(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for member in value.values():
            yield from nodes(member)
    elif isinstance(value, list):
        for item in value:
            yield from nodes(item)


@dataclass
class Tally:
    """What came of the requests drawn for a calculation."""

    drawn: int = 0
    refused: int = 0
    kinds: Counter[str] = field(default_factory=Counter[str])
    too_strict: list[str] = field(default_factory=list[str])
    """What was answered and does not fit the schema."""


def refusals(calculation: Calculation[Any, Any], contract: dict[str, Any], examples: int) -> Tally:
    """Return what comes of requests drawn from the `contract`, and of those answered with one member left out."""
    tally = Tally()
    schema = {"$ref": f"#/components/schemas/{calculation.request.__name__}", "components": contract["components"]}
    checked = Draft202012Validator(schema)
    reader = Reader(calculation.request)
    operation: Any = schemathesis.openapi.from_dict(contract)[calculation.path]["POST"]

    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        derandomize=True,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(operation.as_strategy())
    def tried(case: Any) -> None:
        if not isinstance(case.body, dict):
            return
        body = msgspec.json.encode(case.body)
        found = faults_of(calculation, reader, body)
        tally.drawn += 1
        tally.refused += bool(found)
        tally.kinds.update(found)
        if not found:
            for place, less in with_one_left_out(case.body, ""):
                if not checked.is_valid(less) and not faults_of(calculation, reader, msgspec.json.encode(less)):
                    tally.too_strict.append(f"{calculation.name} without {place}: {body.decode()}")

    tried()
    return tally


def with_one_left_out(value: Any, pointer: str) -> Iterator[tuple[str, Any]]:
    """Yield the pointer of every member of a request, and the request without it."""
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in parts:
        if isinstance(value, dict):
            yield f"{pointer}/{key}", {name: member for name, member in value.items() if name != key}
        for place, less in with_one_left_out(part, f"{pointer}/{key}"):
            yield place, {**value, key: less} if isinstance(value, dict) else [*value[:key], less, *value[key + 1 :]]


def faults_of(calculation: Calculation[Any, Any], reader: Reader[Any], body: bytes) -> set[str]:
    """Return the kinds of faults that a request is refused for, none if it is answered."""
    try:
        request = reader.read(body, JSON).request
    except ImpossibleInput:
        return {READING}
    noted: set[str] = set()
    usual = Findings.fault

    def fault(self: Findings, kind: str, pointer: str, **figures: Any) -> None:
        noted.add(kind)
        usual(self, kind, pointer, **figures)

    Findings.fault = fault
    try:
        calculation.compute(request, Ledger("metric", waiting=Waiting(time.monotonic() + SECONDS)))
    except ImpossibleInput:
        return noted
    except OutOfTime:
        pass
    finally:
        Findings.fault = usual
    return set()
