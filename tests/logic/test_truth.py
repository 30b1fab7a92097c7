"""Strong three-valued logic: Kleene, Introduction to Metamathematics, 1952, section 64 (from memory)."""

from __future__ import annotations

import pytest

from auditor.logic.truth import Truth

T, F, U = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN


@pytest.mark.parametrize(
    ("left", "right", "conjunction", "disjunction", "implication"),
    [
        (T, T, T, T, T),
        (T, F, F, T, F),
        (T, U, U, T, U),
        (F, T, F, T, T),
        (F, F, F, F, T),
        (F, U, F, U, T),
        (U, T, U, T, T),
        (U, F, F, U, U),
        (U, U, U, U, U),
    ],
)
def test_the_tables_of_kleene(left: Truth, right: Truth, conjunction: Truth, disjunction: Truth, implication: Truth) -> None:
    assert left & right is conjunction
    assert left | right is disjunction
    assert left.implies(right) is implication


def test_negation_turns_the_definite_values_and_leaves_the_open_one() -> None:
    assert (~T, ~F, ~U) == (F, T, U)


def test_a_three_valued_truth_is_never_taken_for_a_python_truth() -> None:
    for truth in Truth:
        with pytest.raises(TypeError, match="three-valued"):
            bool(truth)
