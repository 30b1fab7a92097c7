"""The text of a plan line by line, with the findings and the questions that belong to each."""

from __future__ import annotations

from msgspec import Struct

from auditor.plan.lines import LINE_BREAK
from auditor.report.result import Numbered, Result
from auditor.report.terminal import MOST_QUOTED


class PlanLine(Struct, frozen=True):
    """One line of a plan: its number on its page, its text, and the findings whose first line it is."""

    number: int
    text: str
    findings: tuple[Numbered, ...] = ()


class Quoted(Struct, frozen=True):
    """The lines that a finding is about, and how many more there are."""

    lines: tuple[PlanLine, ...]
    more: int


def plan_lines(result: Result) -> tuple[PlanLine, ...]:
    """The whole plan."""
    document = result.plan.source.document
    by_line: dict[int, list[Numbered]] = {}
    for numbered in result.findings:
        by_line.setdefault(numbered.line, []).append(numbered)
    texts = LINE_BREAK.split(document.text.rstrip())
    return tuple(PlanLine(number, text, tuple(by_line.get(number, ())))
                 for number, text in enumerate(texts, start=document.first_line))


def quoted(result: Result, numbered: Numbered) -> Quoted:
    """What stands in the plan where a finding is; nothing where it is about the whole of a part, which needs no quoting."""
    finding = numbered.finding
    lines = result.plan.source.document.lines(finding.place).splitlines()
    if finding.step is None and len(lines) > MOST_QUOTED:
        return Quoted((), 0)
    shown = tuple(PlanLine(number, text) for number, text in enumerate(lines[:MOST_QUOTED], start=numbered.line))
    return Quoted(shown, max(0, len(lines) - MOST_QUOTED))
