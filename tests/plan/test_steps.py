"""Steps: one verb each, its fields beside it or inside it, and every mistake with what to write."""

from __future__ import annotations

import pytest

from auditor.logic.interval import Interval
from auditor.plan.read import read_plan
from auditor.plan.read_steps import LONGEST_BRANCH
from auditor.plan.verbs import VERBS
from tests.written import refused, spot, stands_at, steps_of, the_refusal, with_steps


def test_the_steps_are_counted_from_one() -> None:
    assert [step.number for step in steps_of("set_dial: 0 V", "plug_in: set", "switch_on: outlet")] == [1, 2, 3]


def test_what_belongs_to_a_step_may_stand_beside_its_verb_or_inside_it() -> None:
    beside, inside = steps_of("{set_dial: 30 V, hold: 1 min}", "set_dial: {to: 30 V, hold: 1 min}")
    assert (beside.to, beside.hold) == (inside.to, inside.hold) == (Interval.exactly(30.0), Interval.exactly(60.0))


def test_a_verb_without_a_value_is_one_word() -> None:
    assert steps_of("remove_lamp")[0].verb == "remove_lamp"


def test_a_value_for_a_verb_that_takes_none_is_refused() -> None:
    assert the_refusal(with_steps("remove_lamp: now")).suggestion == "write `- remove_lamp`"


@pytest.mark.parametrize(("written", "meant"), [
    ("set_dail", "set_dial"), ("swich_on", "switch_on"), ("plug in", "plug_in"), ("Inspect", "inspect"),
    ("prove dead", "prove_dead"), ("dicharge", "discharge"),
])
def test_a_misspelt_verb_is_refused_with_the_nearest_one(written: str, meant: str) -> None:
    text = with_steps("set_dial: 0 V", f"{written}: something")
    problem = the_refusal(text)
    assert problem.suggestion == meant
    assert stands_at(problem) == spot(text, written)


@pytest.mark.parametrize(("step", "written", "meant"), [
    ("switch_on: outlt", "outlt", "outlet"),
    ("plug_in: bnch", "bnch", "bench"),
    ("{inspect: crod, expect: no crack, otherwise: stop}", "crod", "cord"),
    ("{measure: resistence, across: plug, expect: 1 ohm, otherwise: stop}", "resistence", "resistance"),
    ("take_out: tubse", "tubse", "tubes"),
    ("set_bypass: opne", "opne", "open"),
    ("{set_dial: 5 V, read: [current, set_volts]}", "set_volts", "set_voltage"),
])
def test_a_misspelt_word_of_a_step_is_refused_with_the_nearest_one(step: str, written: str, meant: str) -> None:
    text = with_steps(step)
    problem = the_refusal(text)
    assert problem.suggestion == meant
    assert stands_at(problem) == spot(text, written)


def test_a_misspelt_field_is_refused_at_the_field() -> None:
    text = with_steps("{set_dial: 5 V, hodl: 1 min}")
    problem = the_refusal(text)
    assert problem.suggestion == "hold"
    assert stands_at(problem) == spot(text, "hodl")


def test_a_field_that_a_verb_needs_is_named() -> None:
    assert the_refusal(with_steps("measure: resistance")).message == "`measure` needs `across`"


def test_two_verbs_in_one_step_are_refused() -> None:
    assert the_refusal(with_steps("{set_dial: 0 V, plug_in: set}")).suggestion == "write a step for each"


def test_a_step_that_says_nothing_is_refused_as_such() -> None:
    assert the_refusal(with_steps("{}")).message.startswith("this step says nothing")


@pytest.mark.parametrize("step", ["set_dial:", "set_dial: unknown"])
def test_a_verb_without_its_value_asks_for_it(step: str) -> None:
    assert the_refusal(with_steps(step)).message == "`set_dial` needs `to`"


def test_half_an_expectation_after_a_comma_is_not_lost_in_silence() -> None:
    assert "does not take `no nick`" in the_refusal(
        with_steps("{inspect: cord, expect: no crack, no nick, otherwise: stop}")).message


@pytest.mark.parametrize("step", ["[set_dial, 0 V]", "- set_dial: 0 V"])
def test_a_list_is_no_step(step: str) -> None:
    assert the_refusal(with_steps(step)).message == "a step is a mapping with one verb, as in `set_dial: 0 V`"


@pytest.mark.parametrize("step", ["{set_dial: 0 V, to: 5 V}", "{set_dial: {to: 0 V, hold: 1 min}, hold: 2 min}"])
def test_a_field_that_is_written_twice_is_refused(step: str) -> None:
    assert the_refusal(with_steps(step)).suggestion == "write it once"


@pytest.mark.parametrize("volts", ["60 V..", "-5 V", "..-5 V"])
def test_a_dial_setting_has_an_end_and_is_not_below_zero(volts: str) -> None:
    text = with_steps(f"set_dial: {volts}")
    assert stands_at(the_refusal(text)) == spot(text, volts)


