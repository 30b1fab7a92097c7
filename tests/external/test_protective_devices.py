"""Residual current devices, fuses and cords against published values; each check names its source and tolerance.

"As quoted elsewhere" means that the number was read in somebody else's reproduction of the document.
"""

from __future__ import annotations

from math import inf

import pytest

from auditor.bench.electrical.body import Shock, body_current, fibrillation_current
from auditor.bench.electrical.protective import (
    CORD_AMPACITY,
    FUSE_OPENS,
    fuse_holds,
    fuse_opens_within,
    residual_device_opens,
    stands,
)

UL, IEC = "UL 248-14", "IEC 60127-2"


class TestClassA:
    @pytest.mark.parametrize(("milliamperes", "seconds"), [(6, 5.59), (30, 0.56), (100, 0.100), (264, 0.025)])
    def test_the_law_of_ul_943(self, milliamperes: float, seconds: float) -> None:
        # UL 943, as quoted elsewhere: (20 / I)**1.43; the times calculated
        assert residual_device_opens(milliamperes * 1e-3, 6e-3) == pytest.approx(seconds, rel=0.005)

    def test_a_large_fault_takes_a_fortieth_of_a_second(self) -> None:
        # a text based on OSHA's, as quoted elsewhere: as little as 1/40 s
        assert residual_device_opens(1.0, 6e-3) == pytest.approx(1 / 40, rel=0.005)

    def test_it_need_not_trip_below_6_milliamperes(self) -> None:
        # NEC, article 100, as quoted elsewhere: trips at 6 mA and more, holds below 4 mA
        for milliamperes in (3.9, 5.9):
            assert residual_device_opens(milliamperes * 1e-3, 6e-3) == inf

    def test_a_mark_of_4_or_5_milliamperes_means_the_same_device(self) -> None:
        # NEC, article 100, as quoted elsewhere: a class A device trips somewhere from 4 to 6 mA
        for milliamperes in (4.0, 5.0, 6.0):
            assert residual_device_opens(5.9e-3, milliamperes * 1e-3) == inf
            assert residual_device_opens(100e-3, milliamperes * 1e-3) == pytest.approx(0.100, rel=0.005)

    def test_it_opens_before_the_heart_fibrillates_up_to_734_milliamperes(self) -> None:
        # UL 943, as quoted elsewhere, against Dalziel and Lee, 1968; calculated: 116 mA / sqrt(25 ms)
        for milliamperes in range(6, 734):
            amperes = milliamperes * 1e-3
            assert amperes < fibrillation_current(residual_device_opens(amperes, 6e-3))
        assert fibrillation_current(residual_device_opens(0.735, 6e-3)) < 0.735

    def test_it_saves_the_person_that_the_120_v_mains_would_kill(self) -> None:
        current = body_current(120)
        assert Shock.of_current(current, 1.0) is Shock.KILLS
        assert Shock.of_current(current, residual_device_opens(current, 6e-3)) is Shock.HOLDS


class TestOtherResidualCurrentDevices:
    @pytest.mark.parametrize(("milliamperes", "seconds"), [(29, inf), (30, 0.3), (149, 0.3), (150, 0.04), (1000, 0.04)])
    def test_a_device_of_30_milliamperes(self, milliamperes: float, seconds: float) -> None:
        # IEC 61008, as quoted elsewhere: 300 ms at the rated residual current, 40 ms at five times it
        assert residual_device_opens(milliamperes * 1e-3, 30e-3) == seconds

    def test_one_of_30_milliamperes_opens_before_the_heart_fibrillates_at_230_v(self) -> None:
        # IEC 61008, as quoted elsewhere, against Dalziel and Lee, 1968
        current = body_current(230)
        assert Shock.of_current(current, residual_device_opens(current, 30e-3)) is Shock.HOLDS

    def test_one_of_300_milliamperes_does_not_protect_a_person(self) -> None:
        # HSE guidance, as quoted elsewhere: no more than 30 mA for people
        current = body_current(230)
        assert Shock.of_current(current, residual_device_opens(current, 300e-3)) is Shock.KILLS


class TestFuses:
    @pytest.mark.parametrize(("ratio", "seconds"), [(1.34, inf), (1.35, 3600), (1.99, 3600), (2.0, 120)])
    def test_the_gates_of_ul_248_14(self, ratio: float, seconds: float) -> None:
        # UL 248-14, as quoted elsewhere: 135 % within an hour, 200 % within 2 min up to 30 A
        assert fuse_opens_within(ratio, UL) == fuse_opens_within(ratio) == stands(ratio) == seconds

    def test_a_ul_fuse_carries_its_rated_current(self) -> None:
        # UL 248-14, as quoted elsewhere: 100 %
        assert fuse_holds(1.0, UL) == inf
        assert fuse_holds(1.01, UL) == 0

    @pytest.mark.parametrize(("ratio", "least", "longest"), [
        (1.5, 3600, inf), (2.09, 0.6, inf), (2.1, 0.6, 120), (2.75, 0.6, 10), (4, 0.15, 3), (10, 0.02, 0.3)])
    def test_the_gates_of_iec_60127(self, ratio: float, least: float, longest: float) -> None:
        # IEC 60127-2, sheet 3 (T, glass), as quoted elsewhere
        assert fuse_holds(ratio, IEC) == least
        assert fuse_opens_within(ratio, IEC) == longest

    def test_the_two_standards_do_not_mean_the_same_by_a_rating(self) -> None:
        # calculated from both: at 1.5 times, one is open within an hour and the other holds for one at least
        assert fuse_opens_within(1.5, UL) <= fuse_holds(1.5, IEC)
        assert fuse_opens_within(1.5, IEC) == inf

    def test_a_fuse_at_the_wall_never_sees_a_short_behind_a_low_dial(self) -> None:
        # an engineer's example, as quoted elsewhere: at 12 V of 120 V, 10 A out draw 1 A in
        drawn = 10.0 * 12 / 120
        assert min(fuse_opens_within(drawn / 3.0, standard) for standard in FUSE_OPENS) == inf
        assert fuse_opens_within(10.0 / 3.0) <= 10


def test_the_ampacity_of_cords() -> None:
    # NEC, table 400.5(A), as quoted elsewhere: two current-carrying conductors
    assert CORD_AMPACITY == {18: 10, 16: 13, 14: 18}
