"""The operators of time: how each is written, and which way its operands push it."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct


class Bound(Enum):
    """Whether an operator takes a bound in time."""

    NONE = "none"
    WITHIN = "optional, after `within`"
    DURATION = "required, as the last operand"


class Operator(Struct, frozen=True):
    """`signs` has one entry for each formula: 1 when making it true can only help, -1 when it can only hurt,
    0 when it may do either; `bound_sign` says the same of a longer bound. `form` shows how it is written."""

    form: str
    signs: tuple[int, ...]
    bound: Bound = Bound.NONE
    bound_sign: int = 0


OPERATORS = {
    # looking back, the present included
    "once": Operator("once(x) or once(x, within 10 min)", (1,), Bound.WITHIN, 1),
    "historically": Operator("historically(x)", (1,)),
    "since": Operator("since(x, y) or since(x, y, within 10 min)", (1, 1), Bound.WITHIN, 1),
    "previously": Operator("previously(x)", (1,)),
    "begins": Operator("begins(x)", (0,)),
    "ends": Operator("ends(x)", (0,)),
    "first": Operator("first(x)", (0,)),
    "for_at_least": Operator("for_at_least(x, 5 min)", (1,), Bound.DURATION, -1),
    # looking ahead, the present included
    "always": Operator("always(x)", (1,)),
    "never": Operator("never(x)", (-1,)),
    "eventually": Operator("eventually(x) or eventually(x, within 10 min)", (1,), Bound.WITHIN, 1),
    "until": Operator("until(x, y)", (1, 1)),
    "at_end": Operator("at_end(x)", (1,)),
}
"""Every operator of time by its name. On a path of samples, at sample i:

once(x)          x at some j <= i (within D: with at most D elapsed from j to i)
historically(x)  x at every j <= i
since(x, y)      y at some j <= i, and x at every k with j < k <= i (within D: at most D from j to i)
previously(x)    x at i - 1; false at the first sample
begins(x)        x and not previously(x)
ends(x)          not x and previously(x)
first(x)         x and not previously(once(x))
for_at_least     x at every k from some j <= i to i, with at least D from j to i
always(x)        x at every j >= i
never(x)         x at no j >= i
eventually(x)    x at some j >= i (within D: with at most D from i to j)
until(x, y)      y at some j >= i, and x at every k with i <= k < j
at_end(x)        x at the last sample of the path

Definitions: Pnueli 1977 and Lichtenstein, Pnueli and Zuck 1985 for the untimed ones, Koymans 1990 for bounds
in time, all on finite traces (De Giacomo and Vardi, IJCAI 2013); from memory.
"""
