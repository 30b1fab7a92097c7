"""What an item is, read from its line and from where it is: volts of a meter, current of a line capacitor, leakage."""

from __future__ import annotations

import json
from typing import Any

import pytest

from auditor.bench.facts import Replayed, replayed
from auditor.bench.item_facts import items
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.truth import Truth
from auditor.plan.read import read_plan
from auditor.rulebook.examples import example

exactly = Interval.exactly


def plan_with(**change: Any) -> Replayed:
    return replayed(read_plan(json.dumps(example(change), default=str)))


def read(found: Replayed, name: str, item: str) -> list[Any]:
    """The values that a fact of this item takes, in the order of the plan as written."""
    one = next(each for each in items(found.trace.plan, name.split(".")[0]) if each.name == item)
    return [found.value(name, one, sample) for sample in found.trace.main]


@pytest.mark.parametrize(("category", "volts"), [
    ("CAT III 600 V", exactly(600.0)), ("CAT II 1000V", exactly(1000.0)), ("CAT III 1 kV", exactly(1000.0)),
    ("CAT III 1000 V / CAT IV 600 V", exactly(600.0)), ("none", exactly(0.0)), ("CAT III", ANYTHING),
    ("not stated", ANYTHING),
])
def test_the_volts_of_a_meter_are_written_with_its_category(category: str, volts: Interval) -> None:
    found = plan_with(state={"bench.instruments.M2.category": category})
    assert set(read(found, "instrument.volts", "M2")) == {volts}


@pytest.mark.parametrize(("where", "volts"), [
    ("C1", 100.0), ("C2", 1.05 * 178.0), ("B+ to common", 1.05 * 178.0), ("heaters", 1.05 * 178.0), ("plug", 120.0),
])
def test_a_meter_meets_the_highest_voltage_of_the_place_where_it_is(where: str, volts: float) -> None:
    # B+ is stated at the nominal voltage of the wall, which may have 5 % more; categories are for the nominal one
    found = plan_with(state={"set.filter_capacitors.C1.peak_voltage": "100 V"},
                      write={"clip": {"clip": "M2", "across": where}})
    assert {round(met.high, 3) for met in read(found, "instrument.meets", "M2")} == {0.0, round(volts, 3)}


def test_a_meter_in_the_hand_meets_what_it_proves_dead() -> None:
    found = plan_with(state={"set.filter_capacitors.C1.peak_voltage": "400 V"})
    assert max(value.high for value in read(found, "instrument.meets", "M1")) == 400.0


@pytest.mark.parametrize(("frequency", "milliamperes"), [("60 Hz", 0.453), ("50 Hz", 0.378)])
def test_a_line_capacitor_gives_current_in_proportion_to_the_frequency(frequency: str, milliamperes: float) -> None:
    # calculated: 2 pi f C V with 10 nF at 120 V; the network of the meter changes less than a hundredth of it
    found = plan_with(state={"mains.frequency": frequency, "mains.band": "120 V",
                             "set.line_capacitors.C3.capacitance": "10 nF"})
    (current,) = set(read(found, "line_capacitor.touch_current", "C3"))
    assert current.low == current.high == pytest.approx(milliamperes * 1e-3, rel=0.01)


def test_what_is_not_stated_of_the_mains_widens_that_current() -> None:
    state = {"set.line_capacitors.C3.capacitance": "10 nF", "mains.frequency": "not stated"}
    (current,) = set(read(plan_with(state=state), "line_capacitor.touch_current", "C3"))
    assert 0.15e-3 < current.low < 0.2e-3 < 0.45e-3 < current.high < 0.5e-3
    (unknown,) = set(read(plan_with(state={**state, "mains.voltage": "not stated"}), "line_capacitor.touch_current", "C3"))
    assert unknown == ANYTHING


@pytest.mark.parametrize(("shares", "complete", "listed"), [
    ((None, "20 V"), "yes", Truth.TRUE), (("65 V", "65 V"), "yes", Truth.TRUE),
    (("20 V", "20 V"), "yes", Truth.FALSE), (("50 V", "50 V"), "yes", Truth.UNKNOWN),
    (("20 V", "20 V"), "not stated", Truth.UNKNOWN),
])
def test_a_capacitor_of_b_plus_is_listed_where_one_or_a_row_comes_up_to_it(
    shares: tuple[str | None, str], complete: str, listed: Truth
) -> None:
    stated = {f"set.filter_capacitors.{name}.peak_voltage": share
              for name, share in zip(("C1", "C2"), shares, strict=True) if share is not None}
    found = plan_with(state={"set.complete": complete, **stated})
    assert found.value("set.b_plus_capacitors", None, found.trace.main[0]) is listed


def test_an_instrument_at_the_outlet_of_the_bench_is_not_on_the_set() -> None:
    found = plan_with(write={"clip": {"clip": "M2", "across": "set outlet"}})
    assert set(read(found, "instrument.attached", "M2")) == {Truth.FALSE}
    assert Truth.TRUE in read(plan_with(), "instrument.attached", "M2")
