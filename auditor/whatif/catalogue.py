"""Reading and checking the files of faults."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path as FilePath

from msgspec import Struct

from auditor.bench.facts import FACTS, ITEM_KINDS, VOCABULARY
from auditor.logic.expression import ExpressionError, parse_expression
from auditor.logic.nodes import Expression, names_in
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.refusals import fitting, mapping_in
from auditor.plan.shipped import rules_folder
from auditor.plan.yaml_text import parse_yaml, read_text
from auditor.whatif.fault import Fault, FaultFile


class Entry(Struct, frozen=True):
    """A fault with its conditions compiled."""

    fault: Fault
    topic: str
    possible: Expression | None
    ruled_out: Expression | None


def faults_folder() -> FilePath:
    """Where the shipped faults lie."""
    return rules_folder() / "faults"


@lru_cache(maxsize=1)
def load_catalogue() -> tuple[Entry, ...]:
    """The shipped faults, in the order of their files. Raises Unreadable with every problem of the first bad file."""
    return tuple(entry for file in sorted(faults_folder().glob("*.yaml")) for entry in compile_faults(file.read_bytes()))


def compile_faults(source: bytes) -> tuple[Entry, ...]:
    """The faults in the text of one file. Raises Unreadable with every problem and its place."""
    document = parse_yaml(read_text(source))
    file = fitting(mapping_in(document, "a file of faults has the parts `topic` and `faults`"), FaultFile, document)
    problems: list[Problem] = []
    entries = []
    for i, fault in enumerate(file.faults):
        possible = _condition(fault.possible_when, ("faults", i, "possible_when"), problems)
        ruled_out = _condition(fault.ruled_out_by, ("faults", i, "ruled_out_by"), problems)
        entries.append(Entry(fault, file.topic, possible, ruled_out))
    if problems:
        raise Unreadable(tuple(document.placed(p) for p in problems))
    return tuple(entries)


def _condition(text: str | None, path: tuple[str | int, ...], problems: list[Problem]) -> Expression | None:
    if text is None:
        return None
    try:
        expression = parse_expression(text, VOCABULARY)
    except ExpressionError as error:
        problems.append(Problem(error.message, path, None, error.suggestion))
        return None
    if changing := sorted(name for name in names_in(expression) if not _lasts(name)):
        problems.append(Problem(
            f"`{changing[0]}` changes from step to step; a fault is there or not for the whole plan", path))
    return expression


def _lasts(name: str) -> bool:
    """Whether a fact is the same at every step."""
    fact = FACTS[name]
    return fact.scope == "plan" or (fact.scope in ITEM_KINDS and fact.constant)
