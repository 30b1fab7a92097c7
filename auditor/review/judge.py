"""One rule on one replayed plan: what it comes to, where, and which facts would decide it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product
from math import prod

from msgspec import Struct

from auditor.bench.fact import Item, Value
from auditor.bench.facts import FACTS, ITEM_KINDS, Facts, Replayed
from auditor.bench.item_facts import items
from auditor.logic.evaluate import Evaluation
from auditor.logic.explain import blamed, witnesses
from auditor.logic.kinds import TruthKind, WordKind
from auditor.logic.truth import Truth
from auditor.review.finding import Outcome
from auditor.rulebook.rule import Rule, Rulebook

MOST_TRIALS = 24
"""How many combinations of answers are tried before a fact is asked for."""
OF_ITEMS = frozenset(name for name, fact in FACTS.items() if fact.scope in ITEM_KINDS)
OUTCOME = {Truth.TRUE: Outcome.KEPT, Truth.FALSE: Outcome.BROKEN, Truth.UNKNOWN: Outcome.UNDETERMINED}


class Judgement(Struct, frozen=True):
    """What a rule comes to for one item, or for the plan where the rule speaks of none.

    path: the first path on which it is not kept, 0 the plan as written.
    samples: where on it, as positions in that path; empty where it is about the whole path.
    blamed: the facts that are not stated and that would decide it.
    """

    rule: Rule
    item: Item | None
    outcome: Outcome
    path: int = 0
    samples: tuple[int, ...] = ()
    blamed: frozenset[str] = frozenset()


class Case:
    """One replayed plan before the rules: its facts, and evaluations that the rules share."""

    def __init__(self, replayed: Replayed, rulebook: Rulebook) -> None:
        self.trace = replayed.trace
        self.limits = rulebook.limits
        self._replayed = replayed
        self._given: dict[str, Value] = {f"limit.{name}": limit.value for name, limit in rulebook.limits.items()}
        self._evaluations: dict[Item | None, Evaluation] = {}

    def facts(self, item: Item | None) -> Facts:
        """The facts and limits, with the item facts speaking of this item."""
        return Facts(self._replayed, self._given, item)

    def evaluation(self, item: Item | None) -> Evaluation:
        """The evaluation of these facts."""
        if item not in self._evaluations:
            general = None if item is None else self.evaluation(None)
            self._evaluations[item] = Evaluation(self.trace.timeline, self.facts(item), general, OF_ITEMS)
        return self._evaluations[item]

    def answered(self, item: Item | None, answers: Mapping[str, Value]) -> Evaluation:
        """An evaluation in which some facts are taken as answered."""
        return Evaluation(self.trace.timeline, self.facts(item).answered(answers), self.evaluation(item), frozenset(answers))


def judge(rule: Rule, case: Case) -> Iterator[Judgement]:
    """What the rule comes to, once for each item that it speaks of, or once for the plan."""
    of_each = rule.text.for_each
    if of_each is None:
        yield _judged(rule, None, case)
        return
    for item in items(case.trace.plan, of_each):
        yield _judged(rule, item, case)


def _judged(rule: Rule, item: Item | None, case: Case) -> Judgement:
    evaluation = case.evaluation(item)
    if rule.applies is not None and evaluation.column(rule.applies).truth(0) is Truth.FALSE:
        return Judgement(rule, item, Outcome.NOT_APPLICABLE)
    truth, path = _worst(rule, evaluation)
    if truth is Truth.TRUE:
        return Judgement(rule, item, Outcome.KEPT)
    first, samples = _where(rule, evaluation, path, truth)
    if truth is Truth.FALSE:
        return Judgement(rule, item, Outcome.BROKEN, path, samples)
    names = blamed(rule.demand, evaluation, first)
    decided, names = _tried(rule, item, case, names, first)
    if decided is Truth.TRUE:
        return Judgement(rule, item, Outcome.KEPT)
    return Judgement(rule, item, OUTCOME[decided], path, samples, names)


def _worst(rule: Rule, evaluation: Evaluation) -> tuple[Truth, int]:
    """The least favourable truth of the rule over its paths, and the first path that has it."""
    column, timeline = evaluation.column(rule.demand), evaluation.timeline
    starts = timeline.starts if rule.text.paths == "every" else 1
    if failing := starts & ~column.possible:
        return Truth.FALSE, timeline.path_of(_lowest(failing))
    if open_ := starts & ~column.certain:
        return Truth.UNKNOWN, timeline.path_of(_lowest(open_))
    return Truth.TRUE, 0


def _lowest(mask: int) -> int:
    return (mask & -mask).bit_length() - 1


def _where(rule: Rule, evaluation: Evaluation, path: int, truth: Truth) -> tuple[int, tuple[int, ...]]:
    """The first sample of the path, and the positions within it at which the rule fails."""
    first = evaluation.timeline.samples_of(path)[0]
    found = witnesses(rule.demand, evaluation, path, truth)
    return first, tuple(sample - first for sample in found)


def _tried(rule: Rule, item: Item | None, case: Case, names: frozenset[str], first: int
           ) -> tuple[Truth, frozenset[str]]:
    """What the rule comes to when every combination of the few possible answers agrees.

    Otherwise the truth stays unknown, and the names are those of which some answer changes something.
    """
    choices = {name: _answers(name) for name in sorted(names) if _answers(name)}
    if not choices or prod(map(len, choices.values())) > MOST_TRIALS:
        return Truth.UNKNOWN, names
    outcomes = {
        _worst(rule, case.answered(item, dict(zip(choices, answers, strict=True))))[0]
        for answers in product(*choices.values())
    }
    if len(outcomes) == 1 and Truth.UNKNOWN not in outcomes:
        return outcomes.pop(), frozenset()
    return Truth.UNKNOWN, frozenset(
        name for name in names
        if name not in choices or any(_changes(rule, item, case, name, answer, names, first) for answer in choices[name])
    )


def _changes(rule: Rule, item: Item | None, case: Case, name: str, answer: Value, names: frozenset[str],
             first: int) -> bool:
    evaluation = case.answered(item, {name: answer})
    return (_worst(rule, evaluation)[0] is not Truth.UNKNOWN
            or blamed(rule.demand, evaluation, first) != names - {name})


def _answers(name: str) -> tuple[Value, ...]:
    """What a fact can be, where that is one of a few and the same throughout; else nothing."""
    fact = FACTS.get(name)
    if fact is None or not fact.asks or not (fact.scope == "plan" or (fact.scope in ITEM_KINDS and fact.constant)):
        return ()
    match fact.kind:
        case TruthKind():
            return (Truth.TRUE, Truth.FALSE)
        case WordKind(words=words):
            return words
        case _:
            return ()
