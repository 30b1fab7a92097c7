"""Proving rules: every example of every rule comes to what it says."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path as FilePath

from msgspec import Struct

from auditor.plan.files import is_policy
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.shipped import rules_folder
from auditor.review.review import review_plan
from auditor.rulebook.examples import examples_of
from auditor.rulebook.load import BadRules, compile_rulebook
from auditor.rulebook.rule import Rule, Rulebook

EXAMPLE_DAY = date(2026, 11, 20)
A_POLICY = re.compile(rb"^policy:", re.MULTILINE)
"""How a policy under any other name is told from a file of rules."""


class Failure(Struct, frozen=True):
    """An example that does not come to what it says, or cannot be read."""

    rule: str
    file: str
    message: str


class Proof(Struct, frozen=True):
    """What proving came to. policies: those among the files that were proved, all of which can be used."""

    rules: int
    examples: int
    failures: tuple[Failure, ...]
    policies: tuple[str, ...] = ()


def prove_files(names: list[str]) -> Proof:
    """Prove the rules of these files and policies, beside the shipped rules; with no names, the shipped rules.

    Raises BadRules where a file cannot be used.
    """
    labels = {file.resolve(): file.name for file in sorted(rules_folder().glob("*.yaml"))}
    asked: dict[FilePath, str] = {}
    policies: list[str] = []
    for name in names:
        file = FilePath(name)
        if not file.is_file():
            raise BadRules(((name, (Problem("there is no such file"),)),))
        if is_policy(file.name) or A_POLICY.search(file.read_bytes()):
            policies.append(name)
        else:
            shadows = name in labels.values() and file.resolve() not in labels
            asked[file.resolve()] = f"./{name}" if shadows else name
    sources = [(asked.get(file, label), file.read_bytes()) for file, label in {**labels, **asked}.items()]
    rulebook = compile_rulebook(sources)
    rules = [rule for rule in rulebook.rules if not names or rule.file in asked.values()]
    proofs = [prove_rules(rules, rulebook), *(_prove_policy(name, rulebook) for name in policies)]
    return Proof(sum(p.rules for p in proofs), sum(p.examples for p in proofs),
                 tuple(failure for p in proofs for failure in p.failures), tuple(policies))


def _prove_policy(file: str, rulebook: Rulebook) -> Proof:
    """The rules of a policy, and of those that it builds on, proved as they are in force under it."""
    from auditor.rulebook.in_force import under

    in_force = under(rulebook, file)
    files = in_force.policy.files if in_force.policy is not None else ()
    return prove_rules([rule for rule in in_force.rules if rule.file in files], in_force)


def prove_rules(rules: list[Rule], rulebook: Rulebook) -> Proof:
    """Run every example of these rules under the whole rulebook."""
    failures: list[Failure] = []
    examples = 0
    for rule in rules:
        try:
            for wanted, plan in examples_of(rule, rulebook):
                examples += 1
                found = review_plan(plan, rulebook, EXAMPLE_DAY).outcomes[rule.name].value
                if found != wanted:
                    failures.append(Failure(rule.name, rule.file,
                                            f"example {examples} should be {wanted} and is {found}"))
        except Unreadable as error:
            failures.extend(Failure(rule.name, rule.file, p.message) for p in error.problems)
    return Proof(len(rules), examples, tuple(failures))
