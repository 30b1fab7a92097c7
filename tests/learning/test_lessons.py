"""Hazards, safeguards and words: what must be there, and what a file of them may say."""

from __future__ import annotations

import re
from functools import cache

import pytest

from auditor.learning.figures import FIGURES
from auditor.learning.lessons import FIGURE, FILES, Lessons, Topic, compile_lessons, form, load_lessons, names_of
from auditor.learning.taken_out import TAKEN_OUT
from auditor.learning.topic import Safeguard
from auditor.plan.chain import ELEMENTS
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.shipped import rules_folder
from auditor.plan.verbs import MEASURED, PROVED, READINGS, VERBS
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import HAZARDS, Rulebook
from auditor.whatif.catalogue import load_catalogue
from auditor.whatif.world import CHECKS, PROTECTIONS

TRADE = ("set", "chassis", "hot chassis", "isolated", "dial", "limiter", "lamp", "B+", "hold", "soak", "discharge",
         "prove dead", "forming", "reforming", "selenium", "X capacitor", "Y capacitor", "bleeder", "filter capacitor",
         "touch current", "brush", "field coil", "ballast", "resistor cord", "interlock", "polarised plug", "HT", "valve",
         "RCD")
"""Words that a learner meets on the first evening."""


@cache
def rulebook() -> Rulebook:
    return load_rulebook()


def topics(lessons: Lessons) -> tuple[Topic, ...]:
    return (*lessons.hazards, *lessons.safeguards, *lessons.words)


def texts_with_numbers(lessons: Lessons) -> tuple[str, ...]:
    """Every text that may name a number."""
    return (*(text for hazard in lessons.hazards for text in hazard.figures),
            *(text for guard in lessons.safeguards for text in (*guard.contains, *guard.does_not_contain, guard.works)))


def test_every_hazard_of_the_rules_is_told() -> None:
    assert sorted(hazard.hazard for hazard in load_lessons().hazards) == sorted(HAZARDS)


@pytest.mark.parametrize("element", ELEMENTS)
def test_every_element_of_the_chain_is_told(element: str) -> None:
    as_safeguard = any(element in safeguard.elements for safeguard in load_lessons().safeguards)
    assert as_safeguard or load_lessons().called(element)


@pytest.mark.parametrize("protection", [protection for protection in PROTECTIONS if protection != CHECKS])
def test_every_protection_of_the_bench_is_tried_alone(protection: str) -> None:
    assert [guard for guard in load_lessons().safeguards if guard.played and guard.played.alone == protection]


def test_everything_that_can_be_taken_out_of_a_plan_is_taken_out_for_some_safeguard() -> None:
    assert {guard.played.taken_out for guard in load_lessons().safeguards if guard.played} == set(TAKEN_OUT)


@pytest.mark.parametrize("word", [*TRADE, *VERBS, *READINGS, *PROVED, *MEASURED])
def test_every_word_of_the_trade_and_of_a_plan_is_told(word: str) -> None:
    assert load_lessons().called(word)


def test_every_rule_that_is_named_is_one() -> None:
    named = {name for guard in load_lessons().safeguards for name in (*guard.rules, guard.example)}
    named |= {hazard.example for hazard in load_lessons().hazards}
    assert named - {rule.name for rule in rulebook().rules} == set()


def test_the_example_of_a_hazard_is_a_rule_against_it() -> None:
    lessons = load_lessons()
    assert [h.hazard for h in lessons.hazards if rulebook().by_name[h.example].text.hazard != h.hazard] == []


def test_the_example_of_a_safeguard_is_one_of_the_rules_about_it() -> None:
    assert [guard.safeguard for guard in load_lessons().safeguards if guard.example not in guard.rules] == []


def test_no_rule_and_no_fault_bears_the_name_of_a_topic() -> None:
    names = {form(name) for name in load_lessons().names()}
    others = (*rulebook().by_name, *(entry.fault.fault for entry in load_catalogue()))
    assert [name for name in others if form(name) in names] == []


def test_no_number_is_written_by_hand() -> None:
    lessons = load_lessons()
    said = (*texts_with_numbers(lessons), *(topic.says for topic in topics(lessons)))
    assert [text for text in said if re.search("[0-9]", FIGURE.sub("", text))] == []


def test_every_number_that_is_computed_is_told_somewhere() -> None:
    told = {name for text in texts_with_numbers(load_lessons()) for name in FIGURE.findall(text)}
    assert told == set(FIGURES)


def test_everything_names_its_source_and_a_danger_never_only_from_memory() -> None:
    lessons = load_lessons()
    assert [names_of(topic)[0] for topic in topics(lessons) if not topic.sources] == []
    judged = (*lessons.hazards, *lessons.safeguards)
    assert [names_of(topic)[0] for topic in judged if all("from memory" in source for source in topic.sources)] == []


@pytest.mark.parametrize(("typed", "told"), [
    ("shock", "electric shock"), ("Hot-Chassis", "hot chassis"), ("HT", "B+"), ("b_plus", "B+"), ("valve", "tube"),
    ("GROUND", "protective earth"), ("prove_dead", "proving dead")])
def test_a_name_is_found_however_it_is_spelt(typed: str, told: str) -> None:
    assert names_of(load_lessons().called(typed)[0])[0] == told


def test_of_a_safeguard_and_a_word_of_one_name_the_safeguard_comes_first() -> None:
    first, second = load_lessons().called("limiter")
    assert isinstance(first, Safeguard)
    assert not isinstance(second, Safeguard)


def changed(part: str, old: str, new: str) -> dict[str, bytes]:
    """The shipped files with one change."""
    sources = {name: (rules_folder() / "learning" / f"{name}.yaml").read_bytes() for name, _ in FILES}
    text = sources[part].decode()
    assert old in text
    return {**sources, part: text.replace(old, new, 1).encode()}


def the_problem(part: str, old: str, new: str) -> Problem:
    with pytest.raises(Unreadable) as refused:
        compile_lessons(changed(part, old, new))
    (problem,) = refused.value.problems
    return problem


def line_of(part: str, fragment: str) -> int:
    text = (rules_folder() / "learning" / f"{part}.yaml").read_text(encoding="utf-8")
    return text[:text.index(fragment)].count("\n") + 1


def test_a_number_that_is_not_computed_is_refused_where_it_stands() -> None:
    problem = the_problem("hazards", "{hand_does}", "{hand_dose}")
    assert "`hand_dose`" in problem.message
    assert problem.suggestion == "write `{hand_does}`"
    assert problem.place is not None
    assert problem.place.line == line_of("hazards", "    figures:") + 1


def test_an_unknown_key_is_refused_with_the_one_that_is_meant() -> None:
    problem = the_problem("glossary", "  - word: set\n    also:", "  - word: set\n    als:")
    assert "unknown key `als`" in problem.message
    assert problem.place is not None
    assert problem.place.line == line_of("glossary", "  - word: set\n") + 1


def test_a_safeguard_that_is_nowhere_told_is_refused() -> None:
    problem = the_problem("hazards", "safeguards: [limiter, fuse,", "safeguards: [limiter, fuze,")
    assert problem.suggestion == "write `fuse`"


def test_a_hazard_of_no_rule_is_refused() -> None:
    assert the_problem("hazards", "hazard: fire", "hazard: fir").suggestion == "fire"


def test_a_name_that_two_words_bear_is_refused() -> None:
    assert "`bleeder` is there twice" in the_problem("glossary", "  - word: ripple\n", "  - word: bleeder\n").message
