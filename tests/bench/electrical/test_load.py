"""The law of a healthy set's current."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.load import ONSET_WIDTH, SetLoad, relative_current
from auditor.logic.interval import Interval
from tests.bench.electrical.circuits import FRACTIONS, THOROUGH, interval, sampled, shapes


def test_before_the_onset_only_heaters_draw() -> None:
    assert relative_current(0.5, 0.4, 0.6, 1.0, 0.5) == 0.4 * 0.5 ** 0.6


def test_half_way_through_the_onset_half_the_rest_is_drawn() -> None:
    u = 0.5 + ONSET_WIDTH / 2
    assert relative_current(u, 0.0, 0.6, 1.0, 0.5) == pytest.approx(u / 2)


def test_all_is_drawn_fifteen_hundredths_of_the_rated_volts_after_the_onset() -> None:
    assert relative_current(0.65, 0.4, 0.6, 1.0, 0.5) == pytest.approx(0.4 * 0.65 ** 0.6 + 0.6 * 0.65)
    assert relative_current(0.649, 0.0, 0.6, 1.0, 0.5) < 0.649


def test_at_the_rated_volts_the_rated_current_is_drawn_whatever_the_shape() -> None:
    for share in (0.0, 0.4, 1.0):
        for onset in (-ONSET_WIDTH, 0.3, 0.85):
            assert relative_current(1.0, share, 0.6, 1.2, onset) == pytest.approx(1.0)


@st.composite
def bands(draw: st.DrawFn) -> SetLoad:
    return SetLoad(interval(draw, 100, 130), interval(draw, 1, 300), draw(shapes()))


@THOROUGH
@given(bands(), st.floats(0, 200), st.floats(0, 200))
def test_a_set_never_draws_less_at_more_volts(band: SetLoad, one: float, other: float) -> None:
    low, high = sorted((one, other))
    for edge in (band.most(), band.least()):
        assert edge.load(low) <= edge.load(high) * (1 + 1e-12)
        assert edge.power(low) <= edge.power(high) * (1 + 1e-12)


@THOROUGH
@given(bands(), FRACTIONS, st.floats(0, 200))
def test_the_edges_of_a_band_enclose_every_set_in_it_at_every_voltage(
        band: SetLoad, fractions: list[float], volts: float) -> None:
    from auditor.bench.electrical.ranges import Circuit

    nothing = Interval.exactly(0.0)
    current = sampled(Circuit(nothing, nothing, None, band), fractions).load(volts)
    assert band.least().load(volts) <= current * (1 + 1e-9)
    assert current <= band.most().load(volts) * (1 + 1e-9)
