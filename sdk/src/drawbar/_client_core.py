"""What both kinds of client have."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from typing import Self

from drawbar._options import Options, ResponseInfo, RetryPolicy, Timeout, Units, as_timeout


class BaseClient:
    """Settings and their copies, the same for both kinds of client."""

    _options: Options
    # Whether this object, and not one it was copied from, closes the connections.
    _closes: bool
    # Parts of a batch under way unless the caller says how many: while one is on its way, the other is calculated.
    _parts_at_once: int = 2

    def with_options(
        self,
        *,
        timeout: float | Timeout | None = None,
        retry: RetryPolicy | None = None,
        units: Units | None = None,
        on_response: Callable[[ResponseInfo], None] | None = None,
    ) -> Self:
        """Give a client with other settings that shares this one's connections.

        It costs next to nothing, so make one for a single call if need be. It lives as long as this client: closing
        it does nothing, closing this client closes both.

        Parameters
        ----------
        timeout
            Limits of one attempt; a bare number is the total [s]. None keeps this client's, here and below.
        retry
            When to repeat a failed attempt; `RetryPolicy(attempts=1)` for never.
        units
            Units of the answers.
        on_response
            Told about each call's last response, error or not, before the call returns. This is how to get the
            request id of a success: `client.with_options(on_response=seen.append).match(request)`.

        Raises
        ------
        BadSetting
            If the timeout is not a finite number above 0.
        """
        kept = self._options
        twin = copy.copy(self)
        twin._closes = False
        twin._options = replace(
            kept,
            timeout=kept.timeout if timeout is None else as_timeout(timeout),
            retry=retry or kept.retry,
            units=units or kept.units,
            on_response=on_response or kept.on_response,
        )
        return twin

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self._options.address!r})"
