"""The shipped rules and their examples, each plan replayed once for all the tests of this folder."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from auditor.bench.facts import Replayed, replayed
from auditor.plan.read import read_plan
from auditor.review.finding import Outcome
from auditor.review.judge import Case, judge
from auditor.review.prove import EXAMPLE_DAY
from auditor.review.review import WORST_FIRST, review_replayed
from auditor.rulebook.examples import changes_of, example
from auditor.rulebook.load import load_rulebook
from auditor.rulebook.rule import Rule

RULEBOOK = load_rulebook()
BASE_PLANS = ("five-tube", "transformer-set", "switching-set", "record-player", "television", "heater-chain")


@dataclass(frozen=True)
class Played:
    """One example: the rule it belongs to, what it should come to, the change as written, and its plan replayed."""

    rule: Rule
    expected: Outcome
    change: Any
    replayed: Replayed

    @property
    def outcomes(self) -> Mapping[str, Outcome]:
        """What every rule of the rulebook comes to on it."""
        return outcomes_of(_written(self.change))


@cache
def examples_of(name: str) -> tuple[Played, ...]:
    """The examples of the rule with this name."""
    rule = RULEBOOK.by_name[name]
    return tuple(Played(rule, Outcome(expected), change, _replayed(_written(change)))
                 for expected, change in changes_of(rule, RULEBOOK))


@cache
def outcomes_of(written: str) -> Mapping[str, Outcome]:
    """What every rule comes to on a change, which is given as JSON."""
    return review_replayed(_replayed(written), RULEBOOK, EXAMPLE_DAY).outcomes


def on_base(name: str) -> Mapping[str, Outcome]:
    """What every rule comes to on a base plan."""
    return outcomes_of(_written({"base": name}))


def outcome(rule: Rule, case: Case) -> Outcome:
    """What one rule comes to: the worst over its items."""
    return min((judgement.outcome for judgement in judge(rule, case)), key=WORST_FIRST.index, default=Outcome.NOT_APPLICABLE)


def cases(examples: Iterable[Played]) -> list[tuple[Outcome, Case]]:
    """What each example should come to, and its facts before the rules."""
    return [(each.expected, Case(each.replayed, RULEBOOK)) for each in examples]


def _written(change: Any) -> str:
    return json.dumps(change, sort_keys=True, default=str)


@cache
def _replayed(written: str) -> Replayed:
    return replayed(read_plan(json.dumps(example(json.loads(written)))))
