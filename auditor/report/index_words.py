"""What an index says of each plan, and its forms as text and as a page of a wiki."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from os.path import relpath

from auditor.report.columns import BLANK, Column, fitted
from auditor.report.commonmark import link, plain, sentence, table
from auditor.report.markdown_report import policy_lines
from auditor.report.notice import CAUTIONS, NOT_LOOKED_AT
from auditor.report.phrases import all_together, by_word
from auditor.report.style import Style, shown
from auditor.report.terminal import summary_lines
from auditor.review.entry import Entry
from auditor.review.finding import Verdict
from auditor.review.run import Summary

TITLE = "Index of power-up procedures"
HEADINGS = ("Procedure", "Set", "Verdict", "Findings", "Questions", "Accepted risks", "Signed off")
READING = (
    "Findings are rules that are broken, by signal word, and rules that cannot be told before a question is answered. "
    "`auditor audit` on the procedure tells each in full."
)


def verdict(entry: Entry) -> str:
    """The verdict on a plan in a few words."""
    if entry.verdict is None:
        return "cannot be read"
    if entry.verdict is Verdict.FINDINGS and not entry.findings:
        return "cannot be told" if entry.waiting else "risks accepted"
    return entry.verdict.value


def findings(entry: Entry) -> str:
    """What is open: how many of each signal word, and how many cannot be told; of an unreadable plan, why."""
    if entry.problem is not None:
        place, why = entry.problem.place, entry.problem.message.partition("; known here are ")[0]
        return f"line {place.line}: {why}" if place is not None else why
    waiting = f"{entry.waiting} cannot be told" if entry.waiting else ""
    return ", ".join(filter(None, (by_word(entry.findings), waiting)))


def accepted(entry: Entry) -> tuple[str, ...]:
    """The accepted risks, each with its last day."""
    return tuple(f"{risk.rule} ({risk.signal_word}) until {risk.until}, by {risk.by}" for risk in entry.accepted)


def signed_off(entry: Entry) -> str:
    """Who signed the plan off, and whether that still counts."""
    signed = entry.signed_off
    if signed is None:
        return ""
    return f"{signed.by}, {signed.on}" + ("" if signed.unchanged else " (changed since, does not count)")


def cells(entry: Entry) -> tuple[str, ...]:
    """What stands under HEADINGS, as plain text; empty where there is nothing to say."""
    kind = entry.kind or ("" if entry.verdict is None else "not stated")
    return (entry.title or entry.path, kind, verdict(entry), findings(entry), str(entry.questions or ""),
            "; ".join(accepted(entry)), signed_off(entry))


def text_lines(entries: Sequence[Entry], summary: Summary, style: Style) -> Iterator[str]:
    """The index for a terminal: what finds no room in a row stands below it."""
    columns = [
        Column[Entry]("file", lambda e: shown(e.path)),
        Column[Entry]("verdict", verdict),
        Column[Entry]("findings", lambda e: shown(findings(e)) or BLANK, "Findings: {}."),
        Column[Entry]("questions", lambda e: str(e.questions or BLANK), "Questions: {}."),
        Column[Entry]("signed off", lambda e: shown(signed_off(e)) or BLANK, "Signed off: {}."),
        Column[Entry]("accepted risks", lambda e: shown("; ".join(accepted(e))) or BLANK, "Accepted: {}."),
        Column[Entry]("title", lambda e: shown(e.title or BLANK), "{}."),
        Column[Entry]("set", lambda e: shown(e.kind or BLANK), "Set: {}."),
    ]
    shape = fitted(columns, 2, entries, style.width)
    yield style.strong(shape.heading())
    for each in entries:
        yield shape.line(each)
        for below in shape.below(each):
            yield style.wrapped(below, first="      ")
    yield ""
    yield from summary_lines(summary, style)


def markdown_lines(entries: Sequence[Entry], summary: Summary, folder: str) -> Iterator[str]:
    """The index as a page of a wiki that lies in `folder`, with a link to every plan. CommonMark with a table."""
    yield from (f"# {TITLE}", "", plain(all_together(summary)), "", plain(CAUTIONS), "")
    for policy in summary.policies:
        yield from policy_lines(policy)
    rows = ([link(cells(each)[0], target(each, folder)), *map(plain, cells(each)[1:])] for each in entries)
    yield from (*table(HEADINGS, rows), "", sentence(READING), "", plain(NOT_LOOKED_AT))


def target(entry: Entry, folder: str) -> str:
    """Where the plan lies, seen from a folder."""
    return relpath(entry.path, folder).replace("\\", "/")
