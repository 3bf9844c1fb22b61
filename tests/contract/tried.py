"""What of the contract is tried on the service, and what it may answer."""

from collections.abc import Collection
from typing import Any

import msgspec
import schemathesis
from schemathesis.config import SchemathesisConfig

from drawbar_service.api.openapi import contract
from drawbar_service.api.v1.batch.request import ARROW, CSV, NDJSON, PATH
from drawbar_service.api.wire import MSGPACK

ONCE = "DraftRequest"
"""The request whose `tables` are tried at their limits: they are the same part, with some 4,000 cases, in every one."""


@schemathesis.serializer(MSGPACK)
def msgpack(context: schemathesis.SerializationContext, value: Any) -> bytes:
    return msgspec.msgpack.encode(packable(value))


@schemathesis.serializer(NDJSON, CSV, ARROW)
def table(context: schemathesis.SerializationContext, value: Any) -> bytes:
    return value.encode() if isinstance(value, str) else msgspec.json.encode(value)


def document(*, tables_in: Collection[str]) -> dict[str, Any]:
    """Return the contract with figures of the caller's own in these requests only; `tests/own` tries them all."""
    whole = msgspec.json.decode(contract())
    for name, kind in whole["components"]["schemas"].items():
        if name not in tables_in:
            kind.get("properties", {}).pop("tables", None)
    return whole


def packable(value: Any) -> Any:
    """MessagePack has no integers beyond 64 bits; a sender of such a number has to make it a float."""
    if isinstance(value, dict):
        return {key: packable(member) for key, member in value.items()}
    if isinstance(value, list):
        return [packable(item) for item in value]
    return float(value) if type(value) is int and value.bit_length() > 63 else value


def config(examples: int, *, limits: bool) -> SchemathesisConfig:
    """Return what is tried; `limits` says whether that is also every field at and beyond its limits."""
    return SchemathesisConfig.from_dict(
        {
            "seed": 1,
            "generation": {"max-examples": examples, "deterministic": True},
            "phases": {
                "examples": {"enabled": True},
                "coverage": {"enabled": limits},
                "fuzzing": {"enabled": True},
                "stateful": {"enabled": True},
            },
            "checks": {
                # JSON Schema cannot say all that has to hold: that 8 in is a depth and 900 in is none, that a tool
                # counted by rows needs a count, that a turn has a time or a radius. Such a request is answered 422.
                "positive_data_acceptance": {"expected-statuses": ["2xx", "422"]},
                "negative_data_rejection": {"expected-statuses": ["400", "404", "405", "406", "413", "415", "422"]},
            },
            "operations": [
                # To JSON Schema a table of rows is any text.
                {
                    "include-path": PATH,
                    "checks": {"positive_data_acceptance": {"expected-statuses": ["2xx", "400", "422"]}},
                },
            ],
        }
    )
