"""What proving rule files came to, and what is wrong with files that cannot be used."""

from __future__ import annotations

from collections.abc import Iterator

from auditor.plan.place import Place
from auditor.report.phrases import counted
from auditor.report.style import Style
from auditor.review.prove import Proof
from auditor.rulebook.load import BadRules


def proof_lines(proof: Proof, style: Style) -> Iterator[str]:
    """Every example that fails, and the count."""
    for failure in proof.failures:
        where, stop = _where(failure.place), "" if failure.message.endswith(".") else "."
        yield style.wrapped(f"{failure.rule} in {failure.file}{where}: {failure.message}{stop}", rest="  ")
        if failure.suggestion:
            yield style.wrapped(f"Try: {failure.suggestion}", first="  ")
    for file in proof.policies:
        yield style.wrapped(f"The policy {file} can be used.", rest="  ")
    yield style.wrapped(f"{counted(proof.rules, 'rule')}, {counted(proof.examples, 'example')}, "
                        f"{proof.right} as {'it' if proof.examples == 1 else 'they'} should be.")


def problem_lines(error: BadRules, style: Style) -> Iterator[str]:
    """Every problem of every rule file, with its place."""
    for name, problems in error.files:
        for problem in problems:
            yield style.wrapped(f"{name}{_where(problem.place)}: {problem.message}", rest="  ")
            if problem.suggestion:
                yield style.wrapped(f"Try: {problem.suggestion}", first="  ")


def _where(place: Place | None) -> str:
    return f", line {place.line}, column {place.column}" if place is not None else ""
