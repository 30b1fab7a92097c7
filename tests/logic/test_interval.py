"""Ranges of numbers."""

from __future__ import annotations

from math import inf, nan

import pytest

from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.truth import Truth


def test_a_comparison_is_definite_only_when_every_pair_of_values_agrees() -> None:
    assert Interval(1, 2).at_most(Interval(2, 3)) is Truth.TRUE
    assert Interval(1, 2).at_most(Interval(1.5, 3)) is Truth.UNKNOWN
    assert Interval(3, 4).at_most(Interval(1, 2)) is Truth.FALSE


def test_at_the_limit_at_most_is_true_and_below_is_false() -> None:
    limit = Interval.exactly(26.4)
    assert limit.at_most(limit) is Truth.TRUE
    assert limit.at_least(limit) is Truth.TRUE
    assert limit.below(limit) is Truth.FALSE
    assert limit.above(limit) is Truth.FALSE


def test_the_rounding_of_binary_arithmetic_breaks_no_limit() -> None:
    assert 24 * 1.1 > 26.4
    assert Interval.exactly(24 * 1.1).at_most(Interval.exactly(26.4)) is Truth.TRUE
    assert Interval.exactly(24 * 1.1).above(Interval.exactly(26.4)) is Truth.FALSE
    assert 24 * 1.1 in Interval(0, 26.4)


def test_a_difference_that_a_meter_could_show_breaks_it() -> None:
    assert Interval.exactly(26.4001).at_most(Interval.exactly(26.4)) is Truth.FALSE
    assert 26.4001 not in Interval(0, 26.4)


def test_what_is_not_stated_compares_with_nothing() -> None:
    assert ANYTHING.at_most(Interval.exactly(1)) is Truth.UNKNOWN
    assert ANYTHING.at_most(ANYTHING) is Truth.UNKNOWN


def test_a_half_open_range_compares_by_the_end_it_has() -> None:
    assert Interval(20e3, inf).at_least(Interval.exactly(15e3)) is Truth.TRUE
    assert Interval(20e3, inf).at_most(Interval.exactly(15e3)) is Truth.FALSE


def test_zero_times_anything_is_zero() -> None:
    assert Interval.exactly(0) * ANYTHING == Interval(0, 0)


def test_a_division_by_what_may_be_zero_says_nothing() -> None:
    assert Interval(1, 2) / Interval(-1, 1) is ANYTHING
    assert Interval(1, 2) / Interval(0, 1) is ANYTHING


def test_a_division_by_something_unboundedly_large_reaches_zero() -> None:
    assert Interval(1, 2) / Interval(2, inf) == Interval(0, 1)


def test_a_product_of_signs_takes_its_ends_from_any_corner() -> None:
    assert Interval(-2, 3) * Interval(-5, 1) == Interval(-15, 10)


def test_opposite_infinities_add_to_anything() -> None:
    assert Interval(1, inf) - Interval(1, inf) == ANYTHING


def test_ranges_apart_share_no_numbers() -> None:
    assert Interval(1, 2).meet(Interval(3, 4)) is None
    assert Interval(1, 3).meet(Interval(2, 4)) == Interval(2, 3)


@pytest.mark.parametrize(("low", "high"), [(2, 1), (nan, 1), (1, nan)])
def test_a_range_needs_two_numbers_in_order(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="interval"):
        Interval(low, high)


def test_touching_ranges_share_one_number() -> None:
    assert Interval(1, 2).meet(Interval(2, 3)) == Interval(2, 2)


def test_a_range_with_one_end_says_something() -> None:
    assert ANYTHING.is_anything
    assert not Interval(1, inf).is_anything
    assert not Interval(-inf, 1).is_anything
    assert not Interval(1, 2).is_anything
