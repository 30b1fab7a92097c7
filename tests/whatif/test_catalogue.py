"""The shipped faults, and what the reader says of a file of faults that it cannot use."""

from __future__ import annotations

import json
import re

import pytest

from auditor.bench.facts import replayed
from auditor.logic.interval import Interval
from auditor.plan.place import Place
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read import read_plan
from auditor.plan.verbs import INSPECTED, PLACES, PROVED
from auditor.rulebook.load import load_rulebook
from auditor.whatif.catalogue import Entry, compile_faults, faults_folder, load_catalogue
from auditor.whatif.fault import KINDS, NO_EFFECT, Effect, Fault, HeatedPart, Signs
from auditor.whatif.whatif import Trial

CATALOGUE = load_catalogue()
EVERY_FAULT = pytest.mark.parametrize("entry", CATALOGUE, ids=[entry.fault.fault for entry in CATALOGUE])
HEATING = [entry for entry in CATALOGUE if entry.fault.heats is not None]
PLAYED = [entry.fault for entry in CATALOGUE if entry.fault.not_simulated is None]
SPEAKING_NAME = re.compile(r"[a-z]+(-[a-z]+)+")
ONE_SENTENCE = re.compile(r"[A-Z][^.?!]*\.")
WHOLE_SENTENCES = re.compile(r"[A-Z].*\.", re.DOTALL)
SOURCE = re.compile(
    r"(common practice|from memory|calculated"
    r"|(DOE-HDBK|IEC|MIL-HDBK|NAVEDTRA|TM)[- ]?[0-9]|[0-9]+ CFR [0-9]).*"
)
"""A custom of the trade, a memory or a calculation that says so, or a public document by its designation."""
PUBLISHED = re.compile(r"(DOE-HDBK|IEC|MIL-HDBK|NAVEDTRA|TM)[- ]?[0-9].*")
MOST_RESIDUAL = 5
PLAN = """\
procedure: {title: A set of which little is known, format: 1}
set:
  description: a set
SETbench:
  chain: [outlet: {switch: ordinary}, set]
steps:
  - plug_in: set
"""
HEADER = "topic: faults of a trial\nfaults:\n"
A_FAULT = HEADER + """\
  - fault: something-is-wrong
    says: something is wrong
    kind: of the set
    effect: {short: 2 ohm}
    harm: Something burns.
    sources: [common practice]
"""


def problem_of(text: str) -> Problem:
    with pytest.raises(Unreadable) as refused:
        compile_faults(text.encode())
    return refused.value.problems[0]


def place_of(problem: Problem) -> Place:
    assert problem.place is not None
    return problem.place


def line_of(text: str, part: str) -> int:
    return next(number for number, line in enumerate(text.splitlines(), 1) if part in line)


def changed(old: str, new: str) -> str:
    assert A_FAULT.count(old) == 1
    return A_FAULT.replace(old, new)


def effects_named(name: str) -> list[Fault]:
    return [fault for fault in PLAYED if getattr(fault.effect, name) != getattr(NO_EFFECT, name)]


# What every fault tells


def test_no_two_faults_have_the_same_name() -> None:
    names = [entry.fault.fault for entry in CATALOGUE]
    assert len(set(names)) == len(names)


@EVERY_FAULT
def test_a_name_speaks(entry: Entry) -> None:
    assert SPEAKING_NAME.fullmatch(entry.fault.fault)


@EVERY_FAULT
def test_what_it_says_ends_the_question_what_if(entry: Entry) -> None:
    says = entry.fault.says
    assert says[0].islower() or says.startswith("B+")
    assert says[-1] not in ".?!"


@EVERY_FAULT
def test_its_harm_is_one_sentence(entry: Entry) -> None:
    assert ONE_SENTENCE.fullmatch(entry.fault.harm)


@EVERY_FAULT
def test_it_names_sources_that_can_be_followed(entry: Entry) -> None:
    sources = (*entry.fault.sources, *(entry.fault.heats.sources if entry.fault.heats else ()))
    assert entry.fault.sources
    assert [source for source in sources if not SOURCE.fullmatch(source)] == []


@EVERY_FAULT
def test_every_safeguard_that_it_names_is_a_rule_named_once(entry: Entry) -> None:
    rules = {rule.name for rule in load_rulebook().rules}
    assert set(entry.fault.safeguards) <= rules
    assert len(set(entry.fault.safeguards)) == len(entry.fault.safeguards)


@EVERY_FAULT
def test_a_fault_that_is_played_names_what_contains_it(entry: Entry) -> None:
    assert entry.fault.safeguards or entry.fault.not_simulated


