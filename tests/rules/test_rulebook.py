"""The rulebook as a whole: how a rule is told, on what it rests, that its limits point the right way, that it is needed."""

from __future__ import annotations

import re

import pytest
from msgspec.structs import replace

from auditor.bench.facts import FACTS
from auditor.logic.interval import Interval
from auditor.logic.nodes import Temporal, names_in, parts_of
from auditor.review.finding import Outcome
from auditor.review.judge import Case
from auditor.rulebook.rule import Limit, Rule, Rulebook
from tests.rules.played import BASE_PLANS, RULEBOOK, Played, examples_of, on_base, outcome

RULES = RULEBOOK.rules
EVERY_RULE = pytest.mark.parametrize("rule", RULES, ids=[rule.name for rule in RULES])
END_OF_SENTENCE = re.compile(r"[.?!](?:\s|$)")
SENTENCES = re.compile(r'[A-Z`{"].*[.]', re.DOTALL)
SOURCE = re.compile(
    r"(common practice|from memory|calculated"
    r"|(ANSI|COMAR|DOE-HDBK|EIA|EN|HSE|IEC|IET|JAN|MIL|NAVEDTRA|NEC|NFPA|TM|UL)\b|[0-9]+ CFR [0-9]+"
    r"|[A-Z][a-z]+( and [A-Z][a-z]+)* [0-9]{4}\b).*"
)
"""A custom of the trade, a memory or a calculation that says so, a standard or public document by its designation, or
a paper by author and year."""
RELATING = ("once", "since", "previously", "begins", "ends", "first", "historically", "eventually", "until", "for_at_least")
"""The operators of time that relate one step to another; `always`, `never` and `at_end` alone do not."""
FAILED = (Outcome.BROKEN, Outcome.UNDETERMINED)
TIGHTER = (0.02, 0.1, 0.5)
"""By which share of itself a limit is moved to the side that it calls stricter."""


# How a rule is told


@EVERY_RULE
def test_a_rule_speaks_in_whole_sentences(rule: Rule) -> None:
    text = rule.text
    for said in (text.requires, text.message, text.because, text.remedy.do):
        assert SENTENCES.fullmatch(said.strip()), said


@EVERY_RULE
def test_the_reason_is_two_to_five_sentences(rule: Rule) -> None:
    assert 2 <= len(END_OF_SENTENCE.findall(rule.text.because)) <= 5


@EVERY_RULE
def test_what_a_rule_requires_is_one_sentence(rule: Rule) -> None:
    assert len(END_OF_SENTENCE.findall(rule.text.requires)) == 1


def test_no_two_rules_require_the_same_or_give_the_same_reason() -> None:
    for said in ([rule.text.requires for rule in RULES], [rule.text.because for rule in RULES]):
        assert len(set(said)) == len(said)


# On what it rests


@EVERY_RULE
def test_every_source_has_a_form_that_can_be_followed(rule: Rule) -> None:
    assert [source for source in rule.text.sources if not SOURCE.fullmatch(source)] == []


@pytest.mark.parametrize("limit", RULEBOOK.limits.values(), ids=list(RULEBOOK.limits))
def test_every_limit_names_a_source(limit: Limit) -> None:
    assert limit.sources
    assert [source for source in limit.sources if not SOURCE.fullmatch(source)] == []


@EVERY_RULE
def test_no_danger_rests_on_memory_alone(rule: Rule) -> None:
    if rule.text.signal_word == "DANGER":
        assert [source for source in rule.text.sources if not source.startswith("from memory")]


@EVERY_RULE
def test_the_signal_word_fits_the_hazard(rule: Rule) -> None:
    # NOTICE is for property alone (ANSI Z535.6); DANGER is what will kill or seriously injure, which here is shock
    word, hazard = rule.text.signal_word, rule.text.hazard
    assert (word == "NOTICE") == (hazard == "damage")
    assert word != "DANGER" or hazard == "electric shock"
    assert hazard != "false reading" or word in ("CAUTION", "NOTICE")


# What it relates


def test_at_least_thirty_rules_relate_one_step_to_another_or_one_fact_to_another() -> None:
    of_steps = {rule.name for rule in RULES
                if any(isinstance(part, Temporal) and part.operator in RELATING for part in parts_of(rule.demand.root))}
    of_facts = {rule.name for rule in RULES if len([name for name in names_in(rule.demand) if name in FACTS]) > 1}
    assert len(of_steps) >= 25
    assert len(of_steps | of_facts) >= 30


# Its limits


@pytest.mark.parametrize("name", RULEBOOK.limits)
def test_every_limit_is_used(name: str) -> None:
    assert _users(name)


@pytest.mark.parametrize("name", RULEBOOK.limits)
def test_a_stricter_limit_lets_no_broken_plan_through(name: str) -> None:
    """The rule stays unkept, or another at least as serious speaks in its place."""
    for share in TIGHTER:
        stricter = _with_limit(name, share)
        for rule in _users(name):
            for each in (e for e in examples_of(rule.name) if e.expected is Outcome.BROKEN):
                case = Case(each.replayed, stricter)
                assert (outcome(rule, case) in FAILED or _others(each, rule, name, case)), (share, rule.name, each.change)


@pytest.mark.parametrize("name", RULEBOOK.limits)
def test_a_stricter_limit_breaks_or_opens_some_example_that_was_kept(name: str) -> None:
    changed = [rule.name for share in TIGHTER for rule in _users(name) for each in examples_of(rule.name)
               if each.expected is Outcome.KEPT and outcome(rule, Case(each.replayed, _with_limit(name, share))) in FAILED]
    assert changed


def _users(name: str) -> list[Rule]:
    return [rule for rule in RULES if f"limit.{name}" in names_in(rule.demand)]


def _with_limit(name: str, share: float) -> Rulebook:
    limit = RULEBOOK.limits[name]
    value = limit.value.low * (1 - share if limit.stricter == "lower" else 1 + share)
    return replace(RULEBOOK, limits={**RULEBOOK.limits, name: replace(limit, value=Interval.exactly(value))})


def _others(each: Played, rule: Rule, name: str, case: Case) -> bool:
    users = _users(name)
    return any((outcome(other, case) if other in users else each.outcomes[other.name]) in FAILED
               for other in RULES if other is not rule and other.seriousness <= rule.seriousness)


# That it is needed, and that it can be kept


@EVERY_RULE
def test_a_rule_catches_a_plan_that_no_rule_as_serious_catches(rule: Rule) -> None:
    companions = [[other.name for other in RULES if other is not rule and other.seriousness <= rule.seriousness
                   and each.outcomes.get(other.name) is Outcome.BROKEN]
                  for each in examples_of(rule.name) if each.expected is Outcome.BROKEN]
    assert [] in companions, f"always together with one of {min(companions, key=len)}"


@pytest.mark.parametrize("base", BASE_PLANS)
def test_a_base_plan_is_clean(base: str) -> None:
    assert {name: found.value for name, found in on_base(base).items() if found in FAILED} == {}


@EVERY_RULE
def test_a_rule_has_an_example_of_what_it_comes_to_on_silence_if_it_reads_what_can_be_silent(rule: Rule) -> None:
    open_ones = [name for name in names_in(rule.demand) if name in FACTS and FACTS[name].asks]
    undetermined = any(each.expected is Outcome.UNDETERMINED for each in examples_of(rule.name))
    assert undetermined or not open_ones, open_ones
