"""Who is worked for next: turns that go round callers, so that nobody's flood is anybody else's wait.

Each kind of work has turns of its own. A caller is a key, the subject of a token, or, where neither is wanted, an
address. Whoever has much in line waits behind his own requests only; if the line is full, the newest request of whoever
has most in it is refused.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, Final, TypeVar

from drawbar_service.security.refusal import Refused

if TYPE_CHECKING:
    from litestar.types import Scope

T = TypeVar("T")

GUARDED: Final = "/v1/"
"""Routes that are counted and for which a key may be wanted: all but health, documentation and the contract."""
_NETWORK: Final = 4
"""Groups of an IPv6 address that name a network: one home or office has all addresses of it."""


def caller_of(scope: Scope) -> str:
    """Return whose turn a request takes: its key or token, else the address it comes from."""
    named: str | None = scope["state"].get("client")
    if named is not None:
        return named
    address = (scope["client"] or ("",))[0]
    return ":".join(address.split(":")[:_NETWORK]) if ":" in address else address


class Turns:
    """Turns at one kind of work.

    Parameters
    ----------
    what : str
        Kind of work, in the plural.
    most : int
        Requests at work at the same time.
    each : int
        Of these, of one caller.
    line : int
        Requests that wait.
    patience : float
        Longest wait [s]; 0 for none.
    retry_after : int
        When to ask again, if refused [s].
    """

    def __init__(self, what: str, most: int, *, each: int, line: int, patience: float, retry_after: int = 1) -> None:
        self._what = what
        self._most = most
        self._each = each
        self._line = line
        self._patience = patience
        self._retry_after = retry_after
        self._at_work: dict[str, int] = {}
        # In order of their turns; a caller without a request in line is not in it.
        self._waiting: dict[str, deque[asyncio.Future[str]]] = {}
        self._long = 0

    async def take(self, caller: str) -> None:
        """Take a turn, or wait for one.

        Raises
        ------
        Refused
            With status 503, if none came in time, or the line is full and mostly this caller's.
        """
        # Whoever waits although there is room waits for a turn of his own, and so keeps nobody back.
        if sum(self._at_work.values()) < self._most and self._may(caller):
            self._at_work[caller] = self._at_work.get(caller, 0) + 1
            return
        if not self._patience:
            raise self._refused("and nobody waits here")
        if self._long >= self._line:
            self._make_room(caller)
        loop = asyncio.get_running_loop()
        turn: asyncio.Future[str] = loop.create_future()
        self._waiting.setdefault(caller, deque()).append(turn)
        self._long += 1
        timer = loop.call_later(self._patience, self._say, turn, f"and this one has waited {self._patience:g} s")
        try:
            refusal = await turn
        except asyncio.CancelledError:
            # The turn may have come in the same turn of the loop.
            if turn.done() and not turn.cancelled() and not turn.result():
                self.give(caller)
            raise
        finally:
            timer.cancel()
            self._leave(caller, turn)
        if refusal:
            raise self._refused(refusal)

    def give(self, caller: str) -> None:
        """End a turn; the next goes to the caller who has waited for one the longest."""
        left = self._at_work[caller] - 1
        if left:
            self._at_work[caller] = left
        else:
            del self._at_work[caller]
        for following, line in self._waiting.items():
            if self._may(following):
                turn = next((one for one in line if not one.done()), None)
                if turn is not None:
                    self._at_work[following] = self._at_work.get(following, 0) + 1
                    turn.set_result("")
                    # Behind everybody else, before he asks again.
                    self._waiting[following] = self._waiting.pop(following)
                    return

    async def hold(self, caller: str, work: Callable[..., Awaitable[T]], *arguments: object) -> T:
        """Do some work in a turn.

        Raises
        ------
        Refused
            As :meth:`take`.
        """
        await self.take(caller)
        try:
            # What has arrived by now is put in line before this one is worked, which may not let go of the event loop.
            await asyncio.sleep(0)
            return await work(*arguments)
        finally:
            self.give(caller)

    def _may(self, caller: str) -> bool:
        return self._at_work.get(caller, 0) < self._each

    def _make_room(self, caller: str) -> None:
        """Refuse the newest request of whoever has most in line, this one if that is its caller."""
        longest = max(self._waiting, key=lambda one: len(self._waiting[one]))
        if len(self._waiting[longest]) <= len(self._waiting.get(caller, ())):
            raise self._refused(f"and {self._long} more wait, the most there may be")
        newest = next((one for one in reversed(self._waiting[longest]) if not one.done()), None)
        if newest is not None:
            self._say(newest, f"and {self._long} more wait, most of them from here")
            self._leave(longest, newest)

    def _leave(self, caller: str, turn: asyncio.Future[str]) -> None:
        line = self._waiting.get(caller)
        if line is not None and turn in line:
            line.remove(turn)
            self._long -= 1
            if not line:
                del self._waiting[caller]

    def _say(self, turn: asyncio.Future[str], refusal: str) -> None:
        if not turn.done():
            turn.set_result(refusal)

    def _refused(self, why: str) -> Refused:
        if sum(self._at_work.values()) >= self._most:
            count = f"all {self._most} slots are busy" if self._most > 1 else "another is at work"
        else:
            count = f"{self._each} of yours are at work" if self._each > 1 else "one of yours is at work"
        return Refused(
            503,
            f"{self._what}: {count}, {why}; retry in {self._retry_after} s",
            {"Retry-After": str(self._retry_after)},
        )