SAME_STEPS = [
    ("take_out: valves", "take_out: tubes"),
    ("take_out: rectifier valve", "take_out: rectifier tube"),
    ("connect: antenna", "connect: aerial"),
    ("{inspect: valves, expect: seated, otherwise: stop}", "{inspect: tubes, expect: seated, otherwise: stop}"),
    ("{set_dial: 5 V, read: [HT]}", "{set_dial: 5 V, read: [B+]}"),
    ("{set_dial: 5 V, read: [b+]}", "{set_dial: 5 V, read: [B+]}"),
    ("{set_dial: 5 V, read: [set voltage]}", "{set_dial: 5 V, read: [set_voltage]}"),
    ("inspect: the cord", "inspect: cord"),
]


@pytest.mark.parametrize(("one", "other"), SAME_STEPS)
def test_the_words_of_both_sides_of_the_ocean_mean_the_same_in_a_step(one: str, other: str) -> None:
    assert steps_of(one) == steps_of(other)


def test_the_place_of_a_measurement_has_one_spelling_too() -> None:
    one, other = steps_of("{measure: resistance, across: HT to chassis, expect: 15 kohm.., otherwise: stop}",
                          "{measure: resistance, across: B+ to chassis, expect: 15 kohm.., otherwise: stop}")
    assert one.across == other.across


def test_a_place_that_nothing_is_measured_at_is_refused_with_the_nearest_one() -> None:
    problem = the_refusal(with_steps("{measure: resistance, across: B+ to chasis, expect: 15 kohm.., otherwise: stop}"))
    assert problem.suggestion == "B+ to chassis"


def test_a_capacitor_of_the_plan_is_a_place_and_a_reading() -> None:
    measured, raised = steps_of("{measure: resistance, across: C1, expect: 1 Mohm.., otherwise: stop}",
                                "{set_dial: 5 V, read: [C2]}")
    assert (measured.across, raised.read) == ("C1", ("C2",))


def test_an_instrument_of_the_plan_can_be_proved() -> None:
    assert steps_of("{prove: M1, on: known source, expect: 114..126 V, otherwise: stop}")[0].what == "M1"


def test_an_instrument_that_the_plan_does_not_list_cannot_be_proved() -> None:
    assert "does not know `M7`" in the_refusal(with_steps("{prove: M7, expect: 5 V, otherwise: stop}")).message


@pytest.mark.parametrize("word", ["yes", "no", "on", "true", "''"])
def test_a_bare_yes_is_no_criterion(word: str) -> None:
    assert "seen to fail" in the_refusal(with_steps(f"{{inspect: cord, expect: {word}, otherwise: stop}}")).message


@pytest.mark.parametrize(("step", "evidence"), [
    ("{inspect: cord, expect: no crack, otherwise: stop}", True),
    ("{inspect: cord, expect: no crack}", False),
    ("{inspect: cord, otherwise: stop}", False),
    ("inspect: cord", False),
    ("{inspect: cord, expect: predicted, otherwise: stop}", False),
    ("{inspect: cord, expect: no crack, otherwise: [{find_cause: what broke it}]}", False),
    ("{inspect: cord, expect: no crack, otherwise: [{wait: 1 s}]}", False),
    ("{inspect: cord, expect: no crack, otherwise: [{unplug: set}, {find_cause: what broke it}]}", True),
    ("{measure: resistance, across: plug, expect: 0 ohm.., otherwise: stop}", False),
    ("{measure: resistance, across: plug, expect: 1 ohm.., otherwise: stop}", True),
    ("{measure: resistance, across: plug, expect: ..1e12 ohm, otherwise: stop}", False),
    ("{measure: resistance, across: plug, expect: ..1 ohm, otherwise: stop}", True),
    ("{observe: the meters, expect: {set_voltage: 0 V.., current: 0 A..}, otherwise: stop}", False),
    ("{observe: the meters, expect: {set_voltage: 0 V.., current: ..1 A}, otherwise: stop}", True),
    ("{observe: the meters, expect: {lamp: dark}, otherwise: stop}", True),
])
def test_evidence_is_a_criterion_and_what_is_done_when_it_is_not_met(step: str, evidence: bool) -> None:
    assert steps_of(step)[0].can_fail() is evidence


def test_a_measurement_expects_a_quantity_and_not_words() -> None:
    text = with_steps("{measure: resistance, across: plug, expect: good, otherwise: stop}")
    problem = the_refusal(text)
    assert "no quantity" in problem.message
    assert stands_at(problem) == spot(text, "good")


@pytest.mark.parametrize("otherwise", ["halt", "{switch_off: outlet}", "stop now"])
def test_otherwise_is_stop_or_a_list_of_steps(otherwise: str) -> None:
    step = f"{{inspect: cord, expect: no crack, otherwise: {otherwise}}}"
    assert the_refusal(with_steps(step)).suggestion == "write `otherwise: stop`"


