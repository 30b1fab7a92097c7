"""Energy is kept, step by step: what the source gives is heat in lamp, wiring and set; what a capacitor loses is heat in
its resistor."""

from __future__ import annotations

import random
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.discharge import stored_energy, voltage_after
from auditor.bench.electrical.ranges import Circuit
from auditor.bench.forecast import Row
from tests.bench.electrical.circuits import FRACTIONS, THOROUGH, Sampled, circuits, sampled
from tests.bench.test_forecast import DOWN, UP, rows
from tests.bench.test_range_widths import INPUTS, WRITTEN, cases, plans, settled_states

SLACK = 1e-6
"""Of the source's volt-amperes: what the solver may be off by."""


def source_watts(one: Sampled) -> tuple[float, float]:
    """Watts that the source gives, and its volt-amperes, from its volts and the set alone.

    A resistance in series adds to the source's volts only what is in step with the current. So what brings no watts is the
    same at the source as at the set, whatever the shape of the current: (E I)**2 - P**2 is (V I)**2 - (c V I)**2.
    """
    point = one.settle()
    given_out = one.source.voltage * point.current
    idle = point.set_voltage * point.current * sqrt(1 - min(1.0, one.factor(point.set_voltage)) ** 2)
    return sqrt(max(0.0, given_out ** 2 - idle ** 2)), given_out


def heat(one: Sampled) -> float:
    """Watts that become heat in the lamp, in the wiring and in the set."""
    point = one.settle()
    return (point.lamp_power + one.source.resistance * point.current ** 2
            + point.set_voltage * point.current * one.factor(point.set_voltage))


def assert_kept(one: Sampled) -> None:
    given_out, volt_amperes = source_watts(one)
    assert heat(one) == pytest.approx(given_out, rel=0, abs=SLACK * max(volt_amperes, SLACK))


@given(circuits(), FRACTIONS)
@THOROUGH
def test_the_source_gives_the_heat_of_lamp_wiring_and_set(circuit: Circuit, fractions: list[float]) -> None:
    assert_kept(sampled(circuit, fractions))


@pytest.mark.parametrize("name", WRITTEN)
def test_it_does_in_every_settled_state_of_every_procedure(name: str) -> None:
    draw = random.Random(1841)
    for plan in plans(name):
        for state in settled_states(plan):
            for case in cases(plan, state)[1]:
                if case.switching is None and case.reading is None:
                    for _ in range(5):
                        assert_kept(sampled(case.circuit, [draw.choice((0.0, 1.0, draw.random())) for _ in range(INPUTS)]))


# Capacitors

def heat_in(resistance: float, volts: float, capacitance: float, time: float) -> float:
    """Integral of V**2 / R over the time [J], by Simpson's rule in 400 steps."""
    steps, width = 400, time / 400
    watts = [voltage_after(volts, resistance, capacitance, k * width) ** 2 / resistance for k in range(steps + 1)]
    return width / 3 * (watts[0] + 4 * sum(watts[1::2]) + 2 * sum(watts[2:-1:2]) + watts[-1])


@given(st.floats(1, 600), st.floats(100, 1e6), st.floats(1e-7, 1e-3), st.floats(0.01, 6))
@THOROUGH
def test_what_a_capacitor_loses_becomes_heat_in_its_resistor(
        volts: float, resistance: float, capacitance: float, constants: float) -> None:
    time = constants * resistance * capacitance
    left = voltage_after(volts, resistance, capacitance, time)
    lost = stored_energy(capacitance, volts) - stored_energy(capacitance, left)
    assert lost == pytest.approx(heat_in(resistance, volts, capacitance, time), rel=1e-6)


@given(st.floats(1, 600), st.floats(100, 1e6), st.floats(1e-7, 1e-3), st.floats(0, 6), st.floats(0, 6))
@THOROUGH
def test_two_times_after_each_other_take_what_both_together_take(
        volts: float, resistance: float, capacitance: float, one: float, other: float) -> None:
    constant = resistance * capacitance
    between = voltage_after(volts, resistance, capacitance, one * constant)
    assert voltage_after(between, resistance, capacitance, other * constant) == pytest.approx(
        voltage_after(volts, resistance, capacitance, (one + other) * constant))


@pytest.mark.parametrize("seconds", [0.1, 0.5, 2.0])
def test_a_discharge_step_takes_from_the_set_what_becomes_heat_in_the_tool(seconds: float) -> None:
    *_, before, after = rows(*UP, "{set_dial: 117 V, hold: 5 min}", *DOWN,
                             f"{{discharge: {{each: all, through: 10 kohm 10 W, for: {seconds} s}}}}")
    volts, _ = highest(before)
    lost = highest(before)[1] - highest(after)[1]
    assert lost == pytest.approx(2 * heat_in(10e3, volts, 40e-6, seconds), rel=1e-6)  # two capacitors of 40 uF


def highest(row: Row) -> tuple[float, float]:
    """The most volts and the most joules that the set may hold."""
    assert row.stored.voltage is not None
    assert row.stored.energy is not None
    return row.stored.voltage.high, row.stored.energy.high
