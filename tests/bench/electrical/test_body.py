"""The laws of a touch: more is never milder."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.body import (
    LET_GO,
    REACTION,
    TOUCHABLE_VOLTAGE_DC,
    Shock,
    body_current,
    capacitor_touch_current,
    fibrillation_current,
    leakage_impedance,
    network_impedance,
    touch_current,
)
from auditor.bench.electrical.discharge import stored_charge, stored_energy
from tests.bench.electrical.circuits import THOROUGH

AMPERES, SECONDS = st.floats(0, 2), st.floats(0, 100)
VOLTS, OHMS, FREQUENCIES = st.floats(0, 500), st.floats(0, 1e7), st.floats(0, 1e6)
HELD_VOLTS, FARADS = st.floats(0, 40e3), st.floats(0, 1e-3)


@THOROUGH
@given(AMPERES, AMPERES, SECONDS, SECONDS)
def test_more_current_for_longer_is_never_milder(one: float, other: float, time: float, later: float) -> None:
    (low, high), (short, long) = sorted((one, other)), sorted((time, later))
    assert Shock.of_current(low, short) <= Shock.of_current(high, long)


@THOROUGH
@given(HELD_VOLTS, HELD_VOLTS, FARADS, FARADS)
def test_more_volts_on_a_larger_capacitor_are_never_milder(one: float, other: float, first: float, second: float) -> None:
    (low, high), (small, large) = sorted((one, other)), sorted((first, second))
    assert Shock.of_charge(low, small) <= Shock.of_charge(high, large)


@THOROUGH
@given(HELD_VOLTS, FARADS)
def test_a_charge_is_over_before_it_holds_anybody(volts: float, farads: float) -> None:
    assert Shock.of_charge(volts, farads) is not Shock.HOLDS


@THOROUGH
@given(HELD_VOLTS, FARADS)
def test_above_60_v_a_charge_is_nothing_only_within_every_published_limit(volts: float, farads: float) -> None:
    within = stored_charge(farads, volts) <= 45e-6 and stored_energy(farads, volts) <= 0.25
    nothing = Shock.of_charge(volts, farads) is Shock.NOTHING
    assert nothing == (volts <= TOUCHABLE_VOLTAGE_DC or within)


@pytest.mark.parametrize(("current", "below", "above"), [
    (REACTION, Shock.NOTHING, Shock.STARTLES),
    (LET_GO, Shock.STARTLES, Shock.HOLDS),
    (fibrillation_current(1.0), Shock.HOLDS, Shock.KILLS),
])
def test_a_limit_itself_is_not_yet_above_it(current: float, below: Shock, above: Shock) -> None:
    assert Shock.of_current(current, 1.0) is below
    assert Shock.of_current(current * 1.001, 1.0) is above


def test_what_rounding_puts_a_hair_above_a_limit_counts_as_at_it() -> None:
    assert Shock.of_current(REACTION * (1 + 1e-12), 1.0) is Shock.NOTHING


def test_the_same_current_kills_when_it_lasts() -> None:
    assert Shock.of_current(0.1, 0.1) is Shock.HOLDS
    assert Shock.of_current(0.1, 2.0) is Shock.KILLS


@pytest.mark.parametrize(("beyond", "end"), [(0.0, 8e-3), (1e-3, 8e-3), (6.0, 5.0), (3600.0, 5.0), (inf, 5.0)])
def test_outside_its_times_the_law_of_fibrillation_keeps_its_end_values(beyond: float, end: float) -> None:
    assert fibrillation_current(beyond) == fibrillation_current(end)


@THOROUGH
@given(SECONDS, SECONDS)
def test_a_longer_current_never_takes_more_to_fibrillate(one: float, other: float) -> None:
    short, long = sorted((one, other))
    assert fibrillation_current(long) <= fibrillation_current(short)


def test_fibrillation_takes_more_than_a_hand_lets_go_of_however_long() -> None:
    assert REACTION < LET_GO < fibrillation_current(inf)


def test_the_worst_of_several_touches_is_their_maximum() -> None:
    assert max(Shock.STARTLES, Shock.KILLS, Shock.NOTHING) is Shock.KILLS
    assert sorted(Shock) == [Shock.NOTHING, Shock.STARTLES, Shock.HOLDS, Shock.KILLS]


@pytest.mark.parametrize("grade", Shock, ids=lambda grade: grade.name)
def test_every_grade_says_in_a_sentence_of_its_own_what_happens(grade: Shock) -> None:
    assert grade.says[0].isupper()
    assert grade.says.endswith(".")
    assert "safe" not in grade.says
    assert [other for other in Shock if other.says == grade.says] == [grade]


@THOROUGH
@given(FREQUENCIES, FREQUENCIES)
def test_the_networks_let_more_pass_at_higher_frequency(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert 500.0 <= network_impedance(high) <= network_impedance(low) * (1 + 1e-12) <= 2000.0 * (1 + 2e-12)
    assert 0.0 < leakage_impedance(high) <= leakage_impedance(low) * (1 + 1e-12) <= 1500.0 * (1 + 2e-12)


@THOROUGH
@given(VOLTS, OHMS, st.floats(0, 400))
def test_the_person_of_the_injuries_draws_no_less_than_the_network(volts: float, ohms: float, hertz: float) -> None:
    assert touch_current(volts, ohms, hertz) <= body_current(volts, ohms) * (1 + 1e-12)


@THOROUGH
@given(VOLTS, VOLTS, OHMS, OHMS)
def test_more_volts_behind_less_resistance_never_draw_less(one: float, other: float, first: float, second: float) -> None:
    (low, high), (small, large) = sorted((one, other)), sorted((first, second))
    assert touch_current(low, large) <= touch_current(high, small) * (1 + 1e-12)
    assert body_current(low, large) <= body_current(high, small) * (1 + 1e-12)


@THOROUGH
@given(VOLTS, st.floats(0, 1e-6), st.floats(0, 1e-6), st.sampled_from([50.0, 60.0]))
def test_a_larger_capacitor_lets_more_pass_but_never_more_than_a_wire(
        volts: float, first: float, second: float, hertz: float) -> None:
    small, large = sorted((first, second))
    passed = capacitor_touch_current(volts, large, hertz)
    assert capacitor_touch_current(volts, small, hertz) <= passed * (1 + 1e-9)
    assert passed <= touch_current(volts, 0.0, hertz) * (1 + 1e-9)


def test_a_very_large_capacitor_passes_what_a_wire_passes() -> None:
    assert capacitor_touch_current(120, 1.0, 60.0) == pytest.approx(touch_current(120, 0.0, 60.0), rel=1e-3)


def test_a_capacitor_passes_no_direct_current_and_none_at_all_passes_nothing() -> None:
    assert capacitor_touch_current(450, 1e-6, 0.0) == 0.0
    assert capacitor_touch_current(120, 0.0, 60.0) == 0.0
