"""The zero of a function between two arguments where it has opposite signs: a method that cannot fail."""

from __future__ import annotations

from collections.abc import Callable

PRECISION = 1e-13
"""How near the answer is to the true one, relative to the larger end of the bracket."""
PATIENCE = 24
"""Steps of false position before halving takes over. A choice: a smooth function needs 4 to 8."""


def bracketed(function: Callable[[float], float], low: float, high: float, at_low: float, at_high: float) -> float:
    """The argument at which a continuous function is zero.

    low, high: arguments between which it changes sign. at_low, at_high: its values there, one of either sign or
    nothing. False position in the form of N. Anderson and A. Bjorck (BIT 13, 253 (1973)): where one end stays, its value
    is lowered by as much as the curve bends, which gains two thirds again as many digits at each step. After PATIENCE
    steps the bracket is halved, so that the search always ends.

    >>> round(bracketed(lambda x: x * x - 2, 0.0, 2.0, -2.0, 2.0), 9)
    1.414213562
    """
    if at_low == 0.0:
        return low
    if at_high == 0.0:
        return high
    rising, kept, steps = at_high > 0.0, 0, 0
    goal = PRECISION * max(abs(low), abs(high))
    least = goal / 2
    while high - low > goal:
        steps += 1
        middle = high - at_high * (high - low) / (at_high - at_low)
        # An end that is as good as the answer is overstepped, so that the bracket closes around it.
        if middle < low + least:
            middle = low + least
        elif middle > high - least:
            middle = high - least
        if steps > PATIENCE or not low < middle < high:
            middle = (low + high) / 2
            if not low < middle < high:
                break
        value = function(middle)
        if value == 0.0:
            return middle
        if (value > 0.0) == rising:
            at_low = at_low * _lowered(value, at_high) if kept == 1 else at_low
            high, at_high, kept = middle, value, 1
        else:
            at_high = at_high * _lowered(value, at_low) if kept == -1 else at_high
            low, at_low, kept = middle, value, -1
    return (low + high) / 2


def _lowered(value: float, before: float) -> float:
    """What is left of the value at the end that stays, when that at the other goes from `before` to `value`."""
    left = 1.0 - value / before
    return left if left > 0.0 else 0.5


GOLDEN = 0.6180339887498949
"""The golden section: (sqrt(5) - 1) / 2."""


def top(function: Callable[[float], float], low: float, high: float, within: float = 1e-7) -> float:
    """The argument at which a function with one top between `low` and `high` is highest.

    Golden section (J. Kiefer, Proceedings of the American Mathematical Society 4, 502 (1953)), until the bracket is
    `within` times as wide as it was, in 1.44 log2(1 / within) steps.

    >>> round(top(lambda x: x * (3 - x), 0.0, 3.0), 6)
    1.5
    """
    goal = within * (high - low)
    x, y = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_x, at_y = function(x), function(y)
    while high - low > goal:
        if at_x < at_y:
            low, x, at_x = x, y, at_y
            y = low + GOLDEN * (high - low)
            at_y = function(y)
        else:
            high, y, at_y = y, x, at_x
            x = high - GOLDEN * (high - low)
            at_x = function(x)
        if not low < x <= y < high:
            break
    return x if at_x > at_y else y
