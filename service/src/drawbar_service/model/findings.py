"""What a calculation has to say beside its numbers, as data: sentences are made of it at the edge.

A finding names its kind, the part of the request that caused it, the figures its sentence needs, and where it holds:
true, or a mask over the rows of a block. ``api/words`` has one sentence for each kind.
"""

from collections.abc import Mapping
from math import inf
from time import monotonic
from types import MappingProxyType
from typing import Any, NamedTuple, cast

from drawbar_service.engine.arrays import Mask, Real, somewhere
from drawbar_service.reference import CALLER, UnknownReference, default
from drawbar_service.rows import Names, as_rows, gathered


class Finding(NamedTuple):
    """A warning or a fault."""

    kind: str
    """Which sentence: a key in ``api/words``."""
    pointer: str
    """The part of the request that caused it (JSON Pointer)."""
    figures: Mapping[str, Any]
    """What the sentence needs, in SI units."""
    where: Mask = True
    """Which rows it holds for."""
    whose: str = ""
    """Which of several things alike it is about, by name; empty where there is but one."""


class Assumed(NamedTuple):
    """A value that the request left out."""

    kind: str
    """Which sentence says why: a key in ``api/words``, or ``default.`` and the id of a row of the defaults."""
    pointer: str
    """Where the value would go in the request (JSON Pointer)."""
    value: Any
    """What was taken, in SI units, or a text."""
    source: str
    figures: Mapping[str, Any]
    where: Mask = True


class Asked(NamedTuple):
    """Which parts of an answer anybody will read; what nobody reads need not be calculated."""

    parts: frozenset[str] | None = None
    """JSON Pointers into the answer, with those of everything around them; None: all of it."""
    ranges: bool = True
    """Whether the low and high ends of a range are read."""
    sentences: bool = True
    """Whether sentences are read."""

    def __call__(self, part: str) -> bool:
        """Return whether a part of the answer, or anything inside it, is read."""
        return self.parts is None or part in self.parts


_NO_FIGURES: Mapping[str, Any] = MappingProxyType({})
EVERYTHING = Asked()
"""Of a single answer all is read."""


class Waiting:
    """Whether anybody waits for an answer, and until when.

    Parameters
    ----------
    until : float
        When to give up, as ``time.monotonic`` counts [s].
    """

    def __init__(self, until: float = inf) -> None:
        self.until = until
        self._left = False

    def leave(self) -> None:
        """Say that nobody waits any more; from any thread."""
        self._left = True

    def go_on(self) -> None:
        """Let work go on.

        Raises
        ------
        Abandoned
            If nobody waits any more.
        OutOfTime
            If it has taken too long.
        """
        if self._left:
            raise Abandoned
        if monotonic() > self.until:
            raise OutOfTime


class Findings:
    """Collects, while a request is answered, what there is to say beside the result.

    Parameters
    ----------
    asked : Asked
        Which parts of the answer are read.
    waiting : Waiting, optional
        Left out: somebody waits, however long it takes.
    """

    def __init__(self, asked: Asked = EVERYTHING, waiting: Waiting | None = None) -> None:
        self.asked = asked
        self.waiting = Waiting() if waiting is None else waiting
        self.assumed: list[Assumed] = []
        self.warned: list[Finding] = []
        self.refused: list[Finding] = []
        self.sources: dict[str, None] = {}
        self.cautions: dict[str, Mask] = {}
        self.stated: dict[str, tuple[str | None, str | None]] = {}
        """Where the request gives figures in place of ours: what ours is and its source, by pointer."""

    def go_on(self) -> None:
        """Let work that takes long go on, between its steps.

        Raises
        ------
        Abandoned, OutOfTime
            As :meth:`Waiting.go_on`.
        """
        self.waiting.go_on()

    def use(self, *sources: str) -> None:
        """Note that these sources were used."""
        for source in sources:
            if type(source) is str:
                self.sources[source] = None
            else:
                self.sources |= dict.fromkeys(cast("Names", source).values)

    def assume(
        self, kind: str, pointer: str, value: Real | str, source: str, *, where: Mask = True, **figures: Any
    ) -> None:
        """Note a value that the request left out, `where` it did."""
        if where is True or somewhere(where):
            self.assumed.append(Assumed(kind, pointer, value, source, figures, where))
            self.use(source)

    def fallback(self, given: Real | None, pointer: str, row: str, *, where: Mask = True) -> Real:
        """Return what was `given`, or else the default of this `row`, noted as an assumption `where` it is used."""
        if given is not None:
            return given
        entry = default(row)
        if entry.source == CALLER:
            self.use(CALLER)
        elif where is True or somewhere(where):
            self.assumed.append(Assumed(f"default.{row}", pointer, entry.value, entry.source, _NO_FIGURES, where))
            self.sources[entry.source] = None
        return entry.value

    def fallback_of(self, pointer: str, stem: str, name: str) -> Real:
        """Return the default of the row called `stem` and `name`, which may be one for each row, as an assumption."""
        if isinstance(name, Names):
            for at, value in enumerate(name.values):
                self.fallback(None, pointer, f"{stem}{value}", where=as_rows(name.codes == at))
            return gathered([default(f"{stem}{value}").value for value in name.values], name.codes)
        return self.fallback(None, pointer, f"{stem}{name}")

    def warn(self, kind: str, pointer: str, *, where: Mask = True, **figures: Any) -> None:
        """Note something to beware of, `where` it holds."""
        if somewhere(where):
            self.warned.append(Finding(kind, pointer, figures, where))

    def caution(self, name: str, *, where: Mask = True) -> None:
        """Add what this work asks for besides the usual cautions, `where` it does."""
        if somewhere(where):
            self.cautions[name] = where

    def instead(self, pointer: str, ours: str | None = None, source: str | None = None) -> None:
        """Note that a figure of the request stands in place of `ours`, of that `source`."""
        self.stated[pointer] = (ours, source)
        self.use(CALLER)

    def fault(self, kind: str, pointer: str, **figures: Any) -> None:
        """Note something that cannot be; :meth:`stop_at_faults` raises."""
        self.refused.append(Finding(kind, pointer, figures))

    def unknown(self, pointer: str, error: UnknownReference) -> None:
        """Note an id that is in no table."""
        self.fault("unknown-reference", pointer, error=str(error))

    def absorb(self, part: "Findings", pointer: str) -> None:
        """Take over what was found for the `part` of the request that stands at `pointer`."""
        self.assumed += [one._replace(pointer=pointer + one.pointer) for one in part.assumed]
        self.warned += [one._replace(pointer=pointer + one.pointer) for one in part.warned]
        self.refused += [one._replace(pointer=pointer + one.pointer) for one in part.refused]
        self.sources |= part.sources
        self.stated |= {pointer + inside: ours for inside, ours in part.stated.items()}
        self.cautions |= part.cautions

    def stop_at_faults(self) -> None:
        """Raise all faults noted so far.

        Raises
        ------
        Impossible
            If there are any.
        """
        if self.refused:
            raise Impossible(self.refused)


class Abandoned(Exception):  # noqa: N818 - it names what happened
    """Nobody waits for the answer any more."""


class OutOfTime(Exception):  # noqa: N818 - it names what happened
    """The answer has not come in the time there is for it."""


class Impossible(Exception):  # noqa: N818 - it names the input, not the service's failure
    """What a request says cannot be.

    Parameters
    ----------
    faults : list of Finding
        At least one.
    """

    def __init__(self, faults: list[Finding]) -> None:
        super().__init__(faults)
        self.faults = faults