def test_the_steps_of_a_branch_count_as_the_step_that_they_leave_from() -> None:
    inspect = "{inspect: cord, expect: no crack, otherwise: [{switch_off: outlet}, {unplug: bench}]}"
    step = steps_of("wait: 1 min", inspect)[1]
    assert isinstance(step.otherwise, tuple)
    assert [(s.verb, s.number) for s in step.otherwise] == [("switch_off", 2), ("unplug", 2)]


def test_a_mistake_in_a_branch_stands_where_it_is_written() -> None:
    text = with_steps("{inspect: cord, expect: no crack, otherwise: [{switch_off: outelt}]}")
    assert stands_at(the_refusal(text)) == spot(text, "outelt")


def test_a_branch_has_an_end() -> None:
    branch = ", ".join(["{wait: 1 min}"] * (LONGEST_BRANCH + 1))
    assert "at most" in the_refusal(with_steps(f"{{inspect: cord, expect: x, otherwise: [{branch}]}}")).message


@pytest.mark.parametrize("text", [
    with_steps("{inspect: cord, expect: x, otherwise: [{raise: {from: 0 V, to: 20 V, by: 5 V}}]}"),
    "procedure: {title: x}\nstop: {then: [{raise: {from: 0 V, to: 20 V, by: 5 V}}]}\n",
])
def test_a_way_out_has_no_stages(text: str) -> None:
    assert "way out" in the_refusal(text).message


def test_every_mistake_of_every_step_is_reported() -> None:
    assert len(refused(with_steps("set_dail: 0 V", "plug_in: bnch", "{set_dial: 5, hold: 12:30}"))) == 4


def test_a_step_says_itself_in_words() -> None:
    steps = steps_of("set_dial: 30 V", "{wait: 90 s}", "{change_lamp: {to: {power: 100 W}, after: lamp cool}}",
                     "plug_in: set", "{discharge: {each: [C1, C2], through: 10 kohm}}")
    assert [step.in_words() for step in steps] == [
        "set the dial to 30 V", "wait 90 s", "change the lamp to 100 W", "plug in the set", "discharge C1, C2"]


WHOLE = {
    "inspect": "inspect: cord", "measure": "{measure: voltage, across: plug, expect: ..5 V}",
    "prove": "{prove: limiter, how: shorted plug}", "clip": "{clip: M1, across: C1}", "unclip": "unclip: M1",
    "plug_in": "plug_in: set", "unplug": "unplug: set", "switch_on": "switch_on: set", "switch_off": "switch_off: set",
    "set_dial": "set_dial: 5 V", "bring_set_to": "bring_set_to: 5 V", "raise": "raise: {from: 0 V, to: 5 V, by: 5 V}",
    "wait": "wait: 1 s", "set_bypass": "set_bypass: open", "fit_lamp": "fit_lamp: {power: 40 W}",
    "change_lamp": "change_lamp: {power: 40 W}", "remove_lamp": "remove_lamp", "take_out": "take_out: tubes",
    "put_in": "put_in: tubes", "connect": "connect: aerial", "disconnect": "disconnect: aerial",
    "work": "{work: solder, where: inside}", "discharge": "discharge: {each: all, through: 10 kohm}",
    "prove_dead": "prove_dead: {each: all, below: 10 V, instrument: M1, otherwise: stop}",
    "reform": "reform: {each: [C1], to: 250 V, through: 100 kohm 2 W}", "observe": "observe: colour of the anodes",
    "find_cause": "find_cause: what drew the current", "record": "record: readings and date",
    "discharge_picture_tube": "discharge_picture_tube: {through: 1 Mohm, for: 1 min, clip_first: outer coating}",
}


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_is_read_and_said_in_words(verb: str) -> None:
    step = steps_of(WHOLE[verb])[0]
    assert "{" not in step.in_words()
    assert "None" not in step.in_words()


def test_a_plan_of_endless_branches_is_refused() -> None:
    branch = ", ".join(["{wait: 1 s}"] * LONGEST_BRANCH)
    text = with_steps(*[f"{{inspect: cord, expect: x, otherwise: [{branch}]}}"] * 150)
    assert "more than" in refused(text)[-1].message


def test_the_path_of_a_step_leads_to_it() -> None:
    plan = read_plan(text := with_steps("wait: 1 min", "plug_in: set"))
    place = plan.source.place(plan.steps[1].path)
    assert (place.line, place.column) == spot(text, "plug_in: set")


def test_a_way_out_has_no_steps_for_a_way_out_of_its_own() -> None:
    nested = "{measure: resistance, across: plug, expect: 1 ohm.., otherwise: [{work: look for it, where: inside}]}"
    refusal = the_refusal(with_steps(f"{{inspect: inside, expect: nothing burnt, otherwise: [{{unplug: set}}, {nested}]}}"))
    assert refusal.message == "a way out has no steps for a way out of its own"
    assert refusal.suggestion == "write `otherwise: stop`"


def test_a_check_on_a_way_out_may_stop() -> None:
    check = "{measure: resistance, across: plug, expect: 1 ohm.., otherwise: stop}"
    read_plan(with_steps(f"{{inspect: inside, expect: nothing burnt, otherwise: [{{unplug: set}}, {check}]}}"))
