from __future__ import annotations
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import TracebackType
from typing import TYPE_CHECKING, Any, Literal, Self
from drawbar._client_core import BaseClient
from drawbar._operations import BATCH, PICTURE, SHEET_PAGE
from drawbar._options import Options, ResponseInfo, RetryPolicy, Timeout, Token, Units
from drawbar._wire import Operation, T, build
if TYPE_CHECKING:
    import httpx2
    import msgspec
    from drawbar._in_process import AsgiApp
    from drawbar.batch import BatchResult, Part, Progress, Vary

class SyncCore(BaseClient):

    def __init__(self, base_url: str | None=None, *, api_key: str | None=None, token: Token | None=None, timeout: float | Timeout | None=None, retry: RetryPolicy | None=None, units: Units | None=None, on_response: Callable[[ResponseInfo], None] | None=None, http_client: httpx2.Client | None=None, transport: httpx2.BaseTransport | None=None) -> None:
        ...

    @classmethod
    def in_process(cls, app: AsgiApp | None=None, *, api_key: str | None=None, token: Token | None=None, timeout: float | Timeout | None=None, retry: RetryPolicy | None=None, units: Units | None=None, on_response: Callable[[ResponseInfo], None] | None=None) -> Self:
        ...

    def close(self) -> None:
        ...

    def __enter__(self) -> Self:
        ...

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, traceback: TracebackType | None) -> None:
        ...

    def batch(self, calculation: str, scenario: Mapping[str, Any] | msgspec.Struct, vary: Vary, *, mode: Literal['zip', 'grid']='zip', columns: Sequence[str] | None=None, units: Units | None=None, rows_per_request: int | None=None, concurrency: int | None=None, on_progress: Progress | None=None) -> BatchResult:
        ...

    def picture(self, curve: str, request: Mapping[str, Any] | msgspec.Struct, *, media_type: Literal['image/svg+xml', 'image/png']='image/svg+xml', units: Units | None=None) -> bytes:
        ...

    def sheet_page(self, request: Mapping[str, Any] | msgspec.Struct, *, units: Units | None=None) -> bytes:
        ...

    def batch_bytes(self, calculation: str, content: bytes, *, sends: str, accept: str, units: Units | None=None) -> bytes:
        ...

    def _call(self, operation: Operation[T], body: object=None, units: Units | None=None, *, path: Mapping[str, str] | None=None, query: Mapping[str, str | float | bool] | None=None) -> T:
        ...
