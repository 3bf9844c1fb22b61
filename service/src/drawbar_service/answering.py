"""From the body of a request to the bytes of its answer: whose turn it is, what it costs, and where it is worked out.

What takes a moment is worked out on the event loop, what takes a while in a thread, what takes long in a process. Which
it is follows from the request, by what such requests were measured to cost (``api/costs.toml``). Each kind has turns of
its own, so that none waits for another, and turns go round callers.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from functools import partial
from threading import Event
from time import monotonic
from typing import TYPE_CHECKING, Any, Final, NamedTuple, Protocol, TypeVar

from drawbar_service.api.answers import Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.costs import seconds_shown, units_of_cost
from drawbar_service.api.every_fault import further_faults
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.ranges import with_ranges_noted
from drawbar_service.api.renamed import announce, in_given_words, with_renamings
from drawbar_service.api.trimmed import Wanted, trimmed
from drawbar_service.api.wire import MEDIA_TYPES, Read, Reader, write
from drawbar_service.model.findings import Waiting
from drawbar_service.security.spending import spend
from drawbar_service.security.turns import Turns, caller_of
from drawbar_service.settings import Settings
from drawbar_service.showing import Shown, show

if TYPE_CHECKING:
    from litestar.types import Receive, Scope

    from drawbar_service.batch.answer import Pay
    from drawbar_service.workers import Workers

T = TypeVar("T")

_BESIDE: Final = ThreadPoolExecutor(max_workers=32, thread_name_prefix="beside")
"""Works beside the event loop, or waits for a process that does; turns bound how much of it there is at a time."""
_CALLERS_BESIDE: Final = 4
"""Callers whose work takes a while share the interpreter, one request of each at a time, so that nobody's heavy request
keeps the others waiting to its end."""
_QUICKLY_READ: Final = 8_192
"""Bytes of a body that are read in far less than a millisecond; larger ones are read in a thread."""
_PROCESSORS: Final = os.cpu_count() or 1


class Gone(Exception):  # noqa: N818 - it names what happened
    """The caller has left; nobody takes an answer."""


class Kinds(NamedTuple):
    """Turns at each kind of work."""

    moments: Turns
    whiles: Turns
    long: Turns
    pictures: Turns


def kinds_of(settings: Settings) -> Kinds:
    """Return the turns that the settings ask for."""
    many = settings.processes or _PROCESSORS
    half = max(1, many // 2)
    quick = partial(Turns, line=settings.line, patience=settings.queue_patience, retry_after=1)
    later = partial(Turns, line=settings.line, patience=settings.long_patience, retry_after=5)
    return Kinds(
        moments=quick("Calculations", 1, each=1),
        whiles=later("Calculations that take a while", _CALLERS_BESIDE, each=1),
        long=later("Calculations that take long", many, each=half),
        pictures=later("Pictures", many, each=half),
    )


async def turn_of_batch(turns: Turns, scope: Scope) -> Callable[[], None]:
    """Wait for the turn of a batch; return what ends it.

    Raises
    ------
    Refused
        If none came in time.
    """
    caller = caller_of(scope)
    await turns.take(caller)
    return partial(turns.give, caller)


def paying(scope: Scope) -> Pay | None:
    """Return what takes the cost of rows from the caller, in the thread that works them; None where nothing is paid."""
    slowly = scope["state"].get("spend_slowly")
    if slowly is None:
        return None

    def pay(seconds: float, cancelled: Event) -> None:
        from anyio import from_thread  # noqa: PLC0415 - comes with the framework, which a process may do without

        from_thread.run(slowly, units_of_cost(seconds), cancelled.is_set)

    return pay


class Heard(Protocol):
    """A request of which more may be heard: that its caller has gone."""

    @property
    def scope(self) -> Scope:
        """What its head says."""
        ...

    @property
    def receive(self) -> Receive:
        """What tells more of it."""
        ...


class Asked(NamedTuple):
    """A request as it came in."""

    request: Heard
    body: bytes
    media_type: str
    """Of the body."""
    answer_type: str
    """Media type of the answer."""
    wanted: Wanted


class Answering:
    """Answers the requests of one calculation.

    Parameters
    ----------
    calculation : Calculation
    beside : Calculation
        The same, worked out in a process.
    kinds : Kinds
    seconds : float
        From the arrival of a request to its answer, at most [s].
    workers : Workers, optional
        Processes that draw; left out: threads do.
    """

    def __init__(
        self,
        calculation: Calculation[Any, Any],
        beside: Calculation[Any, Any],
        kinds: Kinds,
        seconds: float,
        workers: Workers | None,
    ) -> None:
        self._calculation = calculation
        self._beside = beside
        self._kinds = kinds
        self._seconds = seconds
        self._workers = workers
        self._reader = Reader(calculation.request, further_faults(calculation))

    async def answer(self, asked: Asked) -> Shown:
        """Return the bytes of an answer.

        Raises
        ------
        UnreadableBody, ImpossibleInput
            If the body is no request.
        Refused
            If no turn came in time, or the caller has spent what it may.
        OutOfTime
            If the answer did not come in time.
        Gone
            If the caller has left.
        """
        waiting = Waiting(monotonic() + self._seconds)
        caller = caller_of(asked.request.scope)
        if len(asked.body) > _QUICKLY_READ:
            return await _unless_gone(asked.request, self._later(asked, None, caller, waiting), waiting)
        read, answer = await self._kinds.moments.hold(caller, self._at_once, asked, waiting)
        if answer is not None:
            return answer
        return await _unless_gone(asked.request, self._later(asked, read, caller, waiting), waiting)

    async def _at_once(self, asked: Asked, waiting: Waiting) -> tuple[Read[Any], Shown | None]:
        """Return the request, and its answer if that takes a moment."""
        read = self._reader.read(asked.body, asked.media_type)
        await self._begin(asked, read)
        if asked.answer_type in MEDIA_TYPES and self._calculation.lasts(read.request) == "moment":
            return read, self._written(self._calculation, read, asked, waiting)
        return read, None

    async def _later(self, asked: Asked, read: Read[Any] | None, caller: str, waiting: Waiting) -> Shown:
        """Return the answer, worked out beside the event loop."""
        kinds = self._kinds
        if read is None:
            found: Read[Any] = await kinds.whiles.hold(caller, _beside, self._reader.read, asked.body, asked.media_type)
            await self._begin(asked, found)
            read = found
        long = self._calculation.lasts(read.request) == "long"
        turns, calculation = (kinds.long, self._beside) if long else (kinds.whiles, self._calculation)
        if asked.answer_type in MEDIA_TYPES:
            return await turns.hold(caller, _beside, self._written, calculation, read, asked, waiting)
        answer = await turns.hold(caller, _beside, self._computed, calculation, read, asked, waiting)
        return await kinds.pictures.hold(caller, _beside, self._shown, answer, asked, waiting)

    async def _begin(self, asked: Asked, read: Read[Any]) -> None:
        """Announce the end of old words that the request has, and have it paid for."""
        if read.renamings:
            announce(asked.request.scope["state"])
        seconds = self._calculation.seconds(read.request)
        if asked.answer_type not in MEDIA_TYPES:
            seconds += seconds_shown(self._calculation.name)
        await spend(asked.request.scope)(units_of_cost(seconds))

    def _computed(self, calculation: Calculation[Any, Any], read: Read[Any], asked: Asked, waiting: Waiting) -> Answer:
        try:
            answer = calculation.compute(read.request, Ledger(asked.wanted.units, waiting=waiting))
        except ImpossibleInput as error:
            if not read.renamings:
                raise
            raise ImpossibleInput(in_given_words(error.faults, read.renamings)) from error
        return with_renamings(with_ranges_noted(answer, asked.body, asked.media_type), read.renamings)

    def _written(self, calculation: Calculation[Any, Any], read: Read[Any], asked: Asked, waiting: Waiting) -> Shown:
        answer = self._computed(calculation, read, asked, waiting)
        return Shown(write(trimmed(answer, asked.wanted), asked.answer_type, asked.wanted.units), {})

    def _shown(self, answer: Answer, asked: Asked, waiting: Waiting) -> Shown:
        name = self._calculation.name
        if self._workers is None:
            return show(self._calculation, answer, asked.answer_type, asked.wanted)
        return self._workers.show(name, answer, asked.answer_type, asked.wanted, waiting)


def _beside(work: Callable[..., T], *arguments: Any) -> Awaitable[T]:
    """Do some work in a thread."""
    # In the context of this request, which a thread of a pool would not know by itself.
    return asyncio.get_running_loop().run_in_executor(_BESIDE, partial(copy_context().run, work, *arguments))


async def _unless_gone(request: Heard, work: Awaitable[T], waiting: Waiting) -> T:
    """Return what some `work` comes to; let go of it once the caller has gone.

    Raises
    ------
    Gone
        If he has.
    """
    working, hearing = asyncio.ensure_future(work), asyncio.ensure_future(request.receive())
    try:
        # After the body, the next that is heard of a caller is that he has gone.
        await asyncio.wait((working, hearing), return_when=asyncio.FIRST_COMPLETED)
        if working.done():
            return working.result()
        raise Gone
    finally:
        waiting.leave()
        working.cancel()
        hearing.cancel()
