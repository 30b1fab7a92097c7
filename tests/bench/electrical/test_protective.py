"""The laws of what opens a circuit: more current never opens later."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.protective import (
    FUSE_HOLDS,
    FUSE_OPENS,
    fuse_holds,
    fuse_opens_within,
    residual_device_opens,
    stands,
)
from tests.bench.electrical.circuits import THOROUGH

AMPERES, RATINGS = st.floats(0, 2), st.sampled_from([4e-3, 5e-3, 6e-3, 10e-3, 30e-3, 100e-3, 300e-3])
RATIOS = st.one_of(st.floats(0, 15), st.sampled_from(sorted({*FUSE_OPENS["UL 248-14"], *FUSE_HOLDS["IEC 60127-2"]})))
STANDARDS = st.sampled_from([None, *FUSE_OPENS])


@THOROUGH
@given(AMPERES, AMPERES, RATINGS)
def test_more_leakage_never_opens_a_device_later(one: float, other: float, trips_at: float) -> None:
    low, high = sorted((one, other))
    assert residual_device_opens(high, trips_at) <= residual_device_opens(low, trips_at)


@THOROUGH
@given(AMPERES, RATINGS)
def test_a_device_opens_in_the_end_exactly_from_its_current_on(leakage: float, trips_at: float) -> None:
    assert (residual_device_opens(leakage, trips_at) < inf) == (leakage >= max(trips_at, 6e-3) * (1 - 1e-9))


@pytest.mark.parametrize("trips_at", [6e-3, 30e-3])
def test_no_current_is_so_large_that_a_device_counts_as_opening_at_once(trips_at: float) -> None:
    assert residual_device_opens(1e3, trips_at) >= 0.025 * (1 - 1e-3)


def test_the_law_of_a_class_a_device_ends_without_a_jump() -> None:
    assert residual_device_opens(0.265, 6e-3) == residual_device_opens(0.264, 6e-3)
    assert residual_device_opens(0.263, 6e-3) == pytest.approx(residual_device_opens(0.264, 6e-3), rel=0.01)


@THOROUGH
@given(RATIOS, RATIOS, STANDARDS)
def test_more_current_never_opens_a_fuse_later(one: float, other: float, standard: str | None) -> None:
    low, high = sorted((one, other))
    assert fuse_opens_within(high, standard) <= fuse_opens_within(low, standard)
    assert fuse_holds(high, standard) <= fuse_holds(low, standard)


@THOROUGH
@given(RATIOS, STANDARDS)
def test_a_fuse_holds_no_longer_than_it_may_take_to_open(ratio: float, standard: str | None) -> None:
    assert fuse_holds(ratio, standard) <= fuse_opens_within(ratio, standard)


@THOROUGH
@given(RATIOS)
def test_a_fuse_whose_mark_is_not_given_counts_as_meeting_every_gate_and_holding_no_longer_than_any(ratio: float) -> None:
    assert fuse_holds(ratio) == min(fuse_holds(ratio, standard) for standard in FUSE_HOLDS)
    assert fuse_opens_within(ratio) == min(fuse_opens_within(ratio, standard) for standard in FUSE_OPENS)


@pytest.mark.parametrize("standard", FUSE_OPENS)
def test_a_gate_counts_from_its_own_ratio_on(standard: str) -> None:
    for gate, time in FUSE_OPENS[standard].items():
        assert fuse_opens_within(gate, standard) == fuse_opens_within(gate * 1.001, standard) == time
        assert fuse_opens_within(gate * 0.999, standard) > time
    for gate, time in FUSE_HOLDS[standard].items():
        assert fuse_holds(gate, standard) == fuse_holds(gate * 0.999, standard) == time
        assert fuse_holds(gate * 1.001, standard) < time


def test_a_ratio_that_rounding_puts_a_hair_off_a_gate_counts_as_at_it() -> None:
    assert fuse_opens_within(1.35 - 1e-12) == 3600.0
    assert fuse_holds(1.5 + 1e-12, "IEC 60127-2") == 3600.0


def test_a_part_at_its_rating_stands_for_ever() -> None:
    assert stands(0.0) == stands(1.0) == inf


@THOROUGH
@given(st.floats(0, 10), st.floats(0.1, 10), st.floats(0.1, 10))
def test_a_fuse_of_no_more_than_its_rating_saves_a_part(current: float, rating: float, smaller: float) -> None:
    assert fuse_opens_within(current / min(smaller, rating)) <= stands(current / rating)


def test_a_fuse_of_twice_its_rating_does_not_save_a_part() -> None:
    assert fuse_opens_within(2.6 / 2) > stands(2.6)
