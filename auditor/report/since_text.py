"""What was there in an earlier report and what is gone, told briefly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from auditor.report.style import Style
from auditor.review.finding import Audit, Finding, Outcome
from auditor.review.run import Gone, Summary
from auditor.rulebook.rule import SIGNAL_WORDS

Told = tuple[str, str]
"""A signal word, and what stands behind it."""


def since_parts(audit: Audit, gone: Iterable[Gone]) -> Iterator[tuple[str, tuple[Told, ...]]]:
    """What comes below the new findings, each part with its heading: those that were there, and those that are gone."""
    there = [finding for finding in audit.findings if finding.since and not finding.since.new]
    if there:
        yield (f"There in the earlier report, and still there: {len(there)}. `auditor reason RULE` tells more.",
               tuple(_told(there)))
    if gone := tuple(gone):
        yield f"Gone since the earlier report: {len(gone)}.", tuple(_told(gone))


def since_lines(audit: Audit, gone: Iterable[Gone], style: Style) -> Iterator[str]:
    """The same for a terminal."""
    for heading, told in since_parts(audit, gone):
        yield style.strong(style.wrapped(heading))
        for word, rest in told:
            yield style.wrapped(f"{word} {rest}", first="  ", rest="    ").replace(word, style.signal(word, word), 1)
        yield ""


def _told(findings: Iterable[Finding | Gone]) -> Iterator[Told]:
    """A line for each that is broken; those that cannot be told by their names alone."""
    waiting: dict[str, list[str]] = {}
    for each in findings:
        if each.outcome is Outcome.BROKEN:
            step = f"step {each.step}, {each.step_words}" if isinstance(each, Finding) and each.step else each.step_words
            item = f", {each.item}" if isinstance(each, Finding) and each.item else ""
            yield each.signal_word, f"{each.rule}: {step or 'whole plan'}{item}"
        else:
            waiting.setdefault(each.signal_word, []).append(each.rule)
    for word, rules in waiting.items():
        yield word, f"(cannot be told): {', '.join(dict.fromkeys(rules))}"


def new_words(summary: Summary) -> str:
    """How many are new, were there and are gone, in one phrase."""
    new = summary.new or {}
    fresh = sum(new.values())
    words = ", ".join(f"{new[word]} {word}" for word in SIGNAL_WORDS if word in new)
    there = sum(summary.findings.values()) - fresh
    return (f"since the earlier report {f'{fresh} new ({words})' if fresh else 'none is new'}, "
            f"{there} still there, {summary.gone} gone")
