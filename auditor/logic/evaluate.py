"""The value of a formula at every sample at once.

A formula over n samples is two integers of n bits (see `Column`), and an operator is a few operations on
them. An operator that only grows with its operands is applied once to the certain bits and once to the
possible bits; negation swaps the two. The definitions are in operators.py; tests/logic/reference.py follows
them word by word and must agree.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from operator import add, mul, sub, truediv
from typing import Any, TypeVar

from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.nodes import (
    And,
    Arithmetic,
    Comparison,
    Expression,
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
from auditor.logic.temporal import COLUMNS, negated
from auditor.logic.timeline import Column, Numbers, Series, Signals, Timeline
from auditor.logic.truth import Truth

_Left = TypeVar("_Left")
_Right = TypeVar("_Right")

_COMPARE = {"<=": Interval.at_most, "<": Interval.below, ">=": Interval.at_least, ">": Interval.above}
_CALCULATE: dict[str, Callable[[Interval, Interval], Interval]] = {"+": add, "-": sub, "*": mul, "/": truediv}


class Evaluation:
    """One plan, replayed: what every formula is worth over its samples.

    Equal parts of all the formulas asked for are evaluated once, and those that cannot change the whole not at all.
    Nothing here raises for a checked formula.

    general: an evaluation in which all facts but the `particular` ones have the same values; what reads none of these is
    evaluated there, once for all.
    """

    def __init__(self, timeline: Timeline, signals: Signals, general: Evaluation | None = None,
                 particular: frozenset[str] = frozenset()) -> None:
        self.timeline = timeline
        self._signals = signals
        self._general = general
        self._particular = particular
        self._columns: dict[str, Column] = {}
        self._numbers: dict[str, Numbers] = {}
        self._values: dict[str, Series] = {}

    def column(self, formula: Expression | Node) -> Column:
        """The truth of a formula, or of a part of one, over all samples."""
        node = formula.root if isinstance(formula, Expression) else formula
        if self._general is not None and self._particular.isdisjoint(node.names):
            return self._general.column(node)
        text = node.canonical
        if text not in self._columns:
            self._columns[text] = _COLUMN[type(node)](self, node)
        return self._columns[text]

    def numbers(self, formula: Expression | Node) -> Numbers:
        """The value of a number over all samples: each range with the mask of the samples where it holds."""
        node = formula.root if isinstance(formula, Expression) else formula
        if self._general is not None and self._particular.isdisjoint(node.names):
            return self._general.numbers(node)
        text = node.canonical
        if text not in self._numbers:
            self._numbers[text] = _NUMBERS[type(node)](self, node)
        return self._numbers[text]

    def values(self, name: str) -> Series:
        """The values of a fact, with None for the samples where nothing at all is said of it."""
        if name not in self._values:
            series = self._signals.get(name, ())
            said = 0
            for _, mask in series:
                said |= mask
            silent = self.timeline.all & ~said
            self._values[name] = (*series, (None, silent)) if silent else series
        return self._values[name]

    def unstated(self, name: str) -> int:
        """The samples at which a fact is not stated."""
        return sum(mask for value, mask in self.values(name) if value in (None, ANYTHING, Truth.UNKNOWN))


# Columns of the parts that are no operators of time


def _fact(evaluation: Evaluation, node: Fact) -> Column:
    certain = impossible = 0
    for value, mask in evaluation.values(node.name):
        if value is Truth.TRUE:
            certain |= mask
        elif value is Truth.FALSE:
            impossible |= mask
    return Column(certain, evaluation.timeline.all & ~impossible)


def _stated(evaluation: Evaluation, node: Stated) -> Column:
    stated = evaluation.timeline.all & ~evaluation.unstated(node.fact.name)
    return Column(stated, stated)


def _is_word(evaluation: Evaluation, node: IsWord) -> Column:
    certain = silent = 0
    for word, mask in evaluation.values(node.fact.name):
        if word is None:
            silent |= mask
        elif word in node.words:
            certain |= mask
    return Column(certain, certain | silent)


def _same_word(evaluation: Evaluation, node: SameWord) -> Column:
    pairs = _together(evaluation.values(node.left.name), evaluation.values(node.right.name))
    return _column(
        (Truth.UNKNOWN if left is None or right is None else Truth.of(left == right), mask) for left, right, mask in pairs
    )


def _comparison(evaluation: Evaluation, node: Comparison) -> Column:
    compare = _COMPARE[node.operator]
    pairs = _together(evaluation.numbers(node.left), evaluation.numbers(node.right))
    return _column((compare(left, right), mask) for left, right, mask in pairs)


def _not(evaluation: Evaluation, node: Not) -> Column:
    return negated(evaluation.timeline, evaluation.column(node.operand))


def _and(evaluation: Evaluation, node: And) -> Column:
    certain = possible = evaluation.timeline.all
    for operand in node.operands:
        if not possible:
            break
        column = evaluation.column(operand)
        certain &= column.certain
        possible &= column.possible
    return Column(certain, possible)


def _or(evaluation: Evaluation, node: Or) -> Column:
    certain = possible = 0
    for operand in node.operands:
        if certain == evaluation.timeline.all:
            break
        column = evaluation.column(operand)
        certain |= column.certain
        possible |= column.possible
    return Column(certain, possible)


def _implies(evaluation: Evaluation, node: Implies) -> Column:
    everywhere = evaluation.timeline.all
    left = evaluation.column(node.left)
    if not left.possible:
        return Column(everywhere, everywhere)
    right = evaluation.column(node.right)
    return Column(everywhere & ~left.possible | right.certain, everywhere & ~left.certain | right.possible)


def _temporal(evaluation: Evaluation, node: Temporal) -> Column:
    operands = tuple(map(evaluation.column, node.operands))
    bound = None if node.bound is None else evaluation.numbers(node.bound)
    return COLUMNS[node.operator](evaluation.timeline, operands, bound)


def _column(truths: Iterator[tuple[Truth, int]]) -> Column:
    certain = possible = 0
    for truth, mask in truths:
        if truth is Truth.TRUE:
            certain |= mask
        if truth is not Truth.FALSE:
            possible |= mask
    return Column(certain, possible)


# Numbers


def _number(evaluation: Evaluation, node: Number) -> Numbers:
    return ((node.interval, evaluation.timeline.all),)


def _number_fact(evaluation: Evaluation, node: Fact) -> Numbers:
    series = evaluation.values(node.name)
    return tuple((value if isinstance(value, Interval) else ANYTHING, mask) for value, mask in series)


def _negative(evaluation: Evaluation, node: Negative) -> Numbers:
    return tuple((-value, mask) for value, mask in evaluation.numbers(node.operand))


def _arithmetic(evaluation: Evaluation, node: Arithmetic) -> Numbers:
    calculate = _CALCULATE[node.operator]
    results: dict[Interval, int] = {}
    for left, right, mask in _together(evaluation.numbers(node.left), evaluation.numbers(node.right)):
        value = calculate(left, right)
        results[value] = results.get(value, 0) | mask
    return tuple(results.items())


def _together(
    left: tuple[tuple[_Left, int], ...], right: tuple[tuple[_Right, int], ...]
) -> Iterator[tuple[_Left, _Right, int]]:
    """The pairs of values that occur at the same samples, each pair once, with those samples."""
    for mine, here in left:
        for yours, there in right:
            if both := here & there:
                yield mine, yours, both
                here ^= both
                if not here:
                    break


_COLUMN: dict[type[Node], Callable[[Evaluation, Any], Column]] = {
    Fact: _fact,
    Stated: _stated,
    IsWord: _is_word,
    SameWord: _same_word,
    Comparison: _comparison,
    Not: _not,
    And: _and,
    Or: _or,
    Implies: _implies,
    Temporal: _temporal,
}

_NUMBERS: dict[type[Node], Callable[[Evaluation, Any], Numbers]] = {
    Number: _number,
    Fact: _number_fact,
    Negative: _negative,
    Arithmetic: _arithmetic,
}