@EVERY_FAULT
def test_it_changes_something_on_the_bench_or_says_why_it_is_not_played(entry: Entry) -> None:
    assert (entry.fault.effect == NO_EFFECT) == (entry.fault.not_simulated is not None)


@EVERY_FAULT
def test_reasons_are_whole_sentences(entry: Entry) -> None:
    for reason in (entry.fault.residual, entry.fault.not_simulated):
        assert reason is None or WHOLE_SENTENCES.fullmatch(reason.strip())


def test_no_two_faults_that_are_played_are_the_same() -> None:
    told = [(fault.effect, fault.signs, fault.starts, fault.heats, fault.possible_when, fault.residual) for fault in PLAYED]
    assert [told.count(one) for one in told] == [1] * len(told)


def test_a_file_holds_the_faults_of_its_topic() -> None:
    assert {entry.topic: entry.fault.kind for entry in CATALOGUE} == {f"faults {kind}": kind for kind in KINDS}
    assert all(entry.topic == f"faults {entry.fault.kind}" for entry in CATALOGUE)


def test_residual_faults_are_few(capsys: pytest.CaptureFixture[str]) -> None:
    residual = [entry.fault for entry in CATALOGUE if entry.fault.residual is not None]
    with capsys.disabled():
        for fault in residual:
            print(f"\nresidual: {fault.fault}: {fault.residual}")
    assert 1 <= len(residual) <= MOST_RESIDUAL


# Which set can have which


def possible(name: str, mains: dict[str, str] | None = None, **of_the_set: str) -> bool:
    """Whether a plan for a set and mains of which only this is stated may meet the fault."""
    lines = "".join(f"  {key}: {value}\n" for key, value in of_the_set.items())
    stated = PLAN.replace("set:\n", f"mains: {json.dumps(mains or {})}\nset:\n").replace("SET", lines)
    trial = Trial(replayed(read_plan(stated)))
    return trial.possible(next(entry for entry in CATALOGUE if entry.fault.fault == name))


@pytest.mark.parametrize(("name", "having_it", "without_it"), [
    ("shorted-turns", {"power_supply": "transformer"}, {"power_supply": "transformerless"}),
    ("switching-transistor-or-bridge-shorted", {"power_supply": "switching"}, {"power_supply": "transformer"}),
    ("line-to-chassis-capacitor-leaks", {"chassis": "isolated"}, {"chassis": "hot"}),
    ("plug-wired-the-wrong-way-round", {"chassis": "hot"}, {"chassis": "isolated"}),
    ("earth-wire-of-the-cord-broken", {"earth": "bonded"}, {"earth": "floating"}),
    ("fuse-replaced-by-wire", {"fuse": "{rating: 1 A}"}, {"fuse": "none"}),
    ("rectifier-tube-flashes-over", {"rectifier": "{kind: tube}"}, {"rectifier": "{kind: silicon}"}),
    ("rectifier-shorted", {"rectifier": "{kind: selenium}"}, {"rectifier": "{kind: tube}"}),
    ("selenium-rectifier-fails", {"rectifier": "{kind: selenium}"}, {"rectifier": "{kind: silicon}"}),
    ("heater-string-open", {"heaters": "{connection: series}"}, {"heaters": "{connection: parallel}"}),
    ("coupling-capacitor-leaks", {"output": "tube"}, {"output": "transistor"}),
    ("motor-stalled", {"motor": "yes"}, {"motor": "no"}),
    ("set-switch-does-not-open", {"switch": "in the live line"}, {"switch": "none"}),
    ("direct-current-set-on-alternating-mains", {"power_supply": "transformerless"}, {"power_supply": "transformer"}),
    ("plug-the-other-way-round", {"plug": "{polarised: no}"}, {"plug": "{polarised: yes}"}),
])
def test_a_set_has_only_the_faults_that_it_can_have(name: str, having_it: dict[str, str],
                                                    without_it: dict[str, str]) -> None:
    assert possible(name, **having_it)
    assert not possible(name, **without_it)
    assert possible(name), "what is not stated may be"


