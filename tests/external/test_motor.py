"""The motor against what standards and textbooks print of induction motors; each check names its source."""

from __future__ import annotations

import pytest

from auditor.bench.electrical.motor import behaviours, standing, starts_at, torque
from auditor.logic.interval import Interval

EXACTLY = Interval.exactly


def test_a_tenth_less_volts_leave_81_per_cent_of_the_torque() -> None:
    # E. E. Kimberly, Electrical Engineering, 20-16: "0.90 x 0.90 = 0.81, or 81 per cent of normal".
    assert torque(0.9 * 120, 120) == pytest.approx(0.81)


def test_half_the_volts_leave_half_the_rated_torque_to_a_motor_that_starts_with_twice_of_it() -> None:
    # A textbook problem: starting torque 200 % at 440 V; started at 220 V it is 50 % (proportional to the square).
    assert 2.00 * torque(220, 440) == pytest.approx(0.50)


def test_a_motor_that_starts_with_1_9_times_its_torque_at_460_volts_just_starts_at_334() -> None:
    # A textbook problem on a starter with reduced voltage: 1.90 times the rated torque at 460 V; 1.00 times it at 334 V.
    assert starts_at(EXACTLY(460), EXACTLY(1.90)).low == pytest.approx(334, abs=0.5)


def test_a_healthy_motor_starts_with_a_tenth_less_volts() -> None:
    # NEMA MG 1, 12.44.1 (Condensed MG 1-2011, 9.9.1 and 9.9.2): a variation of 10 % of the rated voltage.
    assert starts_at(EXACTLY(120)).high == pytest.approx(0.9 * 120)


@pytest.mark.parametrize("volts", [10.0, 60.0, 120.0])
def test_standing_still_it_is_a_constant_impedance(volts: float) -> None:
    # Locked-rotor current goes with the volts: half of it at half of them (the basis of starting at reduced voltage).
    edge = standing(EXACTLY(120), EXACTLY(24)).most()
    assert edge.load(volts) == pytest.approx(edge.load(120.0) * volts / 120)


def test_at_no_volts_does_it_draw_more_turning_than_it_can_standing_still() -> None:
    # The current of an induction motor is greatest at standstill (Steinmetz, Alternating Current Phenomena, chapter 15).
    turning, still = (one.load.most() for one in behaviours(EXACTLY(120), EXACTLY(12)) if one.load is not None)
    assert all(turning.load(volts) <= still.load(volts) for volts in range(60, 133))


def test_standing_still_it_can_draw_hardly_more_than_turning_or_a_few_times_as_much() -> None:
    # Of a shaded-pole motor the stall current is only slightly higher (encyclopaedias of electrical machines).
    turning, still = (one.load for one in behaviours(EXACTLY(120), EXACTLY(12)))
    assert turning is not None
    assert still is not None
    assert still.power.low == turning.power.high
    assert still.power.high == 3 * turning.power.high
