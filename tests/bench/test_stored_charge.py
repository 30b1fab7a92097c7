"""What the capacitors hold: B+ while there is any, all of it after power-off, and less through a bleeder or a tool."""

from __future__ import annotations

from math import exp

import pytest

from auditor.bench.forecast import Row
from auditor.bench.stored_charge import Stored
from auditor.logic.interval import Interval
from tests.bench.test_forecast import DOWN, FIVE_TUBES, UP, rows

ZERO = Interval.exactly(0.0)
ON = (*UP, "{set_dial: 117 V, hold: 5 min}")
EMPTIED = "{discharge: {each: all, through: 10 kohm 10 W, for: 1 s}}"


def highest(row: Row) -> float:
    assert row.stored.voltage is not None
    return row.stored.voltage.high


def test_after_a_long_rest_there_is_nothing() -> None:
    assert rows("set_dial: 0 V")[0].stored == Stored(ZERO, ZERO)


def test_a_set_of_which_nothing_is_known_may_hold_what_an_earlier_run_left() -> None:
    got = rows("set_dial: 0 V", the_set=FIVE_TUBES.replace("  idle_for: 30 days\n", ""))[0].stored.voltage
    assert got is not None
    assert got.low == 0.0
    assert got.high == pytest.approx(178 * 126 / 117)  # its peak, on the highest wall


def test_while_there_is_b_plus_all_capacitors_together_hold_half_c_v_squared() -> None:
    row = rows(*ON, "set_bypass: closed", "{bring_set_to: 117 V, hold: 5 min}")[-1]
    assert row.readings.b_plus == Interval(90, 130)
    assert row.stored.energy is not None
    assert row.stored.energy.low == pytest.approx(0.5 * 80e-6 * 90 ** 2)
    assert row.stored.energy.high >= 0.5 * 80e-6 * 130 ** 2


def test_without_a_bleeder_stated_all_of_it_may_stay() -> None:
    *_, on, off, _unplugged, waited = rows(*ON, *DOWN, "wait: 2 h")
    assert highest(off) == highest(on) == highest(waited)
    assert waited.stored.voltage is not None
    assert waited.stored.voltage.low == 0.0


def test_through_the_resistance_that_b_plus_has_it_falls_by_its_time_constant() -> None:
    """NEETS module 2 (NAVEDTRA 14174): 36.8 % is left after R C."""
    bleeder = FIVE_TUBES + "  B+_resistance: 100 kohm\n"
    *_, on, _off, before, waited = rows(*ON, *DOWN, "{wait: 8 s, takes: 0 s}", the_set=bleeder)
    assert highest(waited) == pytest.approx(highest(before) / exp(1), rel=1e-9)  # 100 kohm times 80 uF
    assert highest(before) < highest(on)


def test_a_lowered_dial_does_not_take_the_charge_away() -> None:
    *_, up, down = rows(*ON, "{set_dial: 20 V, hold: 1 min}")
    assert down.readings.b_plus == ZERO
    assert highest(down) == highest(up)


def test_a_discharge_through_a_stated_resistor_leaves_what_its_time_constant_leaves() -> None:
    *_, before, after = rows(*ON, *DOWN, EMPTIED)
    assert highest(after) == pytest.approx(highest(before) * exp(-1 / (10e3 * 40e-6)), rel=1e-9)


def test_a_discharge_that_does_not_say_how_long_is_not_relied_on() -> None:
    *_, before, after = rows(*ON, *DOWN, "{discharge: {each: all, through: 10 kohm 10 W}}")
    assert highest(after) == highest(before)


def test_what_is_proved_dead_holds_at_most_what_the_meter_was_to_show() -> None:
    *_, after = rows(*ON, *DOWN, "{prove_dead: {each: all, below: 10 V, instrument: M1, otherwise: stop}}")
    assert highest(after) == 10
    assert after.stored.energy is not None
    assert after.stored.energy.high == pytest.approx(0.5 * 80e-6 * 10 ** 2)


def test_one_capacitor_left_out_keeps_the_whole_of_its_charge() -> None:
    *_, before, after = rows(*ON, *DOWN, "{prove_dead: {each: [C1], below: 10 V, instrument: M1, otherwise: stop}}")
    assert highest(after) == highest(before)


