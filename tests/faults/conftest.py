import asyncio
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

import msgspec
import pytest

from drawbar_service.api.v1.match import MATCH
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

JSON, MSGPACK = "application/json", "application/msgpack"


class Reply(NamedTuple):
    status: int
    headers: dict[str, str]
    body: bytes

    def json(self) -> Any:
        return msgspec.json.decode(self.body)


class Ask:
    """Speaks ASGI to the service directly, so that nothing on the way mends what is broken."""

    def __init__(self, app: Any) -> None:
        self._app = app

    def __call__(
        self,
        method: str,
        path: str,
        body: bytes = b"",
        headers: Iterable[tuple[str, bytes]] = (),
        query: bytes = b"",
        chunks: Sequence[bytes] | None = None,
    ) -> Reply:
        parts = list(chunks if chunks is not None else [body])
        sent: list[dict[str, Any]] = []

        async def receive() -> dict[str, Any]:
            if not parts:
                # Nothing more is heard of a caller who waits for his answer.
                await asyncio.Event().wait()
            part = parts.pop(0)
            return {"type": "http.request", "body": part, "more_body": bool(parts)}

        async def send(message: dict[str, Any]) -> None:
            sent.append(message)

        scope = {
            "type": "http",
            "asgi": {"version": "3.0", "spec_version": "2.3"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": path,
            "raw_path": path.encode("utf-8", "replace"),
            "root_path": "",
            "query_string": query,
            "headers": [(b"host", b"farm.test"), *((name.lower().encode(), value) for name, value in headers)],
            "client": ("127.0.0.1", 1),
            "server": ("127.0.0.1", 80),
            "state": {},
        }
        asyncio.run(self._app(scope, receive, send))
        start, *rest = sent
        names = {name.decode(): value.decode() for name, value in start["headers"]}
        return Reply(start["status"], names, b"".join(message.get("body", b"") for message in rest))


@pytest.fixture(scope="session")
def ask() -> Ask:
    return Ask(create_app(Settings()))


@pytest.fixture(scope="session")
def match_body() -> bytes:
    return msgspec.json.encode(MATCH.example)


@pytest.fixture(scope="session")
def problem_of() -> Callable[[Reply], Any]:
    """Checks what holds for every failure and returns its problem document."""

    def check(reply: Reply) -> Any:
        assert 400 <= reply.status < 500, reply
        assert reply.headers["content-type"] == "application/problem+json"
        assert reply.headers["x-content-type-options"] == "nosniff"
        assert reply.headers["cache-control"] == "no-store"
        problem = reply.json()
        assert problem["status"] == reply.status
        assert problem["instance"] == reply.headers["x-request-id"]
        assert problem["type"].startswith("/docs/problems#")
        assert problem["title"]
        assert problem["detail"]
        text = reply.body.decode("utf-8")
        assert "Traceback" not in text
        assert ".py" not in text
        assert "site-packages" not in text
        assert len(problem["detail"]) < 600
        assert len(problem.get("errors", [])) <= 50
        for error in problem.get("errors", []):
            assert error["detail"]
            assert len(error["pointer"]) < 200
        return problem

    return check
