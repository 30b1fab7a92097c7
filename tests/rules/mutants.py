"""Every small mistake that could be made in writing a rule: the same rule with one part of its formula changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from msgspec.structs import fields, replace

from auditor.bench.facts import FACTS, ITEM_KINDS
from auditor.logic.kinds import NumberKind, TruthKind, WordKind
from auditor.logic.nodes import (
    And,
    Arithmetic,
    Comparison,
    Expression,
    Fact,
    Implies,
    IsWord,
    Node,
    Not,
    Number,
    Or,
    SameWord,
    Stated,
    Temporal,
)
from auditor.rulebook.rule import Limit, Rule

LITTLE = 0.02
"""The share by which a number is moved."""
PROPERTIES = ("plan", *ITEM_KINDS)
"""The scopes of the facts whose lists of words are also lengthened: what a set is, but not the many words of a step."""
TURNED = {"<=": ">=", "<": ">", ">=": "<=", ">": "<"}
SHARPENED = {"<=": "<", "<": "<=", ">=": ">", ">": ">="}
Swap = tuple[Node, Node, str]


@dataclass(frozen=True)
class Mutant:
    """A rule with one mistake in it, and the mistake in words."""

    mistake: str
    rule: Rule


def mutants_of(rule: Rule, limits: dict[str, Limit]) -> Iterator[Mutant]:
    """The rule with every single mistake, each once."""
    applies, holds = _parts(rule)
    seen = {holds.canonical}
    for root in (applies, holds):
        for was, now, mistake in _swaps_in(root, limits) if root is not None else ():
            changed = _exchanged(root, was, now)
            if changed.canonical not in seen:
                seen.add(changed.canonical)
                yield Mutant(mistake, _with(rule, applies, changed) if root is holds else _with(rule, changed, holds))
    if applies is not None:
        yield Mutant("applies_when left out", _with(rule, None, holds))
    if rule.text.paths == "main":
        yield Mutant("asked of every path", replace(rule, text=rule.text.model_copy(update={"paths": "every"})))


def _parts(rule: Rule) -> tuple[Node | None, Node]:
    if rule.applies is None:
        return None, rule.demand.root
    assert isinstance(rule.demand.root, Implies)
    return rule.demand.root.left, rule.demand.root.right


def _with(rule: Rule, applies: Node | None, holds: Node) -> Rule:
    demand = holds if applies is None else Implies(1, applies, holds)
    return replace(rule, applies=None if applies is None else Expression(applies.canonical, applies),
                   demand=Expression(demand.canonical, demand))


def _exchanged(node: Node, was: Node, now: Node) -> Node:
    """The formula with one part, found by identity, put in place of another."""
    if node is was:
        return now
    changed: dict[str, Any] = {}
    for field in fields(node):
        value = getattr(node, field.name)
        if isinstance(value, Node):
            changed[field.name] = _exchanged(value, was, now)
        elif isinstance(value, tuple) and value and isinstance(value[0], Node):
            changed[field.name] = tuple(_exchanged(each, was, now) for each in value)
    return replace(node, **changed)


def _swaps_in(node: Node, limits: dict[str, Limit]) -> Iterator[Swap]:
    for now, mistake in _mistakes(node, limits):
        yield node, now, f"{mistake}: {node.canonical}"
    if not isinstance(node, IsWord | Stated | SameWord):
        for child in node.children:
            yield from _swaps_in(child, limits)


def _mistakes(node: Node, limits: dict[str, Limit]) -> Iterator[tuple[Node, str]]:
    match node:
        case And(operands=operands) | Or(operands=operands):
            for i, each in enumerate(operands):
                rest = operands[:i] + operands[i + 1:]
                yield (rest[0] if len(rest) == 1 else type(node)(node.column, rest)), f"without {each.canonical}"
            other: type[And] | type[Or] = Or if isinstance(node, And) else And
            yield other(node.column, operands), "and for or" if isinstance(node, Or) else "or for and"
        case Implies(left=left, right=right):
            yield right, "without its condition"
            yield Not(node.column, left), "without its consequence"
            yield And(node.column, (left, right)), "and for ->"
        case Not(operand=operand):
            yield operand, "without not"
        case Comparison(operator=sign):
            yield replace(node, operator=TURNED[sign]), f"{TURNED[sign]} for {sign}"
            yield replace(node, operator=SHARPENED[sign]), f"{SHARPENED[sign]} for {sign}"
        case IsWord(fact=fact, words=words):
            yield Not(node.column, node), "negated"
            for word in words if len(words) > 1 else ():
                yield replace(node, words=tuple(each for each in words if each != word)), f"without `{word}`"
            assert isinstance(fact.kind, WordKind)
            for word in fact.kind.words:
                if word not in words and len(words) == 1:
                    yield replace(node, words=(word,)), f"`{word}` in its place"
                if word not in words and FACTS[fact.name].scope in PROPERTIES:
                    yield replace(node, words=tuple(sorted((*words, word)))), f"also `{word}`"
        case SameWord() | Stated():
            yield Not(node.column, node), "negated"
        case Temporal(operands=operands, bound=bound):
            for each in operands:
                yield each, f"only {each.canonical}" if len(operands) > 1 else f"without {node.operator}"
            if bound is not None and node.operator != "for_at_least":
                yield replace(node, bound=None), "without its bound"
        case Arithmetic(left=left, right=right, dimension=dimension):
            yield from ((each, f"only {each.canonical}") for each in (left, right) if each.kind == NumberKind(dimension))
        case Number():
            yield from _moved(node)
        case Fact(name=name) if name.startswith("limit."):
            limit = limits[name.removeprefix("limit.")]
            yield from _moved(Number(node.column, limit.value.low, limit.kind.dimension))
        case Fact() if isinstance(node.kind, TruthKind):
            yield Not(node.column, node), "negated"


def _moved(number: Number) -> Iterator[tuple[Node, str]]:
    yield replace(number, value=number.value * (1 + LITTLE)), "a little more"
    yield replace(number, value=number.value * (1 - LITTLE)), "a little less"
