"""Why a formula is not kept: the samples that break it, and the facts that would decide it."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from auditor.logic.evaluate import Evaluation
from auditor.logic.nodes import (
    And,
    Comparison,
    Expression,
    Fact,
    Implies,
    IsWord,
    Node,
    SameWord,
    Temporal,
    parts_of,
)
from auditor.logic.operators import OPERATORS, Bound
from auditor.logic.temporal import eventually, once, perhaps_within, since, until
from auditor.logic.timeline import Timeline, samples_in
from auditor.logic.truth import Truth


def witnesses(expression: Expression, evaluation: Evaluation, path: int, outcome: Truth) -> tuple[int, ...]:
    """The samples, in order, at which a formula read at the first sample of a path comes to `outcome`.

    FALSE asks for the samples that break it, UNKNOWN for those that leave it open. They are told for what
    must hold `always` or `never`, alone, joined by `and`, or nested; () stands for the whole path: the
    formula speaks of no samples of its own, or has another outcome.
    """
    start = 1 << evaluation.timeline.samples_of(path)[0]
    return tuple(samples_in(_breaking(expression.root, evaluation, start, outcome, lasting=False)))


def _breaking(node: Node, evaluation: Evaluation, asked: int, outcome: Truth, *, lasting: bool) -> int:
    """The samples to blame when the node is asked for at the samples of a mask and comes to `outcome` there.

    `lasting` says that it stands under `always`, so that a sample where it fails is a witness in its own
    right.
    """
    asked &= _where(node, evaluation, outcome)
    match node:
        case Temporal(operator="always", operands=(body,)):
            return _breaking(body, evaluation, once(evaluation.timeline, asked), outcome, lasting=True)
        case Temporal(operator="never", operands=(body,)):
            return once(evaluation.timeline, asked) & _where(body, evaluation, ~outcome)
        case And(operands=operands):
            return _union(_breaking(each, evaluation, asked, outcome, lasting=lasting) for each in operands)
        case Implies(right=right):
            # with the left side open, a right side that is false leaves the whole open too
            outcomes = (Truth.FALSE,) if outcome is Truth.FALSE else (Truth.FALSE, Truth.UNKNOWN)
            return _union(_breaking(right, evaluation, asked, each, lasting=lasting) for each in outcomes)
        case _:
            return asked if lasting else 0


def _where(node: Node, evaluation: Evaluation, outcome: Truth) -> int:
    column = evaluation.column(node)
    match outcome:
        case Truth.TRUE:
            return column.certain
        case Truth.UNKNOWN:
            return column.unknown
        case Truth.FALSE:
            return evaluation.timeline.all & ~column.possible


def _union(masks: Iterable[int]) -> int:
    result = 0
    for mask in masks:
        result |= mask
    return result


def blamed(expression: Expression, evaluation: Evaluation, sample: int) -> frozenset[str]:
    """The facts that are not stated and on which the value of a formula at a sample depends.

    None when the value is definite, and none below a part that does not matter: nothing under an `or` with a
    true side. Under an operator of time, a fact counts at the samples that the operator looks at. A number
    that is stated, but too widely to decide, is not blamed.
    """
    return frozenset(_blamed(expression.root, evaluation, 1 << sample))


def _blamed(node: Node, evaluation: Evaluation, asked: int) -> set[str]:
    """The facts to blame when the node is asked for at the samples of a mask."""
    asked &= evaluation.column(node).unknown
    if not asked:
        return set()
    match node:
        case Fact() | IsWord() | SameWord() | Comparison():
            return _unstated(node, evaluation, asked)
        case Temporal():
            seen = _seen(node, evaluation, asked)
            names = {name for operand in node.operands for name in _blamed(operand, evaluation, seen)}
            return names if node.bound is None else names | _unstated(node.bound, evaluation, asked)
        case _:
            return {name for child in node.children for name in _blamed(child, evaluation, asked)}


def _unstated(node: Node, evaluation: Evaluation, asked: int) -> set[str]:
    names = {part.name for part in parts_of(node) if isinstance(part, Fact)}
    return {name for name in names if evaluation.unstated(name) & asked}


# Which samples an operator of time looks at when it is asked for at the samples of a mask


def _seen(node: Temporal, evaluation: Evaluation, asked: int) -> int:
    look, timeline = _LOOKS[node.operator], evaluation.timeline
    kept = evaluation.column(node.operands[0]).possible
    if node.bound is None or OPERATORS[node.operator].bound is not Bound.WITHIN:
        return look(timeline, kept, asked)
    return _union(
        1 << seen
        for limit, where in evaluation.numbers(node.bound)
        for sample in samples_in(asked & where)
        for seen in samples_in(look(timeline, kept, 1 << sample))
        if perhaps_within(timeline, min(seen, sample), max(seen, sample), limit)
    )


def _back(timeline: Timeline, kept: int, asked: int) -> int:
    return eventually(timeline, asked)


def _back_while_kept(timeline: Timeline, kept: int, asked: int) -> int:
    return until(timeline, kept >> 1, asked)  # one step back is taken where the first operand may hold


def _one_back(timeline: Timeline, kept: int, asked: int) -> int:
    return (asked & ~timeline.starts) >> 1


def _here_and_one_back(timeline: Timeline, kept: int, asked: int) -> int:
    return asked | _one_back(timeline, kept, asked)


def _ahead(timeline: Timeline, kept: int, asked: int) -> int:
    return once(timeline, asked)


def _ahead_while_kept(timeline: Timeline, kept: int, asked: int) -> int:
    return since(timeline, kept << 1, asked)


def _last(timeline: Timeline, kept: int, asked: int) -> int:
    return once(timeline, asked) & timeline.ends


_LOOKS: dict[str, Callable[[Timeline, int, int], int]] = {
    "once": _back,
    "historically": _back,
    "since": _back_while_kept,
    "previously": _one_back,
    "begins": _here_and_one_back,
    "ends": _here_and_one_back,
    "first": _back,
    "for_at_least": _back_while_kept,
    "always": _ahead,
    "never": _ahead,
    "eventually": _ahead,
    "until": _ahead_while_kept,
    "at_end": _last,
}
