"""The service against its own contract: the examples of every operation, and requests drawn at random, right and wrong.

`tests/long/contract.py` draws more, tries every field at and beyond its limits, and does so on a live service. Those
cases take half a minute only to make, which every process of the tests would do for itself.
"""

from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from schemathesis.python import asgi
from tests.contract.tried import config, document

from drawbar_service.app import create_app
from drawbar_service.settings import Settings

EXAMPLES = 15
APP: Any = create_app(Settings())


@pytest.fixture(scope="module")
def session() -> Iterator[Any]:
    """One client for all cases; without it each case pays for a new one."""
    with asgi.get_client(APP) as client:
        yield client


schema: Any = schemathesis.openapi.from_dict(document(tables_in=()), config=config(EXAMPLES, limits=False))
schema.app = APP


@schema.parametrize()
def test_every_operation_keeps_the_contract(case: schemathesis.Case, session: Any) -> None:
    case.call_and_validate(session=session)
