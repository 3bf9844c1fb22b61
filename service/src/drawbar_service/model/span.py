"""A value with the low and the high end of what is uncertain about it: one axis for every calculation with a draft."""

from collections.abc import Callable
from typing import Generic, NamedTuple, TypeVar

from drawbar_service.engine.arrays import Real, known_where, larger, smaller

T = TypeVar("T")
U = TypeVar("U")


class Span(NamedTuple, Generic[T]):
    """The same at the middle, the low and the high end; the ends are None where nobody asks for them."""

    value: T
    low: T | None = None
    high: T | None = None

    def map(self, function: Callable[[T], U]) -> "Span[U]":
        """Return what a `function` makes of each."""
        return Span(
            function(self.value),
            None if self.low is None else function(self.low),
            None if self.high is None else function(self.high),
        )

    def without_ends(self) -> "Span[T]":
        """Return the value alone."""
        return Span(self.value)


def exactly(value: Real) -> Span[Real]:
    """Return a value that is known exactly, with itself at both ends."""
    return Span(value, value, value)


def combined(function: Callable[..., Real], *spans: Span[Real]) -> Span[Real]:
    """Return what a `function` makes of the values of some spans, of their low ends and of their high ends.

    A span without ends stands for its value at both.
    """
    value, low, high = (
        function(*(span.value if end is None else end for span, end in zip(spans, ends, strict=True)))
        for ends in zip(*spans, strict=True)
    )
    return Span(value, low, high)


def turned(span: Span[Real]) -> Span[Real]:
    """Return a span with its ends exchanged, for what falls as it rises."""
    return Span(span.value, span.high, span.low)


def ordered(span: Span[Real]) -> Span[Real]:
    """Return a value with its ends in order.

    The ends of the draft's range are mostly, but not always, the ends of what follows from it: pushed downhill, or with
    load moving to tires that roll easier, the order can turn round.
    """
    value, low, high = span
    if low is None or high is None:
        return span
    if isinstance(value, float) and isinstance(low, float) and isinstance(high, float):
        if low <= value <= high:
            return span
        return Span(value, min(value, low, high), max(value, low, high))
    return Span(value, smaller(value, smaller(low, high)), larger(value, larger(low, high)))


def spread(span: Span[Real]) -> Span[Real]:
    """Return a value with its ends where they differ, and without them where low and high are one."""
    value, low, high = span
    if low is None or high is None:
        return span
    differ = low < high
    return Span(value, known_where(differ, low), known_where(differ, high))
