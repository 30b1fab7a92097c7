"""Proving rules: every example of every rule comes to what it says."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path as FilePath

from msgspec import Struct
from msgspec.structs import replace

from auditor.plan.files import is_policy
from auditor.plan.nearest import nearest
from auditor.plan.place import Place, show_path
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read import read_plan
from auditor.plan.shipped import rules_folder
from auditor.plan.yaml_text import parse_yaml
from auditor.review.review import review_plan
from auditor.rulebook.examples import Written, example, examples_in, examples_of
from auditor.rulebook.load import LARGEST, READ_AGAIN, BadRules, bounded_text, compile_rulebook, two_documents
from auditor.rulebook.rule import Rule, Rulebook

EXAMPLE_DAY = date(2026, 11, 20)


class Failure(Struct, frozen=True):
    """An example that does not come to what it says, or cannot be read: what is wrong, where, and what to write instead."""

    rule: str
    file: str
    message: str
    place: Place | None = None
    suggestion: str | None = None


class Proof(Struct, frozen=True):
    """What proving came to. right: the examples that came to what they say; policies: those among the files that were
    proved, all of which can be used."""

    rules: int
    examples: int
    right: int
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
            raise BadRules(((name, (Problem("this is a folder, and a file is asked for" if file.is_dir() else
                                            "it is no file" if file.exists() else "there is no such file"),)),))
        if is_policy(file.name) or _says_policy(file):
            policies.append(name)
        else:
            shadows = name in labels.values() and file.resolve() not in labels
            asked[file.resolve()] = f"./{name}" if shadows else name
    sources = [(asked.get(file, label), file.read_bytes()) for file, label in {**labels, **asked}.items()]
    rulebook = compile_rulebook(sources)
    rules = [rule for rule in rulebook.rules if not names or rule.file in asked.values()]
    proofs = [prove_rules(rules, rulebook, asked.values() if names else labels.values()),
              *(_prove_policy(name, rulebook) for name in policies)]
    return Proof(sum(p.rules for p in proofs), sum(p.examples for p in proofs), sum(p.right for p in proofs),
                 tuple(failure for p in proofs for failure in p.failures), tuple(policies))


def _says_policy(file: FilePath) -> bool:
    """Whether a file of any name is a policy: it has the key that every policy has, and not that of a file of rules."""
    try:
        with file.open("rb") as stream:
            text = two_documents(bounded_text(stream.read(LARGEST + 1)))[0]
        data = parse_yaml(text, again=len(text) <= READ_AGAIN).data
    except Unreadable:
        return False
    return isinstance(data, dict) and "policy" in data and "topic" not in data


def _prove_policy(file: str, rulebook: Rulebook) -> Proof:
    """The rules of a policy, and of those that it builds on, proved as they are in force under it."""
    from auditor.rulebook.in_force import under

    in_force = under(rulebook, file)
    files = in_force.policy.files if in_force.policy is not None else ()
    return prove_rules([rule for rule in in_force.rules if rule.file in files], in_force, files)


def prove_rules(rules: list[Rule], rulebook: Rulebook, files: Iterable[str]) -> Proof:
    """Run every example of these rules, which stand in these files, under the whole rulebook."""
    failures: dict[tuple[str, str, Place | None], Failure] = {}

    def fails(rule: str, file: str, problem: Problem) -> None:
        failures.setdefault((file, problem.message, problem.place),
                            Failure(rule, file, problem.message, problem.place, problem.suggestion))

    examples = right = 0
    for rule in rules:
        try:
            written = examples_of(rule, rulebook)
        except Unreadable as error:
            for problem in error.problems:
                fails(rule.name, rule.file, problem)
            continue
        for number, each in enumerate(written, start=1):
            examples += 1
            problems = tuple(_wrong(each, number, rule, rulebook))
            right += not problems
            for problem in problems:
                fails(rule.name, rule.file, problem)
    for file in files:
        for name, problem in _strays(file, rulebook):
            fails(name, file, problem)
    return Proof(len(rules), examples, right, tuple(failures.values()))


def _wrong(each: Written, number: int, rule: Rule, rulebook: Rulebook) -> Iterator[Problem]:
    """What is wrong with one example: it comes to another outcome, or is no plan. Told where it begins, or closer."""
    document = examples_in(rulebook, rule.file)
    try:
        change = example(each.change)
    except Unreadable as error:
        yield from (document.placed(replace(p, path=(*each.path, *p.path[1:]))) for p in error.problems)
        return
    try:
        found = review_plan(read_plan(json.dumps(change)), rulebook, EXAMPLE_DAY).outcomes[rule.name].value
    except Unreadable as error:
        for p in error.problems:
            at = f" (at `{show_path(p.path)}`)" if p.path else ""
            yield document.placed(Problem(f"example {number} is no plan{at}: {p.message}", each.path, None, p.suggestion))
        return
    if found != each.outcome:
        yield document.placed(Problem(f"example {number} should be {each.outcome} and is {found}", each.path))


def _strays(file: str, rulebook: Rulebook) -> Iterator[tuple[str, Problem]]:
    """Examples of a file that belong to none of its rules."""
    try:
        document = examples_in(rulebook, file)
    except Unreadable as error:
        yield from (("its examples", problem) for problem in error.problems)
        return
    left_out = rulebook.policy.left_out if rulebook.policy is not None else frozenset()
    names = [rule.name for rule in rulebook.rules if rule.file == file]
    for name in document.data if isinstance(document.data, dict) else ():
        if name not in names and name not in left_out:
            problem = Problem("no rule of this file is called so", (name,), None, nearest(name, names), True)
            yield name, document.placed(problem)
