"""Spreading marks through runs of samples, as arithmetic on whole masks."""

from __future__ import annotations


def flood_up(marks: int, through: int) -> int:
    """The marks, and every sample of `through` that a mark reaches by steps of one upward, all within
    `through`.

    A carry does the walking: adding a bit at the foot of a run of ones clears the run and sets the bit above
    it.
    """
    feet = marks << 1 & through
    return marks | ((feet + through ^ through | feet) & through)


def flood_down(marks: int, through: int) -> int:
    """The marks, and every sample of `through` that a mark reaches by steps of one downward, all within
    `through`.

    Carries do not walk downward, so the reach doubles instead: log n shifts for n samples.
    """
    reach = 1
    while through:
        marks |= marks >> reach & through
        through &= through >> reach
        reach *= 2
    return marks
