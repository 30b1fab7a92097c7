"""The time axis of the page."""

from __future__ import annotations

import itertools
from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.forecast import Row
from auditor.report.page.axis import axis, step_labels, time_labels, time_said
from auditor.report.page.graph import ticks_to
from auditor.report.result import Moment
from tests.written import steps_of

(STEP,) = steps_of("set_dial: 0 V")
DURATIONS = st.lists(st.floats(0.0, 400_000.0), min_size=1, max_size=80)


def moments(durations: list[float]) -> list[Moment]:
    """Steps that last so long [s]."""
    made, now = [], 0.0
    for number, duration in enumerate(durations, start=1):
        step = STEP.model_copy(update={"number": number, "path": ("steps", number - 1)})
        made.append(Moment(cast(Row, None), step, now, now + duration))
        now += duration
    return made


@given(DURATIONS)
def test_the_steps_fill_the_axis_one_after_another(durations: list[float]) -> None:
    spans = axis(moments(durations), 100.0).spans
    assert spans[0][0] == 0.0
    assert spans[-1][1] == pytest.approx(100.0)
    assert all(end == begin for (_, end), (begin, _) in itertools.pairwise(spans))
    assert all(end > begin for begin, end in spans)


@given(DURATIONS)
def test_what_lasts_longer_is_never_drawn_shorter(durations: list[float]) -> None:
    spans = axis(moments(durations), 100.0).spans
    lengths = sorted(zip(durations, (end - begin for begin, end in spans), strict=True))
    assert all(then >= before - 1e-9 for (_, before), (_, then) in itertools.pairwise(lengths))


@given(DURATIONS, st.floats(5.0, 60.0))
def test_labels_keep_their_distance_and_stay_on_the_axis(durations: list[float], apart: float) -> None:
    made = moments(durations)
    on = axis(made, 300.0)
    for labels in (step_labels(made, on, apart), time_labels(made, on, apart)):
        places = [label.at for label in labels]
        assert all(0.0 <= place <= 300.0 + 1e-9 for place in places)
        assert all(then - before >= apart - 1e-9 for before, then in itertools.pairwise(places))


@given(st.floats(1e-6, 1e6))
def test_the_marks_of_a_scale_are_few_and_reach_above_the_highest_value(highest: float) -> None:
    ticks = ticks_to(highest)
    assert ticks[0] == 0.0
    assert ticks[-2] >= highest * (1 - 1e-6)
    assert len(ticks) <= 7


@pytest.mark.parametrize(("seconds", "words"), [
    (0.0, "0 s"), (65.0, "65 s"), (300.0, "5 min"), (3599.0, "1 h"), (3600.0, "1 h"), (9000.0, "2 h 30 min")])
def test_a_time_is_said_as_on_a_bench(seconds: float, words: str) -> None:
    assert time_said(seconds) == words
