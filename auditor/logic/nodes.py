"""The parts of a formula. Equal parts have equal `canonical` texts, wherever they stand."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from sys import intern

from msgspec import Struct

from auditor.logic.dimension import Dimension
from auditor.logic.interval import Interval
from auditor.logic.kinds import TRUTH, Kind, NumberKind
from auditor.logic.units import base_unit


class Node(Struct, frozen=True, dict=True):
    """A part of a formula, from `column` (1-based) of its text on; where it stands makes no difference between nodes."""

    column: int

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and self.canonical == other.canonical

    def __hash__(self) -> int:
        return hash(self.canonical)

    @cached_property
    def canonical(self) -> str:
        """Its text, spelled one way whatever way it was written; it reads back as an equal node."""
        return intern(self._spelled())

    @cached_property
    def names(self) -> frozenset[str]:
        """The names of the facts that it reads."""
        return frozenset().union(*(child.names for child in self.children))

    @cached_property
    def height(self) -> int:
        """How many nodes there are on the longest way down, this one included."""
        return 1 + max([child.height for child in self.children], default=0)

    @property
    def children(self) -> tuple[Node, ...]:
        """The parts that it is made of, in the order written."""
        return ()

    @property
    def kind(self) -> Kind:
        """What it is worth: a truth, unless it says otherwise."""
        return TRUTH

    def _spelled(self) -> str:
        raise NotImplementedError


class Fact(Node, frozen=True):
    """A fact, by its name."""

    name: str
    of_kind: Kind

    @cached_property
    def names(self) -> frozenset[str]:
        return frozenset((self.name,))

    @property
    def kind(self) -> Kind:
        return self.of_kind

    def _spelled(self) -> str:
        return self.name


class Number(Node, frozen=True):
    """A number written out, in base units."""

    value: float
    dimension: Dimension

    @property
    def kind(self) -> Kind:
        return NumberKind(self.dimension)

    @property
    def interval(self) -> Interval:
        """The number as a range of one."""
        return Interval.exactly(self.value)

    def _spelled(self) -> str:
        return f"{repr(self.value).removesuffix('.0')} {base_unit(self.dimension)}".rstrip()


class Negative(Node, frozen=True):
    """A number with its sign changed."""

    operand: Node

    @property
    def children(self) -> tuple[Node, ...]:
        return (self.operand,)

    @property
    def kind(self) -> Kind:
        return self.operand.kind

    def _spelled(self) -> str:
        return f"(-{self.operand.canonical})"


class Arithmetic(Node, frozen=True):
    """Two numbers joined by `+`, `-`, `*` or `/`; `dimension` is that of the result."""

    operator: str
    left: Node
    right: Node
    dimension: Dimension

    @property
    def children(self) -> tuple[Node, ...]:
        return (self.left, self.right)

    @property
    def kind(self) -> Kind:
        return NumberKind(self.dimension)

    def _spelled(self) -> str:
        return f"({self.left.canonical} {self.operator} {self.right.canonical})"


class Comparison(Node, frozen=True):
    """Two numbers of one dimension compared by `<=`, `<`, `>=` or `>`."""

    operator: str
    left: Node
    right: Node

    @property
    def children(self) -> tuple[Node, ...]:
        return (self.left, self.right)

    def _spelled(self) -> str:
        return f"({self.left.canonical} {self.operator} {self.right.canonical})"


class IsWord(Node, frozen=True):
    """A fact is one of some words."""

    fact: Fact
    words: tuple[str, ...]

    @property
    def children(self) -> tuple[Node, ...]:
        return (self.fact,)

    def _spelled(self) -> str:
        quoted = ", ".join(f'"{word}"' for word in self.words)
        return f"({self.fact.name} is {quoted if len(self.words) == 1 else f'one of ({quoted})'})"


class SameWord(Node, frozen=True):
    """Two facts are the same word."""

    left: Fact
    right: Fact

    @property
    def children(self) -> tuple[Node, ...]:
        return (self.left, self.right)

    def _spelled(self) -> str:
        return f"({self.left.name} is {self.right.name})"


class Not(Node, frozen=True):
    """Negation."""

    operand: Node

    @property
    def children(self) -> tuple[Node, ...]:
        return (self.operand,)

    def _spelled(self) -> str:
        return f"(not {self.operand.canonical})"


class And(Node, frozen=True):
    """Conjunction of two or more."""

    operands: tuple[Node, ...]

    @property
    def children(self) -> tuple[Node, ...]:
        return self.operands

    def _spelled(self) -> str:
        return f"({' and '.join(operand.canonical for operand in self.operands)})"


class Or(Node, frozen=True):
    """Disjunction of two or more."""

    operands: tuple[Node, ...]

    @property
    def children(self) -> tuple[Node, ...]:
        return self.operands

    def _spelled(self) -> str:
        return f"({' or '.join(operand.canonical for operand in self.operands)})"


class Implies(Node, frozen=True):
    """Where `left` holds, `right` holds."""

    left: Node
    right: Node

    @property
    def children(self) -> tuple[Node, ...]:
        return (self.left, self.right)

    def _spelled(self) -> str:
        return f"({self.left.canonical} -> {self.right.canonical})"


class Stated(Node, frozen=True):
    """Whether a fact is stated: never itself unknown."""

    fact: Fact

    @property
    def children(self) -> tuple[Node, ...]:
        return (self.fact,)

    def _spelled(self) -> str:
        return f"stated({self.fact.name})"


class Temporal(Node, frozen=True):
    """An operator of time (see operators.py) on one or two formulas, with its bound in time if it has one."""

    operator: str
    operands: tuple[Node, ...]
    bound: Node | None

    @property
    def children(self) -> tuple[Node, ...]:
        return self.operands if self.bound is None else (*self.operands, self.bound)

    def _spelled(self) -> str:
        parts = [operand.canonical for operand in self.operands]
        if self.bound is not None:
            parts.append(("" if self.operator == "for_at_least" else "within ") + self.bound.canonical)
        return f"{self.operator}({', '.join(parts)})"


class Expression(Struct, frozen=True):
    """A formula that has been read and checked: `text` as written, and its outermost part."""

    text: str
    root: Node

    @property
    def kind(self) -> Kind:
        """What it is worth."""
        return self.root.kind


def parts_of(node: Node) -> Iterator[Node]:
    """The node and everything below it, outermost first."""
    yield node
    for child in node.children:
        yield from parts_of(child)


def names_in(expression: Expression) -> frozenset[str]:
    """The names of the facts that an expression reads."""
    return expression.root.names
