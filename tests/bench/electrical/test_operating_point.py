"""The solver asks the set for its current only a few times, whatever the set."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.lamp import series_lamp
from auditor.bench.electrical.operating_point import Source, remaining, settle

WATTS = st.sampled_from([15.0, 40.0, 60.0, 100.0, 150.0, 500.0])


@given(WATTS, st.floats(1, 260), st.floats(0, 3), st.floats(0.2, 1), st.floats(-3, 9))
def test_a_plain_resistance_behind_a_lamp_takes_few_questions(
        watts: float, volts: float, wiring: float, factor: float, siemens: float) -> None:
    asked: list[float] = []

    def resistance(volts: float) -> float:
        asked.append(volts)
        return float(volts * 10 ** siemens)

    settle(Source(volts, wiring), series_lamp(watts, 120), resistance, factor)
    assert len(asked) <= 25


@given(WATTS, st.floats(1, 260), st.floats(0, 3), st.floats(0.2, 1), st.floats(-3, 9))
def test_the_set_is_asked_for_no_volts_below_nothing(
        watts: float, volts: float, wiring: float, factor: float, siemens: float) -> None:
    def resistance(volts: float) -> float:
        assert volts >= 0.0
        return float(volts * 10 ** siemens)

    settle(Source(volts, wiring), series_lamp(watts, 120), resistance, factor)


@pytest.mark.parametrize("factor", [0.3, 0.9, 1.0])
def test_nothing_remains_past_the_volts_of_the_source(factor: float) -> None:
    assert remaining(120.0, 120.0, factor) == pytest.approx(0.0, abs=1e-9)
    assert remaining(120.0, 150.0, factor) == 0.0
