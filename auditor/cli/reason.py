"""`auditor reason`: one rule, hazard, safeguard, fault or word of the trade told in full."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from auditor.cli.common import PolicyFile, stop, terminal_style, the_rulebook, write
from auditor.cli.complete import explained

if TYPE_CHECKING:
    from collections.abc import Iterator

    from auditor.learning.lessons import Lessons, Topic
    from auditor.report.style import Style
    from auditor.rulebook.rule import Rulebook

GLOSSARY = "glossary"
KINDS = ("A name is that of a rule (`auditor rulebook` lists the rules), of a fault (`auditor whatif PLAN` lists the "
         "faults), of a hazard or a safeguard (`auditor reason` lists both), or a word of the trade (`auditor reason "
         "glossary` lists them).")


def reason(name: Annotated[str | None, typer.Argument(
        metavar="NAME", autocompletion=explained, help="The name of a rule, as a finding prints it, of a fault, a hazard, "
        "a safeguard or a word of the trade; `glossary` for all words. Without it, what there is.")] = None,
           policy: PolicyFile = None) -> None:
    """Tell why: one rule, hazard, safeguard, fault or word of the trade in full, with numbers and a plan before and after.

    \b
    For example:
      auditor reason isolate-a-hot-chassis
      auditor reason shock
      auditor reason limiter
      auditor reason HT
    """
    from auditor.learning.lessons import form, load_lessons

    lessons, style = load_lessons(), terminal_style()
    if name is None:
        from auditor.report.learning_text import index_lines

        write(index_lines(lessons, KINDS, style))
    elif form(name) == GLOSSARY:
        from auditor.report.learning_text import glossary_lines

        write(glossary_lines(lessons, style))
    elif topics := lessons.called(name):
        write(_told(topics, lessons, policy, style))
    else:
        _rule_or_fault(name, lessons, the_rulebook(policy), style)


def _told(topics: tuple[Topic, ...], lessons: Lessons, policy: str | None, style: Style) -> Iterator[str]:
    """The first of these topics in full, and a line on each of the others."""
    from auditor.learning.lessons import kind_of
    from auditor.learning.topic import Term
    from auditor.report.learning_text import also_lines, word_lines

    first, *others = topics
    if isinstance(first, Term):
        yield from word_lines(first, style)
    else:
        yield from _on_the_model(first, lessons, the_rulebook(policy), style)
    for other in others:
        yield from also_lines(other, kind_of(other), style)


def _on_the_model(topic: Topic, lessons: Lessons, rulebook: Rulebook, style: Style) -> Iterator[str]:
    """A hazard or a safeguard, with what the model tells of it."""
    from auditor.bench.lamp_choice import lamp_choices
    from auditor.learning.figures import example_plan
    from auditor.learning.topic import Hazard, Safeguard
    from auditor.learning.trial import faults_leading_to, rules_by_stage, tried
    from auditor.report.learning_text import hazard_lines, safeguard_lines
    from auditor.whatif.catalogue import load_catalogue

    if isinstance(topic, Hazard):
        yield from hazard_lines(topic, lessons, rules_by_stage(topic.hazard, rulebook),
                                faults_leading_to(topic.hazard, rulebook, load_catalogue()), rulebook, style)
    elif isinstance(topic, Safeguard):
        yield from safeguard_lines(topic, tried(topic.played) if topic.played else None,
                                   lamp_choices(example_plan()) if topic.table else (), rulebook, style)


def _rule_or_fault(name: str, lessons: Lessons, rulebook: Rulebook, style: Style) -> None:
    from auditor.plan.nearest import nearest
    from auditor.report.fault_text import fault_lines
    from auditor.report.rule_text import left_out_lines, rule_lines
    from auditor.whatif.catalogue import load_catalogue

    found = rulebook.by_name.get(name)
    if found is not None:
        write(rule_lines(found, rulebook, style))
        return
    left_out = {each: rule for rule in rulebook.left_out for each in (*rule.text.formerly, rule.name)}
    if name in left_out:
        write(left_out_lines(left_out[name], rulebook, style))
        return
    entries = {entry.fault.fault: entry for entry in load_catalogue()}
    if name in entries:
        write(fault_lines(entries[name], style))
        return
    guess = nearest(name, (*rulebook.by_name, *left_out, *entries, *lessons.names(), GLOSSARY))
    stop(f"Nothing is called `{name}`." + (f" Did you mean `{guess}`?" if guess else f" {KINDS}"))
