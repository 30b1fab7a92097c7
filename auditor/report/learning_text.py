"""Hazards, safeguards and words of the trade, told to somebody who learns, and the list of them all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from auditor.bench.lamp_choice import LampChoice
from auditor.learning.figures import FIGURES, range_said, said
from auditor.learning.lessons import Lessons, Topic, filled, name_of
from auditor.learning.topic import Hazard, Safeguard, Term
from auditor.learning.trial import Tried
from auditor.report.before_and_after import before_and_after_lines
from auditor.report.columns import Column, fitted
from auditor.report.notice import CAUTIONS
from auditor.report.style import Style
from auditor.rulebook.before_and_after import before_and_after
from auditor.rulebook.rule import Rule, Rulebook
from auditor.whatif.alone import Alone
from auditor.whatif.fault import Fault
from auditor.whatif.harm import Harm

POINT = "  - "
NOTHING_AT_FAULT = "nothing at fault"
COLUMNS: tuple[Column[LampChoice], ...] = (
    Column("lamp", lambda lamp: said(lamp.power, "power", 3)),
    Column("a short draws", lambda lamp: said(lamp.short_current, "current"), "a short draws {}"),
    Column("a soft fault gets", lambda lamp: said(lamp.most_heat, "power"), "a soft fault gets up to {}"),
    Column("a healthy set gets", lambda lamp: range_said(lamp.set_voltage, "voltage"), "a healthy set gets {}"),
)


def hazard_lines(hazard: Hazard, lessons: Lessons, stages: Sequence[tuple[str, Sequence[Rule]]], faults: Sequence[Fault],
                 rulebook: Rulebook, style: Style) -> Iterator[str]:
    """What a hazard is, its numbers, what stands against it at which stage of the work, which faults lead to it."""
    count = sum(len(rules) for _, rules in stages)
    yield from _head(hazard, f"a hazard; {count} rules stand against it", style)
    yield style.wrapped(hazard.says)
    yield from _points("In numbers:", hazard.figures, style)
    yield ""
    yield "What stands against it:"
    for name in hazard.safeguards:
        for safeguard in lessons.called(name)[:1]:
            yield style.wrapped(f"{name_of(safeguard)}: {safeguard.says}", first=POINT)
    yield ""
    yield "The rules that prevent it, in the order of the work:"
    for stage, rules in stages:
        yield f"  {stage}:"
        yield style.wrapped(", ".join(rule.name for rule in rules), first="    ")
    if faults:
        yield ""
        yield "Faults that lead to it:"
        for kind in dict.fromkeys(fault.kind for fault in faults):
            names = ", ".join(fault.fault for fault in faults if fault.kind == kind)
            yield f"  {kind}:"
            yield style.wrapped(names, first="    ")
    yield from _example(hazard.example, rulebook, style)
    yield from _foot(hazard.sources, style)


def safeguard_lines(safeguard: Safeguard, trial: Tried | None, lamps: Sequence[LampChoice], rulebook: Rulebook,
                    style: Style) -> Iterator[str]:
    """What a safeguard holds and what it does not, in numbers and on the model, how one knows that it works, an example."""
    yield from _head(safeguard, "a safeguard", style)
    yield style.wrapped(safeguard.says)
    yield from _points("What it contains:", safeguard.contains, style)
    yield from _points("What it does not contain:", safeguard.does_not_contain, style)
    if lamps:
        yield ""
        yield from _lamp_lines(lamps, style)
    if trial is not None and safeguard.played is not None:
        yield ""
        yield style.wrapped(f"Tried on the model: {safeguard.played.plan_says}.", rest="  ")
        if trial.alone is not None:
            yield from _alone_lines(trial.alone, style)
        if trial.without is not None:
            yield from _without_lines(trial.without, style)
    yield ""
    yield style.wrapped(filled(safeguard.works, FIGURES), first="How you know that it works: ", rest="  ")
    yield "Rules about it:"
    yield style.wrapped(", ".join(name for name in safeguard.rules if name in rulebook.by_name), first="  ")
    yield from _example(safeguard.example, rulebook, style)
    yield from _foot(safeguard.sources, style)


def word_lines(word: Term, style: Style) -> Iterator[str]:
    """One word of the trade."""
    yield from _head(word, "a word of the trade", style)
    yield style.wrapped(word.says)
    if word.see:
        yield style.wrapped(f"{', '.join(word.see)}.", first="See: ", rest="  ")
    yield style.wrapped("; ".join(word.sources) + ".", first="Source: ", rest="  ")


def also_lines(topic: Topic, kind: str, style: Style) -> Iterator[str]:
    """What else bears the name that was told, in one line."""
    yield ""
    yield style.wrapped(f"{name_of(topic)}: {topic.says}", first=f"Also {kind}, ", rest="  ")


def glossary_lines(lessons: Lessons, style: Style) -> Iterator[str]:
    """Every word of the trade, in the order of the alphabet, with what is meant."""
    yield style.strong("The words of the trade")
    yield ""
    for word in sorted(lessons.words, key=lambda word: word.word.lower()):
        also = f" (also {', '.join(_spoken(word.also))})" if _spoken(word.also) else ""
        yield style.wrapped(f"{word.word}{also}: {word.says}", rest="    ")
    yield ""
    yield style.wrapped(CAUTIONS)


def index_lines(lessons: Lessons, kinds: str, style: Style) -> Iterator[str]:
    """What can be asked for. kinds: of names, in words."""
    yield style.wrapped(f"`auditor reason NAME` tells one thing in full. {kinds}")
    for heading, topics in (("Hazards:", lessons.hazards), ("Safeguards:", lessons.safeguards)):
        yield ""
        yield heading
        for topic in topics:
            yield style.wrapped(f"{name_of(topic)}: {_first_sentence(topic.says)}", first="  ", rest="      ")
    yield ""
    yield style.wrapped(CAUTIONS)


def _head(topic: Topic, kind: str, style: Style) -> Iterator[str]:
    yield style.strong(name_of(topic))
    yield style.wrapped(kind, first="  ")
    if also := _spoken(topic.also):
        yield style.wrapped(f"also called {', '.join(also)}", first="  ")
    yield ""


def _spoken(names: Sequence[str]) -> tuple[str, ...]:
    """Names as one says them: those that only a plan writes, with an underscore, are left out."""
    return tuple(name for name in names if "_" not in name)


def _points(heading: str, texts: Sequence[str], style: Style) -> Iterator[str]:
    yield ""
    yield heading
    for text in texts:
        yield style.wrapped(filled(text, FIGURES), first=POINT)


def _lamp_lines(lamps: Sequence[LampChoice], style: Style) -> Iterator[str]:
    table = fitted(COLUMNS, 2, lamps, style.width - 2)
    yield style.wrapped("For the five-tube set of the examples at its rated volts, with every common lamp (`auditor predict "
                        "PLAN --choose-lamp` tells it of any plan):", rest="  ")
    yield style.strong(f"  {table.heading()}".rstrip())
    for lamp in lamps:
        yield f"  {table.line(lamp)}"
        for below in table.below(lamp):
            yield style.wrapped(below, first="      ")


def _alone_lines(found: Alone, style: Style) -> Iterator[str]:
    total = len(found.contains) + len(found.lessens) + len(found.lets_through)
    yield style.wrapped(f"Alone, with nothing else against any fault, it contains {len(found.contains)} of the {total} "
                        "faults that then do harm.", first="  ")
    if found.contains:
        yield style.wrapped(_names(found.contains), first="    contained: ", rest="      ")
    if found.lessens:
        yield style.wrapped(_names([fault for fault, _ in found.lessens]),
                            first="    made less grave, and still felt: ", rest="      ")
    yield from _by_hazard(found.lets_through, "gets through", style)


def _without_lines(found: Sequence[tuple[Fault | None, Harm]], style: Style) -> Iterator[str]:
    if not found:
        yield style.wrapped("Taken out of that plan, with all else in place, nothing more gets through: here something else "
                            "stands against the same faults. Leave it in; the next fault may come with a second one.",
                            first="  ")
        return
    yield style.wrapped("Taken out of that plan, with all else in place, this gets through:", first="  ")
    yield from _by_hazard(found, "", style)


def _by_hazard(found: Sequence[tuple[Fault | None, Harm]], said_first: str, style: Style) -> Iterator[str]:
    by_hazard: dict[str, dict[str, None]] = {}
    for fault, harm in sorted(found, key=lambda one: not one[1].to_a_person):
        by_hazard.setdefault(harm.hazard, {})[fault.fault if fault else NOTHING_AT_FAULT] = None
    for hazard, names in by_hazard.items():
        first = f"    {said_first}, {hazard}: " if said_first else f"    {hazard}: "
        yield style.wrapped(f"{', '.join(names)}.", first=first, rest="      ")


def _names(faults: Sequence[Fault]) -> str:
    return ", ".join(fault.fault for fault in faults) + "."


def _example(rule: str, rulebook: Rulebook, style: Style) -> Iterator[str]:
    known = rulebook.by_name.get(rule)
    found = before_and_after(known, rulebook) if known is not None else None
    if found is not None:
        yield ""
        yield style.wrapped(f"For example the rule {rule}.")
        yield from before_and_after_lines(found, style)


def _foot(sources: Sequence[str], style: Style) -> Iterator[str]:
    yield ""
    yield style.wrapped("; ".join(sources) + ".", first="Source: ", rest="  ")
    yield style.wrapped(CAUTIONS)


def _first_sentence(text: str) -> str:
    return text.split(". ")[0].rstrip(".") + "."
