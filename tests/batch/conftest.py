import json
from collections.abc import Iterator
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient

from drawbar_service.api.v1.batch.request import ARROW, CSV, NDJSON
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.wire import JSON, MSGPACK
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

FORMATS = (JSON, MSGPACK, NDJSON, CSV, ARROW)


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient[Any]]:
    with TestClient(create_app(Settings()), raise_server_exceptions=False) as client:
        yield client


@pytest.fixture(scope="session")
def small() -> Iterator[TestClient[Any]]:
    """A service that takes little."""
    settings = Settings(batch_body_bytes=2_000, batch_stream_bytes=4_000, batch_rows=10, batch_stream_rows=20)
    with TestClient(create_app(settings), raise_server_exceptions=False) as client:
        yield client


@pytest.fixture(scope="session")
def capacity() -> dict[str, Any]:
    """A scenario of which a row costs little."""
    return dict(FIELD_CAPACITY.example)


def dump(value: object) -> bytes:
    return json.dumps(value).encode()


def packed(value: object) -> bytes:
    return msgspec.msgpack.encode(value)
