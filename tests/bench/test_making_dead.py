"""How long each capacitor takes to be made dead, wherever the procedure ends."""

from __future__ import annotations

from math import exp

import pytest

from auditor.bench.forecast import forecast
from auditor.bench.making_dead import MakingDead, making_dead
from auditor.bench.trace import replay
from auditor.plan.read import read_plan

SET = """\
procedure: {title: A small plan of the Millrace Valley Wireless Society}
mains: {voltage: 120 V}
set:
  power_supply: transformerless
  rated_voltage: 117 V
  B+: 90..130 V
  B+_peak: 120..170 V
  %s
  idle_for: 90 days
  filter_capacitors: [{name: C1, capacitance: 30..50 uF}, {name: C2, capacitance: 20 uF}]
bench: {chain: [outlet, autotransformer, set]}
steps:
  - set_dial: 0 V
  - plug_in: set
  - switch_on: outlet
  - switch_on: set
  - {set_dial: 117 V, hold: 5 min}
  - switch_off: outlet
  - unplug: set
"""
DISCHARGE = "  - {discharge: {each: [C1, C2], through: 9..11 kohm 10 W, for: 2 s}}\n"
PROOF = "  - {prove_dead: {each: [C1, C2], below: 10 V, instrument: M1, otherwise: stop}}\n"


def made_dead(text: str) -> dict[str, MakingDead]:
    trace = replay(read_plan(text))
    return {one.name: one for one in making_dead(trace, forecast(trace))}


def test_the_time_is_the_one_after_which_the_most_that_can_be_left_has_fallen_to_what_counts_as_dead() -> None:
    found = made_dead(SET % "output: tube" + DISCHARGE + PROOF)
    for name, farads in (("C1", 50e-6), ("C2", 20e-6)):
        dead = found[name]
        assert dead.holds is not None
        assert dead.takes is not None
        # The law of discharge, V exp(-t / R C) (NEETS module 2, RC time constant), at the largest resistor and capacitor.
        assert dead.holds * exp(-dead.takes / (11e3 * farads)) == pytest.approx(10.0)


def test_an_attempt_stopped_at_the_worst_moment_leaves_the_peak_of_b_plus_on_the_highest_wall() -> None:
    # 170 V of B+ with nothing drawn at 117 V, on a wall of 126 V, the highest of 120 V in ANSI C84.1.
    assert made_dead(SET % "output: tube" + DISCHARGE + PROOF)["C1"].holds == pytest.approx(170 * 126 / 117)


def test_the_set_alone_discharges_all_its_capacitors_together_through_the_resistance_of_b_plus() -> None:
    dead = made_dead(SET % "B+_resistance: 20..30 kohm" + DISCHARGE + PROOF)["C2"]
    assert dead.holds is not None
    assert dead.alone is not None
    assert dead.holds * exp(-dead.alone / (30e3 * 70e-6)) == pytest.approx(10.0)


@pytest.mark.parametrize(("steps", "through"), [("", None), (PROOF, None), (DISCHARGE, 10e3)])
def test_without_a_resistor_or_without_a_reading_that_counts_as_dead_there_is_no_time(steps: str, through: float | None
                                                                                       ) -> None:
    dead = made_dead(SET % "output: tube" + steps)["C1"]
    assert dead.takes is None
    assert (dead.through is None) is (through is None)


def test_where_b_plus_is_not_known_nothing_is_said_of_what_is_left() -> None:
    text = (SET % "output: tube" + DISCHARGE + PROOF).replace("power_supply: transformerless", "power_supply: switching")
    text = text.replace("  B+: 90..130 V\n  B+_peak: 120..170 V\n", "")
    dead = made_dead(text)["C1"]
    assert dead.holds is None
    assert dead.takes is None
