from collections.abc import Iterator
from typing import Any

import pytest
from litestar.testing import TestClient

from drawbar_service.app import create_app
from drawbar_service.settings import Settings


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient[Any]]:
    with TestClient(create_app(Settings()), raise_server_exceptions=False) as client:
        yield client
