"""The report for a person: plain lines, the most serious finding first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from auditor.plan.problems import Problem
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.style import Style, shown
from auditor.review.finding import Audit, Finding, Outcome, Question, Verdict
from auditor.review.run import Reviewed, Summary
from auditor.rulebook.rule import SIGNAL_WORDS

MOST_QUOTED = 4
"""Lines of the plan that a finding quotes; more are only counted."""
MOST_ASKED = 8
"""Questions that are asked in full; the others are named, and some fall away with the first answers."""


def report_lines(reviews: Iterable[Reviewed], summary: Summary, style: Style) -> Iterator[str]:
    """The report on all plans."""
    for reviewed in reviews:
        yield from reviewed_lines(reviewed, style)
    yield from summary_lines(summary, style)


def reviewed_lines(reviewed: Reviewed, style: Style) -> Iterator[str]:
    """The report on one plan."""
    title = f": {shown(reviewed.title)}" if reviewed.title else ""
    yield style.strong(style.wrapped(f"{reviewed.path}{title}"))
    yield ""
    audit = reviewed.audit
    if audit is None:
        for problem in reviewed.problems:
            yield from problem_lines(problem, reviewed.path, style)
        yield ""
        return
    for finding in audit.findings:
        if finding.outcome is Outcome.BROKEN or not finding.missing:
            yield from _finding(finding, audit, reviewed.path, style)
            yield ""
    if audit.questions:
        yield from _questions(audit, reviewed.path, style)
        yield ""
    for accepted in audit.accepted:
        yield style.wrapped(f"Accepted by {accepted.by} until {accepted.until}: {accepted.finding.rule} "
                            f"({accepted.finding.signal_word}). Reason: {accepted.reason}")
        yield ""
    yield style.wrapped(verdict(audit), first="Verdict: ", rest="  ")
    for assumption in audit.assumptions:
        yield style.faint(style.wrapped(assumption, first="  Assumed: ", rest="    "))
    yield ""


def verdict(audit: Audit) -> str:
    """The verdict in one line."""
    if audit.verdict is Verdict.NOTHING_TO_REVIEW:
        return "nothing to review: no step of this procedure energises the set. Is `plug_in: set` or a switch missing?"
    broken = [f for f in audit.findings if f.outcome is Outcome.BROKEN]
    open_ = len(audit.findings) - len(broken)
    if not audit.findings and not audit.accepted:
        return "nothing found by the rules in force. That does not make the procedure safe."
    parts = []
    if broken:
        parts.append(f"{_count(len(broken), 'finding')}, the most serious {broken[0].signal_word}")
    if open_:
        parts.append(f"{_count(open_, 'rule')} that cannot be told, "
                     f"{_count(len(audit.questions), 'question')} to answer")
    if audit.accepted:
        parts.append(f"{_count(len(audit.accepted), 'risk')} accepted")
    return "; ".join(parts) + "."


def _finding(finding: Finding, audit: Audit, path: str, style: Style) -> Iterator[str]:
    where = f", step {finding.step}: {shown(finding.step_words or '')}" if finding.step is not None else ", whole plan"
    doubt = "" if finding.outcome is Outcome.BROKEN else " (cannot be told)"
    head = style.wrapped(f"{finding.signal_word}{doubt}{where}", rest="  ")
    yield head.replace(finding.signal_word, style.signal(finding.signal_word, finding.signal_word), 1)
    if finding.branch:
        yield style.wrapped(f"This is on the way out, when {finding.branch}.", first="  ")
    yield style.wrapped(finding.message, first="  ")
    if finding.also:
        steps = ", ".join(map(str, finding.also))
        yield style.wrapped(f"The same at step{'s' if len(finding.also) > 1 else ''} {steps}.", first="  ")
    if finding.note:
        yield style.wrapped(finding.note, first="  ")
    yield from _quoted(finding, audit, style)
    yield style.wrapped(finding.because, first="  Why: ", rest="    ")
    yield style.wrapped(finding.remedy, first="  Instead: ", rest="    ")
    for line in (finding.write or "").splitlines():
        yield f"      {shown(line)}"
    place = f"{path}, line {finding.place.line}, column {finding.place.column}"
    if finding.card:
        place += f" (from {finding.card})"
    sources = "; ".join(finding.sources)
    yield style.faint(style.wrapped(f"{finding.rule}. {place}. Source: {sources}.", first="  Rule: ", rest="    "))


def _quoted(finding: Finding, audit: Audit, style: Style) -> Iterator[str]:
    lines = audit.plan.source.document.lines(finding.place).splitlines()
    if finding.step is None and len(lines) > MOST_QUOTED:
        return  # about the whole of a part, which needs no quoting
    for count, line in enumerate(lines[:MOST_QUOTED]):
        first = f"  Line {finding.place.line + count}: "
        text = shown(line)
        room = max(20, style.width - len(first))
        yield style.faint(first) + (text if len(text) <= room else text[: room - 3] + "...")
    if len(lines) > MOST_QUOTED:
        yield style.faint(f"  and {_count(len(lines) - MOST_QUOTED, 'more line')}")


def _questions(audit: Audit, path: str, style: Style) -> Iterator[str]:
    """The missing facts, those first that decide most, and the rules that wait for them."""
    waiting = [f for f in audit.findings if f.outcome is Outcome.UNDETERMINED and f.missing]
    one = len(audit.questions) == 1
    yield style.strong(style.wrapped(
        f"Not stated. Answer {'this question' if one else f'these {len(audit.questions)} questions'} and "
        f"{_count(len(waiting), 'open rule')} can be decided:"))
    for number, question in enumerate(audit.questions[:MOST_ASKED], start=1):
        yield from _question(number, question, path, style)
    later = [question.missing.path for question in audit.questions[MOST_ASKED:]]
    if later:
        yield style.wrapped(f"Then: {', '.join(later)}.", first="  ", rest="    ")
    for word in SIGNAL_WORDS:
        rules = dict.fromkeys(f.rule for f in waiting if f.signal_word == word)
        if rules:
            line = style.wrapped(f"Open until then, {word}: {', '.join(rules)}.", first="  ", rest="    ")
            yield line.replace(word, style.signal(word, word), 1)


def _question(number: int, question: Question, path: str, style: Style) -> Iterator[str]:
    missing = question.missing
    asks = f"{missing.asks[0].upper()}{missing.asks[1:]}?"
    where = f"line {missing.place.line}" if missing.place else path
    yield style.wrapped(f"{asks} It decides {_count(len(question.rules), 'rule')}. "
                        f"Add to {missing.path.rpartition('.')[0]} ({where}):", first=f"  {number}. ", rest="     ")
    yield f"         {missing.line}"


def problem_lines(problem: Problem, path: str, style: Style) -> Iterator[str]:
    """Why a text cannot be read, where, and what to write instead."""
    where = f", line {problem.place.line}, column {problem.place.column}" if problem.place else ""
    yield style.wrapped(f"Cannot be read{where}: {problem.message}", first="  ", rest="    ")
    if problem.suggestion:
        yield style.wrapped(f"Try: {problem.suggestion}", first="    ", rest="      ")


def summary_lines(summary: Summary, style: Style) -> Iterator[str]:
    """The last lines of a report: all plans together, and the cautions."""
    found = ", ".join(f"{summary.findings[word]} {word}" for word in SIGNAL_WORDS if word in summary.findings)
    read = summary.plans - summary.unreadable
    parts = [f"{_count(read, 'plan')} reviewed", *([found or "nothing found"] if read else [])]
    if summary.nothing_to_review:
        parts.append(f"{summary.nothing_to_review} with nothing to review")
    if summary.unreadable:
        parts.append(f"{summary.unreadable} could not be read")
    yield style.strong(style.wrapped("; ".join(parts) + "."))
    yield style.wrapped(NOT_LOOKED_AT)
    yield style.wrapped(CAUTIONS)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
