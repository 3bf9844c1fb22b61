"""Processes that work out what takes long, so that the event loop keeps Python's lock to itself.

They are forked from one that has loaded the calculations and nothing of the web, when the first of them is needed; each
works one thing at a time. A process whose caller has left, or that is out of time, is killed, which costs a fork.
"""

import logging
import multiprocessing
import os
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock
from time import monotonic
from typing import Any, Final, NamedTuple, cast

from drawbar_service.api.answers import Answer, Ledger
from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.trimmed import Wanted
from drawbar_service.model.findings import OutOfTime, Waiting
from drawbar_service.quantities import UnitSystem
from drawbar_service.showing import Shown, show

_TRIAL: Final = 20.0
"""Longest wait for the first process [s]."""
_LOOK: Final = 0.05
"""How often to see whether anybody still waits [s]."""
_NICENESS: Final = 5
"""So that the event loop, which answers everybody, comes first."""
_BY_NAME: Final = {one.name: one for one in (*CALCULATIONS, *SHOWN)}


log = logging.getLogger("drawbar_service")


class Crashed(Exception):  # noqa: N818 - it names what happened
    """A process ended before its work did."""


class _Worker(NamedTuple):
    process: BaseProcess
    pipe: Connection


class Workers:
    """Processes for long work."""

    def __init__(self) -> None:
        forks = "forkserver" in multiprocessing.get_all_start_methods()
        self._context: Any = multiprocessing.get_context("forkserver" if forks else "spawn")
        if forks:
            # What is not installed is left out. What draws takes half a second to load, in every process that has to.
            self._context.set_forkserver_preload([__name__, "matplotlib.backends.backend_svg", "matplotlib.figure"])
        self._idle: list[_Worker] = []
        self._lock = Lock()
        self._trial = Lock()
        self._able: bool | None = None

    def compute(self, calculation: str, request: Any, ledger: Ledger) -> Answer:
        """Return the answer of the calculation of this name; blocks.

        Raises
        ------
        ImpossibleInput
            As the calculation does.
        Abandoned, OutOfTime
            As ``ledger.go_on``.
        Crashed
            If the process ends.
        """
        if not self._may_start():
            return _BY_NAME[calculation].compute(request, ledger)
        return self.call(ledger.waiting, _compute, calculation, request, ledger.units)

    def show(self, calculation: str, answer: Answer, media_type: str, wanted: Wanted, waiting: Waiting) -> Shown:
        """Return an answer as people see it, as :func:`drawbar_service.showing.show`; blocks.

        Raises
        ------
        NotAcceptable
            If what draws it is not installed.
        Abandoned, OutOfTime, Crashed
            As :meth:`compute`.
        """
        if not self._may_start():
            return _show(calculation, answer, media_type, wanted)
        return self.call(waiting, _show, calculation, answer, media_type, wanted)

    def close(self) -> None:
        """End the processes that are idle."""
        with self._lock:
            for worker in self._idle:
                worker.pipe.close()  # on which it ends by itself
            self._idle.clear()

    def call(self, waiting: Waiting, work: Callable[..., Any], *arguments: Any) -> Any:
        """Return what some work comes to in a process; blocks.

        Parameters
        ----------
        waiting : Waiting
        work : callable
            A function of a module, which with its arguments and its result can be pickled.

        Raises
        ------
        Abandoned, OutOfTime
            As ``waiting.go_on``.
        Crashed
            If the process ends.
        """
        waiting.go_on()
        worker = self._taken()
        ended = False
        try:
            worker.pipe.send((work, arguments))
            while not worker.pipe.poll(_LOOK):
                waiting.go_on()
            done, result = worker.pipe.recv()
            ended = True
        except (EOFError, OSError) as error:
            worker.process.join(_LOOK)
            raise Crashed(f"a process for long work ended with {worker.process.exitcode}") from error
        finally:
            if ended:
                with self._lock:
                    self._idle.append(worker)
            else:
                worker.process.kill()
                worker.process.join()
                worker.pipe.close()
        if not done:
            raise result
        return result

    def _may_start(self) -> bool:
        """Return whether processes can be started here, as found out once; else the thread that asks does the work."""
        with self._trial:
            if self._able is not None:
                return self._able
            able = False
            try:
                able = self.call(Waiting(monotonic() + _TRIAL), abs, -7) == 7
            except (OSError, EOFError, Crashed, OutOfTime) as error:
                log.warning("no process can be started here (%s): threads work out what takes long", error)
            self._able = able
            return able

    def _taken(self) -> _Worker:
        with self._lock:
            if self._idle:
                return self._idle.pop()
        ours, theirs = self._context.Pipe()
        process: BaseProcess = self._context.Process(target=_work, args=(theirs,), name="drawbar-long", daemon=True)
        process.start()
        theirs.close()
        return _Worker(process, cast("Connection", ours))


def _compute(calculation: str, request: Any, units: UnitSystem) -> Answer:
    return _BY_NAME[calculation].compute(request, Ledger(units))


def _show(calculation: str, answer: Answer, media_type: str, wanted: Wanted) -> Shown:
    return show(_BY_NAME[calculation], answer, media_type, wanted)


def _work(pipe: Connection) -> None:
    """Work what comes through a pipe, until its other end is closed."""
    # The service decides when it is over: it closes the pipe.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    if sys.platform != "win32":
        os.nice(_NICENESS)
    with suppress(EOFError, BrokenPipeError):
        while True:
            work, arguments = pipe.recv()
            try:
                reply = True, work(*arguments)
            except Exception as error:
                # Raised again where it is waited for.
                reply = False, error
            pipe.send(reply)