@pytest.mark.parametrize(("name", "having_it", "without_it"), [
    ("filter-capacitor-leaks", "filter_capacitors: [{name: C1, condition: new}, {name: C2, condition: original}]",
     "filter_capacitors: [{name: C1, condition: new}, {name: C2, condition: tested}]"),
    ("filter-capacitor-reversed", "filter_capacitors: [{name: C1, condition: new}]",
     "filter_capacitors: [{name: C1, condition: tested}]"),
    ("line-capacitor-shorted", "line_capacitors: [{between: line and line, class: paper}]",
     "line_capacitors: [{between: line and line, class: X2}]"),
    ("line-to-chassis-capacitor-leaks", "line_capacitors: [{between: line and chassis, class: paper}]",
     "line_capacitors: [{between: line and chassis, class: Y2}, {between: line and line, class: paper}]"),
])
def test_what_the_plan_states_of_every_capacitor_rules_a_fault_out(name: str, having_it: str, without_it: str) -> None:
    key, stated = without_it.split(": ", 1)
    assert not possible(name, **{key: stated, "complete": "yes"})
    assert possible(name, **{key: stated}), "an open list may leave one out"
    key, stated = having_it.split(": ", 1)
    assert possible(name, **{key: stated, "complete": "yes"})


@pytest.mark.parametrize(("name", "possible_on", "ruled_out_on"), [
    ("mains-tap-too-low", {"mains_tap": "110 V"}, {"mains_tap": "120 V"}),
    ("mains-tap-too-low", {"mains_tap": "110..220 V"}, {"mains_tap": "none"}),
    ("wrong-frequency-for-the-iron", {"frequency": "60 Hz"}, {"frequency": "50 or 60 Hz"}),
])
def test_what_the_plate_says_rules_a_fault_of_the_iron_out(name: str, possible_on: dict[str, str],
                                                           ruled_out_on: dict[str, str]) -> None:
    mains = {"voltage": "120 V", "frequency": "50 Hz"}
    assert possible(name, mains, power_supply="transformer", **possible_on)
    assert possible(name, mains, power_supply="transformer"), "what is not stated may be"
    assert not possible(name, mains, power_supply="transformer", **ruled_out_on)


def test_a_set_for_direct_current_is_ruled_out_by_its_plate() -> None:
    fault = "direct-current-set-on-alternating-mains"
    assert possible(fault, made_for="direct current")
    assert not possible(fault, made_for="either")
    assert not possible(fault, {"kind": "direct current"}, made_for="direct current")


# How they show and what they heat


@EVERY_FAULT
def test_its_signs_are_looked_for_by_steps_that_can_be_written(entry: Entry) -> None:
    signs = entry.fault.signs
    assert set(signs.inspected) <= set(INSPECTED)
    assert set(signs.proved) <= {*PROVED, "the meter"}
    assert {place for sign in signs.measured for place in sign.across} <= set(PLACES)


@EVERY_FAULT
def test_no_cold_test_finds_what_comes_only_with_the_volts(entry: Entry) -> None:
    if entry.fault.fault.endswith("under-voltage"):
        assert all(sign.begun for sign in entry.fault.signs.measured)
        assert entry.fault.starts.high > 0.0


@EVERY_FAULT
def test_what_is_sensed_and_when_stand_together(entry: Entry) -> None:
    assert entry.fault.signs.sensed or entry.fault.signs.sensed_after == Interval.exactly(0.0)


@EVERY_FAULT
def test_exact_severities_can_be_made_of_its_ranges(entry: Entry) -> None:
    for name in ("short", "draws", "leaks"):
        stated: Interval | None = getattr(entry.fault.effect, name)
        assert stated is None or 0.0 < stated.low <= stated.high < float("inf")


@pytest.mark.parametrize("entry", HEATING, ids=[entry.fault.fault for entry in HEATING])
def test_only_a_fault_that_takes_current_heats_a_part(entry: Entry) -> None:
    assert entry.fault.effect.changes_the_load
    assert isinstance(entry.fault.heats, HeatedPart)
    assert entry.fault.heats.sources


@pytest.mark.parametrize("entry", HEATING, ids=[entry.fault.fault for entry in HEATING])
def test_a_limit_from_memory_never_decides_alone(entry: Entry) -> None:
    assert entry.fault.heats is not None
    assert any(source.startswith("common practice") or PUBLISHED.fullmatch(source) for source in entry.fault.heats.sources)


@pytest.mark.parametrize("name", Effect.model_fields)
def test_every_effect_that_can_be_written_is_that_of_some_fault(name: str) -> None:
    assert effects_named(name)


@pytest.mark.parametrize(("name", "word"), [
    ("at", "the cord"), ("at", "the set"), ("at", "B+"), ("stays_closed", "outlet"), ("stays_closed", "set"),
    ("stays_closed", "limiter"), ("switched_on", "outlet"), ("switched_on", "set"),
])
def test_every_place_and_switch_of_an_effect_is_that_of_some_fault(name: str, word: str) -> None:
    assert [fault for fault in PLAYED if getattr(fault.effect, name) == word]


