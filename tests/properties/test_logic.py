"""What must hold of the logic whatever the formula, the plan and the numbers."""

from __future__ import annotations

from math import inf
from time import process_time

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from auditor.logic.explain import blamed, witnesses
from auditor.logic.expression import ExpressionError, NumberKind, parse_expression
from auditor.logic.interval import ANYTHING, TOLERANCE, Interval
from auditor.logic.quantity import DIMENSIONS, QuantityError, format_quantity, parse_quantity
from auditor.logic.timeline import Column
from auditor.logic.truth import Truth
from tests.logic import reference
from tests.logic.formulas import FORMULAS, NUMBERS, PATHS, VOCABULARY, evaluation_of
from tests.logic.reference import Path

# Formulas


def truths(text: str, paths: list[Path]) -> list[Truth]:
    column = evaluation_of(paths).column(parse_expression(text, VOCABULARY))
    return [column.truth(i) for i in range(sum(len(path.samples) for path in paths))]


@settings(max_examples=600, deadline=None)
@given(FORMULAS, PATHS)
def test_the_fast_evaluator_agrees_with_the_definitions(text: str, paths: list[Path]) -> None:
    root = parse_expression(text, VOCABULARY).root
    expected = [reference.truth(root, path, i) for path in paths for i in range(len(path.samples))]
    assert truths(text, paths) == expected


@settings(max_examples=100, deadline=None)
@given(NUMBERS, PATHS)
def test_numbers_are_those_of_the_definitions_at_every_sample(text: str, paths: list[Path]) -> None:
    expression = parse_expression(text, VOCABULARY, expects=NumberKind(DIMENSIONS["voltage"]))
    numbers = evaluation_of(paths).numbers(expression)
    expected = [reference.number(expression.root, path, i) for path in paths for i in range(len(path.samples))]
    for i, value in enumerate(expected):
        assert [number for number, mask in numbers if mask >> i & 1] == [value]


@settings(max_examples=100, deadline=None)
@given(FORMULAS, PATHS)
def test_what_is_certain_is_possible_and_nothing_lies_outside_the_samples(text: str, paths: list[Path]) -> None:
    evaluation = evaluation_of(paths)
    column = evaluation.column(parse_expression(text, VOCABULARY))
    assert column == Column(column.certain & column.possible, column.possible & evaluation.timeline.all)


@settings(max_examples=100, deadline=None)
@given(FORMULAS, PATHS)
def test_a_path_is_worth_the_same_with_and_without_others_beside_it(text: str, paths: list[Path]) -> None:
    assert truths(text, paths) == [truth for path in paths for truth in truths(text, [path])]


def refined(sample: reference.Sample, data: st.DataObject) -> reference.Sample:
    """The sample with something said where nothing was, and ranges narrowed to one of their ends."""
    result = dict(sample)
    for name, value in sample.items():
        if name in "pq" and value in (None, Truth.UNKNOWN):
            result[name] = data.draw(st.sampled_from([value, Truth.TRUE, Truth.FALSE]))
        elif name in ("chassis", "cabinet") and value is None:
            result[name] = data.draw(st.sampled_from([None, "hot", "isolated"]))
        elif isinstance(value, Interval) or value is None:
            ends = value or ANYTHING
            finite = [end for end in (ends.low, ends.high) if abs(end) != inf] or [1.0]
            result[name] = data.draw(st.sampled_from([value, *map(Interval.exactly, finite)]))
    return result


@settings(max_examples=300, deadline=None)
@given(FORMULAS, PATHS, st.data())
def test_saying_more_never_changes_a_definite_outcome(text: str, paths: list[Path], data: st.DataObject) -> None:
    more = [
        Path(
            tuple(refined(sample, data) for sample in path.samples),
            tuple(data.draw(st.sampled_from([gap, Interval.exactly(gap.low)])) for gap in path.gaps),
        )
        for path in paths
    ]
    for before, after in zip(truths(text, paths), truths(text, more), strict=True):
        assert before in (Truth.UNKNOWN, after)


