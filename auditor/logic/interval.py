"""Closed ranges of numbers, and comparisons that answer only for the whole range."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isclose, isinf, isnan

from msgspec import Struct

from auditor.logic.truth import Truth

TOLERANCE = 1e-9
"""Relative difference below which two numbers count as equal, so that 24 * 1.1 is at most 26.4. A choice of
this project: far above the rounding of binary arithmetic (1e-16), far below anything that a meter shows
(1e-5)."""


class Interval(Struct, frozen=True):
    """All numbers from `low` to `high`, both included; either end may be infinite.

    Raises ValueError when an end is not a number or the ends are reversed.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.high:  # so too when an end is not a number
            raise ValueError(f"an interval needs two numbers in order, not {self.low} and {self.high}")

    @staticmethod
    def exactly(value: float) -> Interval:
        """The interval that holds one number."""
        return Interval(value, value)

    @property
    def is_anything(self) -> bool:
        """Whether both ends are open: the value is not stated."""
        return self.low == -inf and self.high == inf

    def __contains__(self, value: float) -> bool:
        return no_more(self.low, value) and no_more(value, self.high)

    def hull(self, other: Interval) -> Interval:
        """The smallest interval that encloses both."""
        return Interval(min(self.low, other.low), max(self.high, other.high))

    def meet(self, other: Interval) -> Interval | None:
        """The numbers that both hold, or None when they share none."""
        low, high = max(self.low, other.low), min(self.high, other.high)
        return Interval(low, high) if low <= high else None

    # Arithmetic encloses every result of operands taken independently from the two ranges.

    def __neg__(self) -> Interval:
        return Interval(-self.high, -self.low)

    def __add__(self, other: Interval) -> Interval:
        low, high = self.low + other.low, self.high + other.high
        return Interval(-inf if isnan(low) else low, inf if isnan(high) else high)

    def __sub__(self, other: Interval) -> Interval:
        return self + -other

    def __mul__(self, other: Interval) -> Interval:
        return self._over_corners(other, _product)

    def __truediv__(self, other: Interval) -> Interval:
        if other.low <= 0 <= other.high:
            return ANYTHING
        return self._over_corners(other, _quotient)

    def _over_corners(self, other: Interval, operation: Callable[[float, float], float]) -> Interval:
        corners = [operation(mine, yours) for mine in (self.low, self.high) for yours in (other.low, other.high)]
        return Interval(min(corners), max(corners))

    # A comparison is true or false only when it is so for every pair of values.

    def at_most(self, other: Interval) -> Truth:
        """`self <= other`."""
        if no_more(self.high, other.low):
            return Truth.TRUE
        return Truth.UNKNOWN if no_more(self.low, other.high) else Truth.FALSE

    def at_least(self, other: Interval) -> Truth:
        """`self >= other`."""
        return other.at_most(self)

    def below(self, other: Interval) -> Truth:
        """`self < other`."""
        return ~other.at_most(self)

    def above(self, other: Interval) -> Truth:
        """`self > other`."""
        return ~self.at_most(other)


ANYTHING = Interval(-inf, inf)
"""The value that is not stated."""


def no_more(left: float, right: float) -> bool:
    """`left <= right`, for numbers that count as equal within TOLERANCE."""
    return left <= right or isclose(left, right, rel_tol=TOLERANCE)


def _product(left: float, right: float) -> float:
    # An infinite end stands for arbitrarily large numbers, and zero times any of them is zero.
    return 0.0 if left == 0 or right == 0 else left * right


def _quotient(left: float, right: float) -> float:
    # Divided by arbitrarily large numbers everything tends to zero; the other corners cover the rest.
    return 0.0 if isinf(right) else left / right
