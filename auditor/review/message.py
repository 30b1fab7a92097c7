"""A judgement put into words, with the plan's own values."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from auditor.bench.fact import Item, Value
from auditor.bench.facts import FACTS
from auditor.bench.item_facts import LISTS, items
from auditor.bench.replay import why_impossible
from auditor.bench.trace import Sample
from auditor.logic.interval import Interval
from auditor.logic.kinds import NumberKind
from auditor.logic.nodes import names_in
from auditor.logic.quantity import format_quantity
from auditor.logic.truth import Truth
from auditor.plan.place import Path
from auditor.plan.plan import Plan
from auditor.review.finding import Finding, Missing, Outcome
from auditor.review.fingerprint import fingerprints
from auditor.review.judge import Case, Judgement
from auditor.review.questions import missing, resolved
from auditor.rulebook.load import PLACEHOLDER
from auditor.rulebook.rule import RuleText

ANY_ITEM = "..."
"""Stands for the item while messages are compared."""
EXAMPLE_MAINS = 120.0
"""The mains of the lines that remedies write [V]."""
MAINS_VOLTS = re.compile(r"\b1[0-3]\d V\b")
"""Volts of the size of such mains in a line."""
SAID: dict[Truth | None, str] = {Truth.TRUE: "yes", Truth.FALSE: "no", Truth.UNKNOWN: "not stated", None: "not stated"}


def findings(judgements: Iterable[Judgement], case: Case) -> list[Finding]:
    """The findings that failed judgements amount to; those alike in all but the item are one, of `C1, C2`."""
    alike: dict[tuple[object, ...], list[Judgement]] = {}
    for judgement in judgements:
        words = _message(judgement, case, ANY_ITEM)
        alike.setdefault((judgement.rule.name, judgement.path, judgement.samples, words), []).append(judgement)
    return [_told(group, case) for group in alike.values()]


def _told(group: Sequence[Judgement], case: Case) -> Finding:
    judgement, plan = group[0], case.trace.plan
    text = judgement.rule.text
    names = ", ".join(j.item.name for j in group if j.item) or None
    samples = _samples(judgement, case)
    first = samples[0] if samples else None
    path = _path(judgement, case, first)
    # A state that fails at the end of one step fails at the start of the next; only the former is told.
    ends = [s for s in samples if s.exit] or samples
    numbers = dict.fromkeys(s.step.number for s in ends if first and s.step.number != first.step.number)
    return Finding(
        rule=text.rule,
        signal_word=text.signal_word,
        outcome=judgement.outcome,
        hazard=text.hazard,
        step=first.step.number if first else None,
        step_words=first.step.in_words() if first else None,
        also=tuple(numbers),
        branch=_branch(judgement, case),
        item=names,
        path=path,
        place=plan.source.place(path),
        card=_card_line(first, path, case),
        message=_message(judgement, case, names or ""),
        because=text.because,
        missing=tuple(dict.fromkeys(m for j in group for m in _missing(j, case))),
        remedy=_remedy(text, plan),
        write=text.remedy.write,
        sources=text.sources,
        fingerprints=fingerprints((*text.formerly, text.rule)[0], judgement.outcome,
                                  [_known_by(j.item, plan) for j in group if j.item], path, [s.step for s in ends]),
    )


def _remedy(text: RuleText, plan: Plan) -> str:
    """What to do; with whose volts the lines to write are, where the mains of the plan are others."""
    here, lines = plan.mains.voltage, text.remedy.write or ""
    if here is None or here.low <= EXAMPLE_MAINS <= here.high or not MAINS_VOLTS.search(lines):
        return text.remedy.do
    return f"{text.remedy.do} (The volts below are those of a bench on {EXAMPLE_MAINS:g} V.)"


def _known_by(item: Item, plan: Plan) -> str:
    """The name of an item; where several have no name of their own and are called alike, which of them it is."""
    before = sum(other.name == item.name for other in items(plan, item.kind)[: item.index])
    return f"{item.name} {before + 1}" if before else item.name


def _card_line(sample: Sample | None, path: Path, case: Case) -> str | None:
    """The line of the card that the step comes from; where it is about no step, that of what the card alone says."""
    source = case.trace.plan.source
    card = source.card
    if card is None:
        return None
    if sample is not None and sample.step.path:
        line = sample.step.card_line
    else:
        line = card.line(path) if not source.says_itself(path) and card.states(path) else None
    return f"{card.file}, line {line}" if line is not None else None


def _branch(judgement: Judgement, case: Case) -> str | None:
    if judgement.path == 0:
        return None
    branch = case.trace.branches[judgement.path - 1]
    return f"step {branch.step.number} ends early because {branch.why}"


def _ranges(judgement: Judgement, case: Case) -> dict[str, Interval]:
    """The ranges that stand in the demand, as the plan gives them at the first sample that it is about."""
    sample = next(iter(_samples(judgement, case)), case.trace.main[-1])
    facts = case.facts(judgement.item)
    values = {name: facts.value(name, sample) for name in sorted(names_in(judgement.rule.demand)) if name in FACTS}
    return {name: value for name, value in values.items()
            if isinstance(value, Interval) and value.low != value.high and not value.is_anything}


def _too_wide(judgement: Judgement, case: Case) -> str:
    return "; ".join(f"{FACTS[name].meaning}, {shown(name, value, judgement, case)}"
                     for name, value in _ranges(judgement, case).items())


def _samples(judgement: Judgement, case: Case) -> list[Sample]:
    return [case.trace.sample(judgement.path, i) for i in judgement.samples]


def _missing(judgement: Judgement, case: Case) -> tuple[Missing, ...]:
    """The lines that would decide it; where every fact is there but a range is too wide, those that would narrow it."""
    undecided = judgement.outcome is Outcome.UNDETERMINED and not judgement.blamed
    return missing(case.trace.plan, _ranges(judgement, case) if undecided else judgement.blamed, judgement.item)


def _message(judgement: Judgement, case: Case, item: str) -> str:
    """What is wrong, in the words of the rule; or why that cannot be told. `item` names what it is about."""
    first = next(iter(_samples(judgement, case)), None)
    if judgement.outcome is Outcome.BROKEN:
        return PLACEHOLDER.sub(lambda found: _said(found[1], judgement, case, first, item), judgement.rule.text.message)
    requires = judgement.rule.text.requires.rstrip(".")
    who = f" of {item}" if judgement.item and judgement.item.record is not None else ""
    wide = "" if _missing(judgement, case) else _too_wide(judgement, case)
    reason = f"a range is too wide to decide ({wide})" if wide else "the plan does not say enough"
    return f"Whether this is so{who} cannot be told, because {reason}: {requires[0].lower()}{requires[1:]}."


def _said(name: str, judgement: Judgement, case: Case, sample: Sample | None, item: str) -> str:
    """A placeholder's value: the step in words, the item, or a fact at the sample."""
    sample = sample or case.trace.main[-1]
    if name == "step":
        return sample.step.in_words()
    if name == "item":
        return item
    if name == "impossible":
        return why_impossible(sample.before, sample.step, case.trace.plan) or ""
    return shown(name, case.facts(judgement.item).value(name, sample), judgement, case)


def shown(name: str, value: Value, judgement: Judgement, case: Case) -> str:
    """A value as one says it."""
    if isinstance(value, Interval):
        kind = FACTS[name].kind if name in FACTS else case.limits[name.removeprefix('limit.')].kind
        assert isinstance(kind, NumberKind)
        return format_quantity(value, kind.dimension)
    return value if isinstance(value, str) else SAID[value]


def _path(judgement: Judgement, case: Case, sample: Sample | None) -> Path:
    """What in the plan a finding is about: the step, the item, or the part that its facts belong to."""
    plan = case.trace.plan
    if sample is not None and sample.step.path:
        return sample.step.path
    if judgement.item is not None:
        listed = tuple(LISTS[judgement.item.kind][0].split("."))
        return (*listed, judgement.item.index) if judgement.item.record is not None else listed
    for name in sorted(names_in(judgement.rule.demand)):
        for ask in FACTS[name].asks if name in FACTS else ():
            path = resolved(plan, ask, None)
            if plan.source.states(path):
                return path
    return ("steps",)
