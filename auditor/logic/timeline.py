"""Samples of several paths laid end to end, and what is known at each of them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from functools import cached_property
from itertools import accumulate, pairwise
from math import inf

from msgspec import Struct

from auditor.logic.interval import Interval
from auditor.logic.truth import Truth

Value = Truth | Interval | str | None
"""What a fact is worth at a sample. `Truth.UNKNOWN`, `ANYTHING` and None each mean not stated."""

Series = tuple[tuple[Value, int], ...]
"""A fact over all samples: each value with the mask of the samples where it holds. The masks do not overlap;
a sample in none of them is not stated."""

Numbers = tuple[tuple[Interval, int], ...]
"""A number over all samples, in the same way."""

Signals = Mapping[str, Series]
"""Every fact by name. A name that is absent is not stated anywhere."""


class Timeline(Struct, frozen=True, dict=True):
    """Several paths, each a complete finite trace of its own; sample i is bit i of every mask.

    `lengths` counts the samples of each path, path 0 (the main one) first; each is at least 1.
    `gaps` holds the time from the sample before, in seconds, never negative: one for each sample, exactly 0
    for the first of a path. Raises ValueError when they do not fit together.
    """

    lengths: tuple[int, ...]
    gaps: tuple[Interval, ...]

    def __post_init__(self) -> None:
        if not self.lengths or min(self.lengths) < 1:
            raise ValueError("a timeline needs a path, and every path a sample")
        *firsts, count = self._firsts
        if len(self.gaps) != count:
            raise ValueError(f"{count} samples need as many gaps, not {len(self.gaps)}")
        lows = [gap.low for gap in self.gaps]
        if min(lows) < 0 or max(lows) == inf:
            raise ValueError("time does not run backwards: every gap starts at a finite number from 0 up")
        if any(self.gaps[first] != Interval.exactly(0) for first in firsts):
            raise ValueError("no time has passed before the first sample of a path")

    @cached_property
    def all(self) -> int:
        """The mask of all samples."""
        return (1 << self._firsts[-1]) - 1

    @cached_property
    def starts(self) -> int:
        """The mask of the first sample of every path."""
        return sum(1 << first for first in self._firsts[:-1])

    @cached_property
    def ends(self) -> int:
        """The mask of the last sample of every path."""
        return sum(1 << first - 1 for first in self._firsts[1:])

    @cached_property
    def _firsts(self) -> tuple[int, ...]:
        return tuple(accumulate(self.lengths, initial=0))

    @cached_property
    def _lows(self) -> tuple[float, ...]:
        return tuple(accumulate(gap.low for gap in self.gaps))

    @cached_property
    def _highs(self) -> tuple[float, ...]:
        return tuple(accumulate(0.0 if gap.high == inf else gap.high for gap in self.gaps))

    @cached_property
    def _unbounded(self) -> tuple[int, ...]:
        return tuple(accumulate(gap.high == inf for gap in self.gaps))

    @cached_property
    def longest(self) -> float:
        """The most time that any path takes from its first sample to its last [s]."""
        return max((self.most(first, end - 1) for first, end in pairwise(self._firsts) if end > first), default=0.0)

    def path_of(self, sample: int) -> int:
        """The number of the path that the sample belongs to."""
        return bisect_right(self._firsts, sample) - 1

    def samples_of(self, path: int) -> range:
        """The samples of a path, in order."""
        return range(self._firsts[path], self._firsts[path + 1])

    # The time between two samples is the sum of the gaps between. Lows and highs are summed apart: the difference of two
    # ranged clock times would count what they share twice.

    def least(self, earlier: int, later: int) -> float:
        """The least time from one sample to a later one of the same path [s]."""
        return self._lows[later] - self._lows[earlier]

    def most(self, earlier: int, later: int) -> float:
        """The most time from one sample to a later one of the same path [s]; infinite where there is no bound."""
        if self._unbounded[later] > self._unbounded[earlier]:
            return inf
        # rounding may put equal sums in the wrong order
        return max(self._highs[later] - self._highs[earlier], self.least(earlier, later))


class Column(Struct, frozen=True):
    """A formula over all samples: where it is certainly true, and where possibly (not certainly false)."""

    certain: int
    possible: int

    @property
    def unknown(self) -> int:
        """The samples where it is neither true nor false."""
        return self.possible & ~self.certain

    def truth(self, sample: int) -> Truth:
        """The value at one sample."""
        return Truth((self.certain >> sample & 1) + (self.possible >> sample & 1))


def samples_in(mask: int) -> Iterator[int]:
    """The samples of a mask, in order."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest
