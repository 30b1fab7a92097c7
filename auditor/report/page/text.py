"""The text of a plan line by line, with the findings and the questions that belong to each."""

from __future__ import annotations

from msgspec import Struct

from auditor.plan.lines import LINE_BREAK
from auditor.report.result import Numbered, Result


class PlanLine(Struct, frozen=True):
    """One line of a plan: its number on its page, its text, and the findings whose first line it is."""

    number: int
    text: str
    findings: tuple[Numbered, ...] = ()


def plan_lines(result: Result) -> tuple[PlanLine, ...]:
    """The whole plan."""
    document = result.plan.source.document
    by_line: dict[int, list[Numbered]] = {}
    for numbered in result.findings:
        by_line.setdefault(numbered.line, []).append(numbered)
    texts = LINE_BREAK.split(document.text.rstrip())
    return tuple(PlanLine(number, text, tuple(by_line.get(number, ())))
                 for number, text in enumerate(texts, start=document.first_line))
