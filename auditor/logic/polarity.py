"""Which way each fact pushes the outcome of a formula."""

from __future__ import annotations

from collections.abc import Iterator

from auditor.logic.nodes import (
    And,
    Arithmetic,
    Comparison,
    Expression,
    Fact,
    Implies,
    Negative,
    Node,
    Not,
    Or,
    Stated,
    Temporal,
)
from auditor.logic.operators import OPERATORS

_BY_SIGN = {
    "<=": (-1, 1),
    "<": (-1, 1),
    ">=": (1, -1),
    ">": (1, -1),
    "+": (1, 1),
    "-": (1, -1),
    "*": (0, 0),  # depends on the sign of the other factor
    "/": (0, 0),
}


def _signs(node: Node) -> tuple[int, ...]:
    """For each child: 1 when its growth can only help the node, -1 when it can only hurt, 0 when either."""
    match node:
        case Not() | Negative():
            return (-1,)
        case And() | Or():
            return (1,) * len(node.operands)
        case Implies():
            return (-1, 1)
        case Comparison() | Arithmetic():
            return _BY_SIGN[node.operator]
        case Temporal():
            operator = OPERATORS[node.operator]
            return (*operator.signs, operator.bound_sign)
        case _:
            return (0,) * len(node.children)


def signed_parts(node: Node, sign: int = 1) -> Iterator[tuple[Node, int]]:
    """The node and everything below it, each with the way it pushes the outermost: 1, -1, or 0 for either."""
    yield node, sign
    for child, its_sign in zip(node.children, _signs(node), strict=False):  # a bound may be absent
        yield from signed_parts(child, sign * its_sign)


def polarities(expression: Expression) -> dict[str, int]:
    """For each truth or number that an expression reads: 1 when making it true or larger can only help the
    expression to hold, -1 when it can only hurt, 0 when it may do either. Words are always 0."""
    result: dict[str, int] = {}
    for part, sign in signed_parts(expression.root):
        if isinstance(part, Fact):
            result[part.name] = sign if result.get(part.name, sign) == sign else 0
    return result


def misplaced_stated(root: Node, *, trigger: bool) -> Stated | None:
    """The first `stated(...)` that stands where hiding its fact could make the outcome better, if there is
    one.

    `trigger` says that the formula decides whether a rule applies, rather than what it requires.
    """
    parts = signed_parts(root, -1 if trigger else 1)
    return next((part for part, sign in parts if isinstance(part, Stated) and sign != 1), None)
