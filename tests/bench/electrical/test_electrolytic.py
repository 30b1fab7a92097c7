"""A capacitor that forms: the current falls, and ends no higher than the resistor and a good capacitor allow."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.electrolytic import (
    LEAKAGE_BASE,
    formed_current,
    forming_current,
    leakage_limit,
)
from auditor.logic.interval import Interval
from tests.bench.electrical.circuits import THOROUGH

FARADS, VOLTS, OHMS = st.floats(1e-7, 1e-3), st.floats(1, 600), st.floats(100, 1e6)


@given(FARADS, FARADS, VOLTS, VOLTS)
@THOROUGH
def test_more_capacitance_or_a_higher_rating_never_has_a_lower_limit(a: float, b: float, u: float, v: float) -> None:
    assert leakage_limit(min(a, b), min(u, v)) <= leakage_limit(max(a, b), max(u, v))


@given(FARADS, VOLTS)
@THOROUGH
def test_every_capacitor_may_leak_a_little(farads: float, volts: float) -> None:
    assert leakage_limit(farads, volts) > LEAKAGE_BASE


@given(VOLTS, OHMS, st.floats(0, 600), st.floats(0, 600))
@THOROUGH
def test_the_current_falls_as_the_capacitor_takes_up_volts(volts: float, ohms: float, a: float, b: float) -> None:
    empty, one, other = (forming_current(volts, ohms, held) for held in (0.0, min(a, b), max(a, b)))
    assert empty >= one >= other >= 0.0


@given(VOLTS, OHMS, FARADS, st.floats(0.5, 1), st.floats(0, 1))
@THOROUGH
def test_a_good_capacitor_ends_inside_the_range_wherever_supply_and_resistor_lie(
        volts: float, ohms: float, farads: float, narrower: float, leaks: float) -> None:
    """Its oxide passes up to its limit; what that takes in the resistor the capacitor does not get."""
    limit = leakage_limit(farads, 450)
    got = formed_current(Interval(narrower * volts, volts), Interval(ohms, 2 * ohms), limit)
    supply, resistor = volts * (narrower + 1) / 2, 1.5 * ohms
    current = min(leaks * limit, supply / resistor)
    assert got.low <= current <= got.high
    assert got.high <= forming_current(volts, ohms)