@settings(max_examples=200, deadline=None)
@given(FORMULAS, PATHS)
def test_only_an_open_outcome_blames_a_fact_and_only_one_that_is_not_stated(text: str, paths: list[Path]) -> None:
    expression, evaluation = parse_expression(text, VOCABULARY), evaluation_of(paths)
    column = evaluation.column(expression)
    for i in range(evaluation.timeline.all.bit_length()):
        names = blamed(expression, evaluation, i)
        assert not names or column.truth(i) is Truth.UNKNOWN
        assert all(evaluation.unstated(name) for name in names)


@settings(max_examples=300, deadline=None)
@given(FORMULAS, PATHS, st.data())
def test_a_fact_that_is_not_blamed_cannot_decide_an_open_outcome(text: str, paths: list[Path], data: st.DataObject) -> None:
    assume(truths(text, paths)[0] is Truth.UNKNOWN)
    names = blamed(parse_expression(text, VOCABULARY), evaluation_of(paths), 0)

    def told(sample: reference.Sample) -> reference.Sample:
        more = refined(sample, data)
        settled = {name for name in sample if name in names or reference.is_stated(sample[name])}
        return {name: sample[name] if name in settled else more[name] for name in sample}

    more = [Path(tuple(told(sample) for sample in path.samples), path.gaps) for path in paths]
    assert truths(text, more)[0] is Truth.UNKNOWN


@settings(max_examples=200, deadline=None)
@given(FORMULAS, PATHS)
def test_the_witnesses_of_what_must_always_hold_are_where_it_fails(text: str, paths: list[Path]) -> None:
    body = parse_expression(text, VOCABULARY)
    assume("always" not in text and "never" not in text)
    rule, evaluation = parse_expression(f"always({text})", VOCABULARY), evaluation_of(paths)
    for path in range(len(paths)):
        samples = evaluation.timeline.samples_of(path)
        outcome = evaluation.column(rule).truth(samples[0])
        failing = tuple(i for i in samples if evaluation.column(body).truth(i) is outcome is not Truth.TRUE)
        assert outcome is Truth.TRUE or witnesses(rule, evaluation, path, outcome) == failing != ()


# Texts

SIGNS = [
    ".",
    ",",
    "(",
    ")",
    "->",
    "<",
    ">=",
    "+",
    "-",
    "*",
    "/",
    "%",
    '"',
    "'",
    "\n",
    "\N{FULLWIDTH DIGIT FOUR}",
]
WORDS = [
    "p",
    "dial",
    "hot",
    "V",
    "s",
    "min",
    "1",
    "5",
    "0.1e9",
    "and",
    "or",
    "not",
    "is",
    "one",
    "of",
    "within",
]
CALLS = ["stated", "once", "since", "begins"]
ALPHABET = st.sampled_from([*SIGNS, *WORDS, *CALLS])


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=60), st.lists(ALPHABET, max_size=30).map(" ".join), FORMULAS))
@example("(" * 3000)
@example("(" * 1999)
@example("not " * 499)
@example("-" * 1999 + "1")
@example("p -> " * 399 + "p")
@example("p and " * 330 + "p")
@example("1 + " * 499 + "1 < 2")
@example("1e999 V < dial")
@example("9" * 1900 + " V < dial")
@example("e" * 1999)
@example("\N{FULLWIDTH LATIN SMALL LETTER P}")
def test_any_text_is_a_formula_or_an_error_in_the_text(text: str) -> None:
    started, refused = process_time(), None
    try:
        parse_expression(text, VOCABULARY)
    except ExpressionError as error:
        refused = error
    assert refused is None or (refused.message and 1 <= refused.column <= max(len(text), 2000) + 1)
    assert process_time() - started < 1


@settings(max_examples=300, deadline=None)
@given(FORMULAS)
def test_a_formula_spelled_out_reads_back_as_the_same(text: str) -> None:
    expression = parse_expression(text, VOCABULARY)
    again = parse_expression(expression.root.canonical, VOCABULARY)
    assert again.root == expression.root
    assert again.root.canonical == expression.root.canonical


