"""Leakage of electrolytics against published limits; each check names its source and tolerance."""

from __future__ import annotations

import pytest

from auditor.bench.electrical.electrolytic import (
    MOST_WHILE_FORMING,
    formed_current,
    forming_current,
    leakage_limit,
    modern_leakage_limit,
)
from auditor.logic.interval import Interval


@pytest.mark.parametrize(("microfarads", "volts", "milliamperes"), [(20, 450, 1.1), (20, 250, 0.7)])
def test_worked_examples_of_the_tube_era(microfarads: float, volts: float, milliamperes: float) -> None:
    # JAN-C-62, as quoted elsewhere: 20 uF at 450 V 1.1 mA, at 250 V 0.7 mA.
    assert leakage_limit(microfarads * 1e-6, volts) == pytest.approx(milliamperes * 1e-3)


@pytest.mark.parametrize(("volts", "factor"), [
    (25, 0.01), (100, 0.01), (101, 0.02), (250, 0.02), (251, 0.025), (350, 0.025), (351, 0.04), (450, 0.04)])
def test_each_row_of_the_table_reaches_to_its_last_volt(volts: float, factor: float) -> None:
    # JAN-C-62, as quoted elsewhere: K C + 0.3 mA, K 0.01 to 100 V, 0.02 to 250, 0.025 to 350, 0.04 to 450.
    assert leakage_limit(10e-6, volts) == pytest.approx((factor * 10 + 0.3) * 1e-3)


def test_a_modern_capacitor_of_35_volts_and_2200_uf_may_leak_770_microamperes_after_two_minutes() -> None:
    # Question and answer page of a maker of capacitors: 0.01 C V.
    assert modern_leakage_limit(2200e-6, 35) == pytest.approx(770e-6)


def test_a_small_modern_capacitor_may_leak_three_microamperes() -> None:
    # Data sheets: 0.01 C V or 3 uA, whichever is more.
    assert modern_leakage_limit(1e-6, 50) == 3e-6


def test_a_modern_capacitor_for_a_tube_set_may_leak_half_of_what_one_of_its_day_might() -> None:
    # Data sheets, 160 to 450 V after two minutes: 0.06 C V + 10 uA. 20 uF at 450 V: 0.55 mA against 1.1 mA.
    assert modern_leakage_limit(20e-6, 450) == pytest.approx(550e-6)
    assert modern_leakage_limit(20e-6, 450) == pytest.approx(leakage_limit(20e-6, 450) / 2, rel=0.01)


@pytest.mark.parametrize(("volts", "ohms"), [(450, 100e3), (350, 100e3), (75, 10e3)])
def test_the_resistors_of_a_maker_s_note_keep_every_capacitor_below_the_cap_of_forming(volts: float, ohms: float) -> None:
    # A maker's note of 1993, as quoted: 10 kohm to 75 V, 100 kohm above. MIL-HDBK-1131C, as cited elsewhere: 10 mA at most.
    assert forming_current(volts, ohms) < MOST_WHILE_FORMING


def test_a_resistor_for_a_modern_capacitor_does_not() -> None:
    # EIA-815, as quoted: 1 kohm above 100 V.
    assert forming_current(450, 1e3) > 40 * MOST_WHILE_FORMING


def test_one_that_ends_above_a_tenth_of_the_supply_across_its_resistor_is_given_up() -> None:
    # Trade guide: 30 kohm, rejected if after an hour more than a tenth of the volts stands across it. For 8 uF at 450 V the
    # limit of JAN-C-62, 0.62 mA, is 19 V across 30 kohm: less than that tenth, so a good one passes both.
    end = formed_current(Interval.exactly(450), Interval.exactly(30e3), leakage_limit(8e-6, 450)).high
    assert end * 30e3 < 45
