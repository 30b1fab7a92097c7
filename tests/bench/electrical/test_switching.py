"""A switching supply behind a lamp: none, one or two running points, and ranges that hold them all."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from auditor.bench.electrical.lamp import series_lamp
from auditor.bench.electrical.lamp_band import LampBand
from auditor.bench.electrical.load import SetLoad
from auditor.bench.electrical.operating_point import Source
from auditor.bench.electrical.ranges import Circuit
from auditor.bench.electrical.switching import SwitchingLoad, running_points, switching_brought_to, switching_settled
from auditor.bench.usual_loads import TRANSISTOR_SET
from auditor.logic.interval import Interval
from tests.bench.electrical.circuits import THOROUGH, at, interval

EXACTLY = Interval.exactly
NO_SET = SetLoad(EXACTLY(120), EXACTLY(0), TRANSISTOR_SET.shape)
FRACTIONS = st.lists(st.one_of(st.sampled_from([0.0, 1.0]), st.floats(0, 1)), min_size=9, max_size=9)
SLACK = 1e-6


@st.composite
def supplies(draw: st.DrawFn) -> tuple[Circuit, SwitchingLoad]:
    lamp = LampBand(interval(draw, 40, 300), interval(draw, 115, 125), loss=interval(draw, 0.05, 0.15))
    circuit = Circuit(interval(draw, 30, 140), interval(draw, 0, 5), lamp, NO_SET)
    return circuit, SwitchingLoad(interval(draw, 5, 100), interval(draw, 20, 100), interval(draw, 0.55, 1.0))


def holds(interval: Interval, value: float) -> bool:
    slack = SLACK * max(interval.high, 1.0)
    return interval.low - slack <= value <= interval.high + slack


@given(supplies(), FRACTIONS)
@THOROUGH
def test_the_ranges_hold_every_running_point_of_every_supply_inside_the_bands(
        given_: tuple[Circuit, SwitchingLoad], fractions: list[float]) -> None:
    circuit, supply = given_
    lamp = circuit.lamp
    assert lamp is not None
    f = iter(fractions)
    source = Source(at(circuit.voltage, next(f)), at(circuit.resistance, next(f)))
    watts, volts, loss, made = (next(f) for _ in range(4))
    one = series_lamp(at(lamp.power, watts), at(lamp.voltage, volts), at(lamp.loss, loss)).made(
        1 + (2 * made - 1) * lamp.made_within)
    starts = at(supply.starts_at, next(f))
    points = running_points(source, one, at(supply.power, next(f)), starts, at(supply.power_factor, next(f)))
    ranges, counts = switching_settled(circuit, supply)
    assert (len(points) if source.voltage >= starts else 0) in counts
    for point in points:
        assert holds(ranges.set_voltage, point.set_voltage)
        assert holds(ranges.current, point.current)
        assert holds(ranges.lamp_voltage, point.lamp_voltage)
        assert holds(ranges.temperature, point.temperature)
        assert holds(ranges.lamp_power, point.lamp_power)
    if not points:
        # It hangs between nothing and the whole.
        assert holds(ranges.set_voltage, source.voltage)
        assert holds(ranges.current, 0.0)


def test_a_large_lamp_gives_two_running_points_and_a_small_one_none() -> None:
    source = Source(120)
    assert len(running_points(source, series_lamp(300, 120), 40, 0, 1.0)) == 2
    assert running_points(source, series_lamp(60, 120), 40, 20, 1.0) == ()


def test_a_point_below_the_start_voltage_does_not_run() -> None:
    high, = running_points(Source(120), series_lamp(300, 120), 40, 60, 1.0)
    assert high.set_voltage > 60


def test_no_range_of_a_supply_that_runs_reaches_below_its_start_voltage() -> None:
    circuit = Circuit(EXACTLY(120), EXACTLY(0), LampBand(EXACTLY(300), EXACTLY(120)), NO_SET)
    got, counts = switching_settled(circuit, SwitchingLoad(EXACTLY(40), EXACTLY(60), EXACTLY(1.0)))
    assert counts == (1,)
    assert got.set_voltage.low >= 60


def test_the_higher_of_two_points_comes_first() -> None:
    high, low = running_points(Source(120), series_lamp(200, 120), 30, 0, 1.0)
    assert high.set_voltage > low.set_voltage
    assert high.current < low.current


def test_below_its_start_voltage_it_draws_nothing() -> None:
    circuit = Circuit(Interval(28, 32), EXACTLY(0), LampBand(EXACTLY(100), EXACTLY(120)), NO_SET)
    got, counts = switching_settled(circuit, SwitchingLoad(EXACTLY(40), Interval(60, 90), EXACTLY(0.7)))
    assert counts == (0,)
    assert got.set_voltage == circuit.voltage
    assert got.current == EXACTLY(0.0)


def test_fed_directly_its_current_rises_as_its_volts_fall() -> None:
    supply = SwitchingLoad(EXACTLY(60), EXACTLY(60), EXACTLY(0.6))
    low, _ = switching_settled(Circuit(EXACTLY(80), EXACTLY(0), None, NO_SET), supply)
    high, _ = switching_settled(Circuit(EXACTLY(120), EXACTLY(0), None, NO_SET), supply)
    assert low.current.low > high.current.high
    assert high.set_power == EXACTLY(60)


def test_brought_to_a_reading_the_lamp_carries_what_the_supply_draws_there() -> None:
    circuit = Circuit(EXACTLY(0), EXACTLY(0), LampBand(EXACTLY(200), EXACTLY(120)), NO_SET)
    got = switching_brought_to(EXACTLY(100), circuit, SwitchingLoad(EXACTLY(60), EXACTLY(60), EXACTLY(0.6)))
    assert got.current.low == got.current.high == 1.0
    assert got.source_voltage.low > 100
