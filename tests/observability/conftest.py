import io
import logging
from collections.abc import Callable, Iterator
from typing import Any

import msgspec
import pytest
from tests.faults.conftest import Ask

from drawbar_service.api.v1.match import MATCH
from drawbar_service.app import create_app
from drawbar_service.observability.logs import JsonFormatter
from drawbar_service.settings import Settings

SECRET = "kept-between-us"
"""Stands wherever a caller can put text; nothing that is seen may hold it."""
SECRET_HEADERS = (("authorization", SECRET.encode()), ("x-api-key", SECRET.encode()), ("user-agent", SECRET.encode()))


@pytest.fixture
def build() -> Callable[..., Ask]:
    """Makes a service from its settings."""
    return lambda **settings: Ask(create_app(Settings(**settings)))


@pytest.fixture
def match_body() -> bytes:
    return msgspec.json.encode(MATCH.example)


@pytest.fixture
def logged() -> Iterator[Callable[[], list[Any]]]:
    """What has been logged as JSON, line by line."""
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.setFormatter(JsonFormatter())
    logger = logging.getLogger("drawbar_service")
    logger.addHandler(handler)
    logger.setLevel(logging.INFO)
    yield lambda: [msgspec.json.decode(line) for line in stream.getvalue().splitlines()]
    logger.removeHandler(handler)
    logger.setLevel(logging.NOTSET)
