"""A file that is read again when it changes, so that keys can be replaced without a restart."""

import logging
from collections.abc import Callable
from pathlib import Path
from time import monotonic
from typing import Generic, TypeAlias, TypeVar

T = TypeVar("T")

Stamp: TypeAlias = tuple[int, int, int]

_EVERY = 1.0
"""Shortest time between two looks at the file [s]."""

log = logging.getLogger("drawbar_service")


class Watched(Generic[T]):
    """What a file says.

    A file that has become unreadable changes nothing but the log: what it said last holds until it can be read again.

    Parameters
    ----------
    path : Path
        Read at once.
    read : callable
        From the file's bytes to what it says; raises ValueError if it says nothing sensible.
    clock : callable
        Monotonic time [s].

    Raises
    ------
    OSError, ValueError
        If it cannot be read the first time.
    """

    def __init__(self, path: Path, read: Callable[[bytes], T], clock: Callable[[], float] = monotonic) -> None:
        self._path = path
        self._read = read
        self._clock = clock
        # Before it is read: a change between the two is seen at the next look.
        self._stamp = self._look()
        self._said = read(path.read_bytes())
        self._next = clock() + _EVERY

    def said(self) -> T:
        """Return what the file says, as of a second ago or later."""
        now = self._clock()
        if now >= self._next:
            self._next = now + _EVERY
            self._renew()
        return self._said

    def _renew(self) -> None:
        stamp = self._look()
        if stamp == self._stamp:
            return
        self._stamp = stamp
        try:
            self._said = self._read(self._path.read_bytes())
        except (OSError, ValueError) as error:
            # The sentence says it all; a traceback would bury it.
            log.error("%s has changed and cannot be read, so what it said before holds: %s", self._path, error)  # noqa: TRY400
        else:
            log.info("%s has changed and was read again", self._path)

    def _look(self) -> Stamp | None:
        try:
            about = self._path.stat()
        except OSError:
            return None
        return about.st_mtime_ns, about.st_size, about.st_ino
