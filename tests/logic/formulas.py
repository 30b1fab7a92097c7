"""Random formulas as text, random paths to read them on, and the two put together."""

from __future__ import annotations

from math import inf

from hypothesis import strategies as st

from auditor.logic.evaluate import Evaluation
from auditor.logic.expression import TRUTH, Kind, NumberKind, WordKind
from auditor.logic.interval import ANYTHING, Interval
from auditor.logic.quantity import DIMENSIONS
from auditor.logic.timeline import Series, Timeline, Value
from auditor.logic.truth import Truth
from tests.logic.reference import Path

VOCABULARY: dict[str, Kind] = {
    "p": TRUTH,
    "q": TRUTH,
    "dial": NumberKind(DIMENSIONS["voltage"]),
    "meter": NumberKind(DIMENSIONS["voltage"]),
    "limit.wait": NumberKind(DIMENSIONS["time"]),
    "chassis": WordKind(("hot", "isolated", "unfinished-case")),
    "cabinet": WordKind(("hot", "isolated")),
}

NUMBERS = st.recursive(
    st.sampled_from(["dial", "meter", "2 V", "0 V"]),
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from("+-"), inner).map(lambda parts: f"({' '.join(parts)})"),
        st.tuples(st.sampled_from(["2", "0.5", "1"]), inner).map(lambda parts: f"{parts[0]} * {parts[1]}"),
        inner.map(lambda text: f"{text} / 2"),
        inner.map(lambda text: f"-{text}"),
    ),
    max_leaves=3,
)

ATOMS = st.one_of(
    st.sampled_from(["p", "q", "p", "q", "chassis is hot", "chassis is not isolated", "chassis is cabinet"]),
    st.sampled_from(["chassis is one of (hot, unfinished-case)", "cabinet is isolated", "dial > meter"]),
    st.tuples(NUMBERS, st.sampled_from(["<=", "<", ">=", ">"]), NUMBERS).map(" ".join),
)

BOUNDS = st.sampled_from(["0 s", "1 s", "2 s", "5 s", "limit.wait", "2 * limit.wait"])


_FORMS = (
    "(not {x})",
    "({x} and {y})",
    "({x} or {y})",
    "({x} -> {y})",
    "once({x})",
    "once({x}, within {d})",
    "historically({x})",
    "since({x}, {y})",
    "since({x}, {y}, within {d})",
    "previously({x})",
    "begins({x})",
    "ends({x})",
    "first({x})",
    "for_at_least({x}, {d})",
    "always({x})",
    "never({x})",
    "eventually({x})",
    "eventually({x}, within {d})",
    "until({x}, {y})",
    "at_end({x})",
)


def _grown(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    def one(form: str) -> st.SearchStrategy[str]:
        return st.builds(form.format, x=inner, y=inner, d=BOUNDS)

    return st.sampled_from(_FORMS).flatmap(one)


FORMULAS = st.recursive(ATOMS.map(lambda atom: f"({atom})"), _grown, max_leaves=5)

_TRUTHS = st.sampled_from([*Truth, None])
_VOLTS = st.one_of(
    st.sampled_from([None, ANYTHING, Interval(0, 0), Interval(2, 2), Interval(2, inf), Interval(-inf, 2)]),
    st.tuples(st.integers(-4, 4), st.integers(0, 3)).map(lambda ends: Interval(ends[0], ends[0] + ends[1])),
)
_SAMPLES = st.fixed_dictionaries(
    {
        "p": _TRUTHS,
        "q": _TRUTHS,
        "dial": _VOLTS,
        "meter": _VOLTS,
        "limit.wait": st.sampled_from([None, Interval(0, 1), Interval(2, 2), Interval(1, 4)]),
        "chassis": st.sampled_from(["hot", "isolated", "unfinished-case", None]),
        "cabinet": st.sampled_from(["hot", "isolated", None]),
    }
)
_GAPS = st.sampled_from(
    [Interval(0, 0), Interval(1, 1), Interval(0.1, 0.3), Interval(0, 2), Interval(2, 3), Interval(1, inf)]
)


@st.composite
def _paths(draw: st.DrawFn) -> Path:
    length = draw(st.integers(1, 7))
    samples = draw(st.lists(_SAMPLES, min_size=length, max_size=length))
    gaps = draw(st.lists(_GAPS, min_size=length - 1, max_size=length - 1))
    return Path(tuple(samples), tuple(gaps))


PATHS = st.lists(_paths(), min_size=1, max_size=3)


def evaluation_of(paths: list[Path]) -> Evaluation:
    """The fast evaluator over the same paths, laid end to end."""
    gaps = tuple(gap for path in paths for gap in (Interval(0, 0), *path.gaps))
    samples = [sample for path in paths for sample in path.samples]
    signals: dict[str, Series] = {}
    for name in VOCABULARY:
        masks: dict[Value, int] = {}
        for i, sample in enumerate(samples):
            if name in sample:
                masks[sample[name]] = masks.get(sample[name], 0) | 1 << i
        signals[name] = tuple(masks.items())
    return Evaluation(Timeline(tuple(len(path.samples) for path in paths), gaps), signals)
