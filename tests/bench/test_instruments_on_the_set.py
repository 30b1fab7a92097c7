"""Where on the set an instrument is, and which proof of a meter a dead one would fail."""

from __future__ import annotations

import pytest

from auditor.bench.facts import FACTS
from auditor.bench.item_facts import items
from auditor.bench.trace import replay
from auditor.logic.truth import Truth
from auditor.plan.read import read_plan

MAINS, B_PLUS, PROVING = "instrument.on_the_mains", "instrument.on_b_plus", "instrument.proving"


def at_the_end_of(step: str, fact: str, of: str | None = "instrument") -> object:
    """The fact, of M1 where it is one of instruments, at the end of the last of these steps."""
    plan = read_plan(
        "procedure: {title: A trial}\nset: {filter_capacitors: [{name: C1}, {name: C2, peak_voltage: 60 V},"
        " {name: C3, peak_voltage: 61 V}]}\n"
        "bench: {chain: [{outlet: {switch: ordinary}}, set], instruments: [{name: M1}, {name: M2}], complete: yes}\n"
        f"stop: {{then: [{{unplug: set}}]}}\nsteps: [{step}]\n")
    sample = replay(plan).main[-1]
    return FACTS[fact].read(plan, sample) if of is None else FACTS[fact].read(plan, sample, items(plan, of)[0])


@pytest.mark.parametrize("step", [
    "{clip: M1, across: primary}", "{connect: M1, at: set outlet}", "{clip: M1, across: plug}",
    "{measure: voltage, across: set outlet, instrument: M1}", "{clip: M1, across: limiter live}",
    "{measure: voltage, across: neutral to common, instrument: M1}", "{unclip: M1}"])
def test_the_mains_winding_the_plug_and_the_outlet_are_on_the_mains(step: str) -> None:
    assert at_the_end_of(step, MAINS) is Truth.of(step != "{unclip: M1}")
    assert at_the_end_of(step, B_PLUS) is Truth.FALSE


@pytest.mark.parametrize("step", [
    "{clip: M1, across: C1}", "{clip: M1, across: C3}", "{connect: M1, at: B+}", "{connect: M1, at: common}",
    "{measure: voltage, across: B+ to chassis, instrument: M1}", "{clip: M1, across: B+ to common}"])
def test_b_plus_its_return_and_what_may_meet_it_are_on_b_plus(step: str) -> None:
    assert at_the_end_of(step, B_PLUS) is Truth.TRUE
    assert at_the_end_of(step, MAINS) is Truth.FALSE


@pytest.mark.parametrize("step", [
    "{clip: M1, across: C2}", "{connect: M1, at: chassis}", "{connect: M1, at: speaker}", "{clip: M1, across: heaters}",
    "{clip: M2, across: primary}", "{measure: voltage, across: set outlet, instrument: M2}",
    "{measure: voltage, across: set outlet}", "{wait: 1 min}"])
def test_another_place_another_meter_or_harmless_volts_are_neither(step: str) -> None:
    assert (at_the_end_of(step, MAINS), at_the_end_of(step, B_PLUS)) == (Truth.FALSE, Truth.FALSE)


@pytest.mark.parametrize(("expect", "proves"), [
    ("114..126 V", True), ("8.5..9.9 V", True), ("5 V..", True), ("4.9..126 V", False), ("..126 V", False),
    ("0..126 V", False), ("1 mV..", False), ("100..130 ohm", False), ("the needle moves", False)])
def test_a_meter_is_proved_only_by_volts_that_a_dead_one_misses(expect: str, proves: bool) -> None:
    assert at_the_end_of(f"{{prove: M1, on: known source, expect: {expect}, otherwise: stop}}", PROVING) is Truth.of(proves)


OUTLET_ON, OUTLET_OFF = "{switch_on: outlet}", "{switch_off: outlet}"
LIVE, ACROSS = "instrument.on_live_parts", "instrument.across_volts"


@pytest.mark.parametrize(("before", "live"), [(OUTLET_ON, Truth.TRUE), (OUTLET_OFF, Truth.FALSE)])
@pytest.mark.parametrize("step", ["{connect: M1, at: set outlet}", "{clip: M1, across: set outlet}",
                                  "{measure: voltage, across: set outlet, instrument: M1}"])
def test_across_the_outlet_there_are_volts_while_it_is_on_with_no_set_in_it(step: str, before: str, live: Truth) -> None:
    assert (at_the_end_of(f"{before}, {step}", LIVE), at_the_end_of(f"{before}, {step}", ACROSS)) == (live, live)


@pytest.mark.parametrize("step", [
    "{connect: M1, at: chassis}", "{clip: M1, across: primary}", "{measure: voltage, across: plug, instrument: M1}",
    "{measure: voltage, across: set outlet, instrument: M2}",
    "{measure: leakage, across: set outlet to earth, instrument: M1}"])
def test_with_the_set_unplugged_nothing_else_has_volts_from_the_outlet(step: str) -> None:
    assert (at_the_end_of(f"{OUTLET_ON}, {step}", LIVE), at_the_end_of(f"{OUTLET_ON}, {step}", ACROSS)) == (
        Truth.FALSE, Truth.FALSE)


@pytest.mark.parametrize(("steps", "place"), [
    ("{connect: M1, at: set outlet}", "plug pins"), ("{clip: M1, across: set outlet}", "plug pins"),
    (f"{OUTLET_ON}, {{connect: M1, at: set outlet}}", "bench wiring"),
    (f"{OUTLET_ON}, {{clip: M1, across: set outlet to earth}}", "bench wiring"),
    (f"{OUTLET_ON}, {{disconnect: M1, at: set outlet}}", "bench wiring"),
    (f"{OUTLET_ON}, {{connect: second device, at: set outlet}}", "nothing"),
    (f"{OUTLET_ON}, {{connect: motor, at: set outlet}}", "set inside"),
    (f"{OUTLET_ON}, {{connect: aerial, at: set outlet}}", "set outside"),
    (f"{OUTLET_ON}, {{clip: M1, across: primary}}", "set inside")])
def test_leads_that_go_into_a_live_outlet_are_put_to_the_wiring_of_the_bench(steps: str, place: str) -> None:
    assert at_the_end_of(steps, "step.touches", None) == place


@pytest.mark.parametrize(("step", "impossible"), [
    ("{measure: leakage, across: exposed metal to earth, fed_from: wall}", Truth.FALSE),
    ("{measure: voltage, across: exposed metal to earth, fed_from: wall}", Truth.TRUE),
    ("{measure: leakage, across: C1, fed_from: wall}", Truth.TRUE),
    ("{measure: voltage, across: C1, fed_from: bench}", Truth.TRUE),
    ("{measure: leakage, across: exposed metal to earth, fed_from: bench}", Truth.TRUE),
    ("{plug_in: set}, {measure: leakage, across: exposed metal to earth, fed_from: bench}", Truth.FALSE),
    ("{plug_in: set}, {measure: leakage, across: exposed metal to earth, fed_from: wall}", Truth.TRUE),
    ("{put_in: batteries}", Truth.TRUE), ("{take_out: batteries}", Truth.FALSE)])
def test_a_step_feeds_the_set_itself_only_for_its_leakage_and_from_where_it_is_plugged_in(
        step: str, impossible: Truth) -> None:
    assert at_the_end_of(step, "step.impossible", None) is impossible