@pytest.mark.parametrize("name", Signs.model_fields)
def test_every_sign_that_can_be_written_is_that_of_some_fault(name: str) -> None:
    assert [fault for fault in PLAYED if getattr(fault.signs, name) != getattr(Signs(), name)]


# Where a file cannot be used


def test_the_fault_of_these_examples_is_read() -> None:
    (entry,) = compile_faults(A_FAULT.encode())
    assert (entry.fault.fault, entry.topic) == ("something-is-wrong", "faults of a trial")
    assert entry.fault.effect.short == Interval.exactly(2.0)
    assert (entry.possible, entry.ruled_out) == (None, None)


def test_an_unknown_key_is_named_at_its_place_with_the_nearest_one() -> None:
    text = changed("effect:", "efect:")
    problem = problem_of(text)
    assert (place_of(problem).line, place_of(problem).column) == (line_of(text, "efect:"), 5)
    assert "unknown key `efect`" in problem.message
    assert problem.suggestion == "write `effect:`"


def test_an_unknown_effect_is_named_at_its_place() -> None:
    text = changed("{short: 2 ohm}", "{shorts: 2 ohm}")
    problem = problem_of(text)
    line = line_of(text, "shorts")
    column = text.splitlines()[line - 1].index("shorts") + 1
    assert (place_of(problem).line, place_of(problem).column) == (line, column)
    assert problem.suggestion == "write `short:`"


def test_a_quantity_of_another_kind_is_refused_at_its_place() -> None:
    text = changed("2 ohm", "2 V")
    problem = problem_of(text)
    assert place_of(problem).line == line_of(text, "2 V")
    assert "2 V" in problem.message
    assert "resistance" in problem.message


def test_a_word_that_no_effect_has_is_refused_with_those_that_it_has() -> None:
    text = changed("{short: 2 ohm}", "{lamp: limits a little}")
    problem = problem_of(text)
    assert place_of(problem).line == line_of(text, "limits a little")
    assert "`limits nothing`" in problem.message


@pytest.mark.parametrize("key", ["possible_when", "ruled_out_by"])
def test_an_expression_that_cannot_be_read_is_refused_at_its_place(key: str) -> None:
    text = changed("    effect:", f"    {key}: set.chassis is\n    effect:")
    problem = problem_of(text)
    assert place_of(problem).line == line_of(text, key)


@pytest.mark.parametrize("key", ["possible_when", "ruled_out_by"])
def test_a_fact_that_does_not_exist_is_refused_with_the_nearest_one(key: str) -> None:
    text = changed("    effect:", f"    {key}: set.chasis is hot\n    effect:")
    problem = problem_of(text)
    assert place_of(problem).line == line_of(text, key)
    assert problem.suggestion == "set.chassis"


@pytest.mark.parametrize(("condition", "fact"), [
    ("cord_live", "cord_live"), ("capacitor.charged", "capacitor.charged"), ("set.motor and step.passed", "step.passed"),
])
@pytest.mark.parametrize("key", ["possible_when", "ruled_out_by"])
def test_a_fact_that_changes_from_step_to_step_is_refused(key: str, condition: str, fact: str) -> None:
    text = changed("    effect:", f"    {key}: {condition}\n    effect:")
    problem = problem_of(text)
    assert place_of(problem).line == line_of(text, key)
    assert f"`{fact}` changes from step to step" in problem.message


def test_what_is_missing_is_named() -> None:
    text = changed("    sources: [common practice]\n", "")
    problem = problem_of(text)
    assert place_of(problem).line == line_of(text, "- fault:")
    assert "`sources` is missing" in problem.message


def test_every_bad_condition_of_a_file_is_told_at_once() -> None:
    second = A_FAULT.removeprefix(HEADER).replace("    effect:", "    ruled_out_by: nothing.like.it\n    effect:")
    text = changed("    effect:", "    possible_when: no.such.fact\n    effect:") + second
    with pytest.raises(Unreadable) as refused:
        compile_faults(text.encode())
    assert [problem.place and problem.place.line for problem in refused.value.problems] == [
        line_of(text, "no.such.fact"), line_of(text, "nothing.like.it")]


@pytest.mark.parametrize("text", ["", "- one\n- two\n", "some words\n"])
def test_a_file_that_holds_no_faults_says_what_it_should_hold(text: str) -> None:
    assert "`topic` and `faults`" in problem_of(text).message


def test_the_table_of_keys_has_every_key() -> None:
    text = (faults_folder() / "README.md").read_text(encoding="utf-8")
    for record in (Fault, Effect, Signs, HeatedPart):
        assert [name for name in record.model_fields if f"| `{name}` |" not in text] == []
