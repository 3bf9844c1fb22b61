"""The service against its own contract, with cases made from it: right, wrong, and at the edges."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
import schemathesis
from hypothesis import settings
from schemathesis.config import SchemathesisConfig
from schemathesis.python import asgi
from tests.faults.processes import running

from drawbar_service.api.v1.batch import ARROW, CSV, NDJSON, PATH
from drawbar_service.api.wire import MSGPACK
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

CONTRACT = "/openapi/drawbar-v1.json"
FILE = Path(__file__).resolve().parents[2] / "openapi" / "drawbar-v1.json"
SMALL, LARGE = 15, 3_000
AT_LEAST = 50_000
WALKS = 400
CASES: Counter[str] = Counter()


@schemathesis.serializer(MSGPACK)
def msgpack(context: schemathesis.SerializationContext, value: Any) -> bytes:
    return msgspec.msgpack.encode(packable(value))


@schemathesis.serializer(NDJSON, CSV, ARROW)
def table(context: schemathesis.SerializationContext, value: Any) -> bytes:
    return value.encode() if isinstance(value, str) else msgspec.json.encode(value)


def packable(value: Any) -> Any:
    """MessagePack has no integers beyond 64 bits; a sender of such a number has to make it a float."""
    if isinstance(value, dict):
        return {key: packable(member) for key, member in value.items()}
    if isinstance(value, list):
        return [packable(item) for item in value]
    return float(value) if type(value) is int and value.bit_length() > 63 else value


def config(examples: int, *, shown: bool) -> SchemathesisConfig:
    """Return what is tried; `shown` tells whether curves and sheets are covered as thoroughly as the rest."""
    return SchemathesisConfig.from_dict(
        {
            "seed": 1,
            "generation": {"max-examples": examples, "deterministic": True},
            "phases": {
                "examples": {"enabled": True},
                "coverage": {"enabled": True},
                "fuzzing": {"enabled": True},
            },
            "checks": {
                # JSON Schema cannot say all that has to hold: that 8 in is a depth and 900 in is none, that a tool
                # counted by rows needs a count, that a turn has a time or a radius. Such a request is answered 422.
                "positive_data_acceptance": {"expected-statuses": ["2xx", "422"]},
                "negative_data_rejection": {"expected-statuses": ["400", "404", "405", "406", "413", "415", "422"]},
            },
            "operations": [
                # Their requests are those of other calculations, which are covered there.
                {"include-path-regex": "^/v1/(curves/|sheet)", "phases": {"coverage": {"enabled": shown}}},
                # To JSON Schema a table of rows is any text.
                {
                    "include-path": PATH,
                    "checks": {"positive_data_acceptance": {"expected-statuses": ["2xx", "400", "422"]}},
                },
            ],
        }
    )


APP: Any = create_app(Settings())


def schema_for(examples: int) -> Any:
    return schemathesis.openapi.from_asgi(CONTRACT, APP, config=config(examples, shown=False))


@pytest.fixture(scope="module")
def session() -> Iterator[Any]:
    """One client for all cases; without it each case pays for a new one."""
    with asgi.get_client(APP) as client:
        yield client


@pytest.fixture(scope="module")
def live() -> Iterator[str]:
    """A service as a process of its own; whatever it is sent, it is still there in the end."""
    with running(log_level="error") as (port, process):
        yield f"http://127.0.0.1:{port}"
        assert process.poll() is None, "the service ended"


small = schema_for(SMALL)
large = schemathesis.openapi.from_path(FILE, config=config(LARGE, shown=True))


@small.parametrize()
def test_every_operation_keeps_the_contract(case: schemathesis.Case, session: Any) -> None:
    case.call_and_validate(session=session)


@pytest.mark.nightly
@large.parametrize()
def test_every_operation_keeps_the_contract_at_length(case: schemathesis.Case, live: str) -> None:
    CASES[case.operation.label] += 1
    case.call_and_validate(base_url=live)


@pytest.mark.nightly
def test_whoever_follows_links_is_answered() -> None:
    schema_for(LARGE).as_state_machine().run(
        settings=settings(max_examples=WALKS, stateful_step_count=6, deadline=None, derandomize=True)
    )


@pytest.mark.nightly
def test_that_were_enough_cases() -> None:
    assert sum(CASES.values()) >= AT_LEAST, CASES
