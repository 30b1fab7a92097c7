"""Small plans and rules for the tests, and where things stand in their text."""

from __future__ import annotations

import json
from datetime import date

from auditor.plan.card import Finder, no_cards
from auditor.plan.plan import Plan
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read import read_plan
from auditor.plan.steps import Step
from auditor.review.finding import Audit
from auditor.review.review import review_plan
from auditor.rulebook.load import compile_rulebook
from auditor.rulebook.rule import Rulebook

HEAD = """\
procedure: {title: A small plan of the Millrace Valley Wireless Society}
mains: {voltage: 120 V}
set: {filter_capacitors: [{name: C1}, {name: C2}]}
bench:
  chain: [outlet, autotransformer, {limiter: {lamp: {power: 40 W}, bypass: open}}, set]
  instruments: [{name: M1, kind: multimeter}]
steps:
"""
"""Everything but the steps."""


def with_steps(*steps: str) -> str:
    """A plan with these steps."""
    return HEAD + "".join(f"  - {step}\n" for step in steps)


def with_set(*lines: str) -> str:
    """A plan that says this of the set and has no steps."""
    return "procedure: {title: A set}\nset:\n" + "".join(f"  {line}\n" for line in lines)


def steps_of(*steps: str) -> tuple[Step, ...]:
    """The steps as read."""
    return read_plan(with_steps(*steps)).steps


def the_set(*lines: str) -> Plan:
    """The plan that says this of its set."""
    return read_plan(with_set(*lines))


def refused(text: str, *, cards: Finder = no_cards) -> tuple[Problem, ...]:
    """The problems of a text that cannot be read."""
    try:
        read_plan(text, cards=cards)
    except Unreadable as error:
        return error.problems
    raise AssertionError("the text was read without a problem")


def the_refusal(text: str, *, cards: Finder = no_cards) -> Problem:
    """The one problem of a text."""
    problems = refused(text, cards=cards)
    assert len(problems) == 1, [problem.message for problem in problems]
    return problems[0]


def spot(text: str, fragment: str) -> tuple[int, int]:
    """Line and column at which a fragment, which is there once, begins."""
    assert text.count(fragment) == 1, fragment
    before = text[: text.index(fragment)]
    return before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1


def stands_at(problem: Problem) -> tuple[int, int]:
    """Line and column of a problem."""
    assert problem.place is not None
    return problem.place.line, problem.place.column


def a_rule(name: str, holds: str, *, word: str = "WARNING", applies_when: str | None = None,
           for_each: str | None = None, message: str = "At step `{step}` it is not so.") -> dict[str, object]:
    """A rule with these formulas; all else is the same in every rule written for a test."""
    return {"rule": name, "signal_word": word, "hazard": "electric shock", "stage": "first power",
            "requires": "That it is so.", "holds": holds, "message": message, "because": "It has to be so.",
            "remedy": {"do": "Make it so."}, "sources": ["common practice"],
            **({"applies_when": applies_when} if applies_when else {}), **({"for_each": for_each} if for_each else {})}


def rules(*written: dict[str, object]) -> Rulebook:
    """The rulebook of these rules alone."""
    return compile_rulebook([("rules.yaml", json.dumps({"topic": "for a test", "rules": written}).encode())])


def review(text: str, *written: dict[str, object], today: date = date(2026, 11, 20)) -> Audit:
    """The review of a plan under these rules alone."""
    return review_plan(read_plan(text), rules(*written), today)
