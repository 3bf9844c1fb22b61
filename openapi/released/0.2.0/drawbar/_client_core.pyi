from __future__ import annotations
import copy
from collections.abc import Callable
from dataclasses import replace
from typing import Self
from drawbar._options import Options, ResponseInfo, RetryPolicy, Timeout, Units, as_timeout

class BaseClient:
    _options: Options
    _closes: bool
    _parts_at_once: int = 2

    def with_options(self, *, timeout: float | Timeout | None=None, retry: RetryPolicy | None=None, units: Units | None=None, on_response: Callable[[ResponseInfo], None] | None=None) -> Self:
        ...

    def __repr__(self) -> str:
        ...
