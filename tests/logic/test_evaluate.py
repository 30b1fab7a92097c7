"""Operators of time on small paths, written out.

`1` is true, `0` false, `?` not stated, `|` stands between paths, and a sample lasts one second.
"""

from __future__ import annotations

import pytest

from auditor.logic.evaluate import Evaluation
from auditor.logic.expression import TRUTH, Kind, NumberKind, WordKind, parse_expression
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.quantity import DIMENSIONS
from auditor.logic.timeline import Series, Timeline
from auditor.logic.truth import Truth

ONE = Interval(1, 1)
SHOWN = {"1": Truth.TRUE, "0": Truth.FALSE, "?": Truth.UNKNOWN}
VOCABULARY: dict[str, Kind] = {
    "x": TRUTH,
    "y": TRUTH,
    "v": NumberKind(DIMENSIONS["voltage"]),
    "w": WordKind(("hot", "cold")),
}


def seconds(*lengths: int, second: Interval = ONE) -> Timeline:
    return Timeline(lengths, tuple(second if i else Interval(0, 0) for length in lengths for i in range(length)))


def series(text: str) -> Series:
    samples = text.replace("|", "")
    return tuple((truth, sum(1 << i for i, shown in enumerate(samples) if SHOWN[shown] is truth)) for truth in Truth)


def read(formula: str, x: str, y: str = "", second: Interval = ONE) -> str:
    lengths = [len(path) for path in x.split("|")]
    evaluation = Evaluation(seconds(*lengths, second=second), {"x": series(x), "y": series(y)})
    column = evaluation.column(parse_expression(formula, VOCABULARY))
    letters = {truth: letter for letter, truth in SHOWN.items()}
    samples = iter([letters[column.truth(i)] for i in range(sum(lengths))])
    return "|".join("".join(next(samples) for _ in range(length)) for length in lengths)


@pytest.mark.parametrize(
    ("formula", "x", "expected"),
    [
        ("once(x)", "0010|000", "0011|000"),
        ("once(x)", "0?10", "0?11"),
        ("once(x, within 1 s)", "100010", "110011"),
        ("historically(x)", "1101|11", "1100|11"),
        ("previously(x)", "101|10", "010|01"),
        ("begins(x)", "1101|1", "1001|1"),
        ("ends(x)", "0100|00", "0010|00"),
        ("first(x)", "0101|11", "0100|10"),
        ("first(x)", "?1", "??"),
        ("for_at_least(x, 2 s)", "11110111", "00110001"),
        ("always(x)", "0111|10", "0111|00"),
        ("never(x)", "0100|00", "0011|11"),
        ("eventually(x)", "0100|01", "1100|11"),
        ("eventually(x, within 1 s)", "00010", "00110"),
        ("at_end(x)", "001|10", "111|00"),
        ("at_end(x)", "00?", "???"),
    ],
)
def test_an_operator_on_one_formula(formula: str, x: str, expected: str) -> None:
    assert read(formula, x) == expected


@pytest.mark.parametrize(
    ("formula", "x", "y", "expected"),
    [
        ("since(x, y)", "011011", "100010", "111011"),
        ("since(x, y)", "111|111", "010|000", "011|000"),
        ("since(x, y)", "0?1", "100", "1??"),
        ("since(x, y, within 1 s)", "0111", "1000", "1100"),
        ("until(x, y)", "110110", "001000", "111000"),
        ("until(x, y)", "11|11", "00|01", "00|11"),
    ],
)
def test_an_operator_on_two_formulas(formula: str, x: str, y: str, expected: str) -> None:
    assert read(formula, x, y) == expected


def test_a_ranged_time_leaves_open_what_it_cannot_decide() -> None:
    assert read("once(x, within 3 s)", "10000", second=Interval(1, 2)) == "11??0"
    assert read("for_at_least(x, 3 s)", "11111", second=Interval(1, 2)) == "00?11"


def test_a_time_at_its_bound_is_within_it() -> None:
    assert read("once(x, within 0.3 s)", "10000", second=Interval(0.1, 0.1)) == "11110"


def test_numbers_are_compared_sample_by_sample() -> None:
    volts: Series = ((Interval(0, 10), 0b001), (Interval(9, 12), 0b010), (ANYTHING, 0b100))
    evaluation = Evaluation(seconds(3), {"v": volts})
    column = evaluation.column(parse_expression("v <= 10 V", VOCABULARY))
    assert [column.truth(i) for i in range(3)] == [Truth.TRUE, Truth.UNKNOWN, Truth.UNKNOWN]


def test_a_fact_of_which_nothing_is_said_is_not_stated() -> None:
    evaluation = Evaluation(seconds(2), {"w": (("hot", 0b01),)})
    for formula, expected in [
        ("x", "??"),
        ("v < 5 V", "??"),
        ("w is hot", "1?"),
        ("stated(w)", "10"),
        ("stated(x) or stated(v)", "00"),
    ]:
        column = evaluation.column(parse_expression(formula, VOCABULARY))
        assert [column.truth(i) for i in range(2)] == [SHOWN[letter] for letter in expected], formula


def test_equal_parts_of_different_formulas_are_evaluated_once() -> None:
    evaluation = Evaluation(seconds(2), {"x": series("10")})
    one = evaluation.column(parse_expression("once(x)", VOCABULARY))
    root = parse_expression("always( once( (x) ) )", VOCABULARY).root
    assert evaluation.column(root.children[0]) is one