def test_a_run_straight_at_the_wall_charges_it_again() -> None:
    *_, after = rows("{measure: leakage, across: exposed metal to earth, fed_from: wall, set_switch: both, "
                     "plug_ways: both, expect: ..0.5 mA, otherwise: stop}")
    assert highest(after) == pytest.approx(178 * 126 / 117)


def test_at_the_wall_with_its_switch_off_a_set_has_not_run_and_keeps_what_it_had() -> None:
    *_, before, after = rows(*ON, *DOWN, EMPTIED, "{measure: leakage, across: exposed metal to earth, fed_from: wall, "
                                                  "set_switch: off, expect: ..0.5 mA, otherwise: stop}")
    assert 0 < highest(before) == highest(after) < 178


@pytest.mark.parametrize(("how", "volts"), [
    ("500 V for 5 s", 500.0), ("1 kV", 1000.0), ("first 50 V, then 250 V", 250.0)])
def test_an_insulation_tester_leaves_its_own_volts_in_the_capacitors_across_which_it_was(how: str, volts: float) -> None:
    for across in ("B+ to chassis", "B+ to common", "C1"):
        *_, after = rows(f'{{measure: insulation, across: {across}, how: "{how}", expect: 1 Mohm.., otherwise: stop}}')
        assert after.stored.voltage == Interval(0.0, volts)


def test_what_a_tester_that_states_no_volts_leaves_cannot_be_said() -> None:
    *_, after = rows("{measure: insulation, across: B+ to chassis, expect: 1 Mohm.., otherwise: stop}")
    assert after.stored == Stored(None, None)


def test_a_tester_elsewhere_charges_nothing() -> None:
    *_, after = rows("{measure: insulation, across: mains to chassis, how: 500 V, expect: 1 Mohm.., otherwise: stop}")
    assert after.stored == Stored(ZERO, ZERO)


def test_a_tester_leaves_no_less_than_was_there() -> None:
    *_, before, after = rows(*ON, *DOWN, "{measure: insulation, across: B+ to chassis, how: 50 V, expect: 1 Mohm.., "
                                         "otherwise: stop}")
    assert highest(after) == highest(before) > 50


def test_a_capacitor_that_is_not_on_b_plus_meets_the_tester_only_by_its_name() -> None:
    bias = FIVE_TUBES.replace("{name: C2, capacitance: 40 uF}", "{name: C2, capacitance: 40 uF, peak_voltage: 7..9 V}")
    for across, joules in (("B+ to chassis", 0.5 * 40e-6 * (500 ** 2 + 9 ** 2)), ("C2", 2 * 0.5 * 40e-6 * 500 ** 2)):
        *_, after = rows(f"{{measure: insulation, across: {across}, how: 500 V, expect: 1 Mohm.., otherwise: stop}}",
                         the_set=bias)
        assert after.stored.energy is not None
        assert after.stored.energy.high == pytest.approx(joules)


def test_a_capacitor_that_is_formed_holds_the_forming_voltage() -> None:
    *_, after = rows('{reform: {each: [C1], to: 150 V, through: 100 kohm 2 W, at_most: 5 mA}, '
                     'until: "leakage below 1 mA, at most 4 h"}')
    assert highest(after) == 150


def test_a_capacitor_with_a_highest_voltage_of_its_own_is_counted_with_that() -> None:
    bias = FIVE_TUBES.replace("{name: C2, capacitance: 40 uF}", "{name: C2, capacitance: 100 uF, peak_voltage: 7..9 V}")
    row = rows(*ON, the_set=bias)[-1]
    assert row.readings.b_plus is not None
    assert row.stored.energy is not None
    assert row.stored.energy.high == pytest.approx(0.5 * 40e-6 * row.readings.b_plus.high ** 2 + 0.5 * 100e-6 * 81)


def test_volts_are_known_without_the_capacitance_and_joules_are_not() -> None:
    stored = rows(*ON, the_set=FIVE_TUBES.replace("{name: C1, capacitance: 40 uF}", "{name: C1}"))[-1].stored
    assert stored.voltage is not None
    assert stored.energy is None


def test_where_no_capacitor_is_listed_nothing_can_be_said() -> None:
    lines = [line for line in FIVE_TUBES.splitlines(keepends=True) if "filter_capacitors" not in line]
    assert rows(*ON, the_set="".join(lines))[-1].stored == Stored(None, None)
