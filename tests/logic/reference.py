"""What a formula is worth at one sample, written straight from the textbook definitions.

Slow on purpose: one value at a time, no masks, no memory. It shares nothing with the fast evaluator but the
formulas, the three truths and the intervals. Sources, from memory: Kleene 1952 section 64 for the
connectives; Pnueli 1977 and Lichtenstein, Pnueli and Zuck 1985 for time; Koymans 1990 for bounds in time; De
Giacomo and Vardi 2013 for traces that end.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf

from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.nodes import (
    And,
    Arithmetic,
    Comparison,
    Fact,
    Implies,
    IsWord,
    Negative,
    Node,
    Not,
    Number,
    Or,
    SameWord,
    Stated,
    Temporal,
)
from auditor.logic.truth import Truth

Sample = dict[str, Truth | Interval | str | None]
"""What is stated at a sample: a fact that is absent is not stated."""


@dataclass(frozen=True)
class Path:
    """One finite trace: its samples, and the time in seconds from each sample to the next."""

    samples: tuple[Sample, ...]
    gaps: tuple[Interval, ...]


def some(truths: Iterable[Truth]) -> Truth:
    result = Truth.FALSE
    for truth in truths:
        result = result | truth
    return result


def every(truths: Iterable[Truth]) -> Truth:
    result = Truth.TRUE
    for truth in truths:
        result = result & truth
    return result


def elapsed(path: Path, earlier: int, later: int) -> Interval:
    gaps = path.gaps[earlier:later]
    return Interval(sum(gap.low for gap in gaps), sum((gap.high for gap in gaps), 0.0))


def is_stated(value: Truth | Interval | str | None) -> bool:
    return not (value is None or value is Truth.UNKNOWN or value == Interval(-inf, inf))


def number(node: Node, path: Path, i: int) -> Interval:
    match node:
        case Number():
            return Interval.exactly(node.value)
        case Fact():
            value = path.samples[i].get(node.name)
            return value if isinstance(value, Interval) else ANYTHING
        case Negative():
            return -number(node.operand, path, i)
        case Arithmetic(operator="+"):
            return number(node.left, path, i) + number(node.right, path, i)
        case Arithmetic(operator="-"):
            return number(node.left, path, i) - number(node.right, path, i)
        case Arithmetic(operator="*"):
            return number(node.left, path, i) * number(node.right, path, i)
        case Arithmetic(operator="/"):
            return number(node.left, path, i) / number(node.right, path, i)
    raise AssertionError(node)


def truth(node: Node, path: Path, i: int) -> Truth:
    match node:
        case Fact():
            value = path.samples[i].get(node.name)
            return value if isinstance(value, Truth) else Truth.UNKNOWN
        case Stated():
            return Truth.of(is_stated(path.samples[i].get(node.fact.name)))
        case IsWord():
            word = path.samples[i].get(node.fact.name)
            return Truth.UNKNOWN if word is None else some(Truth.of(word == each) for each in node.words)
        case SameWord():
            left, right = path.samples[i].get(node.left.name), path.samples[i].get(node.right.name)
            return Truth.UNKNOWN if left is None or right is None else Truth.of(left == right)
        case Comparison():
            mine, yours = number(node.left, path, i), number(node.right, path, i)
            match node.operator:
                case "<=":
                    return mine.at_most(yours)
                case "<":
                    return mine.below(yours)
                case ">=":
                    return mine.at_least(yours)
                case ">":
                    return mine.above(yours)
        case Not():
            return ~truth(node.operand, path, i)
        case And():
            return every(truth(operand, path, i) for operand in node.operands)
        case Or():
            return some(truth(operand, path, i) for operand in node.operands)
        case Implies():
            return ~truth(node.left, path, i) | truth(node.right, path, i)
        case Temporal():
            return temporal(node, path, i)
    raise AssertionError(node)


def temporal(node: Temporal, path: Path, i: int) -> Truth:
    before, after = range(i + 1), range(i, len(path.samples))
    bound = ANYTHING if node.bound is None else number(node.bound, path, i)

    def x(j: int) -> Truth:
        return truth(node.operands[0], path, j)

    def y(j: int) -> Truth:
        return truth(node.operands[1], path, j)

    def in_time(j: int) -> Truth:
        return Truth.TRUE if node.bound is None else elapsed(path, min(i, j), max(i, j)).at_most(bound)

    def previously() -> Truth:
        return x(i - 1) if i > 0 else Truth.FALSE

    match node.operator:
        case "once":
            return some(x(j) & in_time(j) for j in before)
        case "historically":
            return every(x(j) for j in before)
        case "since":
            return some(y(j) & every(x(k) for k in range(j + 1, i + 1)) & in_time(j) for j in before)
        case "previously":
            return previously()
        case "begins":
            return x(i) & ~previously()
        case "ends":
            return ~x(i) & previously()
        case "first":
            return x(i) & every(~x(j) for j in range(i))
        case "for_at_least":
            return some(every(x(k) for k in range(j, i + 1)) & elapsed(path, j, i).at_least(bound) for j in before)
        case "always":
            return every(x(j) for j in after)
        case "never":
            return every(~x(j) for j in after)
        case "eventually":
            return some(x(j) & in_time(j) for j in after)
        case "until":
            return some(y(j) & every(x(k) for k in range(i, j)) for j in after)
        case "at_end":
            return x(len(path.samples) - 1)
    raise AssertionError(node)
