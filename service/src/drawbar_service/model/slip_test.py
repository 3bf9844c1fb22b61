"""A field test of slip: what was counted, timed or measured, with a loaded tractor and with one that pulls nothing."""

from collections.abc import Callable, Sequence
from typing import NamedTuple, Protocol

from drawbar_service.engine.arrays import Real, either, larger, smaller, sqrt
from drawbar_service.engine.slip import slip_from_distances, slip_from_times, slip_from_turns, slip_standard_error
from drawbar_service.model.findings import Findings

MOST_USUAL = 0.30
"""Slip [1] above which a field tractor is digging in or something was misread (common practice, no source)."""
ROUNDING = 1e-9
"""Slip [1] that counts as none above a bound: 1 - 7/10 is a hair above 30 %."""


class Run(Protocol):
    """Two readings over one distance, or in one number of wheel turns: turns [1], times [s] or distances [m]."""

    @property
    def loaded(self) -> float:
        """With the implement at work."""
        ...

    @property
    def unloaded(self) -> float:
        """With the implement raised."""
        ...


class Measured(Protocol):
    """Runs measured in one way."""

    @property
    def runs(self) -> Sequence[Run]:
        """One or more."""
        ...

    @property
    def reading_error(self) -> float | None:
        """Standard error of each reading, in its unit."""
        ...


class SlipTest(Protocol):
    """A field test; one of the three is given."""

    @property
    def turns(self) -> Measured | None:
        """Wheel turns over one distance [1]."""
        ...

    @property
    def times(self) -> Measured | None:
        """Times over one distance at one wheel speed [s]."""
        ...

    @property
    def distances(self) -> Measured | None:
        """Distances in one number of wheel turns [m]."""
        ...


class MeasuredRun(NamedTuple):
    """Slip of one run."""

    slip: Real
    """[1]"""
    standard_error: Real | None
    """From the reading error [1]; None if none was given."""


class MeasuredSlip(NamedTuple):
    """Slip, and how well it is known."""

    slip: Real
    """Mean of the runs [1]."""
    from_scatter: Real | None
    """Standard error of the mean from the scatter of the runs [1]; None for one run."""
    from_reading: Real | None
    """The same from the reading error [1]; None if none was given."""
    runs: list[MeasuredRun]

    @property
    def standard_error(self) -> Real | None:
        """The larger of the two [1]; None if neither is known."""
        if self.from_scatter is None or self.from_reading is None:
            return self.from_reading if self.from_scatter is None else self.from_scatter
        return larger(self.from_scatter, self.from_reading)


class _Method(NamedTuple):
    """One way to measure slip."""

    name: str
    """The member of the request."""
    slip: Callable[[Real, Real], Real]
    sources: tuple[str, ...]

    @property
    def pointer(self) -> str:
        return f"/{self.name}"


_TURNS = _Method("turns", slip_from_turns, ("asabe-s296", "tractor-operating-practice"))
_TIMES = _Method("times", slip_from_times, ("asabe-s296", "tractor-operating-practice"))
_DISTANCES = _Method("distances", slip_from_distances, ("asabe-s296", "derived"))


def measured_slip(test: SlipTest, found: Findings) -> MeasuredSlip:
    """Return the slip that a field `test` shows; assumptions, warnings and faults go to `found`.

    Raises
    ------
    Impossible
        If there are faults: readings that contradict each other, or none or several ways to measure.
    """
    given = [
        (method, measured)
        for method, measured in ((_TURNS, test.turns), (_TIMES, test.times), (_DISTANCES, test.distances))
        if measured is not None
    ]
    if len(given) != 1:
        found.fault("one-slip-method", "")
        found.stop_at_faults()
    method, measured = given[0]
    slips = [_slip(method, f"{method.pointer}/runs/{at}", run, found) for at, run in enumerate(measured.runs)]
    errors = _errors(method, measured, found)
    found.stop_at_faults()
    found.use(*method.sources)
    return MeasuredSlip(
        slip=_mean(slips),
        from_scatter=_error_of_mean(slips) if len(slips) > 1 else None,
        from_reading=_root_of_squares(errors) / len(errors) if errors is not None else None,
        runs=[MeasuredRun(slip, errors[at] if errors is not None else None) for at, slip in enumerate(slips)],
    )


def _slip(method: _Method, pointer: str, run: Run, found: Findings) -> Real:
    """Return the slip of one run [1]."""
    loaded, unloaded = run.loaded, run.unloaded
    if either(loaded <= 0.0, unloaded <= 0.0):
        found.fault("reading-above-zero", f"{pointer}/{'loaded' if loaded <= 0.0 else 'unloaded'}")
        return 0.0
    slip = method.slip(loaded, unloaded)
    if slip < 0.0:
        found.fault(
            f"swapped-{method.name}", f"{pointer}/loaded", loaded=loaded, unloaded=unloaded, percent=100.0 * slip
        )
    elif slip >= 1.0:
        found.fault("slip-on-the-spot", f"{pointer}/loaded")
    found.warn("much-slip", pointer, where=slip > MOST_USUAL + ROUNDING, slip=slip)
    return slip


def _errors(method: _Method, measured: Measured, found: Findings) -> list[Real] | None:
    """Return the standard error of the slip of each run [1] from the reading error, None if none is given."""
    error = measured.reading_error
    if error is None:
        return None
    pairs = [(smaller(run.loaded, run.unloaded), larger(run.loaded, run.unloaded)) for run in measured.runs]
    least = pairs[0][1]
    for _, greater in pairs[1:]:
        least = smaller(least, greater)
    if error >= least:
        found.fault("reading-error-too-large", f"{method.pointer}/reading_error")
        return None
    return [slip_standard_error(lesser, greater, error) for lesser, greater in pairs]


def _mean(values: Sequence[Real]) -> Real:
    return sum(values, start=0.0) / len(values)


def _root_of_squares(values: Sequence[Real]) -> Real:
    return sqrt(sum((value * value for value in values), start=0.0))


def _error_of_mean(values: Sequence[Real]) -> Real:
    """Return the standard error of the mean of at least two values."""
    mean = _mean(values)
    deviation = _root_of_squares([value - mean for value in values]) / (len(values) - 1) ** 0.5
    return deviation / len(values) ** 0.5
