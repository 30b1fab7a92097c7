"""One rule told in full, and the list of all rules."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from auditor.logic.nodes import names_in
from auditor.plan.problems import Unreadable
from auditor.report.before_and_after import before_and_after_lines
from auditor.report.policy_text import policy_lines
from auditor.report.style import Style, shown
from auditor.rulebook.before_and_after import before_and_after
from auditor.rulebook.examples import changes_of
from auditor.rulebook.rule import Limit, Rule, Rulebook


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
    for limit in _limits_of(rule, rulebook):
        changed = f", {origin(limit)}" if limit.was is not None else ""
        yield style.wrapped(f"{limit.name}: {limit.text}{changed}; {limit.means} Source: {'; '.join(limit.sources)}.",
                            first="Limit: ", rest="  ")
    yield ""
    yield "In the language of the rules:"
    if text.applies_when:
        yield style.wrapped(f"applies when {text.applies_when}", first="    ", rest="      ")
    yield style.wrapped(f"holds {text.holds}", first="    ", rest="      ")
    try:
        changes, found = changes_of(rule, rulebook), before_and_after(rule, rulebook)
    except Unreadable as error:
        yield ""
        yield style.wrapped(f"Its examples cannot be read: {error}. `auditor rulebook prove {rule.file}` tells where.",
                            rest="  ")
        return
    if changes:
        yield ""
        yield "Examples, as changes to a base plan:"
    for outcome, change in changes:
        yield style.wrapped(_said(change), first=f"    {outcome}: ", rest="      ")
    if found is not None:
        yield ""
        yield from before_and_after_lines(found, style)


def left_out_lines(rule: Rule, rulebook: Rulebook, style: Style) -> Iterator[str]:
    """A rule that the policy leaves out with its topic, as it would be in force."""
    file = f" {rulebook.policy.file}" if rulebook.policy is not None else ""
    yield style.strong(style.wrapped(f"NOT AUDITED: the policy{file} leaves out the topic `{rule.topic}`.", rest="  "))
    yield ""
    yield from rule_lines(rule, rulebook, style)


def _said(change: Any) -> str:
    return change if isinstance(change, str) else json.dumps(change, ensure_ascii=False).replace('"', "")


def list_lines(rulebook: Rulebook, style: Style) -> Iterator[str]:
    """All rules in force by topic, each with its requirement, and all limits, each with where it came from."""
    yield from policy_lines(rulebook.policy, style)
    topic = None
    for rule in rulebook.rules:
        if (rule.topic, rule.file) != topic:
            if topic is not None or rulebook.policy is not None:
                yield ""
            topic = (rule.topic, rule.file)
            yield style.strong(style.wrapped(f"{rule.topic} ({rule.file})"))
        yield f"  {style.signal(rule.text.signal_word, rule.text.signal_word)} {rule.name}"
        yield style.wrapped(rule.text.requires, first="      ")
        used = ", ".join(f"{limit.name} {limit.text}" for limit in _limits_of(rule, rulebook))
        if used:
            yield style.faint(style.wrapped(f"Limits: {used}", first="      ", rest="        "))
    yield ""
    yield style.strong("limits")
    for limit in rulebook.limits.values():
        yield style.wrapped(f"{limit.name}: {limit.text} ({origin(limit)}); stricter when {limit.stricter}", first="  ",
                            rest="      ")


def origin(limit: Limit) -> str:
    """Where the value of a limit came from, and what it was before."""
    changed = f", in place of {limit.was.text}, {origin(limit.was)}" if limit.was is not None else ""
    return f"from {limit.file}{changed}"


def _limits_of(rule: Rule, rulebook: Rulebook) -> list[Limit]:
    names = names_in(rule.demand)
    return [limit for name, limit in rulebook.limits.items() if f"limit.{name}" in names]
