"""A rule broken and kept: the lines that differ, as a plan writes them."""

from __future__ import annotations

import json
from datetime import date
from functools import cache

import pytest

from auditor.plan.read import read_plan
from auditor.plan.shipped import rules_folder
from auditor.plan.yaml_text import parse_yaml
from auditor.review.finding import Outcome
from auditor.review.review import review_plan
from auditor.rulebook.before_and_after import BeforeAndAfter, Line, before_and_after, in_flow, plan_lines
from auditor.rulebook.examples import example
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rulebook

MOST = 10
"""Lines on one side, with those that tell the place: what can be taken in at a glance."""


@cache
def rulebook() -> Rulebook:
    return load_rulebook()


def pair(name: str) -> BeforeAndAfter:
    found = before_and_after(rulebook().by_name[name], rulebook())
    assert found is not None
    return found


def changed(lines: tuple[Line, ...]) -> list[str]:
    return [line.text for line in lines if not line.same]


@pytest.mark.parametrize("base", sorted(file.stem for file in (rules_folder() / "examples").glob("*.yaml")))
def test_the_lines_of_a_plan_are_the_plan_again(base: str) -> None:
    data = example({"base": base})
    text, above = "", ()
    for line in plan_lines(data):
        for depth, key in enumerate(line.under):
            if line.under[:depth + 1] != above[:depth + 1]:
                text += f"{'  ' * depth}{key}:\n"
        above = line.under
        text += f"{'  ' * len(line.under)}{line.text}\n"
    assert parse_yaml(text).data == data


@pytest.mark.parametrize("value", ["a, b", "a: b", "a # b", "[a]", "{a}", "'a", '"', "", " a", "- a", "-a", "*a", "&a", "?",
                                   "..2 mA", "20 kohm..", "12:30", "B+ to common", ["a, b", "c"], {"a": {"b": "c: d"}}])
def test_a_value_in_braces_reads_as_it_was(value: object) -> None:
    assert parse_yaml(in_flow({"key": value})).data == {"key": value}


def test_every_rule_has_a_before_and_an_after_that_differ_in_a_few_lines() -> None:
    for rule in rulebook().rules:
        found = before_and_after(rule, rulebook())
        if found is not None:
            assert found.before != found.after, rule.name
            assert max(len(found.before), len(found.after)) <= MOST, rule.name


def test_a_missing_element_is_shown_in_its_place() -> None:
    found = pair("isolate-a-hot-chassis")
    assert changed(found.before) == []
    assert changed(found.after) == ["- {isolating_transformer: {rated_power: 300 W, output_earthed: no}}"]
    kinds = [line.text.split(":")[0] for line in found.after]
    assert kinds == ["- {outlet", "- {isolating_transformer", "- {autotransformer"]
    assert {line.under for line in found.after} == {("bench", "chain")}


def test_a_missing_step_is_shown_in_its_place() -> None:
    found = pair("inspect-the-cord-before-power")
    assert changed(found.after) == ["- {inspect: cord, expect: no crack or nick, otherwise: stop}"]
    assert [line.same for line in found.after] == [True, False, True]


def test_a_property_stands_alone() -> None:
    found = pair("fuse-to-suit-the-set")
    assert [line.text for line in found.before] == ["fuse: none"]
    assert [line.text for line in found.after] == ["fuse: {rating: 0.63 A, kind: slow}"]


def test_no_set_is_mended_by_being_another_one_or_by_staying_off() -> None:
    found = pair("first-power-through-the-lamp")
    assert any(text.startswith("- {limiter: ") for text in changed(found.after))
    assert not any(line.under == ("set",) for line in (*found.before, *found.after))


@pytest.mark.parametrize("base", sorted(file.stem for file in (rules_folder() / "examples").glob("*.yaml")))
def test_no_rule_is_broken_on_a_base_plan_so_that_it_can_stand_for_the_plan_after(base: str) -> None:
    audit = review_plan(read_plan(json.dumps(example({"base": base}))), rulebook(), date(2026, 11, 25))
    assert [finding.rule for finding in audit.findings if finding.outcome is Outcome.BROKEN] == []
