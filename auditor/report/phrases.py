"""What every form of a report says in the same words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from auditor.report.since_text import new_words
from auditor.review.finding import Audit, Finding, Outcome, Question, Verdict
from auditor.review.run import Summary
from auditor.rulebook.policy import Policy
from auditor.rulebook.rule import SIGNAL_WORDS

MOST_QUOTED = 4
"""Lines of the plan that a finding quotes; more are only counted."""
MOST_ASKED = 8
"""Questions that are asked in full; the others are named, and some fall away with the first answers."""


class Quoted(Struct, frozen=True):
    """The lines of a plan that a finding quotes, and how many more it is about."""

    lines: tuple[str, ...]
    more: int


def quoted(finding: Finding, audit: Audit) -> Quoted:
    """What stands in the plan where a finding is; nothing where it is about the whole of a part, which needs no quoting."""
    lines = audit.plan.source.document.lines(finding.place).splitlines()
    if finding.step is None and len(lines) > MOST_QUOTED:
        return Quoted((), 0)
    return Quoted(tuple(lines[:MOST_QUOTED]), max(0, len(lines) - MOST_QUOTED))


def counted(number: int, noun: str) -> str:
    """A number with its noun."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def waits(finding: Finding) -> bool:
    """Whether a rule cannot be told before a question is answered."""
    return finding.outcome is Outcome.UNDETERMINED and bool(finding.missing)


def rules_in(findings: Iterable[Finding]) -> int:
    """How many rules these findings are of; a rule may be open for several parts, each a finding of its own."""
    return len({finding.rule for finding in findings})


def verdict(audit: Audit) -> str:
    """The verdict in one line."""
    if audit.verdict is Verdict.NOTHING_TO_REVIEW:
        return "nothing to review: no step of this procedure energises the set. Is `plug_in: set` or a switch missing?"
    broken = [f for f in audit.findings if f.outcome is Outcome.BROKEN]
    open_ = rules_in(f for f in audit.findings if f.outcome is not Outcome.BROKEN)
    if not audit.findings and not audit.accepted:
        return "nothing found by the rules in force. That does not make the procedure safe."
    parts = []
    if broken:
        parts.append(f"{counted(len(broken), 'finding')}, the most serious {broken[0].signal_word}")
    if open_:
        parts.append(f"{counted(open_, 'rule')} that cannot be told, "
                     f"{counted(len(audit.questions), 'question')} to answer")
    if audit.accepted:
        parts.append(f"{counted(len(audit.accepted), 'risk')} accepted")
    return "; ".join(parts) + "."


def what_answers_decide(questions: Sequence[Question], waiting: Iterable[Finding]) -> str:
    """What comes of answering the questions, and what the lines are that are written with them."""
    these = "this question" if len(questions) == 1 else f"these {len(questions)} questions"
    return (f"Not stated. Answer {these} and {counted(rules_in(waiting), 'open rule')} can be decided. "
            "The lines to add are examples; write what is true of your set and bench.")


def open_until_then(waiting: Iterable[Finding]) -> dict[str, tuple[str, ...]]:
    """The rules that wait for an answer, by signal word, the most serious first."""
    found: dict[str, dict[str, None]] = {word: {} for word in SIGNAL_WORDS}
    for finding in waiting:
        found[finding.signal_word][finding.rule] = None
    return {word: tuple(rules) for word, rules in found.items() if rules}


def by_word(findings: dict[str, int]) -> str:
    """How many of each signal word, the most serious first; empty where there are none."""
    return ", ".join(f"{findings[word]} {word}" for word in SIGNAL_WORDS if word in findings)


def all_together(summary: Summary) -> str:
    """All plans in one line; the findings that are broken and those that cannot be told are counted together."""
    read = summary.plans - summary.unreadable
    found = f"broken or open: {by_word(summary.findings)}" if summary.findings else "nothing found"
    parts = [f"{counted(read, 'plan')} reviewed", *([found] if read else [])]
    if summary.new is not None:
        parts.append(new_words(summary))
    if summary.nothing_to_review:
        parts.append(f"{summary.nothing_to_review} with nothing to review")
    if summary.unreadable:
        parts.append(f"{summary.unreadable} could not be read")
    return "; ".join(parts) + "."


def policy_in_force(policy: Policy) -> str:
    """Under which policy plans were audited, on which others it builds, and from where up findings count."""
    builds_on = f", which builds on {', '.join(policy.files[:-1])}" if policy.files[1:] else ""
    return f"Policy: {policy.title} ({policy.file}{builds_on}). Findings count from {policy.fails_from} up."
