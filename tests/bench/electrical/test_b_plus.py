"""B+ appears late and with a jump behind a tube rectifier, early and high behind silicon."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from auditor.bench.electrical.b_plus import Supply, b_plus
from auditor.logic.interval import Interval

EXACTLY = Interval.exactly
RATED = EXACTLY(120)
TUBE = Supply(Interval(240, 260), Interval(330, 360), True, Interval(0.40, 0.55))
SILICON = replace(TUBE, needs_heat=False)
NOTHING = EXACTLY(0.0)


def at(supply: Supply, volts: float, through_lamp: bool = False) -> Interval:
    return b_plus(supply, RATED, EXACTLY(volts), through_lamp)


def test_a_tube_rectifier_gives_nothing_below_its_onset_and_perhaps_something_above() -> None:
    assert at(TUBE, 0.40 * 120) == NOTHING
    just_above = at(TUBE, 0.41 * 120)
    assert just_above.low == 0.0
    assert just_above.high > 100  # late, and with a jump


def test_only_past_the_whole_onset_is_b_plus_sure() -> None:
    assert at(TUBE, 0.69 * 120).low == 0.0
    assert at(TUBE, 0.71 * 120).low > 0.7 * 240 * 0.99


def test_silicon_follows_from_the_first_volt_and_may_stand_at_the_peak() -> None:
    got = at(SILICON, 24)
    assert (got.low, got.high) == pytest.approx((0.2 * 240, 0.2 * 360))


def test_at_the_rated_volts_it_is_what_is_stated() -> None:
    assert at(TUBE, 120) == at(SILICON, 120) == TUBE.in_use


def test_with_no_tube_to_draw_on_it_it_stands_at_the_peak() -> None:
    assert at(replace(SILICON, loaded=False), 120) == SILICON.peak


def test_a_lamp_in_series_may_take_a_tenth_by_rounding_off_the_peaks() -> None:
    assert at(TUBE, 120, through_lamp=True).low == pytest.approx(0.9 * 240)
    assert at(TUBE, 120, through_lamp=True).high == at(TUBE, 120).high


def test_what_a_lamp_leaves_of_it_is_the_supply_s_own_share() -> None:
    assert at(replace(TUBE, flattened=0.85), 120, through_lamp=True).low == pytest.approx(0.85 * 240)
    assert at(replace(TUBE, flattened=0.85), 120) == TUBE.in_use


def test_it_is_never_above_the_peak_that_belongs_to_the_volts() -> None:
    for supply in (TUBE, SILICON):
        for percent in range(0, 101, 5):
            assert at(supply, 1.2 * percent).high <= 3.60 * percent + 1e-9


def test_more_volts_never_give_less_b_plus_at_the_bottom_of_the_range() -> None:
    lows = [at(SILICON, volts).low for volts in range(0, 141, 5)]
    assert lows == sorted(lows)


@pytest.mark.parametrize("supply", [TUBE, SILICON])
def test_a_range_of_volts_holds_the_b_plus_of_each(supply: Supply) -> None:
    for low in range(0, 130, 10):
        wide = b_plus(supply, RATED, Interval(low, low + 30), False)
        for volts in range(low, low + 31, 2):
            inner = at(supply, volts)
            assert wide.low <= inner.low + 1e-9
            assert inner.high <= wide.high + 1e-9


def test_no_volts_no_b_plus() -> None:
    assert at(TUBE, 0) == at(SILICON, 0) == NOTHING