PIECES = st.sampled_from(["1", "23", "0", ".", "..", " ", "V", "k", "ohm", "min", "h", "e9", "-", "+-", "%", ",", "s"])


@settings(max_examples=500, deadline=None)
@given(
    st.one_of(st.text(max_size=70), st.lists(PIECES, max_size=20).map("".join)),
    st.sampled_from(sorted(DIMENSIONS)),
)
@example("1" * 64, "number")
@example(" " * 64, "number")
@example("1e30 GV", "voltage")
@example("1 " * 32, "time")
def test_any_text_is_a_quantity_or_an_error(text: str, dimension: str) -> None:
    started, refused = process_time(), None
    try:
        parse_quantity(text, DIMENSIONS[dimension])
    except QuantityError as error:
        refused = error
    assert refused is None or refused.message
    assert process_time() - started < 1


MAGNITUDES = st.floats(1e-9, 1e9)
RANGES = st.one_of(
    MAGNITUDES.map(Interval.exactly),
    st.tuples(MAGNITUDES, MAGNITUDES).map(lambda ends: Interval(min(ends), max(ends))),
    MAGNITUDES.map(lambda low: Interval(low, inf)),
    MAGNITUDES.map(lambda high: Interval(-inf, high)),
    MAGNITUDES.map(lambda width: Interval(-width, width)),
)


@given(RANGES, st.sampled_from(sorted(DIMENSIONS)))
def test_a_quantity_that_is_shown_reads_back_to_four_digits(interval: Interval, dimension: str) -> None:
    shown = format_quantity(interval, DIMENSIONS[dimension])
    again = parse_quantity(shown, DIMENSIONS[dimension])
    for end, back in ((interval.low, again.low), (interval.high, again.high)):
        assert back == end or abs(back - end) <= 0.5001e-3 * abs(end)
    assert format_quantity(again, DIMENSIONS[dimension]) == shown


# Intervals

ENDS = st.one_of(st.floats(-1e6, 1e6), st.sampled_from([0.0, 1.0]))
BOUNDED = st.tuples(ENDS, ENDS).map(lambda ends: Interval(min(ends), max(ends)))
INTERVALS = st.one_of(
    BOUNDED,
    ENDS.map(lambda low: Interval(low, inf)),
    ENDS.map(lambda high: Interval(-inf, high)),
    st.just(ANYTHING),
)


def point_in(interval: Interval, share: float) -> float:
    low, high = max(interval.low, -1e9), min(interval.high, 1e9)
    return min(max(low + share * (high - low), low), high)


@settings(max_examples=400)
@given(INTERVALS, INTERVALS, st.floats(0, 1), st.floats(0, 1))
def test_arithmetic_encloses_every_pair_of_points(a: Interval, b: Interval, share: float, other: float) -> None:
    x, y = point_in(a, share), point_in(b, other)
    slack = TOLERANCE * (abs(x) + abs(y) + 1)
    assert (a + b).low - slack <= x + y <= (a + b).high + slack
    assert (a - b).low - slack <= x - y <= (a - b).high + slack
    assert x * y in a * b
    assert -x in -a
    if y != 0:
        assert x / y in a / b


@settings(max_examples=400)
@given(INTERVALS, INTERVALS, st.floats(0, 1), st.floats(0, 1))
def test_a_definite_comparison_holds_for_every_pair_of_points(a: Interval, b: Interval, share: float, other: float) -> None:
    x, y = Interval.exactly(point_in(a, share)), Interval.exactly(point_in(b, other))
    for compare in (Interval.at_most, Interval.below, Interval.at_least, Interval.above):
        assert compare(a, b) in (Truth.UNKNOWN, compare(x, y))


@given(INTERVALS, INTERVALS)
def test_the_meet_lies_in_both_and_both_lie_in_the_hull(a: Interval, b: Interval) -> None:
    hull, meet = a.hull(b), a.meet(b)
    assert hull.meet(a) == a
    assert hull.meet(b) == b
    if meet is None:
        assert Truth.TRUE in (a.below(b), a.above(b))
    else:
        assert meet.hull(a) == a
        assert meet.hull(b) == b
