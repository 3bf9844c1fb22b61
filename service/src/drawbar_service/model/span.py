"""A value with the low and the high end of what is uncertain about it: one axis for every calculation with a draft."""

from collections.abc import Callable
from typing import Generic, NamedTuple, TypeVar

from drawbar_service.engine.arrays import Real, larger, smaller

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


def ordered(span: Span[Real]) -> Span[Real]:
    """Return a value with its ends in order.

    The ends of the draft's range are mostly, but not always, the ends of what follows from it: pushed downhill, or with
    load moving to tires that roll easier, the order can turn round.
    """
    value, low, high = span
    if low is None or high is None:
        return span
    if isinstance(value, float) and isinstance(low, float) and isinstance(high, float):
        return Span(value, min(value, low, high), max(value, low, high))
    return Span(value, smaller(value, smaller(low, high)), larger(value, larger(low, high)))
