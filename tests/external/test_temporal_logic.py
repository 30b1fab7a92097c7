"""The operators of time against two outside yardsticks.

1. rtamt, an independent library for monitoring signal temporal logic (Nickovic and Yamaguchi, "RTAMT: Online
Robustness Monitors from STL", ATVA 2020), on the fragment that both can say: and, or, not, implies; once,
historically, since, always, eventually, until, rise (`begins`), with bounds `[0:k]` for `within`.
Differences, which keep the rest of the language out:
   - it answers with a number whose sign is the truth; a 0 has no sign, so every signal here is +1 or -1;
   - `prev` is true at the first sample, `previously` here is false, and `ends` with it;
   - a bounded `historically` is true while the trace is shorter than the bound, `for_at_least` is not;
   - it has no third value and no ranged time: those are checked against the definitions in
     tests/logic/reference.py. 2. The property patterns of Dwyer, Avrunin and Corbett, "Patterns in Property
     Specifications for Finite-State Verification", ICSE 1999: each is said in this language and checked on
     every short trace against its meaning in plain Python.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import product

import pytest
import rtamt
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.logic.evaluate import Evaluation
from auditor.logic.expression import TRUTH, Kind, names_in, parse_expression
from auditor.logic.interval import Interval
from auditor.logic.timeline import Series, Timeline
from auditor.logic.truth import Truth

VOCABULARY: dict[str, Kind] = dict.fromkeys("pqrs", TRUTH)

# Against rtamt

FORMS = (
    ("(not {x})", "(not {x})"),
    ("({x} and {y})", "({x} and {y})"),
    ("({x} or {y})", "({x} or {y})"),
    ("({x} -> {y})", "({x} -> {y})"),
    ("once({x})", "(once {x})"),
    ("once({x}, within {d} s)", "(once[0:{d}] {x})"),
    ("historically({x})", "(historically {x})"),
    ("since({x}, {y})", "({x} since {y})"),
    ("since({x}, {y}, within {d} s)", "({x} since[0:{d}] {y})"),
    ("begins({x})", "(rise({x}))"),
    ("always({x})", "(always {x})"),
    ("never({x})", "(always (not {x}))"),
    ("eventually({x})", "(eventually {x})"),
    ("eventually({x}, within {d} s)", "(eventually[0:{d}] {x})"),
    ("until({x}, {y})", "({x} until {y})"),
)

Pair = tuple[str, str]


def _joined(forms: Pair, x: Pair, y: Pair, d: int) -> Pair:
    ours, theirs = forms
    return ours.format(x=x[0], y=y[0], d=d), theirs.format(x=x[1], y=y[1], d=d)


PAIRS: st.SearchStrategy[Pair] = st.recursive(
    st.sampled_from([("p", "(p >= 0)"), ("q", "(q >= 0)")]),
    lambda inner: st.builds(_joined, st.sampled_from(FORMS), inner, inner, st.integers(0, 4)),
    max_leaves=4,
)
TRACES = st.integers(2, 8).flatmap(lambda n: st.lists(st.tuples(st.booleans(), st.booleans()), min_size=n, max_size=n))


@settings(max_examples=150, deadline=None)
@given(PAIRS, TRACES)
def test_an_independent_monitor_gives_the_same_answer_at_every_sample(pair: Pair, trace: list[tuple[bool, bool]]) -> None:
    ours, theirs = pair
    monitor = rtamt.StlDiscreteTimeOfflineSpecification()
    for name in "pq":
        monitor.declare_var(name, "float")
    monitor.spec = theirs
    monitor.parse()
    signals = {name: [1.0 if sample[k] else -1.0 for sample in trace] for k, name in enumerate("pq")}
    robustness = monitor.evaluate({"time": list(range(len(trace))), **signals})

    masks = {name: mask_of(sample[k] for sample in trace) for k, name in enumerate("pq")}
    column = evaluation(timeline_of([len(trace)], seconds=1), masks).column(parse_expression(ours, VOCABULARY))
    assert [column.truth(i) for i in range(len(trace))] == [Truth.of(value > 0) for _, value in robustness]


def mask_of(bits: Iterator[bool]) -> int:
    return int("".join("1" if bit else "0" for bit in bits)[::-1], 2)


def timeline_of(lengths: Sequence[int], seconds: float) -> Timeline:
    start, later = Interval.exactly(0), Interval.exactly(seconds)
    return Timeline(tuple(lengths), tuple(gap for length in lengths for gap in (start, *[later] * (length - 1))))


def evaluation(timeline: Timeline, masks: dict[str, int]) -> Evaluation:
    signals: dict[str, Series] = {
        name: ((Truth.TRUE, mask), (Truth.FALSE, timeline.all & ~mask)) for name, mask in masks.items()
    }
    return Evaluation(timeline, signals)


# Against the property patterns

Trace = tuple[frozenset[str], ...]


@cache
def every_trace(names: str, longest: int) -> list[Trace]:
    states = [frozenset(filter(None, state)) for state in product(*(("", name) for name in names))]
    return [trace for length in range(1, longest + 1) for trace in product(states, repeat=length)]


def kept(text: str, traces: list[Trace]) -> list[bool]:
    """Whether a formula holds of each trace: many traces are paths of one timeline, and answered at once."""
    formula = parse_expression(text, VOCABULARY)
    result = []
    for at in range(0, len(traces), 1000):
        batch = traces[at : at + 1000]
        masks = {name: mask_of(name in state for trace in batch for state in trace) for name in names_in(formula)}
        runs = evaluation(timeline_of([len(trace) for trace in batch], seconds=1), masks)
        column = runs.column(formula)
        result += [column.truth(runs.timeline.samples_of(path)[0]) is Truth.TRUE for path in range(len(batch))]
    return result


# What a scope is: the stretches of a trace in which a pattern is asked for.


def globally(trace: Trace) -> Iterator[Trace]:
    yield trace


def before_r(trace: Trace) -> Iterator[Trace]:
    """What comes before the first r; nothing is asked of a trace without one."""
    for i, state in enumerate(trace):
        if "r" in state:
            yield trace[:i]
            return


def after_q(trace: Trace) -> Iterator[Trace]:
    """From the first q on."""
    for i, state in enumerate(trace):
        if "q" in state:
            yield trace[i:]
            return


def after_q_until_r(trace: Trace) -> Iterator[Trace]:
    """From every q to the next r, or to the end if there is none."""
    for i, state in enumerate(trace):
        if "q" in state and "r" not in state:
            closing = (j for j in range(i, len(trace)) if "r" in trace[j])
            yield trace[i : next(closing, len(trace))]


def between_q_and_r(trace: Trace) -> Iterator[Trace]:
    """From every q to the next r, if there is one."""
    last = max((j for j, state in enumerate(trace) if "r" in state), default=0)
    return after_q_until_r(trace[: last + 1] if last else ())


# What a pattern is, in one stretch.


def absence(stretch: Trace) -> bool:
    return not any("p" in state for state in stretch)


def universality(stretch: Trace) -> bool:
    return all("p" in state for state in stretch)


def existence(stretch: Trace) -> bool:
    return any("p" in state for state in stretch)


def at_most_two(stretch: Trace) -> bool:
    """p comes to hold at most twice."""
    starts = [i for i, state in enumerate(stretch) if "p" in state and (i == 0 or "p" not in stretch[i - 1])]
    return len(starts) <= 2


def precedence(stretch: Trace) -> bool:
    """No p before the first s."""
    return all("p" not in state or any("s" in earlier for earlier in stretch[: i + 1]) for i, state in enumerate(stretch))


def response(stretch: Trace) -> bool:
    """After every p an s."""
    return all("p" not in state or any("s" in later for later in stretch[i:]) for i, state in enumerate(stretch))


INSIDE = "since(not r, q and not r)"  # within a scope that q opened and no r has closed
WANTING_P = "since(not p and not r, q and not r and not p)"  # inside a scope that has had no p
WANTING_S = "since(not s and not r, q and not r and not s)"  # inside a scope that has had no s
UNANSWERED = "since(not s, p and not s)"
UNANSWERED_AFTER = "since(not s, p and not s and once(q))"
UNANSWERED_INSIDE = f"since(not s and not r, p and not s and {INSIDE})"
THIRD = "begins(p) and previously(once(begins(p) and previously(once(begins(p)))))"
THIRD_AFTER = THIRD.replace("begins(p)", "begins(p and once(q))")
START_INSIDE = f"begins(p and {INSIDE})"
SECOND_INSIDE = f"{START_INSIDE} and previously(since(not r, {START_INSIDE}))"
THIRD_INSIDE = f"{START_INSIDE} and previously(since(not r, {SECOND_INSIDE}))"

Scope = Callable[[Trace], Iterator[Trace]]
Pattern = Callable[[Trace], bool]

SAID: dict[tuple[Pattern, Scope], str] = {
    (absence, globally): "never(p)",
    (absence, before_r): "always(first(r) -> not previously(once(p)))",
    (absence, after_q): "always(once(q) -> not p)",
    (absence, between_q_and_r): f"always(r -> not previously(since(not r, p and {INSIDE})))",
    (absence, after_q_until_r): f"always({INSIDE} -> not p)",
    (universality, globally): "always(p)",
    (universality, before_r): "always(first(r) -> not previously(once(not p)))",
    (universality, after_q): "always(once(q) -> p)",
    (universality, between_q_and_r): f"always(r -> not previously(since(not r, not p and {INSIDE})))",
    (universality, after_q_until_r): f"always({INSIDE} -> p)",
    (existence, globally): "eventually(p)",
    (existence, before_r): "always(first(r) -> previously(once(p)))",
    (existence, after_q): "at_end(once(q) -> once(p and once(q)))",
    (existence, between_q_and_r): f"always(r -> not previously({WANTING_P}))",
    (existence, after_q_until_r): f"always(r -> not previously({WANTING_P})) and at_end(not {WANTING_P})",
    (at_most_two, globally): f"never({THIRD})",
    (at_most_two, before_r): f"always(first(r) -> not previously(once({THIRD})))",
    (at_most_two, after_q): f"never({THIRD_AFTER})",
    (at_most_two, between_q_and_r): f"always(r -> not previously(since(not r, {THIRD_INSIDE})))",
    (at_most_two, after_q_until_r): f"never({THIRD_INSIDE})",
    (precedence, globally): "always(p -> once(s))",
    (precedence, before_r): "always(first(r) -> not previously(once(p and not once(s))))",
    (precedence, after_q): "always(p and once(q) -> once(s and once(q)))",
    (precedence, between_q_and_r): f"always(r -> not previously(since(not r, p and {WANTING_S})))",
    (precedence, after_q_until_r): f"never(p and {WANTING_S})",
    (response, globally): "always(p -> eventually(s))",
    (response, before_r): f"always(first(r) -> not previously({UNANSWERED}))",
    (response, after_q): f"at_end(not {UNANSWERED_AFTER})",
    (response, between_q_and_r): f"always(r -> not previously({UNANSWERED_INSIDE}))",
    (response, after_q_until_r): (f"always(r -> not previously({UNANSWERED_INSIDE})) and at_end(not {UNANSWERED_INSIDE})"),
}


@pytest.mark.parametrize(("pattern", "scope"), SAID, ids=[f"{pattern.__name__}-{scope.__name__}" for pattern, scope in SAID])
def test_a_property_pattern_can_be_said(pattern: Pattern, scope: Scope) -> None:
    text = SAID[pattern, scope]
    names = "".join(sorted(names_in(parse_expression(text, VOCABULARY))))
    longest = 6 if len(names) < 3 or pattern is at_most_two else 4  # a third p and the r after it need six
    traces = every_trace(names, longest)
    expected = [all(pattern(stretch) for stretch in scope(trace)) for trace in traces]
    assert kept(text, traces) == expected
    assert True in expected
    assert False in expected
