from collections.abc import Iterator
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient

from drawbar_service.api.openapi import document
from drawbar_service.app import create_app
from drawbar_service.settings import Settings


@pytest.fixture(scope="session")
def contract() -> dict[str, Any]:
    """The contract as clients get it: through JSON, so that no tuple or number type of ours shows."""
    return msgspec.json.decode(msgspec.json.encode(document()), type=dict[str, Any])


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient[Any]]:
    with TestClient(create_app(Settings()), raise_server_exceptions=False) as client:
        yield client
