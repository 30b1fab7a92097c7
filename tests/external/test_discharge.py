"""Stored charge against worked examples of textbooks; each check names its source and tolerance."""

from __future__ import annotations

import pytest

from auditor.bench.electrical.discharge import (
    discharge_time,
    left_after,
    stored_charge,
    stored_energy,
    time_to_reach,
    voltage_after,
)
from auditor.logic.interval import Interval


def test_one_time_constant_leaves_thirty_seven_per_cent() -> None:
    # NEETS module 2 (NAVEDTRA 14174), p. 4-14: 36.8 % is left after R C.
    assert voltage_after(100.0, 1e6, 1e-6, 1.0) == pytest.approx(36.8, abs=0.05)


def test_five_time_constants_count_as_all() -> None:
    # NEETS, the same place; less than 1 % is left.
    assert voltage_after(100.0, 1e6, 1e-6, 5.0) < 1.0


def test_a_bleeder_of_250_kohm_across_80_uf() -> None:
    # OpenStax, College Physics, chapter 21 (figure 21.55): 20 s, and 120 s to 0.25 %.
    assert time_to_reach(1.0, 0.368, 250e3, 80e-6) == pytest.approx(20, rel=0.005)
    assert time_to_reach(1.0, 0.00250, 250e3, 80e-6) == pytest.approx(120, rel=0.005)


def test_a_bleeder_of_260_kohm_across_85_uf() -> None:
    # A variant of the same exercise: 22.1 s, and 125 s to 0.35 %.
    assert time_to_reach(1.0, 0.00350, 260e3, 85e-6) == pytest.approx(125, rel=0.005)


def test_100_kohm_across_100_uf_takes_50_s() -> None:
    # Scherz and Monk, Practical Electronics for Inventors, 3rd edition: five time constants, 0.67 % left.
    assert voltage_after(100.0, 100e3, 100e-6, 50.0) == pytest.approx(0.67, abs=0.005)


@pytest.mark.parametrize(("volts", "ohms", "farads", "seconds", "left"), [
    (13.0, 1e3, 37e-6, 20e-3, 7.6),  # textbook question: 7.6 V after 20 ms from 13 V
    (12.0, 0.8e6, 5e-6, 4.0, 4.41),  # textbook answer: 4.41 V after one time constant
])
def test_worked_examples(volts: float, ohms: float, farads: float, seconds: float, left: float) -> None:
    assert voltage_after(volts, ohms, farads, seconds) == pytest.approx(left, rel=0.011)


def test_a_worked_time() -> None:
    # Textbook question: 2.0 uF through 4.0 Mohm from 12 to 3 V takes 11 s.
    assert time_to_reach(12.0, 3.0, 4e6, 2e-6) == pytest.approx(11, abs=0.5)


def test_a_defibrillator_holds_400_joules() -> None:
    # OpenStax, College Physics, example 19.11: 400 J at 10 kV is 8.00 uF.
    assert stored_energy(8.00e-6, 10e3) == pytest.approx(400)


def test_the_limit_of_45_microcoulombs_is_a_tenth_of_a_microfarad_at_450_volts() -> None:
    # IEC 60335-1, 8.1.4 (as quoted): C at most 0.1 uF up to 450 V, Q at most 45 uC above.
    assert stored_charge(0.1e-6, 450) == pytest.approx(45e-6)


@pytest.mark.parametrize(("farads", "volts", "joules", "from_100k", "from_470k"), [
    (16e-6, 350, 0.98, 3.11, 14.6), (40e-6, 150, 0.45, 4.39, 20.7), (100e-6, 165, 1.36, 11.9, 56.1)])
def test_the_reservoirs_of_radios(farads: float, volts: float, joules: float, from_100k: float, from_470k: float) -> None:
    # Computed by hand from C V**2 / 2 and R C ln(V / 50).
    assert stored_energy(farads, volts) == pytest.approx(joules, rel=0.01)
    assert time_to_reach(volts, 50, 100e3, farads) == pytest.approx(from_100k, rel=0.005)
    assert time_to_reach(volts, 50, 470e3, farads) == pytest.approx(from_470k, rel=0.005)


def test_a_radio_never_reaches_ten_joules() -> None:
    # LBNL Electrical Safety Manual, table 2.3.3: 10 J at 100 V and more; 40 uF would need 707 V.
    assert stored_energy(40e-6, 707) == pytest.approx(10, rel=0.001)


def test_a_tool_across_a_shelf_of_capacitors_encloses_every_one_of_them() -> None:
    ranges = Interval(140, 178), Interval(9e3, 11e3), Interval(32e-6, 48e-6)
    left, time = left_after(*ranges, Interval(1, 2)), discharge_time(ranges[0], 10, *ranges[1:])
    for volts in (140, 160, 178):
        for ohms in (9e3, 10e3, 11e3):
            for farads in (32e-6, 40e-6, 48e-6):
                assert time.low <= time_to_reach(volts, 10, ohms, farads) <= time.high
                for seconds in (1, 1.5, 2):
                    assert left.low <= voltage_after(volts, ohms, farads, seconds) <= left.high


def test_nothing_discharges_to_exactly_nothing() -> None:
    assert time_to_reach(100, 0, 1e3, 1e-6) == float("inf")


def test_what_is_below_the_target_already_takes_no_time() -> None:
    assert time_to_reach(5, 10, 1e3, 1e-6) == 0.0
