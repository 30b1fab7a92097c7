"""Proving rules: every example of every rule comes to what it says."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path as FilePath

from auditor.plan.problems import Problem, Unreadable
from auditor.review.review import review_plan
from auditor.rulebook.examples import examples_of
from auditor.rulebook.load import BadRules, compile_rulebook, rules_folder
from auditor.rulebook.rule import Rule, Rulebook

EXAMPLE_DAY = date(2026, 11, 20)


@dataclass(frozen=True, slots=True)
class Failure:
    """An example that does not come to what it says, or cannot be read."""

    rule: str
    file: str
    message: str


@dataclass(frozen=True, slots=True)
class Proof:
    """What proving came to."""

    rules: int
    examples: int
    failures: tuple[Failure, ...]


def prove_files(names: list[str]) -> Proof:
    """Prove the rules of these files, beside the shipped rules; with no names, the shipped rules.

    Raises BadRules where a file cannot be used.
    """
    shipped = {f.resolve(): f.read_bytes() for f in sorted(rules_folder().glob("*.yaml"))}
    asked: list[FilePath] = []
    for name in names:
        file = FilePath(name)
        if not file.is_file():
            raise BadRules(((name, (Problem("there is no such file"),)),))
        asked.append(file.resolve())
    sources = {**shipped, **{file: file.read_bytes() for file in asked}}
    rulebook = compile_rulebook([(file.name, source) for file, source in sources.items()])
    wanted = {file.name for file in asked}
    rules = [rule for rule in rulebook.rules if not wanted or rule.file in wanted]
    return prove_rules(rules, rulebook)


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
