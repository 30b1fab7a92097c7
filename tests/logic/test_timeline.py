"""Samples of several paths, and the time between them."""

from __future__ import annotations

from math import inf

import pytest

from auditor.logic.interval import Interval
from auditor.logic.timeline import Column, Timeline, samples_in
from auditor.logic.truth import Truth

ZERO = Interval(0, 0)
TWO_PATHS = Timeline((3, 2), (ZERO, Interval(1, 2), Interval(10, inf), ZERO, Interval(5, 5)))


def test_paths_lie_end_to_end() -> None:
    assert (TWO_PATHS.all, TWO_PATHS.starts, TWO_PATHS.ends) == (0b11111, 0b01001, 0b10100)
    assert [TWO_PATHS.path_of(i) for i in range(5)] == [0, 0, 0, 1, 1]
    assert list(TWO_PATHS.samples_of(1)) == [3, 4]


def test_the_time_between_samples_is_the_sum_of_the_gaps_between() -> None:
    assert (TWO_PATHS.least(0, 1), TWO_PATHS.most(0, 1)) == (1, 2)
    assert (TWO_PATHS.least(0, 2), TWO_PATHS.most(0, 2)) == (11, inf)
    assert (TWO_PATHS.least(1, 1), TWO_PATHS.most(1, 1)) == (0, 0)


def test_an_unbounded_gap_does_not_reach_past_its_end() -> None:
    assert (TWO_PATHS.least(3, 4), TWO_PATHS.most(3, 4)) == (5, 5)


def test_what_two_clock_times_share_is_counted_once() -> None:
    """The difference of the clock times 10..20 and 11..21 would be -9..11."""
    timeline = Timeline((3,), (ZERO, Interval(10, 20), Interval(1, 1)))
    assert (timeline.least(1, 2), timeline.most(1, 2)) == (1, 1)


@pytest.mark.parametrize(
    ("lengths", "gaps"),
    [
        ((), ()),
        ((0,), ()),
        ((2,), (ZERO,)),
        ((2,), (ZERO, Interval(-1, 1))),
        ((1, 1), (ZERO, Interval(1, 1))),
    ],
)
def test_what_does_not_fit_together_is_refused(lengths: tuple[int, ...], gaps: tuple[Interval, ...]) -> None:
    with pytest.raises(ValueError, match=r"path|gap"):
        Timeline(lengths, gaps)


def test_a_column_is_certain_possible_or_neither() -> None:
    column = Column(certain=0b001, possible=0b011)
    assert [column.truth(i) for i in range(3)] == [Truth.TRUE, Truth.UNKNOWN, Truth.FALSE]
    assert list(samples_in(column.unknown)) == [1]
