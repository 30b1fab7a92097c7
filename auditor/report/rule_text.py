"""One rule told in full, and the list of all rules."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from auditor.report.style import Style, shown
from auditor.rulebook.examples import changes_of
from auditor.rulebook.rule import Rule, Rulebook


def rule_lines(rule: Rule, rulebook: Rulebook, style: Style) -> Iterator[str]:
    """What a rule requires, why, who says so, what to do, and examples."""
    text = rule.text
    yield f"{style.signal(text.signal_word, text.signal_word)}  {style.strong(text.rule)}"
    yield style.wrapped(f"{text.hazard}; {text.stage}", first="  ")
    if text.formerly:
        yield style.wrapped(f"formerly {', '.join(text.formerly)}", first="  ")
    yield ""
    yield style.wrapped(text.requires, first="Requires: ", rest="  ")
    yield style.wrapped(text.because, first="Why: ", rest="  ")
    yield style.wrapped(text.remedy.do, first="Instead: ", rest="  ")
    for line in (text.remedy.write or "").splitlines():
        yield f"    {shown(line)}"
    yield style.wrapped("; ".join(text.sources) + ".", first="Source: ", rest="  ")
    used = [limit for name, limit in rulebook.limits.items() if f"limit.{name}" in f"{text.applies_when} {text.holds}"]
    for limit in used:
        yield style.wrapped(f"{limit.name}: {limit.text}; {limit.means} Source: {'; '.join(limit.sources)}.",
                            first="Limit: ", rest="  ")
    yield ""
    yield "In the language of the rules:"
    if text.applies_when:
        yield style.wrapped(f"applies when {text.applies_when}", first="    ", rest="      ")
    yield style.wrapped(f"holds {text.holds}", first="    ", rest="      ")
    yield ""
    yield "Examples, as changes to a base plan:"
    for outcome, change in changes_of(rule, rulebook):
        yield style.wrapped(_said(change), first=f"    {outcome}: ", rest="      ")


def _said(change: Any) -> str:
    return change if isinstance(change, str) else json.dumps(change, ensure_ascii=False).replace('"', "")


def list_lines(rulebook: Rulebook, style: Style) -> Iterator[str]:
    """All rules in force by topic, each with its requirement."""
    topic = None
    for rule in rulebook.rules:
        if rule.topic != topic:
            topic = rule.topic
            yield ""
            yield style.strong(topic)
        yield f"  {style.signal(rule.text.signal_word, rule.text.signal_word)} {rule.name}"
        yield style.wrapped(rule.text.requires, first="      ")
