"""The service against its own contract, with cases made from it: right, wrong, and at the edges.

`tests/long/contract.py` tries many more, on a live service.
"""

from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from schemathesis.python import asgi
from tests.contract.tried import config

from drawbar_service.app import create_app
from drawbar_service.settings import Settings

CONTRACT = "/openapi/drawbar-v1.json"
EXAMPLES = 15
APP: Any = create_app(Settings())


@pytest.fixture(scope="module")
def session() -> Iterator[Any]:
    """One client for all cases; without it each case pays for a new one."""
    with asgi.get_client(APP) as client:
        yield client


schema: Any = schemathesis.openapi.from_asgi(CONTRACT, APP, config=config(EXAMPLES, twins=False))


@schema.parametrize()
def test_every_operation_keeps_the_contract(case: schemathesis.Case, session: Any) -> None:
    case.call_and_validate(session=session)
