"""The service against its own contract, with cases made from it: right, wrong, and at the edges.

`tests/long/contract.py` tries many more, on a live service.
"""

from collections.abc import Iterator
from typing import Any

import msgspec
import pytest
import schemathesis
from schemathesis.python import asgi
from tests.contract.tried import config

from drawbar_service.api.openapi import contract
from drawbar_service.api.wire import MSGPACK
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

EXAMPLES = 15
APP: Any = create_app(Settings())


@pytest.fixture(scope="module")
def session() -> Iterator[Any]:
    """One client for all cases; without it each case pays for a new one."""
    with asgi.get_client(APP) as client:
        yield client


def in_json_alone() -> dict[str, Any]:
    """The contract without MessagePack, which is read into the same types: covering it, too, takes as long again."""
    document = msgspec.json.decode(contract(), type=dict[str, Any])
    for item in document["paths"].values():
        for operation in item.values():
            operation.get("requestBody", {"content": {}})["content"].pop(MSGPACK, None)
    return document


schema: Any = schemathesis.openapi.from_dict(in_json_alone(), config=config(EXAMPLES, twins=False))
schema.app = APP


@schema.parametrize()
def test_every_operation_keeps_the_contract(case: schemathesis.Case, session: Any) -> None:
    case.call_and_validate(session=session)
