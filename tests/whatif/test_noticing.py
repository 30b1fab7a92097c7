"""By which sign the operator surely notices a fault."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.prediction import Readings
from auditor.logic.interval import Interval
from auditor.plan.steps import Step
from auditor.whatif.noticing import BRIGHT, Sign, at_the_step, glow, on_the_meters, span, watched
from auditor.whatif.world import World, attended
from tests.whatif.tried import LAMP, METERS, TRANSFORMER_SET, UP, WALL, Stated, a_plan, a_world, left_by

METERED = (*METERS[:-1], LAMP, "set")
WELL = Readings(Interval(80, 100), Interval(0.2, 0.3), Interval(20, 30), glow=("dull red", "orange"),
                b_plus=Interval(90, 130))
"""Of a healthy set."""


def shows(volts: tuple[float, float] = (80, 100), amps: tuple[float, float] | None = (0.2, 0.3),
          lamp: tuple[str, ...] = ("dull red", "orange"), b_plus: tuple[float, float] | None = (90, 130)) -> Readings:
    """What the meters show, by default as of a healthy set."""
    return Readings(Interval(*volts), None if amps is None else Interval(*amps), Interval(20, 30), glow=lamp,
                    b_plus=None if b_plus is None else Interval(*b_plus))


def clips(*places: str) -> tuple[str, ...]:
    """Steps that clip an instrument to each of these places of the set."""
    return tuple(f"{{clip: M{number}, across: {place}}}" for number, place in enumerate(places, 1))


def stops(condition: str, faulty: Readings, *, well: Readings = WELL, chain: Any = METERED, dial: str = "120 V",
          clipped: Sequence[str] = ("B+ to chassis",), **signs: Any) -> tuple[Sign, ...]:
    """What shows of the fault to somebody who stops at a condition. clipped: the places that a meter is clipped to."""
    plan = a_plan(*clips(*clipped), *UP[:-1], f"set_dial: {dial}", chain=chain, instruments=("M1",))
    world = a_world(plan, effect={"short": "1 ohm"}, signs=signs)
    return tuple(watched(world, (condition,), left_by(plan), well, faulty))


def the_step(step: str, chain: Any = METERED, the_set: Stated = TRANSFORMER_SET,
             clipped: Sequence[str] = ("B+ to chassis",)) -> tuple[World, Step]:
    """A step, in a world whose fault shows by no sign of its own."""
    plan = a_plan(*clips(*clipped), step, chain=chain, the_set=the_set, instruments=("M1", "M2"))
    return a_world(plan, effect={"short": "1 ohm"}), plan.steps[-1]


def read(expect: str, faulty: Readings, *, reading: str = "[set_voltage, current, lamp, B+]", chain: Any = METERED,
         the_set: Stated = TRANSFORMER_SET, well: Readings = WELL,
         clipped: Sequence[str] = ("B+ to chassis",)) -> tuple[str, ...]:
    """What meters and lamp show against what a step expects of them."""
    world, step = the_step(f"{{wait: 1 min, read: {reading}, expect: {expect}}}", chain, the_set, clipped)
    return tuple(sign.words for sign in on_the_meters(world.plan, step, left_by(world.plan), well, faulty))


def found(step: str, chain: Any = METERED, **signs: Any) -> bool:
    """Whether a step shows a fault with these signs."""
    plan = a_plan(step, chain=chain, instruments=("M1",))
    return any(at_the_step(a_world(plan, effect={"short": "1 ohm"}, signs=signs), plan.steps[0]))


# Conditions for a stop

@pytest.mark.parametrize("words", ["set current above", "current above", "the set current over", "current over"])
def test_a_current_above_a_limit_ends_the_attempt(words: str) -> None:
    assert stops(f"{words} 0.4 A", shows(amps=(0.5, 0.6)))
    assert stops(f"{words} 400 mA", shows(amps=(0.5, 0.6)))


@given(st.floats(0.001, 5.0), st.floats(0.0, 5.0))
def test_only_a_current_that_is_surely_above_the_limit_does(low: float, more: float) -> None:
    sign = stops("current above 0.4 A", shows(amps=(low, low + more)), well=shows(amps=(0.0, 0.1)))
    assert bool(sign) == (low > 0.4)


def test_a_limit_may_count_only_after_a_time() -> None:
    assert [sign.after for sign in stops("current above 0.4 A after 2 min", shows(amps=(0.5, 0.6)))] == [120.0]
    assert [sign.after for sign in stops("current above 0.4 A", shows(amps=(0.5, 0.6)))] == [0.0]


@pytest.mark.parametrize("chain", [WALL, (*WALL[:-1], {"voltmeter": {"range": "0..200 V"}}, "set")])
def test_without_an_ammeter_no_current_is_read(chain: Any) -> None:
    assert not stops("current above 0.4 A", shows(amps=(5, 6)), chain=chain)


def test_a_wattmeter_tells_the_current_too() -> None:
    assert stops("current above 0.4 A", shows(amps=(5, 6)), chain=(*WALL[:-1], "wattmeter", "set"))


def test_a_current_that_cannot_be_computed_is_no_sign() -> None:
    assert not stops("current above 0.4 A", shows(amps=None))


@pytest.mark.parametrize(("words", "below"), [
    ("set voltage below half the dial", 57.0), ("set volts below half of the dial", 57.0),
    ("voltage at the set under 50 % of the dial", 57.0), ("the set voltage stays below 25 % of the dial", 28.5),
    ("set_voltage below 40% of the dial", 45.6)])
def test_volts_at_the_set_surely_below_a_share_of_the_dial_end_the_attempt(words: str, below: float) -> None:
    # the dial at 120 V on a wall of 114 to 126 V: the share is taken of the least
    assert stops(words, shows(volts=(0, below - 0.1)))
    assert not stops(words, shows(volts=(0, below + 0.1)))


def test_volts_below_a_share_may_count_only_after_a_time() -> None:
    (sign,) = stops("set voltage below 40 % of the dial after 1 min", shows(volts=(1, 2)))
    assert sign == Sign("the set's meter shows 1..2 V, below 40% of the dial", 60.0)


def test_without_a_meter_at_the_set_its_volts_are_not_read() -> None:
    assert not stops("set voltage below half the dial", shows(volts=(0, 1)), chain=WALL)


@pytest.mark.parametrize(("condition", "b_plus", "met"), [
    ("B+ above 150 V", (151, 200), True), ("B+ above 150 V", (149, 200), False), ("the B+ over 150 V", (151, 200), True),
    ("B+ below 50 V", (0, 49), True), ("B+ below 50 V", (0, 51), False), ("B+ under 50 V", (0, 49), True)])
def test_b_plus_surely_beyond_a_limit_ends_the_attempt(condition: str, b_plus: tuple[float, float], met: bool) -> None:
    assert bool(stops(condition, shows(b_plus=b_plus))) == met


def test_b_plus_that_cannot_be_computed_is_no_sign() -> None:
    assert not stops("B+ above 150 V", shows(b_plus=None))


@pytest.mark.parametrize("condition", ["the lamp stays bright", "bright lamp after 5 s", "lamp bright"])
@pytest.mark.parametrize(("lamp", "met"), [
    (("white",), True), (("yellow", "white"), True), (("white", "melts"), True), (("orange", "yellow", "white"), False),
    (("dull red",), False), ((), False)])
def test_a_lamp_that_is_surely_bright_ends_the_attempt(condition: str, lamp: tuple[str, ...], met: bool) -> None:
    assert bool(stops(condition, shows(lamp=lamp))) == met


@pytest.mark.parametrize("condition", ["smoke", "smoke or a smell", "any smoke"])
def test_what_can_be_sensed_ends_the_attempt_where_the_condition_names_it(condition: str) -> None:
    assert stops(condition, WELL, sensed=["smoke"])
    assert not stops(condition, WELL, sensed=["red anode"])
    assert not stops(condition, WELL)


def test_it_is_sensed_when_it_surely_shows() -> None:
    assert [sign.after for sign in stops("smoke", WELL, sensed=["smoke"], sensed_after="10..40 s")] == [40.0]


def test_what_is_only_sensed_is_no_reading() -> None:
    assert not stops("something looks odd", shows(volts=(0, 1), amps=(5, 6), lamp=("white",)))


@pytest.mark.parametrize(("condition", "reading"), [
    ("current above 0.1 A", shows(amps=(0.5, 0.6))), ("set voltage below 90 % of the dial", shows(volts=(1, 2))),
    ("B+ above 50 V", shows(b_plus=(200, 210)))])
def test_a_condition_that_a_healthy_set_meets_as_well_tells_nothing(condition: str, reading: Readings) -> None:
    assert not stops(condition, reading, well=WELL)


@pytest.mark.parametrize("condition", ["current above 0.4 A", "smoke"])
def test_a_set_without_a_fault_shows_no_sign(condition: str) -> None:
    plan = a_plan(*UP, chain=METERED)
    assert not list(watched(World(plan), (condition,), left_by(plan), WELL, shows(amps=(5, 6))))


# What a step expects of the meters

@pytest.mark.parametrize(("expect", "faulty", "words"), [
    ("{set_voltage: 80..100 V}", shows(volts=(1, 2)), "the set's meter shows 1..2 V instead of 80..100 V"),
    ("{current: 0.2..0.3 A}", shows(amps=(0.5, 0.5)), "the ammeter shows 0.5 A instead of 0.2..0.3 A"),
    ("{lamp: dark}", shows(lamp=("white",)), "the lamp is white instead of dark"),
    ("{lamp: bright}", shows(lamp=("dark", "dull red")), "the lamp is dark to dull red instead of bright"),
    ("{B+: ..150 V}", shows(b_plus=(160, 200)), "the meter at B+ shows 160..200 V instead of ..150 V"),
])
def test_a_reading_that_is_surely_outside_what_is_expected_is_a_sign(expect: str, faulty: Readings, words: str) -> None:
    assert read(expect, faulty) == (words,)


@given(st.floats(0, 140), st.floats(0, 140))
def test_a_reading_that_may_lie_within_is_none(one: float, other: float) -> None:
    low, high = min(one, other), max(one, other)
    outside = low > 100 or high < 80
    assert bool(read("{set_voltage: 80..100 V}", shows(volts=(low, high)), reading="[set_voltage]")) == outside


@pytest.mark.parametrize("chain", [WALL, (*WALL[:-1], LAMP, "set")], ids=["no meter", "a lamp and no meter"])
def test_what_no_meter_shows_is_not_read(chain: Any) -> None:
    assert read("{set_voltage: 80..100 V, current: 0.2..0.3 A}", shows(volts=(1, 2), amps=(5, 6)), chain=chain) == ()


def test_without_a_limiter_no_lamp_is_seen() -> None:
    assert read("{lamp: dark}", shows(lamp=("white",)), chain=METERS) == ()


def test_words_for_a_lamp_that_nobody_defined_fit_any_glow() -> None:
    assert read("{lamp: a faint glow}", shows(lamp=("white",))) == ()


def test_what_a_healthy_set_would_show_is_what_predicted_means() -> None:
    assert read("predicted", shows(volts=(1, 2))) == ("the set's meter shows 1..2 V instead of 80..100 V",)
    assert read("predicted", shows(volts=(100, 120))) == ()
    assert read("predicted", shows(lamp=("white",))) == ("the lamp is white instead of dull red to orange",)
    assert read("predicted", shows(lamp=("orange", "white"))) == ()


def test_only_what_is_read_is_compared_with_the_prediction() -> None:
    assert read("predicted", shows(volts=(1, 2), amps=(5, 6)), reading="[current]") == (
        "the ammeter shows 5..6 A instead of 0.2..0.3 A",)


def test_a_healthy_set_always_shows_what_is_predicted() -> None:
    assert read("predicted", WELL) == ()


def test_a_capacitor_by_name_is_read_as_b_plus_unless_it_states_its_own_highest_voltage() -> None:
    for more, signs in (({}, 1), ({"peak_voltage": "20 V"}, 0)):
        the_set = {**TRANSFORMER_SET, "filter_capacitors": [{"name": "C1", **more}]}
        assert len(read("predicted", shows(b_plus=(0, 10)), reading="[C1]", the_set=the_set, clipped=("C1",))) == signs


@pytest.mark.parametrize("clipped", [(), ("plug",)])
def test_b_plus_is_read_only_where_a_meter_is_clipped_to_it(clipped: Sequence[str]) -> None:
    assert not stops("B+ above 150 V", shows(b_plus=(200, 210)), clipped=clipped)
    assert read("{B+: ..150 V}", shows(b_plus=(200, 210)), clipped=clipped) == ()


def test_a_step_that_expects_nothing_shows_nothing() -> None:
    world, step = the_step("{wait: 1 min, read: [set_voltage]}")
    assert not list(on_the_meters(world.plan, step, left_by(world.plan), WELL, shows(volts=(0, 1))))


# Cold measurements, inspections, proofs

COLD = {"measures": "resistance", "across": ["plug"], "reads": "..2 ohm"}


@pytest.mark.parametrize(("expect", "shown"), [
    ("80..200 ohm", True), ("2.1 ohm..", True), ("..200 ohm", False), ("1..3 ohm", False)])
def test_a_cold_measurement_shows_what_surely_misses_its_criterion(expect: str, shown: bool) -> None:
    assert found(f"{{measure: resistance, across: plug, expect: {expect}}}", measured=[COLD]) == shown


@pytest.mark.parametrize("step", [
    "{measure: continuity, across: plug, expect: 80 ohm..}", "{measure: resistance, across: heaters, expect: 80 ohm..}",
    "{measure: resistance, across: plug}", "{measure: resistance, across: plug, expect: 80..90 V}"])
def test_another_measurement_elsewhere_without_a_criterion_or_of_another_kind_shows_nothing(step: str) -> None:
    assert not found(step, measured=[COLD])


@pytest.mark.parametrize(("switch", "shown"), [("on", True), ("both", True), ("off", False), (None, False)])
def test_a_sign_that_needs_the_switch_on_shows_only_then(switch: str | None, shown: bool) -> None:
    so = f"set_switch: {switch}, " if switch else ""
    assert found(f"{{measure: resistance, across: plug, {so}expect: 80 ohm..}}",
                 measured=[{**COLD, "set_switch": "on"}]) == shown


def test_looking_shows_what_is_to_be_seen_there() -> None:
    assert found("{inspect: fuse, expect: 1 A}", inspected=["fuse"])
    assert not found("{inspect: cord, expect: no nick}", inspected=["fuse"])


@pytest.mark.parametrize("what", ["limiter", "isolation"])
def test_a_proof_shows_what_it_is_a_proof_of(what: str) -> None:
    step = f"{{prove: {what}, how: as usual, expect: {{set_voltage: ..2 V}}}}"
    assert found(step, proved=[what])
    assert not found(step, proved=["the meter"])


def test_the_proof_of_any_instrument_is_that_of_the_meter() -> None:
    assert found("{prove: M1, on: known source, expect: 114..126 V}", proved=["the meter"])


def test_reforming_shows_a_leakage_that_stays() -> None:
    step = "{reform: {each: all, to: 100 V, through: 100 kohm}, expect: ..1 mA}"
    assert found(step, reforming="yes")
    assert not found(step)


def test_proving_dead_shows_that_nothing_was_discharged() -> None:
    plan = a_plan("{prove_dead: {each: all, below: 10 V, instrument: M1, otherwise: stop}}", instruments=("M1",))
    assert any(at_the_step(a_world(plan, effect={"tool": "open"}), plan.steps[0]))
    assert not any(at_the_step(a_world(plan, effect={"meter": "shows nothing"}), plan.steps[0]))


def test_with_nothing_at_fault_nothing_shows() -> None:
    plan = a_plan("{inspect: fuse, expect: 1 A}")
    assert not any(at_the_step(World(plan), plan.steps[0]))


# Who watches

@pytest.mark.parametrize(("people", "step", "watches"), [
    ("throughout", "wait: 1 min", True), ("at times", "wait: 1 min", False), ("no", "wait: 1 min", False),
    ("throughout", "{wait: 1 min, attended: no}", False), ("no", "{wait: 1 min, attended: yes}", True)])
def test_only_who_is_surely_there_watches_and_the_step_says_it_last(people: str, step: str, watches: bool) -> None:
    plan = a_plan(step, attended=people)
    assert attended(World(plan), plan.steps[0]) == watches


# In words

@given(st.floats(0, 1e4), st.floats(0, 1e4))
def test_a_range_that_rounds_to_one_number_is_said_as_one(low: float, more: float) -> None:
    assert span(Interval(low, low)) == f"{low:.3g}"
    assert span(Interval(low, low + more)).startswith(f"{low:.3g}")


def test_an_open_end_is_left_open() -> None:
    assert (span(Interval(-inf, 50)), span(Interval(80, inf))) == ("..50", "80..")


def test_a_glow_is_said_from_the_darkest_to_the_brightest() -> None:
    assert glow(("dull red",)) == "dull red"
    assert glow(("dull red", "orange", "white")) == "dull red to white"
    assert {"white"} <= BRIGHT
