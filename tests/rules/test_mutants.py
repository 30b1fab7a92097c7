"""Every clause of every rule matters: with any single mistake in it, one of its examples comes out otherwise.

The mistakes are those of mutants.py. A mistake that no example shows is either one that changes nothing, and is then
explained in EQUIVALENT, or one for which an example is missing. `pytest tests/rules/test_mutants.py -s` prints the score.
"""

from __future__ import annotations

import pytest

from auditor.logic.nodes import parts_of
from tests.rules.mutants import mutants_of
from tests.rules.played import RULEBOOK, cases, examples_of, outcome

NAMES = [rule.name for rule in RULEBOOK.rules]
TO_THE_DAY = "a proof is dated to the day, so that its age is a whole number of days"
ANY_CHASSIS = "Y1 and Y2 are let through by the words before it, whatever the chassis"
ANY_PLATE = "a set with a transformer is let through by the words before it, whatever its plate says"
NO_RECTIFIER = "heaters alone have no rectifier, which keeps the rule off already"
NO_CAPACITOR = "heaters alone have no filter capacitor, of which the rule speaks"
NO_SUCH_NUMBER = "a computed range ends at no number that can be written in a plan"
EQUIVALENT = {
    ("y-capacitor-from-line-to-chassis", 'also `Y1`: (line_capacitor.class is "Y4")'): ANY_CHASSIS,
    ("y-capacitor-from-line-to-chassis", 'also `Y2`: (line_capacitor.class is "Y4")'): ANY_CHASSIS,
    ("y-capacitor-from-line-to-chassis", 'also `Y1`: (line_capacitor.class is one of ("X1", "X2"))'): ANY_CHASSIS,
    ("y-capacitor-from-line-to-chassis", 'also `Y2`: (line_capacitor.class is one of ("X1", "X2"))'): ANY_CHASSIS,
    ("y-capacitor-small-enough-to-touch", "< for <=: (line_capacitor.touch_current <= limit.touch_current)"): NO_SUCH_NUMBER,
    ("meters-made-for-the-mains", "a little less: 2"): "a measurement category is a whole number",
    ("expect-what-a-short-does-not-read", ">= for >: (step.expects_set_voltage_from > short_voltage)"): NO_SUCH_NUMBER,
    ("expect-what-a-short-does-not-read", "<= for <: (step.expects_current_up_to < short_current)"): NO_SUCH_NUMBER,
    ("lamp-still-limits", "< for <=: (short_current <= bench.brush_current)"): NO_SUCH_NUMBER,
    ("isolating-transformer-within-its-rating", "< for <=: (supply_load <= bench.isolating_power)"): NO_SUCH_NUMBER,
    ("brush-within-its-rating", "< for <=: (set_current <= bench.brush_current)"): NO_SUCH_NUMBER,
    ("stop-above-what-a-healthy-set-draws", "< for <=: (set_current <= stop.current_above)"): NO_SUCH_NUMBER,
    ("discharge-gently-and-long-enough", 'also `heaters only`: (set.power_supply is "transformer")'): NO_CAPACITOR,
    ("capacitors-within-their-rating-on-silicon",
     'also `heaters only`: (set.power_supply is one of ("transformer", "transformerless"))'): NO_CAPACITOR,
    ("power-from-the-mains-that-the-set-is-made-for",
     'also `transformer`: (set.power_supply is one of ("battery", "vibrator"))'): ANY_PLATE,
    ("wait-where-b-plus-first-appears",
     'also `heaters only`: (set.power_supply is one of ("transformer", "transformerless"))'): NO_RECTIFIER,
    ("prove-the-isolation-before-use", "a little more: limit.isolation_proof_lasts"): TO_THE_DAY,
    ("prove-the-limiter-with-a-shorted-plug", "a little more: limit.limiter_proof_age"): TO_THE_DAY,
}
"""The mistakes that change nothing: the rule, the mistake, and why no plan can tell."""

_score = {"mistakes": 0, "shown": 0, "rules": 0}


@pytest.fixture(scope="module", autouse=True)
def score() -> object:
    yield
    print("\n{rules} rules, {mistakes} mistakes, {shown} shown by an example, {same} that change nothing".format(
        **_score, same=_score["mistakes"] - _score["shown"]))


@pytest.mark.parametrize("name", NAMES)
def test_every_mistake_in_the_rule_changes_what_an_example_comes_to(name: str) -> None:
    rule, played = RULEBOOK.by_name[name], cases(examples_of(name))
    mistakes = list(mutants_of(rule, RULEBOOK.limits))
    unseen = [m.mistake for m in mistakes if all(outcome(m.rule, case) is expected for expected, case in played)]
    _score["rules"] += 1
    _score["mistakes"] += len(mistakes)
    _score["shown"] += len(mistakes) - len(unseen)
    assert sorted(unseen) == sorted(mistake for rule_name, mistake in EQUIVALENT if rule_name == name)


@pytest.mark.parametrize("name", NAMES)
def test_a_rule_without_a_mistake_comes_to_what_its_examples_say(name: str) -> None:
    rule = RULEBOOK.by_name[name]
    assert all(outcome(rule, case) is expected for expected, case in cases(examples_of(name)))


@pytest.mark.parametrize("name", NAMES)
def test_there_are_mistakes_for_every_part_of_the_rule_that_can_be_wrong(name: str) -> None:
    rule = RULEBOOK.by_name[name]
    told = " ".join(mutant.mistake for mutant in mutants_of(rule, RULEBOOK.limits))
    silent = [part.canonical for part in parts_of(rule.demand.root)
              if part.children and part is not rule.demand.root and part.canonical not in told]
    assert not silent


def test_every_explanation_belongs_to_a_mistake_that_can_be_made() -> None:
    possible = {(rule.name, mutant.mistake) for rule in RULEBOOK.rules for mutant in mutants_of(rule, RULEBOOK.limits)}
    assert set(EQUIVALENT) <= possible
