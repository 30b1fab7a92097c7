"""Three truth values: true, false, and not stated."""

from __future__ import annotations

from enum import Enum


class Truth(Enum):
    """A truth value of strong three-valued logic (Kleene, Introduction to Metamathematics, 1952, section 64).

    `&`, `|`, `~` and `implies` give a definite value as soon as the definite operands alone force it,
    whatever the others turn out to be. No value is taken for a Python truth: `if truth:` raises TypeError.
    """

    FALSE = 0
    UNKNOWN = 1
    TRUE = 2

    @staticmethod
    def of(value: bool) -> Truth:
        """TRUE or FALSE, for a Python truth."""
        return Truth.TRUE if value else Truth.FALSE

    @staticmethod
    def stated(value: bool | None) -> Truth:
        """TRUE or FALSE for what is stated, UNKNOWN for None."""
        return Truth.UNKNOWN if value is None else Truth.of(value)

    # In the order false < unknown < true, conjunction is the lesser, disjunction the greater, negation the
    # mirror.

    def __and__(self, other: Truth) -> Truth:
        return self if self._value_ <= other._value_ else other

    def __or__(self, other: Truth) -> Truth:
        return self if self._value_ >= other._value_ else other

    def __invert__(self) -> Truth:
        return _MIRROR[self._value_]

    def implies(self, other: Truth) -> Truth:
        """Material implication: `~self | other`."""
        return ~self | other

    __hash__ = object.__hash__

    def __bool__(self) -> bool:
        raise TypeError("a three-valued truth is not a Python truth; compare it with Truth.TRUE, FALSE or UNKNOWN")


_MIRROR = (Truth.TRUE, Truth.UNKNOWN, Truth.FALSE)
